/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/item_grips.h"

#include "app/item_words.h"
#include "app/shown_unit.h"

#include <glib/gi18n.h>
#include <math.h>

/** mm of the bay: a handle this far from the plane is drawn as lying behind or before it. */
#define OFF_PLANE 2.0

/** Share of itself that a sliding handle's direction must look long, to be worth a bar. */
#define FLAT 0.35

/** Cosine of 25 degrees: an axis that leans no more against the view is seen square enough to turn
 * about. */
#define SQUARE 0.906

/** mm of the bay: handles nearer than this in the cut are one behind the other. */
#define SAME_PLACE 0.05

static TbHandleMark
mark_of(TbHandleKind kind)
{
    switch (kind) {
    case TB_HANDLE_TANGENT:
    case TB_HANDLE_FLOW:
    case TB_HANDLE_SHAFT:
    case TB_HANDLE_HOUSING:
    case TB_HANDLE_TURN:
    case TB_HANDLE_BOLTS:
    case TB_HANDLE_CLAMP:
        return TB_HANDLE_MARK_ARROW;
    case TB_HANDLE_SECTION:
    case TB_HANDLE_BLOCK_FACE:
    case TB_HANDLE_ROD_RADIUS:
    case TB_HANDLE_BALL_RADIUS:
    case TB_HANDLE_OUTLINE_DEPTH:
        return TB_HANDLE_MARK_BAR;
    case TB_HANDLE_ITEM:
    case TB_HANDLE_KNOT:
    case TB_HANDLE_PORT:
    case TB_HANDLE_BLOCK_CORNER:
    case TB_HANDLE_ROD_END:
    case TB_HANDLE_OUTLINE_CORNER:
        break;
    }
    return TB_HANDLE_MARK_SQUARE;
}

/* False for a handle that this cut cannot show. */
static bool
make_grip(const TbHandle *handle, TbPlane plane, TbGrip *grip)
{
    TbVec2 along = {tb_vec3_dot(handle->direction, plane.u),
                    tb_vec3_dot(handle->direction, plane.v)};
    double length = tb_vec2_length(along);
    TbHandleMark mark = mark_of(handle->kind);

    if (mark == TB_HANDLE_MARK_BAR && length < FLAT)
        return false;
    if (tb_vec3_length(handle->axis) > 0.5 && handle->kind != TB_HANDLE_HOUSING &&
        fabs(tb_vec3_dot(handle->axis, plane.n)) < SQUARE)
        return false;
    /* a bar stands square to where it slides, an arrow is as long as it looks */
    if (mark == TB_HANDLE_MARK_BAR)
        along = tb_vec2_scale(along, 1 / length);
    grip->mark = (TbCutHandle){.at = tb_plane_project(plane, handle->point),
                               .toward = along,
                               .mark = mark,
                               .behind = fabs(tb_plane_height(plane, handle->point)) > OFF_PLANE};
    return true;
}

/* Puts a grip among the others; of two in one place the nearer to the plane stays, an active one
 * always. */
static size_t
keep_grip(TbGrip grips[], double heights[], size_t count, TbGrip grip, double height)
{
    for (size_t i = 0; i < count; i++) {
        if (grips[i].mark.mark != grip.mark.mark ||
            tb_vec2_length(tb_vec2_sub(grips[i].mark.at, grip.mark.at)) > SAME_PLACE)
            continue;
        if (!grips[i].mark.active && (grip.mark.active || height < heights[i])) {
            grips[i] = grip;
            heights[i] = height;
        }
        return count;
    }
    grips[count] = grip;
    heights[count] = height;
    return count + 1;
}

TbGrip *
tb_item_grips(TbSession *session, const TbScene *scene, size_t *count)
{
    const char *item = tb_session_selected(session);
    int active = tb_session_handle(session);
    const TbHandle *handles;
    g_autofree double *heights = NULL;
    size_t all;
    TbGrip *grips;

    *count = 0;
    if (item == NULL || tb_session_is_hidden(session, item) ||
        tb_bay_item(tb_session_bay(session), item) == NULL)
        return NULL;
    handles = tb_session_handles(session, item, &all);
    grips = g_new0(TbGrip, all + 1);
    heights = g_new0(double, all + 1);
    for (size_t i = 0; i < all; i++) {
        TbHandle handle = tb_drag_shown_handle(tb_session_pose(session, item), &handles[i]);
        TbGrip grip = {.number = i};

        if (!make_grip(&handle, scene->plane, &grip))
            continue;
        grip.mark.active = active == (int)i;
        *count = keep_grip(grips, heights, *count, grip,
                           fabs(tb_plane_height(scene->plane, handle.point)));
    }
    return grips;
}

char *
tb_item_grip_name(TbSession *session, size_t number)
{
    const char *item = tb_session_selected(session);
    size_t count = 0;
    const TbHandle *handles = item == NULL ? NULL : tb_session_handles(session, item, &count);
    char *text = NULL;

    if (number < count) {
        const TbHandle *handle = &handles[number];
        g_autofree char *name = tb_drag_handle_name(handle);
        g_autofree char *place = tb_shown_place(handle->point, tb_session_unit(session));

        text = g_strdup_printf("%s\n%s", name, place);
    }
    return text;
}
