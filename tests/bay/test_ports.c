/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bays.h"

#include "bay/edit.h"
#include "bay/ports.h"

#include <math.h>

#define ck_assert_near(a, b, tolerance) ck_assert_double_le(tb_vec3_distance(a, b), tolerance)

static TbPortPlace
place_in(const TbBay *bay, const char *variant, const char *port)
{
    TbPortPlace place;
    TbFault fault = {0};

    ck_assert_msg(tb_bay_port_place(bay, variant, port, &place, &fault) == TB_OK, "%s", fault.text);
    ck_assert_double_eq_tol(tb_vec3_length(place.flow), 1, 1e-14);
    ck_assert_double_eq_tol(tb_vec3_length(place.up), 1, 1e-14);
    ck_assert_double_eq_tol(tb_vec3_dot(place.flow, place.up), 0, 1e-14);
    return place;
}

/* Second way: the turbo's axes written out by hand, the turn by Rodrigues' formula
 * v cos + (x cross v) sin + x (x . v)(1 - cos). */
static TbVec3
by_hand(TbVec3 at, TbVec3 shaft, TbVec3 up, double turn, TbVec3 p)
{
    TbVec3 x = tb_vec3_unit(shaft);
    TbVec3 z = tb_vec3_unit(tb_vec3_sub(up, tb_vec3_scale(x, tb_vec3_dot(up, x))));
    TbVec3 y = tb_vec3_cross(z, x);
    TbVec3 v = tb_vec3_add(tb_vec3_add(tb_vec3_scale(x, p.x), tb_vec3_scale(y, p.y)),
                           tb_vec3_scale(z, p.z));
    double c = cos(turn * M_PI / 180);
    double s = sin(turn * M_PI / 180);
    TbVec3 turned = tb_vec3_add(tb_vec3_scale(v, c), tb_vec3_scale(tb_vec3_cross(x, v), s));

    turned = tb_vec3_add(turned, tb_vec3_scale(x, tb_vec3_dot(x, v) * (1 - c)));
    return tb_vec3_add(at, turned);
}

static const TbVec3 turbo_at = {1080, -225, 735};
static const TbVec3 turbo_shaft = {0.9976, 0.0698, 0};
static const TbVec3 turbo_up = {0, 0.1, 1};

START_TEST(port_of_a_housing_lies_where_its_axes_say)
{
    TbBay *bay = read_small();

    ck_assert_near(place_in(bay, NULL, "turbine-out").point,
                   by_hand(turbo_at, turbo_shaft, turbo_up, 0, tb_vec3(98, 0, 0)), 1e-10);
    ck_assert_near(place_in(bay, NULL, "drain-out").point,
                   by_hand(turbo_at, turbo_shaft, turbo_up, 6, tb_vec3(0, 0, -46)), 1e-10);
    ck_assert_near(place_in(bay, NULL, "flange").point,
                   by_hand(turbo_at, turbo_shaft, turbo_up, 0, tb_vec3(20, -60, -30)), 1e-10);
    ck_assert_str_eq(place_in(bay, NULL, "flange").mount, "engine");
    tb_bay_unref(bay);
}
END_TEST

START_TEST(turning_a_housing_moves_its_ports_and_no_others)
{
    TbBay *bay = read_small();
    TbBay *turned = NULL;

    ck_assert_int_eq(tb_edit_turn_housing(bay, "turbo", TB_HOUSING_CENTRE, -13.7, &turned, NULL),
                     TB_OK);
    ck_assert_near(place_in(turned, NULL, "drain-out").point,
                   by_hand(turbo_at, turbo_shaft, turbo_up, -13.7, tb_vec3(0, 0, -46)), 1e-10);
    /* the drop is 46 mm along the port's own direction, wherever it turned to */
    ck_assert_near(place_in(turned, NULL, "drain-out").point,
                   tb_vec3_add_scaled(turbo_at, 46, place_in(turned, NULL, "drain-out").flow),
                   1e-10);
    ck_assert_double_gt(tb_vec3_distance(place_in(turned, NULL, "drain-out").point,
                                         place_in(bay, NULL, "drain-out").point),
                        15);
    ck_assert_near(place_in(turned, NULL, "turbine-out").point,
                   place_in(bay, NULL, "turbine-out").point, 0);
    ck_assert_near(place_in(turned, NULL, "flange").point, place_in(bay, NULL, "flange").point, 0);
    tb_bay_unref(turned);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(path_follows_its_ports_when_the_turbo_moves)
{
    TbBay *bay = read_small();
    TbBay *moved = NULL;
    TbPlacedPath before;
    TbPlacedPath after;
    TbVec3 by = tb_vec3(7.5, -3.25, 12);

    ck_assert_int_eq(tb_edit_move_item(bay, "turbo", by, &moved, NULL), TB_OK);
    ck_assert_int_eq(tb_bay_path(bay, NULL, "outlet", &before, NULL), TB_OK);
    ck_assert_int_eq(tb_bay_path(moved, NULL, "outlet", &after, NULL), TB_OK);
    ck_assert_uint_eq(before.count, 5);
    ck_assert_int_eq(before.kind, TB_PATH_SMOOTH);
    ck_assert(before.has_start && before.has_end && before.has_start_up);
    ck_assert_near(before.knots[0], place_in(bay, NULL, "turbine-out").point, 0);
    ck_assert_near(before.start_tangent, place_in(bay, NULL, "turbine-out").flow, 0);
    ck_assert_near(before.start_up, place_in(bay, NULL, "turbine-out").up, 0);
    ck_assert_near(before.knots[4], tb_vec3(1366, -64, 303), 0);
    ck_assert_near(after.knots[0], tb_vec3_add(before.knots[0], by), 1e-10);
    for (size_t i = 1; i < 5; i++)
        ck_assert_near(after.knots[i], before.knots[i], 0);
    tb_placed_path_clear(&before);
    tb_placed_path_clear(&after);
    tb_bay_unref(moved);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(ends_without_ports_and_against_ports_have_their_tangents)
{
    TbBay *bay = read_small();
    TbPlacedPath path;

    ck_assert_int_eq(tb_bay_path(bay, NULL, "harness", &path, NULL), TB_OK);
    ck_assert_uint_eq(path.count, 3);
    ck_assert(path.has_start && !path.has_end && !path.has_start_up);
    ck_assert_near(path.start_tangent, tb_vec3(1, 0, 0), 0);
    ck_assert_near(path.start_up, tb_vec3(0, 0, 1), 0);
    tb_placed_path_clear(&path);
    ck_assert_int_eq(tb_bay_path(bay, NULL, "coolant", &path, NULL), TB_OK);
    ck_assert_uint_eq(path.count, 3);
    ck_assert(!path.has_start && path.has_end);
    ck_assert_near(path.end_tangent, tb_vec3_neg(place_in(bay, NULL, "flange").flow), 0);
    tb_placed_path_clear(&path);
    ck_assert_int_eq(tb_bay_path(bay, NULL, "drain", &path, NULL), TB_OK);
    ck_assert_int_eq(path.kind, TB_PATH_BENT);
    ck_assert_double_eq(path.radii[0], 0);
    ck_assert_double_eq(path.radii[2], 45);
    tb_placed_path_clear(&path);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(item_on_a_port_and_the_ports_it_owns_follow_it)
{
    TbBay *bay = read_small();
    TbBay *moved = NULL;
    TbPortPlace inlet = place_in(bay, NULL, "catalyst-in");
    TbPortPlace boss = place_in(bay, NULL, "boss");
    TbVec3 by = tb_vec3(-4, 5.5, 6.25);
    TbVec3 want = tb_vec3_add_scaled(tb_vec3_add_scaled(inlet.point, 60, inlet.flow), 50, inlet.up);
    TbPose pose;

    ck_assert_near(boss.point, want, 1e-10);
    ck_assert_near(boss.flow, inlet.up, 1e-14);
    ck_assert_int_eq(tb_bay_item_pose(bay, NULL, "catalyst", &pose, NULL), TB_OK);
    ck_assert_near(tb_pose_point(pose, tb_vec3(50, 0, 0)),
                   tb_vec3_add_scaled(inlet.point, 50, inlet.flow), 1e-10);
    ck_assert_int_eq(tb_edit_place_port(bay, "catalyst-in", tb_vec3_add(inlet.point, by),
                                        tb_vec3(0.6599, 0.26, -0.7049), &moved, NULL),
                     TB_OK);
    ck_assert_near(place_in(moved, NULL, "boss").point, tb_vec3_add(boss.point, by), 1e-10);
    ck_assert_str_eq(boss.mount, "engine");
    tb_bay_unref(moved);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(usual_up_is_z_and_minus_x_for_steep_ports)
{
    GString *text =
        small_with("flow=\"0.6599 0.26 -0.7049\" up=\"0 0 1\"", "flow=\"0.31 0 -0.95\"", NULL);
    TbBay *bay = read_text(text->str); /* 18.07 deg off vertical */
    TbBay *steep;

    ck_assert_double_gt(place_in(bay, NULL, "catalyst-in").up.z, 0.3);
    g_string_replace(text, "flow=\"0.31 0 -0.95\"", "flow=\"0.308 0 -0.95\"", 1); /* 17.96 deg */
    steep = read_text(text->str);
    ck_assert_double_lt(place_in(steep, NULL, "catalyst-in").up.x, -0.9);
    tb_bay_unref(steep);
    tb_bay_unref(bay);
    g_string_free(text, TRUE);
}
END_TEST

START_TEST(variant_shifts_the_mount_its_children_and_their_ports)
{
    TbBay *bay = read_small();
    TbVec3 up = tb_vec3(0, 0, 12);
    TbPose pose;

    ck_assert_near(place_in(bay, "high", "catalyst-in").point,
                   tb_vec3_add(place_in(bay, NULL, "catalyst-in").point, up), 0);
    ck_assert_near(place_in(bay, "high", "boss").point,
                   tb_vec3_add(place_in(bay, NULL, "boss").point, up), 1e-10);
    ck_assert_near(tb_bay_mount_shift(bay, "high", "bracket"), up, 0);
    ck_assert_near(tb_bay_mount_shift(bay, "high", "body"), tb_vec3(0, 0, 0), 0);
    ck_assert_int_eq(tb_bay_item_pose(bay, "high", "rail", &pose, NULL), TB_OK);
    ck_assert(tb_pose_is_identity(pose));
    ck_assert_near(place_in(bay, "standard", "boss").point, place_in(bay, NULL, "boss").point, 0);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(line_end_rides_on_its_own_mount)
{
    TbBay *bay = read_small();
    TbPlacedPath path;

    ck_assert_int_eq(tb_bay_path(bay, "high", "harness", &path, NULL), TB_OK);
    ck_assert_double_eq(path.knots[0].z, 802);
    ck_assert_double_eq(path.knots[2].z, 640); /* on the body */
    tb_placed_path_clear(&path);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(swapped_item_takes_the_place_and_the_ports)
{
    TbBay *bay = read_small();
    TbPose pose;

    ck_assert_str_eq(tb_bay_item_in(bay, "high", "turbo")->record.id, "turbo-large");
    ck_assert_str_eq(tb_bay_item_in(bay, NULL, "turbo")->record.id, "turbo");
    ck_assert_ptr_null(
        tb_bay_item_in(bay, "high", "turbo-large")); /* a spare is not asked by itself */
    ck_assert_ptr_null(tb_bay_item_in(bay, NULL, "turbo-large"));
    ck_assert_ptr_null(tb_bay_item_in(bay, "high", "harness")); /* hidden */
    ck_assert_ptr_nonnull(tb_bay_item_in(bay, NULL, "harness"));
    ck_assert_near(place_in(bay, "high", "drain-out").point,
                   tb_vec3_add(by_hand(turbo_at, turbo_shaft, turbo_up, 6, tb_vec3(0, 0, -46)),
                               tb_vec3(0, 0, 12)),
                   1e-10);
    ck_assert_int_eq(tb_bay_turbo_pose(bay, "high", "turbo", TB_HOUSING_CENTRE, &pose, NULL),
                     TB_OK);
    ck_assert_near(tb_pose_point(pose, tb_vec3(0, 0, -46)),
                   place_in(bay, "high", "drain-out").point, 1e-10);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(mirrored_item_is_the_same_record_each_time)
{
    TbBay *bay = read_small();
    TbBay *edited = NULL;
    const TbItem *ball = tb_bay_item_in(bay, "high", "steering-joint");

    ck_assert_double_eq(tb_item_ball(ball)->at.y, 252);
    ck_assert_double_eq(tb_item_ball(tb_bay_item(bay, "steering-joint"))->at.y, -252);
    ck_assert_ptr_eq(ball, tb_bay_item_in(bay, "high", "steering-joint"));
    ck_assert_uint_ne(ball->record.node, tb_bay_item(bay, "steering-joint")->record.node);
    /* and in the documents that share it */
    ck_assert_int_eq(tb_edit_rename(bay, "rail", "x", &edited, NULL), TB_OK);
    ck_assert_ptr_eq(ball, tb_bay_item_in(edited, "high", "steering-joint"));
    tb_bay_unref(edited);
    tb_bay_unref(bay);
}
END_TEST

/** A point of an outline at coordinates (a, b) of its plane and depth d. */
static TbVec3
outline_point(const TbOutlineItem *o, double a, double b, double d)
{
    TbVec3 normal = tb_vec3_unit(tb_vec3_cross(o->u, o->v));

    return tb_vec3_add_scaled(tb_vec3_add_scaled(tb_vec3_add_scaled(o->origin, a, o->u), b, o->v),
                              d, normal);
}

START_TEST(mirrored_outline_keeps_its_body)
{
    TbBay *bay = read_small();
    const TbOutlineItem *o = tb_item_outline(tb_bay_item(bay, "valve-cover"));
    const TbOutlineItem *m = tb_item_outline(tb_bay_item_in(bay, "high", "valve-cover"));

    for (size_t i = 0; i < o->corner_count; i++) {
        TbVec3 p = outline_point(o, o->corners[i].at.x, o->corners[i].at.y, o->depth);
        TbVec3 q = outline_point(m, m->corners[i].at.x, m->corners[i].at.y, m->depth);

        ck_assert_near(q, tb_vec3(p.x, -p.y, p.z), 1e-10);
    }
    tb_bay_unref(bay);
}
END_TEST

START_TEST(mirroring_twice_gives_every_item_back)
{
    TbBay *bay = read_small();

    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_ITEMS); i++) {
        const TbItem *item = tb_bay_item_at(bay, i);
        const TbItem *there = tb_item_mirrored(item);

        ck_assert(tb_record_equal(&tb_item_mirrored(there)->record, &item->record));
        ck_assert_ptr_ne(there, item);
    }
    tb_bay_unref(bay);
}
END_TEST

START_TEST(mirrored_duct_turns_its_sections_over)
{
    TbBay *bay = read_small();
    const TbDuct *duct = tb_item_duct(tb_item_mirrored(tb_bay_item(bay, "outlet")));

    ck_assert_double_eq(duct->path->knots[1].at.y, 148);
    ck_assert_double_eq(duct->rows[1].turn, -2);
    ck_assert_double_eq(duct->rows[1].corner.v[0], 22);
    ck_assert_double_eq(duct->rows[1].corner.v[2], 18);
    ck_assert_double_eq(duct->rows[2].half.v[0], 43.5);
    ck_assert_double_eq(duct->rows[2].half.v[2], 23);
    ck_assert_double_eq(duct->rows[2].offset.x, -1.5);
    ck_assert_double_eq(duct->rows[2].offset.y, -2);
    ck_assert_double_eq(duct->end->boxes[0].turn, -35);
    tb_bay_unref(bay);
}
END_TEST

/* A turbo mirrored with its ports: each port's place is the mirror image of what it was. */
START_TEST(ports_of_a_mirrored_turbo_are_mirrored)
{
    static const char *const ports[] = {"turbine-out", "drain-out", "flange"};
    GString *text =
        small_with("<mirror item=\"steering-joint\"/>", "<mirror item=\"turbo\"/>", NULL);
    TbBay *bay;

    g_string_replace(text, "<shift mount=\"engine\" by=\"0 0 12\"/>", "", 1);
    g_string_replace(text, "<swap item=\"turbo\" with=\"turbo-large\"/>", "", 1);
    bay = read_text(text->str);
    for (size_t i = 0; i < G_N_ELEMENTS(ports); i++) {
        TbPortPlace a = place_in(bay, NULL, ports[i]);
        TbPortPlace b = place_in(bay, "high", ports[i]);

        ck_assert_near(b.point, tb_vec3(a.point.x, -a.point.y, a.point.z), 1e-10);
        ck_assert_near(b.flow, tb_vec3(a.flow.x, -a.flow.y, a.flow.z), 1e-14);
        ck_assert_near(b.up, tb_vec3(a.up.x, -a.up.y, a.up.z), 1e-14);
    }
    tb_bay_unref(bay);
    g_string_free(text, TRUE);
}
END_TEST

START_TEST(unknown_names_are_told)
{
    TbBay *bay = read_small();
    TbPortPlace place;
    TbPlacedPath path;
    TbPose pose;
    TbFault fault = {0};

    ck_assert_int_eq(tb_bay_port_place(bay, NULL, "ghost", &place, &fault), TB_E_REFERENCE);
    ck_assert_contains(fault.text, "port \"ghost\" is not in the bay");
    ck_assert_int_eq(tb_bay_port_place(bay, "low", "boss", &place, &fault), TB_E_REFERENCE);
    ck_assert_contains(fault.text, "variant \"low\" is not in the bay");
    ck_assert_int_eq(tb_bay_path(bay, NULL, "rail", &path, &fault), TB_E_REFERENCE);
    ck_assert_contains(fault.text, "\"rail\" is a block and has no path");
    ck_assert_int_eq(tb_bay_turbo_pose(bay, NULL, "rail", 0, &pose, &fault), TB_E_REFERENCE);
    ck_assert_int_eq(tb_bay_item_pose(bay, NULL, "ghost", &pose, &fault), TB_E_REFERENCE);
    tb_bay_unref(bay);
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("bay/ports");
    TCase *c = tcase_create("ports");

    tcase_add_test(c, port_of_a_housing_lies_where_its_axes_say);
    tcase_add_test(c, turning_a_housing_moves_its_ports_and_no_others);
    tcase_add_test(c, path_follows_its_ports_when_the_turbo_moves);
    tcase_add_test(c, ends_without_ports_and_against_ports_have_their_tangents);
    tcase_add_test(c, item_on_a_port_and_the_ports_it_owns_follow_it);
    tcase_add_test(c, usual_up_is_z_and_minus_x_for_steep_ports);
    tcase_add_test(c, variant_shifts_the_mount_its_children_and_their_ports);
    tcase_add_test(c, line_end_rides_on_its_own_mount);
    tcase_add_test(c, swapped_item_takes_the_place_and_the_ports);
    tcase_add_test(c, mirrored_item_is_the_same_record_each_time);
    tcase_add_test(c, mirrored_outline_keeps_its_body);
    tcase_add_test(c, mirroring_twice_gives_every_item_back);
    tcase_add_test(c, mirrored_duct_turns_its_sections_over);
    tcase_add_test(c, ports_of_a_mirrored_turbo_are_mirrored);
    tcase_add_test(c, unknown_names_are_told);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
