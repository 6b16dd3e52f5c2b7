/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file preset.h
 * @brief Sensible beginnings: a new bay, a new item, and what is usual about how things are known.
 *
 * Every number here is common practice, no source: a start to be replaced by what the vehicle says.
 */
#pragma once

#include "bay/edit.h"

/** Which way the engine lies: its rock axis is along Y or along X. */
typedef enum TbKitLayout { TB_KIT_TRANSVERSE, TB_KIT_LONGITUDINAL } TbKitLayout;

/**
 * A new bay: mounts `body` and `engine` (on body, rocking about its axis), keeps between the usual
 * classes as data/keeps.xml has them, states cold, hot, rocking, at tolerance, hot and rocking, all
 * three at once, one variant; no items. The keeps are copies: the bay does not hang on the table.
 */
TbStatus tb_bay_new_kit(const char *title, TbKitLayout layout, TbBay **bay, TbFault *fault);

/**
 * The same with another table of keeps.
 *
 * @return as tb_bay_read_bytes(); faults of the table carry its own line numbers
 */
TbStatus tb_bay_new_kit_with(const char *table,
                             size_t size,
                             const char *title,
                             TbKitLayout layout,
                             TbBay **bay,
                             TbFault *fault);

/** True where no keep of the bay is about the two classes of a usual one, whichever is named first.
 */
bool tb_keep_is_lacking(const TbBay *bay, const TbKeep *usual);

/**
 * Add the usual keeps of every pair of classes that has none in the bay. Their gaps go to all
 * states that are made of the same (hot, hot and rocking ...), whatever these are called; what
 * the bay has no states for is left out. Where no cold state is declared, one is.
 *
 * @param usual a bay that has the usual keeps, see tb_bay_new_kit_with(); NULL: a new one
 * @param[out] added how many; may be NULL
 * @return TB_E_REFERENCE also where there is nothing to add
 */
TbStatus tb_edit_add_default_keeps(
    const TbBay *bay, const TbBay *usual, size_t *added, TbBay **out, TbFault *fault);

/** Usual uncertainty of how a thing is known (TbKnownBy), mm, 95 %. Common practice, no source. */
double tb_known_usual(int by);

/** Classes that the keeps of a new bay know, ending in NULL: hot, structure, brake ... */
extern const char *const tb_usual_classes[];

/** Usual class of a new item of a kind; of a line by its role (TbLineRole), else 0. */
const char *tb_usual_class(TbItemKind kind, int role);

/** Usual word of an id: "block", "brake-line" ... */
const char *tb_usual_id(TbItemKind kind, int role);

/**
 * A new item as it is sketched: in the bay's axes, in a variant. Members that its kind does not ask
 * for are not read; texts may be NULL, numbers NaN: the usual is taken.
 */
typedef struct TbNewItem {
    TbItemKind kind;    /**< scans have a file: they are imported, not sketched */
    const char *id;     /**< wish; NULL: the usual word. Made fresh where it is taken */
    const char *name;   /**< for people */
    const char *klass;  /**< NULL: tb_usual_class() */
    const char *mount;  /**< NULL: body; of ducts, lines and the turbo the first one that is on body
                             (the engine's), where there is one */
    int by;             /**< TbKnownBy; -1: not stated */
    double uncertainty; /**< mm; NaN: tb_known_usual() */
    const char *datum, *date;
    TbVec3 a, b;          /**< mm; block: two opposite corners; rod: its ends; ball, turbo: a */
    TbVec3 u, v;          /**< outline: its plane; turbo: u is the shaft */
    double size;          /**< mm; rod, ball: radius; line: diameter; duct: bore; NaN: the usual */
    double depth;         /**< mm; outline; below 0: to the other side */
    const TbVec3 *points; /**< mm; line, duct: knots; outline: corners, laid into the plane through
                               the first one */
    size_t count;
    int role;          /**< line: TbLineRole */
    double bend;       /**< mm; line, duct: a bent path with this radius; NaN: smooth */
    const char *start; /**< line, duct: ids of ports that its ends stand on; NULL: free */
    const char *end;
} TbNewItem;

/** Everything not given: block at the origin, guessed. */
TbNewItem tb_new_item(TbItemKind kind);

/**
 * Add it to the end of the items. A turbo comes with its housings and ports, a duct with two round
 * sections. Coordinates are kept to 1e-6 mm.
 *
 * @param[out] id of the new item; may be NULL
 */
TbStatus tb_edit_new_item(const TbBay *bay,
                          const char *variant,
                          const TbNewItem *item,
                          char id[TB_ID_ROOM],
                          TbBay **out,
                          TbFault *fault);
