/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/strip.h"

#include "app/names.h"
#include "app/place_entry.h"
#include "app/sliding.h"
#include "app/strip_table.h"

#include <glib/gi18n.h>
#include <string.h>

#define ZOOM_STEP 1.5

/** Letters of a path's name that are shown whole. */
#define MOST_LETTERS 40

struct _TbStripPane {
    GtkBox parent;

    TbSession *session;
    gulong changed;
    TbStripCharts *charts;
    GSimpleActionGroup *actions;

    GtkDropDown *item;
    GPtrArray *ids; /* of the drop-down's rows */
    uint64_t node;  /* of the document whose ducts and lines are listed */
    TbPlaceEntry *at;
    GtkMenuButton *menu;
    char *listed; /* names of the charts that the menu lists; NULL: not made yet */
    bool filling; /* the head is being filled from the session */
};

G_DEFINE_FINAL_TYPE(TbStripPane, tb_strip_pane, GTK_TYPE_BOX)

/* ---- which duct or line ---- */

static void
list_items(TbStripPane *pane)
{
    const TbBay *bay = tb_session_bay(pane->session);
    const TbList *list = &bay->lists[TB_LIST_ITEMS];
    g_autoptr(GtkStringList) names = gtk_string_list_new(NULL);

    g_ptr_array_set_size(pane->ids, 0);
    for (size_t i = 0; i < list->count; i++) {
        const TbRecord *record = list->records[i];

        if (!tb_item_has_path((const TbItem *)record))
            continue;
        g_ptr_array_add(pane->ids, g_strdup(record->id));
        gtk_string_list_append(names, record->name == NULL ? record->id : record->name);
    }
    pane->node = bay->node;
    tb_names_list(pane->item, names);
    gtk_widget_set_sensitive(GTK_WIDGET(pane->item), pane->ids->len > 0);
}

static void
show_item(TbStripPane *pane)
{
    const char *item = tb_session_cursor_item(pane->session);

    if (pane->node != tb_session_bay(pane->session)->node)
        list_items(pane);
    for (guint i = 0; i < pane->ids->len; i++)
        if (g_strcmp0(pane->ids->pdata[i], item) == 0)
            gtk_drop_down_set_selected(pane->item, i);
    if (item == NULL)
        gtk_drop_down_set_selected(pane->item, GTK_INVALID_LIST_POSITION);
}

static void
item_chosen(GtkDropDown *drop_down, GParamSpec *spec, TbStripPane *pane)
{
    guint chosen = gtk_drop_down_get_selected(drop_down);

    (void)spec;
    if (!pane->filling && chosen < pane->ids->len)
        tb_session_set_cursor(pane->session, pane->ids->pdata[chosen],
                              tb_session_cursor(pane->session));
}

/* ---- the station ---- */

static bool
station(void *user, double *mm)
{
    TbStripPane *pane = TB_STRIP_PANE(user);

    *mm = tb_session_cursor(pane->session);
    return tb_session_cursor_item(pane->session) != NULL;
}

static void
move(void *user, double mm)
{
    tb_session_set_cursor(TB_STRIP_PANE(user)->session, NULL, mm);
}

/* As the path is read: Page Down goes on along it. */
static void
step(void *user, double by)
{
    TbSession *session = TB_STRIP_PANE(user)->session;

    tb_session_set_cursor(session, NULL, tb_session_cursor(session) - by);
}

/* ---- the menu: charts to fold, zoom, table ---- */

static void
fold_changed(GSimpleAction *action, GVariant *shown, TbStripPane *pane)
{
    const char *chart = g_action_get_name(G_ACTION(action)) + strlen("show-");

    g_simple_action_set_state(action, shown);
    tb_strip_charts_fold(pane->charts, chart, !g_variant_get_boolean(shown));
}

/* Every chart of the strip as an action, "show-area". */
static void
add_chart_action(TbStripPane *pane, const TbSceneChart *chart, GMenu *menu)
{
    g_autofree char *name = g_strdup_printf("show-%s", chart->name);
    g_autofree char *full = g_strdup_printf("strip.%s", name);
    bool shown = !tb_strip_charts_is_folded(pane->charts, chart->name);
    g_autoptr(GSimpleAction) action =
        g_simple_action_new_stateful(name, NULL, g_variant_new_boolean(shown));

    g_signal_connect(action, "change-state", G_CALLBACK(fold_changed), pane);
    g_action_map_add_action(G_ACTION_MAP(pane->actions), G_ACTION(action));
    g_menu_append(menu, chart->title, full);
}

static void
list_charts(TbStripPane *pane)
{
    const TbSceneStrip *strip = tb_strip_charts_strip(pane->charts);
    g_autoptr(GMenu) menu = g_menu_new();
    g_autoptr(GMenu) charts = g_menu_new();
    g_autoptr(GMenu) zoom = g_menu_new();
    g_autoptr(GMenu) more = g_menu_new();

    for (size_t i = 0; strip != NULL && i < strip->chart_count; i++)
        add_chart_action(pane, &strip->charts[i], charts);
    g_menu_append(zoom, _("Zoom _In"), "strip.zoom-in");
    g_menu_append(zoom, _("Zoom _Out"), "strip.zoom-out");
    g_menu_append(zoom, _("Whole _Path"), "strip.show-all");
    g_menu_append(more, _("_Even Heights"), "strip.even-out");
    g_menu_append(more, _("Show as _Table"), "strip.table");
    g_menu_append_section(menu, _("Charts"), G_MENU_MODEL(charts));
    g_menu_append_section(menu, NULL, G_MENU_MODEL(zoom));
    g_menu_append_section(menu, NULL, G_MENU_MODEL(more));
    gtk_menu_button_set_menu_model(pane->menu, G_MENU_MODEL(menu));
}

/* Lists the charts where they are others than before: most answers have the same ones. An open menu
 * stays as it is. */
static void
update_charts(TbStripPane *pane)
{
    const TbSceneStrip *strip = tb_strip_charts_strip(pane->charts);
    g_autoptr(GString) names = g_string_new(NULL);
    GtkPopover *popover = gtk_menu_button_get_popover(pane->menu);

    for (size_t i = 0; strip != NULL && i < strip->chart_count; i++)
        g_string_append_printf(names, "%s %s\n", strip->charts[i].name, strip->charts[i].title);
    if (g_strcmp0(names->str, pane->listed) == 0 ||
        (popover != NULL && gtk_widget_get_visible(GTK_WIDGET(popover))))
        return;
    list_charts(pane);
    g_free(pane->listed);
    pane->listed = g_strdup(names->str);
}

/* A title that was clicked folds too: the menu's marks follow. */
static void
mark_shown(void *user)
{
    TbStripPane *pane = user;
    const TbSceneStrip *strip = tb_strip_charts_strip(pane->charts);

    for (size_t i = 0; strip != NULL && i < strip->chart_count; i++) {
        g_autofree char *name = g_strdup_printf("show-%s", strip->charts[i].name);
        GAction *action = g_action_map_lookup_action(G_ACTION_MAP(pane->actions), name);
        bool shown = !tb_strip_charts_is_folded(pane->charts, strip->charts[i].name);

        if (action != NULL)
            g_simple_action_set_state(G_SIMPLE_ACTION(action), g_variant_new_boolean(shown));
    }
}

static void
zoom_in(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    tb_strip_charts_zoom(TB_STRIP_PANE(data)->charts, ZOOM_STEP);
}

static void
zoom_out(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    tb_strip_charts_zoom(TB_STRIP_PANE(data)->charts, 1 / ZOOM_STEP);
}

static void
show_all(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    tb_strip_charts_show_all(TB_STRIP_PANE(data)->charts);
}

static void
even_out(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    tb_strip_charts_even_out(TB_STRIP_PANE(data)->charts);
}

static void
show_table(GSimpleAction *action, GVariant *parameter, void *data)
{
    TbStripPane *pane = data;
    const TbSceneStrip *strip = tb_strip_charts_strip(pane->charts);
    GtkRoot *root = gtk_widget_get_root(GTK_WIDGET(pane));

    (void)action, (void)parameter;
    if (strip != NULL)
        tb_strip_table_show(GTK_IS_WINDOW(root) ? GTK_WINDOW(root) : NULL, strip);
}

static const GActionEntry entries[] = {
    {.name = "zoom-in", .activate = zoom_in},   {.name = "zoom-out", .activate = zoom_out},
    {.name = "show-all", .activate = show_all}, {.name = "even-out", .activate = even_out},
    {.name = "table", .activate = show_table},
};

/* ---- following the session ---- */

static void
session_changed(TbSession *session, guint parts, TbStripPane *pane)
{
    (void)session;
    pane->filling = true;
    if (parts & (TB_SESSION_DOCUMENT | TB_SESSION_CURSOR))
        show_item(pane);
    if (parts & (TB_SESSION_CURSOR | TB_SESSION_DOCUMENT))
        tb_place_entry_show(pane->at);
    pane->filling = false;
    tb_strip_charts_follow(pane->charts, parts);
    update_charts(pane);
}

/* ---- building ---- */

static GtkWidget *
build_item(TbStripPane *pane)
{
    GtkWidget *item = tb_names_drop_down_new(MOST_LETTERS);

    pane->item = GTK_DROP_DOWN(item);
    gtk_widget_add_css_class(item, "flat");
    gtk_widget_set_tooltip_text(item, _("Along which duct or line"));
    gtk_accessible_update_property(GTK_ACCESSIBLE(item), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                   _("Duct or line"), -1);
    show_item(pane);
    g_signal_connect(item, "notify::selected", G_CALLBACK(item_chosen), pane);
    return item;
}

static GtkWidget *
build_entry(TbStripPane *pane)
{
    TbPlaceDef def = {.at = station,
                      .move = move,
                      .step = step,
                      .user = pane,
                      .name = _("Station of the cursor"),
                      .tip = _("Station; Page Up and Page Down step it"),
                      .chars = 9,
                      .escape = tb_strip_charts_canvas(pane->charts)};
    GtkWidget *entry = tb_place_entry_new(pane->session, &def);

    pane->at = TB_PLACE_ENTRY(entry);
    return entry;
}

static GtkWidget *
build_menu(TbStripPane *pane)
{
    GtkWidget *button = gtk_menu_button_new();

    pane->menu = GTK_MENU_BUTTON(button);
    gtk_menu_button_set_label(pane->menu, _("Charts"));
    gtk_widget_add_css_class(button, "flat");
    gtk_widget_set_tooltip_text(button, _("Charts shown, zoom, table"));
    return button;
}

static GtkWidget *
build_head(TbStripPane *pane)
{
    GtkWidget *head = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 6);
    GtkWidget *title = gtk_label_new(_("Along the path"));
    GtkWidget *word = gtk_label_new(_("station"));
    GtkWidget *room = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 0);

    gtk_widget_add_css_class(head, "pane-head");
    gtk_widget_add_css_class(title, "heading");
    gtk_widget_add_css_class(word, "quiet");
    gtk_widget_set_hexpand(room, TRUE);
    gtk_box_append(GTK_BOX(head), title);
    gtk_box_append(GTK_BOX(head), build_item(pane));
    gtk_box_append(GTK_BOX(head), word);
    gtk_box_append(GTK_BOX(head), build_entry(pane));
    gtk_box_append(GTK_BOX(head), room);
    gtk_box_append(GTK_BOX(head), build_menu(pane));
    return head;
}

static void
dispose(GObject *object)
{
    TbStripPane *pane = TB_STRIP_PANE(object);

    if (pane->session != NULL)
        g_clear_signal_handler(&pane->changed, pane->session);
    g_clear_pointer(&pane->charts, tb_strip_charts_free);
    G_OBJECT_CLASS(tb_strip_pane_parent_class)->dispose(object);
    g_clear_pointer(&pane->ids, g_ptr_array_unref);
    g_clear_pointer(&pane->listed, g_free);
    g_clear_object(&pane->actions);
    g_clear_object(&pane->session);
}

static void
tb_strip_pane_class_init(TbStripPaneClass *klass)
{
    G_OBJECT_CLASS(klass)->dispose = dispose;
}

static void
tb_strip_pane_init(TbStripPane *pane)
{
    gtk_orientable_set_orientation(GTK_ORIENTABLE(pane), GTK_ORIENTATION_VERTICAL);
    pane->ids = g_ptr_array_new_with_free_func(g_free);
    pane->actions = g_simple_action_group_new();
    g_action_map_add_action_entries(G_ACTION_MAP(pane->actions), entries, G_N_ELEMENTS(entries),
                                    pane);
    gtk_widget_insert_action_group(GTK_WIDGET(pane), "strip", G_ACTION_GROUP(pane->actions));
}

GtkWidget *
tb_strip_pane_new(TbSession *session, GSettings *settings)
{
    TbStripPane *pane = g_object_new(TB_TYPE_STRIP_PANE, NULL);

    pane->session = g_object_ref(session);
    pane->charts = tb_strip_charts_new(session, settings, mark_shown, pane);
    pane->filling = true;
    gtk_box_append(GTK_BOX(pane), tb_sliding_new(build_head(pane)));
    gtk_box_append(GTK_BOX(pane), tb_strip_charts_canvas(pane->charts));
    update_charts(pane);
    pane->filling = false;
    pane->changed = g_signal_connect(session, "changed", G_CALLBACK(session_changed), pane);
    return GTK_WIDGET(pane);
}
