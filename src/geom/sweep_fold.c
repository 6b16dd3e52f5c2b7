/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Where a sweep is worst in what depends on the path's curvature (folds, bends): sampled finely on
 * every piece, which turns by 0.15 rad at most, and refined.
 */

#include "geom/sweep_private.h"

/** Relative. Samples that differ by less are one flat. */
#define FLAT 1e-12

/** Samples of a piece: one every hundredth of a radian. */
#define SAMPLES 17

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
fold_of(const TbDisc *disc, TbVec3 k, bool outer)
{
    TbVec3 contact;

    return tb_disc_support(disc, k, outer, &contact) - tb_vec3_dot(k, disc->centre);
}

static double
fold_at(const Measure *measure, const TbPiece *piece, double u)
{
    TbDisc disc;

    if (piece->bend == 0)
        return 0;
    disc = tb_piece_disc(piece, u);
    return fold_of(&disc, curvature_at(piece, u), measure->outer);
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

        if (before && after)
            tb_sweep__broken(worst, tb_piece__station(piece, u[i - 1]),
                             tb_piece__station(piece, u[i]));
        else if (before)
            tb_sweep__broken(worst, tb_piece__station(piece, u[i - 1]),
                             crossing(measure, piece, u[i - 1], u[i]));
        else if (after)
            tb_sweep__broken(worst, crossing(measure, piece, u[i], u[i - 1]),
                             tb_piece__station(piece, u[i]));
    }
}

/** The worst so far, and where it is. */
typedef struct Scan {
    Measure measure;
    TbSweepWorst worst;
    const TbPiece *piece;
    double u;
} Scan;

static double
sample_place(const TbPiece *piece, int i)
{
    return piece->extent * i / (SAMPLES - 1);
}

/** Move each inner peak of a piece's samples to its top, keep the highest and the broken range. */
static void
scan_piece(Scan *scan, const TbPiece *piece, double f[SAMPLES])
{
    const Measure *measure = &scan->measure;
    double u[SAMPLES];

    for (int i = 0; i < SAMPLES; i++)
        u[i] = sample_place(piece, i);
    for (int i = 1; i + 1 < SAMPLES; i++) {
        if (f[i] < f[i - 1] || f[i] < f[i + 1] || f[i] - fmin(f[i - 1], f[i + 1]) <= FLAT * f[i])
            continue;
        u[i] = climb(measure, piece, u[i - 1], u[i + 1]);
        f[i] = measure->at(measure, piece, u[i]);
    }
    for (int i = 0; i < SAMPLES; i++)
        if (f[i] > scan->worst.value * (1 + FLAT)) {
            scan->worst.value = f[i];
            scan->worst.station = tb_piece__station(piece, u[i]);
            scan->piece = piece;
            scan->u = u[i];
        }
    scan_range(measure, piece, u, f, &scan->worst);
}

/** Straight: nothing to be found. */
static bool
is_empty(const TbPiece *piece, const Measure *measure)
{
    return piece->bend == 0 && !is_broken(measure, 0);
}

/** Samples of one row of sections: of the gas side, and of the wall's outside. */
static void
sample_folds(const TbPiece *piece, double inner[SAMPLES], double outer[SAMPLES])
{
    for (int i = 0; i < SAMPLES; i++) {
        double u = sample_place(piece, i);
        TbVec3 k = curvature_at(piece, u);
        TbDisc disc = tb_piece_disc(piece, u);

        inner[i] = piece->bend == 0 ? 0 : fold_of(&disc, k, false);
        outer[i] = piece->bend == 0 ? 0 : fold_of(&disc, k, true);
    }
}

/** Room of bounds for rounding: relative, and of what is nearly straight. */
#define BOUND_ROOM 1e-9
#define BOUND_LEAST 1e-12

/** No curvature of the piece is above; from the bound of |dT/du| and the least speed. */
static double
most_curved(const TbPiece *piece)
{
    double h = piece->extent, most, least;
    TbVec3 middle;

    if (piece->span->kind == TB_SPAN_ARC || piece->bend == 0)
        return piece->bend;
    middle = tb_span_jet(piece->span, piece->u0 + 0.5 * h).c1;
    most = fmax(tb_vec3_length(tb_span_jet(piece->span, piece->u0).c2),
                tb_vec3_length(tb_span_jet(piece->span, piece->u0 + h).c2));
    least = tb_vec3_length(middle) - 0.5 * h * most;
    return least > 0 ? piece->bend / least : HUGE_VAL;
}

/** No fold of the piece is above. */
static double
most_folded(const TbPiece *piece)
{
    return most_curved(piece) * tb_piece__reach(piece) * (1 + BOUND_ROOM) + BOUND_LEAST;
}

/**
 * The largest sample of the piece that may be worst, of the side where it is smaller: what stays
 * below is not worst on any side.
 */
static double
least_worst(const TbSweep *sweep)
{
    double most = -1, inner[SAMPLES], outer[SAMPLES], largest[2] = {0, 0};
    const TbPiece *piece = &sweep->pieces[0];

    for (size_t i = 0; i < sweep->count; i++) {
        double bound = most_folded(&sweep->pieces[i]);

        if (bound > most) {
            most = bound;
            piece = &sweep->pieces[i];
        }
    }
    sample_folds(piece, inner, outer);
    for (int i = 0; i < SAMPLES; i++) {
        largest[0] = fmax(largest[0], inner[i]);
        largest[1] = fmax(largest[1], outer[i]);
    }
    return fmin(largest[0], largest[1]) * (1 - BOUND_ROOM);
}

static TbSweepWorst
worst_fold(const Scan *scan)
{
    TbSweepWorst worst = scan->worst;

    if (worst.value > 0) {
        TbVec3 k = curvature_at(scan->piece, scan->u);
        TbDisc disc = tb_piece_disc(scan->piece, scan->u);

        worst.angle = atan2(tb_vec3_dot(k, disc.frame.w), tb_vec3_dot(k, disc.frame.h));
    }
    return worst;
}

TbSweepFolds
tb_sweep_folds(const TbSweep *sweep, double limit)
{
    Scan scan[2] = {{.measure = {fold_at, false, limit, true}, .worst = TB_SWEEP_NOWHERE},
                    {.measure = {fold_at, true, limit, true}, .worst = TB_SWEEP_NOWHERE}};
    double inner[SAMPLES], outer[SAMPLES], least = fmin(limit, least_worst(sweep));

    for (size_t i = 0; i < sweep->count; i++) {
        const TbPiece *piece = &sweep->pieces[i];

        if (is_empty(piece, &scan[0].measure) || most_folded(piece) < least)
            continue;
        sample_folds(piece, inner, outer);
        scan_piece(&scan[0], piece, inner);
        scan_piece(&scan[1], piece, outer);
    }
    return (TbSweepFolds){.inner = worst_fold(&scan[0]), .outer = worst_fold(&scan[1])};
}

TbSweepWorst
tb_sweep_tightest(const TbSweep *sweep, double limit)
{
    Scan scan = {.measure = {bend_at, false, limit > 0 ? 1 / limit : HUGE_VAL, false},
                 .worst = TB_SWEEP_NOWHERE};
    double f[SAMPLES];

    for (size_t i = 0; i < sweep->count; i++) {
        const TbPiece *piece = &sweep->pieces[i];

        if (is_empty(piece, &scan.measure))
            continue;
        for (int k = 0; k < SAMPLES; k++)
            f[k] = bend_at(&scan.measure, piece, sample_place(piece, k));
        scan_piece(&scan, piece, f);
    }
    scan.worst.value = scan.worst.value > 0 ? 1 / scan.worst.value : HUGE_VAL;
    return scan.worst;
}
