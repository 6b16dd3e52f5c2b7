/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file flow_private.h
 * @brief A flow's inside: shared by its pages, its tables and its texts.
 */
#pragma once

#include "draw/flow.h"

typedef enum TbFlowBlockKind {
    TB_FLOW_HEADING,
    TB_FLOW_TEXT,
    TB_FLOW_TABLE,
    TB_FLOW_DRAWING,
    TB_FLOW_SPACE,
    TB_FLOW_BREAK
} TbFlowBlockKind;

typedef struct TbFlowBlock {
    TbFlowBlockKind kind;
    char *text;
    TbTextStyle style;
    TbFlowTable table;
    double *widths;      /**< of a table's columns, without the air between them */
    unsigned *row_lines; /**< of each row */
    double head;         /**< mm, of a table's head */
    size_t head_lines;
    double height; /**< of a drawing or space */
    TbFlowDraw draw;
    void *user;
} TbFlowBlock;

/** Where a page begins: a block, a row or line in it, and the first line of that row. */
typedef struct TbFlowPlace {
    size_t block, row, line;
} TbFlowPlace;

struct TbFlow {
    TbMeasurer measurer;
    GHashTable *words[2]; /**< widths of words at TB_PT_SMALL, plain and bold */
    GArray *blocks;       /**< of TbFlowBlock */
    GArray *pages;        /**< of TbFlowPlace: where each begins, and the end of the last */
    double width, height;
    GString *scratch;
};

/** Width of a text at TB_PT_SMALL, as the sum of its words. */
double tb_flow__width(TbFlow *flow, const char *text, size_t bytes, bool bold);

/** The widest piece that cannot be broken nicely. */
double tb_flow__widest_word(TbFlow *flow, const char *text, bool bold);

/**
 * The next line of a text.
 *
 * @param[in,out] text moved behind the line and the spaces after it
 * @return bytes of the line, above 0 unless it is an empty line
 */
size_t tb_flow__line(
    TbFlow *flow, const char **text, double size, bool bold, double width, const char **line);

/** How many lines a text takes; 0 of an empty one. */
size_t tb_flow__lines(TbFlow *flow, const char *text, double size, bool bold, double width);

/** Draw lines @p first to @p last of a text, the first at @p at. */
void tb_flow__put_lines(TbFlow *flow,
                        TbPicture *picture,
                        TbVec2 at,
                        const char *text,
                        TbTextStyle style,
                        double width,
                        size_t first,
                        size_t last,
                        double step);

/** Widths of columns and lines of rows. */
void tb_flow__plan_table(TbFlow *flow, TbFlowBlock *block);

/** mm of a row of so many lines. */
double tb_flow__row_height(const TbFlowBlock *block, size_t lines);

/** How many lines of a row fit a height; 0: none. */
size_t tb_flow__lines_in(double height);

/** Draw the head; a row's lines from first to last. @return mm */
double tb_flow__draw_head(TbFlow *flow, const TbFlowBlock *block, TbPicture *picture, TbVec2 at);
double tb_flow__draw_row(TbFlow *flow,
                         const TbFlowBlock *block,
                         size_t row,
                         size_t first,
                         size_t last,
                         TbPicture *picture,
                         TbVec2 at);

/** mm from a table's left edge to its right one. */
double tb_flow__table_width(const TbFlowBlock *block);
