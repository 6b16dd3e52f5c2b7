/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/outline.h"

#include "base/mem.h"

#include "section_scenes.h"
#include "tap.h"

enum { COUNT = 72 };

static TbVec3 point[COUNT];

/** A straight path along x of one section; H is +Z, W is -Y. */
static TbSweep *
straight_of(TbSection section)
{
    TbVec3 knots[2] = {{0, 0, 0}, {100, 0, 0}};
    TbSectionRow row = {.section = section};
    TbCurve *curve = NULL;
    TbSweep *sweep = NULL;

    ck_assert_int_eq(tb_curve_smooth_new(knots, 2, NULL, NULL, &curve, NULL), TB_OK);
    ck_assert_int_eq(
        tb_sweep_new(&(TbSweepDef){.curve = curve, .rows = &row, .row_count = 1}, &sweep, NULL),
        TB_OK);
    tb_curve_unref(curve);
    return sweep;
}

static void
outline_of(TbSweep *sweep)
{
    TbDisc disc = tb_sweep_at(sweep, 37.3);

    ck_assert_int_eq(tb_outline_around(&disc, true, COUNT, TB_OUTLINE_SAGITTA, point), TB_OK);
    for (int k = 0; k < COUNT; k++)
        ck_assert_double_eq_tol(tb_disc_angle(&disc, point[k]),
                                -M_PI + (k + 0.5) * 2 * M_PI / COUNT, 1e-9);
}

START_TEST(circle_has_its_radius_at_every_angle)
{
    TbSweep *sweep = straight_of(tb_section_superellipse(83.4, 83.4, 2));

    outline_of(sweep);
    for (int k = 0; k < COUNT; k++) {
        double r = hypot(point[k].y, point[k].z);

        ck_assert_double_le(r, 41.7 + 1e-9);
        ck_assert_double_ge(r, 41.7 - TB_OUTLINE_SAGITTA);
        ck_assert_double_eq_tol(point[k].x, 37.3, 1e-9);
    }
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(a_wide_sagitta_is_held_and_leaves_angles_alone)
{
    TbSweep *sweep = straight_of(tb_section_superellipse(91.7, 42.3, 5));
    TbDisc disc = tb_sweep_at(sweep, 37.3);
    static TbVec3 wide[COUNT];
    double most = 0;

    outline_of(sweep);
    ck_assert_int_eq(tb_outline_around(&disc, true, COUNT, 0.1, wide), TB_OK);
    for (int k = 0; k < COUNT; k++) {
        ck_assert_double_eq_tol(tb_disc_angle(&disc, wide[k]), -M_PI + (k + 0.5) * 2 * M_PI / COUNT,
                                1e-9);
        /* along a ray that leans on the outline by 45 degrees the sagitta is longer by a root of 2
         */
        most = fmax(most, tb_vec3_distance(wide[k], point[k]));
    }
    ck_assert_double_lt(most, 0.1 * M_SQRT2);
    ck_assert_double_gt(most, TB_OUTLINE_SAGITTA);
    tb_sweep_unref(sweep);
}
END_TEST

/* What steps of the normal leave out: the middle of a flat side. */
START_TEST(flat_sides_have_as_many_points_as_their_angle_takes)
{
    TbSweep *sweep = straight_of(tb_section_superellipse(91.7, 42.3, 9));
    int on_top = 0, wanted = 0;

    outline_of(sweep);
    for (int k = 0; k < COUNT; k++) {
        double angle = -M_PI + (k + 0.5) * 2 * M_PI / COUNT;

        wanted += fabs(angle) < atan2(25, 42.3 / 2);
        on_top += fabs(point[k].y) < 25 && point[k].z > 20;
        /* |y/a|^9 + |z/b|^9 = 1, less the chord's sagitta */
        ck_assert_double_eq_tol(pow(fabs(point[k].y) / 45.85, 9) + pow(fabs(point[k].z) / 21.15, 9),
                                1, 0.02);
    }
    ck_assert_int_ge(wanted, 19);
    ck_assert_int_eq(on_top, wanted);
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(section_beside_its_path_falls_back_to_normals)
{
    TbSection section = tb_section_superellipse(31.3, 31.3, 2);
    TbSweep *sweep;
    TbDisc disc;

    section.offset = tb_vec2(40, 0);
    sweep = straight_of(section);
    disc = tb_sweep_at(sweep, 51.1);
    ck_assert_int_eq(tb_outline_around(&disc, true, COUNT, TB_OUTLINE_SAGITTA, point), TB_OK);
    for (int k = 0; k < COUNT; k++) {
        TbVec3 want = tb_disc_point(&disc, -M_PI + (k + 0.5) * 2 * M_PI / COUNT, true, NULL);

        ck_assert_double_eq(tb_vec3_distance(want, point[k]), 0);
    }
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(outline_without_room_says_so)
{
    TbSweep *sweep = straight_of(tb_section_superellipse(31.3, 31.3, 2));
    TbDisc disc = tb_sweep_at(sweep, 51.1);

    tb_mem_fail_at(1);
    ck_assert_int_eq(tb_outline_around(&disc, true, COUNT, TB_OUTLINE_SAGITTA, point), TB_E_MEMORY);
    tb_mem_fail_at(0);
    tb_sweep_unref(sweep);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/outline");
    TCase *tests = tcase_create("outline");

    tcase_add_test(tests, circle_has_its_radius_at_every_angle);
    tcase_add_test(tests, a_wide_sagitta_is_held_and_leaves_angles_alone);
    tcase_add_test(tests, flat_sides_have_as_many_points_as_their_angle_takes);
    tcase_add_test(tests, section_beside_its_path_falls_back_to_normals);
    tcase_add_test(tests, outline_without_room_says_so);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
