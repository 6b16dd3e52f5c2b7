/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/finding_cell.h"

#include "app/in_view.h"
#include "app/mark.h"
#include "app/names.h"

#include <glib/gi18n.h>

/** Letters that a line of text has room for at least. */
#define LEAST_CHARS 12

/** Lines of a text at most: usual names take five or six. */
#define MOST_LINES 10

/** px between the mark and the texts, and between a text and the button. */
#define BESIDE_MARK 6
#define BESIDE_BUTTON 3

struct _TbFindingCell {
    GtkWidget parent;

    TbMatterRow *row;
    gulong handler;

    TbLevelMark *mark;
    GtkLabel *sentence, *where, *decided;
    GtkWidget *button;
};

G_DEFINE_FINAL_TYPE(TbFindingCell, tb_finding_cell, GTK_TYPE_WIDGET)

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

/* ---- size: the mark, beside it the texts; the button at the end of the second ---- */

static int
least(GtkWidget *child, GtkOrientation orientation, int for_size)
{
    int minimum = 0;

    if (gtk_widget_should_layout(child))
        gtk_widget_measure(child, orientation, for_size, &minimum, NULL, NULL, NULL);
    return minimum;
}

static int
least_width(GtkWidget *child)
{
    return least(child, GTK_ORIENTATION_HORIZONTAL, -1);
}

static int
least_height(void *child, int width)
{
    return least(GTK_WIDGET(child), GTK_ORIENTATION_VERTICAL, width);
}

static int
mark_room(TbFindingCell *cell)
{
    return least_width(GTK_WIDGET(cell->mark)) + BESIDE_MARK;
}

static int
button_room(TbFindingCell *cell)
{
    return least_width(cell->button) + BESIDE_BUTTON;
}

static int
line_height(TbFindingCell *cell, int width)
{
    return MAX(least_height(cell->where, width - button_room(cell)),
               least_height(cell->button, -1));
}

static GtkSizeRequestMode
request_mode(GtkWidget *widget)
{
    (void)widget;
    return GTK_SIZE_REQUEST_HEIGHT_FOR_WIDTH;
}

static void
measure(GtkWidget *widget,
        GtkOrientation orientation,
        int for_size,
        int *minimum,
        int *natural,
        int *minimum_baseline,
        int *natural_baseline)
{
    TbFindingCell *cell = TB_FINDING_CELL(widget);
    int line = least_width(GTK_WIDGET(cell->where)) + button_room(cell);
    int above = least_width(GTK_WIDGET(cell->sentence));
    int below = least_width(GTK_WIDGET(cell->decided));
    int texts = MAX(line, MAX(above, below));

    if (orientation == GTK_ORIENTATION_HORIZONTAL) {
        *minimum = mark_room(cell) + texts;
    } else {
        int width = MAX(texts, for_size - mark_room(cell));

        *minimum = MAX(least_height(cell->mark, -1), least_height(cell->sentence, width) +
                                                         line_height(cell, width) +
                                                         least_height(cell->decided, width));
    }
    *natural = *minimum;
    *minimum_baseline = *natural_baseline = -1;
}

/* Where the text runs from right to left everything stands mirrored. */
static void
put(TbFindingCell *cell, void *child, GtkAllocation place)
{
    GtkWidget *widget = GTK_WIDGET(cell);

    if (gtk_widget_get_direction(widget) == GTK_TEXT_DIR_RTL)
        place.x = gtk_widget_get_width(widget) - place.x - place.width;
    if (gtk_widget_should_layout(child))
        gtk_widget_size_allocate(child, &place, -1);
}

static void
size_allocate(GtkWidget *widget, int width, int height, int baseline)
{
    TbFindingCell *cell = TB_FINDING_CELL(widget);
    int left = mark_room(cell), room = width - left;
    int mark = least_height(cell->mark, -1), button = least_width(cell->button);
    int sentence = least_height(cell->sentence, room), line = line_height(cell, room);
    int high = least_height(cell->button, -1);

    (void)height, (void)baseline;
    put(cell, cell->mark, (GtkAllocation){0, 0, left - BESIDE_MARK, mark});
    put(cell, cell->sentence, (GtkAllocation){left, 0, room, sentence});
    put(cell, cell->where, (GtkAllocation){left, sentence, room - button_room(cell), line});
    put(cell, cell->button, (GtkAllocation){width - button, sentence + line - high, button, high});
    put(cell, cell->decided,
        (GtkAllocation){left, sentence + line, room, least_height(cell->decided, room)});
}

/* ---- the class ---- */

static void
dispose(GObject *object)
{
    TbFindingCell *cell = TB_FINDING_CELL(object);
    GtkWidget *child;

    tb_finding_cell_set_row(cell, NULL);
    while ((child = gtk_widget_get_first_child(GTK_WIDGET(cell))) != NULL)
        gtk_widget_unparent(child);
    G_OBJECT_CLASS(tb_finding_cell_parent_class)->dispose(object);
}

static void
snapshot(GtkWidget *widget, GtkSnapshot *snapshot)
{
    if (tb_in_view_draws(widget))
        GTK_WIDGET_CLASS(tb_finding_cell_parent_class)->snapshot(widget, snapshot);
}

static void
tb_finding_cell_class_init(TbFindingCellClass *klass)
{
    GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(klass);

    G_OBJECT_CLASS(klass)->dispose = dispose;
    widget_class->get_request_mode = request_mode;
    widget_class->measure = measure;
    widget_class->size_allocate = size_allocate;
    widget_class->snapshot = snapshot;
    signals[DECIDE] = g_signal_new("decide", TB_TYPE_FINDING_CELL, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                   NULL, G_TYPE_NONE, 0);
}

static GtkLabel *
label_new(TbFindingCell *cell, const char *style)
{
    GtkWidget *label = gtk_label_new(NULL);

    gtk_label_set_xalign(GTK_LABEL(label), 0);
    gtk_label_set_yalign(GTK_LABEL(label), 0);
    gtk_label_set_wrap(GTK_LABEL(label), TRUE);
    gtk_label_set_wrap_mode(GTK_LABEL(label), PANGO_WRAP_WORD_CHAR);
    /* without a least width every measuring breaks the text letter by letter */
    gtk_label_set_width_chars(GTK_LABEL(label), LEAST_CHARS);
    tb_names_limit(GTK_LABEL(label), MOST_LINES);
    if (style != NULL)
        gtk_widget_add_css_class(label, style);
    gtk_widget_set_parent(label, GTK_WIDGET(cell));
    return GTK_LABEL(label);
}

static GtkWidget *
button_new(TbFindingCell *cell)
{
    GtkWidget *button = gtk_button_new_from_icon_name("document-edit-symbolic");

    gtk_button_set_has_frame(GTK_BUTTON(button), FALSE);
    gtk_widget_set_tooltip_text(button, _("Decide about it (F2)"));
    gtk_accessible_update_property(GTK_ACCESSIBLE(button), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                   _("Decide about it"), -1);
    gtk_widget_add_css_class(button, "decide");
    /* by keys it is F2: Tab need not stop at every row */
    gtk_widget_set_focusable(button, FALSE);
    g_signal_connect(button, "clicked", G_CALLBACK(decide_pressed), cell);
    gtk_widget_set_parent(button, GTK_WIDGET(cell));
    return button;
}

static void
tb_finding_cell_init(TbFindingCell *cell)
{
    cell->mark = TB_LEVEL_MARK(tb_level_mark_new());
    gtk_widget_set_valign(GTK_WIDGET(cell->mark), GTK_ALIGN_START);
    gtk_widget_set_parent(GTK_WIDGET(cell->mark), GTK_WIDGET(cell));
    cell->sentence = label_new(cell, NULL);
    cell->where = label_new(cell, "where");
    cell->button = button_new(cell);
    cell->decided = label_new(cell, "decided");
}

GtkWidget *
tb_finding_cell_new(void)
{
    return g_object_new(TB_TYPE_FINDING_CELL, NULL);
}
