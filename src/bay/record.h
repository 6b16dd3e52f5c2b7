/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file record.h
 * @brief What every element of a bay has in common: a line, comments, an id, who, when and why.
 *
 * A *record* is an immutable, reference-counted element with a permanent id: an item, a port, a
 * keep. Documents share records: an edit copies the one it touches and refers to all others. A
 * record carries a node id that is never given twice while the program runs, so that results can be
 * kept by it. A *part* is an element inside a record (a knot, a section): a plain struct in an
 * array of its record.
 *
 * Units are those of the file: mm, degrees, degC, g/s, kPa, kg, 1/min. Points and directions are in
 * the axes that the element's own comment says. Numbers that the file leaves out and that have no
 * default are NaN: ask tb_is_given().
 */
#pragma once

#include "base/fault.h"
#include "geom/vec2.h"
#include "geom/vec3.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

typedef struct TbElement TbElement; /**< the table of an element, see fields.h */

/** Begins the struct of every element, part or record. */
typedef struct TbChild {
    int line;      /**< of the file it was read from, from 1; 0 when it was made by an edit */
    char *comment; /**< the user's comments before it, or NULL; kept when writing (see write.h) */
    char *tail;    /**< the user's comments after its last child, or NULL */
} TbChild;

/** Begins the struct of every record. */
typedef struct TbRecord {
    TbChild part;
    const TbElement *element; /**< its table */
    int references;           /**< atomic; tb_record_ref() and tb_record_unref() only */
    uint64_t node;            /**< never given twice: what caches go by */
    char *id;                 /**< permanent, unique in the document; letters digits _ . - */
    char *name;               /**< for people, or NULL */
    char *who, *when, *why;   /**< or NULL; when is YYYY-MM-DD */
    char *extra;            /**< child elements of a later version or another namespace, as text */
    char *extra_attributes; /**< such attributes, as text */
    struct TbRecord *twin;  /**< its mirror image in Y, made when first asked for; see ports.h */
} TbRecord;

/** Records of one sort in the file's order. */
typedef struct TbList {
    TbRecord **records;
    size_t count;
    char *comment, *tail; /**< the user's comments around the list, or NULL */
} TbList;

/** Up to eight numbers of one attribute. */
enum { TB_NUMBERS_MAX = 8 };
typedef struct TbNumbers {
    double v[TB_NUMBERS_MAX];
    size_t count; /**< 0 when not given */
} TbNumbers;

/** Lowest and highest. */
typedef struct TbSpread {
    double low, high;
} TbSpread;

/** False for a number that the file does not give. */
static inline bool
tb_is_given(double x)
{
    return !isnan(x);
}

/** The same for a point or direction. */
static inline bool
tb_vec3_is_given(TbVec3 v)
{
    return !isnan(v.x);
}

/** One more owner; returns @p record. Any thread. */
const TbRecord *tb_record_ref(const TbRecord *record);

/** One owner fewer; the last one frees it. NULL is fine. Any thread. */
void tb_record_unref(const TbRecord *record);

/** Words of an enumeration as the file has them, in the enumeration's order; ends in NULL. */
typedef const char *const TbNames[];

/** The word of a value; "?" when it is out of range. */
const char *tb_name_of(const char *const names[], int value);

/** The value of a word, or -1. */
int tb_name_value(const char *const names[], const char *word, size_t length);
