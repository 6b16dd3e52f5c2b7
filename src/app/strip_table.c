/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/strip_table.h"

#include <glib/gi18n.h>

/** mm between rows: a table of half a metre is read in one screen or two. */
#define STEP 10.0
#define STEP_INCH (0.5 * TB_MM_PER_INCH)

/* ---- a row ---- */

#define TABLE_TYPE_ROW (table_row_get_type())
G_DECLARE_FINAL_TYPE(TableRow, table_row, TABLE, ROW, GObject)

struct _TableRow {
    GObject parent;
    char **cells; /* NULL at the end */
};

G_DEFINE_FINAL_TYPE(TableRow, table_row, G_TYPE_OBJECT)

static void
finalize_row(GObject *object)
{
    g_strfreev(TABLE_ROW(object)->cells);
    G_OBJECT_CLASS(table_row_parent_class)->finalize(object);
}

static void
table_row_class_init(TableRowClass *klass)
{
    G_OBJECT_CLASS(klass)->finalize = finalize_row;
}

static void
table_row_init(TableRow *row)
{
    (void)row;
}

static GListModel *
rows_of(const TbSceneTable *table)
{
    GListStore *store = g_list_store_new(TABLE_TYPE_ROW);

    for (size_t i = 0; i < table->rows; i++) {
        g_autoptr(TableRow) row = g_object_new(TABLE_TYPE_ROW, NULL);

        row->cells = g_new0(char *, table->columns + 1);
        for (size_t k = 0; k < table->columns; k++)
            row->cells[k] = g_strdup(table->cells[i * table->columns + k]);
        g_list_store_append(store, row);
    }
    return G_LIST_MODEL(store);
}

/* ---- columns ---- */

static void
set_up_cell(GtkSignalListItemFactory *factory, GtkListItem *item, void *is_name)
{
    GtkWidget *label = gtk_label_new(NULL);

    (void)factory;
    gtk_label_set_xalign(GTK_LABEL(label), is_name != NULL ? 0 : 1);
    gtk_widget_add_css_class(label, "numeric");
    gtk_list_item_set_child(item, label);
}

static void
fill_cell(GtkSignalListItemFactory *factory, GtkListItem *item, void *column)
{
    const TableRow *row = gtk_list_item_get_item(item);

    (void)factory;
    gtk_label_set_text(GTK_LABEL(gtk_list_item_get_child(item)),
                       row->cells[GPOINTER_TO_UINT(column)]);
}

static void
add_column(GtkColumnView *view, const char *head, guint number, bool is_name)
{
    GtkListItemFactory *factory = gtk_signal_list_item_factory_new();
    GtkColumnViewColumn *column = gtk_column_view_column_new(head, factory);

    g_signal_connect(factory, "setup", G_CALLBACK(set_up_cell), GINT_TO_POINTER(is_name));
    g_signal_connect(factory, "bind", G_CALLBACK(fill_cell), GUINT_TO_POINTER(number));
    gtk_column_view_column_set_resizable(column, TRUE);
    gtk_column_view_append_column(view, column);
    g_object_unref(column);
}

/* ---- copying ---- */

/** Tabs and lines, as spreadsheets take them. */
static char *
text_of(const TbSceneTable *table)
{
    GString *text = g_string_new(NULL);

    for (size_t k = 0; k < table->columns; k++)
        g_string_append_printf(text, "%s%s", k > 0 ? "\t" : "", table->heads[k]);
    for (size_t i = 0; i < table->rows * table->columns; i++)
        g_string_append_printf(text, "%s%s", i % table->columns == 0 ? "\n" : "\t",
                               table->cells[i]);
    g_string_append_c(text, '\n');
    return g_string_free(text, FALSE);
}

static void
copy(GtkButton *button, const char *text)
{
    gdk_clipboard_set_text(gtk_widget_get_clipboard(GTK_WIDGET(button)), text);
}

static GtkWidget *
copy_button(const TbSceneTable *table)
{
    GtkWidget *button = gtk_button_new_with_mnemonic(_("_Copy"));

    gtk_widget_set_tooltip_text(button, _("Copy the table for a spreadsheet"));
    g_signal_connect_data(button, "clicked", G_CALLBACK(copy), text_of(table),
                          (GClosureNotify)(void (*)(void))g_free, 0);
    return button;
}

/* ---- the window ---- */

static gboolean
close_window(GtkWidget *window, GVariant *arguments, void *data)
{
    (void)arguments, (void)data;
    gtk_window_close(GTK_WINDOW(window));
    return TRUE;
}

static void
close_by_escape(GtkWidget *window)
{
    GtkEventController *keys = gtk_shortcut_controller_new();

    gtk_shortcut_controller_add_shortcut(
        GTK_SHORTCUT_CONTROLLER(keys),
        gtk_shortcut_new(gtk_keyval_trigger_new(GDK_KEY_Escape, 0),
                         gtk_callback_action_new(close_window, NULL, NULL)));
    gtk_widget_add_controller(window, keys);
}

static GtkWidget *
view_of(const TbSceneTable *table, const char *label)
{
    GtkSelectionModel *selection = GTK_SELECTION_MODEL(gtk_single_selection_new(rows_of(table)));
    GtkWidget *view = gtk_column_view_new(selection);
    GtkWidget *scrolled = gtk_scrolled_window_new();

    for (size_t k = 0; k < table->columns; k++)
        add_column(GTK_COLUMN_VIEW(view), table->heads[k], (guint)k, table->named && k == 0);
    gtk_column_view_set_show_column_separators(GTK_COLUMN_VIEW(view), TRUE);
    gtk_accessible_update_property(GTK_ACCESSIBLE(view), GTK_ACCESSIBLE_PROPERTY_LABEL, label, -1);
    gtk_scrolled_window_set_child(GTK_SCROLLED_WINDOW(scrolled), view);
    return scrolled;
}

void
tb_table_show(GtkWindow *parent, const char *title, const char *label, TbSceneTable *table)
{
    GtkWidget *window = gtk_window_new();
    GtkWidget *header = gtk_header_bar_new();

    gtk_window_set_title(GTK_WINDOW(window), title);
    gtk_window_set_transient_for(GTK_WINDOW(window), parent);
    gtk_window_set_destroy_with_parent(GTK_WINDOW(window), TRUE);
    gtk_window_set_default_size(GTK_WINDOW(window), 900, 560);
    gtk_window_set_titlebar(GTK_WINDOW(window), header);
    gtk_header_bar_pack_start(GTK_HEADER_BAR(header), copy_button(table));
    gtk_window_set_child(GTK_WINDOW(window), view_of(table, label));
    close_by_escape(window);
    tb_scene_table_free(table);
    gtk_window_present(GTK_WINDOW(window));
}

void
tb_strip_table_show(GtkWindow *parent, const TbSceneStrip *strip)
{
    tb_table_show(parent, strip->title, _("Values along the path"),
                  tb_scene_strip_table(strip, strip->unit == TB_UNIT_INCH ? STEP_INCH : STEP));
}
