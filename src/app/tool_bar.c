/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/tool_bar.h"

#include "app/session_tool.h"
#include "app/tool_distances.h"
#include "app/tool_facts.h"

#include <string.h>

struct _TbToolBar {
    GtkBox parent;

    TbSession *session;
    gulong changed;
    GSimpleAction *choose;
    bool filling; /* widgets are being filled from the session */
    bool typing;

    GtkEntry *typed_entry;
    GtkLabel *typed_label;
    GtkScrolledWindow *facts_box;
    GtkMenuButton *distances_button;
};

G_DEFINE_FINAL_TYPE(TbToolBar, tb_tool_bar, GTK_TYPE_BOX)

/* By TbTool. */
static const char *const tool_names[TB_TOOL_COUNT] = {"select", "block", "rod",   "outline",
                                                      "ball",   "line",  "knots", "measure"};

/* ---- from the session ---- */

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
show(TbToolBar *bar)
{
    TbTool tool = tb_session_tool(bar->session);
    bool typing = tb_session_tool_typing(bar->session, NULL) != NULL;

    bar->filling = true;
    g_simple_action_set_state(bar->choose, g_variant_new_string(tool_names[tool]));
    /* while numbers are typed, what is wrong with them is told in their place */
    gtk_widget_set_visible(GTK_WIDGET(bar->facts_box), tb_tool_draws(tool) && !typing);
    gtk_widget_set_visible(GTK_WIDGET(bar->distances_button), tb_tool_draws(tool) && !typing);
    show_typing(bar);
    bar->filling = false;
}

static void
session_changed(TbSession *session, guint parts, TbToolBar *bar)
{
    (void)session;
    if (parts & (TB_SESSION_TOOL | TB_SESSION_DOCUMENT))
        show(bar);
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

/* ---- typed numbers ---- */

/* "120 x": more is to come, which is no mistake yet. */
static bool
is_unfinished(const char *text)
{
    size_t length = strlen(text);

    return length == 0 || strchr("xX@,;=-. ", text[length - 1]) != NULL ||
           g_str_has_suffix(text, "×");
}

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
    if (!bar->filling && bar->typing && !is_unfinished(gtk_editable_get_text(editable)))
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
    CHILD(distances_button);
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
}

static void
listen(TbToolBar *bar)
{
    GtkEventController *keys = gtk_event_controller_key_new();

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

    bar->session = g_object_ref(session);
    gtk_scrolled_window_set_child(bar->facts_box, tb_tool_facts_new(session));
    gtk_menu_button_set_popover(bar->distances_button, tb_tool_distances_new(session));
    listen(bar);
    show(bar);
    bar->changed = g_signal_connect(session, "changed", G_CALLBACK(session_changed), bar);
    return GTK_WIDGET(bar);
}
