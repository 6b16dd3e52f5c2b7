/* SPDX-License-Identifier: GPL-3.0-or-later */

/* The thread with slots of one question, with questions that take as long as the test likes. */

#include "app/latest.h"
#include "loop.h"

/** The most urgent first. */
enum { URGENT, COMMON, KINDS };

typedef struct Letter {
    int number, doubled;
} Letter;

static TbLatest *latest;
static GThread *owner;
static atomic_int letters;  /**< not freed yet */
static atomic_int begun;    /**< number of the question that is being answered, or was last */
static atomic_int answered; /**< how many */
static atomic_bool shut;    /**< questions are answered when it opens, or when they are cancelled */
static atomic_bool telling;
static atomic_int begins, ends;

/** What was delivered, in order. */
static struct Heard {
    unsigned kind;
    guint64 ticket;
    int number, doubled;
    TbStatus status;
} heard[30];
static size_t heard_count;

/** What was told of progress. */
static size_t told, told_ends;
static double last_share;

static void
letter_free(void *letter)
{
    letters--;
    g_free(letter);
}

static void
begin(void *user)
{
    (void)user;
    ck_assert_ptr_ne(g_thread_self(), owner);
    begins++;
}

static void
end(void *user)
{
    (void)user;
    ck_assert_ptr_ne(g_thread_self(), owner);
    ends++;
}

static void
answer(void *user, unsigned kind, void *data, TbTask *task, TbFault *fault)
{
    Letter *letter = data;

    (void)user, (void)kind;
    begun = letter->number;
    do {
        if (telling)
            tb_task_report(task, "Counting", 1.37);
        g_usleep(1000);
    } while (shut && !tb_task_is_cancelled(task));
    if (tb_task_is_cancelled(task))
        tb_fail(fault, TB_E_CANCELLED, "given up");
    else
        letter->doubled = 2 * letter->number;
    answered++;
}

static void
deliver(void *user, unsigned kind, guint64 ticket, void *data, const TbFault *fault)
{
    const Letter *letter = data;

    (void)user;
    ck_assert_ptr_eq(g_thread_self(), owner);
    ck_assert_uint_lt(heard_count, G_N_ELEMENTS(heard));
    heard[heard_count++] =
        (struct Heard){kind, ticket, letter->number, letter->doubled, fault->status};
}

static void
progress(void *user, const char *what, double share)
{
    (void)user;
    ck_assert_ptr_eq(g_thread_self(), owner);
    if (share < 0) {
        told_ends++;
        return;
    }
    ck_assert_str_eq(what, "Counting");
    last_share = share;
    told++;
}

static void
set_up(bool only_newest)
{
    owner = g_thread_self();
    latest = tb_latest_new(&(TbLatestDef){.name = "counter",
                                          .kinds = KINDS,
                                          .only_newest = only_newest,
                                          .free_letter = letter_free,
                                          .begin = begin,
                                          .end = end,
                                          .answer = answer,
                                          .deliver = deliver,
                                          .progress = progress});
}

/* Nothing is left, whatever was under way. */
static void
tear_down(void)
{
    tb_latest_free(latest);
    ck_assert_int_eq(letters, 0);
    ck_assert_int_eq(begins, 1);
    ck_assert_int_eq(ends, 1);
}

static guint64
ask(unsigned kind, int number, bool makes_way)
{
    Letter *letter = g_new0(Letter, 1);

    letters++;
    letter->number = number;
    return tb_latest_ask(latest, kind, letter, makes_way);
}

/* Ask, and have it begun but not answered. */
static void
keep_busy(unsigned kind, int number, bool makes_way)
{
    shut = true;
    ask(kind, number, makes_way);
    wait_until(begun == number);
}

static void
ck_assert_heard(size_t i, unsigned kind, int number, TbStatus status)
{
    ck_assert_uint_lt(i, heard_count);
    ck_assert_uint_eq(heard[i].kind, kind);
    ck_assert_int_eq(heard[i].number, number);
    ck_assert_int_eq(heard[i].status, status);
    ck_assert_int_eq(heard[i].doubled, status == TB_OK ? 2 * number : 0);
}

START_TEST(each_question_that_is_waited_for_is_answered_under_a_rising_ticket)
{
    set_up(false);
    for (int i = 1; i <= 7; i++) {
        ck_assert_uint_eq(ask(i % KINDS, 10 * i, false), i);
        wait_until(heard_count == (size_t)i);
        ck_assert_heard(i - 1, i % KINDS, 10 * i, TB_OK);
        ck_assert_uint_eq(heard[i - 1].ticket, i);
    }
    tear_down();
}
END_TEST

START_TEST(of_those_that_wait_the_last_alone_is_answered_and_what_runs_is_let_finish)
{
    set_up(false);
    keep_busy(COMMON, 3, false);
    for (int i = 4; i < 13; i++)
        ask(COMMON, i, false);
    ck_assert_int_eq(letters, 2);
    shut = false;
    wait_until(heard_count == 2);
    let_pass(30);
    ck_assert_uint_eq(heard_count, 2);
    ck_assert_heard(0, COMMON, 3, TB_OK);
    ck_assert_heard(1, COMMON, 12, TB_OK);
    tear_down();
}
END_TEST

START_TEST(what_makes_way_is_given_up_for_a_newer_one_of_its_kind_only)
{
    set_up(false);
    keep_busy(COMMON, 3, true);
    ask(URGENT, 4, true);
    let_pass(30);
    ck_assert_uint_eq(heard_count, 0);
    ask(COMMON, 5, false);
    wait_until(begun == 4);
    wait_until(heard_count == 1);
    ck_assert_heard(0, COMMON, 3, TB_E_CANCELLED);
    shut = false;
    wait_until(heard_count == 3);
    ck_assert_heard(1, URGENT, 4, TB_OK);
    ck_assert_heard(2, COMMON, 5, TB_OK);
    tear_down();
}
END_TEST

START_TEST(where_the_newest_alone_counts_an_older_answer_is_dropped)
{
    set_up(true);
    keep_busy(COMMON, 3, false);
    ask(COMMON, 4, false);
    shut = false;
    wait_until(heard_count == 1);
    ck_assert_heard(0, COMMON, 4, TB_OK);
    ck_assert_uint_eq(told_ends, 2);
    tear_down();
}
END_TEST

START_TEST(what_is_dropped_is_never_heard_of)
{
    set_up(true);
    keep_busy(COMMON, 3, false);
    ask(COMMON, 4, false);
    tb_latest_drop(latest, COMMON);
    ck_assert_int_eq(letters, 1);
    /* cancelled, though the door is shut */
    wait_until(letters == 0);
    ck_assert_uint_eq(heard_count, 0);
    shut = false;
    ask(COMMON, 5, false);
    wait_until(heard_count == 1);
    ck_assert_heard(0, COMMON, 5, TB_OK);
    tear_down();
}
END_TEST

START_TEST(a_kind_that_is_held_waits_until_all_have_let_go)
{
    set_up(false);
    tb_latest_hold(latest, URGENT);
    tb_latest_hold(latest, URGENT);
    ask(URGENT, 3, false);
    ask(COMMON, 4, false);
    wait_until(heard_count == 1);
    ck_assert_heard(0, COMMON, 4, TB_OK);
    tb_latest_release(latest, URGENT);
    let_pass(30);
    ck_assert_uint_eq(heard_count, 1);
    tb_latest_release(latest, URGENT);
    wait_until(heard_count == 2);
    ck_assert_heard(1, URGENT, 3, TB_OK);
    tear_down();
}
END_TEST

START_TEST(all_that_is_given_up_says_so)
{
    set_up(false);
    keep_busy(COMMON, 3, false);
    ask(COMMON, 4, false);
    ask(URGENT, 5, false);
    tb_latest_cancel(latest);
    wait_until(heard_count == 3);
    ck_assert_heard(0, URGENT, 5, TB_E_CANCELLED);
    ck_assert_heard(1, COMMON, 4, TB_E_CANCELLED);
    ck_assert_heard(2, COMMON, 3, TB_E_CANCELLED);
    ck_assert_int_eq(begun, 3);
    tear_down();
}
END_TEST

START_TEST(a_kind_was_given_up_until_the_next_of_it_is_begun)
{
    set_up(false);
    tb_latest_hold(latest, URGENT);
    ask(URGENT, 3, false);
    tb_latest_cancel(latest);
    ck_assert(tb_latest_is_given_up(latest, URGENT));
    ck_assert(!tb_latest_is_given_up(latest, COMMON));
    ask(URGENT, 4, false);
    ck_assert(tb_latest_is_given_up(latest, URGENT));
    tb_latest_release(latest, URGENT);
    wait_until(begun == 4);
    ck_assert(!tb_latest_is_given_up(latest, URGENT));
    tear_down();
}
END_TEST

START_TEST(long_work_tells_how_far_it_is_and_that_it_has_ended)
{
    set_up(false);
    telling = true;
    keep_busy(COMMON, 3, false);
    wait_until(told > 3);
    ck_assert_double_eq(last_share, 1);
    ck_assert_uint_eq(told_ends, 0);
    shut = false;
    wait_until(heard_count == 1);
    ck_assert_uint_eq(told_ends, 1);
    tear_down();
}
END_TEST

START_TEST(work_that_is_quickly_done_is_not_worth_a_word)
{
    set_up(false);
    telling = true;
    for (int i = 0; i < 3; i++) {
        ask(COMMON, i, false);
        wait_until(heard_count == (size_t)i + 1);
    }
    ck_assert_uint_eq(told, 0);
    ck_assert_uint_eq(told_ends, 3);
    tear_down();
}
END_TEST

START_TEST(one_that_goes_drops_what_waits_runs_and_is_undelivered)
{
    set_up(false);
    ask(COMMON, 2, false);
    while (answered != 1)
        g_usleep(1000);
    shut = true;
    ask(COMMON, 3, false);
    /* then 2 is on its way, but the loop has not run */
    while (begun != 3)
        g_usleep(1000);
    ask(COMMON, 4, false);
    ask(URGENT, 5, false);
    ck_assert_int_eq(letters, 4);
    tear_down();
    let_pass(30);
    ck_assert_uint_eq(heard_count, 0);
}
END_TEST

static void
go_at_once(void *user, unsigned kind, guint64 ticket, void *letter, const TbFault *fault)
{
    deliver(user, kind, ticket, letter, fault);
    tb_latest_free(latest);
    latest = NULL;
}

START_TEST(its_owner_may_let_it_go_as_an_answer_comes)
{
    owner = g_thread_self();
    latest = tb_latest_new(&(TbLatestDef){.name = "counter",
                                          .kinds = KINDS,
                                          .free_letter = letter_free,
                                          .answer = answer,
                                          .deliver = go_at_once});
    ask(COMMON, 3, false);
    ask(URGENT, 4, false);
    wait_until(latest == NULL);
    ck_assert_uint_eq(heard_count, 1);
    ck_assert_int_eq(letters, 0);
}
END_TEST

static void
add(Suite *suite, const char *name, const TTest *test)
{
    TCase *tests = tcase_create(name);

    tcase_set_timeout(tests, TB_TEST_LIMIT);
    tcase_add_test(tests, test);
    suite_add_tcase(suite, tests);
}

int
main(void)
{
    Suite *suite = suite_create("app/latest");

#define ADD(test) add(suite, #test, test)
    ADD(each_question_that_is_waited_for_is_answered_under_a_rising_ticket);
    ADD(of_those_that_wait_the_last_alone_is_answered_and_what_runs_is_let_finish);
    ADD(what_makes_way_is_given_up_for_a_newer_one_of_its_kind_only);
    ADD(where_the_newest_alone_counts_an_older_answer_is_dropped);
    ADD(what_is_dropped_is_never_heard_of);
    ADD(a_kind_that_is_held_waits_until_all_have_let_go);
    ADD(all_that_is_given_up_says_so);
    ADD(a_kind_was_given_up_until_the_next_of_it_is_begun);
    ADD(long_work_tells_how_far_it_is_and_that_it_has_ended);
    ADD(work_that_is_quickly_done_is_not_worth_a_word);
    ADD(one_that_goes_drops_what_waits_runs_and_is_undelivered);
    ADD(its_owner_may_let_it_go_as_an_answer_comes);
    return tb_test_main(suite);
}
