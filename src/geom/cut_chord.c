/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Of the outline's points one is in the plane on either way round from the highest point to the
 * lowest. Points are told by their normals, and these by how far they lean: with r the direction
 * in which heights rise in the section, and s square to it on the way round, a normal is s + lean
 * r. From the highest point (lean without end) to the lowest the height falls as the lean does. A
 * lean costs no arc, sine or root.
 */

#include "geom/cut_chord.h"

#include <math.h>

/** Looks at most: at two of a flat side it takes thirty to close in on its normal. */
#define LOOKS_MOST 80

/** Looks that go by the last two points alone; then the way is closed in on from both sides. */
#define LOOKS_FAST 4

/** rad, about. How far the second look is from the first where nothing tells better; it is looked
 * four times as far each time that the plane is not passed. */
#define LOOK_ASIDE 0.06

/** rad, about. Longest step by the last two looks. */
#define LOOK_FURTHEST 0.4

/** Least share of a normal that must go the way round, to be a hint. */
#define HINT_LEAST 0.02

static TbVec2
mix(TbVec2 a, TbVec2 b, double share)
{
    return tb_vec2_add(a, tb_vec2_scale(tb_vec2_sub(b, a), share));
}

TbCutEnd
tb_cut__end_between(TbCutEnd a, TbCutEnd b, double share)
{
    if ((a.normal.x == 0 && a.normal.y == 0) || (b.normal.x == 0 && b.normal.y == 0))
        return (TbCutEnd){.slope = 0};
    return (TbCutEnd){mix(a.normal, b.normal, share), a.slope + share * (b.slope - a.slope)};
}

/** A point of the outline by the lean of its normal. */
typedef struct Look {
    double lean, height;
    TbVec2 point;
} Look;

typedef struct Search {
    const TbCutSection *section;
    TbVec2 rising, round; /**< r and s */
    Look above, below;    /**< nearest looks so far on either side */
    Look last, before;    /**< and the last two */
    double aside;         /**< rad, of the next look where nothing tells better */
    double pull; /**< of the one below against the one above: the end that stays put counts half */
    int stayed;
} Search;

static TbVec2
normal_at(const Search *search, double lean)
{
    return tb_vec2_add(search->round, tb_vec2_scale(search->rising, lean));
}

static void
look_at(Search *search, double lean)
{
    const TbCutSection *section = search->section;

    search->before = search->last;
    search->last.lean = lean;
    tb_slice_support(section->slice, normal_at(search, lean), section->outer, &search->last.point);
    search->last.height = section->height + tb_vec2_dot(section->rise, search->last.point);
}

static void
close_in(Search *search)
{
    if (search->last.height >= 0) {
        search->above = search->last;
        search->pull = search->stayed == 1 ? search->pull / 2 : 1;
        search->stayed = 1;
    } else {
        search->below = search->last;
        search->pull = search->stayed == -1 ? search->pull * 2 : 1;
        search->stayed = -1;
    }
}

/** Tangent of the angle from the normal above to the one below; below 0 where it is a right angle
 * or more. */
static double
turn_left(const Search *search)
{
    double above = search->above.lean, below = search->below.lean, along = 0, across = 1;

    if (isfinite(above) && isfinite(below)) {
        along = 1 + above * below;
        across = above - below;
    } else if (isfinite(above)) {
        along = -above;
    } else if (isfinite(below)) {
        along = below;
    }
    return along > 0 ? across / along : -1;
}

/** The outline from the look above to the one below strays from its chord by at most L/2 tan(d/2),
 * d the angle between their normals, L the chord. */
static bool
is_chord(const Search *search, double near)
{
    double turn = turn_left(search);

    return turn >= 0 && turn < 1 &&
           tb_vec2_length(tb_vec2_sub(search->above.point, search->below.point)) * turn < near;
}

static bool
is_between(const Search *search, double lean)
{
    return lean < search->above.lean && lean > search->below.lean;
}

/** The lean of the normal in the middle of two. */
static double
halfway(double a, double b)
{
    double share_a = 1 / sqrt(1 + a * a), share_b = 1 / sqrt(1 + b * b);

    return (a * share_a + b * share_b) / (share_a + share_b);
}

/** The next look, the first being made; @p slope 0 where it is not known. */
static double
next_lean(Search *search, int looks, double slope)
{
    const Look *above = &search->above, *below = &search->below, *last = &search->last;
    double lean = NAN, aside, furthest;

    if (looks == 1 && slope > 0)
        lean = last->lean - last->height / slope;
    else if (looks > 1 && looks < LOOKS_FAST && last->height != search->before.height)
        lean = last->lean - last->height * (last->lean - search->before.lean) /
                                (last->height - search->before.height);
    furthest = LOOK_FURTHEST * (1 + last->lean * last->lean);
    if (is_between(search, lean))
        return fmax(last->lean - furthest, fmin(last->lean + furthest, lean));
    if (isfinite(above->lean) && isfinite(below->lean)) {
        double share = above->height / (above->height - search->pull * below->height);

        return looks % 4 < 3 ? above->lean + share * (below->lean - above->lean)
                             : halfway(above->lean, below->lean);
    }
    aside = search->aside * (1 + last->lean * last->lean);
    search->aside *= 4;
    return last->height >= 0 ? last->lean - aside : last->lean + aside;
}

static double
first_lean(const Search *search, TbVec2 hint)
{
    double round = tb_vec2_dot(hint, search->round);

    return round > HINT_LEAST * tb_vec2_length(hint) ? tb_vec2_dot(hint, search->rising) / round
                                                     : 0;
}

static void
note(const Search *search, int looks, TbCutEnd *known)
{
    double turn = search->last.lean - search->before.lean;

    known->normal = normal_at(search, search->last.lean);
    if (looks > 1 && turn != 0)
        known->slope = (search->last.height - search->before.height) / turn;
}

static TbVec2
between(const Look *above, const Look *below)
{
    double share = above->height / (above->height - below->height);

    return mix(above->point, below->point, fmax(0, fmin(1, share)));
}

TbVec2
tb_cut__chord_end(const TbCutSection *section, double way, double near, TbCutEnd *known)
{
    double length = tb_vec2_length(section->rise), in_plane = near * length;
    TbVec2 r = tb_vec2_scale(section->rise, 1 / length);
    Search search = {.section = section, .rising = r, .aside = LOOK_ASIDE, .pull = 1};
    int looks = 0;

    search.round = tb_vec2(way * r.y, -way * r.x);
    search.above = (Look){INFINITY, section->height + tb_vec2_dot(section->rise, section->above),
                          section->above};
    search.below = (Look){-INFINITY, section->height + tb_vec2_dot(section->rise, section->below),
                          section->below};
    if (!(search.above.height > search.below.height))
        return section->above;
    while (looks < LOOKS_MOST && !is_chord(&search, near)) {
        look_at(&search, looks == 0 ? first_lean(&search, known->normal)
                                    : next_lean(&search, looks, known->slope));
        looks++;
        if (fabs(search.last.height) < in_plane)
            break;
        close_in(&search);
    }
    note(&search, looks, known);
    return fabs(search.last.height) < in_plane ? search.last.point
                                               : between(&search.above, &search.below);
}
