/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scans.h
 * @brief What tests of the store share: a folder, scans as files, trees compared bit for bit.
 */
#pragma once

#include "study/store.h"

#include <check.h>
#include <glib.h>
#include <glib/gstdio.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

static char *folder;

static inline void
make_folder(void)
{
    folder = g_dir_make_tmp("tb-store-XXXXXX", NULL);
    ck_assert_ptr_nonnull(folder);
}

static inline void
remove_folder(void)
{
    g_autofree char *command = g_strdup_printf("rm -rf '%s'", folder);

    ck_assert_int_eq(system(command), 0);
    g_clear_pointer(&folder, g_free);
}

static inline char *
in_folder(const char *name)
{
    return g_build_filename(folder, name, NULL);
}

/* Without waiting for the disk. */
static inline void
put_file(const char *path, const void *bytes, gssize size)
{
    FILE *file = fopen(path, "wb");
    size_t count = size < 0 ? strlen(bytes) : (size_t)size;

    ck_assert_ptr_nonnull(file);
    ck_assert_uint_eq(fwrite(bytes, 1, count, file), count);
    ck_assert_int_eq(fclose(file), 0);
}

static inline char *
file_with(const char *name, const void *bytes, size_t size)
{
    char *path = in_folder(name);

    put_file(path, bytes, (gssize)size);
    return path;
}

static inline void
scan_corner(GByteArray *bytes, int i, int k, int rows, int columns, double radius)
{
    double a = 2 * G_PI * (i % rows) / rows, b = 2 * G_PI * (k % columns) / columns;
    double r = radius + 9.3 * sin(5 * a + 2 * b);
    float p[3] = {(float)((211.7 + r * cos(b)) * cos(a)), (float)((211.7 + r * cos(b)) * sin(a)),
                  (float)(r * sin(b))};

    g_byte_array_append(bytes, (const guint8 *)p, sizeof p);
}

/* One row of a ring: 2 * columns triangles as binary STL has them. */
static inline GByteArray *
ring_row(int row, int rows, int columns, double radius)
{
    static const int corner[2][3][2] = {{{0, 0}, {1, 0}, {1, 1}}, {{0, 0}, {1, 1}, {0, 1}}};
    static const guint8 blank[12];
    GByteArray *bytes = g_byte_array_new();

    for (int k = 0; k < columns; k++)
        for (int half = 0; half < 2; half++) {
            g_byte_array_append(bytes, blank, 12);
            for (int c = 0; c < 3; c++)
                scan_corner(bytes, row + corner[half][c][0], k + corner[half][c][1], rows, columns,
                            radius);
            g_byte_array_append(bytes, blank, 2);
        }
    return bytes;
}

/* A closed bumpy ring of 2 * rows * columns triangles as binary STL. */
static inline GByteArray *
ring_bytes(int rows, int columns, double radius)
{
    GByteArray *bytes = g_byte_array_new();
    guint32 count = (guint32)(2 * rows * columns);
    guint8 head[80] = "ring";

    g_byte_array_append(bytes, head, 80);
    g_byte_array_append(bytes, (const guint8 *)&count, 4);
    for (int i = 0; i < rows; i++) {
        g_autoptr(GByteArray) row = ring_row(i, rows, columns, radius);

        g_byte_array_append(bytes, row->data, row->len);
    }
    return bytes;
}

static inline char *
ring_file(const char *name, int rows, int columns, double radius)
{
    g_autoptr(GByteArray) bytes = ring_bytes(rows, columns, radius);

    return file_with(name, bytes->data, bytes->len);
}

/* Bit for bit, boxes too. */
static inline bool
is_same_tree(const TbTree *a, const TbTree *b)
{
    const TbMesh *p = tb_tree_mesh(a), *q = tb_tree_mesh(b);
    size_t triangles = tb_mesh_triangle_count(p), vertices = tb_mesh_vertex_count(p);
    TbMeshFacts f = tb_mesh_facts(p), g = tb_mesh_facts(q);

    if (triangles != tb_mesh_triangle_count(q) || vertices != tb_mesh_vertex_count(q) ||
        f.shells != g.shells || f.closed != g.closed || f.open_edges != g.open_edges ||
        memcmp(&f.volume, &g.volume, sizeof f.volume) != 0 ||
        memcmp(tb_mesh_vertices(p), tb_mesh_vertices(q), vertices * sizeof(TbVec3)) != 0 ||
        memcmp(tb_mesh_indices(p), tb_mesh_indices(q), 3 * triangles * sizeof(uint32_t)) != 0 ||
        memcmp(tb_tree_numbers(a), tb_tree_numbers(b), triangles * sizeof(uint32_t)) != 0 ||
        tb_tree_levels(a) != tb_tree_levels(b))
        return false;
    for (int l = 1; l <= tb_tree_levels(a); l++)
        if (memcmp(tb_tree_level(a, l), tb_tree_level(b, l),
                   tb_tree_level_count(a, l) * sizeof(TbTreeNode)) != 0)
            return false;
    return true;
}
