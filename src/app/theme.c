/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/theme.h"

#include <stdbool.h>

/* What the desktop says, asked where it is told to every program. */
#define PORTAL "org.freedesktop.portal.Desktop"
#define PORTAL_PATH "/org/freedesktop/portal/desktop"
#define PORTAL_SETTINGS "org.freedesktop.portal.Settings"
#define APPEARANCE "org.freedesktop.appearance"
#define COLOUR_SCHEME "color-scheme"

/** The value of COLOUR_SCHEME for dark. */
#define PREFERS_DARK 1

/* Themes as the settings' schema numbers them. */
enum { SYSTEM, LIGHT, DARK, HIGH_CONTRAST };

/** The one theme of the program. */
typedef struct Theme {
    GSettings *settings;
    GDBusConnection *bus; /**< NULL: nobody tells */
    gboolean own_dark;    /**< whether the toolkit's own was dark before we set one */
    bool desktop_dark;
} Theme;

static void
apply(Theme *theme)
{
    GtkSettings *toolkit = gtk_settings_get_default();
    int wanted = g_settings_get_enum(theme->settings, "theme");
    bool dark = wanted == DARK;

    if (wanted == SYSTEM) {
        dark = theme->own_dark || theme->desktop_dark;
        /* the desktop's name, now and whenever it is another one: one that is set here would stay
         */
        gtk_settings_reset_property(toolkit, "gtk-theme-name");
    } else {
        g_object_set(toolkit, "gtk-theme-name",
                     wanted == HIGH_CONTRAST ? "HighContrast" : "Default", NULL);
    }
    g_object_set(toolkit, "gtk-application-prefer-dark-theme", dark, NULL);
}

static void
take_value(Theme *theme, GVariant *value)
{
    g_autoptr(GVariant) bare = g_variant_ref(value);

    while (g_variant_is_of_type(bare, G_VARIANT_TYPE_VARIANT)) {
        GVariant *inner = g_variant_get_variant(bare);

        g_variant_unref(bare);
        bare = inner;
    }
    if (g_variant_is_of_type(bare, G_VARIANT_TYPE_UINT32)) {
        theme->desktop_dark = g_variant_get_uint32(bare) == PREFERS_DARK;
        apply(theme);
    }
}

static void
desktop_changed(GDBusConnection *bus,
                const char *sender,
                const char *path,
                const char *interface,
                const char *signal,
                GVariant *parameters,
                void *data)
{
    g_autoptr(GVariant) value = NULL;
    const char *space, *key;

    (void)bus, (void)sender, (void)path, (void)interface, (void)signal;
    g_variant_get(parameters, "(&s&sv)", &space, &key, &value);
    if (g_str_equal(space, APPEARANCE) && g_str_equal(key, COLOUR_SCHEME))
        take_value(data, value);
}

/* No answer is an answer too: then the toolkit's own setting holds. */
static void
desktop_said(GObject *source, GAsyncResult *result, void *data)
{
    g_autoptr(GVariant) reply =
        g_dbus_connection_call_finish(G_DBUS_CONNECTION(source), result, NULL);
    g_autoptr(GVariant) value = reply == NULL ? NULL : g_variant_get_child_value(reply, 0);

    if (value != NULL)
        take_value(data, value);
}

static void
ask_desktop(Theme *theme)
{
    theme->bus = g_bus_get_sync(G_BUS_TYPE_SESSION, NULL, NULL);
    if (theme->bus == NULL)
        return;
    g_dbus_connection_signal_subscribe(theme->bus, PORTAL, PORTAL_SETTINGS, "SettingChanged",
                                       PORTAL_PATH, NULL, G_DBUS_SIGNAL_FLAGS_NONE, desktop_changed,
                                       theme, NULL);
    /* nobody is started for it: where there is no such service, none is wanted */
    g_dbus_connection_call(theme->bus, PORTAL, PORTAL_PATH, PORTAL_SETTINGS, "Read",
                           g_variant_new("(ss)", APPEARANCE, COLOUR_SCHEME), NULL,
                           G_DBUS_CALL_FLAGS_NO_AUTO_START, -1, NULL, desktop_said, theme);
}

void
tb_theme_follow(GSettings *settings)
{
    static Theme theme;

    if (theme.settings != NULL)
        return;
    theme.settings = g_object_ref(settings);
    g_object_get(gtk_settings_get_default(), "gtk-application-prefer-dark-theme", &theme.own_dark,
                 NULL);
    g_signal_connect_swapped(settings, "changed::theme", G_CALLBACK(apply), &theme);
    apply(&theme);
    ask_desktop(&theme);
}
