/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "scenes.h"

#include <time.h>

static TbSolid *
round_bar(TbVec3 a, TbVec3 b, double outside)
{
    return solid_of_sweep(straight_sweep(a, b, tb_section_superellipse(outside, outside, 2)));
}

static TbSolid *
mesh_of(TbSolid *solid, double chord)
{
    TbMesh *mesh = NULL;
    TbTree *tree = NULL;
    TbSolid *made = tb_solid_new();

    ck_assert_int_eq(tb_solid_mesh(solid, chord, &mesh, NULL), TB_OK);
    ck_assert_int_eq(tb_tree_new(mesh, NULL, NULL, &tree, NULL), TB_OK);
    ck_assert(tb_mesh_facts(mesh).closed);
    ck_assert_int_eq(tb_solid_add_tree(made, tree, 0, NULL), TB_OK);
    tb_tree_unref(tree);
    tb_mesh_unref(mesh);
    tb_solid_unref(solid);
    return made;
}

/** Depth both ways round, its width, and that moving along the way out lessens it. */
static void
check_depth_of(
    TbSolid *a, TbSolid *b, double truth, bool from_a_middle, TbContact contact, const char *what)
{
    for (int turn = 0; turn < 2; turn++) {
        const TbSolid *x = turn == 0 ? a : b, *y = turn == 0 ? b : a;
        TbSolid *moved;
        clock_t start = clock();
        TbGap g = ask_gap(x, y, 1e-2), less;

        ck_assert_msg(g.lower <= truth + 1e-8 && g.upper >= truth - 1e-8,
                      "%s: [%.9f, %.9f] misses %.9f", what, g.lower, g.upper, truth);
        ck_assert_msg(g.upper - g.lower <= TB_DEPTH_WIDTH + 1e-8 && !g.exhausted,
                      "%s: [%.6f, %.6f] too wide, %ld cells", what, g.lower, g.upper, g.nodes);
        ck_assert_msg(g.contact == contact, "%s: %s", what, tb_contact_name(g.contact));
        ck_assert_double_eq_tol(tb_vec3_distance(g.point_a, g.point_b), -g.upper, 0.01);
        ck_assert_double_eq_tol(tb_vec3_length(g.way_out), 1, 1e-9);
        if (getenv("TB_SAY") != NULL)
            printf("%s: [%.6f, %.6f] %ld cells %.1f ms\n", what, g.lower, g.upper, g.nodes,
                   1e3 * (double)(clock() - start) / CLOCKS_PER_SEC);
        moved = tb_solid_moved(x, tb_pose_shift(tb_vec3_scale(g.way_out, 0.25)));
        less = ask_gap(moved, y, 1e-2);
        /* first order: not where the deepest point is a middle from which every way is deeper */
        if (!from_a_middle)
            ck_assert_msg(less.upper >= g.lower - 1e-8, "%s: deeper by the way out", what);
        tb_solid_unref(moved);
    }
    tb_solid_unref(a);
    tb_solid_unref(b);
}

static void
check_depth(TbSolid *a, TbSolid *b, double truth, const char *what)
{
    check_depth_of(a, b, truth, false, TB_OVERLAPS, what);
}

static void
check_inside(TbSolid *a, TbSolid *b, double truth, const char *what)
{
    check_depth_of(a, b, truth, false, TB_INSIDE, what);
}

START_TEST(rod_through_the_middle_of_a_duct)
{
    check_depth(round_bar(tb_vec3(0, 0, 0), tb_vec3(300, 0, 0), 64),
                round_bar(tb_vec3(150, -100, 3), tb_vec3(150, 100, 3), 10), -32, "rod across");
}
END_TEST

START_TEST(block_into_a_duct)
{
    check_depth(round_bar(tb_vec3(0, 0, 0), tb_vec3(300, 0, 0), 64),
                solid_of_plain(block(tb_vec3(150, 0, 45), tb_vec3(0, 0, 1), 60, 60, 20)), -7,
                "block 7 deep");
}
END_TEST

START_TEST(rod_grazing_a_duct)
{
    check_depth(round_bar(tb_vec3(0, 0, 0), tb_vec3(300, 0, 0), 64),
                round_bar(tb_vec3(150, -100, 34), tb_vec3(150, 100, 34), 10), -3, "rod 3 deep");
}
END_TEST

START_TEST(plain_shapes)
{
    check_depth(solid_of_plain(block(tb_vec3(0, 0, 0), tb_vec3(0, 0, 1), 60, 60, 20)),
                solid_of_plain(block(tb_vec3(5, 7, 35.3), tb_vec3(0, 0, 1), 40, 30, 20)), -4.7,
                "blocks face to face");
    check_depth(solid_of_plain(ball(tb_vec3(0, 0, 0), 20)),
                solid_of_plain(ball(tb_vec3(12, 9, 8), 5.3)), -(25.3 - 17), "balls");
    check_depth(solid_of_plain(block(tb_vec3(0, 0, 0), tb_vec3(0, 0, 1), 60, 60, 20)),
                solid_of_plain(ball(tb_vec3(10, 3, 23.1), 7.7)), -4.6, "ball in a block");
    check_depth(solid_of_plain(rod(tb_vec3(0, 0, 0), tb_vec3(120, 0, 0), 12.5)),
                solid_of_plain(rod(tb_vec3(60, -50, 16.2), tb_vec3(60, 50, 16.2), 6.4)), -2.7,
                "rods across");
    check_depth(solid_of_plain(cone(tb_vec3(0, 0, 0), tb_vec3(0, 0, 40), 20, 5)),
                solid_of_plain(block(tb_vec3(0, 0, 49), tb_vec3(0, 0, 1), 30, 30, 10.3)), -1.3,
                "cone's tip in a block");
}
END_TEST

START_TEST(one_wholly_inside_the_other)
{
    /* the ball's furthest point from the block's faces: its own lower end, 13.3 under the top */
    check_inside(solid_of_plain(block(tb_vec3(0, 0, 0), tb_vec3(0, 0, 1), 60, 60, 30)),
                 solid_of_plain(ball(tb_vec3(10, 3, 20), 3.3)), -13.3, "ball inside a block");
    check_inside(mesh_of(solid_of_plain(block(tb_vec3(0, 0, 0), tb_vec3(0, 0, 1), 60, 60, 30)), 1),
                 solid_of_plain(ball(tb_vec3(10, 3, 20), 3.3)), -13.3, "ball inside a mesh");
    check_depth_of(solid_of_plain(ball(tb_vec3(10, 3, 20), 33)),
                   mesh_of(solid_of_plain(block(tb_vec3(10, 3, 20), tb_vec3(0, 0, 1), 3, 2, 7)), 1),
                   -31, true, TB_INSIDE, "mesh inside a ball");
    /* faces at z = +-50; the bar's lowest line at z = 21 is 29 below the upper one */
    check_inside(mesh_of(solid_of_plain(block(tb_vec3(0, 0, 0), tb_vec3(1, 0, 0), 60, 50, 90)), 1),
                 round_bar(tb_vec3(-40, 5, 31), tb_vec3(40, 5, 31), 20), -29, "bar inside a mesh");
}
END_TEST

START_TEST(meshes)
{
    check_depth(mesh_of(solid_of_plain(block(tb_vec3(0, 0, 0), tb_vec3(0, 0, 1), 60, 60, 20)), 1),
                solid_of_plain(block(tb_vec3(5, 7, 35.3), tb_vec3(0, 0, 1), 40, 30, 20)), -4.7,
                "mesh and block");
    check_depth(
        mesh_of(solid_of_plain(block(tb_vec3(0, 0, 0), tb_vec3(0, 0, 1), 60, 60, 20)), 1),
        mesh_of(solid_of_plain(block(tb_vec3(5, 7, 35.3), tb_vec3(0, 0, 1), 40, 30, 20)), 1), -4.7,
        "mesh and mesh");
    check_depth(
        mesh_of(solid_of_plain(block(tb_vec3(150, 0, 45), tb_vec3(0, 0, 1), 60, 60, 20)), 1),
        round_bar(tb_vec3(0, 0, 0), tb_vec3(300, 0, 0), 64), -7, "mesh in a duct");
}
END_TEST

START_TEST(outlines)
{
    TbSolid *a, *b;
    TbGap g;

    check_depth(solid_of_plain(prism(pentagon, 5, 0, 30, 2.5)),
                solid_of_plain(block(tb_vec3(20, 20, 46.2), tb_vec3(0, 0, 1), 80, 80, 15)), -1.3,
                "rounded top in a block");
    check_depth(solid_of_plain(prism(pentagon, 5, 0, 30, 2.5)),
                solid_of_plain(ball(tb_vec3(20, 20, 37.1), 6.2)), -1.6, "ball in a rounded top");
    /* the L's foot is 18 high in y: a rod from the notch ends 5.3 below its top edge's face */
    check_depth(solid_of_plain(prism(angle_points, 6, 0, 30, 0)),
                solid_of_plain(rod(tb_vec3(45, 12.7, 15), tb_vec3(45, 70, 15), 3)), -5.3,
                "rod's end in an L");
    /* a rounded outline that is not convex: true, but wide, and it says so */
    a = solid_of_plain(prism(angle_points, 6, 0, 30, 1));
    b = solid_of_plain(rod(tb_vec3(45, 13.7, 15), tb_vec3(45, 70, 15), 3));
    g = ask_gap(a, b, 1e-2);
    ck_assert_int_eq(g.contact, TB_OVERLAPS);
    ck_assert(g.exhausted && g.lower <= -5.3 && g.upper >= -5.3 - 1e-6 && g.upper < 0);
    tb_solid_unref(a);
    tb_solid_unref(b);
}
END_TEST

START_TEST(sweeps_with_flat_sides)
{
    TbSection s = tb_section_rounded(60, 40, 8);
    TbSweep *sweep = straight_sweep(tb_vec3(0, 0, 0), tb_vec3(200, 0, 0), s);
    TbDisc disc = tb_sweep_at(sweep, 100);
    TbVec3 up = disc.h;

    /* a block's face 3.7 under the flat top; a ball 2.2 deep in the flat side */
    check_depth(solid_of_sweep(tb_sweep_ref(sweep)),
                solid_of_plain(block(tb_vec3_add_scaled(tb_vec3(100, 0, 0), 20 - 3.7 + 10, up), up,
                                     12, 14, 10)),
                -3.7, "block in a flat top");
    check_depth(
        solid_of_sweep(tb_sweep_ref(sweep)),
        solid_of_plain(ball(tb_vec3_add_scaled(tb_vec3(100, 0, 0), 30 + 5 - 2.2, disc.w), 5)), -2.2,
        "ball in a flat side");
    tb_sweep_unref(sweep);
}
END_TEST

START_TEST(bend_and_ball_in_its_middle_line)
{
    double at = 0.6, R = 120;

    /* a ball on the bend's middle line: the deepest point of its surface is a tube radius deep when
     * it crosses the middle line, and it does */
    check_inside(solid_of_sweep(bend_sweep(R, 0, M_PI / 2, 40, 64, 2)),
                 solid_of_plain(ball(tb_vec3(R * cos(at), R * sin(at), 6), 9)), -32,
                 "ball in bend");
    check_depth(solid_of_sweep(bend_sweep(R, 0, M_PI / 2, 40, 64, 2)),
                solid_of_plain(ball(tb_vec3((R + 40) * cos(at), (R + 40) * sin(at), 0), 11.3)),
                -3.3, "ball into the outside of a bend");
}
END_TEST

/*
 * A stranger's fuzz of sections found D shapes whose path runs outside of them: each half-extent is
 * above 0, but the corner between two short ones is rounded by a radius that leaves the path's
 * point out, here by 3.2 mm. The cells of a flat end fanned out from that point, so the depth of a
 * ball near it was "proved" at points that are not of the duct: 2 mm where the truth is 1 mm
 * elsewhere. Now they fan out from a point inside.
 */
START_TEST(an_end_whose_section_leaves_the_path_out)
{
    TbSection section = tb_section_rounded(100, 100, 50);
    TbSweep *sweep;
    TbDisc disc;
    TbSolid *duct, *other = tb_solid_new();
    TbPlain into, beside;
    TbVec3 way, contact;

    section.half[TB_SIDE_LEFT] = 10;
    section.half[TB_SIDE_RIGHT] = 90;
    section.half[TB_SIDE_DOWN] = 15;
    section.half[TB_SIDE_UP] = 85;
    sweep = straight_sweep(tb_vec3(0, 0, 0), tb_vec3(300, 0, 0), section);
    disc = tb_sweep_at(sweep, 0);
    way = tb_vec3_unit(tb_vec3_add(disc.w, disc.h));
    tb_disc_support(&disc, way, true, &contact);
    /* 1 mm into the far corner half way along the duct, and 1.15 mm beside the near one's end */
    into = ball(tb_vec3_add_scaled(tb_vec3_add(contact, tb_vec3(150, 0, 0)), 6, way), 7);
    beside = ball(disc.centre, 2);
    duct = solid_of_sweep(sweep);
    ck_assert_int_eq(tb_solid_add_plain(other, &into, 0, NULL), TB_OK);
    ck_assert_int_eq(tb_solid_add_plain(other, &beside, 0, NULL), TB_OK);
    check_depth(duct, other, -1, "ball beside an end's rounded corner");
}
END_TEST

static Suite *
overlap_suite(void)
{
    Suite *suite = suite_create("gaps/overlap");
    TCase *depths = tcase_create("depths");

    tcase_set_timeout(depths, 60);
    tcase_add_test(depths, rod_through_the_middle_of_a_duct);
    tcase_add_test(depths, block_into_a_duct);
    tcase_add_test(depths, rod_grazing_a_duct);
    tcase_add_test(depths, plain_shapes);
    tcase_add_test(depths, one_wholly_inside_the_other);
    tcase_add_test(depths, meshes);
    tcase_add_test(depths, outlines);
    tcase_add_test(depths, sweeps_with_flat_sides);
    tcase_add_test(depths, bend_and_ball_in_its_middle_line);
    tcase_add_test(depths, an_end_whose_section_leaves_the_path_out);
    suite_add_tcase(suite, depths);
    return suite;
}

int
main(void)
{
    return tb_test_main(overlap_suite());
}
