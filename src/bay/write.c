/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bay/write.h"

#include "base/save.h"
#include "bay/extra.h"
#include "bay/fields.h"

#include <errno.h>
#include <string.h>
#include <unistd.h>

static void
indent(GString *out, int level)
{
    for (int i = 0; i < level; i++)
        g_string_append(out, "  ");
}

/** Texts parted by TB_EXTRA_MARK, each on lines of its own between @p before and @p after. */
static void
write_extra(GString *out, const char *extra, int level, const char *before, const char *after)
{
    while (extra != NULL) {
        const char *mark = strchr(extra, TB_EXTRA_MARK);
        size_t length = mark != NULL ? (size_t)(mark - extra) : strlen(extra);

        indent(out, level);
        g_string_append(out, before);
        g_string_append_len(out, extra, (gssize)length);
        g_string_append(out, after);
        g_string_append_c(out, '\n');
        extra = mark != NULL ? mark + 1 : NULL;
    }
}

static void
write_comments(GString *out, const char *comments, int level)
{
    write_extra(out, comments, level, "<!--", "-->");
}

static void
write_attributes(GString *out, const TbElement *element, const void *owner)
{
    const TbField *field;
    GString *text = g_string_new(NULL);

    for (size_t i = 0; (field = tb_element_field(element, i)) != NULL; i++) {
        if (field->kind == TB_FIELD_BODY || tb_field_is_preset(field, owner))
            continue;
        g_string_truncate(text, 0);
        tb_field_write(field, owner, text);
        g_string_append_printf(out, " %s=\"", field->name);
        tb_extra_escape(out, text->str, true);
        g_string_append_c(out, '"');
    }
    g_string_free(text, TRUE);
    if (element->is_record && ((const TbRecord *)owner)->extra_attributes != NULL)
        g_string_append(out, ((const TbRecord *)owner)->extra_attributes);
}

static bool
has_children(const TbElement *element, const void *owner)
{
    for (size_t c = 0; c < element->child_count; c++) {
        size_t count;

        tb_nest_array(&element->children[c], owner, &count);
        if (count > 0)
            return true;
    }
    return (element->is_record && ((const TbRecord *)owner)->extra != NULL) ||
           ((const TbChild *)owner)->tail != NULL;
}

static void write_element(GString *out, const TbElement *element, const void *owner, int level);

static void
write_children(GString *out, const TbElement *element, const void *owner, int level)
{
    for (size_t c = 0; c < element->child_count; c++) {
        const TbNest *nest = &element->children[c];
        size_t count;
        const char *array = tb_nest_array(nest, owner, &count);

        for (size_t k = 0; k < count; k++)
            write_element(out, nest->element, array + k * nest->element->size, level);
    }
}

/** Foreign elements and last comments: they close every element. */
static void
write_end(GString *out, const TbElement *element, const void *owner, int level)
{
    if (element->is_record)
        write_extra(out, ((const TbRecord *)owner)->extra, level, "", "");
    write_comments(out, ((const TbChild *)owner)->tail, level);
}

static void
write_element(GString *out, const TbElement *element, const void *owner, int level)
{
    const TbField *body = tb_element_body(element);
    const char *text = body != NULL ? *(char *const *)tb_field_at(body, owner) : NULL;
    bool children = has_children(element, owner);

    write_comments(out, ((const TbChild *)owner)->comment, level);
    indent(out, level);
    g_string_append_printf(out, "<%s", element->name);
    write_attributes(out, element, owner);
    if (text == NULL && !children) {
        g_string_append(out, "/>\n");
        return;
    }
    g_string_append_c(out, '>');
    if (text != NULL)
        tb_extra_escape(out, text, false);
    if (children) {
        g_string_append_c(out, '\n');
        write_children(out, element, owner, level + 1);
        write_end(out, element, owner, level + 1);
        indent(out, level);
    }
    g_string_append_printf(out, "</%s>\n", element->name);
}

static void
write_list(GString *out, const TbBay *bay, TbListKind kind)
{
    const TbList *list = &bay->lists[kind];

    if (list->count == 0 && list->comment == NULL && list->tail == NULL)
        return;
    write_comments(out, list->comment, 1);
    g_string_append_printf(out, "  <%s>\n", tb_list_names[kind]);
    for (size_t i = 0; i < list->count; i++)
        write_element(out, list->records[i]->element, list->records[i], 2);
    write_comments(out, list->tail, 2);
    g_string_append_printf(out, "  </%s>\n", tb_list_names[kind]);
}

GString *
tb_bay_to_text(const TbBay *bay)
{
    GString *out = g_string_new("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    const TbHead *head = bay->head;

    write_comments(out, head->record.part.comment, 0);
    g_string_append(out, "<bay");
    write_attributes(out, &tb_element_bay, head);
    g_string_append(out, ">\n");
    write_children(out, &tb_element_bay, head, 1);
    for (size_t l = 0; l < TB_LIST_COUNT; l++)
        write_list(out, bay, (TbListKind)l);
    write_end(out, &tb_element_bay, head, 1);
    g_string_append(out, "</bay>\n");
    return out;
}

static TbStatus
write_standard_output(const GString *text, TbFault *fault)
{
    for (size_t done = 0; done < text->len;) {
        ssize_t part = write(STDOUT_FILENO, text->str + done, text->len - done);

        if (part < 0 && errno != EINTR)
            return tb_fail(fault, TB_E_IO, "standard output cannot be written after %zu bytes: %s",
                           done, strerrordesc_np(errno));
        if (part > 0)
            done += (size_t)part;
    }
    return TB_OK;
}

TbStatus
tb_bay_write_file(const TbBay *bay, const char *path, TbFault *fault)
{
    GString *text = tb_bay_to_text(bay);
    TbStatus status = strcmp(path, "-") == 0 ? write_standard_output(text, fault)
                                             : tb_save_bytes(path, text->str, text->len, fault);

    g_string_free(text, TRUE);
    return status;
}
