/* SPDX-License-Identifier: GPL-3.0-or-later */

/* One element into a struct, by its table: attributes, text, children; what is not ours is kept. */

#include "bay/read_private.h"

#include "base/mem.h"
#include "bay/extra.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

TbStatus
tb_read__no_room(Reader *reader, const xmlNode *node)
{
    return FAIL(reader, node, TB_E_MEMORY, "no room for a %s", TAG(node));
}

/* ---- what is not ours: comments, other namespaces, later versions ---- */

/** Comments wait here until it is known what they stand before. */
TbStatus
tb_read__keep_comment(Reader *reader, char **pending, const xmlNode *node)
{
    return tb_extra_append(pending, node->content != NULL ? (const char *)node->content : "")
               ? TB_OK
               : tb_read__no_room(reader, node);
}

static TbStatus
keep_element(Reader *reader, TbRecord *record, xmlNode *node)
{
    const char *why =
        node->ns != NULL ? "of another namespace" : "unknown, from a later version of the format";

    if (!tb_extra_append_element(&record->extra, node) ||
        !tb_build_warn(reader->bay, tb_xml_line(node), "element <%s> is %s; it is kept as it is",
                       TAG(node), why))
        return tb_read__no_room(reader, node);
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
        return tb_read__no_room(reader, node);
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

TbStatus
tb_read__attributes(Reader *reader, const Target *target, xmlNode *node)
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

bool
tb_read__is_text(const xmlNode *node)
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
        if (tb_read__is_text(child))
            g_string_append(text, (const char *)child->content);
    if (*trim(text->str) != '\0')
        status = tb_field_read(field, target->owner, trim(text->str), target->what,
                               tb_xml_line(node), reader->fault);
    else if (field->needed)
        status = FAIL(reader, node, TB_E_FORMAT, "%s: its text is missing", target->what);
    g_string_free(text, TRUE);
    return status;
}

TbStatus
tb_read__refuse_text(Reader *reader, const Target *target, const xmlNode *node)
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
            return tb_read__no_room(reader, node);
    }
    tb_nest_set(nest, outer->owner, array, count + 1);
    target.owner = array + count * size;
    tb_element_preset(target.element, target.owner);
    if (nest->count_offset == TB_ONE)
        snprintf(target.what, WHAT, "%s of %.120s", target.element->name, outer->what);
    else
        snprintf(target.what, WHAT, "%s %zu of %.120s", target.element->name, count + 1,
                 outer->what);
    return tb_read__element(reader, &target, node, comment);
}

TbStatus
tb_read__child(Reader *reader, const Target *target, xmlNode *node, char **comment, size_t *at)
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
            status = tb_read__child(reader, target, child, pending, &at);
        else if (child->type == XML_COMMENT_NODE)
            status = tb_read__keep_comment(reader, pending, child);
        else if (tb_read__is_text(child))
            status = tb_read__refuse_text(reader, target, child);
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
TbStatus
tb_read__element(Reader *reader, Target *target, xmlNode *node, char **comment)
{
    TbChild *part = target->owner;
    char *pending = NULL;
    TbStatus status;

    part->line = tb_xml_line(node);
    part->comment = *comment;
    *comment = NULL;
    status = tb_read__attributes(reader, target, node);
    if (status == TB_OK)
        status = read_children(reader, target, node, &pending);
    if (status == TB_OK)
        status = read_body(reader, target, node);
    if (status == TB_OK)
        status = check_counts(reader, target, node);
    part->tail = pending;
    return status;
}
