/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "physics/diffuser.h"
#include "tap.h"

#include <math.h>
#include <string.h>

#define DEGREE (M_PI / 180)
#define COUNT(array) (int)(sizeof array / sizeof array[0])

START_TEST(between_four_tabled_values_the_loss_is_their_weighted_mean)
{
    double loss = -1;

    /* n 0.43 is 0.3 of the way from 0.4 to 0.5, 32.5 degrees a quarter from 30 to 40:
     * 0.7 (0.75 * 0.23 + 0.25 * 0.33) + 0.3 (0.75 * 0.16 + 0.25 * 0.23) */
    ck_assert_int_eq(tb_diffuser_loss_tabled(32.5 * DEGREE, 0.43, &loss, NULL), TB_OK);
    ck_assert_double_eq_tol(loss, 0.23175, 1e-12);
}
END_TEST

START_TEST(no_loss_is_less_than_at_the_best_angle)
{
    for (int i = 1; i < 19; i++)
        for (int k = 1; k < 10; k++) {
            double ratio = 0.05 * i;
            double friction = 0.0037 * k;
            double best = -1;
            double least = -1;
            double other = -1;

            if (tb_diffuser_best_angle(ratio, friction, &best, NULL) != TB_OK)
                continue;
            ck_assert_int_eq(tb_diffuser_loss(best, ratio, friction, &least, NULL), TB_OK);
            for (double at = 0.2 * DEGREE; at < TB_DIFFUSER_STEEPEST; at += 0.31 * DEGREE) {
                ck_assert_int_eq(tb_diffuser_loss(at, ratio, friction, &other, NULL), TB_OK);
                if (other < least)
                    ck_abort_msg("n %g, friction %g: %g at %g degrees is below %g at %g", ratio,
                                 friction, other, at / DEGREE, least, best / DEGREE);
            }
        }
}
END_TEST

START_TEST(a_rough_short_step_has_its_best_angle_beyond_the_formula)
{
    TbFault fault = {0};
    double angle = 77;

    ck_assert_int_eq(tb_diffuser_best_angle(0.97, 0.09, &angle, &fault), TB_E_RANGE);
    ck_assert_double_eq(angle, 77);
    ck_assert_str_eq(fault.text,
                     "the angle of least loss at area ratio 0.97 and friction factor 0.09 is "
                     "beyond 40 degrees, where the formula ends");
}
END_TEST

static const struct {
    double angle, ratio, friction; /* degrees */
    const char *text;
} refused[] = {
    {0, 0.5, 0.02, "a diffuser's full angle is 0 degrees, above 0 to 40 is needed"},
    {40.5, 0.5, 0.02, "a diffuser's full angle is 40.5 degrees, above 0 to 40 is needed"},
    {(double)NAN, 0.5, 0.02, "a diffuser's full angle is nan degrees, above 0 to 40 is needed"},
    {7, 0, 0.02, "a diffuser's area ratio is 0, between 0 and 1 is needed"},
    {7, 1, 0.02, "a diffuser's area ratio is 1, between 0 and 1 is needed"},
    {7, (double)NAN, 0.02, "a diffuser's area ratio is nan, between 0 and 1 is needed"},
    {7, 0.5, -0.01, "a friction factor is -0.01, 0 or more is needed"},
    {7, 0.5, (double)INFINITY, "a friction factor is inf, 0 or more is needed"},
};

START_TEST(the_formula_refuses_what_is_outside_with_the_number)
{
    TbFault fault = {0};
    double loss = 77;

    ck_assert_int_eq(tb_diffuser_loss(refused[_i].angle * DEGREE, refused[_i].ratio,
                                      refused[_i].friction, &loss, &fault),
                     TB_E_RANGE);
    ck_assert_double_eq(loss, 77);
    ck_assert_str_eq(fault.text, refused[_i].text);
}
END_TEST

static const struct {
    double angle, ratio;
    const char *text;
} untabled[] = {
    {2.9, 0.5, "a diffuser's full angle is 2.9 degrees, the table has 3 to 180"},
    {181, 0.5, "a diffuser's full angle is 181 degrees, the table has 3 to 180"},
    {7, 0.09, "a diffuser's area ratio is 0.09, the table has 0.1 to 0.6"},
    {7, 0.61, "a diffuser's area ratio is 0.61, the table has 0.1 to 0.6"},
    {7, (double)NAN, "a diffuser's area ratio is nan, the table has 0.1 to 0.6"},
};

START_TEST(the_table_refuses_what_is_outside_with_the_number)
{
    TbFault fault = {0};
    double loss = 77;

    ck_assert_int_eq(
        tb_diffuser_loss_tabled(untabled[_i].angle * DEGREE, untabled[_i].ratio, &loss, &fault),
        TB_E_RANGE);
    ck_assert_double_eq(loss, 77);
    ck_assert_str_eq(fault.text, untabled[_i].text);
}
END_TEST

START_TEST(a_wall_without_friction_has_no_best_angle)
{
    TbFault fault = {0};
    double angle = 77;

    ck_assert_int_eq(tb_diffuser_best_angle(0.5, 0, &angle, &fault), TB_E_RANGE);
    ck_assert_str_eq(fault.text, "a friction factor is 0, above 0 is needed");
    ck_assert_int_eq(tb_diffuser_best_angle(1.2, 0.02, &angle, &fault), TB_E_RANGE);
    ck_assert_double_eq(angle, 77);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("physics/diffuser");
    TCase *one = tcase_create("diffuser");

    tcase_add_test(one, between_four_tabled_values_the_loss_is_their_weighted_mean);
    tcase_add_test(one, no_loss_is_less_than_at_the_best_angle);
    tcase_add_test(one, a_rough_short_step_has_its_best_angle_beyond_the_formula);
    tcase_add_loop_test(one, the_formula_refuses_what_is_outside_with_the_number, 0,
                        COUNT(refused));
    tcase_add_loop_test(one, the_table_refuses_what_is_outside_with_the_number, 0, COUNT(untabled));
    tcase_add_test(one, a_wall_without_friction_has_no_best_angle);
    suite_add_tcase(suite, one);
    return tb_test_main(suite);
}
