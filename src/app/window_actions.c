/* SPDX-License-Identifier: GPL-3.0-or-later */

/* What can be done in a window. An action asks the session and is done; panes hear of it there. */

#include "app/closing.h"
#include "app/pack_window.h"
#include "app/tip.h"
#include "app/view_out.h"
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
save(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    tb_keeper_save(window_of(data)->keeper, NULL, NULL);
}

static void
save_as(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    tb_keeper_save_as(window_of(data)->keeper, NULL, NULL);
}

static void
close_window(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    tb_close_window(window_of(data));
}

static void
cancel_work(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    tb_session_cancel(window_of(data)->session);
}

/* The pane that has the focus; the left one when none has. */
static int
pane_in_focus(TbWindow *window)
{
    GtkWidget *focus = gtk_window_get_focus(GTK_WINDOW(window));
    GtkBox *const boxes[] = {window->left_box, window->middle_box, window->across_box,
                             window->strip_box};

    for (int pane = 0; focus != NULL && pane < (int)G_N_ELEMENTS(boxes); pane++)
        if (gtk_widget_is_ancestor(focus, GTK_WIDGET(boxes[pane])))
            return pane;
    return TB_SLOT_LEFT;
}

/* The first thing in the next pane that takes the focus; panes that are not there are passed over.
 */
static void
go_to_pane(TbWindow *window, int step)
{
    GtkWidget *focus = gtk_window_get_focus(GTK_WINDOW(window));
    GtkBox *const boxes[] = {window->choice_box, window->tools_box,   window->list_box,
                             window->left_box,   window->middle_box,  window->across_box,
                             window->strip_box,  window->details_box, window->findings_box};
    int count = G_N_ELEMENTS(boxes);
    /* from nowhere to the list, or back to the findings */
    int now = step > 0 ? 1 : 0;

    for (int i = 0; focus != NULL && i < count; i++)
        if (gtk_widget_is_ancestor(focus, GTK_WIDGET(boxes[i])))
            now = i;
    for (int k = 1; k <= count; k++) {
        GtkWidget *next = GTK_WIDGET(boxes[(now + k * step + k * count) % count]);

        if (gtk_widget_get_mapped(next) && gtk_widget_child_focus(next, GTK_DIR_TAB_FORWARD))
            return;
    }
}

static void
next_pane(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    go_to_pane(window_of(data), 1);
}

static void
pane_before(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    go_to_pane(window_of(data), -1);
}

static void
export_view(GSimpleAction *action, GVariant *parameter, void *data)
{
    TbWindow *window = window_of(data);

    (void)action, (void)parameter;
    tb_view_out_export(GTK_WINDOW(window), window->session, pane_in_focus(window));
}

static void
print_view(GSimpleAction *action, GVariant *parameter, void *data)
{
    TbWindow *window = window_of(data);

    (void)action, (void)parameter;
    tb_view_out_print(GTK_WINDOW(window), window->session, pane_in_focus(window));
}

static void
review_pack(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    tb_pack_window_show(window_of(data));
}

static const GActionEntry entries[] = {
    {.name = "cancel-work", .activate = cancel_work},
    {.name = "close", .activate = close_window},
    {.name = "next-pane", .activate = next_pane},
    {.name = "pane-before", .activate = pane_before},
    {.name = "export-view", .activate = export_view},
    {.name = "print-view", .activate = print_view},
    {.name = "redo", .activate = redo},
    {.name = "review-pack", .activate = review_pack},
    {.name = "save", .activate = save},
    {.name = "save-as", .activate = save_as},
    {.name = "undo", .activate = undo},
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
    if (tb_tip_set(GTK_WIDGET(button), text))
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
    enable(window, "save", session != NULL);
    enable(window, "save-as", session != NULL);
    enable(window, "next-pane", session != NULL);
    enable(window, "pane-before", session != NULL);
    enable(window, "export-view", session != NULL);
    enable(window, "print-view", session != NULL);
    enable(window, "review-pack", session != NULL);
    enable(window, "cancel-work", session != NULL && tb_session_progress(session, NULL) != NULL);
    /* Translators: %s is a change such as "move knot 3 of Turbine outlet" */
    name_step(window->undo_button,
              back == NULL ? g_strdup(_("Undo")) : g_strdup_printf(_("Undo: %s"), back));
    /* Translators: %s is a change such as "move knot 3 of Turbine outlet" */
    name_step(window->redo_button,
              forth == NULL ? g_strdup(_("Redo")) : g_strdup_printf(_("Redo: %s"), forth));
}
