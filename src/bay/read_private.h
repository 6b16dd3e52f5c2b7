/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file read_private.h
 * @brief What the files of the reader share.
 */
#pragma once

#include "bay/build.h"
#include "bay/read.h"
#include "bay/xml.h"

#include <libxml/tree.h>

/* Room for "ring 1 of end of duct "..."". */
enum { WHAT = 160 };

/** A document being read. */
typedef struct Reader {
    TbBay *bay;
    bool newer; /**< the file's version is above ours: what we do not know is kept */
    TbFault *fault;
} Reader;

/** One element being read into a struct. */
typedef struct Target {
    const TbElement *element;
    void *owner;
    char what[WHAT];
} Target;

#define TAG(node) ((const char *)(node)->name)
#define FAIL(reader, node, status, ...)                                                            \
    tb_fail_at((reader)->fault, status, tb_xml_line((const xmlNode *)(node)), __VA_ARGS__)

/** A comment goes with what follows it. */
TbStatus tb_read__keep_comment(Reader *reader, char **pending, const xmlNode *node);

/** "no room for a ring", with the line. */
TbStatus tb_read__no_room(Reader *reader, const xmlNode *node);

/** All attributes of an element. */
TbStatus tb_read__attributes(Reader *reader, const Target *target, xmlNode *node);

/** Text or a CDATA section, whatever stands in it. */
bool tb_read__is_text(const xmlNode *node);

/** Refuses text, but for white space, where only elements may stand. */
TbStatus tb_read__refuse_text(Reader *reader, const Target *target, const xmlNode *node);

/** One child element into its place in the struct; what is not ours is kept as it stands.
 * @param[in,out] at how far the table's order has come */
TbStatus
tb_read__child(Reader *reader, const Target *target, xmlNode *node, char **comment, size_t *at);

/** All of an element into its target; the comment before it goes along. */
TbStatus tb_read__element(Reader *reader, Target *target, xmlNode *node, char **comment);
