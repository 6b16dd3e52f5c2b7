/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Volume and centroid by the generalised theorem of Pappus and Guldin. The point C(s) + q, q in the
 * section's plane, moves with C' + q' = (1 - k . q) T + (turn about T), k the path's curvature
 * vector, so the map from (s, q) to space has the Jacobian 1 - k . q (Goodman and Goodman,
 * "Generalizations of the theorems of Pappus", Amer. Math. Monthly 76, 1969). Hence dV =
 * (A - k . S) ds with the section's area A and first moment S about the path's point, and its
 * first moment in space is C dV + (S - I k) ds with the second moments I. Turn does not enter.
 *
 * A section's moments cost a quadrature around its outline, and between two given sections they
 * are analytic in the station. So they are tabulated there at Chebyshev's places, in the section's
 * own axes, twice as many until the values between the old places are met; and the integral along
 * the path, which needs many more places, interpolates.
 */

#include "base/mem.h"
#include "geom/curve_private.h"
#include "geom/sweep_private.h"

#include <string.h>

/** Relative. A rule of degree 15 and one of degree 5 at six of its places agree to this; what the
 * first then lacks is far less. */
#define VOLUME_AGREES 1e-9

/** Halvings of a piece. */
#define MOST_HALVINGS 14

/** Relative to the largest. Interpolated moments meet computed ones to this. */
#define TABLE_AGREES 1e-11

/** Intervals of the first and the largest table; a law that needs more is not tabulated. */
enum { TABLE_LEAST = 8, TABLE_MOST = 64 };

/** Area, two first and three second moments, without and with the wall. */
enum { FIELDS = 12 };

/** Moments over a span of the law, at cos(pi j / intervals). Lends nothing of the span. */
typedef struct TbLawMoments {
    int intervals; /**< 0: not tabulated */
    bool constant; /**< all alike: the first place says all */
    double place[TABLE_MOST + 1];
    double at[TABLE_MOST + 1][FIELDS];
} Table;

/** A span of the law and its table. */
typedef struct Tabled {
    const TbLawSpan *law;
    const Table *table;
} Tabled;

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

/** Moments of a section in its own axes. */
static void
moments_at(const TbLawSpan *law, double station, double out[FIELDS])
{
    TbSlice slice = tb_law_in_span(law, station);

    slice.turn = 0;
    for (int i = 0; i < 2; i++, out += FIELDS / 2) {
        TbMoments m = tb_slice_moments(&slice, i == 1 && slice.wall > 0);

        out[0] = m.area;
        out[1] = m.first.x;
        out[2] = m.first.y;
        out[3] = m.ww;
        out[4] = m.wh;
        out[5] = m.hh;
    }
}

/** The barycentric formula for Chebyshev's places (Berrut and Trefethen, "Barycentric Lagrange
 * interpolation", SIAM Review 46, 2004); y from -1 to 1. */
static void
interpolate(const Table *table, double y, double out[FIELDS])
{
    double total = 0, sum[FIELDS] = {0};
    int n = table->intervals;

    for (int j = 0; j <= n; j++) {
        double off = y - table->place[j], weight;

        if (off == 0) {
            memcpy(out, table->at[j], sizeof table->at[j]);
            return;
        }
        weight = (j % 2 ? -1 : 1) * (j == 0 || j == n ? 0.5 : 1) / off;
        total += weight;
#pragma GCC unroll 12
        for (int k = 0; k < FIELDS; k++)
            sum[k] += weight * table->at[j][k];
    }
    for (int k = 0; k < FIELDS; k++)
        out[k] = sum[k] / total;
}

static double
table_station(const TbLawSpan *law, double y)
{
    return law->start + 0.5 * (1 + y) * law->length;
}

/** Places between the old ones. @return true when the old ones foretold them. */
static bool
refine(Table *table, const TbLawSpan *law)
{
    Table old = *table;
    int n = 2 * old.intervals;
    bool agrees = true;

    table->intervals = n;
    for (int j = 0; j <= n; j++) {
        double y = cos(M_PI * j / n), told[FIELDS];

        table->place[j] = y;
        if (j % 2 == 0) {
            memcpy(table->at[j], old.at[j / 2], sizeof told);
            continue;
        }
        interpolate(&old, y, told);
        moments_at(law, table_station(law, y), table->at[j]);
        for (int k = 0; k < FIELDS; k++) {
            /* fields of one order are compared with the largest kind of that order */
            double area = table->at[j][k < FIELDS / 2 ? 0 : FIELDS / 2], size = sqrt(area);
            int order = k % (FIELDS / 2) == 0 ? 0 : k % (FIELDS / 2) < 3 ? 1 : 2;

            if (fabs(told[k] - table->at[j][k]) > TABLE_AGREES * area * pow(size, order))
                agrees = false;
        }
    }
    return agrees;
}

static bool
is_still(const double cubic[4])
{
    return cubic[1] == 0 && cubic[2] == 0 && cubic[3] == 0;
}

/** One section all along, but for its turn. */
static bool
is_constant(const TbLawSpan *law)
{
    return tb_shape_equal(&law->from, &law->to) && is_still(law->size[0]) &&
           is_still(law->size[1]) && is_still(law->wall) && is_still(law->offset_w) &&
           is_still(law->offset_h);
}

static void
tabulate(Table *table, const TbLawSpan *law)
{
    table->intervals = TABLE_LEAST;
    table->constant = is_constant(law);
    for (int j = 0; j <= (table->constant ? 0 : TABLE_LEAST); j++) {
        table->place[j] = cos(M_PI * j / TABLE_LEAST);
        moments_at(law, table_station(law, table->place[j]), table->at[j]);
    }
    if (table->constant)
        return;
    while (!refine(table, law))
        if (table->intervals == TABLE_MOST) {
            table->intervals = 0;
            return;
        }
}

static void
look_up(const Tabled *tabled, double station, double out[FIELDS])
{
    const Table *table = tabled->table;
    double y = 2 * (station - tabled->law->start) / tabled->law->length - 1;

    if (table->constant)
        memcpy(out, table->at[0], sizeof table->at[0]);
    else if (table->intervals > 0)
        interpolate(table, fmin(1, fmax(-1, y)), out);
    else
        moments_at(tabled->law, station, out);
}

/** What one station gives for each mm of u. */
static Sum
density(const Tabled *tabled, const TbPiece *piece, double u)
{
    double station = tb_piece__station(piece, u), turn = tb_law_turn_in_span(piece->law, station);
    TbSpanJet jet = tb_span_jet(piece->span, piece->u0 + u);
    TbFrame frame = tb_piece__frame(piece, tb_vec3_unit(jet.c1), u);
    double speed2 = tb_vec3_length2(jet.c1), speed = sqrt(speed2), fields[FIELDS];
    TbVec3 curvature = tb_vec3_scale(tb_vec3_across(jet.c2, frame.t), 1 / speed2);
    TbVec3 centre = tb_piece__drifted(piece, jet.c, station);
    double kw, kh;
    Sum out;

    if (turn != 0)
        frame = tb_frame_turned(frame, turn);
    kw = tb_vec3_dot(curvature, frame.w);
    kh = tb_vec3_dot(curvature, frame.h);
    look_up(tabled, station, fields);
    for (int i = 0; i < 2; i++) {
        const double *m = fields + i * (FIELDS / 2);
        double dv = m[0] - (kw * m[1] + kh * m[2]);
        TbVec3 moment = tb_vec3_scale(centre, dv);

        moment = tb_vec3_add_scaled(moment, m[1] - (m[3] * kw + m[4] * kh), frame.w);
        moment = tb_vec3_add_scaled(moment, m[2] - (m[4] * kw + m[5] * kh), frame.h);
        out.volume[i] = speed * dv;
        out.moment[i] = tb_vec3_scale(moment, speed);
    }
    return out;
}

/** Gauss's rule, and the one of degree 5 that leaves out its third places from the middle. */
static Sum
one_rule(const Tabled *tabled, const TbPiece *piece, double u0, double u1, Sum *rough)
{
    /* weights for 1, x^2 and x^4 over -1..1, from the first to the fourth place */
    static const double six[TB_GAUSS / 2] = {0.25633141972399062, 0.55895689927959472, 0,
                                             0.18471168099641467};
    double at[TB_GAUSS], weight[TB_GAUSS];
    Sum sum = {{0, 0}, {{0, 0, 0}, {0, 0, 0}}};

    *rough = sum;
    tb_gauss__places(u0, u1, at, weight);
    for (int i = 0; i < TB_GAUSS; i++) {
        Sum more = density(tabled, piece, at[i]);
        int place = i < TB_GAUSS / 2 ? TB_GAUSS / 2 - 1 - i : i - TB_GAUSS / 2;

        add(&sum, weight[i], &more);
        add(rough, 0.5 * (u1 - u0) * six[place], &more);
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

/** mm: no point of the section in the middle is further from the origin. */
static double
size_of(const TbPiece *piece, double u0, double u1)
{
    TbDisc disc = tb_piece_disc(piece, 0.5 * (u0 + u1));

    return tb_vec3_length(disc.centre) + tb_slice_reach(&disc.slice, true);
}

/** @return false when halving does not end. */
static bool
add_part(Sum *total, const Tabled *tabled, const TbPiece *piece, double u0, double u1, int halvings)
{
    double middle = 0.5 * (u0 + u1);
    Sum rough, whole = one_rule(tabled, piece, u0, u1, &rough);

    if (agrees(&rough, &whole, size_of(piece, u0, u1))) {
        add(total, 1, &whole);
        return true;
    }
    return halvings > 0 && add_part(total, tabled, piece, u0, middle, halvings - 1) &&
           add_part(total, tabled, piece, middle, u1, halvings - 1);
}

TbLawMoments *
tb_law_moments_new(const TbLawSpan *span)
{
    TbLawMoments *moments = tb_alloc(sizeof *moments);

    if (moments != NULL)
        tabulate(moments, span);
    return moments;
}

void
tb_law_moments_free(TbLawMoments *moments)
{
    tb_free(moments);
}

static void
set_volume(TbSweepVolume *out, const Sum *total)
{
    out->inner = total->volume[0];
    out->wall = total->volume[1] - total->volume[0];
    out->inner_centroid = tb_vec3_scale(total->moment[0], 1 / total->volume[0]);
    out->wall_centroid = out->inner_centroid;
    if (out->wall > 0)
        out->wall_centroid =
            tb_vec3_scale(tb_vec3_sub(total->moment[1], total->moment[0]), 1 / out->wall);
}

TbStatus
tb_sweep_volume_by(const TbSweep *sweep,
                   const TbLawMoments *const moments[],
                   TbSweepVolume *out,
                   TbFault *fault)
{
    const TbLawSpan *first = tb_law_span(sweep->law, 0);
    Sum total = {{0, 0}, {{0, 0, 0}, {0, 0, 0}}};
    Tabled tabled = {.law = NULL};
    Table own;

    for (size_t i = 0; i < sweep->count; i++) {
        const TbPiece *piece = &sweep->pieces[i];

        if (piece->law != tabled.law) {
            tabled.law = piece->law;
            tabled.table = moments == NULL ? NULL : moments[piece->law - first];
        }
        if (tabled.table == NULL) {
            tabulate(&own, piece->law);
            tabled.table = &own;
        }
        if (!add_part(&total, &tabled, piece, 0, piece->extent, MOST_HALVINGS))
            return tb_fail(fault, TB_E_NUMERIC,
                           "the volume does not settle between stations %.6g and %.6g mm",
                           piece->station0, piece->station0 + piece->length);
    }
    set_volume(out, &total);
    return TB_OK;
}

TbStatus
tb_sweep_volume(const TbSweep *sweep, TbSweepVolume *out, TbFault *fault)
{
    return tb_sweep_volume_by(sweep, NULL, out, fault);
}
