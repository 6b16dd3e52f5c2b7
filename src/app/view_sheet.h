/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file view_sheet.h
 * @brief What a pane shows as a drawing on an A4 sheet: for files and for paper.
 */
#pragma once

#include "app/session.h"
#include "draw/export.h"

/** A pane: one of the session's cut slots, or the curves along the path. */
enum { TB_SHEET_STRIP = TB_SLOT_COUNT };

/**
 * @param pane  a slot of cuts, or TB_SHEET_STRIP
 * @param ratio of a cut, paper over bay; 0: the largest usual one at which it fits
 * @param[out] picture started by this function; the caller clears it, also on failure
 * @return TB_OK; TB_E_REFERENCE where the pane shows nothing; TB_E_MEMORY
 */
TbStatus
tb_view_sheet(TbSession *session, int pane, double ratio, TbPicture *picture, TbFault *fault);

/** A name for its file, "van-c side cut.pdf"; freed by the caller. */
char *tb_view_sheet_name(TbSession *session, int pane, const char *ending);

/** A drawing as a file; as the next one. */
TbStatus
tb_view_sheet_write(const TbPicture *picture, const char *path, double dpi, TbFault *fault);

/** The drawing as a file, whole or not at all; the format is that of the name's ending. @param dpi
 * dots an inch of a PNG */
TbStatus
tb_view_sheet_save(TbSession *session, int pane, const char *path, double dpi, TbFault *fault);
