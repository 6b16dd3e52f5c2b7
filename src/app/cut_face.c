/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/cut_face_private.h"

#include "app/item_words.h"
#include "draw/sheet.h"
#include "geom/plane.h"

#include <glib/gi18n.h>
#include <math.h>

TbScene *
tb_cut_face__scene(TbCutFace *face)
{
    return tb_session_scene(face->session, face->slot, NULL);
}

/* ---- the drawing ---- */

bool
tb_cut_face__plane(TbSession *session, TbSceneView view, TbPlane *plane)
{
    TbCutAsk cut = tb_session_cut(session, view);

    switch (view) {
    case TB_SCENE_SIDE:
        *plane = tb_plane_of(tb_vec3(0, cut.at, 0), tb_vec3(1, 0, 0), tb_vec3(0, 0, 1));
        return true;
    case TB_SCENE_PLAN:
        *plane = tb_plane_of(tb_vec3(0, 0, cut.at), tb_vec3(1, 0, 0), tb_vec3(0, 1, 0));
        return true;
    case TB_SCENE_FRONT:
        *plane = tb_plane_of(tb_vec3(cut.at, 0, 0), tb_vec3(0, -1, 0), tb_vec3(0, 0, 1));
        return true;
    case TB_SCENE_FREE:
        return tb_plane_of_sight((TbSight){cut.point, cut.look, cut.up}, plane, NULL) == TB_OK;
    case TB_SCENE_ACROSS:
        break;
    }
    return false;
}

static const char *const plane_tags[] = {[TB_SCENE_SIDE] = "plane:side",
                                         [TB_SCENE_PLAN] = "plane:plan",
                                         [TB_SCENE_FRONT] = "plane:front",
                                         [TB_SCENE_ACROSS] = "plane:across",
                                         [TB_SCENE_FREE] = "plane:free"};

bool
tb_cut_face__plane_of_tag(const char *tag, TbSceneView *view)
{
    for (size_t i = 0; i < G_N_ELEMENTS(plane_tags); i++)
        if (strcmp(tag, plane_tags[i]) == 0) {
            *view = (TbSceneView)i;
            return true;
        }
    return false;
}

/* "Z 640"; freed by the caller. */
static char *
plane_label(TbSession *session, TbSceneView view)
{
    char at[TB_TEXT_NUMBER];
    TbCutAsk cut = tb_session_cut(session, view);

    if (view == TB_SCENE_FREE)
        return g_strdup(_("free cut"));
    tb_length_write(cut.at, tb_session_unit(session), 1, at);
    return g_strdup_printf("%c %s",
                           view == TB_SCENE_SIDE   ? 'Y'
                           : view == TB_SCENE_PLAN ? 'Z'
                                                   : 'X',
                           at);
}

/* The planes that other slots show; returns how many. Labels are freed by the caller. */
static size_t
other_planes(TbCutFace *face, const TbScene *scene, TbCutOther others[TB_SLOT_COUNT])
{
    size_t count = 0;

    /* across a path they would run right through the section, for they are set to meet there */
    for (int slot = 0; scene->view != TB_SCENE_ACROSS && slot < TB_SLOT_COUNT; slot++) {
        TbSceneView view = tb_session_view(face->session, slot);

        if (slot == face->slot || view == scene->view ||
            !tb_cut_face__plane(face->session, view, &others[count].plane))
            continue;
        if (count > 0 && strcmp(others[0].tag, plane_tags[view]) == 0)
            continue;
        others[count].tag = plane_tags[view];
        others[count].label = plane_label(face->session, view);
        count++;
    }
    return count;
}

void
tb_cut_face__update_grips(TbCutFace *face, const TbScene *scene)
{
    g_clear_pointer(&face->grips, g_free);
    face->grip_count = 0;
    if (face->def.grips != NULL)
        face->grips = face->def.grips(face->def.user, scene, &face->grip_count);
}

/* Where labels may not lie: handles, arrows along their length. @p places has room for three each.
 */
static size_t
places_to_keep(TbCutFace *face, double ratio, TbVec2 places[])
{
    size_t count = 0;

    for (size_t i = 0; i < face->grip_count; i++) {
        const TbCutHandle *mark = &face->grips[i].mark;
        int last = mark->mark == TB_HANDLE_MARK_ARROW ? 2 : 0;

        for (int k = 0; k <= last; k++)
            places[count++] =
                tb_vec2_add(mark->at, tb_vec2_scale(mark->toward, k * TB_HANDLE_ARROW / 2 / ratio));
    }
    return count;
}

/* Nothing to show: why, or that it is on its way. */
static void
draw_message(TbCutFace *face, TbPicture *picture, TbVec2 size, const TbFault *fault)
{
    TbTextStyle style = {.size = TB_PT_SMALL, .ink = TB_INK_QUIET};
    const char *text = fault != NULL && fault->text[0] != '\0' ? fault->text : _("Cutting…");

    if (tb_session_view(face->session, face->slot) == TB_SCENE_ACROSS &&
        tb_session_cursor_item(face->session) == NULL)
        text = _("Choose a duct or a line: its section at the cursor will stand here.");
    tb_picture_init(picture, size.x, size.y);
    tb_sheet_paragraph(picture, tb_vec2(4, fmin(size.y / 2, 12)), fmax(10, size.x - 8), style, text,
                       tb_canvas_measurer(face->canvas));
}

void
tb_cut_face__draw(void *user, TbPicture *picture, TbVec2 size)
{
    TbCutFace *face = user;
    const TbFault *fault = NULL;
    TbScene *scene = tb_session_scene(face->session, face->slot, &fault);
    g_autoptr(GPtrArray) hidden = g_ptr_array_new();
    g_autofree TbVec2 *keep_off = NULL;
    TbCutOther others[TB_SLOT_COUNT];
    TbCutScreen screen = {.selected = tb_session_selected(face->session),
                          .others = others,
                          .pixel = tb_canvas_pixel(face->canvas),
                          .memo = face->memo};

    TbViewport port;

    if (scene == NULL) {
        draw_message(face, picture, size, fault);
        return;
    }
    port = tb_cut_face__port(face, scene);
    for (size_t i = 0; i < scene->shape_count; i++)
        if (tb_session_is_hidden(face->session, scene->shapes[i].tag))
            g_ptr_array_add(hidden, scene->shapes[i].tag);
    screen.hidden = (const char *const *)hidden->pdata;
    screen.hidden_count = hidden->len;
    screen.other_count = other_planes(face, scene, others);
    tb_cut_face__update_grips(face, scene);
    face->fresh = true;
    keep_off = g_new(TbVec2, 3 * face->grip_count + 1);
    screen.keep_off = keep_off;
    screen.keep_off_count = places_to_keep(face, port.ratio, keep_off);
    tb_cut_screen(picture, scene, port, &screen, tb_canvas_measurer(face->canvas), NULL);
    for (size_t i = 0; i < screen.other_count; i++)
        g_free((char *)others[i].label);
}

/* What can be taken hold of now, with a ring around what keys move; freed by the caller. */
static TbCutHandle *
handle_marks(TbCutFace *face, size_t *count)
{
    TbCutHandle *marks = g_new0(TbCutHandle, face->grip_count + 1);
    int active = tb_cut_face__active_grip(face);

    *count =
        face->picking > 0 || tb_session_tool(face->session) != TB_TOOL_NONE ? 0 : face->grip_count;
    for (size_t i = 0; i < face->grip_count; i++) {
        marks[i] = face->grips[i].mark;
        marks[i].focus = (int)i == active && gtk_widget_is_focus(GTK_WIDGET(face->canvas));
    }
    return marks;
}

void
tb_cut_face__draw_over(void *user, TbPicture *picture, TbVec2 size)
{
    TbCutFace *face = user;
    TbScene *scene = tb_cut_face__scene(face);
    g_autofree TbCutHandle *marks = NULL;
    g_autofree char *name = NULL;
    TbVec2 band[TB_FACE_PICKS];
    TbCutOverlay over = {.hovered = face->hovered,
                         .says = face->says,
                         .pointer = face->pointer,
                         .cursor_item = tb_session_cursor_item(face->session),
                         .cursor = tb_session_cursor(face->session),
                         .band = band};

    if (scene == NULL) {
        tb_picture_init(picture, size.x, size.y);
        return;
    }
    /* drawn right after the picture, which has asked for them */
    if (!face->fresh)
        tb_cut_face__update_grips(face, scene);
    face->fresh = false;
    marks = handle_marks(face, &over.handle_count);
    over.handles = marks;
    for (size_t i = 0; i < over.handle_count && face->keyed && over.says == NULL; i++)
        if (marks[i].focus && face->def.name != NULL) {
            over.says = name = face->def.name(face->def.user, face->grips[i].number);
            over.pointer = tb_viewport_paper(tb_cut_face__port(face, scene), marks[i].at);
        }
    for (size_t i = 0; i < face->picked; i++)
        band[i] = tb_plane_project(scene->plane, face->picks[i]);
    over.band_count = face->picked;
    tb_cut_overlay(picture, scene, tb_cut_face__port(face, scene), &over,
                   tb_canvas_measurer(face->canvas), NULL);
    tb_tool_hand_draw(face->hand, scene, tb_cut_face__port(face, scene), picture);
}

/* ---- pressing, dragging ---- */

static void
press(void *user, TbCanvasPointer pointer)
{
    TbCutFace *face = user;
    TbScene *scene = tb_cut_face__scene(face);
    const char *tags[TB_FACE_HITS];
    TbSceneView view;
    TbVec2 at;
    int grip;

    face->keyed = false;
    if (scene == NULL || tb_tool_hand_press(face->hand, tb_cut_face__port(face, scene), pointer))
        return;
    at = tb_viewport_bay(tb_cut_face__port(face, scene), pointer.at);
    grip = face->picking > 0 ? -1 : tb_cut_face__grip_at(face, pointer.at);
    if (grip >= 0) {
        size_t number = face->grips[grip].number;

        if (face->def.activate != NULL)
            face->def.activate(face->def.user, (int)number);
        face->def.press(face->def.user, &face->drag, number, scene, at);
    } else if (face->picking == 0 && tb_cut_face__is_on_cursor(face, scene, pointer.at)) {
        tb_drag_press_cursor(&face->drag, at);
    } else if (face->picking == 0 &&
               tb_canvas_hits(face->canvas, pointer.at, TB_FACE_REACH, tags, TB_FACE_HITS) > 0 &&
               tb_cut_face__plane_of_tag(tags[0], &view)) {
        tb_drag_press_plane(&face->drag, view, scene->plane, at);
    } else {
        tb_drag_press(&face->drag, at);
    }
    tb_cut_face__unhover(face);
}

static void
drag(void *user, TbCanvasPointer pointer)
{
    TbCutFace *face = user;
    TbScene *scene = tb_cut_face__scene(face);
    TbViewport port;

    face->pointer = pointer.at;
    if (scene == NULL)
        return;
    port = tb_cut_face__port(face, scene);
    if (tb_tool_hand_drag(face->hand, port, pointer))
        return;
    tb_cut_face__tell_place(face, scene, pointer.at);
    if (tb_drag_move(&face->drag, tb_viewport_bay(port, pointer.at), port.ratio,
                     (pointer.state & GDK_SHIFT_MASK) != 0, scene)) {
        if (face->drag.refused.text[0] != '\0')
            tb_session_say(face->session, face->drag.refused.text);
        tb_canvas_redraw_over(face->canvas);
    }
}

static void
release(void *user, TbCanvasPointer pointer)
{
    TbCutFace *face = user;
    TbScene *scene = tb_cut_face__scene(face);
    bool held = face->drag.kind == TB_DRAG_PRESS;

    if (scene != NULL && tb_tool_hand_release(face->hand, tb_cut_face__port(face, scene), pointer))
        return;
    if (tb_drag_release(&face->drag) && held && scene != NULL) {
        if (face->picking > 0)
            tb_cut_face__take_pick(face, scene, pointer.at);
        else
            tb_cut_face__select_at(face, pointer.at);
    }
    tb_canvas_redraw_over(face->canvas);
}

static void
give_up(void *user)
{
    TbCutFace *face = user;

    if (tb_tool_hand_give_up(face->hand))
        return;
    tb_drag_cancel(&face->drag);
    tb_canvas_redraw_over(face->canvas);
}

static void
hover(void *user, TbCanvasPointer pointer)
{
    TbCutFace *face = user;
    TbScene *scene = tb_cut_face__scene(face);

    if (scene == NULL || !tb_tool_hand_hover(face->hand, tb_cut_face__port(face, scene), pointer))
        tb_cut_face__hover(face, pointer.at);
}

static void
leave(void *user)
{
    TbCutFace *face = user;

    tb_tool_hand_leave(face->hand);
    tb_cut_face__unhover(face);
    tb_session_set_pointer(face->session, "");
}

static void
focus(void *user, bool in)
{
    TbCutFace *face = user;

    if (!in)
        tb_cut_face__drop_hint(face);
    tb_canvas_redraw_over(face->canvas);
}

/* ---- from the session ---- */

void
tb_cut_face_follow(TbCutFace *face, guint parts)
{
    const guint drawn =
        TB_SESSION_SELECTION | TB_SESSION_PLANES | TB_SESSION_HIDDEN | TB_SESSION_SHOWN;

    if (parts & TB_SESSION_BEHIND)
        tb_canvas_set_stale(face->canvas, tb_session_is_behind(face->session));
    if (tb_tool_hand_follow(face->hand, parts))
        tb_cut_face__unhover(face);
    if (parts & drawn) {
        tb_canvas_redraw(face->canvas);
        /* nobody listens to what a pointer drags; what stands after it is told */
        if (!tb_session_is_held(face->session))
            tb_cut_face__describe(face);
    } else if (parts & (TB_SESSION_CURSOR | TB_SESSION_DOCUMENT)) {
        tb_canvas_redraw_over(face->canvas);
    }
    if ((parts & TB_SESSION_SHOWN) && face->def.changed != NULL)
        face->def.changed(face->def.user);
}

/* ---- beginning and end ---- */

TbCutFace *
tb_cut_face_new(TbSession *session, int slot, const TbCutFaceDef *def)
{
    TbCutFace *face = g_new0(TbCutFace, 1);
    TbCanvasDef canvas = {.draw = tb_cut_face__draw,
                          .draw_over = tb_cut_face__draw_over,
                          .zoom = tb_cut_face__zoom,
                          .pan = tb_cut_face__pan,
                          .fit = tb_cut_face__fit,
                          .true_size = tb_cut_face__true_size,
                          .press = press,
                          .drag = drag,
                          .release = release,
                          .give_up = give_up,
                          .hover = hover,
                          .leave = leave,
                          .key = tb_cut_face__key,
                          .focus = focus,
                          .user = face};

    face->session = g_object_ref(session);
    face->slot = slot;
    face->def = *def;
    face->nudged = -1;
    face->memo = tb_cut_memo_new();
    tb_drag_init(&face->drag, session);
    face->canvas = TB_CANVAS(g_object_ref_sink(tb_canvas_new(&canvas)));
    face->hand = tb_tool_hand_new(session, slot, face->canvas);
    return face;
}

void
tb_cut_face_free(TbCutFace *face)
{
    if (face == NULL)
        return;
    tb_canvas_forget(face->canvas);
    g_clear_handle_id(&face->telling, g_source_remove);
    tb_drag_clear(&face->drag);
    tb_tool_hand_free(face->hand);
    g_object_unref(face->canvas);
    g_object_unref(face->session);
    tb_cut_memo_free(face->memo);
    g_free(face->grips);
    g_free(face->hovered);
    g_free(face->says);
    g_free(face);
}

GtkWidget *
tb_cut_face_canvas(TbCutFace *face)
{
    return GTK_WIDGET(face->canvas);
}
