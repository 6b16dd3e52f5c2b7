/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/recompute.h"

/** A question on its way to the worker. */
typedef struct Question {
    guint64 ticket;
    TbShown *ask; /* an answer without results: its copies of the question are what is wanted */
} Question;

struct TbRecompute {
    TbRecomputeDef def;
    GMainContext *context;
    GThread *thread;
    GMutex lock;
    GCond wake;
    Question waiting; /* ask NULL: the slot is empty */
    guint64 last;     /* ticket given last */
    bool quitting, running, running_whole;
    TbTask task;       /* of what runs; under the lock but for its own atomics */
    gint64 began;      /* monotonic, us, of what runs */
    GHashTable *alive; /* sources that have not run yet, under the lock */
    char *what;        /* of the progress that is to be told, under the lock */
    double share;
    bool telling;
};

/* Work below this is not worth a word, us. */
#define PROGRESS_AFTER (500 * 1000)

/* ---- back to the owner's thread ---- */

typedef struct Message {
    TbRecompute *to;
    GSource *source;
    guint64 ticket; /* 0: progress */
    TbShown *shown;
    TbFault fault;
} Message;

static void
message_free(void *data)
{
    Message *message = data;

    tb_shown_unref(message->shown);
    g_free(message);
}

static void
tell_progress(TbRecompute *to)
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

static gboolean
arrive(void *data)
{
    Message *message = data;
    TbRecompute *to = message->to;

    g_mutex_lock(&to->lock);
    g_hash_table_remove(to->alive, message->source);
    g_mutex_unlock(&to->lock);
    if (message->ticket == 0) {
        tell_progress(to);
    } else {
        if (to->def.progress != NULL)
            to->def.progress(to->def.user, "", -1);
        to->def.deliver(to->def.user, message->ticket, message->shown, &message->fault);
    }
    return G_SOURCE_REMOVE;
}

/* The lock is held. */
static void
post(TbRecompute *to, Message *message)
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
    TbRecompute *to = user;

    g_mutex_lock(&to->lock);
    if (g_get_monotonic_time() - to->began >= PROGRESS_AFTER) {
        g_free(to->what);
        to->what = g_strdup(what);
        to->share = CLAMP(share, 0, 1);
        if (!to->telling && !to->quitting) {
            to->telling = true;
            post(to, g_new0(Message, 1));
        }
    }
    g_mutex_unlock(&to->lock);
}

/* ---- the worker ---- */

/* False when there is nothing left to do but to go. */
static bool
take(TbRecompute *recompute, Question *question)
{
    bool more;

    g_mutex_lock(&recompute->lock);
    recompute->running = false;
    while (recompute->waiting.ask == NULL && !recompute->quitting)
        g_cond_wait(&recompute->wake, &recompute->lock);
    more = !recompute->quitting;
    if (more) {
        *question = recompute->waiting;
        recompute->waiting = (Question){0};
        recompute->running = true;
        recompute->running_whole = question->ask->ask.whole;
        recompute->began = g_get_monotonic_time();
        atomic_store(&recompute->task.cancelled, false);
    }
    g_mutex_unlock(&recompute->lock);
    return more;
}

static void
answer(TbRecompute *recompute, TbStudy *study, Question question, TbShown **before)
{
    Message *message = g_new0(Message, 1);

    message->ticket = question.ticket;
    if (tb_study_show(study, &question.ask->ask, *before, &recompute->task, &message->shown,
                      &message->fault) == TB_OK) {
        tb_shown_unref(*before);
        *before = tb_shown_ref(message->shown);
    }
    tb_shown_unref(question.ask);
    g_mutex_lock(&recompute->lock);
    post(recompute, message);
    g_mutex_unlock(&recompute->lock);
}

static void *
work(void *data)
{
    TbRecompute *recompute = data;
    TbStudy *study = tb_study_new(recompute->def.store, recompute->def.work);
    TbShown *before = NULL;
    Question question;

    while (take(recompute, &question))
        answer(recompute, study, question, &before);
    tb_shown_unref(before);
    tb_study_free(study);
    return NULL;
}

/* ---- the owner ---- */

TbRecompute *
tb_recompute_new(const TbRecomputeDef *def)
{
    TbRecompute *recompute = g_new0(TbRecompute, 1);

    recompute->def = *def;
    tb_store_ref(def->store);
    recompute->context = g_main_context_ref_thread_default();
    recompute->alive = g_hash_table_new(NULL, NULL);
    recompute->task.report = report;
    recompute->task.user = recompute;
    g_mutex_init(&recompute->lock);
    g_cond_init(&recompute->wake);
    recompute->thread = g_thread_new("study", work, recompute);
    return recompute;
}

guint64
tb_recompute_ask(TbRecompute *recompute, const TbShowAsk *ask)
{
    TbShown *copy = tb_shown_new(ask);
    guint64 ticket;

    g_mutex_lock(&recompute->lock);
    tb_shown_unref(recompute->waiting.ask);
    ticket = ++recompute->last;
    recompute->waiting = (Question){.ticket = ticket, .ask = copy};
    if (recompute->running && recompute->running_whole)
        tb_task_cancel(&recompute->task);
    g_cond_signal(&recompute->wake);
    g_mutex_unlock(&recompute->lock);
    return ticket;
}

void
tb_recompute_cancel(TbRecompute *recompute)
{
    g_mutex_lock(&recompute->lock);
    tb_task_cancel(&recompute->task);
    if (recompute->waiting.ask != NULL) {
        Message *message = g_new0(Message, 1);

        message->ticket = recompute->waiting.ticket;
        tb_fail(&message->fault, TB_E_CANCELLED, "given up");
        tb_shown_unref(recompute->waiting.ask);
        recompute->waiting = (Question){0};
        post(recompute, message);
    }
    g_mutex_unlock(&recompute->lock);
}

bool
tb_recompute_is_busy(TbRecompute *recompute)
{
    bool busy;

    g_mutex_lock(&recompute->lock);
    busy = recompute->running || recompute->waiting.ask != NULL;
    g_mutex_unlock(&recompute->lock);
    return busy;
}

void
tb_recompute_free(TbRecompute *recompute)
{
    GHashTableIter iter;
    void *source;

    if (recompute == NULL)
        return;
    g_mutex_lock(&recompute->lock);
    recompute->quitting = true;
    tb_task_cancel(&recompute->task);
    g_cond_signal(&recompute->wake);
    g_mutex_unlock(&recompute->lock);
    g_thread_join(recompute->thread);

    g_hash_table_iter_init(&iter, recompute->alive);
    while (g_hash_table_iter_next(&iter, &source, NULL))
        g_source_destroy(source);
    g_hash_table_unref(recompute->alive);
    tb_shown_unref(recompute->waiting.ask);
    g_main_context_unref(recompute->context);
    tb_store_unref(recompute->def.store);
    g_mutex_clear(&recompute->lock);
    g_cond_clear(&recompute->wake);
    g_free(recompute->what);
    g_free(recompute);
}
