/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/preferences.h"

#include "app/setting_choice.h"

/** The window while it is open. */
static GtkWindow *shown;

static gboolean
close_on_escape(GtkWidget *widget, GVariant *arguments, void *data)
{
    (void)arguments, (void)data;
    gtk_window_close(GTK_WINDOW(widget));
    return TRUE;
}

static void
add_escape(GtkWindow *window)
{
    GtkEventController *keys = gtk_shortcut_controller_new();

    gtk_shortcut_controller_add_shortcut(
        GTK_SHORTCUT_CONTROLLER(keys),
        gtk_shortcut_new(gtk_keyval_trigger_new(GDK_KEY_Escape, 0),
                         gtk_callback_action_new(close_on_escape, NULL, NULL)));
    gtk_widget_add_controller(GTK_WIDGET(window), keys);
}

void
tb_preferences_show(GtkWindow *parent, GSettings *settings)
{
    g_autoptr(GtkBuilder) builder = NULL;

    if (shown == NULL) {
        builder = gtk_builder_new_from_resource("/net/tightbay/Tightbay/preferences.ui");
        shown = GTK_WINDOW(gtk_builder_get_object(builder, "preferences"));
        g_object_add_weak_pointer(G_OBJECT(shown), (gpointer *)&shown);
        tb_setting_choice_bind(settings, "theme", gtk_builder_get_object(builder, "theme"));
        tb_setting_choice_bind(settings, "unit", gtk_builder_get_object(builder, "unit"));
        g_settings_bind(settings, "autosave-seconds",
                        gtk_builder_get_object(builder, "autosave-seconds"), "value",
                        G_SETTINGS_BIND_DEFAULT);
        add_escape(shown);
    }
    gtk_window_set_transient_for(shown, parent);
    gtk_window_present(shown);
}
