/* SPDX-License-Identifier: GPL-3.0-or-later */

/* The pack as a file. */

#include "app/pack_window_private.h"

#include <glib/gi18n.h>

/* "van-c review pack.pdf" */
static char *
usual_name(TbPackWindow *window)
{
    GFile *file = tb_session_file(window->session);
    g_autofree char *name = file == NULL ? g_strdup(_("bay")) : g_file_get_basename(file);

    if (g_str_has_suffix(name, ".bay"))
        name[strlen(name) - strlen(".bay")] = '\0';
    /* Translators: a file's name; %s is that of the bay */
    return g_strdup_printf(_("%s review pack.pdf"), name);
}

static char *
path_of(GtkFileChooser *chooser)
{
    g_autoptr(GFile) file = gtk_file_chooser_get_file(chooser);
    g_autofree char *path = file == NULL ? NULL : g_file_get_path(file);
    g_autofree char *small = path == NULL ? NULL : g_ascii_strdown(path, -1);

    return small == NULL || g_str_has_suffix(small, ".pdf") ? g_steal_pointer(&path)
                                                            : g_strconcat(path, ".pdf", NULL);
}

static void
answered(GtkNativeDialog *dialog, int response, TbPackWindow *window)
{
    g_autofree char *path = NULL;

    if (response == GTK_RESPONSE_ACCEPT) {
        path = path_of(GTK_FILE_CHOOSER(dialog));
        if (path == NULL) {
            tb_pack_window__complain(
                window, _("That place is not on this computer, so nothing was written."));
        } else {
            tb_pack_window__complain(window, NULL);
            tb_pack_window__plan_now(window);
            window->work = TB_PACK_EXPORTS;
            tb_pack_job_write(window->job, path, tb_pack_choices_theme(window->settings));
            tb_pack_window__update(window);
        }
    }
    gtk_native_dialog_destroy(dialog);
}

void
tb_pack_out__export(TbPackWindow *window)
{
    g_autoptr(GtkFileChooserNative) dialog =
        gtk_file_chooser_native_new(_("Export the Review Pack"), GTK_WINDOW(window),
                                    GTK_FILE_CHOOSER_ACTION_SAVE, _("_Export"), _("_Cancel"));
    g_autoptr(GtkFileFilter) filter = gtk_file_filter_new();
    g_autofree char *name = usual_name(window);
    g_autofree char *folder = tb_session_folder(window->session);
    g_autoptr(GFile) place = folder == NULL ? NULL : g_file_new_for_path(folder);

    gtk_file_filter_set_name(filter, "PDF");
    gtk_file_filter_add_pattern(filter, "*.pdf");
    gtk_file_chooser_add_filter(GTK_FILE_CHOOSER(dialog), filter);
    if (place != NULL)
        gtk_file_chooser_set_current_folder(GTK_FILE_CHOOSER(dialog), place, NULL);
    gtk_file_chooser_set_current_name(GTK_FILE_CHOOSER(dialog), name);
    /* it lives as long as the window, or until it is answered */
    g_signal_connect_object(dialog, "response", G_CALLBACK(answered), window, 0);
    g_object_set_data_full(G_OBJECT(window), "tb-chooser", g_object_ref(dialog), g_object_unref);
    gtk_native_dialog_show(GTK_NATIVE_DIALOG(dialog));
}

void
tb_pack_out__written(TbPackWindow *window, const char *path, const TbFault *fault)
{
    g_autofree char *said = NULL;

    window->work = TB_PACK_IDLE;
    if (fault->status == TB_OK)
        said = g_strdup_printf(_("Exported %s"), path);
    else if (fault->status == TB_E_CANCELLED)
        said = g_strdup(_("Given up: nothing was written"));
    else
        tb_pack_window__complain(window, fault->text);
    tb_pack_window__say(window, said == NULL ? "" : said);
    tb_pack_window__update(window);
}
