/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Where a sweep is worst in what depends on the section law alone (wall, area, cone): a polynomial
 * of the station between given sections, whose extremes and limits are roots that cannot be missed
 * (root.h).
 */

#include "geom/root.h"
#include "geom/sweep_private.h"

/** Relative. A fall of the area by less is rounding of the law's cubics. */
#define SHRINK_NOISE 1e-12

/** rad. A cone steeper than its limit by less is rounding of polynomials of degree 12. */
#define CONE_NOISE 1e-9

/* ---- polynomials of the section law ---- */

/** Polynomial of y = (station - start) / length over 0..1. */
typedef struct Poly {
    int degree;
    double c[TB_POLY_MOST + 1];
} Poly;

static double
poly_at(const Poly *p, double y)
{
    return tb_poly_at(p->c, p->degree, y);
}

static Poly
poly_slope(const Poly *p)
{
    Poly out = {.degree = p->degree > 0 ? p->degree - 1 : 0};

    tb_poly_slope(p->c, p->degree, out.c);
    return out;
}

static Poly
poly_product(const Poly *a, const Poly *b)
{
    Poly out = {.degree = a->degree + b->degree};

    tb_poly_product(a->c, a->degree, b->c, b->degree, out.c);
    return out;
}

/** a + k b. */
static Poly
poly_sum(const Poly *a, double k, const Poly *b)
{
    Poly out = a->degree >= b->degree ? *a : *b;

    for (int i = 0; i <= out.degree; i++)
        out.c[i] = (i <= a->degree ? a->c[i] : 0) + k * (i <= b->degree ? b->c[i] : 0);
    return out;
}

static Poly
poly_of_cubic(const double cubic[4], double length)
{
    Poly out = {.degree = 3};
    double scale = 1;

    for (int i = 0; i < 4; i++, scale *= length)
        out.c[i] = cubic[i] * scale;
    return out;
}

/** Inner area. Given by size, it is W H / 4 times the blend's area G(w), w = 3 y^2 - 2 y^3. */
static Poly
area_poly(const TbLawSpan *law)
{
    Poly width, height, both, w = {3, {0, 0, 3, -2}}, ww, g = {0, {0}};

    if (!law->by_size)
        return poly_of_cubic(law->size[0], law->length);
    width = poly_of_cubic(law->size[0], law->length);
    height = poly_of_cubic(law->size[1], law->length);
    both = poly_product(&width, &height);
    g.c[0] = law->pair.area[0];
    g = poly_sum(&g, law->pair.area[1], &w);
    ww = poly_product(&w, &w);
    g = poly_sum(&g, law->pair.area[2], &ww);
    for (int i = 0; i <= both.degree; i++)
        both.c[i] *= 0.25;
    return poly_product(&both, &g);
}

/** Places in 0..1 that cut it where p has roots: both ends included. @return how many. */
static size_t
cuts_at_roots(const Poly *p, double out[TB_POLY_MOST + 2])
{
    size_t count;

    out[0] = 0;
    count = tb_poly_roots(p->c, p->degree, 0, 1, out + 1);
    out[count + 1] = 1;
    return count + 2;
}

static double
station_of(const TbLawSpan *law, double y)
{
    return law->start + y * law->length;
}

/** Extend the broken range by the parts of a span between cuts whose middles are broken. */
static void
mark_broken(TbSweepWorst *worst,
            const TbLawSpan *law,
            const Poly *cut,
            bool (*is_broken)(const void *what, double y),
            const void *what)
{
    double y[TB_POLY_MOST + 2];
    size_t count = cuts_at_roots(cut, y);

    for (size_t i = 1; i < count; i++)
        if (is_broken(what, 0.5 * (y[i - 1] + y[i])))
            tb_sweep__broken(worst, station_of(law, y[i - 1]), station_of(law, y[i]));
}

/* ---- wall ---- */

static bool
is_below_zero(const void *what, double y)
{
    return poly_at(what, y) < 0;
}

TbSweepWorst
tb_sweep_thinnest(const TbSweep *sweep, double limit)
{
    TbSweepWorst worst = TB_SWEEP_NOWHERE;

    worst.value = INFINITY;
    for (size_t i = 0; i < tb_law_span_count(sweep->law); i++) {
        const TbLawSpan *law = tb_law_span(sweep->law, i);
        Poly wall = poly_of_cubic(law->wall, law->length), slope = poly_slope(&wall);
        double y[TB_POLY_MOST + 2];
        size_t count = cuts_at_roots(&slope, y);

        for (size_t j = 0; j < count; j++)
            if (poly_at(&wall, y[j]) < worst.value) {
                worst.value = poly_at(&wall, y[j]);
                worst.station = station_of(law, y[j]);
            }
        wall.c[0] -= limit;
        mark_broken(&worst, law, &wall, is_below_zero, &wall);
    }
    return worst;
}

/* ---- growth ---- */

double
tb_cone_angle(double area, double growth)
{
    return 2 * atan(growth / (2 * sqrt(M_PI * area)));
}

typedef struct Growth {
    Poly area, slope; /**< slope by y */
    double length, limit;
} Growth;

static double
cone_at(const Growth *g, double y)
{
    return tb_cone_angle(poly_at(&g->area, y), poly_at(&g->slope, y) / g->length);
}

static bool
is_too_steep(const void *what, double y)
{
    const Growth *g = what;

    return cone_at(g, y) > g->limit + CONE_NOISE;
}

/** The cone is steepest where (A'^2 / A)' = 0: A' (2 A'' A - A'^2) = 0. */
static void
steepest_of(TbSweepWorst *worst, const TbLawSpan *law, const Growth *g)
{
    Poly second = poly_slope(&g->slope), a = poly_product(&second, &g->area);
    Poly b = poly_product(&g->slope, &g->slope), turning = poly_sum(&b, -2, &a);
    double y[TB_POLY_MOST + 2];
    size_t count = cuts_at_roots(&turning, y);

    for (size_t i = 0; i < count; i++)
        if (cone_at(g, y[i]) > worst->value) {
            worst->value = cone_at(g, y[i]);
            worst->station = station_of(law, y[i]);
        }
}

TbSweepWorst
tb_sweep_cone(const TbSweep *sweep, double limit)
{
    TbSweepWorst worst = TB_SWEEP_NOWHERE;
    double slope = tan(0.5 * limit);

    worst.value = -INFINITY;
    for (size_t i = 0; i < tb_law_span_count(sweep->law); i++) {
        const TbLawSpan *law = tb_law_span(sweep->law, i);
        Growth g = {.area = area_poly(law), .length = law->length, .limit = limit};
        Poly cut;

        g.slope = poly_slope(&g.area);
        steepest_of(&worst, law, &g);
        /* at the limit A'^2 = 4 pi tan^2(limit / 2) A; a limit of 0 is crossed where A' = 0 */
        cut = poly_product(&g.slope, &g.slope);
        cut = poly_sum(&cut, -4 * M_PI * slope * slope * law->length * law->length, &g.area);
        mark_broken(&worst, law, slope != 0 ? &cut : &g.slope, is_too_steep, &g);
    }
    return worst;
}

/* ---- shrinking ---- */

/** First station at or after `from` where the area is back at a level, else the end. */
static double
recovers(const TbSweep *sweep, double from, double level)
{
    for (size_t i = tb_law_find(sweep->law, from); i < tb_law_span_count(sweep->law); i++) {
        const TbLawSpan *law = tb_law_span(sweep->law, i);
        Poly area = area_poly(law);
        double y[TB_POLY_MOST + 2];
        size_t count;

        area.c[0] -= level;
        count = cuts_at_roots(&area, y);
        for (size_t j = 0; j < count; j++)
            if (station_of(law, y[j]) > from &&
                (y[j] > 0 && y[j] < 1 ? true : poly_at(&area, y[j]) >= -SHRINK_NOISE * level))
                return station_of(law, y[j]);
    }
    return tb_sweep_length(sweep);
}

TbSweepWorst
tb_sweep_shrinks(const TbSweep *sweep)
{
    TbSweepWorst worst = TB_SWEEP_NOWHERE;
    double most = 0, most_at = 0, level = 0;

    for (size_t i = 0; i < tb_law_span_count(sweep->law); i++) {
        const TbLawSpan *law = tb_law_span(sweep->law, i);
        Poly area = area_poly(law), slope = poly_slope(&area);
        double y[TB_POLY_MOST + 2];
        size_t count = cuts_at_roots(&slope, y);

        for (size_t j = 0; j < count; j++) {
            double here = poly_at(&area, y[j]), fall;

            if (here >= most * (1 - SHRINK_NOISE)) {
                most = fmax(most, here);
                most_at = station_of(law, y[j]);
                continue;
            }
            fall = (most - here) / most;
            if (fall > worst.value) {
                worst.value = fall;
                worst.station = station_of(law, y[j]);
                worst.from = most_at;
                level = most;
            }
        }
    }
    if (worst.value > 0)
        worst.to = recovers(sweep, worst.station, level);
    return worst;
}
