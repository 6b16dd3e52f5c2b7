/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "tap.h"

#include "study/cache.h"

#include <math.h>

static TbStatus
make_double(const void *input, TbTask *task, void **value, TbFault *fault)
{
    const int *number = input;

    (void)task;
    (void)fault;
    *value = g_memdup2(number, sizeof *number);
    *(int *)*value *= 2;
    return TB_OK;
}

static const TbSort sort = {
    .what = "numbers", .make = make_double, .free_value = g_free, .free_input = g_free};
static const TbSort other = {
    .what = "others", .make = make_double, .free_value = g_free, .free_input = g_free};

static TbEntry *
need(TbCache *cache, TbKey *key, int number, bool *is_new)
{
    return tb_cache_need(cache, key, &sort, g_memdup2(&number, sizeof number), is_new);
}

/* A key of so many words that differs from its like in one of them. */
static TbKey *
long_key(int words, int which)
{
    TbKey *key = tb_key_new(7);

    for (int i = 1; i < words; i++)
        tb_key_add_word(key, i == which ? 1000 : (uint64_t)i);
    return key;
}

START_TEST(keys_of_any_length_are_told_apart_by_each_word)
{
    TbCache *cache = tb_cache_new();
    static const int lengths[] = {2, 39, 40, 41, 79, 80, 81, 333};
    bool is_new;

    for (size_t l = 0; l < G_N_ELEMENTS(lengths); l++) {
        for (int which = 0; which < lengths[l]; which++) {
            need(cache, long_key(lengths[l], which), which, &is_new);
            ck_assert(is_new);
        }
        ck_assert_int_eq(tb_cache_settle(cache, NULL, NULL, NULL), TB_OK);
        for (int which = 0; which < lengths[l]; which++) {
            TbEntry *entry = need(cache, long_key(lengths[l], which), 0, &is_new);

            ck_assert(!is_new);
            ck_assert_int_eq(*(int *)entry->value, 2 * which);
        }
    }
    tb_cache_free(cache);
}
END_TEST

static TbKey *
text_key(const char *one, const char *two)
{
    TbKey *key = tb_key_new(1);

    tb_key_add_text(key, one);
    tb_key_add_text(key, two);
    return key;
}

START_TEST(texts_in_a_row_do_not_run_together)
{
    static const char *const texts[][2] = {{"", ""},          {"a", ""},        {"", "a"},
                                           {"ab", "c"},       {"a", "bc"},      {"abcdefgh", "i"},
                                           {"abcdefg", "hi"}, {"abcdefghi", ""}};
    TbCache *cache = tb_cache_new();
    bool is_new;

    for (size_t i = 0; i < G_N_ELEMENTS(texts); i++) {
        need(cache, text_key(texts[i][0], texts[i][1]), 1, &is_new);
        ck_assert(is_new);
    }
    need(cache, text_key(NULL, NULL), 1, &is_new);
    ck_assert(!is_new);
    tb_cache_free(cache);
}
END_TEST

START_TEST(numbers_are_told_apart_by_their_bits_and_sorts_by_themselves)
{
    static const double numbers[] = {0, -0.0, 1, INFINITY, NAN};
    TbCache *cache = tb_cache_new();
    bool is_new;

    for (int round = 0; round < 2; round++)
        for (size_t i = 0; i < G_N_ELEMENTS(numbers); i++) {
            TbKey *key = tb_key_new(1);

            tb_key_add_number(key, numbers[i]);
            need(cache, key, 1, &is_new);
            ck_assert(is_new == (round == 0));
        }
    tb_cache_need(cache, tb_key_new(1), &sort, g_new0(int, 1), &is_new);
    ck_assert(is_new);
    tb_cache_need(cache, tb_key_new(1), &other, g_new0(int, 1), &is_new);
    ck_assert(is_new);
    tb_cache_free(cache);
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("study/cache");
    TCase *c = tcase_create("cache");

    tcase_add_test(c, keys_of_any_length_are_told_apart_by_each_word);
    tcase_add_test(c, texts_in_a_row_do_not_run_together);
    tcase_add_test(c, numbers_are_told_apart_by_their_bits_and_sorts_by_themselves);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
