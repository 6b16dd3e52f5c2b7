/* SPDX-License-Identifier: GPL-3.0-or-later */

/* What lies under a point of a picture. */

#include "draw/picture.h"

#include <math.h>
#include <string.h>

static double
segment_distance(TbVec2 p, TbVec2 a, TbVec2 b)
{
    TbVec2 along = tb_vec2_sub(b, a);
    TbVec2 to = tb_vec2_sub(p, a);
    double length2 = tb_vec2_dot(along, along);
    double k = length2 > 0 ? fmin(1, fmax(0, tb_vec2_dot(along, to) / length2)) : 0;

    return tb_vec2_length(tb_vec2_sub(to, tb_vec2_scale(along, k)));
}

static bool
mark_is_near(const TbPicture *picture, const TbMark *mark, TbVec2 at, double near_by)
{
    bool inside = false;

    for (size_t k = 0; k < mark->loops; k++) {
        TbLoopSpan loop = picture->loops[mark->first_loop + k];
        const TbVec2 *p = picture->points + loop.first;
        size_t edges = mark->kind == TB_MARK_AREA ? loop.count : loop.count - 1;

        for (size_t i = 0; i < edges; i++)
            if (segment_distance(at, p[i], p[(i + 1) % loop.count]) <= near_by)
                return true;
        if (mark->kind == TB_MARK_AREA && tb_polygon_holds(p, loop.count, at))
            inside = !inside;
    }
    return inside;
}

const char *
tb_picture_hit(const TbPicture *picture, TbVec2 at, double near_by)
{
    for (size_t i = picture->mark_count; i-- > 0;) {
        const TbMark *mark = &picture->marks[i];

        if (mark->tag != 0 && mark_is_near(picture, mark, at, near_by))
            return tb_picture_string(picture, mark->tag);
    }
    return NULL;
}

/* ---- everything under a point ---- */

/** How far a point lies from a mark's lines, mm, and whether an area holds it. */
static double
mark_distance(const TbPicture *picture, const TbMark *mark, TbVec2 at, bool *inside)
{
    double least = HUGE_VAL;

    *inside = false;
    for (size_t k = 0; k < mark->loops; k++) {
        TbLoopSpan loop = picture->loops[mark->first_loop + k];
        const TbVec2 *p = picture->points + loop.first;
        size_t edges = mark->kind == TB_MARK_AREA ? loop.count : loop.count - 1;

        for (size_t i = 0; i < edges; i++)
            least = fmin(least, segment_distance(at, p[i], p[(i + 1) % loop.count]));
        if (mark->kind == TB_MARK_AREA && tb_polygon_holds(p, loop.count, at))
            *inside = !*inside;
    }
    return least;
}

/** Lines, and areas that are hardly larger than the pointer's reach. */
static bool
is_thin(const TbPicture *picture, const TbMark *mark, double near_by)
{
    TbVec2 low, high;

    if (mark->kind != TB_MARK_AREA)
        return true;
    tb_picture_mark_box(picture, mark, 0, &low, &high);
    return fmin(high.x - low.x, high.y - low.y) < 3 * near_by;
}

/** Something hit: smaller ranks come first. */
typedef struct Hit {
    const char *tag;
    double rank;
} Hit;

/** Keep a hit in order of rank; one tag keeps its best rank only. */
static size_t
keep_hit(Hit hits[], size_t count, size_t most, Hit hit)
{
    size_t at = count;

    for (size_t i = 0; i < count; i++)
        if (strcmp(hits[i].tag, hit.tag) == 0) {
            if (hits[i].rank <= hit.rank)
                return count;
            memmove(hits + i, hits + i + 1, (count - i - 1) * sizeof *hits);
            at = --count;
            break;
        }
    while (at > 0 && hits[at - 1].rank > hit.rank)
        at--;
    if (at == most)
        return count;
    if (count == most)
        count--;
    memmove(hits + at + 1, hits + at, (count - at) * sizeof *hits);
    hits[at] = hit;
    return count + 1;
}

size_t
tb_picture_hits(
    const TbPicture *picture, TbVec2 at, double near_by, const char *tags[], size_t most)
{
    enum { MOST = 32 };
    Hit hits[MOST];
    size_t count = 0;

    most = most < MOST ? most : MOST;
    for (size_t i = picture->mark_count; i-- > 0;) {
        const TbMark *mark = &picture->marks[i];
        bool inside;
        double distance;
        double rank;

        if (mark->tag == 0)
            continue;
        distance = mark_distance(picture, mark, at, &inside);
        if (!inside && distance > near_by)
            continue;
        /* thin: 0 to 1; holding the point: 2 and a little for each mark above; near: 4 to 5 */
        if (is_thin(picture, mark, near_by))
            rank = inside ? 0 : distance / near_by;
        else if (inside)
            rank = 3 - (double)(i + 1) / (double)picture->mark_count;
        else
            rank = 4 + distance / near_by;
        count = keep_hit(hits, count, most, (Hit){tb_picture_string(picture, mark->tag), rank});
    }
    for (size_t i = 0; i < count; i++)
        tags[i] = hits[i].tag;
    return count;
}

void
tb_picture_mark_box(
    const TbPicture *picture, const TbMark *mark, double text_width, TbVec2 *low, TbVec2 *high)
{
    double air = tb_style_pen(mark->pen).width / 2;

    *low = tb_vec2(HUGE_VAL, HUGE_VAL);
    *high = tb_vec2(-HUGE_VAL, -HUGE_VAL);
    switch (mark->kind) {
    case TB_MARK_CLIP:
        *low = tb_vec2(0, 0);
        *high = tb_vec2(picture->width, picture->height);
        return;
    case TB_MARK_DOT:
        *low = tb_vec2(mark->at.x - mark->size, mark->at.y - mark->size);
        *high = tb_vec2(mark->at.x + mark->size, mark->at.y + mark->size);
        return;
    case TB_MARK_TEXT:
        /* either way from the anchor; a line is 1.4 of the letter size high */
        air = fmax(text_width, 1.4 * mark->size * TB_MM_PER_PT) + 1;
        *low = tb_vec2(mark->at.x - air, mark->at.y - air);
        *high = tb_vec2(mark->at.x + air, mark->at.y + air);
        if (mark->turn == 0) {
            double before = mark->anchor == TB_ANCHOR_LEFT    ? 0
                            : mark->anchor == TB_ANCHOR_RIGHT ? text_width
                                                              : text_width / 2;

            low->x = mark->at.x - before - 1;
            high->x = mark->at.x - before + text_width + 1;
            low->y = mark->at.y - mark->size * TB_MM_PER_PT;
            high->y = mark->at.y + mark->size * TB_MM_PER_PT;
        }
        return;
    case TB_MARK_AREA:
    case TB_MARK_LINE:
    case TB_MARK_RASTER:
        break;
    }
    for (size_t k = 0; k < mark->loops; k++) {
        TbLoopSpan loop = picture->loops[mark->first_loop + k];

        for (size_t i = 0; i < loop.count; i++) {
            TbVec2 p = picture->points[loop.first + i];

            *low = tb_vec2(fmin(low->x, p.x - air), fmin(low->y, p.y - air));
            *high = tb_vec2(fmax(high->x, p.x + air), fmax(high->y, p.y + air));
        }
    }
}
