/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/welcome.h"

#include "app/recent.h"
#include "app/vignette.h"

#include <glib/gi18n.h>

/** So many recent bays are offered. */
#define MOST_RECENT 6

struct _TbWelcome {
    GtkWidget parent;
    GtkListBox *recent_list;
    GtkWidget *recent_box;
};

G_DEFINE_FINAL_TYPE(TbWelcome, tb_welcome, GTK_TYPE_WIDGET)

/** Key of a row's GFile. */
#define KEY "tb-file"

static GtkWidget *
label_of(const char *text, bool quiet)
{
    GtkWidget *label = gtk_label_new(text);

    gtk_label_set_xalign(GTK_LABEL(label), 0);
    gtk_label_set_ellipsize(GTK_LABEL(label), PANGO_ELLIPSIZE_MIDDLE);
    if (quiet)
        gtk_widget_add_css_class(label, "quiet");
    return label;
}

static GtkWidget *
row_for(GFile *file)
{
    GtkWidget *row = gtk_list_box_row_new(), *box = gtk_box_new(GTK_ORIENTATION_VERTICAL, 0);
    g_autoptr(GFile) folder = g_file_get_parent(file);
    g_autofree char *name = g_file_get_basename(file);
    g_autofree char *place = folder == NULL ? NULL : g_file_get_parse_name(folder);
    g_autofree char *whole = g_file_get_parse_name(file);

    gtk_box_append(GTK_BOX(box), label_of(name, false));
    if (place != NULL)
        gtk_box_append(GTK_BOX(box), label_of(place, true));
    gtk_widget_set_margin_top(box, 6);
    gtk_widget_set_margin_bottom(box, 6);
    gtk_widget_set_margin_start(box, 6);
    gtk_widget_set_margin_end(box, 6);
    gtk_list_box_row_set_child(GTK_LIST_BOX_ROW(row), box);
    gtk_widget_set_tooltip_text(row, whole);
    gtk_accessible_update_property(GTK_ACCESSIBLE(row), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
    g_object_set_data_full(G_OBJECT(row), KEY, g_object_ref(file), g_object_unref);
    return row;
}

static void
row_activated(TbWelcome *welcome, GtkListBoxRow *row)
{
    g_autofree char *uri = g_file_get_uri(g_object_get_data(G_OBJECT(row), KEY));

    gtk_widget_activate_action(GTK_WIDGET(welcome), "app.open-recent", "s", uri);
}

static void
fill_recent(TbWelcome *welcome)
{
    g_autoptr(GPtrArray) files = tb_recent_list(MOST_RECENT);
    GtkListBoxRow *row;

    while ((row = gtk_list_box_get_row_at_index(welcome->recent_list, 0)) != NULL)
        gtk_list_box_remove(welcome->recent_list, GTK_WIDGET(row));
    for (guint i = 0; i < files->len; i++)
        gtk_list_box_append(welcome->recent_list, row_for(files->pdata[i]));
    gtk_widget_set_visible(welcome->recent_box, files->len > 0);
}

static void
dispose(GObject *object)
{
    GtkWidget *child = gtk_widget_get_first_child(GTK_WIDGET(object));

    if (child != NULL)
        gtk_widget_unparent(child);
    G_OBJECT_CLASS(tb_welcome_parent_class)->dispose(object);
}

static void
tb_welcome_class_init(TbWelcomeClass *klass)
{
    GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(klass);

    g_type_ensure(TB_TYPE_VIGNETTE);
    G_OBJECT_CLASS(klass)->dispose = dispose;
    gtk_widget_class_set_layout_manager_type(widget_class, GTK_TYPE_BIN_LAYOUT);
    gtk_widget_class_set_template_from_resource(widget_class, "/net/tightbay/Tightbay/welcome.ui");
    gtk_widget_class_bind_template_child(widget_class, TbWelcome, recent_list);
    gtk_widget_class_bind_template_child(widget_class, TbWelcome, recent_box);
    gtk_widget_class_bind_template_callback(widget_class, row_activated);
}

static void
tb_welcome_init(TbWelcome *welcome)
{
    gtk_widget_init_template(GTK_WIDGET(welcome));
    fill_recent(welcome);
    g_signal_connect_object(gtk_recent_manager_get_default(), "changed", G_CALLBACK(fill_recent),
                            welcome, G_CONNECT_SWAPPED);
}

GtkWidget *
tb_welcome_new(void)
{
    return g_object_new(TB_TYPE_WELCOME, "hexpand", TRUE, "vexpand", TRUE, NULL);
}
