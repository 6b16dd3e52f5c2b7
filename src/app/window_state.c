/* SPDX-License-Identifier: GPL-3.0-or-later */

/* How a window was left: its size and dividers for the next one, and what it showed of its file. */

#include "app/places.h"
#include "app/window_private.h"

/* Dividers by the names that the settings know them by. */
static const struct {
    const char *name;
    size_t offset; /**< of the GtkPaned in a TbWindow */
} dividers[TB_DIVIDERS] = {
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

static GtkPaned *
divider(TbWindow *window, size_t i)
{
    return G_STRUCT_MEMBER(GtkPaned *, window, dividers[i].offset);
}

/* Whether somebody is at it, by pointer or by keys. */
static bool
is_held(GtkPaned *paned)
{
    GdkSeat *seat = gdk_display_get_default_seat(gtk_widget_get_display(GTK_WIDGET(paned)));
    GdkDevice *pointer = gdk_seat_get_pointer(seat);

    return gtk_widget_has_focus(GTK_WIDGET(paned)) ||
           (pointer != NULL && (gdk_device_get_modifier_state(pointer) & GDK_BUTTON1_MASK));
}

/* A divider that moves while its pane keeps its size may have been moved by somebody; otherwise it
 * only made way, in a smaller window or to what needs more room. */
static void
divider_moved(GtkPaned *paned, GParamSpec *spec, TbWindow *window)
{
    int size = gtk_orientable_get_orientation(GTK_ORIENTABLE(paned)) == GTK_ORIENTATION_HORIZONTAL
                   ? gtk_widget_get_width(GTK_WIDGET(paned))
                   : gtk_widget_get_height(GTK_WIDGET(paned));

    (void)spec;
    for (size_t i = 0; i < G_N_ELEMENTS(dividers); i++) {
        if (divider(window, i) != paned)
            continue;
        if (size > 0 && window->divider_sizes[i] == size && is_held(paned))
            window->dividers_moved |= 1u << i;
        window->divider_sizes[i] = size;
    }
}

void
tb_window__restore_view(TbWindow *window)
{
    g_autoptr(GVariant) places = g_settings_get_value(window->settings, "pane-places");

    for (size_t i = 0; i < G_N_ELEMENTS(dividers); i++) {
        int place;

        if (g_variant_lookup(places, dividers[i].name, "i", &place) && place > 0) {
            gtk_paned_set_position(divider(window, i), place);
            window->dividers_moved |= 1u << i;
        }
        g_signal_connect(divider(window, i), "notify::position", G_CALLBACK(divider_moved), window);
    }
    tb_places_restore(window->settings, window->session);
}

/* Only dividers that somebody moved: the others find their own place in the next window. */
static void
keep_dividers(TbWindow *window)
{
    GVariantBuilder places;

    g_variant_builder_init(&places, G_VARIANT_TYPE("a{si}"));
    for (size_t i = 0; i < G_N_ELEMENTS(dividers); i++)
        if (window->dividers_moved & 1u << i)
            g_variant_builder_add(&places, "{si}", dividers[i].name,
                                  gtk_paned_get_position(divider(window, i)));
    g_settings_set_value(window->settings, "pane-places", g_variant_builder_end(&places));
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
    keep_dividers(window);
    tb_places_keep(settings, window->session);
}
