/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/toast.h"

#include <glib/gi18n.h>

/** How long a toast stays, s: twice the time it takes to read one. */
#define STAY 6

/** Where an overlay keeps its toast. */
#define KEY "tb-toast"

typedef struct Toast {
    GtkWidget *revealer;
    GtkOverlay *overlay;
    guint timer;
    void (*pressed)(void *user);
    void (*gone)(void *user);
    void *user;
} Toast;

/* Runs when the overlay forgets the toast: it was replaced, its time is up, or the window went. */
static void
free_toast(void *data)
{
    Toast *toast = data;

    g_clear_handle_id(&toast->timer, g_source_remove);
    if (toast->gone != NULL)
        toast->gone(toast->user);
    g_free(toast);
}

/* The widget goes once it is folded away. */
static void
folded(GtkRevealer *revealer, GParamSpec *spec, GtkOverlay *overlay)
{
    (void)spec;
    if (!gtk_revealer_get_child_revealed(revealer))
        gtk_overlay_remove_overlay(overlay, GTK_WIDGET(revealer));
}

static void
take_down(Toast *toast)
{
    GtkRevealer *revealer = GTK_REVEALER(toast->revealer);
    GtkOverlay *overlay = toast->overlay;

    g_object_set_data(G_OBJECT(overlay), KEY, NULL); /* frees the toast */
    if (gtk_revealer_get_child_revealed(revealer)) {
        g_signal_connect(revealer, "notify::child-revealed", G_CALLBACK(folded), overlay);
        gtk_revealer_set_reveal_child(revealer, FALSE);
    } else {
        gtk_overlay_remove_overlay(overlay, GTK_WIDGET(revealer));
    }
}

static gboolean
time_is_up(void *data)
{
    Toast *toast = data;

    toast->timer = 0;
    take_down(toast);
    return G_SOURCE_REMOVE;
}

static void
on_button(Toast *toast)
{
    if (toast->pressed != NULL)
        toast->pressed(toast->user);
    take_down(toast);
}

static GtkWidget *
button_of(const char *label, const char *icon)
{
    GtkWidget *button =
        label != NULL ? gtk_button_new_with_mnemonic(label) : gtk_button_new_from_icon_name(icon);

    gtk_widget_set_valign(button, GTK_ALIGN_CENTER);
    return button;
}

static GtkWidget *
build(Toast *toast, const TbToastDef *def)
{
    GtkWidget *revealer = gtk_revealer_new();
    GtkWidget *box = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 12);
    GtkWidget *label = gtk_label_new(def->text), *close, *button;

    gtk_label_set_wrap(GTK_LABEL(label), TRUE);
    gtk_label_set_max_width_chars(GTK_LABEL(label), 60);
    gtk_box_append(GTK_BOX(box), label);
    if (def->button != NULL) {
        button = button_of(def->button, NULL);
        g_signal_connect_swapped(button, "clicked", G_CALLBACK(on_button), toast);
        gtk_box_append(GTK_BOX(box), button);
    }
    close = button_of(NULL, "window-close-symbolic");
    gtk_widget_add_css_class(close, "flat");
    gtk_widget_set_tooltip_text(close, _("Close"));
    gtk_accessible_update_property(GTK_ACCESSIBLE(close), GTK_ACCESSIBLE_PROPERTY_LABEL, _("Close"),
                                   -1);
    g_signal_connect_swapped(close, "clicked", G_CALLBACK(take_down), toast);
    gtk_box_append(GTK_BOX(box), close);
    gtk_widget_add_css_class(box, "toast");
    gtk_widget_add_css_class(box, "app-notification");
    gtk_revealer_set_child(GTK_REVEALER(revealer), box);
    gtk_revealer_set_transition_type(GTK_REVEALER(revealer), GTK_REVEALER_TRANSITION_TYPE_SLIDE_UP);
    gtk_widget_set_halign(revealer, GTK_ALIGN_CENTER);
    gtk_widget_set_valign(revealer, GTK_ALIGN_END);
    return revealer;
}

void
tb_toast_show(GtkOverlay *overlay, const TbToastDef *def)
{
    Toast *old = g_object_get_data(G_OBJECT(overlay), KEY);
    Toast *toast = g_new0(Toast, 1);

    if (old != NULL)
        take_down(old);
    toast->overlay = overlay;
    toast->pressed = def->pressed;
    toast->gone = def->gone;
    toast->user = def->user;
    toast->revealer = build(toast, def);
    gtk_overlay_add_overlay(overlay, toast->revealer);
    gtk_revealer_set_reveal_child(GTK_REVEALER(toast->revealer), TRUE);
    toast->timer = g_timeout_add_seconds(STAY, time_is_up, toast);
    g_object_set_data_full(G_OBJECT(overlay), KEY, toast, free_toast);
}
