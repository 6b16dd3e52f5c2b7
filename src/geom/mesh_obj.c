/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * OBJ. Lines "v x y z" and "f a b c ..." are read, all others passed over. A corner of a face may
 * be a, a/t, a//n or a/t/n; a counts vertices from 1, or back from the last one when below 0. A
 * face of more than three corners becomes a fan about its first one, which is exact for flat
 * convex faces.
 */
#include "base/mem.h"
#include "geom/mesh_read.h"

typedef struct Vertices {
    TbVec3 *point;
    size_t count, room;
} Vertices;

static TbStatus
bad_word(const TbReader *reader, const char *what, TbWord word, TbFault *fault)
{
    char shown[TB_WORD_SHOWN];

    return tb_fail(fault, TB_E_FORMAT, "line %zu: \"%s\" is not %s", reader->line,
                   tb_word__shown(word, shown), what);
}

static TbStatus
read_vertex(const TbReader *reader, TbWord line, Vertices *vertices, TbFault *fault)
{
    double c[3];
    void *point = vertices->point;

    for (int k = 0; k < 3; k++) {
        TbWord word = tb_word__cut(&line);
        if (word.length == 0)
            return tb_fail(fault, TB_E_FORMAT, "line %zu: a vertex of %d coordinates, 3 are needed",
                           reader->line, k);
        if (!tb_word__number(word, &c[k]))
            return bad_word(reader, "a number", word, fault);
    }
    if (vertices->count >= 3 * reader->most)
        return tb_fail(fault, TB_E_LIMIT,
                       "line %zu: more than %zu vertices, three for each of the most triangles",
                       reader->line, 3 * reader->most);
    if (tb_grow_array(&point, &vertices->room, vertices->count, sizeof *vertices->point) != 0)
        return tb_fail(fault, TB_E_MEMORY, "no room for %zu vertices", vertices->count);
    vertices->point = point;
    vertices->point[vertices->count++] = tb_reader__placed(reader, tb_vec3(c[0], c[1], c[2]));
    return TB_OK;
}

/** The whole number before the first slash; false when there is none or it has over 15 digits. */
static bool
leading_number(TbWord word, long long *out)
{
    size_t i = word.length > 0 && word.text[0] == '-' ? 1 : 0;
    size_t from = i;
    long long n = 0;

    for (; i < word.length && word.text[i] >= '0' && word.text[i] <= '9' && i < from + 15; i++)
        n = 10 * n + (word.text[i] - '0');
    *out = from > 0 ? -n : n;
    return i > from && (i == word.length || word.text[i] == '/');
}

static TbStatus
find_corner(
    const TbReader *reader, TbWord word, const Vertices *vertices, TbVec3 *corner, TbFault *fault)
{
    long long n;

    if (!leading_number(word, &n))
        return bad_word(reader, "a corner of a face", word, fault);
    if (n == 0 || n > (long long)vertices->count || -n > (long long)vertices->count)
        return tb_fail(fault, TB_E_FORMAT,
                       "line %zu: a face names vertex %lld, %zu are given so far", reader->line, n,
                       vertices->count);
    *corner = vertices->point[n > 0 ? n - 1 : (long long)vertices->count + n];
    return TB_OK;
}

/** Takes the backslash off that carries a line on to the next one. */
static bool
cut_backslash(TbWord *line)
{
    bool carried = line->length > 0 && line->text[line->length - 1] == '\\';

    line->length -= carried;
    return carried;
}

/** Next corner's word, from the lines that follow too; length 0 at the end of the face. */
static TbStatus
next_corner(TbReader *reader, TbWord *line, bool *carried, TbWord *word, TbFault *fault)
{
    *word = tb_word__cut(line);
    while (word->length == 0 && *carried) {
        TbStatus status = tb_reader__line(reader, line, carried, fault);
        if (status != TB_OK)
            return status;
        if (*carried) /* there was a line */
            *carried = cut_backslash(line);
        *word = tb_word__cut(line);
    }
    return TB_OK;
}

static TbStatus
read_face(TbReader *reader, TbWord line, const Vertices *vertices, TbFault *fault)
{
    TbVec3 corner[3] = {{0, 0, 0}, {0, 0, 0}, {0, 0, 0}};
    bool carried = cut_backslash(&line);
    size_t corners = 0;

    for (;;) {
        TbWord word;
        TbStatus status = next_corner(reader, &line, &carried, &word, fault);
        if (status != TB_OK)
            return status;
        if (word.length == 0)
            break;
        corner[1] = corner[2];
        status = find_corner(reader, word, vertices, &corner[2], fault);
        if (status == TB_OK && corners++ == 0)
            corner[0] = corner[2];
        if (status == TB_OK && corners >= 3)
            status = tb_reader__add(reader, corner, fault);
        if (status != TB_OK)
            return status;
    }
    if (corners < 3)
        tb_mesh_builder__drop(reader->builder);
    return TB_OK;
}

TbStatus
tb_reader__read_obj(TbReader *reader, TbFault *fault)
{
    Vertices vertices = {NULL, 0, 0};
    TbStatus status = tb_reader__skip_mark(reader, fault);
    bool got = true;

    reader->line = 0;
    while (status == TB_OK && got) {
        TbWord line = {"", 0};
        TbWord word;
        status = tb_reader__line(reader, &line, &got, fault);
        if (status != TB_OK || !got)
            break;
        word = tb_word__cut(&line);
        if (tb_word__is(word, "v"))
            status = read_vertex(reader, line, &vertices, fault);
        else if (tb_word__is(word, "f"))
            status = read_face(reader, line, &vertices, fault);
    }
    tb_free(vertices.point);
    return status;
}
