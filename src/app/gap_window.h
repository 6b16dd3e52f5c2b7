/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file gap_window.h
 * @brief How one gap comes about, drawn in a window of its own: what warmth, rock and tolerances
 *        take of it, whose tolerance how much, and how its samples are spread.
 *
 * It stays with its gap (two items, a state, a variant) and follows the bay: after an edit it shows
 * the older answer, marked, until the study's whole answer is there, which samples the gap anew.
 */
#pragma once

#include "app/session.h"
#include "draw/picture.h"

#include <gtk/gtk.h>

#define TB_TYPE_GAP_WINDOW (tb_gap_window_get_type())
G_DECLARE_FINAL_TYPE(TbGapWindow, tb_gap_window, TB, GAP_WINDOW, GtkWindow)

/**
 * Present it over a window, which has one at most; that is of the newest gap asked for.
 *
 * @param session referenced
 * @param gap     of the session's whole results; only its names are kept
 * @return lent
 */
TbGapWindow *tb_gap_window_show(GtkWindow *parent, TbSession *session, const TbResultGap *gap);

/** The drawing on a sheet of A4, as it is exported. @return TB_OK; TB_E_REFERENCE: the gap is
 * judged no more; TB_E_MEMORY. The caller clears the picture, also on failure. */
TbStatus tb_gap_window_sheet(TbGapWindow *window, TbPicture *picture, TbFault *fault);
