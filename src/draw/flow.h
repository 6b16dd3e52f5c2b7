/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file flow.h
 * @brief Headings, paragraphs and tables that run over as many pages as they need.
 *
 * Blocks are added in reading order; planning breaks them into pages of one size, and any page can
 * then be drawn, in any order. Lengths in mm of paper, letters in pt.
 *
 * Rules of the breaks: a table's head is repeated on each page that it comes to; a row stays whole
 * where a page can hold it; a heading, and a table's head, stand with what they announce; a heading
 * with nothing behind it is left out. Texts wrap at spaces, after - / _ | , ; and, where one word
 * is wider than its place, anywhere between two characters.
 *
 * Cells of tables are asked for when they are needed, row by row, so that a table of thousands of
 * rows takes no room but its rows' heights.
 */
#pragma once

#include "draw/labels.h"
#include "draw/picture.h"

#include <glib.h>

/** mm between two lines of TB_PT_SMALL. */
#define TB_FLOW_LINE 4.0

typedef struct TbFlow TbFlow;

/** What stands in a cell. */
typedef struct TbFlowCell {
    GString *text; /**< empty when the callback gets it */
    bool bold;
    bool marked; /**< the level's shape stands before the text */
    TbLevel level;
} TbFlowCell;

typedef struct TbFlowColumn {
    const char *head;
    bool is_number; /**< set to the right, as wide as it needs */
} TbFlowColumn;

typedef struct TbFlowTable {
    const TbFlowColumn *columns;
    size_t column_count;
    size_t row_count;
    void (*cell)(const void *user, size_t row, size_t column, TbFlowCell *cell);
    const void *user;
    double row_height; /**< mm at least; 0: as its text needs */
    bool stretched;    /**< over the whole width, as where people write into it */
} TbFlowTable;

/** Draws a block of its own into a rectangle. */
typedef void (*TbFlowDraw)(void *user, TbPicture *picture, TbRectangle room);

/** @param measurer is used as long as the flow lives */
TbFlow *tb_flow_new(TbMeasurer measurer);
void tb_flow_free(TbFlow *flow); /**< NULL is fine */

/** A heading of what comes next. */
void tb_flow_heading(TbFlow *flow, const char *text);

/** A paragraph; line feeds end lines. An empty one is left out. */
void tb_flow_text(TbFlow *flow, const char *text, TbTextStyle style);

/** A table; columns are copied, their heads and the user must live as long as the flow. One without
 * rows is left out. */
void tb_flow_table(TbFlow *flow, const TbFlowTable *table);

/** A drawing of one height over the whole width, on one page. */
void tb_flow_drawing(TbFlow *flow, double height, TbFlowDraw draw, void *user);

/** Free room of at most @p height, none at the top of a page. */
void tb_flow_space(TbFlow *flow, double height);

/** What comes next begins on a new page. */
void tb_flow_break(TbFlow *flow);

/**
 * Break into pages.
 *
 * @param width,height of a page's room
 * @return how many pages; 0 when nothing was added
 */
size_t tb_flow_plan(TbFlow *flow, double width, double height);

/** mm that a page of the plan is high. */
double tb_flow_height(const TbFlow *flow, size_t page);

/** Draw a page of the plan, its room's top left at @p at. @return mm that it is high */
double tb_flow_draw(const TbFlow *flow, size_t page, TbPicture *picture, TbVec2 at);
