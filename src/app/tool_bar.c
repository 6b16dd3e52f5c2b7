/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/tool_bar.h"

#include "app/folders.h"
#include "app/item_words.h"
#include "app/session_tool.h"
#include "app/tool_distances.h"
#include "bay/preset.h"

#include <glib/gi18n.h>
#include <math.h>
#include <string.h>

struct _TbToolBar {
    GtkBox parent;

    TbSession *session;
    GSettings *settings;
    gulong changed;
    GSimpleAction *choose;
    bool filling; /* widgets are being filled from the session */
    bool typing;
    uint64_t node; /* of the document whose mounts and classes are listed */

    GtkEntry *typed_entry;
    GtkLabel *typed_label;
    GtkWidget *facts_box;
    GtkEntry *name_entry, *diameter_entry, *uncertainty_entry, *datum_entry;
    GtkDropDown *class_drop, *role_drop, *mount_drop, *known_drop;
    GtkMenuButton *distances_button;
    GtkLabel *hint_label;
};

G_DEFINE_FINAL_TYPE(TbToolBar, tb_tool_bar, GTK_TYPE_BOX)

/* By TbTool. */
static const char *const tool_names[TB_TOOL_COUNT] = {"select", "block", "rod",   "outline",
                                                      "ball",   "line",  "knots", "measure"};

static TbSketchFacts *
facts_of(TbToolBar *bar)
{
    return &tb_session_sketch(bar->session)->facts;
}

static bool
draws(TbTool tool)
{
    return tool != TB_TOOL_NONE && tool != TB_TOOL_KNOTS && tool != TB_TOOL_MEASURE;
}

/* ---- lists ---- */

static const char *
string_at(GtkDropDown *drop, guint index)
{
    GListModel *model = gtk_drop_down_get_model(drop);

    if (model == NULL || index >= g_list_model_get_n_items(model))
        return NULL;
    return gtk_string_list_get_string(GTK_STRING_LIST(model), index);
}

static void
choose_string(GtkDropDown *drop, const char *text)
{
    const char *there;

    for (guint i = 0; (there = string_at(drop, i)) != NULL; i++)
        if (g_strcmp0(there, text) == 0) {
            gtk_drop_down_set_selected(drop, i);
            return;
        }
    gtk_string_list_append(GTK_STRING_LIST(gtk_drop_down_get_model(drop)), text);
    choose_string(drop, text);
}

static void
fill_mounts(TbToolBar *bar, const TbBay *bay)
{
    g_autoptr(GtkStringList) names = gtk_string_list_new(NULL);

    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_MOUNTS); i++) {
        const TbRecord *mount = &tb_bay_mount_at(bay, i)->record;

        gtk_string_list_append(names, mount->name == NULL ? mount->id : mount->name);
    }
    gtk_drop_down_set_model(bar->mount_drop, G_LIST_MODEL(names));
}

/* The usual classes, and those that the bay has besides. */
static void
fill_classes(TbToolBar *bar, const TbBay *bay)
{
    g_autoptr(GtkStringList) names = gtk_string_list_new(tb_usual_classes);
    g_autoptr(GHashTable) there = g_hash_table_new(g_str_hash, g_str_equal);

    for (size_t i = 0; tb_usual_classes[i] != NULL; i++)
        g_hash_table_add(there, (char *)(uintptr_t)tb_usual_classes[i]);
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_ITEMS); i++)
        if (g_hash_table_add(there, tb_bay_item_at(bay, i)->klass))
            gtk_string_list_append(names, tb_bay_item_at(bay, i)->klass);
    gtk_drop_down_set_model(bar->class_drop, G_LIST_MODEL(names));
}

static void
fill_fixed(TbToolBar *bar)
{
    /* by TbKnownBy and by TbLineRole */
    const char *known[] = {_("drawing"), _("scan"), _("calliper"), _("tape"), _("guess"), NULL};
    const char *roles[] = {_("oil drain"), _("oil feed"), _("coolant"), _("brake"),
                           _("fuel"),      _("hose"),     _("harness"), NULL};
    g_autoptr(GtkStringList) known_list = gtk_string_list_new(known);
    g_autoptr(GtkStringList) role_list = gtk_string_list_new(roles);

    gtk_drop_down_set_model(bar->known_drop, G_LIST_MODEL(known_list));
    gtk_drop_down_set_model(bar->role_drop, G_LIST_MODEL(role_list));
}

static void
choose_mount(TbToolBar *bar, const TbBay *bay)
{
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_MOUNTS); i++)
        if (g_strcmp0(tb_bay_mount_at(bay, i)->record.id, facts_of(bar)->mount) == 0)
            gtk_drop_down_set_selected(bar->mount_drop, (guint)i);
}

/* ---- from the session ---- */

/* A length to be edited, unless it is being edited now. */
static void
show_length(TbToolBar *bar, GtkEntry *entry, const char *before, double mm)
{
    TbLengthUnit unit = tb_session_unit(bar->session);
    char number[TB_TEXT_NUMBER];
    g_autofree char *text = NULL;

    if (gtk_widget_get_state_flags(GTK_WIDGET(entry)) & GTK_STATE_FLAG_FOCUS_WITHIN)
        return;
    tb_length_write_whole(mm, unit, number);
    text = g_strdup_printf("%s%s %s", before, number, tb_length_unit_name(unit));
    if (g_strcmp0(gtk_editable_get_text(GTK_EDITABLE(entry)), text) != 0)
        gtk_editable_set_text(GTK_EDITABLE(entry), text);
    gtk_widget_remove_css_class(GTK_WIDGET(entry), "error");
}

static void
show_facts(TbToolBar *bar, TbTool tool)
{
    const TbBay *bay = tb_session_bay(bar->session);
    const TbSketchFacts *facts = facts_of(bar);
    g_autofree char *name = tb_sketch_name(tb_session_sketch(bar->session));
    bool is_line = tool == TB_TOOL_LINE;

    if (bar->node != bay->node) {
        fill_mounts(bar, bay);
        fill_classes(bar, bay);
        bar->node = bay->node;
    }
    gtk_widget_set_visible(GTK_WIDGET(bar->class_drop), !is_line);
    gtk_widget_set_visible(GTK_WIDGET(bar->role_drop), is_line);
    gtk_widget_set_visible(GTK_WIDGET(bar->diameter_entry), is_line);
    gtk_entry_set_placeholder_text(bar->name_entry, name);
    if (facts->name == NULL && gtk_editable_get_text(GTK_EDITABLE(bar->name_entry))[0] != '\0')
        gtk_editable_set_text(GTK_EDITABLE(bar->name_entry), "");
    if (g_strcmp0(gtk_editable_get_text(GTK_EDITABLE(bar->datum_entry)),
                  facts->datum == NULL ? "" : facts->datum) != 0)
        gtk_editable_set_text(GTK_EDITABLE(bar->datum_entry),
                              facts->datum == NULL ? "" : facts->datum);
    choose_string(bar->class_drop, facts->klass);
    choose_mount(bar, bay);
    gtk_drop_down_set_selected(bar->role_drop, (guint)facts->role);
    gtk_drop_down_set_selected(bar->known_drop, (guint)facts->known);
    show_length(bar, bar->uncertainty_entry, "± ", facts->uncertainty);
    show_length(bar, bar->diameter_entry, "Ø ", facts->diameter);
}

static void
show_typing(TbToolBar *bar)
{
    const char *first = tb_session_tool_typing(bar->session, NULL);

    if (bar->typing == (first != NULL))
        return;
    bar->typing = first != NULL;
    gtk_widget_set_visible(GTK_WIDGET(bar->typed_entry), bar->typing);
    gtk_widget_set_visible(GTK_WIDGET(bar->typed_label), false);
    gtk_widget_remove_css_class(GTK_WIDGET(bar->typed_entry), "error");
    if (first == NULL)
        return;
    gtk_widget_grab_focus(GTK_WIDGET(bar->typed_entry));
    bar->filling = false;
    gtk_editable_set_text(GTK_EDITABLE(bar->typed_entry), first);
    gtk_editable_set_position(GTK_EDITABLE(bar->typed_entry), -1);
}

static void
show_hint(TbToolBar *bar)
{
    const char *hint = tb_session_tool_hint(bar->session);

    if (g_strcmp0(gtk_label_get_text(bar->hint_label), hint) == 0)
        return;
    gtk_label_set_text(bar->hint_label, hint);
    gtk_widget_set_tooltip_text(GTK_WIDGET(bar->hint_label), hint);
}

static void
show(TbToolBar *bar)
{
    TbTool tool = tb_session_tool(bar->session);
    bool typing = tb_session_tool_typing(bar->session, NULL) != NULL;

    bar->filling = true;
    g_simple_action_set_state(bar->choose, g_variant_new_string(tool_names[tool]));
    /* while numbers are typed, what may be typed is told in their place */
    gtk_widget_set_visible(bar->facts_box, draws(tool) && !typing);
    gtk_widget_set_visible(GTK_WIDGET(bar->distances_button), draws(tool) && !typing);
    if (draws(tool))
        show_facts(bar, tool);
    show_hint(bar);
    show_typing(bar);
    bar->filling = false;
}

static void
session_changed(TbSession *session, guint parts, TbToolBar *bar)
{
    (void)session;
    if (parts & (TB_SESSION_TOOL | TB_SESSION_DOCUMENT))
        show(bar);
    /* something was drawn, perhaps: what was said of it is said of the next one */
    if ((parts & TB_SESSION_DOCUMENT) && draws(tb_session_tool(bar->session)))
        g_settings_set_value(bar->settings, "sketch-facts", tb_sketch_remember(facts_of(bar)));
}

/* ---- to the session ---- */

static void
choose_tool(GSimpleAction *action, GVariant *parameter, void *data)
{
    TbToolBar *bar = data;
    const char *name = g_variant_get_string(parameter, NULL);

    (void)action;
    for (int i = 0; i < TB_TOOL_COUNT; i++)
        if (strcmp(tool_names[i], name) == 0)
            tb_session_set_tool(bar->session, (TbTool)i);
}

static void
set_word(char **place, const char *word)
{
    if (word == NULL || g_strcmp0(*place, word) == 0)
        return;
    g_free(*place);
    *place = g_strdup(word);
}

/* One of the lists. */
static void
chosen(GtkDropDown *drop, GParamSpec *spec, TbToolBar *bar)
{
    TbSketchFacts *facts = facts_of(bar);
    const TbBay *bay = tb_session_bay(bar->session);
    guint index = gtk_drop_down_get_selected(drop);

    (void)spec;
    if (bar->filling || index == GTK_INVALID_LIST_POSITION)
        return;
    if (drop == bar->class_drop)
        set_word(&facts->klass, string_at(drop, index));
    else if (drop == bar->mount_drop && index < tb_bay_count(bay, TB_LIST_MOUNTS))
        set_word(&facts->mount, tb_bay_mount_at(bay, index)->record.id);
    else if (drop == bar->role_drop)
        facts->role = (int)index;
    else if (drop == bar->known_drop) {
        facts->known = (int)index;
        facts->uncertainty = tb_known_usual(facts->known);
    }
    tb_session_tool_facts_changed(bar->session);
}

/* A text of the facts; empty is none. */
static void
text_changed(GtkEditable *editable, TbToolBar *bar)
{
    TbSketchFacts *facts = facts_of(bar);
    char **place = GTK_ENTRY(editable) == bar->name_entry ? &facts->name : &facts->datum;
    const char *text = gtk_editable_get_text(editable);

    if (bar->filling)
        return;
    g_free(*place);
    *place = text[0] == '\0' ? NULL : g_strdup(text);
    tb_session_tool_facts_changed(bar->session);
}

/* What is typed into a length's entry, behind its mark. */
static void
length_changed(GtkEditable *editable, TbToolBar *bar)
{
    TbSketchFacts *facts = facts_of(bar);
    bool is_diameter = GTK_ENTRY(editable) == bar->diameter_entry;
    const char *text = gtk_editable_get_text(editable);
    double mm = 0;

    if (bar->filling)
        return;
    if (g_str_has_prefix(text, "±") || g_str_has_prefix(text, "Ø"))
        text += strlen("±"); /* two bytes, as the other one has */
    if (tb_length_read(text, tb_session_unit(bar->session), &mm, NULL) != TB_OK || mm < 0 ||
        (is_diameter && mm < TB_SKETCH_LEAST)) {
        gtk_widget_add_css_class(GTK_WIDGET(editable), "error");
        return;
    }
    gtk_widget_remove_css_class(GTK_WIDGET(editable), "error");
    *(is_diameter ? &facts->diameter : &facts->uncertainty) = mm;
    tb_session_tool_facts_changed(bar->session);
}

static void
length_left(GtkEventControllerFocus *controller, TbToolBar *bar)
{
    (void)controller;
    show(bar);
}

/* ---- typed numbers ---- */

static bool
read_typed(TbToolBar *bar)
{
    TbFault fault = {0};
    int slot;
    TbStatus status;

    if (tb_session_tool_typing(bar->session, &slot) == NULL)
        return false;
    status = tb_session_tool_type(bar->session, slot,
                                  gtk_editable_get_text(GTK_EDITABLE(bar->typed_entry)), &fault);
    gtk_widget_set_visible(GTK_WIDGET(bar->typed_label), status != TB_OK);
    gtk_label_set_text(bar->typed_label, fault.text);
    if (status != TB_OK)
        gtk_widget_add_css_class(GTK_WIDGET(bar->typed_entry), "error");
    else
        gtk_widget_remove_css_class(GTK_WIDGET(bar->typed_entry), "error");
    return status == TB_OK;
}

static void
typed_changed(GtkEditable *editable, TbToolBar *bar)
{
    (void)editable;
    if (!bar->filling && bar->typing)
        read_typed(bar);
}

static void
typed_done(GtkEntry *entry, TbToolBar *bar)
{
    (void)entry;
    if (!read_typed(bar))
        return;
    tb_session_tool_set(bar->session, false);
    tb_session_tool_stop_typing(bar->session);
}

static gboolean
typed_key(
    GtkEventControllerKey *controller, guint key, guint code, GdkModifierType state, TbToolBar *bar)
{
    (void)controller, (void)code, (void)state;
    if (key != GDK_KEY_Escape)
        return FALSE;
    tb_session_tool_stop_typing(bar->session);
    return TRUE;
}

/* ---- the class ---- */

static void
dispose(GObject *object)
{
    TbToolBar *bar = TB_TOOL_BAR(object);

    if (bar->session != NULL)
        g_clear_signal_handler(&bar->changed, bar->session);
    G_OBJECT_CLASS(tb_tool_bar_parent_class)->dispose(object);
    g_clear_object(&bar->session);
    g_clear_object(&bar->settings);
}

#define CHILD(name) gtk_widget_class_bind_template_child(widget_class, TbToolBar, name)

static void
tb_tool_bar_class_init(TbToolBarClass *klass)
{
    GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(klass);

    G_OBJECT_CLASS(klass)->dispose = dispose;
    gtk_widget_class_set_template_from_resource(widget_class, "/net/tightbay/Tightbay/tool_bar.ui");
    CHILD(typed_entry);
    CHILD(typed_label);
    CHILD(facts_box);
    CHILD(name_entry);
    CHILD(diameter_entry);
    CHILD(uncertainty_entry);
    CHILD(datum_entry);
    CHILD(class_drop);
    CHILD(role_drop);
    CHILD(mount_drop);
    CHILD(known_drop);
    CHILD(distances_button);
    CHILD(hint_label);
}

static void
tb_tool_bar_init(TbToolBar *bar)
{
    static const GActionEntry entries[] = {
        {.name = "choose", .activate = choose_tool, .parameter_type = "s", .state = "'select'"}};
    g_autoptr(GSimpleActionGroup) actions = g_simple_action_group_new();

    g_action_map_add_action_entries(G_ACTION_MAP(actions), entries, G_N_ELEMENTS(entries), bar);
    bar->choose =
        G_SIMPLE_ACTION(g_action_map_lookup_action(G_ACTION_MAP(actions), entries[0].name));
    gtk_widget_insert_action_group(GTK_WIDGET(bar), "tool", G_ACTION_GROUP(actions));
    gtk_widget_init_template(GTK_WIDGET(bar));
    fill_fixed(bar);
}

static void
listen_to_length(TbToolBar *bar, GtkEntry *entry)
{
    GtkEventController *focus = gtk_event_controller_focus_new();

    g_signal_connect(entry, "changed", G_CALLBACK(length_changed), bar);
    g_signal_connect(focus, "leave", G_CALLBACK(length_left), bar);
    gtk_widget_add_controller(GTK_WIDGET(entry), focus);
}

static void
listen(TbToolBar *bar)
{
    GtkDropDown *const drops[] = {bar->class_drop, bar->role_drop, bar->mount_drop,
                                  bar->known_drop};
    GtkEventController *keys = gtk_event_controller_key_new();

    for (size_t i = 0; i < G_N_ELEMENTS(drops); i++)
        g_signal_connect(drops[i], "notify::selected", G_CALLBACK(chosen), bar);
    listen_to_length(bar, bar->diameter_entry);
    listen_to_length(bar, bar->uncertainty_entry);
    g_signal_connect(bar->name_entry, "changed", G_CALLBACK(text_changed), bar);
    g_signal_connect(bar->datum_entry, "changed", G_CALLBACK(text_changed), bar);
    g_signal_connect(bar->typed_entry, "changed", G_CALLBACK(typed_changed), bar);
    g_signal_connect(bar->typed_entry, "activate", G_CALLBACK(typed_done), bar);
    gtk_event_controller_set_propagation_phase(keys, GTK_PHASE_CAPTURE);
    g_signal_connect(keys, "key-pressed", G_CALLBACK(typed_key), bar);
    gtk_widget_add_controller(GTK_WIDGET(bar->typed_entry), keys);
}

GtkWidget *
tb_tool_bar_new(TbSession *session)
{
    TbToolBar *bar = g_object_new(TB_TYPE_TOOL_BAR, NULL);
    g_autoptr(GVariant) remembered = NULL;

    bar->session = g_object_ref(session);
    bar->settings = tb_folders_settings();
    remembered = g_settings_get_value(bar->settings, "sketch-facts");
    tb_sketch_recall(facts_of(bar), remembered);
    gtk_menu_button_set_popover(bar->distances_button, tb_tool_distances_new(session));
    listen(bar);
    show(bar);
    bar->changed = g_signal_connect(session, "changed", G_CALLBACK(session_changed), bar);
    return GTK_WIDGET(bar);
}
