/* SPDX-License-Identifier: GPL-3.0-or-later */

/* How a window was left: its size and dividers for the next one, and what it showed of its file. */

#include "app/places.h"
#include "app/window_private.h"

/* Dividers by the names that the settings know them by. */
static const struct {
    const char *name;
    size_t offset; /**< of the GtkPaned in a TbWindow */
} dividers[] = {
    {"list", G_STRUCT_OFFSET(TbWindow, list_paned)},
    {"side", G_STRUCT_OFFSET(TbWindow, side_paned)},
    {"strip", G_STRUCT_OFFSET(TbWindow, strip_paned)},
    {"left", G_STRUCT_OFFSET(TbWindow, left_paned)},
    {"middle", G_STRUCT_OFFSET(TbWindow, middle_paned)},
    {"details", G_STRUCT_OFFSET(TbWindow, details_paned)},
};

void
tb_window__restore_size(TbWindow *window)
{
    GSettings *settings = window->settings;
    int width, height;

    g_settings_get(settings, "window-size", "(ii)", &width, &height);
    if (width > 0 && height > 0)
        gtk_window_set_default_size(GTK_WINDOW(window), width, height);
    if (g_settings_get_boolean(settings, "window-maximized"))
        gtk_window_maximize(GTK_WINDOW(window));
}

void
tb_window__restore_view(TbWindow *window)
{
    GSettings *settings = window->settings;
    g_autoptr(GVariant) places = g_settings_get_value(settings, "pane-places");

    for (size_t i = 0; i < G_N_ELEMENTS(dividers); i++) {
        int place;

        if (g_variant_lookup(places, dividers[i].name, "i", &place) && place > 0)
            gtk_paned_set_position(G_STRUCT_MEMBER(GtkPaned *, window, dividers[i].offset), place);
    }
    tb_places_restore(settings, window->session);
}

/* Only dividers that somebody moved: the others find their own place in the next window. */
static void
keep_dividers(TbWindow *window, GSettings *settings)
{
    GVariantBuilder places;

    g_variant_builder_init(&places, G_VARIANT_TYPE("a{si}"));
    for (size_t i = 0; i < G_N_ELEMENTS(dividers); i++) {
        GtkPaned *paned = G_STRUCT_MEMBER(GtkPaned *, window, dividers[i].offset);
        gboolean moved;

        g_object_get(paned, "position-set", &moved, NULL);
        if (moved)
            g_variant_builder_add(&places, "{si}", dividers[i].name, gtk_paned_get_position(paned));
    }
    g_settings_set_value(settings, "pane-places", g_variant_builder_end(&places));
}

void
tb_window__keep_state(TbWindow *window)
{
    GSettings *settings = window->settings;
    int width, height;

    if (settings == NULL || window->session == NULL)
        return;
    gtk_window_get_default_size(GTK_WINDOW(window), &width, &height);
    g_settings_set_boolean(settings, "window-maximized",
                           gtk_window_is_maximized(GTK_WINDOW(window)));
    if (width > 0 && height > 0)
        g_settings_set(settings, "window-size", "(ii)", width, height);
    keep_dividers(window, settings);
    tb_places_keep(settings, window->session);
}
