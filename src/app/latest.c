/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/latest.h"

/** A question that waits or runs. */
typedef struct Question {
    guint64 ticket; /**< 0: the slot is empty */
    void *letter;
    bool makes_way;
} Question;

struct TbLatest {
    TbLatestDef def;
    GMainContext *context;
    GThread *thread;
    GMutex lock;
    GCond wake;

    /* under the lock */
    Question slots[TB_LATEST_KINDS];
    int holds[TB_LATEST_KINDS];
    bool given_up[TB_LATEST_KINDS];
    unsigned running; /**< a kind, or NOTHING */
    bool running_makes_way, quitting;
    TbTask task;       /**< of what runs */
    gint64 began;      /**< monotonic, us, of what runs */
    GHashTable *alive; /**< sources that have not run yet */
    bool telling;      /**< a source for progress is under way */
    char *what;        /**< of the progress that is to be told */
    double share;

    /* the owner's */
    guint64 newest[TB_LATEST_KINDS]; /**< ticket; 0: no answer of the kind is wanted */
    guint64 last;                    /**< ticket given last */
};

/** In place of a kind. */
#define NOTHING TB_LATEST_KINDS

/** Work below this is not worth a word, us. */
#define PROGRESS_AFTER (500 * 1000)

/* ---- back to the owner's thread ---- */

/** Outlives the TbLatest when the owner frees that as it hears from it. */
typedef struct Message {
    TbLatest *to;
    GSource *source;
    unsigned kind; /**< NOTHING: progress */
    guint64 ticket;
    void *letter;
    void (*free_letter)(void *letter);
    TbFault fault;
} Message;

static void
message_free(void *data)
{
    Message *message = data;

    if (message->letter != NULL)
        message->free_letter(message->letter);
    g_free(message);
}

static void
tell_progress(TbLatest *latest)
{
    g_autofree char *what = NULL;
    double share;

    g_mutex_lock(&latest->lock);
    what = g_steal_pointer(&latest->what);
    share = latest->share;
    latest->telling = false;
    g_mutex_unlock(&latest->lock);
    if (what != NULL && latest->def.progress != NULL)
        latest->def.progress(latest->def.user, what, share);
}

static void
deliver(TbLatest *latest, Message *message)
{
    const TbLatestDef *def = &latest->def;

    if (def->progress != NULL)
        def->progress(def->user, "", -1);
    if (!def->only_newest || message->ticket == latest->newest[message->kind])
        def->deliver(def->user, message->kind, message->ticket, message->letter, &message->fault);
}

static gboolean
arrive(void *data)
{
    Message *message = data;
    TbLatest *latest = message->to;

    g_mutex_lock(&latest->lock);
    g_hash_table_remove(latest->alive, message->source);
    g_mutex_unlock(&latest->lock);
    if (message->kind == NOTHING)
        tell_progress(latest);
    else
        deliver(latest, message);
    return G_SOURCE_REMOVE;
}

/* The lock is held. */
static void
post(TbLatest *latest, Message *message)
{
    GSource *source = g_idle_source_new();

    message->to = latest;
    message->source = source;
    /* the default idle priority is below redrawing and would wait for it */
    g_source_set_priority(source, G_PRIORITY_DEFAULT);
    g_source_set_callback(source, arrive, message, message_free);
    g_hash_table_add(latest->alive, source);
    g_source_attach(source, latest->context);
    g_source_unref(source);
}

static Message *
message_about(TbLatest *latest, unsigned kind, const Question *question)
{
    Message *message = g_new0(Message, 1);

    message->kind = kind;
    message->ticket = question->ticket;
    message->letter = question->letter;
    message->free_letter = latest->def.free_letter;
    return message;
}

static void
report(void *user, const char *what, double share)
{
    TbLatest *latest = user;

    g_mutex_lock(&latest->lock);
    if (g_get_monotonic_time() - latest->began >= PROGRESS_AFTER) {
        g_free(latest->what);
        latest->what = g_strdup(what);
        latest->share = CLAMP(share, 0, 1);
        if (!latest->telling && !latest->quitting) {
            latest->telling = true;
            post(latest, message_about(latest, NOTHING, &(Question){0}));
        }
    }
    g_mutex_unlock(&latest->lock);
}

/* ---- the thread ---- */

/* The lock is held. NOTHING when there is nothing to do. */
static unsigned
next_kind(const TbLatest *latest)
{
    for (unsigned kind = 0; kind < latest->def.kinds; kind++)
        if (latest->slots[kind].ticket != 0 && latest->holds[kind] == 0)
            return kind;
    return NOTHING;
}

/* False when there is nothing left to do but to go. */
static bool
take(TbLatest *latest, unsigned *kind, Question *question)
{
    bool more;

    g_mutex_lock(&latest->lock);
    latest->running = NOTHING;
    while (!latest->quitting && (*kind = next_kind(latest)) == NOTHING)
        g_cond_wait(&latest->wake, &latest->lock);
    more = !latest->quitting;
    if (more) {
        *question = latest->slots[*kind];
        latest->slots[*kind] = (Question){0};
        latest->given_up[*kind] = false;
        latest->running = *kind;
        latest->running_makes_way = question->makes_way;
        latest->began = g_get_monotonic_time();
        atomic_store(&latest->task.cancelled, false);
    }
    g_mutex_unlock(&latest->lock);
    return more;
}

static void *
work(void *data)
{
    TbLatest *latest = data;
    const TbLatestDef *def = &latest->def;
    Question question;
    unsigned kind = NOTHING;

    if (def->begin != NULL)
        def->begin(def->user);
    while (take(latest, &kind, &question)) {
        Message *message = message_about(latest, kind, &question);

        def->answer(def->user, kind, message->letter, &latest->task, &message->fault);
        g_mutex_lock(&latest->lock);
        post(latest, message);
        g_mutex_unlock(&latest->lock);
    }
    if (def->end != NULL)
        def->end(def->user);
    return NULL;
}

/* ---- the owner ---- */

TbLatest *
tb_latest_new(const TbLatestDef *def)
{
    TbLatest *latest = g_new0(TbLatest, 1);

    TB_ASSERT(def->kinds > 0 && def->kinds <= TB_LATEST_KINDS);
    latest->def = *def;
    latest->context = g_main_context_ref_thread_default();
    latest->alive = g_hash_table_new(NULL, NULL);
    latest->running = NOTHING;
    latest->task.report = report;
    latest->task.user = latest;
    g_mutex_init(&latest->lock);
    g_cond_init(&latest->wake);
    latest->thread = g_thread_new(def->name, work, latest);
    return latest;
}

/* The lock is held. */
static void
clear_slot(TbLatest *latest, unsigned kind)
{
    if (latest->slots[kind].ticket != 0)
        latest->def.free_letter(latest->slots[kind].letter);
    latest->slots[kind] = (Question){0};
}

guint64
tb_latest_ask(TbLatest *latest, unsigned kind, void *letter, bool makes_way)
{
    guint64 ticket;

    TB_ASSERT(kind < latest->def.kinds);
    g_mutex_lock(&latest->lock);
    ticket = latest->newest[kind] = ++latest->last;
    clear_slot(latest, kind);
    latest->slots[kind] = (Question){.ticket = ticket, .letter = letter, .makes_way = makes_way};
    if (latest->running == kind && latest->running_makes_way)
        tb_task_cancel(&latest->task);
    g_cond_signal(&latest->wake);
    g_mutex_unlock(&latest->lock);
    return ticket;
}

void
tb_latest_drop(TbLatest *latest, unsigned kind)
{
    TB_ASSERT(kind < latest->def.kinds && latest->def.only_newest);
    g_mutex_lock(&latest->lock);
    clear_slot(latest, kind);
    latest->newest[kind] = 0;
    if (latest->running == kind)
        tb_task_cancel(&latest->task);
    g_mutex_unlock(&latest->lock);
}

void
tb_latest_hold(TbLatest *latest, unsigned kind)
{
    TB_ASSERT(kind < latest->def.kinds);
    g_mutex_lock(&latest->lock);
    latest->holds[kind]++;
    g_mutex_unlock(&latest->lock);
}

void
tb_latest_release(TbLatest *latest, unsigned kind)
{
    g_mutex_lock(&latest->lock);
    TB_ASSERT(kind < latest->def.kinds && latest->holds[kind] > 0);
    latest->holds[kind]--;
    g_cond_signal(&latest->wake);
    g_mutex_unlock(&latest->lock);
}

void
tb_latest_cancel(TbLatest *latest)
{
    g_mutex_lock(&latest->lock);
    tb_task_cancel(&latest->task);
    for (unsigned kind = 0; kind < latest->def.kinds; kind++) {
        Question *question = &latest->slots[kind];
        Message *message;

        if (question->ticket == 0)
            continue;
        message = message_about(latest, kind, question);
        tb_fail(&message->fault, TB_E_CANCELLED, "given up");
        *question = (Question){0};
        latest->given_up[kind] = true;
        post(latest, message);
    }
    g_mutex_unlock(&latest->lock);
}

bool
tb_latest_is_given_up(TbLatest *latest, unsigned kind)
{
    bool given_up;

    g_mutex_lock(&latest->lock);
    given_up = latest->given_up[kind];
    g_mutex_unlock(&latest->lock);
    return given_up;
}

void
tb_latest_free(TbLatest *latest)
{
    GHashTableIter iter;
    void *source;

    if (latest == NULL)
        return;
    g_mutex_lock(&latest->lock);
    latest->quitting = true;
    tb_task_cancel(&latest->task);
    g_cond_signal(&latest->wake);
    g_mutex_unlock(&latest->lock);
    g_thread_join(latest->thread);

    g_hash_table_iter_init(&iter, latest->alive);
    while (g_hash_table_iter_next(&iter, &source, NULL))
        g_source_destroy(source);
    g_hash_table_unref(latest->alive);
    for (unsigned kind = 0; kind < latest->def.kinds; kind++)
        clear_slot(latest, kind);
    g_main_context_unref(latest->context);
    g_mutex_clear(&latest->lock);
    g_cond_clear(&latest->wake);
    g_free(latest->what);
    g_free(latest);
}
