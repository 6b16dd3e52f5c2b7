/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/text.h"
#include "bay/edit_private.h"
#include "bay/extra.h"
#include "bay/ports.h"
#include "bay/preset.h"
#include "geom/tol.h"

#include <stdio.h>
#include <string.h>

/* ---- what is usual (common practice, no source) ---- */

double
tb_known_usual(int by)
{
    static const double usual[] = {
        [TB_KNOWN_DRAWING] = 0.5, [TB_KNOWN_SCAN] = 0.8, [TB_KNOWN_CALLIPER] = 0.7,
        [TB_KNOWN_TAPE] = 3,      [TB_KNOWN_GUESS] = 10,
    };

    TB_ASSERT(by >= 0 && (size_t)by < G_N_ELEMENTS(usual));
    return usual[by];
}

/** A line's role: its class, its id, its diameter in mm. */
static const struct {
    const char *klass, *id;
    double diameter;
} roles[] = {
    [TB_LINE_OIL_DRAIN] = {"oil", "oil-drain", 19},
    [TB_LINE_OIL_FEED] = {"oil", "oil-feed", 6.35},
    [TB_LINE_COOLANT] = {"coolant", "coolant-line", 16},
    [TB_LINE_BRAKE] = {"brake", "brake-line", 4.75},
    [TB_LINE_FUEL] = {"fuel", "fuel-line", 8},
    [TB_LINE_HOSE] = {"hose", "hose", 22},
    [TB_LINE_HARNESS] = {"harness", "harness", 16},
};

const char *
tb_usual_class(TbItemKind kind, int role)
{
    switch (kind) {
    case TB_ITEM_DUCT:
    case TB_ITEM_TURBO:
        return "hot";
    case TB_ITEM_LINE:
        TB_ASSERT(role >= 0 && (size_t)role < G_N_ELEMENTS(roles));
        return roles[role].klass;
    case TB_ITEM_BALL:
        return "moving";
    case TB_ITEM_BLOCK:
    case TB_ITEM_ROD:
    case TB_ITEM_OUTLINE:
    case TB_ITEM_SCAN:
        break;
    }
    return "structure";
}

const char *
tb_usual_id(TbItemKind kind, int role)
{
    if (kind != TB_ITEM_LINE)
        return tb_item_kind_name(kind);
    TB_ASSERT(role >= 0 && (size_t)role < G_N_ELEMENTS(roles));
    return roles[role].id;
}

/** The mount that a part of the kit rides on: the first that has one below it. */
static const char *
usual_mount(const TbBay *bay, TbItemKind kind)
{
    const char *first = tb_bay_mount_at(bay, 0)->record.id;

    if (kind == TB_ITEM_DUCT || kind == TB_ITEM_LINE || kind == TB_ITEM_TURBO)
        for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_MOUNTS); i++)
            if (tb_bay_mount_at(bay, i)->parent != NULL)
                return tb_bay_mount_at(bay, i)->record.id;
    return tb_bay_mount(bay, "body") != NULL ? "body" : first;
}

/** mm. Usual wall of a cast duct, bore of an outlet, radius of a bar or ball. */
#define USUAL_WALL 4.0
#define USUAL_BORE 60.0
#define USUAL_RADIUS 20.0

TbNewItem
tb_new_item(TbItemKind kind)
{
    return (TbNewItem){
        .kind = kind,
        .by = TB_KNOWN_GUESS,
        .uncertainty = NAN,
        .u = {0, 1, 0},
        .v = {0, 0, 1},
        .size = NAN,
        .depth = NAN,
        .role = TB_LINE_HOSE,
        .bend = NAN,
    };
}

/* ---- the element as text ---- */

/** An item being written. */
typedef struct Draft {
    const TbNewItem *item;
    GString *text;
    TbVec3 shift; /**< mm, of its mount in the variant: to be taken off again */
    char id[TB_ID_ROOM];
} Draft;

static void
append_text(Draft *draft, const char *attribute, const char *value)
{
    if (value == NULL || value[strspn(value, " \t\r\n")] == '\0')
        return;
    g_string_append_printf(draft->text, " %s=\"", attribute);
    tb_extra_escape(draft->text, value, true);
    g_string_append_c(draft->text, '"');
}

/** Kept to 1e-6 mm: what is left of adding and taking off a shift goes. */
static void
append_numbers(Draft *draft, const char *attribute, const double v[], size_t count)
{
    g_string_append_printf(draft->text, " %s=\"", attribute);
    for (size_t i = 0; i < count; i++) {
        char number[TB_TEXT_NUMBER];

        tb_text_from_double(round(v[i] * 1e6) / 1e6 + 0.0, number);
        g_string_append_printf(draft->text, "%s%s", i > 0 ? " " : "", number);
    }
    g_string_append_c(draft->text, '"');
}

static void
append_number(Draft *draft, const char *attribute, double x)
{
    append_numbers(draft, attribute, &x, 1);
}

static void
append_direction(Draft *draft, const char *attribute, TbVec3 d)
{
    append_numbers(draft, attribute, (const double[]){d.x, d.y, d.z}, 3);
}

static void
append_point(Draft *draft, const char *attribute, TbVec3 p)
{
    append_direction(draft, attribute, tb_vec3_sub(p, draft->shift));
}

static double
or_usual(double x, double usual)
{
    return tb_is_given(x) ? x : usual;
}

static void
append_known(Draft *draft)
{
    const TbNewItem *item = draft->item;

    if (item->by < 0)
        return;
    g_string_append(draft->text, "<known");
    append_text(draft, "by", tb_name_of(tb_names_known, item->by));
    append_number(draft, "uncertainty", or_usual(item->uncertainty, tb_known_usual(item->by)));
    append_text(draft, "datum", item->datum);
    append_text(draft, "date", item->date);
    g_string_append(draft->text, "/>");
}

static void
append_path(Draft *draft)
{
    const TbNewItem *item = draft->item;
    bool bent = tb_is_given(item->bend);

    g_string_append(draft->text, bent ? "<path kind=\"bent\">" : "<path>");
    for (size_t i = 0; i < item->count; i++) {
        bool inner = (i > 0 || item->start != NULL) && (i + 1 < item->count || item->end != NULL);

        g_string_append(draft->text, "<knot");
        append_point(draft, "at", item->points[i]);
        if (bent && inner)
            append_number(draft, "radius", item->bend);
        g_string_append(draft->text, "/>");
    }
    g_string_append(draft->text, "</path>");
    if (item->start != NULL) {
        g_string_append(draft->text, "<start");
        append_text(draft, "port", item->start);
        g_string_append(draft->text, "/>");
    }
    if (item->end != NULL) {
        g_string_append(draft->text, "<end");
        append_text(draft, "port", item->end);
        g_string_append(draft->text, "/>");
    }
}

/** A duct begins round and of one bore: its area may be shaped from there. */
static void
append_sections(Draft *draft, double bore)
{
    for (int i = 0; i < 2; i++) {
        g_string_append(draft->text,
                        i == 0 ? "<section at=\"0\"" : "<section at=\"0\" from-end=\"yes\"");
        append_number(draft, "width", bore);
        append_number(draft, "height", bore);
        g_string_append(draft->text, "/>");
    }
}

/** Corners in the plane through the first point; the origin is that point. */
static void
append_corners(Draft *draft, TbVec3 u, TbVec3 v)
{
    const TbNewItem *item = draft->item;

    for (size_t i = 0; i < item->count; i++) {
        TbVec3 way = tb_vec3_sub(item->points[i], item->points[0]);
        const double at[2] = {tb_vec3_dot(way, u), tb_vec3_dot(way, v)};

        g_string_append(draft->text, "<corner");
        append_numbers(draft, "at", at, 2);
        g_string_append(draft->text, "/>");
    }
}

/** Housings and shapes of a small turbo. Common practice, no source. */
static const char turbo_parts[] =
    "<housing of=\"turbine\"/><housing of=\"centre\" limit=\"-20 20\"/><housing of=\"compressor\"/>"
    "<rod of=\"turbine\" from=\"30\" to=\"84\" radius=\"62\"/>"
    "<rod of=\"turbine\" from=\"84\" to=\"96\" radius=\"38\"/>"
    "<rod of=\"centre\" from=\"-38\" to=\"30\" radius=\"44\"/>"
    "<rod of=\"compressor\" from=\"-98\" to=\"-38\" radius=\"68\"/>";

/** Its ports: an id's end and the rest of the element. */
static const char *const turbo_ports[][2] = {
    {"out", "name=\"turbine outlet\" housing=\"turbine\" at=\"96 0 0\" flow=\"1 0 0\" "
            "face=\"v-band\" face-diameter=\"84\"><opening width=\"58\" height=\"58\"/>"},
    {"in", "name=\"turbine inlet\" housing=\"turbine\" at=\"56 30 -76\" flow=\"0 -0.8 0.6\">"
           "<opening kind=\"rectangle\" width=\"48\" height=\"40\" corner=\"10\"/>"},
    {"drain", "name=\"oil drain\" housing=\"centre\" at=\"0 0 -45\" flow=\"0 0 -1\">"
              "<opening width=\"16\" height=\"16\"/>"},
    {"feed", "name=\"oil feed\" housing=\"centre\" at=\"0 0 48\" flow=\"0 0 1\" face=\"thread\" "
             "thread-standard=\"metric\" thread-size=\"M12x1.5\">"
             "<opening width=\"6\" height=\"6\"/>"},
};

/* ---- by kind: attributes, then children ---- */

static void
append_block(Draft *draft)
{
    TbVec3 a = draft->item->a;
    TbVec3 b = draft->item->b;

    append_point(draft, "low", tb_vec3(fmin(a.x, b.x), fmin(a.y, b.y), fmin(a.z, b.z)));
    append_point(draft, "high", tb_vec3(fmax(a.x, b.x), fmax(a.y, b.y), fmax(a.z, b.z)));
    g_string_append_c(draft->text, '>');
    append_known(draft);
}

static void
append_outline(Draft *draft)
{
    const TbNewItem *item = draft->item;
    double depth = or_usual(item->depth, 10);
    TbVec3 u = tb_vec3_unit(item->u);
    TbVec3 v = tb_vec3_unit(tb_vec3_across(item->v, u));

    if (depth < 0) { /* to the other side: the two directions change places */
        TbVec3 kept = u;

        u = v;
        v = kept;
        depth = -depth;
    }
    append_point(draft, "origin", item->count > 0 ? item->points[0] : item->a);
    append_direction(draft, "u", u);
    append_direction(draft, "v", v);
    append_number(draft, "depth", depth);
    g_string_append_c(draft->text, '>');
    append_known(draft);
    append_corners(draft, u, v);
}

static void
append_line(Draft *draft)
{
    const TbNewItem *item = draft->item;

    append_text(draft, "role", tb_name_of(tb_names_line_role, item->role));
    append_number(draft, "diameter", or_usual(item->size, roles[item->role].diameter));
    g_string_append_c(draft->text, '>');
    append_known(draft);
    append_path(draft);
}

static void
append_rest(Draft *draft)
{
    const TbNewItem *item = draft->item;

    switch (item->kind) {
    case TB_ITEM_BLOCK:
        append_block(draft);
        break;
    case TB_ITEM_ROD:
        append_point(draft, "a", item->a);
        append_point(draft, "b", item->b);
        append_number(draft, "radius", or_usual(item->size, USUAL_RADIUS));
        g_string_append_c(draft->text, '>');
        append_known(draft);
        break;
    case TB_ITEM_BALL:
        append_point(draft, "at", item->a);
        append_number(draft, "radius", or_usual(item->size, USUAL_RADIUS));
        g_string_append_c(draft->text, '>');
        append_known(draft);
        break;
    case TB_ITEM_OUTLINE:
        append_outline(draft);
        break;
    case TB_ITEM_LINE:
        append_line(draft);
        break;
    case TB_ITEM_DUCT:
        append_number(draft, "wall", USUAL_WALL);
        g_string_append_c(draft->text, '>');
        append_known(draft);
        append_path(draft);
        append_sections(draft, or_usual(item->size, USUAL_BORE));
        break;
    case TB_ITEM_TURBO:
        append_point(draft, "at", item->a);
        append_direction(draft, "shaft", tb_vec3_unit(item->u));
        g_string_append_c(draft->text, '>');
        append_known(draft);
        g_string_append(draft->text, turbo_parts);
        break;
    case TB_ITEM_SCAN:
        break;
    }
}

/* ---- into the document ---- */

/** The wish, or the next of "block-2", "block-3" that nobody has. */
static TbStatus
find_id(const TbBay *bay, const char *wish, char id[TB_ID_ROOM], TbFault *fault)
{
    /* 12: a mark and the digits of a number */
    if (strlen(wish) + 12 > TB_ID_ROOM)
        return tb_fail(fault, TB_E_LIMIT, "id \"%.40s...\" is too long", wish);
    snprintf(id, TB_ID_ROOM, "%s", wish);
    for (unsigned number = 2; tb_bay_find(bay, id) != NULL; number++)
        snprintf(id, TB_ID_ROOM, "%s-%u", wish, number);
    return TB_OK;
}

static TbStatus
add_ports(Edit *edit, const TbBay *bay, const char *owner, TbFault *fault)
{
    TbStatus status = TB_OK;

    for (size_t i = 0; i < G_N_ELEMENTS(turbo_ports) && status == TB_OK; i++) {
        char *wish = g_strdup_printf("%s-%s", owner, turbo_ports[i][0]);
        char id[TB_ID_ROOM];

        status = find_id(bay, wish, id, fault);
        if (status == TB_OK) {
            char *element = g_strdup_printf("<port id=\"%s\" owner=\"%s\" %s</port>", id, owner,
                                            turbo_ports[i][1]);

            status = tb_read_record(element, edit->bay, fault);
            g_free(element);
        }
        g_free(wish);
    }
    return status;
}

static TbStatus
check_new(const TbBay *bay, const TbNewItem *item, TbFault *fault)
{
    if (item->kind == TB_ITEM_SCAN)
        return tb_fail(fault, TB_E_REFERENCE, "a scan comes from its file and is not sketched");
    if (item->kind == TB_ITEM_OUTLINE && item->count < 3)
        return tb_fail(fault, TB_E_DEGENERATE, "an outline has %zu corners, 3 are needed",
                       item->count);
    if (item->mount != NULL && tb_bay_mount(bay, item->mount) == NULL)
        return tb_edit__not_there("mount", item->mount, fault);
    if (tb_bay_count(bay, TB_LIST_MOUNTS) == 0)
        return tb_fail(fault, TB_E_REFERENCE, "the bay has no mount to put an item on");
    return TB_OK;
}

TbStatus
tb_edit_new_item(const TbBay *bay,
                 const char *variant,
                 const TbNewItem *item,
                 char id[TB_ID_ROOM],
                 TbBay **out,
                 TbFault *fault)
{
    Draft draft = {.item = item};
    Edit edit = {.bay = NULL};
    const char *mount;
    TbStatus status = check_new(bay, item, fault);

    if (status == TB_OK)
        status = find_id(bay, item->id != NULL ? item->id : tb_usual_id(item->kind, item->role),
                         draft.id, fault);
    if (status == TB_OK)
        status = tb_edit__begin(&edit, bay, NULL, fault);
    if (status != TB_OK)
        return status;
    mount = item->mount != NULL ? item->mount : usual_mount(bay, item->kind);
    draft.shift = tb_bay_mount_shift(bay, variant, mount);
    draft.text = g_string_new("<");
    g_string_append(draft.text, tb_item_kind_name(item->kind));
    append_text(&draft, "id", draft.id);
    append_text(&draft, "name", item->name);
    append_text(&draft, "class",
                item->klass != NULL ? item->klass : tb_usual_class(item->kind, item->role));
    append_text(&draft, "mount", mount);
    if (item->kind == TB_ITEM_DUCT || item->kind == TB_ITEM_TURBO)
        append_text(&draft, "material", "simo-iron"); /* of the catalogue; else it cannot grow */
    append_rest(&draft);
    g_string_append_printf(draft.text, "</%s>", tb_item_kind_name(item->kind));
    status = tb_read_record(draft.text->str, edit.bay, fault);
    g_string_free(draft.text, TRUE);
    if (status == TB_OK && item->kind == TB_ITEM_TURBO)
        status = add_ports(&edit, bay, draft.id, fault);
    status = tb_edit__finish(&edit, status, out, fault);
    if (status == TB_OK && id != NULL)
        snprintf(id, TB_ID_ROOM, "%s", draft.id);
    return status;
}
