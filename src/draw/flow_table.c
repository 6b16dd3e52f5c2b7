/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/flow_private.h"

#include <math.h>

/* mm */
#define AIR 3.5      /* between two columns */
#define ROW_AIR 1.4  /* of a row, besides its lines */
#define MARK 4.2     /* from a level's shape to its text */
#define LEAST 9.0    /* of a column, so that a line holds a few letters */
#define WORD_MOST 45 /* a longer word is cut rather than given its own width */

static void
read_cell(const TbFlowBlock *block, size_t row, size_t column, TbFlowCell *cell)
{
    g_string_truncate(cell->text, 0);
    cell->bold = false;
    cell->marked = false;
    block->table.cell(block->table.user, row, column, cell);
}

static double
mark_of(const TbFlowCell *cell)
{
    return cell->marked ? MARK : 0;
}

/** How wide a column would like to be, and how narrow it may become. */
typedef struct Wish {
    double natural, least;
} Wish;

static Wish
wish_of(TbFlow *flow, const TbFlowBlock *block, size_t column, TbFlowCell *cell)
{
    const char *head = block->table.columns[column].head;
    bool is_number = block->table.columns[column].is_number;
    double word = tb_flow__widest_word(flow, head, true);
    Wish wish = {is_number ? word : tb_flow__width(flow, head, strlen(head), true),
                 fmin(word, WORD_MOST)};

    for (size_t row = 0; row < block->table.row_count; row++) {
        double mark;

        read_cell(block, row, column, cell);
        mark = mark_of(cell);
        wish.natural = fmax(wish.natural, mark + tb_flow__width(flow, cell->text->str,
                                                                cell->text->len, cell->bold));
        wish.least =
            fmax(wish.least,
                 mark + fmin(tb_flow__widest_word(flow, cell->text->str, cell->bold), WORD_MOST));
    }
    /* a hair more than the text, so that it is not wrapped by the slack of a line */
    wish.natural = fmax(LEAST, wish.natural + 0.6);
    wish.least = fmin(wish.natural, fmax(LEAST, wish.least + 0.6));
    if (is_number)
        wish.least = wish.natural;
    return wish;
}

/** Where even the least of all columns is too much: numbers keep their own while they can, texts
 * share what is left. */
static void
squeeze(const Wish wishes[], const TbFlowTable *table, double room, double widths[])
{
    double numbers = 0, texts = 0, slits = 0;

    for (size_t i = 0; i < table->column_count; i++) {
        *(table->columns[i].is_number ? &numbers : &texts) += wishes[i].least;
        slits += table->columns[i].is_number ? 0 : LEAST;
    }
    for (size_t i = 0; i < table->column_count; i++) {
        bool is_number = table->columns[i].is_number;
        double share = room / (numbers + texts);

        if (numbers + slits <= room && texts > 0)
            share = is_number ? 1 : (room - numbers) / texts;
        widths[i] = wishes[i].least * share;
    }
}

/** Each column gets what it would like; where that is too much, the widest give first. */
static void
share_out(const Wish wishes[], const TbFlowTable *table, double room, double widths[])
{
    size_t count = table->column_count;
    double low = 0, high = room;
    double least = 0;

    for (size_t i = 0; i < count; i++)
        least += wishes[i].least;
    if (least > room) {
        squeeze(wishes, table, room, widths);
        return;
    }
    /* the height of the ceiling under which wishes fit the room, by halving: 40 times is exact */
    for (int k = 0; k < 40; k++) {
        double ceiling = (low + high) / 2;
        double sum = 0;

        for (size_t i = 0; i < count; i++)
            sum += fmin(wishes[i].natural, fmax(wishes[i].least, ceiling));
        if (sum <= room)
            low = ceiling;
        else
            high = ceiling;
    }
    for (size_t i = 0; i < count; i++)
        widths[i] = fmin(wishes[i].natural, fmax(wishes[i].least, low));
}

static void
stretch(const TbFlow *flow, TbFlowBlock *block)
{
    double more = (flow->width - tb_flow__table_width(block)) / (double)block->table.column_count;

    for (size_t i = 0; block->table.stretched && more > 0 && i < block->table.column_count; i++)
        block->widths[i] += more;
}

double
tb_flow__table_width(const TbFlowBlock *block)
{
    double width = AIR * (double)(block->table.column_count - 1);

    for (size_t i = 0; i < block->table.column_count; i++)
        width += block->widths[i];
    return width;
}

static size_t
head_lines(TbFlow *flow, const TbFlowBlock *block)
{
    size_t lines = 1;

    for (size_t i = 0; i < block->table.column_count; i++)
        lines = MAX(lines, tb_flow__lines(flow, block->table.columns[i].head, TB_PT_SMALL, true,
                                          block->widths[i]));
    return lines;
}

void
tb_flow__plan_table(TbFlow *flow, TbFlowBlock *block)
{
    size_t count = block->table.column_count;
    g_autofree Wish *wishes = g_new0(Wish, count);
    TbFlowCell cell = {.text = g_string_new(NULL)};

    g_free(block->widths);
    g_free(block->row_lines);
    block->widths = g_new0(double, count);
    block->row_lines = g_new0(unsigned, block->table.row_count);
    for (size_t i = 0; i < count; i++)
        wishes[i] = wish_of(flow, block, i, &cell);
    share_out(wishes, &block->table, flow->width - AIR * (double)(count - 1), block->widths);
    stretch(flow, block);
    block->head_lines = head_lines(flow, block);
    block->head = ROW_AIR + TB_FLOW_LINE * (double)block->head_lines;
    for (size_t row = 0; row < block->table.row_count; row++) {
        size_t lines = 1;

        for (size_t i = 0; i < count; i++) {
            read_cell(block, row, i, &cell);
            lines = MAX(lines, tb_flow__lines(flow, cell.text->str, TB_PT_SMALL, cell.bold,
                                              block->widths[i] - mark_of(&cell)));
        }
        block->row_lines[row] = (unsigned)lines;
    }
    g_string_free(cell.text, TRUE);
}

double
tb_flow__row_height(const TbFlowBlock *block, size_t lines)
{
    return fmax(block->table.row_height, ROW_AIR + TB_FLOW_LINE * (double)lines);
}

size_t
tb_flow__lines_in(double height)
{
    double lines = floor((height - ROW_AIR) / TB_FLOW_LINE + 1e-9);

    return lines > 0 ? (size_t)lines : 0;
}

static void
rule(TbPicture *picture, const TbFlowBlock *block, TbVec2 at, TbPen pen, TbInk ink)
{
    tb_picture_segment(picture, at, tb_vec2(at.x + tb_flow__table_width(block), at.y), pen, ink);
}

/** Where a column's text is anchored, and how. */
static TbVec2
anchor_of(const TbFlowBlock *block, size_t column, double left, double y, TbTextStyle *style)
{
    bool is_number = block->table.columns[column].is_number;

    style->anchor = is_number ? TB_ANCHOR_RIGHT : TB_ANCHOR_LEFT;
    return tb_vec2(left + (is_number ? block->widths[column] : 0), y);
}

double
tb_flow__draw_head(TbFlow *flow, const TbFlowBlock *block, TbPicture *picture, TbVec2 at)
{
    double left = at.x;

    for (size_t i = 0; i < block->table.column_count; i++) {
        TbTextStyle style = {.size = TB_PT_SMALL, .ink = TB_INK_INK, .bold = true};
        const char *head = block->table.columns[i].head;
        size_t lines = tb_flow__lines(flow, head, TB_PT_SMALL, true, block->widths[i]);
        /* heads stand on the rule */
        double first = at.y + TB_FLOW_LINE / 2 + ROW_AIR / 4 +
                       TB_FLOW_LINE * (double)(block->head_lines - lines);

        tb_flow__put_lines(flow, picture, anchor_of(block, i, left, first, &style), head, style,
                           block->widths[i], 0, lines, TB_FLOW_LINE);
        left += block->widths[i] + AIR;
    }
    rule(picture, block, tb_vec2(at.x, at.y + block->head), TB_PEN_FRAME, TB_INK_INK);
    return block->head;
}

double
tb_flow__draw_row(TbFlow *flow,
                  const TbFlowBlock *block,
                  size_t row,
                  size_t first,
                  size_t last,
                  TbPicture *picture,
                  TbVec2 at)
{
    TbFlowCell cell = {.text = g_string_new(NULL)};
    double height = tb_flow__row_height(block, last - first);
    double y = at.y + ROW_AIR / 2 + TB_FLOW_LINE / 2;
    double left = at.x;

    for (size_t i = 0; i < block->table.column_count; i++) {
        TbTextStyle style = {.size = TB_PT_SMALL, .ink = TB_INK_INK};
        double mark;
        TbVec2 where;

        read_cell(block, row, i, &cell);
        style.bold = cell.bold;
        mark = mark_of(&cell);
        if (cell.marked && first == 0)
            tb_picture_level(picture, tb_vec2(left + 1.4, y), 2.6, cell.level);
        where = anchor_of(block, i, left, y, &style);
        if (style.anchor == TB_ANCHOR_LEFT)
            where.x += mark;
        tb_flow__put_lines(flow, picture, where, cell.text->str, style, block->widths[i] - mark,
                           first, last, TB_FLOW_LINE);
        left += block->widths[i] + AIR;
    }
    rule(picture, block, tb_vec2(at.x, at.y + height), TB_PEN_GRID, TB_INK_QUIET);
    g_string_free(cell.text, TRUE);
    return height;
}
