/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/opening.h"

#include <math.h>

/* Every 5 degrees: between two of them an outline's reach changes by less than 0.4 % of its size.
 */
#define DIRECTIONS 72

/* Smallest corner radius that sections accept, mm. */
#define SHARP 0.01

TbSection
tb_opening_section(const TbOpening *opening)
{
    double least = fmin(opening->width, opening->height) / 2;
    double corner = isnan(opening->corner) ? SHARP : fmax(SHARP, opening->corner);

    if (opening->kind == TB_OPENING_ROUND)
        return tb_section_superellipse(opening->width, opening->height, 2);
    if (opening->kind == TB_OPENING_OVAL)
        return tb_section_rounded(opening->width, opening->height, least);
    return tb_section_rounded(opening->width, opening->height, fmin(corner, least));
}

/* An opening where it is: what its reach along a direction follows from. */
typedef struct Hole {
    TbShape shape;
    TbVec2 half, offset;
    TbVec3 right, up;
} Hole;

static Hole
hole_of(const TbOpening *opening, TbPortPlace place)
{
    return (Hole){.shape = tb_shape_of(tb_opening_section(opening)),
                  .half = {opening->width / 2, opening->height / 2},
                  .offset = opening->offset,
                  .right = tb_vec3_cross(place.flow, place.up),
                  .up = place.up};
}

/* Reach of an opening along a direction of space, counted from the port's point. */
static double
reach(const Hole *hole, TbVec3 d)
{
    TbVec2 flat = {tb_vec3_dot(d, hole->right), tb_vec3_dot(d, hole->up)};
    TbVec2 stretched = {flat.x * hole->half.x, flat.y * hole->half.y};

    return tb_shape_furthest(&hole->shape, stretched) + tb_vec2_dot(hole->offset, flat);
}

static TbVec3
direction(TbPortPlace place, int index)
{
    double angle = 2 * M_PI * index / DIRECTIONS;

    return tb_vec3_add(tb_vec3_scale(place.up, cos(angle)),
                       tb_vec3_scale(tb_vec3_cross(place.flow, place.up), sin(angle)));
}

static double
step_of(const TbOpening *a, TbPortPlace place_a, const TbOpening *b, TbPortPlace place_b)
{
    Hole hole_a = hole_of(a, place_a), hole_b = hole_of(b, place_b);
    double worst = 0;

    for (int i = 0; i < DIRECTIONS; i++) {
        TbVec3 d = direction(place_a, i);

        worst = fmax(worst, fabs(reach(&hole_a, d) - reach(&hole_b, d)));
    }
    return worst;
}

double
tb_opening_step(const TbPort *a, TbPortPlace place_a, const TbPort *b, TbPortPlace place_b)
{
    double best = NAN;

    for (size_t i = 0; i < a->opening_count; i++)
        for (size_t k = 0; k < b->opening_count; k++)
            best = fmin(best, step_of(&a->openings[i], place_a, &b->openings[k], place_b));
    return best;
}

static double
disc_step(const TbDisc *disc, const TbOpening *opening, TbPortPlace place)
{
    Hole hole = hole_of(opening, place);
    double worst = 0;

    for (int i = 0; i < DIRECTIONS; i++) {
        TbVec3 d = direction(place, i);

        TbVec2 flat = {tb_vec3_dot(d, disc->frame.w), tb_vec3_dot(d, disc->frame.h)};
        TbVec2 contact;
        double section = tb_slice_support(&disc->slice, flat, false, &contact);

        worst = fmax(worst, fabs(section - reach(&hole, d)));
    }
    return worst;
}

double
tb_opening_disc_step(const TbDisc *disc, const TbPort *port, TbPortPlace place)
{
    double best = NAN;

    for (size_t i = 0; i < port->opening_count; i++)
        best = fmin(best, disc_step(disc, &port->openings[i], place));
    return best;
}
