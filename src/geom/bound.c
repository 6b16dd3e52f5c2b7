/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Every bound here is a supremum over the whole strip; primes are d/du. The proof, line by line, is
 * in DEVELOPERS.md, "The proof behind the certificates"; the names below are its names.
 */

#include "geom/bound.h"

#include "geom/tol.h"

double tb_strip_stray_factor = 1;

/** mm per u^2. Stands for "no bound yet": any strip this wide is split, and squares of it are
 * finite. */
#define NO_BOUND 1e9

/** Relative. Rounding of the bounds themselves: some hundred operations, all on positive terms. */
#define SPARE (1 + 1e-9)

/** Suprema of |f'| and |f''|. */
typedef struct Rates {
    double first, second;
} Rates;

/** What the path does over the strip. */
typedef struct Path {
    TbSpanJet start, middle, end;
    TbVec3 tangent;    /**< in the middle */
    double c2;         /**< |C''| */
    double sag;        /**< how far d . C'' may leave the chord between its ends */
    double low, high;  /**< |C'| lies between them */
    double slope;      /**< |sigma'|, sigma = |C'| */
    double bend;       /**< |T'| */
    double bend_slope; /**< |T''| across T */
    bool exists;
} Path;

static Path
arc_path(const TbSpan *span, double h)
{
    double k = 1 / span->radius;
    Path path = {.c2 = k, .low = 1, .high = 1, .bend = k, .exists = true};

    /* C'' turns with the arc: |C''''| = k^3; T'' = -k^2 T has nothing across T */
    path.sag = 0.125 * h * h * k * k * k;
    return path;
}

static Path
cubic_path(const Path *jets, double h, double most_bend)
{
    Path path = *jets;
    double c3 = tb_vec3_length(jets->middle.c3);
    double speed = tb_vec3_length(jets->middle.c1);
    double across;

    /* C'' is linear, so its larger end is its largest value, and it has no sag */
    path.c2 = fmax(tb_vec3_length(jets->start.c2), tb_vec3_length(jets->end.c2));
    path.low = speed - 0.5 * h * path.c2;
    path.exists = path.low > 0;
    if (!path.exists)
        return path;
    path.bend = fmin(most_bend, path.c2 / path.low);
    /* T . C'' in the middle, and how fast it can change: |T'| |C''| + |C'''| */
    path.slope = fmin(path.c2, fabs(tb_vec3_dot(path.tangent, jets->middle.c2)) +
                                   0.5 * h * (path.bend * path.c2 + c3));
    path.low = fmax(path.low, speed - 0.5 * h * path.slope);
    path.high = speed + 0.5 * h * path.slope;
    path.bend = fmin(most_bend, path.c2 / path.low);
    across = fmin(c3, tb_vec3_length(tb_vec3_cross(jets->middle.c3, path.tangent)) +
                          0.5 * h * path.bend * c3);
    path.bend_slope = (across + 2 * path.slope * path.bend) / path.low;
    return path;
}

static Path
path_over(const TbPiece *piece, double u0, double u1)
{
    const TbSpan *span = piece->span;
    Path jets = {.start = tb_span_jet(span, piece->u0 + u0),
                 .middle = tb_span_jet(span, piece->u0 + 0.5 * (u0 + u1)),
                 .end = tb_span_jet(span, piece->u0 + u1)};
    Path path;

    jets.tangent = tb_vec3_unit(jets.middle.c1);
    if (span->kind != TB_SPAN_ARC)
        return cubic_path(&jets, u1 - u0, piece->bend);
    path = arc_path(span, u1 - u0);
    path.start = jets.start;
    path.middle = jets.middle;
    path.end = jets.end;
    path.tangent = jets.tangent;
    return path;
}

/* ---- the section's laws ---- */

static double
cubic_at(const double c[4], double x)
{
    return c[0] + x * (c[1] + x * (c[2] + x * c[3]));
}

static double
cubic_first(const double c[4], double x)
{
    return c[1] + x * (2 * c[2] + 3 * x * c[3]);
}

static double
cubic_second(const double c[4], double x)
{
    return 2 * c[2] + 6 * x * c[3];
}

/** f' lies in the hull of its three Bernstein values, f'' is linear. */
static Rates
cubic_rates(const double c[4], double x0, double x1)
{
    double net = cubic_first(c, x0) + 0.5 * (x1 - x0) * cubic_second(c, x0);

    return (Rates){
        fmax(fabs(net), fmax(fabs(cubic_first(c, x0)), fabs(cubic_first(c, x1)))),
        fmax(fabs(cubic_second(c, x0)), fabs(cubic_second(c, x1))),
    };
}

/** The least of the four Bernstein values: f is nowhere below it. */
static double
cubic_least(const double c[4], double x0, double x1)
{
    double third = (x1 - x0) / 3;
    double f0 = cubic_at(c, x0), f1 = cubic_at(c, x1);

    return fmin(fmin(f0, f1),
                fmin(f0 + third * cubic_first(c, x0), f1 - third * cubic_first(c, x1)));
}

/** A law of the station becomes one of u: f' s', f'' s'^2 + f' s''. */
static Rates
along_u(Rates f, const Path *path)
{
    return (Rates){f.first * path->high,
                   f.second * path->high * path->high + f.first * path->slope};
}

/** The strip's part of its law's span. */
typedef struct Part {
    const TbLawSpan *law;
    double x0, x1; /**< stations from the span's start */
    Path path;
} Part;

static Rates
law_rates(const Part *part, const double c[4])
{
    return along_u(cubic_rates(c, part->x0, part->x1), &part->path);
}

/** Of the half width and half height: growth per size, and how their ratio turns. */
typedef struct Sizes {
    Rates a, b;   /**< |a'| / a, |a''| / a; the same for b */
    Rates aspect; /**< of ln(a / b) */
    Rates mix;    /**< of w */
    bool exist;
} Sizes;

static Rates
mix_rates(const Part *part)
{
    static const double smoothstep[4] = {0, 0, 3, -2};
    double length = part->law->length;
    Rates w;

    if (!(length > 0))
        return (Rates){0, 0};
    w = cubic_rates(smoothstep, part->x0 / length, part->x1 / length);
    return along_u((Rates){w.first / length, w.second / (length * length)}, &part->path);
}

static double
mix_at(const TbLawSpan *law, double x)
{
    double y = law->length > 0 ? fmin(1, fmax(0, x / law->length)) : 0;

    return y * y * (3 - 2 * y);
}

/** Width and height follow their own cubics. */
static Sizes
sizes_of_size(const Part *part)
{
    Sizes s = {.exist = false};
    Rates *rates[2] = {&s.a, &s.b};

    for (int k = 0; k < 2; k++) {
        double least = cubic_least(part->law->size[k], part->x0, part->x1);
        Rates f = law_rates(part, part->law->size[k]);

        if (!(least > 0))
            return s;
        *rates[k] = (Rates){f.first / least, f.second / least};
    }
    /* (ln a)' = a'/a, (ln a)'' = a''/a - (a'/a)^2 */
    s.aspect.first = s.a.first + s.b.first;
    s.aspect.second = s.a.second + s.a.first * s.a.first + s.b.second + s.b.first * s.b.first;
    s.exist = true;
    return s;
}

/** Area and aspect do: 2 ln a = ln A - ln G + rho, 2 ln b = ln A - ln G - rho. */
static Sizes
sizes_of_area(const Part *part, Rates mix)
{
    const double *g = part->law->pair.area;
    Sizes s = {.exist = false};
    double w0 = mix_at(part->law, part->x0), w1 = mix_at(part->law, part->x1);
    double g0 = g[0] + w0 * (g[1] + w0 * g[2]), g1 = g[0] + w1 * (g[1] + w1 * g[2]);
    double slope0 = g[1] + 2 * w0 * g[2], slope1 = g[1] + 2 * w1 * g[2];
    double slope = fmax(fabs(slope0), fabs(slope1));
    double area_least = cubic_least(part->law->size[0], part->x0, part->x1);
    double g_least = fmin(fmin(g0, g1), g0 + 0.5 * (w1 - w0) * slope0);
    Rates area = law_rates(part, part->law->size[0]), log_size, blend;

    if (!(area_least > 0) || !(g_least > 0))
        return s;
    area = (Rates){area.first / area_least, area.second / area_least};
    blend = (Rates){slope * mix.first / g_least,
                    (2 * fabs(g[2]) * mix.first * mix.first + slope * mix.second) / g_least};
    s.aspect = law_rates(part, part->law->size[1]);
    log_size.first = 0.5 * (area.first + blend.first + s.aspect.first);
    log_size.second = 0.5 * (area.second + area.first * area.first + blend.second +
                             blend.first * blend.first + s.aspect.second);
    s.a = (Rates){log_size.first, log_size.second + log_size.first * log_size.first};
    s.b = s.a;
    s.exist = true;
    return s;
}

static Sizes
sizes_over(const Part *part)
{
    Rates mix = mix_rates(part);
    Sizes s = part->law->by_size ? sizes_of_size(part) : sizes_of_area(part, mix);

    s.mix = mix;
    return s;
}

/** One coordinate of a point of the inner section: x = a (u + w (u2 - u)), |u| <= extent,
 * |u2 - u| <= difference, 0 <= w <= 1. */
static Rates
coordinate_rates(double size, double extent, double difference, Rates a, Rates w)
{
    return (Rates){
        size * (a.first * extent + difference * w.first),
        size * (a.second * extent + 2 * a.first * difference * w.first + difference * w.second)};
}

static double
largest_extent(const TbLawSpan *law, int side, int other)
{
    return fmax(fmax(law->from.half[side], law->from.half[other]),
                fmax(law->to.half[side], law->to.half[other]));
}

/** Suprema for the point q of the section, in the section's own turning axes. */
typedef struct Section {
    Rates turn, point, skin;
    double reach; /**< |q| */
    bool exists;
} Section;

static Section
section_over(
    const Part *part, const TbDisc *disc0, const TbDisc *disc1, double reach, double h, bool outer)
{
    const TbLawSpan *law = part->law;
    Sizes sizes = sizes_over(part);
    Section s = {.turn = law_rates(part, law->turn), .exists = sizes.exist};
    Rates x, y, ow, oh, wall;
    double a, b, thick;

    if (!sizes.exist)
        return s;
    /* from the nearer end a size can grow at most by exp(|a'|/a * h/2) */
    a = fmax(disc0->slice.a, disc1->slice.a) * exp(0.5 * h * sizes.a.first);
    b = fmax(disc0->slice.b, disc1->slice.b) * exp(0.5 * h * sizes.b.first);
    x = coordinate_rates(a, largest_extent(law, TB_SIDE_RIGHT, TB_SIDE_LEFT),
                         law->pair.difference.x, sizes.a, sizes.mix);
    y = coordinate_rates(b, largest_extent(law, TB_SIDE_UP, TB_SIDE_DOWN), law->pair.difference.y,
                         sizes.b, sizes.mix);
    ow = law_rates(part, law->offset_w);
    oh = law_rates(part, law->offset_h);
    s.point.first = hypot(x.first, y.first) + hypot(ow.first, oh.first);
    s.point.second = hypot(x.second, y.second) + hypot(ow.second, oh.second);
    s.skin = s.point;
    if (outer) {
        Rates f = {0.5 * sizes.aspect.first,
                   0.5 * sizes.aspect.second + 0.25 * sizes.aspect.first * sizes.aspect.first};

        wall = law_rates(part, law->wall);
        thick = fmax(disc0->slice.wall, disc1->slice.wall) + 0.5 * h * wall.first;
        s.point.first += wall.first;
        s.point.second += wall.second;
        s.skin.first += wall.first + thick * f.first;
        s.skin.second +=
            wall.second + 2 * wall.first * f.first + thick * (f.first * f.first + f.second);
    }
    /* q(u) strays from its chord, whose ends the two slices hold */
    s.reach = reach + 0.125 * h * h * s.point.second;
    return s;
}

/** Twist of the frame about the tangent: |tau|, |tau'|. */
static Rates
twist_over(const TbPiece *piece, double u0, double u1, const Path *path, Rates turn)
{
    Rates theta = cubic_rates(piece->theta, u0, u1);
    /* the smallest rotation from the node: half the angle it has turned; none in one plane */
    double half_tan = tan(fmin(1.5, 0.5 * piece->bend * u1));
    Rates swing = {half_tan * path->bend,
                   half_tan * path->bend_slope + half_tan * half_tan * path->bend * path->bend};

    if (piece->span->kind == TB_SPAN_ARC)
        swing = (Rates){0, 0};
    return (Rates){turn.first + swing.first + theta.first,
                   turn.second + swing.second + theta.second};
}

/** |drift''|: the smoothstep of the share of the whole path, times how unlike the ends are. */
static double
drift_second(const TbPiece *piece, const TbStrip *strip, const Path *path)
{
    static const double smoothstep[4] = {0, 0, 3, -2};
    const TbDrift *drift = piece->drift;
    Rates w;

    if (drift == NULL)
        return 0;
    w = cubic_rates(smoothstep, strip->disc0.station / drift->length,
                    strip->disc1.station / drift->length);
    w = along_u((Rates){w.first / drift->length, w.second / (drift->length * drift->length)}, path);
    return tb_vec3_distance(drift->start, drift->end) * w.second;
}

static TbStripBound
bound_over(const TbStrip *strip, bool outer, const double end[2])
{
    const TbPiece *piece = strip->piece;
    double h = strip->u1 - strip->u0;
    TbStripBound b = {.stray = NO_BOUND, .skin = NO_BOUND, .speed = 1};
    Part part = {.law = piece->law, .path = path_over(piece, strip->u0, strip->u1)};
    const Path *path = &part.path;
    Section section;
    Rates twist;
    double omega, omega1, frame, drift;

    b.end[0] = end[0];
    b.end[1] = end[1];
    b.eighth = 0.125 * h * h;
    b.widening = b.eighth * b.stray;
    part.x0 = fmin(fmax(strip->disc0.station - part.law->start, 0), part.law->length);
    part.x1 = fmin(fmax(strip->disc1.station - part.law->start, part.x0), part.law->length);
    if (!path->exists)
        return b;
    section = section_over(&part, &strip->disc0, &strip->disc1, fmax(b.end[0], b.end[1]), h, outer);
    if (!section.exists)
        return b;
    twist = twist_over(piece, strip->u0, strip->u1, path, section.turn);
    omega = hypot(path->bend, twist.first);
    omega1 = path->bend_slope + twist.second + twist.first * path->bend;
    drift = drift_second(piece, strip, path);
    frame = path->c2 + (omega1 + omega * omega) * section.reach + drift;
    b.stray = (frame + 2 * omega * section.point.first + section.point.second) * SPARE *
              tb_strip_stray_factor;
    b.skin = (frame + 2 * omega * section.skin.first + section.skin.second) * SPARE *
             tb_strip_stray_factor;
    b.widening = b.eighth * b.stray;
    b.curve0 = path->start.c2;
    b.curve1 = path->end.c2;
    b.curve_sag = path->sag;
    b.middle = path->tangent;
    b.lean = 0.5 * h * path->bend;
    b.k = path->bend;
    b.t2 = path->bend_slope;
    b.speed = path->low;
    b.speed1 = path->slope;
    b.reach = section.reach;
    b.slide = section.point.first;
    b.twist = twist.first;
    b.rest = (twist.second + twist.first * twist.first) * section.reach +
             2 * twist.first * section.point.first + section.point.second + drift;
    b.known = true;
    return b;
}

TbStrip
tb_strip_between(const TbPiece *piece, double u0, double u1, TbDisc disc0, TbDisc disc1, bool outer)
{
    const double end[2] = {tb_slice_radius(&disc0.slice, outer),
                           tb_slice_radius(&disc1.slice, outer)};
    TbStrip strip = {.piece = piece, .u0 = u0, .u1 = u1, .disc0 = disc0, .disc1 = disc1};

    strip.bound = bound_over(&strip, outer, end);
    return strip;
}

TbStrip
tb_strip_after(const TbStrip *before, double u1, TbDisc disc1, bool outer)
{
    const double end[2] = {before->bound.end[1], tb_slice_radius(&disc1.slice, outer)};
    TbStrip strip = {
        .piece = before->piece, .u0 = before->u1, .u1 = u1, .disc0 = before->disc1, .disc1 = disc1};

    strip.bound = bound_over(&strip, outer, end);
    return strip;
}

void
tb_strip_halves(const TbStrip *strip, bool outer, TbStrip half[2])
{
    double middle = 0.5 * (strip->u0 + strip->u1);
    TbDisc disc = tb_piece_disc(strip->piece, middle);
    const double end[3] = {strip->bound.end[0], tb_slice_radius(&disc.slice, outer),
                           strip->bound.end[1]};

    half[0] = half[1] = (TbStrip){.piece = strip->piece, .u0 = strip->u0, .u1 = strip->u1};
    half[0].u1 = half[1].u0 = middle;
    half[0].disc0 = strip->disc0;
    half[0].disc1 = half[1].disc0 = disc;
    half[1].disc1 = strip->disc1;
    for (int i = 0; i < 2; i++)
        half[i].bound = bound_over(&half[i], outer, end + i);
}

TbStrip
tb_strip_of(const TbPiece *piece, double u0, double u1, bool outer)
{
    return tb_strip_between(piece, u0, u1, tb_piece_disc(piece, u0), tb_piece_disc(piece, u1),
                            outer);
}

double
tb_strip_stray_along(const TbStripBound *b, TbVec3 d)
{
    double c0 = tb_vec3_dot(d, b->curve0), c1 = tb_vec3_dot(d, b->curve1);
    double least = (c0 < c1 ? c0 : c1) - b->curve_sag;
    double most = (fabs(c0) > fabs(c1) ? fabs(c0) : fabs(c1)) + b->curve_sag;
    double lean = fabs(tb_vec3_dot(d, b->middle)) + b->lean;
    double along = lean < 1 ? lean : 1;                     /* |d . T| */
    double turning = (most + b->speed1 * along) / b->speed; /* |d . T'| */
    double stray;

    if (!b->known)
        return b->stray;
    stray = -least + b->reach * (b->t2 * along + b->k * turning + 2 * b->k * b->twist * along) +
            2 * b->k * along * b->slide + b->rest;
    stray *= SPARE * tb_strip_stray_factor;
    return stray < b->stray ? (stray > 0 ? stray : 0) : b->stray;
}

double
tb_strip_share_second(const TbStrip *strip, double length)
{
    static const double smoothstep[4] = {0, 0, 3, -2};
    const TbStripBound *b = &strip->bound;
    Rates w = cubic_rates(smoothstep, strip->disc0.station / length, strip->disc1.station / length);
    /* |C'| is at most as far above its least as it changes over the strip */
    double speed = b->speed + (strip->u1 - strip->u0) * b->speed1;

    return b->known ? w.second / (length * length) * speed * speed + w.first / length * b->speed1
                    : NO_BOUND;
}

double
tb_strip_beyond(const TbStripBound *bound, TbVec3 d, double h0, double h1)
{
    double difference = fabs(h1 - h0);
    double full, along;

    /* nothing once the ends differ by four widenings: mostly known without the signed bound */
    full = 4 * bound->widening;
    if (difference >= full)
        return 0;
    along = 4 * bound->eighth * tb_strip_stray_along(bound, d);
    if (difference >= along)
        return 0;
    return (along - difference) * (along - difference) / (4 * along);
}

double
tb_strip_furthest(const TbStrip *strip, TbVec3 d)
{
    double h0 = tb_disc_furthest(&strip->disc0, d, true);
    double h1 = tb_disc_furthest(&strip->disc1, d, true);

    return (h0 > h1 ? h0 : h1) + tb_strip_beyond(&strip->bound, d, h0, h1);
}

TbConvex
tb_strip_convex(const TbStrip *strip, bool outer)
{
    TbConvex body = {.discs = 2, .outer = outer, .bound = &strip->bound};

    body.disc[0] = &strip->disc0;
    body.disc[1] = &strip->disc1;
    return body;
}

TbVec3
tb_strip_ball(const TbStrip *strip, double *radius)
{
    TbVec3 centre = tb_vec3_mix(strip->disc0.centre, strip->disc1.centre, 0.5);
    double r0 = tb_vec3_distance(strip->disc0.centre, centre) + strip->bound.end[0];
    double r1 = tb_vec3_distance(strip->disc1.centre, centre) + strip->bound.end[1];

    *radius = fmax(r0, r1) + strip->bound.widening + TB_TOL_ROUND;
    return centre;
}

/** Box of a circle about the disc's centre that holds the section. The sine comes from the other
 * two coordinates: 1 - t.x^2 would lose a lean of 1e-8 altogether. */
static TbBox3
disc_box(const TbDisc *disc, double reach)
{
    TbVec3 t = disc->frame.t;
    TbVec3 half = {reach * hypot(t.y, t.z), reach * hypot(t.z, t.x), reach * hypot(t.x, t.y)};

    return (TbBox3){tb_vec3_sub(disc->centre, half), tb_vec3_add(disc->centre, half)};
}

TbBox3
tb_strip_box(const TbStrip *strip)
{
    TbBox3 box = tb_box3_union(disc_box(&strip->disc0, strip->bound.end[0]),
                               disc_box(&strip->disc1, strip->bound.end[1]));

    return tb_box3_grown(box, strip->bound.widening + TB_TOL_ROUND);
}
