/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/root.h"
#include "tap.h"

#include <gsl/gsl_rng.h>
#include <math.h>

/** Coefficients of the product of (x - r_i). */
static void
expand(const double r[], int count, double out[])
{
    out[0] = 1;
    for (int i = 0; i < count; i++) {
        out[i + 1] = 0;
        for (int j = i + 1; j > 0; j--)
            out[j] = out[j - 1] - r[i] * out[j];
        out[0] *= -r[i];
    }
}

START_TEST(every_root_inside_is_found_and_none_outside)
{
    double r[6] = {-0.7, 0.113, 0.297, 0.298, 0.931, 1.4}, coef[7], out[6];
    size_t count;

    expand(r, 6, coef);
    count = tb_poly_roots(coef, 6, 0, 1, out);
    ck_assert_uint_eq(count, 4);
    for (int i = 0; i < 4; i++)
        ck_assert_double_eq_tol(out[i], r[i + 1], 1e-11);
    ck_assert_uint_eq(tb_poly_roots(coef, 6, -1, 2, out), 6);
    ck_assert_double_eq_tol(out[0], -0.7, 1e-12);
}
END_TEST

START_TEST(random_polynomials_change_sign_only_at_their_roots)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 118);
    for (int round = 0; round < 2000; round++) {
        int degree = 1 + (int)gsl_rng_uniform_int(rng, 12);
        double coef[13], out[12], low = -3 * gsl_rng_uniform(rng),
                                  high = low + 0.1 + 5 * gsl_rng_uniform(rng);
        size_t count, next = 0;

        for (int i = 0; i <= degree; i++)
            coef[i] = gsl_rng_uniform(rng) - 0.5;
        count = tb_poly_roots(coef, degree, low, high, out);
        for (int i = 0; i < 1000; i++) {
            double a = low + (high - low) * i / 1000, b = low + (high - low) * (i + 1) / 1000;
            int inside = 0;

            while (next < count && out[next] < b) {
                ck_assert_double_ge(out[next], a);
                inside++;
                next++;
            }
            if ((tb_poly_at(coef, degree, a) > 0) != (tb_poly_at(coef, degree, b) > 0))
                ck_assert_int_eq(inside % 2, 1);
        }
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(a_touching_root_is_found)
{
    double r[3] = {0.317, 0.317, 2}, coef[4], out[3];
    size_t count;

    expand(r, 3, coef);
    count = tb_poly_roots(coef, 3, 0, 1, out);
    ck_assert_uint_le(count, 2);
    for (size_t i = 0; i < count; i++)
        ck_assert_double_eq_tol(out[i], 0.317, 1e-7);
}
END_TEST

START_TEST(a_root_in_the_very_middle_is_found_once)
{
    double coef[2] = {-0.5, 1}, cubic[4] = {0, 0.5, -1.5, 1}, out[3];

    ck_assert_uint_eq(tb_poly_roots(coef, 1, 0, 1, out), 1);
    ck_assert_double_eq(out[0], 0.5);
    /* x (x - 1/2) (x - 1): the ends are not strictly inside */
    ck_assert_uint_eq(tb_poly_roots(cubic, 3, 0, 1, out), 1);
    ck_assert_double_eq_tol(out[0], 0.5, 1e-15);
}
END_TEST

START_TEST(constants_and_empty_intervals_have_none)
{
    double zero[4] = {0}, one[1] = {1}, line[2] = {-0.5, 1}, out[3];

    ck_assert_uint_eq(tb_poly_roots(zero, 3, 0, 1, out), 0);
    ck_assert_uint_eq(tb_poly_roots(one, 0, 0, 1, out), 0);
    ck_assert_uint_eq(tb_poly_roots(line, 1, 1, 0, out), 0);
    ck_assert_uint_eq(tb_poly_roots(line, 1, 1, NAN, out), 0);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/root");
    TCase *tc = tcase_create("roots");

    tcase_set_timeout(tc, 60);
    tcase_add_test(tc, every_root_inside_is_found_and_none_outside);
    tcase_add_test(tc, random_polynomials_change_sign_only_at_their_roots);
    tcase_add_test(tc, a_touching_root_is_found);
    tcase_add_test(tc, a_root_in_the_very_middle_is_found_once);
    tcase_add_test(tc, constants_and_empty_intervals_have_none);
    suite_add_tcase(suite, tc);
    return tb_test_main(suite);
}
