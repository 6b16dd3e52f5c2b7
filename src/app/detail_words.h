/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file detail_words.h
 * @brief What attributes, parts and words of the file are called for people. No widget.
 *
 * The names of the file are the program's English; here they become labels in the reader's
 * language. What has no label yet shows its name of the file, so a new attribute is never hidden.
 */
#pragma once

#include "bay/fields.h"

/** The headings under which the attributes of an item stand, in this order. */
typedef enum TbDetailGroup {
    TB_DETAIL_WHAT,
    TB_DETAIL_WHERE,
    TB_DETAIL_SHAPE,
    TB_DETAIL_KNOWN,
    TB_DETAIL_WARMTH,
    TB_DETAIL_MADE,
    TB_DETAIL_MORE,
    TB_DETAIL_HISTORY,
    TB_DETAIL_GROUP_COUNT
} TbDetailGroup;

/** "What it is", "Where it is" ... */
const char *tb_detail_group_label(TbDetailGroup group);

/** "Wall", "Rides on": the label of an attribute of an element. */
const char *tb_detail_label(const TbElement *element, const TbField *field);

/** The same within a sentence: "wall". Freed by g_free(). */
char *tb_detail_label_within(const TbElement *element, const TbField *field);

/** Where an attribute of an element stands: parts with an own heading are under it. */
TbDetailGroup tb_detail_group(const TbElement *element, const TbField *field);

/** The group of a kind of part of a record, by its tag. */
TbDetailGroup tb_detail_part_group(const char *tag);

/** True for single parts whose attributes stand among their owner's: path, known, process. */
bool tb_detail_is_flat(const char *tag);

/** "Knots", "Sections": the heading of a kind of part. */
const char *tb_detail_part_label(const char *tag);

/** "Knot", "Section": one of them. */
const char *tb_detail_one_label(const char *tag);

/** A word of a choice: "oil-drain" is "oil drain". The file's own word where there is none. */
const char *tb_detail_choice(const char *word);

/** "Duct", "Line", "Port" ...: what a record is. */
const char *tb_detail_kind(const TbElement *element);

/** The unit behind a number: "mm", "°", "°C"; "" for none. @p inch: lengths are in inches. */
const char *tb_detail_unit(const TbField *field, bool inch);
