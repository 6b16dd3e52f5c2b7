/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file mesh_read.h
 * @brief Ground that the readers of STL, PLY and OBJ share: bytes through a buffer, lines, words,
 *        numbers, and triangles on their way into a builder. For the mesh readers only.
 */
#pragma once

#include "geom/mesh_private.h"

/** A file being read. The buffer is of one size, whatever the file's size or claims. */
typedef struct TbReader {
    TbSource *source;
    const TbMeshReadDef *def;
    TbMeshBuilder *builder;
    unsigned char *buffer;
    size_t at, have; /**< next byte, and how many there are */
    uint64_t start;  /**< place in the file of the buffer's first byte */
    bool ended;      /**< the source has no more */
    bool moves;      /**< the placement is not the identity */
    size_t line;     /**< from 1, of the word read last */
    size_t most;     /**< triangles */
} TbReader;

/** Bytes of a text; they stay until the next call that reads. */
typedef struct TbWord {
    const char *text;
    size_t length;
} TbWord;

/** Tries to have @p count bytes at `at`; fewer at the end of the file. Only trouble is no TB_OK. */
TbStatus tb_reader__fill(TbReader *reader, size_t count, TbFault *fault);

/** Place in the file of the next byte. */
uint64_t tb_reader__place(const TbReader *reader);

/** Steps over the mark that some editors put before text in UTF-8. */
TbStatus tb_reader__skip_mark(TbReader *reader, TbFault *fault);

/** Next word between blanks, across lines; length 0 at the end of the file. */
TbStatus tb_reader__word(TbReader *reader, TbWord *word, TbFault *fault);

/** Goes to the end of the line. */
TbStatus tb_reader__skip_line(TbReader *reader, TbFault *fault);

/** Next line without its end; @p got is false at the end of the file. `line` must begin at 0. */
TbStatus tb_reader__line(TbReader *reader, TbWord *line, bool *got, TbFault *fault);

/** Takes the first word off a line; length 0 when none is left. */
TbWord tb_word__cut(TbWord *line);

/** Whatever its case. */
bool tb_word__is(TbWord word, const char *text);

/** A decimal number, the same in every locale; what stands for "not finite" becomes NaN. */
bool tb_word__number(TbWord word, double *out);

#define TB_WORD_SHOWN 44

/** The word as a fault can quote it: printable, cut. Returns @p out. */
const char *tb_word__shown(TbWord word, char out[TB_WORD_SHOWN]);

/** A point of the file in the bay's axes, mm. */
TbVec3 tb_reader__placed(const TbReader *reader, TbVec3 p);

/** TB_E_LIMIT when a header claims more than is accepted. */
TbStatus
tb_reader__check_most(const TbReader *reader, const char *what, uint64_t count, TbFault *fault);

/** A triangle in the bay's axes. */
TbStatus tb_reader__add(TbReader *reader, const TbVec3 corner[3], TbFault *fault);

TbStatus tb_reader__read_stl(TbReader *reader, TbFault *fault);
TbStatus tb_reader__read_ply(TbReader *reader, TbFault *fault);
TbStatus tb_reader__read_obj(TbReader *reader, TbFault *fault);

/** A value that was stored with its lowest byte first. */
static inline uint32_t
tb_bytes__u32(const unsigned char *b)
{
    return (uint32_t)b[0] | (uint32_t)b[1] << 8 | (uint32_t)b[2] << 16 | (uint32_t)b[3] << 24;
}
