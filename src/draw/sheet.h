/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file sheet.h
 * @brief The sheet around a drawing: head, foot, scale. A4 lying, mm.
 *
 * Margins and sizes: ISO 5457 A4 is 210 x 297, 20 mm at the binding edge and 10 mm elsewhere (the
 * trimmed size is checked against published values, the margins are from memory).
 */
#pragma once

#include "draw/labels.h"
#include "draw/picture.h"

#define TB_SHEET_WIDTH 297.0
#define TB_SHEET_HEIGHT 210.0
#define TB_SHEET_BINDING 20.0
#define TB_SHEET_MARGIN 10.0

/** What stands around the drawing. Any text may be "" or NULL. */
typedef struct TbSheetTexts {
    const char *title, *subtitle, *scale, *caution;
    char *const *notes;
    size_t note_count;
} TbSheetTexts;

/**
 * A text on as many lines as it needs, the first one at @p at.
 *
 * @return mm from the first to the last line
 */
double tb_sheet_paragraph(TbPicture *picture,
                          TbVec2 at,
                          double width,
                          TbTextStyle style,
                          const char *text,
                          TbMeasurer measurer);

/** Draws head and foot; the rectangle between them is the drawing's. */
TbRectangle tb_sheet_frame(TbPicture *picture, TbSheetTexts texts, TbMeasurer measurer);

/**
 * The largest usual ratio at which @p wide x @p tall mm fit a rectangle: the series of ISO 5455
 * (from memory), and 1:2.5, 1:3, 1:4 between, for a sheet is small and a bay is not.
 */
double tb_sheet_ratio(double wide, double tall, TbRectangle room);

/** The largest ratio of the series of ISO 5455 alone (1, 2, 5 and their tens) that fits. */
double tb_sheet_standard_ratio(double wide, double tall, TbRectangle room);

/** "1:2", "2:1". @p text holds 24 bytes. */
void tb_sheet_ratio_text(double ratio, char text[24]);
