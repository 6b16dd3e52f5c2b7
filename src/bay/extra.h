/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file extra.h
 * @brief Comments and foreign elements and attributes, kept as text. For reading and writing only.
 *
 * Several of them in one text are parted by a character that XML 1.0 does not know.
 */
#pragma once

#include "base/fault.h"
#include "bay/document.h"

#include <glib.h>
#include <libxml/tree.h>

#define TB_EXTRA_MARK '\1'

/** Append a text; false: no room. */
bool tb_extra_append(char **extra, const char *text);

/** Append an element as it stands, its namespaces declared on itself. */
bool tb_extra_append_element(char **extra, xmlNode *node);

/** Append ` prefix:name="value"`, its namespace declared on @p node. */
bool tb_extra_append_attribute(char **extra, const xmlNode *node, const xmlAttr *attribute);

/**
 * The schema's word on a tree, but for optional attributes and what is not ours (see extra.c).
 *
 * @param newer the file's version is above ours
 */
TbStatus tb_extra_validate(xmlDoc *tree, bool newer, TbFault *fault);

/** Append a text as the inside of an attribute (quoted by ") or of an element. */
void tb_extra_escape(GString *out, const char *text, bool attribute);

/** clip.c: read a file's form without asking whether what it refers to is there. No index. */
TbStatus tb_read_loose(const char *bytes, size_t size, TbBay **bay, TbFault *fault);

/** edit.c: read one record, given as an element, to the end of its list. */
TbStatus tb_read_record(const char *element, TbBay *bay, TbFault *fault);

/** catalogue.c: read a file of materials into a document's list. */
TbStatus tb_read_materials(const char *bytes, size_t size, TbBay *bay, TbFault *fault);
