/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * What must change together with an attribute, so that a single change of the details is never
 * refused for a reason that a person could only meet by changing two things at once.
 */

#include "app/detail_value.h"

#include <math.h>
#include <string.h>

/** One attribute and what goes with it. */
typedef struct Change {
    TbSetting settings[4];
    size_t count;
    char room[2][3 * TB_TEXT_NUMBER];
} Change;

static void
also(Change *change, const char *attribute, const char *value)
{
    TB_ASSERT(change->count < G_N_ELEMENTS(change->settings));
    change->settings[change->count++] = (TbSetting){attribute, value};
}

static const char *
number(char *room, double x)
{
    tb_text_from_double(x, room);
    return room;
}

static bool
is(const char *a, const char *b)
{
    return g_strcmp0(a, b) == 0;
}

static double
row_width(const TbRow *row)
{
    return row->half.count > 0 ? row->half.v[0] + row->half.v[1] : row->width;
}

static double
row_height(const TbRow *row)
{
    return row->half.count > 0 ? row->half.v[2] + row->half.v[3] : row->height;
}

static void
with_row(Change *change, const TbRow *row, const char *attribute, const char *value)
{
    if (is(attribute, "kind") && is(value, "rounded") && row->corner.count == 0) {
        /* half as round as a stadium */
        also(change, "corner", number(change->room[0], fmin(row_width(row), row_height(row)) / 4));
    } else if (is(attribute, "kind") && !is(value, "rounded")) {
        also(change, "corner", NULL);
    } else if (is(attribute, "half") && value != NULL) {
        also(change, "width", NULL);
        also(change, "height", NULL);
    } else if (is(attribute, "half")) {
        also(change, "width", number(change->room[0], row_width(row)));
        also(change, "height", number(change->room[1], row_height(row)));
    } else if ((is(attribute, "width") || is(attribute, "height")) && row->half.count > 0) {
        bool width = is(attribute, "width");

        also(change, "half", NULL);
        also(change, width ? "height" : "width",
             number(change->room[0], width ? row_height(row) : row_width(row)));
    }
}

/** An axis is a point and a direction. */
static void
with_mount(Change *change, const TbMount *mount, const char *attribute, const char *value)
{
    bool point = is(attribute, "axis-point");
    bool other = tb_vec3_is_given(point ? mount->axis_direction : mount->axis_point);

    if (!point && !is(attribute, "axis-direction"))
        return;
    if (value == NULL)
        also(change, point ? "axis-direction" : "axis-point", NULL);
    else if (!other)
        also(change, point ? "axis-direction" : "axis-point", point ? "0 1 0" : "0 0 0");
}

static void
with_state(Change *change, const TbBay *bay, const char *attribute, const char *value)
{
    if (is(attribute, "parts")) {
        also(change, "kind", value != NULL ? "combined" : "cold");
    } else if (is(attribute, "kind") && !is(value, "combined")) {
        also(change, "parts", NULL);
    } else if (is(attribute, "kind")) {
        for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_STATES); i++)
            if (tb_bay_state_at(bay, i)->kind == TB_STATE_HOT) {
                g_strlcpy(change->room[0], tb_bay_state_at(bay, i)->record.id,
                          sizeof change->room[0]);
                also(change, "parts", change->room[0]);
                break;
            }
    }
}

/** Two attributes of which one excludes the other. */
static void
either(Change *change, const char *attribute, const char *value, const char *a, const char *b)
{
    if (value == NULL)
        return;
    if (is(attribute, a))
        also(change, b, NULL);
    else if (is(attribute, b))
        also(change, a, NULL);
}

static void
add_companions(Change *change,
               const TbBay *bay,
               const TbElement *element,
               const void *part,
               const char *attribute,
               const char *value)
{
    if (is(element->name, "section")) {
        with_row(change, part, attribute, value);
    } else if (is(element->name, "mount")) {
        with_mount(change, part, attribute, value);
    } else if (is(element->name, "state")) {
        with_state(change, bay, attribute, value);
    } else if (is(element->name, "start") || is(element->name, "end")) {
        either(change, attribute, value, "port", "tangent");
    } else if (is(element->name, "port")) {
        either(change, attribute, value, "owner", "mount");
        if (is(attribute, "mount") ||
            (is(attribute, "owner") && value != NULL && tb_bay_item(bay, value) != NULL &&
             tb_bay_item(bay, value)->kind != TB_ITEM_TURBO))
            also(change, "housing", NULL);
    } else if (is(element->name, "keep")) {
        either(change, attribute, value, "item-a", "class-a");
        either(change, attribute, value, "item-b", "class-b");
    }
}

/* ---- a path that becomes bent ---- */

/** mm. Bend radius of corners that had none: half as long again as what runs through them. */
static double
usual_bend(const TbRecord *record)
{
    const TbItem *item = (const TbItem *)record;

    if (item->kind == TB_ITEM_LINE)
        return 1.5 * tb_item_line(item)->diameter;
    return 1.5 *
           fmax(row_width(&tb_item_duct(item)->rows[0]), row_height(&tb_item_duct(item)->rows[0]));
}

static TbStatus
bend(const TbBay *bay, const char *id, const TbPartPlace *path, TbBay **out, TbFault *fault)
{
    const TbRecord *record = tb_bay_find(bay, id);
    const TbPath *knots = tb_record_part(record, path, NULL);
    TbBay *now = NULL;
    TbBay *next = NULL;
    char radius[TB_TEXT_NUMBER];
    TbSetting radii[] = {{"radius", number(radius, usual_bend(record))}};
    static const TbSetting kind[] = {{"kind", "bent"}};
    TbStatus status = TB_OK;

    for (size_t i = 0; i < knots->knot_count && status == TB_OK; i++) {
        TbPartPlace knot = tb_part_place_in(path, "knot", i);

        if (tb_is_given(knots->knots[i].radius))
            continue;
        status = tb_edit_set(now != NULL ? now : bay, id, &knot, radii, 1, &next, fault);
        if (status == TB_OK) {
            tb_bay_unref(now);
            now = g_steal_pointer(&next);
        }
    }
    if (status == TB_OK)
        status = tb_edit_set(now != NULL ? now : bay, id, path, kind, 1, out, fault);
    tb_bay_unref(now);
    return status;
}

TbStatus
tb_value_set(const TbBay *bay,
             const char *id,
             const TbPartPlace *place,
             const char *attribute,
             const char *value,
             TbBay **out,
             TbFault *fault)
{
    static const TbPartPlace itself = {.count = 0};
    const TbRecord *record =
        strcmp(id, bay->head->record.id) == 0 ? &bay->head->record : tb_bay_find(bay, id);
    Change change = {.count = 0};
    const TbElement *element = NULL;
    const void *part;

    if (place == NULL)
        place = &itself;
    part = record != NULL ? tb_record_part(record, place, &element) : NULL;
    if (part != NULL && is(element->name, "path") && is(attribute, "kind") && is(value, "bent"))
        return bend(bay, id, place, out, fault);
    also(&change, attribute, value);
    if (part != NULL)
        add_companions(&change, bay, element, part, attribute, value);
    return tb_edit_set(bay, id, place, change.settings, change.count, out, fault);
}
