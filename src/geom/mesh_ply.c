/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * PLY, as text and binary in both byte orders. The header is read into a table of elements and
 * properties; the data then go by it. Read are x, y, z of `vertex` and the list of `face`; all
 * else is stepped over, and any scalar type may stand anywhere. A face of more than three corners
 * becomes a fan about its first one.
 */
#include "base/mem.h"
#include "base/text.h"
#include "geom/mesh_read.h"

#include <string.h>

/** What a header may hold; real ones have two elements and below twenty properties. */
#define MOST_ELEMENTS 32
#define MOST_PROPERTIES 256
#define MOST_HEADER_LINES 10000

typedef enum Scalar { S8, U8, S16, U16, S32, U32, F32, F64, SCALARS } Scalar;

static const struct {
    const char *name[2];
    size_t size;
} scalars[SCALARS] = {
    [S8] = {{"char", "int8"}, 1},      [U8] = {{"uchar", "uint8"}, 1},
    [S16] = {{"short", "int16"}, 2},   [U16] = {{"ushort", "uint16"}, 2},
    [S32] = {{"int", "int32"}, 4},     [U32] = {{"uint", "uint32"}, 4},
    [F32] = {{"float", "float32"}, 4}, [F64] = {{"double", "float64"}, 8},
};

/** What a property is to us. */
typedef enum Use { USE_NONE, USE_X, USE_Y, USE_Z, USE_CORNERS } Use;

typedef struct Property {
    bool list;
    Scalar count; /**< type of a list's length */
    Scalar type;
    Use use;
} Property;

typedef enum ElementKind { ELEMENT_OTHER, ELEMENT_VERTEX, ELEMENT_FACE } ElementKind;

typedef struct Element {
    ElementKind kind;
    uint64_t count;
    int first, properties;
} Element;

typedef enum Coding { CODING_NONE, CODING_TEXT, CODING_LITTLE, CODING_BIG } Coding;

typedef struct Ply {
    TbReader *reader;
    Coding coding;
    Element element[MOST_ELEMENTS];
    Property property[MOST_PROPERTIES];
    int elements, properties;
    TbVec3 *point;
    size_t points, room;
} Ply;

static const char *
kind_name(ElementKind kind)
{
    return kind == ELEMENT_VERTEX ? "vertex" : kind == ELEMENT_FACE ? "face" : "other element";
}

/* ---- header ---- */

static TbStatus
bad_header(const Ply *ply, const char *what, TbWord word, TbFault *fault)
{
    char shown[TB_WORD_SHOWN];

    return tb_fail(fault, TB_E_FORMAT, "line %zu: \"%s\" is not %s", ply->reader->line,
                   tb_word__shown(word, shown), what);
}

static bool
find_scalar(TbWord word, Scalar *out)
{
    for (int i = 0; i < SCALARS; i++)
        if (tb_word__is(word, scalars[i].name[0]) || tb_word__is(word, scalars[i].name[1])) {
            *out = (Scalar)i;
            return true;
        }
    return false;
}

static TbStatus
take_format(Ply *ply, TbWord line, TbFault *fault)
{
    TbWord word = tb_word__cut(&line);

    if (tb_word__is(word, "ascii"))
        ply->coding = CODING_TEXT;
    else if (tb_word__is(word, "binary_little_endian"))
        ply->coding = CODING_LITTLE;
    else if (tb_word__is(word, "binary_big_endian"))
        ply->coding = CODING_BIG;
    else
        return bad_header(ply, "a format of PLY", word, fault);
    word = tb_word__cut(&line);
    return tb_word__is(word, "1.0") ? TB_OK : bad_header(ply, "version 1.0 of PLY", word, fault);
}

static bool
whole_number(TbWord word, uint64_t *out)
{
    uint64_t n = 0;

    for (size_t i = 0; i < word.length; i++) {
        if (word.text[i] < '0' || word.text[i] > '9')
            return false;
        n = 10 * n + (uint64_t)(word.text[i] - '0');
    }
    *out = n;
    return word.length > 0 && word.length <= 18;
}

static TbStatus
take_element(Ply *ply, TbWord line, TbFault *fault)
{
    Element element = {ELEMENT_OTHER, 0, ply->properties, 0};
    TbWord word = tb_word__cut(&line);

    if (ply->elements == MOST_ELEMENTS)
        return tb_fail(fault, TB_E_LIMIT, "line %zu: more than %d elements", ply->reader->line,
                       MOST_ELEMENTS);
    if (tb_word__is(word, "vertex"))
        element.kind = ELEMENT_VERTEX;
    else if (tb_word__is(word, "face"))
        element.kind = ELEMENT_FACE;
    for (int i = 0; element.kind != ELEMENT_OTHER && i < ply->elements; i++)
        if (ply->element[i].kind == element.kind)
            return tb_fail(fault, TB_E_FORMAT, "line %zu: a second element \"%s\"",
                           ply->reader->line, kind_name(element.kind));
    word = tb_word__cut(&line);
    if (!whole_number(word, &element.count))
        return bad_header(ply, "a number of elements", word, fault);
    ply->element[ply->elements++] = element;
    return TB_OK;
}

static Use
use_of(ElementKind kind, bool list, TbWord name)
{
    if (kind == ELEMENT_FACE && list &&
        (tb_word__is(name, "vertex_indices") || tb_word__is(name, "vertex_index")))
        return USE_CORNERS;
    if (kind != ELEMENT_VERTEX || list)
        return USE_NONE;
    if (tb_word__is(name, "x"))
        return USE_X;
    if (tb_word__is(name, "y"))
        return USE_Y;
    return tb_word__is(name, "z") ? USE_Z : USE_NONE;
}

static TbStatus
take_property(Ply *ply, TbWord line, TbFault *fault)
{
    Property property = {false, U8, F32, USE_NONE};
    TbWord word = tb_word__cut(&line);
    Element *element;

    if (ply->elements == 0)
        return tb_fail(fault, TB_E_FORMAT, "line %zu: a property stands before any element",
                       ply->reader->line);
    if (ply->properties == MOST_PROPERTIES)
        return tb_fail(fault, TB_E_LIMIT, "line %zu: more than %d properties", ply->reader->line,
                       MOST_PROPERTIES);
    if (tb_word__is(word, "list")) {
        property.list = true;
        word = tb_word__cut(&line);
        if (!find_scalar(word, &property.count) || property.count >= F32)
            return bad_header(ply, "a type of whole numbers", word, fault);
        word = tb_word__cut(&line);
    }
    if (!find_scalar(word, &property.type))
        return bad_header(ply, "a type of numbers", word, fault);
    element = &ply->element[ply->elements - 1];
    property.use = use_of(element->kind, property.list, tb_word__cut(&line));
    for (int i = element->first; property.use != USE_NONE && i < ply->properties; i++)
        if (ply->property[i].use == property.use)
            return tb_fail(fault, TB_E_FORMAT, "line %zu: the same property twice in one element",
                           ply->reader->line);
    ply->property[ply->properties++] = property;
    element->properties++;
    return TB_OK;
}

static TbStatus
take_line(Ply *ply, TbWord line, bool *done, TbFault *fault)
{
    TbWord word = tb_word__cut(&line);

    if (word.length == 0 || tb_word__is(word, "comment") || tb_word__is(word, "obj_info"))
        return TB_OK;
    if (tb_word__is(word, "format"))
        return take_format(ply, line, fault);
    if (tb_word__is(word, "element"))
        return take_element(ply, line, fault);
    if (tb_word__is(word, "property"))
        return take_property(ply, line, fault);
    if (!tb_word__is(word, "end_header"))
        return bad_header(ply, "a word of a PLY header", word, fault);
    *done = true;
    return TB_OK;
}

static TbStatus
read_header(Ply *ply, TbFault *fault)
{
    TbWord line = {"", 0};
    bool got = true;
    bool done = false;
    TbStatus status;

    ply->reader->line = 0;
    status = tb_reader__line(ply->reader, &line, &got, fault);
    if (status != TB_OK)
        return status;
    if (!tb_word__is(tb_word__cut(&line), "ply"))
        return tb_fail(fault, TB_E_FORMAT, "line 1: a PLY file begins with \"ply\"");
    while (!done) {
        status = tb_reader__line(ply->reader, &line, &got, fault);
        if (status != TB_OK)
            return status;
        if (!got)
            return tb_fail(fault, TB_E_FORMAT, "PLY ends in line %zu, before \"end_header\"",
                           ply->reader->line);
        if (ply->reader->line > MOST_HEADER_LINES)
            return tb_fail(fault, TB_E_LIMIT, "a PLY header of more than %d lines",
                           MOST_HEADER_LINES);
        status = take_line(ply, line, &done, fault);
        if (status != TB_OK)
            return status;
    }
    if (ply->coding == CODING_NONE)
        return tb_fail(fault, TB_E_FORMAT, "a PLY header without a format");
    return TB_OK;
}

/* ---- what the header claims ---- */

static const Element *
find_element(const Ply *ply, ElementKind kind)
{
    for (int i = 0; i < ply->elements; i++)
        if (ply->element[i].kind == kind)
            return &ply->element[i];
    return NULL;
}

static bool
has_use(const Ply *ply, const Element *element, Use use)
{
    for (int i = 0; i < element->properties; i++)
        if (ply->property[element->first + i].use == use)
            return true;
    return false;
}

/** Bytes of one row at least: empty lists; in text a digit and a blank for each number. */
static uint64_t
least_row(const Ply *ply, const Element *element)
{
    uint64_t bytes = 0;

    for (int i = 0; i < element->properties; i++) {
        const Property *property = &ply->property[element->first + i];
        if (ply->coding == CODING_TEXT)
            bytes += 2;
        else
            bytes += scalars[property->list ? property->count : property->type].size;
    }
    return bytes;
}

/** Counts have at most 18 digits and rows below 2^12 bytes: that can wrap, so it is done apart. */
static TbStatus
check_size(const Ply *ply, TbFault *fault)
{
    uint64_t size = ply->reader->source->size;
    uint64_t left = size - tb_reader__place(ply->reader);

    for (int i = 0; size > 0 && i < ply->elements; i++) {
        const Element *element = &ply->element[i];
        uint64_t row = least_row(ply, element);
        /* the last blank of a text may be missing */
        uint64_t there = left + (ply->coding == CODING_TEXT);
        if (row > 0 && element->count > there / row)
            return tb_fail(fault, TB_E_FORMAT,
                           "PLY names %llu rows of %s of %llu bytes at least, but only %llu bytes "
                           "are left of %llu",
                           (unsigned long long)element->count, kind_name(element->kind),
                           (unsigned long long)row, (unsigned long long)left,
                           (unsigned long long)size);
        left -= row * element->count < left ? row * element->count : left;
    }
    return TB_OK;
}

static TbStatus
check_claims(const Ply *ply, TbFault *fault)
{
    const Element *vertex = find_element(ply, ELEMENT_VERTEX);
    const Element *face = find_element(ply, ELEMENT_FACE);
    TbStatus status = check_size(ply, fault);

    if (status != TB_OK)
        return status;
    if (vertex == NULL || face == NULL)
        return tb_fail(fault, TB_E_FORMAT, "a PLY header without an element \"%s\"",
                       vertex == NULL ? "vertex" : "face");
    if (face < vertex)
        return tb_fail(fault, TB_E_FORMAT, "PLY names its faces before its vertices");
    if (!has_use(ply, vertex, USE_X) || !has_use(ply, vertex, USE_Y) ||
        !has_use(ply, vertex, USE_Z))
        return tb_fail(fault, TB_E_FORMAT, "PLY vertices without x, y and z");
    if (!has_use(ply, face, USE_CORNERS))
        return tb_fail(fault, TB_E_FORMAT, "PLY faces without a list \"vertex_indices\"");
    status = tb_reader__check_most(ply->reader, "PLY", face->count, fault);
    if (status == TB_OK && vertex->count > 3 * (uint64_t)ply->reader->most)
        status = tb_fail(fault, TB_E_LIMIT,
                         "PLY of %llu vertices, three for each of the most triangles, %llu, are "
                         "the most",
                         (unsigned long long)vertex->count,
                         (unsigned long long)(3 * (uint64_t)ply->reader->most));
    return status;
}

/* ---- data ---- */

/** Where the data are, for faults. */
typedef struct Row {
    const Element *element;
    uint64_t number; /**< from 1 */
} Row;

static TbStatus
ends_early(const Ply *ply, Row row, TbFault *fault)
{
    const TbReader *reader = ply->reader;
    bool text = ply->coding == CODING_TEXT;

    return tb_fail(fault, TB_E_FORMAT, "PLY ends %s %llu inside %s %llu of %llu",
                   text ? "in line" : "at byte",
                   (unsigned long long)(text ? reader->line : reader->start + reader->have),
                   kind_name(row.element->kind), (unsigned long long)row.number,
                   (unsigned long long)row.element->count);
}

static double
decode(Scalar type, uint64_t bits)
{
    uint32_t low = (uint32_t)bits;
    float f;
    double d;

    switch (type) {
    case S8:
        return (double)(int8_t)(uint8_t)bits;
    case S16:
        return (double)(int16_t)(uint16_t)bits;
    case S32:
        return (double)(int32_t)low;
    case U8:
    case U16:
    case U32:
        return (double)bits;
    case F32:
        memcpy(&f, &low, sizeof f);
        return (double)f;
    case F64:
        memcpy(&d, &bits, sizeof d);
        return d;
    case SCALARS:
        break;
    }
    TB_ASSERT(false);
    return 0;
}

static TbStatus
read_binary(Ply *ply, Scalar type, Row row, double *out, TbFault *fault)
{
    TbReader *reader = ply->reader;
    size_t size = scalars[type].size;
    TbStatus status = tb_reader__fill(reader, size, fault);
    const unsigned char *b = reader->buffer + reader->at;
    uint64_t bits = 0;

    if (status != TB_OK)
        return status;
    if (reader->have - reader->at < size)
        return ends_early(ply, row, fault);
    for (size_t i = 0; i < size; i++)
        bits = bits << 8 | b[ply->coding == CODING_BIG ? i : size - 1 - i];
    reader->at += size;
    *out = decode(type, bits);
    return TB_OK;
}

static TbStatus
read_scalar(Ply *ply, Scalar type, Row row, double *out, TbFault *fault)
{
    TbWord word;
    TbStatus status;

    if (ply->coding != CODING_TEXT)
        return read_binary(ply, type, row, out, fault);
    status = tb_reader__word(ply->reader, &word, fault);
    if (status != TB_OK)
        return status;
    if (word.length == 0)
        return ends_early(ply, row, fault);
    return tb_word__number(word, out) ? TB_OK : bad_header(ply, "a number", word, fault);
}

/** A whole number from 0 to below @p limit: the length of a list, the number of a vertex. */
static TbStatus
read_whole(
    Ply *ply, Scalar type, Row row, const char *what, uint64_t limit, uint64_t *out, TbFault *fault)
{
    char shown[TB_TEXT_NUMBER];
    double x = 0;
    TbStatus status = read_scalar(ply, type, row, &x, fault);

    if (status != TB_OK)
        return status;
    if (!(x >= 0) || !(x < (double)limit) || (double)(uint64_t)x < x) {
        tb_text_from_double(x, shown);
        return tb_fail(fault, TB_E_FORMAT, "PLY %s %llu has the %s %s, 0 to %llu is the range",
                       kind_name(row.element->kind), (unsigned long long)row.number, what, shown,
                       (unsigned long long)limit - 1);
    }
    *out = (uint64_t)x;
    return TB_OK;
}

static TbStatus
read_corners(Ply *ply, const Property *property, Row row, uint64_t count, TbFault *fault)
{
    TbVec3 corner[3] = {{0, 0, 0}, {0, 0, 0}, {0, 0, 0}};

    for (uint64_t i = 0; i < count; i++) {
        uint64_t number = 0;
        TbStatus status =
            read_whole(ply, property->type, row, "corner", ply->points, &number, fault);
        if (status != TB_OK)
            return status;
        corner[1] = corner[2];
        corner[2] = ply->point[number];
        if (i == 0)
            corner[0] = corner[2];
        if (i >= 2)
            status = tb_reader__add(ply->reader, corner, fault);
        if (status != TB_OK)
            return status;
    }
    if (count < 3)
        tb_mesh_builder__drop(ply->reader->builder);
    return TB_OK;
}

static TbStatus
read_list(Ply *ply, const Property *property, Row row, TbFault *fault)
{
    uint64_t count = 0;
    double x;
    TbStatus status = read_whole(ply, property->count, row, "list length", (uint64_t)UINT32_MAX + 1,
                                 &count, fault);

    if (status == TB_OK && property->use == USE_CORNERS)
        return read_corners(ply, property, row, count, fault);
    for (uint64_t i = 0; status == TB_OK && i < count; i++)
        status = read_scalar(ply, property->type, row, &x, fault);
    return status;
}

static TbStatus
keep_vertex(Ply *ply, TbVec3 p, TbFault *fault)
{
    void *point = ply->point;

    if (tb_grow_array(&point, &ply->room, ply->points, sizeof p) != 0)
        return tb_fail(fault, TB_E_MEMORY, "no room for %zu vertices", ply->points);
    ply->point = point;
    ply->point[ply->points++] = tb_reader__placed(ply->reader, p);
    return TB_OK;
}

static TbStatus
read_row(Ply *ply, Row row, TbFault *fault)
{
    TbVec3 p = {0, 0, 0};
    TbStatus status = TB_OK;

    for (int i = 0; status == TB_OK && i < row.element->properties; i++) {
        const Property *property = &ply->property[row.element->first + i];
        double x = 0;
        if (property->list) {
            status = read_list(ply, property, row, fault);
            continue;
        }
        status = read_scalar(ply, property->type, row, &x, fault);
        if (property->use == USE_X)
            p.x = x;
        else if (property->use == USE_Y)
            p.y = x;
        else if (property->use == USE_Z)
            p.z = x;
    }
    if (status == TB_OK && row.element->kind == ELEMENT_VERTEX)
        status = keep_vertex(ply, p, fault);
    return status;
}

static TbStatus
read_data(Ply *ply, TbFault *fault)
{
    TbStatus status = TB_OK;

    /* lines of the data are counted by words, which expect to be inside one */
    ply->reader->line++;
    for (int i = 0; status == TB_OK && i < ply->elements; i++) {
        Row row = {&ply->element[i], 1};
        if (row.element->properties == 0)
            continue;
        for (; status == TB_OK && row.number <= row.element->count; row.number++)
            status = read_row(ply, row, fault);
        /* nobody needs what stands behind the faces */
        if (row.element->kind == ELEMENT_FACE)
            break;
    }
    return status;
}

TbStatus
tb_reader__read_ply(TbReader *reader, TbFault *fault)
{
    Ply *ply = tb_alloc(sizeof *ply);
    TbStatus status;

    if (ply == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room to read a mesh");
    ply->reader = reader;
    status = read_header(ply, fault);
    if (status == TB_OK)
        status = check_claims(ply, fault);
    if (status == TB_OK)
        status = read_data(ply, fault);
    tb_free(ply->point);
    tb_free(ply);
    return status;
}
