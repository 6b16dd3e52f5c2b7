/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/mem.h"
#include "gaps/inside_private.h"
#include "gaps/scatter_private.h"
#include "geom/carried.h"
#include "geom/tol.h"

#include <stdlib.h>
#include <string.h>

/** Pairs at most: beyond, what is there is not divided further. */
#define MOST_PAIRS 200000

/** Open pairs at most where few are asked for: they stand for the whole of a meeting. */
#define FEW_PAIRS 2000

/** mm. A pair of strips is fine enough when they overstate their solids by no more. */
#define LOOSE 0.02

/** mm. Nor are balls to be larger than this many: their turning is what a bound gives away. */
#define LARGE 15.0

/** Share of the need to which separations are iterated. */
#define WITHIN 1e-6

/** Separations of one sample before it is left to a search, which takes as long as some hundred. */
#define MOST_SEPARATIONS 512

/** Pairs between two looks at the task. */
#define POLL 256

typedef struct Open {
    uint32_t node[2];
    TbVec3 way;
} Open;

/** What is being divided. */
typedef struct Build {
    TbScreen *screen;
    double beyond;
    Open *open;
    size_t count, room;
} Build;

static TbStatus
push(Build *build, uint32_t a, uint32_t b, TbVec3 way)
{
    void *room = build->open;

    if (tb_grow_array(&room, &build->room, build->count, sizeof *build->open) != 0)
        return TB_E_MEMORY;
    build->open = room;
    build->open[build->count++] = (Open){{a, b}, way};
    return TB_OK;
}

static TbStatus
keep_pair(TbScreen *screen, const Open *open, double lower, TbVec3 way)
{
    TbScreenPair pair = {.lower = lower, .way = way};
    void *room = screen->pair;

    if (tb_grow_array(&room, &screen->room, screen->count, sizeof pair) != 0)
        return TB_E_MEMORY;
    for (int i = 0; i < 2; i++) {
        const TbNode *node = &screen->field[i].node[open->node[i]];

        pair.node[i] = open->node[i];
        pair.centre[i] = node->centre;
        pair.radius[i] = node->radius;
    }
    screen->pair = room;
    screen->pair[screen->count++] = pair;
    return TB_OK;
}

static double
boxes_apart(const TbNode *a, const TbNode *b)
{
    double balls = tb_vec3_distance(a->centre, b->centre) - a->radius - b->radius;

    return fmax(balls, sqrt(tb_box3_distance2(a->box, b->box))) - TB_TOL_ROUND;
}

/** Overstates its solid, or is so large that its turning costs much. */
static double
looseness(const TbField *field, uint32_t index)
{
    const TbNode *node = &field->node[index];

    if (tb_node__is_box(node))
        return node->loose + LARGE;
    if (node->kind == TB_NODE_STRIP) {
        double widening = tb_field__strip(field, index)->bound.widening;
        double length = node->station1 - node->station0;

        return widening > LOOSE || length > LARGE ? widening + length : 0;
    }
    return 0;
}

/** Divides one side of a pair; false where it cannot be. */
static TbStatus
divide(Build *build, const Open *open, TbVec3 way, bool *divided)
{
    TbScreen *screen = build->screen;
    double loose[2] = {looseness(&screen->field[0], open->node[0]),
                       looseness(&screen->field[1], open->node[1])};
    TbStatus status = TB_OK;

    *divided = false;
    for (int turn = 0; turn < 2 && !*divided && status == TB_OK; turn++) {
        int side = (turn == 0) == (loose[0] >= loose[1]) ? 0 : 1;
        TbField *field = &screen->field[side];
        TbNode node;

        if (!(loose[side] > 0))
            continue;
        status = tb_field__open(field, open->node[side], divided);
        if (status != TB_OK || !*divided)
            continue;
        node = field->node[open->node[side]];
        for (uint32_t i = 0; i < node.count && status == TB_OK; i++)
            status = side == 0 ? push(build, node.first + i, open->node[1], way)
                               : push(build, open->node[0], node.first + i, way);
    }
    return status;
}

static TbStatus
look_at(Build *build, const Open *open)
{
    TbScreen *screen = build->screen;
    const TbNode *a = &screen->field[0].node[open->node[0]];
    const TbNode *b = &screen->field[1].node[open->node[1]];
    double lower = boxes_apart(a, b);
    TbVec3 way = open->way;
    bool divided = false;
    TbStatus status;

    if (lower < build->beyond && !(tb_node__is_box(a) && tb_node__is_box(b))) {
        TbConvex body_a = tb_field__body(&screen->field[0], open->node[0]);
        TbConvex body_b = tb_field__body(&screen->field[1], open->node[1]);
        TbSeparation found = tb_convex_separation(&body_a, &body_b, way,
                                                  build->beyond + TB_TOL_ROUND, TB_GAP_WIDTH_LEAST);

        way = found.direction;
        lower = found.lower - TB_TOL_ROUND;
    }
    if (lower >= build->beyond) {
        screen->far = fmin(screen->far, lower);
        return TB_OK;
    }
    if (screen->count + build->count < MOST_PAIRS) {
        status = divide(build, open, way, &divided);
        if (status != TB_OK || divided)
            return status;
    }
    if (tb_node__is_box(a) || tb_node__is_box(b)) { /* no room for more: nothing is said of it */
        screen->far = fmin(screen->far, lower);
        return TB_OK;
    }
    return keep_pair(screen, open, lower, way);
}

static int
nearer(const void *x, const void *y)
{
    const TbScreenPair *a = x, *b = y;

    if (a->lower != b->lower)
        return a->lower < b->lower ? -1 : 1;
    if (a->node[0] != b->node[0])
        return a->node[0] < b->node[0] ? -1 : 1;
    return a->node[1] < b->node[1] ? -1 : a->node[1] > b->node[1];
}

bool
tb_scatter__has_inside(const TbSolid *solid)
{
    for (size_t i = 0; i < tb_solid_part_count(solid); i++) {
        const TbPart *part = tb_solid_part(solid, i);

        if (part->kind == TB_PART_MESH && tb_inside__has(part))
            return true;
    }
    return false;
}

static void
set_balls(TbScreen *screen, const TbScatterAsk *ask)
{
    const TbSolid *solid[2] = {ask->a, ask->b};

    for (int i = 0; i < 2; i++) {
        TbBox3 box = tb_solid_box(solid[i]);

        screen->centre[i] = tb_box3_centre(box);
        screen->radius[i] = 0.5 * tb_box3_diagonal(box);
        screen->has_inside = screen->has_inside || tb_scatter__has_inside(solid[i]);
    }
}

/** Only so many of what is open, evenly taken: what is dropped may be anywhere. */
static void
thin(Build *build, size_t most)
{
    if (build->count <= most)
        return;
    for (size_t i = 0; i < most; i++)
        build->open[i] = build->open[i * build->count / most];
    build->count = most;
    build->screen->far = -INFINITY;
}

/** All that is open is divided once, and so on: what is thinned out on the way leaves pairs from
 * everywhere. */
static TbStatus
divide_by_levels(Build *build, size_t most, const TbTask *task)
{
    TbStatus status = TB_OK;

    while (status == TB_OK && build->count > 0) {
        size_t level;

        thin(build, most);
        level = build->count;
        for (size_t i = 0; i < level && status == TB_OK; i++) {
            Open open = build->open[i];

            status = i % POLL == 0 && tb_task_is_cancelled(task) ? TB_E_CANCELLED
                                                                 : look_at(build, &open);
        }
        build->count -= level;
        memmove(build->open, build->open + level, build->count * sizeof *build->open);
    }
    return status;
}

static TbStatus
divide_all(Build *build, const TbTask *task)
{
    TbStatus status = TB_OK;

    for (size_t looks = 0; status == TB_OK && build->count > 0; looks++) {
        Open open = build->open[--build->count];

        status = looks % POLL == 0 && tb_task_is_cancelled(task) ? TB_E_CANCELLED
                                                                 : look_at(build, &open);
    }
    return status;
}

TbStatus
tb_screen__of(
    TbScreen *screen, const TbScatterAsk *ask, double beyond, bool thinned, const TbTask *task)
{
    Build build = {.screen = screen, .beyond = beyond};
    TbStatus status;

    *screen = (TbScreen){.far = INFINITY};
    status = tb_field__of_solid(&screen->field[0], ask->a, ask->leave_out, ask->leave_out_count);
    if (status == TB_OK)
        status =
            tb_field__of_solid(&screen->field[1], ask->b, ask->leave_out, ask->leave_out_count);
    if (status == TB_OK && !screen->field[0].empty && !screen->field[1].empty)
        status = push(&build, screen->field[0].root, screen->field[1].root, tb_vec3(0, 0, 0));
    if (status == TB_OK)
        status = thinned ? divide_by_levels(&build, FEW_PAIRS, task) : divide_all(&build, task);
    tb_free(build.open);
    if (status == TB_OK && screen->count > 0)
        qsort(screen->pair, screen->count, sizeof *screen->pair, nearer);
    set_balls(screen, ask);
    return status;
}

void
tb_screen__clear(TbScreen *screen)
{
    tb_field__clear(&screen->field[0]);
    tb_field__clear(&screen->field[1]);
    tb_free(screen->pair);
    screen->pair = NULL;
}

/* ---- a sample ---- */

/** Rounding of a trace. */
#define TRACE_ROUND 1e-15

/** How far a pose turns anything that is 1 mm off its centre, at most: |R - 1|, whose square is
 * 3 - trace. */
static double
turning(const TbPose *pose)
{
    double trace = pose->x.x + pose->y.y + pose->z.z;

    return sqrt(fmax(0, 3 - trace) + TRACE_ROUND);
}

/** The two nodes of a pair where the sample puts them: separated, or witnessed. */
static TbScreened
separate(const TbScreen *screen, const TbScreenPair *pair, const TbPose pose[2], double need)
{
    TbConvex rest[2], body[2];
    TbCarried carried[2];
    TbDisc disc[2];
    TbSeparation found;

    for (int i = 0; i < 2; i++) {
        rest[i] = tb_field__body(&screen->field[i], pair->node[i]);
        carried[i] = (TbCarried){.body = &rest[i], .pose = &pose[i], .turn = -1};
        body[i] = tb_carried_convex(&carried[i]);
    }
    found = tb_convex_separation(&body[0], &body[1], pair->way, need + TB_TOL_ROUND, WITHIN);
    if (found.lower - TB_TOL_ROUND >= need)
        return TB_SCREEN_HOLDS;
    for (int i = 0; i < 2; i++) { /* a station in between, where there are some */
        const TbStrip *strip;
        double share = i == 0 ? found.second_a : found.second_b;

        if (screen->field[i].node[pair->node[i]].kind != TB_NODE_STRIP)
            continue;
        strip = tb_field__strip(&screen->field[i], pair->node[i]);
        disc[i] = tb_piece_disc(strip->piece, strip->u0 + share * (strip->u1 - strip->u0));
        rest[i] = tb_convex_of_disc(&disc[i], true);
    }
    found = tb_convex_separation(&body[0], &body[1], found.direction, need + TB_TOL_ROUND, WITHIN);
    return found.distance + TB_TOL_ROUND < need ? TB_SCREEN_BROKEN : TB_SCREEN_OPEN;
}

TbScreened
tb_screen__ask(const TbScreen *screen, const TbPose pose[2], double need, bool *separated)
{
    double travel = 0, turn[2];
    int separations = 0;
    TbScreened said;

    *separated = false;
    for (int i = 0; i < 2; i++) {
        turn[i] = turning(&pose[i]);
        travel += tb_vec3_distance(tb_pose_point(pose[i], screen->centre[i]), screen->centre[i]) +
                  turn[i] * screen->radius[i];
    }
    travel += TB_TOL_ROUND;
    /* what could have passed a mesh's surface may lie inside it, far from any triangle: then, and
     * where not all pairs are there, they can only tell what is broken */
    said = screen->far - travel < need || (screen->has_inside && travel >= screen->nominal)
               ? TB_SCREEN_OPEN
               : TB_SCREEN_HOLDS;
    for (size_t k = 0; k < screen->count; k++) {
        const TbScreenPair *pair = &screen->pair[k];
        double lower = pair->lower;
        TbScreened one;

        if (lower - travel >= need)
            break;
        for (int i = 0; i < 2; i++) {
            TbVec3 by = tb_vec3_sub(tb_pose_point(pose[i], pair->centre[i]), pair->centre[i]);

            lower += (i == 0 ? 1 : -1) * tb_vec3_dot(pair->way, by) - turn[i] * pair->radius[i];
        }
        if (lower - TB_TOL_ROUND >= need)
            continue;
        if (separations++ == MOST_SEPARATIONS)
            return TB_SCREEN_OPEN;
        *separated = true;
        one = separate(screen, pair, pose, need);
        if (one == TB_SCREEN_BROKEN)
            return one;
        if (one == TB_SCREEN_OPEN)
            said = one;
    }
    return said;
}
