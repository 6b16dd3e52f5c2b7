/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/skin_change.h"

#include "geom/solid.h"
#include "tap.h"

#include <check.h>
#include <math.h>

/** mm. Rows of the path's table. */
#define STEP 5.0

static TbMesh *
tube(TbVec3 from, TbVec3 to, double radius)
{
    TbSolid *solid = NULL;
    TbMesh *mesh = NULL;
    TbFault fault = {0};
    TbPlain rod = {.kind = TB_PLAIN_ROD, .rod = {from, to, radius, radius}};

    solid = tb_solid_new();
    ck_assert_msg(tb_solid_add_plain(solid, &rod, TB_ROLE_SKIN, &fault) == TB_OK, "%s", fault.text);
    ck_assert_msg(tb_solid_mesh(solid, TB_SKIN_CHORD, &mesh, &fault) == TB_OK, "%s", fault.text);
    tb_solid_unref(solid);
    return mesh;
}

/** A straight path along X from 101.3, 217.4 mm long. */
static TbResultDuct
path(TbStationRow rows[44])
{
    for (size_t i = 0; i < 44; i++)
        rows[i] = (TbStationRow){.station = STEP * (double)i,
                                 .point = {101.3 + STEP * (double)i, -37.7, 412.9}};
    return (TbResultDuct){.rows = rows, .row_count = 44, .length = 215};
}

static const TbVec3 start = {101.3, -37.7, 412.9}, end = {318.7, -37.7, 412.9};

static TbSkinChange *
change_of(TbMesh *before, TbMesh *after)
{
    TbStationRow rows[44];
    TbResultDuct duct = path(rows);
    TbSkinChange *change = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_skin_change(before, after, &duct, NULL, &change, &fault) == TB_OK, "%s",
                  fault.text);
    tb_mesh_unref(before);
    tb_mesh_unref(after);
    return change;
}

START_TEST(a_thicker_tube_went_outwards_by_what_its_radius_grew)
{
    TbSkinChange *change = change_of(tube(start, end, 21.4), tube(start, end, 22.7));

    ck_assert_double_eq_tol(change->most_out, 1.3, 2 * TB_SKIN_CHORD);
    ck_assert_double_ge(change->most_in, -2 * TB_SKIN_CHORD);
    for (size_t i = 2; i + 2 < change->count; i++)
        ck_assert_double_eq_tol(change->out[i], 1.3, 2 * TB_SKIN_CHORD);
    tb_skin_change_free(change);
}
END_TEST

START_TEST(a_thinner_tube_went_inwards)
{
    TbSkinChange *change = change_of(tube(start, end, 22.7), tube(start, end, 21.4));

    ck_assert_double_eq_tol(change->most_in, -1.3, 2 * TB_SKIN_CHORD);
    ck_assert_double_le(change->most_out, 2 * TB_SKIN_CHORD);
    tb_skin_change_free(change);
}
END_TEST

START_TEST(a_shifted_tube_went_both_ways_by_its_shift)
{
    const TbVec3 shift = {0, 0.87, 0};
    TbSkinChange *change = change_of(
        tube(start, end, 21.4), tube(tb_vec3_add(start, shift), tb_vec3_add(end, shift), 21.4));

    ck_assert_double_eq_tol(change->most_out, 0.87, 2 * TB_SKIN_CHORD);
    ck_assert_double_eq_tol(change->most_in, -0.87, 2 * TB_SKIN_CHORD);
    /* around the tube a point's deviation is the shift times a cosine: 2/pi of it in the mean;
     * the two ends, which slide in themselves, are 6 % of the skin */
    ck_assert_double_eq_tol(change->mean, 0.87 * 2 / M_PI, 0.09);
    tb_skin_change_free(change);
}
END_TEST

START_TEST(the_same_skin_did_not_move)
{
    TbSkinChange *change = change_of(tube(start, end, 21.4), tube(start, end, 21.4));

    ck_assert_double_le(change->most_out, 1e-9);
    ck_assert_double_ge(change->most_in, -1e-9);
    ck_assert_double_le(change->mean, 1e-9);
    tb_skin_change_free(change);
}
END_TEST

/* Seen: a rod that only became thicker was told to have gone inwards by 4 mm, at one askew axis in
 * twenty: at the rim the nearest triangle was the cap's, and rounding said on which side of it. */
START_TEST(an_askew_tube_that_grew_went_outwards_only)
{
    double turn = 0.31 * _i, lift = 0.17 * _i;
    TbVec3 axis = {cos(turn) * cos(lift), sin(turn) * cos(lift), sin(lift)};
    TbVec3 tip = tb_vec3_add(start, tb_vec3_scale(axis, 217.4));
    TbSkinChange *change = change_of(tube(start, tip, 21.4), tube(start, tip, 26.4));

    ck_assert_double_ge(change->most_in, -2 * TB_SKIN_CHORD);
    ck_assert_double_eq_tol(change->most_out, 5, 2 * TB_SKIN_CHORD);
    tb_skin_change_free(change);
}
END_TEST

START_TEST(a_longer_tube_shows_at_its_end)
{
    const TbVec3 further = {321.1, -37.7, 412.9};
    TbSkinChange *change = change_of(tube(start, end, 21.4), tube(start, further, 21.4));

    ck_assert_double_eq_tol(change->most_out, 2.4, 1e-6);
    ck_assert_double_eq(change->station_out, 215);
    for (size_t i = 0; i + 2 < change->count; i++)
        ck_assert_double_le(change->out[i], 2 * TB_SKIN_CHORD);
    tb_skin_change_free(change);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("study/skin_change");
    TCase *tubes = tcase_create("tubes");

    tcase_add_test(tubes, a_thicker_tube_went_outwards_by_what_its_radius_grew);
    tcase_add_test(tubes, a_thinner_tube_went_inwards);
    tcase_add_test(tubes, a_shifted_tube_went_both_ways_by_its_shift);
    tcase_add_test(tubes, the_same_skin_did_not_move);
    tcase_add_loop_test(tubes, an_askew_tube_that_grew_went_outwards_only, 0, 7);
    tcase_add_test(tubes, a_longer_tube_shows_at_its_end);
    tcase_set_timeout(tubes, 60);
    suite_add_tcase(suite, tubes);
    return tb_test_main(suite);
}
