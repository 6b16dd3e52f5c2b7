/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/outline.h"

#include "base/mem.h"
#include "geom/tol.h"

/** Chord ends for each point wanted, to begin with; fewer where a wide sagitta will do. */
#define FINER 4
#define FINER_WIDE 2

/** Halvings of the turn of a chord's normals: flat sides end in a corner that no normal misses. */
#define MOST_HALVINGS 12

/** Cosine of the most that a chord may turn about the path from end to end, 3 rad: one of half a
 * turn tells nothing. */
#define MOST_TURN_COSINE (-0.98999249660044542)

static double
angle_of(size_t k, size_t count)
{
    return -M_PI + ((double)k + 0.5) * 2 * M_PI / (double)count;
}

/** A piece of the outline between two normals. Points are in the path's untwisted axes: x towards
 * w, y towards h. */
typedef struct Chord {
    TbVec2 a, b;
    double normal_a, turn; /**< rad; of the normals from a to b */
    double tangent;        /**< of half of it */
} Chord;

/** The outline is convex: it lies in the triangle of the chord and the tangents at its ends. */
static double
sagitta_of(const Chord *chord)
{
    return tb_vec2_length(tb_vec2_sub(chord->b, chord->a)) / 2 * chord->tangent;
}

/** On which side of a direction from the path a point is: above 0 before it. */
static double
side_of(TbVec2 p, TbVec2 d)
{
    return d.x * p.y - d.y * p.x;
}

static TbVec2
point_at(const TbDisc *disc, bool outer, TbVec2 normal)
{
    TbVec2 p;

    tb_slice_support(&disc->slice, normal, outer, &p);
    return p;
}

/** Points for evenly turned normals, the first of them at half a turn of one. */
static void
points_around(const TbDisc *disc, bool outer, TbVec2 p[], size_t count)
{
    double c = cos(2 * M_PI / (double)count), s = sin(2 * M_PI / (double)count);
    TbVec2 normal = {sin(angle_of(0, count)), cos(angle_of(0, count))};

    for (size_t i = 0; i < count; i++) {
        p[i] = point_at(disc, outer, normal);
        normal = tb_vec2(c * normal.x + s * normal.y, c * normal.y - s * normal.x);
    }
}

/** The point in a direction from the path, on a chord that is as near to the outline as is asked.
 */
static TbVec3
on_outline(const TbDisc *disc, bool outer, Chord chord, double sagitta, TbVec2 d)
{
    TbVec2 p;
    double at_a, at_b, share;

    for (int i = 0; i < MOST_HALVINGS && sagitta_of(&chord) > sagitta; i++) {
        double normal = chord.normal_a + chord.turn / 2;
        TbVec2 middle = point_at(disc, outer, tb_vec2(sin(normal), cos(normal)));

        chord.turn /= 2;
        chord.tangent /= 1 + sqrt(1 + chord.tangent * chord.tangent);
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
    double before = tb_vec2_length(p[0]);
    int passages = 0;

    for (size_t i = 0; i < fine; i++) {
        TbVec2 a = p[i], b = p[(i + 1) % fine];
        double length = tb_vec2_length(b);

        if (!(length > TB_TOL_PLACE) || side_of(a, b) < 0 ||
            tb_vec2_dot(a, b) < MOST_TURN_COSINE * before * length)
            return false;
        passages += a.x < 0 && b.x >= 0;
        before = length;
    }
    return passages == 1;
}

static void
by_normals(const TbDisc *disc, bool outer, size_t count, TbVec3 out[])
{
    for (size_t k = 0; k < count; k++)
        out[k] = tb_disc_point(disc, angle_of(k, count), outer, NULL);
}

TbStatus
tb_outline_around(const TbDisc *disc, bool outer, size_t count, double sagitta, TbVec3 out[])
{
    size_t fine = (sagitta > TB_OUTLINE_SAGITTA ? FINER_WIDE : FINER) * count, at = 0;
    double turn = 2 * M_PI / (double)fine, tangent = tan(turn / 2);
    TbVec2 *p = tb_alloc_array(fine, sizeof *p);

    TB_ASSERT(sagitta > 0);
    if (p == NULL)
        return TB_E_MEMORY;
    points_around(disc, outer, p, fine);
    if (!goes_around(p, fine)) {
        by_normals(disc, outer, count, out);
        tb_free(p);
        return TB_OK;
    }
    for (size_t k = 0; k < count; k++) {
        double angle = angle_of(k, count);
        TbVec2 d = {sin(angle), cos(angle)};

        /* the first chord whose end is not before the angle; at most once around for all */
        for (size_t met = 0; met < fine; met++, at = at + 1 < fine ? at + 1 : 0)
            if (side_of(p[at], d) >= 0 && side_of(p[at + 1 < fine ? at + 1 : 0], d) <= 0)
                break;
        out[k] = on_outline(disc, outer,
                            (Chord){p[at], p[(at + 1) % fine], angle_of(at, fine), turn, tangent},
                            sagitta, d);
    }
    tb_free(p);
    return TB_OK;
}
