/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bay/read.h"

#include "base/mem.h"
#include "bay/build.h"
#include "bay/extra.h"
#include "bay/xml.h"

#include <libxml/tree.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

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

static TbStatus
no_room(Reader *reader, const xmlNode *node)
{
    return FAIL(reader, node, TB_E_MEMORY, "no room for a %s", TAG(node));
}

/* ---- what is not ours: comments, other namespaces, later versions ---- */

/** Comments wait here until it is known what they stand before. */
static TbStatus
keep_comment(Reader *reader, char **pending, const xmlNode *node)
{
    return tb_extra_append(pending, node->content != NULL ? (const char *)node->content : "")
               ? TB_OK
               : no_room(reader, node);
}

static TbStatus
keep_element(Reader *reader, TbRecord *record, xmlNode *node)
{
    const char *why =
        node->ns != NULL ? "of another namespace" : "unknown, from a later version of the format";

    if (!tb_extra_append_element(&record->extra, node) ||
        !tb_build_warn(reader->bay, tb_xml_line(node), "element <%s> is %s; it is kept as it is",
                       TAG(node), why))
        return no_room(reader, node);
    return TB_OK;
}

static TbStatus
keep_attribute(Reader *reader, TbRecord *record, xmlNode *node, xmlAttr *attribute)
{
    const char *why = attribute->ns != NULL ? "of another namespace"
                                            : "unknown, from a later version of the format";

    if (!tb_extra_append_attribute(&record->extra_attributes, node, attribute) ||
        !tb_build_warn(reader->bay, tb_xml_line(node),
                       "attribute %s of <%s> is %s; it is kept as it is", TAG(attribute), TAG(node),
                       why))
        return no_room(reader, node);
    return TB_OK;
}

/** Not ours, and in a place where it may be. */
static bool
may_keep(const Reader *reader, const TbElement *element, const xmlNs *ns)
{
    return element->is_record && (ns != NULL || reader->newer);
}

/* ---- attributes ---- */

static TbStatus
read_attribute(Reader *reader, const Target *target, xmlNode *node, xmlAttr *attribute)
{
    const TbField *field =
        attribute->ns == NULL ? tb_element_field_named(target->element, TAG(attribute)) : NULL;
    xmlChar *text;
    TbStatus status;

    if (field == NULL) {
        if (may_keep(reader, target->element, attribute->ns))
            return keep_attribute(reader, target->owner, node, attribute);
        return FAIL(reader, node, TB_E_FORMAT, "%s: attribute \"%s\" is unknown here", target->what,
                    TAG(attribute));
    }
    text = xmlNodeListGetString(node->doc, attribute->children, 1);
    status = tb_field_read(field, target->owner, text != NULL ? (const char *)text : "",
                           target->what, tb_xml_line(node), reader->fault);
    xmlFree(text);
    return status;
}

static TbStatus
read_attributes(Reader *reader, const Target *target, xmlNode *node)
{
    const TbField *field;

    for (xmlAttr *a = node->properties; a != NULL; a = a->next) {
        TbStatus status = read_attribute(reader, target, node, a);

        if (status != TB_OK)
            return status;
    }
    for (size_t i = 0; (field = tb_element_field(target->element, i)) != NULL; i++)
        if (field->needed && field->kind != TB_FIELD_BODY &&
            xmlHasProp(node, (const xmlChar *)field->name) == NULL)
            return FAIL(reader, node, TB_E_FORMAT, "%s: attribute \"%s\" is missing", target->what,
                        field->name);
    return TB_OK;
}

/* ---- texts ---- */

static bool
is_text(const xmlNode *node)
{
    return node->type == XML_TEXT_NODE || node->type == XML_CDATA_SECTION_NODE;
}

/** Takes white space off both ends, in place. */
static char *
trim(char *text)
{
    size_t length;

    text += strspn(text, " \t\r\n");
    length = strlen(text);
    while (length > 0 && strchr(" \t\r\n", text[length - 1]) != NULL)
        length--;
    text[length] = '\0';
    return text;
}

/** The element's text without that of its children. */
static TbStatus
read_body(Reader *reader, const Target *target, const xmlNode *node)
{
    const TbField *field = tb_element_body(target->element);
    GString *text;
    TbStatus status = TB_OK;

    if (field == NULL)
        return TB_OK;
    text = g_string_new(NULL);
    for (const xmlNode *child = node->children; child != NULL; child = child->next)
        if (is_text(child))
            g_string_append(text, (const char *)child->content);
    if (*trim(text->str) != '\0')
        status = tb_field_read(field, target->owner, trim(text->str), target->what,
                               tb_xml_line(node), reader->fault);
    else if (field->needed)
        status = FAIL(reader, node, TB_E_FORMAT, "%s: its text is missing", target->what);
    g_string_free(text, TRUE);
    return status;
}

static TbStatus
refuse_text(Reader *reader, const Target *target, const xmlNode *node)
{
    const char *text = (const char *)node->content;
    size_t length;

    if (tb_element_body(target->element) != NULL || text[strspn(text, " \t\r\n")] == '\0')
        return TB_OK;
    text += strspn(text, " \t\r\n");
    length = strcspn(text, "\r\n");
    return FAIL(reader, node, TB_E_FORMAT, "%s: text \"%.*s\" has no place here", target->what,
                (int)(length > 40 ? 40 : length), text);
}

/* ---- child elements ---- */

static size_t
count_tags(const xmlNode *node, const char *tag)
{
    size_t count = 0;

    for (; node != NULL; node = node->next)
        count += node->type == XML_ELEMENT_NODE && node->ns == NULL && strcmp(TAG(node), tag) == 0;
    return count;
}

static TbStatus read_element(Reader *reader, Target *target, xmlNode *node, char **comment);

/** The next element of an array; its room is made for all of them at the first. */
static TbStatus
read_nested(Reader *reader, const Target *outer, const TbNest *nest, xmlNode *node, char **comment)
{
    size_t size = nest->element->size;
    size_t count;
    char *array = tb_nest_array(nest, outer->owner, &count);
    Target target = {.element = nest->element};

    if (array != NULL && nest->count_offset == TB_ONE)
        return FAIL(reader, node, TB_E_FORMAT, "%s: a second %s, one is allowed", outer->what,
                    nest->element->name);
    if (array == NULL) {
        array = tb_alloc_array(count_tags(node, nest->element->name), size);
        if (array == NULL)
            return no_room(reader, node);
    }
    tb_nest_set(nest, outer->owner, array, count + 1);
    target.owner = array + count * size;
    tb_element_preset(target.element, target.owner);
    if (nest->count_offset == TB_ONE)
        snprintf(target.what, WHAT, "%s of %.120s", target.element->name, outer->what);
    else
        snprintf(target.what, WHAT, "%s %zu of %.120s", target.element->name, count + 1,
                 outer->what);
    return read_element(reader, &target, node, comment);
}

/** @param[in,out] at how far the table's order has come */
static TbStatus
read_child(Reader *reader, const Target *target, xmlNode *node, char **comment, size_t *at)
{
    const TbElement *element = target->element;
    size_t which = node->ns == NULL ? tb_element_child(element, TAG(node)) : element->child_count;

    if (which == element->child_count) {
        if (!may_keep(reader, element, node->ns))
            return FAIL(reader, node, TB_E_FORMAT, "%s: element <%s> is unknown here", target->what,
                        TAG(node));
        if (node->ns != NULL && *at < element->child_count)
            *at = element->child_count;
        return keep_element(reader, target->owner, node);
    }
    if (which < *at)
        return FAIL(reader, node, TB_E_FORMAT, "%s: <%s> must stand before <%s>", target->what,
                    TAG(node),
                    *at < element->child_count ? element->children[*at].element->name
                                               : "what follows it here");
    *at = which;
    return read_nested(reader, target, &element->children[which], node, comment);
}

static TbStatus
read_children(Reader *reader, const Target *target, xmlNode *node, char **pending)
{
    TbStatus status = TB_OK;
    size_t at = 0;

    for (xmlNode *child = node->children; child != NULL && status == TB_OK; child = child->next) {
        if (child->type == XML_ELEMENT_NODE)
            status = read_child(reader, target, child, pending, &at);
        else if (child->type == XML_COMMENT_NODE)
            status = keep_comment(reader, pending, child);
        else if (is_text(child))
            status = refuse_text(reader, target, child);
    }
    return status;
}

static TbStatus
check_counts(Reader *reader, const Target *target, const xmlNode *node)
{
    for (size_t c = 0; c < target->element->child_count; c++) {
        const TbNest *nest = &target->element->children[c];
        size_t count;

        tb_nest_array(nest, target->owner, &count);
        if (count < nest->least)
            return FAIL(reader, node, TB_E_FORMAT, "%s: has %zu <%s>, %zu are needed", target->what,
                        count, nest->element->name, nest->least);
    }
    return TB_OK;
}

/** @param[in,out] comment what stood before it; taken over */
static TbStatus
read_element(Reader *reader, Target *target, xmlNode *node, char **comment)
{
    TbChild *part = target->owner;
    char *pending = NULL;
    TbStatus status;

    part->line = tb_xml_line(node);
    part->comment = *comment;
    *comment = NULL;
    status = read_attributes(reader, target, node);
    if (status == TB_OK)
        status = read_children(reader, target, node, &pending);
    if (status == TB_OK)
        status = read_body(reader, target, node);
    if (status == TB_OK)
        status = check_counts(reader, target, node);
    part->tail = pending;
    return status;
}

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
        return no_room(reader, node);
    name_target(&target, node);
    status = read_element(reader, &target, node, comment);
    if (status != TB_OK)
        tb_record_unref(target.owner);
    else if (!tb_build_insert(reader->bay, target.owner, reader->bay->lists[list].count))
        status = no_room(reader, node);
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
            status = keep_comment(reader, &pending, child);
        } else if (is_text(child)) {
            target.element = &tb_element_port; /* any without a body */
            snprintf(target.what, WHAT, "%s", TAG(node));
            status = refuse_text(reader, &target, child);
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
        return read_child(reader, head, node, pending, at);
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
            status = keep_comment(reader, pending, child);
        else if (is_text(child))
            status = refuse_text(reader, head, child);
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
            status = keep_comment(reader, out, node);
    return status;
}

static TbStatus
read_bay(Reader *reader, xmlNode *root)
{
    TbRecord *head = tb_record_new(&tb_element_bay);
    Target target = {.element = &tb_element_bay, .owner = head, .what = "bay"};
    TbStatus status;

    if (head == NULL)
        return no_room(reader, root);
    tb_build_head(reader->bay, head);
    head->part.line = tb_xml_line(root);
    head->id = tb_copy_text("bay");
    if (head->id == NULL)
        return no_room(reader, root);
    status = read_attributes(reader, &target, root);
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
        return no_room(reader, root);
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
