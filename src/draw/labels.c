/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/labels.h"

#include "draw/style.h"

#include "base/mem.h"
#include "base/text.h"

#include <math.h>
#include <string.h>

/** Letter width of the plain measurer, in shares of the size. */
#define PLAIN_WIDTH 0.55

/** Cells along a side at most: a picture larger than 2 m is no drawing. */
#define MOST_CELLS 2000

static double
plain_width(void *user, const char *text, double size_pt, bool bold)
{
    size_t letters = 0;

    (void)user;
    for (const char *p = text; *p != '\0'; p++)
        letters += ((unsigned char)*p & 0xC0) != 0x80;
    return (double)letters * size_pt * TB_MM_PER_PT * (bold ? PLAIN_WIDTH * 1.1 : PLAIN_WIDTH);
}

TbMeasurer
tb_measurer_plain(void)
{
    return (TbMeasurer){plain_width, NULL};
}

/** Longest line that is measured. */
#define MOST_LINE 512

size_t
tb_text_fit(TbMeasurer measurer, const char *text, double size_pt, bool bold, double width)
{
    char line[MOST_LINE];
    size_t best = 0;

    for (size_t end = 0; end < MOST_LINE - 1; end++) {
        if (text[end] != ' ' && text[end] != '\0')
            continue;
        memcpy(line, text, end);
        line[end] = '\0';
        if (best == 0 || measurer.width(measurer.user, line, size_pt, bold) <= width)
            best = end;
        else
            return best;
        if (text[end] == '\0')
            return best;
    }
    return best > 0 ? best : strlen(text);
}

/** The first @p characters of a text and an ellipsis; all of it where it is no longer. */
static void
first_of(const char *text, size_t characters, char out[TB_TEXT_SHORT])
{
    size_t used = 0;

    for (size_t met = 0; text[used] != '\0'; used++) {
        /* bytes that go on a character begin with the bits 10 */
        met += ((unsigned char)text[used] & 0xC0) != 0x80;
        if (met > characters || used > TB_TEXT_SHORT - 5) {
            memcpy(out, text, used);
            while (used > 0 && out[used - 1] == ' ')
                used--;
            memcpy(out + used, "…", sizeof "…");
            return;
        }
    }
    memcpy(out, text, used + 1);
}

void
tb_text_shorten(TbMeasurer measurer,
                const char *text,
                double size_pt,
                bool bold,
                double width,
                char out[TB_TEXT_SHORT])
{
    size_t low = 0, high = TB_TEXT_SHORT;

    first_of(text, high, out);
    if (measurer.width(measurer.user, out, size_pt, bold) <= width)
        return;
    while (high - low > 1) {
        size_t middle = (low + high) / 2;

        first_of(text, middle, out);
        if (measurer.width(measurer.user, out, size_pt, bold) <= width)
            low = middle;
        else
            high = middle;
    }
    first_of(text, low, out);
    if (low == 0)
        out[0] = '\0';
}

void
tb_text_shorten_name(TbMeasurer measurer,
                     const char *text,
                     const char *name,
                     double size_pt,
                     double width,
                     char out[TB_TEXT_SHORT])
{
    const char *at = name == NULL || name[0] == '\0' ? NULL : strstr(text, name);
    char rest[TB_TEXT_SHORT], cut[TB_TEXT_SHORT];
    size_t others = at == NULL ? 0 : strlen(text) - strlen(name);
    double room;

    if (at == NULL || others + sizeof "…" > sizeof rest ||
        measurer.width(measurer.user, text, size_pt, false) <= width) {
        tb_text_shorten(measurer, text, size_pt, false, width, out);
        return;
    }
    tb_text_format(rest, sizeof rest, "%.*s%s", (int)(at - text), text, at + strlen(name));
    room = width - measurer.width(measurer.user, rest, size_pt, false);
    tb_text_shorten(measurer, name, size_pt, false, room, cut);
    if (cut[0] == '\0' || strlen(cut) + others >= sizeof rest)
        memcpy(cut, "…", sizeof "…");
    tb_text_format(rest, sizeof rest, "%.*s%s%s", (int)(at - text), text, cut, at + strlen(name));
    tb_text_shorten(measurer, rest, size_pt, false, width, out);
}

void
tb_placer_init(TbPlacer *placer, TbRectangle window)
{
    double wide = fmin(MOST_CELLS, fmax(1, ceil(window.high.x - window.low.x)));
    double tall = fmin(MOST_CELLS, fmax(1, ceil(window.high.y - window.low.y)));

    *placer = (TbPlacer){.window = window, .columns = (size_t)wide, .rows = (size_t)tall};
    placer->ink = tb_alloc_array(placer->columns * placer->rows, 1);
    placer->status = placer->ink == NULL ? TB_E_MEMORY : TB_OK;
}

void
tb_placer_clear(TbPlacer *placer)
{
    tb_free(placer->taken);
    tb_free(placer->lines);
    tb_free(placer->ink);
    *placer = (TbPlacer){0};
}

void
tb_placer_take(TbPlacer *placer, TbRectangle taken)
{
    void *array = placer->taken;

    if (tb_grow_array(&array, &placer->taken_room, placer->taken_count, sizeof taken) != 0) {
        placer->status = TB_E_MEMORY;
        return;
    }
    placer->taken = array;
    placer->taken[placer->taken_count++] = taken;
}

void
tb_placer_take_line(TbPlacer *placer, TbVec2 a, TbVec2 b)
{
    void *array = placer->lines;

    if (tb_grow_array(&array, &placer->line_room, placer->line_count + 1, sizeof a) != 0) {
        placer->status = TB_E_MEMORY;
        return;
    }
    placer->lines = array;
    placer->lines[placer->line_count++] = a;
    placer->lines[placer->line_count++] = b;
}

/** The cell under a point, or false outside. */
static bool
cell_at(const TbPlacer *placer, TbVec2 p, size_t *cell)
{
    double x = p.x - placer->window.low.x;
    double y = p.y - placer->window.low.y;

    if (!(x >= 0 && y >= 0 && x < (double)placer->columns && y < (double)placer->rows))
        return false;
    /* of what is not below 0 the whole part is the floor, and costs no call */
    *cell = (size_t)(ptrdiff_t)y * placer->columns + (size_t)(ptrdiff_t)x;
    return true;
}

/** A segment lies wholly on the far side of one of a rectangle's edges. */
static bool
passes_by(TbRectangle window, TbVec2 a, TbVec2 b)
{
    return (a.x < window.low.x && b.x < window.low.x) ||
           (a.x > window.high.x && b.x > window.high.x) ||
           (a.y < window.low.y && b.y < window.low.y) ||
           (a.y > window.high.y && b.y > window.high.y);
}

/* Liang and Barsky */
bool
tb_rectangle_clip(TbRectangle window, TbVec2 *a, TbVec2 *b)
{
    TbVec2 d = tb_vec2_sub(*b, *a);
    double p[4] = {-d.x, d.x, -d.y, d.y};
    double q[4] = {a->x - window.low.x, window.high.x - a->x, a->y - window.low.y,
                   window.high.y - a->y};
    double from = 0;
    double to = 1;
    TbVec2 start = *a;

    if (passes_by(window, *a, *b))
        return false;
    for (int i = 0; i < 4; i++) {
        double at = p[i] != 0 ? q[i] / p[i] : 0;

        if (p[i] == 0) {
            if (q[i] < 0)
                return false;
        } else if (p[i] < 0) {
            from = at > from ? at : from;
        } else {
            to = at < to ? at : to;
        }
    }
    if (from > to)
        return false;
    *a = tb_vec2_add(start, tb_vec2_scale(d, from));
    *b = tb_vec2_add(start, tb_vec2_scale(d, to));
    return true;
}

static void
ink_cell(TbPlacer *placer, size_t cell, int weight)
{
    if (placer->ink[cell] < weight)
        placer->ink[cell] = (unsigned char)weight;
}

static void
ink_segment(TbPlacer *placer, TbVec2 a, TbVec2 b, int weight)
{
    size_t first, last;
    double length;
    size_t steps;

    /* most segments of an outline are shorter than a cell */
    if (cell_at(placer, a, &first) && cell_at(placer, b, &last) && first == last) {
        ink_cell(placer, first, weight);
        return;
    }
    if (!tb_rectangle_clip(placer->window, &a, &b))
        return;
    length = tb_vec2_length(tb_vec2_sub(b, a));
    steps = (size_t)ceil(2 * length) + 1;
    for (size_t i = 0; i <= steps; i++) {
        double k = (double)i / (double)steps;
        TbVec2 p = {a.x + k * (b.x - a.x), a.y + k * (b.y - a.y)};
        size_t cell;

        if (cell_at(placer, p, &cell))
            ink_cell(placer, cell, weight);
    }
}

void
tb_placer_ink_line(TbPlacer *placer, const TbVec2 points[], size_t count, bool closed, int weight)
{
    size_t edges = closed ? count : count - 1;

    if (placer->ink == NULL || count < 2)
        return;
    for (size_t i = 0; i < edges; i++)
        ink_segment(placer, points[i], points[i + 1 < count ? i + 1 : 0], weight);
}

double
tb_placer_ink_under(const TbPlacer *placer, TbRectangle r)
{
    TbVec2 from = {floor(r.low.x), floor(r.low.y)};
    /* of the cells under the rectangle, by whole mm from its corner */
    double column = floor(from.x - placer->window.low.x);
    double row = floor(from.y - placer->window.low.y);
    double last_column = fmin(column + floor(r.high.x - from.x), (double)placer->columns - 1);
    double last_row = fmin(row + floor(r.high.y - from.y), (double)placer->rows - 1);
    long left = (long)fmax(0, column), right = (long)fmax(-1, last_column);
    long bottom = (long)fmax(-1, last_row);
    long sum = 0;

    if (placer->ink == NULL)
        return 0;
    for (long y = (long)fmax(0, row); y <= bottom; y++) {
        const unsigned char *ink = placer->ink + (size_t)y * placer->columns;

        for (long x = left; x <= right; x++)
            sum += ink[x];
    }
    return (double)sum;
}

double
tb_placer_ink_along(const TbPlacer *placer, TbVec2 a, TbVec2 b)
{
    double length = tb_vec2_length(tb_vec2_sub(b, a));
    size_t steps = (size_t)fmin(MOST_CELLS, ceil(2 * length)) + 1;
    size_t last = placer->columns * placer->rows;
    double sum = 0;

    for (size_t i = 0; placer->ink != NULL && i <= steps; i++) {
        double k = (double)i / (double)steps;
        size_t cell;

        if (!cell_at(placer, tb_vec2(a.x + k * (b.x - a.x), a.y + k * (b.y - a.y)), &cell) ||
            cell == last)
            continue;
        sum += placer->ink[cell];
        last = cell;
    }
    return sum;
}

static bool
overlap(TbRectangle a, TbRectangle b)
{
    return a.low.x < b.high.x && b.low.x < a.high.x && a.low.y < b.high.y && b.low.y < a.high.y;
}

bool
tb_placer_is_free(const TbPlacer *placer, TbRectangle r)
{
    if (r.low.x < placer->window.low.x || r.low.y < placer->window.low.y ||
        r.high.x > placer->window.high.x || r.high.y > placer->window.high.y)
        return false;
    for (size_t i = 0; i < placer->taken_count; i++)
        if (overlap(placer->taken[i], r))
            return false;
    for (size_t i = 0; i + 1 < placer->line_count; i += 2) {
        TbVec2 a = placer->lines[i], b = placer->lines[i + 1];

        if (tb_rectangle_clip(r, &a, &b))
            return false;
    }
    return true;
}

bool
tb_placer_crosses(const TbPlacer *placer, TbVec2 a, TbVec2 b)
{
    for (size_t i = 0; i < placer->taken_count; i++) {
        TbVec2 p = a, q = b;

        if (tb_rectangle_clip(placer->taken[i], &p, &q))
            return true;
    }
    return false;
}

bool
tb_placer_place(TbPlacer *placer,
                const TbCandidate candidates[],
                size_t count,
                double width,
                double height,
                TbVec2 *centre)
{
    double least = INFINITY;
    size_t best = count;

    for (size_t i = 0; i < count; i++) {
        TbVec2 c = candidates[i].centre;
        TbRectangle r = {{c.x - width / 2, c.y - height / 2}, {c.x + width / 2, c.y + height / 2}};
        double cost;

        if (candidates[i].cost >= least || !tb_placer_is_free(placer, r))
            continue;
        cost = candidates[i].cost + tb_placer_ink_under(placer, r);
        if (cost < least) {
            least = cost;
            best = i;
        }
    }
    if (best == count)
        return false;
    *centre = candidates[best].centre;
    tb_placer_take(placer, (TbRectangle){{centre->x - width / 2, centre->y - height / 2},
                                         {centre->x + width / 2, centre->y + height / 2}});
    return true;
}

void
tb_labels_push_apart(double at[], size_t count, double step, double low, double high)
{
    /* sweep up and down until nothing moves; a row of labels is short */
    for (int round = 0; round < 50; round++) {
        bool moved = false;

        for (size_t i = 0; i + 1 < count; i++) {
            double need = step - (at[i + 1] - at[i]);

            if (need > 1e-9) {
                at[i] -= need / 2;
                at[i + 1] += need / 2;
                moved = true;
            }
        }
        for (size_t i = 0; i < count; i++) {
            double floor_at = low + step * (double)i;
            double roof_at = high - step * (double)(count - 1 - i);
            double kept = fmax(floor_at, fmin(roof_at, at[i]));

            moved = moved || kept != at[i];
            at[i] = kept;
        }
        if (!moved)
            break;
    }
}
