/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file build.h
 * @brief Making a document, before anybody else sees it. For reading and editing only.
 */
#pragma once

#include "bay/fields.h"

/** An empty document without a head: one reference, fresh node id; NULL: no room. */
TbBay *tb_build_new(void);

/** A document with the same head and records (all referenced), no index yet; NULL: no room. */
TbBay *tb_build_from(const TbBay *bay);

/** Put a record at a place of its list (count: at the end). Takes it over, also on failure. */
bool tb_build_insert(TbBay *bay, TbRecord *record, size_t index);

/** Put a record in place of the one at @p index. Takes it over. */
void tb_build_replace(TbBay *bay, TbListKind list, size_t index, TbRecord *record);

/** Take a record out of its list. */
void tb_build_remove(TbBay *bay, TbListKind list, size_t index);

/** Take over a new head. */
void tb_build_head(TbBay *bay, TbRecord *head);

/** Remember a warning; false: no room. */
bool tb_build_warn(TbBay *bay, int line, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/**
 * Ids into the hash.
 *
 * @return TB_OK, TB_E_REFERENCE where an id is there twice (both lines named), TB_E_MEMORY
 */
TbStatus tb_build_index(TbBay *bay, TbFault *fault);

/** Place of a record in its list; asserted that it is there. */
size_t tb_build_place(const TbBay *bay, const TbRecord *record);

/** check.c: ranges, references and rules of the whole document, in the file's order. */
TbStatus tb_check_bay(const TbBay *bay, TbFault *fault);

/** The same of a document made from a right one: what cannot have become wrong is not looked at. */
TbStatus tb_check_change(const TbBay *bay, const TbBay *before, TbFault *fault);

/** `duct "outlet"`: how faults name a record. */
void tb_record_what(const TbRecord *record, char *out, size_t room);
