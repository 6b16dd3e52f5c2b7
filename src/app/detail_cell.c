/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/detail_cell.h"

#include "app/detail_choices.h"
#include "app/number_entry.h"

#include <string.h>

GtkWidget *
tb_detail_cell_inner(GtkWidget *cell)
{
    if (GTK_IS_SCROLLED_WINDOW(cell))
        return gtk_scrolled_window_get_child(GTK_SCROLLED_WINDOW(cell));
    return GTK_IS_COMBO_BOX(cell) ? gtk_combo_box_get_child(GTK_COMBO_BOX(cell)) : cell;
}

char *
tb_detail_cell_text(GtkWidget *cell)
{
    GtkWidget *inner = tb_detail_cell_inner(cell);
    GtkTextIter from, to;

    if (GTK_IS_TEXT_VIEW(inner)) {
        GtkTextBuffer *buffer = gtk_text_view_get_buffer(GTK_TEXT_VIEW(inner));

        gtk_text_buffer_get_bounds(buffer, &from, &to);
        return gtk_text_buffer_get_text(buffer, &from, &to, FALSE);
    }
    return GTK_IS_EDITABLE(inner) ? g_strdup(gtk_editable_get_text(GTK_EDITABLE(inner))) : NULL;
}

void
tb_detail_cell_set_text(GtkWidget *cell, const char *text)
{
    GtkWidget *inner = tb_detail_cell_inner(cell);

    if (GTK_IS_TEXT_VIEW(inner))
        gtk_text_buffer_set_text(gtk_text_view_get_buffer(GTK_TEXT_VIEW(inner)), text, -1);
    else
        gtk_editable_set_text(GTK_EDITABLE(inner), text);
}

/* ---- one of each kind ---- */

static GtkWidget *
new_entry(const TbField *field, bool is_number)
{
    GtkWidget *entry = gtk_entry_new();

    gtk_editable_set_width_chars(GTK_EDITABLE(entry), is_number ? 4 : 8);
    gtk_editable_set_max_width_chars(GTK_EDITABLE(entry), is_number ? 8 : 20);
    if (is_number)
        tb_number_entry(GTK_ENTRY(entry));
    if (field->kind == TB_FIELD_DIGEST)
        gtk_editable_set_editable(GTK_EDITABLE(entry), FALSE);
    return entry;
}

static GtkWidget *
new_combo(void)
{
    GtkWidget *combo = gtk_combo_box_text_new_with_entry();
    GtkWidget *entry = gtk_combo_box_get_child(GTK_COMBO_BOX(combo));

    gtk_editable_set_width_chars(GTK_EDITABLE(entry), 6);
    return combo;
}

/* Names in a narrow pane are cut, not the pane widened. */
static void
set_up_name(GtkSignalListItemFactory *factory, GtkListItem *item, void *unused)
{
    GtkWidget *label = gtk_label_new("");

    (void)factory;
    (void)unused;
    gtk_label_set_xalign(GTK_LABEL(label), 0);
    gtk_label_set_ellipsize(GTK_LABEL(label), PANGO_ELLIPSIZE_END);
    gtk_label_set_width_chars(GTK_LABEL(label), 5);
    gtk_list_item_set_child(item, label);
}

static void
bind_name(GtkSignalListItemFactory *factory, GtkListItem *item, void *unused)
{
    GtkStringObject *name = gtk_list_item_get_item(item);

    (void)factory;
    (void)unused;
    gtk_label_set_text(GTK_LABEL(gtk_list_item_get_child(item)),
                       gtk_string_object_get_string(name));
}

static GtkListItemFactory *
name_factory(void)
{
    GtkListItemFactory *factory = gtk_signal_list_item_factory_new();

    g_signal_connect(factory, "setup", G_CALLBACK(set_up_name), NULL);
    g_signal_connect(factory, "bind", G_CALLBACK(bind_name), NULL);
    return factory;
}

static GtkWidget *
new_drop_down(const TbField *field)
{
    GtkExpression *name = gtk_property_expression_new(GTK_TYPE_STRING_OBJECT, NULL, "string");
    GtkWidget *drop = gtk_drop_down_new(NULL, name);
    g_autoptr(GtkListItemFactory) factory = name_factory();

    gtk_drop_down_set_factory(GTK_DROP_DOWN(drop), factory);
    /* long lists of records are searched by typing */
    gtk_drop_down_set_enable_search(GTK_DROP_DOWN(drop), field->kind != TB_FIELD_CHOICE);
    return drop;
}

static GtkWidget *
new_switch(void)
{
    GtkWidget *button = gtk_switch_new();

    gtk_widget_set_halign(button, GTK_ALIGN_END);
    gtk_widget_set_valign(button, GTK_ALIGN_CENTER);
    return button;
}

/* px. Four lines of a note; more of them scroll. */
enum { TEXT_HEIGHT = 80 };

static GtkWidget *
new_text_view(void)
{
    GtkWidget *view = gtk_text_view_new();
    GtkWidget *scroller = gtk_scrolled_window_new();

    gtk_text_view_set_wrap_mode(GTK_TEXT_VIEW(view), GTK_WRAP_WORD_CHAR);
    gtk_text_view_set_accepts_tab(GTK_TEXT_VIEW(view), FALSE);
    gtk_widget_add_css_class(view, "detail-text");
    gtk_scrolled_window_set_child(GTK_SCROLLED_WINDOW(scroller), view);
    gtk_scrolled_window_set_policy(GTK_SCROLLED_WINDOW(scroller), GTK_POLICY_NEVER,
                                   GTK_POLICY_AUTOMATIC);
    gtk_scrolled_window_set_min_content_height(GTK_SCROLLED_WINDOW(scroller), TEXT_HEIGHT);
    gtk_scrolled_window_set_has_frame(GTK_SCROLLED_WINDOW(scroller), TRUE);
    return scroller;
}

GtkWidget *
tb_detail_cell_new(const TbField *field)
{
    switch (field->kind) {
    case TB_FIELD_CHOICE:
    case TB_FIELD_REFERENCE:
    case TB_FIELD_MATERIAL:
        return new_drop_down(field);
    case TB_FIELD_FLAG:
        return new_switch();
    case TB_FIELD_BODY:
        return new_text_view();
    case TB_FIELD_STATES:
        return new_combo();
    case TB_FIELD_WORD:
        return tb_detail_has_words(field) ? new_combo() : new_entry(field, false);
    case TB_FIELD_NUMBER:
    case TB_FIELD_INTEGER:
    case TB_FIELD_VEC2:
    case TB_FIELD_VEC3:
    case TB_FIELD_DIRECTION:
    case TB_FIELD_SPREAD:
    case TB_FIELD_NUMBERS:
        return new_entry(field, true);
    case TB_FIELD_ID:
    case TB_FIELD_TEXT:
    case TB_FIELD_DATE:
    case TB_FIELD_DIGEST:
        break;
    }
    return new_entry(field, false);
}
