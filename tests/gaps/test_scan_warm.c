/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * Ducts that are warm before scans, rocking or not: lattices that hold what warmth does to each row
 * against drawn poses, the search without them, and the plain instructions.
 */

#include "moving_scenes.h"
#include "scan_scenes.h"

#include "geom/lanes.h"

enum { SCENES = 24, POSES = 30 };

/** What is warm of the duct. */
enum { ROCKS = 1, GROWS = 2 };

static void
add(TbMotion *motion, TbFreedomKind kind, TbVec3 point, TbVec3 direction, double low, double high)
{
    TbFreedom freedom = {kind, point, direction, low, high};
    TbFault fault = {0};

    ck_assert_msg(tb_motion_add(motion, freedom, &fault) == TB_OK, "%s", fault.text);
}

/** A path between two parts that shift its ends; or one that grows from a datum and is carried. */
static void
warm(TbMotion *motion, gsl_rng *rng, const TbSweep *sweep, int kind)
{
    TbVec3 c0 = tb_sweep_at(sweep, 0).centre;
    TbVec3 c1 = tb_sweep_at(sweep, tb_sweep_length(sweep)).centre;
    double factor = between(rng, 0.985, 1.02);

    if (kind & GROWS) {
        add(motion, TB_FREEDOM_CARRIED, c0, random_direction(rng), 0, between(rng, 0.5, 6));
        add(motion, TB_FREEDOM_GROWTH, tb_vec3_add_scaled(c0, 300, random_direction(rng)),
            tb_vec3(0, 0, 0), fmin(1, factor), fmax(1, factor));
        return;
    }
    add(motion, TB_FREEDOM_SPREAD, c0, tb_vec3_sub(c1, c0), fmin(1, factor), fmax(1, factor));
    add(motion, TB_FREEDOM_START, c0, random_direction(rng), 0, between(rng, 0.5, 6));
    add(motion, TB_FREEDOM_END, c1, random_direction(rng), 0, between(rng, 0.5, 6));
}

/** A duct and some shells of triangles 12 to 50 mm off it. */
static void
make_scene(gsl_rng *rng, int kind, TbMovingAsk *ask)
{
    TbSweep *sweep = random_sweep(rng, between(rng, 20, 50));
    TbDisc disc = tb_sweep_at(sweep, between(rng, 0, tb_sweep_length(sweep)));
    TbVec3 normal, p = tb_disc_point(&disc, between(rng, -M_PI, M_PI), true, &normal);
    TbRock rock = {tb_vec3_scale(random_direction(rng), 300), random_direction(rng), -0.04, 0.03};
    TbSolid *mesh = tb_solid_new();
    Heap heap = {0};
    TbTree *tree;

    p = tb_vec3_add_scaled(p, between(rng, 22, 50), normal);
    for (int i = 0; i < 4; i++)
        heap_ball(&heap, tb_vec3_add_scaled(p, between(rng, 0, 25), random_direction(rng)), 9, 4,
                  5);
    heap.triangles -= 3;
    tree = tree_of(heap_mesh(&heap));
    ck_assert_int_eq(tb_solid_add_tree(mesh, tree, 0, NULL), TB_OK);
    tb_tree_unref(tree);
    if (kind & ROCKS)
        ck_assert_int_eq(tb_motion_add_rock(&ask->motion_a, rock, NULL), TB_OK);
    warm(&ask->motion_a, rng, sweep, kind);
    ask->a = solid_of_sweep(sweep);
    ask->b = mesh;
}

static void
clear(TbMovingAsk *ask)
{
    tb_solid_unref((TbSolid *)ask->a);
    tb_solid_unref((TbSolid *)ask->b);
}

static void
sample(gsl_rng *rng, const TbMotion *motion, double q[])
{
    for (int i = 0; i < motion->count; i++) {
        const TbFreedom *f = &motion->freedom[i];
        double kind = gsl_rng_uniform(rng);

        q[i] = kind < 0.35 ? f->low : kind < 0.7 ? f->high : between(rng, f->low, f->high);
    }
}

static void
check_scenes(int kind, unsigned long seed)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    int clear_ones = 0;

    gsl_rng_set(rng, seed);
    for (int n = 0; n < SCENES; n++) {
        TbMovingAsk ask = {.width = n % 2 == 0 ? 1e-2 : 1e-4, .depth_width = 50}, turned, slow;
        TbFreedom tiny = {TB_FREEDOM_SHIFT, {0, 0, 0}, {1, 0, 0}, 0, 1e-6};
        TbMovingGap m, other;

        make_scene(rng, kind, &ask);
        m = ask_moving(&ask);
        for (int k = 0; k < (m.gap.contact == TB_CLEAR ? POSES : 0); k++) {
            double qa[TB_MOTION_MOST], qb[TB_MOTION_MOST] = {0};
            TbGap at;

            sample(rng, &ask.motion_a, qa);
            ck_assert_int_eq(tb_moving_gap_at(&ask, qa, qb, NULL, &at, NULL), TB_OK);
            ck_assert_msg(at.upper >= m.gap.lower - TB_TOL_ROUND, "scene %d: %.9f below %.9f", n,
                          at.upper, m.gap.lower);
        }
        if (m.gap.contact == TB_CLEAR) {
            clear_ones++;
            ck_assert_msg(m.gap.upper - m.gap.lower <= ask.width, "scene %d", n);
            check_witness(&ask, &m);
            turned = (TbMovingAsk){.a = ask.b,
                                   .b = ask.a,
                                   .motion_b = ask.motion_a,
                                   .width = ask.width,
                                   .depth_width = 50};
            other = ask_moving(&turned);
            check_witness(&turned, &other);
            ck_assert_double_le(other.gap.lower, m.gap.upper + TB_TOL_ROUND);
            ck_assert_double_ge(other.gap.upper, m.gap.lower - TB_TOL_ROUND);
            slow = ask; /* of a shift besides no lattice is asked */
            slow.width = 1e-2;
            ck_assert_int_eq(tb_motion_add(&slow.motion_b, tiny, NULL), TB_OK);
            other = ask_moving(&slow);
            ck_assert_double_le(other.gap.lower, m.gap.upper + 1e-6);
            ck_assert_double_ge(other.gap.upper, m.gap.lower - 1e-6);
        }
        clear(&ask);
    }
    gsl_rng_free(rng);
    ck_assert_int_ge(clear_ones, SCENES / 2);
}

START_TEST(no_drawn_warmth_is_nearer_than_the_certificate_of_a_path_between_parts)
{
    check_scenes(0, 71);
}
END_TEST

START_TEST(nor_of_one_that_rocks_besides) { check_scenes(ROCKS, 72); }
END_TEST

START_TEST(nor_of_one_that_grows_and_is_carried)
{
    check_scenes(GROWS, 73);
    check_scenes(GROWS | ROCKS, 74);
}
END_TEST

START_TEST(plain_instructions_give_the_same_bits)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 75);
    for (int n = 0; n < SCENES; n++) {
        TbMovingAsk ask = {.width = 1e-3, .depth_width = 50};
        TbMovingGap wide, plain;

        make_scene(rng, n % 4, &ask);
        wide = ask_moving(&ask);
        tb_lanes_force_plain(1);
        plain = ask_moving(&ask);
        tb_lanes_force_plain(0);
        ck_assert(wide.gap.lower == plain.gap.lower && wide.gap.upper == plain.gap.upper);
        ck_assert(memcmp(&wide.gap.point_a, &plain.gap.point_a, sizeof wide.gap.point_a) == 0);
        ck_assert(memcmp(wide.at_a, plain.at_a, sizeof wide.at_a) == 0);
        clear(&ask);
    }
    gsl_rng_free(rng);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("gaps/scan_warm");
    TCase *tcase = tcase_create("gaps");

    tcase_set_timeout(tcase, 120);
    tcase_add_test(tcase, no_drawn_warmth_is_nearer_than_the_certificate_of_a_path_between_parts);
    tcase_add_test(tcase, nor_of_one_that_rocks_besides);
    tcase_add_test(tcase, nor_of_one_that_grows_and_is_carried);
    tcase_add_test(tcase, plain_instructions_give_the_same_bits);
    suite_add_tcase(suite, tcase);
    return tb_test_main(suite);
}
