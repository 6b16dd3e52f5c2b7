/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/flow_private.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* mm */
#define HEADING 7.0     /* of a heading, with the air below it */
#define HEADING_AIR 4.0 /* above a heading that is not at the top of its page */
#define TEXT_AIR 1.6    /* below a paragraph */
#define TABLE_AIR 3.0   /* below a table */
#define TEXT_LINE 1.3   /* of a line over its letters' size */
#define PT_HEADING 11.0 /* pt */

/** Lines of a paragraph that stay together at a page's end. */
#define TOGETHER 2

TbFlow *
tb_flow_new(TbMeasurer measurer)
{
    TbFlow *flow = g_new0(TbFlow, 1);

    flow->measurer = measurer;
    for (int i = 0; i < 2; i++)
        flow->words[i] = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
    flow->blocks = g_array_new(FALSE, TRUE, sizeof(TbFlowBlock));
    flow->pages = g_array_new(FALSE, TRUE, sizeof(TbFlowPlace));
    flow->scratch = g_string_new(NULL);
    return flow;
}

void
tb_flow_free(TbFlow *flow)
{
    if (flow == NULL)
        return;
    for (guint i = 0; i < flow->blocks->len; i++) {
        TbFlowBlock *block = &g_array_index(flow->blocks, TbFlowBlock, i);

        g_free(block->text);
        g_free((void *)block->table.columns);
        g_free(block->widths);
        g_free(block->row_lines);
    }
    for (int i = 0; i < 2; i++)
        g_hash_table_unref(flow->words[i]);
    g_array_unref(flow->blocks);
    g_array_unref(flow->pages);
    g_string_free(flow->scratch, TRUE);
    g_free(flow);
}

static void
add(TbFlow *flow, TbFlowBlock block)
{
    g_array_append_val(flow->blocks, block);
}

void
tb_flow_heading(TbFlow *flow, const char *text)
{
    add(flow, (TbFlowBlock){.kind = TB_FLOW_HEADING, .text = g_strdup(text)});
}

void
tb_flow_text(TbFlow *flow, const char *text, TbTextStyle style)
{
    if (text[0] != '\0')
        add(flow, (TbFlowBlock){.kind = TB_FLOW_TEXT, .text = g_strdup(text), .style = style});
}

void
tb_flow_table(TbFlow *flow, const TbFlowTable *table)
{
    TbFlowBlock block = {.kind = TB_FLOW_TABLE, .table = *table};

    if (table->row_count == 0)
        return;
    block.table.columns = g_memdup2(table->columns, table->column_count * sizeof table->columns[0]);
    add(flow, block);
}

void
tb_flow_drawing(TbFlow *flow, double height, TbFlowDraw draw, void *user)
{
    add(flow, (TbFlowBlock){.kind = TB_FLOW_DRAWING, .height = height, .draw = draw, .user = user});
}

void
tb_flow_space(TbFlow *flow, double height)
{
    add(flow, (TbFlowBlock){.kind = TB_FLOW_SPACE, .height = height});
}

void
tb_flow_break(TbFlow *flow)
{
    add(flow, (TbFlowBlock){.kind = TB_FLOW_BREAK});
}

/* ---- how high things are ---- */

static const TbFlowBlock *
block_at(const TbFlow *flow, size_t index)
{
    return index < flow->blocks->len ? &g_array_index(flow->blocks, TbFlowBlock, index) : NULL;
}

static double
line_step(const TbFlowBlock *block)
{
    return fmax(TB_FLOW_LINE, TEXT_LINE * block->style.size * TB_MM_PER_PT);
}

static size_t
text_lines(TbFlow *flow, const TbFlowBlock *block)
{
    return tb_flow__lines(flow, block->text, block->style.size, block->style.bold, flow->width);
}

/** True where a heading announces something. */
static bool
announces(const TbFlow *flow, size_t index)
{
    const TbFlowBlock *next;

    for (size_t i = index + 1; (next = block_at(flow, i)) != NULL; i++) {
        if (next->kind == TB_FLOW_HEADING)
            return false;
        if (next->kind != TB_FLOW_SPACE && next->kind != TB_FLOW_BREAK)
            return true;
    }
    return false;
}

/** The least of a block that may stand at the end of a page. */
static double
least_of(TbFlow *flow, size_t index)
{
    const TbFlowBlock *block = block_at(flow, index);

    if (block == NULL)
        return 0;
    switch (block->kind) {
    case TB_FLOW_HEADING:
        return HEADING + least_of(flow, index + 1);
    case TB_FLOW_TEXT:
        return line_step(block) * (double)MIN(TOGETHER, text_lines(flow, block));
    case TB_FLOW_TABLE:
        return block->head +
               fmin(tb_flow__row_height(block, block->row_lines[0]), flow->height - block->head);
    case TB_FLOW_DRAWING:
        return block->height;
    case TB_FLOW_SPACE:
    case TB_FLOW_BREAK:
        break;
    }
    return 0;
}

/* ---- one page ---- */

/** A page while it is filled. */
typedef struct Page {
    TbFlow *flow;
    TbPicture *picture; /**< NULL: only planned */
    TbVec2 at;
    double y, bottom; /**< bottom: of ink, without the air below it */
    TbFlowPlace place;
    bool full;
} Page;

static TbVec2
here(const Page *page)
{
    return tb_vec2(page->at.x, page->at.y + page->y);
}

static void
next_block(Page *page)
{
    page->place = (TbFlowPlace){.block = page->place.block + 1};
}

static bool
fits(const Page *page, double height)
{
    return page->y <= 0 || page->y + height <= page->flow->height + 1e-9;
}

/** On one line: what is longer ends in an ellipsis. */
static void
put_heading(const Page *page, const char *text)
{
    TbTextStyle style = {.size = PT_HEADING, .ink = TB_INK_INK, .bold = true};
    char shown[TB_TEXT_SHORT];

    tb_text_shorten(page->flow->measurer, text, PT_HEADING, true, page->flow->width, shown);
    tb_picture_text(page->picture, tb_vec2(page->at.x, page->at.y + page->y + 2.4), style, shown);
}

static void
go_heading(Page *page, const TbFlowBlock *block)
{
    double air = page->y > 0 ? HEADING_AIR : 0;

    if (!announces(page->flow, page->place.block)) {
        next_block(page);
        return;
    }
    if (!fits(page, air + least_of(page->flow, page->place.block))) {
        page->full = true;
        return;
    }
    page->y += air;
    if (page->picture != NULL)
        put_heading(page, block->text);
    page->y += HEADING;
    page->bottom = page->y;
    next_block(page);
}

static void
go_text(Page *page, const TbFlowBlock *block)
{
    TbFlow *flow = page->flow;
    size_t lines = text_lines(flow, block);
    size_t first = page->place.line;
    double step = line_step(block);
    size_t room = (size_t)fmax(0, floor((flow->height - page->y) / step + 1e-9));
    size_t last = MIN(lines, first + MAX(room, page->y > 0 ? 0 : 1));

    /* no line alone at the end of a page, nor at the top of the next one */
    if (last < lines && lines - last < TOGETHER && last > first + TOGETHER)
        last = lines - TOGETHER;
    if (last == first || (last < lines && last - first < TOGETHER && page->y > 0)) {
        page->full = true;
        return;
    }
    if (page->picture != NULL)
        tb_flow__put_lines(flow, page->picture,
                           tb_vec2(page->at.x, page->at.y + page->y + step / 2), block->text,
                           block->style, flow->width, first, last, step);
    page->y += step * (double)(last - first);
    page->bottom = page->y;
    page->y += TEXT_AIR;
    if (last == lines) {
        next_block(page);
    } else {
        page->place.line = last;
        page->full = true;
    }
}

/** One row, or as much of it as a page holds. */
static void
go_row(Page *page, const TbFlowBlock *block, bool is_first)
{
    TbFlow *flow = page->flow;
    size_t first = page->place.line;
    size_t lines = block->row_lines[page->place.row];
    double height = tb_flow__row_height(block, lines - first);
    size_t last = lines;

    if (page->y + height > flow->height + 1e-9) {
        /* a row that no page holds is cut between its lines */
        if (!is_first) {
            page->full = true;
            return;
        }
        last = MIN(lines, first + MAX(1, tb_flow__lines_in(flow->height - page->y)));
    }
    if (page->picture != NULL)
        tb_flow__draw_row(flow, block, page->place.row, first, last, page->picture, here(page));
    page->y += tb_flow__row_height(block, last - first);
    page->bottom = page->y;
    if (last < lines) {
        page->place.line = last;
        page->full = true;
        return;
    }
    page->place.row++;
    page->place.line = 0;
}

/** The heading of a table that goes on, once more. */
static void
repeat_heading(Page *page)
{
    const TbFlowBlock *heading = NULL;

    for (size_t i = 0; i < page->place.block; i++)
        if (block_at(page->flow, i)->kind == TB_FLOW_HEADING)
            heading = block_at(page->flow, i);
    if (heading == NULL || (page->place.row == 0 && page->place.line == 0))
        return;
    if (page->picture != NULL) {
        /* Translators: a heading on the next page of a table */
        g_autofree char *text = g_strdup_printf(_("%s (continued)"), heading->text);

        put_heading(page, text);
    }
    page->y += HEADING;
}

static void
go_table(Page *page, const TbFlowBlock *block)
{
    size_t lines = block->row_lines[page->place.row] - page->place.line;
    bool is_first = true;

    if (!fits(page, block->head + tb_flow__row_height(block, lines))) {
        page->full = true;
        return;
    }
    repeat_heading(page);
    if (page->picture != NULL)
        tb_flow__draw_head(page->flow, block, page->picture, here(page));
    page->y += block->head;
    while (!page->full && page->place.row < block->table.row_count) {
        go_row(page, block, is_first);
        is_first = false;
    }
    if (page->full)
        return;
    page->y += TABLE_AIR;
    next_block(page);
}

static void
go_drawing(Page *page, const TbFlowBlock *block)
{
    double height = fmin(block->height, page->flow->height);
    TbVec2 at = here(page);

    if (!fits(page, height)) {
        page->full = true;
        return;
    }
    if (page->picture != NULL)
        block->draw(block->user, page->picture,
                    (TbRectangle){at, {at.x + page->flow->width, at.y + height}});
    page->y += height;
    page->bottom = page->y;
    next_block(page);
}

static void
go(Page *page)
{
    const TbFlowBlock *block = block_at(page->flow, page->place.block);

    switch (block->kind) {
    case TB_FLOW_HEADING:
        go_heading(page, block);
        break;
    case TB_FLOW_TEXT:
        go_text(page, block);
        break;
    case TB_FLOW_TABLE:
        go_table(page, block);
        break;
    case TB_FLOW_DRAWING:
        go_drawing(page, block);
        break;
    case TB_FLOW_SPACE:
        page->y += page->y > 0 ? fmin(block->height, fmax(0, page->flow->height - page->y)) : 0;
        next_block(page);
        break;
    case TB_FLOW_BREAK:
        page->full = page->y > 0;
        next_block(page);
        break;
    }
}

/** Fill a page from a place. */
static Page
fill(TbFlow *flow, TbFlowPlace from, TbPicture *picture, TbVec2 at)
{
    Page page = {.flow = flow, .picture = picture, .at = at, .place = from};

    while (!page.full && page.place.block < flow->blocks->len)
        go(&page);
    return page;
}

size_t
tb_flow_plan(TbFlow *flow, double width, double height)
{
    TbFlowPlace place = {0};

    flow->width = width;
    flow->height = height;
    g_array_set_size(flow->pages, 0);
    for (guint i = 0; i < flow->blocks->len; i++) {
        TbFlowBlock *block = &g_array_index(flow->blocks, TbFlowBlock, i);

        if (block->kind == TB_FLOW_TABLE)
            tb_flow__plan_table(flow, block);
    }
    while (place.block < flow->blocks->len) {
        Page page = fill(flow, place, NULL, tb_vec2(0, 0));

        /* nothing is left but headings of nothing */
        if (page.y > 0)
            g_array_append_val(flow->pages, place);
        place = page.place;
    }
    return flow->pages->len;
}

double
tb_flow_height(const TbFlow *flow, size_t page)
{
    return tb_flow_draw(flow, page, NULL, tb_vec2(0, 0));
}

double
tb_flow_draw(const TbFlow *flow, size_t page, TbPicture *picture, TbVec2 at)
{
    TbFlowPlace from = g_array_index(flow->pages, TbFlowPlace, page);

    /* measuring remembers widths of words, no more */
    return fill((TbFlow *)flow, from, picture, at).bottom;
}
