/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/closing.h"

#include "app/keeper.h"

#include <glib/gi18n.h>

enum { DISCARD = 1, SAVE };

/** Windows on their way out. */
typedef struct Closing {
    GPtrArray *windows; /**< all of them; referenced */
    GPtrArray *unsaved; /**< those that would lose something; referenced */
    guint settled;      /**< of the windows: those where no saving is under way */
} Closing;

/** Marks a window that is on its way out, so that it is not asked about twice. */
#define KEY "tb-closing"

static void
end(Closing *closing)
{
    for (guint i = 0; i < closing->windows->len; i++)
        g_object_set_data(closing->windows->pdata[i], KEY, NULL);
    g_ptr_array_unref(closing->windows);
    g_ptr_array_unref(closing->unsaved);
    g_free(closing);
}

static void
destroy_all(Closing *closing)
{
    for (guint i = 0; i < closing->windows->len; i++)
        gtk_window_destroy(closing->windows->pdata[i]);
    end(closing);
}

/* ---- saving them one after the other ---- */

static void save_next(Closing *closing);

static void
saved(void *user, bool done)
{
    Closing *closing = user;

    /* what is wrong stands in a bar of that window */
    if (!done) {
        gtk_window_present(closing->unsaved->pdata[0]);
        end(closing);
        return;
    }
    g_ptr_array_remove_index(closing->unsaved, 0);
    save_next(closing);
}

static void
save_next(Closing *closing)
{
    if (closing->unsaved->len == 0)
        destroy_all(closing);
    else
        tb_keeper_save(tb_window_keeper(closing->unsaved->pdata[0]), saved, closing);
}

/* ---- asking ---- */

static void
answered(GtkDialog *dialog, int answer, Closing *closing)
{
    gtk_window_destroy(GTK_WINDOW(dialog));
    if (answer == SAVE)
        save_next(closing);
    else if (answer == DISCARD)
        destroy_all(closing);
    else
        end(closing);
}

/** The titles of unsaved bays, a line each. */
static char *
titles(const Closing *closing)
{
    GString *text = g_string_new(NULL);

    for (guint i = 0; i < closing->unsaved->len; i++)
        g_string_append_printf(text, "%s• %s", i == 0 ? "" : "\n",
                               tb_session_title(tb_window_session(closing->unsaved->pdata[i])));
    return g_string_free(text, FALSE);
}

static void
ask(Closing *closing)
{
    guint count = closing->unsaved->len;
    GtkWindow *first = closing->unsaved->pdata[0];
    const char *title = tb_session_title(tb_window_session(TB_WINDOW(first)));
    g_autofree char *list = titles(closing);
    GtkWidget *dialog, *button;

    if (count == 1)
        dialog = gtk_message_dialog_new(first, GTK_DIALOG_MODAL | GTK_DIALOG_DESTROY_WITH_PARENT,
                                        GTK_MESSAGE_WARNING, GTK_BUTTONS_NONE,
                                        _("Save changes to “%s”?"), title);
    else
        dialog = gtk_message_dialog_new(
            first, GTK_DIALOG_MODAL | GTK_DIALOG_DESTROY_WITH_PARENT, GTK_MESSAGE_WARNING,
            GTK_BUTTONS_NONE,
            ngettext("Save changes to %u bay?", "Save changes to %u bays?", count), count);
    gtk_message_dialog_format_secondary_text(GTK_MESSAGE_DIALOG(dialog), "%s%s%s",
                                             count == 1 ? "" : list, count == 1 ? "" : "\n\n",
                                             _("Changes that are not saved will be lost."));
    gtk_dialog_add_button(GTK_DIALOG(dialog), _("_Cancel"), GTK_RESPONSE_CANCEL);
    button = gtk_dialog_add_button(GTK_DIALOG(dialog),
                                   count == 1 ? _("_Discard") : _("_Discard All"), DISCARD);
    gtk_widget_add_css_class(button, "destructive-action");
    button =
        gtk_dialog_add_button(GTK_DIALOG(dialog), count == 1 ? _("_Save") : _("_Save All"), SAVE);
    gtk_widget_add_css_class(button, "suggested-action");
    gtk_dialog_set_default_response(GTK_DIALOG(dialog), SAVE);
    gtk_window_set_title(GTK_WINDOW(dialog), _("Unsaved changes"));
    g_signal_connect(dialog, "response", G_CALLBACK(answered), closing);
    gtk_window_present(GTK_WINDOW(dialog));
}

/* ---- closing ---- */

static Closing *
new_closing(void)
{
    Closing *closing = g_new0(Closing, 1);

    closing->windows = g_ptr_array_new_with_free_func(g_object_unref);
    closing->unsaved = g_ptr_array_new_with_free_func(g_object_unref);
    return closing;
}

/** false: it is on its way out already. */
static bool
add(Closing *closing, TbWindow *window)
{
    if (g_object_get_data(G_OBJECT(window), KEY) != NULL)
        return false;
    g_object_set_data(G_OBJECT(window), KEY, closing);
    g_ptr_array_add(closing->windows, g_object_ref(window));
    return true;
}

static void
run(Closing *closing)
{
    for (guint i = 0; i < closing->windows->len; i++) {
        TbKeeper *keeper = tb_window_keeper(closing->windows->pdata[i]);

        if (keeper != NULL && tb_keeper_would_lose(keeper))
            g_ptr_array_add(closing->unsaved, g_object_ref(closing->windows->pdata[i]));
    }
    if (closing->unsaved->len == 0)
        destroy_all(closing);
    else
        ask(closing);
}

/** Wait for what is being saved: only then is it known what would be lost. */
static void
settle(void *user, bool done)
{
    Closing *closing = user;
    TbKeeper *keeper = NULL;

    (void)done;
    while (keeper == NULL && closing->settled < closing->windows->len)
        keeper = tb_window_keeper(closing->windows->pdata[closing->settled++]);
    if (keeper != NULL)
        tb_keeper_after_saving(keeper, settle, closing);
    else
        run(closing);
}

void
tb_close_window(TbWindow *window)
{
    Closing *closing = new_closing();

    if (add(closing, window))
        settle(closing, true);
    else
        end(closing);
}

void
tb_close_all(TbApplication *application)
{
    Closing *closing = new_closing();
    GList *windows = gtk_application_get_windows(GTK_APPLICATION(application));

    for (; windows != NULL; windows = windows->next)
        if (TB_IS_WINDOW(windows->data) && !add(closing, windows->data)) {
            gtk_window_present(windows->data);
            end(closing);
            return;
        }
    settle(closing, true);
}
