/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Where a sweep is worst. What depends on the section law alone (wall, area, cone) is a polynomial
 * of the station between given sections, and its extremes and limits are roots that cannot be
 * missed (root.h). What depends on the path's curvature is sampled finely on every piece, which
 * turns by 0.15 rad at most, and refined.
 */

#include "geom/root.h"
#include "geom/sweep_private.h"

/** Relative. A fall of the area by less is rounding of the law's cubics. */
#define SHRINK_NOISE 1e-12

/** rad. A cone steeper than its limit by less is rounding of polynomials of degree 12. */
#define CONE_NOISE 1e-9

/** Relative. Samples that differ by less are one flat. */
#define FLAT 1e-12

/** Samples of a piece: one every hundredth of a radian. */
#define SAMPLES 17

/** Nowhere broken: from beyond to. */
static const TbSweepWorst nowhere = {.from = 0, .to = -1};

static void
broken_between(TbSweepWorst *worst, double from, double to)
{
    if (worst->from > worst->to)
        worst->from = from;
    worst->to = to;
}

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
            broken_between(worst, station_of(law, y[i - 1]), station_of(law, y[i]));
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
    TbSweepWorst worst = nowhere;

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
    TbSweepWorst worst = nowhere;
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
    TbSweepWorst worst = nowhere;
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

/* ---- curvature ---- */

/** What is sampled along a piece; larger is worse. */
typedef struct Measure {
    double (*at)(const struct Measure *measure, const TbPiece *piece, double u);
    bool outer;
    double limit;
    bool limit_itself; /**< is the limit broken where it is just met? */
} Measure;

static TbVec3
curvature_at(const TbPiece *piece, double u)
{
    TbSpanJet jet = tb_span_jet(piece->span, piece->u0 + u);
    double speed2 = tb_vec3_length2(jet.c1);

    return tb_vec3_scale(tb_vec3_across(jet.c2, tb_vec3_scale(jet.c1, 1 / sqrt(speed2))),
                         1 / speed2);
}

/** Curvature times reach towards the bend's centre: the support of the slice along k itself. */
static double
fold_at(const Measure *measure, const TbPiece *piece, double u)
{
    TbVec3 k = curvature_at(piece, u), contact;
    TbDisc disc;

    if (piece->bend == 0)
        return 0;
    disc = tb_piece_disc(piece, u);
    return tb_disc_support(&disc, k, measure->outer, &contact) - tb_vec3_dot(k, disc.centre);
}

static double
bend_at(const Measure *measure, const TbPiece *piece, double u)
{
    (void)measure;
    return tb_vec3_length(curvature_at(piece, u));
}

/** Golden section for a maximum between two places. @return where. */
static double
climb(const Measure *measure, const TbPiece *piece, double low, double high)
{
    const double ratio = 0.6180339887498949; /* (sqrt 5 - 1) / 2 */
    double a = high - ratio * (high - low), b = low + ratio * (high - low);
    double fa = measure->at(measure, piece, a), fb = measure->at(measure, piece, b);

    for (int i = 0; i < 44; i++) {
        if (fa >= fb) {
            high = b;
            b = a;
            fb = fa;
            a = high - ratio * (high - low);
            fa = measure->at(measure, piece, a);
        } else {
            low = a;
            a = b;
            fa = fb;
            b = low + ratio * (high - low);
            fb = measure->at(measure, piece, b);
        }
    }
    return fa >= fb ? a : b;
}

static bool
is_broken(const Measure *measure, double value)
{
    return measure->limit_itself ? value >= measure->limit : value > measure->limit;
}

/** Where the measure crosses its limit between a place that breaks it and one that does not. */
static double
crossing(const Measure *measure, const TbPiece *piece, double broken, double sound)
{
    for (int i = 0; i < 52; i++) {
        double middle = 0.5 * (broken + sound);

        if (is_broken(measure, measure->at(measure, piece, middle)))
            broken = middle;
        else
            sound = middle;
    }
    return tb_piece__station(piece, broken);
}

static void
scan_range(const Measure *measure,
           const TbPiece *piece,
           const double u[SAMPLES],
           const double f[SAMPLES],
           TbSweepWorst *worst)
{
    for (int i = 1; i < SAMPLES; i++) {
        bool before = is_broken(measure, f[i - 1]), after = is_broken(measure, f[i]);
        double from = tb_piece__station(piece, u[i - 1]), to = tb_piece__station(piece, u[i]);

        if (before && after)
            broken_between(worst, from, to);
        else if (before)
            broken_between(worst, from, crossing(measure, piece, u[i - 1], u[i]));
        else if (after)
            broken_between(worst, crossing(measure, piece, u[i], u[i - 1]), to);
    }
}

/** Sample a piece, move each inner peak to its top, keep the highest and the broken range. */
static void
scan_piece(const Measure *measure, const TbPiece *piece, TbSweepWorst *worst, double *u_worst)
{
    double u[SAMPLES], f[SAMPLES];

    for (int i = 0; i < SAMPLES; i++) {
        u[i] = piece->extent * i / (SAMPLES - 1);
        f[i] = measure->at(measure, piece, u[i]);
    }
    for (int i = 1; i + 1 < SAMPLES; i++) {
        if (f[i] < f[i - 1] || f[i] < f[i + 1] || f[i] - fmin(f[i - 1], f[i + 1]) <= FLAT * f[i])
            continue;
        u[i] = climb(measure, piece, u[i - 1], u[i + 1]);
        f[i] = measure->at(measure, piece, u[i]);
    }
    for (int i = 0; i < SAMPLES; i++)
        if (f[i] > worst->value * (1 + FLAT)) {
            worst->value = f[i];
            worst->station = tb_piece__station(piece, u[i]);
            *u_worst = u[i];
        }
    scan_range(measure, piece, u, f, worst);
}

/** @param[out] at the piece of the worst place, and where in it. */
static TbSweepWorst
scan(const TbSweep *sweep, const Measure *measure, const TbPiece **at, double *u)
{
    TbSweepWorst worst = nowhere;

    *at = &sweep->pieces[0];
    *u = 0;
    for (size_t i = 0; i < sweep->count; i++) {
        double before = worst.value;

        if (sweep->pieces[i].bend == 0 && !is_broken(measure, 0))
            continue; /* straight: nothing to be found */
        scan_piece(measure, &sweep->pieces[i], &worst, u);
        if (worst.value > before)
            *at = &sweep->pieces[i];
    }
    return worst;
}

TbSweepWorst
tb_sweep_fold(const TbSweep *sweep, bool outer, double limit)
{
    Measure measure = {fold_at, outer, limit, true};
    const TbPiece *piece;
    double u;
    TbSweepWorst worst = scan(sweep, &measure, &piece, &u);

    if (worst.value > 0) {
        TbVec3 k = curvature_at(piece, u);
        TbDisc disc = tb_piece_disc(piece, u);

        worst.angle = atan2(tb_vec3_dot(k, disc.frame.w), tb_vec3_dot(k, disc.frame.h));
    }
    return worst;
}

TbSweepWorst
tb_sweep_tightest(const TbSweep *sweep, double limit)
{
    Measure measure = {bend_at, false, limit > 0 ? 1 / limit : HUGE_VAL, false};
    const TbPiece *piece;
    double u;
    TbSweepWorst worst = scan(sweep, &measure, &piece, &u);

    worst.value = worst.value > 0 ? 1 / worst.value : HUGE_VAL;
    return worst;
}
