/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "scenes.h"

#include "base/mem.h"
#include "gaps/nearest.h"

enum { OTHERS = 14 };

/** One of any kind, anywhere in a cube. */
static TbSolid *
random_solid(gsl_rng *rng, double spread)
{
    TbVec3 at = {between(rng, -spread, spread), between(rng, -spread, spread),
                 between(rng, -spread, spread)};
    double kind = gsl_rng_uniform(rng);
    TbSweep *loose, *near;

    if (kind < 0.3)
        return solid_of_plain(ball(at, between(rng, 2, 25)));
    if (kind < 0.6)
        return solid_of_plain(rod(at, tb_vec3_add_scaled(at, 61.3, random_direction(rng)), 7.9));
    if (kind < 0.8)
        return solid_of_plain(block(at, random_direction(rng), 31.1, 12.7, 21.9));
    loose = random_sweep(rng, between(rng, 8, 25));
    near = tb_sweep_moved(loose, tb_pose_shift(at));
    tb_sweep_unref(loose);
    return solid_of_sweep(near);
}

static void
check_same(const TbNear *near, const TbGap *gap, size_t index)
{
    ck_assert_uint_eq(near->index, index);
    ck_assert_double_eq(near->gap.lower, gap->lower);
    ck_assert_double_eq(near->gap.upper, gap->upper);
    ck_assert_double_eq(near->gap.point_a.x, gap->point_a.x);
    ck_assert_double_eq(near->gap.point_b.z, gap->point_b.z);
    ck_assert_int_eq(near->gap.contact, gap->contact);
}

/** All gaps, the least upper end first, ties by index. */
static void
brute_force(const TbSolid *solid, TbSolid *const others[], TbGap gap[], size_t order[])
{
    for (size_t i = 0; i < OTHERS; i++) {
        size_t at = i;

        gap[i] = ask_gap(solid, others[i], 1e-3);
        for (; at > 0 && gap[i].upper < gap[order[at - 1]].upper; at--)
            order[at] = order[at - 1];
        order[at] = i;
    }
}

START_TEST(the_nearest_are_those_of_all_gaps_bit_for_bit)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    size_t settled = 0, searched = 0, all = 0;

    gsl_rng_set(rng, 3301 + (unsigned long)_i);
    for (int scene = 0; scene < 40; scene++) {
        TbSolid *solid = random_solid(rng, 30), *others[OTHERS];
        size_t order[OTHERS], found = 0;
        TbGap gap[OTHERS];
        TbNear near[OTHERS];
        TbNearestCost cost;
        TbNearestAsk ask = {.solid = solid,
                            .others = (const TbSolid *const *)others,
                            .count = OTHERS,
                            .most = 1 + (size_t)scene % 5,
                            .width = 1e-3};

        for (int i = 0; i < OTHERS; i++) /* one of them twice: a tie */
            others[i] = i == 7 ? tb_solid_ref(others[3]) : random_solid(rng, 40 + 20 * scene);
        brute_force(solid, others, gap, order);
        ck_assert_int_eq(tb_nearest(&ask, NULL, near, &found, &cost, NULL), TB_OK);
        ck_assert_uint_eq(found, ask.most);
        for (size_t i = 0; i < found; i++)
            check_same(&near[i], &gap[order[i]], order[i]);
        all += OTHERS;
        searched += cost.searched;
        settled += cost.settled;
        for (int i = 0; i < OTHERS; i++)
            tb_solid_unref(others[i]);
        tb_solid_unref(solid);
    }
    gsl_rng_free(rng);
    ck_assert_uint_lt(2 * settled, all);
    ck_assert_uint_lt(settled, searched);
    ck_assert_uint_lt(searched, all);
}
END_TEST

START_TEST(fewer_than_wanted_are_all_of_them)
{
    TbSolid *a = solid_of_plain(ball(tb_vec3(0, 0, 0), 5.3));
    TbSolid *b = solid_of_plain(ball(tb_vec3(31.7, 0, 0), 2.1)), *empty = tb_solid_new();
    const TbSolid *others[] = {empty, b};
    TbNearestAsk ask = {.solid = a, .others = others, .count = 2, .most = 4, .width = 1e-6};
    TbNear near[4];
    size_t found = 9;

    ck_assert_int_eq(tb_nearest(&ask, NULL, near, &found, NULL, NULL), TB_OK);
    ck_assert_uint_eq(found, 1);
    ck_assert_uint_eq(near[0].index, 1);
    ck_assert_double_eq_tol(near[0].gap.upper, 31.7 - 5.3 - 2.1, 1e-6);
    ask.count = 0;
    ck_assert_int_eq(tb_nearest(&ask, NULL, near, &found, NULL, NULL), TB_OK);
    ck_assert_uint_eq(found, 0);
    tb_solid_unref(a);
    tb_solid_unref(b);
    tb_solid_unref(empty);
}
END_TEST

START_TEST(without_room_there_is_no_answer)
{
    TbSolid *a = solid_of_plain(ball(tb_vec3(0, 0, 0), 5.3));
    TbSolid *b = solid_of_plain(rod(tb_vec3(31.7, 0, 0), tb_vec3(31.7, 9, 4), 2.1));
    const TbSolid *others[] = {b, b};
    TbNearestAsk ask = {.solid = a, .others = others, .count = 2, .most = 1, .width = 1e-6};
    TbNear near[1];
    size_t found = 0;
    long requests;

    tb_mem_fail_at(0);
    ck_assert_int_eq(tb_nearest(&ask, NULL, near, &found, NULL, NULL), TB_OK);
    requests = tb_mem_requests();
    ck_assert_int_gt(requests, 3);
    for (long i = 1; i <= requests; i++) {
        tb_mem_fail_at(i);
        ck_assert_int_eq(tb_nearest(&ask, NULL, near, &found, NULL, NULL), TB_E_MEMORY);
    }
    tb_mem_fail_at(0);
    tb_solid_unref(a);
    tb_solid_unref(b);
}
END_TEST

/** "Is it closer than the keep?" against the whole interval: the same verdict wherever the interval
 * has one, and fewer nodes in all. */
START_TEST(closer_than_the_keep_is_told_as_the_whole_interval_tells_it)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    long whole = 0, early = 0;
    int near = 0, far = 0;

    gsl_rng_set(rng, 811 + (unsigned long)_i);
    for (int scene = 0; scene < 700; scene++) {
        TbSolid *a = random_solid(rng, 40), *b = random_solid(rng, 20 + 0.2 * scene);
        double keep = between(rng, 0.5, 40);
        TbGapAsk ask = {.a = a, .b = b, .width = 1e-3, .depth_width = 1e4, .hint = INFINITY};
        TbGap full, quick;

        ck_assert_int_eq(tb_gap(&ask, NULL, &full, NULL), TB_OK);
        ask.enough = keep;
        ck_assert_int_eq(tb_gap(&ask, NULL, &quick, NULL), TB_OK);
        ck_assert_msg(quick.lower <= full.upper + TB_TOL_ROUND &&
                          full.lower <= quick.upper + TB_TOL_ROUND,
                      "scene %d: [%.9f, %.9f] and [%.9f, %.9f]", scene, full.lower, full.upper,
                      quick.lower, quick.upper);
        if (full.lower >= keep)
            ck_assert_double_ge(quick.lower, keep);
        if (full.upper < keep)
            ck_assert_double_lt(quick.upper, keep);
        far += full.lower >= keep;
        near += full.upper < keep;
        whole += full.nodes;
        early += quick.nodes;
        tb_solid_unref(a);
        tb_solid_unref(b);
    }
    gsl_rng_free(rng);
    ck_assert_int_gt(near, 50);
    ck_assert_int_gt(far, 50);
    ck_assert_int_lt(2 * early, whole);
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("gaps/nearest");
    TCase *c = tcase_create("nearest");

    tcase_set_timeout(c, 240);
    tcase_add_loop_test(c, the_nearest_are_those_of_all_gaps_bit_for_bit, 0, 3);
    tcase_add_test(c, fewer_than_wanted_are_all_of_them);
    tcase_add_test(c, without_room_there_is_no_answer);
    tcase_add_loop_test(c, closer_than_the_keep_is_told_as_the_whole_interval_tells_it, 0, 4);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
