/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/quarter.h"
#include "geom/shape_private.h"

#include "base/fault.h"

#include <float.h>
#include <gsl/gsl_sf_ellint.h>

/** Where the quadrature of an outline stops halving its step: its error squares with each halving,
 * so a change of 1e-9 leaves less than rounding. */
#define QUADRATURE_CHANGE 1e-9

/** Largest number of halvings; reached only by sections squeezed a hundred times flat. */
#define QUADRATURE_ROUNDS 10

/** How far a contact difference may be overstated, as a share of the half size: far below what the
 * rest of a strip's bound gives away. */
#define DIFFERENCE_SLACK 3e-3

/** Halvings of a cell of normals before the bound found so far is taken. */
#define DIFFERENCE_DEPTH 16

/* ---- support ---- */

double
tb_shape__any_norm(double exponent, double dual, double p, double q, double *x, double *y)
{
    double large = p > q ? p : q;
    double ratio, root, at_large, at_small;

    if (!(large > 0)) {
        *x = *y = 0;
        return 0;
    }
    ratio = (p > q ? q : p) / large;
    if (exponent == 2) {
        root = sqrt(1 + ratio * ratio);
        at_large = 1 / root;
        at_small = ratio * at_large;
    } else {
        double power = pow(ratio, dual - 1);
        double sum = 1 + power * ratio;

        root = pow(sum, 1 / dual);
        at_large = root / sum;
        at_small = power * at_large;
    }
    *x = p > q ? at_large : at_small;
    *y = p > q ? at_small : at_large;
    return large * root;
}

/** The norm without its gradient. */
static inline double
dual_norm(double exponent, double dual, double p, double q)
{
    double x, y;

    return tb_shape__norm(exponent, dual, p, q, &x, &y);
}

double
tb_quarter_support(const TbQuarter *quarter, double p, double q, TbVec2 *contact)
{
    double x, y;
    double reach =
        tb_shape__norm(quarter->exponent, quarter->dual, p * quarter->w, q * quarter->h, &x, &y);

    *contact = tb_vec2(quarter->at_w + quarter->w * x, quarter->at_h + quarter->h * y);
    return quarter->at_w * p + quarter->at_h * q + reach;
}

double
tb_shape_support(const TbShape *shape, TbVec2 d, TbVec2 *contact)
{
    TbQuadrant at = tb_quadrant_of(d);
    double x, y;
    double reach = tb_shape__support(shape, &at, &x, &y);

    *contact = tb_vec2(at.left ? -x : x, at.down ? -y : y);
    return reach;
}

double
tb_shape_furthest(const TbShape *shape, TbVec2 d)
{
    TbQuadrant at = tb_quadrant_of(d);

    return tb_shape__furthest(shape, &at);
}

/* ---- quarters ---- */

TbQuarter
tb_shape_quarter(const TbShape *shape, int corner, double a, double b)
{
    bool left = corner == TB_CORNER_LU || corner == TB_CORNER_LD;
    bool down = corner == TB_CORNER_LD || corner == TB_CORNER_RD;
    double half_w = shape->half[left ? TB_SIDE_LEFT : TB_SIDE_RIGHT];
    double half_h = shape->half[down ? TB_SIDE_DOWN : TB_SIDE_UP];
    bool rounded = shape->kind == TB_SECTION_ROUNDED;
    double w = rounded ? shape->corner_w[corner] : half_w;
    double h = rounded ? shape->corner_h[corner] : half_h;

    return (TbQuarter){a * (half_w - w), b * (half_h - h), a * w, b * h,
                       shape->exponent,  shape->dual};
}

double
tb_quarter_factor(double exponent)
{
    double g = tgamma(1 + 1 / exponent);

    return g * g / tgamma(1 + 2 / exponent);
}

/** Integral of sqrt(a^2 cos^2 + b^2 sin^2) over a quarter turn: complete elliptic integral of the
 * second kind (Abramowitz and Stegun, 17.3.3). */
static double
quarter_of_ellipse(double a, double b)
{
    double large = fmax(a, b);
    double small = fmin(a, b);
    double k = sqrt((large - small) * (large + small)) / large;
    gsl_sf_result e;

    /* so flat that the modulus rounds to 1: E(1) = 1 */
    if (k >= 1)
        return large;
    /* only a modulus outside 0 to 1 can fail */
    if (TB_NEVER(gsl_sf_ellint_Ecomp_e(k, GSL_PREC_DOUBLE, &e) != 0))
        return large;
    return large * e.val;
}

/**
 * What of the integral a cell du of the variable u gives. The outline of b is run through by
 * zeta = ln of tan^2 of its own parameter, X = w c^(1/n), Y = h s^(1/n) with s = 1/(1 + e^-zeta)
 * and c = 1 - s, so -dX = X s/n dzeta and dY = Y c/n dzeta; and zeta = centre + sinh u.
 */
static double
arc_density(const TbQuarter *a, const TbQuarter *b, double centre, double u)
{
    double cosh_u;
    double zeta = centre + tb_sinh_cosh(u, &cosh_u);
    TbArcPlace at = tb_arc_place(b->exponent, zeta);
    double p = a->w * b->h * at.y * at.c;
    double q = a->h * b->w * at.x * at.s;

    return dual_norm(a->exponent, a->dual, p, q) * cosh_u / b->exponent;
}

/**
 * Integral of the support of a's arc over b's arc, by the trapezoid rule in u. The integrand is
 * analytic in a strip about the real axis and dies out double-exponentially at both ends, where
 * the rule's error falls as exp(-const/step) (Trefethen and Weideman, SIAM Review 56 (2014) 385,
 * doi 10.1137/130932132).
 */
static double
arc_by_quadrature(const TbQuarter *a, const TbQuarter *b)
{
    /* where a's arc has its middle, in b's variable */
    double shift = -b->dual * log(a->h / a->w * (b->w / b->h));
    double centre = 0.5 * shift;
    double limit = asinh(40 * b->exponent + fabs(centre));
    int half_cells = 8;
    double step = limit / half_cells;
    double sum = arc_density(a, b, centre, 0);
    double old, now;

    for (int i = 1; i <= half_cells; i++)
        sum += arc_density(a, b, centre, i * step) + arc_density(a, b, centre, -i * step);
    now = sum * step;
    for (int round = 0; round < QUADRATURE_ROUNDS; round++) {
        double between = 0;

        for (int i = 0; i < half_cells; i++)
            between += arc_density(a, b, centre, (i + 0.5) * step) +
                       arc_density(a, b, centre, -(i + 0.5) * step);
        old = now;
        now = 0.5 * (old + between * step);
        if (fabs(now - old) <= QUADRATURE_CHANGE * now)
            break;
        step *= 0.5;
        half_cells *= 2;
    }
    return now;
}

static double
arc_mixed(const TbQuarter *a, const TbQuarter *b)
{
    if (a->exponent == b->exponent && a->w * b->h == a->h * b->w)
        return 2 * tb_quarter_factor(a->exponent) * a->w * b->h;
    if (a->exponent == 2 && b->exponent == 2)
        return quarter_of_ellipse(a->w * b->h, a->h * b->w);
    /* symmetric; the smaller exponent's outline dies out sooner and keeps the other's poles away */
    return a->exponent < b->exponent ? arc_by_quadrature(b, a) : arc_by_quadrature(a, b);
}

double
tb_quarter_mixed(const TbQuarter *a, const TbQuarter *b)
{
    double centres = a->at_w * b->at_h + a->at_h * b->at_w;
    double a_flat = a->at_w * b->h + a->at_h * b->w;
    double b_flat = b->at_w * a->h + b->at_h * a->w;

    return centres + a_flat + b_flat + arc_mixed(a, b);
}

double
tb_quarter_length(const TbQuarter *quarter)
{
    TbQuarter circle = {0, 0, 1, 1, 2, 2};

    return tb_quarter_mixed(quarter, &circle);
}

bool
tb_quarter_equal(const TbQuarter *a, const TbQuarter *b)
{
    return a->at_w == b->at_w && a->at_h == b->at_h && a->w == b->w && a->h == b->h &&
           a->exponent == b->exponent;
}

double
tb_shape_perimeter(const TbShape *shape, double a, double b)
{
    TbQuarter last = {0};
    double length = 0;
    double sum = 0;

    for (int corner = 0; corner < 4; corner++) {
        TbQuarter quarter = tb_shape_quarter(shape, corner, a, b);

        if (!tb_quarter_equal(&quarter, &last)) {
            length = tb_quarter_length(&quarter);
            last = quarter;
        }
        sum += length;
    }
    return sum;
}

/* ---- pairs ---- */

bool
tb_shape_equal(const TbShape *a, const TbShape *b)
{
    bool equal = a->kind == b->kind && a->exponent == b->exponent;

    for (int i = 0; i < 4; i++)
        equal = equal && a->half[i] == b->half[i] && a->corner_w[i] == b->corner_w[i] &&
                a->corner_h[i] == b->corner_h[i];
    return equal;
}

/** Contact points of both quarters for one normal; z = ln of the normal's tangent (h over w). */
typedef struct Contacts {
    double u;
    TbVec2 a, b;
} Contacts;

static Contacts
contacts_at(const TbQuarter *a, const TbQuarter *b, double u)
{
    double z = sinh(u);
    double p = z > 0 ? exp(-z) : 1;
    double q = z > 0 ? 1 : exp(z);
    Contacts c = {.u = u};

    tb_quarter_support(a, p, q, &c.a);
    tb_quarter_support(b, p, q, &c.b);
    return c;
}

/** Both coordinates run one way within a quarter, so a cell's ends bound what differs inside. */
static TbVec2
cell_bound(const Contacts *from, const Contacts *to)
{
    return tb_vec2(fmax(from->a.x - to->b.x, from->b.x - to->a.x),
                   fmax(to->a.y - from->b.y, to->b.y - from->a.y));
}

static TbVec2
upper(TbVec2 a, TbVec2 b)
{
    return tb_vec2(fmax(a.x, b.x), fmax(a.y, b.y));
}

static TbVec2
difference_at(const Contacts *c)
{
    return tb_vec2(fabs(c->a.x - c->b.x), fabs(c->a.y - c->b.y));
}

typedef struct Difference {
    const TbQuarter *a, *b;
    TbVec2 seen;  /**< largest difference met at a normal */
    TbVec2 bound; /**< and what no normal exceeds */
} Difference;

static void
bound_cell(Difference *find, const Contacts *from, const Contacts *to, int depth)
{
    TbVec2 bound = cell_bound(from, to);
    bool close =
        bound.x <= find->seen.x + DIFFERENCE_SLACK && bound.y <= find->seen.y + DIFFERENCE_SLACK;
    Contacts middle;

    if (close || depth == 0) {
        find->bound = upper(find->bound, bound);
        return;
    }
    middle = contacts_at(find->a, find->b, 0.5 * (from->u + to->u));
    find->seen = upper(find->seen, difference_at(&middle));
    bound_cell(find, from, &middle, depth - 1);
    bound_cell(find, &middle, to, depth - 1);
}

/** Upper bound of the contact points' difference over one quarter, within DIFFERENCE_SLACK. */
static TbVec2
quarter_difference(const TbQuarter *a, const TbQuarter *b)
{
    /* exp(sinh 7) is 1e238: beyond it only a flat or a point is left, and the ends are exact */
    enum { CELLS = 16 };
    const double limit = 7;
    Contacts at[CELLS + 1];
    Difference find = {.a = a, .b = b};

    for (int i = 1; i < CELLS; i++)
        at[i] = contacts_at(a, b, limit * (2.0 * i / CELLS - 1));
    at[0].u = -limit;
    tb_quarter_support(a, 1, 0, &at[0].a);
    tb_quarter_support(b, 1, 0, &at[0].b);
    at[CELLS].u = limit;
    tb_quarter_support(a, 0, 1, &at[CELLS].a);
    tb_quarter_support(b, 0, 1, &at[CELLS].b);
    for (int i = 0; i <= CELLS; i++)
        find.seen = upper(find.seen, difference_at(&at[i]));
    for (int i = 0; i < CELLS; i++)
        bound_cell(&find, &at[i], &at[i + 1], DIFFERENCE_DEPTH);
    return find.bound;
}

/** The pair worked out; the shapes differ. */
static TbShapePair
pair_of(const TbShape *a, const TbShape *b)
{
    TbShapePair pair = {{a->area, 0, 0}, {0, 0}};
    TbQuarter last_a = {0};
    TbQuarter last_b = {0};
    double last = 0;
    double mixed = 0;

    for (int corner = 0; corner < 4; corner++) {
        TbQuarter qa = tb_shape_quarter(a, corner, 1, 1);
        TbQuarter qb = tb_shape_quarter(b, corner, 1, 1);

        /* most sections have four equal quarters */
        if (!tb_quarter_equal(&qa, &last_a) || !tb_quarter_equal(&qb, &last_b)) {
            last = tb_quarter_mixed(&qa, &qb);
            pair.difference = upper(pair.difference, quarter_difference(&qa, &qb));
            last_a = qa;
            last_b = qb;
        }
        mixed += 0.5 * last;
    }
    /* a few roundings of numbers up to 2 */
    pair.difference =
        tb_vec2(pair.difference.x + 8 * DBL_EPSILON, pair.difference.y + 8 * DBL_EPSILON);
    pair.area[1] = 2 * (mixed - a->area);
    pair.area[2] = a->area - 2 * mixed + b->area;
    return pair;
}

/** Pairs a thread remembers: those of a duct or two being edited. */
#define REMEMBERED 16

/** A pair and its shapes; what it says does not depend on when or where it was worked out. */
typedef struct Memory {
    bool used;
    TbShape a, b;
    TbShapePair pair;
} Memory;

TbShapePair
tb_shape_pair(const TbShape *a, const TbShape *b)
{
    static _Thread_local Memory memory[REMEMBERED];
    static _Thread_local int next;
    Memory *last;

    if (tb_shape_equal(a, b))
        return (TbShapePair){{a->area, 0, 0}, {0, 0}};
    for (int i = 0; i < REMEMBERED; i++)
        if (memory[i].used && tb_shape_equal(a, &memory[i].a) && tb_shape_equal(b, &memory[i].b))
            return memory[i].pair;
    last = &memory[next];
    next = (next + 1) % REMEMBERED;
    *last = (Memory){true, *a, *b, pair_of(a, b)};
    return last->pair;
}
