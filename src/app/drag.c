/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/drag.h"

#include <glib/gi18n.h>
#include <math.h>
#include <string.h>

void
tb_drag_init(TbDrag *drag, TbSession *session)
{
    *drag = (TbDrag){.session = session};
}

/* Nothing is held any more. */
static void
let_go(TbDrag *drag)
{
    TbSession *session = drag->session;

    tb_bay_unref(drag->bay);
    g_free(drag->item);
    g_free(drag->variant);
    g_free(drag->port);
    g_free(drag->what);
    tb_drag_init(drag, session);
}

void
tb_drag_clear(TbDrag *drag)
{
    tb_drag_cancel(drag);
}

bool
tb_drag_is_running(const TbDrag *drag)
{
    return drag->kind != TB_DRAG_NONE && drag->begun;
}

/* ---- pressing ---- */

static void
begin(TbDrag *drag, TbDragKind kind, TbVec2 at)
{
    tb_drag_cancel(drag);
    drag->kind = kind;
    drag->press = at;
    drag->bay = tb_bay_ref(tb_session_bay(drag->session));
    drag->variant = g_strdup(tb_session_variant(drag->session));
}

void
tb_drag_press(TbDrag *drag, TbVec2 at)
{
    begin(drag, TB_DRAG_PRESS, at);
}

static const char *
name_of(const TbBay *bay, const char *item)
{
    const TbItem *found = tb_bay_item(bay, item);

    return found == NULL || found->record.name == NULL ? item : found->record.name;
}

/* The handle of a number, its lent text made our own by the caller. */
static bool
handle_at(TbSession *session, const char *item, size_t number, TbHandle *handle)
{
    size_t count;
    const TbHandle *all = tb_session_handles(session, item, &count);

    if (number < count)
        *handle = all[number];
    return number < count;
}

/* "move knot 3 of Turbine outlet" */
static char *
name_of_step(const TbBay *bay, const char *item, const TbHandle *handle)
{
    g_autofree char *name = tb_drag_handle_name(handle);

    if (handle->kind == TB_HANDLE_ITEM)
        return g_strdup_printf(_("move %s"), name_of(bay, item));
    if (handle->kind == TB_HANDLE_TURN)
        return g_strdup_printf(_("turn %s"), name_of(bay, item));
    if (handle->kind == TB_HANDLE_BOLTS || handle->kind == TB_HANDLE_CLAMP)
        return g_strdup_printf(_("turn %s"), name);
    /* Translators: "move knot 3 of Turbine outlet" */
    return g_strdup_printf(_("move %s of %s"), name, name_of(bay, item));
}

bool
tb_drag_press_handle(TbDrag *drag, const char *item, size_t number, TbPlane plane, TbVec2 at)
{
    TbHandle handle;

    if (!handle_at(drag->session, item, number, &handle))
        return false;
    begin(drag, TB_DRAG_HANDLE, at);
    drag->handle = handle;
    drag->port = g_strdup(handle.id);
    drag->handle.id = drag->port;
    drag->item = g_strdup(item);
    drag->pose = tb_session_pose(drag->session, item);
    drag->plane = plane;
    drag->what = name_of_step(drag->bay, item, &handle);
    return true;
}

static char *
name_of_change(const TbBay *bay, const char *duct, const TbPartGrip *grip)
{
    static const char *const parts[] = {
        [TB_SECTION_PART_WIDTH] = N_("width"),       [TB_SECTION_PART_HEIGHT] = N_("height"),
        [TB_SECTION_PART_RIGHT] = N_("right side"),  [TB_SECTION_PART_LEFT] = N_("left side"),
        [TB_SECTION_PART_UP] = N_("upper side"),     [TB_SECTION_PART_DOWN] = N_("lower side"),
        [TB_SECTION_PART_TURN] = N_("turn"),         [TB_SECTION_PART_CORNER] = N_("corners"),
        [TB_SECTION_PART_EXPONENT] = N_("exponent"), [TB_SECTION_PART_STATION] = N_("station")};

    /* Translators: "change width of section 3 of Turbine outlet" */
    return g_strdup_printf(_("change %s of section %zu of %s"), _(parts[grip->part]), grip->row + 1,
                           name_of(bay, duct));
}

void
tb_drag_press_part(TbDrag *drag, const char *duct, TbPartGrip grip, TbVec2 at)
{
    begin(drag, TB_DRAG_PART, at);
    drag->item = g_strdup(duct);
    drag->grip = grip;
    drag->what = name_of_change(drag->bay, duct, &grip);
}

void
tb_drag_press_plane(TbDrag *drag, TbSceneView moved, TbPlane plane, TbVec2 at)
{
    begin(drag, TB_DRAG_PLANE, at);
    drag->moved = tb_session_cut(drag->session, moved);
    drag->moved.item = NULL;
    drag->plane = plane;
}

void
tb_drag_press_cursor(TbDrag *drag, TbVec2 at)
{
    begin(drag, TB_DRAG_CURSOR, at);
    drag->item = g_strdup(tb_session_cursor_item(drag->session));
}

/* ---- arithmetic ---- */

TbVec2
tb_drag_one_axis(TbVec2 by)
{
    return fabs(by.x) >= fabs(by.y) ? tb_vec2(by.x, 0) : tb_vec2(0, by.y);
}

static bool
slides(TbHandleKind kind)
{
    switch (kind) {
    case TB_HANDLE_SECTION:
    case TB_HANDLE_BLOCK_FACE:
    case TB_HANDLE_ROD_RADIUS:
    case TB_HANDLE_BALL_RADIUS:
    case TB_HANDLE_OUTLINE_DEPTH:
        return true;
    case TB_HANDLE_ITEM:
    case TB_HANDLE_KNOT:
    case TB_HANDLE_TANGENT:
    case TB_HANDLE_PORT:
    case TB_HANDLE_FLOW:
    case TB_HANDLE_SHAFT:
    case TB_HANDLE_HOUSING:
    case TB_HANDLE_BLOCK_CORNER:
    case TB_HANDLE_ROD_END:
    case TB_HANDLE_OUTLINE_CORNER:
    case TB_HANDLE_TURN:
    case TB_HANDLE_BOLTS:
    case TB_HANDLE_CLAMP:
        break;
    }
    return false;
}

/** A direction that looks shorter than this share of itself cannot be followed on paper. */
#define INTO_PAPER 0.1

TbVec3
tb_drag_target(const TbHandle *handle, TbPlane plane, TbVec2 by)
{
    TbVec2 along = {tb_vec3_dot(handle->direction, plane.u),
                    tb_vec3_dot(handle->direction, plane.v)};
    double length = tb_vec2_length(along);

    if (!slides(handle->kind))
        return tb_vec3_add_scaled(tb_vec3_add_scaled(handle->point, by.x, plane.u), by.y, plane.v);
    if (length < INTO_PAPER)
        return handle->point;
    return tb_vec3_add_scaled(handle->point, tb_vec2_dot(by, along) / (length * length),
                              handle->direction);
}

TbHandle
tb_drag_shown_handle(TbPose pose, const TbHandle *handle)
{
    TbHandle shown = *handle;

    shown.point = tb_pose_point(pose, handle->point);
    shown.direction = tb_pose_direction(pose, handle->direction);
    shown.axis = tb_pose_direction(pose, handle->axis);
    return shown;
}

TbVec3
tb_drag_target_in(TbPose pose, const TbHandle *handle, TbPlane plane, TbVec2 by)
{
    TbHandle shown = tb_drag_shown_handle(pose, handle);

    return tb_pose_point(tb_pose_inverse(pose), tb_drag_target(&shown, plane, by));
}

double
tb_drag_part_value(const TbPartGrip *grip, TbVec2 press, TbVec2 at)
{
    if (grip->part == TB_SECTION_PART_TURN) {
        TbVec2 from = grip->at;
        TbVec2 to = tb_vec2_add(grip->at, tb_vec2_sub(at, press));
        /* right-handed about the path, which runs into the paper: clockwise as it is seen */
        double angle = atan2(from.y, from.x) - atan2(to.y, to.x);

        return grip->value + remainder(angle, 2 * M_PI) * 180 / M_PI;
    }
    return grip->value + grip->per_mm * tb_vec2_dot(tb_vec2_sub(at, press), grip->along);
}

double
tb_drag_stepped(double value)
{
    /* adding 0 makes 0 of -0 */
    return round(value / TB_DRAG_PLANE_STEP) * TB_DRAG_PLANE_STEP + 0.0;
}

double
tb_drag_station(const TbScene *scene, const char *item, TbVec2 at)
{
    double least = HUGE_VAL;
    double station = NAN;

    for (size_t i = 0; i < scene->line_count; i++) {
        const TbSceneLine *line = &scene->lines[i];

        if (line->station == NULL || strcmp(line->tag, item) != 0)
            continue;
        for (size_t k = 0; k + 1 < line->count; k++) {
            TbVec2 d = tb_vec2_sub(line->points[k + 1], line->points[k]);
            double length2 = tb_vec2_dot(d, d);
            double share =
                length2 > 0 ? tb_vec2_dot(d, tb_vec2_sub(at, line->points[k])) / length2 : 0;
            double off;

            share = fmin(1, fmax(0, share));
            off = tb_vec2_length(
                tb_vec2_sub(at, tb_vec2_add(line->points[k], tb_vec2_scale(d, share))));
            if (off < least) {
                least = off;
                station = line->station[k] + share * (line->station[k + 1] - line->station[k]);
            }
        }
    }
    return station;
}

/* ---- moving ---- */

static void
edit(TbDrag *drag, TbStatus status, TbBay *next)
{
    if (status != TB_OK)
        return;
    drag->refused.text[0] = '\0';
    if (drag->group == 0) {
        drag->group = tb_session_group(drag->session);
        tb_session_hold(drag->session);
    }
    tb_session_edit(drag->session, next, drag->what, drag->group);
}

static void
move_handle(TbDrag *drag, TbVec2 by)
{
    TbBay *next = NULL;
    TbVec3 to = tb_drag_target_in(drag->pose, &drag->handle, drag->plane, by);
    TbStatus status = tb_edit_drag_handle(drag->bay, drag->variant, drag->item, &drag->handle, to,
                                          &next, &drag->refused);

    edit(drag, status, next);
}

static void
move_part(TbDrag *drag, TbVec2 by)
{
    double value = tb_drag_part_value(&drag->grip, drag->press, tb_vec2_add(drag->press, by));
    TbBay *next = NULL;
    TbStatus status;

    value = tb_drag_stepped(value);
    status = tb_edit_drag_section(drag->bay, drag->variant, drag->item, drag->grip.row,
                                  drag->grip.part, value, &next, &drag->refused);
    edit(drag, status, next);
}

/* The plane goes through the pointer, however the cut lies to it. */
static void
move_plane(TbDrag *drag, TbVec2 by)
{
    TbVec3 way = tb_vec3_add_scaled(tb_vec3_scale(drag->plane.u, by.x), by.y, drag->plane.v);
    TbCutAsk moved = drag->moved;

    switch (moved.view) {
    case TB_SCENE_SIDE:
        tb_session_set_plane(drag->session, moved.view, tb_drag_stepped(moved.at + way.y));
        break;
    case TB_SCENE_PLAN:
        tb_session_set_plane(drag->session, moved.view, tb_drag_stepped(moved.at + way.z));
        break;
    case TB_SCENE_FRONT:
        tb_session_set_plane(drag->session, moved.view, tb_drag_stepped(moved.at + way.x));
        break;
    case TB_SCENE_FREE: {
        TbVec3 n = tb_vec3_unit(moved.look);

        moved.point = tb_vec3_add_scaled(moved.point, tb_drag_stepped(tb_vec3_dot(way, n)), n);
        tb_session_set_free_plane(drag->session, &moved);
        break;
    }
    case TB_SCENE_ACROSS:
        break;
    }
}

static void
move_cursor(TbDrag *drag, TbVec2 at, const TbScene *scene)
{
    double station;

    if (scene == NULL || drag->item == NULL)
        return;
    station = tb_drag_station(scene, drag->item, at);
    if (!isnan(station))
        tb_session_set_cursor(drag->session, drag->item, tb_drag_stepped(station));
}

bool
tb_drag_move(TbDrag *drag, TbVec2 at, double ratio, bool one_axis, const TbScene *scene)
{
    TbVec2 by = tb_vec2_sub(at, drag->press);

    if (drag->kind == TB_DRAG_NONE)
        return false;
    if (!drag->begun && tb_vec2_length(by) * ratio < TB_DRAG_DEAD)
        return false;
    drag->begun = true;
    if (one_axis)
        by = tb_drag_one_axis(by);
    switch (drag->kind) {
    case TB_DRAG_HANDLE:
        move_handle(drag, by);
        return true;
    case TB_DRAG_PART:
        move_part(drag, by);
        return true;
    case TB_DRAG_PLANE:
        move_plane(drag, by);
        return true;
    case TB_DRAG_CURSOR:
        move_cursor(drag, at, scene);
        return true;
    case TB_DRAG_PRESS:
    case TB_DRAG_NONE:
        break;
    }
    return false;
}

bool
tb_drag_release(TbDrag *drag)
{
    bool click = drag->kind != TB_DRAG_NONE && !drag->begun;

    if (drag->group != 0)
        tb_session_release(drag->session);
    let_go(drag);
    return click;
}

void
tb_drag_cancel(TbDrag *drag)
{
    if (drag->group != 0) {
        tb_session_abandon(drag->session, drag->group);
        tb_session_release(drag->session);
    }
    if (drag->kind == TB_DRAG_PLANE && drag->begun) {
        if (drag->moved.view == TB_SCENE_FREE)
            tb_session_set_free_plane(drag->session, &drag->moved);
        else
            tb_session_set_plane(drag->session, drag->moved.view, drag->moved.at);
    }
    let_go(drag);
}

/* ---- keys ---- */

bool
tb_drag_nudge(TbSession *session,
              const char *item,
              size_t number,
              TbPlane plane,
              TbVec2 by,
              int group,
              TbFault *fault)
{
    TbBay *bay = tb_session_bay(session);
    g_autofree char *what = NULL;
    TbHandle handle;
    TbBay *next = NULL;

    if (!handle_at(session, item, number, &handle))
        return false;
    if (tb_edit_drag_handle(bay, tb_session_variant(session), item, &handle,
                            tb_drag_target_in(tb_session_pose(session, item), &handle, plane, by),
                            &next, fault) != TB_OK)
        return false;
    what = name_of_step(bay, item, &handle);
    tb_session_edit(session, next, what, group);
    return true;
}

bool
tb_drag_nudge_part(TbSession *session,
                   const char *duct,
                   const TbPartGrip *grip,
                   TbVec2 by,
                   int group,
                   TbFault *fault)
{
    TbBay *bay = tb_session_bay(session);
    g_autofree char *what = NULL;
    TbBay *next = NULL;

    if (tb_edit_drag_section(bay, tb_session_variant(session), duct, grip->row, grip->part,
                             tb_drag_part_value(grip, tb_vec2(0, 0), by), &next, fault) != TB_OK)
        return false;
    what = name_of_change(bay, duct, grip);
    tb_session_edit(session, next, what, group);
    return true;
}

/* ---- names ---- */

char *
tb_drag_handle_name(const TbHandle *handle)
{
    size_t number = handle->index + 1;

    switch (handle->kind) {
    case TB_HANDLE_ITEM:
        return g_strdup(_("the whole item"));
    case TB_HANDLE_KNOT:
        return g_strdup_printf(_("knot %zu"), number);
    case TB_HANDLE_TANGENT:
        return g_strdup(handle->index == 0 ? _("start direction") : _("end direction"));
    case TB_HANDLE_SECTION:
        return g_strdup_printf(_("section %zu"), number);
    case TB_HANDLE_PORT:
        return g_strdup_printf(_("port %s"), handle->id);
    case TB_HANDLE_FLOW:
        return g_strdup_printf(_("flow of port %s"), handle->id);
    case TB_HANDLE_SHAFT:
        return g_strdup(_("shaft direction"));
    case TB_HANDLE_HOUSING:
        return g_strdup(_("housing turn"));
    case TB_HANDLE_BLOCK_FACE:
        return g_strdup_printf(_("face %zu"), number);
    case TB_HANDLE_BLOCK_CORNER:
    case TB_HANDLE_OUTLINE_CORNER:
        return g_strdup_printf(_("corner %zu"), number);
    case TB_HANDLE_ROD_END:
        return g_strdup(handle->index == 0 ? _("first end") : _("second end"));
    case TB_HANDLE_ROD_RADIUS:
    case TB_HANDLE_BALL_RADIUS:
        return g_strdup(_("radius"));
    case TB_HANDLE_OUTLINE_DEPTH:
        return g_strdup(_("depth"));
    case TB_HANDLE_TURN:
        return g_strdup(_("turn"));
    case TB_HANDLE_BOLTS:
        return g_strdup_printf(_("bolts of port %s"), handle->id);
    case TB_HANDLE_CLAMP:
        return g_strdup_printf(_("bolt box %zu of joint %s"), number, handle->id);
    }
    return g_strdup("");
}
