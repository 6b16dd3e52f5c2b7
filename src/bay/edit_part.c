/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Attributes and parts of any record, by name: what a table of fields is edited through.
 */

#include "base/mem.h"
#include "bay/edit.h"
#include "bay/edit_private.h"

#include <stdio.h>
#include <string.h>

/** An element while a place is followed: its table, its struct, and how faults name it. */
typedef struct Spot {
    const TbElement *element;
    void *owner;
    char what[200];
} Spot;

static Spot
spot_of(TbRecord *record)
{
    Spot spot = {.element = record->element, .owner = record};

    tb_record_what(record, spot.what, sizeof spot.what);
    return spot;
}

static const TbNest *
nest_of(const Spot *spot, const char *tag)
{
    size_t child = tb_element_child(spot->element, tag);

    return child < spot->element->child_count ? &spot->element->children[child] : NULL;
}

static TbStatus
no_such_child(const Spot *spot, const char *tag, TbFault *fault)
{
    return tb_fail(fault, TB_E_REFERENCE, "%s has no parts called \"%s\"", spot->what, tag);
}

static void
enter(Spot *spot, const TbNest *nest, size_t index)
{
    size_t count;
    char *array = tb_nest_array(nest, spot->owner, &count);
    char outer[sizeof spot->what];

    snprintf(outer, sizeof outer, "%s", spot->what);
    if (nest->count_offset == TB_ONE)
        snprintf(spot->what, sizeof spot->what, "%s of %.150s", nest->element->name, outer);
    else
        snprintf(spot->what, sizeof spot->what, "%s %zu of %.150s", nest->element->name, index + 1,
                 outer);
    spot->owner = array + index * nest->element->size;
    spot->element = nest->element;
}

/** Room for a part before @p index, with its presets. */
static TbStatus
open_gap(Spot *spot, const TbNest *nest, size_t index, TbFault *fault)
{
    size_t size = nest->element->size;
    size_t count;
    char *array = tb_nest_array(nest, spot->owner, &count);
    char *grown = tb_resize_array(array, count + 1, size);

    if (grown == NULL)
        return tb_edit__no_room(fault);
    memmove(grown + (index + 1) * size, grown + index * size, (count - index) * size);
    memset(grown + index * size, 0, size);
    tb_element_preset(nest->element, grown + index * size);
    tb_nest_set(nest, spot->owner, grown, count + 1);
    return TB_OK;
}

/** Follow a step to a part that is there; a missing single one is made where @p make. */
static TbStatus
follow(Spot *spot, const TbPartStep *step, bool make, TbFault *fault)
{
    const TbNest *nest = nest_of(spot, step->tag);
    TbStatus status = TB_OK;
    size_t count;

    if (nest == NULL)
        return no_such_child(spot, step->tag, fault);
    tb_nest_array(nest, spot->owner, &count);
    if (make && count == 0 && nest->count_offset == TB_ONE && step->index == 0) {
        status = open_gap(spot, nest, 0, fault);
        count = 1;
    }
    if (status == TB_OK && step->index >= count)
        status = tb_fail(fault, TB_E_RANGE, "%s has %zu parts called \"%s\", none at %zu",
                         spot->what, count, step->tag, step->index);
    if (status == TB_OK)
        enter(spot, nest, step->index);
    return status;
}

static TbStatus
follow_all(Spot *spot, const TbPartPlace *place, size_t count, TbFault *fault)
{
    TbStatus status = TB_OK;

    for (size_t i = 0; i < count && status == TB_OK; i++)
        status = follow(spot, &place->steps[i], true, fault);
    return status;
}

static const TbField *
find_field(const TbElement *element, const char *name)
{
    const TbField *field = tb_element_field_named(element, name);
    const TbField *body = tb_element_body(element);

    return field == NULL && body != NULL && strcmp(body->name, name) == 0 ? body : field;
}

static TbStatus
set_one(const Spot *spot, const TbSetting *setting, TbFault *fault)
{
    const TbField *field = find_field(spot->element, setting->attribute);

    if (field == NULL || field->kind == TB_FIELD_ID)
        return tb_fail(fault, TB_E_REFERENCE, "%s has no attribute \"%s\" to set", spot->what,
                       setting->attribute);
    if (setting->value != NULL)
        return tb_field_read(field, spot->owner, setting->value, spot->what,
                             ((const TbChild *)spot->owner)->line, fault);
    if (field->needed)
        return tb_fail(fault, TB_E_FORMAT, "%s needs its attribute \"%s\"", spot->what,
                       setting->attribute);
    tb_field_preset(field, spot->owner);
    return TB_OK;
}

/** A needed text that nobody gave would be NULL where the rest of the program reads it. */
static TbStatus
need_texts(const Spot *spot, TbFault *fault)
{
    const TbField *field;

    for (size_t i = 0; (field = tb_element_field(spot->element, i)) != NULL; i++)
        if (field->needed && tb_field_store(field, NULL) == TB_STORE_TEXT &&
            *(char *const *)tb_field_at(field, spot->owner) == NULL)
            return tb_fail(fault, TB_E_FORMAT, "%s needs its attribute \"%s\"", spot->what,
                           field->name);
    return TB_OK;
}

static TbStatus
set_all(const Spot *spot, const TbSetting settings[], size_t count, TbFault *fault)
{
    TbStatus status = TB_OK;

    for (size_t i = 0; i < count && status == TB_OK; i++)
        status = set_one(spot, &settings[i], fault);
    return status == TB_OK ? need_texts(spot, fault) : status;
}

static const TbRecord *
find_record(const TbBay *bay, const char *id)
{
    return strcmp(id, bay->head->record.id) == 0 ? &bay->head->record : tb_bay_find(bay, id);
}

/** Begin an edit of a record and follow a place to its last step but @p rest. */
static TbStatus
begin_at(Edit *edit,
         const TbBay *bay,
         const char *id,
         const TbPartPlace *place,
         size_t rest,
         Spot *spot,
         TbFault *fault)
{
    const TbRecord *record = find_record(bay, id);
    TbStatus status;

    *edit = (Edit){.bay = NULL};
    TB_ASSERT(place->count >= rest && place->count <= TB_PART_DEPTH);
    if (record == NULL)
        return tb_edit__not_there("record", id, fault);
    status = tb_edit__begin(edit, bay, record, fault);
    if (status != TB_OK)
        return status;
    *spot = spot_of(edit->record);
    return follow_all(spot, place, place->count - rest, fault);
}

TbStatus
tb_edit_set(const TbBay *bay,
            const char *id,
            const TbPartPlace *place,
            const TbSetting settings[],
            size_t count,
            TbBay **out,
            TbFault *fault)
{
    static const TbPartPlace itself = {.count = 0};
    Edit edit;
    Spot spot;
    TbStatus status = begin_at(&edit, bay, id, place != NULL ? place : &itself, 0, &spot, fault);

    if (status == TB_OK)
        status = set_all(&spot, settings, count, fault);
    return tb_edit__finish(&edit, status, out, fault);
}

TbStatus
tb_edit_add_part(const TbBay *bay,
                 const char *id,
                 const TbPartPlace *place,
                 const TbSetting settings[],
                 size_t count,
                 TbBay **out,
                 TbFault *fault)
{
    const TbPartStep *last = &place->steps[place->count - 1];
    const TbNest *nest = NULL;
    Edit edit;
    Spot spot;
    size_t there = 0;
    TbStatus status = begin_at(&edit, bay, id, place, 1, &spot, fault);

    if (status == TB_OK) {
        nest = nest_of(&spot, last->tag);
        if (nest == NULL)
            status = no_such_child(&spot, last->tag, fault);
        else
            tb_nest_array(nest, spot.owner, &there);
    }
    if (status == TB_OK && nest->count_offset == TB_ONE && there > 0)
        status = tb_fail(fault, TB_E_REFERENCE, "%s has its %s already", spot.what, last->tag);
    if (status == TB_OK && last->index > there)
        status = tb_fail(fault, TB_E_RANGE, "%s has %zu parts called \"%s\", none at %zu",
                         spot.what, there, last->tag, last->index);
    if (status == TB_OK)
        status = open_gap(&spot, nest, last->index, fault);
    if (status == TB_OK) {
        enter(&spot, nest, last->index);
        status = set_all(&spot, settings, count, fault);
    }
    return tb_edit__finish(&edit, status, out, fault);
}

/** Take the part at a place of its array out. */
static void
close_gap(Spot *owner, const TbNest *nest, size_t index)
{
    size_t size = nest->element->size;
    size_t count;
    char *array = tb_nest_array(nest, owner->owner, &count);

    tb_element_clear(nest->element, array + index * size);
    memmove(array + index * size, array + (index + 1) * size, (count - index - 1) * size);
    if (count == 1) {
        tb_free(array);
        array = NULL;
    }
    tb_nest_set(nest, owner->owner, array, count - 1);
}

TbStatus
tb_edit_remove_part(
    const TbBay *bay, const char *id, const TbPartPlace *place, TbBay **out, TbFault *fault)
{
    const TbPartStep *last = &place->steps[place->count - 1];
    Edit edit;
    Spot spot;
    Spot part;
    TbStatus status = begin_at(&edit, bay, id, place, 1, &spot, fault);

    if (status == TB_OK) {
        const TbNest *nest = nest_of(&spot, last->tag);
        size_t count;

        part = spot;
        status = follow(&part, last, false, fault);
        if (status == TB_OK)
            tb_nest_array(nest, spot.owner, &count);
        if (status == TB_OK && count <= nest->least)
            status = tb_fail(fault, TB_E_FORMAT, "%s cannot be removed: %zu are needed", part.what,
                             nest->least);
        if (status == TB_OK)
            close_gap(&spot, nest, last->index);
    }
    return tb_edit__finish(&edit, status, out, fault);
}

const void *
tb_record_part(const TbRecord *record, const TbPartPlace *place, const TbElement **element)
{
    Spot spot = spot_of((TbRecord *)(uintptr_t)record);

    for (size_t i = 0; i < place->count; i++)
        if (follow(&spot, &place->steps[i], false, NULL) != TB_OK)
            return NULL;
    if (element != NULL)
        *element = spot.element;
    return spot.owner;
}
