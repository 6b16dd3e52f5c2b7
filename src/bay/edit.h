/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file edit.h
 * @brief Named changes: each makes a new document that shares every record it did not touch.
 *
 * The old document stays as it is. On failure @p out is untouched. All return TB_OK,
 * TB_E_REFERENCE (no such id; still in use), TB_E_RANGE, TB_E_DEGENERATE or TB_E_MEMORY. The new
 * document is checked like one that was read: an edit that would break a rule is refused.
 * Angles in degrees, lengths in mm, as in the file. Indices count from 0.
 */
#pragma once

#include "bay/document.h"

/** Knot @p index of a duct's or line's own knots (port ends are not among them). */
TbStatus tb_edit_move_knot(
    const TbBay *bay, const char *item, size_t index, TbVec3 to, TbBay **out, TbFault *fault);

/** A new knot before @p index (count: at the end). @p radius NaN for a smooth path. */
TbStatus tb_edit_add_knot(const TbBay *bay,
                          const char *item,
                          size_t index,
                          TbVec3 at,
                          double radius,
                          TbBay **out,
                          TbFault *fault);

TbStatus
tb_edit_remove_knot(const TbBay *bay, const char *item, size_t index, TbBay **out, TbFault *fault);

/** Bend radius of a corner. */
TbStatus tb_edit_set_knot_radius(
    const TbBay *bay, const char *item, size_t index, double radius, TbBay **out, TbFault *fault);

/** Replace section row @p index; the row's comments and line stay. */
TbStatus tb_edit_set_section(const TbBay *bay,
                             const char *duct,
                             size_t index,
                             const TbRow *row,
                             TbBay **out,
                             TbFault *fault);

/** A new section row before @p index. */
TbStatus tb_edit_add_section(const TbBay *bay,
                             const char *duct,
                             size_t index,
                             const TbRow *row,
                             TbBay **out,
                             TbFault *fault);

TbStatus tb_edit_remove_section(
    const TbBay *bay, const char *duct, size_t index, TbBay **out, TbFault *fault);

/** A round row of the given bore, everything else at its default. */
TbRow tb_row_round(double at, double bore);

/**
 * Shift an item by a vector in its own axes. A turbo takes its ports along because they are given
 * in its axes; the ports of any other item are shifted with it.
 */
TbStatus
tb_edit_move_item(const TbBay *bay, const char *item, TbVec3 by, TbBay **out, TbFault *fault);

/** Position and shaft direction of the turbo. */
TbStatus tb_edit_place_turbo(
    const TbBay *bay, const char *turbo, TbVec3 at, TbVec3 shaft, TbBay **out, TbFault *fault);

/** Turn of a housing (TbHousingPart), deg; its ports and shapes follow. */
TbStatus tb_edit_turn_housing(
    const TbBay *bay, const char *turbo, int housing, double turn, TbBay **out, TbFault *fault);

/** Point and direction of a port, in its own axes. */
TbStatus tb_edit_place_port(
    const TbBay *bay, const char *port, TbVec3 at, TbVec3 flow, TbBay **out, TbFault *fault);

/** Gap of a keep in a state; a state it has no gap for yet is added. */
TbStatus tb_edit_set_keep(
    const TbBay *bay, const char *keep, const char *state, double gap, TbBay **out, TbFault *fault);

/** Shift of a mount in a variant; added where the variant has none. */
TbStatus tb_edit_set_mount_shift(const TbBay *bay,
                                 const char *variant,
                                 const char *mount,
                                 TbVec3 by,
                                 TbBay **out,
                                 TbFault *fault);

/**
 * Add a record given as a line of the file, e.g. `<ball id="b" mount="body" class="moving"
 * at="1 2 3" radius="28"/>`, at the end of its list.
 */
TbStatus tb_edit_add(const TbBay *bay, const char *element, TbBay **out, TbFault *fault);

/** Remove a record. Refused, naming the user, while anything refers to it. */
TbStatus tb_edit_remove(const TbBay *bay, const char *id, TbBay **out, TbFault *fault);

/** Set one attribute of a record from its text in the file; NULL takes it away. Not for ids. */
TbStatus tb_edit_set_attribute(const TbBay *bay,
                               const char *id,
                               const char *attribute,
                               const char *value,
                               TbBay **out,
                               TbFault *fault);

/** The name for people. */
TbStatus
tb_edit_rename(const TbBay *bay, const char *id, const char *name, TbBay **out, TbFault *fault);

/** A new revision, made the current one. @p when is YYYY-MM-DD. */
TbStatus tb_edit_set_revision(const TbBay *bay,
                              const char *revision,
                              const char *who,
                              const char *when,
                              const char *text,
                              TbBay **out,
                              TbFault *fault);

/* ---- parts of any record, by the tables of fields.h ---- */

/** One step into a record: the `index`-th child element of a tag. */
typedef struct TbPartStep {
    const char *tag;
    size_t index;
} TbPartStep;

enum { TB_PART_DEPTH = 3 };

/** Where a part is: {"path", 0}, {"knot", 3}. No steps: the record itself. */
typedef struct TbPartPlace {
    TbPartStep steps[TB_PART_DEPTH];
    size_t count;
} TbPartPlace;

/** An attribute and its text in the file; a NULL value takes it away. */
typedef struct TbSetting {
    const char *attribute; /**< of a body (a note's text): its name in the tables, "text" */
    const char *value;
} TbSetting;

/**
 * Set attributes of a record or of a part of it, all at once: so a section can change its kind and
 * its corner together. Single parts on the way that are not there (`known`, `end`) are made.
 *
 * @param id of a record; "bay" is the head
 */
TbStatus tb_edit_set(const TbBay *bay,
                     const char *id,
                     const TbPartPlace *place,
                     const TbSetting settings[],
                     size_t count,
                     TbBay **out,
                     TbFault *fault);

/** A new part before the one at @p place (index = their number: at the end), with its attributes.
 */
TbStatus tb_edit_add_part(const TbBay *bay,
                          const char *id,
                          const TbPartPlace *place,
                          const TbSetting settings[],
                          size_t count,
                          TbBay **out,
                          TbFault *fault);

/** Take a part away. What must be there (a path, the last section) is refused. */
TbStatus tb_edit_remove_part(
    const TbBay *bay, const char *id, const TbPartPlace *place, TbBay **out, TbFault *fault);

/** The struct of a part, and its table; NULL where there is none. Lends. */
const void *
tb_record_part(const TbRecord *record, const TbPartPlace *place, const TbElement **element);

/* ---- whole records ---- */

/** Room for an id made by an edit. */
#define TB_ID_ROOM 128

/**
 * A copy of a record behind it: "outlet-2", named "Turbine outlet 2". An item takes copies of the
 * ports it owns with it; ends on other items' ports stay on them.
 *
 * @param by     shift of the copy in its own axes, mm; items only
 * @param[out] new_id of the copy; may be NULL
 */
TbStatus tb_edit_duplicate(const TbBay *bay,
                           const char *id,
                           TbVec3 by,
                           char new_id[TB_ID_ROOM],
                           TbBay **out,
                           TbFault *fault);

/** Move a record to another place of its list (counted without it; beyond the end: last). */
TbStatus
tb_edit_reorder(const TbBay *bay, const char *id, size_t index, TbBay **out, TbFault *fault);

/** What people decide about a finding; texts may be NULL. */
typedef struct TbDecide {
    const char *finding; /**< the finding's stable id */
    int disposition;     /**< TbDisposition */
    const char *owner;
    const char *due;  /**< YYYY-MM-DD */
    const char *text; /**< wording of a waiver or a decision */
    const char *who, *when;
} TbDecide;

/**
 * Record a decision in place of an older one about the same finding. An open one without owner,
 * due date and text takes it away. A waiver without a reason is refused.
 */
TbStatus tb_edit_decide(const TbBay *bay, const TbDecide *decide, TbBay **out, TbFault *fault);
