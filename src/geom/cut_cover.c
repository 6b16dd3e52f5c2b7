/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * The union of convex bodies on paper. On every line of a grid a body covers one span, from the
 * least to the greatest place at which any of its edges passes the line. A line keeps the union of
 * its spans; the outline passes where they begin and end. Rows tell which grid points are covered,
 * rows and columns together where the outline passes between two points. No grid is stored, and
 * nothing is done for points inside.
 */

#include "geom/cut_cover.h"

#include "base/mem.h"

#include <string.h>

/** Grid points along the longer side at most. */
#define COVER_MOST 2048

/** Share of the chord, or of a larger grid step taken for it, by which thinning may move the
 * outline. */
#define COVER_THIN 0.08

/** Sine of the least turn that is sharpened: less is a bend of the outline's own. */
#define COVER_SHARP 0.35

/* ---- lines ---- */

static TbStatus
no_room(TbFault *fault)
{
    return tb_fail(fault, TB_E_MEMORY, "no room for an outline");
}

static bool
touch(TbCutSpan a, TbCutSpan b)
{
    return a.low <= b.high && b.low <= a.high;
}

static const TbCutSpan *
spans_of(const TbCutLine *line)
{
    return line->more != NULL ? line->more : line->few;
}

/** Room for one more span. */
static bool
make_room(TbCutLine *line)
{
    size_t room = line->more == NULL ? 4 * TB_CUT_LINE_ROOM : 2 * line->room;
    void *more;

    if (line->count < (line->more == NULL ? TB_CUT_LINE_ROOM : line->room))
        return true;
    more = tb_resize_array(line->more, room, sizeof *line->more);
    if (more == NULL)
        return false;
    if (line->more == NULL)
        memcpy(more, line->few, sizeof line->few);
    line->more = more;
    line->room = room;
    return true;
}

/** The union of a line's spans and one more. */
static bool
unite(TbCutLine *line, TbCutSpan span)
{
    TbCutSpan *spans = line->more != NULL ? line->more : line->few;

    for (size_t i = 0; i < line->count;) {
        if (!touch(spans[i], span)) {
            i++;
            continue;
        }
        if (spans[i].low <= span.low && span.high <= spans[i].high)
            return true;
        span.low = span.low < spans[i].low ? span.low : spans[i].low;
        span.high = span.high > spans[i].high ? span.high : spans[i].high;
        spans[i] = spans[--line->count];
        i = 0;
    }
    if (!make_room(line))
        return false;
    spans = line->more != NULL ? line->more : line->few;
    spans[line->count++] = span;
    return true;
}

static const TbCutSpan *
span_of(const TbCutLine *line, double at)
{
    const TbCutSpan *spans = spans_of(line);

    for (size_t i = 0; i < line->count; i++)
        if (spans[i].low <= at && at <= spans[i].high)
            return &spans[i];
    return NULL;
}

/* ---- bodies ---- */

/** Where an edge passes the lines of one way. */
static void
pass_lines(TbCutCover *cover, int way, double from, double to, double at, double next)
{
    double low = from < to ? from : to, high = from < to ? to : from;
    double slope;

    if (ceil(low) > high)
        return;
    slope = (next - at) / (to - from);
    for (size_t i = (size_t)ceil(low), last = (size_t)high; i <= last; i++) {
        TbCutSpan *open = &cover->open[way][i];
        double x = from == to ? at : at + ((double)i - from) * slope;

        open->low = x < open->low ? x : open->low;
        open->high = x > open->high ? x : open->high;
        cover->from[way] = i < cover->from[way] ? i : cover->from[way];
        cover->to[way] = i > cover->to[way] ? i : cover->to[way];
    }
}

void
tb_cut__cover_edge(TbCutCover *cover, TbVec2 a, TbVec2 b)
{
    pass_lines(cover, 0, a.y, b.y, a.x, b.x);
    pass_lines(cover, 1, a.x, b.x, a.y, b.y);
}

bool
tb_cut__cover_close(TbCutCover *cover)
{
    for (int way = 0; way < 2; way++) {
        for (size_t i = cover->from[way]; i <= cover->to[way]; i++) {
            TbCutSpan *open = &cover->open[way][i];

            if (open->low <= open->high && !unite(&cover->line[way][i], *open))
                return false;
            *open = (TbCutSpan){INFINITY, -INFINITY};
        }
        cover->from[way] = SIZE_MAX;
        cover->to[way] = 0;
    }
    return true;
}

/* ---- the grid ---- */

static TbStatus
make_lines(TbCutCover *cover, TbFault *fault)
{
    for (int way = 0; way < 2; way++) {
        size_t count = cover->lines[way];

        cover->line[way] = tb_alloc_array(count, sizeof(TbCutLine));
        cover->open[way] = tb_alloc_array(count, sizeof(TbCutSpan));
        cover->covered[way] = tb_alloc_array(cover->lines[1], 1);
        if (cover->line[way] == NULL || cover->open[way] == NULL || cover->covered[way] == NULL)
            return no_room(fault);
        for (size_t i = 0; i < count; i++)
            cover->open[way][i] = (TbCutSpan){INFINITY, -INFINITY};
        cover->from[way] = SIZE_MAX;
    }
    return TB_OK;
}

/** Edges are numbered by the point they leave to the right (even) or upwards (odd). */
static bool
outline_point(void *user, uint64_t edge, TbVec2 *point)
{
    const TbCutCover *cover = user;
    size_t number = (size_t)(edge / 2), wide = cover->lines[1];
    bool upwards = edge % 2 == 1;
    size_t column = number % wide, row = number / wide;
    const TbCutLine *line = upwards ? &cover->line[1][column] : &cover->line[0][row];
    double from = (double)(upwards ? row : column), at = from + 0.5;
    const TbCutSpan *begins = span_of(line, from), *ends = span_of(line, from + 1);

    /* where rounding has it that the columns know nothing of what the rows say: the middle */
    if (begins != NULL && begins->high < from + 1)
        at = begins->high;
    else if (begins == NULL && ends != NULL)
        at = ends->low;
    *point = tb_vec2_add(
        cover->low, tb_vec2_scale(upwards ? tb_vec2((double)column, at) : tb_vec2(at, (double)row),
                                  cover->step));
    return true;
}

/** @return the row's first and last covered point; last below first where there is none. */
static TbCutSpan
fill_row(const TbCutCover *cover, size_t row, unsigned char covered[])
{
    const TbCutLine *line = &cover->line[0][row];
    const TbCutSpan *spans = spans_of(line);
    TbCutSpan all = {INFINITY, -INFINITY};

    memset(covered, 0, cover->lines[1]);
    for (size_t i = 0; i < line->count; i++) {
        double from = ceil(spans[i].low), to = floor(spans[i].high);

        if (from > to)
            continue;
        memset(covered + (size_t)from, 1, (size_t)(to - from) + 1);
        all = (TbCutSpan){fmin(all.low, from), fmax(all.high, to)};
    }
    return all;
}

/** Eight points of each of two rows, and the one after them, are all covered or all not. */
static bool
is_dull(const unsigned char *below, const unsigned char *above)
{
    uint64_t a, b, c, d;

    memcpy(&a, below, 8);
    memcpy(&b, above, 8);
    memcpy(&c, below + 1, 8);
    memcpy(&d, above + 1, 8);
    return a == b && a == c && a == d;
}

static TbStatus
march(TbCutCover *cover, TbFault *fault)
{
    size_t wide = cover->lines[1];
    unsigned char *below = cover->covered[0], *above = cover->covered[1];
    TbStatus status = TB_OK;
    TbCutSpan last;

    last = fill_row(cover, 0, below);
    for (size_t j = 0; j + 1 < cover->lines[0] && status == TB_OK; j++) {
        unsigned char *swap = below;
        TbCutSpan next = fill_row(cover, j + 1, above);
        double from = fmin(last.low, next.low) - 1, to = fmax(last.high, next.high);

        last = next;
        for (size_t i = from <= to ? (size_t)from : wide; (double)i <= to && status == TB_OK; i++) {
            size_t at = j * wide + i;
            const bool inside[4] = {below[i], below[i + 1], above[i + 1], above[i]};
            const uint64_t edge[4] = {2 * at, 2 * (at + 1) + 1, 2 * (at + wide), 2 * at + 1};

            if (i + 9 <= wide && is_dull(below + i, above + i)) {
                i += 7;
                continue;
            }
            if (inside[0] != inside[1] || inside[0] != inside[2] || inside[0] != inside[3])
                status = tb_cut__square(&cover->segments, inside, edge, true, fault);
        }
        below = above;
        above = swap;
    }
    return status;
}

/* ---- corners ---- */

/**
 * Where an outline from a to b and from c to d has its corner, in grid steps: b and c are where it
 * enters a square and leaves it, so the corner lies in that square.
 */
static bool
corner_between(const TbVec2 p[4], TbVec2 *corner)
{
    TbVec2 in = tb_vec2_sub(p[1], p[0]), out = tb_vec2_sub(p[3], p[2]);
    TbVec2 way = tb_vec2_sub(p[2], p[1]), low;
    double cross = tb_vec2_cross(in, out);

    if (fabs(cross) < COVER_SHARP * tb_vec2_length(in) * tb_vec2_length(out) ||
        tb_vec2_cross(way, out) * cross < 0 || tb_vec2_cross(in, way) * cross < 0)
        return false;
    *corner = tb_vec2_add(p[1], tb_vec2_scale(in, tb_vec2_cross(way, out) / cross));
    low = tb_vec2(floor((p[1].x + p[2].x) / 2), floor((p[1].y + p[2].y) / 2));
    return corner->x >= low.x && corner->x <= low.x + 1 && corner->y >= low.y &&
           corner->y <= low.y + 1;
}

static TbStatus
sharpen(const TbCutCover *cover, const TbCut *traced, TbCut *sharp, TbFault *fault)
{
    TbStatus status = TB_OK;

    for (size_t l = 0; l < traced->loop_count && status == TB_OK; l++) {
        const TbLoop *loop = &traced->loops[l];
        const TbVec2 *p = traced->points + loop->first;
        size_t first = sharp->point_count;
        TbVec2 four[4], corner;

        for (size_t i = 0; i < loop->count && status == TB_OK; i++) {
            for (size_t k = 0; k < 4; k++)
                four[k] = tb_cut__cover_place(cover, p[(i + k) % loop->count]);
            status = tb_cut__point(sharp, first, p[(i + 1) % loop->count], fault);
            if (status == TB_OK && corner_between(four, &corner))
                status = tb_cut__point(sharp, first,
                                       tb_vec2_add(cover->low, tb_vec2_scale(corner, cover->step)),
                                       fault);
        }
        if (status == TB_OK)
            status = tb_cut__end(sharp, first, TB_LOOP_OUTER, loop->role, fault);
    }
    return status;
}

static TbStatus
add_sharpened(const TbCutCover *cover, const TbCut *traced, TbCut *cut, TbFault *fault)
{
    TbCut sharp;
    TbStatus status;

    tb_cut_init(&sharp);
    status = sharpen(cover, traced, &sharp, fault);
    if (status == TB_OK)
        status = tb_cut__thinned(cut, &sharp, cover->near, fault);
    tb_cut_clear(&sharp);
    return status;
}

/* ---- the whole ---- */

TbStatus
tb_cut__cover_begin(
    TbCutCover *cover, TbVec2 low, TbVec2 high, double chord, double step, TbFault *fault)
{
    double least = fmax(high.x - low.x, high.y - low.y) / (COVER_MOST - 4);

    *cover = (TbCutCover){.step = fmax(step, least),
                          .scale = 1 / fmax(step, least),
                          .near = COVER_THIN * fmax(chord, least),
                          .sharpen = step > chord};
    /* odd shares, so that grid lines seldom run along sides of the body */
    cover->low = tb_vec2(low.x - 1.3701 * cover->step, low.y - 1.4142 * cover->step);
    cover->lines[0] = (size_t)ceil((high.y - cover->low.y) / cover->step) + 2;
    cover->lines[1] = (size_t)ceil((high.x - cover->low.x) / cover->step) + 2;
    return make_lines(cover, fault);
}

void
tb_cut__cover_clear(TbCutCover *cover)
{
    for (int way = 0; way < 2; way++) {
        for (size_t i = 0; cover->line[way] != NULL && i < cover->lines[way]; i++)
            tb_free(cover->line[way][i].more);
        tb_free(cover->line[way]);
        tb_free(cover->open[way]);
        tb_free(cover->covered[way]);
    }
    tb_free(cover->segments.all);
}

TbVec2
tb_cut__cover_place(const TbCutCover *cover, TbVec2 paper)
{
    return tb_vec2_scale(tb_vec2_sub(paper, cover->low), cover->scale);
}

TbStatus
tb_cut__cover_trace(TbCutCover *cover, TbCut *cut, int role, TbFault *fault)
{
    TbCut traced;
    TbStatus status = march(cover, fault);

    tb_cut_init(&traced);
    if (status == TB_OK)
        status = tb_cut__chain(&cover->segments, outline_point, cover, &traced, role, fault);
    if (status == TB_OK)
        status = cover->sharpen ? add_sharpened(cover, &traced, cut, fault)
                                : tb_cut__thinned(cut, &traced, cover->near, fault);
    tb_cut_clear(&traced);
    return status;
}
