/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file inside.h
 * @brief The real program from inside: its windows, what is in them, and waiting for them.
 */
#pragma once

#include "app/application.h"
#include "app/canvas.h"
#include "app/open.h"
#include "app/window.h"

#include <gsl/gsl_errno.h>

/** Longest wait for anything, s. */
#define LONGEST 60

/** The one of this test program; see begin_inside(). */
static TbApplication *application;

/* ---- waiting ---- */

static inline gboolean
tick(void *data)
{
    (void)data;
    return G_SOURCE_CONTINUE;
}

#define wait_until(condition)                                                                      \
    do {                                                                                           \
        gint64 end_ = g_get_monotonic_time() + LONGEST * G_USEC_PER_SEC;                           \
        guint tick_ = g_timeout_add(20, tick, NULL);                                               \
        while (!(condition) && g_get_monotonic_time() < end_)                                      \
            g_main_context_iteration(NULL, TRUE);                                                  \
        g_source_remove(tick_);                                                                    \
        g_assert_true(condition);                                                                  \
    } while (0)

/* ---- windows and what is in them ---- */

static inline guint
window_count(void)
{
    return g_list_length(gtk_application_get_windows(GTK_APPLICATION(application)));
}

/* Every widget below one, that one first. */
static inline void
gather(GtkWidget *widget, GPtrArray *all)
{
    g_ptr_array_add(all, widget);
    for (GtkWidget *child = gtk_widget_get_first_child(widget); child != NULL;
         child = gtk_widget_get_next_sibling(child))
        gather(child, all);
}

/* The k-th widget of a type below one. */
static inline void *
widget_of(void *above, GType type, guint k)
{
    g_autoptr(GPtrArray) all = g_ptr_array_new();

    gather(above, all);
    for (guint i = 0; i < all->len; i++)
        if (g_type_is_a(G_OBJECT_TYPE(all->pdata[i]), type) && k-- == 0)
            return all->pdata[i];
    g_error("there is no %s", g_type_name(type));
}

/* The left cut is drawn, and has the room that it will have. */
static inline bool
is_drawn(TbWindow *window)
{
    GtkWidget *canvas = widget_of(window, TB_TYPE_CANVAS, 0);

    return tb_session_scene(tb_window_session(window), TB_SLOT_LEFT, NULL) != NULL &&
           gtk_widget_get_mapped(canvas) && gtk_widget_get_height(canvas) > 200;
}

static inline GFile *
bay_file(const char *name)
{
    return g_file_new_build_filename(g_getenv("TB_EXAMPLES"), name, NULL);
}

/** The window of a file, opened and drawn. */
static inline TbWindow *
window_on_file(GFile *file)
{
    GList *windows;

    tb_open_file(application, file);
    windows = gtk_application_get_windows(GTK_APPLICATION(application));
    for (; windows != NULL; windows = windows->next) {
        TbSession *session = TB_IS_WINDOW(windows->data) ? tb_window_session(windows->data) : NULL;

        if (session != NULL && tb_session_file(session) != NULL &&
            g_file_equal(tb_session_file(session), file)) {
            wait_until(is_drawn(windows->data));
            return windows->data;
        }
    }
    g_error("no window has %s", g_file_peek_path(file));
}

/** The same of an example by its name. */
static inline TbWindow *
window_on(const char *name)
{
    g_autoptr(GFile) file = bay_file(name);

    return window_on_file(file);
}

static inline void
close_windows(void)
{
    GList *windows;

    while ((windows = gtk_application_get_windows(GTK_APPLICATION(application))) != NULL)
        gtk_window_destroy(windows->data);
    while (g_main_context_iteration(NULL, FALSE))
        ;
}

/* The controller of a type that a widget has; lent. */
static inline void *
controller_of(void *widget, GType type)
{
    g_autoptr(GListModel) all = gtk_widget_observe_controllers(widget);

    for (guint i = 0; i < g_list_model_get_n_items(all); i++) {
        g_autoptr(GObject) one = g_list_model_get_item(all, i);

        if (g_type_is_a(G_OBJECT_TYPE(one), type))
            return one;
    }
    g_error("there is no %s", g_type_name(type));
}

/* ---- the program ---- */

/** The application, in this process and without a command line. */
static inline void
begin_inside(int *argc, char ***argv)
{
    gsl_set_error_handler_off();
    g_test_init(argc, argv, NULL);
    g_set_prgname("tightbay");
    application = tb_application_new();
    g_assert_true(g_application_register(G_APPLICATION(application), NULL, NULL));
    g_application_hold(G_APPLICATION(application));
}

/** Runs what was added; the status of main(). */
static inline int
run_inside(void)
{
    int status = g_test_run();

    close_windows();
    g_object_unref(application);
    return status;
}
