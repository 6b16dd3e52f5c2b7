/* SPDX-License-Identifier: GPL-3.0-or-later */

/* What hands do on a canvas: scrolling, pinching, dragging, keys. */

#include "app/canvas_private.h"

#include <math.h>

/** Zoom of one click of a wheel, and of one press of a key. */
#define WHEEL 1.15
#define KEY_ZOOM 1.25

/** px of one click of a wheel, and of one press of an arrow. */
#define WHEEL_PAN 48.0
#define KEY_PAN 40.0

/** Dots a mm of a monitor that does not tell its size: 96 an inch. */
#define USUAL_DENSITY (96 / 25.4)

static TbVec2
to_paper(TbCanvas *canvas, double x, double y)
{
    double dots = tb_canvas_dots(canvas);

    return tb_vec2(x / dots, y / dots);
}

static void
zoom(TbCanvas *canvas, TbVec2 at, double factor)
{
    if (canvas->def.zoom != NULL && factor > 0 && isfinite(factor))
        canvas->def.zoom(canvas->def.user, at, factor);
}

/** @p x, @p y px */
static void
pan(TbCanvas *canvas, double x, double y)
{
    if (canvas->def.pan != NULL)
        canvas->def.pan(canvas->def.user, to_paper(canvas, x, y));
}

/* ---- scrolling and pinching ---- */

static gboolean
scrolled(GtkEventControllerScroll *controller, double dx, double dy, TbCanvas *canvas)
{
    GtkEventController *self = GTK_EVENT_CONTROLLER(controller);
    GdkModifierType state = gtk_event_controller_get_current_event_state(self);
    bool wheel = gtk_event_controller_scroll_get_unit(controller) == GDK_SCROLL_UNIT_WHEEL;
    double step = wheel ? WHEEL_PAN : 1;

    if (state & GDK_CONTROL_MASK) {
        zoom(canvas, canvas->pointer, pow(WHEEL, wheel ? -dy : -dy / WHEEL_PAN));
        return TRUE;
    }
    /* a wheel has one direction: Shift turns it */
    if ((state & GDK_SHIFT_MASK) && dx == 0) {
        dx = dy;
        dy = 0;
    }
    pan(canvas, -dx * step, -dy * step);
    return TRUE;
}

static void
pinch_begun(GtkGesture *gesture, GdkEventSequence *sequence, TbCanvas *canvas)
{
    (void)gesture, (void)sequence;
    canvas->pinch = 1;
}

static void
pinched(GtkGestureZoom *gesture, double scale, TbCanvas *canvas)
{
    double x, y;

    bool knows_where = gtk_gesture_is_active(GTK_GESTURE(gesture)) &&
                       gtk_gesture_get_bounding_box_center(GTK_GESTURE(gesture), &x, &y);

    if (!(scale > 0))
        return;
    zoom(canvas, knows_where ? to_paper(canvas, x, y) : canvas->pointer, scale / canvas->pinch);
    canvas->pinch = scale;
}

/* ---- the pointer ---- */

static TbCanvasPointer
pointer_at(TbCanvas *canvas, GtkEventController *controller, double x, double y)
{
    return (TbCanvasPointer){.at = to_paper(canvas, x, y),
                             .state = gtk_event_controller_get_current_event_state(controller)};
}

static void
moved(GtkEventControllerMotion *controller, double x, double y, TbCanvas *canvas)
{
    canvas->pointer = to_paper(canvas, x, y);
    if (!canvas->pressed && canvas->def.hover != NULL)
        canvas->def.hover(canvas->def.user,
                          pointer_at(canvas, GTK_EVENT_CONTROLLER(controller), x, y));
}

static void
left(GtkEventControllerMotion *controller, TbCanvas *canvas)
{
    (void)controller;
    if (!canvas->pressed && canvas->def.leave != NULL)
        canvas->def.leave(canvas->def.user);
}

/* The middle button drags the drawing. */
static void
pan_begun(GtkGestureDrag *gesture, double x, double y, TbCanvas *canvas)
{
    (void)x, (void)y;
    gtk_gesture_set_state(GTK_GESTURE(gesture), GTK_EVENT_SEQUENCE_CLAIMED);
    canvas->dragged = tb_vec2(0, 0);
}

static void
pan_dragged(GtkGestureDrag *gesture, double x, double y, TbCanvas *canvas)
{
    (void)gesture;
    pan(canvas, x - canvas->dragged.x, y - canvas->dragged.y);
    canvas->dragged = tb_vec2(x, y);
}

static void
press_begun(GtkGestureDrag *gesture, double x, double y, TbCanvas *canvas)
{
    gtk_widget_grab_focus(GTK_WIDGET(canvas));
    gtk_gesture_set_state(GTK_GESTURE(gesture), GTK_EVENT_SEQUENCE_CLAIMED);
    canvas->pressed = true;
    canvas->panning = canvas->space;
    canvas->dragged = tb_vec2(0, 0);
    if (!canvas->panning && canvas->def.press != NULL)
        canvas->def.press(canvas->def.user,
                          pointer_at(canvas, GTK_EVENT_CONTROLLER(gesture), x, y));
}

static void
press_dragged(GtkGestureDrag *gesture, double dx, double dy, TbCanvas *canvas)
{
    double x, y;

    if (canvas->panning) {
        pan_dragged(gesture, dx, dy, canvas);
        return;
    }
    if (gtk_gesture_drag_get_start_point(gesture, &x, &y) && canvas->def.drag != NULL)
        canvas->def.drag(canvas->def.user,
                         pointer_at(canvas, GTK_EVENT_CONTROLLER(gesture), x + dx, y + dy));
}

static void
press_ended(GtkGestureDrag *gesture, double dx, double dy, TbCanvas *canvas)
{
    double x, y;
    bool panning = canvas->panning;

    canvas->pressed = canvas->panning = false;
    if (!panning && gtk_gesture_drag_get_start_point(gesture, &x, &y) &&
        canvas->def.release != NULL)
        canvas->def.release(canvas->def.user,
                            pointer_at(canvas, GTK_EVENT_CONTROLLER(gesture), x + dx, y + dy));
}

/* The toolkit takes a press away, too, when it makes up a motion for something that has moved under
 * the pointer and the button is up by then, its release being still on the way. */
static bool
has_gone_up(GtkGesture *gesture)
{
    GtkEventController *controller = GTK_EVENT_CONTROLLER(gesture);
    GdkEvent *event = gtk_event_controller_get_current_event(controller);

    return event != NULL && gdk_event_get_event_type(event) == GDK_MOTION_NOTIFY &&
           (gdk_event_get_modifier_state(event) & GDK_BUTTON1_MASK) == 0;
}

static void
press_cancelled(GtkGesture *gesture, GdkEventSequence *sequence, TbCanvas *canvas)
{
    bool panning = canvas->panning;
    bool is_release = has_gone_up(gesture) && canvas->def.release != NULL;

    (void)sequence;
    canvas->pressed = canvas->panning = false;
    if (is_release && !panning)
        canvas->def.release(canvas->def.user, (TbCanvasPointer){.at = canvas->pointer});
    else if (!is_release && canvas->def.give_up != NULL)
        canvas->def.give_up(canvas->def.user);
}

/* ---- keys ---- */

/** Where keys zoom: at the pointer while it is over the canvas, else in the middle. */
static TbVec2
middle(TbCanvas *canvas)
{
    return tb_vec2_scale(tb_canvas_size(canvas), 0.5);
}

/** us. A window may be taken to another monitor; asking where it is takes a turn to the server. */
#define DENSITY_GOOD_FOR G_USEC_PER_SEC

/* Dots of the widget for one mm of the monitor. */
static double
density_of(TbCanvas *canvas)
{
    GtkNative *native = gtk_widget_get_native(GTK_WIDGET(canvas));
    GdkSurface *surface = native == NULL ? NULL : gtk_native_get_surface(native);
    GdkMonitor *monitor = surface == NULL
                              ? NULL
                              : gdk_display_get_monitor_at_surface(
                                    gtk_widget_get_display(GTK_WIDGET(canvas)), surface);
    double density = USUAL_DENSITY;

    if (monitor != NULL && gdk_monitor_get_width_mm(monitor) > 0) {
        GdkRectangle place;

        gdk_monitor_get_geometry(monitor, &place);
        density = (double)place.width / gdk_monitor_get_width_mm(monitor);
    }
    return density;
}

double
tb_canvas_true_ratio(TbCanvas *canvas)
{
    gint64 now = g_get_monotonic_time();

    if (canvas->density == 0 || now - canvas->density_asked > DENSITY_GOOD_FOR) {
        canvas->density = density_of(canvas);
        canvas->density_asked = now;
    }
    return canvas->density / tb_canvas_dots(canvas);
}

static void
true_size(TbCanvas *canvas)
{
    if (canvas->def.true_size != NULL)
        canvas->def.true_size(canvas->def.user, tb_canvas_true_ratio(canvas));
}

/* The keys of any drawing; false for all others. */
static bool
view_key(TbCanvas *canvas, guint key)
{
    switch (key) {
    case GDK_KEY_plus:
    case GDK_KEY_equal:
    case GDK_KEY_KP_Add:
        zoom(canvas, middle(canvas), KEY_ZOOM);
        return true;
    case GDK_KEY_minus:
    case GDK_KEY_KP_Subtract:
        zoom(canvas, middle(canvas), 1 / KEY_ZOOM);
        return true;
    case GDK_KEY_0:
    case GDK_KEY_KP_0:
        if (canvas->def.fit != NULL)
            canvas->def.fit(canvas->def.user);
        return true;
    case GDK_KEY_1:
    case GDK_KEY_KP_1:
        true_size(canvas);
        return true;
    case GDK_KEY_Left:
        pan(canvas, KEY_PAN, 0);
        return true;
    case GDK_KEY_Right:
        pan(canvas, -KEY_PAN, 0);
        return true;
    case GDK_KEY_Up:
        pan(canvas, 0, KEY_PAN);
        return true;
    case GDK_KEY_Down:
        pan(canvas, 0, -KEY_PAN);
        return true;
    default:
        return false;
    }
}

static gboolean
key_pressed(GtkEventControllerKey *controller,
            guint key,
            guint code,
            GdkModifierType state,
            TbCanvas *canvas)
{
    (void)controller, (void)code;
    if (canvas->def.key != NULL && canvas->def.key(canvas->def.user, key, state))
        return TRUE;
    /* the rest belongs to the window's shortcuts */
    if (state & (GDK_CONTROL_MASK | GDK_ALT_MASK | GDK_SUPER_MASK))
        return FALSE;
    if (key == GDK_KEY_space) {
        canvas->space = true;
        return TRUE;
    }
    return view_key(canvas, key);
}

static void
key_released(GtkEventControllerKey *controller,
             guint key,
             guint code,
             GdkModifierType state,
             TbCanvas *canvas)
{
    (void)controller, (void)code, (void)state;
    if (key == GDK_KEY_space)
        canvas->space = false;
}

static void
focus_changed(GtkEventControllerFocus *controller, GParamSpec *spec, TbCanvas *canvas)
{
    bool in = gtk_event_controller_focus_is_focus(controller);

    (void)spec;
    if (!in)
        canvas->space = false;
    if (canvas->def.focus != NULL)
        canvas->def.focus(canvas->def.user, in);
}

/* ---- all of them ---- */

static void
add_drag(TbCanvas *canvas,
         guint button,
         GCallback begun,
         GCallback dragged,
         GCallback ended,
         GCallback cancelled)
{
    GtkGesture *drag = gtk_gesture_drag_new();

    gtk_gesture_single_set_button(GTK_GESTURE_SINGLE(drag), button);
    g_signal_connect(drag, "drag-begin", begun, canvas);
    g_signal_connect(drag, "drag-update", dragged, canvas);
    if (ended != NULL)
        g_signal_connect(drag, "drag-end", ended, canvas);
    if (cancelled != NULL)
        g_signal_connect(drag, "cancel", cancelled, canvas);
    gtk_widget_add_controller(GTK_WIDGET(canvas), GTK_EVENT_CONTROLLER(drag));
}

void
tb_canvas__add_gestures(TbCanvas *canvas)
{
    GtkWidget *widget = GTK_WIDGET(canvas);
    GtkEventController *scroll =
        gtk_event_controller_scroll_new(GTK_EVENT_CONTROLLER_SCROLL_BOTH_AXES);
    GtkEventController *motion = gtk_event_controller_motion_new();
    GtkEventController *keys = gtk_event_controller_key_new();
    GtkEventController *focus = gtk_event_controller_focus_new();
    GtkGesture *pinch = gtk_gesture_zoom_new();

    g_signal_connect(scroll, "scroll", G_CALLBACK(scrolled), canvas);
    g_signal_connect(motion, "motion", G_CALLBACK(moved), canvas);
    g_signal_connect(motion, "leave", G_CALLBACK(left), canvas);
    g_signal_connect(keys, "key-pressed", G_CALLBACK(key_pressed), canvas);
    g_signal_connect(keys, "key-released", G_CALLBACK(key_released), canvas);
    g_signal_connect(focus, "notify::is-focus", G_CALLBACK(focus_changed), canvas);
    g_signal_connect(pinch, "begin", G_CALLBACK(pinch_begun), canvas);
    g_signal_connect(pinch, "scale-changed", G_CALLBACK(pinched), canvas);
    gtk_widget_add_controller(widget, scroll);
    gtk_widget_add_controller(widget, motion);
    gtk_widget_add_controller(widget, keys);
    gtk_widget_add_controller(widget, focus);
    gtk_widget_add_controller(widget, GTK_EVENT_CONTROLLER(pinch));
    add_drag(canvas, GDK_BUTTON_MIDDLE, G_CALLBACK(pan_begun), G_CALLBACK(pan_dragged), NULL, NULL);
    add_drag(canvas, GDK_BUTTON_PRIMARY, G_CALLBACK(press_begun), G_CALLBACK(press_dragged),
             G_CALLBACK(press_ended), G_CALLBACK(press_cancelled));
}
