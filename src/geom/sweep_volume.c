/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Volume and centroid by the generalised theorem of Pappus and Guldin. The point C(s) + q, q in the
 * section's plane, moves with C' + q' = (1 - k . q) T + (turn about T), k the path's curvature
 * vector, so the map from (s, q) to space has the Jacobian 1 - k . q (Goodman and Goodman,
 * "Generalizations of the theorems of Pappus", Amer. Math. Monthly 76, 1969). Hence dV =
 * (A - k . S) ds with the section's area A and first moment S about the path's point, and its
 * first moment in space is C dV + (S - I k) ds with the second moments I. Turn does not enter.
 */

#include "geom/curve_private.h"
#include "geom/sweep_private.h"

/** Relative. A rule and its halves agree to this; the halves are then better by 2^16. */
#define VOLUME_AGREES 1e-9

/** Halvings of a piece. */
#define MOST_HALVINGS 14

/** Volume, then the first moment in space: of the inside, and with the wall. */
typedef struct Sum {
    double volume[2];
    TbVec3 moment[2];
} Sum;

static void
add(Sum *to, double k, const Sum *more)
{
    for (int i = 0; i < 2; i++) {
        to->volume[i] += k * more->volume[i];
        to->moment[i] = tb_vec3_add_scaled(to->moment[i], k, more->moment[i]);
    }
}

/** What one station gives for each mm of u. */
static Sum
density(const TbPiece *piece, double u)
{
    TbSpanJet jet = tb_span_jet(piece->span, piece->u0 + u);
    TbDisc disc = tb_piece_disc(piece, u);
    double speed2 = tb_vec3_length2(jet.c1), speed = sqrt(speed2);
    TbVec3 curvature = tb_vec3_scale(tb_vec3_across(jet.c2, disc.frame.t), 1 / speed2);
    TbVec2 k = {tb_vec3_dot(curvature, disc.frame.w), tb_vec3_dot(curvature, disc.frame.h)};
    Sum out;

    for (int i = 0; i < 2; i++) {
        TbMoments m;
        double dv;
        TbVec2 q;

        if (i == 1 && disc.slice.wall == 0) {
            out.volume[1] = out.volume[0];
            out.moment[1] = out.moment[0];
            break;
        }
        m = tb_slice_moments(&disc.slice, i == 1);
        dv = m.area - tb_vec2_dot(k, m.first);
        q.x = m.first.x - (m.ww * k.x + m.wh * k.y);
        q.y = m.first.y - (m.wh * k.x + m.hh * k.y);
        out.volume[i] = speed * dv;
        out.moment[i] = tb_vec3_scale(disc.centre, dv);
        out.moment[i] = tb_vec3_add_scaled(out.moment[i], q.x, disc.frame.w);
        out.moment[i] = tb_vec3_add_scaled(out.moment[i], q.y, disc.frame.h);
        out.moment[i] = tb_vec3_scale(out.moment[i], speed);
    }
    return out;
}

static Sum
one_rule(const TbPiece *piece, double u0, double u1)
{
    double at[TB_GAUSS], weight[TB_GAUSS];
    Sum sum = {{0, 0}, {{0, 0, 0}, {0, 0, 0}}};

    tb_gauss__places(u0, u1, at, weight);
    for (int i = 0; i < TB_GAUSS; i++) {
        Sum more = density(piece, at[i]);

        add(&sum, weight[i], &more);
    }
    return sum;
}

static bool
agrees(const Sum *whole, const Sum *halves, double size)
{
    for (int i = 0; i < 2; i++) {
        double allowed = VOLUME_AGREES * fabs(halves->volume[i]);

        if (!(fabs(whole->volume[i] - halves->volume[i]) <= allowed))
            return false;
        if (!(tb_vec3_distance(whole->moment[i], halves->moment[i]) <= allowed * size))
            return false;
    }
    return true;
}

/** @return false when halving does not end. */
static bool
add_part(Sum *total, const TbPiece *piece, double u0, double u1, const Sum *whole, int halvings)
{
    double middle = 0.5 * (u0 + u1);
    Sum first = one_rule(piece, u0, middle), second = one_rule(piece, middle, u1), both = first;
    TbDisc disc = tb_piece_disc(piece, middle);
    double size = tb_vec3_length(disc.centre) + tb_slice_reach(&disc.slice, true);

    add(&both, 1, &second);
    if (agrees(whole, &both, size)) {
        add(total, 1, &both);
        return true;
    }
    return halvings > 0 && add_part(total, piece, u0, middle, &first, halvings - 1) &&
           add_part(total, piece, middle, u1, &second, halvings - 1);
}

TbStatus
tb_sweep_volume(const TbSweep *sweep, TbSweepVolume *out, TbFault *fault)
{
    Sum total = {{0, 0}, {{0, 0, 0}, {0, 0, 0}}};

    for (size_t i = 0; i < sweep->count; i++) {
        const TbPiece *piece = &sweep->pieces[i];
        Sum whole = one_rule(piece, 0, piece->extent);

        if (!add_part(&total, piece, 0, piece->extent, &whole, MOST_HALVINGS))
            return tb_fail(fault, TB_E_NUMERIC,
                           "the volume does not settle between stations %.6g and %.6g mm",
                           piece->station0, piece->station0 + piece->length);
    }
    out->inner = total.volume[0];
    out->wall = total.volume[1] - total.volume[0];
    out->inner_centroid = tb_vec3_scale(total.moment[0], 1 / total.volume[0]);
    out->wall_centroid = out->inner_centroid;
    if (out->wall > 0)
        out->wall_centroid =
            tb_vec3_scale(tb_vec3_sub(total.moment[1], total.moment[0]), 1 / out->wall);
    return TB_OK;
}
