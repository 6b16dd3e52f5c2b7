/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Cuts of flat-faced bodies: meshes, blocks, sharp outlines. Every corner has one sign (on the
 * plane counts as above), so every triangle is crossed by no or two of its edges, and an edge gives
 * the same point to both its triangles. Chains follow edges, so a closed mesh gives closed loops.
 */

#include "base/mem.h"
#include "geom/cut_private.h"
#include "geom/tol.h"

/** A body of triangles and the plane that cuts it. */
typedef struct Faces {
    const TbVec3 *vertex;
    TbPlane plane;
    /** Of a prism: corners of its outline, the upper ones numbered after the lower ones; edges that
     * only halve a face give no point. 0: every edge counts. */
    uint32_t prism;
} Faces;

static uint64_t
edge_of(uint32_t a, uint32_t b)
{
    return a < b ? (uint64_t)a << 32 | b : (uint64_t)b << 32 | a;
}

/** Adds the segment of a triangle that the plane crosses. Seen from outside its corners run
 * counter-clockwise; the segment begins on the edge that goes down, so the solid is on its left. */
static TbStatus
cross_triangle(const Faces *faces,
               const uint32_t corner[3],
               TbCutSegments *segments,
               TbFault *fault)
{
    uint64_t down = 0;
    uint64_t up = 0;
    bool above[3];
    bool crosses = false;

    for (int i = 0; i < 3; i++)
        above[i] = tb_plane_height(faces->plane, faces->vertex[corner[i]]) >= 0;
    for (int i = 0; i < 3; i++) {
        int next = (i + 1) % 3;

        if (above[i] == above[next])
            continue;
        crosses = true;
        if (above[i])
            down = edge_of(corner[i], corner[next]);
        else
            up = edge_of(corner[i], corner[next]);
    }
    return crosses ? tb_cut__segment(segments, down, up, fault) : TB_OK;
}

static bool
is_prism_edge(uint32_t low, uint32_t high, uint32_t corners)
{
    if (low < corners && high >= corners)
        return high - low == corners;
    return high - low == 1 || high - low == corners - 1;
}

/** Where an edge meets the plane: the same bits whichever triangle asks. */
static bool
edge_point(void *user, uint64_t edge, TbVec2 *point)
{
    const Faces *faces = user;
    uint32_t low = (uint32_t)(edge >> 32);
    uint32_t high = (uint32_t)edge;
    TbVec3 a = faces->vertex[low];
    TbVec3 b = faces->vertex[high];
    double from = tb_plane_height(faces->plane, a);
    double to = tb_plane_height(faces->plane, b);

    if (faces->prism > 0 && !is_prism_edge(low, high, faces->prism))
        return false;
    if (from == 0)
        *point = tb_plane_project(faces->plane, a);
    else if (to == 0)
        *point = tb_plane_project(faces->plane, b);
    else
        *point = tb_plane_project(faces->plane, tb_vec3_mix(a, b, from / (from - to)));
    return true;
}

static TbStatus
finish(TbCut *cut, Faces *faces, const TbCutSegments *segments, int role, TbFault *fault)
{
    TbCutMark mark = tb_cut__mark(cut);
    TbStatus status = tb_cut__chain(segments, edge_point, faces, cut, role, fault);

    if (status == TB_OK)
        status = tb_cut__nest(cut, mark, fault);
    if (status != TB_OK)
        tb_cut__back(cut, mark);
    return status;
}

/* ---- meshes ---- */

/** The box of a node lies wholly on one side, by more than any rounding. */
static bool
misses(const TbTreeNode *node, TbPlane plane)
{
    TbVec3 middle = {((double)node->low[0] + (double)node->high[0]) / 2,
                     ((double)node->low[1] + (double)node->high[1]) / 2,
                     ((double)node->low[2] + (double)node->high[2]) / 2};
    double reach = fabs(plane.n.x) * ((double)node->high[0] - middle.x) +
                   fabs(plane.n.y) * ((double)node->high[1] - middle.y) +
                   fabs(plane.n.z) * ((double)node->high[2] - middle.z);

    return fabs(tb_plane_height(plane, middle)) > reach + TB_TOL_PLACE;
}

static TbStatus
cross_tree(const TbTree *tree, const Faces *faces, TbCutSegments *segments, TbFault *fault)
{
    const TbTreeNode *nodes = tb_tree_nodes(tree);
    const uint32_t *order = tb_tree_order(tree);
    const uint32_t *index = tb_mesh_indices(tb_tree_mesh(tree));
    uint32_t stack[TB_TREE_STACK];
    size_t depth = 0;
    TbStatus status = TB_OK;

    if (tb_tree_node_count(tree) > 0)
        stack[depth++] = 0;
    while (depth > 0 && status == TB_OK) {
        const TbTreeNode *node = &nodes[stack[--depth]];

        if (misses(node, faces->plane))
            continue;
        if (node->count == 0) {
            stack[depth++] = node->first + 1;
            stack[depth++] = node->first;
        }
        for (uint32_t i = 0; i < node->count && status == TB_OK; i++)
            status =
                cross_triangle(faces, index + 3 * (size_t)order[node->first + i], segments, fault);
    }
    return status;
}

TbStatus
tb_cut_add_mesh(TbCut *cut, const TbTree *tree, TbPlane plane, int role, TbFault *fault)
{
    Faces faces = {tb_mesh_vertices(tb_tree_mesh(tree)), plane, 0};
    TbCutSegments segments = {0};
    TbStatus status = cross_tree(tree, &faces, &segments, fault);

    if (status == TB_OK)
        status = finish(cut, &faces, &segments, role, fault);
    tb_free(segments.all);
    return status;
}

/* ---- prisms ---- */

/** Flank of a prism in triangles, then both faces by the given triangles of the lower outline. */
static TbStatus
cross_prism(const Faces *faces, const size_t triangles[], TbCutSegments *segments, TbFault *fault)
{
    uint32_t n = faces->prism;
    TbStatus status = TB_OK;

    for (uint32_t i = 0; i < n && status == TB_OK; i++) {
        uint32_t next = (i + 1) % n;
        const uint32_t one[3] = {i, next, n + next};
        const uint32_t two[3] = {i, n + next, n + i};

        status = cross_triangle(faces, one, segments, fault);
        if (status == TB_OK)
            status = cross_triangle(faces, two, segments, fault);
    }
    for (size_t i = 0; i + 2 < n && status == TB_OK; i++) {
        const size_t *t = triangles + 3 * i;
        const uint32_t low[3] = {(uint32_t)t[0], (uint32_t)t[2], (uint32_t)t[1]};
        const uint32_t high[3] = {n + (uint32_t)t[0], n + (uint32_t)t[1], n + (uint32_t)t[2]};

        status = cross_triangle(faces, low, segments, fault);
        if (status == TB_OK)
            status = cross_triangle(faces, high, segments, fault);
    }
    return status;
}

TbStatus
tb_cut__prism(TbCut *cut,
              const TbVec3 vertex[],
              uint32_t corners,
              const size_t triangles[],
              TbPlane plane,
              int role,
              TbFault *fault)
{
    Faces faces = {vertex, plane, corners};
    TbCutSegments segments = {0};
    TbStatus status = cross_prism(&faces, triangles, &segments, fault);

    if (status == TB_OK)
        status = finish(cut, &faces, &segments, role, fault);
    tb_free(segments.all);
    return status;
}
