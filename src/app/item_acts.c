/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/item_acts.h"

#include "base/text.h"
#include "bay/edit.h"

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

static const struct {
    const char *stem, *name;
    /* shape about the origin; points are shifted to their place by a move */
    const char *element;
} presets[TB_NEW_COUNT] = {
    [TB_NEW_BLOCK] = {"block", N_("Block"),
                      "<block id='%s' name='%s' class='structure' mount='%s' low='-40 -30 -30' "
                      "high='40 30 30'><known by='guess' uncertainty='5'/></block>"},
    [TB_NEW_ROD] = {"rod", N_("Rod"),
                    "<rod id='%s' name='%s' class='structure' mount='%s' a='-60 0 0' b='60 0 0' "
                    "radius='15'><known by='guess' uncertainty='5'/></rod>"},
    [TB_NEW_BALL] = {"ball", N_("Ball"),
                     "<ball id='%s' name='%s' class='structure' mount='%s' at='0 0 0' "
                     "radius='25'><known by='guess' uncertainty='5'/></ball>"},
    [TB_NEW_OUTLINE] = {"outline", N_("Outline"),
                        "<outline id='%s' name='%s' class='structure' mount='%s' "
                        "origin='0 -20 0' u='1 0 0' v='0 0 1' depth='40'>"
                        "<known by='guess' uncertainty='5'/>"
                        "<corner at='-50 -30'/><corner at='50 -30'/><corner at='50 30'/>"
                        "<corner at='-50 30'/></outline>"},
    [TB_NEW_LINE] = {"line", N_("Line"),
                     "<line id='%s' name='%s' class='hose' mount='%s' role='hose' diameter='12'>"
                     "<known by='guess' uncertainty='5'/>"
                     "<path><knot at='-80 0 0'/><knot at='0 0 20'/><knot at='80 0 0'/></path>"
                     "</line>"},
};

const char *
tb_new_item_name(TbNewItem kind)
{
    return _(presets[kind].name);
}

/* "block", "block-2" ...: not in the bay yet. */
static char *
fresh_id(const TbBay *bay, const char *stem, int *number)
{
    for (*number = 1;; ++*number) {
        char *id = *number == 1 ? g_strdup(stem) : g_strdup_printf("%s-%d", stem, *number);

        if (tb_bay_find(bay, id) == NULL)
            return id;
        g_free(id);
    }
}

static const char *
base_mount(const TbBay *bay)
{
    return tb_bay_mount(bay, "body") != NULL ? "body" : tb_bay_mount_at(bay, 0)->record.id;
}

static TbVec3
where_planes_meet(TbSession *session)
{
    return tb_vec3(tb_session_cut(session, TB_SCENE_FRONT).at,
                   tb_session_cut(session, TB_SCENE_SIDE).at,
                   tb_session_cut(session, TB_SCENE_PLAN).at);
}

/* A name that no other item has: with the id's number behind it. */
static char *
fresh_name(const char *name, int number)
{
    return number == 1 ? g_strdup(name) : g_strdup_printf("%s %d", name, number);
}

bool
tb_item_add(TbSession *session, TbNewItem kind)
{
    const TbBay *bay = tb_session_bay(session);
    int number;
    g_autofree char *id = fresh_id(bay, presets[kind].stem, &number);
    g_autofree char *name = fresh_name(_(presets[kind].name), number);
    g_autofree char *escaped = g_markup_escape_text(name, -1);
    g_autofree char *element = NULL;
    TbBay *added = NULL, *next = NULL;
    TbFault fault = {0};
    TbStatus status;
    bool done;

#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wformat-nonliteral"
    element = g_strdup_printf(presets[kind].element, id, escaped, base_mount(bay));
#pragma GCC diagnostic pop
    status = tb_edit_add(bay, element, &added, &fault);
    if (status == TB_OK)
        status = tb_edit_move_item(added, id, where_planes_meet(session), &next, &fault);
    tb_bay_unref(added);
    done = settle(session, status, next, g_strdup_printf(_("add %s"), name), &fault);
    if (done)
        tb_session_select(session, id);
    return done;
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
    int number;
    g_autofree char *id = fresh_id(bay, "scan", &number);
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
                                      id, base, base_mount(bay), path);
    status = tb_edit_add(bay, element, &next, &fault);
    done = settle(session, status, next, g_strdup_printf(_("add %s"), base), &fault);
    if (done)
        tb_session_select(session, id);
    return done;
}
