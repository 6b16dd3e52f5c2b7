/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file pack_sheet.h
 * @brief The sheet around a page of the pack: frame, zones, centring marks, title block.
 *
 * Checked against published summaries: trimmed sizes, binding edge 20 mm and other edges 10 mm,
 * zones of 50 mm from the middles with 8 x 6 fields on A3 and 6 x 4 on A4, letters without I and O
 * (ISO 5457); names of the title block's fields and its width of 180 mm (ISO 7200). From memory:
 * width and length of the centring marks, where the scale and the projection's symbol stand.
 */
#pragma once

#include "draw/pack.h"

/** What stands in the title block of one sheet. Texts are lent; "" where nothing is known. */
typedef struct TbSheetTitle {
    const TbDossierTitle *title;
    const char *subject; /**< second title */
    const char *scale;   /**< "" for none */
    bool has_views;      /**< show the projection's symbol */
    TbProjection projection;
    size_t sheet, sheets; /**< from 1 */
} TbSheetTitle;

/** The room inside the frame and above the title block, mm. */
TbRectangle tb_pack_sheet_room(TbPaper paper);

/** Draw all that is around the room. */
void tb_pack_sheet_frame(TbPicture *picture,
                         TbPaper paper,
                         const TbSheetTitle *title,
                         TbMeasurer measurer);
