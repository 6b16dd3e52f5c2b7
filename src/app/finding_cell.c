/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/finding_cell.h"

#include "app/mark.h"

#include <glib/gi18n.h>

struct _TbFindingCell {
    GtkBox parent;

    TbMatterRow *row;
    gulong handler;

    TbLevelMark *mark;
    GtkLabel *sentence, *where, *decided;
};

G_DEFINE_FINAL_TYPE(TbFindingCell, tb_finding_cell, GTK_TYPE_BOX)

enum { DECIDE, SIGNALS };
static guint signals[SIGNALS];

static void
set_text(GtkLabel *label, const char *text)
{
    gtk_label_set_text(label, text);
    gtk_widget_set_visible(GTK_WIDGET(label), text[0] != '\0');
}

static void
show_row(TbMatterRow *row, TbFindingCell *cell)
{
    /* the list's own widget around the cell is what is read out */
    GtkWidget *around = gtk_widget_get_parent(GTK_WIDGET(cell));

    tb_level_mark_set(cell->mark, row->level);
    set_text(cell->sentence, row->sentence);
    gtk_label_set_text(cell->where, row->where); /* keeps its place beside the button */
    set_text(cell->decided, row->decided);
    if (row->stale)
        gtk_widget_add_css_class(GTK_WIDGET(cell), "stale");
    else
        gtk_widget_remove_css_class(GTK_WIDGET(cell), "stale");
    if (around != NULL)
        gtk_accessible_update_property(GTK_ACCESSIBLE(around), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                       row->said, -1);
}

void
tb_finding_cell_set_row(TbFindingCell *cell, TbMatterRow *row)
{
    if (cell->row != NULL)
        g_clear_signal_handler(&cell->handler, cell->row);
    g_set_object(&cell->row, row);
    if (row == NULL)
        return;
    cell->handler = g_signal_connect(row, "changed", G_CALLBACK(show_row), cell);
    show_row(row, cell);
}

TbMatterRow *
tb_finding_cell_row(TbFindingCell *cell)
{
    return cell->row;
}

static void
decide_pressed(GtkButton *button, TbFindingCell *cell)
{
    (void)button;
    g_signal_emit(cell, signals[DECIDE], 0);
}

static void
dispose(GObject *object)
{
    tb_finding_cell_set_row(TB_FINDING_CELL(object), NULL);
    G_OBJECT_CLASS(tb_finding_cell_parent_class)->dispose(object);
}

static void
tb_finding_cell_class_init(TbFindingCellClass *klass)
{
    G_OBJECT_CLASS(klass)->dispose = dispose;
    signals[DECIDE] = g_signal_new("decide", TB_TYPE_FINDING_CELL, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                   NULL, G_TYPE_NONE, 0);
}

static GtkLabel *
label_new(GtkWidget *box, const char *style)
{
    GtkWidget *label = gtk_label_new(NULL);

    gtk_label_set_xalign(GTK_LABEL(label), 0);
    gtk_label_set_wrap(GTK_LABEL(label), TRUE);
    gtk_label_set_wrap_mode(GTK_LABEL(label), PANGO_WRAP_WORD_CHAR);
    if (style != NULL)
        gtk_widget_add_css_class(label, style);
    gtk_box_append(GTK_BOX(box), label);
    return GTK_LABEL(label);
}

static void
tb_finding_cell_init(TbFindingCell *cell)
{
    GtkWidget *texts = gtk_box_new(GTK_ORIENTATION_VERTICAL, 0);
    GtkWidget *line = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 3);
    GtkWidget *button = gtk_button_new_from_icon_name("document-edit-symbolic");

    gtk_box_set_spacing(GTK_BOX(cell), 6);
    cell->mark = TB_LEVEL_MARK(tb_level_mark_new());
    gtk_widget_set_valign(GTK_WIDGET(cell->mark), GTK_ALIGN_START);
    gtk_box_append(GTK_BOX(cell), GTK_WIDGET(cell->mark));
    gtk_widget_set_hexpand(texts, TRUE);
    gtk_box_append(GTK_BOX(cell), texts);
    cell->sentence = label_new(texts, NULL);
    cell->where = label_new(line, "where");
    gtk_widget_set_hexpand(GTK_WIDGET(cell->where), TRUE);
    gtk_box_append(GTK_BOX(texts), line);
    cell->decided = label_new(texts, "decided");

    gtk_button_set_has_frame(GTK_BUTTON(button), FALSE);
    gtk_widget_set_valign(button, GTK_ALIGN_END);
    gtk_widget_set_halign(button, GTK_ALIGN_END);
    gtk_widget_set_tooltip_text(button, _("Decide about it (F2)"));
    gtk_accessible_update_property(GTK_ACCESSIBLE(button), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                   _("Decide about it"), -1);
    gtk_widget_add_css_class(button, "decide");
    /* by keys it is F2: Tab need not stop at every row */
    gtk_widget_set_focusable(button, FALSE);
    g_signal_connect(button, "clicked", G_CALLBACK(decide_pressed), cell);
    gtk_box_append(GTK_BOX(line), button);
}

GtkWidget *
tb_finding_cell_new(void)
{
    return g_object_new(TB_TYPE_FINDING_CELL, NULL);
}
