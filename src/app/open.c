/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/open.h"

#include "app/disk_mark.h"
#include "app/folders.h"
#include "app/notice.h"
#include "app/recent.h"
#include "app/window.h"
#include "bay/preset.h"
#include "bay/read.h"

#include <glib/gi18n.h>

/* ---- windows ---- */

/** The window that has a file, or NULL. */
static TbWindow *
window_with(TbApplication *application, GFile *file)
{
    GList *windows = gtk_application_get_windows(GTK_APPLICATION(application));

    for (; windows != NULL; windows = windows->next) {
        TbSession *session = TB_IS_WINDOW(windows->data) ? tb_window_session(windows->data) : NULL;
        GFile *has = session != NULL ? tb_session_file(session) : NULL;

        if (has != NULL && tb_disk_is_same(has, file))
            return windows->data;
    }
    return NULL;
}

/** The newest window that is in use, or NULL. */
static TbWindow *
window_in_front(TbApplication *application)
{
    GList *windows = gtk_application_get_windows(GTK_APPLICATION(application));

    for (; windows != NULL; windows = windows->next)
        if (TB_IS_WINDOW(windows->data))
            return windows->data;
    return NULL;
}

/** A window without a bay: one on its welcome page, or a new one. */
static TbWindow *
empty_window(TbApplication *application)
{
    GList *windows = gtk_application_get_windows(GTK_APPLICATION(application));

    for (; windows != NULL; windows = windows->next)
        if (TB_IS_WINDOW(windows->data) && tb_window_session(windows->data) == NULL)
            return windows->data;
    return tb_window_new(application);
}

/** Say in the window in front what went wrong. */
static void
complain(TbApplication *application, const char *sentence)
{
    TbWindow *window = window_in_front(application);

    if (window == NULL)
        window = tb_window_new(application);
    tb_notice_show(tb_window_notices(window),
                   &(TbNoticeDef){.type = GTK_MESSAGE_ERROR, .text = sentence});
    gtk_window_present(GTK_WINDOW(window));
}

/* ---- files ---- */

void
tb_open_file(TbApplication *application, GFile *place)
{
    TbWindow *window = window_with(application, place);
    g_autoptr(GError) error = NULL;
    g_autoptr(TbFile) file = NULL;
    g_autofree char *text = NULL;
    TbBay *bay;

    if (window != NULL) {
        gtk_window_present(GTK_WINDOW(window));
        return;
    }
    file = tb_file_new(place);
    bay = tb_file_load(file, NULL, &error);
    if (bay == NULL) {
        text = g_strdup_printf(_("Not opened: %s"), error->message);
        complain(application, text);
        return;
    }
    window = empty_window(application);
    tb_window_show_bay(window, bay, file);
    tb_bay_unref(bay);
    tb_recent_add(place);
    gtk_window_present(GTK_WINDOW(window));
}

static void
files_chosen(GtkNativeDialog *dialog, int response, TbApplication *application)
{
    g_autoptr(GListModel) files = NULL;

    if (response == GTK_RESPONSE_ACCEPT)
        files = gtk_file_chooser_get_files(GTK_FILE_CHOOSER(dialog));
    gtk_native_dialog_destroy(dialog);
    for (guint i = 0; files != NULL && i < g_list_model_get_n_items(files); i++) {
        g_autoptr(GFile) file = g_list_model_get_item(files, i);

        tb_open_file(application, file);
    }
    g_object_unref(dialog);
}

void
tb_open_chooser(TbApplication *application, GtkWindow *parent)
{
    GtkFileChooserNative *chooser = gtk_file_chooser_native_new(
        _("Open Bay"), parent, GTK_FILE_CHOOSER_ACTION_OPEN, _("_Open"), _("_Cancel"));

    gtk_file_chooser_set_select_multiple(GTK_FILE_CHOOSER(chooser), TRUE);
    tb_recent_add_filters(GTK_FILE_CHOOSER(chooser));
    g_signal_connect(chooser, "response", G_CALLBACK(files_chosen), application);
    gtk_native_dialog_show(GTK_NATIVE_DIALOG(chooser));
}

/* ---- untitled bays ---- */

/** Show a bay that has no file; nothing is lost when it goes as it came. Takes the bay. */
static void
show_untitled(TbApplication *application, TbBay *bay, const char *folder)
{
    TbWindow *window = empty_window(application);

    tb_window_show_bay(window, bay, NULL);
    tb_session_set_folder(tb_window_session(window), folder);
    tb_session_mark_saved(tb_window_session(window), bay);
    tb_bay_unref(bay);
    gtk_window_present(GTK_WINDOW(window));
}

void
tb_open_example(TbApplication *application, const char *name)
{
    g_autofree char *folder = tb_folders_examples();
    g_autofree char *path = folder == NULL ? NULL : g_build_filename(folder, name, NULL);
    g_autofree char *text = NULL;
    TbFault fault = {0};
    TbBay *bay = NULL;

    if (path == NULL) {
        complain(application, _("The examples are not installed"));
    } else if (tb_bay_read_file(path, &bay, &fault) != TB_OK) {
        text = g_strdup_printf(_("Not opened: %s: %s"), path, fault.text);
        complain(application, text);
    } else {
        show_untitled(application, bay, folder);
    }
}

void
tb_open_new(TbApplication *application)
{
    TbFault fault = {0};
    TbBay *bay = NULL;

    if (tb_bay_new_kit(_("New bay"), TB_KIT_TRANSVERSE, &bay, &fault) == TB_OK)
        show_untitled(application, bay, NULL);
    else
        complain(application, fault.text);
}

void
tb_open_recovered(TbApplication *application, TbBay *bay, GFile *place, TbRecovered *recovered)
{
    TbWindow *window = empty_window(application);
    g_autoptr(TbFile) file = tb_file_new(place);
    g_autofree char *folder = g_path_get_dirname(recovered->path);

    /* the file has what was saved, not this: it is shown as changed */
    tb_window_show_bay(window, bay, file);
    tb_session_set_folder(tb_window_session(window), folder);
    tb_session_mark_saved(tb_window_session(window), NULL);
    tb_keeper_adopt(tb_window_keeper(window), recovered);
    gtk_window_present(GTK_WINDOW(window));
}
