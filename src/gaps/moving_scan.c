/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * Ducts against scans within a motion that is one rock, or the duct's warmth, or both: by lattices,
 * ahead of the search, as scan_parts.c has it for what stands still.
 */
#include "base/mem.h"
#include "gaps/moving_private.h"
#include "gaps/scan_parts_private.h"
#include "gaps/scan_rock.h"
#include "geom/tol.h"

/** mm. As of a lattice that stands still. */
#define ROW_LENGTH 6.0
#define MOST_ROWS 4000

/** One pair while it is looked at. */
typedef struct Look {
    TbMovingSearch *search;
    int moves, warm; /**< which side rocks, and which is warm; or -1 */
    int swept;       /**< which has the sweep */
    size_t sweep_part, mesh_part;
    const TbPart *sweep, *mesh;
    TbRock rock; /**< of the sweep against the mesh; its range 0 where nothing rocks */
} Look;

/** The one rock of a motion, and the one side that is warm. */
static bool
find_motion(const TbMovingSearch *search, Look *look, TbRock *rock)
{
    look->moves = look->warm = -1;
    *rock = (TbRock){.direction = {1, 0, 0}};
    for (int s = 0; s < 2; s++) {
        const TbMovingSide *side = &search->side[s];
        const TbFreedom *f = &side->rigid.freedom[0];

        if (side->rigid.count > 1 || (side->rigid.count == 1 && look->moves >= 0) ||
            (side->warms > 0 && look->warm >= 0))
            return false;
        if (side->warms > 0)
            look->warm = s;
        if (side->rigid.count == 0)
            continue;
        if (f->kind != TB_FREEDOM_TURN || !(f->high > f->low))
            return false;
        look->moves = s;
        *rock = (TbRock){f->point, f->direction, f->low, f->high};
    }
    return look->moves >= 0 || look->warm >= 0;
}

/** At the section and the triangle that were found, as near as warmth brings them. */
static void
take_warm(const Look *look, const TbScanNear *near)
{
    TbMovingScanned found = {.swept = look->swept,
                             .sweep_part = look->sweep_part,
                             .mesh_part = look->mesh_part,
                             .disc = tb_sweep_at(look->sweep->sweep, near->station),
                             .triangle = tb_tree_numbers(look->mesh->tree)[near->triangle],
                             .way = tb_vec3_sub(near->point_a, near->point_b)};

    if (look->swept == 1)
        found.way = tb_vec3_neg(found.way);
    if (look->moves >= 0)
        found.q[look->moves][0] = look->moves == look->swept ? near->turn : -near->turn;
    tb_mesh_corners(tb_tree_mesh(look->mesh->tree), near->triangle, found.corner);
    tb_moving__take_scanned(look->search, &found);
}

/** From the mesh's axes to where both are: a mesh that rocks takes the sweep's turn back. */
static void
take(const Look *look, const TbScanNear *near)
{
    TbMovingWitness *w = &look->search->witness;
    int s = look->swept, m = 1 - s;
    double angle = look->moves == s ? near->turn : -near->turn;
    TbPose place = look->moves == s ? tb_pose_identity() : tb_rock_pose(look->rock, angle);
    TbPose back = tb_pose_inverse(tb_rock_pose(look->rock, near->turn));
    TbDisc disc = tb_sweep_at(look->sweep->sweep, near->station);

    if (look->warm >= 0) {
        take_warm(look, near);
        return;
    }
    look->search->upper = near->upper;
    w->point[s] = tb_pose_point(place, near->point_a);
    w->point[m] = tb_pose_point(place, near->point_b);
    w->site[s] = (TbSite){.part = look->sweep_part,
                          .on_sweep = true,
                          .station = near->station,
                          .angle = tb_disc_angle(&disc, tb_pose_point(back, near->point_a)),
                          .triangle = UINT32_MAX};
    w->site[m] = (TbSite){.part = look->mesh_part,
                          .triangle = tb_tree_numbers(look->mesh->tree)[near->triangle]};
    w->q[look->moves][0] = angle;
}

static TbStatus
ask_rock(const Look *look, TbKept kept, TbScanNear *near)
{
    double length = kept.to - kept.from, rows = ceil(length / ROW_LENGTH);
    size_t count = rows < 1 ? 2 : rows > MOST_ROWS ? MOST_ROWS + 1 : (size_t)rows + 1;
    double *stations = tb_alloc_array(count, sizeof *stations);
    TbLatticeWarmth warmth = {tb_moving__warm_row, &look->search->side[look->swept],
                              tb_pose_identity()};
    TbScanRockAsk ask = {.sweep = look->sweep->sweep,
                         .stations = stations,
                         .count = count,
                         .columns = tb_scan_parts__columns(look->sweep->sweep),
                         .tree = look->mesh->tree,
                         .rock = look->rock,
                         .warmth = look->warm >= 0 ? &warmth : NULL,
                         .width = look->search->width,
                         .beyond = look->search->upper,
                         .enough = look->search->enough};
    TbStatus status;

    if (stations == NULL)
        return TB_E_MEMORY;
    for (size_t i = 0; i < count; i++)
        stations[i] = kept.from + length * (double)i / (double)(count - 1);
    stations[count - 1] = kept.to;
    status = tb_scan_rock(&ask, look->search->task, near);
    tb_free(stations);
    return status;
}

/** @param[out] apart proved over the whole rock */
static TbStatus
look_at_pair(
    const Look *look, const TbLeaveOut leave_out[], size_t count, double *lower, bool *apart)
{
    TbKept kept = tb_field__kept(look->sweep->sweep, leave_out, count);
    TbScanNear near;
    TbStatus status;

    *apart = true;
    if (!(kept.to > kept.from))
        return TB_OK;
    status = ask_rock(look, kept, &near);
    *apart = status == TB_OK && !near.exhausted && near.lower >= TB_GAP_WIDTH_LEAST;
    if (!*apart)
        return status;
    *lower = fmin(*lower, near.lower);
    if (near.row != UINT32_MAX && near.upper < look->search->upper)
        take(look, &near);
    return TB_OK;
}

TbStatus
tb_moving__look_at_scans(TbMovingSearch *search,
                         const TbLeaveOut leave_out[],
                         size_t count,
                         double *lower)
{
    Look look = {.search = search};
    TbMovingWitness before = search->witness;
    double upper = search->upper;
    TbRock rock;
    bool apart = true, any = false;
    TbStatus status = TB_OK;

    *lower = INFINITY;
    search->scanned = false;
    if (!find_motion(search, &look, &rock))
        return TB_OK;
    for (look.swept = 0; look.swept < 2; look.swept++) {
        const TbSolid *swept = search->side[look.swept].field.solid;
        const TbSolid *meshes = search->side[1 - look.swept].field.solid;

        look.rock = rock;
        if (look.moves >= 0 && look.moves != look.swept) {
            look.rock.low = -rock.high;
            look.rock.high = -rock.low;
        }
        for (size_t i = 0; i < tb_solid_part_count(swept); i++) {
            look.sweep = tb_solid_part(swept, i);
            look.sweep_part = i;
            for (size_t k = 0; k < tb_solid_part_count(meshes) && apart && status == TB_OK; k++) {
                look.mesh = tb_solid_part(meshes, k);
                look.mesh_part = k;
                if (look.sweep->kind != TB_PART_SWEEP || look.mesh->kind != TB_PART_MESH ||
                    tb_mesh_triangle_count(tb_tree_mesh(look.mesh->tree)) == 0 ||
                    tb_field__is_left_out(look.sweep, leave_out, count) ||
                    tb_field__is_left_out(look.mesh, leave_out, count))
                    continue;
                any = true;
                apart =
                    look.warm < 0 || look.warm == look.swept; /* a scan that grows is not known */
                if (!apart)
                    break;
                status = look_at_pair(&look, leave_out, count, lower, &apart);
            }
        }
    }
    search->scanned = any && apart && status == TB_OK;
    if (!search->scanned) { /* the search looks at all of them itself */
        search->witness = before;
        search->upper = upper;
        *lower = INFINITY;
    }
    return status;
}
