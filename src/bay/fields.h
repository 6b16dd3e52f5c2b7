/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file fields.h
 * @brief One table per element: what reading, writing, checking, copying and mirroring go by.
 *
 * A TbElement says which attributes and child elements an element has, where each lives in its
 * struct, its unit, range and default. Nothing else in the folder names an attribute, so a new one
 * is a line here, a member in the struct and a line in data/bay.rng (a test compares the two).
 */
#pragma once

#include "bay/document.h"

#include <glib.h>

typedef enum TbFieldKind {
    TB_FIELD_NUMBER,    /**< double */
    TB_FIELD_INTEGER,   /**< int */
    TB_FIELD_FLAG,      /**< bool: yes, no */
    TB_FIELD_CHOICE,    /**< int: a word of `names` */
    TB_FIELD_ID,        /**< char *: the record's own id */
    TB_FIELD_REFERENCE, /**< char *: id of a record in one of the `lists` */
    TB_FIELD_MATERIAL,  /**< char *: id of a material of the bay or of the catalogue */
    TB_FIELD_STATES,    /**< char *: ids of states joined by '+' */
    TB_FIELD_WORD,      /**< char *: letters, digits and _ . - */
    TB_FIELD_TEXT,      /**< char *: anything but nothing */
    TB_FIELD_DATE,      /**< char *: YYYY-MM-DD */
    TB_FIELD_DIGEST,    /**< char *: 64 hexadecimal digits */
    TB_FIELD_VEC2,      /**< TbVec2 */
    TB_FIELD_VEC3,      /**< TbVec3 */
    TB_FIELD_DIRECTION, /**< TbVec3, longer than zero */
    TB_FIELD_SPREAD,    /**< TbSpread, low <= high */
    TB_FIELD_NUMBERS,   /**< TbNumbers */
    TB_FIELD_BODY       /**< char *: the element's text; at most one a table, and it is last */
} TbFieldKind;

/** What happens to a value when its item is mirrored (y to -y in the item's axes). */
typedef enum TbMirror {
    TB_MIRROR_KEEP,
    TB_MIRROR_Y,      /**< vec3: y changes sign */
    TB_MIRROR_FIRST,  /**< vec2: the first changes sign */
    TB_MIRROR_ANGLE,  /**< number or spread: sign changes (and low, high change places) */
    TB_MIRROR_SIDES,  /**< half-extents: right and left change places */
    TB_MIRROR_CORNERS /**< corner radii: right and left change places */
} TbMirror;

typedef struct TbField {
    const char *name; /**< attribute; of a body: what to call it in a fault */
    TbFieldKind kind;
    size_t offset;
    const char *unit; /**< "mm" ... "" for pure numbers and texts */
    bool needed;      /**< must be in the file */
    double low, high; /**< range of each number, both included */
    bool above_low;   /**< `low` itself is out of range */
    double preset[3]; /**< what it is when the file leaves it out; NaN: not given */
    const char *const *names;
    unsigned lists; /**< bits of TbListKind */
    size_t counts;  /**< numbers: bit k set: k numbers may be given */
    TbMirror mirror;
} TbField;

/** Child elements of one kind: an array and its count, or one pointer. */
typedef struct TbNest {
    const TbElement *element;
    size_t offset;       /**< of the pointer */
    size_t count_offset; /**< of the size_t; TB_ONE for a single one */
    size_t least;        /**< how many there must be */
} TbNest;

#define TB_ONE SIZE_MAX

typedef struct TbFields {
    const TbField *fields;
    size_t count;
} TbFields;

enum { TB_FIELD_GROUPS = 4 };

struct TbElement {
    const char *name; /**< tag */
    size_t size;      /**< of its struct */
    bool is_record;
    TbListKind list;                  /**< of a record */
    TbFields groups[TB_FIELD_GROUPS]; /**< attributes in the order they are written */
    const TbNest *children;           /**< in the order of the file */
    size_t child_count;
    int item_kind; /**< TbItemKind, or -1 */
};

/** Tag of the list that wraps the records: "ports" ... */
extern const char *const tb_list_names[TB_LIST_COUNT];

/** The table of the head: the attributes and single children of `<bay>` itself. */
extern const TbElement tb_element_bay;

/** All record tables; ends in NULL. */
extern const TbElement *const tb_elements[];

/** Shared by the tables of items and of the rest. */
extern const TbField tb_identity[2]; /**< id, name: first of every record */
extern const TbField tb_history[3];  /**< who, when, why: last */
extern const TbElement tb_element_ring, tb_element_bolt_box, tb_element_box;
extern const TbElement tb_element_duct, tb_element_line, tb_element_turbo, tb_element_block,
    tb_element_rod, tb_element_ball, tb_element_outline, tb_element_scan;
extern const TbElement tb_element_port, tb_element_material, tb_element_revision, tb_element_mount;

/** The record table of a tag, in a list or (TB_LIST_COUNT) in any; NULL when there is none. */
const TbElement *tb_element_find(const char *tag, TbListKind list);

/** Field by its place over all groups; NULL past the last. */
const TbField *tb_element_field(const TbElement *element, size_t index);

/** Field by attribute name; NULL. Never the body. */
const TbField *tb_element_field_named(const TbElement *element, const char *name);

/** The body's field, or NULL. */
const TbField *tb_element_body(const TbElement *element);

/** Index of the child of a tag, or child_count. */
size_t tb_element_child(const TbElement *element, const char *tag);

/** The array behind a child entry. */
void *tb_nest_array(const TbNest *child, const void *owner, size_t *count);
void tb_nest_set(const TbNest *child, void *owner, void *array, size_t count);

/** A field's place in a struct. */
static inline void *
tb_field_at(const TbField *field, const void *owner)
{
    return (char *)(uintptr_t)owner + field->offset;
}

/* ---- the structs behind the tables; they come from base/mem.h ---- */

/** How a field lies in its struct. */
typedef enum TbFieldStore {
    TB_STORE_TEXT,    /**< char *, owned */
    TB_STORE_REALS,   /**< 1 to 3 doubles in a row: double, TbVec2, TbVec3, TbSpread */
    TB_STORE_NUMBERS, /**< TbNumbers */
    TB_STORE_INTEGER, /**< int */
    TB_STORE_FLAG     /**< bool */
} TbFieldStore;

/** @param[out] reals how many doubles TB_STORE_REALS has; may be NULL */
TbFieldStore tb_field_store(const TbField *field, size_t *reals);

/** Set every field of a zeroed struct to its preset. */
void tb_element_preset(const TbElement *element, void *owner);

/** Set one field back to its preset. */
void tb_field_preset(const TbField *field, void *owner);

/** Free what a struct holds (not itself). */
void tb_element_clear(const TbElement *element, void *owner);

/** Deep copy into room of the same size; the reference count, node and twin are not copied. */
bool tb_element_copy(const TbElement *element, void *to, const void *from);

/** Same content; lines, node ids and comments apart. */
bool tb_element_equal(const TbElement *element, const void *a, const void *b);

/** Turn it into its mirror image in place. */
void tb_element_mirror(const TbElement *element, void *owner);

/** A new record with presets, one reference and a fresh node id; NULL: no room. */
TbRecord *tb_record_new(const TbElement *element);

/** A deep copy with a fresh node id; NULL: no room. */
TbRecord *tb_record_copy(const TbRecord *record);

/** The mirror image of a record, made once and lent; NULL: no room. Any thread. */
const TbRecord *tb_record_mirrored(const TbRecord *record);

/** Never the same twice in one run of the program. Any thread. */
uint64_t tb_node_next(void);

/* ---- values.c: one field from and to text ---- */

/**
 * Set a field from the text of its attribute. Ranges are not looked at here (check.h).
 *
 * @param what how the fault names the owner: `port "x"`
 */
TbStatus tb_field_read(const TbField *field,
                       void *owner,
                       const char *text,
                       const char *what,
                       int line,
                       TbFault *fault);

/** The doubles of a field; 0 for fields that hold none. */
size_t tb_field_numbers(const TbField *field, const void *owner, double out[TB_NUMBERS_MAX]);

/** True when the field has its preset: it is then left out of the file. */
bool tb_field_is_preset(const TbField *field, const void *owner);

/** Append the attribute's text, not escaped. */
void tb_field_write(const TbField *field, const void *owner, GString *out);
