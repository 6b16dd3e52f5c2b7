/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "motion/chance.h"
#include "tap.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdlib.h>

/* The three known answers that the method's authors publish for philox4x32, ten rounds: nothing,
 * all ones, digits of pi. */
static const struct {
    uint32_t counter[4], key[2], bits[4];
} known[] = {
    {{0, 0, 0, 0}, {0, 0}, {0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8}},
    {{0xffffffff, 0xffffffff, 0xffffffff, 0xffffffff},
     {0xffffffff, 0xffffffff},
     {0x408f276d, 0x41c83b0e, 0xa20bc7c6, 0x6d5451fd}},
    {{0x243f6a88, 0x85a308d3, 0x13198a2e, 0x03707344},
     {0xa4093822, 0x299f31d0},
     {0xd16cfe09, 0x94fdcceb, 0x5001e420, 0x24126ea1}},
};

START_TEST(the_bits_are_those_of_the_published_answers)
{
    uint32_t bits[4];

    tb_chance_bits(known[_i].counter, known[_i].key, bits);
    for (int k = 0; k < 4; k++)
        ck_assert_uint_eq(bits[k], known[_i].bits[k]);
}
END_TEST

START_TEST(a_sample_is_the_same_whatever_was_drawn_before)
{
    double first[7], again[7], other[7];

    tb_chance_normals(4711, 123456789012345, 2, first, 7);
    for (uint64_t i = 0; i < 50; i++)
        tb_chance_normals(4711, i, 2, other, 7);
    tb_chance_normals(4711, 123456789012345, 2, again, 7);
    for (int k = 0; k < 7; k++)
        ck_assert_double_eq(first[k], again[k]);
    tb_chance_normals(4711, 123456789012345, 3, other, 7);
    ck_assert_double_ne(first[0], other[0]);
    tb_chance_normals(4712, 123456789012345, 2, other, 7);
    ck_assert_double_ne(first[0], other[0]);
}
END_TEST

static int
by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;

    return (x > y) - (x < y);
}

enum { DRAWN = 60000 };

/** Largest distance of the drawn numbers' distribution from the true one (Kolmogorov). */
static double
furthest(double drawn[], double (*cdf)(double))
{
    double most = 0;

    qsort(drawn, DRAWN, sizeof *drawn, by_size);
    for (int i = 0; i < DRAWN; i++) {
        double p = cdf(drawn[i]);

        most = fmax(most, fmax(fabs(p - (double)i / DRAWN), fabs(p - (double)(i + 1) / DRAWN)));
    }
    return most;
}

static double
even_cdf(double x)
{
    return 0.5 * (x + 1);
}

static double
normal_cdf(double x)
{
    return gsl_cdf_ugaussian_P(x);
}

/* The distance is beyond 1.95 / sqrt(n) in one of a thousand seeds; this one's is what it is. */
START_TEST(normals_are_normal_and_evens_even)
{
    static double drawn[DRAWN];
    double limit = 1.95 / sqrt(DRAWN);

    for (int i = 0; i < DRAWN; i += 5)
        tb_chance_normals(99, (uint64_t)i, 0, drawn + i, 5);
    ck_assert_double_lt(furthest(drawn, normal_cdf), limit);
    for (int i = 0; i < DRAWN; i += 5)
        tb_chance_evens(99, (uint64_t)i, 0, drawn + i, 5);
    ck_assert_double_lt(furthest(drawn, even_cdf), limit);
}
END_TEST

START_TEST(neighbouring_numbers_and_samples_do_not_hang_together)
{
    double xy = 0, xx = 0, before = 0;

    for (int i = 0; i < DRAWN; i++) {
        double z[2];

        tb_chance_normals(7, (uint64_t)i, 1, z, 2);
        xy += z[0] * z[1];
        xx += z[0] * before;
        before = z[0];
    }
    /* each sum has deviation sqrt(n) */
    ck_assert_double_lt(fabs(xy), 4 * sqrt(DRAWN));
    ck_assert_double_lt(fabs(xx), 4 * sqrt(DRAWN));
}
END_TEST

START_TEST(none_or_all_of_a_hundred_has_a_closed_form)
{
    double low, high;

    tb_chance_interval(0, 100, 0.95, &low, &high);
    ck_assert_double_eq(low, 0);
    ck_assert_double_eq_tol(high, 1 - pow(0.025, 0.01), 1e-12);
    tb_chance_interval(100, 100, 0.95, &low, &high);
    ck_assert_double_eq_tol(low, pow(0.025, 0.01), 1e-12);
    ck_assert_double_eq(high, 1);
}
END_TEST

/** Probability of k hits or fewer. */
static double
at_most(int k, int n, double p)
{
    double term = pow(1 - p, n), sum = term;

    for (int i = 1; i <= k; i++) {
        term *= (double)(n - i + 1) / i * p / (1 - p);
        sum += term;
    }
    return sum;
}

/* By definition: with the upper end, as few hits have a chance of 2.5 %; with the lower, as many.
 */
START_TEST(an_interval_ends_where_the_hits_seen_would_be_a_rare_chance)
{
    static const int hits[] = {1, 3, 10, 57, 99};

    for (int i = 0; i < 5; i++) {
        double low, high;

        tb_chance_interval((uint64_t)hits[i], 137, 0.95, &low, &high);
        ck_assert_double_eq_tol(at_most(hits[i], 137, high), 0.025, 1e-9);
        ck_assert_double_eq_tol(1 - at_most(hits[i] - 1, 137, low), 0.025, 1e-9);
    }
}
END_TEST

/** Normal approximation of Wilson (J. Amer. Statist. Assoc. 22 (1927) 209), good for many trials.
 */
START_TEST(intervals_of_many_trials_are_near_those_of_the_normal_approximation)
{
    static const uint64_t counts[] = {30000, 40000, 1000000};

    for (int i = 0; i < 3; i++) {
        double n = (double)counts[i], p = 0.167, z = 1.959964, low, high;
        uint64_t hits = (uint64_t)(p * n);
        double middle = (p + z * z / (2 * n)) / (1 + z * z / n);
        double half = z * sqrt(p * (1 - p) / n + z * z / (4 * n * n)) / (1 + z * z / n);

        tb_chance_interval(hits, counts[i], 0.95, &low, &high);
        ck_assert_double_eq_tol(low, middle - half, 0.02 * half + 1 / n);
        ck_assert_double_eq_tol(high, middle + half, 0.02 * half + 1 / n);
    }
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("motion/chance");
    TCase *one = tcase_create("chance");

    tcase_add_loop_test(one, the_bits_are_those_of_the_published_answers, 0, 3);
    tcase_add_test(one, a_sample_is_the_same_whatever_was_drawn_before);
    tcase_add_test(one, normals_are_normal_and_evens_even);
    tcase_add_test(one, neighbouring_numbers_and_samples_do_not_hang_together);
    tcase_add_test(one, none_or_all_of_a_hundred_has_a_closed_form);
    tcase_add_test(one, an_interval_ends_where_the_hits_seen_would_be_a_rare_chance);
    tcase_add_test(one, intervals_of_many_trials_are_near_those_of_the_normal_approximation);
    suite_add_tcase(suite, one);
    return tb_test_main(suite);
}
