/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/sketch.h"
#include "bay/items.h"
#include "scenes.h"

#include <math.h>

static TbSketch *sketch;
static TbBay *bay;

static void
set_up(void)
{
    sketch = tb_sketch_new();
    bay = scene_bay(snap_kit);
}

static void
take_down(void)
{
    tb_sketch_free(sketch);
    tb_bay_unref(bay);
}

static void
aim(TbPlane plane, double u, double v)
{
    tb_sketch_aim(sketch, plane, tb_vec2(u, v), tb_vec2(u, v), NULL, 0);
}

static TbSketchStep
click(TbPlane plane, double u, double v)
{
    TbFault fault = {0};

    aim(plane, u, v);
    return tb_sketch_set(sketch, &fault);
}

static void
type(TbPlane plane, const char *text)
{
    TbFault fault = {0};

    ck_assert_msg(tb_sketch_aim_typed(sketch, plane, text, TB_UNIT_MM, &fault) == TB_OK, "%s",
                  fault.text);
}

static TbSketchStep
set(void)
{
    TbFault fault = {0};

    return tb_sketch_set(sketch, &fault);
}

/* The document with what is drawn. */
static TbBay *
drawn(const char *variant)
{
    TbBay *next = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_sketch_bay(sketch, bay, variant, &next, &fault) == TB_OK, "%s", fault.text);
    return next;
}

static void
assert_vec(TbVec3 a, double x, double y, double z)
{
    ck_assert_double_eq_tol(a.x, x, 1e-9);
    ck_assert_double_eq_tol(a.y, y, 1e-9);
    ck_assert_double_eq_tol(a.z, z, 1e-9);
}

/* ---- block ---- */

START_TEST(a_block_reaches_half_its_depth_before_and_behind_the_plane)
{
    const TbBlockItem *block;
    TbBay *next;

    tb_sketch_begin(sketch, TB_TOOL_BLOCK);
    ck_assert_int_eq(click(side_plane(-13.5), 210.4, 33.3), TB_SKETCH_MORE);
    ck_assert_int_eq(click(side_plane(-13.5), 170.2, 81.7), TB_SKETCH_MORE);
    ck_assert_int_eq(sketch->stage, TB_SKETCH_DEPTH);
    next = drawn(NULL);
    block = tb_item_block(tb_bay_item(next, "block-1"));
    assert_vec(block->low, 170.2, -33.5, 33.3);
    assert_vec(block->high, 210.4, 6.5, 81.7);
    ck_assert_str_eq(block->item.klass, "structure");
    ck_assert_str_eq(block->item.record.name, "Block 1");
    ck_assert_int_eq(block->item.known->by, TB_KNOWN_TAPE);
    ck_assert_double_eq(block->item.known->uncertainty, 3);
    tb_bay_unref(next);
}
END_TEST

START_TEST(in_a_front_view_where_y_runs_left_a_block_lies_where_it_was_drawn)
{
    const TbBlockItem *block;
    TbBay *next;

    tb_sketch_begin(sketch, TB_TOOL_BLOCK);
    click(front_plane(312.5), 100.5, 20);
    click(front_plane(312.5), 160.7, 44);
    next = drawn(NULL);
    block = tb_item_block(tb_bay_item(next, "block-1"));
    assert_vec(block->low, 292.5, -160.7, 20);
    assert_vec(block->high, 332.5, -100.5, 44);
    tb_bay_unref(next);
}
END_TEST

START_TEST(on_an_askew_plane_a_block_is_turned_with_the_paper)
{
    double s = sqrt(0.5);
    TbPlane askew = tb_plane_of(tb_vec3(100, 50, 20), tb_vec3(s, s, 0), tb_vec3(0, 0, 1));
    const TbBlockItem *block;
    TbVec3 middle;
    TbBay *next;

    tb_sketch_begin(sketch, TB_TOOL_BLOCK);
    click(askew, 10, 5);
    click(askew, 70, 25);
    type(askew, "30");
    ck_assert_int_eq(set(), TB_SKETCH_MORE);
    next = drawn(NULL);
    block = tb_item_block(tb_bay_item(next, "block-1"));
    /* sides 60 along u, 30 into the paper, 20 up; middle 40 along u and 15 up from the origin */
    assert_vec(tb_vec3_sub(block->high, block->low), 60, 30, 20);
    middle = tb_vec3_mix(block->low, block->high, 0.5);
    ck_assert_double_eq_tol(middle.x, 100 + 40 * s, 1e-3);
    ck_assert_double_eq_tol(middle.y, 50 + 40 * s, 1e-3);
    ck_assert_double_eq_tol(middle.z, 35, 1e-3);
    ck_assert_double_eq_tol(block->along.y, s, 1e-12);
    tb_bay_unref(next);
}
END_TEST

START_TEST(another_view_sets_the_side_of_a_block_that_is_nearer)
{
    const TbBlockItem *block;
    TbBay *next;

    tb_sketch_begin(sketch, TB_TOOL_BLOCK);
    click(side_plane(-13.5), 170, 30);
    click(side_plane(-13.5), 210, 80);
    /* the plan shows Y up the page: the right side of the vehicle, y = 31.4 */
    ck_assert_int_eq(click(plan_plane(50), 190, 31.4), TB_SKETCH_MORE);
    next = drawn(NULL);
    block = tb_item_block(tb_bay_item(next, "block-1"));
    assert_vec(block->low, 170, -33.5, 30);
    assert_vec(block->high, 210, 31.4, 80);
    tb_bay_unref(next);
    ck_assert_double_eq_tol(sketch->facts.depth, 64.9, 1e-9);
    /* a click in its own view adds it */
    ck_assert_int_eq(click(side_plane(-13.5), 500, 500), TB_SKETCH_DONE);
}
END_TEST

START_TEST(the_depth_of_the_last_block_is_that_of_the_next)
{
    double depth;

    tb_sketch_begin(sketch, TB_TOOL_BLOCK);
    click(side_plane(0), 0, 0);
    click(side_plane(0), 10, 10);
    type(side_plane(0), "73.3");
    set();
    tb_sketch_begin(sketch, TB_TOOL_BLOCK);
    depth = sketch->to - sketch->from;
    ck_assert_double_eq_tol(depth, 73.3, 1e-9);
}
END_TEST

START_TEST(what_was_said_of_one_sketch_is_recalled_and_nonsense_is_not)
{
    TbSketch *next = tb_sketch_new();
    g_autoptr(GVariant) good = NULL;
    g_autoptr(GVariant) bad = g_variant_ref_sink(g_variant_new_parsed(
        "{'class': <'two words'>, 'known': <'hearsay'>, 'radius': <-3.5>, 'depth': <'deep'>}"));

    g_free(sketch->facts.klass);
    sketch->facts.klass = g_strdup("cover");
    sketch->facts.known = TB_KNOWN_CALLIPER;
    sketch->facts.role = TB_LINE_FUEL;
    sketch->facts.uncertainty = 0.37;
    sketch->facts.radius = 13.7;
    good = g_variant_ref_sink(tb_sketch_remember(&sketch->facts));
    tb_sketch_recall(&next->facts, good);
    tb_sketch_recall(&next->facts, bad);
    ck_assert_str_eq(next->facts.klass, "cover");
    ck_assert_int_eq(next->facts.known, TB_KNOWN_CALLIPER);
    ck_assert_int_eq(next->facts.role, TB_LINE_FUEL);
    ck_assert_double_eq(next->facts.uncertainty, 0.37);
    ck_assert_double_eq(next->facts.radius, 13.7);
    ck_assert_double_eq(next->facts.depth, sketch->facts.depth);
    tb_sketch_free(next);
}
END_TEST

START_TEST(a_flat_block_is_refused_and_nothing_is_set)
{
    tb_sketch_begin(sketch, TB_TOOL_BLOCK);
    click(side_plane(0), 10, 20);
    ck_assert_int_eq(click(side_plane(0), 60, 20.05), TB_SKETCH_REFUSED);
    ck_assert_uint_eq(sketch->points->len, 1);
}
END_TEST

START_TEST(the_second_corner_in_another_view_is_refused)
{
    tb_sketch_begin(sketch, TB_TOOL_BLOCK);
    click(side_plane(0), 10, 20);
    ck_assert_int_eq(click(plan_plane(0), 60, 70), TB_SKETCH_REFUSED);
}
END_TEST

/* ---- typed ---- */

static const struct {
    const char *text;
    double x, z; /* of the second point, after (200, 100) with the pointer at (170, 140) */
} typed[] = {
    {"50", 170, 140},                 /* 50 towards the pointer: a 3-4-5 triangle */
    {"2.5 cm", 185, 120},             /* half of that */
    {"120 x 40", 80, 140},            /* towards the pointer: left and up */
    {"120x40", 80, 140},              /* the same */
    {"120 × 40", 80, 140},            /* the same */
    {"120, 40", 320, 140},            /* along X and Z */
    {"-12,5; 40", 187.5, 140},        /* a comma without a space is a decimal mark */
    {"80 @ -90", 200, 20},            /* straight down */
    {"1 in @ 180", 174.6, 100},       /* an inch to the left */
    {"= 311.5, -20", 311.5, -20},     /* a place */
    {"= 311.5, 77, -20", 311.5, -20}, /* a place in space */
};

START_TEST(numbers_typed_while_drawing_mean_what_the_header_says)
{
    TbPlane plane = side_plane(0);
    TbVec3 at;

    tb_sketch_begin(sketch, TB_TOOL_LINE);
    click(plane, 200, 100);
    aim(plane, 170, 140);
    type(plane, typed[_i].text);
    at = sketch->aim.at;
    ck_assert_double_eq_tol(at.x, typed[_i].x, 1e-9);
    ck_assert_double_eq_tol(at.z, typed[_i].z, 1e-9);
}
END_TEST

START_TEST(three_typed_coordinates_leave_the_plane)
{
    tb_sketch_begin(sketch, TB_TOOL_LINE);
    type(side_plane(0), "= 311.5, 77.7, -20");
    assert_vec(sketch->aim.at, 311.5, 77.7, -20);
}
END_TEST

START_TEST(typed_steps_and_places_count_along_the_vehicles_axes_where_those_run_left)
{
    tb_sketch_begin(sketch, TB_TOOL_LINE);
    type(front_plane(0), "= 55.5, 20");
    assert_vec(sketch->aim.at, 0, 55.5, 20);
    set();
    type(front_plane(0), "10, 5");
    assert_vec(sketch->aim.at, 0, 65.5, 25);
}
END_TEST

static const char *const refused[] = {
    "", "x", "12 x", "@ 30", "1, 2, 3, 4", "= 5", "5 furlongs", "120 @", "1, 2, 3", "99999",
};

START_TEST(what_cannot_be_read_is_refused_and_the_aim_stays)
{
    TbPlane plane = side_plane(0);
    TbFault fault = {0};
    TbStatus status;

    tb_sketch_begin(sketch, TB_TOOL_LINE);
    click(plane, 200, 100);
    aim(plane, 170, 140);
    status = tb_sketch_aim_typed(sketch, plane, refused[_i], TB_UNIT_MM, &fault);
    ck_assert_msg(status != TB_OK, "'%s' was read", refused[_i]);
    ck_assert_str_ne(fault.text, "");
    assert_vec(sketch->aim.at, 170, 0, 140);
}
END_TEST

START_TEST(a_bare_number_is_a_length_in_inches_where_the_bay_is)
{
    TbFault fault = {0};

    tb_sketch_begin(sketch, TB_TOOL_ROD);
    click(side_plane(0), 0, 0);
    aim(side_plane(0), 0, 1);
    ck_assert_int_eq(tb_sketch_aim_typed(sketch, side_plane(0), "2", TB_UNIT_INCH, &fault), TB_OK);
    assert_vec(sketch->aim.at, 0, 0, 50.8);
}
END_TEST

/* ---- rod, ball, outline ---- */

START_TEST(a_rod_takes_its_radius_from_the_pointer_beside_its_axis)
{
    const TbRodItem *rod;
    TbBay *next;

    tb_sketch_begin(sketch, TB_TOOL_ROD);
    click(side_plane(7), 100, 50);
    click(side_plane(7), 220, 50);
    ck_assert_int_eq(sketch->stage, TB_SKETCH_SIZE);
    ck_assert_int_eq(click(side_plane(7), 150, 63.7), TB_SKETCH_DONE);
    next = drawn(NULL);
    rod = tb_item_rod(tb_bay_item(next, "rod-1"));
    assert_vec(rod->a, 100, 7, 50);
    assert_vec(rod->b, 220, 7, 50);
    ck_assert_double_eq_tol(rod->radius, 13.7, 1e-9);
    tb_bay_unref(next);
}
END_TEST

START_TEST(a_rods_second_end_in_another_view_keeps_the_third_coordinate)
{
    tb_sketch_begin(sketch, TB_TOOL_ROD);
    click(side_plane(7), 100, 50);
    aim(plan_plane(-300), 180, 90);
    assert_vec(sketch->aim.at, 180, 90, 50);
}
END_TEST

START_TEST(a_plane_that_was_moved_between_two_points_gives_the_second_its_coordinate)
{
    tb_sketch_begin(sketch, TB_TOOL_ROD);
    click(side_plane(7), 100, 50);
    aim(side_plane(61.5), 180, 90);
    assert_vec(sketch->aim.at, 180, 61.5, 90);
}
END_TEST

START_TEST(a_typed_diameter_is_twice_the_radius)
{
    TbFault fault = {0};
    const TbBallItem *ball;
    TbBay *next;

    tb_sketch_begin(sketch, TB_TOOL_BALL);
    click(plan_plane(33), 100, 50);
    type(plan_plane(33), "56.4");
    ck_assert_int_eq(tb_sketch_set(sketch, &fault), TB_SKETCH_DONE);
    next = drawn(NULL);
    ball = tb_item_ball(tb_bay_item(next, "ball-1"));
    assert_vec(ball->at, 100, 50, 33);
    ck_assert_double_eq_tol(ball->radius, 28.2, 1e-9);
    tb_bay_unref(next);
}
END_TEST

START_TEST(an_outline_closes_on_its_first_corner_and_reaches_both_ways)
{
    TbPlane plane = side_plane(-40);
    const TbOutlineItem *outline;
    TbBay *next;

    tb_sketch_begin(sketch, TB_TOOL_OUTLINE);
    click(plane, 100, 50);
    click(plane, 190, 50);
    click(plane, 190, 111);
    ck_assert_int_eq(click(plane, 100, 50), TB_SKETCH_MORE);
    ck_assert_int_eq(sketch->stage, TB_SKETCH_DEPTH);
    type(plane, "10, 25");
    set();
    next = drawn(NULL);
    outline = tb_item_outline(tb_bay_item(next, "outline-1"));
    ck_assert_uint_eq(outline->corner_count, 3);
    ck_assert_double_eq(outline->depth, 35);
    /* the reader stands at -Y: 10 behind the plane is y = -30, and it reaches along u x v = -Y */
    assert_vec(outline->origin, 100, -30, 50);
    ck_assert_double_eq(outline->corners[2].at.x, 90);
    ck_assert_double_eq(outline->corners[2].at.y, 61);
    tb_bay_unref(next);
}
END_TEST

START_TEST(an_outline_that_crosses_itself_is_refused_corner_by_corner)
{
    TbPlane plane = side_plane(0);
    TbFault fault = {0};

    tb_sketch_begin(sketch, TB_TOOL_OUTLINE);
    click(plane, 0, 0);
    click(plane, 90, 7);
    click(plane, 85, 60);
    ck_assert_int_eq(click(plane, 40, -20), TB_SKETCH_REFUSED);
    ck_assert_uint_eq(sketch->points->len, 3);
    /* this leg is clear, but the one that would close it is not */
    ck_assert_int_eq(click(plane, 130, 30), TB_SKETCH_MORE);
    ck_assert_int_eq(tb_sketch_finish(sketch, &fault), TB_SKETCH_REFUSED);
    ck_assert_int_eq(sketch->stage, TB_SKETCH_POINTS);
    ck_assert_int_eq(click(plane, 133, -30), TB_SKETCH_MORE);
    ck_assert_int_eq(tb_sketch_finish(sketch, &fault), TB_SKETCH_MORE);
    ck_assert_int_eq(sketch->stage, TB_SKETCH_DEPTH);
}
END_TEST

START_TEST(two_corners_are_no_outline)
{
    TbFault fault = {0};

    tb_sketch_begin(sketch, TB_TOOL_OUTLINE);
    click(side_plane(0), 100, 50);
    click(side_plane(0), 190, 50);
    ck_assert_int_eq(tb_sketch_finish(sketch, &fault), TB_SKETCH_REFUSED);
    ck_assert_str_eq(fault.text, "1 more point is wanted");
}
END_TEST

/* ---- lines ---- */

START_TEST(a_line_that_ends_on_ports_follows_them_and_lists_only_what_is_free)
{
    TbPlane plane = side_plane(-120);
    const TbLine *line;
    TbBay *next;
    TbFault fault = {0};

    tb_sketch_begin(sketch, TB_TOOL_LINE);
    sketch->facts.role = TB_LINE_COOLANT;
    sketch->facts.diameter = 15.9;
    /* the tap points up, the line leaves upwards; the drain points to the rear, the line arrives
     * from the rear, against it. The reader stands at -Y: y = -140 is 20 before the plane */
    tb_sketch_aim(sketch, plane, tb_vec2(250.3, 80.6), tb_vec2(250.3, 80.6), "tap", 20);
    tb_sketch_set(sketch, &fault);
    click(plane, 251, 180);
    click(plane, 480, 180);
    tb_sketch_aim(sketch, plane, tb_vec2(420, 140), tb_vec2(420, 140), "drain", -30);
    tb_sketch_set(sketch, &fault);
    ck_assert_int_eq(tb_sketch_finish(sketch, &fault), TB_SKETCH_DONE);
    next = drawn(NULL);
    line = tb_item_line(tb_bay_item(next, "line-1"));
    ck_assert_str_eq(line->start->port, "tap");
    ck_assert(!line->start->against);
    ck_assert_str_eq(line->end->port, "drain");
    ck_assert(line->end->against);
    ck_assert_uint_eq(line->path->knot_count, 2);
    /* knots have the third coordinate of the point before: that of the tap */
    assert_vec(line->path->knots[0].at, 251, -140, 180);
    assert_vec(line->path->knots[1].at, 480, -140, 180);
    ck_assert_str_eq(line->item.klass, "coolant");
    ck_assert_double_eq(line->diameter, 15.9);
    tb_bay_unref(next);
}
END_TEST

START_TEST(a_bent_line_has_its_radius_at_every_corner_and_none_at_its_ends)
{
    const TbPath *path;
    TbBay *next;

    tb_sketch_begin(sketch, TB_TOOL_LINE);
    sketch->facts.bent = true;
    sketch->facts.bend = 17.3;
    click(side_plane(0), 0, 0);
    click(side_plane(0), 90, 0);
    click(side_plane(0), 90, 80);
    aim(side_plane(0), 170, 80);
    next = drawn(NULL);
    path = tb_item_path(tb_bay_item(next, "line-1"));
    ck_assert_int_eq(path->kind, TB_PATH_BENT);
    ck_assert_uint_eq(path->knot_count, 4);
    ck_assert(!tb_is_given(path->knots[0].radius) && !tb_is_given(path->knots[3].radius));
    ck_assert_double_eq(path->knots[1].radius, 17.3);
    ck_assert_double_eq(path->knots[2].radius, 17.3);
    tb_bay_unref(next);
}
END_TEST

START_TEST(setting_the_last_point_again_ends_a_line)
{
    tb_sketch_begin(sketch, TB_TOOL_LINE);
    click(side_plane(0), 0, 0);
    click(side_plane(0), 50, 0);
    ck_assert_int_eq(click(side_plane(0), 50, 0), TB_SKETCH_DONE);
}
END_TEST

START_TEST(a_set_point_is_moved_in_another_view_along_what_that_shows)
{
    int index;

    tb_sketch_begin(sketch, TB_TOOL_LINE);
    click(side_plane(7), 100, 50);
    click(side_plane(7), 180, 90);
    index = tb_sketch_point_at(sketch, plan_plane(0), tb_vec2(181, 8), 3);
    ck_assert_int_eq(index, 1);
    tb_sketch_move_point(sketch, index, plan_plane(0), tb_vec2(180, -44.4));
    assert_vec(g_array_index(sketch->points, TbSketchPoint, 1).at, 180, -44.4, 90);
    ck_assert_int_eq(tb_sketch_point_at(sketch, plan_plane(0), tb_vec2(181, 8), 3), -1);
}
END_TEST

START_TEST(back_takes_points_away_one_by_one)
{
    tb_sketch_begin(sketch, TB_TOOL_BLOCK);
    click(side_plane(0), 0, 0);
    click(side_plane(0), 50, 40);
    ck_assert(tb_sketch_back(sketch));
    ck_assert_int_eq(sketch->stage, TB_SKETCH_POINTS);
    ck_assert_uint_eq(sketch->points->len, 1);
    ck_assert(tb_sketch_back(sketch));
    ck_assert(!tb_sketch_back(sketch));
}
END_TEST

START_TEST(in_a_shifted_variant_an_item_is_written_where_it_is_without_the_shift)
{
    const TbBallItem *ball;
    TbBay *next;

    tb_sketch_begin(sketch, TB_TOOL_BALL);
    g_free(sketch->facts.mount);
    sketch->facts.mount = g_strdup("engine");
    click(side_plane(0), 100, 50);
    next = drawn("tall");
    ball = tb_item_ball(tb_bay_item(next, "ball-1"));
    assert_vec(ball->at, 100, 0, 38); /* 12 lower */
    tb_bay_unref(next);
}
END_TEST

START_TEST(names_with_marks_of_xml_survive)
{
    TbBay *next;

    tb_sketch_begin(sketch, TB_TOOL_BALL);
    sketch->facts.name = g_strdup("Joint <\"A\" & 'B'>");
    click(side_plane(0), 100, 50);
    next = drawn(NULL);
    ck_assert_str_eq(tb_bay_item(next, "ball-1")->record.name, "Joint <\"A\" & 'B'>");
    tb_bay_unref(next);
}
END_TEST

START_TEST(the_id_is_the_first_free_one)
{
    TbBay *one, *two;

    tb_sketch_begin(sketch, TB_TOOL_BALL);
    click(side_plane(0), 100, 50);
    one = drawn(NULL);
    tb_bay_unref(bay);
    bay = one;
    tb_sketch_begin(sketch, TB_TOOL_BALL);
    click(side_plane(0), 300, 50);
    two = drawn(NULL);
    ck_assert_ptr_nonnull(tb_bay_item(two, "ball-1"));
    ck_assert_str_eq(tb_bay_item(two, "ball-2")->record.name, "Ball 2");
    tb_bay_unref(two);
}
END_TEST

START_TEST(sizes_are_told_while_the_pointer_moves)
{
    g_autofree char *says = NULL;
    g_autoptr(GArray) sizes = NULL;

    tb_sketch_begin(sketch, TB_TOOL_BLOCK);
    click(side_plane(0), 200, 100);
    aim(side_plane(0), 320.4, 59.9);
    says = tb_sketch_says(sketch, TB_UNIT_MM);
    ck_assert_str_eq(says, "120.4 x 40.1 x 40.0 mm");
    sizes = tb_sketch_sizes(sketch, side_plane(0), TB_UNIT_MM);
    ck_assert_uint_eq(sizes->len, 2);
    ck_assert_str_eq(g_array_index(sizes, TbSketchSize, 0).text, "120.4");
    ck_assert_str_eq(g_array_index(sizes, TbSketchSize, 1).text, "40.1");
}
END_TEST

START_TEST(a_leg_is_told_with_its_angle)
{
    g_autoptr(GArray) sizes = NULL;

    tb_sketch_begin(sketch, TB_TOOL_LINE);
    click(side_plane(0), 200, 100);
    aim(side_plane(0), 230, 60);
    sizes = tb_sketch_sizes(sketch, side_plane(0), TB_UNIT_MM);
    ck_assert_uint_eq(sizes->len, 1);
    /* atan2(-40, 30) = -53.13 deg */
    ck_assert_str_eq(g_array_index(sizes, TbSketchSize, 0).text, "50.0 at -53.1°");
}
END_TEST

/* ---- knots ---- */

static TbBay *
with_line(void)
{
    TbFault fault = {0};
    TbBay *next;

    tb_sketch_begin(sketch, TB_TOOL_LINE);
    g_free(sketch->facts.mount);
    sketch->facts.mount = g_strdup("engine");
    tb_sketch_aim(sketch, side_plane(-140), tb_vec2(250.3, 80.6), tb_vec2(250.3, 80.6), "tap", 0);
    tb_sketch_set(sketch, &fault);
    click(side_plane(-140), 250.3, 180.6);
    click(side_plane(-140), 450.3, 180.6);
    next = drawn(NULL);
    return next;
}

static const struct {
    double x, z;
    size_t index; /* that the new knot has among the line's own, which are at X 250.3 and 450.3 */
} new_knots[] = {
    {262, 120, 0}, /* between the port and the first knot */
    {333, 195, 1}, /* between the two */
    {520, 190, 2}, /* beyond the free end */
};

START_TEST(a_new_knot_goes_where_the_path_passes_nearest)
{
    const TbPath *path;
    TbBay *next;

    next = with_line();
    tb_bay_unref(bay);
    bay = next;
    tb_sketch_begin(sketch, TB_TOOL_KNOTS);
    sketch->item = g_strdup("line-1");
    ck_assert_int_eq(click(side_plane(0), new_knots[_i].x, new_knots[_i].z), TB_SKETCH_DONE);
    next = drawn("tall");
    path = tb_item_path(tb_bay_item(next, "line-1"));
    ck_assert_uint_eq(path->knot_count, 3);
    /* what is square to the view is the path's, and the variant's shift is taken off */
    assert_vec(path->knots[new_knots[_i].index].at, new_knots[_i].x, -140, new_knots[_i].z - 12);
    tb_bay_unref(next);
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("app/sketch");
    TCase *c = tcase_create("sketch");

    tcase_add_checked_fixture(c, set_up, take_down);
    tcase_add_test(c, a_block_reaches_half_its_depth_before_and_behind_the_plane);
    tcase_add_test(c, in_a_front_view_where_y_runs_left_a_block_lies_where_it_was_drawn);
    tcase_add_test(c, on_an_askew_plane_a_block_is_turned_with_the_paper);
    tcase_add_test(c, another_view_sets_the_side_of_a_block_that_is_nearer);
    tcase_add_test(c, the_depth_of_the_last_block_is_that_of_the_next);
    tcase_add_test(c, what_was_said_of_one_sketch_is_recalled_and_nonsense_is_not);
    tcase_add_test(c, a_flat_block_is_refused_and_nothing_is_set);
    tcase_add_test(c, the_second_corner_in_another_view_is_refused);
    tcase_add_loop_test(c, numbers_typed_while_drawing_mean_what_the_header_says, 0,
                        G_N_ELEMENTS(typed));
    tcase_add_test(c, three_typed_coordinates_leave_the_plane);
    tcase_add_test(c, typed_steps_and_places_count_along_the_vehicles_axes_where_those_run_left);
    tcase_add_loop_test(c, what_cannot_be_read_is_refused_and_the_aim_stays, 0,
                        G_N_ELEMENTS(refused));
    tcase_add_test(c, a_bare_number_is_a_length_in_inches_where_the_bay_is);
    tcase_add_test(c, a_rod_takes_its_radius_from_the_pointer_beside_its_axis);
    tcase_add_test(c, a_rods_second_end_in_another_view_keeps_the_third_coordinate);
    tcase_add_test(c, a_plane_that_was_moved_between_two_points_gives_the_second_its_coordinate);
    tcase_add_test(c, a_typed_diameter_is_twice_the_radius);
    tcase_add_test(c, an_outline_closes_on_its_first_corner_and_reaches_both_ways);
    tcase_add_test(c, an_outline_that_crosses_itself_is_refused_corner_by_corner);
    tcase_add_test(c, two_corners_are_no_outline);
    tcase_add_test(c, a_line_that_ends_on_ports_follows_them_and_lists_only_what_is_free);
    tcase_add_test(c, a_bent_line_has_its_radius_at_every_corner_and_none_at_its_ends);
    tcase_add_test(c, setting_the_last_point_again_ends_a_line);
    tcase_add_test(c, a_set_point_is_moved_in_another_view_along_what_that_shows);
    tcase_add_test(c, back_takes_points_away_one_by_one);
    tcase_add_test(c, in_a_shifted_variant_an_item_is_written_where_it_is_without_the_shift);
    tcase_add_test(c, names_with_marks_of_xml_survive);
    tcase_add_test(c, the_id_is_the_first_free_one);
    tcase_add_test(c, sizes_are_told_while_the_pointer_moves);
    tcase_add_test(c, a_leg_is_told_with_its_angle);
    tcase_add_loop_test(c, a_new_knot_goes_where_the_path_passes_nearest, 0,
                        G_N_ELEMENTS(new_knots));
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
