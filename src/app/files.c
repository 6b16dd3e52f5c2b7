/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/files.h"

#include "app/disk_mark.h"
#include "base/save.h"
#include "bay/read.h"
#include "bay/write.h"

#include <glib/gi18n.h>
#include <limits.h>
#include <stdlib.h>

/** News from the disk come in showers (written, closed, renamed): look once they have passed. */
#define SETTLE_MS 150

struct _TbFile {
    GObject parent;
    GFile *place;
    TbDiskMark known; /**< as we last read or wrote it */
    TbDiskMark told;  /**< as we last told of it */
    GFileMonitor *monitor;
    guint settle;    /**< timer after news */
    unsigned saving; /**< saves under way: news are most likely ours */
    bool looking;    /**< a thread looks at the disk */
};

G_DEFINE_FINAL_TYPE(TbFile, tb_file, G_TYPE_OBJECT)
G_DEFINE_QUARK(tb - file - error - quark, tb_file_error)

enum { DISK_NEWS, SIGNALS };
static guint signals[SIGNALS];

static void watch(TbFile *file);

/* ---- reading ---- */

/** A reading under way; lives on its thread until it is done. */
typedef struct Load {
    GFile *place;
    TbDiskMark mark;
    TbBay *bay;
} Load;

static void
free_load(void *data)
{
    Load *load = data;

    g_clear_object(&load->place);
    tb_disk_mark_clear(&load->mark);
    tb_bay_unref(load->bay);
    g_free(load);
}

static bool
run_load(Load *load, GCancellable *cancel, GError **error)
{
    char *name = g_file_get_parse_name(load->place);
    GByteArray *bytes;
    TbFault fault = {0};
    TbStatus status;

    /* the mark first: what changes after it will be noticed */
    load->mark.stamp = tb_disk_stamp(load->place);
    bytes = tb_disk_bytes(load->place, cancel, error);
    if (bytes == NULL) {
        g_free(name);
        return false;
    }
    if (bytes->len > TB_BAY_SIZE_LIMIT)
        status = tb_fail(&fault, TB_E_LIMIT, "it is larger than %zu bytes", TB_BAY_SIZE_LIMIT);
    else
        status = tb_bay_read_bytes((const char *)bytes->data, bytes->len, &load->bay, &fault);
    tb_disk_mark_sum(&load->mark, bytes->data, bytes->len);
    if (status != TB_OK)
        tb_set_error(error, &fault, name);
    g_byte_array_unref(bytes);
    g_free(name);
    return status == TB_OK;
}

/** The document and its mark become the file's. */
static TbBay *
take_load(TbFile *file, Load *load)
{
    tb_disk_mark_copy(&file->known, &load->mark);
    tb_disk_mark_copy(&file->told, &load->mark);
    watch(file);
    return g_steal_pointer(&load->bay);
}

TbBay *
tb_file_load(TbFile *file, GCancellable *cancel, GError **error)
{
    Load *load;
    TbBay *bay = NULL;

    g_return_val_if_fail(file->place != NULL, NULL);
    load = g_new0(Load, 1);
    load->place = g_object_ref(file->place);
    if (run_load(load, cancel, error))
        bay = take_load(file, load);
    free_load(load);
    return bay;
}

static void
load_on_thread(GTask *task, void *source, void *data, GCancellable *cancel)
{
    GError *error = NULL;

    (void)source;
    if (run_load(data, cancel, &error))
        g_task_return_boolean(task, TRUE);
    else
        g_task_return_error(task, error);
}

void
tb_file_load_async(TbFile *file, GCancellable *cancel, GAsyncReadyCallback done, void *user)
{
    GTask *task = g_task_new(file, cancel, done, user);
    Load *load = g_new0(Load, 1);

    load->place = g_object_ref(file->place);
    g_task_set_task_data(task, load, free_load);
    g_task_run_in_thread(task, load_on_thread);
    g_object_unref(task);
}

TbBay *
tb_file_load_finish(TbFile *file, GAsyncResult *result, GError **error)
{
    if (!g_task_propagate_boolean(G_TASK(result), error))
        return NULL;
    return take_load(file, g_task_get_task_data(G_TASK(result)));
}

/* ---- saving ---- */

/** A saving under way. */
typedef struct Save {
    GFile *place;
    TbDiskMark before; /**< how the file must stand, unless forced */
    bool checks;       /**< whether it must */
    TbDiskMark after;
    TbBay *bay;
} Save;

static void
free_save(void *data)
{
    Save *save = data;

    g_clear_object(&save->place);
    tb_disk_mark_clear(&save->before);
    tb_disk_mark_clear(&save->after);
    tb_bay_unref(save->bay);
    g_free(save);
}

/** Where there is no path: the same promise by GIO's own means. */
static bool
replace_remote(GFile *place, const GString *text, GError **error)
{
    GFileOutputStream *out = g_file_replace(place, NULL, FALSE, G_FILE_CREATE_NONE, NULL, error);
    bool done;

    if (out == NULL)
        return false;
    done = g_output_stream_write_all(G_OUTPUT_STREAM(out), text->str, text->len, NULL, NULL, error);
    if (done) {
        done = g_output_stream_close(G_OUTPUT_STREAM(out), NULL, error);
    } else {
        /* closing is what puts the file in place: a cancelled close takes the new one away */
        GCancellable *cancel = g_cancellable_new();

        g_cancellable_cancel(cancel);
        g_output_stream_close(G_OUTPUT_STREAM(out), cancel, NULL);
        g_object_unref(cancel);
    }
    g_object_unref(out);
    return done;
}

static bool
write_text(GFile *place, const GString *text, GError **error)
{
    const char *path = g_file_peek_path(place);
    TbFault fault = {0};

    if (path == NULL)
        return replace_remote(place, text, error);
    if (tb_save_bytes(path, text->str, text->len, &fault) == TB_OK)
        return true;
    g_set_error_literal(error, TB_ERROR, (int)fault.status, fault.text);
    return false;
}

static bool
run_save(Save *save, GError **error)
{
    GString *text;
    bool done;

    if (save->checks) {
        TbDiskMark now = {0};
        bool same;

        tb_disk_mark_look(&now, save->place);
        /* gone is no reason to refuse: there is nothing to lose */
        same = now.stamp == NULL || tb_disk_mark_is_alike(&save->before, &now);
        tb_disk_mark_clear(&now);
        if (!same) {
            char *name = g_file_get_parse_name(save->place);

            g_set_error(error, TB_FILE_ERROR, TB_FILE_ERROR_CHANGED,
                        _("%s was changed by another program since it was opened"), name);
            g_free(name);
            return false;
        }
    }
    text = tb_bay_to_text(save->bay);
    done = write_text(save->place, text, error);
    if (done) {
        save->after.stamp = tb_disk_stamp(save->place);
        tb_disk_mark_sum(&save->after, text->str, text->len);
    }
    g_string_free(text, TRUE);
    return done;
}

static Save *
new_save(TbFile *file, TbBay *bay, GFile *to, bool force)
{
    Save *save = g_new0(Save, 1);

    save->place = g_object_ref(to != NULL ? to : file->place);
    save->bay = tb_bay_ref(bay);
    save->checks = !force && file->place != NULL && g_file_equal(save->place, file->place);
    tb_disk_mark_copy(&save->before, &file->known);
    return save;
}

static void
take_save(TbFile *file, Save *save)
{
    g_set_object(&file->place, save->place);
    tb_disk_mark_copy(&file->known, &save->after);
    tb_disk_mark_copy(&file->told, &save->after);
    watch(file);
}

static void
save_on_thread(GTask *task, void *source, void *data, GCancellable *cancel)
{
    GError *error = NULL;

    (void)source;
    (void)cancel;
    if (run_save(data, &error))
        g_task_return_boolean(task, TRUE);
    else
        g_task_return_error(task, error);
}

void
tb_file_save_async(
    TbFile *file, TbBay *bay, GFile *to, bool force, GAsyncReadyCallback done, void *user)
{
    GTask *task = g_task_new(file, NULL, done, user);

    g_return_if_fail(to != NULL || file->place != NULL);
    file->saving++;
    g_task_set_task_data(task, new_save(file, bay, to, force), free_save);
    g_task_run_in_thread(task, save_on_thread);
    g_object_unref(task);
}

TbBay *
tb_file_save_finish(TbFile *file, GAsyncResult *result, GError **error)
{
    Save *save = g_task_get_task_data(G_TASK(result));

    file->saving--;
    if (!g_task_propagate_boolean(G_TASK(result), error))
        return NULL;
    take_save(file, save);
    return tb_bay_ref(save->bay);
}

bool
tb_file_save(TbFile *file, TbBay *bay, GFile *to, bool force, GError **error)
{
    Save *save;
    bool done;

    g_return_val_if_fail(to != NULL || file->place != NULL, false);
    save = new_save(file, bay, to, force);
    done = run_save(save, error);
    if (done)
        take_save(file, save);
    free_save(save);
    return done;
}

/* ---- watching ---- */

/** A look at the disk on a thread. */
typedef struct Look {
    GFile *place;
    TbDiskMark mark;
} Look;

static void
free_look(void *data)
{
    Look *look_at = data;

    g_object_unref(look_at->place);
    tb_disk_mark_clear(&look_at->mark);
    g_free(look_at);
}

static void
look_on_thread(GTask *task, void *source, void *data, GCancellable *cancel)
{
    Look *at = data;

    (void)source;
    (void)cancel;
    tb_disk_mark_look(&at->mark, at->place);
    g_task_return_boolean(task, TRUE);
}

static void
looked(GObject *source, GAsyncResult *result, void *user)
{
    TbFile *file = TB_FILE(source);
    Look *at = g_task_get_task_data(G_TASK(result));

    (void)user;
    file->looking = false;
    /* saved meanwhile, or elsewhere: what was seen is old */
    if (file->saving > 0 || file->place == NULL || !g_file_equal(file->place, at->place))
        return;
    if (tb_disk_mark_is_alike(&file->known, &at->mark)) {
        tb_disk_mark_copy(&file->known, &at->mark);
        tb_disk_mark_copy(&file->told, &at->mark);
        return;
    }
    if (tb_disk_mark_is_alike(&file->told, &at->mark))
        return;
    tb_disk_mark_copy(&file->told, &at->mark);
    g_signal_emit(file, signals[DISK_NEWS], 0,
                  at->mark.stamp == NULL ? TB_DISK_GONE : TB_DISK_CHANGED);
}

static gboolean
settled(void *data)
{
    TbFile *file = data;
    GTask *task;
    Look *at;

    if (file->saving > 0 || file->looking)
        return G_SOURCE_CONTINUE;
    file->settle = 0;
    file->looking = true;
    at = g_new0(Look, 1);
    at->place = g_object_ref(file->place);
    task = g_task_new(file, NULL, looked, NULL);
    g_task_set_task_data(task, at, free_look);
    g_task_run_in_thread(task, look_on_thread);
    g_object_unref(task);
    return G_SOURCE_REMOVE;
}

static void
on_monitor(TbFile *file)
{
    if (file->settle == 0)
        file->settle = g_timeout_add(SETTLE_MS, settled, file);
}

/** The file that a link leads to, or the place itself. */
static GFile *
target(GFile *place)
{
    const char *path = g_file_peek_path(place);
    char room[PATH_MAX];

    return path != NULL && realpath(path, room) != NULL ? g_file_new_for_path(room)
                                                        : g_object_ref(place);
}

static void
stop_watching(TbFile *file)
{
    g_clear_handle_id(&file->settle, g_source_remove);
    if (file->monitor != NULL) {
        g_signal_handlers_disconnect_by_data(file->monitor, file);
        g_file_monitor_cancel(file->monitor);
        g_clear_object(&file->monitor);
    }
}

static void
watch(TbFile *file)
{
    GFile *at = target(file->place);

    stop_watching(file);
    /* where nothing can be watched, saving still looks */
    file->monitor = g_file_monitor_file(at, G_FILE_MONITOR_WATCH_MOVES, NULL, NULL);
    if (file->monitor != NULL)
        g_signal_connect_swapped(file->monitor, "changed", G_CALLBACK(on_monitor), file);
    g_object_unref(at);
}

void
tb_file_keep_mine(TbFile *file)
{
    tb_disk_mark_copy(&file->known, &file->told);
}

/* ---- the object ---- */

static void
dispose(GObject *object)
{
    stop_watching(TB_FILE(object));
    G_OBJECT_CLASS(tb_file_parent_class)->dispose(object);
}

static void
finalize(GObject *object)
{
    TbFile *file = TB_FILE(object);

    g_clear_object(&file->place);
    tb_disk_mark_clear(&file->known);
    tb_disk_mark_clear(&file->told);
    G_OBJECT_CLASS(tb_file_parent_class)->finalize(object);
}

static void
tb_file_class_init(TbFileClass *klass)
{
    GObjectClass *object_class = G_OBJECT_CLASS(klass);

    object_class->dispose = dispose;
    object_class->finalize = finalize;
    signals[DISK_NEWS] = g_signal_new("disk-news", TB_TYPE_FILE, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                      NULL, G_TYPE_NONE, 1, G_TYPE_INT);
}

static void
tb_file_init(TbFile *file)
{
    (void)file;
}

TbFile *
tb_file_new(GFile *place)
{
    TbFile *file = g_object_new(TB_TYPE_FILE, NULL);

    if (place != NULL)
        file->place = g_object_ref(place);
    return file;
}

GFile *
tb_file_place(TbFile *file)
{
    return file->place;
}

const char *
tb_file_stamp(TbFile *file)
{
    return file->known.stamp;
}

void
tb_file_set_stamp(TbFile *file, const char *stamp)
{
    tb_disk_mark_clear(&file->known);
    file->known.stamp = g_strdup(stamp);
    tb_disk_mark_copy(&file->told, &file->known);
    if (file->place != NULL)
        watch(file);
}
