/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "scenes.h"

#include "base/mem.h"
#include "gaps/walk_private.h"

enum { STATIONS = 61, SCENES = 60 };

/** A solid of a ball, a rod, a block and a sweep, some of which the duct meets. */
static TbSolid *
crowd(gsl_rng *rng, double spread)
{
    TbVec3 at[3];
    TbPlain part[3];
    TbSweep *loose = random_sweep(rng, 12 + 30 * gsl_rng_uniform(rng)), *near;
    TbSolid *solid;

    for (int i = 0; i < 3; i++)
        at[i] =
            tb_vec3(spread * (gsl_rng_uniform(rng) - 0.5), spread * (gsl_rng_uniform(rng) - 0.5),
                    spread * (gsl_rng_uniform(rng) - 0.5));
    part[0] = ball(at[0], 3 + 20 * gsl_rng_uniform(rng));
    part[1] = rod(at[1], tb_vec3_add(at[1], tb_vec3(37.1, -61.3, 12.7)), 7.3);
    part[2] = block(at[2], tb_vec3_unit(tb_vec3(0.3, 0.2, 1)), 23.1, 41.7, 11.9);
    near = tb_sweep_moved(loose, tb_pose_shift(tb_vec3(0.4 * spread, 0.1 * spread, 11.3)));
    tb_sweep_unref(loose);
    solid = solid_of_sweep(near);
    for (int i = 0; i < 3; i++)
        ck_assert_int_eq(tb_solid_add_plain(solid, &part[i], 0, NULL), TB_OK);
    return solid;
}

/** One section by the heap's search, cold. */
static TbSearch
search_alone(const TbDisc *disc, const TbSolid *other, double width)
{
    TbConvex body = tb_convex_of_disc(disc, true);
    TbField section, field;
    TbSearch search;

    ck_assert_int_eq(tb_field__of_body(&section, &body), TB_OK);
    ck_assert_int_eq(tb_field__of_solid(&field, other, NULL, 0), TB_OK);
    tb_search__start(&search, &section, &field, width);
    ck_assert_int_eq(tb_search__push(&search, 0, field.root, tb_vec3(0, 0, 0)), TB_OK);
    ck_assert_int_eq(tb_search__run(&search), TB_OK);
    search.let_go = tb_search__lower(&search);
    tb_search__clear(&search);
    tb_field__clear(&section);
    tb_field__clear(&field);
    return search;
}

static TbDiscs *
discs_of(TbSweep *sweep)
{
    double stations[STATIONS];
    TbDiscs *discs = NULL;

    for (int i = 0; i < STATIONS; i++)
        stations[i] = tb_sweep_length(sweep) * i / (STATIONS - 1);
    ck_assert_int_eq(tb_discs_new(sweep, stations, STATIONS, &discs, NULL), TB_OK);
    return discs;
}

/** Both intervals are as narrow as asked, and hold one distance. */
static void
compare(const TbWalk *walk, const TbSearch *search, int scene, size_t station)
{
    double lower = walk->met ? 0 : fmax(0, tb_walk__lower(walk));
    double upper = walk->met ? 0 : walk->upper;
    double other_lower = search->met ? 0 : fmax(0, search->let_go);
    double other_upper = search->met ? 0 : search->upper;

    ck_assert_msg(lower <= other_upper + TB_TOL_ROUND && other_lower <= upper + TB_TOL_ROUND &&
                      upper - lower <= walk->width + TB_TOL_ROUND,
                  "scene %d station %zu: [%.9f, %.9f] and [%.9f, %.9f]", scene, station, lower,
                  upper, other_lower, other_upper);
    ck_assert_double_eq_tol(tb_vec3_distance(walk->witness.point_a, walk->witness.point_b),
                            walk->upper, 2 * TB_TOL_ROUND);
}

START_TEST(each_section_has_the_distance_of_a_search_of_its_own)
{
    static const double widths[] = {1e-1, 1e-2, 1e-4};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    double width = widths[_i];
    long looks = 0, searched = 0;
    int undecided = 0, met = 0;

    gsl_rng_set(rng, 1871 + (unsigned long)_i);
    for (int scene = 0; scene < SCENES; scene++) {
        TbSweep *sweep = random_sweep(rng, 33.7);
        TbSolid *other = crowd(rng, 60 + 500 * gsl_rng_uniform(rng));
        TbDiscs *discs = discs_of(sweep);
        TbField field;
        TbWalk walk;

        ck_assert_int_eq(tb_field__of_solid(&field, other, NULL, 0), TB_OK);
        tb_walk__start(&walk, &field, width, NULL);
        for (size_t i = 0; i < STATIONS; i++) {
            const TbDiscAt *at = tb_discs_at(discs, i);

            ck_assert_int_eq(tb_walk__station(&walk, at), TB_OK);
            undecided += walk.undecided;
            met += walk.met;
            looks += walk.nodes;
            if (!walk.undecided && (i + (size_t)scene) % 5 == 0) {
                TbSearch search = search_alone(&at->disc, other, width);

                searched += 5 * search.nodes;
                compare(&walk, &search, scene, i);
            }
        }
        tb_walk__clear(&walk);
        tb_field__clear(&field);
        tb_discs_unref(discs);
        tb_solid_unref(other);
        tb_sweep_unref(sweep);
    }
    gsl_rng_free(rng);
    ck_assert_int_gt(met, 0);
    ck_assert_int_lt(undecided, SCENES * STATIONS / 50);
    ck_assert_int_lt(2 * looks, searched);
}
END_TEST

/** What an earlier section learned must not reach into a later one: the same section twice, with
 * others between, far and near. */
START_TEST(what_was_learned_from_other_sections_spoils_nothing)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbSweep *sweep;
    TbSolid *other;
    TbDiscs *discs;
    TbField field;
    TbWalk walk;

    gsl_rng_set(rng, 77);
    sweep = random_sweep(rng, 28.3);
    other = crowd(rng, 300);
    discs = discs_of(sweep);
    ck_assert_int_eq(tb_field__of_solid(&field, other, NULL, 0), TB_OK);
    tb_walk__start(&walk, &field, 1e-3, NULL);
    for (int i = 0; i < 400; i++) {
        size_t station = gsl_rng_uniform_int(rng, STATIONS);
        TbSearch search = search_alone(&tb_discs_at(discs, station)->disc, other, 1e-3);

        ck_assert_int_eq(tb_walk__station(&walk, tb_discs_at(discs, station)), TB_OK);
        if (!walk.undecided)
            compare(&walk, &search, i, station);
    }
    tb_walk__clear(&walk);
    tb_field__clear(&field);
    tb_discs_unref(discs);
    tb_solid_unref(other);
    tb_sweep_unref(sweep);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(discs_are_the_sweeps_own_and_lie_in_their_boxes_and_balls)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbSweep *sweep;
    TbDiscs *discs;

    gsl_rng_set(rng, 5);
    sweep = random_sweep(rng, 41.9);
    discs = discs_of(sweep);
    for (size_t i = 0; i < tb_discs_count(discs); i++) {
        const TbDiscAt *at = tb_discs_at(discs, i);
        TbDisc disc = tb_sweep_at(sweep, tb_sweep_length(sweep) * (double)i / (STATIONS - 1));

        ck_assert_double_eq(at->disc.centre.x, disc.centre.x);
        ck_assert_double_eq(at->disc.slice.a, disc.slice.a);
        for (int k = 0; k < 90; k++) {
            TbVec3 p = tb_disc_point(&disc, 0.07 * k, true, NULL);

            ck_assert_double_le(tb_box3_point_distance2(at->box, p), 0);
            ck_assert_double_le(tb_vec3_distance(p, at->disc.centre), at->reach);
        }
    }
    tb_discs_unref(discs);
    tb_sweep_unref(sweep);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(discs_without_room_are_no_discs)
{
    double stations[3] = {0, 1, 2};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbSweep *sweep = random_sweep(rng, 20);
    TbDiscs *discs = NULL;

    tb_mem_fail_at(1);
    ck_assert_int_eq(tb_discs_new(sweep, stations, 3, &discs, NULL), TB_E_MEMORY);
    tb_mem_fail_at(0);
    ck_assert_ptr_null(discs);
    tb_sweep_unref(sweep);
    gsl_rng_free(rng);
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("gaps/walk");
    TCase *c = tcase_create("walk");

    tcase_set_timeout(c, 240);
    tcase_add_loop_test(c, each_section_has_the_distance_of_a_search_of_its_own, 0, 3);
    tcase_add_test(c, what_was_learned_from_other_sections_spoils_nothing);
    tcase_add_test(c, discs_are_the_sweeps_own_and_lie_in_their_boxes_and_balls);
    tcase_add_test(c, discs_without_room_are_no_discs);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
