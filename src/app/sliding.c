/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/sliding.h"

#include "app/canvas.h"

#include <stdbool.h>

/** Letters so many times the usual do not fit; usual ones do, and keep their room. */
#define LARGE_LETTERS 1.2

static void
set_policy(GtkScrolledWindow *sliding)
{
    bool large = tb_font_scale(GTK_WIDGET(sliding)) >= LARGE_LETTERS;

    /* no bar: it would lie over the controls */
    gtk_scrolled_window_set_policy(sliding, large ? GTK_POLICY_EXTERNAL : GTK_POLICY_NEVER,
                                   GTK_POLICY_NEVER);
}

GtkWidget *
tb_sliding_new(GtkWidget *row)
{
    GtkWidget *sliding = gtk_scrolled_window_new();
    GtkScrolledWindow *scrolled = GTK_SCROLLED_WINDOW(sliding);

    set_policy(scrolled);
    /* its letters are known once it is in a window */
    g_signal_connect(sliding, "map", G_CALLBACK(set_policy), NULL);
    gtk_scrolled_window_set_propagate_natural_width(scrolled, TRUE);
    gtk_scrolled_window_set_child(scrolled, row);
    /* a stop of the Tab key of its own would do nothing */
    gtk_widget_set_focusable(sliding, FALSE);
    return sliding;
}
