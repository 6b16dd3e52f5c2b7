/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Which normals a ring's columns have: equal steps of the integral of sqrt(length x turning), so
 * that the outline rises about equally over all chords. It is tabled over each quadrant of normals,
 * graded towards the axes, where for large exponents nearly all of the outline has its normals.
 */

#include "geom/ring_private.h"

#include "base/fault.h"

/** Of the unit shape's half size: a shorter flat side is a rounding of a point. */
#define FLAT_LEAST 1e-13

/** ln of the normal's slope at the last sample before an axis: below it, even with exponent 50, the
 * outline rises by 1e-8 of its size. */
#define SLOPE_LIMIT 18.0

/** Cells of a quadrant before any is split, and halvings of one. */
#define CELLS 12
#define DEPTH 7

/** A cell is split where its share of sqrt(length x turning), in mean half sizes, is above: a
 * twentieth of a circle's quadrant. */
#define CELL_MOST 0.08

#define MOST_SAMPLES 160

/** Sections looked at to spread the normals: of a law with more, some of them. */
#define MOST_ENDS 6

/** Quadrants 1 and 3 run from the w axis to the h axis. */
static bool
runs_back(int quadrant)
{
    return quadrant % 2 == 1;
}

/* ---- how the outline turns in one quadrant ---- */

/** A section at an end of a span, for the spread of the normals. */
typedef struct End {
    const TbShape *shape;
    double a, b, wall; /**< in mean half sizes */
} End;

typedef struct Ends {
    int count;
    End end[MOST_ENDS];
} Ends;

/** One normal of a quadrant, from the h axis to the w axis. */
typedef struct Sample {
    double z;       /**< ln(p / q) */
    double p, q;    /**< unit normal of the unit shape, both 0 or more */
    double measure; /**< integral of sqrt(length x turning) up to here, mean of all ends */
    TbVec2 point[MOST_ENDS], normal[MOST_ENDS]; /**< of the outline at each end */
} Sample;

typedef struct Quadrant {
    const Ends *ends;
    TbQuarter quarter[MOST_ENDS]; /**< of the unit shapes */
    int count;
    Sample sample[MOST_SAMPLES];
} Quadrant;

static Sample
sample_at(const Quadrant *quadrant, double z, double p, double q)
{
    double length = sqrt(p * p + q * q);
    Sample s = {.z = z, .p = p / length, .q = q / length};

    for (int i = 0; i < quadrant->ends->count; i++) {
        const End *end = &quadrant->ends->end[i];
        TbVec2 n = tb_vec2(s.p / end->a, s.q / end->b), contact;

        n = tb_vec2_scale(n, 1 / tb_vec2_length(n));
        tb_quarter_support(&quadrant->quarter[i], s.p, s.q, &contact);
        s.normal[i] = n;
        s.point[i] =
            tb_vec2(end->a * contact.x + end->wall * n.x, end->b * contact.y + end->wall * n.y);
    }
    return s;
}

static Sample
sample_between(const Quadrant *quadrant, double z)
{
    return z > 0 ? sample_at(quadrant, z, 1, exp(-z)) : sample_at(quadrant, z, exp(z), 1);
}

static double
cell_measure(const Sample *from, const Sample *to, int ends)
{
    double sum = 0;

    for (int i = 0; i < ends; i++)
        sum += sqrt(tb_vec2_length(tb_vec2_sub(to->point[i], from->point[i])) *
                    tb_vec2_length(tb_vec2_sub(to->normal[i], from->normal[i])));
    return sum / ends;
}

/** Add the samples after the last one up to @p to. */
static void
add_cell(Quadrant *quadrant, Sample to, int depth)
{
    Sample from = quadrant->sample[quadrant->count - 1];
    double share = cell_measure(&from, &to, quadrant->ends->count);

    /* each level still to come may add one sample */
    if (depth > 0 && share > CELL_MOST && quadrant->count + CELLS + DEPTH < MOST_SAMPLES) {
        add_cell(quadrant, sample_between(quadrant, 0.5 * (from.z + to.z)), depth - 1);
        add_cell(quadrant, to, depth - 1);
        return;
    }
    to.measure = from.measure + share;
    quadrant->sample[quadrant->count++] = to;
}

/** The two cells that end on an axis are not split: next to nothing rises there. */
static void
sample_quadrant(Quadrant *quadrant)
{
    quadrant->sample[0] = sample_at(quadrant, -SLOPE_LIMIT, 0, 1);
    quadrant->count = 1;
    for (int i = 0; i <= CELLS; i++)
        add_cell(quadrant, sample_between(quadrant, SLOPE_LIMIT * (2.0 * i / CELLS - 1)),
                 i > 0 ? DEPTH : 0);
    add_cell(quadrant, sample_at(quadrant, SLOPE_LIMIT, 1, 0), 0);
}

/* ---- spreading the normals ---- */

static double
flat_of(const TbShape *shape, int quadrant)
{
    TbQuarter here = tb_shape_quarter(shape, tb_ring__corner[quadrant], 1, 1);
    TbQuarter next = tb_shape_quarter(shape, tb_ring__corner[(quadrant + 1) % 4], 1, 1);

    return runs_back(quadrant) ? here.at_w + next.at_w : here.at_h + next.at_h;
}

/** Note the sides between a quadrant and the next one that are flat in a shape. */
static void
find_flats(const TbShape *shape, bool flat[4])
{
    for (int q = 0; q < 4; q++)
        flat[q] = flat[q] || flat_of(shape, q) > FLAT_LEAST;
}

/** Fill a quadrant's samples; false where they are the last quadrant's. */
static bool
take_quadrant(Quadrant *quadrant, int number)
{
    bool same = number > 0;

    for (int i = 0; i < quadrant->ends->count; i++) {
        TbQuarter quarter =
            tb_shape_quarter(quadrant->ends->end[i].shape, tb_ring__corner[number], 1, 1);

        same = same && tb_quarter_equal(&quarter, &quadrant->quarter[i]);
        quadrant->quarter[i] = quarter;
    }
    if (!same)
        sample_quadrant(quadrant);
    return !same;
}

static double
quadrant_measure(const Quadrant *quadrant)
{
    return quadrant->sample[quadrant->count - 1].measure;
}

/** The normals of a quadrant in equal steps of its measure, from the h axis to the w axis. */
static void
spread(const Quadrant *quadrant, size_t steps, TbVec2 normal[])
{
    double whole = quadrant_measure(quadrant);
    int cell = 0;

    normal[0] = tb_vec2(0, 1);
    for (size_t j = 1; j < steps; j++) {
        double at = whole * (double)j / (double)steps, k;
        const Sample *from, *to;
        TbVec2 n;

        while (cell + 2 < quadrant->count && quadrant->sample[cell + 1].measure <= at)
            cell++;
        from = &quadrant->sample[cell];
        to = from + 1;
        k = to->measure > from->measure ? (at - from->measure) / (to->measure - from->measure) : 0;
        n = tb_vec2(from->p + k * (to->p - from->p), from->q + k * (to->q - from->q));
        normal[j] = tb_vec2_scale(n, 1 / tb_vec2_length(n));
    }
    normal[steps] = tb_vec2(1, 0);
}

/** Shares of the columns for the quadrants, in step with the measure; one or more each. */
static void
share_columns(const double measure[4], size_t columns, size_t steps[4])
{
    double sum = measure[0] + measure[1] + measure[2] + measure[3], past = 0;
    size_t used = 0;

    for (size_t q = 0; q < 4; q++) {
        size_t least = used + 1, most = columns - (3 - q), end;

        past += measure[q];
        end = q < 3 ? (size_t)((double)columns * (past / sum) + 0.5) : columns;
        end = end < least ? least : end > most ? most : end;
        steps[q] = end - used;
        used = end;
    }
}

/** Put a quadrant's normals, which run from the h axis, where they belong in the ring. */
static void
place_normals(TbRingPlan *plan, size_t q, size_t steps, const TbVec2 normal[])
{
    for (size_t j = 0; j <= steps; j++) {
        TbVec2 n = normal[runs_back((int)q) ? steps - j : j];
        size_t column = plan->first[q] + j;

        if (column < plan->columns)
            plan->normal[column] = tb_vec2(tb_ring__sign_w[q] * n.x, tb_ring__sign_h[q] * n.y);
    }
}

static void
choose_normals(const Ends *ends, const bool flat[4], size_t columns, TbRingPlan *plan)
{
    Quadrant quadrant = {.ends = ends};
    TbVec2 normal[TB_RING_MOST + 1];
    double measure[4];
    size_t steps[4], flats = 0, column = 0, have = 0;

    plan->columns = columns;
    plan->normal[columns % 2 == 0 ? 0 : columns] = tb_vec2(0, 1); /* of an odd last pair */
    for (int q = 0; q < 4; q++) {
        take_quadrant(&quadrant, q);
        measure[q] = quadrant_measure(&quadrant);
        flats += flat[q];
    }
    share_columns(measure, columns - flats, steps);
    for (size_t q = 0; q < 4; q++) {
        plan->first[q] = column;
        column += steps[q];
        plan->last[q] = column;
        column += flat[q];
    }
    for (size_t q = 0; q < 4; q++) {
        if (take_quadrant(&quadrant, (int)q) || steps[q] != have)
            spread(&quadrant, steps[q], normal);
        have = steps[q];
        place_normals(plan, q, steps[q], normal);
    }
}

static void
add_end(Ends *ends, const TbLawSpan *span, bool last)
{
    TbSlice slice = tb_law_in_span(span, span->start + (last ? span->length : 0));
    double mean = 0.5 * (slice.a + slice.b);

    ends->end[ends->count++] =
        (End){last ? &span->to : &span->from, slice.a / mean, slice.b / mean, slice.wall / mean};
}

void
tb_ring_plan_of_span(const TbLawSpan *span, size_t columns, TbRingPlan *plan)
{
    Ends ends = {.count = 0};
    bool flat[4] = {false};

    TB_ASSERT(columns >= TB_RING_LEAST && columns <= TB_RING_MOST);
    add_end(&ends, span, false);
    add_end(&ends, span, true);
    find_flats(&span->from, flat);
    find_flats(&span->to, flat);
    choose_normals(&ends, flat, columns, plan);
    tb_ring_plan_move(span, plan);
}

void
tb_ring_plan_of_law(const TbLaw *law, size_t columns, TbRingPlan *plan)
{
    size_t spans = tb_law_span_count(law);
    size_t taken = spans < MOST_ENDS ? spans : MOST_ENDS - 1;
    Ends ends = {.count = 0};
    bool flat[4] = {false};

    TB_ASSERT(columns >= TB_RING_LEAST && columns <= TB_RING_MOST);
    for (size_t i = 0; i < taken; i++)
        add_end(&ends, tb_law_span(law, i * spans / taken), false);
    add_end(&ends, tb_law_span(law, spans - 1), true);
    for (size_t i = 0; i < spans; i++) {
        find_flats(&tb_law_span(law, i)->from, flat);
        find_flats(&tb_law_span(law, i)->to, flat);
    }
    choose_normals(&ends, flat, columns, plan);
    tb_ring_plan_move(tb_law_span(law, 0), plan);
}
