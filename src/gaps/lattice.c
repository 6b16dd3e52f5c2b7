/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/lattice_private.h"

#include "base/mem.h"
#include "geom/tol.h"

/** What a row that is not there, or a block that is not there, looks like: boxes
 * that are set later leave that alone. */
static void
set_nowhere(TbLattice *lattice)
{
    for (size_t g = 0; g < lattice->groups; g++)
        for (size_t k = 0; k < 6; k++) {
            float nowhere = k < 3 ? TB_NOWHERE : -TB_NOWHERE;

            for (size_t p = 0; p < lattice->blocks; p++)
                for (size_t lane = 0; lane < TB_LANES; lane++)
                    lattice->block[g * lattice->blocks + p].side[k][lane] = nowhere;
            for (size_t p = 0; p < TB_LANES; p++)
                lattice->group[g].side[k][p] = lattice->whole[g].side[k][p] = nowhere;
        }
}

TbLattice *
tb_lattice__new(size_t rings, size_t rows, size_t columns, bool swept)
{
    TbLattice *lattice = tb_alloc(sizeof *lattice);
    size_t groups = (rows + TB_LANES - 1) / TB_LANES, padded = groups * TB_LANES;

    TB_ASSERT(columns >= TB_LANES && columns <= TB_LATTICE_MOST_COLUMNS && columns % TB_LANES == 0);
    if (lattice == NULL)
        return NULL;
    lattice->rings = rings;
    lattice->rows = rows;
    lattice->groups = groups;
    lattice->columns = columns;
    lattice->blocks = columns / TB_LANES;
    lattice->swept = swept;
    /* what is filled as a whole need not be zeros before */
    lattice->ring = tb_resize_array(NULL, rings * columns, sizeof *lattice->ring);
    lattice->meeting =
        swept ? tb_resize_array(NULL, rings * columns, sizeof *lattice->meeting) : NULL;
    lattice->place =
        tb_resize_array(NULL, 3 * rings * (columns + TB_LANES), sizeof *lattice->place);
    lattice->row = tb_alloc_array(padded, sizeof *lattice->row);
    lattice->spare = tb_alloc_array(padded, sizeof *lattice->spare);
    lattice->slide = swept ? tb_alloc_array(padded, sizeof *lattice->slide) : NULL;
    lattice->strip = swept ? tb_resize_array(NULL, rows, sizeof *lattice->strip) : NULL;
    lattice->disc = swept ? tb_resize_array(NULL, rings, sizeof *lattice->disc) : NULL;
    lattice->solids = swept ? tb_alloc_array(groups, sizeof *lattice->solids) : NULL;
    lattice->tangent =
        swept ? tb_resize_array(NULL, groups * columns, sizeof *lattice->tangent) : NULL;
    lattice->whole = tb_alloc_array(groups, sizeof *lattice->whole);
    lattice->box = swept ? NULL : tb_alloc_array(6 * padded * columns, sizeof *lattice->box);
    lattice->stray = swept ? NULL : tb_alloc_array(padded * columns, sizeof *lattice->stray);
    lattice->block = tb_alloc_array(groups * lattice->blocks, sizeof *lattice->block);
    lattice->group = tb_alloc_array(groups, sizeof *lattice->group);
    lattice->step = tb_alloc_array(padded, sizeof *lattice->step);
    if (lattice->ring == NULL || lattice->place == NULL || lattice->row == NULL ||
        lattice->spare == NULL || (!swept && (lattice->box == NULL || lattice->stray == NULL)) ||
        lattice->block == NULL || lattice->group == NULL || lattice->step == NULL ||
        lattice->whole == NULL ||
        (swept && (lattice->meeting == NULL || lattice->slide == NULL || lattice->strip == NULL ||
                   lattice->disc == NULL || lattice->solids == NULL || lattice->tangent == NULL))) {
        tb_lattice_free(lattice);
        return NULL;
    }
    set_nowhere(lattice);
    return lattice;
}

void
tb_lattice_free(TbLattice *lattice)
{
    if (lattice == NULL)
        return;
    tb_free(lattice->ring);
    tb_free(lattice->meeting);
    tb_free(lattice->place);
    tb_free(lattice->row);
    tb_free(lattice->spare);
    tb_free(lattice->slide);
    tb_free(lattice->strip);
    tb_free(lattice->disc);
    tb_free(lattice->solids);
    tb_free(lattice->tangent);
    tb_free(lattice->whole);
    tb_free(lattice->box);
    tb_free(lattice->stray);
    tb_free(lattice->block);
    tb_free(lattice->group);
    tb_free(lattice->step);
    tb_free(lattice);
}

size_t
tb_lattice_rows(const TbLattice *lattice)
{
    return lattice->rows;
}

TbStatus
tb_lattice_new_flat(size_t rings, size_t columns, TbLattice **lattice, TbFault *fault)
{
    TB_ASSERT(rings >= 2);
    *lattice = tb_lattice__new(rings, rings - 1, columns, false);
    if (*lattice == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for a lattice of %zu rings", rings);
    for (size_t i = 0; i + 1 < rings; i++) {
        (*lattice)->row[i].low = (uint32_t)i;
        (*lattice)->row[i].high = (uint32_t)i + 1;
    }
    return TB_OK;
}

void
tb_lattice_set_points(TbLattice *lattice, const TbVec3 points[])
{
    TB_ASSERT(!lattice->swept);
    memcpy(lattice->ring, points, lattice->rings * lattice->columns * sizeof *points);
    tb_lattice__set_boxes(lattice);
}

/* ---- boxes ---- */

static float
furthest_of(const TbVec3 points[], size_t count)
{
    double furthest = 0;

    for (size_t i = 0; i < count; i++) {
        double x = fabs(points[i].x), y = fabs(points[i].y), z = fabs(points[i].z);

        x = x > y ? x : y;
        x = x > z ? x : z;
        furthest = x > furthest ? x : furthest;
    }
    return (float)furthest;
}

void
tb_lattice__set_boxes(TbLattice *lattice)
{
    bool wide = tb_lanes_in_use() == TB_LANES_AVX2;

    lattice->widest = 0;
    lattice->furthest = 0;
    for (size_t i = 0; i < lattice->rings; i++) {
        if (wide)
            tb_lattice__ring_places_avx2(lattice, i);
        else
            tb_lattice__ring_places_plain(lattice, i);
    }
    if (lattice->swept)
        lattice->furthest = fmaxf(lattice->furthest,
                                  furthest_of(lattice->meeting, lattice->rings * lattice->columns));
    for (size_t i = 0; i < lattice->rows; i++) {
        if (wide)
            tb_lattice__row_boxes_avx2(lattice, i);
        else
            tb_lattice__row_boxes_plain(lattice, i);
    }
}

/* ---- rocking ---- */

/** Of a point, and of what a ring's section reaches about it. */
static double
from_axis(const TbLatticeRock *rock, TbVec3 p)
{
    return tb_vec3_length(tb_vec3_across(tb_vec3_sub(p, rock->point), rock->axis));
}

double
tb_lattice__lever(const TbLattice *lattice, size_t row)
{
    const TbLatticeRow *r = &lattice->row[row];
    double most = 0;

    for (int i = 0; i < (r->flat_end ? 1 : 2); i++) {
        uint32_t ring = i == 0 ? r->low : r->high;

        if (lattice->swept) {
            const TbDisc *disc = &lattice->disc[ring];

            most = fmax(most, from_axis(&lattice->rock, disc->centre) +
                                  tb_slice_radius(&disc->slice, true));
            continue;
        }
        for (size_t k = 0; k < lattice->columns; k++)
            most =
                fmax(most, from_axis(&lattice->rock, lattice->ring[ring * lattice->columns + k]));
    }
    if (!lattice->swept)
        return most;
    return most + lattice->slide[row] + (r->flat_end ? 0 : lattice->strip[row].bound.widening);
}

void
tb_lattice__warm(const TbLattice *lattice, const TbStrip *strip, double station, TbWarm *warm)
{
    const TbLatticeWarmth *warmth = &lattice->warmth;

    warmth->of(warmth->user, strip, station, warm);
    for (int i = 0; i < warm->count; i++) /* y = R x + o: k x + v becomes k y + R v - k o */
        for (int k = 0; k < 2; k++)
            warm->number[i].v[k] =
                tb_vec3_add_scaled(tb_pose_direction(warmth->place, warm->number[i].v[k]),
                                   -warm->number[i].k, warmth->place.origin);
}

/** Most that warmth moves any point of a row: of a ball that holds it, as far as its middle, and
 * what the ball's other points differ from that. */
static double
slide_of(const TbLattice *lattice, size_t row)
{
    const TbLatticeRow *r = &lattice->row[row];
    const TbDisc *end[2] = {&lattice->disc[r->low], &lattice->disc[r->flat_end ? r->low : r->high]};
    const TbStrip *strip = r->flat_end ? NULL : &lattice->strip[row];
    TbVec3 middle = tb_vec3_mix(end[0]->centre, end[1]->centre, 0.5);
    double radius = 0, slide = 0;
    TbWarm warm;

    tb_lattice__warm(lattice, strip, end[0]->station, &warm);
    for (int i = 0; i < 2; i++)
        radius = fmax(radius, tb_vec3_distance(middle, end[i]->centre) +
                                  tb_slice_radius(&end[i]->slice, true));
    radius += strip == NULL ? 0 : strip->bound.widening;
    for (int i = 0; i < warm.count; i++) {
        const TbWarmNumber *n = &warm.number[i];
        TbVec3 v = tb_vec3_mix(n->v[0], n->v[1], 0.5);

        slide += fmax(fabs(n->low), fabs(n->high)) *
                 (tb_vec3_length(tb_vec3_add_scaled(v, n->k, middle)) + n->k * radius +
                  0.5 * tb_vec3_distance(n->v[0], n->v[1]));
    }
    return slide;
}

/** No point of a row is further from where it is now than a chord of half the turn; what it slides
 * within that is known way by way when boxes and solids are made. */
void
tb_lattice__add_rock(TbLattice *lattice)
{
    if (!(lattice->rock.half > 0) && lattice->warmth.of == NULL)
        return;
    for (size_t i = 0; i < lattice->rows; i++) {
        if (lattice->warmth.of != NULL)
            lattice->slide[i] = slide_of(lattice, i);
        lattice->spare[i] +=
            2 * tb_lattice__lever(lattice, i) * sin(0.5 * fmin(lattice->rock.half, M_PI)) +
            TB_TOL_ROUND;
    }
}

void
tb_lattice__stand_still(TbLattice *lattice)
{
    lattice->rock = (TbLatticeRock){.half = 0};
    for (size_t i = 0; i < lattice->rows; i++)
        lattice->spare[i] = 0;
}

void
tb_lattice__set_rocking(TbLattice *lattice, const TbVec3 points[], const TbLatticeRock *rock)
{
    TB_ASSERT(!lattice->swept);
    memcpy(lattice->ring, points, lattice->rings * lattice->columns * sizeof *points);
    tb_lattice__stand_still(lattice);
    lattice->rock = *rock;
    tb_lattice__add_rock(lattice);
    tb_lattice__set_boxes(lattice);
}
