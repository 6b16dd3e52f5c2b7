/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/mem.h"
#include "base/work.h"
#include "tap.h"

#include <math.h>
#include <pthread.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <sys/resource.h>
#include <unistd.h>

#define COUNT 10007

/** What a body notes down; every index is written by one piece only. */
typedef struct Notes {
    int times[COUNT];
    size_t from[COUNT];
    int worker[COUNT];
    double value[COUNT];
    TbWork *work;
    TbTask *task;
    atomic_int pieces;
    atomic_int in_worker[64];
    atomic_bool clash;
} Notes;

static void
note(void *data, size_t from, size_t to, int worker)
{
    Notes *notes = data;

    if (atomic_fetch_add(&notes->in_worker[worker], 1) != 0)
        atomic_store(&notes->clash, true);
    for (size_t i = from; i < to; i++) {
        notes->times[i]++;
        notes->from[i] = from;
        notes->worker[i] = worker;
        notes->value[i] = sin(0.37 * (double)i) / (1.3 + (double)i);
    }
    atomic_fetch_add(&notes->pieces, 1);
    atomic_fetch_sub(&notes->in_worker[worker], 1);
}

/** One assert for all: check notes each one down, and that takes longer than the loop. */
static void
check_all_done_once(const Notes *notes, size_t count, size_t grain, int threads)
{
    size_t wrong = COUNT;

    for (size_t i = 0; i < COUNT; i++)
        if (notes->times[i] != (i < count ? 1 : 0) ||
            (i < count && (notes->from[i] != i - i % grain || notes->worker[i] < 0 ||
                           notes->worker[i] >= threads)))
            wrong = i;
    ck_assert_msg(wrong == COUNT, "index %zu: done %d times, in the piece from %zu by worker %d",
                  wrong, notes->times[wrong % COUNT], notes->from[wrong % COUNT],
                  notes->worker[wrong % COUNT]);
}

static const struct {
    int threads; /* 0: no pool */
    size_t count, grain;
} cuts[] = {
    {0, COUNT, 13},  {0, 0, 5},      {1, COUNT, 7}, {2, COUNT, 1}, {3, COUNT, 64},
    {7, COUNT, 10},  {2, 1, 1},      {4, 0, 3},     {4, 5, COUNT}, {4, COUNT, COUNT},
    {5, 4096, 1024}, {64, COUNT, 3}, {2, 17, 16},   {2, 16, 16},   {3, COUNT, SIZE_MAX},
};

START_TEST(every_index_is_done_once_and_pieces_start_at_multiples_of_the_grain)
{
    Notes *notes = tb_alloc(sizeof *notes);
    TbWork *work = cuts[_i].threads > 0 ? tb_work_new(cuts[_i].threads) : NULL;
    int threads = cuts[_i].threads > 0 ? cuts[_i].threads : 1;

    ck_assert_int_eq(tb_work_threads(work), threads);
    ck_assert_int_eq(tb_work_for(work, NULL, cuts[_i].count, cuts[_i].grain, note, notes), TB_OK);
    check_all_done_once(notes, cuts[_i].count, cuts[_i].grain, threads);
    ck_assert(!notes->clash);
    tb_work_free(work);
    tb_free(notes);
}
END_TEST

START_TEST(results_are_the_same_bits_for_any_number_of_threads)
{
    Notes *one = tb_alloc(sizeof *one);

    tb_work_for(NULL, NULL, COUNT, 11, note, one);
    for (int threads = 1; threads <= 9; threads += 2) {
        Notes *many = tb_alloc(sizeof *many);
        TbWork *work = tb_work_new(threads);

        ck_assert_int_eq(tb_work_for(work, NULL, COUNT, 11, note, many), TB_OK);
        ck_assert_mem_eq(one->value, many->value, sizeof one->value);
        tb_work_free(work);
        tb_free(many);
    }
    tb_free(one);
}
END_TEST

START_TEST(a_pool_is_good_for_many_loops)
{
    TbWork *work = tb_work_new(4);
    Notes *notes = tb_alloc(sizeof *notes);

    for (int round = 0; round < 2000; round++) {
        memset(notes->times, 0, sizeof notes->times);
        ck_assert_int_eq(tb_work_for(work, NULL, 37, 2, note, notes), TB_OK);
        check_all_done_once(notes, 37, 2, 4);
    }
    tb_free(notes);
    tb_work_free(work);
}
END_TEST

/** Two pieces that wait for each other: they end only if two threads are at them. */
static void
meet(void *data, size_t from, size_t to, int worker)
{
    pthread_barrier_t *barrier = data;

    (void)from;
    (void)to;
    (void)worker;
    pthread_barrier_wait(barrier);
}

START_TEST(two_threads_really_work_at_the_same_time)
{
    TbWork *work = tb_work_new(2);
    pthread_barrier_t barrier;

    pthread_barrier_init(&barrier, NULL, 2);
    ck_assert_int_eq(tb_work_for(work, NULL, 2, 1, meet, &barrier), TB_OK);
    pthread_barrier_destroy(&barrier);
    tb_work_free(work);
}
END_TEST

#define OUTER 23
#define INNER 101

typedef struct Nest {
    TbWork *work;
    int times[OUTER][INNER];
    int outer_worker[OUTER];
    int row;
    atomic_bool wrong_place;
} Nest;

typedef struct Row {
    Nest *nest;
    size_t row;
    pthread_t thread;
} Row;

static void
inner_body(void *data, size_t from, size_t to, int worker)
{
    Row *row = data;

    if (worker != row->nest->outer_worker[row->row] || !pthread_equal(row->thread, pthread_self()))
        atomic_store(&row->nest->wrong_place, true);
    for (size_t i = from; i < to; i++)
        row->nest->times[row->row][i]++;
}

static void
outer_body(void *data, size_t from, size_t to, int worker)
{
    Nest *nest = data;

    for (size_t i = from; i < to; i++) {
        Row row = {nest, i, pthread_self()};

        nest->outer_worker[i] = worker;
        if (tb_work_for(nest->work, NULL, INNER, 4, inner_body, &row) != TB_OK)
            atomic_store(&nest->wrong_place, true);
    }
}

START_TEST(an_inner_loop_runs_where_it_is_called_under_the_same_number)
{
    Nest *nest = tb_alloc(sizeof *nest);

    nest->work = tb_work_new(5);
    ck_assert_int_eq(tb_work_for(nest->work, NULL, OUTER, 1, outer_body, nest), TB_OK);
    for (size_t i = 0; i < OUTER; i++)
        for (size_t j = 0; j < INNER; j++)
            ck_assert_int_eq(nest->times[i][j], 1);
    ck_assert(!nest->wrong_place);
    tb_work_free(nest->work);
    tb_free(nest);
}
END_TEST

static void
forward(void *data, size_t from, size_t to, int worker)
{
    Notes *notes = data;

    (void)from;
    (void)to;
    (void)worker;
    tb_work_for(notes->work, NULL, COUNT, 5, note, notes);
}

START_TEST(a_loop_inside_a_loop_of_one_piece_still_does_everything_once)
{
    Notes *notes = tb_alloc(sizeof *notes);

    notes->work = tb_work_new(3);
    ck_assert_int_eq(tb_work_for(notes->work, NULL, 1, 1, forward, notes), TB_OK);
    check_all_done_once(notes, COUNT, 5, 3);
    ck_assert(!notes->clash);
    tb_work_free(notes->work);
    tb_free(notes);
}
END_TEST

static void *
run_loops(void *data)
{
    Notes *notes = data;

    for (int round = 0; round < 200; round++)
        tb_work_for(notes->work, NULL, COUNT, 100, note, notes);
    return NULL;
}

START_TEST(several_threads_may_run_loops_on_one_pool)
{
    TbWork *work = tb_work_new(3);
    Notes *notes[4];
    pthread_t thread[4];
    int wrong = 0;

    for (int i = 0; i < 4; i++) {
        notes[i] = tb_alloc(sizeof *notes[i]);
        notes[i]->work = work;
        pthread_create(&thread[i], NULL, run_loops, notes[i]);
    }
    for (int i = 0; i < 4; i++) {
        pthread_join(thread[i], NULL);
        for (size_t k = 0; k < COUNT; k++)
            wrong += notes[i]->times[k] != 200;
        ck_assert(!notes[i]->clash);
        tb_free(notes[i]);
    }
    ck_assert_int_eq(wrong, 0);
    tb_work_free(work);
}
END_TEST

static void
cancel_at_piece_fifty(void *data, size_t from, size_t to, int worker)
{
    Notes *notes = data;

    note(data, from, to, worker);
    if (atomic_load(&notes->pieces) >= 50)
        tb_task_cancel(notes->task);
}

START_TEST(a_cancelled_loop_stops_soon_and_says_so)
{
    TbTask task = {0};
    Notes *notes = tb_alloc(sizeof *notes);
    TbWork *work = _i > 0 ? tb_work_new(_i) : NULL;
    int threads = tb_work_threads(work);

    notes->task = &task;
    ck_assert(!tb_task_is_cancelled(&task));
    ck_assert_int_eq(tb_work_for(work, &task, COUNT, 1, cancel_at_piece_fifty, notes),
                     TB_E_CANCELLED);
    ck_assert(tb_task_is_cancelled(&task));
    /* others may finish the piece they are at */
    ck_assert_int_ge(notes->pieces, 50);
    ck_assert_int_lt(notes->pieces, 50 + threads);
    for (size_t i = 0; i < COUNT; i++)
        ck_assert_int_le(notes->times[i], 1);
    /* and the pool is as good as before */
    memset(notes->times, 0, sizeof notes->times);
    ck_assert_int_eq(tb_work_for(work, NULL, COUNT, 9, note, notes), TB_OK);
    check_all_done_once(notes, COUNT, 9, threads);
    tb_work_free(work);
    tb_free(notes);
}
END_TEST

START_TEST(a_task_cancelled_before_runs_nothing)
{
    TbTask task = {0};
    Notes *notes = tb_alloc(sizeof *notes);
    TbWork *work = tb_work_new(3);

    tb_task_cancel(&task);
    ck_assert_int_eq(tb_work_for(work, &task, COUNT, 1, note, notes), TB_E_CANCELLED);
    ck_assert_int_eq(notes->pieces, 0);
    ck_assert_int_eq(tb_work_for(NULL, &task, 3, 1, note, notes), TB_E_CANCELLED);
    ck_assert_int_eq(notes->pieces, 0);
    /* nothing to do is done, cancelled or not */
    ck_assert_int_eq(tb_work_for(work, &task, 0, 1, note, notes), TB_OK);
    tb_work_free(work);
    tb_free(notes);
}
END_TEST

static void
cancel_at_the_end(void *data, size_t from, size_t to, int worker)
{
    Notes *notes = data;

    note(data, from, to, worker);
    if (to == 40)
        tb_task_cancel(notes->task);
}

START_TEST(a_cancel_that_comes_with_the_last_piece_leaves_a_whole_result)
{
    TbTask task = {0};
    Notes *notes = tb_alloc(sizeof *notes);

    notes->task = &task;
    ck_assert_int_eq(tb_work_for(NULL, &task, 40, 8, cancel_at_the_end, notes), TB_OK);
    check_all_done_once(notes, 40, 8, 1);
    tb_free(notes);
}
END_TEST

START_TEST(no_task_is_never_cancelled_and_hears_nothing)
{
    TbTask silent = {0};

    ck_assert(!tb_task_is_cancelled(NULL));
    tb_task_report(NULL, "nothing", 0.5);
    tb_task_report(&silent, "nothing", 0.5);
}
END_TEST

typedef struct Listener {
    TbTask task;
    atomic_int inside;
    int calls; /* plain on purpose: only one call at a time may touch it */
    atomic_bool clash;
    double last;
} Listener;

static void
hear(void *user, const char *what, double share)
{
    Listener *listener = user;

    if (atomic_fetch_add(&listener->inside, 1) != 0)
        atomic_store(&listener->clash, true);
    ck_assert_str_eq(what, "gaps");
    listener->calls++;
    listener->last = share;
    /* a report from inside a report is left out and does not lock up */
    tb_task_report(&listener->task, "gaps", share);
    atomic_fetch_sub(&listener->inside, 1);
}

static void
say(void *data, size_t from, size_t to, int worker)
{
    Listener *listener = data;

    (void)to;
    (void)worker;
    tb_task_report(&listener->task, "gaps", (double)from / COUNT);
}

START_TEST(reports_come_one_at_a_time)
{
    Listener listener = {.task = {.report = hear}};
    TbWork *work = tb_work_new(4);

    listener.task.user = &listener;
    ck_assert_int_eq(tb_work_for(work, &listener.task, COUNT, 1, say, &listener), TB_OK);
    ck_assert(!listener.clash);
    ck_assert_int_ge(listener.calls, 1);
    ck_assert_int_le(listener.calls, COUNT);
    /* alone, each is heard */
    listener.calls = 0;
    tb_work_for(NULL, &listener.task, COUNT, 1, say, &listener);
    ck_assert_int_eq(listener.calls, COUNT);
    ck_assert_double_eq(listener.last, (double)(COUNT - 1) / COUNT);
    tb_work_free(work);
}
END_TEST

START_TEST(without_memory_there_is_no_pool)
{
    tb_mem_fail_at(1);
    ck_assert_ptr_null(tb_work_new(3));
    tb_mem_fail_at(0);
    tb_work_free(NULL);
}
END_TEST

/* a sanitizer ends the program when it gets no addresses for itself */
#if !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)
/** Bytes of addresses that the process has taken. */
static size_t
taken(void)
{
    FILE *file = fopen("/proc/self/statm", "r");
    size_t pages = 0;

    ck_assert_ptr_nonnull(file);
    ck_assert_int_eq(fscanf(file, "%zu", &pages), 1);
    fclose(file);
    return pages * (size_t)sysconf(_SC_PAGESIZE);
}

START_TEST(without_room_for_the_last_threads_there_is_no_pool_and_the_first_end)
{
    struct rlimit before, narrow;
    TbWork *work;

    ck_assert_int_eq(getrlimit(RLIMIT_AS, &before), 0);
    narrow = before;
    /* stacks of 8 MB: about four threads of 64 */
    narrow.rlim_cur = taken() + ((size_t)38 << 20);
    ck_assert_int_eq(setrlimit(RLIMIT_AS, &narrow), 0);
    ck_assert_ptr_null(tb_work_new(64));
    ck_assert_int_eq(setrlimit(RLIMIT_AS, &before), 0);
    work = tb_work_new(3);
    ck_assert_int_eq(tb_work_threads(work), 3);
    tb_work_free(work);
}
END_TEST
#endif

START_TEST(the_process_may_use_between_one_and_sixty_four_threads)
{
    ck_assert_int_ge(tb_work_processors(), 1);
    ck_assert_int_le(tb_work_processors(), 64);
    ck_assert_int_eq(tb_work_threads(NULL), 1);
}
END_TEST

START_TEST(a_grain_of_nothing_is_a_mistake) { tb_work_for(NULL, NULL, 3, 0, note, NULL); }
END_TEST

START_TEST(a_pool_of_no_threads_is_a_mistake) { tb_work_new(_i); }
END_TEST

int
main(void)
{
    Suite *suite = suite_create("base/work");
    TCase *one = tcase_create("work");

    tcase_set_timeout(one, 120);
    tcase_add_loop_test(one, every_index_is_done_once_and_pieces_start_at_multiples_of_the_grain, 0,
                        (int)(sizeof cuts / sizeof cuts[0]));
    tcase_add_test(one, results_are_the_same_bits_for_any_number_of_threads);
    tcase_add_test(one, a_pool_is_good_for_many_loops);
    tcase_add_test(one, two_threads_really_work_at_the_same_time);
    tcase_add_test(one, an_inner_loop_runs_where_it_is_called_under_the_same_number);
    tcase_add_test(one, a_loop_inside_a_loop_of_one_piece_still_does_everything_once);
    tcase_add_test(one, several_threads_may_run_loops_on_one_pool);
    tcase_add_loop_test(one, a_cancelled_loop_stops_soon_and_says_so, 0, 4);
    tcase_add_test(one, a_task_cancelled_before_runs_nothing);
    tcase_add_test(one, a_cancel_that_comes_with_the_last_piece_leaves_a_whole_result);
    tcase_add_test(one, no_task_is_never_cancelled_and_hears_nothing);
    tcase_add_test(one, reports_come_one_at_a_time);
    tcase_add_test(one, without_memory_there_is_no_pool);
#if !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)
    tcase_add_test(one, without_room_for_the_last_threads_there_is_no_pool_and_the_first_end);
#endif
    tcase_add_test(one, the_process_may_use_between_one_and_sixty_four_threads);
    tcase_add_test_raise_signal(one, a_grain_of_nothing_is_a_mistake, 6);
    tcase_add_loop_test_raise_signal(one, a_pool_of_no_threads_is_a_mistake, 6, 0, 1);
    suite_add_tcase(suite, one);
    return tb_test_main(suite);
}
