/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * Paths whose ends are carried by what they are joined to, each part with a warmth of its own:
 * where the ends come to lie, closed forms, numbers that both sides have in common, and sampled
 * warmths that are never below `lower`.
 */

#include "warm_scenes.h"

enum { SCENES = 24, POSES = 60 };

static void
clear(TbMovingAsk *ask)
{
    tb_solid_unref((TbSolid *)ask->a);
    tb_solid_unref((TbSolid *)ask->b);
}

START_TEST(carried_ends_lie_where_they_are_carried_to_and_face_as_before)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 61);
    for (int n = 0; n < 40; n++) {
        TbSweep *sweep = random_sweep(rng, between(rng, 20, 60)), *made;
        double length = tb_sweep_length(sweep), factor = between(rng, 0.99, 1.02);
        TbVec3 shift[2] = {tb_vec3_scale(random_direction(rng), between(rng, 0, 7)),
                           tb_vec3_scale(random_direction(rng), between(rng, 0, 7))};

        made = tb_sweep_drifted(sweep, factor, shift[0], shift[1]);
        ck_assert_ptr_nonnull(made);
        ck_assert_double_eq_tol(tb_sweep_length(made), factor * length, 1e-9);
        for (int e = 0; e < 2; e++) {
            TbDisc was = tb_sweep_at(sweep, e * length);
            TbDisc is = tb_sweep_at(made, e * tb_sweep_length(made));

            ck_assert_double_le(tb_vec3_distance(is.centre, tb_vec3_add(was.centre, shift[e])),
                                1e-9);
            ck_assert_double_le(tb_vec3_distance(is.frame.t, was.frame.t), 1e-12);
            ck_assert_double_eq_tol(is.slice.a, factor * was.slice.a, 1e-9);
        }
        tb_sweep_unref(made);
        tb_sweep_unref(sweep);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(what_is_fitted_at_an_end_goes_with_it)
{
    TbSolid *solid = solid_of_sweep(straight(tb_vec3(0, 0, 0), tb_vec3(300, 0, 0), 40)), *made;
    TbPlain flange = rod(tb_vec3(288, 0, 0), tb_vec3(300, 0, 0), 35), moved;

    ck_assert_int_eq(tb_solid_add_plain(solid, &flange, TB_ROLE_FLANGE, NULL), TB_OK);
    made = tb_solid_drifted(solid, 1.01, tb_vec3(0, 1, 0), tb_vec3(0, 0, 3));
    ck_assert_ptr_nonnull(made);
    moved = tb_solid_part(made, 1)->plain;
    ck_assert_double_eq_tol(moved.rod.b.x, 300, 1e-9);
    ck_assert_double_eq_tol(moved.rod.b.z, 3, 1e-9);
    ck_assert_double_eq_tol(moved.rod.a.x, 300 - 12 * 1.01, 1e-9);
    ck_assert_double_eq_tol(moved.rod.radius_a, 35 * 1.01, 1e-9);
    tb_solid_unref(made);
    tb_solid_unref(solid);
}
END_TEST

/* Straight, nearest to a ball over its middle, which each end's shift carries by a half: 40 off,
 * less half of 4 and half of 2, less the radius's growth of 0.2. */
START_TEST(a_duct_between_two_parts_is_worst_with_both_warm_under_its_middle)
{
    TbSweep *sweep = straight(tb_vec3(0, 0, 0), tb_vec3(300, 0, 0), 40);
    TbMovingAsk ask = {.width = 1e-4};
    TbMovingGap m;

    follow(&ask.motion_a, sweep, 1.01, tb_vec3(0, 0, 4), tb_vec3(0, 0, 2));
    ask.a = solid_of_sweep(sweep);
    ask.b = solid_of_plain(ball(tb_vec3(150, 0, 65), 5));
    m = ask_moving(&ask);
    /* the duct leans there, so a little less than straight down: bounded by the lean's cosine */
    ck_assert_double_le(m.gap.upper - m.gap.lower, 1e-4);
    ck_assert_double_le(m.gap.lower, 40 - 3 - 0.2);
    ck_assert_double_ge(m.gap.lower, 40 - 3 - 0.2 - 0.02);
    ck_assert_double_eq_tol(m.at_a[0], 1.01, 1e-9);
    ck_assert_double_eq_tol(m.at_a[1], 4, 1e-9);
    ck_assert_double_eq_tol(m.at_a[2], 2, 1e-9);
    check_witness(&ask, &m);
    clear(&ask);
}
END_TEST

/* A ball at the height that the start passes on its way: nearest with the start half warm. */
START_TEST(a_worst_warmth_inside_its_range_is_found)
{
    TbSweep *sweep = straight(tb_vec3(0, 0, 0), tb_vec3(300, 0, 0), 2);
    TbMovingAsk ask = {.width = 1e-4};
    TbMovingGap m;

    follow(&ask.motion_a, sweep, 1, tb_vec3(0, 0, 6), tb_vec3(0, 0, 6));
    ask.a = solid_of_sweep(sweep);
    ask.b = solid_of_plain(ball(tb_vec3(150, 9, 2.4), 3));
    m = ask_moving(&ask);
    ck_assert_double_le(m.gap.lower, 9 - 3 - 1);
    ck_assert_double_ge(m.gap.upper, 9 - 3 - 1);
    ck_assert_double_le(m.gap.upper - m.gap.lower, 1e-4);
    ck_assert_double_eq_tol(0.5 * (m.at_a[1] + m.at_a[2]), 2.4, 0.05);
    clear(&ask);
}
END_TEST

/** A ball 50 above a duct's start, both carried by the ball's growth of 0.5 % from 1000 below. */
static TbMovingAsk
tied_scene(bool tied, bool opposite)
{
    TbSweep *sweep = straight(tb_vec3(0, 0, 0), tb_vec3(300, 0, 0), 40);
    TbMovingAsk ask = {.width = 1e-3};

    follow(&ask.motion_a, sweep, 1, tb_vec3(0, 0, 5), tb_vec3(0, 0, 1e-3));
    ask.motion_a.freedom[1].high = 5;
    add(&ask.motion_b, TB_FREEDOM_GROWTH, tb_vec3(0, 0, -1000), tb_vec3(0, 0, 0), 1, 1.005);
    ask.a = solid_of_sweep(sweep);
    ask.b = solid_of_plain(ball(tb_vec3(0, 0, 50), 10));
    if (tied)
        ask.tie[ask.ties++] = (TbMovingTie){1, 0, opposite};
    return ask;
}

START_TEST(a_warmth_that_both_have_moves_both_at_once)
{
    TbMovingAsk ask = tied_scene(true, false);
    TbMovingGap m = ask_moving(&ask);

    ck_assert_double_le(m.gap.lower, 20); /* cold; hot it is 20.2 */
    ck_assert_double_ge(m.gap.upper, 20);
    ck_assert_double_le(m.gap.upper - m.gap.lower, 1e-3);
    ck_assert_double_eq_tol(m.at_a[1], 0, 1e-2);
    ck_assert_double_eq_tol(m.at_b[0], 1, 1e-4);
    clear(&ask);
    ask = tied_scene(false, false);
    m = ask_moving(&ask);
    ck_assert_double_eq_tol(m.gap.upper, 15, 1e-2); /* the duct hot, the ball cold */
    ck_assert_double_eq_tol(m.at_a[1], 5, 1e-9);
    ck_assert_double_eq_tol(m.at_b[0], 1, 1e-9);
    clear(&ask);
}
END_TEST

START_TEST(tied_backwards_one_is_cold_where_the_other_is_hot)
{
    TbMovingAsk ask = tied_scene(true, true);
    TbMovingGap m = ask_moving(&ask);

    ck_assert_double_eq_tol(m.gap.upper, 15, 1e-2);
    ck_assert_double_eq_tol(m.at_a[1], 5, 1e-2);
    ck_assert_double_eq_tol(m.at_b[0], 1, 1e-4);
    ck_assert_double_le(m.gap.upper - m.gap.lower, 1e-3);
    clear(&ask);
}
END_TEST

/* A part carries both ends of a duct 8 over it by 14 and grows by 13.7 itself: hot or cold the two
 * stay 8 and more apart. Were only one end tied, half of the duct could stay while the part grows.
 */
START_TEST(one_warmth_that_carries_both_ends_away_from_its_part_does_not_bring_them_nearer)
{
    TbSweep *sweep = straight(tb_vec3(0, 0, 28), tb_vec3(300, 0, 28), 40);
    TbMovingAsk ask = {.width = 1e-3, .ties = 1, .tie = {{1, 0, false}}};
    double factor = 1 + 23e-6 * 600;
    TbMovingGap m;

    follow(&ask.motion_a, sweep, 1, tb_vec3(0, 0, 1018 * (factor - 1)),
           tb_vec3(0, 0, 1018 * (factor - 1)));
    follow_one(&ask.motion_a);
    add(&ask.motion_b, TB_FREEDOM_GROWTH, tb_vec3(0, 0, -990), tb_vec3(0, 0, 0), 1, factor);
    ask.a = solid_of_sweep(sweep);
    ask.b = solid_of_plain(rod(tb_vec3(100, 0, -20), tb_vec3(200, 0, -20), 20));
    m = ask_moving(&ask);
    ck_assert_double_le(m.gap.lower, 8);
    ck_assert_double_ge(m.gap.upper, 8 - 1e-9);
    ck_assert_double_le(m.gap.upper - m.gap.lower, 1e-3);
    check_witness(&ask, &m);
    clear(&ask);
}
END_TEST

/* ---- at random ---- */

static int
check_scenes(int kind, unsigned long seed)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    int clear_ones = 0, settled = 0;

    gsl_rng_set(rng, seed);
    for (int n = 0; n < SCENES; n++) {
        TbMovingAsk ask = {.width = 1e-2, .depth_width = 1, .budget = 20000};
        TbMovingGap m;

        random_scene(rng, kind, &ask);
        m = ask_moving(&ask);
        if (m.gap.contact == TB_CLEAR) {
            clear_ones++;
            settled += m.gap.upper - m.gap.lower <= 1e-2;
            ck_assert_msg(m.gap.upper - m.gap.lower <= 1e-2 || m.gap.exhausted, "scene %d", n);
            check_witness(&ask, &m);
        }
        for (int k = 0; k < (m.gap.contact == TB_CLEAR ? POSES : 3); k++) {
            double qa[TB_MOTION_MOST], qb[TB_MOTION_MOST];
            TbGap at;

            sample(rng, &ask, qa, qb);
            ck_assert_int_eq(tb_moving_gap_at(&ask, qa, qb, NULL, &at, NULL), TB_OK);
            ck_assert_msg(at.upper >= m.gap.lower - TB_TOL_ROUND, "scene %d: %.9f below %.9f", n,
                          at.upper, m.gap.lower);
        }
        clear(&ask);
    }
    gsl_rng_free(rng);
    ck_assert_int_ge(clear_ones, SCENES / 2);
    ck_assert_int_ge(settled, clear_ones - 2);
    return clear_ones * POSES;
}

START_TEST(sampled_warmths_are_never_below_lower)
{
    check_scenes(0, 11);
    check_scenes(BOTH, 13);
}
END_TEST

START_TEST(sampled_warmths_of_what_rocks_besides_are_never_below_lower)
{
    check_scenes(ROCKS, 17);
    check_scenes(ROCKS | BOTH, 19);
}
END_TEST

START_TEST(sampled_warmths_that_are_tied_are_never_below_lower)
{
    check_scenes(TIED, 23);
    check_scenes(TIED | BOTH, 29);
}
END_TEST

START_TEST(sampled_warmths_that_carry_both_ends_at_once_are_never_below_lower)
{
    check_scenes(ONE, 41);
    check_scenes(ONE | ROCKS, 43);
    check_scenes(ONE | TIED, 47);
    check_scenes(ONE | TIED | BOTH, 53);
}
END_TEST

/** Points of a drifted duct's skin beside its certified distance from a ball. */
START_TEST(no_point_of_a_duct_drawn_out_is_nearer_than_its_certificate)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 37);
    for (int n = 0; n < 20; n++) {
        TbSweep *sweep = random_sweep(rng, between(rng, 15, 40));
        TbSweep *made = tb_sweep_drifted(sweep, 1.01, tb_vec3_scale(random_direction(rng), 60),
                                         tb_vec3_scale(random_direction(rng), 60));
        double length = tb_sweep_length(made);
        TbDisc disc = tb_sweep_at(made, between(rng, 0, length));
        TbVec3 normal, c = tb_disc_point(&disc, between(rng, -M_PI, M_PI), true, &normal);
        TbBox3 box = tb_sweep_box(made);
        TbGapAsk ask = {.width = 1e-3, .hint = INFINITY};
        TbGap gap;

        c = tb_vec3_add_scaled(c, between(rng, 10, 60), normal);
        ask.a = solid_of_sweep(made);
        ask.b = solid_of_plain(ball(c, 1));
        ck_assert_int_eq(tb_gap(&ask, NULL, &gap, NULL), TB_OK);
        for (int k = 0; k < 4000 && gap.contact == TB_CLEAR; k++) {
            TbVec3 p;

            disc = tb_sweep_at(sweep, 0);
            disc = tb_sweep_at(tb_solid_part(ask.a, 0)->sweep, between(rng, 0, length));
            p = tb_disc_point(&disc, between(rng, -M_PI, M_PI), true, NULL);
            ck_assert_double_ge(tb_vec3_distance(p, c) - 1, gap.lower - 1e-9);
            ck_assert_double_le(box.low.x, p.x);
            ck_assert_double_ge(box.high.z, p.z);
        }
        tb_sweep_unref(sweep);
        tb_solid_unref((TbSolid *)ask.a);
        tb_solid_unref((TbSolid *)ask.b);
    }
    gsl_rng_free(rng);
}
END_TEST

/** Certificates of a straight bar whose start is lifted by 30, so that it bends, before slabs that
 * touch it where it bulges; the slope of the smoothstep says where. @return how many are above the
 * truth */
static int
wrong_ones(double factor)
{
    int wrong = 0;

    tb_carried_stray_factor = factor;
    for (int n = 0; n < 12; n++) {
        double length = 300, share = 0.04 + 0.033 * n, off = 7.25;
        double rise = 30 * (1 - share * share * (3 - 2 * share));
        double slope = -30 * 6 * share * (1 - share) / length;
        TbVec3 up = tb_vec3_unit(tb_vec3(-slope, 0, 1));
        TbSweep *sweep = straight(tb_vec3(0, 0, 0), tb_vec3(length, 0, 0), 0.02);
        TbMovingAsk ask = {.width = 1e-5};
        TbMovingGap m;

        follow(&ask.motion_a, sweep, 1, tb_vec3(0, 0, 30), tb_vec3(0, 1e-6, 0));
        ask.a = solid_of_sweep(sweep);
        ask.b =
            solid_of_plain(slab(up, up.x * share * length + up.z * rise + off, tb_vec3(0, 0, 0)));
        m = ask_moving(&ask);
        /* the section, which stays upright, reaches 0.01 up */
        wrong += m.gap.lower > off - 0.01 * up.z + 1e-6;
        clear(&ask);
    }
    tb_carried_stray_factor = 1;
    return wrong;
}

START_TEST(half_of_the_bound_of_bending_shifts_gives_wrong_certificates_and_all_of_it_none)
{
    ck_assert_int_eq(wrong_ones(1), 0);
    ck_assert_int_gt(wrong_ones(0.5), 2);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("gaps/moving_warm");
    TCase *tests = tcase_create("warm");

    tcase_set_timeout(tests, 100);
    tcase_add_test(tests, carried_ends_lie_where_they_are_carried_to_and_face_as_before);
    tcase_add_test(tests, what_is_fitted_at_an_end_goes_with_it);
    tcase_add_test(tests, a_duct_between_two_parts_is_worst_with_both_warm_under_its_middle);
    tcase_add_test(tests, a_worst_warmth_inside_its_range_is_found);
    tcase_add_test(tests, a_warmth_that_both_have_moves_both_at_once);
    tcase_add_test(tests, tied_backwards_one_is_cold_where_the_other_is_hot);
    tcase_add_test(tests, sampled_warmths_are_never_below_lower);
    tcase_add_test(tests, sampled_warmths_of_what_rocks_besides_are_never_below_lower);
    tcase_add_test(tests, sampled_warmths_that_are_tied_are_never_below_lower);
    tcase_add_test(tests, sampled_warmths_that_carry_both_ends_at_once_are_never_below_lower);
    tcase_add_test(tests,
                   one_warmth_that_carries_both_ends_away_from_its_part_does_not_bring_them_nearer);
    tcase_add_test(tests, no_point_of_a_duct_drawn_out_is_nearer_than_its_certificate);
    tcase_add_test(tests,
                   half_of_the_bound_of_bending_shifts_gives_wrong_certificates_and_all_of_it_none);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
