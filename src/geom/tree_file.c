/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/tree_file.h"

#include "base/mem.h"
#include "base/sum.h"
#include "geom/mesh_private.h"
#include "geom/tol.h"
#include "geom/tree_private.h"

#include <string.h>

_Static_assert(sizeof(TbVec3) == 24 && sizeof(double) == 8, "vertices lie as three doubles");

/** Bytes read between two looks at the task; they are summed while the cache still has them. */
#define PIECE ((size_t)1 << 18)

static const unsigned char magic[8] = {0x89, 'T', 'B', 'T', 'R', 'E', 'E', '\n'};

#define ORDER_MARK UINT32_C(0x0a0b0c0d)

/** A number whose bytes tell the form of a double. */
#define DOUBLE_MARK (1.0 / 3)

/** The header as it lies in the file. */
typedef struct Header {
    unsigned char magic[8];
    uint32_t version, order_mark;
    double double_mark;
    uint64_t size; /**< of the file */
    uint64_t key;  /**< bytes of the key; it is padded to a multiple of 8 */
    uint64_t vertices, triangles, shells;
    uint64_t vertices_read, read, degenerate, not_finite, slivers, open, shared, flipped;
    uint64_t closed, inward;
    double volume, area;
    TbBox3 box;       /**< stored, for its zeros may have either sign */
    uint64_t content; /**< sum of all that follows the header */
    uint64_t head;    /**< sum of the header before this */
} Header;

_Static_assert(sizeof(Header) == TB_TREE_FILE_HEADER, "no holes in the header");

static bool
is_little_endian(void)
{
    return __BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__;
}

static uint64_t
padded(uint64_t size)
{
    return (size + 7) / 8 * 8;
}

static uint64_t
size_of(uint64_t key, uint64_t vertices, uint64_t triangles, uint64_t shells)
{
    return sizeof(Header) + padded(key) + vertices * sizeof(TbVec3) +
           (4 * triangles + shells) * sizeof(uint32_t);
}

uint64_t
tb_tree_file_size(const TbTree *tree, const char *key)
{
    return size_of(strlen(key), tree->mesh->vertices, tree->mesh->triangles,
                   tree->mesh->facts.shells);
}

/** An array of the content, in the order of the file. */
typedef struct Part {
    void *bytes;
    size_t size;
} Part;

#define PARTS 4

static void
list_parts(const TbTree *tree, Part part[PARTS])
{
    const TbMesh *mesh = tree->mesh;

    part[0] = (Part){mesh->vertex, mesh->vertices * sizeof *mesh->vertex};
    part[1] = (Part){mesh->index, 3 * mesh->triangles * sizeof *mesh->index};
    part[2] = (Part){tree->numbers, mesh->triangles * sizeof *tree->numbers};
    part[3] = (Part){mesh->shell, mesh->facts.shells * sizeof *mesh->shell};
}

/* ---- writing ---- */

static Header
header_of(const TbTree *tree, const char *key)
{
    const TbMesh *mesh = tree->mesh;
    const TbMeshFacts *facts = &mesh->facts;
    Header header = {.version = TB_TREE_FILE_VERSION,
                     .order_mark = ORDER_MARK,
                     .double_mark = DOUBLE_MARK,
                     .size = tb_tree_file_size(tree, key),
                     .key = strlen(key),
                     .vertices = mesh->vertices,
                     .triangles = mesh->triangles,
                     .shells = facts->shells,
                     .vertices_read = facts->vertices_read,
                     .read = facts->triangles_read,
                     .degenerate = facts->dropped_degenerate,
                     .not_finite = facts->dropped_not_finite,
                     .slivers = facts->slivers,
                     .open = facts->open_edges,
                     .shared = facts->shared_edges,
                     .flipped = facts->flipped_edges,
                     .closed = facts->closed,
                     .inward = facts->inward,
                     .volume = facts->volume,
                     .area = facts->area,
                     .box = mesh->box};

    memcpy(header.magic, magic, sizeof magic);
    return header;
}

TbStatus
tb_tree_file_write(const TbTree *tree, const char *key, TbSink *sink, TbFault *fault)
{
    static const char blank[8];
    size_t length = strlen(key), pad = padded(length) - length;
    Header header = header_of(tree, key);
    Part part[PARTS];
    TbStatus status;
    TbSum64 sum;

    if (!is_little_endian())
        return tb_fail(fault, TB_E_FORMAT, "trees are not kept on a machine of this byte order");
    list_parts(tree, part);
    tb_sum64_init(&sum);
    tb_sum64_add(&sum, key, length);
    tb_sum64_add(&sum, blank, pad);
    for (int i = 0; i < PARTS; i++)
        tb_sum64_add(&sum, part[i].bytes, part[i].size);
    header.content = tb_sum64(&sum);
    header.head = tb_sum64_of(&header, offsetof(Header, head));
    status = sink->write(sink->user, &header, sizeof header, fault);
    if (status == TB_OK)
        status = sink->write(sink->user, key, length, fault);
    if (status == TB_OK)
        status = sink->write(sink->user, blank, pad, fault);
    for (int i = 0; i < PARTS && status == TB_OK; i++)
        status = sink->write(sink->user, part[i].bytes, part[i].size, fault);
    return status;
}

/* ---- reading: the header ---- */

static TbStatus
damaged(TbFault *fault, const char *what)
{
    return tb_fail(fault, TB_E_FORMAT, "a kept tree is damaged: %s", what);
}

/** All of @p size bytes, summed where @p sum is not NULL. */
static TbStatus
read_all(TbSource *source, void *out, size_t size, TbSum64 *sum, TbTask *task, TbFault *fault)
{
    unsigned char *to = out;

    while (size > 0) {
        long got;

        if (tb_task_is_cancelled(task))
            return tb_fail(fault, TB_E_CANCELLED, "stopped while loading a tree");
        got = source->read(source->user, to, size < PIECE ? size : PIECE, fault);
        if (got < 0)
            return TB_E_IO;
        if (got == 0)
            return damaged(fault, "it ends too early");
        if (sum != NULL)
            tb_sum64_add(sum, to, (size_t)got);
        to += got;
        size -= (size_t)got;
    }
    return TB_OK;
}

/** Whether counts are such as a mesh can have, and give the size of the file without overflow. */
static bool
has_sound_counts(const Header *h)
{
    return h->triangles >= 1 && h->triangles <= TB_MESH__MOST_FACES && h->vertices >= 3 &&
           h->vertices <= 3 * h->triangles && h->shells >= 1 && h->shells <= h->triangles &&
           h->key <= UINT16_MAX && h->size == size_of(h->key, h->vertices, h->triangles, h->shells);
}

static bool
has_sound_facts(const Header *h)
{
    bool closed = h->open == 0 && h->shared == 0 && h->flipped == 0;
    uint64_t edges = 3 * h->triangles;

    return h->degenerate <= h->read && h->not_finite <= h->read - h->degenerate &&
           h->vertices_read >= h->vertices && h->vertices_read <= UINT32_MAX &&
           h->triangles == h->read - h->degenerate - h->not_finite && h->slivers <= h->triangles &&
           h->open <= edges && h->shared <= edges && h->flipped <= edges && h->closed == closed &&
           isfinite(h->volume) && h->inward == (h->volume < 0) && (closed || h->volume == 0) &&
           isfinite(h->area) && h->area >= 0;
}

static TbStatus
check_header(const Header *h, uint64_t size, const char *key, TbFault *fault)
{
    if (memcmp(h->magic, magic, sizeof magic) != 0)
        return tb_fail(fault, TB_E_FORMAT, "this is no kept tree");
    if (h->order_mark != ORDER_MARK || memcmp(&h->double_mark, &(double){DOUBLE_MARK}, 8) != 0)
        return tb_fail(fault, TB_E_FORMAT, "a kept tree of another kind of machine");
    if (h->version != TB_TREE_FILE_VERSION)
        return tb_fail(fault, TB_E_FORMAT, "a kept tree of version %u, %d is read", h->version,
                       TB_TREE_FILE_VERSION);
    if (h->head != tb_sum64_of(h, offsetof(Header, head)))
        return damaged(fault, "its header does not match its checksum");
    if (h->size != size)
        return damaged(fault, "it is not as long as it says");
    if (!has_sound_counts(h))
        return damaged(fault, "no mesh has such counts");
    if (!has_sound_facts(h))
        return damaged(fault, "no mesh has such facts");
    if (h->key != strlen(key))
        return tb_fail(fault, TB_E_FORMAT, "a kept tree of another scan");
    return TB_OK;
}

static TbStatus
check_key(TbSource *source, const char *key, TbSum64 *sum, TbTask *task, TbFault *fault)
{
    size_t length = strlen(key);
    size_t room = (size_t)padded(length);
    char *found = tb_alloc(room);
    TbStatus status;

    if (found == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for the key of a tree");
    status = read_all(source, found, room, sum, task, fault);
    if (status == TB_OK && memcmp(found, key, length) != 0)
        status = tb_fail(fault, TB_E_FORMAT, "a kept tree of another scan");
    tb_free(found);
    return status;
}

/* ---- reading: the content ---- */

static TbTree *
room_for(const Header *h)
{
    TbTree *tree = tb_tree__room((size_t)h->triangles);
    TbMesh *mesh = tree != NULL ? tb_mesh__new() : NULL;

    if (mesh == NULL) {
        tb_tree_unref(tree);
        return NULL;
    }
    tree->mesh = mesh;
    mesh->box = h->box;
    mesh->vertices = (size_t)h->vertices;
    mesh->triangles = (size_t)h->triangles;
    mesh->facts = (TbMeshFacts){.triangles_read = (size_t)h->read,
                                .vertices_read = (size_t)h->vertices_read,
                                .dropped_degenerate = (size_t)h->degenerate,
                                .dropped_not_finite = (size_t)h->not_finite,
                                .slivers = (size_t)h->slivers,
                                .open_edges = (size_t)h->open,
                                .shared_edges = (size_t)h->shared,
                                .flipped_edges = (size_t)h->flipped,
                                .shells = (size_t)h->shells,
                                .closed = h->closed != 0,
                                .inward = h->inward != 0,
                                .volume = h->volume,
                                .area = h->area};
    mesh->vertex = tb_alloc_array(mesh->vertices, sizeof *mesh->vertex);
    mesh->index = tb_alloc_array(3 * mesh->triangles, sizeof *mesh->index);
    mesh->shell = tb_alloc_array(mesh->facts.shells, sizeof *mesh->shell);
    if (mesh->vertex == NULL || mesh->index == NULL || mesh->shell == NULL) {
        tb_tree_unref(tree);
        return NULL;
    }
    return tree;
}

/** Vertices numbered by first use, all of them used, three different ones a triangle. */
static bool
has_sound_corners(const TbMesh *mesh)
{
    uint32_t next = 0;

    for (size_t i = 0; i < mesh->triangles; i++) {
        const uint32_t *v = mesh->index + 3 * i;

        for (int k = 0; k < 3; k++) {
            if (v[k] > next)
                return false;
            next += v[k] == next;
        }
        if (v[0] == v[1] || v[1] == v[2] || v[2] == v[0])
            return false;
    }
    return next == mesh->vertices;
}

static bool
is_same_point(TbVec3 a, TbVec3 b)
{
    return a.x == b.x && a.y == b.y && a.z == b.z;
}

/** Vertices within the limit, and the box about them the stated one. */
static bool
has_sound_places(const TbMesh *mesh)
{
    TbBox3 box = tb_box3_empty();

    for (size_t i = 0; i < mesh->vertices; i++) {
        TbVec3 p = mesh->vertex[i];

        /* not finite is not below the limit either */
        if (!(fabs(p.x) <= TB_LIMIT_COORDINATE && fabs(p.y) <= TB_LIMIT_COORDINATE &&
              fabs(p.z) <= TB_LIMIT_COORDINATE))
            return false;
        box = tb_box3_with_point(box, p);
    }
    return is_same_point(box.low, mesh->box.low) && is_same_point(box.high, mesh->box.high);
}

/** Each number once: a permutation. */
static TbStatus
check_numbers(const TbTree *tree, TbFault *fault)
{
    size_t triangles = tree->mesh->triangles;
    uint64_t *seen = tb_alloc_array(triangles / 64 + 1, sizeof *seen);
    bool sound = true;

    if (seen == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for a tree of %zu triangles", triangles);
    for (size_t i = 0; i < triangles && sound; i++) {
        uint32_t number = tree->numbers[i];
        uint64_t bit = UINT64_C(1) << number % 64;

        sound = number < triangles && (seen[number / 64] & bit) == 0;
        if (sound)
            seen[number / 64] |= bit;
    }
    tb_free(seen);
    return sound ? TB_OK : damaged(fault, "its triangles are not all numbered once");
}

/** Shells stand in the order of their lowest triangle's first number. */
static bool
has_sound_shells(const TbTree *tree)
{
    const TbMesh *mesh = tree->mesh;

    for (size_t i = 0; i < mesh->facts.shells; i++) {
        if (mesh->shell[i] >= mesh->triangles)
            return false;
        if (i > 0 && tree->numbers[mesh->shell[i - 1]] >= tree->numbers[mesh->shell[i]])
            return false;
    }
    return true;
}

static TbStatus
check_content(TbTree *tree, TbFault *fault)
{
    TbStatus status;

    if (!has_sound_corners(tree->mesh))
        return damaged(fault, "a corner is no vertex of its mesh, or not in order");
    if (!has_sound_places(tree->mesh))
        return damaged(fault, "a vertex is outside of all bounds");
    status = check_numbers(tree, fault);
    if (status == TB_OK && !has_sound_shells(tree))
        status = damaged(fault, "its shells are not in order");
    return status;
}

static TbStatus
read_content(
    TbSource *source, const Header *h, TbSum64 *sum, TbTree *tree, TbTask *task, TbFault *fault)
{
    TbStatus status = TB_OK;
    uint64_t done = 0;
    Part part[PARTS];

    list_parts(tree, part);
    for (int i = 0; i < PARTS && status == TB_OK; i++) {
        status = read_all(source, part[i].bytes, part[i].size, sum, task, fault);
        done += part[i].size;
        tb_task_report(task, "loading a tree", (double)done / (double)h->size);
    }
    if (status == TB_OK && tb_sum64(sum) != h->content)
        status = damaged(fault, "it does not match its checksum");
    return status == TB_OK ? check_content(tree, fault) : status;
}

TbStatus
tb_tree_file_read(
    TbSource *source, const char *key, TbWork *work, TbTask *task, TbTree **tree, TbFault *fault)
{
    TbTree *made = NULL;
    TbStatus status;
    Header header;
    TbSum64 sum;

    if (!is_little_endian())
        return tb_fail(fault, TB_E_FORMAT, "trees are not kept on a machine of this byte order");
    status = read_all(source, &header, sizeof header, NULL, task, fault);
    if (status == TB_OK)
        status = check_header(&header, source->size, key, fault);
    tb_sum64_init(&sum);
    if (status == TB_OK)
        status = check_key(source, key, &sum, task, fault);
    if (status != TB_OK)
        return status;
    made = room_for(&header);
    if (made == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for a tree of %llu triangles",
                       (unsigned long long)header.triangles);
    status = read_content(source, &header, &sum, made, task, fault);
    if (status == TB_OK && tb_tree__fill_boxes(made, work, task) != TB_OK)
        status = tb_fail(fault, TB_E_CANCELLED, "stopped while loading a tree");
    if (status == TB_OK)
        *tree = made;
    else
        tb_tree_unref(made);
    return status;
}
