/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Usual keeps for a bay that lacks them: from a new bay's, into the states that this one has. */

#include "base/text.h"
#include "bay/edit_private.h"
#include "bay/extra.h"
#include "bay/preset.h"

#include <string.h>

/* ---- states by what they are made of ---- */

static const TbState *
state_named(const TbBay *bay, const char *id)
{
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_STATES); i++)
        if (strcmp(tb_bay_state_at(bay, i)->record.id, id) == 0)
            return tb_bay_state_at(bay, i);
    return NULL;
}

/* The plain kinds (bits by TbStateKind) of ids joined by '+'; 0: nothing. Parts of a combined state
 * are plain: the reader sees to it. */
static unsigned
kinds_of(const TbBay *bay, const char *text)
{
    g_auto(GStrv) ids = g_strsplit(text == NULL ? "" : text, "+", -1);
    unsigned kinds = 0;

    for (size_t i = 0; ids[i] != NULL; i++) {
        const TbState *state = state_named(bay, ids[i]);

        if (state != NULL)
            kinds |=
                state->kind == TB_STATE_COMBINED ? kinds_of(bay, state->parts) : 1U << state->kind;
    }
    return kinds;
}

/* The first plain state of each kind, joined by '+'; NULL where there is none of one. Freed with
 * g_free(). */
static char *
joined(const TbBay *bay, unsigned kinds)
{
    GString *text = g_string_new(NULL);

    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_STATES); i++) {
        const TbState *state = tb_bay_state_at(bay, i);

        if (state->kind == TB_STATE_COMBINED || (kinds >> state->kind & 1) == 0)
            continue;
        g_string_append_printf(text, "%s%s", text->len == 0 ? "" : "+", state->record.id);
        kinds &= ~(1U << state->kind);
    }
    return g_string_free(text, kinds != 0);
}

/* ---- a keep as text ---- */

static void
append_gap(GString *text, const char *state, double gap)
{
    char number[TB_TEXT_NUMBER];

    tb_text_from_double(gap, number);
    g_string_append(text, "<wanted state=\"");
    tb_extra_escape(text, state, true);
    g_string_append_printf(text, "\" gap=\"%s\"/>", number);
}

/* A gap in every state of the bay that is made of the same. @return how many */
static size_t
append_gaps(GString *text, const TbBay *bay, unsigned kinds, double gap)
{
    g_autofree char *plain = NULL;
    size_t count = 0;

    for (size_t i = 0; kinds != 0 && i < tb_bay_count(bay, TB_LIST_STATES); i++) {
        const char *id = tb_bay_state_at(bay, i)->record.id;

        if (kinds_of(bay, id) != kinds)
            continue;
        append_gap(text, id, gap);
        count++;
    }
    if (count > 0 || kinds == 0)
        return count;
    plain = joined(bay, kinds);
    if (plain == NULL)
        return 0;
    append_gap(text, plain, gap);
    return 1;
}

static void
append_attributes(GString *text, const TbRecord *record)
{
    const TbField *field;

    for (size_t i = 0; (field = tb_element_field(record->element, i)) != NULL; i++) {
        g_autoptr(GString) value = g_string_new(NULL);

        if (field->kind == TB_FIELD_ID || tb_field_is_preset(field, record))
            continue;
        tb_field_write(field, record, value);
        g_string_append_printf(text, " %s=\"", field->name);
        tb_extra_escape(text, value->str, true);
        g_string_append_c(text, '"');
    }
}

static char *
fresh_id(const TbBay *bay, const TbBay *usual, const char *id)
{
    char *made = g_strdup(id);

    for (int number = 2;
         tb_bay_find(bay, made) != NULL || (number > 2 && tb_bay_find(usual, made) != NULL);
         number++) {
        g_free(made);
        made = g_strdup_printf("%s-%d", id, number);
    }
    return made;
}

/* ---- the edit ---- */

bool
tb_keep_is_lacking(const TbBay *bay, const TbKeep *usual)
{
    if (usual->class_a == NULL || usual->class_b == NULL)
        return false;
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_KEEPS); i++) {
        const TbKeep *keep = tb_bay_keep_at(bay, i);
        const char *a = keep->class_a, *b = keep->class_b;

        if (a != NULL && b != NULL &&
            ((strcmp(a, usual->class_a) == 0 && strcmp(b, usual->class_b) == 0) ||
             (strcmp(a, usual->class_b) == 0 && strcmp(b, usual->class_a) == 0)))
            return false;
    }
    return true;
}

/* A cold state is there even where nobody declares it; a keep can only name a declared one. */
static TbStatus
need_cold(TbBay *made, TbFault *fault)
{
    for (size_t i = 0; i < tb_bay_count(made, TB_LIST_STATES); i++)
        if (tb_bay_state_at(made, i)->kind == TB_STATE_COLD)
            return TB_OK;
    return tb_read_record("<state id=\"cold\" name=\"cold\" kind=\"cold\"/>", made, fault);
}

static TbStatus
add_keep(TbBay *made,
         const TbBay *bay,
         const TbBay *usual,
         const TbKeep *keep,
         size_t *count,
         TbFault *fault)
{
    g_autofree char *id = fresh_id(bay, usual, keep->record.id);
    g_autoptr(GString) text = g_string_new("<keep id=\"");
    size_t gaps = 0;

    tb_extra_escape(text, id, true);
    g_string_append_c(text, '"');
    append_attributes(text, &keep->record);
    g_string_append_c(text, '>');
    for (size_t i = 0; i < keep->gap_count; i++)
        gaps += append_gaps(text, made, kinds_of(usual, keep->gaps[i].state), keep->gaps[i].gap);
    g_string_append(text, "</keep>");
    if (gaps == 0)
        return TB_OK;
    (*count)++;
    return tb_read_record(text->str, made, fault);
}

static TbStatus
add_keeps(const TbBay *bay, const TbBay *usual, size_t *count, TbBay **out, TbFault *fault)
{
    Edit edit;
    TbStatus status = tb_edit__begin(&edit, bay, NULL, fault);
    bool lacks = false;

    if (status == TB_OK)
        status = need_cold(edit.bay, fault);
    for (size_t i = 0; status == TB_OK && i < tb_bay_count(usual, TB_LIST_KEEPS); i++) {
        const TbKeep *keep = tb_bay_keep_at(usual, i);

        if (!tb_keep_is_lacking(bay, keep))
            continue;
        lacks = true;
        status = add_keep(edit.bay, bay, usual, keep, count, fault);
    }
    if (status == TB_OK && *count == 0)
        status = tb_fail(fault, TB_E_REFERENCE, "%s",
                         lacks ? "the bay has no state that a usual keep has a gap for"
                               : "every pair of classes that usually has a keep has one");
    return tb_edit__finish(&edit, status, out, fault);
}

TbStatus
tb_edit_add_default_keeps(
    const TbBay *bay, const TbBay *usual, size_t *added, TbBay **out, TbFault *fault)
{
    TbBay *kit = NULL;
    size_t count = 0;
    TbStatus status = TB_OK;

    if (usual == NULL)
        status = tb_bay_new_kit("usual", TB_KIT_TRANSVERSE, &kit, fault);
    if (status == TB_OK)
        status = add_keeps(bay, usual != NULL ? usual : kit, &count, out, fault);
    if (status == TB_OK && added != NULL)
        *added = count;
    tb_bay_unref(kit);
    return status;
}
