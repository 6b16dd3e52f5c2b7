/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/inside_private.h"

#include "geom/lids.h"

/** A winding number this near to a whole number is that number; beyond it is anybody's guess. */
#define CLEARLY 0.25

/** A mesh that is really open may be closed in any way: only where its rim is seen as less than
 * this share of all directions is a place not about it. */
#define FAR_RIM 0.05

/** Diagonals of a mesh's box: from there all of it is seen as less than FAR_RIM. */
#define FAR_AWAY 2.0

/* ---- what a mesh is ---- */

static const TbMesh *
mesh_of(const TbPart *part)
{
    return tb_tree_mesh(part->tree);
}

/** NULL: closed, or there was no room. */
static const TbLids *
lids_of(const TbPart *part)
{
    const TbLids *lids = NULL;

    if (!tb_mesh_facts(mesh_of(part)).closed && tb_tree_lids(part->tree, &lids) != TB_OK)
        return NULL;
    return lids;
}

TbStatus
tb_inside__prepare(const TbSolid *solid)
{
    TbStatus status = TB_OK;

    for (size_t i = 0; i < tb_solid_part_count(solid) && status == TB_OK; i++) {
        const TbPart *part = tb_solid_part(solid, i);
        const TbLids *lids;

        if (part->kind == TB_PART_MESH && !tb_mesh_facts(mesh_of(part)).closed)
            status = tb_tree_lids(part->tree, &lids);
    }
    return status;
}

static bool
is_nearly_closed(const TbLids *lids, const TbMesh *mesh)
{
    return !lids->many && lids->area <= TB_LIDS_SHARE * tb_mesh_facts(mesh).area;
}

bool
tb_inside__has(const TbPart *part)
{
    const TbLids *lids;

    if (part->kind != TB_PART_MESH || tb_mesh_facts(mesh_of(part)).closed)
        return true;
    lids = lids_of(part);
    return lids != NULL && is_nearly_closed(lids, mesh_of(part));
}

const TbTree *
tb_inside__lids(const TbPart *part)
{
    const TbLids *lids = part->kind == TB_PART_MESH && tb_inside__has(part) ? lids_of(part) : NULL;

    return lids == NULL ? NULL : lids->tree;
}

bool
tb_inside__is_room(const TbPart *part)
{
    const TbLids *lids;

    if (part->kind != TB_PART_MESH)
        return false;
    lids = lids_of(part);
    return lids == NULL ? tb_mesh_facts(mesh_of(part)).inward : lids->inward;
}

/* ---- where a point is ---- */

/** Of the mesh and its lids, so a whole number. */
static long
turns_about(const TbPart *part, const TbLids *lids, TbVec3 p)
{
    long turns = tb_tree_turns(part->tree, p, NULL);

    return lids == NULL || lids->tree == NULL ? turns : turns + tb_tree_turns(lids->tree, p, NULL);
}

static bool
is_beyond_box(const TbPart *part, TbVec3 p)
{
    return tb_box3_point_distance2(tb_mesh_box(mesh_of(part)), p) > 0;
}

bool
tb_inside__mesh(const TbPart *part, TbVec3 p)
{
    bool room = tb_inside__is_room(part);

    if (is_beyond_box(part, p))
        return room;
    return turns_about(part, lids_of(part), p) + (room ? 1 : 0) >= 1;
}

/** Of a mesh that turns a whole number of times about every point. */
static TbLies
side_of_turns(const TbPart *part, long turns, TbVec3 p, double *winding)
{
    *winding = (double)turns;
    if (turns >= 1)
        return TB_LIES_IN;
    if (turns < 0 || !tb_inside__is_room(part) || is_beyond_box(part, p))
        return TB_LIES_OUT;
    *winding = 1;
    return TB_LIES_ABOUT_ROOM;
}

/** Every edge is used an even number of times, but not as often both ways. */
static TbLies
side_by_parity(const TbPart *part, TbVec3 p, double *winding)
{
    bool odd;

    tb_tree_turns(part->tree, p, &odd);
    *winding = odd ? 1 : 0;
    return odd ? TB_LIES_IN_FLIPPED : TB_LIES_OUT;
}

/** How much a mesh's turns about a point lack to a whole number: roughly, where nothing that is
 * decided by it would be another thing. */
static double
lacks_at(const TbLids *lids, const TbMesh *mesh, long turns, TbVec3 p)
{
    const double spare = TB_LIDS_ROUGHLY + TB_LIDS_WITHIN;
    double lacks = tb_lids_angle(lids, p, TB_LIDS_ROUGHLY);
    bool decided = is_nearly_closed(lids, mesh) ? fabs(lacks - round(lacks)) <= CLEARLY - spare
                                                : turns == 0 && fabs(lacks) <= FAR_RIM - spare;

    return decided ? lacks : tb_lids_angle(lids, p, TB_LIDS_WITHIN);
}

TbLies
tb_inside__where(const TbPart *part, TbVec3 p, double *winding)
{
    const TbMesh *mesh = mesh_of(part);
    TbBox3 box = tb_mesh_box(mesh);
    const TbLids *lids = lids_of(part);
    long turns;
    double lacks;

    *winding = 0;
    if (sqrt(tb_box3_point_distance2(box, p)) > FAR_AWAY * tb_box3_diagonal(box))
        return TB_LIES_OUT;
    if (tb_mesh_facts(mesh).closed)
        return side_of_turns(part, turns_about(part, NULL, p), p, winding);
    *winding = NAN;
    if (lids == NULL || (lids->many && !lids->even))
        return TB_LIES_AT_OPEN;
    if (!is_nearly_closed(lids, mesh) && lids->even)
        return side_by_parity(part, p, winding);
    turns = turns_about(part, lids, p);
    lacks = lacks_at(lids, mesh, turns, p);
    *winding = (double)turns - lacks;
    if (is_nearly_closed(lids, mesh))
        return fabs(*winding - round(*winding)) > CLEARLY
                   ? TB_LIES_AT_HOLE
                   : side_of_turns(part, lround(*winding), p, winding);
    return turns == 0 && fabs(lacks) <= FAR_RIM ? TB_LIES_OUT : TB_LIES_AT_OPEN;
}

bool
tb_inside__is_in(const TbPart *part, TbVec3 p)
{
    const TbLids *lids;
    long turns;

    if (part->kind != TB_PART_MESH || !tb_inside__has(part) || is_beyond_box(part, p))
        return false;
    lids = lids_of(part);
    turns = turns_about(part, lids, p);
    if (lids == NULL || turns < 1)
        return turns >= 1;
    return (double)turns - tb_lids_angle(lids, p, TB_LIDS_WITHIN) >= 1 - CLEARLY;
}

bool
tb_inside__any_mesh(const TbSolid *solid, TbVec3 p)
{
    for (size_t i = 0; i < tb_solid_part_count(solid); i++) {
        if (tb_inside__is_in(tb_solid_part(solid, i), p))
            return true;
    }
    return false;
}

/* ---- parts whose surfaces do not meet ---- */

/** How much of one part lies inside a mesh. */
typedef struct Share {
    size_t in, of; /**< points of its surface, one for each that hangs together */
    TbLies doubt;
    double winding;
} Share;

static void
count_point(Share *share, const TbPart *mesh, TbVec3 p)
{
    double winding;
    TbLies side = tb_inside__where(mesh, p, &winding);

    share->of++;
    share->in += side == TB_LIES_IN;
    if (side == TB_LIES_OUT || side == TB_LIES_IN)
        return;
    if (share->doubt == TB_LIES_OUT || winding > share->winding) {
        share->doubt = side;
        share->winding = winding;
    }
}

/** A part is connected but for a mesh of several shells, so one point of each decides. */
static Share
share_inside(const TbField *field, uint32_t node, const TbPart *mesh, const TbVec3 *also)
{
    const TbPart *part = tb_field__part(field, node);
    Share share = {.doubt = TB_LIES_OUT};
    TbSite site;

    if (also != NULL && !tb_inside__has(mesh)) { /* no inside: only how much it is enclosed */
        count_point(&share, mesh, *also);
        return share;
    }
    if (part->kind != TB_PART_MESH || !tb_inside__has(mesh)) {
        count_point(&share, mesh, tb_field__some_point(field, node, &site));
        return share;
    }
    for (size_t i = 0; i < tb_mesh_facts(mesh_of(part)).shells; i++) {
        uint32_t triangle = tb_mesh_shells(mesh_of(part))[i];

        count_point(&share, mesh,
                    tb_mesh_vertices(mesh_of(part))[tb_mesh_indices(mesh_of(part))[3 * triangle]]);
    }
    return share;
}

/** The part's box against the boxes of the mesh's lids. */
static bool
is_near_lids(TbBox3 box, const TbPart *mesh)
{
    const TbTree *lids = tb_inside__lids(mesh);
    TbTreeAt stack[TB_TREE_STACK];
    int held = 0;

    if (lids == NULL)
        return false;
    stack[held++] = tb_tree_root(lids);
    while (held > 0) {
        TbTreeAt at = stack[--held];
        int count = tb_tree_children(lids, at);

        for (int k = 0; k < count; k++) {
            if (tb_box3_distance2(tb_tree_child_box(lids, at, k), box) > 0)
                continue;
            if (at.level == 0)
                return true;
            stack[held++] = tb_tree_child(at, k);
        }
    }
    return false;
}

static void
note_doubt(TbReach *reach, const Share *share)
{
    if (share->doubt == TB_LIES_OUT)
        return;
    if (reach->doubt == TB_LIES_OUT || share->winding > reach->winding) {
        reach->doubt = share->doubt;
        reach->winding = share->winding;
    }
}

/** The parts of one solid in the meshes of the other; true where every part is in one of them. */
static bool
find_in(const TbField *in, const TbField *out, TbVec3 also, TbReach *reach)
{
    const TbNode *root_in = &in->node[in->root], *root_out = &out->node[out->root];
    bool all = true;

    for (uint32_t i = 0; i < root_in->count; i++) {
        uint32_t node = root_in->first + i;
        bool whole = false;

        for (uint32_t k = 0; k < root_out->count; k++) {
            const TbPart *mesh = tb_field__part(out, root_out->first + k);
            Share share;

            if (mesh->kind != TB_PART_MESH)
                continue;
            share = share_inside(in, node, mesh, root_in->count == 1 ? &also : NULL);
            note_doubt(reach, &share);
            reach->some = reach->some || share.in > 0;
            reach->near_lids = reach->near_lids || is_near_lids(in->node[node].box, mesh);
            if (share.in == 0 || share.in < share.of)
                continue;
            /* a cavity's wall within it: then it reaches through the material */
            whole = whole || tb_field__part(in, node)->kind != TB_PART_MESH ||
                    share_inside(out, root_out->first + k, tb_field__part(in, node), NULL).in == 0;
        }
        all = all && whole;
    }
    return all;
}

TbReach
tb_inside__find(const TbField *a, const TbField *b, TbVec3 on_a, TbVec3 on_b)
{
    TbReach reach = {.doubt = TB_LIES_OUT};

    reach.whole_a = find_in(a, b, on_a, &reach);
    reach.whole_b = find_in(b, a, on_b, &reach);
    return reach;
}

static bool
reaches_into(const TbField *in, const TbField *out)
{
    const TbNode *root_in = &in->node[in->root];
    TbSite site;

    if (out->solid == NULL) /* one body or one sweep: no mesh */
        return false;
    for (uint32_t i = 0; i < root_in->count; i++)
        if (tb_inside__any_mesh(out->solid, tb_field__some_point(in, root_in->first + i, &site)))
            return true;
    return false;
}

bool
tb_inside__reaches(const TbField *a, const TbField *b)
{
    return reaches_into(a, b) || reaches_into(b, a);
}
