/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bays.h"

#include "base/mem.h"
#include "bay/datum.h"

#include <gsl/gsl_rng.h>
#include <math.h>

static const TbVec3 from[3] = {{1177.8, -218.2, 735}, {1366, -64, 303}, {1057, 225, 608}};
static const char *const names[3] = {"turbine bolt", "clamp bolt", "head stud 1"};

static TbVec3
any_point(gsl_rng *rng, double reach)
{
    return tb_vec3(reach * (2 * gsl_rng_uniform(rng) - 1), reach * (2 * gsl_rng_uniform(rng) - 1),
                   reach * (2 * gsl_rng_uniform(rng) - 1));
}

START_TEST(a_point_is_found_again_from_its_three_distances)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    for (int i = 0; i < 2000; i++) {
        TbVec3 at[3] = {any_point(rng, 900), any_point(rng, 900), any_point(rng, 900)};
        TbVec3 p = any_point(rng, 900);
        TbVec3 n = tb_vec3_cross(tb_vec3_sub(at[1], at[0]), tb_vec3_sub(at[2], at[0]));
        double high = tb_vec3_dot(tb_vec3_sub(p, at[0]), tb_vec3_unit(n));
        double r[3];
        double spread = 0;
        TbVec3 found = {0, 0, 0};
        TbVec3 other = {0, 0, 0};

        if (tb_vec3_length(n) < 5e4 || fabs(high) < 20)
            continue; /* nearly on one line, or nearly in the plane: see `spread` */
        for (int k = 0; k < 3; k++)
            r[k] = tb_vec3_distance(p, at[k]);
        ck_assert_int_eq(
            tb_point_by_distances(at, NULL, r, tb_vec3_scale(n, high), &found, &spread, NULL),
            TB_OK);
        ck_assert_double_lt(tb_vec3_distance(found, p), 1e-7);
        ck_assert_double_ge(spread, sqrt(3) - 1e-9); /* three square distances are the best */
        ck_assert_int_eq(
            tb_point_by_distances(at, NULL, r, tb_vec3_scale(n, -high), &other, NULL, NULL), TB_OK);
        ck_assert_double_eq_tol(tb_vec3_distance(other, p), 2 * fabs(high), 1e-6);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(spread_says_what_a_millimetre_on_the_tape_does)
{
    TbVec3 p = {1260, -90, 640};
    TbVec3 up = {0, 0, 1};
    double r[3];
    double spread = 0;
    double sum = 0;
    TbVec3 base = {0, 0, 0};

    for (int k = 0; k < 3; k++)
        r[k] = tb_vec3_distance(p, from[k]);
    ck_assert_int_eq(tb_point_by_distances(from, NULL, r, up, &base, &spread, NULL), TB_OK);
    for (int k = 0; k < 3; k++) { /* by differences, one distance after the other */
        TbVec3 moved = {0, 0, 0};

        r[k] += 1e-4;
        ck_assert_int_eq(tb_point_by_distances(from, NULL, r, up, &moved, NULL, NULL), TB_OK);
        r[k] -= 1e-4;
        sum += tb_vec3_length2(tb_vec3_scale(tb_vec3_sub(moved, base), 1e4));
    }
    ck_assert_double_eq_tol(spread, sqrt(sum), 1e-3 * spread);
}
END_TEST

START_TEST(distances_that_do_not_meet_say_by_how_much)
{
    static const TbVec3 line[3] = {{0, 0, 0}, {100, 0, 0}, {230, 0.25, 0}};
    static const TbVec3 same[3] = {{5, 5, 5}, {5, 5, 5}, {230, 0.25, 0}};
    static const TbVec3 flat[3] = {{0, 0, 0}, {300, 0, 0}, {0, 400, 0}};
    TbVec3 up = {0, 0, 1};
    TbVec3 p = {-7.5, 0, 0};
    TbFault fault = {0};
    double spread = 0;

    ck_assert_int_eq(
        tb_point_by_distances(flat, names, (double[3]){120, 130.5, 400}, up, &p, NULL, &fault),
        TB_E_DEGENERATE);
    ck_assert_str_eq(fault.text, "120.0 and 130.5 mm from turbine bolt and clamp bolt, which are "
                                 "300.0 mm apart, do not meet: 49.5 mm are missing");
    ck_assert_int_eq(
        tb_point_by_distances(flat, names, (double[3]){900, 130, 400}, up, &p, NULL, &fault),
        TB_E_DEGENERATE);
    ck_assert_str_eq(fault.text, "900.0 and 130.0 mm from turbine bolt and clamp bolt, which are "
                                 "300.0 mm apart, do not meet: 470.0 mm are too much between them");
    /* the first two meet on a circle of radius sqrt(250^2 - 150^2) = 200 about (150, 0, 0): from
     * (0, 400, 0) it is hypot(150, 200) = 250 to hypot(150, 600) = 618.47 away */
    ck_assert_int_eq(
        tb_point_by_distances(flat, names, (double[3]){250, 250, 630}, up, &p, NULL, &fault),
        TB_E_DEGENERATE);
    ck_assert_str_eq(fault.text, "630.0 mm from head stud 1 do not meet the other two distances, "
                                 "by 11.5 mm: those need 250.0 to 618.5 mm");
    ck_assert_int_eq(
        tb_point_by_distances(line, NULL, (double[3]){90, 90, 200}, up, &p, NULL, &fault),
        TB_E_DEGENERATE);
    ck_assert_str_eq(fault.text,
                     "the three points lie on one line: the third point is only 0.25 mm beside it");
    ck_assert_int_eq(
        tb_point_by_distances(same, names, (double[3]){90, 90, 200}, up, &p, NULL, &fault),
        TB_E_DEGENERATE);
    ck_assert_int_eq(
        tb_point_by_distances(flat, names, (double[3]){-90, 90, 200}, up, &p, NULL, &fault),
        TB_E_RANGE);
    ck_assert_double_eq(p.x, -7.5);
    /* in the plane of the three the tape says nothing about the height */
    ck_assert_int_eq(
        tb_point_by_distances(flat, NULL, (double[3]){250, 250, 250}, up, &p, &spread, &fault),
        TB_OK);
    ck_assert_double_lt(tb_vec3_distance(p, tb_vec3(150, 200, 0)), 1e-6);
    ck_assert(isinf(spread));
}
END_TEST

START_TEST(ports_fasteners_and_balls_are_points_to_measure_from)
{
    TbBay *bay = read_small();
    TbDatum *datums = NULL;
    size_t count = 0;
    const TbDatum *joint = NULL;
    const TbDatum *out = NULL;

    ck_assert_int_eq(tb_bay_datums(bay, "high", &datums, &count, NULL), TB_OK);
    ck_assert_uint_eq(count,
                      tb_bay_count(bay, TB_LIST_PORTS) + tb_bay_count(bay, TB_LIST_FASTENERS) + 1);
    for (size_t i = 0; i < count; i++) {
        if (strcmp(datums[i].id, "steering-joint") == 0)
            joint = &datums[i];
        if (strcmp(datums[i].id, "catalyst-in") == 0)
            out = &datums[i];
    }
    ck_assert_double_eq(joint->point.y, 252); /* mirrored in this variant */
    ck_assert_str_eq(joint->name, "steering-joint");
    ck_assert_double_eq(out->point.z, 315); /* the engine is 12 mm up */
    tb_free(datums);
    ck_assert_int_eq(tb_bay_datums(bay, "no", &datums, &count, NULL), TB_E_REFERENCE);
    tb_bay_unref(bay);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("bay/datum");
    TCase *tcase = tcase_create("datum");

    tcase_add_test(tcase, a_point_is_found_again_from_its_three_distances);
    tcase_add_test(tcase, spread_says_what_a_millimetre_on_the_tape_does);
    tcase_add_test(tcase, distances_that_do_not_meet_say_by_how_much);
    tcase_add_test(tcase, ports_fasteners_and_balls_are_points_to_measure_from);
    suite_add_tcase(suite, tcase);
    return tb_test_main(suite);
}
