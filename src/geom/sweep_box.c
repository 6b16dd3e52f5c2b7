/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * A box around a sweep, from bounds. A piece's centre curve lies in the hull of its Bezier net (an
 * arc in its ends' box grown by its sagitta). A disc reaches along an axis at most its radius times
 * the sine of the angle between the axis and the tangent, and the tangent stays within
 * bend * extent of the piece's first one.
 */

#include "geom/sweep_private.h"
#include "geom/tol.h"

/** Largest value of a cubic over x0..x1, by its Bernstein coefficients; not below the truth. */
static double
cubic_most(const double c[4], double x0, double x1)
{
    double h = (x1 - x0) / 3, slope0 = c[1] + x0 * (2 * c[2] + 3 * x0 * c[3]);
    double slope1 = c[1] + x1 * (2 * c[2] + 3 * x1 * c[3]);
    double f0 = c[0] + x0 * (c[1] + x0 * (c[2] + x0 * c[3]));
    double f1 = c[0] + x1 * (c[1] + x1 * (c[2] + x1 * c[3]));

    return fmax(fmax(f0, f1), fmax(f0 + h * slope0, f1 - h * slope1));
}

static double
cubic_least(const double c[4], double x0, double x1)
{
    double minus[4] = {-c[0], -c[1], -c[2], -c[3]};

    return -cubic_most(minus, x0, x1);
}

/** Smallest area of a blend: a quadratic in 0..1 by its Bernstein coefficients. */
static double
blend_least(const TbShapePair *pair)
{
    const double *g = pair->area;

    return fmin(fmin(g[0], g[0] + 0.5 * g[1]), g[0] + g[1] + g[2]);
}

static double
larger_half(const TbLawSpan *law, int side)
{
    return fmax(fmax(law->from.half[side], law->from.half[side + 1]),
                fmax(law->to.half[side], law->to.half[side + 1]));
}

double
tb_piece__reach(const TbPiece *piece)
{
    const TbLawSpan *law = piece->law;
    double x0 = fmax(0, piece->station0 - law->start);
    double x1 = fmin(law->length, piece->station0 + piece->length - law->start);
    double a, b, offset_w, offset_h;

    if (law->by_size) {
        a = 0.5 * cubic_most(law->size[0], x0, x1);
        b = 0.5 * cubic_most(law->size[1], x0, x1);
    } else {
        double area = cubic_most(law->size[0], x0, x1) / blend_least(&law->pair);

        a = sqrt(area * exp(cubic_most(law->size[1], x0, x1)));
        b = sqrt(area * exp(-cubic_least(law->size[1], x0, x1)));
    }
    offset_w = fmax(cubic_most(law->offset_w, x0, x1), -cubic_least(law->offset_w, x0, x1));
    offset_h = fmax(cubic_most(law->offset_h, x0, x1), -cubic_least(law->offset_h, x0, x1));
    return hypot(a * larger_half(law, TB_SIDE_RIGHT), b * larger_half(law, TB_SIDE_UP)) +
           hypot(offset_w, offset_h) + cubic_most(law->wall, x0, x1);
}

/** The drift lies between its two ends. */
static TbBox3
drifted_box(const TbPiece *piece, TbBox3 box)
{
    const TbDrift *drift = piece->drift;
    TbBox3 ends;

    if (drift == NULL)
        return box;
    ends = tb_box3_with_point(tb_box3_with_point(tb_box3_empty(), drift->start), drift->end);
    return (TbBox3){tb_vec3_add(box.low, ends.low), tb_vec3_add(box.high, ends.high)};
}

static TbBox3
centre_box(const TbPiece *piece)
{
    double h = piece->extent;
    TbSpanJet a = tb_span_jet(piece->span, piece->u0);
    TbSpanJet b = tb_span_jet(piece->span, piece->u0 + h);
    TbBox3 box = tb_box3_with_point(tb_box3_with_point(tb_box3_empty(), a.c), b.c);

    if (piece->span->kind == TB_SPAN_ARC) {
        double radius = piece->span->radius;

        return tb_box3_grown(box, radius * (1 - cos(0.5 * h / radius)));
    }
    box = tb_box3_with_point(box, tb_vec3_add_scaled(a.c, h / 3, a.c1));
    return tb_box3_with_point(box, tb_vec3_add_scaled(b.c, -h / 3, b.c1));
}

/** Largest sine of the angle between an axis and a tangent within `swing` of t. Not by acos, which
 * loses a lean of 1e-8. */
static double
lean(double along, double across, double swing)
{
    double angle = atan2(across, fabs(along)) + swing;

    return angle < M_PI_2 ? sin(angle) : 1;
}

TbBox3
tb_sweep_box(const TbSweep *sweep)
{
    TbBox3 all = tb_box3_empty();

    for (size_t i = 0; i < sweep->count; i++) {
        const TbPiece *piece = &sweep->pieces[i];
        TbBox3 box = drifted_box(piece, centre_box(piece));
        double reach = tb_piece__reach(piece), swing = piece->bend * piece->extent;
        TbVec3 t = piece->node.t;
        TbVec3 wide = {reach * lean(t.x, hypot(t.y, t.z), swing),
                       reach * lean(t.y, hypot(t.z, t.x), swing),
                       reach * lean(t.z, hypot(t.x, t.y), swing)};

        box.low = tb_vec3_sub(box.low, wide);
        box.high = tb_vec3_add(box.high, wide);
        all = tb_box3_union(all, tb_box3_grown(box, TB_TOL_ROUND));
    }
    return all;
}
