/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/law.h"
#include "geom/quarter.h"

/** Where the trapezoid rule stops halving its step: its error squares with each halving. */
#define MOMENTS_CHANGE 1e-8

#define MOMENTS_ROUNDS 10

/** What is integrated over one quarter, both axes made positive. */
typedef struct Sums {
    double area, w, h, ww, wh, hh;
} Sums;

/** A point of the outline and how it moves with z = ln of the normal's tangent (h over w). */
typedef struct Step {
    TbVec2 p, slope;
} Step;

/** One quarter of a slice: the blend of two, and the wall. */
typedef struct Blend {
    TbQuarter from, to;
    double mix, wall;
    double middle_from, middle_to; /**< z where the arcs have their middles: ln(w/h) */
} Blend;

static void
add_share(Step *step, const TbQuarter *quarter, double share, double z, double middle)
{
    TbArcPlace at = tb_arc_place(quarter->exponent, quarter->dual * (z - middle));
    double rate = quarter->dual - 1;
    double x = quarter->w * at.x;
    double y = quarter->h * at.y;

    step->p.x += share * (quarter->at_w + x);
    step->p.y += share * (quarter->at_h + y);
    step->slope.x -= share * rate * x * at.s;
    step->slope.y += share * rate * y * at.c;
}

static Step
step_at(const Blend *blend, double z)
{
    Step step = {{0, 0}, {0, 0}};

    add_share(&step, &blend->from, 1 - blend->mix, z, blend->middle_from);
    if (blend->mix > 0)
        add_share(&step, &blend->to, blend->mix, z, blend->middle_to);
    if (blend->wall > 0) {
        double e = exp(-fabs(z));
        double large = 1 / sqrt(1 + e * e);
        double small = e * large;
        double c = z > 0 ? small : large;
        double s = z > 0 ? large : small;

        step.p.x += blend->wall * c;
        step.p.y += blend->wall * s;
        step.slope.x -= blend->wall * s * s * c;
        step.slope.y += blend->wall * c * c * s;
    }
    return step;
}

static void
add_density(Sums *sums, const Blend *blend, double centre, double u)
{
    double cosh_u;
    Step step = step_at(blend, centre + tb_sinh_cosh(u, &cosh_u));
    double swept = tb_vec2_cross(step.p, step.slope) * cosh_u;
    double x = step.p.x;
    double y = step.p.y;

    sums->area += swept;
    sums->w += swept * x;
    sums->h += swept * y;
    sums->ww += swept * x * x;
    sums->wh += swept * x * y;
    sums->hh += swept * y * y;
}

static Sums
mixed_sums(Sums a, double share_a, Sums b, double share_b)
{
    return (Sums){share_a * a.area + share_b * b.area, share_a * a.w + share_b * b.w,
                  share_a * a.h + share_b * b.h,       share_a * a.ww + share_b * b.ww,
                  share_a * a.wh + share_b * b.wh,     share_a * a.hh + share_b * b.hh};
}

/** Half the sides of a box about the origin that holds the whole quarter's ellipse. */
static TbVec2
box_of(const Blend *blend)
{
    const TbQuarter *f = &blend->from;
    const TbQuarter *t = blend->mix > 0 ? &blend->to : f;

    return tb_vec2(fmax(fabs(f->at_w) + f->w, fabs(t->at_w) + t->w) + blend->wall,
                   fmax(fabs(f->at_h) + f->h, fabs(t->at_h) + t->h) + blend->wall);
}

/**
 * What area and second moments changed by, as shares of the box's. Not of the sums themselves:
 * where a corner reaches over the origin these are small or below 0.
 */
static double
change_of(const Sums *old, const Sums *now, TbVec2 box)
{
    double area = box.x * box.y;

    return fmax(fabs(now->area - old->area) / area,
                fmax(fabs(now->ww - old->ww) / (area * box.x * box.x),
                     fabs(now->hh - old->hh) / (area * box.y * box.y)));
}

/** How wide in u the place is that an arc turns at: its s and c change over some 4 of its own
 * variable, which runs dual times as fast as z, and z runs cosh u times as fast as u. */
static double
turning_width(double dual, double middle, double centre)
{
    return 2 / (dual * hypot(1, middle - centre));
}

/** A first step that no such place hides between, else two rules agree that both miss it. */
static double
widest_step(const Blend *blend, double centre)
{
    double width = turning_width(blend->from.dual, blend->middle_from, centre);

    if (blend->mix > 0)
        width = fmin(width, turning_width(blend->to.dual, blend->middle_to, centre));
    if (blend->wall > 0)
        width = fmin(width, turning_width(2, 0, centre));
    return width;
}

/** Contour sums over the arc, by the trapezoid rule in u, z = centre + sinh u (see shape.c). */
static Sums
arc_sums(const Blend *blend)
{
    const TbQuarter *f = &blend->from;
    const TbQuarter *t = &blend->to;
    double slowest = fmax(f->exponent, blend->mix > 0 ? t->exponent : 2);
    double centre = 0.5 * (blend->middle_from + blend->middle_to);
    double apart = fabs(blend->middle_from) + fabs(blend->middle_to);
    TbVec2 box = box_of(blend);
    int half_cells = 8;
    double step = asinh(40 * slowest + apart) / half_cells;
    double widest = widest_step(blend, centre);
    Sums now = {0};

    for (; step > widest; half_cells *= 2)
        step *= 0.5;

    for (int i = -half_cells; i <= half_cells; i++)
        add_density(&now, blend, centre, i * step);
    now = mixed_sums(now, step, now, 0);
    for (int round = 0; round < MOMENTS_ROUNDS; round++) {
        Sums old = now;
        Sums between = {0};

        for (int i = -half_cells; i < half_cells; i++)
            add_density(&between, blend, centre, (i + 0.5) * step);
        now = mixed_sums(old, 0.5, between, 0.5 * step);
        if (change_of(&old, &now, box) <= MOMENTS_CHANGE)
            break;
        step *= 0.5;
        half_cells *= 2;
    }
    return now;
}

/** The triangle from the origin over a straight part p to q, in the contour's own scale. */
static void
add_straight(Sums *sums, TbVec2 p, TbVec2 q)
{
    double swept = tb_vec2_cross(p, q);

    sums->area += swept;
    sums->w += swept * (p.x + q.x) / 2;
    sums->h += swept * (p.y + q.y) / 2;
    sums->ww += swept * (p.x * p.x + p.x * q.x + q.x * q.x) / 3;
    sums->hh += swept * (p.y * p.y + p.y * q.y + q.y * q.y) / 3;
    sums->wh += swept * (2 * p.x * p.y + p.x * q.y + q.x * p.y + 2 * q.x * q.y) / 6;
}

/**
 * Moments of the part of the slice that one quadrant of normals bounds. For a homogeneous f of
 * degree k the integral over the cone from the origin is 1/(k+2) times that of f (x dy - y dx).
 */
static Sums
quarter_sums(const Blend *blend)
{
    Sums sums = arc_sums(blend);
    double k = blend->mix;
    const TbQuarter *f = &blend->from;
    const TbQuarter *t = &blend->to;
    TbVec2 flat = tb_vec2(f->at_w + k * (t->at_w - f->at_w), f->at_h + k * (t->at_h - f->at_h));
    TbVec2 far = tb_vec2(flat.x + f->w + k * (t->w - f->w) + blend->wall,
                         flat.y + f->h + k * (t->h - f->h) + blend->wall);

    add_straight(&sums, tb_vec2(far.x, 0), tb_vec2(far.x, flat.y));
    add_straight(&sums, tb_vec2(flat.x, far.y), tb_vec2(0, far.y));
    return (Sums){sums.area / 2, sums.w / 3, sums.h / 3, sums.ww / 4, sums.wh / 4, sums.hh / 4};
}

/** Moments about the slice's own origin in its turned axes, offset not counted. */
static TbMoments
own_moments(const TbSlice *slice, bool outer)
{
    static const double sign_w[4] = {1, -1, -1, 1};
    static const double sign_h[4] = {1, 1, -1, -1};
    TbMoments m = {0};
    Blend last = {0};
    Sums sums = {0};

    for (int corner = 0; corner < 4; corner++) {
        Blend blend = {.from = tb_shape_quarter(slice->from, corner, slice->a, slice->b),
                       .to = tb_shape_quarter(slice->to, corner, slice->a, slice->b),
                       .mix = slice->mix,
                       .wall = outer ? slice->wall : 0};

        if (corner == 0 || !tb_quarter_equal(&blend.from, &last.from) ||
            !tb_quarter_equal(&blend.to, &last.to)) {
            blend.middle_from = log(blend.from.w / blend.from.h);
            blend.middle_to = blend.mix > 0 ? log(blend.to.w / blend.to.h) : blend.middle_from;
            sums = quarter_sums(&blend);
            last = blend;
        }
        m.area += sums.area;
        m.first.x += sign_w[corner] * sums.w;
        m.first.y += sign_h[corner] * sums.h;
        m.ww += sums.ww;
        m.wh += sign_w[corner] * sign_h[corner] * sums.wh;
        m.hh += sums.hh;
    }
    return m;
}

static TbMoments
circle_moments(double radius)
{
    double area = M_PI * radius * radius, second = area * radius * radius / 4;

    return (TbMoments){.area = area, .ww = second, .hh = second};
}

static TbMoments
shifted(TbMoments m, TbVec2 by)
{
    return (TbMoments){m.area,
                       {m.first.x + by.x * m.area, m.first.y + by.y * m.area},
                       m.ww + 2 * by.x * m.first.x + by.x * by.x * m.area,
                       m.wh + by.x * m.first.y + by.y * m.first.x + by.x * by.y * m.area,
                       m.hh + 2 * by.y * m.first.y + by.y * by.y * m.area};
}

/** Turned right-handed about the path: (w, h) goes to (c w + s h, c h - s w). */
static TbMoments
turned(TbMoments m, double c, double s)
{
    return (TbMoments){m.area,
                       {c * m.first.x + s * m.first.y, c * m.first.y - s * m.first.x},
                       c * c * m.ww + 2 * c * s * m.wh + s * s * m.hh,
                       c * s * (m.hh - m.ww) + (c * c - s * s) * m.wh,
                       c * c * m.hh - 2 * c * s * m.wh + s * s * m.ww};
}

TbMoments
tb_slice_moments(const TbSlice *slice, bool outer)
{
    TbMoments m = slice->is_circle ? circle_moments(slice->a + (outer ? slice->wall : 0))
                                   : own_moments(slice, outer);

    m = shifted(m, slice->offset);

    return slice->turn == 0 ? m : turned(m, cos(slice->turn), sin(slice->turn));
}
