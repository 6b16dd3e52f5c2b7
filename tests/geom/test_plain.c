/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "tap.h"

#include "geom/plain.h"
#include "geom/tol.h"

#include <gsl/gsl_rng.h>

/** An L: 31.7 x 23.9 less a corner of 12.3 x 9.1. */
static const TbVec2 ell[6] = {{4.1, -2.7},  {35.8, -2.7}, {35.8, 12.1},
                              {23.5, 12.1}, {23.5, 21.2}, {4.1, 21.2}};

static TbPlain
outline(const TbVec2 points[], size_t count, double depth, double rounding)
{
    TbPose pose = tb_pose_turn(tb_vec3(0, 0, 0), tb_vec3(-0.3, 1.7, 0.9), 1.311);

    return (TbPlain){
        .kind = TB_PLAIN_OUTLINE,
        .outline = {{11.3, -37.9, 19.1}, pose.x, pose.y, points, count, depth, rounding}};
}

static TbPlain
leaning_block(void)
{
    TbPlain plain = tb_plain_block_between(tb_vec3(-21.3, -9.1, -33.7), tb_vec3(21.3, 9.1, 33.7));

    return tb_plain_moved(&plain,
                          tb_pose_turn(tb_vec3(7.1, 3.3, -2.9), tb_vec3(1.3, -0.7, 0.4), 0.937));
}

static const TbPlain cone = {.kind = TB_PLAIN_ROD,
                             .rod = {{11.3, -37.9, 19.1}, {51.9, 3.3, -22.3}, 17.3, 6.1}};
static const TbPlain ball = {.kind = TB_PLAIN_BALL, .ball = {{11.3, -37.9, 19.1}, 27.3}};

/** Share of random points of its box that lie inside, times the box: the slow volume. */
static double
volume_by_counting(const TbPlain *plain, int count)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbBox3 box = tb_plain_box(plain);
    TbVec3 size = tb_vec3_sub(box.high, box.low);
    int inside = 0;

    gsl_rng_set(rng, 3301);
    for (int i = 0; i < count; i++) {
        TbVec3 p = {box.low.x + size.x * gsl_rng_uniform(rng),
                    box.low.y + size.y * gsl_rng_uniform(rng),
                    box.low.z + size.z * gsl_rng_uniform(rng)};

        inside += tb_plain_distance(plain, p) < 0;
    }
    gsl_rng_free(rng);
    return size.x * size.y * size.z * inside / count;
}

static void
assert_refused(const TbPlain *plain, TbStatus status, const char *text)
{
    TbFault fault = {0};

    ck_assert_int_eq(tb_plain_check(plain, &fault), status);
    ck_assert_str_eq(fault.text, text);
}

START_TEST(good_shapes_pass_the_check)
{
    TbPlain block = leaning_block();
    TbPlain plate = outline(ell, 6, 13.1, 2.3);

    ck_assert_int_eq(tb_plain_check(&block, NULL), TB_OK);
    ck_assert_int_eq(tb_plain_check(&plate, NULL), TB_OK);
    ck_assert_int_eq(tb_plain_check(&cone, NULL), TB_OK);
    ck_assert_int_eq(tb_plain_check(&ball, NULL), TB_OK);
}
END_TEST

START_TEST(check_names_the_field_and_its_number)
{
    TbPlain block = leaning_block();
    TbPlain plate = outline(ell, 6, 13.1, 2.3);
    TbPlain rod = cone;
    TbPlain small = ball;
    TbVec2 bad[3] = {{0.3, 0.1}, {NAN, 0.2}, {0.3, 7.7}};
    TbPlain notched = outline(bad, 3, 13.1, 0);

    block.block.half[1] = -2.5;
    assert_refused(&block, TB_E_RANGE,
                   "half size 2 of the block is -2.5 mm, outside 1e-05 to 10000 mm");
    block = leaning_block();
    block.block.axis[1].x += 0.01;
    assert_refused(&block, TB_E_DEGENERATE, "axes of the block are not unit and square");
    block = leaning_block();
    block.block.centre.y = 20000;
    assert_refused(&block, TB_E_RANGE,
                   "centre of the block is 20000 mm, outside -10000 to 10000 mm");
    rod.rod.radius_b = -0.25;
    assert_refused(&rod, TB_E_RANGE, "second radius of the rod is -0.25 mm, outside 0 to 2000 mm");
    rod.rod.radius_a = 0;
    rod.rod.radius_b = 0;
    assert_refused(&rod, TB_E_RANGE, "larger radius of the rod is 0 mm, outside 1e-05 to 2000 mm");
    rod = cone;
    rod.rod.b = rod.rod.a;
    assert_refused(&rod, TB_E_DEGENERATE, "ends of the rod are 0 mm apart");
    small.ball.radius = INFINITY;
    assert_refused(&small, TB_E_RANGE, "radius of the ball is inf mm, outside 1e-05 to 2000 mm");
    plate.outline.depth = 0;
    assert_refused(&plate, TB_E_RANGE, "depth of the outline is 0 mm, outside 1e-05 to 10000 mm");
    plate = outline(ell, 6, 13.1, -1.5);
    assert_refused(&plate, TB_E_RANGE, "rounding of the outline is -1.5 mm, outside 0 to 2000 mm");
    plate = outline(ell, 2, 13.1, 0);
    assert_refused(&plate, TB_E_DEGENERATE, "a polygon needs 3 points, 2 given");
    assert_refused(&notched, TB_E_RANGE,
                   "point of the outline is nan mm, outside -10000 to 10000 mm");
}
END_TEST

START_TEST(volumes_are_those_of_the_handbook)
{
    TbPlain block = leaning_block();
    TbPlain plate = outline(ell, 6, 13.1, 0);
    double area = 31.7 * 23.9 - 12.3 * 9.1;
    double length = sqrt(40.6 * 40.6 + 41.2 * 41.2 + 41.4 * 41.4);

    ck_assert_double_eq_tol(tb_plain_volume(&block), 42.6 * 18.2 * 67.4, 1e-9);
    ck_assert_double_eq_tol(tb_plain_volume(&plate), area * 13.1, 1e-9);
    ck_assert_double_eq_tol(tb_plain_volume(&ball), 4 * M_PI / 3 * pow(27.3, 3), 1e-9);
    /* frustum: pi h / 3 (R^2 + R r + r^2) */
    ck_assert_double_eq_tol(tb_plain_volume(&cone),
                            M_PI / 3 * length * (17.3 * 17.3 + 17.3 * 6.1 + 6.1 * 6.1), 1e-8);
}
END_TEST

START_TEST(rounded_rectangle_has_steiner_s_volume)
{
    /* a x b x c grown by r: abc + 2(ab+bc+ca) r + pi (a+b+c) r^2 + 4/3 pi r^3 */
    const TbVec2 p[4] = {{1.1, 2.3}, {1.1, 19.9}, {33.4, 19.9}, {33.4, 2.3}};
    double a = 32.3;
    double b = 17.6;
    double c = 13.1;
    double r = 4.7;
    TbPlain plate = outline(p, 4, c, r);

    ck_assert_double_eq_tol(tb_plain_volume(&plate),
                            a * b * c + 2 * (a * b + b * c + c * a) * r +
                                M_PI * (a + b + c) * r * r + 4 * M_PI / 3 * r * r * r,
                            1e-8);
}
END_TEST

START_TEST(volumes_agree_with_counting_points)
{
    TbPlain shape[5] = {leaning_block(), cone, ball, outline(ell, 6, 13.1, 0),
                        outline(ell, 6, 13.1, 3.1)};

    /* 400,000 points: scatter 1 / sqrt(n) of the share, below 0.2 percent; three times that */
    for (int i = 0; i < 5; i++)
        ck_assert_double_eq_tol(volume_by_counting(&shape[i], 400000), tb_plain_volume(&shape[i]),
                                0.006 * tb_plain_volume(&shape[i]));
}
END_TEST

START_TEST(box_touches_the_shape_on_all_six_sides)
{
    TbPlain shape[5] = {leaning_block(), cone, ball, outline(ell, 6, 13.1, 0),
                        outline(ell, 6, 13.1, 3.1)};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 417);
    for (int i = 0; i < 5; i++) {
        TbBox3 box = tb_plain_box(&shape[i]);
        TbVec3 size = tb_vec3_sub(box.high, box.low);
        double least[6] = {INFINITY, INFINITY, INFINITY, INFINITY, INFINITY, INFINITY};

        /* outside the box all distances are above 0; on each face one comes near 0 */
        for (int k = 0; k < 60000; k++) {
            int face = k % 6;
            double at[3] = {gsl_rng_uniform(rng), gsl_rng_uniform(rng), gsl_rng_uniform(rng)};
            TbVec3 p;
            double d;

            at[face % 3] = face / 3;
            p = tb_vec3(box.low.x + at[0] * size.x, box.low.y + at[1] * size.y,
                        box.low.z + at[2] * size.z);
            d = tb_plain_distance(&shape[i], p);
            ck_assert_double_ge(d, -1e-9);
            least[face] = fmin(least[face], d);
        }
        for (int face = 0; face < 6; face++)
            ck_assert_double_le(least[face], 0.9);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(distances_have_the_right_sign_and_size)
{
    TbPlain block = tb_plain_block_between(tb_vec3(10, 20, 30), tb_vec3(17, 29, 41));
    TbPlain rod = {.kind = TB_PLAIN_ROD, .rod = {{3, 5, 7}, {33, 5, 7}, 4, 12}};
    TbPlain plate = {.kind = TB_PLAIN_OUTLINE,
                     .outline = {{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, ell, 6, 13.1, 2.3}};

    ck_assert_double_eq_tol(tb_plain_distance(&block, tb_vec3(13, 24, 36)), -3, 1e-12);
    ck_assert_double_eq_tol(tb_plain_distance(&block, tb_vec3(20, 33, 41)), 5, 1e-12);
    ck_assert_double_eq_tol(tb_plain_distance(&block, tb_vec3(20, 33, 53)), 13, 1e-12);
    /* in the middle of the cone, and off its large end's rim: 3-4-5 */
    ck_assert_double_eq_tol(tb_plain_distance(&rod, tb_vec3(36, 5, 23)), 5, 1e-12);
    ck_assert_double_eq_tol(tb_plain_distance(&rod, tb_vec3(18, 5, 7)),
                            -8 * 30 / sqrt(30 * 30 + 8 * 8), 1e-12);
    ck_assert_double_eq_tol(tb_plain_distance(&rod, tb_vec3(1, 5, 7)), 2, 1e-12);
    ck_assert_double_eq_tol(tb_plain_distance(&ball, tb_vec3(11.3, -37.9, 59.1)), 12.7, 1e-12);
    /* plate: over the face, beside an edge, in the notch, inside */
    ck_assert_double_eq_tol(tb_plain_distance(&plate, tb_vec3(10, 5, 20)), 20 - 13.1 - 2.3, 1e-12);
    ck_assert_double_eq_tol(tb_plain_distance(&plate, tb_vec3(38.8, 5, 17.1)), 5 - 2.3, 1e-12);
    ck_assert_double_eq_tol(tb_plain_distance(&plate, tb_vec3(28.5, 20.2, 6)), 5 - 2.3, 1e-12);
    ck_assert_double_eq_tol(tb_plain_distance(&plate, tb_vec3(6.1, 5, 6)), -2 - 2.3, 1e-12);
}
END_TEST

START_TEST(moving_keeps_distances_and_growing_scales_them)
{
    TbPose pose =
        tb_pose_compose(tb_pose_growth(tb_vec3(3.3, -8.1, 9.9), 1.0137),
                        tb_pose_turn(tb_vec3(40.1, -7.9, 3.1), tb_vec3(0.3, 0.9, -0.5), 2.417));
    TbPlain shape[3] = {leaning_block(), cone, ball};

    for (int i = 0; i < 3; i++) {
        TbPlain moved = tb_plain_moved(&shape[i], pose);

        ck_assert_int_eq(tb_plain_check(&moved, NULL), TB_OK);
        ck_assert_double_eq_tol(tb_plain_volume(&moved),
                                pow(1.0137, 3) * tb_plain_volume(&shape[i]), 1e-6);
        for (int k = 0; k < 200; k++) {
            TbVec3 p = {-60 + 1.7 * k, 30 - 0.9 * k, 11.3 + 0.2 * k};

            ck_assert_double_eq_tol(tb_plain_distance(&moved, tb_pose_point(pose, p)),
                                    1.0137 * tb_plain_distance(&shape[i], p), 1e-10);
        }
    }
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/plain");
    TCase *tests = tcase_create("plain");

    tcase_add_test(tests, good_shapes_pass_the_check);
    tcase_add_test(tests, check_names_the_field_and_its_number);
    tcase_add_test(tests, volumes_are_those_of_the_handbook);
    tcase_add_test(tests, rounded_rectangle_has_steiner_s_volume);
    tcase_add_test(tests, volumes_agree_with_counting_points);
    tcase_add_test(tests, box_touches_the_shape_on_all_six_sides);
    tcase_add_test(tests, distances_have_the_right_sign_and_size);
    tcase_add_test(tests, moving_keeps_distances_and_growing_scales_them);
    tcase_set_timeout(tests, 60);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
