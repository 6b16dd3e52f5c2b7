/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Where the panes are. With room for it, details and findings stand in a column of their own to the
 * right; in a narrow window they take turns in the lower half of the list's column.
 */

#include "app/fold.h"
#include "app/window_private.h"

#include <glib/gi18n.h>

/* What the narrow arrangement needs and the wide one does not; made when first wanted. */
typedef struct Narrow {
    GtkPaned *paned; /* the list above, the two that take turns below */
    GtkStack *stack;
} Narrow;

static void
free_narrow(void *data)
{
    Narrow *narrow = data;

    g_object_unref(narrow->paned);
    g_free(narrow);
}

static Narrow *
narrow_of(TbWindow *window)
{
    Narrow *narrow = g_object_get_data(G_OBJECT(window), "narrow");
    GtkWidget *below, *switcher;

    if (narrow != NULL)
        return narrow;
    narrow = g_new0(Narrow, 1);
    narrow->paned = g_object_ref_sink(GTK_PANED(gtk_paned_new(GTK_ORIENTATION_VERTICAL)));
    narrow->stack = GTK_STACK(gtk_stack_new());
    gtk_widget_set_vexpand(GTK_WIDGET(narrow->stack), TRUE);
    /* the hidden one must not hold the shown one's size */
    gtk_stack_set_hhomogeneous(narrow->stack, FALSE);
    gtk_stack_set_vhomogeneous(narrow->stack, FALSE);
    switcher = gtk_stack_switcher_new();
    gtk_stack_switcher_set_stack(GTK_STACK_SWITCHER(switcher), narrow->stack);
    gtk_widget_add_css_class(switcher, "turns");
    below = gtk_box_new(GTK_ORIENTATION_VERTICAL, 0);
    gtk_box_append(GTK_BOX(below), switcher);
    gtk_box_append(GTK_BOX(below), GTK_WIDGET(narrow->stack));
    gtk_paned_set_end_child(narrow->paned, below);
    gtk_paned_set_shrink_start_child(narrow->paned, FALSE);
    gtk_paned_set_shrink_end_child(narrow->paned, FALSE);
    g_object_set_data_full(G_OBJECT(window), "narrow", narrow, free_narrow);
    return narrow;
}

/* The wide column's two, one after the other below the list. */
static void
fold(TbWindow *window)
{
    Narrow *narrow = narrow_of(window);
    GtkWidget *list = g_object_ref(GTK_WIDGET(window->list_box));
    GtkWidget *details = g_object_ref(GTK_WIDGET(window->details_box));
    GtkWidget *findings = g_object_ref(GTK_WIDGET(window->findings_box));

    gtk_paned_set_start_child(window->details_paned, NULL);
    gtk_paned_set_end_child(window->details_paned, NULL);
    gtk_widget_set_visible(GTK_WIDGET(window->details_paned), FALSE);
    gtk_stack_add_titled(narrow->stack, findings, "findings", _("Findings"));
    gtk_stack_add_titled(narrow->stack, details, "details", _("Details"));
    gtk_paned_set_start_child(window->list_paned, GTK_WIDGET(narrow->paned));
    gtk_paned_set_start_child(narrow->paned, list);
    gtk_paned_set_position(narrow->paned, gtk_widget_get_height(GTK_WIDGET(window->fold)) / 2);
    g_object_unref(list);
    g_object_unref(details);
    g_object_unref(findings);
}

static void
unfold(TbWindow *window)
{
    Narrow *narrow = narrow_of(window);
    GtkWidget *list = g_object_ref(GTK_WIDGET(window->list_box));
    GtkWidget *details = g_object_ref(GTK_WIDGET(window->details_box));
    GtkWidget *findings = g_object_ref(GTK_WIDGET(window->findings_box));

    gtk_stack_remove(narrow->stack, details);
    gtk_stack_remove(narrow->stack, findings);
    gtk_paned_set_start_child(narrow->paned, NULL);
    gtk_paned_set_start_child(window->list_paned, list);
    gtk_paned_set_start_child(window->details_paned, details);
    gtk_paned_set_end_child(window->details_paned, findings);
    gtk_widget_set_visible(GTK_WIDGET(window->details_paned), TRUE);
    g_object_unref(list);
    g_object_unref(details);
    g_object_unref(findings);
}

static void
narrow_changed(TbFold *folding, GParamSpec *spec, TbWindow *window)
{
    (void)spec;
    if (tb_fold_is_narrow(folding))
        fold(window);
    else
        unfold(window);
}

void
tb_window__follow_width(TbWindow *window)
{
    g_signal_connect_object(window->fold, "notify::narrow", G_CALLBACK(narrow_changed), window, 0);
}

void
tb_window__fit_screen(TbWindow *window)
{
    GListModel *monitors = gdk_display_get_monitors(gtk_widget_get_display(GTK_WIDGET(window)));
    g_autoptr(GdkMonitor) monitor = g_list_model_get_item(monitors, 0);
    GdkRectangle screen;
    int width, height;

    if (monitor == NULL)
        return;
    gdk_monitor_get_geometry(monitor, &screen);
    gtk_window_get_default_size(GTK_WINDOW(window), &width, &height);
    if (width > screen.width || height > screen.height)
        gtk_window_set_default_size(GTK_WINDOW(window), MIN(width, screen.width),
                                    MIN(height, screen.height));
}
