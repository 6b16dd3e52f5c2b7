/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/scan_parts_private.h"

#include "base/mem.h"
#include "gaps/inside_private.h"
#include "gaps/scan.h"
#include "geom/tol.h"

/** mm. Rows of a lattice for the least distance: about as long as its patches are wide, and short
 * enough for a strip to stray little. */
#define ROW_LENGTH 6.0

/** Rows of one sweep, at most: beyond, they get longer. */
#define MOST_ROWS 4000

/** mm. Half the thickness of a sweep below which it gets fewer columns. */
#define SLIM_REACH 8.0
#define THICK_REACH 24.0

size_t
tb_scan_parts__columns(const TbSweep *sweep)
{
    double reach = 0;

    for (size_t i = 0; i < tb_sweep_piece_count(sweep); i++) {
        const TbPiece *piece = tb_sweep_piece(sweep, i);
        TbSlice slice = tb_law_in_span(piece->law, piece->station0);

        reach = fmax(reach, tb_slice_reach(&slice, true));
    }
    return reach < SLIM_REACH ? 16 : reach < THICK_REACH ? 32 : TB_LATTICE_MOST_COLUMNS;
}

static TbStatus
make_lattice(const TbSweep *sweep, TbKept kept, TbLattice **lattice)
{
    double length = kept.to - kept.from, rows = ceil(length / ROW_LENGTH);
    size_t count = rows < 1 ? 2 : rows > MOST_ROWS ? MOST_ROWS + 1 : (size_t)rows + 1;
    double *stations = tb_alloc_array(count, sizeof *stations);
    TbStatus status;

    if (stations == NULL)
        return TB_E_MEMORY;
    for (size_t i = 0; i < count; i++)
        stations[i] = kept.from + length * (double)i / (double)(count - 1);
    stations[count - 1] = kept.to;
    status =
        tb_lattice_new_swept(sweep, stations, count, tb_scan_parts__columns(sweep), lattice, NULL);
    tb_free(stations);
    return status;
}

/** Some node of a part: the copy of its root under the field's. */
static uint32_t
node_of(const TbField *field, size_t part)
{
    const TbNode *root = &field->node[field->root];

    for (uint32_t i = 0; i < root->count; i++)
        if (field->node[root->first + i].part == part)
            return root->first + i;
    return UINT32_MAX;
}

/** A pair of a sweep and a mesh, while it is looked at. */
typedef struct Pair {
    TbSearch *search;
    const TbPart *sweep, *mesh;
    uint32_t sweep_node, mesh_node;
    bool sweep_is_a;
    TbKept kept;
    double best; /**< mm: of all pairs so far */
    TbWitness witness;
} Pair;

static void
take(Pair *pair, const TbScanNear *near)
{
    const TbNode *sweep_node = &pair->search->a->node[pair->sweep_node];
    const TbNode *mesh_node = &pair->search->b->node[pair->mesh_node];
    TbDisc disc = tb_sweep_at(pair->sweep->sweep, near->station);
    TbSite on_sweep = {.on_sweep = true, .station = near->station, .triangle = UINT32_MAX};
    TbSite on_mesh = {.triangle = tb_tree_numbers(pair->mesh->tree)[near->triangle]};
    TbWitness *w = &pair->witness;

    if (!pair->sweep_is_a) {
        sweep_node = &pair->search->b->node[pair->sweep_node];
        mesh_node = &pair->search->a->node[pair->mesh_node];
    }
    on_sweep.part = sweep_node->part;
    on_sweep.angle = tb_disc_angle(&disc, near->point_a);
    on_mesh.part = mesh_node->part;
    pair->best = near->upper;
    *w = pair->sweep_is_a ? (TbWitness){.point_a = near->point_a,
                                        .point_b = near->point_b,
                                        .site_a = on_sweep,
                                        .site_b = on_mesh,
                                        .node_a = pair->sweep_node,
                                        .node_b = pair->mesh_node}
                          : (TbWitness){.point_a = near->point_b,
                                        .point_b = near->point_a,
                                        .site_a = on_mesh,
                                        .site_b = on_sweep,
                                        .node_a = pair->mesh_node,
                                        .node_b = pair->sweep_node};
}

/** @param[out] apart proved, and `lower` holds */
static TbStatus
look_at_pair(Pair *pair, double *lower, bool *apart)
{
    TbSearch *search = pair->search;
    TbLattice *lattice = NULL;
    TbScanNear near;
    TbScanAsk ask = {.tree = pair->mesh->tree, .width = search->width, .enough = search->enough};
    uint32_t triangle;
    bool holds = false;
    TbStatus status = make_lattice(pair->sweep->sweep, pair->kept, &lattice);

    *apart = false;
    ask.lattice = lattice;
    ask.beyond = fmin(fmin(search->upper, pair->best), search->hint);
    if (status == TB_OK)
        status = tb_scan_least(&ask, NULL, search->task, &near);
    tb_lattice_free(lattice);
    if (status != TB_OK || near.exhausted)
        return status;
    if (near.upper < pair->best)
        take(pair, &near);
    *lower = fmin(*lower, near.lower);
    /* what may meet is the search's; also what is below `enough`, for the rest was not looked at */
    if (near.lower < TB_GAP_WIDTH_LEAST)
        return TB_OK;
    status = tb_inside__mesh_in_sweep(pair->sweep->sweep, pair->kept, pair->mesh->tree, &holds,
                                      &triangle);
    *apart = !holds;
    return status;
}

/** All pairs of a sweep of one side and a mesh of the other. */
static TbStatus
look_at_side(Pair *pair, const TbLeaveOut leave_out[], size_t count, TbScanParts *parts)
{
    const TbField *swept = pair->sweep_is_a ? pair->search->a : pair->search->b;
    const TbField *scanned = pair->sweep_is_a ? pair->search->b : pair->search->a;
    TbStatus status = TB_OK;

    for (size_t i = 0; i < tb_solid_part_count(swept->solid); i++) {
        pair->sweep = tb_solid_part(swept->solid, i);
        pair->sweep_node = node_of(swept, i);
        if (pair->sweep->kind != TB_PART_SWEEP || pair->sweep_node == UINT32_MAX)
            continue;
        pair->kept = tb_field__kept(pair->sweep->sweep, leave_out, count);
        for (size_t k = 0; k < tb_solid_part_count(scanned->solid); k++) {
            bool apart;

            pair->mesh = tb_solid_part(scanned->solid, k);
            pair->mesh_node = node_of(scanned, k);
            if (pair->mesh->kind != TB_PART_MESH || pair->mesh_node == UINT32_MAX)
                continue;
            parts->any = true;
            status = look_at_pair(pair, &parts->lower, &apart);
            parts->looks++;
            if (status != TB_OK || !apart) {
                parts->decided = false;
                return status;
            }
        }
    }
    return status;
}

TbStatus
tb_scan_parts__look(TbSearch *search,
                    const TbLeaveOut leave_out[],
                    size_t leave_out_count,
                    TbScanParts *parts)
{
    Pair pair = {.search = search, .sweep_is_a = true, .best = INFINITY};
    TbStatus status;

    *parts = (TbScanParts){.decided = true, .lower = INFINITY};
    status = look_at_side(&pair, leave_out, leave_out_count, parts);
    pair.sweep_is_a = false;
    if (status == TB_OK && parts->decided)
        status = look_at_side(&pair, leave_out, leave_out_count, parts);
    if (status == TB_OK && parts->any && parts->decided && pair.best < search->upper) {
        search->upper = pair.best;
        search->witness = pair.witness;
    }
    return status;
}
