/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/text.h"
#include "tap.h"

#include <float.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

static uint64_t
next_random(uint64_t *state)
{
    /* xorshift64*: Vigna, "An experimental exploration of Marsaglia's xorshift generators", 2016 */
    *state ^= *state >> 12;
    *state ^= *state << 25;
    *state ^= *state >> 27;
    return *state * 2685821657736338717u;
}

static const struct {
    double x;
    const char *text;
} shortest[] = {
    {0.0, "0"},
    {-0.0, "-0"},
    {0.1, "0.1"},
    {1.0 / 3, "0.3333333333333333"},
    {-43.7, "-43.7"},
    {100000, "100000"},
    {1500000, "1500000"},
    {123456789012345, "123456789012345"},
    {1e15, "1e+15"},
    {-2.5e-7, "-2.5e-07"},
    {5e-324, "5e-324"},
    {DBL_MAX, "1.7976931348623157e+308"},
    {0.1 + 0.2, "0.30000000000000004"},
    {(double)INFINITY, "inf"},
    {(double)-INFINITY, "-inf"},
    {(double)NAN, "nan"},
};

START_TEST(a_number_is_written_with_the_digits_it_needs)
{
    char text[TB_TEXT_NUMBER];

    tb_text_from_double(shortest[_i].x, text);
    ck_assert_str_eq(text, shortest[_i].text);
}
END_TEST

START_TEST(any_bits_come_back_as_they_were)
{
    uint64_t state = 20240613;
    char text[TB_TEXT_NUMBER];

    for (int i = 0; i < 20000; i++) {
        uint64_t bits = next_random(&state);
        double x, back = 0;

        memcpy(&x, &bits, sizeof x);
        if (!isfinite(x))
            continue;
        tb_text_from_double(x, text);
        ck_assert_uint_lt(strlen(text), TB_TEXT_NUMBER);
        ck_assert_msg(tb_text_to_double(text, strlen(text), &back), "%s", text);
        ck_assert_msg(memcmp(&x, &back, sizeof x) == 0, "%s", text);
    }
}
END_TEST

START_TEST(numbers_of_a_drawing_come_back_as_they_were_and_stay_short)
{
    uint64_t state = 99;
    char text[TB_TEXT_NUMBER];

    for (int i = 0; i < 20000; i++) {
        double x = (double)((int64_t)(next_random(&state) % 20000001) - 10000000) / 1000;
        double back = 0;

        tb_text_from_double(x, text);
        /* -10000.000 to 10000.000: a sign, five digits, a mark and three decimals */
        ck_assert_msg(strlen(text) <= 10 && strchr(text, 'e') == NULL, "%s", text);
        ck_assert(tb_text_to_double(text, strlen(text), &back));
        ck_assert(x == back);
    }
}
END_TEST

static const struct {
    double x;
    int decimals;
    const char *text;
} fixed[] = {
    {43.7451, 2, "43.75"},
    {-43.7451, 1, "-43.7"},
    {0.04, 1, "0.0"},
    {-0.04, 1, "0.0"},
    {-0.0, 0, "0"},
    {-0.4, 0, "0"},
    {-0.06, 1, "-0.1"},
    {-10, 0, "-10"},
    {1e15, 12, "1000000000000000.000000000000"},
    {-1e15, 12, "-1000000000000000.000000000000"},
    {2e15, 3, "2e+15"},
    {DBL_MAX, 12, "1.7976931348623157e+308"},
    {(double)NAN, 2, "nan"},
};

START_TEST(fixed_decimals_are_rounded_and_never_a_negative_nothing)
{
    char text[TB_TEXT_NUMBER];

    tb_text_fixed(fixed[_i].x, fixed[_i].decimals, text);
    ck_assert_str_eq(text, fixed[_i].text);
}
END_TEST

static const struct {
    const char *text;
    double x;
} good[] = {
    {"12.5", 12.5}, {" 12.5\n", 12.5}, {"\t-3", -3},       {"+4.25", 4.25},
    {".5", 0.5},    {"5.", 5},         {"1e3", 1000},      {"1E-3", 0.001},
    {"-0", -0.0},   {"00012", 12},     {"4e-324", 5e-324}, {"1e400", (double)INFINITY},
};

START_TEST(one_number_that_fills_the_text_is_read)
{
    double x = 77;

    ck_assert(tb_text_to_double(good[_i].text, strlen(good[_i].text), &x));
    ck_assert_mem_eq(&x, &good[_i].x, sizeof x);
}
END_TEST

static const char *const bad[] = {
    "",    " ",   "x",     "12,5", "12.5 3", "1 2",  "nan",   "inf",   "-inf",     "0x10", "1e",
    "--1", "+-1", "1.2.3", ".",    "e5",     "12mm", "1_000", "1e5.5", "infinity", "1d3",
};

START_TEST(what_is_not_one_number_is_refused_and_leaves_the_number_alone)
{
    double x = 77;

    ck_assert_msg(!tb_text_to_double(bad[_i], strlen(bad[_i]), &x), "'%s'", bad[_i]);
    ck_assert_double_eq(x, 77);
}
END_TEST

START_TEST(bytes_past_the_length_are_not_looked_at)
{
    const char text[4] = {'4', '2', '9', '9'}; /* no zero at the end */
    double x = 0;

    ck_assert(tb_text_to_double(text, 2, &x));
    ck_assert_double_eq(x, 42);
    ck_assert(tb_text_to_double(text, 4, &x));
    ck_assert_double_eq(x, 4299);
}
END_TEST

START_TEST(a_zero_byte_inside_is_no_number)
{
    double x = 77;

    ck_assert(!tb_text_to_double("4\0002", 3, &x));
    ck_assert(!tb_text_to_double("42\000", 3, &x));
    ck_assert(!tb_text_to_double("\00042", 3, &x));
    ck_assert_double_eq(x, 77);
}
END_TEST

START_TEST(four_hundred_digits_are_read_and_four_hundred_and_one_are_not)
{
    char text[401];
    double x = 77;

    memset(text, '0', sizeof text);
    text[1] = '.';
    text[2] = '7';
    ck_assert(tb_text_to_double(text, 400, &x));
    ck_assert_double_eq(x, 0.7);
    ck_assert(!tb_text_to_double(text, 401, &x));
}
END_TEST

START_TEST(a_text_that_does_not_fit_is_cut_between_letters)
{
    /* e acute 2 bytes, euro 3 bytes, a clef outside the first plane 4 bytes */
    const char *all = "a\xC3\xA9\xE2\x82\xAC\xF0\x9D\x84\x9Ez";
    /* whole letters end after 0, 1, 3, 6, 10 and 11 bytes */
    static const size_t kept[] = {0, 1, 1, 3, 3, 3, 6, 6, 6, 6, 10, 11};
    char out[16];

    for (size_t room = 0; room <= 11; room++) {
        memset(out, '#', sizeof out);
        ck_assert_uint_eq(tb_text_format(out, room + 1, "%s", all), 11);
        ck_assert_msg(strlen(out) == kept[room], "room for %zu: %zu", room, strlen(out));
        ck_assert_mem_eq(out, all, kept[room]);
        ck_assert_int_eq(out[room + 1], '#');
    }
}
END_TEST

START_TEST(a_stray_continuation_byte_is_not_worth_a_crash)
{
    char out[4];

    ck_assert_uint_eq(tb_text_format(out, sizeof out, "%s", "\x80\x80\x80\x80\x80"), 5);
    ck_assert_uint_eq(tb_text_format(out, sizeof out, "%s", "a\xFF\x80\x80\x80"), 5);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("base/text");
    TCase *one = tcase_create("text");

#define COUNT(array) (int)(sizeof array / sizeof array[0])
    tcase_add_loop_test(one, a_number_is_written_with_the_digits_it_needs, 0, COUNT(shortest));
    tcase_add_test(one, any_bits_come_back_as_they_were);
    tcase_add_test(one, numbers_of_a_drawing_come_back_as_they_were_and_stay_short);
    tcase_add_loop_test(one, fixed_decimals_are_rounded_and_never_a_negative_nothing, 0,
                        COUNT(fixed));
    tcase_add_loop_test(one, one_number_that_fills_the_text_is_read, 0, COUNT(good));
    tcase_add_loop_test(one, what_is_not_one_number_is_refused_and_leaves_the_number_alone, 0,
                        COUNT(bad));
    tcase_add_test(one, bytes_past_the_length_are_not_looked_at);
    tcase_add_test(one, a_zero_byte_inside_is_no_number);
    tcase_add_test(one, four_hundred_digits_are_read_and_four_hundred_and_one_are_not);
    tcase_add_test(one, a_text_that_does_not_fit_is_cut_between_letters);
    tcase_add_test(one, a_stray_continuation_byte_is_not_worth_a_crash);
    suite_add_tcase(suite, one);
    return tb_test_main(suite);
}
