/* SPDX-License-Identifier: GPL-3.0-or-later */

/** The gap at one pose of a motion. */
#include "base/mem.h"
#include "gaps/moving_private.h"
#include "gaps/overlap_private.h"
#include "motion/motion.h"

/** Cells of one of many depths. */
#define DEPTH_BUDGET 4000

static size_t
triangles_of(const TbSolid *solid)
{
    size_t count = 0;

    for (size_t i = 0; i < tb_solid_part_count(solid); i++)
        if (tb_solid_part(solid, i)->kind == TB_PART_MESH)
            count += tb_mesh_triangle_count(tb_tree_mesh(tb_solid_part(solid, i)->tree));
    return count;
}

/** Ports where nothing has moved, and where the lighter solid has been moved to. */
static TbStatus
ports_of(const TbMovingAsk *ask, TbPose pose, TbLeaveOut **ports)
{
    size_t count = ask->leave_out_count;

    *ports = tb_alloc_array(2 * count, sizeof **ports);
    if (*ports == NULL)
        return TB_E_MEMORY;
    for (size_t i = 0; i < count; i++) {
        (*ports)[i] = (*ports)[count + i] = ask->leave_out[i];
        (*ports)[count + i].port = tb_pose_point(pose, ask->leave_out[i].port);
    }
    return TB_OK;
}

/** From the axes of the heavier solid at rest to where it is. */
static void
place_gap(TbGap *gap, TbPose pose, TbSite *moved, double scale)
{
    if (moved->on_sweep)
        moved->station /= scale;
    gap->lower *= pose.scale;
    gap->upper *= pose.scale;
    gap->point_a = tb_pose_point(pose, gap->point_a);
    gap->point_b = tb_pose_point(pose, gap->point_b);
    gap->way_out = tb_pose_direction(pose, gap->way_out);
}

/** How deep, of two that are all filled: whether surfaces meet is not searched. */
static TbStatus
depth_of(const TbGapAsk *ask, double known, TbTask *task, TbGap *gap)
{
    TbField a = {0}, b = {0};
    TbDepth depth;
    TbStatus status = tb_field__of_solid(&a, ask->a, ask->leave_out, ask->leave_out_count);

    *gap = (TbGap){.contact = TB_TOUCHES, .enclosed = NAN, .certified = true};
    if (status == TB_OK)
        status = tb_field__of_solid(&b, ask->b, ask->leave_out, ask->leave_out_count);
    if (status == TB_OK)
        status = tb_overlap__depth(&a, &b, TB_INNER_NONE, ask->depth_width, known, DEPTH_BUDGET,
                                   task, &depth);
    tb_field__clear(&a);
    tb_field__clear(&b);
    if (status != TB_OK)
        return status;
    gap->nodes = depth.probes;
    gap->lower = depth.lower;
    gap->upper = depth.upper;
    if (depth.upper >= known)
        return TB_OK;
    gap->contact = TB_OVERLAPS;
    gap->point_a = depth.point_a;
    gap->point_b = depth.point_b;
    gap->site_a = depth.site_a;
    gap->site_b = depth.site_b;
    gap->way_out = depth.way_out;
    return TB_OK;
}

/** The one with fewer triangles is moved against the other: a scan's tree need not be built anew.
 * @param known of a depth that is all that is asked; or NULL */
static TbStatus
gap_posed(const TbMovingAsk *ask,
          TbPose pose_a,
          TbPose pose_b,
          const double *known,
          TbTask *task,
          TbGap *gap,
          TbFault *fault)
{
    bool moves_a = triangles_of(ask->a) <= triangles_of(ask->b);
    TbPose stays = moves_a ? pose_b : pose_a;
    TbPose pose = tb_pose_compose(tb_pose_inverse(stays), moves_a ? pose_a : pose_b);
    const TbSolid *rest = moves_a ? ask->a : ask->b;
    TbSolid *moved =
        tb_pose_is_identity(pose) ? tb_solid_ref((TbSolid *)rest) : tb_solid_moved(rest, pose);
    TbGapAsk still = {.a = moves_a ? moved : ask->a,
                      .b = moves_a ? ask->b : moved,
                      .width = ask->width / stays.scale,
                      .depth_width = ask->depth_width / stays.scale,
                      .enough = ask->enough / stays.scale,
                      .hint = INFINITY,
                      .leave_out_count = 2 * ask->leave_out_count};
    TbLeaveOut *ports = NULL;
    TbStatus status = moved == NULL ? TB_E_MEMORY : ports_of(ask, pose, &ports);

    still.leave_out = ports;
    if (status != TB_OK)
        tb_fail(fault, status, "no room for a gap at one pose");
    else if (known == NULL)
        status = tb_gap(&still, task, gap, fault);
    else
        status = depth_of(&still, *known / stays.scale, task, gap);
    if (status == TB_OK)
        place_gap(gap, stays, moves_a ? &gap->site_a : &gap->site_b, pose.scale);
    tb_free(ports);
    tb_solid_unref(moved);
    return status;
}

TbStatus
tb_moving_gap_posed(
    const TbMovingAsk *ask, TbPose pose_a, TbPose pose_b, TbTask *task, TbGap *gap, TbFault *fault)
{
    return gap_posed(ask, pose_a, pose_b, NULL, task, gap, fault);
}

/** How a path is drawn out by what carries its ends. */
typedef struct Drawn {
    TbSolid *solid; /**< reference */
    bool drifts;
    double factor;
    TbVec3 shift[2], end[2];
} Drawn;

static TbStatus
draw_out(const TbSolid *solid, const TbMotion *motion, const double at[], Drawn *drawn)
{
    double length;

    *drawn = (Drawn){.factor = 1};
    for (int i = 0; i < motion->count; i++) {
        const TbFreedom *f = &motion->freedom[i];

        drawn->drifts = drawn->drifts || (f->kind == TB_FREEDOM_SPREAD && at[i] != 1) ||
                        (f->kind > TB_FREEDOM_SPREAD && at[i] != 0);
        if (f->kind == TB_FREEDOM_SPREAD)
            drawn->factor = at[i];
        if (f->kind == TB_FREEDOM_ENDS) {
            drawn->shift[0] = tb_vec3_scale(f->direction, at[i]);
            drawn->shift[1] = tb_vec3_scale(f->point, at[i]);
        }
        if (f->kind == TB_FREEDOM_START || f->kind == TB_FREEDOM_END)
            drawn->shift[f->kind == TB_FREEDOM_END] = tb_vec3_scale(f->direction, at[i]);
    }
    drawn->drifts = drawn->drifts && tb_solid_chord(solid, &drawn->end[0], &drawn->end[1], &length);
    drawn->solid = drawn->drifts
                       ? tb_solid_drifted(solid, drawn->factor, drawn->shift[0], drawn->shift[1])
                       : tb_solid_ref((TbSolid *)solid);
    return drawn->solid == NULL ? TB_E_MEMORY : TB_OK;
}

/** Ports at rest, and where the ends of what is drawn out have taken them. */
static TbStatus
drawn_ports(const TbMovingAsk *ask, const Drawn drawn[2], TbMovingAsk *whole, TbLeaveOut **ports)
{
    size_t count = ask->leave_out_count, at = count;

    *ports = tb_alloc_array(3 * count, sizeof **ports);
    if (*ports == NULL)
        return TB_E_MEMORY;
    for (size_t i = 0; i < count; i++)
        (*ports)[i] = ask->leave_out[i];
    for (int s = 0; s < 2; s++)
        for (size_t i = 0; i < count && drawn[s].drifts; i++) {
            TbVec3 p = ask->leave_out[i].port;
            int end = tb_vec3_distance(p, drawn[s].end[1]) < tb_vec3_distance(p, drawn[s].end[0]);

            (*ports)[at] = ask->leave_out[i];
            (*ports)[at++].port = tb_pose_point(
                tb_drift_pose(drawn[s].end[end], drawn[s].factor, drawn[s].shift[end]), p);
        }
    whole->leave_out = *ports;
    whole->leave_out_count = at;
    return TB_OK;
}

static TbStatus
gap_at(const TbMovingAsk *ask,
       const double at_a[],
       const double at_b[],
       const double *known,
       TbTask *task,
       TbGap *gap,
       TbFault *fault)
{
    TbMovingAsk whole = *ask;
    Drawn drawn[2] = {{0}};
    TbLeaveOut *ports = NULL;
    TbStatus status = draw_out(ask->a, &ask->motion_a, at_a, &drawn[0]);

    if (status == TB_OK)
        status = draw_out(ask->b, &ask->motion_b, at_b, &drawn[1]);
    if (status == TB_OK)
        status = drawn_ports(ask, drawn, &whole, &ports);
    whole.enough = 0;
    whole.a = drawn[0].solid;
    whole.b = drawn[1].solid;
    if (status != TB_OK)
        tb_fail(fault, status, "no room for a gap at one pose");
    else
        status = gap_posed(&whole, tb_motion_pose(&ask->motion_a, at_a),
                           tb_motion_pose(&ask->motion_b, at_b), known, task, gap, fault);
    if (status == TB_OK && gap->site_a.on_sweep)
        gap->site_a.station /= drawn[0].factor;
    if (status == TB_OK && gap->site_b.on_sweep)
        gap->site_b.station /= drawn[1].factor;
    tb_free(ports);
    tb_solid_unref(drawn[0].solid);
    tb_solid_unref(drawn[1].solid);
    return status;
}

TbStatus
tb_moving_gap_at(const TbMovingAsk *ask,
                 const double at_a[],
                 const double at_b[],
                 TbTask *task,
                 TbGap *gap,
                 TbFault *fault)
{
    return gap_at(ask, at_a, at_b, NULL, task, gap, fault);
}

TbStatus
tb_moving__depth_at(const TbMovingAsk *ask,
                    const double at_a[],
                    const double at_b[],
                    double known,
                    TbTask *task,
                    TbGap *gap,
                    TbFault *fault)
{
    TbStatus status = gap_at(ask, at_a, at_b, &known, task, gap, fault);

    if (status == TB_E_MEMORY)
        tb_fail(fault, status, "no room for a depth at one pose");
    else if (status == TB_E_CANCELLED)
        tb_fail(fault, status, "stopped while a depth in motion was searched");
    return status;
}

/* ---- as if drawn there ---- */

static void
add_port(TbMovingStill *still, TbVec3 port, double radius)
{
    still->leave_out[still->leave_out_count++] = (TbLeaveOut){.port = port, .radius = radius};
}

/** Every port at rest, and where each solid takes it: an end that is drawn out, to its place. */
static TbStatus
still_ports(const TbMovingAsk *ask,
            const Drawn drawn[2],
            const TbPose pose[2],
            TbMovingStill *still)
{
    still->leave_out = tb_alloc_array(3 * ask->leave_out_count, sizeof *still->leave_out);
    if (still->leave_out == NULL)
        return TB_E_MEMORY;
    for (size_t i = 0; i < ask->leave_out_count; i++) {
        TbLeaveOut at = ask->leave_out[i];

        add_port(still, at.port, at.radius);
        for (int s = 0; s < 2; s++) {
            const TbVec3 *end = drawn[s].end;
            int which = tb_vec3_distance(at.port, end[1]) < tb_vec3_distance(at.port, end[0]);
            TbVec3 p = at.port;

            if (drawn[s].drifts)
                p = tb_pose_point(tb_drift_pose(end[which], drawn[s].factor, drawn[s].shift[which]),
                                  p);
            add_port(still, tb_pose_point(pose[s], p), at.radius);
        }
    }
    return TB_OK;
}

TbStatus
tb_moving_still(const TbMovingAsk *ask,
                const double at_a[],
                const double at_b[],
                TbMovingStill *still,
                TbFault *fault)
{
    TbPose pose[2] = {tb_motion_pose(&ask->motion_a, at_a), tb_motion_pose(&ask->motion_b, at_b)};
    Drawn drawn[2] = {{0}};
    TbStatus status = draw_out(ask->a, &ask->motion_a, at_a, &drawn[0]);

    *still = (TbMovingStill){.leave_out_count = 0};
    if (status == TB_OK)
        status = draw_out(ask->b, &ask->motion_b, at_b, &drawn[1]);
    if (status == TB_OK)
        status = still_ports(ask, drawn, pose, still);
    for (int s = 0; s < 2 && status == TB_OK; s++) {
        still->solid[s] = tb_pose_is_identity(pose[s]) ? tb_solid_ref(drawn[s].solid)
                                                       : tb_solid_moved(drawn[s].solid, pose[s]);
        status = still->solid[s] == NULL ? TB_E_MEMORY : TB_OK;
    }
    tb_solid_unref(drawn[0].solid);
    tb_solid_unref(drawn[1].solid);
    return status == TB_OK ? status : tb_fail(fault, status, "no room for two solids as they move");
}

void
tb_moving_still_clear(TbMovingStill *still)
{
    tb_solid_unref(still->solid[0]);
    tb_solid_unref(still->solid[1]);
    tb_free(still->leave_out);
}
