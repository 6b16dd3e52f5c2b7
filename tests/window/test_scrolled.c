/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Rows that are scrolled out of sight draw nothing, and draw again as soon as they come back. */

#include "inside.h"

#include "app/detail_field.h"
#include "app/item_cell.h"

/* Whether a widget has anything in the window's drawing. */
static bool
draws(GtkWidget *widget)
{
    g_autoptr(GdkPaintable) paintable = gtk_widget_paintable_new(widget);
    GtkSnapshot *snapshot = gtk_snapshot_new();
    GskRenderNode *node;

    gdk_paintable_snapshot(paintable, snapshot, gtk_widget_get_width(widget),
                           gtk_widget_get_height(widget));
    node = gtk_snapshot_free_to_node(snapshot);
    if (node == NULL)
        return false;
    gsk_render_node_unref(node);
    return true;
}

/* Every row of a type that is on the screen or could be scrolled there. */
static GPtrArray *
rows_of(TbWindow *window, GType type)
{
    g_autoptr(GPtrArray) all = g_ptr_array_new();
    GPtrArray *rows = g_ptr_array_new();

    gather(GTK_WIDGET(window), all);
    for (guint i = 0; i < all->len; i++)
        if (g_type_is_a(G_OBJECT_TYPE(all->pdata[i]), type) && gtk_widget_get_mapped(all->pdata[i]))
            g_ptr_array_add(rows, all->pdata[i]);
    return rows;
}

static guint
count_of(TbWindow *window, GType type)
{
    g_autoptr(GPtrArray) rows = rows_of(window, type);

    return rows->len;
}

static bool
lies_in_view(GtkWidget *row)
{
    GtkWidget *scrolled = gtk_widget_get_ancestor(row, GTK_TYPE_SCROLLED_WINDOW);
    graphene_rect_t bounds;

    g_assert_true(gtk_widget_compute_bounds(row, scrolled, &bounds));
    return bounds.origin.y < (float)gtk_widget_get_height(scrolled) &&
           bounds.origin.y + bounds.size.height > 0;
}

/* All that lie in sight are drawn, and some of those that do not are left out. */
static bool
is_right(TbWindow *window, GType type)
{
    g_autoptr(GPtrArray) rows = rows_of(window, type);
    guint left_out = 0;

    for (guint i = 0; i < rows->len; i++) {
        bool drawn = draws(rows->pdata[i]);

        if (lies_in_view(rows->pdata[i]) && !drawn)
            return false;
        left_out += !drawn;
    }
    return left_out > 0;
}

/* How far it can be scrolled. */
static double
hidden(GtkAdjustment *down)
{
    return gtk_adjustment_get_upper(down) - gtk_adjustment_get_page_size(down);
}

/* Until what was asked for has its place and is painted. */
static void
wait_for_frames(TbWindow *window)
{
    GdkFrameClock *clock = gtk_widget_get_frame_clock(GTK_WIDGET(window));

    for (int frame = 0; frame < 2; frame++) {
        gint64 before = gdk_frame_clock_get_frame_counter(clock);

        gtk_widget_queue_draw(GTK_WIDGET(window));
        wait_until(gdk_frame_clock_get_frame_counter(clock) > before);
    }
}

/* At the top, in the middle, at the end and back at the top. */
static void
scroll_through(TbWindow *window, GType type)
{
    static const double shares[] = {0, 0.43, 1, 0.57, 0};
    GtkWidget *row = widget_of(window, type, 0);
    GtkWidget *scrolled = gtk_widget_get_ancestor(row, GTK_TYPE_SCROLLED_WINDOW);
    GtkAdjustment *down = gtk_scrolled_window_get_vadjustment(GTK_SCROLLED_WINDOW(scrolled));

    /* half a page more than is seen, once rows have their places */
    wait_until(hidden(down) > gtk_adjustment_get_page_size(down) / 2);
    for (guint i = 0; i < G_N_ELEMENTS(shares); i++) {
        gtk_adjustment_set_value(down, shares[i] * hidden(down));
        wait_for_frames(window);
        wait_until(is_right(window, type));
    }
}

static void
items_are_drawn_where_they_are_scrolled_to(void)
{
    scroll_through(window_on("van-c.bay"), TB_TYPE_ITEM_CELL);
    close_windows();
}

static void
fields_are_drawn_where_they_are_scrolled_to(void)
{
    TbWindow *window = window_on("van-c.bay");

    tb_session_select(tb_window_session(window), "outlet");
    wait_until(count_of(window, TB_TYPE_DETAIL_FIELD) > 20);
    scroll_through(window, TB_TYPE_DETAIL_FIELD);
    close_windows();
}

int
main(int argc, char **argv)
{
    begin_inside(&argc, &argv);
#define ADD(name) g_test_add_func("/window/scrolled/" #name, name)
    ADD(items_are_drawn_where_they_are_scrolled_to);
    ADD(fields_are_drawn_where_they_are_scrolled_to);
    return run_inside();
}
