/* SPDX-License-Identifier: GPL-3.0-or-later */

/* The window from inside where the script runs from right to left. */

#include "app/cut_pane.h"
#include "app/item_list.h"
#include "inside.h"

/** Where a widget begins in its window, px from the left. */
static double
left_of(void *widget, TbWindow *window)
{
    double x = 0, y = 0;

    g_assert_true(gtk_widget_translate_coordinates(widget, GTK_WIDGET(window), 0, 0, &x, &y));
    return x;
}

static void
panes_stand_in_the_order_of_the_script(void)
{
    TbWindow *window;
    double across, list;

    gtk_widget_set_default_direction(GTK_TEXT_DIR_RTL);
    window = window_on("van-b.bay");
    across = left_of(widget_of(window, TB_TYPE_CUT_PANE, 1), window);
    list = left_of(widget_of(window, TB_TYPE_ITEM_LIST, 0), window);
    g_assert_cmpfloat(across, <, left_of(widget_of(window, TB_TYPE_CUT_PANE, 0), window));
    g_assert_cmpfloat(list, >, 0.6 * gtk_widget_get_width(GTK_WIDGET(window)));
    close_windows();
}

/** Of the entries below, those that hold a negative number; each is checked. */
static guint
check_signs(TbWindow *window)
{
    g_autoptr(GPtrArray) all = g_ptr_array_new();
    guint count = 0;

    gather(GTK_WIDGET(window), all);
    for (guint i = 0; i < all->len; i++) {
        PangoLayout *layout;
        PangoRectangle sign, digit;

        if (!GTK_IS_ENTRY(all->pdata[i]) || !gtk_widget_get_mapped(all->pdata[i]) ||
            gtk_editable_get_text(all->pdata[i])[0] != '-')
            continue;
        /* as the entry lays it out: where no letter decides, its own direction does */
        layout =
            gtk_widget_create_pango_layout(GTK_WIDGET(gtk_editable_get_delegate(all->pdata[i])),
                                           gtk_editable_get_text(all->pdata[i]));
        pango_layout_index_to_pos(layout, 0, &sign);
        pango_layout_index_to_pos(layout, 1, &digit);
        g_assert_cmpint(sign.x, <, digit.x);
        g_object_unref(layout);
        count++;
    }
    return count;
}

static void
a_sign_stands_before_its_number(void)
{
    gtk_widget_set_default_direction(GTK_TEXT_DIR_RTL);
    /* the plane of the side cut and the height of the ground are negative */
    g_assert_cmpuint(check_signs(window_on("van-b.bay")), >=, 2);
    close_windows();
}

int
main(int argc, char **argv)
{
    begin_inside(&argc, &argv);
#define ADD(name) g_test_add_func("/window/mirrored/" #name, name)
    ADD(panes_stand_in_the_order_of_the_script);
    ADD(a_sign_stands_before_its_number);
    return run_inside();
}
