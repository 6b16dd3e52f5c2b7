/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/preferences.h"

/** The window while it is open. */
static GtkWindow *shown;

/** A setting with a few values, as a drop-down whose rows are in the schema's order. */
static gboolean
row_from_word(GValue *value, GVariant *word, void *data)
{
    GSettingsSchemaKey *key = data;
    g_autoptr(GVariant) range = g_settings_schema_key_get_range(key);
    g_autoptr(GVariant) words = NULL;
    const char *kind;

    g_variant_get(range, "(&sv)", &kind, &words);
    for (gsize i = 0; i < g_variant_n_children(words); i++) {
        g_autoptr(GVariant) one = g_variant_get_child_value(words, i);

        if (g_variant_equal(one, word)) {
            g_value_set_uint(value, (guint)i);
            return TRUE;
        }
    }
    return FALSE;
}

static GVariant *
word_from_row(const GValue *value, const GVariantType *type, void *data)
{
    GSettingsSchemaKey *key = data;
    g_autoptr(GVariant) range = g_settings_schema_key_get_range(key);
    g_autoptr(GVariant) words = NULL;
    const char *kind;
    guint row = g_value_get_uint(value);

    (void)type;
    g_variant_get(range, "(&sv)", &kind, &words);
    return row < g_variant_n_children(words) ? g_variant_get_child_value(words, row) : NULL;
}

static void
free_key(void *key)
{
    g_settings_schema_key_unref(key);
}

static void
bind_choice(GSettings *settings, const char *name, GtkBuilder *builder)
{
    g_autoptr(GSettingsSchema) schema = NULL;

    g_object_get(settings, "settings-schema", &schema, NULL);
    g_settings_bind_with_mapping(settings, name, gtk_builder_get_object(builder, name), "selected",
                                 G_SETTINGS_BIND_DEFAULT, row_from_word, word_from_row,
                                 g_settings_schema_get_key(schema, name), free_key);
}

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
        bind_choice(settings, "theme", builder);
        bind_choice(settings, "unit", builder);
        g_settings_bind(settings, "autosave-seconds",
                        gtk_builder_get_object(builder, "autosave-seconds"), "value",
                        G_SETTINGS_BIND_DEFAULT);
        add_escape(shown);
    }
    gtk_window_set_transient_for(shown, parent);
    gtk_window_present(shown);
}
