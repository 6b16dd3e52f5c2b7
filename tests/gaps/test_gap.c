/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "scenes.h"

/* ---- straight ducts ---- */

START_TEST(round_duct_and_plane)
{
    TbVec3 n = tb_vec3_unit(tb_vec3(0.2, 0.5, 0.9)), a = {10, 20, -30}, b = {310, 11, -42.5};
    double r = 32.4, far = fmax(tb_vec3_dot(a, n), tb_vec3_dot(b, n));
    TbVec3 t = tb_vec3_unit(tb_vec3_sub(b, a));
    double reach = r * tb_vec3_length(tb_vec3_across(n, t)), off = 8.7;
    TbSection s = tb_section_superellipse(2 * (r - 1.5), 2 * (r - 1.5), 2);

    s.wall = 1.5;
    check_gap(solid_of_sweep(straight_sweep(a, b, s)),
              solid_of_plain(slab(n, far + reach + off, tb_vec3(150, 0, 0))), off, "duct, plane");
}
END_TEST

START_TEST(round_duct_and_ball_and_rod)
{
    TbSection s = tb_section_superellipse(57, 57, 2);

    check_gap(solid_of_sweep(straight_sweep(tb_vec3(0, 0, 0), tb_vec3(280, 0, 0), s)),
              solid_of_plain(ball(tb_vec3(77.7, 30, 40), 6.3)), 50 - 28.5 - 6.3, "duct, ball");
    check_gap(solid_of_sweep(straight_sweep(tb_vec3(0, 0, 0), tb_vec3(280, 0, 0), s)),
              solid_of_plain(rod(tb_vec3(30, -200, 41.3), tb_vec3(210, 190, 41.3), 4.75)),
              41.3 - 28.5 - 4.75, "duct, skew rod");
    check_gap(solid_of_sweep(straight_sweep(tb_vec3(0, 0, 0), tb_vec3(280, 0, 0), s)),
              solid_of_plain(rod(tb_vec3(30, 24, 45), tb_vec3(210, 24, 45), 4.75)),
              51 - 28.5 - 4.75, "duct, parallel rod");
}
END_TEST

START_TEST(superellipse_duct_and_plane_and_rods)
{
    static const double exponents[4] = {1.4, 2, 3.3, 8};

    for (int i = 0; i < 4; i++) {
        double n = exponents[i], m = n / (n - 1), at = 0.6, wall = 2;
        double h = pow(pow(45 * sin(at), m) + pow(25 * cos(at), m), 1 / m) + wall;
        TbSection s = tb_section_superellipse(90, 50, n);
        TbSweep *sweep;
        TbDisc disc;
        TbVec3 normal, contact, on, t;

        s.wall = wall;
        sweep = straight_sweep(tb_vec3(0, 0, 0), tb_vec3(300, 0, 0), s);
        disc = tb_sweep_at(sweep, 120);
        normal = tb_vec3_add(tb_vec3_scale(disc.w, sin(at)), tb_vec3_scale(disc.h, cos(at)));
        tb_disc_support(&disc, normal, true, &contact);
        check_gap(solid_of_sweep(tb_sweep_ref(sweep)),
                  solid_of_plain(slab(normal, h + 9.1, tb_vec3(150, 0, 0))), 9.1, "plane");
        on = tb_vec3_add_scaled(contact, 11.3, normal);
        t = tb_vec3_unit(tb_vec3_add(tb_vec3(0.5, 0, 0), tb_vec3_cross(normal, tb_vec3(1, 0, 0))));
        check_gap(
            solid_of_sweep(tb_sweep_ref(sweep)),
            solid_of_plain(rod(tb_vec3_add_scaled(on, -60, t), tb_vec3_add_scaled(on, 70, t), 4.1)),
            7.2, "skew rod");
        check_gap(solid_of_sweep(sweep),
                  solid_of_plain(rod(tb_vec3_add_scaled(on, -60, tb_vec3(1, 0, 0)),
                                     tb_vec3_add_scaled(on, 70, tb_vec3(1, 0, 0)), 4.1)),
                  7.2, "parallel rod");
    }
}
END_TEST

START_TEST(end_caps_are_flat)
{
    TbSection s = tb_section_superellipse(57, 57, 2);

    /* a ball ahead of the end, and one past its rim */
    check_gap(solid_of_sweep(straight_sweep(tb_vec3(0, 0, 0), tb_vec3(280, 0, 0), s)),
              solid_of_plain(ball(tb_vec3(295.5, 10, 3), 6.3)), 15.5 - 6.3, "cap, ball");
    check_gap(solid_of_sweep(straight_sweep(tb_vec3(0, 0, 0), tb_vec3(280, 0, 0), s)),
              solid_of_plain(ball(tb_vec3(289, 0, 40.5), 6.3)), 15 - 6.3, "rim, ball");
}
END_TEST

/* ---- bends: exact tori ---- */

START_TEST(bend_and_ball_on_its_outside_inside_and_above)
{
    double R = 120, r = 32, at = 0.77;
    TbVec3 out = {cos(at), sin(at), 0};
    static const double lift[4] = {0, 0.4, 1.1, 1.57079632679};

    for (int i = 0; i < 4; i++) {
        TbVec3 way = tb_vec3_add(tb_vec3_scale(out, cos(lift[i])), tb_vec3(0, 0, sin(lift[i])));
        TbVec3 p = tb_vec3_add_scaled(tb_vec3_scale(out, R), 80, way);
        double truth = hypot(hypot(p.x, p.y) - R, p.z) - r - 7.3;

        check_gap(solid_of_sweep(bend_sweep(R, 0, M_PI / 2, 25, 2 * r, 2)),
                  solid_of_plain(ball(p, 7.3)), truth, "bend, ball");
    }
    check_gap(solid_of_sweep(bend_sweep(R, 0, M_PI / 2, 25, 2 * r, 2)),
              solid_of_plain(ball(tb_vec3(60 * cos(at), 60 * sin(at), 0), 3.3)), 60 - 32 - 3.3,
              "inside of a bend");
}
END_TEST

START_TEST(bend_and_plane_that_a_whole_arc_is_nearest_to)
{
    check_gap(solid_of_sweep(bend_sweep(120, 0, M_PI / 2, 0.5, 64, 2)),
              solid_of_plain(slab(tb_vec3(0, 0, 1), 50.3, tb_vec3(60, 60, 0))), 18.3,
              "bend, flat plane");
}
END_TEST

START_TEST(published_torus_values)
{
    /* torus, plane: d = h - R sin(phi) - r with phi between axis and normal; phi = 90 here.
     * Quarter bend of radius 75, tube radius 25, plane x + y = 200: 200/sqrt 2 - 100 */
    double truth = 200 / M_SQRT2 - 100;

    check_gap(
        solid_of_sweep(bend_sweep(75, 0, M_PI / 2, 1e-3, 50, 1.5)),
        solid_of_plain(slab(tb_vec3(M_SQRT1_2, M_SQRT1_2, 0), 200 / M_SQRT2, tb_vec3(50, 50, 0))),
        truth, "quarter bend, plane");
    ck_assert_double_eq_tol(truth, 41.4213562373, 1e-9);
    /* torus R 50 r 10 and point (60, 80, 30): 48.3095189485; the bend passes below the point */
    check_gap(solid_of_sweep(bend_sweep(50, 0.2, 1.5, 5, 20, 1)),
              solid_of_plain(ball(tb_vec3(60, 80, 30), 1)), 48.3095189485 - 1, "torus, point");
    /* torus, plane at 45 degrees: 22.5735931288 at the bend's highest place */
    {
        TbVec3 n = tb_vec3_unit(tb_vec3(cos(0.8), sin(0.8), 1));

        check_gap(solid_of_sweep(bend_sweep(60, 0, 1.6, 2, 30, 1)),
                  solid_of_plain(slab(n, 80, tb_vec3(30, 30, 0))), 22.5735931288, "tilted plane");
    }
}
END_TEST

START_TEST(bends_centre_a_whole_inner_arc_is_nearest)
{
    TbSolid *a = solid_of_sweep(bend_sweep(120, 0, M_PI / 2, 20, 64, 2));
    TbSolid *b = solid_of_plain(ball(tb_vec3(0, 0, 0), 5));
    TbGap g = ask_gap(a, b, 1e-4);

    ck_assert_msg(g.lower <= 83 && g.upper >= 83 && g.upper - g.lower <= 1e-4, "[%.9f, %.9f]",
                  g.lower, g.upper);
    tb_solid_unref(a);
    tb_solid_unref(b);
}
END_TEST

/* ---- ducts and plain shapes among themselves ---- */

START_TEST(duct_and_duct)
{
    TbSection s = tb_section_superellipse(57, 57, 2), t = tb_section_superellipse(38, 38, 2);

    check_gap(solid_of_sweep(straight_sweep(tb_vec3(0, 0, 0), tb_vec3(280, 0, 0), s)),
              solid_of_sweep(straight_sweep(tb_vec3(100, -150, 61), tb_vec3(170, 160, 61), t)),
              61 - 28.5 - 19, "skew ducts");
    check_gap(solid_of_sweep(straight_sweep(tb_vec3(0, 0, 0), tb_vec3(280, 0, 0), s)),
              solid_of_sweep(straight_sweep(tb_vec3(50, 40, 42), tb_vec3(370, 40, 42), t)),
              58 - 28.5 - 19, "parallel ducts");
    /* two bends of one centre, above each other: nearest along a whole arc */
    {
        TbSolid *a = solid_of_sweep(bend_sweep(120, 0, 1.3, 10, 64, 2));
        TbSweep *flat = bend_sweep(110, 0.1, 1.2, 1e-3, 40, 2);
        TbSweep *moved = tb_sweep_moved(flat, tb_pose_shift(tb_vec3(0, 0, 70)));
        TbSolid *b = solid_of_sweep(moved);
        TbGap g = ask_gap(a, b, 1e-3);
        double truth = hypot(70, 10) - 32 - 20;

        ck_assert_msg(g.lower <= truth + 1e-8 && g.upper >= truth - 1e-8 &&
                          g.upper - g.lower <= 1e-3,
                      "[%.9f, %.9f] %ld", g.lower, g.upper, g.nodes);
        tb_sweep_unref(flat);
        tb_solid_unref(a);
        tb_solid_unref(b);
    }
}
END_TEST

START_TEST(plain_pairs)
{
    check_gap(solid_of_plain(rod(tb_vec3(0, 0, 0), tb_vec3(100, 0, 0), 5)),
              solid_of_plain(rod(tb_vec3(20, 30, -40), tb_vec3(80, -10, 60), 3)), 4.9986736724,
              "published segment pair");
    check_gap(solid_of_plain(rod(tb_vec3(0, 0, 0), tb_vec3(100, 0, 0), 5)),
              solid_of_plain(rod(tb_vec3(111.3, 2, 1), tb_vec3(180, 2, 1), 3)), 11.3,
              "rod ends face to face");
    check_gap(solid_of_plain(block(tb_vec3(0, 0, 0), tb_vec3(0, 0, 1), 20, 30, 7.3)),
              solid_of_plain(block(tb_vec3(5, 5, 20.9), tb_vec3(0, 0, 1), 8, 9, 4.4)), 9.2,
              "blocks face to face");
    check_gap(solid_of_plain(cone(tb_vec3(0, 0, 0), tb_vec3(0, 0, 40), 20, 5)),
              solid_of_plain(ball(
                  tb_vec3(12.5 + 9.37 * 40 / sqrt(1825), 0, 20 + 9.37 * 15 / sqrt(1825)), 2.2)),
              7.17, "cone, ball");
}
END_TEST

START_TEST(outlines_round_and_with_a_notch)
{
    /* a ball in the notch of the L is 10.3 - 4 from the one side, 9.1 - 4 from the other */
    check_gap(solid_of_plain(prism(angle_points, 6, 0, 30, 0)),
              solid_of_plain(ball(tb_vec3(24 + 10.3, 18 + 9.1, 14), 4)), 5.1, "notch");
    /* over the corner at (60, 18, 30): to the point, less the rounding */
    check_gap(solid_of_plain(prism(angle_points, 6, 0, 30, 2.5)),
              solid_of_plain(ball(tb_vec3(60 + 12, 18 + 4, 30 + 6), 3)), 14 - 3 - 2.5,
              "rounded corner");
    check_gap(solid_of_plain(prism(pentagon, 5, 0, 30, 2.5)),
              solid_of_plain(rod(tb_vec3(20, 20, 41.2), tb_vec3(20, 20, 90), 7)), 11.2 - 2.5,
              "rounded top");
    check_gap(solid_of_plain(prism(pentagon, 5, 0, 30, 2.5)),
              solid_of_sweep(straight_sweep(tb_vec3(-80, -45, 10), tb_vec3(120, -45, 10),
                                            tb_section_superellipse(30, 30, 2))),
              39 - 15 - 2.5, "duct beside a rounded corner");
}
END_TEST

/* ---- the bound is what makes it true ---- */

START_TEST(halved_bound_gives_a_wrong_certificate_on_the_outside_of_a_bend)
{
    double R = 120, r = 32;
    int wrong[2] = {0, 0};

    for (int i = 0; i < 40; i++) {
        double at = 0.35 + 0.021 * i, off = 4.3 + i;
        TbSolid *a = solid_of_sweep(bend_sweep(R, 0, M_PI / 2, 25, 2 * r, 2));
        TbSolid *b =
            solid_of_plain(ball(tb_vec3((R + r + off) * cos(at), (R + r + off) * sin(at), 0), 0.5));

        for (int k = 0; k < 2; k++) {
            TbGap g;

            tb_strip_stray_factor = k == 0 ? 1 : 0.5;
            g = ask_gap(a, b, 1e-4);
            if (g.lower > off - 0.5 + 1e-6)
                wrong[k]++;
        }
        tb_strip_stray_factor = 1;
        tb_solid_unref(a);
        tb_solid_unref(b);
    }
    ck_assert_int_eq(wrong[0], 0);
    ck_assert_msg(wrong[1] > 10, "a halved bound was seen %d times of 40", wrong[1]);
}
END_TEST

/*
 * A stranger laid a scanned triangle through a duct so that one corner was the very point at which
 * the search begins: it answered "touches" instead of "crosses" after its whole budget, 400,000
 * nodes and four seconds. The first witness was already at distance 0, so no evaluated pair could
 * beat it, and only such a pair says that the solids meet. Now a first witness at 0 is held 4e-9 mm
 * apart, which is true of an upper end, and the first real meeting ends the search.
 */
START_TEST(a_mesh_through_the_first_point_of_a_duct_crosses_it)
{
    TbSweep *sweep =
        straight_sweep(tb_vec3(1, 2, 3), tb_vec3(161, 2, 3), tb_section_superellipse(50, 60, 2.5));
    TbDisc disc = tb_sweep_at(sweep, 0);
    TbVec3 corner[3] = {tb_disc_point(&disc, 0, true, NULL), {61, 0, -80}, {61, 4, 80}};
    static const uint32_t index[3] = {0, 1, 2};
    TbSolid *duct = solid_of_sweep(sweep), *scan = tb_solid_new();
    TbMesh *mesh = NULL;
    TbTree *tree = NULL;
    TbGap g;

    ck_assert_int_eq(tb_mesh_from_arrays(corner, 3, index, 1, &mesh, NULL), TB_OK);
    ck_assert_int_eq(tb_tree_new(mesh, NULL, NULL, &tree, NULL), TB_OK);
    ck_assert_int_eq(tb_solid_add_tree(scan, tree, 0, NULL), TB_OK);
    for (int turn = 0; turn < 2; turn++) {
        g = turn == 0 ? ask_gap(duct, scan, 1e-2) : ask_gap(scan, duct, 1e-2);
        ck_assert_int_eq(g.contact, TB_CROSSES);
        ck_assert_double_eq(g.lower, 0);
        ck_assert_double_eq(g.upper, 0);
        ck_assert(!g.exhausted);
        ck_assert_int_le(g.nodes, 1000);
    }
    tb_tree_unref(tree);
    tb_mesh_unref(mesh);
    tb_solid_unref(scan);
    tb_solid_unref(duct);
}
END_TEST

static Suite *
gap_suite(void)
{
    Suite *suite = suite_create("gaps/gap");
    TCase *forms = tcase_create("closed forms");
    TCase *proof = tcase_create("proof");

    tcase_set_timeout(forms, 60);
    tcase_add_test(forms, round_duct_and_plane);
    tcase_add_test(forms, round_duct_and_ball_and_rod);
    tcase_add_test(forms, superellipse_duct_and_plane_and_rods);
    tcase_add_test(forms, end_caps_are_flat);
    tcase_add_test(forms, bend_and_ball_on_its_outside_inside_and_above);
    tcase_add_test(forms, bend_and_plane_that_a_whole_arc_is_nearest_to);
    tcase_add_test(forms, published_torus_values);
    tcase_add_test(forms, bends_centre_a_whole_inner_arc_is_nearest);
    tcase_add_test(forms, duct_and_duct);
    tcase_add_test(forms, plain_pairs);
    tcase_add_test(forms, outlines_round_and_with_a_notch);
    tcase_add_test(forms, a_mesh_through_the_first_point_of_a_duct_crosses_it);
    suite_add_tcase(suite, forms);
    tcase_add_test(proof, halved_bound_gives_a_wrong_certificate_on_the_outside_of_a_bend);
    suite_add_tcase(suite, proof);
    return suite;
}

int
main(void)
{
    return tb_test_main(gap_suite());
}
