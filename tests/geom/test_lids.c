/* SPDX-License-Identifier: GPL-3.0-or-later */

/* What would close a mesh, and the winding number that follows from it. */

#include "soups.h"

#include "base/mem.h"

/** By one ray and the rim. */
static double
winding_of(const TbTree *tree, TbVec3 p)
{
    const TbLids *lids = NULL;
    double turns = (double)tb_tree_turns(tree, p, NULL);

    ck_assert_int_eq(tb_tree_lids(tree, &lids), TB_OK);
    if (lids->tree == NULL)
        return turns;
    return turns + (double)tb_tree_turns(lids->tree, p, NULL) -
           tb_lids_angle(lids, p, TB_LIDS_WITHIN);
}

static TbMeshBody
body_of(const Soup *soup, bool *room)
{
    TbTree *tree = soup_tree(soup);
    TbMeshBody body;

    ck_assert_int_eq(tb_tree_body(tree, &body, room), TB_OK);
    tb_tree_unref(tree);
    return body;
}

/** A box of 40 x 60 x 80. */
static void
make_box(Soup *soup, int n)
{
    soup->count = 0;
    soup_add_box(soup, tb_vec3(0, 0, 0), tb_vec3(20, 30, 40), n, false);
}

START_TEST(winding_of_any_mesh_is_that_of_all_its_triangles)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    Soup *soup = malloc(sizeof *soup);

    gsl_rng_set(rng, 99);
    for (int n = 0; n < 300; n++) {
        TbVec3 way = random_direction(rng);
        double keep = between(rng, 0, 1), doubled = between(rng, 0, 0.3);
        TbTree *tree;

        soup->count = 0;
        if (n % 2 == 0)
            soup_add_box(soup, tb_vec3(0, 0, 0), tb_vec3(20, 30, 40), 1 + n % 7, n % 4 == 0);
        else
            soup_add_torus(soup, 45, 17, 3 + n % 17, 3 + n % 11);
        soup_move(soup, tb_pose_turn(tb_vec3(3, 1, 2), way, between(rng, 0, 6)));
        for (size_t i = soup->count; i-- > 0;) {
            bool one_side = n % 3 == 0 && tb_vec3_dot(soup->corner[3 * i], way) > 10;

            if (gsl_rng_uniform(rng) < doubled)
                soup_add(soup, soup->corner[3 * i], soup->corner[3 * i + 1],
                         soup->corner[3 * i + 2]);
            if (gsl_rng_uniform(rng) < doubled)
                soup_turn(soup, i, i + 1);
            if ((one_side || gsl_rng_uniform(rng) > keep) && soup->count > 1)
                soup_drop(soup, i);
        }
        tree = soup_tree(soup);
        for (int k = 0; k < 40; k++) {
            TbVec3 p = {between(rng, -70, 70), between(rng, -70, 70), between(rng, -70, 70)};
            double truth = soup_winding(soup, p), found;

            if (soup_distance(soup, p) < 0.1)
                continue; /* the slow way divides by little there */
            found = winding_of(tree, p);
            ck_assert_msg(fabs(found - truth) < 1.01 * TB_LIDS_WITHIN, "%d: %.9f instead of %.9f",
                          n, found, truth);
            ck_assert_double_eq_tol(tb_tree_winding(tree, p), truth, 1e-6);
        }
        tb_tree_unref(tree);
    }
    free(soup);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(what_is_remembered_is_of_one_mesh_and_one_place)
{
    Soup *soup = malloc(sizeof *soup);
    const TbLids *lids = NULL;
    double first[2] = {0, 0};

    /* made and freed by turns: the second often stands where the first did */
    for (int n = 0; n < 8; n++) {
        TbTree *tree;

        make_box(soup, 4);
        for (int i = 0; i < (n % 2 == 0 ? 7 : 31); i++)
            soup_drop(soup, 0);
        tree = soup_tree(soup);
        ck_assert_int_eq(tb_tree_lids(tree, &lids), TB_OK);
        for (int k = 0; k < 200; k++) {
            TbVec3 p = {17.3 + k % 100, 3.1, -9.7};
            double truth = -soup_winding(soup, p);

            truth -= round(truth);
            ck_assert_double_eq_tol(tb_lids_angle(lids, p, TB_LIDS_WITHIN), truth,
                                    1.01 * TB_LIDS_WITHIN);
            if (k == 0 && n < 2)
                first[n] = tb_lids_angle(lids, p, TB_LIDS_WITHIN);
            if (k == 0)
                ck_assert_double_eq(tb_lids_angle(lids, p, TB_LIDS_WITHIN), first[n % 2]);
        }
        tb_tree_unref(tree);
    }
    free(soup);
}
END_TEST

START_TEST(a_closed_mesh_needs_no_lids)
{
    Soup *soup = malloc(sizeof *soup);
    const TbLids *lids = NULL;
    TbTree *tree;
    bool room;

    make_box(soup, 3);
    tree = soup_tree(soup);
    ck_assert_int_eq(tb_tree_lids(tree, &lids), TB_OK);
    ck_assert_ptr_null(lids->tree);
    ck_assert_double_eq(lids->area, 0);
    ck_assert(lids->even && !lids->inward && !lids->many);
    tb_tree_unref(tree);
    ck_assert_int_eq(body_of(soup, &room), TB_BODY_CLOSED);
    ck_assert(!room);
    soup_turn(soup, 0, soup->count);
    ck_assert_int_eq(body_of(soup, &room), TB_BODY_CLOSED);
    ck_assert(room);
    free(soup);
}
END_TEST

START_TEST(a_box_without_one_side_is_open_and_its_lid_is_that_side)
{
    Soup *soup = malloc(sizeof *soup);
    const TbLids *lids = NULL;
    TbTree *tree;
    bool room;

    make_box(soup, 5);
    /* the first 50 triangles are the side at -x: 60 x 80 */
    for (size_t i = 50; i-- > 0;)
        soup_drop(soup, i);
    tree = soup_tree(soup);
    ck_assert_int_eq(tb_tree_lids(tree, &lids), TB_OK);
    ck_assert_double_eq_tol(lids->area, 60 * 80, 1e-6);
    ck_assert(!lids->even && !lids->inward);
    tb_tree_unref(tree);
    ck_assert_int_eq(body_of(soup, &room), TB_BODY_OPEN);
    free(soup);
}
END_TEST

START_TEST(a_crack_all_around_is_filled_by_slim_triangles)
{
    Soup *soup = malloc(sizeof *soup);
    const TbLids *lids = NULL;
    TbTree *tree;
    bool room;

    /* the upper half stands 0.06 off the lower one: 2 (40 + 60) long */
    make_box(soup, 4);
    for (size_t i = 0; i < soup->count; i++) {
        TbVec3 *t = soup->corner + 3 * i;

        if (t[0].z + t[1].z + t[2].z > 0)
            for (int k = 0; k < 3; k++)
                t[k].z += 0.06;
    }
    tree = soup_tree(soup);
    ck_assert_uint_eq(tb_mesh_facts(tb_tree_mesh(tree)).shells, 2);
    ck_assert_int_eq(tb_tree_lids(tree, &lids), TB_OK);
    ck_assert_double_eq_tol(lids->area, 200 * 0.06, 1e-6);
    tb_tree_unref(tree);
    ck_assert_int_eq(body_of(soup, &room), TB_BODY_NEARLY);
    free(soup);
}
END_TEST

START_TEST(a_crack_whose_sides_are_divided_differently_is_no_hole)
{
    Soup *soup = malloc(sizeof *soup);
    const TbLids *lids = NULL;
    TbTree *tree;
    bool room;

    /* two half boxes, without the sides by which they meet at z = 0: 4 quads a side below, 7 above
     */
    for (int half = 0; half < 2; half++) {
        size_t from = half == 0 ? 0 : soup->count;

        if (half == 0)
            soup->count = 0;
        soup_add_box(soup, tb_vec3(0, 0, half == 0 ? -20 : 20.03), tb_vec3(20, 30, 20),
                     half == 0 ? 4 : 7, false);
        for (size_t i = soup->count; i-- > from;) {
            const TbVec3 *t = soup->corner + 3 * i;

            if (fmax(fabs(t[0].z), fmax(fabs(t[1].z), fabs(t[2].z))) < 0.1)
                soup_drop(soup, i);
        }
    }
    tree = soup_tree(soup);
    ck_assert_int_eq(tb_tree_lids(tree, &lids), TB_OK);
    ck_assert_msg(lids->area < 30, "%g", lids->area);
    tb_tree_unref(tree);
    ck_assert_int_eq(body_of(soup, &room), TB_BODY_NEARLY);
    free(soup);
}
END_TEST

START_TEST(sides_turned_over_leave_a_mesh_closed_but_flipped)
{
    Soup *soup = malloc(sizeof *soup);
    bool room;

    make_box(soup, 5);
    soup_turn(soup, 0, 100);
    ck_assert_int_eq(body_of(soup, &room), TB_BODY_FLIPPED);
    make_box(soup, 5);
    soup_turn(soup, 7, 9); /* two of 300 */
    ck_assert_int_eq(body_of(soup, &room), TB_BODY_NEARLY);
    free(soup);
}
END_TEST

START_TEST(a_sheet_of_two_sides_has_no_volume_and_is_no_room)
{
    Soup *soup = malloc(sizeof *soup);
    bool room;

    soup->count = 0;
    for (int i = 0; i < 12; i++)
        soup_add_quad(soup, tb_vec3(7.1 * i, 0, 0), tb_vec3(7.1 * (i + 1), 0, 0),
                      tb_vec3(7.1 * (i + 1), 50, 3), tb_vec3(7.1 * i, 50, 3));
    for (size_t i = 0, n = soup->count; i < n; i++)
        soup_add(soup, soup->corner[3 * i], soup->corner[3 * i + 2], soup->corner[3 * i + 1]);
    ck_assert_int_eq(body_of(soup, &room), TB_BODY_NEARLY);
    ck_assert(!room);
    free(soup);
}
END_TEST

START_TEST(lids_without_room_are_asked_for_again)
{
    Soup *soup = malloc(sizeof *soup);
    const TbLids *lids = NULL;
    TbTree *tree;
    long n = 0;

    make_box(soup, 4);
    soup_drop(soup, 17);
    soup_drop(soup, 3);
    tree = soup_tree(soup);
    for (;;) {
        TbStatus status;

        tb_mem_fail_at(++n);
        status = tb_tree_lids(tree, &lids);
        tb_mem_fail_at(0);
        if (status == TB_OK)
            break;
        ck_assert_int_eq(status, TB_E_MEMORY);
        ck_assert_ptr_null(lids);
        ck_assert_int_lt(n, 200);
    }
    ck_assert_int_gt(n, 15);
    ck_assert_double_gt(lids->area, 0);
    tb_tree_unref(tree);
    free(soup);
}
END_TEST

typedef struct Asked {
    const TbTree *tree;
    const TbLids *lids[64];
} Asked;

static void
ask_lids(void *data, size_t from, size_t to, int worker)
{
    Asked *asked = data;

    (void)worker;
    for (size_t i = from; i < to; i++)
        if (tb_tree_lids(asked->tree, &asked->lids[i]) != TB_OK)
            asked->lids[i] = NULL;
}

START_TEST(all_threads_that_ask_at_once_get_the_same_lids)
{
    Soup *soup = malloc(sizeof *soup);
    TbWork *work = tb_work_new(4);

    make_box(soup, 20);
    soup_drop(soup, 1017);
    for (int n = 0; n < 10; n++) {
        TbTree *tree = soup_tree(soup);
        Asked asked = {.tree = tree};

        ck_assert_int_eq(tb_work_for(work, NULL, 64, 1, ask_lids, &asked), TB_OK);
        for (int i = 0; i < 64; i++) {
            ck_assert_ptr_nonnull(asked.lids[i]);
            ck_assert_ptr_eq(asked.lids[i], asked.lids[0]);
        }
        tb_tree_unref(tree);
    }
    tb_work_free(work);
    free(soup);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/lids");
    TCase *c = tcase_create("lids");

    tcase_set_timeout(c, 60);
    tcase_add_test(c, winding_of_any_mesh_is_that_of_all_its_triangles);
    tcase_add_test(c, what_is_remembered_is_of_one_mesh_and_one_place);
    tcase_add_test(c, a_closed_mesh_needs_no_lids);
    tcase_add_test(c, a_box_without_one_side_is_open_and_its_lid_is_that_side);
    tcase_add_test(c, a_crack_all_around_is_filled_by_slim_triangles);
    tcase_add_test(c, a_crack_whose_sides_are_divided_differently_is_no_hole);
    tcase_add_test(c, sides_turned_over_leave_a_mesh_closed_but_flipped);
    tcase_add_test(c, a_sheet_of_two_sides_has_no_volume_and_is_no_room);
    tcase_add_test(c, lids_without_room_are_asked_for_again);
    tcase_add_test(c, all_threads_that_ask_at_once_get_the_same_lids);
    suite_add_tcase(suite, c);
    return tb_test_main(suite);
}
