/* SPDX-License-Identifier: GPL-3.0-or-later */

/* The tool in hand, for whichever pane the pointer is over. */

#include "app/item_acts.h"
#include "app/item_words.h"
#include "app/session_tool_private.h"
#include "bay/edit.h"

#include <glib/gi18n.h>
#include <math.h>
#include <string.h>

TbToolState *
tb_session__tool(TbSession *session)
{
    if (session->tool == NULL) {
        session->tool = g_new0(TbToolState, 1);
        session->tool->sketch = tb_sketch_new();
        session->tool->measuring = tb_measuring_new();
        session->tool->points = g_array_new(FALSE, TRUE, sizeof(TbSnapPoint));
        g_array_set_clear_func(session->tool->points, tb_session__clear_snap_point);
    }
    return session->tool;
}

void
tb_session__tool_free(TbToolState *state)
{
    if (state == NULL)
        return;
    for (int i = 0; i < TB_SLOT_COUNT; i++) {
        tb_snap_index_free(state->index[i]);
        g_free(state->without[i]);
    }
    g_array_unref(state->points);
    tb_sketch_free(state->sketch);
    tb_measuring_free(state->measuring);
    g_free(state->points_variant);
    tb_shown_unref(state->points_shown);
    g_free(state->aim_item);
    g_free(state->aim_under);
    g_free(state->typing);
    g_free(state);
}

TbSketch *
tb_session_sketch(TbSession *session)
{
    return tb_session__tool(session)->sketch;
}

const TbMeasuring *
tb_session_measuring(TbSession *session)
{
    return tb_session__tool(session)->measuring;
}

TbTool
tb_session_tool(TbSession *session)
{
    return session->tool == NULL ? TB_TOOL_NONE : session->tool->sketch->tool;
}

/* ---- the document that would be ---- */

/* Two picked items that no keep speaks of: one that does, for as long as they are picked. */
static TbBay *
bay_with_keep(TbSession *session, const TbMeasuring *measuring)
{
    const char *a = measuring->picks[0].item, *b = measuring->picks[1].item;
    const char *state = tb_session_state(session);
    g_autofree char *keep = NULL;
    TbBay *next = NULL;

    if (tb_measuring_gap(tb_session_results(session), a, b, state, tb_session_variant(session)) !=
            NULL ||
        state == NULL)
        return NULL;
    keep = g_strdup_printf("<keep id=\"measured-%s-%s\" item-a=\"%s\" item-b=\"%s\">"
                           "<wanted state=\"%s\" gap=\"0\"/></keep>",
                           a, b, a, b, state);
    tb_edit_add(tb_session_bay(session), keep, &next, NULL);
    return next;
}

/* Shows what would be, or the present document where there is nothing yet. */
static void
preview(TbSession *session)
{
    TbToolState *tool = tb_session__tool(session);
    TbBay *next = NULL;

    if (tool->sketch->tool == TB_TOOL_MEASURE) {
        if (!tb_measuring_wants_gap(tool->measuring) || session->preview != NULL)
            return;
        next = bay_with_keep(session, tool->measuring);
    } else if (tool->sketch->tool != TB_TOOL_NONE) {
        tb_sketch_bay(tool->sketch, tb_session_bay(session), tb_session_variant(session), &next,
                      NULL);
    }
    tb_session_preview(session, next);
    tb_bay_unref(next);
}

static void
changed(TbSession *session)
{
    tb_session__changed(session, TB_SESSION_TOOL | TB_SESSION_STATUS);
}

/* A refusal stands until the next thing is aimed at. */
static void
say(TbSession *session, const char *why)
{
    tb_session__tool(session)->said = true;
    tb_session_say(session, why);
}

static void
unsay(TbSession *session)
{
    TbToolState *tool = tb_session__tool(session);

    if (tool->said)
        tb_session_say(session, "");
    tool->said = false;
}

static char *
today(void)
{
    g_autoptr(GDateTime) now = g_date_time_new_now_local();

    return g_date_time_format(now, "%Y-%m-%d");
}

void
tb_session_set_tool(TbSession *session, TbTool tool)
{
    TbToolState *state = tb_session__tool(session);
    const TbItem *selected = tb_bay_item(tb_session_bay(session), tb_session_selected(session));
    TbSketchFacts *facts = &state->sketch->facts;

    unsay(session);
    g_clear_pointer(&state->typing, g_free);
    state->has_aim = false;
    tb_measuring_clear(state->measuring);
    tb_sketch_begin(state->sketch, tool);
    tb_sketch_choose_id(state->sketch, tb_session_bay(session));
    g_free(state->sketch->item);
    state->sketch->item =
        g_strdup(selected != NULL && tb_item_has_path(selected) ? selected->record.id
                                                                : tb_session_cursor_item(session));
    g_free(facts->date);
    facts->date = today();
    if (tb_bay_mount(tb_session_bay(session), facts->mount) == NULL &&
        tb_bay_count(tb_session_bay(session), TB_LIST_MOUNTS) > 0) {
        g_free(facts->mount);
        facts->mount = g_strdup(tb_bay_mount_at(tb_session_bay(session), 0)->record.id);
    }
    tb_session_preview(session, NULL);
    changed(session);
}

void
tb_session_tool_facts_changed(TbSession *session)
{
    preview(session);
    changed(session);
}

/* ---- aiming ---- */

static TbVec3
measured_place(TbPlane plane, const TbSnap *snap)
{
    return tb_vec3_add_scaled(tb_plane_lift(plane, snap->at),
                              isnan(snap->height) ? 0 : snap->height, plane.n);
}

static void
aim_measure(TbToolState *tool, TbSnapIndex *index, const TbSnap *snap, TbVec2 pointer)
{
    const char *under = tb_snap_item_at(index, pointer);

    tool->measure_snap = *snap;
    tool->measure_snap.item = tool->measure_snap.port = NULL;
    tool->has_aim = true;
    g_free(tool->aim_item);
    g_free(tool->aim_under);
    tool->aim_item = g_strdup(snap->item);
    tool->aim_under = g_strdup(under);
    tb_measuring_aim(tool->measuring, tb_snap_index_scene(index)->plane,
                     measured_place(tb_snap_index_scene(index)->plane, snap));
}

void
tb_session_tool_aim(TbSession *session, int slot, TbVec2 pointer, const TbSnap *snap)
{
    TbToolState *tool = tb_session__tool(session);
    TbSnapIndex *index = tb_session__snap_index(session, slot);

    if (index == NULL)
        return;
    unsay(session);
    tool->slot = slot;
    if (tool->sketch->tool == TB_TOOL_MEASURE) {
        aim_measure(tool, index, snap, pointer);
    } else {
        tb_sketch_aim(tool->sketch, tb_snap_index_scene(index)->plane, pointer, snap->at,
                      snap->port, snap->height);
        preview(session);
    }
    changed(session);
}

void
tb_session_tool_leave(TbSession *session)
{
    TbToolState *tool = tb_session__tool(session);

    if (tool->sketch->tool == TB_TOOL_NONE || !tool->sketch->aim.is)
        return;
    tb_sketch_aim_away(tool->sketch);
    preview(session);
    changed(session);
}

TbStatus
tb_session_tool_type(TbSession *session, int slot, const char *text, TbFault *fault)
{
    TbToolState *tool = tb_session__tool(session);
    TbSnapIndex *index = tb_session__snap_index(session, slot);
    TbStatus status;

    if (index == NULL)
        return tb_fail(fault, TB_E_REFERENCE, "%s", _("there is no cut to draw on"));
    status = tb_sketch_aim_typed(tool->sketch, tb_snap_index_scene(index)->plane, text,
                                 tb_session_unit(session), fault);
    if (status == TB_OK) {
        preview(session);
        changed(session);
    }
    return status;
}

void
tb_session_tool_start_typing(TbSession *session, int slot, const char *first)
{
    TbToolState *tool = tb_session__tool(session);

    g_free(tool->typing);
    tool->typing = g_strdup(first);
    tool->slot = slot;
    changed(session);
}

const char *
tb_session_tool_typing(TbSession *session, int *slot)
{
    TbToolState *tool = tb_session__tool(session);

    if (slot != NULL)
        *slot = tool->slot;
    return tool->typing;
}

void
tb_session_tool_stop_typing(TbSession *session)
{
    TbToolState *tool = tb_session__tool(session);

    if (tool->typing == NULL)
        return;
    g_clear_pointer(&tool->typing, g_free);
    changed(session);
}

void
tb_session_tool_aim_point(TbSession *session, int slot, TbVec3 at)
{
    TbSnapIndex *index = tb_session__snap_index(session, slot);

    if (index == NULL)
        return;
    tb_sketch_aim_point(tb_session__tool(session)->sketch, tb_snap_index_scene(index)->plane, at);
    preview(session);
    changed(session);
}

/* ---- setting ---- */

/* Into the document, and ready for the next one of its kind. */
static void
commit(TbSession *session)
{
    TbToolState *tool = tb_session__tool(session);
    TbSketch *sketch = tool->sketch;
    TbFault fault = {0};
    TbBay *next = NULL;
    g_autofree char *act = NULL;
    g_autofree char *id = g_strdup(sketch->tool == TB_TOOL_KNOTS ? sketch->item : NULL);

    if (tb_sketch_bay(sketch, tb_session_bay(session), tb_session_variant(session), &next,
                      &fault) != TB_OK) {
        say(session, fault.text);
        return;
    }
    act = tb_sketch_act(sketch, tb_session_bay(session));
    if (id == NULL)
        id = g_strdup(sketch->id);
    tb_sketch_begin(sketch, sketch->tool);
    tb_session_preview(session, NULL);
    tb_session_edit(session, next, act, 0);
    tb_sketch_choose_id(sketch, tb_session_bay(session));
    tb_session_select(session, id);
}

static void
take_step(TbSession *session, TbSketchStep step, const TbFault *fault)
{
    if (step == TB_SKETCH_REFUSED)
        say(session, fault->text);
    else if (step == TB_SKETCH_DONE)
        commit(session);
    else
        preview(session);
    changed(session);
}

static void
pick(TbSession *session, bool whole)
{
    TbToolState *tool = tb_session__tool(session);
    const TbSnap *snap = &tool->measure_snap;
    TbSnapIndex *index = tb_session__snap_index(session, tool->slot);
    TbPlane plane;
    TbPick picked = {.label = (char *)(uintptr_t)snap->label};

    if (index == NULL || !tool->has_aim)
        return;
    plane = tb_snap_index_scene(index)->plane;
    picked.at = measured_place(plane, snap);
    picked.item = tool->aim_item;
    if (whole || (snap->kind <= TB_SNAP_ANGLE && tool->aim_under != NULL)) {
        picked.kind = TB_PICK_ITEM;
        picked.item = snap->kind >= TB_SNAP_EDGE ? tool->aim_item : tool->aim_under;
        picked.label = (char *)(uintptr_t)tb_session__item_name(session, picked.item);
    } else if (snap->kind == TB_SNAP_EDGE) {
        picked.kind = TB_PICK_EDGE;
        picked.along = tb_vec3_add(tb_vec3_scale(plane.u, snap->along.x),
                                   tb_vec3_scale(plane.v, snap->along.y));
    }
    if (picked.kind == TB_PICK_ITEM && picked.item == NULL)
        picked.kind = TB_PICK_POINT;
    tb_session_preview(session, NULL);
    tb_measuring_pick(tool->measuring, plane, &picked);
    preview(session);
    changed(session);
}

void
tb_session_tool_set(TbSession *session, bool whole)
{
    TbFault fault = {0};
    TbTool tool = tb_session_tool(session);

    if (tool == TB_TOOL_MEASURE)
        pick(session, whole);
    else if (tool != TB_TOOL_NONE)
        take_step(session, tb_sketch_set(session->tool->sketch, &fault), &fault);
}

void
tb_session_tool_finish(TbSession *session)
{
    TbFault fault = {0};
    TbTool tool = tb_session_tool(session);

    if (tool != TB_TOOL_NONE && tool != TB_TOOL_MEASURE)
        take_step(session, tb_sketch_finish(session->tool->sketch, &fault), &fault);
}

bool
tb_session_tool_back(TbSession *session)
{
    if (session->tool == NULL || !tb_sketch_back(session->tool->sketch))
        return false;
    preview(session);
    changed(session);
    return true;
}

bool
tb_session_tool_cancel(TbSession *session)
{
    TbToolState *tool = session->tool;

    if (tool == NULL || tool->sketch->tool == TB_TOOL_NONE)
        return false;
    tb_session_set_tool(session, tb_sketch_is_begun(tool->sketch) || tool->measuring->count > 0
                                     ? tool->sketch->tool
                                     : TB_TOOL_NONE);
    return true;
}

int
tb_session_tool_grab(TbSession *session, int slot, double ratio, TbVec2 at)
{
    TbSnapIndex *index = tb_session__snap_index(session, slot);
    const TbSketch *sketch = tb_session__tool(session)->sketch;

    if (index == NULL)
        return -1;
    return tb_sketch_point_at(sketch, tb_snap_index_scene(index)->plane, at,
                              TB_SNAP_RADIUS / ratio);
}

void
tb_session_tool_drag(TbSession *session, int slot, int point, TbVec2 to)
{
    TbSnapIndex *index = tb_session__snap_index(session, slot);

    if (index == NULL)
        return;
    tb_sketch_aim_away(tb_session__tool(session)->sketch);
    tb_sketch_move_point(tb_session__tool(session)->sketch, point,
                         tb_snap_index_scene(index)->plane, to);
    preview(session);
    changed(session);
}
