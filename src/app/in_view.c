/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/in_view.h"

/** px beyond the edge: a row's shadow or focus ring. */
#define BEYOND 12

/** What a row did when it was drawn last. */
static char drew, left_out;

static bool
is_in_view(GtkWidget *row)
{
    GtkWidget *scrolled = gtk_widget_get_ancestor(row, GTK_TYPE_SCROLLED_WINDOW);
    graphene_rect_t bounds;

    if (scrolled == NULL || !gtk_widget_compute_bounds(row, scrolled, &bounds))
        return true;
    return bounds.origin.y <= (float)gtk_widget_get_height(scrolled) + BEYOND &&
           bounds.origin.y + bounds.size.height >= -BEYOND;
}

static GQuark
drawn_quark(void)
{
    return g_quark_from_static_string("tb-in-view");
}

bool
tb_in_view_draws(GtkWidget *row)
{
    bool draws = is_in_view(row);

    g_object_set_qdata(G_OBJECT(row), drawn_quark(), draws ? &drew : &left_out);
    return draws;
}

static void
check(GtkWidget *row)
{
    const void *drawn = g_object_get_qdata(G_OBJECT(row), drawn_quark());

    /* one that was never drawn will be */
    if (drawn != NULL && is_in_view(row) != (drawn == &drew))
        gtk_widget_queue_draw(row);
}

void
tb_in_view_check_rows(GtkWidget *list)
{
    for (GtkWidget *row = gtk_widget_get_first_child(list); row != NULL;
         row = gtk_widget_get_next_sibling(row)) {
        if (!gtk_widget_get_mapped(row))
            continue;
        check(row);
        tb_in_view_check_rows(row);
    }
}

/* ---- a box that is a row ---- */

#define TB_TYPE_IN_VIEW_BOX (tb_in_view_box_get_type())
G_DECLARE_FINAL_TYPE(TbInViewBox, tb_in_view_box, TB, IN_VIEW_BOX, GtkBox)

struct _TbInViewBox {
    GtkBox parent;
};

G_DEFINE_FINAL_TYPE(TbInViewBox, tb_in_view_box, GTK_TYPE_BOX)

static void
snapshot(GtkWidget *widget, GtkSnapshot *snapshot)
{
    if (tb_in_view_draws(widget))
        GTK_WIDGET_CLASS(tb_in_view_box_parent_class)->snapshot(widget, snapshot);
}

static void
tb_in_view_box_class_init(TbInViewBoxClass *klass)
{
    GTK_WIDGET_CLASS(klass)->snapshot = snapshot;
}

static void
tb_in_view_box_init(TbInViewBox *box)
{
    (void)box;
}

GtkWidget *
tb_in_view_box_new(int spacing)
{
    return g_object_new(TB_TYPE_IN_VIEW_BOX, "spacing", spacing, NULL);
}
