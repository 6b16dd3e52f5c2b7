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

/* ---- a later version without what we do not know ---- */

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

/** Only what may be there as an extension is dropped: unknown things in the bay and in records. */
static void
strip(xmlNode *node, const TbElement *element)
{
    xmlAttr *next_attribute;
    xmlNode *next;

    for (xmlAttr *a = node->properties; a != NULL; a = next_attribute) {
        next_attribute = a->next;
        if (a->ns == NULL && tb_element_field_named(element, (const char *)a->name) == NULL)
            xmlRemoveProp(a);
    }
    for (xmlNode *child = node->children; child != NULL; child = next) {
        next = child->next;
        if (child->type != XML_ELEMENT_NODE)
            continue;
        if (element == &tb_element_bay && is_list(child)) {
            for (xmlNode *r = child->children; r != NULL; r = r->next) {
                const TbElement *record =
                    r->type == XML_ELEMENT_NODE
                        ? tb_element_find((const char *)r->name, TB_LIST_COUNT)
                        : NULL;

                if (record != NULL)
                    strip(r, record);
            }
        } else if (tb_element_child(element, (const char *)child->name) == element->child_count) {
            drop(child);
        }
    }
}

TbStatus
tb_extra_validate(xmlDoc *tree, TbFault *fault)
{
    xmlDoc *copy = xmlCopyDoc(tree, 1);
    TbStatus status;

    if (copy == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for a second tree");
    strip(xmlDocGetRootElement(copy), &tb_element_bay);
    status = tb_xml_validate(copy, fault);
    xmlFreeDoc(copy);
    return status;
}
