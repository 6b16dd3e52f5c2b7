/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/autosave.h"

#include "app/recovered_private.h"
#include "base/save.h"

#include <errno.h>
#include <sys/stat.h>
#include <unistd.h>

struct _TbAutosave {
    GObject parent;
    char *folder;
    unsigned seconds;
    char *path; /**< of the copy; NULL before there is one */
    int lock;
    guint timer;
    TbBay *bay; /**< what waits to be written, or NULL */
    char *uri, *stamp;
    bool in_trouble; /**< and it was told */
    bool writing;    /**< a thread is at it */

    GMutex at_disk;     /**< held while the copy is written or removed */
    unsigned clean_age; /**< how often it was cleaned: a job of before must not write any more */
};

G_DEFINE_FINAL_TYPE(TbAutosave, tb_autosave, G_TYPE_OBJECT)

enum { TROUBLE, SIGNALS };
static guint signals[SIGNALS];

/** One writing; its thread touches nothing else of the object but the mutex and the age. */
typedef struct Job {
    TbBay *bay;
    char *uri, *stamp, *path;
    unsigned age;
    TbFault fault;
} Job;

static void
free_job(void *data)
{
    Job *job = data;

    tb_bay_unref(job->bay);
    g_free(job->uri);
    g_free(job->stamp);
    g_free(job->path);
    g_free(job);
}

static bool
run_job(TbAutosave *autosave, Job *job)
{
    TbRecoveredHead head = {.uri = job->uri,
                            .stamp = job->stamp,
                            .title = job->bay->head->title,
                            .time = g_get_real_time() / G_USEC_PER_SEC};
    GString *text = tb_recovered__text(job->bay, &head);
    TbStatus status = TB_OK;

    g_mutex_lock(&autosave->at_disk);
    if (job->age == autosave->clean_age)
        status = tb_save_bytes(job->path, text->str, text->len, &job->fault);
    g_mutex_unlock(&autosave->at_disk);
    g_string_free(text, TRUE);
    return status == TB_OK;
}

/** The folder and the lock of this object's copy; false with the reason. */
static bool
have_a_place(TbAutosave *autosave, TbFault *fault)
{
    char *uuid, *name;

    if (autosave->path != NULL)
        return true;
    if (g_mkdir_with_parents(autosave->folder, 0700) != 0) {
        tb_fail(fault, TB_E_IO, "%s cannot be made: %s", autosave->folder, strerrordesc_np(errno));
        return false;
    }
    uuid = g_uuid_string_random();
    name = g_strconcat(uuid, ".bay", NULL);
    autosave->path = g_build_filename(autosave->folder, name, NULL);
    g_free(name);
    g_free(uuid);
    autosave->lock = tb_recovered__lock(autosave->path, true);
    if (autosave->lock < 0) {
        tb_fail(fault, TB_E_IO, "nothing can be kept in %s: %s", autosave->folder,
                strerrordesc_np(errno));
        g_clear_pointer(&autosave->path, g_free);
        return false;
    }
    return true;
}

static void
tell(TbAutosave *autosave, const TbFault *fault)
{
    if (!autosave->in_trouble) {
        autosave->in_trouble = true;
        g_signal_emit(autosave, signals[TROUBLE], 0, fault->text);
    }
}

/** What waits becomes a job; NULL when nothing waits or there is no place for it. */
static Job *
next_job(TbAutosave *autosave)
{
    TbFault fault = {0};
    Job *job;

    if (autosave->bay == NULL)
        return NULL;
    if (!have_a_place(autosave, &fault)) {
        tell(autosave, &fault);
        return NULL;
    }
    job = g_new0(Job, 1);
    job->bay = g_steal_pointer(&autosave->bay);
    job->uri = g_strdup(autosave->uri);
    job->stamp = g_strdup(autosave->stamp);
    job->path = g_strdup(autosave->path);
    job->age = autosave->clean_age;
    return job;
}

static void
finished(TbAutosave *autosave, Job *job, bool done)
{
    if (done) {
        autosave->in_trouble = false;
        return;
    }
    /* what could not be written waits again, unless there is newer, or it is saved */
    if (autosave->bay == NULL && job->age == autosave->clean_age)
        autosave->bay = tb_bay_ref(job->bay);
    tell(autosave, &job->fault);
}

static gboolean due(void *data);

static void
start_timer(TbAutosave *autosave)
{
    if (autosave->timer == 0)
        autosave->timer = g_timeout_add_seconds(autosave->seconds, due, autosave);
}

static void
written(GObject *source, GAsyncResult *result, void *user)
{
    TbAutosave *autosave = TB_AUTOSAVE(source);
    bool done = g_task_propagate_boolean(G_TASK(result), NULL);

    (void)user;
    autosave->writing = false;
    finished(autosave, g_task_get_task_data(G_TASK(result)), done);
    if (autosave->bay != NULL)
        start_timer(autosave);
}

static void
write_on_thread(GTask *task, void *source, void *data, GCancellable *cancel)
{
    (void)cancel;
    g_task_return_boolean(task, run_job(TB_AUTOSAVE(source), data));
}

static gboolean
due(void *data)
{
    TbAutosave *autosave = data;
    Job *job;
    GTask *task;

    autosave->timer = 0;
    if (autosave->writing) {
        start_timer(autosave);
        return G_SOURCE_REMOVE;
    }
    job = next_job(autosave);
    if (job == NULL) {
        if (autosave->bay != NULL)
            start_timer(autosave);
        return G_SOURCE_REMOVE;
    }
    autosave->writing = true;
    task = g_task_new(autosave, NULL, written, NULL);
    g_task_set_task_data(task, job, free_job);
    g_task_run_in_thread(task, write_on_thread);
    g_object_unref(task);
    return G_SOURCE_REMOVE;
}

void
tb_autosave_changed(TbAutosave *autosave, TbBay *bay, GFile *file, const char *stamp)
{
    char *uri = file != NULL ? g_file_get_uri(file) : NULL;
    char *kept = g_strdup(stamp);

    tb_bay_ref(bay);
    tb_bay_unref(autosave->bay);
    autosave->bay = bay;
    g_free(autosave->uri);
    autosave->uri = uri;
    g_free(autosave->stamp);
    autosave->stamp = kept;
    start_timer(autosave);
}

void
tb_autosave_flush(TbAutosave *autosave)
{
    Job *job = next_job(autosave);

    if (job == NULL)
        return;
    g_clear_handle_id(&autosave->timer, g_source_remove);
    finished(autosave, job, run_job(autosave, job));
    if (autosave->bay != NULL)
        start_timer(autosave);
    free_job(job);
}

void
tb_autosave_clean(TbAutosave *autosave)
{
    g_clear_handle_id(&autosave->timer, g_source_remove);
    g_clear_pointer(&autosave->bay, tb_bay_unref);
    g_mutex_lock(&autosave->at_disk);
    autosave->clean_age++;
    if (autosave->path != NULL)
        tb_recovered__remove(autosave->path);
    g_mutex_unlock(&autosave->at_disk);
    g_clear_pointer(&autosave->path, g_free);
    if (autosave->lock >= 0)
        close(autosave->lock);
    autosave->lock = -1;
}

void
tb_autosave_adopt(TbAutosave *autosave, TbRecovered *recovered)
{
    tb_autosave_clean(autosave);
    autosave->path = g_steal_pointer(&recovered->path);
    autosave->lock = recovered->lock;
    recovered->lock = -1;
    tb_recovered_free(recovered);
}

void
tb_autosave_set_seconds(TbAutosave *autosave, unsigned seconds)
{
    bool runs = autosave->timer != 0;

    if (autosave->seconds == seconds)
        return;
    autosave->seconds = seconds;
    if (runs) {
        g_clear_handle_id(&autosave->timer, g_source_remove);
        start_timer(autosave);
    }
}

/* ---- the object ---- */

static void
dispose(GObject *object)
{
    tb_autosave_clean(TB_AUTOSAVE(object));
    G_OBJECT_CLASS(tb_autosave_parent_class)->dispose(object);
}

static void
finalize(GObject *object)
{
    TbAutosave *autosave = TB_AUTOSAVE(object);

    g_free(autosave->folder);
    g_free(autosave->uri);
    g_free(autosave->stamp);
    g_mutex_clear(&autosave->at_disk);
    G_OBJECT_CLASS(tb_autosave_parent_class)->finalize(object);
}

static void
tb_autosave_class_init(TbAutosaveClass *klass)
{
    GObjectClass *object_class = G_OBJECT_CLASS(klass);

    object_class->dispose = dispose;
    object_class->finalize = finalize;
    signals[TROUBLE] = g_signal_new("trouble", TB_TYPE_AUTOSAVE, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                    NULL, G_TYPE_NONE, 1, G_TYPE_STRING);
}

static void
tb_autosave_init(TbAutosave *autosave)
{
    g_mutex_init(&autosave->at_disk);
    autosave->lock = -1;
}

TbAutosave *
tb_autosave_new(const char *folder, unsigned seconds)
{
    TbAutosave *autosave = g_object_new(TB_TYPE_AUTOSAVE, NULL);

    autosave->folder = g_strdup(folder);
    autosave->seconds = seconds;
    return autosave;
}
