/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/probe_private.h"

#include "base/mem.h"
#include "gaps/inside_private.h"
#include "geom/tol.h"
#include "geom/triangle.h"

/** mm. Step of the differences that give a plain shape's normal: any unit vector would be sound, so
 * it only has to be near. */
#define NORMAL_STEP 1e-5

/** Cells looked at for one point's distance to a sweep's surface; a hundred are usual. */
#define NEAR_BUDGET 4000

/** Halvings of the root for a section's plane through a point; 60 leave nothing of a piece. */
#define PLANE_ROUNDS 60

/* ---- plain shapes ---- */

static double
plain_distance(const TbProbe *probe, TbVec3 p)
{
    return tb_plain_distance(&probe->skin->part->plain, p);
}

static TbVec3
plain_normal(const TbProbe *probe, TbVec3 p)
{
    TbVec3 n, step[3] = {{NORMAL_STEP, 0, 0}, {0, NORMAL_STEP, 0}, {0, 0, NORMAL_STEP}};
    double slope[3];

    for (int k = 0; k < 3; k++)
        slope[k] = plain_distance(probe, tb_vec3_add(p, step[k])) -
                   plain_distance(probe, tb_vec3_sub(p, step[k]));
    n = tb_vec3_unit(tb_vec3(slope[0], slope[1], slope[2]));
    /* the middle of a ball, a block's middle plane: any direction */
    return tb_vec3_length2(n) > 0.5 ? n : tb_vec3(1, 0, 0);
}

static void
probe_plain(const TbProbe *probe, TbVec3 p, TbSigned *out)
{
    const TbPlain *plain = &probe->skin->part->plain;
    double distance = plain_distance(probe, p);
    TbVec3 n = plain_normal(probe, p);

    out->lower = distance - TB_TOL_ROUND;
    out->upper = distance + TB_TOL_ROUND;
    /* inside a rounded outline that is not convex it may be deeper than tb_plain_distance() says */
    if (plain->kind == TB_PLAIN_OUTLINE && !probe->skin->covers && distance < 0)
        out->lower = -probe->deepest;
    out->has_normal = true;
    out->normal = n;
    out->point = tb_vec3_add_scaled(p, -distance, n);
    /* the differences' normal is good to 1e-9; once more onto the surface */
    distance = plain_distance(probe, out->point);
    out->point = tb_vec3_add_scaled(out->point, -distance, n);
    out->has_point = fabs(plain_distance(probe, out->point)) <= TB_TOL_ROUND;
}

/** How far a plain shape reaches along n: the largest of its pieces. */
static double
plain_reach(const TbPart *part, TbVec3 n)
{
    double reach = -INFINITY;

    for (size_t i = 0; i < part->piece_count; i++)
        reach = fmax(reach, tb_convex_support(&part->pieces[i], n).reach);
    return reach;
}

/* ---- meshes ---- */

static void
probe_mesh(const TbProbe *probe, TbVec3 p, TbSigned *out)
{
    const TbTree *tree = probe->skin->part->tree, *lids = tb_inside__lids(probe->skin->part);
    TbTreeHit hit = tb_tree_nearest(tree, p, INFINITY);
    double d = hit.nearest.distance;

    if (lids != NULL) {
        TbTreeHit lid = tb_tree_nearest(lids, p, d);

        out->on_lid = lid.triangle != UINT32_MAX && lid.nearest.distance < d;
        if (out->on_lid)
            hit = lid;
        d = hit.nearest.distance;
    }
    out->has_point = true;
    out->point = hit.nearest.b;
    out->site.triangle = out->on_lid ? UINT32_MAX : hit.triangle;
    out->place = hit.place;
    out->lower = d - TB_TOL_ROUND;
    out->upper = d + TB_TOL_ROUND;
    if (d <= TB_TOL_ROUND) {
        out->lower = -d - TB_TOL_ROUND; /* on the surface: either side */
    } else if (tb_inside__mesh(probe->skin->part, p)) {
        out->lower = -d - TB_TOL_ROUND;
        out->upper = -d + TB_TOL_ROUND;
    }
}

/* ---- sweeps ---- */

static double
ahead_of(const TbStrip *strip, double u, TbVec3 p, TbDisc *disc)
{
    *disc = tb_piece_disc(strip->piece, u);
    return tb_vec3_dot(disc->frame.t, tb_vec3_sub(p, disc->centre));
}

/** A section of the strip whose plane goes through the point and that holds it, to TB_TOL_ROUND. */
static bool
strip_holds(const TbStrip *strip, TbVec3 p)
{
    double u0 = strip->u0, u1 = strip->u1;
    TbDisc disc = strip->disc0;
    double g0 = tb_vec3_dot(strip->disc0.frame.t, tb_vec3_sub(p, strip->disc0.centre));
    double g1 = tb_vec3_dot(strip->disc1.frame.t, tb_vec3_sub(p, strip->disc1.centre));
    TbConvex point = tb_convex_of_point(p), section;

    if ((g0 < 0) == (g1 < 0))
        return false;
    for (int i = 0; i < PLANE_ROUNDS && u1 - u0 > 0; i++) {
        /* false position now and then pulled to the middle */
        double share = i % 3 == 2 ? 0.5 : g0 / (g0 - g1);
        double u = u0 + fmin(0.999, fmax(0.001, share)) * (u1 - u0);
        double g = ahead_of(strip, u, p, &disc);

        if (fabs(g) <= 1e-3 * TB_TOL_ROUND)
            break;
        if ((g < 0) == (g0 < 0)) {
            u0 = u;
            g0 = g;
        } else {
            u1 = u;
            g1 = g;
        }
    }
    section = tb_convex_of_disc(&disc, true);
    return tb_convex_separation(&section, &point, tb_vec3(0, 0, 0), TB_TOL_ROUND,
                                1e-3 * TB_TOL_ROUND)
               .distance <= TB_TOL_ROUND;
}

static bool
sweep_holds(const TbProbe *probe, TbVec3 p)
{
    const TbSkin *skin = probe->skin;

    for (size_t i = 0; i < skin->covering; i++) {
        const TbStrip *strip = &skin->strip[i];

        if (tb_box3_point_distance2(tb_strip_box(strip), p) == 0 && strip_holds(strip, p))
            return true;
    }
    return false;
}

/** Distance to the filled sweep, from outside: @return whether it is proved to be above 0. */
static TbStatus
distance_outside(TbProbe *probe, TbVec3 p, double width, double *lower, double *upper, TbVec3 *way)
{
    TbSearch *search = &probe->search;
    TbStatus status;

    probe->body = tb_convex_of_point(p);
    tb_field__renew_body(&probe->point);
    tb_search__again(search);
    search->width = width;
    search->budget = 2000;
    status = tb_search__push(search, 0, probe->sweep.root, tb_vec3(0, 0, 0));
    if (status == TB_OK)
        status = tb_search__run(search);
    *lower = search->met || search->exhausted ? 0 : tb_search__lower(search);
    *upper = search->upper;
    *way = tb_vec3_unit(tb_vec3_sub(p, search->witness.point_b));
    return status;
}

static bool
nearer(const struct TbNear *x, const struct TbNear *y)
{
    return x->lower < y->lower || (!(x->lower > y->lower) && x->cell < y->cell);
}

static TbStatus
near_push(TbProbe *probe, struct TbNear near)
{
    void *room = probe->heap;
    size_t i;

    if (tb_grow_array(&room, &probe->room, probe->count, sizeof *probe->heap) != 0)
        return TB_E_MEMORY;
    probe->heap = room;
    for (i = probe->count++; i > 0 && nearer(&near, &probe->heap[(i - 1) / 2]); i = (i - 1) / 2)
        probe->heap[i] = probe->heap[(i - 1) / 2];
    probe->heap[i] = near;
    return TB_OK;
}

static struct TbNear
near_pop(TbProbe *probe)
{
    struct TbNear top = probe->heap[0], last = probe->heap[--probe->count];
    size_t i = 0;

    for (;;) {
        size_t child = 2 * i + 1;

        if (child >= probe->count)
            break;
        if (child + 1 < probe->count && nearer(&probe->heap[child + 1], &probe->heap[child]))
            child++;
        if (!nearer(&probe->heap[child], &last))
            break;
        probe->heap[i] = probe->heap[child];
        i = child;
    }
    probe->heap[i] = last;
    return top;
}

/** Takes a cell's point as the nearest if it is. */
static void
near_try(const TbProbe *probe, TbVec3 p, uint32_t index, TbSigned *out, double *upper)
{
    const TbCell *cell = &probe->skin->cell[index];
    double away = tb_vec3_distance(p, cell->centre) + cell->off;

    if (away + TB_TOL_ROUND < *upper) {
        *upper = away + TB_TOL_ROUND;
        out->has_point = true;
        out->point = cell->centre;
        out->normal = cell->normal;
        out->has_normal = true;
        out->site.station = cell->station;
    }
}

/** Some cells in a row: the nearest of their points, and those that may hold a nearer one. */
static TbStatus
near_add(TbProbe *probe,
         TbVec3 p,
         uint32_t first,
         uint32_t count,
         double least,
         double width,
         TbSigned *out,
         double *upper,
         double *let_go)
{
    TbStatus status = TB_OK;

    for (uint32_t i = first; i < first + count; i++)
        near_try(probe, p, i, out, upper);
    for (uint32_t i = first; i < first + count && status == TB_OK; i++) {
        const TbCell *cell = &probe->skin->cell[i];
        double lower = fmax(least, tb_vec3_distance(p, cell->centre) - cell->reach);

        if (lower >= *upper - width)
            *let_go = fmin(*let_go, lower);
        else
            status = near_push(probe, (struct TbNear){lower, i, false});
    }
    return status;
}

/** Distance to the surface, certified: best first over its cells. */
static TbStatus
distance_to_skin(
    TbProbe *probe, TbVec3 p, double width, TbSigned *out, double *lower, double *upper)
{
    TbConvex point = tb_convex_of_point(p);
    double let_go = INFINITY;
    TbStatus status;

    probe->count = 0;
    *upper = INFINITY;
    status = near_add(probe, p, 0, probe->skin->roots, 0, width, out, upper, &let_go);
    /* what the budget leaves in the heap still counts for `lower` */
    for (long looked = 0; status == TB_OK && probe->count > 0 && looked < NEAR_BUDGET &&
                          probe->heap[0].lower < *upper - width;
         looked++) {
        struct TbNear near = near_pop(probe);
        const TbCell *cell = &probe->skin->cell[near.cell];

        if (!near.fine) {
            TbConvex hull = tb_skin__hull(cell);
            TbSeparation s =
                tb_convex_separation(&point, &hull, tb_vec3_sub(p, cell->centre),
                                     *upper - width + cell->widening + TB_TOL_ROUND, 0.1 * width);

            near.lower = fmax(near.lower, s.lower - cell->widening - TB_TOL_ROUND);
            near.fine = true;
            if (near.lower >= *upper - width)
                let_go = fmin(let_go, near.lower);
            else
                status = near_push(probe, near);
            continue;
        }
        status = tb_skin__open(probe->skin, near.cell);
        if (status != TB_OK)
            break;
        cell = &probe->skin->cell[near.cell];
        status =
            near_add(probe, p, cell->first, cell->count, near.lower, width, out, upper, &let_go);
    }
    *lower = fmin(let_go, probe->count > 0 ? probe->heap[0].lower : (double)INFINITY);
    *lower = fmax(0, fmin(*lower, *upper));
    return status;
}

static TbStatus
probe_sweep(TbProbe *probe, TbVec3 p, double width, TbSigned *out)
{
    bool inside = sweep_holds(probe, p);
    double lower = 0, upper = INFINITY;
    TbStatus status = TB_OK;

    out->site.on_sweep = true;
    if (!inside) {
        status = distance_outside(probe, p, width, &lower, &upper, &out->normal);
        out->lower = lower - TB_TOL_ROUND;
        out->upper = upper;
        out->has_normal = tb_vec3_length2(out->normal) > 0.5;
        if (status != TB_OK || lower > 0)
            return status;
        inside = upper <= 2 * TB_TOL_ROUND;
    }
    status = distance_to_skin(probe, p, width, out, &lower, &upper);
    out->lower = -upper;
    /* within TB_TOL_ROUND of the solid and further than that from its surface: inside it */
    if (inside && lower > 4 * TB_TOL_ROUND)
        out->upper = -lower + TB_TOL_ROUND;
    else
        out->upper = upper;
    return status;
}

/* ---- all of them ---- */

TbStatus
tb_probe__of(TbProbe *probe, TbSkin *skin, TbKept kept, TbBox3 box)
{
    TbVec3 side = tb_vec3_sub(box.high, box.low);
    TbStatus status;

    *probe = (TbProbe){.skin = skin, .kept = kept, .point = {.empty = true}};
    probe->sweep.empty = true;
    probe->box = box;
    /* a ball about it would not fit into the box */
    probe->deepest = tb_inside__is_room(skin->part) ? (double)INFINITY
                                                    : 0.5 * fmin(side.x, fmin(side.y, side.z));
    if (skin->part->kind != TB_PART_SWEEP)
        return TB_OK;
    probe->body = tb_convex_of_point(tb_vec3(0, 0, 0));
    status = tb_field__of_body(&probe->point, &probe->body);
    if (status == TB_OK)
        status = tb_field__of_sweep(&probe->sweep, skin->part->sweep, kept);
    tb_search__start(&probe->search, &probe->point, &probe->sweep, TB_GAP_WIDTH);
    return status;
}

void
tb_probe__clear(TbProbe *probe)
{
    tb_field__clear(&probe->point);
    tb_field__clear(&probe->sweep);
    tb_search__clear(&probe->search);
    tb_free(probe->heap);
    probe->heap = NULL;
}

TbStatus
tb_probe__at(TbProbe *probe, TbVec3 p, double width, TbSigned *out)
{
    *out = (TbSigned){.site = {.triangle = UINT32_MAX}};
    switch (probe->skin->part->kind) {
    case TB_PART_SWEEP:
        return probe_sweep(probe, p, width, out);
    case TB_PART_PLAIN:
        probe_plain(probe, p, out);
        return TB_OK;
    case TB_PART_MESH:
        probe_mesh(probe, p, out);
        return TB_OK;
    }
    return TB_OK;
}

/** Furthest that a point of the cell's hull can be from a convex piece of the surface: distance to
 * a convex set is convex, so a corner of the hull has it. */
static double
furthest_from(const TbProbe *probe, const TbSigned *at, const TbCell *cell)
{
    const TbPart *part = probe->skin->part;
    double most = 0;
    TbVec3 corner[3];

    if (part->kind == TB_PART_MESH)
        tb_mesh_corners(tb_tree_mesh(at->on_lid ? tb_inside__lids(part) : part->tree), at->place,
                        corner);
    for (int i = 0; i < cell->points; i++) {
        double d = part->kind == TB_PART_MESH ? tb_point_triangle(cell->point[i], corner).distance
                                              : tb_vec3_distance(cell->point[i], at->point);

        most = fmax(most, d);
    }
    return most;
}

/** A walk through a sweep's strips that is deeper than this asks for less than rounding. */
#define WALK_STACK 256

/**
 * How far the sweep reaches along n within a ball about c. Strips are opened while they overstate
 * that by more than `slack`, or are long for the ball, and would raise the answer.
 */
static TbStatus
reach_within(TbProbe *probe, TbVec3 c, double radius, TbVec3 n, double slack, double *reach)
{
    TbField *field = &probe->sweep;
    uint32_t stack[WALK_STACK];
    int held = 0;

    *reach = -INFINITY;
    stack[held++] = field->root;
    while (held > 0) {
        uint32_t index = stack[--held];
        const TbNode *node = &field->node[index];
        bool opened = node->kind == TB_NODE_GROUP;

        if (tb_box3_point_distance2(node->box, c) > radius * radius ||
            tb_vec3_distance(node->centre, c) > radius + node->radius)
            continue;
        if (!opened) {
            const TbStrip *strip = tb_field__strip(field, index);
            TbConvex body = tb_strip_convex(strip, true);
            TbSupport support = tb_convex_support(&body, n);
            bool long_for_it = strip->disc1.station - strip->disc0.station > 0.25 * radius;

            if (support.reach + support.beyond <= *reach + slack) {
                *reach = fmax(*reach, support.reach + support.beyond);
                continue;
            }
            if ((support.beyond > slack || long_for_it) && held + 2 < WALK_STACK &&
                support.reach + support.beyond > tb_vec3_dot(n, c) + radius * 1e-3) {
                TbStatus status = tb_field__open(field, index, &opened);

                if (status != TB_OK)
                    return status;
            }
            if (!opened)
                *reach = fmax(*reach, support.reach + support.beyond);
        }
        node = &field->node[index];
        for (uint32_t i = 0; opened && i < node->count; i++) {
            TB_ASSERT(held < WALK_STACK);
            stack[held++] = node->first + i;
        }
    }
    return TB_OK;
}

static double
least_along(const TbCell *cell, TbVec3 n)
{
    double least = INFINITY;

    for (int i = 0; i < cell->points; i++)
        least = fmin(least, tb_vec3_dot(n, cell->point[i]));
    return least;
}

/**
 * A point q of the cell moved by t along n, t = reach - n . q, has left what the sweep reaches
 * within the ball, so its way out is no longer than t; if it has not left the ball.
 */
static TbStatus
over_sweep(TbProbe *probe, const TbSigned *at, const TbCell *cell, double slack, double *lower)
{
    double deep = fmax(0, -at->lower) + cell->reach, reach, way;
    TbStatus status =
        reach_within(probe, cell->centre, cell->reach + deep, at->normal, slack, &reach);

    if (status != TB_OK)
        return status;
    way = fmax(0, reach - least_along(cell, at->normal)) + TB_TOL_ROUND;
    if (way <= deep)
        *lower = fmax(*lower, -way - cell->widening);
    return TB_OK;
}

TbStatus
tb_probe__over(TbProbe *probe, const TbSigned *at, const TbCell *cell, double slack, double *lower)
{
    const TbPart *part = probe->skin->part;
    TbStatus status = TB_OK;

    /* the signed distance changes no faster than the place */
    *lower = at->lower - cell->reach;
    if (at->has_point)
        *lower = fmax(*lower, -furthest_from(probe, at, cell) - cell->widening);
    /* beyond the plane that bounds the part along n it is further out, inside it no deeper */
    if (at->has_normal && part->kind == TB_PART_PLAIN)
        *lower = fmax(*lower, least_along(cell, at->normal) - plain_reach(part, at->normal) -
                                  cell->widening);
    if (at->has_normal && part->kind == TB_PART_SWEEP)
        status = over_sweep(probe, at, cell, slack, lower);
    *lower = fmax(*lower - TB_TOL_ROUND, -probe->deepest);
    return status;
}
