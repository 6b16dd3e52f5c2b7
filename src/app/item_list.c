/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/item_list_private.h"

#include "app/in_view.h"
#include "app/item_acts.h"

#include <glib/gi18n.h>

G_DEFINE_FINAL_TYPE(TbItemList, tb_item_list, GTK_TYPE_BOX)

/* ---- rows ---- */

static TbItemCell *
line_at(TbItemList *list, int place)
{
    GtkListBoxRow *row = place < 0 ? NULL : gtk_list_box_get_row_at_index(list->list, place);

    return row == NULL ? NULL : TB_ITEM_CELL(row);
}

TbItemCell *
tb_item_list__line_of(TbItemList *list, const char *id)
{
    return line_at(list, tb_item_rows_find(list->rows, id));
}

TbItemRow *
tb_item_list__selected_row(TbItemList *list)
{
    TbItemCell *line = tb_item_list__line_of(list, tb_session_selected(list->session));

    return line == NULL ? NULL : tb_item_cell_row(line);
}

static void
renamed(TbItemCell *line, const char *name, TbItemList *list)
{
    tb_item_rename(list->session, tb_item_cell_row(line)->id, name);
}

/* The record behind another one in its list of the document; NULL: it is the last. */
static const char *
record_behind(TbItemList *list, const char *id)
{
    const TbBay *bay = tb_session_bay(list->session);
    const TbRecord *record = tb_bay_find(bay, id);
    const TbList *records = &bay->lists[tb_record_list(record)];

    for (size_t i = 0; i + 1 < records->count; i++)
        if (records->records[i] == record)
            return records->records[i + 1]->id;
    return NULL;
}

void
tb_item_list__move_beside(TbItemList *list, const char *id, const char *other, bool below)
{
    /* what was dropped is destroyed with its place */
    g_autofree char *moved = g_strdup(id);
    TbItemCell *line;

    if (!tb_item_move_before(list->session, moved, below ? record_behind(list, other) : other))
        return;
    tb_session_select(list->session, moved);
    line = tb_item_list__line_of(list, moved);
    if (line != NULL)
        gtk_widget_grab_focus(GTK_WIDGET(line));
}

static void
dropped(TbItemCell *line, TbItemRow *dragged, gboolean below, TbItemList *list)
{
    tb_item_list__move_beside(list, dragged->id, tb_item_cell_row(line)->id, below);
}

static GtkWidget *
make_line(void *item, void *data)
{
    TbItemList *list = data;
    GtkWidget *line = tb_item_cell_new(item, list->rows, list->session);

    g_signal_connect(line, "renamed", G_CALLBACK(renamed), list);
    g_signal_connect(line, "dropped", G_CALLBACK(dropped), list);
    return line;
}

static void
make_header(GtkListBoxRow *row, GtkListBoxRow *before, void *data)
{
    TbItemGroup group = tb_item_cell_row(TB_ITEM_CELL(row))->group;
    GtkWidget *header;

    (void)data;
    if (before != NULL && tb_item_cell_row(TB_ITEM_CELL(before))->group == group) {
        gtk_list_box_row_set_header(row, NULL);
        return;
    }
    header = gtk_label_new(tb_item_group_name(group));
    gtk_label_set_xalign(GTK_LABEL(header), 0);
    gtk_widget_add_css_class(header, "group");
    gtk_list_box_row_set_header(row, header);
}

/* ---- selection, both ways ---- */

static gboolean
scroll_now(void *data)
{
    TbItemList *list = data;
    GtkWidget *line = (GtkWidget *)tb_item_list__line_of(list, tb_session_selected(list->session));
    GtkAdjustment *adjustment = gtk_scrolled_window_get_vadjustment(list->scrolled);
    graphene_rect_t place;

    list->scrolling = 0;
    if (line != NULL && gtk_widget_compute_bounds(line, GTK_WIDGET(list->list), &place))
        gtk_adjustment_clamp_page(adjustment, place.origin.y, place.origin.y + place.size.height);
    return G_SOURCE_REMOVE;
}

/* Once rows that are new have their places. */
static void
scroll_to_selection(TbItemList *list)
{
    if (list->scrolling == 0)
        list->scrolling = g_idle_add(scroll_now, list);
}

static void
follow_selection(TbItemList *list)
{
    TbItemCell *line = tb_item_list__line_of(list, tb_session_selected(list->session));
    GtkListBoxRow *now = gtk_list_box_get_selected_row(list->list);

    tb_item_list__enable_actions(list);
    if ((GtkListBoxRow *)line == now)
        return;
    list->following = true;
    if (line == NULL)
        gtk_list_box_unselect_all(list->list);
    else
        gtk_list_box_select_row(list->list, GTK_LIST_BOX_ROW(line));
    list->following = false;
    if (line == NULL)
        return;
    scroll_to_selection(list);
    /* keys go on from where the selection is, but the focus is not taken from elsewhere */
    if (gtk_widget_get_focus_child(GTK_WIDGET(list->list)) != NULL)
        gtk_widget_grab_focus(GTK_WIDGET(line));
}

static void
row_selected(GtkListBox *box, GtkListBoxRow *row, TbItemList *list)
{
    (void)box;
    /* a row that goes takes the mark along, but what is selected stays so */
    if (!list->following && row != NULL)
        tb_session_select(list->session, tb_item_cell_row(TB_ITEM_CELL(row))->id);
}

static void
session_changed(TbSession *session, guint parts, TbItemList *list)
{
    (void)session;
    if (parts & (TB_SESSION_DOCUMENT | TB_SESSION_SELECTION))
        follow_selection(list);
}

/* ---- the row's menu ---- */

static void
open_menu(TbItemList *list, GtkWidget *line, double x, double y)
{
    graphene_point_t at;

    if (!gtk_widget_compute_point(line, GTK_WIDGET(list), &GRAPHENE_POINT_INIT((float)x, (float)y),
                                  &at))
        return;
    gtk_popover_set_pointing_to(GTK_POPOVER(list->menu),
                                &(GdkRectangle){(int)at.x, (int)at.y, 1, 1});
    gtk_popover_popup(GTK_POPOVER(list->menu));
}

static void
pressed_for_menu(GtkGestureClick *click, int presses, double x, double y, TbItemList *list)
{
    GtkListBoxRow *row = gtk_list_box_get_row_at_y(list->list, (int)y);
    graphene_point_t at;

    (void)presses;
    if (row == NULL || !gtk_widget_compute_point(GTK_WIDGET(list->list), GTK_WIDGET(row),
                                                 &GRAPHENE_POINT_INIT((float)x, (float)y), &at))
        return;
    gtk_gesture_set_state(GTK_GESTURE(click), GTK_EVENT_SEQUENCE_CLAIMED);
    tb_session_select(list->session, tb_item_cell_row(TB_ITEM_CELL(row))->id);
    gtk_widget_grab_focus(GTK_WIDGET(row));
    open_menu(list, GTK_WIDGET(row), at.x, at.y);
}

static gboolean
menu_key(GtkWidget *widget, GVariant *arguments, void *data)
{
    TbItemList *list = TB_ITEM_LIST(data);
    TbItemCell *line = tb_item_list__line_of(list, tb_session_selected(list->session));

    (void)widget, (void)arguments;
    if (line == NULL)
        return FALSE;
    open_menu(list, GTK_WIDGET(line), 24, gtk_widget_get_height(GTK_WIDGET(line)));
    return TRUE;
}

/* ---- keys ---- */

/* Keys of a row that has the focus. */
static const struct {
    const char *keys, *action;
} keys[] = {
    {"<Control>c", "list.copy"}, {"<Control>x", "list.cut"},       {"<Control>v", "list.paste"},
    {"F2", "list.rename"},       {"<Control>d", "list.duplicate"}, {"Delete", "list.remove"},
    {"space", "list.hide"},      {"<Alt>Up", "list.move-up"},      {"<Alt>Down", "list.move-down"},
};

static gboolean
search_key(GtkWidget *widget, GVariant *arguments, void *data)
{
    TbItemList *list = TB_ITEM_LIST(data);

    (void)widget, (void)arguments;
    gtk_search_bar_set_search_mode(list->search_bar, TRUE);
    gtk_widget_grab_focus(GTK_WIDGET(list->search_entry));
    return TRUE;
}

/* Tab leaves the list for the next pane: rows are for the arrow keys. */
static gboolean
leave_list(GtkWidget *widget, GVariant *arguments, void *data)
{
    gboolean forward = g_variant_get_boolean(arguments);
    gboolean moved;

    (void)data;
    gtk_widget_set_can_focus(widget, FALSE);
    moved = gtk_widget_child_focus(GTK_WIDGET(gtk_widget_get_root(widget)),
                                   forward ? GTK_DIR_TAB_FORWARD : GTK_DIR_TAB_BACKWARD);
    gtk_widget_set_can_focus(widget, TRUE);
    return moved;
}

static void
add_shortcut(GtkEventController *controller, const char *key, GtkShortcutAction *action)
{
    gtk_shortcut_controller_add_shortcut(
        GTK_SHORTCUT_CONTROLLER(controller),
        gtk_shortcut_new(gtk_shortcut_trigger_parse_string(key), action));
}

static void
add_keys(TbItemList *list)
{
    GtkEventController *on_rows = gtk_shortcut_controller_new();
    GtkEventController *on_pane = gtk_shortcut_controller_new();
    GtkShortcut *tab;

    for (size_t i = 0; i < G_N_ELEMENTS(keys); i++)
        add_shortcut(on_rows, keys[i].keys, gtk_named_action_new(keys[i].action));
    add_shortcut(on_rows, "Menu", gtk_callback_action_new(menu_key, list, NULL));
    add_shortcut(on_rows, "<Shift>F10", gtk_callback_action_new(menu_key, list, NULL));
    for (int forward = 0; forward < 2; forward++) {
        tab = gtk_shortcut_new(
            gtk_shortcut_trigger_parse_string(forward ? "Tab" : "<Shift>Tab|<Shift>ISO_Left_Tab"),
            gtk_callback_action_new(leave_list, list, NULL));
        gtk_shortcut_set_arguments(tab, g_variant_new_boolean(forward));
        gtk_shortcut_controller_add_shortcut(GTK_SHORTCUT_CONTROLLER(on_rows), tab);
    }
    gtk_widget_add_controller(GTK_WIDGET(list->list), on_rows);
    gtk_shortcut_controller_set_scope(GTK_SHORTCUT_CONTROLLER(on_pane), GTK_SHORTCUT_SCOPE_GLOBAL);
    add_shortcut(on_pane, "<Control>f", gtk_callback_action_new(search_key, list, NULL));
    gtk_widget_add_controller(GTK_WIDGET(list), on_pane);
}

/* ---- searching ---- */

static void
say_empty(TbItemList *list)
{
    bool searching = gtk_editable_get_text(GTK_EDITABLE(list->search_entry))[0] != '\0';

    gtk_label_set_text(list->empty_label,
                       searching ? _("Nothing in the bay has this in its name")
                                 : _("Nothing is in this bay yet. Draw a block on any cut, add "
                                     "one with +, or bring in a scan."));
}

static void
search_changed(GtkSearchEntry *entry, TbItemList *list)
{
    say_empty(list);
    tb_item_rows_set_filter(list->rows, gtk_editable_get_text(GTK_EDITABLE(entry)));
    follow_selection(list);
}

/* ---- the class ---- */

static void
dispose(GObject *object)
{
    TbItemList *list = TB_ITEM_LIST(object);

    g_clear_handle_id(&list->scrolling, g_source_remove);
    if (list->chooser != NULL)
        gtk_native_dialog_destroy(GTK_NATIVE_DIALOG(list->chooser));
    g_clear_object(&list->chooser);
    G_OBJECT_CLASS(tb_item_list_parent_class)->dispose(object);
    g_clear_object(&list->rows);
    g_clear_object(&list->session);
    g_clear_object(&list->actions);
    g_clear_object(&list->row_menu);
}

static void
snapshot(GtkWidget *widget, GtkSnapshot *snapshot)
{
    tb_in_view_check_rows(GTK_WIDGET(TB_ITEM_LIST(widget)->list));
    GTK_WIDGET_CLASS(tb_item_list_parent_class)->snapshot(widget, snapshot);
}

#define CHILD(name) gtk_widget_class_bind_template_child(widget_class, TbItemList, name)

static void
tb_item_list_class_init(TbItemListClass *klass)
{
    GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(klass);

    G_OBJECT_CLASS(klass)->dispose = dispose;
    widget_class->snapshot = snapshot;
    gtk_widget_class_set_template_from_resource(widget_class,
                                                "/net/tightbay/Tightbay/item_list.ui");
    CHILD(list);
    CHILD(scrolled);
    CHILD(search_bar);
    CHILD(search_entry);
    CHILD(search_button);
    CHILD(empty_label);
    CHILD(row_menu);
}

static void
tb_item_list_init(TbItemList *list)
{
    GtkGesture *click = gtk_gesture_click_new();

    gtk_widget_init_template(GTK_WIDGET(list));
    g_object_ref(list->row_menu);
    tb_item_list__add_actions(list);
    list->menu = gtk_popover_menu_new_from_model(list->row_menu);
    gtk_popover_set_has_arrow(GTK_POPOVER(list->menu), FALSE);
    gtk_widget_set_halign(list->menu, GTK_ALIGN_START);
    gtk_widget_set_parent(list->menu, GTK_WIDGET(list));

    gtk_search_bar_connect_entry(list->search_bar, GTK_EDITABLE(list->search_entry));
    g_signal_connect(list->search_entry, "search-changed", G_CALLBACK(search_changed), list);
    g_signal_connect(list->list, "row-selected", G_CALLBACK(row_selected), list);
    gtk_list_box_set_header_func(list->list, make_header, NULL, NULL);
    gtk_gesture_single_set_button(GTK_GESTURE_SINGLE(click), GDK_BUTTON_SECONDARY);
    g_signal_connect(click, "pressed", G_CALLBACK(pressed_for_menu), list);
    gtk_widget_add_controller(GTK_WIDGET(list->list), GTK_EVENT_CONTROLLER(click));
    add_keys(list);
}

GtkWidget *
tb_item_list_new(TbSession *session)
{
    TbItemList *list = g_object_new(TB_TYPE_ITEM_LIST, NULL);

    list->session = g_object_ref(session);
    list->rows = tb_item_rows_new(session);
    say_empty(list);
    gtk_list_box_bind_model(list->list, G_LIST_MODEL(list->rows), make_line, list, NULL);
    g_signal_connect_object(session, "changed", G_CALLBACK(session_changed), list, 0);
    follow_selection(list);
    return GTK_WIDGET(list);
}
