/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Whole records: copies with ids of their own, another place in the list, decisions.
 */

#include "base/mem.h"
#include "bay/edit.h"
#include "bay/edit_private.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- ids ---- */

/** Is an id in use in a document under way? It has no index yet. */
static bool
is_taken(const TbBay *bay, const TbRecord *but, const char *id)
{
    for (size_t l = 0; l < TB_LIST_COUNT; l++)
        for (size_t i = 0; l != TB_LIST_REVISIONS && i < bay->lists[l].count; i++)
            if (bay->lists[l].records[i] != but && strcmp(bay->lists[l].records[i]->id, id) == 0)
                return true;
    return false;
}

/** Length of a text without a number at its end that follows @p mark: "outlet-2". */
static size_t
stem_of(const char *text, char mark)
{
    size_t length = strlen(text);
    size_t end = length;

    while (end > 0 && text[end - 1] >= '0' && text[end - 1] <= '9')
        end--;
    return end < length && end > 1 && text[end - 1] == mark ? end - 1 : length;
}

/** "Turbine outlet" of number 2 is "Turbine outlet 2". */
static bool
number_name(TbRecord *record, unsigned number)
{
    char *name;
    size_t stem;
    bool done;

    if (record->name == NULL)
        return true;
    stem = stem_of(record->name, ' ');
    name = tb_alloc(stem + 16);
    if (name == NULL)
        return false;
    snprintf(name, stem + 16, "%.*s %u", (int)stem, record->name, number);
    done = tb_edit__put_text(&record->name, name);
    tb_free(name);
    return done;
}

static TbStatus
add_pair(IdPairs *pairs, const char *from, const char *to, TbFault *fault)
{
    void *room = pairs->all;
    IdPair *pair;

    if (tb_grow_array(&room, &pairs->room, pairs->count, sizeof *pairs->all) != 0)
        return tb_edit__no_room(fault);
    pairs->all = room;
    pair = &pairs->all[pairs->count++];
    snprintf(pair->from, sizeof pair->from, "%s", from);
    snprintf(pair->to, sizeof pair->to, "%s", to);
    return TB_OK;
}

TbStatus
tb_edit__fresh_id(const TbBay *bay, TbRecord *record, IdPairs *pairs, TbFault *fault)
{
    char id[TB_ID_ROOM];
    size_t stem = stem_of(record->id, '-');
    TbStatus status;

    /* 12: a mark and the digits of a number */
    if (strlen(record->id) + 12 > sizeof id)
        return tb_fail(fault, TB_E_LIMIT, "id \"%.40s...\" is too long for a copy", record->id);
    if (!is_taken(bay, record, record->id))
        return TB_OK;
    for (unsigned number = 2;; number++) {
        snprintf(id, sizeof id, "%.*s-%u", (int)stem, record->id, number);
        if (is_taken(bay, record, id))
            continue;
        status = add_pair(pairs, record->id, id, fault);
        if (status == TB_OK &&
            (!tb_edit__put_text(&record->id, id) || !number_name(record, number)))
            status = tb_edit__no_room(fault);
        return status;
    }
}

const char *
tb_edit__renamed(const IdPairs *pairs, const char *id)
{
    for (size_t i = 0; i < pairs->count; i++)
        if (strcmp(pairs->all[i].from, id) == 0)
            return pairs->all[i].to;
    return id;
}

static bool
rename_in(const TbElement *element, void *owner, const IdPairs *pairs)
{
    const TbField *field;

    for (size_t i = 0; (field = tb_element_field(element, i)) != NULL; i++) {
        char **text = tb_field_at(field, owner);
        const char *to;

        if ((field->kind != TB_FIELD_REFERENCE && field->kind != TB_FIELD_MATERIAL) ||
            *text == NULL)
            continue;
        to = tb_edit__renamed(pairs, *text);
        if (to != *text && !tb_edit__put_text(text, to))
            return false;
    }
    for (size_t c = 0; c < element->child_count; c++) {
        const TbNest *nest = &element->children[c];
        size_t count;
        char *array = tb_nest_array(nest, owner, &count);

        for (size_t k = 0; k < count; k++)
            if (!rename_in(nest->element, array + k * nest->element->size, pairs))
                return false;
    }
    return true;
}

TbStatus
tb_edit__rename_references(TbRecord *record, const IdPairs *pairs, TbFault *fault)
{
    return rename_in(record->element, record, pairs) ? TB_OK : tb_edit__no_room(fault);
}

/* ---- duplicates ---- */

/** A copy of a record behind it, with a fresh id. */
static TbStatus
copy_behind(TbBay *bay, const TbRecord *record, IdPairs *pairs, TbRecord **copy, TbFault *fault)
{
    *copy = tb_record_copy(record);
    if (*copy == NULL || !tb_build_insert(bay, *copy, tb_build_place(bay, record) + 1))
        return tb_edit__no_room(fault);
    return tb_edit__fresh_id(bay, *copy, pairs, fault);
}

/** The ports that an item owns, with the copy as their owner; shifted where they do not follow. */
static TbStatus
copy_ports(
    Edit *edit, const TbBay *bay, const TbItem *item, TbVec3 by, IdPairs *pairs, TbFault *fault)
{
    TbStatus status = TB_OK;

    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_PORTS) && status == TB_OK; i++) {
        const TbPort *port = tb_bay_port_at(bay, i);
        TbRecord *copy;

        if (port->owner == NULL || strcmp(port->owner, item->record.id) != 0)
            continue;
        status = copy_behind(edit->bay, &port->record, pairs, &copy, fault);
        if (status == TB_OK)
            status = tb_edit__rename_references(copy, pairs, fault);
        if (status == TB_OK && item->kind != TB_ITEM_TURBO)
            ((TbPort *)copy)->at = tb_vec3_add(port->at, by);
    }
    return status;
}

TbStatus
tb_edit_duplicate(const TbBay *bay,
                  const char *id,
                  TbVec3 by,
                  char new_id[TB_ID_ROOM],
                  TbBay **out,
                  TbFault *fault)
{
    const TbRecord *record = tb_bay_find(bay, id);
    Edit edit = {.bay = NULL};
    IdPairs pairs = {NULL, 0, 0};
    TbRecord *copy = NULL;
    TbStatus status;

    if (record == NULL)
        return tb_edit__not_there("record", id, fault);
    status = tb_edit__begin(&edit, bay, NULL, fault);
    if (status == TB_OK)
        status = copy_behind(edit.bay, record, &pairs, &copy, fault);
    if (status == TB_OK && record->element->list == TB_LIST_ITEMS) {
        tb_edit__shift_item((TbItem *)copy, by);
        status = copy_ports(&edit, bay, (const TbItem *)record, by, &pairs, fault);
        if (status == TB_OK)
            status = tb_edit__rename_references(copy, &pairs, fault);
    }
    if (status == TB_OK && new_id != NULL)
        snprintf(new_id, TB_ID_ROOM, "%s", copy->id);
    tb_free(pairs.all);
    return tb_edit__finish(&edit, status, out, fault);
}

/* ---- order ---- */

TbStatus
tb_edit_reorder(const TbBay *bay, const char *id, size_t index, TbBay **out, TbFault *fault)
{
    const TbRecord *record = tb_bay_find(bay, id);
    Edit edit = {.bay = NULL};
    TbStatus status;

    if (record == NULL)
        return tb_edit__not_there("record", id, fault);
    status = tb_edit__begin(&edit, bay, NULL, fault);
    if (status == TB_OK) {
        TbListKind list = record->element->list;
        size_t rest = tb_bay_count(edit.bay, list) - 1;

        tb_record_ref(record);
        tb_build_remove(edit.bay, list, tb_build_place(edit.bay, record));
        if (!tb_build_insert(edit.bay, (TbRecord *)(uintptr_t)record, index < rest ? index : rest))
            status = tb_edit__no_room(fault);
    }
    return tb_edit__finish(&edit, status, out, fault);
}

/* ---- decisions ---- */

static const TbDecision *
find_decision(const TbBay *bay, const char *finding)
{
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_DECISIONS); i++)
        if (strcmp(tb_bay_decision_at(bay, i)->finding, finding) == 0)
            return tb_bay_decision_at(bay, i);
    return NULL;
}

static bool
is_blank(const char *text)
{
    return text == NULL || text[strspn(text, " \t\r\n")] == '\0';
}

/** The older decision's copy, or a new one at the end. */
static TbStatus
open_decision(Edit *edit, const TbBay *bay, const TbDecision *old, TbFault *fault)
{
    static const char first[] = "decision-1";
    const TbElement *element = tb_element_find("decision", TB_LIST_DECISIONS);
    IdPairs pairs = {NULL, 0, 0};
    TbStatus status = tb_edit__begin(edit, bay, old != NULL ? &old->record : NULL, fault);

    if (status != TB_OK || old != NULL)
        return status;
    edit->record = tb_record_new(element);
    if (edit->record == NULL)
        return tb_edit__no_room(fault);
    edit->record->id = tb_copy_text(first);
    if (!tb_build_insert(edit->bay, edit->record, tb_bay_count(edit->bay, TB_LIST_DECISIONS)) ||
        edit->record->id == NULL)
        return tb_edit__no_room(fault);
    status = tb_edit__fresh_id(edit->bay, edit->record, &pairs, fault);
    tb_free(pairs.all);
    return status;
}

static TbStatus
fill_decision(TbRecord *record, const TbDecide *decide, TbFault *fault)
{
    const TbSetting texts[] = {
        {"finding", decide->finding}, {"owner", decide->owner}, {"due", decide->due},
        {"who", decide->who},         {"when", decide->when},   {"text", decide->text},
    };
    TbStatus status = TB_OK;

    ((TbDecision *)record)->disposition = decide->disposition;
    for (size_t i = 0; i < sizeof texts / sizeof texts[0] && status == TB_OK; i++) {
        const TbField *field = tb_element_field_named(record->element, texts[i].attribute);

        if (field == NULL)
            field = tb_element_body(record->element);
        if (is_blank(texts[i].value))
            tb_field_preset(field, record);
        else
            status = tb_field_read(field, record, texts[i].value, "decision", 0, fault);
    }
    return status;
}

TbStatus
tb_edit_decide(const TbBay *bay, const TbDecide *decide, TbBay **out, TbFault *fault)
{
    const TbDecision *old = find_decision(bay, decide->finding);
    Edit edit = {.bay = NULL};
    TbStatus status;

    TB_ASSERT(decide->disposition >= 0 && decide->disposition <= TB_DISPOSITION_WAIVED);
    if (decide->disposition == TB_DISPOSITION_WAIVED && is_blank(decide->text))
        return tb_fail(fault, TB_E_FORMAT, "a waiver of \"%s\" needs its reason", decide->finding);
    if (decide->disposition == TB_DISPOSITION_OPEN && is_blank(decide->owner) &&
        is_blank(decide->due) && is_blank(decide->text)) {
        if (old != NULL)
            return tb_edit_remove(bay, old->record.id, out, fault);
        status = tb_edit__begin(&edit, bay, NULL, fault);
        return tb_edit__finish(&edit, status, out, fault);
    }
    status = open_decision(&edit, bay, old, fault);
    if (status == TB_OK)
        status = fill_decision(edit.record, decide, fault);
    return tb_edit__finish(&edit, status, out, fault);
}
