/* SPDX-License-Identifier: GPL-3.0-or-later */

/* The image that is painted on, its clip, ink over its dots, and areas. */

#include "draw/paint_dots_private.h"

#include <glib.h>
#include <math.h>
#include <string.h>

/** dots: what lies further away cannot be told from nowhere; all sums of such numbers are exact to
 * some 1e-6. */
#define FAR 1e9

TbDots *
tb_dots_new(void)
{
    return g_new0(TbDots, 1);
}

void
tb_dots_free(TbDots *dots)
{
    if (dots == NULL)
        return;
    g_free(dots->rows);
    g_free(dots->turns);
    g_free(dots->shares);
    g_free(dots);
}

void
tb_dots_begin(TbDots *dots, cairo_surface_t *image, TbDotsBox clip)
{
    dots->image = image;
    dots->first = (uint32_t *)(void *)cairo_image_surface_get_data(image);
    dots->stride = (size_t)cairo_image_surface_get_stride(image) / sizeof *dots->first;
    dots->clip = clip;
}

TbDotsBox
tb_dots_clip(TbDots *dots, TbDotsBox box)
{
    TbDotsBox before = dots->clip;

    dots->clip = (TbDotsBox){MAX(before.left, box.left), MAX(before.top, box.top),
                             MIN(before.right, box.right), MIN(before.bottom, box.bottom)};
    return before;
}

void
tb_dots_set_clip(TbDots *dots, TbDotsBox clip)
{
    dots->clip = clip;
}

/* ---- boxes ---- */

bool
tb_dots__is_empty(TbDotsBox box)
{
    return box.left >= box.right || box.top >= box.bottom;
}

static int
nearest(double x)
{
    return (int)lround(CLAMP(x, -FAR, FAR));
}

TbDotsBox
tb_dots_nearest_box(TbVec2 a, TbVec2 b)
{
    return (TbDotsBox){nearest(MIN(a.x, b.x)), nearest(MIN(a.y, b.y)), nearest(MAX(a.x, b.x)),
                       nearest(MAX(a.y, b.y))};
}

TbDotsBox
tb_dots__box(const TbDots *dots, const TbVec2 points[], size_t count, double air)
{
    TbVec2 low = {HUGE_VAL, HUGE_VAL}, high = {-HUGE_VAL, -HUGE_VAL};
    TbDotsBox box = dots->clip;

    if (count == 0 || tb_dots__is_empty(box))
        return (TbDotsBox){0};
    for (size_t i = 0; i < count; i++) {
        TbVec2 p = points[i];

        if (!(fabs(p.x) < FAR && fabs(p.y) < FAR))
            return (TbDotsBox){0};
        low = tb_vec2(MIN(low.x, p.x), MIN(low.y, p.y));
        high = tb_vec2(MAX(high.x, p.x), MAX(high.y, p.y));
    }
    tb_dots__cut(low.x - air, high.x + air, &box.left, &box.right);
    tb_dots__cut(low.y - air, high.y + air, &box.top, &box.bottom);
    return box;
}

/* ---- ink ---- */

void
tb_dots__enter(TbDots *dots)
{
    cairo_surface_flush(dots->image);
}

void
tb_dots__leave(TbDots *dots)
{
    cairo_surface_mark_dirty(dots->image);
}

static uint32_t
part_of(double colour, double alpha)
{
    return (uint32_t)lround(255 * colour * alpha);
}

TbDotsInk
tb_dots_colour(TbColour c)
{
    return (TbDotsInk){.colour = part_of(1, c.alpha) << 24 | part_of(c.red, c.alpha) << 16 |
                                 part_of(c.green, c.alpha) << 8 | part_of(c.blue, c.alpha)};
}

TbDotsInk
tb_dots_image(cairo_surface_t *image)
{
    return (TbDotsInk){.image = (const uint32_t *)(const void *)cairo_image_surface_get_data(image),
                       .stride = (size_t)cairo_image_surface_get_stride(image) / sizeof(uint32_t)};
}

/* ---- areas ---- */

/*
 * Going along a row, the winding number changes where an edge is passed, by the height that the
 * edge has in the row. An edge that goes down through a dot is passed within it: what lies to its
 * right in the dot gets its share there, the next dot the rest. So sums of changes along a row are
 * the winding numbers, each the mean over its dot: exact but where edges cross within the dot.
 */
typedef struct Area {
    float *turns; /* of box's dots and two more in a row, row by row */
    size_t stride;
    double width, height;
} Area;

/* An edge's part in one row, from x to another, which goes down by @p height (up: below 0). */
static void
pass_row(float *row, double x0, double x1, double height)
{
    double left = MIN(x0, x1), right = MAX(x0, x1);
    size_t first = (size_t)left, last = (size_t)right;
    double slope, passed;

    if (first == last) {
        double inside = 1 - ((left + right) / 2 - (double)first);

        row[first] += (float)(height * inside);
        row[first + 1] += (float)(height * (1 - inside));
        return;
    }
    /* in each dot: what was passed before it, and of what is passed in it the part to the right */
    slope = height / (right - left);
    passed = 0;
    for (size_t k = first; k <= last; k++) {
        double from = MAX(left, (double)k), to = MIN(right, (double)k + 1);
        double here = slope * (to - from);
        double inside = here * ((double)k + 1 - (from + to) / 2);

        row[k] += (float)(passed + inside);
        passed = here - inside;
    }
    row[last + 1] += (float)passed;
}

/* An edge inside the box, p above q. @p way 1 down, -1 up */
static void
pass_edge(Area *area, TbVec2 p, TbVec2 q, double way)
{
    double slope = (q.x - p.x) / (q.y - p.y), x = p.x;

    for (size_t y = (size_t)p.y; (double)y < q.y; y++) {
        double from = MAX(p.y, (double)y), to = MIN(q.y, (double)y + 1);
        double next = to < q.y ? CLAMP(p.x + slope * (to - p.y), 0, area->width) : q.x;

        pass_row(area->turns + y * area->stride, x, next, way * (to - from));
        x = next;
    }
}

static TbVec2
at_height(TbVec2 p, TbVec2 q, double y)
{
    return tb_vec2(p.x + (q.x - p.x) * ((y - p.y) / (q.y - p.y)), y);
}

static TbVec2
at_side(TbVec2 p, TbVec2 q, double x)
{
    return tb_vec2(x, CLAMP(p.y + (q.y - p.y) * ((x - p.x) / (q.x - p.x)), p.y, q.y));
}

/* Beside the box an edge is passed at its side: to the left all of it, to the right never. */
static void
pass_within(Area *area, TbVec2 p, TbVec2 q, double way)
{
    const double sides[2] = {0, area->width};

    for (int i = 0; i < 2; i++)
        if ((p.x < sides[i]) != (q.x < sides[i]) && p.x != sides[i] && q.x != sides[i]) {
            TbVec2 middle = at_side(p, q, sides[i]);

            pass_within(area, p, middle, way);
            pass_within(area, middle, q, way);
            return;
        }
    p.x = MAX(p.x, 0);
    q.x = MAX(q.x, 0);
    if (p.y < q.y && MIN(p.x, q.x) < area->width)
        pass_edge(area, p, q, way);
}

static void
pass(Area *area, TbVec2 p, TbVec2 q)
{
    double way = p.y < q.y ? 1 : -1;
    TbVec2 top = p.y < q.y ? p : q, bottom = p.y < q.y ? q : p;

    if (!(bottom.y > 0 && top.y < area->height && top.y < bottom.y))
        return;
    pass_within(area, top.y < 0 ? at_height(top, bottom, 0) : top,
                bottom.y > area->height ? at_height(top, bottom, area->height) : bottom, way);
}

/* Share of 255 that even-odd gives to a winding number. */
static uint32_t
even_odd(float turns)
{
    float way = fabsf(turns);

    way -= 2 * (float)(int)(way / 2);
    return (uint32_t)(255 * (way > 1 ? 2 - way : way) + 0.5F);
}

/* An image's dots that hide what is under them are copied. @p share of 256 */
static void
blend_image(uint32_t *to, const uint32_t *from, int count, uint32_t share)
{
    for (int i = 0; i < count; i++) {
        uint32_t left = tb_dots__left_by(from[i] >> 24, share);

        to[i] = left == 0 ? from[i] : tb_dots__mixed(from[i], share, to[i], left);
    }
}

/* The ink over dots in a row. @p share of 255 */
static void
blend(TbDots *dots, int x, int y, int count, uint32_t share, const TbDotsInk *ink)
{
    uint32_t *to = dots->first + (size_t)y * dots->stride + x;
    uint32_t whole = tb_dots__widened(share);
    uint32_t left = tb_dots__left_by(ink->colour >> 24, whole);

    if (ink->image != NULL)
        blend_image(to, ink->image + (size_t)y * ink->stride + x, count, whole);
    else if (left == 0)
        for (int i = 0; i < count; i++)
            to[i] = ink->colour;
    else
        for (int i = 0; i < count; i++)
            to[i] = tb_dots__mixed(ink->colour, whole, to[i], left);
}

/* The first dot from one on at which the winding number changes, or @p width. */
static int
next_change(const float *row, int x, int width)
{
    guint64 two;

    for (; x + 2 <= width; x += 2) {
        memcpy(&two, row + x, sizeof two);
        if (two != 0)
            break;
    }
    while (x < width && row[x] == 0)
        x++;
    return x;
}

/* One row, which is cleared. */
static void
fill_row(TbDots *dots, float *row, TbDotsBox box, int y, const TbDotsInk *ink)
{
    int width = box.right - box.left;
    float turns = 0;

    for (int x = next_change(row, 0, width), next; x < width; x = next) {
        unsigned share;

        turns += row[x];
        row[x] = 0;
        next = next_change(row, x + 1, width);
        share = even_odd(turns);
        if (share > 0)
            blend(dots, box.left + x, y, next - x, share, ink);
    }
    row[width] = row[width + 1] = 0;
}

void
tb_dots_fill(TbDots *dots,
             const TbVec2 points[],
             const TbLoopSpan loops[],
             size_t loop_count,
             const TbDotsInk *ink)
{
    size_t count = loop_count > 0 ? loops[loop_count - 1].first + loops[loop_count - 1].count : 0;
    TbDotsBox box = tb_dots__box(dots, points, count, 0);
    Area area = {.stride = (size_t)(box.right - box.left) + 2,
                 .width = box.right - box.left,
                 .height = box.bottom - box.top};
    TbVec2 origin = tb_vec2(box.left, box.top);

    if (tb_dots__is_empty(box))
        return;
    if (area.stride * (size_t)(box.bottom - box.top) > dots->turns_room) {
        g_free(dots->turns);
        dots->turns_room = area.stride * (size_t)(box.bottom - box.top);
        dots->turns = g_new0(float, dots->turns_room);
    }
    area.turns = dots->turns;
    for (size_t k = 0; k < loop_count; k++) {
        const TbVec2 *p = points + loops[k].first;
        size_t last = loops[k].count - 1;

        for (size_t i = 0; i < loops[k].count; last = i++)
            pass(&area, tb_vec2_sub(p[last], origin), tb_vec2_sub(p[i], origin));
    }
    tb_dots__enter(dots);
    for (int y = box.top; y < box.bottom; y++)
        fill_row(dots, area.turns + (size_t)(y - box.top) * area.stride, box, y, ink);
    tb_dots__leave(dots);
}

uint32_t *
tb_dots_row(TbDots *dots, int y)
{
    tb_dots__enter(dots);
    return dots->first + (size_t)y * dots->stride;
}

void
tb_dots_painted(TbDots *dots)
{
    tb_dots__leave(dots);
}
