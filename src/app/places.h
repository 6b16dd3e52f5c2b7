/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file places.h
 * @brief What a window showed of each file, kept for the next time it is opened.
 *
 * Kept are the views with their zoom, planes, cursor, the stretch of the strip, the selection,
 * state, variant and what is hidden, in the program's settings (key "places"), not in the bay: they
 * are the reader's, not the document's.
 */
#pragma once

#include "app/session.h"

/** So many files are remembered, the newest first. */
enum { TB_PLACES_MOST = 40 };

/** Puts a session where its file was left; nothing where it has no file or is not remembered.
 * What the bay does not have any more is left out. */
void tb_places_restore(GSettings *settings, TbSession *session);

/** Remembers where a session is; nothing for a bay without a file. */
void tb_places_keep(GSettings *settings, TbSession *session);
