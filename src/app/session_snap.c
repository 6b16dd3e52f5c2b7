/* SPDX-License-Identifier: GPL-3.0-or-later */

/* What the pointer of a tool can snap to: the shown outlines, the bay's places, the sketch's own.
 */

#include "app/item_acts.h"
#include "app/session_tool_private.h"
#include "app/shown_unit.h"
#include "base/mem.h"
#include "bay/handles.h"
#include "bay/ports.h"

#include <glib/gi18n.h>
#include <string.h>

void
tb_session__clear_snap_point(void *data)
{
    TbSnapPoint *point = data;

    g_free(point->label);
    g_free(point->item);
    g_free(point->port);
}

static void
add_snap_point(GArray *points, TbVec3 at, const char *item, const char *port, char *label)
{
    TbSnapPoint point = {at, label, g_strdup(item), g_strdup(port)};

    g_array_append_val(points, point);
}

/* Points are where they are drawn: a port goes with its owner's growth. */
static void
add_ports(GArray *points, TbSession *session, const char *variant)
{
    const TbBay *bay = tb_session_bay(session);

    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_PORTS); i++) {
        const TbPort *port = tb_bay_port_at(bay, i);
        TbPortPlace place;

        if (tb_bay_port_place(bay, variant, port->record.id, &place, NULL) == TB_OK)
            add_snap_point(points,
                           tb_pose_point(tb_session_pose(session, port->owner), place.point),
                           port->owner, port->record.id,
                           g_strdup_printf(_("port %s"), tb_record_title(bay, port->record.id)));
    }
}

/* Words for a handle that is a place; NULL for those that are not. */
static char *
handle_label(const TbHandle *handle, const char *name)
{
    switch (handle->kind) {
    case TB_HANDLE_KNOT:
        return g_strdup_printf(_("knot %zu of %s"), handle->index + 1, name);
    case TB_HANDLE_BLOCK_CORNER:
    case TB_HANDLE_OUTLINE_CORNER:
        return g_strdup_printf(_("corner of %s"), name);
    case TB_HANDLE_ROD_END:
        return g_strdup_printf(_("end of %s"), name);
    case TB_HANDLE_ITEM:
        return g_strdup_printf(_("middle of %s"), name);
    case TB_HANDLE_TANGENT:
    case TB_HANDLE_SECTION:
    case TB_HANDLE_PORT:
    case TB_HANDLE_FLOW:
    case TB_HANDLE_SHAFT:
    case TB_HANDLE_HOUSING:
    case TB_HANDLE_BLOCK_FACE:
    case TB_HANDLE_ROD_RADIUS:
    case TB_HANDLE_BALL_RADIUS:
    case TB_HANDLE_OUTLINE_DEPTH:
    case TB_HANDLE_TURN:
    case TB_HANDLE_BOLTS:
    case TB_HANDLE_CLAMP:
        break;
    }
    return NULL;
}

static void
add_handles(GArray *points, TbSession *session, const TbItem *item)
{
    TbPose pose = tb_session_pose(session, item->record.id);
    TbHandle *handles = NULL;
    size_t count = 0;

    if (tb_session_is_hidden(session, item->record.id) ||
        tb_bay_handles(tb_session_bay(session), tb_session_variant(session), item->record.id,
                       &handles, &count, NULL) != TB_OK)
        return;
    for (size_t i = 0; i < count; i++) {
        char *label =
            handle_label(&handles[i], tb_record_title(tb_session_bay(session), item->record.id));

        if (label != NULL)
            add_snap_point(points, tb_pose_point(pose, handles[i].point), item->record.id, NULL,
                           label);
    }
    tb_free(handles);
}

/* Two answers draw everything in the same places. */
static bool
same_places(const TbShown *a, const TbShown *b)
{
    size_t count = a == NULL ? 0 : a->grown_count;

    if (a == b)
        return true;
    if (count != (b == NULL ? 0 : b->grown_count))
        return false;
    for (size_t i = 0; i < count; i++)
        if (g_strcmp0(a->grown[i].item, b->grown[i].item) != 0 ||
            memcmp(&a->grown[i].pose, &b->grown[i].pose, sizeof(TbPose)) != 0)
            return false;
    return true;
}

static void
collect_points(TbSession *session, TbToolState *tool)
{
    const TbBay *bay = tb_session_bay(session);
    TbShown *shown = tb_session_shown(session);

    if (tool->points_node == bay->node &&
        g_strcmp0(tool->points_variant, tb_session_variant(session)) == 0 &&
        same_places(tool->points_shown, shown))
        return;
    tb_shown_unref(tool->points_shown);
    tool->points_shown = shown == NULL ? NULL : tb_shown_ref(shown);
    g_array_set_size(tool->points, 0);
    tool->points_node = bay->node;
    g_free(tool->points_variant);
    tool->points_variant = g_strdup(tb_session_variant(session));
    /* ports first: of points in one place the first goes */
    add_ports(tool->points, session, tool->points_variant);
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_ITEMS); i++)
        add_handles(tool->points, session, tb_bay_item_at(bay, i));
}

/* The bay's points and the sketch's own, lent. */
static GArray *
all_points(const TbToolState *tool)
{
    GArray *all = g_array_new(FALSE, FALSE, sizeof(TbSnapPoint));
    const TbSketch *sketch = tool->sketch;

    for (guint i = 0; i < sketch->points->len; i++) {
        TbSnapPoint own = {.at = g_array_index(sketch->points, TbSketchPoint, i).at,
                           .label = i == 0                         ? _("first point")
                                    : i + 1 == sketch->points->len ? _("last point")
                                                                   : _("point of this sketch")};

        g_array_append_val(all, own);
    }
    g_array_append_vals(all, tool->points->data, tool->points->len);
    return all;
}

TbSnapIndex *
tb_session__snap_index(TbSession *session, int slot)
{
    TbToolState *tool = tb_session__tool(session);
    TbScene *scene = tb_session_scene(session, slot, NULL);
    const TbSketch *sketch = tool->sketch;
    const char *without = sketch->tool == TB_TOOL_KNOTS ? sketch->item : sketch->id;

    if (scene == NULL)
        return NULL;
    if (tool->index[slot] == NULL || tb_snap_index_scene(tool->index[slot]) != scene ||
        g_strcmp0(tool->without[slot], without) != 0) {
        tb_snap_index_free(tool->index[slot]);
        tool->index[slot] = tb_snap_index_new(scene, without);
        g_free(tool->without[slot]);
        tool->without[slot] = g_strdup(without);
    }
    return tool->index[slot];
}

bool
tb_session_snap(TbSession *session, int slot, double ratio, TbVec2 pointer, bool off, TbSnap *snap)
{
    TbToolState *tool = tb_session__tool(session);
    TbSnapIndex *index = tb_session__snap_index(session, slot);
    g_autoptr(GArray) points = NULL;
    TbSnapAsk ask;

    if (index == NULL)
        return false;
    collect_points(session, tool);
    points = all_points(tool);
    ask = (TbSnapAsk){.index = index,
                      .plane = tb_snap_index_scene(index)->plane,
                      .ratio = ratio,
                      .unit = tb_shown_unit(tb_session_bay(session)),
                      .points = (const TbSnapPoint *)(const void *)points->data,
                      .point_count = points->len,
                      .off = off};
    if (tool->sketch->points->len > 0 && tool->sketch->stage == TB_SKETCH_POINTS &&
        tool->sketch->tool != TB_TOOL_BLOCK) {
        ask.has_last = true;
        ask.last = tb_plane_project(
            ask.plane,
            g_array_index(tool->sketch->points, TbSketchPoint, tool->sketch->points->len - 1).at);
    }
    tb_snap(&ask, pointer, snap);
    return true;
}
