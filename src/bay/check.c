/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * What makes a document whole beyond its form: every number in its range, every id that is named
 * there and of the right sort, and the few rules that tie attributes together. Read documents and
 * edited ones go through the same checks.
 */

#include "base/mem.h"
#include "base/text.h"
#include "bay/build.h"
#include "bay/check_private.h"
#include "bay/ports.h"
#include "geom/tol.h"

#include <stdio.h>
#include <string.h>

void
tb_record_what(const TbRecord *record, char *out, size_t room)
{
    if (record->element == &tb_element_bay)
        snprintf(out, room, "bay");
    else
        snprintf(out, room, "%s \"%.60s\"", record->element->name, record->id);
}

static Place
place_inside(const Place *outer, const TbNest *nest, const char *array, size_t index)
{
    const char *name = nest->element->name;
    Place place = *outer;

    place.owner = array + index * nest->element->size;
    place.line = ((const TbChild *)place.owner)->line;
    if (nest->count_offset == TB_ONE)
        snprintf(place.what, WHAT, "%s of %.120s", name, outer->what);
    else
        snprintf(place.what, WHAT, "%s %zu of %.120s", name, index + 1, outer->what);
    return place;
}

/* ---- ranges ---- */

static TbStatus
out_of_range(const Place *place, const TbField *field, double x, TbFault *fault)
{
    char number[TB_TEXT_NUMBER];
    char limit[TB_TEXT_NUMBER];
    const char *gap = field->unit[0] != '\0' ? " " : "";
    bool low = x < field->low || (field->above_low && x == field->low);

    tb_text_from_double(x, number);
    tb_text_from_double(low ? field->low : field->high, limit);
    return FAIL(place, TB_E_RANGE, "%s %s%s%s is %s %s", place->what, field->name, number, gap,
                field->unit, low ? (field->above_low ? "not above" : "below") : "above", limit);
}

static bool
in_range(const TbField *field, double x)
{
    return (field->above_low ? x > field->low : x >= field->low) && x <= field->high;
}

static TbStatus
check_field(const Place *place, const TbField *field, TbFault *fault)
{
    double v[TB_NUMBERS_MAX];
    size_t count = tb_field_numbers(field, place->owner, v);

    if (count > 0 && tb_field_store(field, NULL) == TB_STORE_REALS && isnan(v[0]) && !field->needed)
        return TB_OK; /* not given */
    for (size_t i = 0; i < count; i++) {
        if (!isfinite(v[i]))
            return FAIL(place, TB_E_RANGE, "%s is not a finite number", place->what, field->name);
        if (!in_range(field, v[i]))
            return out_of_range(place, field, v[i], fault);
    }
    if (field->kind == TB_FIELD_DIRECTION &&
        tb_vec3_length(tb_vec3(v[0], v[1], v[2])) < TB_TOL_PLACE)
        return FAIL(place, TB_E_DEGENERATE, "%s is a direction without length", place->what,
                    field->name);
    if (field->kind == TB_FIELD_SPREAD && v[0] > v[1]) {
        char low[TB_TEXT_NUMBER];
        char high[TB_TEXT_NUMBER];

        tb_text_from_double(v[0], low);
        tb_text_from_double(v[1], high);
        return FAIL(place, TB_E_RANGE, "%s begins at %s above its end at %s", place->what,
                    field->name, low, high);
    }
    return TB_OK;
}

/* ---- references ---- */

/** "an item", "a port or an item": what a field may name. */
static const char *
sort_wanted(unsigned lists)
{
    static const struct {
        TbListKind list;
        const char *name;
    } sorts[] = {
        {TB_LIST_ITEMS, "an item"},        {TB_LIST_PORTS, "a port"},
        {TB_LIST_MOUNTS, "a mount"},       {TB_LIST_JOINTS, "a joint"},
        {TB_LIST_STATES, "a state"},       {TB_LIST_GAS, "a gas point"},
        {TB_LIST_FASTENERS, "a fastener"},
    };

    if (lists == (1u << TB_LIST_ITEMS | 1u << TB_LIST_PORTS))
        return "an item or a port";
    for (size_t i = 0; i < sizeof sorts / sizeof sorts[0]; i++)
        if (lists == 1u << sorts[i].list)
            return sorts[i].name;
    return "a record";
}

static TbStatus
check_id(const Place *place, const TbField *field, const char *id, unsigned lists, TbFault *fault)
{
    const TbRecord *found = tb_bay_find(place->bay, id);

    if (found == NULL)
        return FAIL(place, TB_E_REFERENCE, "%s \"%s\" is not in the bay", place->what, field->name,
                    id);
    if ((lists >> found->element->list & 1) == 0)
        return FAIL(place, TB_E_REFERENCE, "%s \"%s\" is a %s, not %s", place->what, field->name,
                    id, found->element->name, sort_wanted(lists));
    return TB_OK;
}

/** States joined by '+'. */
static TbStatus
check_states(const Place *place, const TbField *field, const char *text, TbFault *fault)
{
    TbStatus status = TB_OK;

    while (status == TB_OK) {
        const char *plus = strchrnul(text, '+');
        char id[128];

        snprintf(id, sizeof id, "%.*s", (int)(plus - text), text);
        status = check_id(place, field, id, 1u << TB_LIST_STATES, fault);
        if (*plus == '\0')
            break;
        text = plus + 1;
    }
    return status;
}

static TbStatus
check_reference(const Place *place, const TbField *field, TbFault *fault)
{
    const char *text;

    if (field->kind != TB_FIELD_REFERENCE && field->kind != TB_FIELD_STATES)
        return TB_OK;
    text = *(char *const *)tb_field_at(field, place->owner);
    if (text == NULL)
        return TB_OK;
    if (field->kind == TB_FIELD_STATES)
        return check_states(place, field, text, fault);
    return check_id(place, field, text, field->lists, fault);
}

/** Ranges and references of an element and of everything in it. */
static TbStatus
check_element(const Place *place, const TbElement *element, TbFault *fault)
{
    TbStatus status = TB_OK;
    const TbField *field;

    for (size_t i = 0; status == TB_OK && (field = tb_element_field(element, i)) != NULL; i++) {
        status = check_field(place, field, fault);
        if (status == TB_OK)
            status = check_reference(place, field, fault);
    }
    for (size_t c = 0; status == TB_OK && c < element->child_count; c++) {
        const TbNest *nest = &element->children[c];
        size_t count;
        const char *array = tb_nest_array(nest, place->owner, &count);

        if (count < nest->least)
            return FAIL(place, TB_E_FORMAT, "has %zu %s elements, %zu are needed", place->what,
                        count, nest->element->name, nest->least);
        for (size_t k = 0; status == TB_OK && k < count; k++) {
            Place inner = place_inside(place, nest, array, k);

            status = check_element(&inner, nest->element, fault);
        }
    }
    return status;
}

static TbStatus
check_record(const TbBay *bay, const TbRecord *record, TbFault *fault)
{
    Place place = {.bay = bay, .record = record, .owner = record, .line = record->part.line};
    TbStatus status;

    tb_record_what(record, place.what, WHAT);
    status = check_element(&place, record->element, fault);
    return status == TB_OK ? tb_check__rule(&place, record, fault) : status;
}

/** Ports that follow each other in a circle, and ports that cannot be placed. */
static TbStatus
check_ports(const TbBay *bay, TbFault *fault)
{
    const TbList *ports = &bay->lists[TB_LIST_PORTS];

    for (size_t i = 0; i < ports->count; i++) {
        TbPortPlace place;
        TbFault why = {0};
        TbStatus status = tb_bay_port_place(bay, NULL, ports->records[i]->id, &place, &why);

        if (status != TB_OK)
            return tb_fail_at(fault, status, ports->records[i]->part.line, "%s", why.text);
    }
    return TB_OK;
}

TbStatus
tb_check_bay(const TbBay *bay, TbFault *fault)
{
    TbStatus status = check_record(bay, &bay->head->record, fault);

    for (size_t l = 0; l < TB_LIST_COUNT; l++)
        for (size_t i = 0; i < bay->lists[l].count && status == TB_OK; i++)
            status = check_record(bay, bay->lists[l].records[i], fault);
    return status == TB_OK ? check_ports(bay, fault) : status;
}

/* ---- changes ---- */

/** No other record's check looks further into an item or a port than at its id and element. */
static bool
concerns_only_itself(const TbRecord *was, const TbRecord *is)
{
    return is->element == was->element &&
           (is->element->list == TB_LIST_ITEMS || is->element->list == TB_LIST_PORTS) &&
           strcmp(is->id, was->id) == 0;
}

/** Whether all records that differ concern only themselves. */
static bool
is_plain_change(const TbBay *bay, const TbBay *before)
{
    if (bay->head != before->head)
        return false;
    for (size_t l = 0; l < TB_LIST_COUNT; l++) {
        const TbList *was = &before->lists[l], *is = &bay->lists[l];

        if (is->count != was->count)
            return false;
        for (size_t i = 0; i < is->count; i++)
            if (is->records[i] != was->records[i] &&
                !concerns_only_itself(was->records[i], is->records[i]))
                return false;
    }
    return true;
}

TbStatus
tb_check_change(const TbBay *bay, const TbBay *before, TbFault *fault)
{
    TbStatus status = TB_OK;

    if (!is_plain_change(bay, before))
        return tb_check_bay(bay, fault);
    for (size_t l = 0; l < TB_LIST_COUNT; l++)
        for (size_t i = 0; i < bay->lists[l].count && status == TB_OK; i++)
            if (bay->lists[l].records[i] != before->lists[l].records[i])
                status = check_record(bay, bay->lists[l].records[i], fault);
    return status == TB_OK ? check_ports(bay, fault) : status;
}
