/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * Welding. A corner becomes the nearest earlier vertex that is nearer than TB_TOL_WELD (the lowest
 * number among equals), else a new vertex. Vertices are noted in a table by the cell they lie in;
 * a cell is so wide that most corners need to look for one or two, and so narrow that even in a
 * file in the wrong unit, all its vertices crowded to the tolerance, cells hold few. Corners are
 * taken in the order of the file, so the result depends on nothing else.
 *
 * Where a cell is noted is anywhere in memory. But most corners are the same as one not long before
 * in the file: a small table of those seen last is looked at first. And triangles wait in a short
 * queue, so that the slots they will need are asked for while others before them are welded.
 */
#include "base/mem.h"
#include "geom/mesh_private.h"
#include "geom/tol.h"

#include <string.h>

/** mm. Side of a cell. */
#define CELL (8 * TB_TOL_WELD)

/** mm. Makes every coordinate positive before it is cut down to a cell. */
#define SHIFT (2 * TB_LIMIT_COORDINATE)

#define NONE UINT32_MAX

#define FIRST_SLOTS 2048

/** Triangles in the queue, a power of two. */
#define QUEUE 8

/** Corners seen last that are kept at hand, a power of two: about what a processor keeps near. */
#define RECENT 8192

/** Vertices ahead whose slots are asked for when a table is made. */
#define AHEAD 16

/** A vertex in the table, at the first free slot from its cell's place on. The tag tells cells
 * apart without a look at the vertex; cells of one tag are told apart by the distance. */
typedef struct Slot {
    uint32_t tag, vertex; /**< NONE: free */
} Slot;

/** A triangle that waits, and the hashes of its corners' cells. */
typedef struct Waiting {
    TbVec3 corner[3];
    uint64_t hash[3];
} Waiting;

struct TbMeshBuilder {
    Slot recent[RECENT]; /**< by the lowest bits of the cell's hash */
    Waiting queue[QUEUE];
    size_t entered, left; /**< triangles that came into the queue, and left it */
    TbVec3 *vertex;
    uint32_t *index;
    size_t vertices, vertex_room;
    Slot *slot;
    size_t slots; /**< a power of two */
    int shift;    /**< takes a hash to a slot: its highest bits */
    size_t triangles, index_room;
    size_t read, degenerate, not_finite;
};

/** Cells that a ball of the tolerance about a point can meet: it is less wide than a cell. */
#define MOST_NEAR 8

/** Share of a cell's width that rounding may make of a place in it: below 1e-9. */
#define SLACK 1e-6

/** Cells along one axis near a coordinate, as parts of a hash: that of its own, maybe one more. */
typedef struct Axis {
    uint64_t part[2];
    int count;
} Axis;

static inline uint64_t
home_part(double x, uint64_t factor)
{
    return (uint32_t)((x + SHIFT) * (1 / CELL)) * factor;
}

static inline Axis
axis_of(double x, uint64_t factor)
{
    double place = (x + SHIFT) * (1 / CELL);
    uint32_t home = (uint32_t)place;
    double share = place - (double)home;
    bool low = share < TB_TOL_WELD / CELL + SLACK;
    bool high = share > 1 - TB_TOL_WELD / CELL - SLACK;

    return (Axis){{home * factor, (high ? home + 1 : home - 1) * factor}, low || high ? 2 : 1};
}

#define FACTOR_X UINT64_C(0x9e3779b97f4a7c15)
#define FACTOR_Y UINT64_C(0xc2b2ae3d27d4eb4f)
#define FACTOR_Z UINT64_C(0x165667b19e3779f9)

static inline uint64_t
mix(uint64_t h)
{
    h ^= h >> 32;
    h *= UINT64_C(0xd6e8feb86659fd93);
    return h ^ h >> 32;
}

/** Hash of the cell a point lies in. */
static uint64_t
hash_of(TbVec3 p)
{
    return mix(home_part(p.x, FACTOR_X) ^ home_part(p.y, FACTOR_Y) ^ home_part(p.z, FACTOR_Z));
}

/** Hashes of all cells within the tolerance of a point, its own first; how many. */
static int
hashes_near(TbVec3 p, uint64_t hash[MOST_NEAR])
{
    Axis x = axis_of(p.x, FACTOR_X), y = axis_of(p.y, FACTOR_Y), z = axis_of(p.z, FACTOR_Z);
    int count = 0;

    for (int i = 0; i < x.count; i++)
        for (int j = 0; j < y.count; j++)
            for (int k = 0; k < z.count; k++)
                hash[count++] = mix(x.part[i] ^ y.part[j] ^ z.part[k]);
    return count;
}

static size_t
slot_of(const TbMeshBuilder *builder, uint64_t hash)
{
    return (size_t)(hash >> builder->shift);
}

static void
note(TbMeshBuilder *builder, uint64_t hash, size_t vertex)
{
    size_t at = slot_of(builder, hash);

    while (builder->slot[at].vertex != NONE)
        at = (at + 1) & (builder->slots - 1);
    builder->slot[at] = (Slot){(uint32_t)hash, (uint32_t)vertex};
}

/** All vertices into the new table. */
static void
note_all(TbMeshBuilder *builder)
{
    uint64_t hash[AHEAD];

    for (size_t i = 0; i < builder->vertices + AHEAD; i++) {
        if (i >= AHEAD)
            note(builder, hash[i % AHEAD], i - AHEAD);
        if (i < builder->vertices) {
            hash[i % AHEAD] = hash_of(builder->vertex[i]);
            __builtin_prefetch(&builder->slot[slot_of(builder, hash[i % AHEAD])]);
        }
    }
}

/** Another table, of a power of two slots. @return false when there is no room */
static bool
make_slots(TbMeshBuilder *builder, size_t slots)
{
    Slot *slot = tb_alloc_array(slots, sizeof *slot);

    if (slot == NULL)
        return false;
    tb_free(builder->slot);
    builder->slot = slot;
    builder->slots = slots;
    builder->shift = 65 - __builtin_ffsll((long long)slots);
    memset(slot, 0xff, slots * sizeof *slot);
    note_all(builder);
    return true;
}

void
tb_mesh_builder_free(TbMeshBuilder *builder)
{
    if (builder == NULL)
        return;
    tb_free(builder->vertex);
    tb_free(builder->slot);
    tb_free(builder->index);
    tb_free(builder);
}

TbMeshBuilder *
tb_mesh_builder_new(void)
{
    TbMeshBuilder *builder = tb_alloc(sizeof *builder);

    if (builder == NULL)
        return NULL;
    memset(builder->recent, 0xff, sizeof builder->recent);
    if (make_slots(builder, FIRST_SLOTS))
        return builder;
    tb_mesh_builder_free(builder);
    return NULL;
}

static TbStatus
add_vertex(TbMeshBuilder *builder, TbVec3 p, uint64_t hash, uint32_t *number, TbFault *fault)
{
    void *vertex = builder->vertex;

    if (builder->vertices >= NONE)
        return tb_fail(fault, TB_E_LIMIT, "a mesh of more than %u vertices", NONE);
    /* a quarter stays free, so that searches end soon */
    if (builder->vertices >= builder->slots / 4 * 3 && !make_slots(builder, 2 * builder->slots))
        return tb_fail(fault, TB_E_MEMORY, "no room for %zu vertices", builder->vertices);
    if (tb_grow_array(&vertex, &builder->vertex_room, builder->vertices, sizeof p) != 0)
        return tb_fail(fault, TB_E_MEMORY, "no room for %zu vertices", builder->vertices);
    builder->vertex = vertex;
    builder->vertex[builder->vertices] = p;
    note(builder, hash, builder->vertices);
    *number = (uint32_t)builder->vertices++;
    return TB_OK;
}

/** Nearest vertex of one cell that is nearer than what is known. Vertices keep their distance, so
 * there is no second one at distance 0. */
static inline void
look_into(const TbMeshBuilder *builder, uint64_t hash, TbVec3 p, double *best2, uint32_t *best)
{
    const Slot *slot = builder->slot;
    size_t at = slot_of(builder, hash);

    for (; slot[at].vertex != NONE && *best2 > 0; at = (at + 1) & (builder->slots - 1)) {
        uint32_t i = slot[at].vertex;
        double d2;
        if (slot[at].tag != (uint32_t)hash)
            continue;
        d2 = tb_vec3_length2(tb_vec3_sub(builder->vertex[i], p));
        if (d2 < *best2 || (d2 <= *best2 && i < *best)) {
            *best2 = d2;
            *best = i;
        }
    }
}

/** The vertex that p becomes part of, or NONE. */
static uint32_t
find_vertex(const TbMeshBuilder *builder, TbVec3 p, uint64_t home)
{
    const Slot *recent = &builder->recent[home % RECENT];
    double best2 = TB_TOL_WELD * TB_TOL_WELD;
    uint32_t best = NONE;
    uint64_t hash[MOST_NEAR];
    int count;

    if (recent->tag == (uint32_t)home && recent->vertex != NONE &&
        !(tb_vec3_length2(tb_vec3_sub(builder->vertex[recent->vertex], p)) > 0))
        return recent->vertex;
    count = hashes_near(p, hash);
    for (int i = 0; i < count && best2 > 0; i++)
        look_into(builder, hash[i], p, &best2, &best);
    /* exactly at the tolerance is not nearer than it */
    return best2 < TB_TOL_WELD * TB_TOL_WELD ? best : NONE;
}

static bool
is_usable(TbVec3 p)
{
    return fabs(p.x) <= TB_LIMIT_COORDINATE && fabs(p.y) <= TB_LIMIT_COORDINATE &&
           fabs(p.z) <= TB_LIMIT_COORDINATE;
}

void
tb_mesh_builder__drop(TbMeshBuilder *builder)
{
    builder->read++;
    builder->degenerate++;
}

size_t
tb_mesh_builder__read(const TbMeshBuilder *builder)
{
    return builder->read;
}

uint64_t
tb_mesh_builder__need(const TbMeshBuilder *builder)
{
    return tb_mesh_need(builder->vertices, builder->read);
}

static TbStatus
weld(TbMeshBuilder *builder, const Waiting *waiting, TbFault *fault)
{
    void *index = builder->index;
    uint32_t v[3];

    if (builder->triangles >= TB_MESH__MOST_FACES)
        return tb_fail(fault, TB_E_LIMIT, "a mesh of more than %zu triangles", TB_MESH__MOST_FACES);
    for (int k = 0; k < 3; k++) {
        v[k] = find_vertex(builder, waiting->corner[k], waiting->hash[k]);
        if (v[k] == NONE) {
            TbStatus status =
                add_vertex(builder, waiting->corner[k], waiting->hash[k], &v[k], fault);
            if (status != TB_OK)
                return status;
        }
        builder->recent[waiting->hash[k] % RECENT] = (Slot){(uint32_t)waiting->hash[k], v[k]};
    }
    if (v[0] == v[1] || v[1] == v[2] || v[2] == v[0]) {
        builder->degenerate++;
        return TB_OK;
    }
    if (tb_grow_array(&index, &builder->index_room, builder->triangles, sizeof v) != 0)
        return tb_fail(fault, TB_E_MEMORY, "no room for %zu triangles", builder->triangles);
    builder->index = index;
    memcpy(builder->index + 3 * builder->triangles, v, sizeof v);
    builder->triangles++;
    return TB_OK;
}

/* ---- the queue ---- */

/** Into the queue, which has room. A corner not seen lately will look into all cells near it. */
static void
enter(TbMeshBuilder *builder, const TbVec3 corner[3])
{
    Waiting *waiting = &builder->queue[builder->entered++ % QUEUE];

    for (int k = 0; k < 3; k++) {
        uint64_t hash[MOST_NEAR];
        uint64_t home = hash_of(corner[k]);
        Slot *recent = &builder->recent[home % RECENT];

        waiting->corner[k] = corner[k];
        waiting->hash[k] = home;
        if (recent->tag == (uint32_t)home)
            continue;
        /* seen, but its vertex is not known yet */
        *recent = (Slot){(uint32_t)home, NONE};
        for (int i = hashes_near(corner[k], hash); i-- > 0;)
            __builtin_prefetch(&builder->slot[slot_of(builder, hash[i])]);
    }
}

/** Out of the queue. */
static TbStatus
leave(TbMeshBuilder *builder, TbFault *fault)
{
    return weld(builder, &builder->queue[builder->left++ % QUEUE], fault);
}

TbStatus
tb_mesh_builder_add(TbMeshBuilder *builder, const TbVec3 corner[3], TbFault *fault)
{
    TbStatus status = TB_OK;

    builder->read++;
    if (!is_usable(corner[0]) || !is_usable(corner[1]) || !is_usable(corner[2])) {
        builder->not_finite++;
        return TB_OK;
    }
    if (builder->entered - builder->left == QUEUE)
        status = leave(builder, fault);
    enter(builder, corner);
    return status;
}

/** Takes out vertices that only dropped triangles used; the others keep their order. */
static TbStatus
close_ranks(TbMeshBuilder *builder, TbFault *fault)
{
    uint32_t *number = tb_alloc_array(builder->vertices, sizeof *number);
    size_t kept = 0;

    if (number == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for %zu vertices", builder->vertices);
    for (size_t i = 0; i < 3 * builder->triangles; i++)
        number[builder->index[i]] = 1;
    for (size_t i = 0; i < builder->vertices; i++) {
        if (number[i] == 0)
            continue;
        builder->vertex[kept] = builder->vertex[i];
        number[i] = (uint32_t)kept++;
    }
    for (size_t i = 0; i < 3 * builder->triangles; i++)
        builder->index[i] = number[builder->index[i]];
    builder->vertices = kept;
    tb_free(number);
    return TB_OK;
}

/** Hands the arrays over, cut to size. */
static TbStatus
hand_over(TbMeshBuilder *builder, TbMesh *mesh, TbFault *fault)
{
    void *vertex, *index;

    TB_CLEAR(builder->slot);
    mesh->facts.vertices_read = builder->vertices;
    if (builder->degenerate > 0 && close_ranks(builder, fault) != TB_OK)
        return TB_E_MEMORY;
    vertex = tb_resize_array(builder->vertex, builder->vertices, sizeof *mesh->vertex);
    if (vertex != NULL)
        builder->vertex = vertex;
    index = tb_resize_array(builder->index, 3 * builder->triangles, sizeof *mesh->index);
    if (index != NULL)
        builder->index = index;
    if (vertex == NULL || index == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for %zu triangles", builder->triangles);
    mesh->vertex = builder->vertex;
    mesh->vertices = builder->vertices;
    mesh->index = builder->index;
    mesh->triangles = builder->triangles;
    mesh->facts.triangles_read = builder->read;
    mesh->facts.dropped_degenerate = builder->degenerate;
    mesh->facts.dropped_not_finite = builder->not_finite;
    builder->vertex = NULL;
    builder->index = NULL;
    return TB_OK;
}

TbStatus
tb_mesh_builder_finish(
    TbMeshBuilder *builder, TbWork *work, TbTask *task, TbMesh **mesh, TbFault *fault)
{
    TbMesh *made = NULL;
    TbStatus status = TB_OK;

    (void)work;
    while (status == TB_OK && builder->left < builder->entered)
        status = leave(builder, fault);
    if (status != TB_OK)
        goto done;
    if (builder->triangles == 0) {
        status = tb_fail(fault, TB_E_FORMAT,
                         builder->read == 0 ? "no triangles"
                                            : "no triangle left of %zu: %zu have no width, %zu are "
                                              "not finite or beyond %d mm",
                         builder->read, builder->degenerate, builder->not_finite,
                         (int)TB_LIMIT_COORDINATE);
        goto done;
    }
    made = tb_mesh__new();
    if (made == NULL) {
        status = tb_fail(fault, TB_E_MEMORY, "no room for a mesh");
        goto done;
    }
    status = hand_over(builder, made, fault);
    if (status == TB_OK)
        status = tb_mesh__find_facts(made, task, fault);
    if (status == TB_OK)
        *mesh = tb_mesh_ref(made);

done:
    tb_mesh_unref(made);
    tb_mesh_builder_free(builder);
    return status;
}
