/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/names.h"

#include "app/canvas.h"

#include <stdbool.h>

/** Letters of a name that are seen at least where they are large: so many times the usual. */
#define LEAST_CHARS 10
#define LARGE_LETTERS 1.2

/* ---- a row: a name, and in the list a mark at the one that is chosen ---- */

/* Usual letters have room for the whole name; of large ones not all are seen in a small window. */
static void
set_least(GtkWidget *label)
{
    bool usual = tb_font_scale(label) < LARGE_LETTERS;
    long length = g_utf8_strlen(gtk_label_get_text(GTK_LABEL(label)), -1);

    gtk_label_set_width_chars(GTK_LABEL(label), usual ? -1 : (int)MIN(length, LEAST_CHARS));
    gtk_label_set_ellipsize(GTK_LABEL(label), usual ? PANGO_ELLIPSIZE_NONE : PANGO_ELLIPSIZE_END);
}

static void
setup_name(GtkSignalListItemFactory *factory, GtkListItem *item, GtkDropDown *drop)
{
    GtkWidget *label = gtk_label_new(NULL);

    (void)factory, (void)drop;
    gtk_label_set_xalign(GTK_LABEL(label), 0);
    /* its letters are known once it is in a window */
    g_signal_connect(label, "map", G_CALLBACK(set_least), NULL);
    gtk_list_item_set_child(item, label);
}

static const char *
name_of(GtkListItem *item)
{
    return gtk_string_object_get_string(GTK_STRING_OBJECT(gtk_list_item_get_item(item)));
}

static void
bind_name(GtkSignalListItemFactory *factory, GtkListItem *item, GtkDropDown *drop)
{
    GtkWidget *label = gtk_list_item_get_child(item);

    (void)factory, (void)drop;
    gtk_label_set_text(GTK_LABEL(label), name_of(item));
    set_least(label);
}

static void
setup_row(GtkSignalListItemFactory *factory, GtkListItem *item, GtkDropDown *drop)
{
    GtkWidget *box = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 6);
    GtkWidget *label = gtk_label_new(NULL);

    (void)factory, (void)drop;
    gtk_label_set_xalign(GTK_LABEL(label), 0);
    gtk_widget_set_hexpand(label, TRUE);
    gtk_box_append(GTK_BOX(box), label);
    gtk_box_append(GTK_BOX(box), gtk_image_new_from_icon_name("object-select-symbolic"));
    gtk_list_item_set_child(item, box);
}

static void
mark_chosen(GtkDropDown *drop, GParamSpec *spec, GtkListItem *item)
{
    GtkWidget *mark = gtk_widget_get_last_child(gtk_list_item_get_child(item));
    bool chosen = gtk_drop_down_get_selected_item(drop) == gtk_list_item_get_item(item);

    (void)spec;
    gtk_widget_set_opacity(mark, chosen ? 1 : 0);
}

static void
bind_row(GtkSignalListItemFactory *factory, GtkListItem *item, GtkDropDown *drop)
{
    GtkWidget *label = gtk_widget_get_first_child(gtk_list_item_get_child(item));

    (void)factory;
    gtk_label_set_text(GTK_LABEL(label), name_of(item));
    g_signal_connect_object(drop, "notify::selected-item", G_CALLBACK(mark_chosen), item, 0);
    mark_chosen(drop, NULL, item);
}

static void
unbind_row(GtkSignalListItemFactory *factory, GtkListItem *item, GtkDropDown *drop)
{
    (void)factory;
    g_signal_handlers_disconnect_by_func(drop, mark_chosen, item);
}

static GtkListItemFactory *
factory_new(GtkWidget *drop, GCallback setup, GCallback bind, GCallback unbind)
{
    GtkListItemFactory *factory = gtk_signal_list_item_factory_new();

    g_signal_connect_object(factory, "setup", setup, drop, 0);
    g_signal_connect_object(factory, "bind", bind, drop, 0);
    if (unbind != NULL)
        g_signal_connect_object(factory, "unbind", unbind, drop, 0);
    return factory;
}

GtkWidget *
tb_names_drop_down_new(void)
{
    GtkWidget *drop = gtk_drop_down_new(NULL, NULL);
    g_autoptr(GtkListItemFactory) name =
        factory_new(drop, G_CALLBACK(setup_name), G_CALLBACK(bind_name), NULL);
    g_autoptr(GtkListItemFactory) row =
        factory_new(drop, G_CALLBACK(setup_row), G_CALLBACK(bind_row), G_CALLBACK(unbind_row));

    gtk_drop_down_set_factory(GTK_DROP_DOWN(drop), name);
    gtk_drop_down_set_list_factory(GTK_DROP_DOWN(drop), row);
    return drop;
}

/* ---- the names ---- */

static bool
are_same(GListModel *model, GtkStringList *names)
{
    guint count = g_list_model_get_n_items(G_LIST_MODEL(names));

    if (!GTK_IS_STRING_LIST(model) || g_list_model_get_n_items(model) != count)
        return false;
    for (guint i = 0; i < count; i++)
        if (g_strcmp0(gtk_string_list_get_string(GTK_STRING_LIST(model), i),
                      gtk_string_list_get_string(names, i)) != 0)
            return false;
    return true;
}

void
tb_names_list(GtkDropDown *drop, GtkStringList *names)
{
    if (!are_same(gtk_drop_down_get_model(drop), names))
        gtk_drop_down_set_model(drop, G_LIST_MODEL(names));
}
