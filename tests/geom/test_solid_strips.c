/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Strips that a solid keeps for all who search it, and how far strips and sections reach without
 * asking where. */

#include "random_sweep.h"

#include "base/mem.h"
#include "base/work.h"
#include "geom/solid.h"

#include <string.h>

static TbSolid *
random_solid(gsl_rng *rng)
{
    TbSweep *sweep = random_sweep(rng, 40);
    TbSolid *solid = tb_solid_new();

    ck_assert_int_eq(tb_solid_add_sweep(solid, sweep, 0, NULL), TB_OK);
    tb_sweep_unref(sweep);
    return solid;
}

/** The same bits, from number to number; what a struct leaves between them is anybody's. */
static void
check_same(const TbPartStrip *kept, const TbStrip *own)
{
    TbPartStrip alone = tb_part_strip_of(*own);
    TbVec3 d = tb_vec3_unit(tb_vec3(0.3, -0.7, 0.2));

    ck_assert_double_eq(kept->strip.u0, own->u0);
    ck_assert_double_eq(kept->strip.u1, own->u1);
    ck_assert_double_eq(kept->strip.bound.widening, own->bound.widening);
    ck_assert_double_eq(tb_strip_furthest(&kept->strip, d), tb_strip_furthest(own, d));
    ck_assert_double_eq(kept->radius, alone.radius);
    ck_assert_mem_eq(&kept->box, &alone.box, sizeof alone.box);
    ck_assert_mem_eq(&kept->centre, &alone.centre, sizeof alone.centre);
}

START_TEST(kept_halves_are_the_strips_own_down_to_the_last_that_is_kept)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 41);
    for (int n = 0; n < 20; n++) {
        TbSolid *solid = random_solid(rng);
        const TbPart *part = tb_solid_part(solid, 0);

        for (size_t i = 0; i < tb_sweep_piece_count(part->sweep); i++) {
            const TbPartStrip *at = &part->strips[i];
            int depth = 0;

            for (;; depth++) {
                const TbPartStrip *half = tb_part_strip_halves(at);
                TbStrip own[2];

                if (half == NULL)
                    break;
                tb_strip_halves(&at->strip, true, own);
                check_same(&half[0], &own[0]);
                check_same(&half[1], &own[1]);
                ck_assert_ptr_eq(tb_part_strip_halves(at), half);
                at = &half[gsl_rng_uniform(rng) < 0.5 ? 0 : 1];
            }
            ck_assert_int_eq(depth, part->strips[i].keeps);
            ck_assert_int_gt(depth, 0);
        }
        tb_solid_unref(solid);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(a_strip_that_nobody_keeps_has_no_halves_and_one_without_room_is_asked_again)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbSolid *solid;
    const TbPartStrip *kept;
    TbPartStrip own;

    gsl_rng_set(rng, 42);
    solid = random_solid(rng);
    kept = &tb_solid_part(solid, 0)->strips[0];
    own = tb_part_strip_of(kept->strip);
    ck_assert_ptr_null(tb_part_strip_halves(&own));
    tb_mem_fail_at(1);
    ck_assert_ptr_null(tb_part_strip_halves(kept));
    tb_mem_fail_at(0);
    ck_assert_ptr_nonnull(tb_part_strip_halves(kept));
    tb_solid_unref(solid);
    gsl_rng_free(rng);
}
END_TEST

typedef struct Asked {
    const TbPartStrip *strip, *half[64];
} Asked;

static void
ask_halves(void *data, size_t from, size_t to, int worker)
{
    Asked *asked = data;

    (void)worker;
    for (size_t i = from; i < to; i++)
        asked->half[i] = tb_part_strip_halves(asked->strip);
}

START_TEST(all_threads_that_ask_at_once_get_the_same_halves)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbWork *work = tb_work_new(4);

    gsl_rng_set(rng, 43);
    for (int n = 0; n < 50; n++) {
        TbSolid *solid = random_solid(rng);
        Asked asked = {.strip = &tb_solid_part(solid, 0)->strips[0]};

        ck_assert_int_eq(tb_work_for(work, NULL, 64, 1, ask_halves, &asked), TB_OK);
        for (int i = 0; i < 64; i++) {
            ck_assert_ptr_nonnull(asked.half[i]);
            ck_assert_ptr_eq(asked.half[i], asked.half[0]);
        }
        tb_solid_unref(solid);
    }
    tb_work_free(work);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(how_far_alone_is_what_the_support_with_its_point_says)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 44);
    for (int n = 0; n < 60; n++) {
        TbSolid *solid = random_solid(rng);
        const TbPart *part = tb_solid_part(solid, 0);

        for (int i = 0; i < 200; i++) {
            size_t which = gsl_rng_uniform_int(rng, tb_sweep_piece_count(part->sweep));
            const TbStrip *strip = &part->strips[which].strip;
            TbConvex body = tb_strip_convex(strip, true);
            TbVec3 d = random_direction(rng), contact;
            TbSupport support = tb_convex_support(&body, d);
            bool outer = i % 2 == 0;

            ck_assert_double_eq_tol(tb_disc_furthest(&strip->disc0, d, outer),
                                    tb_disc_support(&strip->disc0, d, outer, &contact), 1e-11);
            ck_assert_double_eq_tol(tb_strip_furthest(strip, d), support.reach + support.beyond,
                                    1e-11);
        }
        tb_solid_unref(solid);
    }
    gsl_rng_free(rng);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/solid_strips");
    TCase *tests = tcase_create("strips");

    tcase_add_test(tests, kept_halves_are_the_strips_own_down_to_the_last_that_is_kept);
    tcase_add_test(tests,
                   a_strip_that_nobody_keeps_has_no_halves_and_one_without_room_is_asked_again);
    tcase_add_test(tests, all_threads_that_ask_at_once_get_the_same_halves);
    tcase_add_test(tests, how_far_alone_is_what_the_support_with_its_point_says);
    tcase_set_timeout(tests, 120);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
