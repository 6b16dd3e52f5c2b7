/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/tool_hand.h"

#include "app/item_words.h"
#include "app/shown_unit.h"
#include "app/tool_over.h"

#include <math.h>

/* mm of paper that an arrow key moves the crosshair; Shift: ten times. */
#define KEY_STEP 1.0

/* mm of paper: a pointer that moved by less has not moved. A tenth of a dot. */
#define REST 0.03

struct TbToolHand {
    TbSession *session;
    int slot;
    TbCanvas *canvas;

    bool here;      /* the pointer or the crosshair is on this slot */
    bool crosshair; /* moved by keys last */
    bool typing;    /* numbers for this slot */
    bool in_hand;   /* there was a tool when last looked at */
    TbVec2 pointer; /* mm of paper */
    TbSnap snap;
    bool has_snap;
    TbVec2 rest;   /* where the pointer itself was last, mm of paper */
    bool rest_off; /* with snapping switched off */
    int dragged;   /* set point that is dragged, or -1 */
    TbVec2 press;
};

static bool
is_in_hand(const TbToolHand *hand)
{
    return tb_session_tool(hand->session) != TB_TOOL_NONE;
}

/* ---- aiming ---- */

/* "X 1432.0  Y 212.0  Z 688.4 mm" of what is aimed at, in the status line. */
static void
tell_place(TbToolHand *hand)
{
    const TbScene *scene = tb_session_scene(hand->session, hand->slot, NULL);
    const TbSketchAim *meant = &tb_session_sketch(hand->session)->aim;
    g_autofree char *text = NULL;
    TbVec3 p;

    if (scene == NULL)
        return;
    p = meant->is ? meant->at : tb_plane_lift(scene->plane, hand->snap.at);
    text = tb_shown_place(p, tb_session_unit(hand->session));
    tb_session_set_pointer(hand->session, text);
}

static void
aim(TbToolHand *hand, TbViewport port, TbVec2 at, bool off)
{
    TbVec2 bay = tb_viewport_bay(port, at);

    hand->here = true;
    hand->pointer = at;
    hand->has_snap = tb_session_snap(hand->session, hand->slot, port.ratio, bay, off, &hand->snap);
    if (hand->has_snap && tb_session_tool_typing(hand->session, NULL) == NULL)
        tb_session_tool_aim(hand->session, hand->slot, bay, &hand->snap);
    /* lent by what may be gone at the next move */
    hand->snap.item = hand->snap.port = NULL;
    tell_place(hand);
    tb_canvas_redraw_over(hand->canvas);
}

/* Keys belong to the cut that the pointer draws on, unless somebody writes in an entry. */
static void
take_keys(TbToolHand *hand)
{
    GtkWidget *canvas = GTK_WIDGET(hand->canvas);
    GtkRoot *root = gtk_widget_get_root(canvas);
    GtkWidget *focus = root == NULL ? NULL : gtk_root_get_focus(root);

    if (focus != canvas && !GTK_IS_TEXT(focus))
        gtk_widget_grab_focus(canvas);
}

bool
tb_tool_hand_hover(TbToolHand *hand, TbViewport port, TbCanvasPointer pointer)
{
    bool off = (pointer.state & GDK_ALT_MASK) != 0;

    if (!is_in_hand(hand))
        return false;
    /* a pointer at rest says nothing new, and must not take the aim from typed numbers or keys */
    if (tb_vec2_length(tb_vec2_sub(pointer.at, hand->rest)) < REST && hand->rest_off == off)
        return true;
    hand->rest = pointer.at;
    hand->rest_off = off;
    hand->crosshair = false;
    take_keys(hand);
    aim(hand, port, pointer.at, off);
    return true;
}

bool
tb_tool_hand_leave(TbToolHand *hand)
{
    hand->here = hand->crosshair = hand->has_snap = false;
    hand->rest = tb_vec2(-1e3, -1e3);
    if (!is_in_hand(hand))
        return false;
    if (tb_session_tool_typing(hand->session, NULL) == NULL)
        tb_session_tool_leave(hand->session);
    tb_canvas_redraw_over(hand->canvas);
    return true;
}

/* ---- pressing ---- */

bool
tb_tool_hand_press(TbToolHand *hand, TbViewport port, TbCanvasPointer pointer)
{
    if (!is_in_hand(hand))
        return false;
    hand->crosshair = false;
    hand->press = pointer.at;
    hand->dragged = tb_session_tool_grab(hand->session, hand->slot, port.ratio,
                                         tb_viewport_bay(port, pointer.at));
    aim(hand, port, pointer.at, (pointer.state & GDK_ALT_MASK) != 0);
    return true;
}

/* Far enough from the press that it is no click: 4 dots. */
static bool
has_left(const TbToolHand *hand, TbVec2 at)
{
    return tb_vec2_length(tb_vec2_sub(at, hand->press)) > 4 / TB_CANVAS_DOTS;
}

bool
tb_tool_hand_drag(TbToolHand *hand, TbViewport port, TbCanvasPointer pointer)
{
    TbVec2 bay = tb_viewport_bay(port, pointer.at);

    if (!is_in_hand(hand))
        return false;
    if (hand->dragged < 0 || !has_left(hand, pointer.at)) {
        aim(hand, port, pointer.at, (pointer.state & GDK_ALT_MASK) != 0);
        return true;
    }
    hand->pointer = pointer.at;
    hand->has_snap = tb_session_snap(hand->session, hand->slot, port.ratio, bay,
                                     (pointer.state & GDK_ALT_MASK) != 0, &hand->snap);
    if (hand->has_snap)
        tb_session_tool_drag(hand->session, hand->slot, hand->dragged, hand->snap.at);
    hand->snap.item = hand->snap.port = NULL;
    return true;
}

bool
tb_tool_hand_release(TbToolHand *hand, TbViewport port, TbCanvasPointer pointer)
{
    bool moved = hand->dragged >= 0 && has_left(hand, pointer.at);

    (void)port;
    hand->dragged = -1;
    if (!is_in_hand(hand))
        return false;
    tb_session_tool_stop_typing(hand->session);
    if (!moved)
        tb_session_tool_set(hand->session, (pointer.state & GDK_SHIFT_MASK) != 0);
    /* what was snapped to has been drawn and is no point of a sketch any more */
    if (!tb_sketch_is_begun(tb_session_sketch(hand->session)))
        hand->has_snap = false;
    return true;
}

bool
tb_tool_hand_give_up(TbToolHand *hand)
{
    hand->dragged = -1;
    return is_in_hand(hand);
}

/* ---- keys ---- */

/* The tool of a letter, or -1. */
static int
tool_of_key(guint key)
{
    static const struct {
        guint key;
        TbTool tool;
    } keys[] = {{GDK_KEY_b, TB_TOOL_BLOCK},   {GDK_KEY_r, TB_TOOL_ROD},
                {GDK_KEY_o, TB_TOOL_OUTLINE}, {GDK_KEY_s, TB_TOOL_BALL},
                {GDK_KEY_l, TB_TOOL_LINE},    {GDK_KEY_k, TB_TOOL_KNOTS},
                {GDK_KEY_m, TB_TOOL_MEASURE}};

    for (size_t i = 0; i < G_N_ELEMENTS(keys); i++)
        if (gdk_keyval_to_lower(key) == keys[i].key)
            return (int)keys[i].tool;
    return -1;
}

static bool
move_crosshair(TbToolHand *hand, TbViewport port, guint key, GdkModifierType state)
{
    double step = state & GDK_SHIFT_MASK ? 10 * KEY_STEP : KEY_STEP;
    TbVec2 at = hand->here ? hand->pointer : tb_vec2(port.width / 2, port.height / 2);

    switch (key) {
    case GDK_KEY_Left:
        at.x -= step;
        break;
    case GDK_KEY_Right:
        at.x += step;
        break;
    case GDK_KEY_Up:
        at.y -= step;
        break;
    case GDK_KEY_Down:
        at.y += step;
        break;
    default:
        return false;
    }
    hand->crosshair = true;
    /* steps finer than the snapping's radius would never leave a place */
    aim(hand, port, tb_vec2(CLAMP(at.x, 0, port.width), CLAMP(at.y, 0, port.height)),
        (state & GDK_ALT_MASK) != 0);
    return true;
}

/* What begins a typed number. */
static bool
start_typing(TbToolHand *hand, guint key)
{
    gunichar letter = gdk_keyval_to_unicode(key);
    char text[8] = "";

    if (tb_session_tool(hand->session) == TB_TOOL_MEASURE || letter == 0 ||
        !(g_unichar_isdigit(letter) || letter == '=' || letter == '-' || letter == '.'))
        return false;
    text[g_unichar_to_utf8(letter, text)] = '\0';
    tb_session_tool_start_typing(hand->session, hand->slot, text);
    return true;
}

static bool
copy_measure(TbToolHand *hand)
{
    TbMeasured told = tb_session_measured(hand->session);

    if (told.text[0] == '\0')
        return false;
    gdk_clipboard_set_text(gtk_widget_get_clipboard(GTK_WIDGET(hand->canvas)), told.text);
    return true;
}

/* Keys that mean something only while there is a tool. */
static bool
hand_key(TbToolHand *hand, TbViewport port, guint key, GdkModifierType state)
{
    switch (key) {
    case GDK_KEY_Escape:
        return tb_session_tool_cancel(hand->session);
    case GDK_KEY_Return:
    case GDK_KEY_KP_Enter:
        tb_session_tool_set(hand->session, (state & GDK_SHIFT_MASK) != 0);
        return true;
    case GDK_KEY_BackSpace:
        return tb_session_tool_back(hand->session);
    default:
        return move_crosshair(hand, port, key, state) || start_typing(hand, key);
    }
}

bool
tb_tool_hand_key(TbToolHand *hand, TbViewport port, guint key, GdkModifierType state)
{
    bool plain = (state & (GDK_CONTROL_MASK | GDK_SUPER_MASK)) == 0;
    int tool = tool_of_key(key);

    if (!plain)
        return tb_session_tool(hand->session) == TB_TOOL_MEASURE &&
               gdk_keyval_to_lower(key) == GDK_KEY_c && copy_measure(hand);
    if (is_in_hand(hand) && hand_key(hand, port, key, state))
        return true;
    if (tool < 0 || (state & GDK_ALT_MASK))
        return false;
    tb_session_set_tool(hand->session, (TbTool)tool);
    if (hand->here)
        aim(hand, port, hand->pointer, false);
    return true;
}

/* ---- drawing ---- */

void
tb_tool_hand_draw(TbToolHand *hand, const TbScene *scene, TbViewport port, TbPicture *picture)
{
    /* typed numbers say where it goes, not the pointer */
    bool typing = tb_session_tool_typing(hand->session, NULL) != NULL;
    TbToolOver over = {.here = hand->here && !typing,
                       .crosshair = hand->crosshair,
                       .pointer = hand->pointer,
                       .snap = hand->has_snap ? &hand->snap : NULL};

    tb_tool_over_draw(hand->session, scene, port, &over, tb_canvas_measurer(hand->canvas), picture);
}

bool
tb_tool_hand_follow(TbToolHand *hand, guint parts)
{
    int slot;
    bool typing = tb_session_tool_typing(hand->session, &slot) != NULL && slot == hand->slot;
    bool other = is_in_hand(hand) != hand->in_hand;

    if (!(parts & (TB_SESSION_TOOL | TB_SESSION_SHOWN)))
        return false;
    /* the entry has gone: what was pressed before is pressed on */
    if (hand->typing && !typing)
        gtk_widget_grab_focus(GTK_WIDGET(hand->canvas));
    hand->typing = typing;
    if (is_in_hand(hand) || other)
        tb_canvas_redraw_over(hand->canvas);
    hand->in_hand = is_in_hand(hand);
    return other;
}

/* ---- beginning and end ---- */

TbToolHand *
tb_tool_hand_new(TbSession *session, int slot, TbCanvas *canvas)
{
    TbToolHand *hand = g_new0(TbToolHand, 1);

    hand->session = session;
    hand->slot = slot;
    hand->canvas = canvas;
    hand->dragged = -1;
    return hand;
}

void
tb_tool_hand_free(TbToolHand *hand)
{
    g_free(hand);
}
