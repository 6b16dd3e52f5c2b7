/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file mesh_files.h
 * @brief Mesh files made in memory, and sources that give them in pieces or break off.
 */
#pragma once

#include "mesh_scenes.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/** Bytes of a file. */
typedef struct Paper {
    unsigned char *bytes;
    size_t size, room;
} Paper;

static inline void
paper_put(Paper *paper, const void *bytes, size_t size)
{
    if (paper->size + size + 1 > paper->room) {
        paper->room = 2 * (paper->size + size + 1);
        paper->bytes = realloc(paper->bytes, paper->room);
    }
    memcpy(paper->bytes + paper->size, bytes, size);
    paper->size += size;
}

static inline void __attribute__((format(printf, 2, 3)))
paper_print(Paper *paper, const char *format, ...)
{
    char text[2000];
    va_list args;
    int length;

    va_start(args, format);
    length = vsnprintf(text, sizeof text, format, args);
    va_end(args);
    paper_put(paper, text, (size_t)length);
}

static inline void
paper_clear(Paper *paper)
{
    free(paper->bytes);
    *paper = (Paper){0};
}

/** The value of a scalar in memory of this machine, turned round where the file wants it. */
static inline void
paper_scalar(Paper *paper, const void *value, size_t size, bool big)
{
    const uint16_t probe = 1;
    bool machine_is_big = *(const unsigned char *)&probe == 0;
    unsigned char b[8];

    for (size_t i = 0; i < size; i++)
        b[i] = ((const unsigned char *)value)[big == machine_is_big ? i : size - 1 - i];
    paper_put(paper, b, size);
}

static inline void
paper_float(Paper *paper, double x, bool big)
{
    float f = (float)x;

    paper_scalar(paper, &f, sizeof f, big);
}

static inline void
paper_u32(Paper *paper, uint32_t n, bool big)
{
    paper_scalar(paper, &n, sizeof n, big);
}

/* ---- the same mesh in every coding; coordinates must be exact in float and six decimals ---- */

typedef enum Coding {
    STL_TEXT,
    STL_BINARY,
    PLY_TEXT,
    PLY_LITTLE,
    PLY_BIG,
    OBJ_TEXT,
    CODINGS
} Coding;

static const TbMeshFormat coding_format[CODINGS] = {TB_MESH_STL, TB_MESH_STL, TB_MESH_PLY,
                                                    TB_MESH_PLY, TB_MESH_PLY, TB_MESH_OBJ};

static inline void
print_stl(Paper *paper, const Heap *heap)
{
    paper_print(paper, "solid block of binary make\n");
    for (size_t i = 0; i < heap->triangles; i++) {
        paper_print(paper, "  facet normal 0 0 1.5e-3\n    outer loop\n");
        for (size_t k = 0; k < 3; k++) {
            TbVec3 p = heap->vertex[heap->index[3 * i + k]];
            paper_print(paper, "      vertex %.6f %.6e %.7g\n", p.x, p.y, p.z);
        }
        paper_print(paper, "    endloop\n  endfacet\n");
    }
    paper_print(paper, "endsolid block of binary make\n");
}

static inline void
pack_stl(Paper *paper, const Heap *heap, const char *head)
{
    char room[80] = {0};

    memcpy(room, head, strlen(head));
    paper_put(paper, room, sizeof room);
    paper_u32(paper, (uint32_t)heap->triangles, false);
    for (size_t i = 0; i < heap->triangles; i++) {
        paper_put(paper, room, 12);
        for (size_t k = 0; k < 3; k++) {
            TbVec3 p = heap->vertex[heap->index[3 * i + k]];
            paper_float(paper, p.x, false);
            paper_float(paper, p.y, false);
            paper_float(paper, p.z, false);
        }
        paper_put(paper, "xy", 2);
    }
}

static inline void
print_ply(Paper *paper, const Heap *heap, Coding coding)
{
    bool big = coding == PLY_BIG;

    paper_print(paper,
                "ply\nformat %s 1.0\ncomment made by hand\nelement vertex %zu\n"
                "property float x\nproperty double y\nproperty float32 z\n"
                "element face %zu\nproperty list uchar int vertex_indices\nend_header\n",
                coding == PLY_TEXT ? "ascii"
                : big              ? "binary_big_endian"
                                   : "binary_little_endian",
                heap->vertices, heap->triangles);
    for (size_t i = 0; i < heap->vertices; i++) {
        TbVec3 p = heap->vertex[i];
        if (coding == PLY_TEXT) {
            paper_print(paper, "%.7g %.9g %.7g\n", p.x, p.y, p.z);
            continue;
        }
        paper_float(paper, p.x, big);
        paper_scalar(paper, &p.y, sizeof p.y, big);
        paper_float(paper, p.z, big);
    }
    for (size_t i = 0; i < heap->triangles; i++) {
        const uint32_t *v = heap->index + 3 * i;
        if (coding == PLY_TEXT) {
            paper_print(paper, "3 %u %u %u\n", v[0], v[1], v[2]);
            continue;
        }
        paper_put(paper, "\3", 1);
        for (int k = 0; k < 3; k++)
            paper_u32(paper, v[k], big);
    }
}

static inline void
print_obj(Paper *paper, const Heap *heap)
{
    paper_print(paper, "# a block\nmtllib none.mtl\no block\n");
    for (size_t i = 0; i < heap->vertices; i++) {
        TbVec3 p = heap->vertex[i];
        paper_print(paper, "v %.7g %.7g %.7g\n", p.x, p.y, p.z);
    }
    paper_print(paper, "vn 0 0 1\nvt 0.5 0.5\ns off\n");
    for (size_t i = 0; i < heap->triangles; i++) {
        const uint32_t *v = heap->index + 3 * i;
        if (i % 3 == 0)
            paper_print(paper, "f %u//1 %u//1 %u//1\n", v[0] + 1, v[1] + 1, v[2] + 1);
        else if (i % 3 == 1)
            paper_print(paper, "f %u/1/1 %u/1 %u\n", v[0] + 1, v[1] + 1, v[2] + 1);
        else
            paper_print(paper, "f %d %d %d\n", (int)v[0] - (int)heap->vertices,
                        (int)v[1] - (int)heap->vertices, (int)v[2] - (int)heap->vertices);
    }
}

static inline Paper
paper_of(const Heap *heap, Coding coding)
{
    Paper paper = {0};

    if (coding == STL_TEXT)
        print_stl(&paper, heap);
    else if (coding == STL_BINARY)
        pack_stl(&paper, heap, "made by hand");
    else if (coding == OBJ_TEXT)
        print_obj(&paper, heap);
    else
        print_ply(&paper, heap, coding);
    return paper;
}

/* ---- sources ---- */

/** Gives at most `piece` bytes a call, and trouble once `breaks` bytes are out (0: never). */
typedef struct Pieces {
    const unsigned char *bytes;
    size_t size, at, piece, breaks;
} Pieces;

static inline long
read_piece(void *user, unsigned char *out, size_t room, TbFault *fault)
{
    Pieces *p = user;
    size_t count = p->size - p->at;

    if (p->breaks > 0 && p->at >= p->breaks) {
        tb_fail(fault, TB_E_IO, "the wire was cut after %zu bytes", p->at);
        return -1;
    }
    count = count < room ? count : room;
    count = count < p->piece ? count : p->piece;
    memcpy(out, p->bytes + p->at, count);
    p->at += count;
    return (long)count;
}

static inline TbSource
source_of_pieces(Pieces *pieces, bool size_known)
{
    return (TbSource){read_piece, pieces, size_known ? pieces->size : 0};
}

static inline TbMeshReadDef
plain_def(void)
{
    return (TbMeshReadDef){.unit = 1, .placement = tb_pose_identity()};
}

/** Reads bytes whose size is known, or not. */
static inline TbStatus
read_paper(const Paper *paper, TbMeshFormat format, bool size_known, TbMesh **mesh, TbFault *fault)
{
    Pieces pieces = {paper->bytes, paper->size, 0, SIZE_MAX, 0};
    TbSource source = source_of_pieces(&pieces, size_known);
    TbMeshReadDef def = plain_def();

    return tb_mesh_read(&source, format, &def, mesh, fault);
}

/* ---- a block, and what must be said of it ---- */

/** Coordinates with few binary digits: exact as float and in six decimals. */
static const TbVec3 block_low = {-31.25, 7.5, 212.75};
static const TbVec3 block_high = {40.5, 19.625, 220.375};
#define BLOCK_VOLUME (71.75 * 12.125 * 7.625)

static inline Heap
block_heap(void)
{
    Heap heap = {0};

    heap_block(&heap, block_low, block_high);
    return heap;
}

static inline Paper
block_paper(Coding coding)
{
    Heap heap = block_heap();
    Paper paper = paper_of(&heap, coding);

    heap_clear(&heap);
    return paper;
}

static inline Paper
paper_text(const char *text)
{
    Paper paper = {0};

    paper_put(&paper, text, strlen(text));
    return paper;
}

static inline void
check_block(const TbMesh *mesh)
{
    TbMeshFacts f = tb_mesh_facts(mesh);

    ck_assert_uint_eq(tb_mesh_vertex_count(mesh), 8);
    ck_assert_uint_eq(tb_mesh_triangle_count(mesh), 12);
    ck_assert_uint_eq(f.triangles_read, 12);
    ck_assert(f.closed && !f.inward);
    ck_assert_double_eq_tol(f.volume, BLOCK_VOLUME, 1e-9);
    ck_assert_double_eq(tb_mesh_box(mesh).low.x, block_low.x);
    ck_assert_double_eq(tb_mesh_box(mesh).low.y, block_low.y);
    ck_assert_double_eq(tb_mesh_box(mesh).high.z, block_high.z);
}

/** The mesh of a text that must be fine. */
static inline TbMesh *
mesh_of_text(const char *text, TbMeshFormat format)
{
    Paper paper = paper_text(text);
    TbMesh *mesh = NULL;
    TbFault fault = {0};
    TbStatus status = read_paper(&paper, format, true, &mesh, &fault);

    ck_assert_msg(status == TB_OK, "%s", fault.text);
    paper_clear(&paper);
    return mesh;
}

static inline void
check_fault(Paper *paper, TbMeshFormat format, bool size_known, TbStatus status, const char *text)
{
    TbMesh *mesh = NULL;
    TbFault fault = {0};

    ck_assert_int_eq(read_paper(paper, format, size_known, &mesh, &fault), status);
    ck_assert_str_eq(fault.text, text);
    ck_assert_int_eq(fault.status, status);
    ck_assert_ptr_null(mesh);
    paper_clear(paper);
}
