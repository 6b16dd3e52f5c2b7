/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/work.h"

#include "base/mem.h"

#include <pthread.h>
#include <sched.h>

#define MOST_THREADS 64

/** One loop under way. It lives on its caller's stack; `users` says who may still look at it. */
typedef struct Loop {
    struct Loop *below; /**< next older loop under way */
    pthread_t caller;
    TbTask *task;
    TbWorkBody body;
    void *data;
    size_t count, grain, pieces;
    atomic_size_t next;  /**< first piece that nobody has taken */
    atomic_bool skipped; /**< a piece was left out, because of a cancel */
    int users;           /**< threads of the pool inside, under the pool's lock */
} Loop;

struct TbWork {
    pthread_mutex_t lock;
    pthread_cond_t wake;  /**< for the threads: a new loop, or the end */
    pthread_cond_t quiet; /**< for the callers: a thread has left a loop */
    Loop *loops;          /**< newest first, under the lock */
    bool ending;
    int threads;                    /**< the caller included */
    pthread_t thread[MOST_THREADS]; /**< from 1; 0 is the caller's place */
};

void
tb_task_cancel(TbTask *task)
{
    atomic_store(&task->cancelled, true);
}

bool
tb_task_is_cancelled(const TbTask *task)
{
    return task != NULL && atomic_load_explicit(&task->cancelled, memory_order_relaxed);
}

void
tb_task_report(TbTask *task, const char *what, double share)
{
    if (task == NULL || task->report == NULL)
        return;
    if (atomic_exchange_explicit(&task->reporting, true, memory_order_acquire))
        return;
    task->report(task->user, what, share);
    atomic_store_explicit(&task->reporting, false, memory_order_release);
}

int
tb_work_processors(void)
{
    cpu_set_t set;
    int n;

    CPU_ZERO(&set);
    /* more processors than the set has room for: as many as a pool takes */
    if (sched_getaffinity(0, sizeof set, &set) != 0)
        return MOST_THREADS;
    n = CPU_COUNT(&set);
    return n < 1 ? 1 : n > MOST_THREADS ? MOST_THREADS : n;
}

int
tb_work_threads(const TbWork *work)
{
    return work == NULL ? 1 : work->threads;
}

/** Take pieces until there are none, or somebody cancels. */
static void
run_pieces(Loop *loop, int worker)
{
    for (;;) {
        size_t i = atomic_fetch_add_explicit(&loop->next, 1, memory_order_relaxed);
        size_t from, to;

        if (i >= loop->pieces)
            return;
        if (tb_task_is_cancelled(loop->task)) {
            atomic_store(&loop->skipped, true);
            return;
        }
        from = i * loop->grain;
        to = loop->count - from < loop->grain ? loop->count : from + loop->grain;
        loop->body(loop->data, from, to, worker);
    }
}

static Loop *
loop_with_work(const TbWork *work)
{
    Loop *loop = work->loops;

    while (loop != NULL &&
           (atomic_load_explicit(&loop->next, memory_order_relaxed) >= loop->pieces ||
            atomic_load(&loop->skipped)))
        loop = loop->below;
    return loop;
}

/** Which place of the pool the running thread has inside a loop, or -1. Under the lock. */
static int
place_inside(const TbWork *work)
{
    pthread_t me = pthread_self();

    for (int i = 1; i < work->threads; i++)
        if (pthread_equal(work->thread[i], me))
            return i;
    for (const Loop *loop = work->loops; loop != NULL; loop = loop->below)
        if (pthread_equal(loop->caller, me))
            return 0;
    return -1;
}

static void *
serve(void *user)
{
    TbWork *work = user;
    int place;

    pthread_mutex_lock(&work->lock);
    place = place_inside(work);
    while (!work->ending) {
        Loop *loop = loop_with_work(work);

        if (loop == NULL) {
            pthread_cond_wait(&work->wake, &work->lock);
            continue;
        }
        loop->users++;
        pthread_mutex_unlock(&work->lock);
        run_pieces(loop, place);
        pthread_mutex_lock(&work->lock);
        loop->users--;
        pthread_cond_broadcast(&work->quiet);
    }
    pthread_mutex_unlock(&work->lock);
    return NULL;
}

/** Stop the threads 1 to @p made - 1 and give everything back. */
static void
end_pool(TbWork *work, int made)
{
    pthread_mutex_lock(&work->lock);
    TB_ASSERT(work->loops == NULL);
    work->ending = true;
    pthread_cond_broadcast(&work->wake);
    pthread_mutex_unlock(&work->lock);
    for (int i = 1; i < made; i++)
        pthread_join(work->thread[i], NULL);
    pthread_cond_destroy(&work->quiet);
    pthread_cond_destroy(&work->wake);
    pthread_mutex_destroy(&work->lock);
    tb_free(work);
}

TbWork *
tb_work_new(int threads)
{
    TbWork *work;
    int made = 1;

    TB_ASSERT(threads >= 1 && threads <= MOST_THREADS);
    work = tb_alloc(sizeof *work);
    if (work == NULL)
        return NULL;
    pthread_mutex_init(&work->lock, NULL);
    pthread_cond_init(&work->wake, NULL);
    pthread_cond_init(&work->quiet, NULL);
    /* held while the table of threads fills, so that each finds its own place in it */
    pthread_mutex_lock(&work->lock);
    while (made < threads && pthread_create(&work->thread[made], NULL, serve, work) == 0)
        made++;
    work->threads = made;
    pthread_mutex_unlock(&work->lock);
    if (made < threads) {
        end_pool(work, made);
        return NULL;
    }
    return work;
}

void
tb_work_free(TbWork *work)
{
    if (work != NULL)
        end_pool(work, work->threads);
}

/**
 * Show a loop to the pool's threads, unless the caller is inside a loop of this pool already or
 * there is nothing to share.
 *
 * @param[out] place the caller's place: its own inside a loop, else 0
 * @return true when the pool has the loop now
 */
static bool
enter(TbWork *work, Loop *loop, int *place)
{
    bool shared;

    pthread_mutex_lock(&work->lock);
    *place = place_inside(work);
    shared = *place < 0 && loop->pieces > 1;
    if (*place < 0)
        *place = 0;
    if (shared) {
        loop->below = work->loops;
        work->loops = loop;
        pthread_cond_broadcast(&work->wake);
    }
    pthread_mutex_unlock(&work->lock);
    return shared;
}

/** Wait for the threads that are still at a piece, and take the loop from the pool. */
static void
leave(TbWork *work, Loop *loop)
{
    Loop **link;

    pthread_mutex_lock(&work->lock);
    while (loop->users > 0)
        pthread_cond_wait(&work->quiet, &work->lock);
    for (link = &work->loops; *link != loop; link = &(*link)->below)
        ;
    *link = loop->below;
    pthread_mutex_unlock(&work->lock);
}

TbStatus
tb_work_for(TbWork *work, TbTask *task, size_t count, size_t grain, TbWorkBody body, void *data)
{
    Loop loop = {.caller = pthread_self(),
                 .task = task,
                 .body = body,
                 .data = data,
                 .count = count,
                 .grain = grain};
    bool shared = false;
    int place = 0;

    TB_ASSERT(grain > 0);
    loop.pieces = count / grain + (count % grain > 0);
    if (work != NULL && work->threads > 1)
        shared = enter(work, &loop, &place);
    run_pieces(&loop, place);
    if (shared)
        leave(work, &loop);
    return atomic_load(&loop.skipped) ? TB_E_CANCELLED : TB_OK;
}
