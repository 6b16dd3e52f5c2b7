/* SPDX-License-Identifier: GPL-3.0-or-later */

/* What the pack is compared with: an earlier bay, which may be chosen, read anew and left out. */

#include "app/pack_window_private.h"

#include "app/files.h"
#include "app/recent.h"

#include <glib/gi18n.h>

void
tb_pack_earlier__update(TbPackWindow *window)
{
    g_autofree char *name =
        window->earlier == NULL ? g_strdup(_("Choose…")) : g_path_get_basename(window->earlier);

    gtk_label_set_text(window->earlier_label, name);
    gtk_widget_set_tooltip_text(GTK_WIDGET(window->earlier_button),
                                window->earlier == NULL
                                    ? _("An earlier bay: the pack tells what changed since then")
                                    : window->earlier);
    gtk_widget_set_visible(GTK_WIDGET(window->no_earlier_button), window->earlier != NULL);
}

static void
set_earlier(TbPackWindow *window, TbBay *against, const char *path)
{
    tb_bay_unref(window->against);
    window->against = against;
    g_free(window->earlier);
    window->earlier = g_strdup(path);
    tb_pack_choices_keep_earlier(window->settings, window->session, path);
    tb_pack_window__plan(window, 0);
}

static void
earlier_read(GObject *object, GAsyncResult *result, void *data)
{
    g_autoptr(GError) error = NULL;
    TbBay *bay = tb_file_load_finish(TB_FILE(object), result, &error);
    TbPackWindow *window = data;
    g_autofree char *path = NULL;

    /* the window has gone, or another file was chosen meanwhile */
    if (g_error_matches(error, G_IO_ERROR, G_IO_ERROR_CANCELLED))
        return;
    path = g_file_get_path(tb_file_place(TB_FILE(object)));
    if (bay != NULL) {
        set_earlier(window, bay, path);
    } else {
        tb_pack_window__complain(window, error->message);
        if (window->bay == NULL)
            tb_pack_window__plan(window, 0);
    }
    g_clear_object(&window->reading);
}

void
tb_pack_earlier__stop(TbPackWindow *window)
{
    if (window->cancel != NULL)
        g_cancellable_cancel(window->cancel);
    g_clear_object(&window->cancel);
    g_clear_object(&window->reading);
}

void
tb_pack_window_compare(TbPackWindow *window, GFile *file)
{
    tb_pack_earlier__stop(window);
    tb_pack_window__complain(window, NULL);
    if (file == NULL) {
        set_earlier(window, NULL, NULL);
        return;
    }
    window->cancel = g_cancellable_new();
    window->reading = tb_file_new(file);
    tb_file_load_async(window->reading, window->cancel, earlier_read, window);
}

static void
earlier_chosen(GtkNativeDialog *dialog, int response, TbPackWindow *window)
{
    g_autoptr(GFile) file = response == GTK_RESPONSE_ACCEPT
                                ? gtk_file_chooser_get_file(GTK_FILE_CHOOSER(dialog))
                                : NULL;

    if (file != NULL)
        tb_pack_window_compare(window, file);
    gtk_native_dialog_destroy(dialog);
}

void
tb_pack_earlier__choose(TbPackWindow *window)
{
    g_autoptr(GtkFileChooserNative) dialog =
        gtk_file_chooser_native_new(_("Compare With"), GTK_WINDOW(window),
                                    GTK_FILE_CHOOSER_ACTION_OPEN, _("_Compare"), _("_Cancel"));
    g_autofree char *folder = window->earlier != NULL ? g_path_get_dirname(window->earlier)
                                                      : tb_session_folder(window->session);
    g_autoptr(GFile) place = folder == NULL ? NULL : g_file_new_for_path(folder);

    tb_recent_add_filters(GTK_FILE_CHOOSER(dialog));
    if (place != NULL)
        gtk_file_chooser_set_current_folder(GTK_FILE_CHOOSER(dialog), place, NULL);
    g_signal_connect_object(dialog, "response", G_CALLBACK(earlier_chosen), window, 0);
    g_object_set_data_full(G_OBJECT(window), "tb-chooser", g_object_ref(dialog), g_object_unref);
    gtk_native_dialog_show(GTK_NATIVE_DIALOG(dialog));
}
