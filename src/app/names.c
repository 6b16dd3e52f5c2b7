/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/names.h"

#include "app/canvas.h"

#include <stdbool.h>

/** Letters of a name that are seen at least where they are large: so many times the usual; and of
 * one that is longer than the button shows. */
#define LEAST_CHARS 10
#define LARGE_LETTERS 1.2

/** Letters on a line of the list, which is as wide as its longest name up to there: names of a
 * sentence's length go on on the next. */
#define ROW_CHARS 48

/** Key of the letters that a button shows whole. */
#define MOST "tightbay-most"

/* ---- a row: a name, and in the list a mark at the one that is chosen ---- */

/* Usual letters have room for a usual name; of others not all is seen in a small window. */
static void
set_least(GtkWidget *label, GtkDropDown *drop)
{
    int most = GPOINTER_TO_INT(g_object_get_data(G_OBJECT(drop), MOST));
    long length = g_utf8_strlen(gtk_label_get_text(GTK_LABEL(label)), -1);
    bool usual = tb_font_scale(label) < LARGE_LETTERS;
    int least = usual ? most / 2 : 0;
    bool whole = length <= most && usual;

    gtk_label_set_width_chars(GTK_LABEL(label),
                              whole ? -1 : (int)MIN(length, MAX(LEAST_CHARS, least)));
    gtk_label_set_max_width_chars(GTK_LABEL(label), whole ? -1 : most);
    gtk_label_set_ellipsize(GTK_LABEL(label), whole ? PANGO_ELLIPSIZE_NONE : PANGO_ELLIPSIZE_END);
}

static void
setup_name(GtkSignalListItemFactory *factory, GtkListItem *item, GtkDropDown *drop)
{
    GtkWidget *label = gtk_label_new(NULL);

    (void)factory;
    gtk_label_set_xalign(GTK_LABEL(label), 0);
    /* its letters are known once it is in a window */
    g_signal_connect_object(label, "map", G_CALLBACK(set_least), drop, 0);
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

    (void)factory;
    gtk_label_set_text(GTK_LABEL(label), name_of(item));
    set_least(label, drop);
}

static void
setup_row(GtkSignalListItemFactory *factory, GtkListItem *item, GtkDropDown *drop)
{
    GtkWidget *box = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 6);
    GtkWidget *label = gtk_label_new(NULL);

    (void)factory, (void)drop;
    gtk_label_set_xalign(GTK_LABEL(label), 0);
    gtk_label_set_wrap_mode(GTK_LABEL(label), PANGO_WRAP_WORD_CHAR);
    gtk_label_set_max_width_chars(GTK_LABEL(label), ROW_CHARS);
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
    bool is_long = g_utf8_strlen(name_of(item), -1) > ROW_CHARS;

    (void)factory;
    gtk_label_set_text(GTK_LABEL(label), name_of(item));
    /* the list gets the least width of its rows, which of a wrapped one is a letter's */
    gtk_label_set_wrap(GTK_LABEL(label), is_long);
    gtk_label_set_width_chars(GTK_LABEL(label), is_long ? ROW_CHARS : -1);
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

void
tb_names_dress(GtkDropDown *drop, int most)
{
    GtkWidget *widget = GTK_WIDGET(drop);
    g_autoptr(GtkListItemFactory) name =
        factory_new(widget, G_CALLBACK(setup_name), G_CALLBACK(bind_name), NULL);
    g_autoptr(GtkListItemFactory) row =
        factory_new(widget, G_CALLBACK(setup_row), G_CALLBACK(bind_row), G_CALLBACK(unbind_row));
    g_autoptr(GtkExpression) string =
        gtk_property_expression_new(GTK_TYPE_STRING_OBJECT, NULL, "string");

    g_object_set_data(G_OBJECT(drop), MOST, GINT_TO_POINTER(most));
    gtk_drop_down_set_factory(drop, name);
    gtk_drop_down_set_list_factory(drop, row);
    /* what is typed is looked for in it */
    gtk_drop_down_set_expression(drop, string);
}

GtkWidget *
tb_names_drop_down_new(int most)
{
    GtkWidget *drop = gtk_drop_down_new(NULL, NULL);

    tb_names_dress(GTK_DROP_DOWN(drop), most);
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

/* ---- labels ---- */

static gboolean
tell_whole(GtkLabel *label, int x, int y, gboolean keyboard, GtkTooltip *tooltip, void *data)
{
    bool cut = pango_layout_is_ellipsized(gtk_label_get_layout(label));

    (void)x, (void)y, (void)keyboard, (void)data;
    if (cut)
        gtk_tooltip_set_text(tooltip, gtk_label_get_text(label));
    return cut;
}

void
tb_names_limit(GtkLabel *label, int lines)
{
    gtk_label_set_lines(label, lines);
    gtk_label_set_ellipsize(label, PANGO_ELLIPSIZE_END);
    gtk_widget_set_has_tooltip(GTK_WIDGET(label), TRUE);
    g_signal_connect(label, "query-tooltip", G_CALLBACK(tell_whole), NULL);
}
