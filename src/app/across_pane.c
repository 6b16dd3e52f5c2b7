/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/across_pane.h"

#include "app/cut_face.h"
#include "app/item_words.h"
#include "app/section_grips.h"
#include "base/length.h"

#include <glib/gi18n.h>
#include <math.h>

/** mm of station that Page Up and Page Down move; Shift: ten times. */
#define STATION_STEP 1.0

struct _TbAcrossPane {
    GtkBox parent;

    TbSession *session;
    gulong changed;
    TbCutFace *face;
    int active; /* grip that keys move, or -1 */
    char *item; /* whose section was shown last */

    GtkLabel *name;
    GtkEntry *at;
    GtkWidget *before, *after; /* to the given sections beside the cursor */
    GtkLabel *ratio;
};

G_DEFINE_FINAL_TYPE(TbAcrossPane, tb_across_pane, GTK_TYPE_BOX)

double
tb_across_pane_ratio(TbAcrossPane *pane)
{
    return tb_cut_face_ratio(pane->face);
}

/* ---- the head from the session ---- */

static void
show_station(TbAcrossPane *pane)
{
    const char *id = tb_session_cursor_item(pane->session);
    const TbItem *item = id == NULL ? NULL : tb_bay_item(tb_session_bay(pane->session), id);
    double station = tb_session_cursor(pane->session);
    char number[TB_TEXT_NUMBER];
    g_autofree char *text = NULL;

    gtk_label_set_text(pane->name, item == NULL                ? _("Across the path")
                                   : item->record.name == NULL ? id
                                                               : item->record.name);
    gtk_widget_set_sensitive(GTK_WIDGET(pane->at), item != NULL);
    gtk_widget_remove_css_class(GTK_WIDGET(pane->at), "error");
    tb_length_write(station, tb_session_unit(pane->session), 1, number);
    text = item == NULL ? g_strdup("")
                        : g_strdup_printf("%s %s", number,
                                          tb_length_unit_name(tb_session_unit(pane->session)));
    if (strcmp(text, gtk_editable_get_text(GTK_EDITABLE(pane->at))) != 0)
        gtk_editable_set_text(GTK_EDITABLE(pane->at), text);
    gtk_widget_set_sensitive(
        pane->before, item != NULL && !isnan(tb_section_next(pane->session, id, station, -1)));
    gtk_widget_set_sensitive(
        pane->after, item != NULL && !isnan(tb_section_next(pane->session, id, station, 1)));
}

static void
show_ratio(void *user)
{
    TbAcrossPane *pane = user;
    double ratio = tb_cut_face_ratio(pane->face);
    char text[24] = "";

    if (ratio > 0)
        tb_viewport_ratio_text(ratio, text);
    gtk_label_set_text(pane->ratio, text);
}

static void
session_changed(TbSession *session, guint parts, TbAcrossPane *pane)
{
    if (parts & (TB_SESSION_CURSOR | TB_SESSION_DOCUMENT))
        show_station(pane);
    if (g_strcmp0(pane->item, tb_session_cursor_item(session)) != 0) {
        g_free(pane->item);
        pane->item = g_strdup(tb_session_cursor_item(session));
        pane->active = -1;
        tb_cut_face_fit(pane->face);
    }
    tb_cut_face_follow(pane->face, parts);
}

/* ---- the head to the session ---- */

static void
take_typed(TbAcrossPane *pane)
{
    TbFault fault = {0};
    double at;

    if (tb_session_cursor_item(pane->session) == NULL)
        return;
    if (tb_length_read(gtk_editable_get_text(GTK_EDITABLE(pane->at)),
                       tb_session_unit(pane->session), &at, &fault) != TB_OK) {
        gtk_widget_add_css_class(GTK_WIDGET(pane->at), "error");
        tb_session_say(pane->session, fault.text);
        return;
    }
    /* the shown text is rounded: left as it is, it must not move the cursor */
    if (fabs(at - tb_session_cursor(pane->session)) > TB_DRAG_PLANE_STEP / 2)
        tb_session_set_cursor(pane->session, NULL, at);
    show_station(pane);
}

static void
entry_activated(GtkEntry *entry, TbAcrossPane *pane)
{
    (void)entry;
    take_typed(pane);
}

static void
entry_left(GtkEventControllerFocus *controller, TbAcrossPane *pane)
{
    (void)controller;
    take_typed(pane);
}

static bool
station_key(TbAcrossPane *pane, guint key, GdkModifierType state)
{
    double step = state & GDK_SHIFT_MASK ? 10 * STATION_STEP : STATION_STEP;

    if (state & (GDK_CONTROL_MASK | GDK_ALT_MASK))
        return false;
    if (key != GDK_KEY_Page_Up && key != GDK_KEY_Page_Down)
        return false;
    tb_session_set_cursor(pane->session, NULL,
                          tb_session_cursor(pane->session) +
                              (key == GDK_KEY_Page_Up ? -step : step));
    return true;
}

static gboolean
entry_key(GtkEventControllerKey *controller,
          guint key,
          guint code,
          GdkModifierType state,
          TbAcrossPane *pane)
{
    (void)controller, (void)code;
    if (key == GDK_KEY_Escape) {
        show_station(pane);
        gtk_widget_grab_focus(tb_cut_face_canvas(pane->face));
        return TRUE;
    }
    return station_key(pane, key, state);
}

static void
go(TbAcrossPane *pane, int step)
{
    const char *item = tb_session_cursor_item(pane->session);
    double station;

    if (item == NULL)
        return;
    station = tb_section_next(pane->session, item, tb_session_cursor(pane->session), step);
    if (!isnan(station))
        tb_session_set_cursor(pane->session, item, station);
}

static void
go_before(GtkButton *button, TbAcrossPane *pane)
{
    (void)button;
    go(pane, -1);
}

static void
go_after(GtkButton *button, TbAcrossPane *pane)
{
    (void)button;
    go(pane, 1);
}

/* ---- what the face asks ---- */

/* The handles of the given section that the cursor stands on; 0 between two of them. */
static size_t
parts(TbAcrossPane *pane, TbPartGrip grips[TB_SECTION_GRIPS])
{
    const char *item = tb_session_cursor_item(pane->session);
    size_t row;

    if (item == NULL || !tb_section_at(pane->session, item, tb_session_cursor(pane->session), &row))
        return 0;
    return tb_section_grips(pane->session, item, row, grips);
}

static TbGrip *
grips(void *user, const TbScene *scene, size_t *count)
{
    TbAcrossPane *pane = TB_ACROSS_PANE(user);
    TbPartGrip part[TB_SECTION_GRIPS];
    TbGrip *out = g_new0(TbGrip, TB_SECTION_GRIPS);

    (void)scene;
    *count = parts(pane, part);
    for (size_t i = 0; i < *count; i++) {
        bool turn = part[i].part == TB_SECTION_PART_TURN;
        bool corner = part[i].part == TB_SECTION_PART_CORNER;

        out[i] = (TbGrip){.mark = {.at = part[i].at,
                                   /* where it turns to */
                                   .toward = part[i].along,
                                   .mark = turn     ? TB_HANDLE_MARK_ARROW
                                           : corner ? TB_HANDLE_MARK_SQUARE
                                                    : TB_HANDLE_MARK_BAR,
                                   .active = pane->active == (int)i},
                          .number = i};
    }
    return out;
}

static void
press(void *user, TbDrag *drag, size_t number, const TbScene *scene, TbVec2 at)
{
    TbAcrossPane *pane = TB_ACROSS_PANE(user);
    TbPartGrip part[TB_SECTION_GRIPS];

    (void)scene;
    if (number < parts(pane, part))
        tb_drag_press_part(drag, tb_session_cursor_item(pane->session), part[number], at);
}

static void
nudge(void *user, size_t number, const TbScene *scene, TbVec2 by, int group)
{
    TbAcrossPane *pane = TB_ACROSS_PANE(user);
    TbPartGrip part[TB_SECTION_GRIPS];
    TbFault fault = {0};

    (void)scene;
    if (number < parts(pane, part) &&
        !tb_drag_nudge_part(pane->session, tb_session_cursor_item(pane->session), &part[number], by,
                            group, &fault))
        tb_session_say(pane->session, fault.text);
}

static int
active(void *user)
{
    return TB_ACROSS_PANE(user)->active;
}

static void
activate(void *user, int number)
{
    TB_ACROSS_PANE(user)->active = number;
}

static char *
grip_name(void *user, size_t number)
{
    TbPartGrip part[TB_SECTION_GRIPS];

    return number < parts(TB_ACROSS_PANE(user), part) ? tb_section_grip_name(&part[number]) : NULL;
}

static bool
key(void *user, guint key_value, GdkModifierType state)
{
    return station_key(TB_ACROSS_PANE(user), key_value, state);
}

/* ---- building ---- */

static GtkWidget *
build_entry(TbAcrossPane *pane)
{
    GtkWidget *entry = gtk_entry_new();
    GtkEventController *keys = gtk_event_controller_key_new();
    GtkEventController *focus = gtk_event_controller_focus_new();

    pane->at = GTK_ENTRY(entry);
    gtk_editable_set_width_chars(GTK_EDITABLE(entry), 8);
    gtk_editable_set_max_width_chars(GTK_EDITABLE(entry), 8);
    gtk_entry_set_alignment(pane->at, 1);
    gtk_widget_add_css_class(entry, "numeric");
    gtk_widget_set_tooltip_text(entry, _("Station; Page Up and Page Down step it"));
    gtk_accessible_update_property(GTK_ACCESSIBLE(entry), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                   _("Station"), -1);
    g_signal_connect(entry, "activate", G_CALLBACK(entry_activated), pane);
    gtk_event_controller_set_propagation_phase(keys, GTK_PHASE_CAPTURE);
    g_signal_connect(keys, "key-pressed", G_CALLBACK(entry_key), pane);
    g_signal_connect(focus, "leave", G_CALLBACK(entry_left), pane);
    gtk_widget_add_controller(entry, keys);
    gtk_widget_add_controller(entry, focus);
    return entry;
}

static GtkWidget *
build_step(const char *icon, const char *tip, GCallback clicked, TbAcrossPane *pane)
{
    GtkWidget *button = gtk_button_new_from_icon_name(icon);

    gtk_widget_add_css_class(button, "flat");
    gtk_widget_set_tooltip_text(button, tip);
    gtk_accessible_update_property(GTK_ACCESSIBLE(button), GTK_ACCESSIBLE_PROPERTY_LABEL, tip, -1);
    g_signal_connect(button, "clicked", clicked, pane);
    return button;
}

static GtkWidget *
build_head(TbAcrossPane *pane)
{
    GtkWidget *head = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 3);

    gtk_widget_add_css_class(head, "pane-head");
    pane->name = GTK_LABEL(gtk_label_new(""));
    gtk_label_set_ellipsize(pane->name, PANGO_ELLIPSIZE_END);
    gtk_label_set_xalign(pane->name, 0);
    gtk_widget_set_hexpand(GTK_WIDGET(pane->name), TRUE);
    pane->before =
        build_step("go-previous-symbolic", _("Section before"), G_CALLBACK(go_before), pane);
    pane->after = build_step("go-next-symbolic", _("Section after"), G_CALLBACK(go_after), pane);
    pane->ratio = GTK_LABEL(gtk_label_new(""));
    gtk_label_set_width_chars(pane->ratio, 5);
    gtk_label_set_xalign(pane->ratio, 1);
    gtk_widget_add_css_class(GTK_WIDGET(pane->ratio), "numeric");
    gtk_widget_set_tooltip_text(GTK_WIDGET(pane->ratio), _("Ratio on this screen"));
    gtk_box_append(GTK_BOX(head), GTK_WIDGET(pane->name));
    gtk_box_append(GTK_BOX(head), pane->before);
    gtk_box_append(GTK_BOX(head), build_entry(pane));
    gtk_box_append(GTK_BOX(head), pane->after);
    gtk_box_append(GTK_BOX(head), GTK_WIDGET(pane->ratio));
    return head;
}

static void
dispose(GObject *object)
{
    TbAcrossPane *pane = TB_ACROSS_PANE(object);

    if (pane->session != NULL)
        g_clear_signal_handler(&pane->changed, pane->session);
    g_clear_pointer(&pane->face, tb_cut_face_free);
    g_clear_pointer(&pane->item, g_free);
    G_OBJECT_CLASS(tb_across_pane_parent_class)->dispose(object);
    g_clear_object(&pane->session);
}

static void
tb_across_pane_class_init(TbAcrossPaneClass *klass)
{
    G_OBJECT_CLASS(klass)->dispose = dispose;
}

static void
tb_across_pane_init(TbAcrossPane *pane)
{
    pane->active = -1;
    gtk_orientable_set_orientation(GTK_ORIENTABLE(pane), GTK_ORIENTATION_VERTICAL);
}

GtkWidget *
tb_across_pane_new(TbSession *session)
{
    TbAcrossPane *pane = g_object_new(TB_TYPE_ACROSS_PANE, NULL);
    TbCutFaceDef def = {.grips = grips,
                        .press = press,
                        .nudge = nudge,
                        .active = active,
                        .activate = activate,
                        .name = grip_name,
                        .changed = show_ratio,
                        .key = key,
                        .user = pane};

    pane->session = g_object_ref(session);
    pane->item = g_strdup(tb_session_cursor_item(session));
    pane->face = tb_cut_face_new(session, TB_SLOT_ACROSS, &def);
    gtk_box_append(GTK_BOX(pane), build_head(pane));
    gtk_box_append(GTK_BOX(pane), tb_cut_face_canvas(pane->face));
    show_station(pane);
    pane->changed = g_signal_connect(session, "changed", G_CALLBACK(session_changed), pane);
    return GTK_WIDGET(pane);
}
