/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "tap.h"

#include "bays.h"
#include "study/check.h"

#include <glib/gstdio.h>
#include <math.h>

#define DEG (180 / G_PI)

/* A bay around one straight duct of 300 mm along X, its sections, and more items. */
#define DUCT(attributes, path, sections, more)                                                     \
    "<bay version='1' title='Duct'><mounts><mount id='body'/></mounts>"                            \
    "<materials><material id='tube' density='7900' expansion='16' bend-ratio='1.5' "               \
    "least-wall='1.2'/></materials>"                                                               \
    "<items><duct id='d' name='Outlet' class='hot' mount='body' " attributes ">" path sections     \
    "</duct>" more "</items></bay>"

#define STRAIGHT "<path><knot at='0 0 0'/><knot at='300 0 0'/></path>"

START_TEST(an_area_that_only_grows_holds)
{
    TbResults *results = results_of(DUCT("wall='3'", STRAIGHT,
                                         "<section at='0' width='40' height='40'/>"
                                         "<section at='0' from-end='yes' width='52' height='52'/>",
                                         ""));
    const TbFinding *area = want_finding(results, "area-shrinks/d//");

    ck_assert_int_eq(area->level, TB_LEVEL_HOLDS);
    ck_assert_double_eq(area->value, 0);
    ck_assert_double_eq_tol(tb_finding_number(area, "from_area"), G_PI * 400, 1e-6);
    ck_assert_double_eq_tol(tb_finding_number(area, "to_area"), G_PI * 26 * 26, 1e-6);
    tb_results_unref(results);
}
END_TEST

/* Round, 60 mm, down to 57 in the middle, up to 66: the area falls by 1 - (57/60)^2 = 9.75 %. */
START_TEST(an_area_that_falls_is_short_with_its_stations_and_percent)
{
    TbResults *results = results_of(DUCT("wall='3'", STRAIGHT,
                                         "<section at='100' width='60' height='60'/>"
                                         "<section at='180' width='57' height='57'/>"
                                         "<section at='260' width='66' height='66'/>",
                                         ""));
    const TbFinding *area = want_finding(results, "area-shrinks/d//");

    ck_assert_int_eq(area->level, TB_LEVEL_SHORT);
    ck_assert_double_eq_tol(area->value, 9.75, 1e-6);
    ck_assert_double_eq_tol(area->margin, -9.75, 1e-6);
    ck_assert_str_eq(area->unit, "%");
    ck_assert_double_eq_tol(area->place.from, 100, 0.5);
    /* recovered where the area is that of 60 mm again, between 180 and 260 */
    ck_assert_double_gt(area->place.to, 185);
    ck_assert_double_lt(area->place.to, 259);
    ck_assert_double_eq_tol(tb_finding_number(area, "worst_station"), 180, 0.5);
    ck_assert_double_eq_tol(tb_finding_number(area, "to_area"), G_PI * 57 * 57 / 4, 1e-3);
    ck_assert_int_eq(tb_results_worst(results), TB_LEVEL_SHORT);
    tb_results_unref(results);
}
END_TEST

/* "high" only moves the duct; "far" stretches it, because one end stays with the body. */
START_TEST(what_is_true_of_a_shape_in_all_variants_is_said_once)
{
    TbResults *results = results_of(
        "<bay version='1' title='V'><mounts><mount id='body'/><mount id='engine' parent='body'/>"
        "</mounts><ports><port id='p' mount='engine' at='0 0 0' flow='1 0 0'/>"
        "<port id='q' mount='body' at='0 200 0' flow='1 0 0'/></ports><items>"
        "<duct id='d' class='hot' mount='engine' wall='3'><path><knot at='160 20 0'/>"
        "<knot at='300 40 30'/></path><start port='p'/><section at='0' width='40' height='40'/>"
        "<section at='90' width='38' height='38'/></duct>"
        "<duct id='e' class='hot' mount='engine' wall='3'><path>"
        "<knot at='300 240 30'/></path><start port='q'/><section at='0' width='40' height='40'/>"
        "</duct></items><variants><variant id='low'/>"
        "<variant id='high'><shift mount='engine' by='0 0 12'/></variant></variants></bay>");

    ck_assert_int_eq(want_finding(results, "area-shrinks/d//")->level, TB_LEVEL_SHORT);
    ck_assert_ptr_null(finding(results, "area-shrinks/d//low"));
    want_finding(results, "growth/e//low");
    want_finding(results, "growth/e//high");
    tb_results_unref(results);
}
END_TEST

START_TEST(a_runner_may_shrink)
{
    TbResults *results = results_of(DUCT("wall='3' role='runner'", STRAIGHT,
                                         "<section at='0' width='40' height='40'/>"
                                         "<section at='300' width='34' height='34'/>",
                                         ""));

    ck_assert_ptr_null(finding(results, "area-shrinks/d//"));
    ck_assert_ptr_null(finding(results, "growth/d//"));
    tb_results_unref(results);
}
END_TEST

/*
 * Two sections alone: both ends of the area's cubic have the slope of the chord (Fritsch-Carlson
 * with two points), so A is linear in s and the cone angle is steepest at the small end.
 */
START_TEST(the_cone_angle_is_that_of_equal_area_growth)
{
    double a0 = G_PI * 20 * 20, a1 = G_PI * 29 * 29;
    double want = 2 * atan((a1 - a0) / 300 / (2 * sqrt(G_PI * a0))) * DEG;
    TbResults *results = results_of(DUCT("wall='3' cone-limit='4'", STRAIGHT,
                                         "<section at='0' width='40' height='40'/>"
                                         "<section at='300' width='58' height='58'/>",
                                         ""));
    const TbFinding *growth = want_finding(results, "growth/d//");

    ck_assert_double_eq_tol(growth->value, want, 0.02);
    ck_assert_double_eq_tol(growth->limit, 4, 1e-12);
    ck_assert_double_gt(want, 4);
    ck_assert_int_eq(growth->level, TB_LEVEL_SHORT);
    tb_results_unref(results);
}
END_TEST

START_TEST(the_cone_limit_is_seven_degrees_unless_the_bay_says_otherwise)
{
    TbResults *results = results_of(DUCT("wall='3'", STRAIGHT,
                                         "<section at='0' width='40' height='40'/>"
                                         "<section at='300' width='44' height='44'/>",
                                         ""));
    const TbFinding *growth = want_finding(results, "growth/d//");

    ck_assert_double_eq_tol(growth->limit, 7, 1e-12);
    ck_assert_int_eq(growth->level, TB_LEVEL_HOLDS);
    ck_assert_ptr_nonnull(strstr(growth->basis, "Idelchik"));
    tb_results_unref(results);
}
END_TEST

#define CORNER(radius)                                                                             \
    "<path kind='bent'><knot at='0 0 0'/><knot at='150 0 0' radius='" radius "'/>"                 \
    "<knot at='150 150 0'/></path>"
#define ROUND40 "<section at='0' width='40' height='40'/>"

/* Bend radius 50, inner half 20, outer 23: 0.4 and 0.46; practice 1.5 x 46 = 69. */
START_TEST(fold_and_bend_radius_come_from_the_bend_and_the_half_width)
{
    TbResults *results = results_of(DUCT("wall='3' material='tube'", CORNER("50"), ROUND40, ""));
    const TbFinding *inner = want_finding(results, "fold/d#inner//");
    const TbFinding *outer = want_finding(results, "fold/d#outer//");
    const TbFinding *bend = want_finding(results, "bend-radius/d//");

    ck_assert_double_eq_tol(inner->value, 0.4, 1e-6);
    ck_assert_double_eq_tol(outer->value, 0.46, 1e-6);
    ck_assert_int_eq(inner->level, TB_LEVEL_HOLDS);
    ck_assert_double_eq_tol(bend->value, 50, 1e-6);
    ck_assert_double_eq_tol(bend->limit, 69, 1e-9);
    ck_assert_int_eq(bend->level, TB_LEVEL_SHORT);
    tb_results_unref(results);
}
END_TEST

/* Bend radius 21: the gas side just does not fold (0.952: watched), the wall's outside does. */
START_TEST(a_wall_that_folds_is_short_where_the_gas_side_is_watched)
{
    TbResults *results = results_of(DUCT("wall='3'", CORNER("21"), ROUND40, ""));
    const TbFinding *outer = want_finding(results, "fold/d#outer//");

    ck_assert_int_eq(want_finding(results, "fold/d#inner//")->level, TB_LEVEL_WATCH);
    ck_assert_int_eq(outer->level, TB_LEVEL_SHORT);
    ck_assert_double_eq_tol(outer->value, 23.0 / 21, 1e-6);
    /* legs of 129 mm, then the quarter circle */
    ck_assert_double_eq_tol(outer->place.from, 129, 1);
    ck_assert_double_eq_tol(outer->place.to, 129 + 21 * G_PI / 2, 1);
    tb_results_unref(results);
}
END_TEST

static const struct {
    const char *wall;
    TbLevel level;
    double limit;
} walls[] = {
    {"wall='1.3' material='tube'", TB_LEVEL_HOLDS, 1.2},
    {"wall='1.2' material='tube'", TB_LEVEL_HOLDS, 1.2},
    {"wall='1.1' material='tube'", TB_LEVEL_SHORT, 1.2},
    {"wall='3.4' least-wall='3.5' material='tube'", TB_LEVEL_SHORT, 3.5},
};

START_TEST(a_wall_is_judged_by_the_duct_then_by_its_material)
{
    g_auto(GStrv) halves = g_strsplit(DUCT("@", STRAIGHT, ROUND40, ""), "@", 2);
    g_autofree char *text = g_strjoin(walls[_i].wall, halves[0], halves[1], NULL);
    TbResults *results = results_of(text);
    const TbFinding *wall = want_finding(results, "wall/d//");

    ck_assert_int_eq(wall->level, walls[_i].level);
    ck_assert_double_eq(wall->limit, walls[_i].limit);
    tb_results_unref(results);
}
END_TEST

START_TEST(a_path_that_comes_back_to_itself_is_short)
{
    TbResults *clear = results_of(DUCT("wall='2'",
                                       "<path kind='bent'><knot at='0 0 0'/>"
                                       "<knot at='400 0 0' radius='60'/>"
                                       "<knot at='400 200 0' radius='60'/>"
                                       "<knot at='0 200 0'/></path>",
                                       ROUND40, ""));
    TbResults *meets = results_of(DUCT("wall='2'",
                                       "<path kind='bent'><knot at='0 0 0'/>"
                                       "<knot at='400 0 0' radius='60'/>"
                                       "<knot at='400 200 0' radius='60'/>"
                                       "<knot at='200 200 0' radius='60'/>"
                                       "<knot at='200 -200 0'/></path>",
                                       ROUND40, ""));
    const TbFinding *self = want_finding(clear, "self-touch/d//");

    ck_assert_int_eq(self->level, TB_LEVEL_HOLDS);
    /* the two legs' outsides are 200 - 2 x 22 apart; places in the bends count as distant from
     * 8 half extents on, and come nearer */
    ck_assert_double_le(self->value, 156.01);
    ck_assert_double_ge(self->value, 60);
    ck_assert_int_eq(want_finding(meets, "self-touch/d//")->level, TB_LEVEL_SHORT);
    tb_results_unref(clear);
    tb_results_unref(meets);
}
END_TEST

#define ON_PORT(opening, flow)                                                                     \
    "<bay version='1' title='Port'><mounts><mount id='body'/></mounts>"                            \
    "<ports><port id='p' mount='body' at='0 0 0' flow='" flow "'>" opening "</port></ports>"       \
    "<items><duct id='d' class='hot' mount='body' wall='3'>"                                       \
    "<path kind='bent'><knot at='300 0 0'/></path>"                                                \
    "<start port='p'/><section at='0' width='40' height='40'/></duct></items></bay>"

START_TEST(a_port_of_another_size_is_a_step)
{
    TbResults *same = results_of(ON_PORT("<opening width='40' height='40'/>", "1 0 0"));
    TbResults *near = results_of(ON_PORT("<opening width='41.4' height='41.4'/>", "1 0 0"));
    TbResults *wide = results_of(ON_PORT("<opening width='43' height='43'/>", "1 0 0"));

    ck_assert_double_eq_tol(want_finding(same, "port-size/d#start//")->value, 0, 1e-6);
    ck_assert_int_eq(want_finding(same, "port-size/d#start//")->level, TB_LEVEL_HOLDS);
    ck_assert_double_eq_tol(want_finding(near, "port-size/d#start//")->value, 0.7, 1e-6);
    ck_assert_int_eq(want_finding(near, "port-size/d#start//")->level, TB_LEVEL_WATCH);
    ck_assert_double_eq_tol(want_finding(wide, "port-size/d#start//")->value, 1.5, 1e-6);
    ck_assert_int_eq(want_finding(wide, "port-size/d#start//")->level, TB_LEVEL_SHORT);
    ck_assert_ptr_null(finding(same, "port-size/d#end//"));
    tb_results_unref(same);
    tb_results_unref(near);
    tb_results_unref(wide);
}
END_TEST

START_TEST(a_bent_path_that_leaves_its_port_askew_is_short)
{
    TbResults *askew = results_of(ON_PORT("<opening width='40' height='40'/>", "1 0.1 0"));
    const TbFinding *turn = want_finding(askew, "port-direction/d#start//");

    ck_assert_double_eq_tol(turn->value, atan(0.1) * DEG, 1e-6);
    ck_assert_int_eq(turn->level, TB_LEVEL_SHORT);
    tb_results_unref(askew);
}
END_TEST

#define TWO_PORTS(b, threads)                                                                      \
    "<bay version='1' title='Joint'><mounts><mount id='body'/></mounts><ports>"                    \
    "<port id='p' mount='body' at='10 20 30' flow='0 0 1' " threads                                \
    "><opening width='40' height='40'/></port>"                                                    \
    "<port id='q' mount='body' " b "><opening width='40' height='40'/></port></ports>"             \
    "<joints><joint id='j' a='p' b='q' kind='thread'/></joints></bay>"

START_TEST(the_ports_of_a_joint_meet_in_place_and_direction)
{
    TbResults *good = results_of(TWO_PORTS("at='10 20 30.3' flow='0 0 1'", ""));
    TbResults *off = results_of(TWO_PORTS("at='13 24 30' flow='0 0.05 1'", ""));

    ck_assert_int_eq(want_finding(good, "joint-place/j//")->level, TB_LEVEL_HOLDS);
    ck_assert_double_eq_tol(want_finding(good, "joint-place/j//")->value, 0.3, 1e-9);
    ck_assert_double_eq_tol(want_finding(off, "joint-place/j//")->value, 5, 1e-9);
    ck_assert_int_eq(want_finding(off, "joint-place/j//")->level, TB_LEVEL_SHORT);
    ck_assert_double_eq_tol(want_finding(off, "joint-direction/j//")->value, atan(0.05) * DEG,
                            1e-9);
    ck_assert_int_eq(want_finding(off, "joint-direction/j//")->level, TB_LEVEL_SHORT);
    tb_results_unref(good);
    tb_results_unref(off);
}
END_TEST

START_TEST(threads_of_two_standards_do_not_fit)
{
    TbResults *wrong =
        results_of(TWO_PORTS("at='10 20 30' flow='0 0 1' thread-standard='G' thread-size='1/4'",
                             "thread-standard='NPT' thread-size='1/4'"));
    TbResults *right = results_of(
        TWO_PORTS("at='10 20 30' flow='0 0 1' thread-standard='metric' thread-size='M12x1.5'",
                  "thread-standard='metric' thread-size='M12x1.5'"));

    ck_assert_int_eq(want_finding(wrong, "joint-thread/j//")->level, TB_LEVEL_SHORT);
    ck_assert_int_eq(want_finding(right, "joint-thread/j//")->level, TB_LEVEL_HOLDS);
    tb_results_unref(wrong);
    tb_results_unref(right);
}
END_TEST

#define TURBO(shaft, turn)                                                                         \
    "<bay version='1' title='Turbo'><mounts><mount id='body'/></mounts><items>"                    \
    "<turbo id='t' name='Turbo' class='hot' mount='body' at='0 0 0' shaft='" shaft                 \
    "' tilt='-5 5'><housing of='centre' turn='" turn "' limit='-20 20'/>"                          \
    "<rod of='centre' from='-30' to='30' radius='45'/></turbo></items></bay>"

START_TEST(housing_turn_and_shaft_tilt_are_judged_against_their_limits)
{
    TbResults *good = results_of(TURBO("1 0 0.05", "6"));
    TbResults *bad = results_of(TURBO("1 0 -0.1", "23.5"));
    const TbFinding *turn = want_finding(good, "housing-turn/t#centre//");
    g_autofree char *text = NULL;

    ck_assert_int_eq(turn->level, TB_LEVEL_HOLDS);
    ck_assert_double_eq(turn->margin, 14);
    ck_assert_double_eq_tol(want_finding(good, "shaft-tilt/t//")->value, atan(0.05) * DEG, 1e-9);
    turn = want_finding(bad, "housing-turn/t#centre//");
    ck_assert_int_eq(turn->level, TB_LEVEL_SHORT);
    ck_assert_double_eq(turn->limit, 20);
    text = tb_say_finding(bad, turn, TB_VOICE_REPORT);
    ck_assert_str_eq(text,
                     "Turbo: centre housing turned by 23.5°, outside its limits of -20 to 20°");
    ck_assert_int_eq(want_finding(bad, "shaft-tilt/t//")->level, TB_LEVEL_SHORT);
    ck_assert_double_eq_tol(want_finding(bad, "shaft-tilt/t//")->limit, -5, 1e-12);
    tb_results_unref(good);
    tb_results_unref(bad);
}
END_TEST

#define SCAN                                                                                       \
    "<bay version='1' title='Scan'><mounts><mount id='body'/></mounts><items>"                     \
    "<scan id='s' name='Frame side' class='structure' mount='body' file='none.stl'/>"              \
    "<ball id='h' class='hot' mount='body' at='0 0 0' radius='10'/></items>"                       \
    "<keeps><keep id='k' class-a='hot' class-b='structure'><wanted state='cold' gap='5'/></keep>"  \
    "</keeps><states><state id='cold' kind='cold'/></states></bay>"

START_TEST(a_missing_scan_leaves_itself_and_its_gaps_open_and_the_rest_judged)
{
    TbResults *results = results_of(SCAN);
    const TbFinding *scan = want_finding(results, "scan/s//");
    const TbResultGap *gap = want_gap(results, "h", "s", "cold");
    g_autofree char *text = tb_say_finding(results, scan, TB_VOICE_REPORT);

    ck_assert_int_eq(scan->level, TB_LEVEL_OPEN);
    ck_assert_ptr_nonnull(strstr(text, "Frame side: none.stl is not there"));
    ck_assert_int_eq(gap->level, TB_LEVEL_OPEN);
    ck_assert_ptr_nonnull(strstr(gap->reason, "none.stl"));
    ck_assert_int_eq(want_finding(results, "gap/h|s/cold/")->level, TB_LEVEL_OPEN);
    ck_assert_double_nan(want_finding(results, "gap/h|s/cold/")->value);
    ck_assert_ptr_null(finding(results, "shape/s//"));
    tb_results_unref(results);
}
END_TEST

#define STATES                                                                                     \
    "<bay version='1' title='States'><mounts><mount id='body'/></mounts><items>"                   \
    "<ball id='h' class='hot' mount='body' at='0 0 0' radius='10'/></items>"                       \
    "<states><state id='cold' kind='cold'/><state id='rock' kind='hot'/>"                          \
    "<state id='both' kind='combined' parts='cold+rock'/></states></bay>"

START_TEST(a_state_that_cannot_be_judged_is_told_and_open_when_asked_for)
{
    TbBay *bay = bay_of(STATES);
    TbStudy *study = study_alone();
    TbResults *all = judged(study, bay), *one = NULL;
    TbAsk ask = {.bay = bay, .state = "both"};
    TbFault fault = {0};

    ck_assert_ptr_null(finding(all, "state/both/both/"));
    ck_assert_uint_eq(all->warning_count, 1);
    ck_assert_str_eq(all->warnings[0], "state both: cold and rock exclude each other");
    ck_assert_int_eq(tb_study_judge(study, &ask, NULL, &one, NULL), TB_OK);
    ck_assert_int_eq(want_finding(one, "state/both/both/")->level, TB_LEVEL_OPEN);
    tb_results_unref(one);
    ask.state = "cold+rock";
    ck_assert_int_eq(tb_study_judge(study, &ask, NULL, &one, NULL), TB_OK);
    ck_assert_int_eq(want_finding(one, "state/cold+rock/cold+rock/")->level, TB_LEVEL_OPEN);
    tb_results_unref(one);
    ask.state = "warm";
    ck_assert_int_eq(tb_study_judge(study, &ask, NULL, &one, &fault), TB_E_REFERENCE);
    ck_assert_str_eq(fault.text, "there is no state warm; there are: cold, rock, both");
    ask.state = NULL;
    ask.variant = "tall";
    ck_assert_int_eq(tb_study_judge(study, &ask, NULL, &one, &fault), TB_E_REFERENCE);
    ck_assert_str_eq(fault.text, "there is no variant tall; the bay has none");
    tb_results_unref(all);
    tb_study_free(study);
    tb_bay_unref(bay);
}
END_TEST

/* Found by a reader: "cold+hot", "" and a state that no keep speaks of were judged as if nothing
 * was wanted in them, and came out as holding. */
START_TEST(a_state_in_which_nothing_is_wanted_does_not_hold)
{
    static const struct {
        const char *state, *reason;
    } asked[] = {
        {"cold+hot", "cold and hot exclude each other"},
        {"hot+idle", "hot and idle exclude each other"},
        {"idle", "no keep has a gap for it"},
    };
    g_auto(GStrv) halves = g_strsplit(BAY_TUBE, "</states>", 2);
    g_autofree char *text =
        g_strconcat(halves[0], "<state id='idle' kind='hot'/></states>", halves[1], NULL);
    TbBay *bay = bay_of(text);
    TbStudy *study = study_alone();
    TbResults *all = judged(study, bay), *one = NULL;
    TbFault fault = {0};
    TbAsk ask = {.bay = bay, .state = ""};

    ck_assert_uint_eq(all->warning_count, 1);
    ck_assert_str_eq(all->warnings[0], "state idle: no keep has a gap for it");
    for (size_t i = 0; i < G_N_ELEMENTS(asked); i++) {
        g_autofree char *id = g_strdup_printf("state/%s/%s/", asked[i].state, asked[i].state);
        const TbFinding *state;

        ask.state = asked[i].state;
        ck_assert_int_eq(tb_study_judge(study, &ask, NULL, &one, NULL), TB_OK);
        state = want_finding(one, id);
        ck_assert_int_eq(state->level, TB_LEVEL_OPEN);
        ck_assert_str_eq(tb_finding_text(state, "reason"), asked[i].reason);
        ck_assert_uint_eq(one->gap_count, 0);
        tb_results_unref(one);
    }
    ask.state = "";
    ck_assert_int_eq(tb_study_judge(study, &ask, NULL, &one, &fault), TB_E_REFERENCE);
    ck_assert_str_eq(fault.text, "there is no state \"\"; there are: cold, hot, idle");
    tb_results_unref(all);
    tb_study_free(study);
    tb_bay_unref(bay);
}
END_TEST

/* Classes are free words: a misspelt one would take an item out of its keeps unseen. */
START_TEST(an_item_that_no_keep_names_is_told)
{
    TbResults *results = results_of(
        "<bay version='1' title='Kept'><mounts><mount id='body'/></mounts><items>"
        "<ball id='a' class='hot' mount='body' at='0 0 0' radius='10'/>"
        "<ball id='b' class='brakes' mount='body' at='100 0 0' radius='10'/>"
        "<ball id='c' class='odd' mount='body' at='200 0 0' radius='10'/></items>"
        "<keeps><keep id='k' class-a='hot' class-b='brake'><wanted state='cold' gap='20'/></keep>"
        "<keep id='n' item-a='a' item-b='c'><wanted state='cold' gap='20'/></keep></keeps>"
        "<states><state id='cold' kind='cold'/></states></bay>");
    const TbFinding *told = want_finding(results, "class/b//");

    ck_assert_int_eq(told->level, TB_LEVEL_WATCH);
    ck_assert_str_eq(tb_finding_text(told, "class"), "brakes");
    for (size_t i = 0; i < results->finding_count; i++)
        ck_assert(strcmp(results->findings[i].rule, "class") != 0 || &results->findings[i] == told);
    tb_results_unref(results);
}
END_TEST

START_TEST(a_gap_holds_cold_and_hot_with_closed_form_values)
{
    TbResults *results = results_of(BAY_TUBE);
    const TbResultGap *cold = want_gap(results, "tube", "rail", "cold");
    const TbResultGap *hot = want_gap(results, "tube", "rail", "hot");
    double k = 1 + 13.5e-6 * 600;

    /* 44 - 23 - 3.7, and the tube's outside grown about its axis */
    ck_assert_double_le(cold->gap.lower, 17.3);
    ck_assert_double_ge(cold->gap.upper, 17.3);
    ck_assert_double_le(cold->gap.upper - cold->gap.lower, 0.0101);
    ck_assert_double_le(hot->gap.lower, 44 - 26.7 * k);
    ck_assert_double_ge(hot->gap.upper, 44 - 26.7 * k);
    ck_assert_int_eq(cold->level, TB_LEVEL_HOLDS);
    ck_assert_double_eq(hot->keep, 8);
    /* the tube's station is told as drawn, though it has grown */
    ck_assert_double_le(hot->gap.site_a.station, 300 + 1e-9);
    tb_results_unref(results);
}
END_TEST

/* Everything that moves a ball at once: swapped in, mirrored, shifted with its mount and that one's
 * parent, grown from its own mount's shifted datum by a mean coefficient between two of the table.
 */
START_TEST(swap_mirror_shifts_and_growth_add_up_to_the_closed_form)
{
    TbResults *results = results_of(
        "<bay version='1' title='Chain'><mounts><mount id='body'/>"
        "<mount id='engine' parent='body' datum='100 0 0'/>"
        "<mount id='arm' parent='engine' datum='0 50 0' reference='30'/></mounts>"
        "<materials><material id='iron' density='7000' expansion='12'>"
        "<mean to='400' expansion='12'/><mean to='600' expansion='14'/></material></materials>"
        "<items><ball id='p' class='hot' mount='arm' material='iron' at='3 2 1' radius='20'/>"
        "<ball id='q' class='hot' mount='arm' material='iron' at='300 -200 -100' radius='25'"
        " spare='yes'/><ball id='w' class='wall' mount='body' at='300 200 400' "
        "radius='10'/></items>"
        "<keeps><keep id='k' class-a='hot' class-b='wall'><wanted state='cold' gap='5'/>"
        "<wanted state='hot' gap='5'/></keep></keeps>"
        "<states><state id='cold' kind='cold'/>"
        "<state id='hot' kind='hot'><warm class='hot' growth='500'/></state></states>"
        "<variants><variant id='v'><shift mount='engine' by='0 0 7'/>"
        "<shift mount='arm' by='1 2 3'/><swap item='p' with='q'/><mirror item='p'/></variant>"
        "</variants></bay>");
    TbVec3 wall = {300, 200, 400}, ball = {301, 202, -90}, datum = {1, 52, 10};
    double factor = 1 + 13e-6 * (500 - 30);
    double least = INFINITY;

    /* it is anywhere between cold and hot: the least of all */
    for (int i = 0; i <= 10000; i++) {
        double f = 1 + (factor - 1) * i / 10000;
        TbVec3 warm = tb_vec3_add(datum, tb_vec3_scale(tb_vec3_sub(ball, datum), f));

        least = fmin(least, tb_vec3_distance(warm, wall) - 25 * f - 10);
    }

    ck_assert_double_eq_tol(want_gap(results, "p", "w", "cold")->gap.upper,
                            tb_vec3_distance(ball, wall) - 35, 1e-6);
    ck_assert_double_eq_tol(want_gap(results, "p", "w", "hot")->gap.upper, least, 1e-6);
    tb_results_unref(results);
}
END_TEST

START_TEST(volume_mass_and_stations_of_a_tube_are_those_of_a_cylinder)
{
    TbResults *results = results_of(BAY_TUBE);
    const TbResultDuct *duct = tb_results_duct(results, "tube");
    double inner = G_PI * 23 * 23 * 300, outer = G_PI * 26.7 * 26.7 * 300;

    ck_assert_ptr_nonnull(duct);
    ck_assert_double_eq_tol(duct->length, 300, 1e-9);
    ck_assert_double_eq_tol(duct->volume_inner, inner, 1e-8 * inner);
    ck_assert_double_eq_tol(duct->mass, 7000e-9 * (outer - inner), 1e-8);
    ck_assert_uint_eq(duct->row_count, 29); /* 0, 11 ... 297, 300 */
    ck_assert_double_eq_tol(duct->rows[28].station, 300, 1e-9);
    ck_assert_double_eq_tol(duct->rows[7].area, G_PI * 23 * 23, 1e-9);
    ck_assert_double_eq_tol(duct->rows[7].hydraulic_diameter, 46, 1e-7);
    ck_assert_double_eq(duct->rows[7].curvature, 0);
    tb_results_unref(results);
}
END_TEST

START_TEST(every_check_has_a_name_of_its_own_and_a_function)
{
    for (size_t i = 0; i < tb_check_count; i++) {
        ck_assert(tb_checks[i].run != NULL);
        for (size_t k = 0; k < i; k++)
            ck_assert_str_ne(tb_checks[i].name, tb_checks[k].name);
    }
    ck_assert_uint_eq(tb_checks_needs(), TB_NEEDS_FACTS | TB_NEEDS_GAPS);
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("study/checks");
    TCase *c = tcase_create("checks");

    tcase_add_test(c, an_area_that_only_grows_holds);
    tcase_add_test(c, an_area_that_falls_is_short_with_its_stations_and_percent);
    tcase_add_test(c, what_is_true_of_a_shape_in_all_variants_is_said_once);
    tcase_add_test(c, a_runner_may_shrink);
    tcase_add_test(c, the_cone_angle_is_that_of_equal_area_growth);
    tcase_add_test(c, the_cone_limit_is_seven_degrees_unless_the_bay_says_otherwise);
    tcase_add_test(c, fold_and_bend_radius_come_from_the_bend_and_the_half_width);
    tcase_add_test(c, a_wall_that_folds_is_short_where_the_gas_side_is_watched);
    tcase_add_loop_test(c, a_wall_is_judged_by_the_duct_then_by_its_material, 0,
                        (int)G_N_ELEMENTS(walls));
    tcase_add_test(c, a_path_that_comes_back_to_itself_is_short);
    tcase_add_test(c, a_port_of_another_size_is_a_step);
    tcase_add_test(c, a_bent_path_that_leaves_its_port_askew_is_short);
    tcase_add_test(c, the_ports_of_a_joint_meet_in_place_and_direction);
    tcase_add_test(c, threads_of_two_standards_do_not_fit);
    tcase_add_test(c, housing_turn_and_shaft_tilt_are_judged_against_their_limits);
    tcase_add_test(c, a_missing_scan_leaves_itself_and_its_gaps_open_and_the_rest_judged);
    tcase_add_test(c, a_state_that_cannot_be_judged_is_told_and_open_when_asked_for);
    tcase_add_test(c, a_state_in_which_nothing_is_wanted_does_not_hold);
    tcase_add_test(c, an_item_that_no_keep_names_is_told);
    tcase_add_test(c, a_gap_holds_cold_and_hot_with_closed_form_values);
    tcase_add_test(c, swap_mirror_shifts_and_growth_add_up_to_the_closed_form);
    tcase_add_test(c, volume_mass_and_stations_of_a_tube_are_those_of_a_cylinder);
    tcase_add_test(c, every_check_has_a_name_of_its_own_and_a_function);
    tcase_set_timeout(c, 60);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
