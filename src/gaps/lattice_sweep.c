/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * Lattices of a sweep. Rings stand at the ends of rows; each piece has rings of its own at both of
 * its ends, for two pieces may belong to two spans of the section law. Filled sections, at the ends
 * or at stations, have a second ring of which every point is the middle.
 */
#include "gaps/lattice_private.h"

#include "base/mem.h"
#include "geom/ring.h"
#include "geom/tol.h"

/** mm. A row whose strip may stray further than this from its chords is cut into more rows. */
#define MOST_SPARE 0.25

/** Relative: rounding of a chord's length to a float, upward. */
#define CHORD_ROUND_UP 1.000001f

/** Rows that one interval of a piece is cut into, at most. */
#define MOST_PARTS 64

/** Part of a piece between two stations asked for, and how many rows it becomes. */
typedef struct Interval {
    const TbPiece *piece;
    double u0, u1;
    size_t parts;
    TbStrip strip; /**< all of it */
} Interval;

typedef struct Plan {
    Interval *interval;
    size_t count, room;
    size_t rows, rings;
} Plan;

static size_t
parts_of(const TbStrip *strip)
{
    double spare = strip->bound.eighth * fmax(strip->bound.skin, strip->bound.stray);
    double parts = strip->bound.known ? ceil(sqrt(spare / MOST_SPARE)) : MOST_PARTS;

    return parts < 1 ? 1 : parts > MOST_PARTS ? MOST_PARTS : (size_t)parts;
}

static TbStatus
add_interval(Plan *plan, const TbPiece *piece, double u0, double u1)
{
    void *room = plan->interval;
    Interval *in;

    if (!(u1 > u0))
        return TB_OK;
    if (tb_grow_array(&room, &plan->room, plan->count, sizeof *plan->interval) != 0)
        return TB_E_MEMORY;
    plan->interval = room;
    in = &plan->interval[plan->count];
    *in = (Interval){.piece = piece, .u0 = u0, .u1 = u1};
    in->strip = plan->count > 0 && in[-1].piece == piece && in[-1].u1 == u0
                    ? tb_strip_after(&in[-1].strip, u1, tb_piece_disc(piece, u1), true)
                    : tb_strip_of(piece, u0, u1, true);
    in->parts = parts_of(&in->strip);
    plan->rows += in->parts;
    if (plan->count == 0 || plan->interval[plan->count - 1].piece != piece)
        plan->rings++;
    plan->rings += plan->interval[plan->count].parts;
    plan->count++;
    return TB_OK;
}

/** The intervals between stations and ends of pieces. */
static TbStatus
make_plan(Plan *plan, const TbSweep *sweep, const double stations[], size_t count)
{
    TbStatus status = TB_OK;
    size_t next = 0;

    for (size_t i = 0; i < tb_sweep_piece_count(sweep) && status == TB_OK; i++) {
        const TbPiece *piece = tb_sweep_piece(sweep, i);
        double end = piece->station0 + piece->length, u;

        if (end <= stations[0] || piece->station0 >= stations[count - 1])
            continue;
        u = stations[0] > piece->station0 ? tb_piece_u(piece, stations[0]) : 0;
        while (next < count && stations[next] <= piece->station0)
            next++;
        if (next == 0)
            next = 1;
        for (; next < count && stations[next] < end && status == TB_OK; next++) {
            double v = tb_piece_u(piece, stations[next]);

            status = add_interval(plan, piece, u, v);
            u = v > u ? v : u;
        }
        if (status == TB_OK && next < count)
            status = add_interval(plan, piece, u, piece->extent);
    }
    return status;
}

/** Where the filling stands. */
typedef struct Fill {
    TbLattice *lattice;
    TbRingPlan *plan;
    const TbLawSpan *span;
    size_t ring, row;
} Fill;

static void
add_ring(Fill *fill, const TbPiece *piece, const TbDisc *disc)
{
    TbLattice *lattice = fill->lattice;
    size_t at = fill->ring * lattice->columns;

    if (fill->span != piece->law)
        tb_ring_plan_move(piece->law, fill->plan);
    fill->span = piece->law;
    lattice->disc[fill->ring++] = *disc;
    tb_ring_points(disc, fill->plan, true, lattice->ring + at, lattice->meeting + at);
}

static TbVec3
middle_of(const TbVec3 points[], size_t count)
{
    TbVec3 sum = tb_vec3(0, 0, 0);

    for (size_t k = 0; k < count; k++)
        sum = tb_vec3_add(sum, points[k]);
    return tb_vec3_scale(sum, 1 / (double)count);
}

/** A ring of which every point is a section's middle. */
static void
add_inner(Fill *fill, size_t rim)
{
    TbLattice *lattice = fill->lattice;
    TbVec3 middle = middle_of(lattice->ring + rim * lattice->columns, lattice->columns);

    for (size_t k = 0; k < lattice->columns; k++) {
        lattice->ring[fill->ring * lattice->columns + k] = middle;
        lattice->meeting[fill->ring * lattice->columns + k] = middle;
    }
    lattice->disc[fill->ring++] = lattice->disc[rim];
}

/** A row of a filled section, from a ring that is there to the one added next. */
static void
set_section(Fill *fill, size_t at, size_t rim)
{
    TbLatticeRow *row = &fill->lattice->row[at];

    row->low = (uint32_t)rim;
    row->high = (uint32_t)fill->ring;
    row->flat_end = true;
}

static void
add_row(Fill *fill, const Interval *in, double u0, double u1)
{
    TbLattice *lattice = fill->lattice;
    TbDisc disc = in->parts == 1 ? in->strip.disc1 : tb_piece_disc(in->piece, u1);
    TbLatticeRow *row = &lattice->row[fill->row];

    row->low = (uint32_t)fill->ring - 1;
    row->high = (uint32_t)fill->ring;
    lattice->strip[fill->row] =
        in->parts == 1 ? in->strip
                       : tb_strip_between(in->piece, u0, u1, lattice->disc[row->low], disc, true);
    lattice->spare[fill->row] =
        lattice->strip[fill->row].bound.eighth *
        fmax(lattice->strip[fill->row].bound.skin, lattice->strip[fill->row].bound.stray);
    add_ring(fill, in->piece, &disc);
    fill->row++;
}

static void
fill_rows(Fill *fill, const Plan *plan)
{
    for (size_t i = 0; i < plan->count; i++) {
        const Interval *in = &plan->interval[i];
        double u = in->u0;

        if (i == 0 || plan->interval[i - 1].piece != in->piece) {
            TbDisc disc = tb_piece_disc(in->piece, u);

            add_ring(fill, in->piece, &disc);
        }
        for (size_t k = 1; k <= in->parts; k++) {
            double v = k == in->parts ? in->u1
                                      : in->u0 + (in->u1 - in->u0) * (double)k / (double)in->parts;

            add_row(fill, in, u, v);
            u = v;
        }
    }
}

/* ---- tangents ---- */

static void
put(float to[3], TbVec3 v)
{
    to[0] = (float)v.x;
    to[1] = (float)v.y;
    to[2] = (float)v.z;
}

static TbVec3
disc_normal(const TbDisc *disc)
{
    return tb_vec3_cross(disc->w, disc->h);
}

/** Longest chord between two columns of a ring, mm. */
static double
longest_chord(const TbVec3 ring[], size_t columns)
{
    double most = 0;

    for (size_t k = 0; k < columns; k++)
        most = fmax(most, tb_vec3_length2(tb_vec3_sub(ring[k], ring[(k + 1) % columns])));
    return sqrt(most);
}

/** A solid takes its lane of the group's. */
static void
put_solid(TbLattice *lattice, size_t row, const TbLatticeSolid *solid)
{
    TbLatticeSolids *solids = &lattice->solids[row / TB_LANES];
    TbTangent8 *tangent = &lattice->tangent[row / TB_LANES * lattice->columns];
    size_t lane = row % TB_LANES;

    for (size_t k = 0; k < 3; k++) {
        solids->about[k][lane] = solid->about[k];
        solids->along[k][lane] = solid->along[k];
    }
    solids->low[lane] = solid->low;
    solids->high[lane] = solid->high;
    solids->size[lane] = solid->size;
    for (size_t i = 0; i < TB_TANGENT_NUMBERS; i++)
        for (size_t k = 0; k < lattice->columns; k++)
            tangent[k].number[i][lane] = solid->tangent[i][k];
}

/** Chords are looked at in floats, not patches: so `widest` is theirs. */
static void
set_solids(TbLattice *lattice)
{
    bool wide = tb_lanes_in_use() == TB_LANES_AVX2;
    double widest = 0;

    memset(lattice->tangent + (lattice->groups - 1) * lattice->columns, 0,
           lattice->columns * sizeof *lattice->tangent); /* rows that are missing there */
    for (size_t i = 0; i < lattice->rings; i++)
        widest =
            fmax(widest, longest_chord(lattice->ring + i * lattice->columns, lattice->columns));
    lattice->widest = (float)widest * CHORD_ROUND_UP;
    for (size_t i = 0; i < lattice->rows; i++) {
        const TbLatticeRow *r = &lattice->row[i];
        const TbDisc *low = &lattice->disc[r->low];
        const TbDisc *high = &lattice->disc[r->flat_end ? r->low : r->high];
        TbVec3 middle = tb_vec3_mix(low->centre, high->centre, 0.5);
        TbVec3 along = tb_vec3_unit(tb_vec3_add(disc_normal(low), disc_normal(high)));
        TbLatticeSolid solid;

        put(solid.about, middle);
        put(solid.along, along);
        if (wide)
            tb_lattice__set_solid_avx2(lattice, i, &solid);
        else
            tb_lattice__set_solid_plain(lattice, i, &solid);
        put_solid(lattice, i, &solid);
    }
}

/* ---- whole ---- */

static TbStatus
start_fill(Fill *fill, const TbSweep *sweep, size_t rings, size_t rows, size_t columns)
{
    fill->lattice = tb_lattice__new(rings, rows, columns, true);
    fill->plan = tb_alloc(sizeof *fill->plan);
    if (fill->lattice == NULL || fill->plan == NULL)
        return TB_E_MEMORY;
    tb_ring_plan_of_law(tb_sweep_law(sweep), columns, fill->plan);
    return TB_OK;
}

static TbStatus
end_fill(Fill *fill, TbStatus status, TbLattice **lattice, TbFault *fault)
{
    tb_free(fill->plan);
    if (status != TB_OK) {
        tb_lattice_free(fill->lattice);
        return tb_fail(fault, status, "no room for a lattice of a duct");
    }
    TB_ASSERT(fill->ring == fill->lattice->rings && fill->row == fill->lattice->rows);
    tb_lattice__add_rock(fill->lattice);
    tb_lattice__set_boxes(fill->lattice);
    set_solids(fill->lattice);
    *lattice = fill->lattice;
    return TB_OK;
}

TbStatus
tb_lattice_new_swept(const TbSweep *sweep,
                     const double stations[],
                     size_t count,
                     size_t columns,
                     TbLattice **lattice,
                     TbFault *fault)
{
    return tb_lattice_new_rocking(sweep, stations, count, columns, tb_vec3(0, 0, 0),
                                  tb_vec3(1, 0, 0), 0, NULL, lattice, fault);
}

TbStatus
tb_lattice_new_rocking(const TbSweep *sweep,
                       const double stations[],
                       size_t count,
                       size_t columns,
                       TbVec3 point,
                       TbVec3 direction,
                       double half,
                       const TbLatticeWarmth *warmth,
                       TbLattice **lattice,
                       TbFault *fault)
{
    Plan plan = {0};
    Fill fill = {0};
    TbStatus status;

    TB_ASSERT(count >= 2);
    status = make_plan(&plan, sweep, stations, count);
    if (status == TB_OK)
        status = start_fill(&fill, sweep, plan.rings + 2, plan.rows + 2, columns);
    if (status == TB_OK) {
        fill.lattice->rock =
            (TbLatticeRock){.point = point, .axis = tb_vec3_unit(direction), .half = half};
        if (warmth != NULL)
            fill.lattice->warmth = *warmth;
        /* the end sections beside their neighbours: a group of rows should lie close together */
        fill.row = 1;
        fill_rows(&fill, &plan);
        set_section(&fill, 0, 0);
        add_inner(&fill, 0);
        set_section(&fill, fill.row++, plan.rings - 1);
        add_inner(&fill, plan.rings - 1);
    }
    tb_free(plan.interval);
    return end_fill(&fill, status, lattice, fault);
}

TbStatus
tb_lattice_new_sections(const TbSweep *sweep,
                        const TbDisc *const discs[],
                        size_t count,
                        size_t columns,
                        TbLattice **lattice,
                        TbFault *fault)
{
    Fill fill = {0};
    TbStatus status = start_fill(&fill, sweep, 2 * count, count, columns);

    for (size_t i = 0; i < count && status == TB_OK; i++) {
        size_t rim = fill.ring;

        add_ring(&fill, tb_sweep_piece(sweep, tb_sweep_find(sweep, discs[i]->station)), discs[i]);
        set_section(&fill, fill.row++, rim);
        add_inner(&fill, rim);
    }
    return end_fill(&fill, status, lattice, fault);
}
