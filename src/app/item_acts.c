/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/item_acts.h"

#include "bay/preset.h"

#include <glib/gi18n.h>

const char *
tb_record_title(const TbBay *bay, const char *id)
{
    const TbRecord *record = tb_bay_find(bay, id);

    if (record == NULL)
        return NULL;
    return record->name == NULL || record->name[0] == '\0' ? record->id : record->name;
}

/* Hands an edit's outcome to the session. Takes the name. */
static bool
settle(TbSession *session, TbStatus status, TbBay *next, char *what, const TbFault *fault)
{
    if (status == TB_OK)
        tb_session_edit(session, next, what, 0);
    else
        tb_session_say(session, fault->text);
    g_free(what);
    return status == TB_OK;
}

/* ---- what is there ---- */

bool
tb_item_rename(TbSession *session, const char *id, const char *name)
{
    const TbBay *bay = tb_session_bay(session);
    g_autofree char *wanted = g_strstrip(g_strdup(name));
    const TbRecord *record = tb_bay_find(bay, id);
    TbBay *next = NULL;
    TbFault fault = {0};
    TbStatus status;
    char *what;

    if (record != NULL && g_strcmp0(record->name == NULL ? "" : record->name, wanted) == 0)
        return true;
    if (record != NULL && record->name == NULL && strcmp(record->id, wanted) == 0)
        return true; /* the id was shown for want of a name, and stays so */
    status = tb_edit_rename(bay, id, wanted[0] == '\0' ? NULL : wanted, &next, &fault);
    what = g_strdup_printf(_("rename %s"), record == NULL ? id : tb_record_title(bay, id));
    return settle(session, status, next, what, &fault);
}

/* mm; a copy at the same place would hide the one it is of. */
static const TbVec3 aside = {20, 20, 20};

bool
tb_item_duplicate(TbSession *session, const char *id)
{
    const TbBay *bay = tb_session_bay(session);
    char copy[TB_ID_ROOM];
    TbBay *next = NULL;
    TbFault fault = {0};
    TbStatus status = tb_edit_duplicate(bay, id, aside, copy, &next, &fault);
    char *what = g_strdup_printf(_("duplicate %s"), tb_record_title(bay, id));
    bool done = settle(session, status, next, what, &fault);

    if (done)
        tb_session_select(session, copy);
    return done;
}

bool
tb_item_remove(TbSession *session, const char *id)
{
    const TbBay *bay = tb_session_bay(session);
    TbBay *next = NULL;
    TbFault fault = {0};
    TbStatus status = tb_edit_remove(bay, id, &next, &fault);

    return settle(session, status, next, g_strdup_printf(_("remove %s"), tb_record_title(bay, id)),
                  &fault);
}

bool
tb_item_move_before(TbSession *session, const char *id, const char *before)
{
    const TbBay *bay = tb_session_bay(session);
    const TbRecord *record = tb_bay_find(bay, id);
    const TbList *list;
    TbBay *next = NULL;
    TbFault fault = {0};
    TbStatus status;
    size_t place = 0;

    if (record == NULL || g_strcmp0(id, before) == 0)
        return false;
    list = &bay->lists[tb_record_list(record)];
    /* counted without the one that moves */
    for (size_t i = 0; i < list->count; i++) {
        if (before != NULL && strcmp(list->records[i]->id, before) == 0)
            break;
        place += list->records[i] != record;
    }
    status = tb_edit_reorder(bay, id, place, &next, &fault);
    return settle(session, status, next,
                  g_strdup_printf(_("move %s in the list"), tb_record_title(bay, id)), &fault);
}

/* ---- what is new ---- */

/* "Brake line": what a new item is called. */
static const char *
usual_name(TbItemKind kind, int role)
{
    static const char *const kinds[] = {
        [TB_ITEM_DUCT] = N_("Duct"),   [TB_ITEM_TURBO] = N_("Turbo"),
        [TB_ITEM_BLOCK] = N_("Block"), [TB_ITEM_ROD] = N_("Rod"),
        [TB_ITEM_BALL] = N_("Ball"),   [TB_ITEM_OUTLINE] = N_("Outline"),
    };
    static const char *const roles[] = {
        [TB_LINE_OIL_DRAIN] = N_("Oil drain"),  [TB_LINE_OIL_FEED] = N_("Oil feed"),
        [TB_LINE_COOLANT] = N_("Coolant line"), [TB_LINE_BRAKE] = N_("Brake line"),
        [TB_LINE_FUEL] = N_("Fuel line"),       [TB_LINE_HOSE] = N_("Hose"),
        [TB_LINE_HARNESS] = N_("Harness"),
    };

    return _(kind == TB_ITEM_LINE ? roles[role] : kinds[kind]);
}

/* A name that no other item has: "Block", "Block 2" ... */
static char *
fresh_name(const TbBay *bay, const char *name)
{
    for (int number = 1;; number++) {
        char *fresh = number == 1 ? g_strdup(name) : g_strdup_printf("%s %d", name, number);
        bool taken = false;

        for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_ITEMS); i++)
            taken |= g_strcmp0(tb_bay_item_at(bay, i)->record.name, fresh) == 0;
        if (!taken)
            return fresh;
        g_free(fresh);
    }
}

static TbVec3
where_planes_meet(TbSession *session)
{
    return tb_vec3(tb_session_cut(session, TB_SCENE_FRONT).at,
                   tb_session_cut(session, TB_SCENE_SIDE).at,
                   tb_session_cut(session, TB_SCENE_PLAN).at);
}

/* mm: half the length of what is new, and what else gives it a size that can be grasped in a view
 * of a whole bay. */
#define HALF 60.0
#define DEEP 40.0

/* Points about the middle: of a line or duct along X with a rise, of an outline square to Y. */
static void
place_points(TbNewItem *item, TbVec3 at, TbVec3 points[4])
{
    static const TbVec3 along[] = {{-HALF, 0, 0}, {0, 0, HALF / 4}, {HALF, 0, 0}};
    static const TbVec3 around[] = {{-HALF, -DEEP / 2, -DEEP},
                                    {HALF, -DEEP / 2, -DEEP},
                                    {HALF, -DEEP / 2, DEEP},
                                    {-HALF, -DEEP / 2, DEEP}};
    bool outline = item->kind == TB_ITEM_OUTLINE;

    item->count = outline ? G_N_ELEMENTS(around) : G_N_ELEMENTS(along);
    for (size_t i = 0; i < item->count; i++)
        points[i] = tb_vec3_add(at, outline ? around[i] : along[i]);
    item->points = points;
    if (outline) {
        item->u = tb_vec3(1, 0, 0);
        item->v = tb_vec3(0, 0, 1);
        item->depth = -DEEP; /* u x v looks to -Y */
    }
}

static void
place_new(TbNewItem *item, TbVec3 at, TbVec3 points[4])
{
    switch (item->kind) {
    case TB_ITEM_DUCT:
    case TB_ITEM_LINE:
    case TB_ITEM_OUTLINE:
        place_points(item, at, points);
        break;
    case TB_ITEM_BLOCK:
        item->a = tb_vec3_sub(at, tb_vec3(HALF, DEEP, DEEP));
        item->b = tb_vec3_add(at, tb_vec3(HALF, DEEP, DEEP));
        break;
    case TB_ITEM_ROD:
        item->a = tb_vec3_sub(at, tb_vec3(HALF, 0, 0));
        item->b = tb_vec3_add(at, tb_vec3(HALF, 0, 0));
        break;
    case TB_ITEM_TURBO:
        item->u = tb_vec3(1, 0, 0);
        item->a = at;
        break;
    case TB_ITEM_BALL:
    case TB_ITEM_SCAN:
        item->a = at;
        break;
    }
}

bool
tb_item_add(TbSession *session, TbItemKind kind, int role)
{
    const TbBay *bay = tb_session_bay(session);
    g_autofree char *name = fresh_name(bay, usual_name(kind, role));
    TbNewItem item = tb_new_item(kind);
    TbVec3 points[4];
    char id[TB_ID_ROOM];
    TbBay *next = NULL;
    TbFault fault = {0};
    TbStatus status;
    bool done;

    g_return_val_if_fail(kind != TB_ITEM_SCAN, false);
    item.name = name;
    if (kind == TB_ITEM_LINE)
        item.role = role;
    place_new(&item, where_planes_meet(session), points);
    status = tb_edit_new_item(bay, tb_session_variant(session), &item, id, &next, &fault);
    done = settle(session, status, next, g_strdup_printf(_("add %s"), name), &fault);
    if (done)
        tb_session_select(session, id);
    return done;
}

/* "scan", "scan-2" ...: not in the bay yet. */
static char *
fresh_scan_id(const TbBay *bay)
{
    char *id = g_strdup("scan");

    for (int number = 2; tb_bay_find(bay, id) != NULL; number++) {
        g_free(id);
        id = g_strdup_printf("scan-%d", number);
    }
    return id;
}

/* The path as the bay names it: from its folder where it lies below, else whole. */
static char *
path_for(TbSession *session, GFile *mesh)
{
    GFile *file = tb_session_file(session);
    g_autoptr(GFile) folder = file == NULL ? NULL : g_file_get_parent(file);
    char *path = folder == NULL ? NULL : g_file_get_relative_path(folder, mesh);

    return path != NULL ? path : g_file_get_path(mesh);
}

bool
tb_item_add_scan(TbSession *session, GFile *mesh)
{
    const TbBay *bay = tb_session_bay(session);
    g_autofree char *id = fresh_scan_id(bay);
    const char *mount =
        tb_bay_mount(bay, "body") != NULL ? "body" : tb_bay_mount_at(bay, 0)->record.id;
    g_autofree char *path = path_for(session, mesh);
    g_autofree char *base = g_file_get_basename(mesh);
    g_autofree char *element = NULL;
    TbBay *next = NULL;
    TbFault fault = {0};
    TbStatus status;
    bool done;

    if (path == NULL) {
        tb_session_say(session, _("A scan must be a file on this computer"));
        return false;
    }
    element = g_markup_printf_escaped("<scan id='%s' name='%s' class='structure' mount='%s' "
                                      "file='%s'><known by='scan' uncertainty='1'/></scan>",
                                      id, base, mount, path);
    status = tb_edit_add(bay, element, &next, &fault);
    done = settle(session, status, next, g_strdup_printf(_("add %s"), base), &fault);
    if (done)
        tb_session_select(session, id);
    return done;
}

/* ---- keeps ---- */

bool
tb_keeps_add_usual(TbSession *session)
{
    TbBay *next = NULL;
    TbFault fault = {0};
    size_t added = 0;
    TbStatus status =
        tb_edit_add_default_keeps(tb_session_bay(session), NULL, &added, &next, &fault);
    /* Translators: an undo step */
    bool done = settle(session, status, next, g_strdup(_("add usual keeps")), &fault);

    if (done) {
        g_autofree char *said = g_strdup_printf(
            ngettext("%zu usual keep added", "%zu usual keeps added", added), added);

        tb_session_tell(session, said);
    }
    return done;
}
