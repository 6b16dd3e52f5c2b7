/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file mesh.h
 * @brief Triangle meshes in the bay's axes: one immutable, reference-counted block, and readers.
 *
 * Reading welds vertices nearer than TB_TOL_WELD, drops triangles that are degenerate or not
 * finite and counts them, and finds out what the mesh is: closed, open, flipped, of how many
 * shells. Nothing is repaired in silence: TbMeshFacts says what was met.
 *
 * A triangle of three distinct corners in one line has no area, but it closes the gap between its
 * neighbours; it is kept and counted as a sliver, and every query copes with it.
 */
#pragma once

#include "base/fault.h"
#include "base/text.h"
#include "base/work.h"
#include "geom/box3.h"
#include "geom/pose.h"

#include <stdint.h>

/** What a mesh was found to be. */
typedef struct TbMeshFacts {
    size_t triangles_read;
    size_t vertices_read;      /**< after welding, those of dropped triangles too */
    size_t dropped_degenerate; /**< two corners welded into one, or a face of fewer than three */
    size_t dropped_not_finite; /**< a corner not finite, or beyond TB_LIMIT_COORDINATE */
    size_t slivers;            /**< kept, but thinner than TB_TOL_WELD */
    size_t open_edges;         /**< used by one triangle only */
    size_t shared_edges;       /**< used by more than two: not a manifold there */
    size_t flipped_edges;      /**< used twice in the same direction: neighbours disagree */
    size_t shells;             /**< parts that hang together by shared edges */
    bool closed;               /**< every edge used exactly twice, in both directions */
    bool inward;               /**< closed, but the volume is negative: normals point in */
    double volume;             /**< mm^3, signed; 0 when not closed */
    double area;               /**< mm^2 */
} TbMeshFacts;

typedef struct TbMesh TbMesh;

/** Growing list of triangles while a reader runs. */
typedef struct TbMeshBuilder TbMeshBuilder;

TbMeshBuilder *tb_mesh_builder_new(void); /**< NULL when no room */
void tb_mesh_builder_free(TbMeshBuilder *builder);
/** Adds a triangle; not finite or huge corners are counted and dropped. A corner becomes the
 * nearest earlier vertex that is nearer than TB_TOL_WELD, so the order of adding matters, and only
 * it. */
TbStatus tb_mesh_builder_add(TbMeshBuilder *builder, const TbVec3 corner[3], TbFault *fault);
/** The mesh and its facts; the builder is used up and freed, also on failure. TB_E_FORMAT when no
 * triangle is left. */
TbStatus tb_mesh_builder_finish(
    TbMeshBuilder *builder, TbWork *work, TbTask *task, TbMesh **mesh, TbFault *fault);

/** From ready arrays (copied), without welding or dropping. @p index holds 3 * triangles entries.
 * @return TB_OK, TB_E_RANGE (a vertex not finite, an index too large), TB_E_DEGENERATE (no
 * triangles), TB_E_LIMIT, TB_E_MEMORY */
TbStatus tb_mesh_from_arrays(const TbVec3 vertex[],
                             size_t vertices,
                             const uint32_t index[],
                             size_t triangles,
                             TbMesh **mesh,
                             TbFault *fault);

TbMesh *tb_mesh_ref(TbMesh *mesh);
void tb_mesh_unref(TbMesh *mesh);                       /**< NULL is fine */
TbMesh *tb_mesh_moved(const TbMesh *mesh, TbPose pose); /**< NULL when no room */

size_t tb_mesh_vertex_count(const TbMesh *mesh);
size_t tb_mesh_triangle_count(const TbMesh *mesh);
const TbVec3 *tb_mesh_vertices(const TbMesh *mesh);  /**< lends */
const uint32_t *tb_mesh_indices(const TbMesh *mesh); /**< lends, 3 a triangle */
TbMeshFacts tb_mesh_facts(const TbMesh *mesh);
/** Lends: one triangle of each shell, facts.shells of them. Of a mesh as it was read, the lowest
 * numbers, rising. */
const uint32_t *tb_mesh_shells(const TbMesh *mesh);
TbBox3 tb_mesh_box(const TbMesh *mesh);

static inline void tb_mesh_corners(const TbMesh *mesh, size_t triangle, TbVec3 out[3]);

/* ---- files ---- */

typedef enum TbMeshFormat { TB_MESH_UNKNOWN, TB_MESH_STL, TB_MESH_PLY, TB_MESH_OBJ } TbMeshFormat;

/** By the name's ending (.stl, .ply, .obj), whatever its case. */
TbMeshFormat tb_mesh_format_of(const char *file_name);

/**
 * Bytes that a mesh takes at its peak: while it is read and welded, its facts found, its tree built
 * and then put in another place. By measurement over meshes of half a vertex a triangle (58 bytes a
 * triangle to read and build, 104 to place as well) and of three (215 and 284); rounded up.
 */
static inline uint64_t
tb_mesh_need(uint64_t vertices, uint64_t triangles)
{
    return 84 * vertices + 62 * triangles;
}

/** Bytes of memory as people read them: "1.3 GiB", "0.4 MiB". */
void tb_mesh_bytes_text(double bytes, char out[TB_TEXT_NUMBER]);

/** Bytes at the start of a file by which tb_mesh_claimed() judges. */
#define TB_MESH_HEAD 4096

/**
 * How many triangles a file says it has, before it is read: binary STL by its count, PLY by its
 * header (faces of more corners are more triangles). 0 where it does not say.
 *
 * @param head its first bytes, @p have of them: TB_MESH_HEAD or all there are
 * @param size of the file
 */
uint64_t
tb_mesh_claimed(TbMeshFormat format, const unsigned char *head, size_t have, uint64_t size);

/** Where bytes come from: a file, a buffer, a test that breaks off. */
typedef struct TbSource {
    /** Up to @p room bytes into @p out; 0 at the end; -1 on trouble, with the fault filled. */
    long (*read)(void *user, unsigned char *out, size_t room, TbFault *fault);
    void *user;
    uint64_t size; /**< bytes in all, or 0 when unknown: checked against what headers claim */
} TbSource;

typedef struct TbMeshReadDef {
    double unit;           /**< mm for one unit of the file: 1, 1000, 25.4 */
    TbPose placement;      /**< applied after the unit; its scale is 1 */
    size_t most_triangles; /**< TB_E_LIMIT beyond; 0 means TB_MESH_MOST */
    uint64_t most_bytes;   /**< TB_E_LIMIT where tb_mesh_need() is beyond; 0: no limit */
    TbWork *work;          /**< or NULL */
    TbTask *task;          /**< or NULL */
} TbMeshReadDef;

/** Triangles accepted by default: 24 million are about 1 GiB with their tree. */
#define TB_MESH_MOST 24000000

/**
 * Read a mesh of a known format; text and binary STL, PLY of all three kinds are told apart by
 * their bytes. Files go through a buffer of a fixed size; nothing is allocated on the word of a
 * header. Faces of more than three corners become fans about their first corner.
 *
 * The fault's sentence names byte or line itself; its `line` stays 0, for who asked for the mesh
 * has a file with lines of its own.
 *
 * @return TB_OK, TB_E_FORMAT (what, with byte or line and number), TB_E_LIMIT, TB_E_MEMORY,
 *         TB_E_IO, TB_E_CANCELLED. No triangles at all is TB_E_FORMAT
 */
TbStatus tb_mesh_read(
    TbSource *source, TbMeshFormat format, const TbMeshReadDef *def, TbMesh **mesh, TbFault *fault);

/** A source over bytes in memory; the bytes must outlive it. */
typedef struct TbBytes {
    const unsigned char *bytes;
    size_t size, at;
} TbBytes;

TbSource tb_source_of_bytes(TbBytes *bytes);

/** Where bytes go; @return TB_OK, or the fault filled. */
typedef struct TbSink {
    TbStatus (*write)(void *user, const void *bytes, size_t size, TbFault *fault);
    void *user;
} TbSink;

/** Binary little-endian STL (float coordinates) or PLY (double coordinates); other formats are
 * asserted against. What the sink got before it failed is the caller's to throw away. */
TbStatus tb_mesh_write(const TbMesh *mesh, TbMeshFormat format, TbSink *sink, TbFault *fault);

static inline void
tb_mesh_corners(const TbMesh *mesh, size_t triangle, TbVec3 out[3])
{
    const uint32_t *index = tb_mesh_indices(mesh) + 3 * triangle;
    const TbVec3 *vertex = tb_mesh_vertices(mesh);

    out[0] = vertex[index[0]];
    out[1] = vertex[index[1]];
    out[2] = vertex[index[2]];
}
