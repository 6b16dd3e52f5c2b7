/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file detail_value.h
 * @brief Values as they are shown and typed in the details, and the edits that they mean. No
 * widget.
 *
 * A value has one cell, or one for each number of a point, a direction or a range. Lengths are in
 * the bay's display unit. What is shown is rounded; only a text that a person changed becomes an
 * edit, so showing never changes a value.
 */
#pragma once

#include "base/quantity.h"
#include "bay/edit.h"
#include "bay/fields.h"

#include <glib.h>

/** How many cells a value has: 1, 2 or 3. */
size_t tb_value_cells(const TbField *field);

/** Text of a cell, "" where nothing is given; freed by g_free(). */
char *tb_value_text(const TbField *field, const void *owner, size_t cell, TbLengthUnit unit);

/**
 * The text of the attribute in the file after a cell was typed.
 *
 * Three numbers typed into one cell of three are all of them. An empty text takes an optional value
 * away.
 *
 * @param[out] text freed by g_free(); NULL: the attribute goes
 * @return TB_OK or TB_E_FORMAT with one sentence
 */
TbStatus tb_value_typed(const TbField *field,
                        const void *owner,
                        size_t cell,
                        const char *typed,
                        TbLengthUnit unit,
                        char **text,
                        TbFault *fault);

/**
 * A number of a cell some steps further, as it would be typed: a step is 1 mm, 0.05 in, 1 of
 * everything else. Lists and words have no steps: NULL. Freed by g_free().
 */
char *tb_value_step(const TbField *field, const char *typed, TbLengthUnit unit, double steps);

/**
 * Set an attribute and what must change with it: a section that becomes rounded gets a corner, a
 * path that becomes bent its radii, a side of a keep is an item or a class.
 *
 * @param value text of the file, or NULL
 */
TbStatus tb_value_set(const TbBay *bay,
                      const char *id,
                      const TbPartPlace *place,
                      const char *attribute,
                      const char *value,
                      TbBay **out,
                      TbFault *fault);

/** A new part at a place, with values that make sense there (see detail_new.c). */
TbStatus tb_value_add_part(
    const TbBay *bay, const char *id, const TbPartPlace *place, TbBay **out, TbFault *fault);

/** What a part is at a glance: "at 60, 65 × 54 mm"; freed by g_free(). */
char *tb_value_summary(const TbElement *element, const void *part, TbLengthUnit unit);

/** A fault without the place it begins with: the reader sees the place. Lent. */
const char *tb_value_complaint(const TbFault *fault);

/** The unit that a bay's lengths are shown in. */
TbLengthUnit tb_value_unit(const TbBay *bay);

/** A place and one step more; asserted that there is room. */
TbPartPlace tb_part_place_in(const TbPartPlace *place, const char *tag, size_t index);
