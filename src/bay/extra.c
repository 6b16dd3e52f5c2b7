/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bay/extra.h"

#include "base/mem.h"
#include "bay/fields.h"
#include "bay/xml.h"

#include <string.h>

bool
tb_extra_append(char **extra, const char *text)
{
    size_t before = *extra != NULL ? strlen(*extra) + 1 : 0;
    size_t length = strlen(text);
    char *grown = tb_resize_array(*extra, before + length + 1, 1);

    if (grown == NULL)
        return false;
    if (before > 0)
        grown[before - 1] = TB_EXTRA_MARK;
    memcpy(grown + before, text, length + 1);
    *extra = grown;
    return true;
}

bool
tb_extra_append_element(char **extra, xmlNode *node)
{
    xmlNode *copy = xmlCopyNode(node, 1); /* declares on itself what ancestors declared */
    xmlBuffer *buffer = xmlBufferCreate();
    bool done = copy != NULL && buffer != NULL && xmlNodeDump(buffer, node->doc, copy, 0, 0) >= 0 &&
                tb_extra_append(extra, (const char *)xmlBufferContent(buffer));

    xmlBufferFree(buffer);
    xmlFreeNode(copy);
    return done;
}

void
tb_extra_escape(GString *out, const char *text, bool attribute)
{
    for (; *text != '\0'; text++) {
        switch (*text) {
        case '&':
            g_string_append(out, "&amp;");
            break;
        case '<':
            g_string_append(out, "&lt;");
            break;
        case '>':
            g_string_append(out, "&gt;");
            break;
        case '\r': /* a bare one would be read back as a line feed */
            g_string_append(out, "&#13;");
            break;
        case '"':
            g_string_append(out, attribute ? "&quot;" : "\"");
            break;
        case '\n': /* in an attribute it would be read back as a space */
            g_string_append(out, attribute ? "&#10;" : "\n");
            break;
        case '\t':
            g_string_append(out, attribute ? "&#9;" : "\t");
            break;
        default:
            g_string_append_c(out, *text);
        }
    }
}

bool
tb_extra_append_attribute(char **extra, const xmlNode *node, const xmlAttr *attribute)
{
    xmlChar *value = xmlNodeListGetString(node->doc, attribute->children, 1);
    const char *prefix = attribute->ns != NULL ? (const char *)attribute->ns->prefix : NULL;
    GString *text = g_string_new(*extra);
    char *kept;

    if (prefix != NULL && strcmp(prefix, "xml") != 0) {
        char *declared = g_strdup_printf(" xmlns:%s=", prefix);

        if (strstr(text->str, declared) == NULL) {
            g_string_append(text, declared);
            g_string_append_c(text, '"');
            tb_extra_escape(text, (const char *)attribute->ns->href, true);
            g_string_append_c(text, '"');
        }
        g_free(declared);
    }
    g_string_append_printf(text, " %s%s%s=\"", prefix != NULL ? prefix : "",
                           prefix != NULL ? ":" : "", (const char *)attribute->name);
    tb_extra_escape(text, value != NULL ? (const char *)value : "", true);
    g_string_append_c(text, '"');
    kept = tb_copy_text(text->str);
    g_string_free(text, TRUE);
    xmlFree(value);
    if (kept == NULL)
        return false;
    tb_free(*extra);
    *extra = kept;
    return true;
}

/* ---- the schema's word on what is ours ---- */

/*
 * libxml2 (2.9.14) keeps two states for each optional attribute that an element has, so that its
 * work doubles with every one: 3 s for a mount with 15 of them. The program therefore hands it a
 * copy of the tree without optional attributes, which the tables check alone; a test holds tables
 * and schema equal, and validates whole files. Foreign things, and unknown ones of a later version,
 * are taken out where they may be.
 */

static void
drop(xmlNode *node)
{
    xmlUnlinkNode(node);
    xmlFreeNode(node);
}

static bool
is_list(const xmlNode *node)
{
    for (size_t i = 0; i < TB_LIST_COUNT; i++)
        if (strcmp((const char *)node->name, tb_list_names[i]) == 0)
            return true;
    return false;
}

/** What the tables answer for alone. */
static bool
may_drop_attribute(const xmlAttr *attribute, const TbElement *element, bool newer)
{
    const TbField *field;

    if (attribute->ns != NULL)
        return element->is_record;
    field = tb_element_field_named(element, (const char *)attribute->name);
    return field != NULL ? !field->needed : newer && element->is_record;
}

static void strip(xmlNode *node, const TbElement *element, bool newer);

/** A list's records. */
static void
strip_list(xmlNode *list, bool newer)
{
    for (xmlNode *node = list->children; node != NULL; node = node->next) {
        const TbElement *record = node->type == XML_ELEMENT_NODE && node->ns == NULL
                                      ? tb_element_find((const char *)node->name, TB_LIST_COUNT)
                                      : NULL;

        if (record != NULL)
            strip(node, record, newer);
    }
}

static void
strip_child(xmlNode *node, const TbElement *outer, bool newer)
{
    size_t child =
        node->ns == NULL ? tb_element_child(outer, (const char *)node->name) : outer->child_count;

    if (child < outer->child_count)
        strip(node, outer->children[child].element, newer);
    else if (outer == &tb_element_bay && node->ns == NULL && is_list(node))
        strip_list(node, newer);
    else if (outer->is_record && (newer || node->ns != NULL))
        drop(node);
}

/* The tree is no deeper than TB_BAY_DEPTH_LIMIT. */
static void
strip(xmlNode *node, const TbElement *element, bool newer)
{
    xmlAttr *next_attribute;
    xmlNode *next;

    for (xmlAttr *a = node->properties; a != NULL; a = next_attribute) {
        next_attribute = a->next;
        if (may_drop_attribute(a, element, newer))
            xmlRemoveProp(a);
    }
    for (xmlNode *child = node->children; child != NULL; child = next) {
        next = child->next;
        if (child->type == XML_ELEMENT_NODE)
            strip_child(child, element, newer);
    }
}

TbStatus
tb_extra_validate(xmlDoc *tree, bool newer, TbFault *fault)
{
    xmlDoc *copy = xmlCopyDoc(tree, 1);
    TbStatus status;

    if (copy == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for a second tree");
    strip(xmlDocGetRootElement(copy), &tb_element_bay, newer);
    status = tb_xml_validate(copy, fault);
    xmlFreeDoc(copy);
    return status;
}
