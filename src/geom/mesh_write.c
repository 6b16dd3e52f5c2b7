/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/mem.h"
#include "geom/mesh.h"

#include <stdio.h>
#include <string.h>

/** Bytes handed to the sink at a time. */
#define ROOM ((size_t)1 << 16)

/** The longest thing put in at once: a header of PLY. */
#define LONGEST 512

/** A sink with a buffer before it; the first failure stays. */
typedef struct Writer {
    TbSink *sink;
    TbFault *fault;
    TbStatus status;
    unsigned char *room;
    size_t used;
} Writer;

static void
flush(Writer *writer)
{
    if (writer->status == TB_OK && writer->used > 0)
        writer->status =
            writer->sink->write(writer->sink->user, writer->room, writer->used, writer->fault);
    writer->used = 0;
}

static void
put(Writer *writer, const void *bytes, size_t count)
{
    TB_ASSERT(count <= LONGEST);
    if (writer->used + count > ROOM)
        flush(writer);
    memcpy(writer->room + writer->used, bytes, count);
    writer->used += count;
}

/** Lowest byte first, whatever the machine. */
static void
put_whole(Writer *writer, uint64_t bits, size_t size)
{
    unsigned char b[8];

    for (size_t i = 0; i < size; i++)
        b[i] = (unsigned char)(bits >> (8 * i));
    put(writer, b, size);
}

static void
put_float(Writer *writer, double x)
{
    float f = (float)x;
    uint32_t bits;

    memcpy(&bits, &f, sizeof bits);
    put_whole(writer, bits, sizeof bits);
}

static void
put_floats(Writer *writer, TbVec3 p)
{
    put_float(writer, p.x);
    put_float(writer, p.y);
    put_float(writer, p.z);
}

static void
put_double(Writer *writer, double x)
{
    uint64_t bits;

    memcpy(&bits, &x, sizeof bits);
    put_whole(writer, bits, sizeof bits);
}

static void
write_stl(Writer *writer, const TbMesh *mesh)
{
    /* must not begin with "solid", or some readers take it for text */
    static const char head[80] = "binary STL, millimetres";

    put(writer, head, sizeof head);
    put_whole(writer, tb_mesh_triangle_count(mesh), 4);
    for (size_t i = 0; writer->status == TB_OK && i < tb_mesh_triangle_count(mesh); i++) {
        TbVec3 t[3];
        tb_mesh_corners(mesh, i, t);
        put_floats(writer,
                   tb_vec3_unit(tb_vec3_cross(tb_vec3_sub(t[1], t[0]), tb_vec3_sub(t[2], t[0]))));
        for (int k = 0; k < 3; k++)
            put_floats(writer, t[k]);
        put_whole(writer, 0, 2);
    }
}

static void
write_ply(Writer *writer, const TbMesh *mesh)
{
    const TbVec3 *vertex = tb_mesh_vertices(mesh);
    const uint32_t *index = tb_mesh_indices(mesh);
    char head[LONGEST];
    int length = snprintf(head, sizeof head,
                          "ply\nformat binary_little_endian 1.0\ncomment millimetres\n"
                          "element vertex %zu\nproperty double x\nproperty double y\n"
                          "property double z\nelement face %zu\n"
                          "property list uchar uint vertex_indices\nend_header\n",
                          tb_mesh_vertex_count(mesh), tb_mesh_triangle_count(mesh));

    put(writer, head, (size_t)length);
    for (size_t i = 0; writer->status == TB_OK && i < tb_mesh_vertex_count(mesh); i++) {
        put_double(writer, vertex[i].x);
        put_double(writer, vertex[i].y);
        put_double(writer, vertex[i].z);
    }
    for (size_t i = 0; writer->status == TB_OK && i < tb_mesh_triangle_count(mesh); i++) {
        put_whole(writer, 3, 1);
        for (int k = 0; k < 3; k++)
            put_whole(writer, index[3 * i + (size_t)k], 4);
    }
}

TbStatus
tb_mesh_write(const TbMesh *mesh, TbMeshFormat format, TbSink *sink, TbFault *fault)
{
    Writer writer = {sink, fault, TB_OK, NULL, 0};

    TB_ASSERT(format == TB_MESH_STL || format == TB_MESH_PLY);
    writer.room = tb_alloc(ROOM);
    if (writer.room == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room to write a mesh");
    if (format == TB_MESH_STL)
        write_stl(&writer, mesh);
    else
        write_ply(&writer, mesh);
    flush(&writer);
    tb_free(writer.room);
    return writer.status;
}
