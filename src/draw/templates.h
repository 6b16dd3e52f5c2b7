/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file templates.h
 * @brief Card gauges on sheets of paper, at 1:1.
 *
 * Gauges stand side by side, row below row, none on another. One that is larger than a sheet goes
 * on over several: each shows its part within a window whose corners carry registration marks, and
 * the windows join without overlap when marks are laid on marks. Every sheet has a bar of 100 mm
 * each way, for a printer that scales is only found by measuring.
 */
#pragma once

#include "draw/pack.h"
#include "study/templates.h"

/** Which outlines are drawn. */
typedef enum TbTemplateSide {
    TB_TEMPLATE_BOTH,
    TB_TEMPLATE_OUTSIDE, /**< a card that goes round the part */
    TB_TEMPLATE_INSIDE   /**< a piece that goes into it */
} TbTemplateSide;

typedef struct TbTemplateSheets TbTemplateSheets;

/** Plan the sheets. @param templates, measurer must outlive them. NULL when there is no room */
TbTemplateSheets *tb_template_sheets_new(const TbTemplates *templates,
                                         TbPaper paper,
                                         TbTemplateSide side,
                                         TbMeasurer measurer);
void tb_template_sheets_free(TbTemplateSheets *sheets); /**< NULL is fine */

size_t tb_template_sheets_count(const TbTemplateSheets *sheets);

/** Draw one of them. @param[out] picture started here; the caller clears it, also on failure */
TbStatus
tb_template_sheet(const TbTemplateSheets *sheets, size_t sheet, TbPicture *picture, TbFault *fault);

/** What lies on which sheet, for tests. */
typedef struct TbTemplatePlace {
    size_t sheet;
    TbRectangle at; /**< mm of the sheet: of the whole gauge, also where only a part is shown */
} TbTemplatePlace;

/** @return how many places there are; a tiled gauge has one on each of its sheets */
size_t tb_template_sheets_places(const TbTemplateSheets *sheets, const TbTemplatePlace **places);

/** The window of a sheet, mm: gauges lie inside, marks on its corners. */
TbRectangle tb_template_window(TbPaper paper);
