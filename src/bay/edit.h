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
