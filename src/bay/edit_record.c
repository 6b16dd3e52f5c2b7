/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/mem.h"
#include "bay/edit.h"
#include "bay/edit_private.h"
#include "bay/extra.h"

#include <string.h>

TbStatus
tb_edit_add(const TbBay *bay, const char *element, TbBay **out, TbFault *fault)
{
    Edit edit;
    TbStatus status = tb_edit__begin(&edit, bay, NULL, fault);

    if (status == TB_OK)
        status = tb_read_record(element, edit.bay, fault);
    return tb_edit__finish(&edit, status, out, fault);
}

/** True where a text names an id: alone, or among ids joined by '+'. */
static bool
names_id(const char *text, const char *id)
{
    size_t length = strlen(id);

    for (; text != NULL; text = *text == '+' ? text + 1 : NULL) {
        size_t word = strcspn(text, "+");

        if (word == length && memcmp(text, id, length) == 0)
            return true;
        text += word;
    }
    return false;
}

/** True where an element, or anything in it, refers to an id. */
static bool
refers(const TbElement *element, const void *owner, const char *id)
{
    const TbField *field;

    for (size_t i = 0; (field = tb_element_field(element, i)) != NULL; i++)
        if ((field->kind == TB_FIELD_REFERENCE || field->kind == TB_FIELD_STATES ||
             field->kind == TB_FIELD_MATERIAL) &&
            names_id(*(char *const *)tb_field_at(field, owner), id))
            return true;
    for (size_t c = 0; c < element->child_count; c++) {
        const TbNest *nest = &element->children[c];
        size_t count;
        const char *array = tb_nest_array(nest, owner, &count);

        for (size_t k = 0; k < count; k++)
            if (refers(nest->element, array + k * nest->element->size, id))
                return true;
    }
    return false;
}

static const TbRecord *
find_user(const TbBay *bay, const TbRecord *used)
{
    for (size_t l = 0; l < TB_LIST_COUNT; l++)
        for (size_t i = 0; i < bay->lists[l].count; i++) {
            const TbRecord *record = bay->lists[l].records[i];

            if (record != used && refers(record->element, record, used->id))
                return record;
        }
    return NULL;
}

TbStatus
tb_edit_remove(const TbBay *bay, const char *id, TbBay **out, TbFault *fault)
{
    const TbRecord *record = tb_bay_find(bay, id);
    const TbRecord *user;
    Edit edit;
    TbStatus status;

    if (record == NULL)
        return tb_edit__not_there("record", id, fault);
    user = find_user(bay, record);
    if (user != NULL)
        return tb_fail(fault, TB_E_REFERENCE, "%s \"%s\" cannot be removed: %s \"%s\" names it",
                       record->element->name, id, user->element->name, user->id);
    status = tb_edit__begin(&edit, bay, NULL, fault);
    if (status == TB_OK)
        tb_build_remove(edit.bay, record->element->list, tb_build_place(edit.bay, record));
    return tb_edit__finish(&edit, status, out, fault);
}

static TbStatus
set_attribute(TbRecord *record, const char *attribute, const char *value, TbFault *fault)
{
    const TbField *field = tb_element_field_named(record->element, attribute);
    char what[160];

    tb_record_what(record, what, sizeof what);
    if (field == NULL || field->kind == TB_FIELD_ID)
        return tb_fail(fault, TB_E_REFERENCE, "%s has no attribute \"%s\" to set", what, attribute);
    if (value != NULL)
        return tb_field_read(field, record, value, what, record->part.line, fault);
    if (field->needed)
        return tb_fail(fault, TB_E_FORMAT, "%s needs its attribute \"%s\"", what, attribute);
    tb_field_preset(field, record);
    return TB_OK;
}

TbStatus
tb_edit_set_attribute(const TbBay *bay,
                      const char *id,
                      const char *attribute,
                      const char *value,
                      TbBay **out,
                      TbFault *fault)
{
    const TbRecord *record =
        strcmp(id, bay->head->record.id) == 0 ? &bay->head->record : tb_bay_find(bay, id);
    Edit edit;
    TbStatus status;

    if (record == NULL)
        return tb_edit__not_there("record", id, fault);
    status = tb_edit__begin(&edit, bay, record, fault);
    if (status == TB_OK)
        status = set_attribute(edit.record, attribute, value, fault);
    return tb_edit__finish(&edit, status, out, fault);
}

TbStatus
tb_edit_rename(const TbBay *bay, const char *id, const char *name, TbBay **out, TbFault *fault)
{
    return tb_edit_set_attribute(bay, id, "name", name, out, fault);
}

bool
tb_edit__put_text(char **to, const char *text)
{
    tb_free(*to);
    *to = tb_copy_text(text);
    return text == NULL || *to != NULL;
}

static TbStatus
add_revision(TbBay *bay,
             const char *revision,
             const char *who,
             const char *when,
             const char *text,
             TbFault *fault)
{
    TbRecord *record = tb_record_new(&tb_element_revision);

    if (record == NULL)
        return tb_edit__no_room(fault);
    if (!tb_edit__put_text(&record->id, revision) || !tb_edit__put_text(&record->who, who) ||
        !tb_edit__put_text(&record->when, when) ||
        !tb_edit__put_text(&((TbRevision *)record)->text, text)) {
        tb_record_unref(record);
        return tb_edit__no_room(fault);
    }
    if (!tb_build_insert(bay, record, tb_bay_count(bay, TB_LIST_REVISIONS)))
        return tb_edit__no_room(fault);
    return TB_OK;
}

TbStatus
tb_edit_set_revision(const TbBay *bay,
                     const char *revision,
                     const char *who,
                     const char *when,
                     const char *text,
                     TbBay **out,
                     TbFault *fault)
{
    Edit edit;
    TbStatus status = tb_edit__begin(&edit, bay, &bay->head->record, fault);

    if (status == TB_OK)
        status = set_attribute(edit.record, "revision", revision, fault);
    if (status == TB_OK)
        status = add_revision(edit.bay, revision, who, when, text, fault);
    return tb_edit__finish(&edit, status, out, fault);
}
