/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Cuts of flat-faced bodies: meshes, blocks, sharp outlines. Every corner has one sign (on the
 * plane counts as above), so every triangle is crossed by no or two of its edges, and an edge gives
 * the same point to both its triangles. Chains follow edges, so a closed mesh gives closed loops.
 */

#include "base/mem.h"
#include "geom/cut_private.h"
#include "geom/tol.h"

#include <stdlib.h>

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

/** An order of places, so that a point does not depend on how corners are numbered. */
static bool
comes_later(TbVec3 a, TbVec3 b)
{
    if (a.x != b.x)
        return a.x > b.x;
    return a.y != b.y ? a.y > b.y : a.z > b.z;
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
    double from, to;

    if (faces->prism > 0 && !is_prism_edge(low, high, faces->prism))
        return false;
    if (comes_later(a, b)) {
        TbVec3 swap = a;
        a = b;
        b = swap;
    }
    from = tb_plane_height(faces->plane, a);
    to = tb_plane_height(faces->plane, b);
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

/** A box lies wholly on one side, by more than any rounding. */
static bool
misses(TbBox3 box, TbPlane plane)
{
    TbVec3 middle = tb_box3_centre(box);
    double reach = fabs(plane.n.x) * (box.high.x - middle.x) +
                   fabs(plane.n.y) * (box.high.y - middle.y) +
                   fabs(plane.n.z) * (box.high.z - middle.z);

    return fabs(tb_plane_height(plane, middle)) > reach + TB_TOL_PLACE;
}

/** Triangles that the plane may cross, by their numbers in the file: a cut does not depend on how
 * the tree divides the mesh. */
typedef struct Crossed {
    uint64_t *all; /**< number, then the triangle in the tree's order */
    size_t count, room;
} Crossed;

static TbStatus
note_leaf(const TbTree *tree, TbTreeAt leaf, Crossed *crossed, TbFault *fault)
{
    int count = tb_tree_children(tree, leaf);

    for (int k = 0; k < count; k++) {
        uint32_t triangle = tb_tree_triangle(leaf, k);
        void *all = crossed->all;

        if (tb_grow_array(&all, &crossed->room, crossed->count, sizeof *crossed->all) != 0)
            return tb_fail(fault, TB_E_MEMORY, "no room for a cut of %zu triangles",
                           crossed->count);
        crossed->all = all;
        crossed->all[crossed->count++] = (uint64_t)tb_tree_numbers(tree)[triangle] << 32 | triangle;
    }
    return TB_OK;
}

static TbStatus
find_crossed(const TbTree *tree, TbPlane plane, Crossed *crossed, TbFault *fault)
{
    TbTreeAt stack[TB_TREE_STACK];
    size_t held = 0;
    TbStatus status = TB_OK;

    stack[held++] = tb_tree_root(tree);
    while (held > 0 && status == TB_OK) {
        TbTreeAt at = stack[--held];
        int count = tb_tree_children(tree, at);

        if (at.level == 0)
            status = note_leaf(tree, at, crossed, fault);
        for (int k = 0; at.level > 0 && k < count; k++)
            if (!misses(tb_tree_child_box(tree, at, k), plane))
                stack[held++] = tb_tree_child(at, k);
    }
    return status;
}

static int
compare_numbers(const void *a, const void *b)
{
    uint64_t p = *(const uint64_t *)a;
    uint64_t q = *(const uint64_t *)b;

    return p < q ? -1 : p > q;
}

static TbStatus
cross_tree(const TbTree *tree, const Faces *faces, TbCutSegments *segments, TbFault *fault)
{
    const uint32_t *index = tb_mesh_indices(tb_tree_mesh(tree));
    Crossed crossed = {NULL, 0, 0};
    TbStatus status = find_crossed(tree, faces->plane, &crossed, fault);

    if (crossed.count > 0)
        qsort(crossed.all, crossed.count, sizeof *crossed.all, compare_numbers);
    for (size_t i = 0; i < crossed.count && status == TB_OK; i++)
        status =
            cross_triangle(faces, index + 3 * (size_t)(uint32_t)crossed.all[i], segments, fault);
    tb_free(crossed.all);
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
