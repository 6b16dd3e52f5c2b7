/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * What keys do on the drawing of a cut, and what is told to those who do not see it.
 *
 * The drawing is one stop of Tab. Inside it Ctrl and the arrows go from grip to grip; the one that
 * was reached wears a ring and its name, and the plain arrows move it until Escape lets it go.
 */

#include "app/cut_face_private.h"

#include "app/session_tool.h"

#include <glib/gi18n.h>

/** mm of the cut's plane that an arrow key moves a grip; Shift: ten times. */
#define KEY_STEP 1.0

/** mm of paper between the pane's edge and a grip that keys have gone to. */
#define IN_VIEW 4.0

static int
active(TbCutFace *face)
{
    return face->def.active == NULL ? -1 : face->def.active(face->def.user);
}

int
tb_cut_face__active_grip(TbCutFace *face)
{
    int number = active(face);

    for (size_t i = 0; number >= 0 && i < face->grip_count; i++)
        if (face->grips[i].number == (size_t)number)
            return (int)i;
    return -1;
}

/* ---- from grip to grip ---- */

static const char *
hint(void)
{
    return _("Arrows move the handle, with Ctrl they go to the next one; Escape lets it go");
}

void
tb_cut_face__drop_hint(TbCutFace *face)
{
    if (strcmp(tb_session_message(face->session), hint()) == 0)
        tb_session_say(face->session, "");
}

/* A grip that lies outside is brought to the middle. */
static void
bring_into_view(TbCutFace *face, const TbScene *scene, const TbGrip *grip)
{
    TbViewport port = tb_cut_face__port(face, scene);
    TbVec2 at = tb_viewport_paper(port, grip->mark.at);

    if (at.x < IN_VIEW || at.y < IN_VIEW || at.x > port.width - IN_VIEW ||
        at.y > port.height - IN_VIEW)
        tb_cut_face__pan(face, tb_vec2(port.width / 2 - at.x, port.height / 2 - at.y));
}

/* Round and round. */
static void
next_grip(TbCutFace *face, const TbScene *scene, int step)
{
    int count = (int)face->grip_count;
    int at = tb_cut_face__active_grip(face);

    if (count == 0 || face->def.activate == NULL) {
        tb_session_say(face->session, tb_session_selected(face->session) == NULL
                                          ? _("Choose an item first: its handles are moved here")
                                          : _("What is chosen has no handles on this cut"));
        return;
    }
    at = at < 0 ? (step > 0 ? 0 : count - 1) : (at + step + count) % count;
    face->keyed = true;
    tb_session_say(face->session, hint());
    bring_into_view(face, scene, &face->grips[at]);
    face->def.activate(face->def.user, (int)face->grips[at].number);
    tb_cut_face__describe(face);
    tb_canvas_redraw_over(face->canvas);
}

/* Direction of an arrow in the list of grips, or 0. */
static int
step_of_key(guint key)
{
    switch (key) {
    case GDK_KEY_Right:
    case GDK_KEY_Down:
    case GDK_KEY_KP_Right:
    case GDK_KEY_KP_Down:
        return 1;
    case GDK_KEY_Left:
    case GDK_KEY_Up:
    case GDK_KEY_KP_Left:
    case GDK_KEY_KP_Up:
        return -1;
    default:
        return 0;
    }
}

/* ---- moving one ---- */

static bool
nudge(TbCutFace *face, TbVec2 by, GdkModifierType state)
{
    TbScene *scene = tb_cut_face__scene(face);
    int number = active(face);
    double step = state & GDK_SHIFT_MASK ? 10 * KEY_STEP : KEY_STEP;

    if (scene == NULL || tb_cut_face__active_grip(face) < 0 || face->def.nudge == NULL)
        return false;
    /* steps of one grip are one undo step */
    if (face->nudged != number || face->nudges == 0) {
        face->nudges = tb_session_group(face->session);
        face->nudged = number;
    }
    face->def.nudge(face->def.user, (size_t)number, scene, tb_vec2_scale(by, step), face->nudges);
    tb_cut_face__describe(face);
    return true;
}

/* Gives up what is going on: a drag, picking, a grip, the selection. */
static bool
escape(TbCutFace *face)
{
    if (face->drag.kind != TB_DRAG_NONE) {
        tb_drag_cancel(&face->drag);
    } else if (face->picking > 0) {
        tb_cut_face_pick(face, 0);
        tb_session_say(face->session, "");
    } else if (active(face) >= 0) {
        face->def.activate(face->def.user, -1);
        tb_cut_face__drop_hint(face);
        tb_cut_face__describe(face);
    } else if (tb_session_selected(face->session) != NULL) {
        tb_session_select(face->session, NULL);
    } else {
        return false;
    }
    tb_canvas_redraw_over(face->canvas);
    return true;
}

static bool
plain_key(TbCutFace *face, guint key, GdkModifierType state)
{
    switch (key) {
    case GDK_KEY_Escape:
        return escape(face);
    case GDK_KEY_Left:
    case GDK_KEY_KP_Left:
        return nudge(face, tb_vec2(-1, 0), state);
    case GDK_KEY_Right:
    case GDK_KEY_KP_Right:
        return nudge(face, tb_vec2(1, 0), state);
    case GDK_KEY_Up:
    case GDK_KEY_KP_Up:
        return nudge(face, tb_vec2(0, 1), state);
    case GDK_KEY_Down:
    case GDK_KEY_KP_Down:
        return nudge(face, tb_vec2(0, -1), state);
    default:
        return false;
    }
}

bool
tb_cut_face__key(void *user, guint key, GdkModifierType state)
{
    TbCutFace *face = user;
    TbScene *scene = tb_cut_face__scene(face);
    GdkModifierType with = state & (GDK_CONTROL_MASK | GDK_ALT_MASK | GDK_SUPER_MASK);
    bool drawing = tb_session_tool(face->session) != TB_TOOL_NONE;

    if (scene != NULL && face->picking == 0 &&
        tb_tool_hand_key(face->hand, tb_cut_face__port(face, scene), key, state))
        return true;
    if (with == 0 && plain_key(face, key, state))
        return true;
    if (with == GDK_CONTROL_MASK && scene != NULL && face->picking == 0 && !drawing &&
        step_of_key(key) != 0) {
        next_grip(face, scene, step_of_key(key));
        return true;
    }
    return face->def.key != NULL && face->def.key(face->def.user, key, state);
}

/* ---- for those who do not see it ---- */

/* What keys can take hold of, and what they have. */
static void
describe_grips(TbCutFace *face, GString *text)
{
    int number = active(face);
    int at = tb_cut_face__active_grip(face);

    if (number >= 0 && face->def.name != NULL) {
        g_autofree char *name = face->def.name(face->def.user, (size_t)number);

        g_string_append_printf(text, _(" Handle: %s."), name);
        if (at >= 0)
            g_string_append_printf(text, _(" It is number %d of %zu."), at + 1, face->grip_count);
    } else if (face->grip_count > 0) {
        g_string_append_printf(
            text,
            ngettext(" %zu handle: Ctrl and an arrow go to it.",
                     " %zu handles: Ctrl and the arrows go from one to the next.",
                     face->grip_count),
            face->grip_count);
    }
}

void
tb_cut_face__describe(TbCutFace *face)
{
    TbScene *scene = tb_cut_face__scene(face);
    const char *selected = tb_session_selected(face->session);
    double shown = tb_cut_face_ratio(face);
    GString *text;
    char ratio[24];

    /* said once the drawing has its place: see tell_ratio() */
    if (scene == NULL || !(shown > 0))
        return;
    text = g_string_new(NULL);
    tb_viewport_ratio_text(shown, ratio);
    g_string_append_printf(text, "%s, %s.", scene->title, ratio);
    if (selected != NULL && tb_bay_item(tb_session_bay(face->session), selected) != NULL) {
        g_autofree char *words = tb_cut_face__item_words(face, selected);

        g_string_append_printf(text, _(" Selected: %s."), words);
    }
    tb_cut_face__update_grips(face, scene);
    describe_grips(face, text);
    g_strdelimit(text->str, "\n", ' ');
    tb_canvas_describe(face->canvas, scene->title, text->str);
    g_string_free(text, TRUE);
}
