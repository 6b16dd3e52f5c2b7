/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/keeper.h"

#include "app/folders.h"
#include "app/notice.h"
#include "app/recent.h"
#include "app/scan_paths.h"

#include <glib/gi18n.h>

/* What a bar's buttons answer. */
enum { SAVE_ANYWAY = 1, SAVE_AS, TRY_AGAIN, RELOAD, KEEP_MINE };

/* Kinds of bars: one of each at a time. */
#define BAR_SAVING "saving"
#define BAR_DISK "disk"
#define BAR_COPIES "copies"

struct _TbKeeper {
    GObject parent;

    GtkWindow *window; /**< NULL once it has gone */
    GtkBox *notices;
    TbSession *session;
    TbFile *file;
    TbAutosave *autosave;
    GSettings *settings;
    GtkFileChooserNative *chooser; /**< while it is open */
    GQueue savings;                /**< of Saving, in the order asked for */
    bool writing;                  /**< the first of them */
    bool closed;
};

G_DEFINE_FINAL_TYPE(TbKeeper, tb_keeper, G_TYPE_OBJECT)

/* ---- copies for recovery ---- */

/** What is kept of the bay: an untitled one names its scans from where its copy lies. */
static TbBay *
bay_for_copy(TbKeeper *keeper)
{
    TbBay *bay = tb_session_bay(keeper->session);
    g_autofree char *from = tb_session_folder(keeper->session);
    g_autofree char *to = tb_autosave_folder();

    return tb_file_place(keeper->file) != NULL ? tb_bay_ref(bay)
                                               : tb_scan_paths_moved(bay, from, to);
}

static void
session_changed(TbKeeper *keeper, guint parts)
{
    TbBay *bay;

    if (keeper->closed || !(parts & (TB_SESSION_DOCUMENT | TB_SESSION_FILE)))
        return;
    if (!tb_keeper_would_lose(keeper)) {
        tb_autosave_clean(keeper->autosave);
        return;
    }
    bay = bay_for_copy(keeper);
    tb_autosave_changed(keeper->autosave, bay, tb_file_place(keeper->file),
                        tb_file_stamp(keeper->file));
    tb_bay_unref(bay);
}

static void
copies_in_trouble(TbKeeper *keeper, const char *sentence)
{
    g_autofree char *text = NULL;

    if (keeper->closed)
        return;
    text = g_strdup_printf(_("No copy for recovery could be written: %s"), sentence);
    tb_notice_show(keeper->notices,
                   &(TbNoticeDef){.type = GTK_MESSAGE_WARNING, .text = text, .kind = BAR_COPIES});
}

static void
settings_changed(TbKeeper *keeper)
{
    tb_autosave_set_seconds(keeper->autosave,
                            g_settings_get_uint(keeper->settings, "autosave-seconds"));
}

bool
tb_keeper_would_lose(TbKeeper *keeper)
{
    return !tb_session_is_saved(keeper->session);
}

void
tb_keeper_adopt(TbKeeper *keeper, TbRecovered *recovered)
{
    tb_file_set_stamp(keeper->file, recovered->stamp);
    tb_autosave_adopt(keeper->autosave, recovered);
}

/* ---- saving ---- */

/** One saving, from the question where to the answer. */
typedef struct Saving {
    TbKeeper *keeper;
    TbBay *bay; /**< NULL: nothing is written, only what was asked for before is waited for */
    GFile *to;  /**< NULL: where it lies */
    bool force;
    TbKeeperDone done;
    void *user;
} Saving;

static Saving *
new_saving(TbKeeper *keeper, TbBay *bay, TbKeeperDone done, void *user)
{
    Saving *saving = g_new0(Saving, 1);

    saving->keeper = g_object_ref(keeper);
    saving->bay = bay == NULL ? NULL : tb_bay_ref(bay);
    saving->done = done;
    saving->user = user;
    return saving;
}

static void
end_saving(Saving *saving, bool saved)
{
    if (saving->done != NULL)
        saving->done(saving->user, saved);
    g_clear_pointer(&saving->bay, tb_bay_unref);
    g_clear_object(&saving->to);
    g_object_unref(saving->keeper);
    g_free(saving);
}

static void start_saving(Saving *saving, GFile *to, bool force);

static void
saving_answered(void *user, int answer)
{
    TbKeeper *keeper = user;

    if (answer == SAVE_ANYWAY)
        start_saving(new_saving(keeper, tb_session_bay(keeper->session), NULL, NULL), NULL, true);
    else if (answer == TRY_AGAIN)
        tb_keeper_save(keeper, NULL, NULL);
    else
        tb_keeper_save_as(keeper, NULL, NULL);
}

static void
tell_failure(TbKeeper *keeper, const GError *error)
{
    const TbNoticeButton changed[] = {
        {_("Save _Anyway"), SAVE_ANYWAY}, {_("Save _As…"), SAVE_AS}, {0}};
    const TbNoticeButton failed[] = {{_("_Try Again"), TRY_AGAIN}, {_("Save _As…"), SAVE_AS}, {0}};
    bool overtaken = g_error_matches(error, TB_FILE_ERROR, TB_FILE_ERROR_CHANGED);
    g_autofree char *text = g_strdup_printf(_("Not saved: %s"), error->message);

    tb_notice_show(keeper->notices, &(TbNoticeDef){.type = GTK_MESSAGE_ERROR,
                                                   .text = text,
                                                   .buttons = overtaken ? changed : failed,
                                                   .kind = BAR_SAVING,
                                                   .answered = saving_answered,
                                                   .gone = g_object_unref,
                                                   .user = g_object_ref(keeper)});
}

static void
tell_success(TbKeeper *keeper, const TbBay *bay)
{
    GFile *place = tb_file_place(keeper->file);
    g_autofree char *name = g_file_get_basename(place);
    g_autofree char *text = g_strdup_printf(_("Saved %s"), name);

    tb_notice_clear(keeper->notices, BAR_SAVING);
    tb_notice_clear(keeper->notices, BAR_DISK);
    if (tb_session_file(keeper->session) == NULL ||
        !g_file_equal(place, tb_session_file(keeper->session)))
        tb_session_set_file(keeper->session, place);
    tb_session_mark_saved(keeper->session, bay);
    tb_session_tell(keeper->session, text);
    tb_recent_add(place);
}

static void write_first(TbKeeper *keeper);

static void
saved(GObject *source, GAsyncResult *result, void *user)
{
    TbKeeper *keeper = g_object_ref(user);
    Saving *saving = g_queue_pop_head(&keeper->savings);
    g_autoptr(GError) error = NULL;
    TbBay *bay = tb_file_save_finish(TB_FILE(source), result, &error);

    keeper->writing = false;
    if (!keeper->closed && bay == NULL)
        tell_failure(keeper, error);
    else if (!keeper->closed)
        tell_success(keeper, bay);
    end_saving(saving, bay != NULL);
    g_clear_pointer(&bay, tb_bay_unref);
    write_first(keeper);
    g_object_unref(keeper);
}

/** Begin the first saving in the queue. One at a time: the next has to know how the file stands
 * after this one. */
static void
write_first(TbKeeper *keeper)
{
    Saving *saving;

    g_object_ref(keeper);
    while (!keeper->writing && (saving = g_queue_peek_head(&keeper->savings)) != NULL) {
        if (saving->bay == NULL) {
            end_saving(g_queue_pop_head(&keeper->savings), true);
        } else {
            keeper->writing = true;
            tb_file_save_async(keeper->file, saving->bay, saving->to, saving->force, saved, keeper);
        }
    }
    g_object_unref(keeper);
}

/** The bay names its scans from where it goes. */
static void
take_scans_along(Saving *saving, GFile *to)
{
    TbSession *session = saving->keeper->session;
    g_autoptr(GFile) parent = g_file_get_parent(to);
    g_autofree char *from = tb_session_folder(session);
    g_autofree char *folder = parent == NULL ? NULL : g_file_get_path(parent);
    TbBay *moved = tb_scan_paths_moved(saving->bay, from, folder);

    if (moved != saving->bay) {
        tb_session_edit(session, tb_bay_ref(moved), _("name scans from the new folder"), 0);
        tb_bay_unref(saving->bay);
        saving->bay = tb_bay_ref(moved);
    }
    tb_bay_unref(moved);
}

static void
enqueue(Saving *saving)
{
    TbKeeper *keeper = saving->keeper;

    g_queue_push_tail(&keeper->savings, saving);
    write_first(keeper);
}

static void
start_saving(Saving *saving, GFile *to, bool force)
{
    if (to != NULL)
        take_scans_along(saving, to);
    g_set_object(&saving->to, to);
    saving->force = force;
    enqueue(saving);
}

void
tb_keeper_save(TbKeeper *keeper, TbKeeperDone done, void *user)
{
    if (tb_file_place(keeper->file) == NULL)
        tb_keeper_save_as(keeper, done, user);
    else
        start_saving(new_saving(keeper, tb_session_bay(keeper->session), done, user), NULL, false);
}

void
tb_keeper_after_saving(TbKeeper *keeper, TbKeeperDone done, void *user)
{
    enqueue(new_saving(keeper, NULL, done, user));
}

/* ---- where to save ---- */

static void
place_chosen(GtkNativeDialog *dialog, int response, Saving *saving)
{
    g_autoptr(GFile) place = NULL;

    if (response == GTK_RESPONSE_ACCEPT)
        place = gtk_file_chooser_get_file(GTK_FILE_CHOOSER(dialog));
    gtk_native_dialog_destroy(dialog);
    g_clear_object(&saving->keeper->chooser);
    if (place == NULL)
        end_saving(saving, false);
    else
        start_saving(saving, place, false);
}

/* A file name that the bay's title suggests. */
static char *
name_for(TbSession *session)
{
    char *name = g_strdup(tb_session_title(session));

    g_strdelimit(name, "/\\:*?\"<>|\n\t", '-');
    g_strstrip(name);
    {
        char *whole = g_strconcat(name, ".bay", NULL);

        g_free(name);
        return whole;
    }
}

void
tb_keeper_save_as(TbKeeper *keeper, TbKeeperDone done, void *user)
{
    GtkFileChooser *chooser;
    GFile *place = tb_file_place(keeper->file);
    g_autofree char *name = NULL;

    if (keeper->chooser != NULL || keeper->window == NULL) {
        if (done != NULL)
            done(user, false);
        return;
    }
    keeper->chooser = gtk_file_chooser_native_new(
        _("Save Bay"), keeper->window, GTK_FILE_CHOOSER_ACTION_SAVE, _("_Save"), _("_Cancel"));
    chooser = GTK_FILE_CHOOSER(keeper->chooser);
    tb_recent_add_filters(chooser);
    if (place != NULL) {
        gtk_file_chooser_set_file(chooser, place, NULL);
    } else {
        name = name_for(keeper->session);
        gtk_file_chooser_set_current_name(chooser, name);
    }
    g_signal_connect(keeper->chooser, "response", G_CALLBACK(place_chosen),
                     new_saving(keeper, tb_session_bay(keeper->session), done, user));
    gtk_native_dialog_show(GTK_NATIVE_DIALOG(keeper->chooser));
}

/* ---- news from the disk ---- */

static void
reload(TbKeeper *keeper)
{
    g_autoptr(GError) error = NULL;
    TbBay *bay = tb_file_load(keeper->file, NULL, &error);

    if (bay == NULL) {
        g_autofree char *text = g_strdup_printf(_("Not reloaded: %s"), error->message);

        tb_notice_show(keeper->notices,
                       &(TbNoticeDef){.type = GTK_MESSAGE_ERROR, .text = text, .kind = BAR_DISK});
        return;
    }
    /* an undo step, so that nothing of mine is lost */
    tb_session_edit(keeper->session, tb_bay_ref(bay), _("reload from disk"), 0);
    tb_session_mark_saved(keeper->session, bay);
    tb_bay_unref(bay);
}

static void
news_answered(void *user, int answer)
{
    TbKeeper *keeper = user;

    if (answer == RELOAD)
        reload(keeper);
    else if (answer == KEEP_MINE)
        tb_file_keep_mine(keeper->file);
    else
        tb_keeper_save(keeper, NULL, NULL);
}

static void
disk_news(TbKeeper *keeper, int news)
{
    const TbNoticeButton changed[] = {{_("_Reload"), RELOAD}, {_("_Keep Mine"), KEEP_MINE}, {0}};
    const TbNoticeButton gone[] = {{_("_Save"), TRY_AGAIN}, {0}};
    g_autofree char *name = g_file_get_basename(tb_file_place(keeper->file));
    g_autofree char *text = NULL;

    if (keeper->closed)
        return;
    if (news == TB_DISK_GONE)
        text = g_strdup_printf(_("%s is no longer there: it was moved or deleted"), name);
    else if (tb_keeper_would_lose(keeper))
        text = g_strdup_printf(_("%s was changed by another program. Reloading replaces your "
                                 "unsaved changes; Undo brings them back."),
                               name);
    else
        text = g_strdup_printf(_("%s was changed by another program"), name);
    tb_notice_show(keeper->notices, &(TbNoticeDef){.type = GTK_MESSAGE_WARNING,
                                                   .text = text,
                                                   .buttons = news == TB_DISK_GONE ? gone : changed,
                                                   .kind = BAR_DISK,
                                                   .answered = news_answered,
                                                   .gone = g_object_unref,
                                                   .user = g_object_ref(keeper)});
}

/* ---- the object ---- */

void
tb_keeper_close(TbKeeper *keeper)
{
    if (keeper->closed)
        return;
    keeper->closed = true;
    keeper->window = NULL;
    g_signal_handlers_disconnect_by_data(keeper->session, keeper);
    g_signal_handlers_disconnect_by_data(keeper->file, keeper);
    g_signal_handlers_disconnect_by_data(keeper->settings, keeper);
    g_signal_handlers_disconnect_by_data(keeper->autosave, keeper);
    tb_autosave_clean(keeper->autosave);
    if (keeper->chooser != NULL)
        gtk_native_dialog_hide(GTK_NATIVE_DIALOG(keeper->chooser));
}

static void
dispose(GObject *object)
{
    tb_keeper_close(TB_KEEPER(object));
    G_OBJECT_CLASS(tb_keeper_parent_class)->dispose(object);
}

static void
finalize(GObject *object)
{
    TbKeeper *keeper = TB_KEEPER(object);

    g_clear_object(&keeper->chooser);
    g_object_unref(keeper->autosave);
    g_object_unref(keeper->file);
    g_object_unref(keeper->session);
    g_object_unref(keeper->settings);
    G_OBJECT_CLASS(tb_keeper_parent_class)->finalize(object);
}

static void
tb_keeper_class_init(TbKeeperClass *klass)
{
    G_OBJECT_CLASS(klass)->dispose = dispose;
    G_OBJECT_CLASS(klass)->finalize = finalize;
}

static void
tb_keeper_init(TbKeeper *keeper)
{
    g_autofree char *folder = tb_autosave_folder();

    keeper->settings = tb_folders_settings();
    keeper->autosave =
        tb_autosave_new(folder, g_settings_get_uint(keeper->settings, "autosave-seconds"));
}

TbKeeper *
tb_keeper_new(GtkWindow *window, GtkBox *notices, TbSession *session, TbFile *file)
{
    TbKeeper *keeper = g_object_new(TB_TYPE_KEEPER, NULL);

    keeper->window = window;
    keeper->notices = notices;
    keeper->session = g_object_ref(session);
    keeper->file = file != NULL ? g_object_ref(file) : tb_file_new(NULL);
    g_signal_connect_swapped(session, "changed", G_CALLBACK(session_changed), keeper);
    g_signal_connect_swapped(keeper->file, "disk-news", G_CALLBACK(disk_news), keeper);
    g_signal_connect_swapped(keeper->autosave, "trouble", G_CALLBACK(copies_in_trouble), keeper);
    g_signal_connect_swapped(keeper->settings, "changed::autosave-seconds",
                             G_CALLBACK(settings_changed), keeper);
    return keeper;
}
