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
    double lower = walk->met ? 0 : fmax(0, walk->lower);
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

/** A hose of one thickness along a random path, or a bent tube. */
static TbSweep *
hose(gsl_rng *rng, bool bent)
{
    TbVec3 knot[5];
    double radius[5] = {NAN, 37.3, 52.1, 41.7, NAN};
    TbCurve *curve = NULL;
    TbSweep *sweep = NULL;

    for (int i = 0; i < 5; i++)
        knot[i] = tb_vec3(150 * i, between(rng, -60, 60), between(rng, -60, 60));
    if (bent)
        ck_assert_int_eq(tb_curve_bent_new(knot, radius, 5, &curve, NULL), TB_OK);
    else
        ck_assert_int_eq(tb_curve_smooth_new(knot, 5, NULL, NULL, &curve, NULL), TB_OK);
    ck_assert_int_eq(tb_sweep_new_round(curve, 18.7, bent ? 1.9 : 0, &sweep, NULL), TB_OK);
    tb_curve_unref(curve);
    return sweep;
}

/** Points of the outside of the part of a piece lie within the tube's hull and what it adds. */
static void
check_tube(const TbTube *tube, gsl_rng *rng)
{
    TbConvex body = tb_tube__convex(tube);
    TbBox3 box = tb_tube__box(tube);
    double reach;
    TbVec3 centre = tb_tube__ball(tube, &reach), way = random_direction(rng);
    TbSupport support = tb_convex_support(&body, way);
    double most = support.reach + tb_tube__beyond(tube, way) + TB_TOL_ROUND;

    ck_assert_double_eq_tol(tb_tube__reach(tube, way), most, 2 * TB_TOL_ROUND);
    for (int i = 0; i < 40; i++) {
        double u = between(rng, tube->u0, tube->u1);
        TbDisc disc = tb_piece_disc(tube->piece, u);
        TbVec3 p = tb_disc_point(&disc, between(rng, -M_PI, M_PI), true, NULL), q;

        tb_disc_support(&disc, way, true, &q);
        ck_assert_double_le(tb_vec3_dot(p, way), most);
        ck_assert_double_le(tb_vec3_dot(q, way), most);
        ck_assert_double_le(tb_box3_point_distance2(box, p), 0);
        ck_assert_double_le(tb_vec3_distance(p, centre), reach);
        /* from a point straight out of the outside that point is the nearest */
        q = tb_vec3_add_scaled(disc.centre, 1.7, tb_vec3_sub(p, disc.centre));
        q = tb_tube__point(tube, (u - tube->u0) / (tube->u1 - tube->u0), q);
        ck_assert_double_le(tb_vec3_distance(p, q), 1e-9);
    }
}

START_TEST(a_tube_holds_its_part_of_the_sweep_and_so_do_its_halves)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 991);
    for (int turn = 0; turn < 12; turn++) {
        TbSweep *sweep = hose(rng, turn % 2 == 1);

        for (size_t i = 0; i < tb_sweep_piece_count(sweep); i++) {
            const TbPiece *piece = tb_sweep_piece(sweep, i);
            TbTube whole = tb_tube__of(piece, 0.1 * piece->extent, 0.93 * piece->extent), half[2];

            ck_assert(tb_tube__is_round(piece));
            ck_assert_double_eq_tol(tb_tube__radius(piece), 9.35, 1e-12);
            tb_tube__halves(&whole, half);
            check_tube(&whole, rng);
            check_tube(&half[0], rng);
            check_tube(&half[1], rng);
        }
        tb_sweep_unref(sweep);
    }
    gsl_rng_free(rng);
}
END_TEST

/** Some point of what a leaf of a path stands for. */
static TbVec3
point_of_leaf(const TbField *field, const TbNode *node, gsl_rng *rng)
{
    bool strip = node->kind == TB_NODE_STRIP;
    const TbStrip *of = strip ? &field->strip[node->index]->strip : NULL;
    const TbTube *tube = strip ? NULL : &field->tube[node->index];
    double u0 = strip ? of->u0 : tube->u0, u1 = strip ? of->u1 : tube->u1;
    TbDisc disc = tb_piece_disc(strip ? of->piece : tube->piece, between(rng, u0, u1));

    return tb_disc_point(&disc, between(rng, -M_PI, M_PI), true, NULL);
}

/** Goes down to a leaf by chance: every node on the way holds its points.
 *
 * @return how far within the thickest of its nodes it is not, as a share */
static double
check_lines(TbField *field, gsl_rng *rng)
{
    uint32_t way[64], at = field->root;
    size_t depth = 0;
    double most = 0;
    TbVec3 p;

    for (;;) {
        bool opened = field->node[at].count > 0;

        way[depth++] = at;
        if (!opened && depth < 6)
            ck_assert_int_eq(tb_field__open(field, at, &opened), TB_OK);
        if (!opened)
            break;
        at = field->node[at].first +
             (uint32_t)gsl_rng_uniform_int(rng, (unsigned long)field->node[at].count);
    }
    p = point_of_leaf(field, &field->node[at], rng);
    for (size_t i = 0; i < depth; i++) {
        const TbNode *node = &field->node[way[i]];

        if (node->thick < 0)
            continue;
        ck_assert_double_le(tb_line_distance(node->from, node->to, p), node->thick);
        most = fmax(most, tb_line_distance(node->from, node->to, p) / node->thick);
    }
    return most;
}

START_TEST(no_point_of_a_path_is_further_from_its_nodes_lines_than_they_are_thick)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    double most = 0;

    gsl_rng_set(rng, 88);
    for (int turn = 0; turn < 24; turn++) {
        TbSweep *sweep = turn < 12 ? hose(rng, turn % 2 == 1) : random_sweep(rng, 33.7);
        TbSolid *solid = solid_of_sweep(sweep);
        TbField field;

        ck_assert_int_eq(tb_field__of_solid_for_sections(&field, solid, NULL, 0), TB_OK);
        for (int i = 0; i < 300; i++)
            most = fmax(most, check_lines(&field, rng));
        tb_field__clear(&field);
        tb_solid_unref(solid);
    }
    /* and they are not idle */
    ck_assert_double_gt(most, 0.999);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(a_profile_past_hoses_is_that_of_their_strips)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 412);
    for (int turn = 0; turn < 12; turn++) {
        TbSweep *sweep = random_sweep(rng, 33.7), *near = hose(rng, turn % 2 == 1);
        TbSolid *other = solid_of_sweep(near);
        TbDiscs *discs = discs_of(sweep);
        TbField field;
        TbWalk walk;

        ck_assert_int_eq(tb_field__of_solid_for_sections(&field, other, NULL, 0), TB_OK);
        ck_assert_uint_gt(field.tubes, 0);
        tb_walk__start(&walk, &field, 1e-3, NULL);
        for (size_t i = 0; i < STATIONS; i++) {
            const TbDiscAt *at = tb_discs_at(discs, i);
            TbSearch search = search_alone(&at->disc, other, 1e-3);

            ck_assert_int_eq(tb_walk__station(&walk, at), TB_OK);
            if (!walk.undecided)
                compare(&walk, &search, turn, i);
        }
        tb_walk__clear(&walk);
        tb_field__clear(&field);
        tb_discs_unref(discs);
        tb_solid_unref(other);
        tb_sweep_unref(sweep);
    }
    gsl_rng_free(rng);
}
END_TEST

/** The bound on how far sections are from each other, by points of both outlines: any two stations,
 * not only neighbours. */
START_TEST(no_section_is_further_from_another_than_the_way_says)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 64);
    for (int turn = 0; turn < 30; turn++) {
        TbSweep *sweep = random_sweep(rng, 31.1);
        TbDiscs *discs = discs_of(sweep);

        for (size_t i = 0; i + 1 < STATIONS; i++) {
            const TbDiscAt *from = tb_discs_at(discs, i);
            const TbDiscAt *to = tb_discs_at(discs, i % 3 == 0 ? STATIONS - 1 : i + 1);
            TbConvex body = tb_convex_of_disc(&from->disc, true);

            for (int k = 0; k < 12; k++) {
                TbVec3 p = tb_disc_point(&to->disc, 0.53 * k, true, NULL);
                TbConvex point = tb_convex_of_point(p);
                TbSeparation apart =
                    tb_convex_separation(&body, &point, tb_vec3(0, 0, 0), INFINITY, 1e-9);

                ck_assert_double_le(apart.lower, to->gone - from->gone);
            }
        }
        tb_discs_unref(discs);
        tb_sweep_unref(sweep);
    }
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
    tcase_add_test(c, a_tube_holds_its_part_of_the_sweep_and_so_do_its_halves);
    tcase_add_test(c, no_point_of_a_path_is_further_from_its_nodes_lines_than_they_are_thick);
    tcase_add_test(c, a_profile_past_hoses_is_that_of_their_strips);
    tcase_add_test(c, no_section_is_further_from_another_than_the_way_says);
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
