/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/cut_pane.h"

#include "app/cut_face.h"
#include "app/item_grips.h"
#include "app/place_entry.h"
#include "app/sliding.h"
#include "geom/plane.h"

#include <glib/gi18n.h>
#include <math.h>

struct _TbCutPane {
    GtkBox parent;

    TbSession *session;
    int slot;
    gulong changed;
    TbCutFace *face;

    GtkDropDown *view;
    GtkLabel *axis;
    TbPlaceEntry *at;
    GtkLabel *ratio;
    bool filling; /* the head is being filled from the session */
};

G_DEFINE_FINAL_TYPE(TbCutPane, tb_cut_pane, GTK_TYPE_BOX)

/** What the drop-down offers, in its order. */
static const TbSceneView views[] = {TB_SCENE_SIDE, TB_SCENE_PLAN, TB_SCENE_FRONT, TB_SCENE_FREE};

static TbSceneView
view_of(TbCutPane *pane)
{
    return tb_session_view(pane->session, pane->slot);
}

double
tb_cut_pane_ratio(TbCutPane *pane)
{
    return tb_cut_face_ratio(pane->face);
}

/* ---- the head from the session ---- */

static void
show_plane(TbCutPane *pane)
{
    TbSceneView view = view_of(pane);
    bool is_free = view == TB_SCENE_FREE;

    gtk_widget_set_visible(GTK_WIDGET(pane->axis), !is_free);
    gtk_widget_set_visible(GTK_WIDGET(pane->at), !is_free);
    tb_place_entry_show(pane->at);
    if (!is_free) {
        const char *axis = view == TB_SCENE_SIDE ? "Y" : view == TB_SCENE_PLAN ? "Z" : "X";
        /* Translators: %s is X, Y or Z */
        g_autofree char *name = g_strdup_printf(_("%s of the plane"), axis);

        gtk_label_set_text(pane->axis, axis);
        gtk_accessible_update_property(GTK_ACCESSIBLE(pane->at), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                       name, -1);
    }
}

static void
show_view(TbCutPane *pane)
{
    for (guint i = 0; i < G_N_ELEMENTS(views); i++)
        if (views[i] == view_of(pane) && gtk_drop_down_get_selected(pane->view) != i)
            gtk_drop_down_set_selected(pane->view, i);
}

static void
show_ratio(void *user)
{
    TbCutPane *pane = user;

    tb_cut_face_show_ratio(pane->face, pane->ratio);
}

static void
session_changed(TbSession *session, guint parts, TbCutPane *pane)
{
    (void)session;
    pane->filling = true;
    if (parts & TB_SESSION_PLANES) {
        show_view(pane);
        show_ratio(pane);
    }
    /* the unit that it is told in is the document's */
    if (parts & (TB_SESSION_PLANES | TB_SESSION_DOCUMENT))
        show_plane(pane);
    pane->filling = false;
    tb_cut_face_follow(pane->face, parts);
}

/* ---- the head to the session ---- */

static void
view_chosen(GtkDropDown *drop_down, GParamSpec *spec, TbCutPane *pane)
{
    guint chosen = gtk_drop_down_get_selected(drop_down);

    (void)spec;
    if (!pane->filling && chosen < G_N_ELEMENTS(views))
        tb_session_set_view(pane->session, pane->slot, views[chosen]);
}

static bool
plane(void *user, double *mm)
{
    TbCutPane *pane = TB_CUT_PANE(user);

    *mm = tb_session_cut(pane->session, view_of(pane)).at;
    return view_of(pane) != TB_SCENE_FREE;
}

static void
move(void *user, double mm)
{
    TbCutPane *pane = TB_CUT_PANE(user);

    tb_session_set_plane(pane->session, view_of(pane), mm);
}

/* Along the normal, towards the reader for Page Up in a free cut; along the axis else. */
static void
step(void *user, double by)
{
    TbCutPane *pane = TB_CUT_PANE(user);
    TbSceneView view = view_of(pane);
    TbCutAsk cut = tb_session_cut(pane->session, view);

    if (view == TB_SCENE_FREE) {
        cut.point = tb_vec3_add_scaled(cut.point, -by, tb_vec3_unit(cut.look));
        tb_session_set_free_plane(pane->session, &cut);
    } else {
        tb_session_set_plane(pane->session, view, cut.at + by);
    }
}

/* ---- what the face asks ---- */

static TbGrip *
grips(void *user, const TbScene *scene, size_t *count)
{
    return tb_item_grips(TB_CUT_PANE(user)->session, scene, count);
}

static void
press(void *user, TbDrag *drag, size_t number, const TbScene *scene, TbVec2 at)
{
    TbCutPane *pane = user;

    tb_drag_press_handle(drag, tb_session_selected(pane->session), number, scene->plane, at);
}

static void
nudge(void *user, size_t number, const TbScene *scene, TbVec2 by, int group)
{
    TbCutPane *pane = user;
    TbFault fault = {0};

    if (!tb_drag_nudge(pane->session, tb_session_selected(pane->session), number, scene->plane, by,
                       group, &fault))
        tb_session_say(pane->session, fault.text);
}

static int
active(void *user)
{
    return tb_session_handle(TB_CUT_PANE(user)->session);
}

static void
activate(void *user, int number)
{
    tb_session_select_handle(TB_CUT_PANE(user)->session, number);
}

static char *
grip_name(void *user, size_t number)
{
    return tb_item_grip_name(TB_CUT_PANE(user)->session, number);
}

static bool
key(void *user, guint key_value, GdkModifierType state)
{
    return tb_place_entry_key(TB_CUT_PANE(user)->at, key_value, state);
}

static void
set_sight(TbCutPane *pane, TbSight sight)
{
    TbCutAsk cut = {
        .view = TB_SCENE_FREE, .point = sight.point, .look = sight.look, .up = sight.up};

    tb_session_set_free_plane(pane->session, &cut);
    tb_session_set_view(pane->session, pane->slot, TB_SCENE_FREE);
    tb_session_say(pane->session, "");
}

static void
picked(void *user, const TbVec3 points[], size_t count)
{
    TbCutPane *pane = user;
    TbFault fault = {0};
    TbSight sight;
    TbStatus status = count == 3 ? tb_sight_through(points[0], points[1], points[2], &sight, &fault)
                                 : tb_sight_square(points[0], points[1], points[0], &sight, &fault);

    if (status == TB_OK)
        set_sight(pane, sight);
    else
        tb_session_say(pane->session, fault.text);
}

/* ---- actions ---- */

static void
pick_three(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    tb_cut_face_pick(TB_CUT_PANE(data)->face, 3);
}

static void
pick_line(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    tb_cut_face_pick(TB_CUT_PANE(data)->face, 2);
}

static void
fit_view(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    tb_cut_face_fit(TB_CUT_PANE(data)->face);
}

static void
true_size(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    tb_cut_face_true_size(TB_CUT_PANE(data)->face);
}

static void
zoom_in(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    tb_cut_face_zoom(TB_CUT_PANE(data)->face, 1.25);
}

static void
zoom_out(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    tb_cut_face_zoom(TB_CUT_PANE(data)->face, 1 / 1.25);
}

static const GActionEntry entries[] = {
    {.name = "pick-three", .activate = pick_three}, {.name = "pick-line", .activate = pick_line},
    {.name = "fit", .activate = fit_view},          {.name = "true-size", .activate = true_size},
    {.name = "zoom-in", .activate = zoom_in},       {.name = "zoom-out", .activate = zoom_out},
};

/* ---- building ---- */

static GtkWidget *
build_view(TbCutPane *pane)
{
    const char *const names[] = {_("Side"), _("Plan"), _("Front"), _("Free"), NULL};
    GtkWidget *view = gtk_drop_down_new_from_strings(names);

    pane->view = GTK_DROP_DOWN(view);
    gtk_widget_add_css_class(view, "flat");
    gtk_accessible_update_property(GTK_ACCESSIBLE(view), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                   _("Which cut"), -1);
    show_view(pane);
    g_signal_connect(view, "notify::selected", G_CALLBACK(view_chosen), pane);
    return view;
}

static GtkWidget *
build_entry(TbCutPane *pane)
{
    TbPlaceDef def = {.at = plane,
                      .move = move,
                      .step = step,
                      .user = pane,
                      .tip = _("Where the plane is; Page Up and Page Down step it"),
                      .chars = 9,
                      .escape = tb_cut_face_canvas(pane->face)};
    GtkWidget *entry = tb_place_entry_new(pane->session, &def);

    pane->at = TB_PLACE_ENTRY(entry);
    return entry;
}

static GtkWidget *
build_zoom(TbCutPane *pane)
{
    g_autoptr(GMenu) menu = g_menu_new();
    g_autoptr(GMenu) zoom = g_menu_new();
    g_autoptr(GMenu) free_cut = g_menu_new();
    GtkWidget *button = gtk_menu_button_new();
    GtkWidget *label = gtk_label_new("");

    g_menu_append(zoom, _("Zoom _In"), "cut.zoom-in");
    g_menu_append(zoom, _("Zoom _Out"), "cut.zoom-out");
    g_menu_append(zoom, _("_Fit"), "cut.fit");
    g_menu_append(zoom, _("_True Size"), "cut.true-size");
    g_menu_append(free_cut, _("Cut through T_hree Points"), "cut.pick-three");
    g_menu_append(free_cut, _("Cut _Square to a Line"), "cut.pick-line");
    g_menu_append_section(menu, NULL, G_MENU_MODEL(zoom));
    g_menu_append_section(menu, NULL, G_MENU_MODEL(free_cut));
    gtk_menu_button_set_menu_model(GTK_MENU_BUTTON(button), G_MENU_MODEL(menu));
    gtk_menu_button_set_child(GTK_MENU_BUTTON(button), label);
    gtk_widget_add_css_class(button, "flat");
    gtk_widget_add_css_class(label, "numeric");
    gtk_widget_set_tooltip_text(button, _("Ratio on this screen"));
    gtk_accessible_update_property(GTK_ACCESSIBLE(button), GTK_ACCESSIBLE_PROPERTY_LABEL, _("View"),
                                   -1);
    gtk_label_set_width_chars(GTK_LABEL(label), 6);
    pane->ratio = GTK_LABEL(label);
    return button;
}

static GtkWidget *
build_head(TbCutPane *pane)
{
    GtkWidget *head = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 6);
    GtkWidget *room = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 0);

    gtk_widget_add_css_class(head, "pane-head");
    gtk_widget_set_hexpand(room, TRUE);
    pane->axis = GTK_LABEL(gtk_label_new(""));
    gtk_box_append(GTK_BOX(head), build_view(pane));
    gtk_box_append(GTK_BOX(head), GTK_WIDGET(pane->axis));
    gtk_box_append(GTK_BOX(head), build_entry(pane));
    gtk_box_append(GTK_BOX(head), room);
    gtk_box_append(GTK_BOX(head), build_zoom(pane));
    return head;
}

static void
dispose(GObject *object)
{
    TbCutPane *pane = TB_CUT_PANE(object);

    if (pane->session != NULL)
        g_clear_signal_handler(&pane->changed, pane->session);
    g_clear_pointer(&pane->face, tb_cut_face_free);
    G_OBJECT_CLASS(tb_cut_pane_parent_class)->dispose(object);
    g_clear_object(&pane->session);
}

static void
tb_cut_pane_class_init(TbCutPaneClass *klass)
{
    G_OBJECT_CLASS(klass)->dispose = dispose;
}

static void
tb_cut_pane_init(TbCutPane *pane)
{
    g_autoptr(GSimpleActionGroup) actions = g_simple_action_group_new();

    gtk_orientable_set_orientation(GTK_ORIENTABLE(pane), GTK_ORIENTATION_VERTICAL);
    g_action_map_add_action_entries(G_ACTION_MAP(actions), entries, G_N_ELEMENTS(entries), pane);
    gtk_widget_insert_action_group(GTK_WIDGET(pane), "cut", G_ACTION_GROUP(actions));
}

GtkWidget *
tb_cut_pane_new(TbSession *session, int slot)
{
    TbCutPane *pane = g_object_new(TB_TYPE_CUT_PANE, NULL);
    TbCutFaceDef def = {.grips = grips,
                        .press = press,
                        .nudge = nudge,
                        .active = active,
                        .activate = activate,
                        .name = grip_name,
                        .changed = show_ratio,
                        .key = key,
                        .picked = picked,
                        .user = pane};

    pane->session = g_object_ref(session);
    pane->slot = slot;
    pane->face = tb_cut_face_new(session, slot, &def);
    gtk_box_append(GTK_BOX(pane), tb_sliding_new(build_head(pane)));
    gtk_box_append(GTK_BOX(pane), tb_cut_face_canvas(pane->face));
    show_plane(pane);
    pane->changed = g_signal_connect(session, "changed", G_CALLBACK(session_changed), pane);
    return GTK_WIDGET(pane);
}
