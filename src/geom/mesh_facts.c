/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * What a mesh is. Its half edges are put into one bucket per lower vertex (a counting sort, so time
 * grows with the number of triangles), each bucket is sorted by the higher vertex, and every edge
 * is then a run of a bucket. Triangles that share an edge are joined in a forest; its trees are
 * the shells.
 */
#include "base/mem.h"
#include "geom/mesh_private.h"
#include "geom/tol.h"

#include <stdlib.h>

/** One side of a triangle, kept with its lower vertex. */
typedef struct Half {
    uint32_t high; /**< the edge's higher vertex */
    uint32_t face; /**< 2 * triangle, plus 1 when it runs from high to low */
} Half;

typedef struct Edges {
    uint32_t *first; /**< of each vertex's bucket; one more at the end */
    Half *half;
    uint32_t *parent; /**< forest over triangles */
} Edges;

/** Above this many in a bucket the library's sort is quicker than insertion. */
#define FEW 16

static int
compare_halves(const void *a, const void *b)
{
    const Half *p = a;
    const Half *q = b;

    if (p->high != q->high)
        return p->high < q->high ? -1 : 1;
    return p->face < q->face ? -1 : p->face > q->face;
}

static void
sort_bucket(Half *half, size_t count)
{
    if (count > FEW) {
        qsort(half, count, sizeof *half, compare_halves);
        return;
    }
    for (size_t i = 1; i < count; i++) {
        Half moving = half[i];
        size_t k = i;
        for (; k > 0 && compare_halves(&moving, &half[k - 1]) < 0; k--)
            half[k] = half[k - 1];
        half[k] = moving;
    }
}

static uint32_t
root_of(uint32_t *parent, uint32_t i)
{
    while (parent[i] != i) {
        parent[i] = parent[parent[i]];
        i = parent[i];
    }
    return i;
}

/** The lower number becomes the root. */
static void
join(uint32_t *parent, uint32_t a, uint32_t b)
{
    uint32_t x = root_of(parent, a);
    uint32_t y = root_of(parent, b);

    if (x < y)
        parent[y] = x;
    else
        parent[x] = y;
}

static void
fill_buckets(const TbMesh *mesh, Edges *edges)
{
    uint32_t *first = edges->first;
    uint32_t sum = 0;

    for (size_t i = 0; i < 3 * mesh->triangles; i++) {
        uint32_t a = mesh->index[i];
        uint32_t b = mesh->index[i % 3 == 2 ? i - 2 : i + 1];
        if (a != b)
            first[a < b ? a : b]++;
    }
    for (size_t v = 0; v <= mesh->vertices; v++) {
        sum += first[v];
        first[v] = sum; /* the end; filling backwards turns it into the start */
    }
    for (size_t i = 3 * mesh->triangles; i-- > 0;) {
        uint32_t a = mesh->index[i];
        uint32_t b = mesh->index[i % 3 == 2 ? i - 2 : i + 1];
        uint32_t face = 2 * (uint32_t)(i / 3);
        if (a < b)
            edges->half[--first[a]] = (Half){b, face};
        else if (b < a)
            edges->half[--first[b]] = (Half){a, face + 1};
    }
}

static void
count_edge(TbMeshFacts *facts, const Half *half, size_t uses, uint32_t *parent)
{
    for (size_t i = 1; i < uses; i++)
        join(parent, half[0].face / 2, half[i].face / 2);
    if (uses == 1)
        facts->open_edges++;
    else if (uses > 2)
        facts->shared_edges++;
    else if (half[0].face % 2 == half[1].face % 2)
        facts->flipped_edges++;
}

static void
count_edges(TbMesh *mesh, Edges *edges)
{
    TbMeshFacts *facts = &mesh->facts;

    facts->open_edges = facts->shared_edges = facts->flipped_edges = facts->shells = 0;
    for (size_t i = 0; i < mesh->triangles; i++)
        edges->parent[i] = (uint32_t)i;
    for (size_t v = 0; v < mesh->vertices; v++) {
        size_t from = edges->first[v];
        size_t to = edges->first[v + 1];
        sort_bucket(edges->half + from, to - from);
        for (size_t i = from, k; i < to; i = k) {
            for (k = i + 1; k < to && edges->half[k].high == edges->half[i].high; k++)
                ;
            count_edge(facts, edges->half + i, k - i, edges->parent);
        }
    }
    for (size_t i = 0; i < mesh->triangles; i++)
        facts->shells += edges->parent[i] == i;
    facts->closed = facts->open_edges == 0 && facts->shared_edges == 0 && facts->flipped_edges == 0;
}

/** A shell's lowest triangle is the root of its tree. */
static bool
note_shells(TbMesh *mesh, const uint32_t parent[])
{
    size_t count = 0;

    mesh->shell = tb_alloc_array(mesh->facts.shells, sizeof *mesh->shell);
    if (mesh->shell == NULL)
        return false;
    for (size_t i = 0; i < mesh->triangles; i++)
        if (parent[i] == i)
            mesh->shell[count++] = (uint32_t)i;
    return true;
}

/** Neumaier's sum: what rounding takes away is kept aside. */
typedef struct Sum {
    double total, rest;
} Sum;

static void
add(Sum *sum, double x)
{
    double t = sum->total + x;

    sum->rest += fabs(sum->total) >= fabs(x) ? (sum->total - t) + x : (x - t) + sum->total;
    sum->total = t;
}

/** Whether a triangle is thinner than the tolerance of welding; @p n is two areas long. */
static bool
is_sliver(const TbVec3 t[3], TbVec3 n)
{
    double longest2 = tb_vec3_length2(tb_vec3_sub(t[1], t[0]));

    longest2 = fmax(longest2, tb_vec3_length2(tb_vec3_sub(t[2], t[1])));
    longest2 = fmax(longest2, tb_vec3_length2(tb_vec3_sub(t[0], t[2])));
    return tb_vec3_length2(n) < TB_TOL_WELD * TB_TOL_WELD * longest2;
}

/** Volume about the first vertex: by the divergence theorem, tetrahedra over the triangles. */
static void
measure(TbMesh *mesh)
{
    TbVec3 corner[3];
    TbVec3 datum = mesh->vertex[mesh->index[0]];
    Sum volume = {0, 0};
    Sum area = {0, 0};

    mesh->box = tb_box3_empty();
    mesh->facts.slivers = 0;
    for (size_t i = 0; i < mesh->triangles; i++) {
        TbVec3 a, b, c, n;
        tb_mesh_corners(mesh, i, corner);
        for (int k = 0; k < 3; k++)
            mesh->box = tb_box3_with_point(mesh->box, corner[k]);
        a = tb_vec3_sub(corner[0], datum);
        b = tb_vec3_sub(corner[1], corner[0]);
        c = tb_vec3_sub(corner[2], corner[0]);
        n = tb_vec3_cross(b, c);
        mesh->facts.slivers += is_sliver(corner, n);
        add(&area, tb_vec3_length(n));
        add(&volume, tb_vec3_dot(a, n));
    }
    mesh->facts.area = (area.total + area.rest) / 2;
    mesh->facts.volume = mesh->facts.closed ? (volume.total + volume.rest) / 6 : 0;
    mesh->facts.inward = mesh->facts.volume < 0;
}

/** Passes progress on; false when asked to stop. */
static bool
goes_on(TbTask *task, double share)
{
    tb_task_report(task, "finding out what a mesh is", share);
    return !tb_task_is_cancelled(task);
}

TbStatus
tb_mesh__find_facts(TbMesh *mesh, TbTask *task, TbFault *fault)
{
    Edges edges = {NULL, NULL, NULL};
    TbStatus status = TB_OK;

    edges.first = tb_alloc_array(mesh->vertices + 2, sizeof *edges.first);
    edges.half = tb_alloc_array(3 * mesh->triangles, sizeof *edges.half);
    edges.parent = tb_alloc_array(mesh->triangles, sizeof *edges.parent);
    if (edges.first == NULL || edges.half == NULL || edges.parent == NULL) {
        status =
            tb_fail(fault, TB_E_MEMORY, "no room for the edges of %zu triangles", mesh->triangles);
        goto done;
    }
    /* shares by the time that the steps take */
    if (goes_on(task, 0))
        fill_buckets(mesh, &edges);
    if (goes_on(task, 0.3))
        count_edges(mesh, &edges);
    if (!goes_on(task, 0.8)) {
        status = tb_fail(fault, TB_E_CANCELLED, "stopped while reading a mesh");
        goto done;
    }
    if (!note_shells(mesh, edges.parent)) {
        status =
            tb_fail(fault, TB_E_MEMORY, "no room for the shells of %zu triangles", mesh->triangles);
        goto done;
    }
    measure(mesh);
    goes_on(task, 1);

done:
    tb_free(edges.first);
    tb_free(edges.half);
    tb_free(edges.parent);
    return status;
}
