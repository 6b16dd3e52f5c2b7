/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "physics/diffuser.h"
#include "tap.h"

#include <math.h>

#define DEGREE (M_PI / 180)
#define COUNT(array) (int)(sizeof array / sizeof array[0])

/* Idelchik, Handbook of Hydraulic Resistance: loss of widening of conical diffusers with uniform
 * inlet, in inlet velocity heads, as printed in the open library "fluids" (MIT licence). */
static const double angles[] = {3, 6, 8, 10, 12, 14, 16, 20, 24, 30, 40, 60, 90, 180};
static const struct {
    double ratio, loss[14];
} rows[] = {
    {0.1, {0.03, 0.07, 0.09, 0.12, 0.15, 0.18, 0.22, 0.29, 0.38, 0.52, 0.75, 0.93, 0.89, 0.83}},
    {0.2, {0.02, 0.05, 0.07, 0.10, 0.12, 0.15, 0.17, 0.23, 0.30, 0.41, 0.59, 0.74, 0.70, 0.65}},
    {0.25, {0.02, 0.05, 0.06, 0.08, 0.10, 0.13, 0.15, 0.20, 0.26, 0.35, 0.47, 0.65, 0.62, 0.58}},
    {0.3, {0.02, 0.04, 0.05, 0.07, 0.09, 0.11, 0.13, 0.18, 0.23, 0.31, 0.40, 0.57, 0.54, 0.50}},
    {0.4, {0.01, 0.03, 0.04, 0.06, 0.07, 0.08, 0.10, 0.13, 0.17, 0.23, 0.33, 0.41, 0.39, 0.37}},
    {0.5, {0.01, 0.02, 0.03, 0.04, 0.05, 0.06, 0.07, 0.09, 0.12, 0.16, 0.23, 0.29, 0.28, 0.26}},
    {0.6, {0.01, 0.01, 0.02, 0.03, 0.03, 0.04, 0.05, 0.06, 0.08, 0.10, 0.15, 0.18, 0.17, 0.16}},
};

START_TEST(the_table_gives_its_own_values)
{
    for (int j = 0; j < COUNT(angles); j++) {
        double loss = -1;

        ck_assert_int_eq(tb_diffuser_loss_tabled(angles[j] * DEGREE, rows[_i].ratio, &loss, NULL),
                         TB_OK);
        ck_assert_double_eq_tol(loss, rows[_i].loss[j], 1e-12);
    }
}
END_TEST

/* The formula is a fit: to the last digit of the table up to 24 degrees, and half a tenth beyond,
 * where the table is not smooth itself (n of 0.25 and 0.3 at 40 degrees). */
START_TEST(the_formula_is_near_the_table)
{
    for (int i = 0; rows[i].ratio <= 0.5; i++)
        for (int j = 0; angles[j] <= 40; j++) {
            double within = angles[j] <= 24 ? 0.009 : 0.045;
            double loss = -1;

            ck_assert_int_eq(tb_diffuser_loss(angles[j] * DEGREE, rows[i].ratio, 0, &loss, NULL),
                             TB_OK);
            ck_assert_msg(fabs(loss - rows[i].loss[j]) < within, "n %g, %g degrees: %g, table %g",
                          rows[i].ratio, angles[j], loss, rows[i].loss[j]);
        }
}
END_TEST

/* Idelchik's formula (from memory of the handbook); the numbers are computed from it in closed form
 * to six decimals. */
static const struct {
    double angle, ratio, friction, widening, wall; /* degrees, then velocity heads */
} sums[] = {
    {7, 0.5, 0.02, 0.024333, 0.030713},
    {10, 0.5, 0.02, 0.038065, 0.021513},
    {7, 0.25, 0.02, 0.054749, 0.038392},
};

START_TEST(the_formula_adds_widening_and_wall)
{
    double smooth = -1;
    double rough = -1;

    ck_assert_int_eq(tb_diffuser_loss(sums[_i].angle * DEGREE, sums[_i].ratio, 0, &smooth, NULL),
                     TB_OK);
    ck_assert_int_eq(
        tb_diffuser_loss(sums[_i].angle * DEGREE, sums[_i].ratio, sums[_i].friction, &rough, NULL),
        TB_OK);
    ck_assert_double_eq_tol(smooth, sums[_i].widening, 5e-7);
    ck_assert_double_eq_tol(rough - smooth, sums[_i].wall, 5e-7);
}
END_TEST

/* Minimum of the formula, computed by scipy to four decimals, and Idelchik's closed estimate (from
 * memory of the handbook), computed to three. */
static const struct {
    double ratio, friction, best, estimate; /* degrees */
} minima[] = {
    {0.5, 0.02, 7.0185, 7.056},
    {0.4, 0.02, 6.2794, 6.310},
    {0.5, 0.015, 6.1791, 6.209},
    {0.25, 0.02, 5.4095, 5.434},
};

START_TEST(the_angle_of_least_loss_is_where_it_was_computed_before)
{
    double angle = -1;
    double estimate;

    ck_assert_int_eq(tb_diffuser_best_angle(minima[_i].ratio, minima[_i].friction, &angle, NULL),
                     TB_OK);
    estimate = tb_diffuser_best_angle_estimate(minima[_i].ratio, minima[_i].friction);
    ck_assert_double_eq_tol(angle / DEGREE, minima[_i].best, 5.1e-5);
    ck_assert_double_eq_tol(estimate / DEGREE, minima[_i].estimate, 5.1e-4);
}
END_TEST

/* The limit that a bay gets without asking is the angle of least loss at area ratio 2 and friction
 * factor 0.02, to the whole degree: it is derived, not chosen. */
START_TEST(the_default_limit_is_the_angle_of_least_loss)
{
    double angle = -1;

    ck_assert_int_eq(tb_diffuser_best_angle(0.5, 0.02, &angle, NULL), TB_OK);
    ck_assert_double_eq_tol(TB_DIFFUSER_LIMIT / DEGREE, round(angle / DEGREE), 1e-12);
    ck_assert_double_eq_tol(TB_DIFFUSER_LIMIT, angle, 0.02 * DEGREE);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("external/diffuser");
    TCase *one = tcase_create("diffuser");

    tcase_add_loop_test(one, the_table_gives_its_own_values, 0, COUNT(rows));
    tcase_add_test(one, the_formula_is_near_the_table);
    tcase_add_loop_test(one, the_formula_adds_widening_and_wall, 0, COUNT(sums));
    tcase_add_loop_test(one, the_angle_of_least_loss_is_where_it_was_computed_before, 0,
                        COUNT(minima));
    tcase_add_test(one, the_default_limit_is_the_angle_of_least_loss);
    suite_add_tcase(suite, one);
    return tb_test_main(suite);
}
