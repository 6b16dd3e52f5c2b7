/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/lids.h"

#include "base/mem.h"
#include "geom/rim_private.h"
#include "geom/tol.h"

#include <stdatomic.h>

/** Share of the area times the size: a volume below is that of a sheet, or rounding. */
#define NO_VOLUME 1e-6

/** The triangles that fill the rim, as they come. */
typedef struct Fill {
    TbVec3 *corner; /**< three a triangle */
    size_t count, room;
} Fill;

static TbStatus
add_triangle(Fill *fill, TbVec3 a, TbVec3 b, TbVec3 c)
{
    void *room = fill->corner;

    if (tb_grow_array(&room, &fill->room, 3 * fill->count + 2, sizeof *fill->corner) != 0)
        return TB_E_MEMORY;
    fill->corner = room;
    fill->corner[3 * fill->count] = a;
    fill->corner[3 * fill->count + 1] = b;
    fill->corner[3 * fill->count + 2] = c;
    fill->count++;
    return TB_OK;
}

static bool
is_same(TbVec3 a, TbVec3 b)
{
    return a.x == b.x && a.y == b.y && a.z == b.z;
}

/** The way from an edge of the rim to the edge it is drawn to, as often as the edge counts. */
static TbStatus
add_strip(Fill *fill, const TbRim *rim, const TbRimEdge *edge)
{
    TbVec3 u = rim->own[edge->from], v = rim->own[edge->to];
    TbVec3 to_u = rim->drawn[rim->to[edge->from]], to_v = rim->drawn[rim->to[edge->to]];
    TbStatus status = TB_OK;

    for (int i = 0; i < edge->times && status == TB_OK; i++) {
        if (!is_same(u, to_u) && !is_same(to_u, to_v))
            status = add_triangle(fill, u, to_u, to_v);
        if (status == TB_OK && !is_same(v, to_v) && !is_same(u, to_v))
            status = add_triangle(fill, u, to_v, v);
    }
    return status;
}

/** A fan about the middle of a closed way, against its sense. */
static TbStatus
add_fan(void *user, const TbVec3 way[], size_t count)
{
    Fill *fill = user;
    TbVec3 middle = {0, 0, 0};
    TbStatus status = TB_OK;

    if (count == 3)
        return add_triangle(fill, way[2], way[1], way[0]);
    for (size_t i = 0; i < count; i++)
        middle = tb_vec3_add(middle, tb_vec3_sub(way[i], way[0]));
    middle = tb_vec3_add_scaled(way[0], 1 / (double)count, middle);
    for (size_t i = 0; i < count && status == TB_OK; i++)
        status = add_triangle(fill, middle, way[i + 1 < count ? i + 1 : 0], way[i]);
    return status;
}

static double
volume_about(TbVec3 datum, const TbVec3 t[3])
{
    TbVec3 n = tb_vec3_cross(tb_vec3_sub(t[1], t[0]), tb_vec3_sub(t[2], t[0]));

    return tb_vec3_dot(tb_vec3_sub(t[0], datum), n);
}

/** Whether mesh and lids are turned inside out, and the lids' area. */
static void
measure(TbLids *lids, const TbMesh *mesh, const Fill *fill)
{
    TbVec3 datum = tb_mesh_vertices(mesh)[tb_mesh_indices(mesh)[0]], t[3];
    double volume = 0, area = 0;

    for (size_t i = 0; i < tb_mesh_triangle_count(mesh); i++) {
        tb_mesh_corners(mesh, i, t);
        volume += volume_about(datum, t);
    }
    for (size_t i = 0; i < fill->count; i++) {
        const TbVec3 *c = fill->corner + 3 * i;

        volume += volume_about(datum, c);
        area += tb_vec3_length(tb_vec3_cross(tb_vec3_sub(c[1], c[0]), tb_vec3_sub(c[2], c[0]))) / 2;
    }
    lids->inward =
        volume / 6 < -NO_VOLUME * tb_mesh_facts(mesh).area * tb_box3_diagonal(tb_mesh_box(mesh));
    lids->area = area;
}

/** Leaves first, then the nodes level by level. */
static size_t
place_number(const TbTree *tree, TbTreeAt at)
{
    size_t before = 0;

    for (int level = 0; level < at.level; level++)
        before += tb_tree_level_count(tree, level);
    return before + at.index;
}

static TbLump
lump_of_triangle(const TbMesh *mesh, uint32_t triangle)
{
    TbVec3 t[3];
    TbLump lump;

    tb_mesh_corners(mesh, triangle, t);
    lump.area = tb_vec3_scale(tb_vec3_cross(tb_vec3_sub(t[1], t[0]), tb_vec3_sub(t[2], t[0])), 0.5);
    lump.size = tb_vec3_length(lump.area);
    return lump;
}

static TbLump
lump_of_place(const TbLids *lids, TbTreeAt at)
{
    const TbTree *tree = lids->tree;
    TbBox3 box = tb_tree_box(tree, at);
    TbLump lump = {{0, 0, 0}, tb_box3_centre(box), tb_box3_diagonal(box) / 2, 0};

    for (int k = 0, n = tb_tree_children(tree, at); k < n; k++) {
        TbLump part = at.level == 0 ? lump_of_triangle(tb_tree_mesh(tree), tb_tree_triangle(at, k))
                                    : lids->lump[place_number(tree, tb_tree_child(at, k))];

        lump.area = tb_vec3_add(lump.area, part.area);
        lump.size += part.size;
    }
    return lump;
}

static TbStatus
make_lumps(TbLids *lids)
{
    TbTreeAt root = tb_tree_root(lids->tree);
    size_t next = 0;

    lids->lump = tb_alloc_array(place_number(lids->tree, root) + 1, sizeof *lids->lump);
    if (lids->lump == NULL)
        return TB_E_MEMORY;
    for (int level = 0; level <= root.level; level++)
        for (uint32_t i = 0; i < tb_tree_level_count(lids->tree, level); i++)
            lids->lump[next++] = lump_of_place(lids, (TbTreeAt){i, level});
    return TB_OK;
}

static TbStatus
make_tree(TbLids *lids, const Fill *fill)
{
    uint32_t *index = tb_alloc_array(3 * fill->count, sizeof *index);
    TbMesh *mesh = NULL;
    TbStatus status;

    if (index == NULL)
        return TB_E_MEMORY;
    for (size_t i = 0; i < 3 * fill->count; i++)
        index[i] = (uint32_t)i;
    status = tb_mesh_from_arrays(fill->corner, 3 * fill->count, index, fill->count, &mesh, NULL);
    tb_free(index);
    if (status == TB_OK)
        status = tb_tree_new(mesh, NULL, NULL, &lids->tree, NULL);
    tb_mesh_unref(mesh);
    return status == TB_OK ? make_lumps(lids) : status;
}

static TbStatus
fill_rim(TbLids *lids, const TbMesh *mesh, TbRim *rim)
{
    Fill fill = {NULL, 0, 0};
    TbStatus status = tb_rim__draw_together(rim, TB_TOL_CRACK);

    for (size_t i = 0; i < rim->edges && status == TB_OK; i++)
        status = add_strip(&fill, rim, &rim->edge[i]);
    if (status == TB_OK)
        status = tb_rim__ways(rim, add_fan, &fill);
    if (status == TB_OK)
        measure(lids, mesh, &fill);
    if (status == TB_OK && fill.count > 0)
        status = make_tree(lids, &fill);
    tb_free(fill.corner);
    return status;
}

TbStatus
tb_lids_new(const TbMesh *mesh, TbLids **lids)
{
    static atomic_long serial;
    TbLids *made = tb_alloc(sizeof *made);
    TbRim rim = {.edges = 0};
    TbStatus status;

    *lids = NULL;
    if (made == NULL)
        return TB_E_MEMORY;
    *made = (TbLids){.serial = 1 + atomic_fetch_add(&serial, 1)};
    status = tb_rim__of_mesh(&rim, mesh, TB_LIDS_MOST);
    made->even = rim.even;
    made->many = rim.many;
    if (status == TB_OK && !rim.many)
        status = fill_rim(made, mesh, &rim);
    tb_rim__clear(&rim);
    if (status != TB_OK) {
        tb_lids_free(made);
        return status;
    }
    *lids = made;
    return TB_OK;
}

void
tb_lids_free(TbLids *lids)
{
    if (lids == NULL)
        return;
    tb_tree_unref(lids->tree);
    tb_free(lids->lump);
    tb_free(lids);
}

/**
 * Lids seen from afar: each point q of them adds its area's vector times f(q) = (q - p)/|q - p|^3,
 * and |grad f| <= 2/|q - p|^3, so to say f(centre) for all is off by at most size radius 2/d^3, d
 * the least distance. That is allowed as far as each share of the area has its share of
 * what is allowed for all.
 */
static bool
is_far(const TbLids *lids, const TbLump *lump, TbVec3 p, double within)
{
    double d = tb_vec3_distance(lump->centre, p) - lump->radius;

    return d > 0 && lump->radius * lids->area <= 2 * M_PI * within * d * d * d;
}

static double
measure_angle(const TbLids *lids, TbVec3 p, double within)
{
    const TbTree *tree = lids->tree;
    TbTreeAt stack[TB_TREE_STACK];
    double sum = 0, afar = 0;
    int held = 0;

    stack[held++] = tb_tree_root(tree);
    while (held > 0) {
        TbTreeAt at = stack[--held];
        const TbLump *lump = &lids->lump[place_number(tree, at)];
        int count = tb_tree_children(tree, at);

        if (is_far(lids, lump, p, within)) {
            TbVec3 way = tb_vec3_sub(lump->centre, p);
            double d = tb_vec3_length(way);

            afar += tb_vec3_dot(lump->area, way) / (d * d * d);
            continue;
        }
        if (at.level == 0)
            sum += tb_mesh_angle_of(tb_tree_mesh(tree), tb_tree_triangle(at, 0), (size_t)count, p);
        for (int k = 0; k < count && at.level > 0; k++)
            stack[held++] = tb_tree_child(at, k);
    }
    return sum + afar / (4 * M_PI);
}

/** Answers a thread remembers: both ends of a path or two with all that hangs on them. */
#define REMEMBERED 64

/** A question and its answer, which depends on nothing else: the memory changes no bit. */
typedef struct Memory {
    long serial; /* 0: none */
    TbVec3 p;
    double within, angle;
} Memory;

double
tb_lids_angle(const TbLids *lids, TbVec3 p, double within)
{
    static _Thread_local Memory memory[REMEMBERED];
    static _Thread_local int next;
    Memory *last;

    if (lids->tree == NULL)
        return 0;
    for (int i = 0; i < REMEMBERED; i++) {
        const Memory *m = &memory[i];

        if (m->serial == lids->serial && m->within == within && is_same(m->p, p))
            return m->angle;
    }
    last = &memory[next];
    next = (next + 1) % REMEMBERED;
    *last = (Memory){lids->serial, p, within, measure_angle(lids, p, within)};
    return last->angle;
}

const char *
tb_mesh_body_name(TbMeshBody body)
{
    switch (body) {
    case TB_BODY_CLOSED:
        return "closed";
    case TB_BODY_NEARLY:
        return "nearly closed";
    case TB_BODY_FLIPPED:
        return "flipped";
    case TB_BODY_OPEN:
        return "open";
    }
    return "unknown";
}

TbStatus
tb_tree_body(const TbTree *tree, TbMeshBody *body, bool *room)
{
    TbMeshFacts facts = tb_mesh_facts(tb_tree_mesh(tree));
    const TbLids *lids = NULL;
    TbStatus status = facts.closed ? TB_OK : tb_tree_lids(tree, &lids);

    *body = TB_BODY_CLOSED;
    *room = facts.inward;
    if (status != TB_OK || facts.closed)
        return status;
    if (!lids->many && lids->area <= TB_LIDS_SHARE * facts.area)
        *body = TB_BODY_NEARLY;
    else
        *body = lids->even ? TB_BODY_FLIPPED : TB_BODY_OPEN;
    *room = *body == TB_BODY_NEARLY && lids->inward;
    return TB_OK;
}
