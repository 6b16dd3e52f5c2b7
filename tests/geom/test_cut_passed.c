/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "tap.h"

#include "base/mem.h"
#include "geom/cut_passed.h"

#include <string.h>

#define CHORD 0.2
#define MOST_CELLS 64

/* ---- helpers ---- */

/** A turn about an axis from one angle to another, in cells of one step. */
typedef struct Turn {
    TbVec3 point, axis;
    double low, high;
    size_t cells;
} Turn;

static TbPose
pose_at(const Turn *turn, double share)
{
    return tb_pose_turn(turn->point, turn->axis, turn->low + share * (turn->high - turn->low));
}

static TbStatus
add_passed(TbCut *cut, const TbSolid *solid, const Turn *turn, TbPlane plane, TbFault *fault)
{
    TbPose pose[2 * MOST_CELLS];
    TbPassing passing = {pose, turn->cells, 2};

    for (size_t c = 0; c < turn->cells; c++)
        for (size_t k = 0; k < 2; k++)
            pose[2 * c + k] = pose_at(turn, (double)(c + k) / (double)turn->cells);
    return tb_cut_add_passed(cut, solid, &passing, plane, CHORD, fault);
}

static TbSolid *
rod(TbVec3 a, TbVec3 b, double radius)
{
    TbPlain plain = {.kind = TB_PLAIN_ROD, .rod = {a, b, radius, radius}};
    TbSolid *solid = tb_solid_new();

    ck_assert_int_eq(tb_solid_add_plain(solid, &plain, 3, NULL), TB_OK);
    return solid;
}

static TbSolid *
bent_tube(void)
{
    const TbVec3 corners[3] = {{10.3, -7.7, 402.1}, {150.9, -7.7, 402.1}, {150.9, 133.1, 402.1}};
    const double radii[3] = {0, 83.1, 0};
    TbSolid *solid = tb_solid_new();
    TbCurve *curve = NULL;
    TbSweep *sweep = NULL;

    ck_assert_int_eq(tb_curve_bent_new(corners, radii, 3, &curve, NULL), TB_OK);
    ck_assert_int_eq(tb_sweep_new_round(curve, 54.3, 1.7, &sweep, NULL), TB_OK);
    ck_assert_int_eq(tb_solid_add_sweep(solid, sweep, 0, NULL), TB_OK);
    tb_curve_unref(curve);
    tb_sweep_unref(sweep);
    return solid;
}

static double
area_of(const TbCut *cut)
{
    double sum = 0;

    for (size_t i = 0; i < cut->loop_count; i++)
        sum += tb_polygon_area(cut->points + cut->loops[i].first, cut->loops[i].count);
    return sum;
}

/** mm outside of the loops, below 0 inside. */
static double
outside(const TbCut *cut, TbVec2 p)
{
    double nearest = INFINITY;
    bool inside = false;

    for (size_t i = 0; i < cut->loop_count; i++) {
        const TbVec2 *q = cut->points + cut->loops[i].first;

        nearest = fmin(nearest, tb_polygon_edge_distance(q, cut->loops[i].count, p));
        inside ^= tb_polygon_holds(q, cut->loops[i].count, p);
    }
    return inside ? -nearest : nearest;
}

/* ---- closed forms ---- */

START_TEST(a_rod_that_turns_about_a_parallel_axis_passes_a_bent_slot)
{
    const double reach = 251.3, radius = 17.9;
    Turn turn = {{0, 0, 40.7}, {1, 0, 0}, -0.0524, 0.0873, 12};
    TbPlane front = tb_plane_of(tb_vec3(3.1, 0, 0), tb_vec3(0, -1, 0), tb_vec3(0, 0, 1));
    TbSolid *solid = rod(tb_vec3(-80, reach, 40.7), tb_vec3(90, reach, 40.7), radius);
    double angle = turn.high - turn.low, furthest = 0;
    double area = M_PI * radius * radius + angle * 2 * reach * radius;
    double perimeter = 2 * M_PI * radius + angle * 2 * reach;
    TbCut cut;

    tb_cut_init(&cut);
    ck_assert_int_eq(add_passed(&cut, solid, &turn, front, NULL), TB_OK);
    ck_assert_uint_eq(cut.loop_count, 1);
    ck_assert_double_eq_tol(area_of(&cut), area, 0.1 * perimeter);
    for (size_t i = 0; i < cut.point_count; i++)
        furthest = fmax(furthest, hypot(cut.points[i].x, cut.points[i].y - 40.7));
    ck_assert_double_eq_tol(furthest, reach + radius, 0.1);
    tb_cut_clear(&cut);
    tb_solid_unref(solid);
}
END_TEST

START_TEST(what_the_plane_meets_only_on_the_way_is_there_and_what_it_never_meets_is_not)
{
    Turn turn = {{0, 0, 0}, {0, 1, 0}, 0, 0.0873, 16};
    TbSolid *solid = rod(tb_vec3(203.7, -30, 21.1), tb_vec3(203.7, 30, 21.1), 4.3);
    TbPlane low = tb_plane_of(tb_vec3(0, 0, 10.3), tb_vec3(1, 0, 0), tb_vec3(0, 1, 0));
    TbPlane high = tb_plane_of(tb_vec3(0, 0, 25.7), tb_vec3(1, 0, 0), tb_vec3(0, 1, 0));
    TbCut cut;

    tb_cut_init(&cut);
    ck_assert_int_eq(tb_cut_add_solid(&cut, solid, low, NULL), TB_OK);
    ck_assert_uint_eq(cut.loop_count, 0);
    /* it sinks by 203.7 sin(5 deg) = 17.8 */
    ck_assert_int_eq(add_passed(&cut, solid, &turn, low, NULL), TB_OK);
    ck_assert_uint_eq(cut.loop_count, 1);
    tb_cut_clear(&cut);
    ck_assert_int_eq(add_passed(&cut, solid, &turn, high, NULL), TB_OK);
    ck_assert_uint_eq(cut.loop_count, 0);
    tb_cut_clear(&cut);
    tb_solid_unref(solid);
}
END_TEST

/* ---- against poses ---- */

/** Every sampled cut lies inside, and every point of the outline on one of them, nearly. */
START_TEST(a_bent_tube_s_envelope_is_the_union_of_its_cuts_at_many_angles)
{
    static const TbVec3 axes[3] = {{0.9, 0.3, 0.1}, {0, 0, 1}, {0.2, 1, -0.3}};
    Turn turn = {{40, 260, 380}, axes[_i], -0.0524, 0.0611, 24};
    TbPlane plane = tb_plane_of(tb_vec3(0, 0, 405.3), tb_vec3(1, 0, 0), tb_vec3(0, 1, 0));
    enum { POSES = 150 };
    TbSolid *solid = bent_tube();
    double *nearest;
    TbCut cut;

    tb_cut_init(&cut);
    ck_assert_int_eq(add_passed(&cut, solid, &turn, plane, NULL), TB_OK);
    ck_assert_uint_ge(cut.loop_count, 1);
    nearest = tb_alloc_array(cut.point_count, sizeof *nearest);
    for (size_t i = 0; i < cut.point_count; i++)
        nearest[i] = INFINITY;
    for (int k = 0; k <= POSES; k++) {
        TbSolid *moved = tb_solid_moved(solid, pose_at(&turn, (double)k / POSES));
        TbCut one;

        tb_cut_init(&one);
        ck_assert_int_eq(tb_cut_add_solid(&one, moved, plane, NULL), TB_OK);
        for (size_t i = 0; i < one.point_count; i++)
            ck_assert_double_le(outside(&cut, one.points[i]), 0.75 * CHORD);
        for (size_t l = 0; l < one.loop_count; l++)
            for (size_t i = 0; one.loops[l].kind == TB_LOOP_OUTER && i < cut.point_count; i++)
                nearest[i] =
                    fmin(nearest[i], tb_polygon_edge_distance(one.points + one.loops[l].first,
                                                              one.loops[l].count, cut.points[i]));
        tb_cut_clear(&one);
        tb_solid_unref(moved);
    }
    for (size_t i = 0; i < cut.point_count; i++)
        ck_assert_double_le(nearest[i], 1.2 * CHORD);
    tb_free(nearest);
    tb_cut_clear(&cut);
    tb_solid_unref(solid);
}
END_TEST

START_TEST(every_failed_request_leaves_the_cut_as_before)
{
    Turn turn = {{40, 260, 380}, {1, 0, 0}, -0.0524, 0.0611, 2};
    TbPlane plane = tb_plane_of(tb_vec3(0, 0, 405.3), tb_vec3(1, 0, 0), tb_vec3(0, 1, 0));
    TbSolid *solid = _i == 0 ? bent_tube() : rod(tb_vec3(0, 0, 380), tb_vec3(0, 0, 430), 11);
    TbStatus status;
    long n = 0;

    do {
        TbFault fault = {0};
        TbCut cut;

        tb_cut_init(&cut);
        tb_mem_fail_at(++n);
        status = add_passed(&cut, solid, &turn, plane, &fault);
        tb_mem_fail_at(0);
        if (status != TB_OK) {
            ck_assert_int_eq(status, TB_E_MEMORY);
            ck_assert_uint_eq(cut.loop_count, 0);
            ck_assert_uint_eq(cut.point_count, 0);
        }
        tb_cut_clear(&cut);
    } while (status != TB_OK);
    ck_assert_int_gt(n, 5);
    tb_solid_unref(solid);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/cut_passed");
    TCase *tcase = tcase_create("passed");

    tcase_add_test(tcase, a_rod_that_turns_about_a_parallel_axis_passes_a_bent_slot);
    tcase_add_test(tcase,
                   what_the_plane_meets_only_on_the_way_is_there_and_what_it_never_meets_is_not);
    tcase_add_loop_test(tcase, a_bent_tube_s_envelope_is_the_union_of_its_cuts_at_many_angles, 0,
                        3);
    tcase_add_loop_test(tcase, every_failed_request_leaves_the_cut_as_before, 0, 2);
    tcase_set_timeout(tcase, 200);
    suite_add_tcase(suite, tcase);
    return tb_test_main(suite);
}
