/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * STL. Binary: 80 bytes of anything, the number of triangles, then 50 bytes each (normal, three
 * corners, two spare bytes). Text: solid ... facet normal ... endsolid, perhaps several. The
 * normals of both are not used: the order of the corners says which way a triangle faces.
 */
#include "geom/mesh_read.h"

#include <string.h>

#define HEADER 84
#define RECORD 50

/** Bytes that no text has: so a count below 150 million, which ends in 0 to 8, shows itself. */
static bool
is_text(const unsigned char *bytes, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        unsigned char c = bytes[i];
        if ((c < ' ' && (c < '\t' || c > '\r')) || c == 127 || c >= 254)
            return false;
    }
    return true;
}

static double
read_float(const unsigned char *bytes)
{
    uint32_t bits = tb_bytes__u32(bytes);
    float x;

    memcpy(&x, &bits, sizeof x);
    return (double)x;
}

static TbStatus
read_record(TbReader *reader, uint32_t number, uint32_t count, TbFault *fault)
{
    TbVec3 corner[3];
    TbStatus status = tb_reader__fill(reader, RECORD, fault);
    const unsigned char *bytes = reader->buffer + reader->at + 12;

    if (status != TB_OK)
        return status;
    if (reader->have - reader->at < RECORD)
        return tb_fail(fault, TB_E_FORMAT, "binary STL ends at byte %llu inside triangle %u of %u",
                       (unsigned long long)(reader->start + reader->have), number, count);
    for (int k = 0; k < 3; k++, bytes += 12)
        corner[k] = tb_reader__placed(
            reader, tb_vec3(read_float(bytes), read_float(bytes + 4), read_float(bytes + 8)));
    reader->at += RECORD;
    return tb_reader__add(reader, corner, fault);
}

static TbStatus
read_binary(TbReader *reader, TbFault *fault)
{
    uint64_t size = reader->source->size;
    uint32_t count;
    uint64_t wanted;
    TbStatus status;

    if (reader->have < HEADER)
        return tb_fail(fault, TB_E_FORMAT, "binary STL needs %d bytes at least, the file has %zu",
                       HEADER, reader->have);
    count = tb_bytes__u32(reader->buffer + 80);
    wanted = HEADER + RECORD * (uint64_t)count;
    if (size > 0 && wanted > size)
        return tb_fail(
            fault, TB_E_FORMAT,
            "binary STL names %u triangles, which need %llu bytes, but the file has %llu", count,
            (unsigned long long)wanted, (unsigned long long)size);
    status = tb_reader__check_most(reader, "binary STL", count, fault);
    reader->at = HEADER;
    for (uint32_t i = 1; status == TB_OK && i <= count; i++)
        status = read_record(reader, i, count, fault);
    return status;
}

/* ---- text ---- */

static TbStatus
found_instead(
    const TbReader *reader, const char *wanted, TbWord word, size_t number, TbFault *fault)
{
    char shown[TB_WORD_SHOWN];

    if (word.length == 0)
        return tb_fail(fault, TB_E_FORMAT,
                       "text STL ends in line %zu, after %zu whole triangles; \"%s\" is missing",
                       reader->line, number, wanted);
    return tb_fail(fault, TB_E_FORMAT, "line %zu: \"%s\" is wanted, \"%s\" is found", reader->line,
                   wanted, tb_word__shown(word, shown));
}

static TbStatus
expect(TbReader *reader, const char *wanted, TbFault *fault)
{
    TbWord word;
    TbStatus status = tb_reader__word(reader, &word, fault);

    if (status != TB_OK || tb_word__is(word, wanted))
        return status;
    return found_instead(reader, wanted, word, tb_mesh_builder__read(reader->builder), fault);
}

static TbStatus
expect_number(TbReader *reader, double *out, TbFault *fault)
{
    char shown[TB_WORD_SHOWN];
    TbWord word;
    TbStatus status = tb_reader__word(reader, &word, fault);

    if (status != TB_OK || tb_word__number(word, out))
        return status;
    if (word.length == 0)
        return found_instead(reader, "a coordinate", word, tb_mesh_builder__read(reader->builder),
                             fault);
    return tb_fail(fault, TB_E_FORMAT, "line %zu: \"%s\" is not a number", reader->line,
                   tb_word__shown(word, shown));
}

static TbStatus
expect_corner(TbReader *reader, TbVec3 *corner, TbFault *fault)
{
    TbVec3 p = {0, 0, 0};
    TbStatus status = expect(reader, "vertex", fault);

    if (status == TB_OK)
        status = expect_number(reader, &p.x, fault);
    if (status == TB_OK)
        status = expect_number(reader, &p.y, fault);
    if (status == TB_OK)
        status = expect_number(reader, &p.z, fault);
    if (status == TB_OK)
        *corner = tb_reader__placed(reader, p);
    return status;
}

/** What follows the word facet. */
static TbStatus
read_facet(TbReader *reader, TbFault *fault)
{
    static const char *const before[] = {"normal", NULL, NULL, NULL, "outer", "loop"};
    static const char *const after[] = {"endloop", "endfacet"};
    TbStatus status = TB_OK;
    TbVec3 corner[3];
    TbWord word;

    for (size_t i = 0; status == TB_OK && i < sizeof before / sizeof before[0]; i++)
        status = before[i] != NULL ? expect(reader, before[i], fault)
                                   : tb_reader__word(reader, &word, fault);
    for (int k = 0; status == TB_OK && k < 3; k++)
        status = expect_corner(reader, &corner[k], fault);
    for (size_t i = 0; status == TB_OK && i < sizeof after / sizeof after[0]; i++)
        status = expect(reader, after[i], fault);
    return status == TB_OK ? tb_reader__add(reader, corner, fault) : status;
}

/** What follows the word solid: a name, facets, and the end. */
static TbStatus
read_solid(TbReader *reader, TbFault *fault)
{
    TbStatus status = tb_reader__skip_line(reader, fault);

    while (status == TB_OK) {
        TbWord word;
        status = tb_reader__word(reader, &word, fault);
        if (status != TB_OK)
            break;
        if (tb_word__is(word, "endsolid"))
            return tb_reader__skip_line(reader, fault);
        if (tb_word__is(word, "facet"))
            status = read_facet(reader, fault);
        else
            status = found_instead(reader, "endsolid", word, tb_mesh_builder__read(reader->builder),
                                   fault);
    }
    return status;
}

static TbStatus
read_text(TbReader *reader, TbFault *fault)
{
    char shown[TB_WORD_SHOWN];
    TbStatus status = TB_OK;
    TbWord word;

    for (int solids = 0; status == TB_OK; solids++) {
        status = tb_reader__word(reader, &word, fault);
        if (status != TB_OK || (word.length == 0 && solids > 0))
            break;
        if (word.length == 0)
            return tb_fail(fault, TB_E_FORMAT, "a text of blanks alone is no STL");
        if (!tb_word__is(word, "solid"))
            return tb_fail(fault, TB_E_FORMAT,
                           solids == 0 ? "line %zu: text whose first word is \"%s\" is no STL, "
                                         "which begins with \"solid\""
                                       : "line %zu: \"%s\" stands after \"endsolid\"",
                           reader->line, tb_word__shown(word, shown));
        status = read_solid(reader, fault);
    }
    return status;
}

TbStatus
tb_reader__read_stl(TbReader *reader, TbFault *fault)
{
    TbStatus status = tb_reader__fill(reader, HEADER, fault);
    size_t seen = reader->have < HEADER ? reader->have : HEADER;

    if (status != TB_OK)
        return status;
    /* the size proves a binary file, even one that begins with "solid" and looks like text */
    if (seen == HEADER && reader->source->size > 0 &&
        reader->source->size == HEADER + RECORD * (uint64_t)tb_bytes__u32(reader->buffer + 80))
        return read_binary(reader, fault);
    if (!is_text(reader->buffer, seen))
        return read_binary(reader, fault);
    status = tb_reader__skip_mark(reader, fault);
    return status == TB_OK ? read_text(reader, fault) : status;
}
