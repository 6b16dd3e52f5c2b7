/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bay/read.h"

#include "base/mem.h"
#include "bay/build.h"
#include "bay/extra.h"
#include "bay/read_private.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- records and lists ---- */

static void
name_target(Target *target, const xmlNode *node)
{
    xmlChar *id = xmlGetNoNsProp(node, (const xmlChar *)"id");

    if (id != NULL)
        snprintf(target->what, WHAT, "%s \"%.60s\"", TAG(node), (const char *)id);
    else
        snprintf(target->what, WHAT, "%s", TAG(node));
    xmlFree(id);
}

static TbStatus
read_record(Reader *reader, TbListKind list, xmlNode *node, char **comment)
{
    const TbElement *element = node->ns == NULL ? tb_element_find(TAG(node), list) : NULL;
    Target target = {.element = element};
    TbStatus status;

    if (element == NULL)
        return FAIL(reader, node, TB_E_FORMAT, "element <%s> is unknown in <%s>", TAG(node),
                    tb_list_names[list]);
    target.owner = tb_record_new(element);
    if (target.owner == NULL)
        return tb_read__no_room(reader, node);
    name_target(&target, node);
    status = tb_read__element(reader, &target, node, comment);
    if (status != TB_OK)
        tb_record_unref(target.owner);
    else if (!tb_build_insert(reader->bay, target.owner, reader->bay->lists[list].count))
        status = tb_read__no_room(reader, node);
    return status;
}

static TbStatus
read_list(Reader *reader, TbListKind kind, xmlNode *node, char **comment)
{
    TbList *list = &reader->bay->lists[kind];
    Target target = {.element = NULL};
    char *pending = NULL;
    TbStatus status = TB_OK;

    list->comment = *comment;
    *comment = NULL;
    if (node->properties != NULL)
        return FAIL(reader, node, TB_E_FORMAT, "attribute \"%s\" is unknown in <%s>",
                    TAG(node->properties), TAG(node));
    for (xmlNode *child = node->children; child != NULL && status == TB_OK; child = child->next) {
        if (child->type == XML_ELEMENT_NODE) {
            status = read_record(reader, kind, child, &pending);
        } else if (child->type == XML_COMMENT_NODE) {
            status = tb_read__keep_comment(reader, &pending, child);
        } else if (tb_read__is_text(child)) {
            target.element = &tb_element_port; /* any without a body */
            snprintf(target.what, WHAT, "%s", TAG(node));
            status = tb_read__refuse_text(reader, &target, child);
        }
    }
    list->tail = pending;
    return status;
}

/* ---- the bay ---- */

static size_t
list_of(const xmlNode *node)
{
    size_t list = 0;

    while (list < TB_LIST_COUNT && strcmp(TAG(node), tb_list_names[list]) != 0)
        list++;
    return node->ns == NULL ? list : (size_t)TB_LIST_COUNT;
}

/**
 * Head elements first, then the lists in their order, then what is not ours.
 *
 * @param[in,out] at the place after the last one: all heads, one for each list
 */
static TbStatus
read_bay_child(Reader *reader, const Target *head, xmlNode *node, char **pending, size_t *at)
{
    size_t heads = head->element->child_count;
    size_t list = list_of(node);

    if (list == TB_LIST_COUNT) {
        if (node->ns != NULL)
            *at = heads + TB_LIST_COUNT + 1;
        return tb_read__child(reader, head, node, pending, at);
    }
    if (*at > heads + TB_LIST_COUNT)
        return FAIL(reader, node, TB_E_FORMAT,
                    "bay: <%s> must stand before elements of another namespace", TAG(node));
    if (heads + list < *at)
        return FAIL(reader, node, TB_E_FORMAT, "bay: <%s> is there twice or after <%s>", TAG(node),
                    tb_list_names[*at - heads - 1]);
    *at = heads + list + 1;
    return read_list(reader, (TbListKind)list, node, pending);
}

static TbStatus
read_bay_children(Reader *reader, const Target *head, xmlNode *root, char **pending)
{
    TbStatus status = TB_OK;
    size_t at = 0;

    for (xmlNode *child = root->children; child != NULL && status == TB_OK; child = child->next) {
        if (child->type == XML_ELEMENT_NODE)
            status = read_bay_child(reader, head, child, pending, &at);
        else if (child->type == XML_COMMENT_NODE)
            status = tb_read__keep_comment(reader, pending, child);
        else if (tb_read__is_text(child))
            status = tb_read__refuse_text(reader, head, child);
    }
    return status;
}

/** Comments outside the root: before it they stay before it, after it they go to its end. */
static TbStatus
read_outer_comments(Reader *reader, const xmlNode *from, const xmlNode *to, char **out)
{
    TbStatus status = TB_OK;

    for (const xmlNode *node = from; node != to && status == TB_OK; node = node->next)
        if (node->type == XML_COMMENT_NODE)
            status = tb_read__keep_comment(reader, out, node);
    return status;
}

static TbStatus
read_bay(Reader *reader, xmlNode *root)
{
    TbRecord *head = tb_record_new(&tb_element_bay);
    Target target = {.element = &tb_element_bay, .owner = head, .what = "bay"};
    TbStatus status;

    if (head == NULL)
        return tb_read__no_room(reader, root);
    tb_build_head(reader->bay, head);
    head->part.line = tb_xml_line(root);
    head->id = tb_copy_text("bay");
    if (head->id == NULL)
        return tb_read__no_room(reader, root);
    status = tb_read__attributes(reader, &target, root);
    if (status == TB_OK)
        status = read_outer_comments(reader, root->doc->children, root, &head->part.comment);
    if (status == TB_OK)
        status = read_bay_children(reader, &target, root, &head->part.tail);
    if (status == TB_OK)
        status = read_outer_comments(reader, root->next, NULL, &head->part.tail);
    return status;
}

/** The root's version; 0 where it is not one (read_bay() then says why). */
static int
version_of(xmlNode *root)
{
    xmlChar *text = xmlGetNoNsProp(root, (const xmlChar *)"version");
    long version = text != NULL ? strtol((const char *)text, NULL, 10) : 0;

    xmlFree(text);
    return version > 0 && version < 1000000 ? (int)version : 0;
}

static TbStatus
read_tree(Reader *reader, xmlDoc *tree)
{
    xmlNode *root = xmlDocGetRootElement(tree);
    int version = version_of(root);
    TbFault by_schema = {0};
    TbStatus schema;
    TbStatus status;

    if (strcmp(TAG(root), "bay") != 0 || root->ns != NULL)
        return FAIL(reader, root, TB_E_FORMAT, "root element is <%s>, not <bay>", TAG(root));
    reader->newer = version > TB_BAY_VERSION;
    if (reader->newer && !tb_build_warn(reader->bay, tb_xml_line(root),
                                        "file has version %d of the format, this program knows %d",
                                        version, TB_BAY_VERSION))
        return tb_read__no_room(reader, root);
    /* the schema is asked first; where it refuses, the tables usually say it in better words */
    schema = tb_extra_validate(tree, reader->newer, &by_schema);
    if (schema == TB_E_MEMORY)
        return tb_fail(reader->fault, schema, "%s", by_schema.text);
    status = read_bay(reader, root);
    if (status == TB_OK && schema != TB_OK)
        status = tb_fail_at(reader->fault, schema, by_schema.line, "%s", by_schema.text);
    return status;
}

TbStatus
tb_read_loose(const char *bytes, size_t size, TbBay **bay, TbFault *fault)
{
    Reader reader = {NULL, false, fault};
    xmlDoc *tree = NULL;
    TbStatus status;

    if (size > TB_BAY_SIZE_LIMIT)
        return tb_fail(fault, TB_E_LIMIT, "it is %zu bytes, at most %zu are read", size,
                       TB_BAY_SIZE_LIMIT);
    status = tb_xml_parse(bytes, size, &tree, fault);
    if (status != TB_OK)
        return status;
    reader.bay = tb_build_new();
    if (reader.bay == NULL)
        status = tb_fail(fault, TB_E_MEMORY, "no room for a bay");
    if (status == TB_OK)
        status = read_tree(&reader, tree);
    xmlFreeDoc(tree);
    if (status == TB_OK)
        *bay = reader.bay;
    else
        tb_bay_unref(reader.bay);
    return status;
}

TbStatus
tb_bay_read_bytes(const char *bytes, size_t size, TbBay **bay, TbFault *fault)
{
    TbBay *read = NULL;
    TbStatus status = tb_read_loose(bytes, size, &read, fault);

    if (status == TB_OK)
        status = tb_build_index(read, fault);
    if (status == TB_OK)
        status = tb_check_bay(read, fault);
    if (status == TB_OK)
        *bay = read;
    else
        tb_bay_unref(read);
    return status;
}

TbStatus
tb_read_record(const char *element, TbBay *bay, TbFault *fault)
{
    Reader reader = {bay, false, fault};
    xmlDoc *tree = NULL;
    TbStatus status = tb_xml_parse(element, strlen(element), &tree, fault);
    const TbElement *table;
    char *none = NULL;

    if (status != TB_OK)
        return status;
    table = tb_element_find(TAG(xmlDocGetRootElement(tree)), TB_LIST_COUNT);
    if (table == NULL)
        status =
            tb_fail(fault, TB_E_FORMAT, "element <%s> is unknown", TAG(xmlDocGetRootElement(tree)));
    else
        status = read_record(&reader, table->list, xmlDocGetRootElement(tree), &none);
    xmlFreeDoc(tree);
    return status;
}

TbStatus
tb_read_materials(const char *bytes, size_t size, TbBay *bay, TbFault *fault)
{
    Reader reader = {bay, false, fault};
    xmlDoc *tree = NULL;
    TbStatus status = tb_xml_parse(bytes, size, &tree, fault);
    char *none = NULL;

    if (status != TB_OK)
        return status;
    status = read_list(&reader, TB_LIST_MATERIALS, xmlDocGetRootElement(tree), &none);
    xmlFreeDoc(tree);
    return status;
}
