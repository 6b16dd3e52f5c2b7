/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/outline.h"

#include "base/mem.h"
#include "geom/tol.h"

/** Chord ends for each point wanted, to begin with. */
#define FINER 4

/** Halvings of the turn of a chord's normals: flat sides end in a corner that no normal misses. */
#define MOST_HALVINGS 12

/** rad about the path from chord end to chord end: one of half a turn tells nothing. */
#define MOST_TURN 3.0

static double
angle_of(size_t k, size_t count)
{
    return -M_PI + ((double)k + 0.5) * 2 * M_PI / (double)count;
}

/** The angle between two, -pi to pi. */
static double
turn_from(double a, double b)
{
    return remainder(b - a, 2 * M_PI);
}

/** A point of the outline in the path's untwisted axes: x towards w, y towards h. */
static TbVec2
in_plane(const TbDisc *disc, TbVec3 p)
{
    TbVec3 way = tb_vec3_sub(p, disc->centre);

    return tb_vec2(tb_vec3_dot(way, disc->frame.w), tb_vec3_dot(way, disc->frame.h));
}

/** A piece of the outline between two normals. */
typedef struct Chord {
    TbVec2 a, b;
    double normal_a, turn; /**< rad; of the normals from a to b */
} Chord;

/** The outline is convex: it lies in the triangle of the chord and the tangents at its ends. */
static double
sagitta_of(const Chord *chord)
{
    return tb_vec2_length(tb_vec2_sub(chord->b, chord->a)) / 2 * tan(chord->turn / 2);
}

/** On which side of a direction from the path a point is: above 0 before it. */
static double
side_of(TbVec2 p, TbVec2 d)
{
    return d.x * p.y - d.y * p.x;
}

static TbVec2
point_at(const TbDisc *disc, bool outer, double normal)
{
    return in_plane(disc, tb_disc_point(disc, normal, outer, NULL));
}

/** The point at an angle about the path, on a chord that is as near to the outline as is asked. */
static TbVec3
on_outline(const TbDisc *disc, bool outer, Chord chord, double angle)
{
    TbVec2 d = {sin(angle), cos(angle)}, p;
    double at_a, at_b, share;

    for (int i = 0; i < MOST_HALVINGS && sagitta_of(&chord) > TB_OUTLINE_SAGITTA; i++) {
        TbVec2 middle = point_at(disc, outer, chord.normal_a + chord.turn / 2);

        chord.turn /= 2;
        if (side_of(middle, d) >= 0) {
            chord.a = middle;
            chord.normal_a += chord.turn;
        } else {
            chord.b = middle;
        }
    }
    at_a = side_of(chord.a, d);
    at_b = side_of(chord.b, d);
    share = at_a == at_b ? 0 : fmin(1, fmax(0, at_a / (at_a - at_b)));
    p = tb_vec2_add(chord.a, tb_vec2_scale(tb_vec2_sub(chord.b, chord.a), share));
    return tb_vec3_add_scaled(tb_vec3_add_scaled(disc->centre, p.x, disc->frame.w), p.y,
                              disc->frame.h);
}

/** Once around, angles ascending: the path runs inside. */
static bool
goes_around(const TbVec2 p[], size_t fine)
{
    double sum = 0;

    for (size_t i = 0; i < fine; i++) {
        TbVec2 a = p[i], b = p[(i + 1) % fine];
        double turn;

        if (!(tb_vec2_length(a) > TB_TOL_PLACE))
            return false;
        turn = turn_from(atan2(a.x, a.y), atan2(b.x, b.y));
        if (turn < 0 || turn > MOST_TURN)
            return false;
        sum += turn;
    }
    return fabs(sum - 2 * M_PI) < 1;
}

static void
by_normals(const TbDisc *disc, bool outer, size_t count, TbVec3 out[])
{
    for (size_t k = 0; k < count; k++)
        out[k] = tb_disc_point(disc, angle_of(k, count), outer, NULL);
}

TbStatus
tb_outline_around(const TbDisc *disc, bool outer, size_t count, TbVec3 out[])
{
    size_t fine = FINER * count, at = 0;
    TbVec2 *p = tb_alloc_array(fine, sizeof *p);

    if (p == NULL)
        return TB_E_MEMORY;
    for (size_t i = 0; i < fine; i++)
        p[i] = point_at(disc, outer, angle_of(i, fine));
    if (!goes_around(p, fine)) {
        by_normals(disc, outer, count, out);
        tb_free(p);
        return TB_OK;
    }
    for (size_t k = 0; k < count; k++) {
        double angle = angle_of(k, count);

        /* the first chord whose end is not before the angle; at most once around for all */
        for (size_t met = 0; met < fine; met++, at = (at + 1) % fine) {
            TbVec2 a = p[at], b = p[(at + 1) % fine];

            if (turn_from(atan2(a.x, a.y), angle) >= 0 && turn_from(angle, atan2(b.x, b.y)) >= 0)
                break;
        }
        out[k] = on_outline(
            disc, outer,
            (Chord){p[at], p[(at + 1) % fine], angle_of(at, fine), 2 * M_PI / (double)fine}, angle);
    }
    tb_free(p);
    return TB_OK;
}
