/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/across_pane.h"

#include "app/cut_face.h"
#include "app/item_words.h"
#include "app/place_entry.h"
#include "app/section_grips.h"
#include "app/sliding.h"

#include <glib/gi18n.h>
#include <math.h>

struct _TbAcrossPane {
    GtkBox parent;

    TbSession *session;
    gulong changed;
    TbCutFace *face;
    int active; /* grip that keys move, or -1 */
    char *item; /* whose section was shown last */

    GtkLabel *name;
    TbPlaceEntry *at;
    GtkWidget *before, *after; /* to the given sections beside the cursor */
    GtkLabel *ratio;
};

G_DEFINE_FINAL_TYPE(TbAcrossPane, tb_across_pane, GTK_TYPE_BOX)

/* ---- the head from the session ---- */

static void
show_station(TbAcrossPane *pane)
{
    const char *id = tb_session_cursor_item(pane->session);
    const TbItem *item = id == NULL ? NULL : tb_bay_item(tb_session_bay(pane->session), id);
    double here = tb_session_cursor(pane->session);

    gtk_label_set_text(pane->name, item == NULL                ? _("Across the path")
                                   : item->record.name == NULL ? id
                                                               : item->record.name);
    tb_place_entry_show(pane->at);
    gtk_widget_set_sensitive(pane->before,
                             item != NULL && !isnan(tb_section_next(pane->session, id, here, -1)));
    gtk_widget_set_sensitive(pane->after,
                             item != NULL && !isnan(tb_section_next(pane->session, id, here, 1)));
}

static void
show_ratio(void *user)
{
    TbAcrossPane *pane = user;

    tb_cut_face_show_ratio(pane->face, pane->ratio);
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

static bool
station(void *user, double *mm)
{
    TbAcrossPane *pane = TB_ACROSS_PANE(user);

    *mm = tb_session_cursor(pane->session);
    return tb_session_cursor_item(pane->session) != NULL;
}

static void
move(void *user, double mm)
{
    tb_session_set_cursor(TB_ACROSS_PANE(user)->session, NULL, mm);
}

/* As the path is read: Page Down goes on along it. */
static void
step(void *user, double by)
{
    TbSession *session = TB_ACROSS_PANE(user)->session;

    tb_session_set_cursor(session, NULL, tb_session_cursor(session) - by);
}

static void
go(TbAcrossPane *pane, int way)
{
    const char *item = tb_session_cursor_item(pane->session);
    double next;

    if (item == NULL)
        return;
    next = tb_section_next(pane->session, item, tb_session_cursor(pane->session), way);
    if (!isnan(next))
        tb_session_set_cursor(pane->session, item, next);
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

    return number < parts(TB_ACROSS_PANE(user), part)
               ? tb_section_grip_name(&part[number], tb_session_unit(TB_ACROSS_PANE(user)->session))
               : NULL;
}

static bool
key(void *user, guint key_value, GdkModifierType state)
{
    return tb_place_entry_key(TB_ACROSS_PANE(user)->at, key_value, state);
}

/* ---- building ---- */

static GtkWidget *
build_entry(TbAcrossPane *pane)
{
    TbPlaceDef def = {.at = station,
                      .move = move,
                      .step = step,
                      .user = pane,
                      .name = _("Station"),
                      .tip = _("Station; Page Up and Page Down step it"),
                      .chars = 8,
                      .escape = tb_cut_face_canvas(pane->face)};
    GtkWidget *entry = tb_place_entry_new(pane->session, &def);

    pane->at = TB_PLACE_ENTRY(entry);
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
    gtk_box_append(GTK_BOX(pane), tb_sliding_new(build_head(pane)));
    gtk_box_append(GTK_BOX(pane), tb_cut_face_canvas(pane->face));
    show_station(pane);
    pane->changed = g_signal_connect(session, "changed", G_CALLBACK(session_changed), pane);
    return GTK_WIDGET(pane);
}
