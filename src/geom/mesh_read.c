/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/mesh_read.h"

#include "base/mem.h"
#include "base/text.h"

#include <string.h>
#include <strings.h>

/** Bytes in the buffer: the longest line or word that a reader can see whole. */
#define ROOM ((size_t)1 << 18)

/** Bytes of the longest word that a text mesh can have a use for. */
#define LONGEST_WORD 512

TbMeshFormat
tb_mesh_format_of(const char *file_name)
{
    const char *dot = strrchr(file_name, '.');

    if (dot == NULL)
        return TB_MESH_UNKNOWN;
    if (strcasecmp(dot, ".stl") == 0)
        return TB_MESH_STL;
    if (strcasecmp(dot, ".ply") == 0)
        return TB_MESH_PLY;
    return strcasecmp(dot, ".obj") == 0 ? TB_MESH_OBJ : TB_MESH_UNKNOWN;
}

static long
read_bytes(void *user, unsigned char *out, size_t room, TbFault *fault)
{
    TbBytes *bytes = user;
    size_t left = bytes->size - bytes->at;
    size_t count = room < left ? room : left;

    (void)fault;
    if (count > 0)
        memcpy(out, bytes->bytes + bytes->at, count);
    bytes->at += count;
    return (long)count;
}

TbSource
tb_source_of_bytes(TbBytes *bytes)
{
    return (TbSource){read_bytes, bytes, bytes->size};
}

/* ---- bytes ---- */

/** One more gulp behind what the buffer holds; there is room for it. */
static TbStatus
gulp(TbReader *reader, TbFault *fault)
{
    TbFault own = {0};
    uint64_t size = reader->source->size;
    long count;

    if (tb_task_is_cancelled(reader->def->task))
        return tb_fail(fault, TB_E_CANCELLED, "stopped while reading a mesh");
    count = reader->source->read(reader->source->user, reader->buffer + reader->have,
                                 ROOM - reader->have, &own);
    if (count < 0)
        return tb_fail(fault, own.status != TB_OK ? own.status : TB_E_IO, "%s", own.text);
    TB_ASSERT((size_t)count <= ROOM - reader->have);
    reader->ended = count == 0;
    reader->have += (size_t)count;
    if (size > 0)
        tb_task_report(reader->def->task, "reading and welding a mesh",
                       fmin(1, (double)(reader->start + reader->have) / (double)size));
    return TB_OK;
}

TbStatus
tb_reader__fill(TbReader *reader, size_t count, TbFault *fault)
{
    TB_ASSERT(count <= ROOM);
    if (reader->have - reader->at >= count)
        return TB_OK;
    memmove(reader->buffer, reader->buffer + reader->at, reader->have - reader->at);
    reader->start += reader->at;
    reader->have -= reader->at;
    reader->at = 0;
    while (reader->have < count && !reader->ended) {
        TbStatus status = gulp(reader, fault);
        if (status != TB_OK)
            return status;
    }
    return TB_OK;
}

uint64_t
tb_reader__place(const TbReader *reader)
{
    return reader->start + reader->at;
}

TbStatus
tb_reader__skip_mark(TbReader *reader, TbFault *fault)
{
    TbStatus status = tb_reader__fill(reader, 3, fault);

    if (status == TB_OK && reader->have - reader->at >= 3 &&
        memcmp(reader->buffer + reader->at, "\xef\xbb\xbf", 3) == 0)
        reader->at += 3;
    return status;
}

/* ---- text ---- */

static bool
is_blank(unsigned char c)
{
    return c == ' ' || (c >= '\t' && c <= '\r');
}

/** Steps over blanks, counting lines; at the end of the bytes `at` is `have`. */
static TbStatus
skip_blanks(TbReader *reader, TbFault *fault)
{
    for (;;) {
        while (reader->at < reader->have && is_blank(reader->buffer[reader->at])) {
            reader->line += reader->buffer[reader->at] == '\n';
            reader->at++;
        }
        if (reader->at < reader->have || reader->ended)
            return TB_OK;
        TbStatus status = tb_reader__fill(reader, 1, fault);
        if (status != TB_OK)
            return status;
    }
}

TbStatus
tb_reader__word(TbReader *reader, TbWord *word, TbFault *fault)
{
    TbStatus status = skip_blanks(reader, fault);
    size_t length = 0;

    if (status != TB_OK)
        return status;
    for (;;) {
        while (reader->at + length < reader->have &&
               !is_blank(reader->buffer[reader->at + length]) && length <= LONGEST_WORD)
            length++;
        if (length > LONGEST_WORD)
            return tb_fail(fault, TB_E_FORMAT, "line %zu: a word of more than %d letters",
                           reader->line, LONGEST_WORD);
        if (reader->at + length < reader->have || reader->ended)
            break;
        status = tb_reader__fill(reader, length + 1, fault);
        if (status != TB_OK)
            return status;
    }
    *word = (TbWord){(const char *)reader->buffer + reader->at, length};
    reader->at += length;
    return TB_OK;
}

TbStatus
tb_reader__skip_line(TbReader *reader, TbFault *fault)
{
    for (;;) {
        unsigned char *from = reader->buffer + reader->at;
        unsigned char *end = memchr(from, '\n', reader->have - reader->at);
        TbStatus status;
        if (end != NULL) {
            reader->at += (size_t)(end - from);
            return TB_OK;
        }
        reader->at = reader->have;
        if (reader->ended)
            return TB_OK;
        status = tb_reader__fill(reader, 1, fault);
        if (status != TB_OK)
            return status;
    }
}

/** Where the line ends in what the buffer holds: at a newline, or a lone carriage return. */
static size_t
line_end(const TbReader *reader, size_t from)
{
    while (from < reader->have && reader->buffer[from] != '\n' && reader->buffer[from] != '\r')
        from++;
    return from;
}

TbStatus
tb_reader__line(TbReader *reader, TbWord *line, bool *got, TbFault *fault)
{
    size_t length = 0;
    size_t step;

    for (;;) {
        TbStatus status;
        length = line_end(reader, reader->at + length) - reader->at;
        /* one byte more is wanted, to see the \n behind a \r */
        if (reader->at + length + 1 < reader->have || reader->ended)
            break;
        if (length + 2 > ROOM)
            return tb_fail(fault, TB_E_FORMAT, "line %zu is longer than %zu bytes",
                           reader->line + 1, ROOM - 2);
        status = tb_reader__fill(reader, reader->have - reader->at + 1, fault);
        if (status != TB_OK)
            return status;
    }
    *got = reader->at < reader->have;
    *line = (TbWord){(const char *)reader->buffer + reader->at, length};
    step = length;
    if (reader->at + step < reader->have) {
        bool both = reader->buffer[reader->at + step] == '\r' &&
                    reader->at + step + 1 < reader->have &&
                    reader->buffer[reader->at + step + 1] == '\n';
        step += both ? 2 : 1;
    }
    reader->at += step;
    reader->line += *got;
    return TB_OK;
}

TbWord
tb_word__cut(TbWord *line)
{
    TbWord word;

    while (line->length > 0 && is_blank((unsigned char)line->text[0])) {
        line->text++;
        line->length--;
    }
    word = (TbWord){line->text, 0};
    while (word.length < line->length && !is_blank((unsigned char)line->text[word.length]))
        word.length++;
    line->text += word.length;
    line->length -= word.length;
    return word;
}

bool
tb_word__is(TbWord word, const char *text)
{
    return word.length == strlen(text) && strncasecmp(word.text, text, word.length) == 0;
}

const char *
tb_word__shown(TbWord word, char out[TB_WORD_SHOWN])
{
    size_t n = 0;

    for (size_t i = 0; i < word.length && n + 4 < TB_WORD_SHOWN; i++)
        out[n++] = word.text[i] > ' ' && word.text[i] < 127 ? word.text[i] : '?';
    if (n < word.length)
        for (int k = 0; k < 3; k++)
            out[n++] = '.';
    out[n] = '\0';
    return out;
}

/* ---- numbers ---- */

/** Digits, a point among them, taken up as one whole number; false when there are too many. */
typedef struct Digits {
    uint64_t whole;
    int count, scale; /**< the value is whole * 10^scale */
} Digits;

static size_t
take_digits(TbWord word, size_t i, Digits *digits)
{
    bool point = false;

    for (; i < word.length; i++) {
        char c = word.text[i];
        if (c >= '0' && c <= '9') {
            digits->count++;
            if (digits->count <= 18)
                digits->whole = 10 * digits->whole + (uint64_t)(c - '0');
            digits->scale -= point;
        } else if (c == '.' && !point) {
            point = true;
        } else {
            break;
        }
    }
    return i;
}

static size_t
take_exponent(TbWord word, size_t i, int *scale)
{
    bool down;
    int e = 0;
    size_t from;

    if (i >= word.length || (word.text[i] != 'e' && word.text[i] != 'E'))
        return i;
    i++;
    down = i < word.length && word.text[i] == '-';
    if (i < word.length && (word.text[i] == '-' || word.text[i] == '+'))
        i++;
    from = i;
    while (i < word.length && i < from + 4 && word.text[i] >= '0' && word.text[i] <= '9')
        e = 10 * e + (word.text[i++] - '0');
    *scale += down ? -e : e;
    return i > from ? i : from - 1; /* an e without a number behind it: not read to the end */
}

/**
 * The common case: up to 2^53 times or over a power of ten up to 10^22 are two exact numbers, so
 * one rounding gives what strtod gives (W. D. Clinger, "How to read floating point numbers
 * accurately", PLDI 1990).
 */
static bool
quick_number(TbWord word, double *out)
{
    static const double ten[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                 1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
    Digits digits = {0, 0, 0};
    bool minus = word.length > 0 && word.text[0] == '-';
    size_t i = minus || (word.length > 0 && word.text[0] == '+') ? 1 : 0;
    double x;

    i = take_digits(word, i, &digits);
    i = take_exponent(word, i, &digits.scale);
    if (i < word.length || digits.count == 0 || digits.count > 18 ||
        digits.whole > (UINT64_C(1) << 53) || digits.scale < -22 || digits.scale > 22)
        return false;
    x = (double)digits.whole;
    x = digits.scale < 0 ? x / ten[-digits.scale] : x * ten[digits.scale];
    *out = minus ? -x : x;
    return true;
}

/** What programs write for a number that is none. */
static bool
is_not_finite(TbWord word)
{
    static const char *const spelt[] = {"nan",    "nan(ind)", "inf",     "infinity",
                                        "1.#ind", "1.#inf",   "1.#qnan", "1.#snan"};

    if (word.length > 0 && (word.text[0] == '-' || word.text[0] == '+')) {
        word.text++;
        word.length--;
    }
    for (size_t i = 0; i < sizeof spelt / sizeof spelt[0]; i++)
        if (tb_word__is(word, spelt[i]))
            return true;
    return false;
}

bool
tb_word__number(TbWord word, double *out)
{
    if (quick_number(word, out) || tb_text_to_double(word.text, word.length, out))
        return true;
    if (!is_not_finite(word))
        return false;
    *out = NAN;
    return true;
}

/* ---- triangles ---- */

TbVec3
tb_reader__placed(const TbReader *reader, TbVec3 p)
{
    p = tb_vec3_scale(p, reader->def->unit);
    return reader->moves ? tb_pose_point(reader->def->placement, p) : p;
}

TbStatus
tb_reader__check_most(const TbReader *reader, const char *what, uint64_t count, TbFault *fault)
{
    if (count <= reader->most)
        return TB_OK;
    return tb_fail(fault, TB_E_LIMIT, "%s of %llu triangles, %zu are the most", what,
                   (unsigned long long)count, reader->most);
}

static bool
is_too_much(const TbReader *reader, uint64_t need)
{
    return reader->def->most_bytes > 0 && need > reader->def->most_bytes;
}

/** Given up when the room so far is what may be taken: the rest is like what was read. */
static TbStatus
needs_more(const TbReader *reader, uint64_t need, TbFault *fault)
{
    double share = (double)tb_reader__place(reader) / (double)reader->source->size;
    char about[TB_TEXT_NUMBER], most[TB_TEXT_NUMBER];

    tb_mesh_bytes_text(share > 0 && share < 1 ? (double)need / share : (double)need, about);
    tb_mesh_bytes_text((double)reader->def->most_bytes, most);
    return tb_fail(fault, TB_E_LIMIT, "a mesh that needs about %s of memory, %s are the most",
                   about, most);
}

TbStatus
tb_reader__add(TbReader *reader, const TbVec3 corner[3], TbFault *fault)
{
    TbStatus status;
    uint64_t need;

    if (tb_mesh_builder__read(reader->builder) >= reader->most)
        return tb_fail(fault, TB_E_LIMIT, "a mesh of more than %zu triangles, the most",
                       reader->most);
    status = tb_mesh_builder_add(reader->builder, corner, fault);
    need = tb_mesh_builder__need(reader->builder);
    if (status == TB_OK && is_too_much(reader, need))
        return needs_more(reader, need, fault);
    return status;
}

static TbStatus
read_format(TbReader *reader, TbMeshFormat format, TbFault *fault)
{
    TbStatus status = tb_reader__fill(reader, 1, fault);

    if (status != TB_OK)
        return status;
    if (reader->have == 0)
        return tb_fail(fault, TB_E_FORMAT, "an empty file, 0 bytes");
    switch (format) {
    case TB_MESH_STL:
        return tb_reader__read_stl(reader, fault);
    case TB_MESH_PLY:
        return tb_reader__read_ply(reader, fault);
    case TB_MESH_OBJ:
        return tb_reader__read_obj(reader, fault);
    case TB_MESH_UNKNOWN:
        break;
    }
    return tb_fail(fault, TB_E_FORMAT, "a mesh file's name ends in .stl, .ply or .obj");
}

/** The mesh of all that was read; the builder may know of its last vertices only now. */
static TbStatus
finish(TbReader *reader, TbMesh **mesh, TbFault *fault)
{
    const TbMeshReadDef *def = reader->def;
    TbMesh *made = NULL;
    TbStatus status = tb_mesh_builder_finish(reader->builder, def->work, def->task, &made, fault);
    TbMeshFacts facts;
    uint64_t need;

    reader->builder = NULL;
    if (status != TB_OK)
        return status;
    facts = tb_mesh_facts(made);
    need = tb_mesh_need(facts.vertices_read, facts.triangles_read);
    if (is_too_much(reader, need)) {
        tb_mesh_unref(made);
        return needs_more(reader, need, fault);
    }
    *mesh = made;
    return TB_OK;
}

TbStatus
tb_mesh_read(
    TbSource *source, TbMeshFormat format, const TbMeshReadDef *def, TbMesh **mesh, TbFault *fault)
{
    TbReader reader = {.source = source, .def = def, .line = 1};
    TbStatus status;

    if (!(def->unit > 0) || !isfinite(def->unit))
        return tb_fail(fault, TB_E_RANGE, "a mesh's unit must be above 0 mm");
    reader.most = def->most_triangles > 0 ? def->most_triangles : TB_MESH_MOST;
    reader.moves = !tb_pose_is_identity(def->placement);
    reader.buffer = tb_alloc(ROOM);
    reader.builder = tb_mesh_builder_new();
    if (reader.buffer == NULL || reader.builder == NULL) {
        status = tb_fail(fault, TB_E_MEMORY, "no room to read a mesh");
        goto done;
    }
    status = read_format(&reader, format, fault);
    TB_CLEAR(reader.buffer);
    if (status == TB_OK)
        status = finish(&reader, mesh, fault);

done:
    tb_mesh_builder_free(reader.builder);
    tb_free(reader.buffer);
    return status;
}
