/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * New parts with values that make sense where they are put: a knot half way between its
 * neighbours, a section between its own, whatever else with what is usual (common practice, no
 * source), to be typed over.
 */

#include "app/detail_value.h"
#include "bay/ports.h"

#include <math.h>
#include <string.h>

/** The settings of a new part, with room for their texts. */
typedef struct Fresh {
    const TbBay *bay;
    const TbRecord *record;
    const TbPartPlace *place;
    size_t index;
    TbSetting settings[8];
    size_t count;
    char room[8][4 * TB_TEXT_NUMBER];
} Fresh;

static void
put(Fresh *fresh, const char *attribute, const char *value)
{
    TB_ASSERT(fresh->count < G_N_ELEMENTS(fresh->settings));
    g_strlcpy(fresh->room[fresh->count], value, sizeof fresh->room[0]);
    fresh->settings[fresh->count] = (TbSetting){attribute, fresh->room[fresh->count]};
    fresh->count++;
}

static void
put_numbers(Fresh *fresh, const char *attribute, const double v[], size_t count)
{
    char text[4 * TB_TEXT_NUMBER] = "";

    for (size_t i = 0; i < count; i++) {
        char number[TB_TEXT_NUMBER];

        tb_text_from_double(round(v[i] * 1e3) / 1e3 + 0.0, number);
        if (i > 0)
            g_strlcat(text, " ", sizeof text);
        g_strlcat(text, number, sizeof text);
    }
    put(fresh, attribute, text);
}

static void
put_number(Fresh *fresh, const char *attribute, double x)
{
    put_numbers(fresh, attribute, &x, 1);
}

/* ---- knots ---- */

/** mm. How far beyond the last knot a new end knot lies. */
#define BEYOND 30.0

/** The place half way between two, or as far beyond one as the last leg says. */
static TbVec3
between(const TbVec3 at[], size_t count, size_t index)
{
    if (count == 0)
        return tb_vec3(0, 0, 0);
    if (index > 0 && index < count)
        return tb_vec3_mix(at[index - 1], at[index], 0.5);
    if (count == 1)
        return tb_vec3_add(at[0], tb_vec3(BEYOND, 0, 0));
    if (index == 0)
        return tb_vec3_add_scaled(at[0], BEYOND, tb_vec3_unit(tb_vec3_sub(at[0], at[1])));
    return tb_vec3_add_scaled(at[count - 1], BEYOND,
                              tb_vec3_unit(tb_vec3_sub(at[count - 1], at[count - 2])));
}

static void
fresh_knot(Fresh *fresh)
{
    const TbItem *item = (const TbItem *)fresh->record;
    const TbEnd *start = tb_item_start(item);
    TbPlacedPath path = {0};
    TbPose pose;
    TbVec3 at = {0, 0, 0};

    if (tb_bay_path(fresh->bay, NULL, item->record.id, &path, NULL) == TB_OK &&
        tb_bay_item_pose(fresh->bay, NULL, item->record.id, &pose, NULL) == TB_OK) {
        size_t first = start != NULL && start->port != NULL;

        at = tb_pose_point(tb_pose_inverse(pose),
                           between(path.knots, path.count, fresh->index + first));
    }
    tb_placed_path_clear(&path);
    put_numbers(fresh, "at", (const double[]){at.x, at.y, at.z}, 3);
    if (tb_item_path(item)->kind == TB_PATH_BENT)
        put_number(fresh, "radius",
                   item->kind == TB_ITEM_LINE ? 1.5 * tb_item_line(item)->diameter : 80);
}

static void
fresh_corner(Fresh *fresh)
{
    const TbOutlineItem *outline = (const TbOutlineItem *)fresh->record;
    size_t count = outline->corner_count;
    TbVec2 a = outline->corners[(fresh->index + count - 1) % count].at;
    TbVec2 b = outline->corners[fresh->index % count].at;

    put_numbers(fresh, "at", (const double[]){(a.x + b.x) / 2, (a.y + b.y) / 2}, 2);
}

/* ---- sections ---- */

/** Where a new row fits between its neighbours; false: there is no room. */
static bool
row_place(const TbRow *before, const TbRow *after, double *at, bool *from_end)
{
    *from_end = before == NULL || before->from_end;
    if (before != NULL && after != NULL && before->from_end == after->from_end) {
        *at = (before->at + after->at) / 2;
        return true;
    }
    if (before != NULL && !before->from_end) { /* the next one counts from the end, or is not */
        *at = before->at + BEYOND;
        return true;
    }
    if (before == NULL && after != NULL && !after->from_end) {
        *from_end = false;
        *at = after->at / 2;
        return after->at > 0;
    }
    *at = before != NULL ? before->at / 2 : after != NULL ? after->at + BEYOND : 0;
    return before == NULL || before->at > 0;
}

static void
fresh_row(Fresh *fresh)
{
    const TbDuct *duct = (const TbDuct *)fresh->record;
    const TbRow *before = fresh->index > 0 ? &duct->rows[fresh->index - 1] : NULL;
    const TbRow *after = fresh->index < duct->row_count ? &duct->rows[fresh->index] : NULL;
    const TbRow *like = before != NULL ? before : after;
    double at = 0;
    bool from_end = false;

    row_place(before, after, &at, &from_end);
    put_number(fresh, "at", at);
    if (from_end)
        put(fresh, "from-end", "yes");
    put(fresh, "kind", tb_name_of(tb_names_row, like->kind));
    if (like->half.count > 0) {
        put_numbers(fresh, "half", like->half.v, 4);
    } else {
        bool mean = before != NULL && after != NULL && after->half.count == 0;

        put_number(fresh, "width", mean ? (before->width + after->width) / 2 : like->width);
        put_number(fresh, "height", mean ? (before->height + after->height) / 2 : like->height);
    }
    if (like->corner.count > 0)
        put_numbers(fresh, "corner", like->corner.v, like->corner.count);
    if (like->kind == TB_ROW_SUPERELLIPSE)
        put_number(fresh, "exponent", like->exponent);
    put_number(fresh, "turn", like->turn);
}

/* ---- the rest ---- */

/** Id of the first record of a list that is not the record itself; "" where there is none. */
static const char *
first_of(const Fresh *fresh, TbListKind list)
{
    for (size_t i = 0; i < tb_bay_count(fresh->bay, list); i++)
        if (fresh->bay->lists[list].records[i] != fresh->record)
            return fresh->bay->lists[list].records[i]->id;
    return "";
}

/** A spare and the first item of its kind that it could stand for; false: there is none. */
static bool
put_swap(Fresh *fresh)
{
    for (size_t i = 0; i < tb_bay_count(fresh->bay, TB_LIST_ITEMS); i++)
        for (size_t k = 0; k < tb_bay_count(fresh->bay, TB_LIST_ITEMS); k++) {
            const TbItem *spare = tb_bay_item_at(fresh->bay, i);
            const TbItem *item = tb_bay_item_at(fresh->bay, k);

            if (!spare->spare || item->spare || item->kind != spare->kind)
                continue;
            put(fresh, "item", item->record.id);
            put(fresh, "with", spare->record.id);
            return true;
        }
    return false;
}

/** The first state that a keep has no gap for yet, else the first. */
static const char *
next_state(const Fresh *fresh)
{
    const TbKeep *keep = (const TbKeep *)fresh->record;

    for (size_t i = 0; i < tb_bay_count(fresh->bay, TB_LIST_STATES); i++) {
        const char *id = tb_bay_state_at(fresh->bay, i)->record.id;
        bool has = false;

        for (size_t k = 0; k < keep->gap_count; k++)
            has |= strcmp(keep->gaps[k].state, id) == 0;
        if (!has)
            return id;
    }
    return first_of(fresh, TB_LIST_STATES);
}

static void
fresh_housing(Fresh *fresh)
{
    const TbTurbo *turbo = (const TbTurbo *)fresh->record;
    int of = 0;

    while (of < TB_HOUSING_COUNT - 1 && tb_turbo_housing(turbo, of) != NULL)
        of++;
    put(fresh, "of", tb_name_of(tb_names_housing, of));
}

/** What is usual of a part that is a list of fixed values. */
static const struct {
    const char *tag;
    TbSetting settings[5];
} usual[] = {
    {"known", {{"by", "guess"}, {"uncertainty", "10"}}},
    {"process", {{"kind", "cast"}}},
    {"tolerance", {{"shift", "1 1 1"}}},
    {"ring", {{"kind", "flange"}, {"diameter", "84"}, {"to", "12"}}},
    {"bolt-box", {{"along", "26"}, {"across", "60"}, {"from", "50"}, {"to", "80"}}},
    {"station", {{"name", "station"}, {"at", "0"}}},
    {"rod", {{"of", "turbine"}, {"from", "0"}, {"to", "20"}, {"radius", "40"}}},
    {"arm", {{"of", "compressor"}, {"a", "0 0 0"}, {"b", "0 0 60"}, {"radius", "15"}}},
    {"box", {{"of", "compressor"}, {"low", "-20 -20 -20"}, {"high", "20 20 20"}}},
    {"zero", {{"text", "X 0, Y 0 and Z 0 are at"}}},
    {"note", {{"text", "Note"}}},
    {"vehicle", {{"name", "sample vehicle"}}},
    {"fuel", {{"name", "gasoline"}, {"stoichiometric", "14.5"}, {"hydrogen", "1.85"}}},
    {"engine", {{"cylinders", "4"}}},
    {"mean", {{"to", "400"}, {"expansion", "12"}}},
    {"source", {{"of", "density"}, {"from", "data sheet"}}},
    {"opening", {{"width", "20"}, {"height", "20"}}},
    {"bolts", {{"count", "2"}}},
    {"warm", {{"growth", "100"}}},
    {"place", {{"by", "0 0 -100"}}},
};

/** Parts that name a record: of which list. */
static const struct {
    const char *tag, *attribute;
    TbListKind list;
} naming[] = {
    {"leave-out", "port", TB_LIST_PORTS}, {"shift", "mount", TB_LIST_MOUNTS},
    {"swap", "item", TB_LIST_ITEMS},      {"swap", "with", TB_LIST_ITEMS},
    {"mirror", "item", TB_LIST_ITEMS},    {"hide", "item", TB_LIST_ITEMS},
};

static void
fresh_other(Fresh *fresh, const char *tag)
{
    for (size_t i = 0; i < G_N_ELEMENTS(usual); i++)
        for (size_t k = 0; strcmp(usual[i].tag, tag) == 0 && k < G_N_ELEMENTS(usual[i].settings) &&
                           usual[i].settings[k].attribute != NULL;
             k++)
            put(fresh, usual[i].settings[k].attribute, usual[i].settings[k].value);
    if (strcmp(tag, "swap") == 0 && put_swap(fresh))
        return;
    for (size_t i = 0; i < G_N_ELEMENTS(naming); i++)
        if (strcmp(naming[i].tag, tag) == 0)
            put(fresh, naming[i].attribute, first_of(fresh, naming[i].list));
    if (strcmp(tag, "wanted") == 0) {
        put(fresh, "state", next_state(fresh));
        put(fresh, "gap", "10");
    } else if (strcmp(tag, "warm") == 0 && fresh->record->element->list == TB_LIST_ITEMS) {
        put(fresh, "state", first_of(fresh, TB_LIST_STATES));
    } else if (strcmp(tag, "leave-out") == 0) {
        put(fresh, "radius", "30");
    } else if (strcmp(tag, "shift") == 0) {
        put(fresh, "by", "0 0 0");
    }
}

TbStatus
tb_value_add_part(
    const TbBay *bay, const char *id, const TbPartPlace *place, TbBay **out, TbFault *fault)
{
    const TbPartStep *last = &place->steps[place->count - 1];
    Fresh fresh = {.bay = bay, .place = place, .index = last->index};

    fresh.record =
        strcmp(id, bay->head->record.id) == 0 ? &bay->head->record : tb_bay_find(bay, id);
    if (fresh.record == NULL)
        return tb_fail(fault, TB_E_REFERENCE, "record \"%s\" is not in the bay", id);
    if (strcmp(last->tag, "knot") == 0)
        fresh_knot(&fresh);
    else if (strcmp(last->tag, "corner") == 0)
        fresh_corner(&fresh);
    else if (strcmp(last->tag, "section") == 0)
        fresh_row(&fresh);
    else if (strcmp(last->tag, "housing") == 0)
        fresh_housing(&fresh);
    else
        fresh_other(&fresh, last->tag);
    return tb_edit_add_part(bay, id, place, fresh.settings, fresh.count, out, fault);
}
