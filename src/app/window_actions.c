/* SPDX-License-Identifier: GPL-3.0-or-later */

/* What can be done in a window. An action asks the session and is done; panes hear of it there. */

#include "app/window_private.h"

#include <glib/gi18n.h>

static TbWindow *
window_of(void *data)
{
    return TB_WINDOW(data);
}

static void
undo(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    tb_session_undo(window_of(data)->session);
}

static void
redo(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    tb_session_redo(window_of(data)->session);
}

static void
cancel_work(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    tb_session_cancel(window_of(data)->session);
}

static const GActionEntry entries[] = {
    {.name = "undo", .activate = undo},
    {.name = "redo", .activate = redo},
    {.name = "cancel-work", .activate = cancel_work},
};

void
tb_window__add_actions(TbWindow *window)
{
    g_action_map_add_action_entries(G_ACTION_MAP(window), entries, G_N_ELEMENTS(entries), window);
}

static void
enable(TbWindow *window, const char *name, bool enabled)
{
    GAction *action = g_action_map_lookup_action(G_ACTION_MAP(window), name);

    g_simple_action_set_enabled(G_SIMPLE_ACTION(action), enabled);
}

/* Takes the text. */
static void
name_step(GtkButton *button, char *text)
{
    gtk_widget_set_tooltip_text(GTK_WIDGET(button), text);
    gtk_accessible_update_property(GTK_ACCESSIBLE(button), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION,
                                   text, -1);
    g_free(text);
}

void
tb_window__update_actions(TbWindow *window)
{
    TbSession *session = window->session;
    const char *back = session == NULL ? NULL : tb_session_undo_name(session);
    const char *forth = session == NULL ? NULL : tb_session_redo_name(session);

    enable(window, "undo", back != NULL);
    enable(window, "redo", forth != NULL);
    enable(window, "cancel-work", session != NULL && tb_session_progress(session, NULL) != NULL);
    /* Translators: %s is a change such as "move knot 3 of Turbine outlet" */
    name_step(window->undo_button,
              back == NULL ? g_strdup(_("Undo")) : g_strdup_printf(_("Undo: %s"), back));
    /* Translators: %s is a change such as "move knot 3 of Turbine outlet" */
    name_step(window->redo_button,
              forth == NULL ? g_strdup(_("Redo")) : g_strdup_printf(_("Redo: %s"), forth));
}
