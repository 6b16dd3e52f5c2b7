/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/pack_job.h"

/** What can be asked, the most urgent first. */
typedef enum Kind { PLAN, WRITE, PAGE, DRAW, KINDS } Kind;

typedef struct Question {
    guint64 ticket; /**< 0: the slot is empty */
    TbPackWish *wish;
    size_t sheet;
    char *path;
    TbTheme theme;
} Question;

struct TbPackJob {
    TbPackJobDef def;
    GMainContext *context;
    GThread *thread;
    GMutex lock;
    GCond wake;

    /* under the lock */
    Question slots[KINDS];
    Kind running; /**< KINDS: nothing */
    int holds;
    bool quitting, telling;
    bool unplanned; /**< the plan that was wanted last was given up before it was begun */
    gint64 began;
    GHashTable *alive; /**< sources that have not run yet */
    char *what;        /**< of the progress that is to be told */
    double share;
    TbTask task; /**< of what runs */

    /* the owner's */
    guint64 last, newest[KINDS];
};

/* Work below this is not worth a word, us. */
#define PROGRESS_AFTER (500 * 1000)

static void
question_clear(Question *question)
{
    tb_pack_wish_free(question->wish);
    g_free(question->path);
    *question = (Question){0};
}

/* ---- back to the owner's thread ---- */

typedef struct Message {
    TbPackJob *to;
    GSource *source;
    Kind kind; /**< KINDS: progress */
    guint64 ticket;
    TbPackPlan *plan;
    bool has_picture;
    TbPicture picture;
    size_t sheet;
    char *path;
    TbFault fault;
} Message;

static void
message_free(void *data)
{
    Message *message = data;

    tb_pack_plan_free(message->plan);
    if (message->has_picture)
        tb_picture_clear(&message->picture);
    g_free(message->path);
    g_free(message);
}

static void
tell_progress(TbPackJob *to)
{
    g_autofree char *what = NULL;
    double share;

    g_mutex_lock(&to->lock);
    what = g_steal_pointer(&to->what);
    share = to->share;
    to->telling = false;
    g_mutex_unlock(&to->lock);
    if (what != NULL && to->def.progress != NULL)
        to->def.progress(to->def.user, what, share);
}

/* The callee clears it. */
static TbPicture *
picture_of(Message *message)
{
    bool has = message->has_picture;

    message->has_picture = false;
    return has ? &message->picture : NULL;
}

static void
deliver(TbPackJob *to, Message *message)
{
    const TbPackJobDef *def = &to->def;

    if (message->kind == PLAN && def->planned != NULL)
        def->planned(def->user, g_steal_pointer(&message->plan), &message->fault);
    else if (message->kind == DRAW && def->drawn != NULL)
        def->drawn(def->user, message->sheet, picture_of(message), &message->fault);
    else if (message->kind == PAGE && def->paged != NULL)
        def->paged(def->user, message->sheet, picture_of(message), &message->fault);
    else if (message->kind == WRITE && def->written != NULL)
        def->written(def->user, message->path, &message->fault);
}

static gboolean
arrive(void *data)
{
    Message *message = data;
    TbPackJob *to = message->to;

    g_mutex_lock(&to->lock);
    g_hash_table_remove(to->alive, message->source);
    g_mutex_unlock(&to->lock);
    if (message->kind == KINDS) {
        tell_progress(to);
        return G_SOURCE_REMOVE;
    }
    if (to->def.progress != NULL)
        to->def.progress(to->def.user, "", -1);
    if (message->ticket == to->newest[message->kind])
        deliver(to, message);
    return G_SOURCE_REMOVE;
}

/* The lock is held. */
static void
post(TbPackJob *to, Message *message)
{
    GSource *source = g_idle_source_new();

    message->to = to;
    message->source = source;
    /* the default idle priority is below redrawing and would wait for it */
    g_source_set_priority(source, G_PRIORITY_DEFAULT);
    g_source_set_callback(source, arrive, message, message_free);
    g_hash_table_add(to->alive, source);
    g_source_attach(source, to->context);
    g_source_unref(source);
}

static void
report(void *user, const char *what, double share)
{
    TbPackJob *to = user;

    g_mutex_lock(&to->lock);
    if (g_get_monotonic_time() - to->began >= PROGRESS_AFTER) {
        g_free(to->what);
        to->what = g_strdup(what);
        to->share = CLAMP(share, 0, 1);
        if (!to->telling && !to->quitting) {
            Message *message = g_new0(Message, 1);

            to->telling = true;
            message->kind = KINDS;
            post(to, message);
        }
    }
    g_mutex_unlock(&to->lock);
}

/* ---- the thread ---- */

/* Never of an older bay than the one that was wanted. */
static void
write_file(TbPackJob *job, TbPackMaker *maker, const Question *question, TbFault *fault)
{
    bool unplanned;

    g_mutex_lock(&job->lock);
    unplanned = job->unplanned;
    g_mutex_unlock(&job->lock);
    if (unplanned)
        tb_fail(fault, TB_E_CANCELLED, "given up");
    else
        tb_pack_maker_write(maker, question->path, question->theme, &job->task, fault);
}

static void
answer(TbPackJob *job, TbPackMaker *maker, Kind kind, Question *question)
{
    Message *message = g_new0(Message, 1);

    message->kind = kind;
    message->ticket = question->ticket;
    message->sheet = question->sheet;
    message->path = g_strdup(question->path);
    if (kind == PLAN)
        tb_pack_maker_plan(maker, g_steal_pointer(&question->wish), &job->task, &message->plan,
                           &message->fault);
    else if (kind == WRITE)
        write_file(job, maker, question, &message->fault);
    else
        message->has_picture = tb_pack_maker_draw(maker, question->sheet, &job->task,
                                                  &message->picture, &message->fault) == TB_OK;
    question_clear(question);
    g_mutex_lock(&job->lock);
    post(job, message);
    g_mutex_unlock(&job->lock);
}

/* The lock is held. KINDS: nothing to do. */
static Kind
next_kind(const TbPackJob *job)
{
    for (Kind kind = 0; kind < KINDS; kind++)
        if (job->slots[kind].ticket != 0 && !(kind == PLAN && job->holds > 0))
            return kind;
    return KINDS;
}

/* False when there is nothing left to do but to go. */
static bool
take(TbPackJob *job, Kind *kind, Question *question)
{
    bool more;

    g_mutex_lock(&job->lock);
    job->running = KINDS;
    while (!job->quitting && (*kind = next_kind(job)) == KINDS)
        g_cond_wait(&job->wake, &job->lock);
    more = !job->quitting;
    if (more) {
        *question = job->slots[*kind];
        job->slots[*kind] = (Question){0};
        job->running = *kind;
        if (*kind == PLAN)
            job->unplanned = false;
        job->began = g_get_monotonic_time();
        atomic_store(&job->task.cancelled, false);
    }
    g_mutex_unlock(&job->lock);
    return more;
}

static void *
work(void *data)
{
    TbPackJob *job = data;
    TbPackMaker *maker = tb_pack_maker_new(job->def.store, job->def.work);
    Question question;
    Kind kind = KINDS;

    while (take(job, &kind, &question))
        answer(job, maker, kind, &question);
    tb_pack_maker_free(maker);
    return NULL;
}

/* ---- the owner ---- */

TbPackJob *
tb_pack_job_new(const TbPackJobDef *def)
{
    TbPackJob *job = g_new0(TbPackJob, 1);

    job->def = *def;
    tb_store_ref(def->store);
    job->context = g_main_context_ref_thread_default();
    job->alive = g_hash_table_new(NULL, NULL);
    job->running = KINDS;
    job->task.report = report;
    job->task.user = job;
    g_mutex_init(&job->lock);
    g_cond_init(&job->wake);
    job->thread = g_thread_new("pack", work, job);
    return job;
}

/* In place of what waits there. */
static void
ask(TbPackJob *job, Kind kind, Question question)
{
    g_mutex_lock(&job->lock);
    question.ticket = job->newest[kind] = ++job->last;
    question_clear(&job->slots[kind]);
    job->slots[kind] = question;
    if (job->running == kind || (kind == PLAN && job->running == DRAW))
        tb_task_cancel(&job->task);
    if (kind == PLAN) {
        /* what is looked at is of the plan before */
        question_clear(&job->slots[DRAW]);
        job->newest[DRAW] = 0;
    }
    g_cond_signal(&job->wake);
    g_mutex_unlock(&job->lock);
}

void
tb_pack_job_plan(TbPackJob *job, const TbPackWish *wish)
{
    ask(job, PLAN, (Question){.wish = tb_pack_wish_copy(wish)});
}

void
tb_pack_job_draw(TbPackJob *job, size_t sheet)
{
    ask(job, DRAW, (Question){.sheet = sheet});
}

void
tb_pack_job_page(TbPackJob *job, size_t sheet)
{
    ask(job, PAGE, (Question){.sheet = sheet});
}

void
tb_pack_job_write(TbPackJob *job, const char *path, TbTheme theme)
{
    ask(job, WRITE, (Question){.path = g_strdup(path), .theme = theme});
}

void
tb_pack_job_hold(TbPackJob *job)
{
    g_mutex_lock(&job->lock);
    job->holds++;
    g_mutex_unlock(&job->lock);
}

void
tb_pack_job_release(TbPackJob *job)
{
    g_mutex_lock(&job->lock);
    TB_ASSERT(job->holds > 0);
    job->holds--;
    g_cond_signal(&job->wake);
    g_mutex_unlock(&job->lock);
}

void
tb_pack_job_cancel(TbPackJob *job)
{
    g_mutex_lock(&job->lock);
    tb_task_cancel(&job->task);
    for (Kind kind = 0; kind < KINDS; kind++) {
        Question *question = &job->slots[kind];
        Message *message;

        if (question->ticket == 0)
            continue;
        if (kind == PLAN)
            job->unplanned = true;
        message = g_new0(Message, 1);
        message->kind = kind;
        message->ticket = question->ticket;
        message->sheet = question->sheet;
        message->path = g_steal_pointer(&question->path);
        tb_fail(&message->fault, TB_E_CANCELLED, "given up");
        question_clear(question);
        post(job, message);
    }
    g_mutex_unlock(&job->lock);
}

void
tb_pack_job_free(TbPackJob *job)
{
    GHashTableIter iter;
    void *source;

    if (job == NULL)
        return;
    g_mutex_lock(&job->lock);
    job->quitting = true;
    tb_task_cancel(&job->task);
    g_cond_signal(&job->wake);
    g_mutex_unlock(&job->lock);
    g_thread_join(job->thread);

    g_hash_table_iter_init(&iter, job->alive);
    while (g_hash_table_iter_next(&iter, &source, NULL))
        g_source_destroy(source);
    g_hash_table_unref(job->alive);
    for (Kind kind = 0; kind < KINDS; kind++)
        question_clear(&job->slots[kind]);
    g_main_context_unref(job->context);
    tb_store_unref(job->def.store);
    g_mutex_clear(&job->lock);
    g_cond_clear(&job->wake);
    g_free(job->what);
    g_free(job);
}
