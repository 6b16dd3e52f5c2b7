/* SPDX-License-Identifier: GPL-3.0-or-later */

/** Parts that warm at different times: worst warmths by closed forms, joints that stay together,
 * what is tied, what is said. */

#include "tap.h"

#include "bays.h"
#include "study/case.h"
#include "study/say.h"
#include "study/warmth.h"

#include <math.h>

#define MATERIALS                                                                                  \
    "<materials><material id='iron' density='7000' expansion='13.5'/>"                             \
    "<material id='alloy' density='2700' expansion='23'/>"                                         \
    "<material id='invar' density='8100' expansion='1.5'/></materials>"

#define STATES                                                                                     \
    "<states><state id='cold' kind='cold'/><state id='hot' kind='hot'>"                            \
    "<warm class='hot' growth='620'/><warm class='brake' growth='120'/></state>"                   \
    "<state id='rock' kind='rocking'/>"                                                            \
    "<state id='both' kind='combined' parts='hot+rock'/></states>"

#define BAY(items)                                                                                 \
    "<bay version='1' title='Warm'><mounts><mount id='body'/>"                                     \
    "<mount id='engine' parent='body' datum='-200 0 0' axis-point='0 0 -300' axis-direction='0 1 " \
    "0' "                                                                                          \
    "ry='-1 1' rx='-1 1'/>"                                                                        \
    "<mount id='far' datum='1000 0 0'/></mounts>" MATERIALS "<items>" items "</items>"             \
    "<keeps><keep id='k' class-a='hot' class-b='brake' reason='heat'>"                             \
    "<wanted state='cold' gap='4'/><wanted state='hot' gap='4'/>"                                  \
    "<wanted state='both' gap='4'/></keep></keeps>" STATES "</bay>"

static double
warmth_of(const TbResultGap *gap, const char *item)
{
    for (size_t i = 0; i < gap->warmth_count; i++)
        if (strcmp(gap->warmth[i].item, item) == 0)
            return gap->warmth[i].share;
    return NAN;
}

/* A rod from the datum to 400 grows by 8.1e-3 of that towards a block, whose own mount lies beyond
 * it: growing, its face at 420 goes away from 1000 to nearer the rod, 580 * 2.3e-3. */
START_TEST(a_rod_and_a_block_that_both_grow_towards_each_other_are_worst_hot)
{
    TbResults *results =
        results_of(BAY("<rod id='a' class='hot' mount='body' material='iron' a='0 0 0' b='400 0 0' "
                       "radius='10'/><block id='b' class='brake' mount='far' material='alloy' "
                       "low='420 -50 -50' high='500 50 50'/>"));
    const TbResultGap *gap = want_gap(results, "a", "b", "hot");

    ck_assert_double_eq_tol(gap->gap.upper, 20 - 400 * 8.1e-3 - 580 * 2.3e-3, 1e-6);
    ck_assert(gap->gap.certified);
    ck_assert_double_eq_tol(warmth_of(gap, "a"), 1, 1e-9);
    ck_assert_double_eq_tol(warmth_of(gap, "b"), 1, 1e-9);
    tb_results_unref(results);
}
END_TEST

/* From one datum both go the same way: nearest with the rod hot and the block cold, which no one
 * temperature of the whole shows. */
START_TEST(a_hot_rod_before_a_block_that_would_grow_away_is_worst_with_the_block_cold)
{
    TbResults *results = results_of(
        BAY("<rod id='a' name='Rod' class='hot' mount='body' material='iron' a='0 0 0' "
            "b='400 0 0' radius='10'/><block id='b' name='Rail' class='brake' mount='body' "
            "material='alloy' low='420 -50 -50' high='500 50 50'/>"));
    const TbResultGap *gap = want_gap(results, "a", "b", "hot");
    const TbFinding *finding = want_finding(results, "gap/a|b/hot/");
    g_autofree char *said = tb_say_finding(results, finding, TB_VOICE_REPORT);

    ck_assert_double_le(gap->gap.lower, 20 - 400 * 8.1e-3);
    ck_assert_double_ge(gap->gap.upper, 20 - 400 * 8.1e-3);
    ck_assert_double_eq_tol(warmth_of(gap, "a"), 1, 1e-9);
    ck_assert_double_eq_tol(warmth_of(gap, "b"), 0, 1e-9);
    ck_assert_msg(strstr(said, "worst with Rod hot, Rail cold") != NULL, "%s", said);
    tb_results_unref(results);
}
END_TEST

/* A duct of iron between a housing of alloy and a bracket of invar, all hot, and a ball over it. */
#define BETWEEN(mount, more)                                                                       \
    BAY("<ball id='housing' class='hot' mount='" mount "' material='alloy' at='-30 0 0' "          \
        "radius='30'/><block id='bracket' class='hot' mount='" mount "' material='invar' "         \
        "low='300 -40 60' high='320 40 140'/>"                                                     \
        "<duct id='duct' class='hot' mount='" mount "' material='iron' wall='2'><path>"            \
        "<knot at='150 0 20'/></path>"                                                             \
        "<start port='in'/><end port='out'/>"                                                      \
        "<section at='0' width='40' height='40'/><section at='0' from-end='yes' height='40' "      \
        "width='40'/></duct>" more)

static char *
between(const char *mount, const char *more)
{
    g_autofree char *text = g_strdup(BETWEEN("body", "@"));
    g_auto(GStrv) mounts = g_strsplit(text, "mount='body'", -1);
    g_autofree char *with = g_strdup_printf("mount='%s'", mount);
    g_autofree char *moved = g_strjoinv(with, mounts);
    g_auto(GStrv) parts = g_strsplit(moved, "@", 2);
    g_auto(GStrv) ports = NULL;
    g_autofree char *bay = g_strconcat(parts[0], more, parts[1], NULL);

    ports = g_strsplit(bay, "<items>", 2);
    return g_strconcat(ports[0],
                       "<ports><port id='in' owner='housing' at='0 0 0' flow='1 0 0'/>"
                       "<port id='out' owner='bracket' at='300 0 100' flow='1 0 0'/></ports>"
                       "<items>",
                       ports[1], NULL);
}

/* By what its ports' owners are when hot: the joints stay together. */
START_TEST(both_ends_of_a_hot_duct_lie_on_its_hot_ports)
{
    g_autofree char *text = between("engine", "");
    TbBay *bay = bay_of(text);
    TbStudy *study = study_alone();
    TbAsk ask = {.bay = bay, .state = "hot"};
    TbCase *theirs = NULL;
    TbFault fault = {0};
    const TbStand *stand;
    const char *port[2] = {"in", "out"}, *owner[2] = {"housing", "bracket"};

    ck_assert_msg(tb_case_new(study, &ask, 0, false, NULL, &theirs, &fault) == TB_OK, "%s",
                  fault.text);
    stand = theirs->stands[0].stand;
    for (int e = 0; e < 2; e++) {
        const TbForm *form = tb_placed_form(&stand->items[tb_stand_find(stand, "duct")]);
        const TbForm *holds = tb_placed_form(&stand->items[tb_stand_find(stand, owner[e])]);
        TbPortPlace place;
        TbVec3 hot;
        TbDisc disc = tb_sweep_at(form->sweep, e * tb_sweep_length(form->sweep));

        ck_assert_int_eq(tb_bay_port_place(bay, NULL, port[e], &place, NULL), TB_OK);
        hot = tb_pose_point(holds->grown, place.point);
        ck_assert_double_ge(tb_vec3_distance(hot, place.point), 0.1);
        ck_assert_double_le(tb_vec3_distance(hot, disc.centre), 1e-9);
        ck_assert_double_le(tb_vec3_distance(place.flow, disc.frame.t), 1e-9);
    }
    tb_case_free(theirs);
    tb_study_free(study);
    tb_bay_unref(bay);
}
END_TEST

/* A block beyond its end, which the bracket of invar moves by 500 * 9e-4 only: less than 0.7 of
 * what the duct itself would have grown towards it from the datum. */
START_TEST(the_end_of_a_duct_goes_with_its_port_and_not_with_its_own_growth)
{
    g_autofree char *text =
        between("engine", "<block id='b' class='brake' mount='body' low='330 -50 140' "
                          "high='400 50 160'/>");
    TbResults *results = results_of(text);
    const TbResultGap *cold = want_gap(results, "duct", "b", "cold");
    const TbResultGap *hot = want_gap(results, "duct", "b", "hot");
    double own = 500 * 8.1e-3;

    ck_assert(hot->gap.certified);
    ck_assert_double_lt(hot->gap.upper, cold->gap.upper);
    ck_assert_double_gt(hot->gap.upper, cold->gap.upper - 0.7 * own);
    ck_assert_double_eq_tol(warmth_of(hot, "duct"), 1, 1e-9);
    ck_assert_double_eq_tol(warmth_of(hot, "bracket"), 1, 1e-9);
    ck_assert_double_ge(warmth_of(hot, "housing"), 0);
    ck_assert_double_le(hot->gap.site_a.station, 330);
    tb_results_unref(results);
}
END_TEST

/* A pipe of invar 8 above a hot block of alloy that owns both its ports and grows from 990 below:
 * both ends go up by 1018 * 1.38e-2, the block's face by 990 * 1.38e-2, so hot they are 8.4 apart
 * and cold 8, less what the pipe's radius of 20 grows. A bar 30 above it is 14.0 nearer when it is
 * up. */
START_TEST(a_pipe_on_two_ports_of_one_hot_block_goes_up_with_all_of_it)
{
    TbResults *results = results_of(
        "<bay version='1' title='Warm'><mounts><mount id='body'/><mount id='deep' datum='0 0 "
        "-990'/></mounts>" MATERIALS "<ports><port id='in' owner='x' at='0 0 28' flow='1 0 0'/>"
        "<port id='out' owner='x' at='300 0 28' flow='1 0 0'/></ports><items>"
        "<block id='x' name='Block' class='hot' mount='deep' material='alloy' low='60 -50 -40' "
        "high='240 50 0'/><duct id='pipe' class='brake' mount='deep' material='invar' wall='2'>"
        "<path><knot at='150 0 28'/></path><start port='in'/><end port='out'/><section at='0' "
        "width='36' height='36'/></duct><block id='bar' class='hot' mount='body' "
        "material='invar' low='140 -50 78' high='160 50 90'/></items><keeps><keep id='k' "
        "class-a='hot' class-b='brake' reason='heat'><wanted state='hot' gap='4'/></keep></keeps>"
        "<states><state id='hot' kind='hot'><warm class='hot' growth='620'/><warm class='brake' "
        "growth='120'/></state></states></bay>");
    const TbResultGap *block = want_gap(results, "x", "pipe", "hot");
    const TbResultGap *bar = want_gap(results, "bar", "pipe", "hot");
    double grown = 20 * 1.5e-6 * 100, up = 1018 * 23e-6 * 600;

    ck_assert(block->gap.certified);
    ck_assert_double_ge(block->gap.upper, 8 - grown - 1e-6);
    ck_assert_double_le(block->gap.lower, 8 - grown + 1e-6);
    ck_assert_double_le(block->gap.upper - block->gap.lower, 0.06);
    ck_assert(bar->gap.certified);
    ck_assert_double_ge(bar->gap.upper, 30 - up - grown - 78 * 0.9e-3 - 1e-6);
    ck_assert_double_le(bar->gap.lower, 30 - up);
    ck_assert_double_eq_tol(warmth_of(bar, "x"), 1, 1e-6);
    tb_results_unref(results);
}
END_TEST

START_TEST(what_rocks_and_warms_names_angle_and_warmth)
{
    TbResults *results = results_of(
        BAY("<rod id='a' class='hot' mount='engine' material='iron' a='0 0 0' b='400 0 0' "
            "radius='10'/><block id='b' class='brake' mount='body' material='alloy' "
            "low='430 -50 -50' high='500 50 50'/>"));
    const TbResultGap *gap = want_gap(results, "a", "b", "both");

    ck_assert(gap->gap.certified);
    ck_assert_uint_ge(gap->move_count, 2);
    ck_assert_double_eq_tol(warmth_of(gap, "a"), 1, 1e-6);
    ck_assert_double_eq_tol(warmth_of(gap, "b"), 0, 1e-6);
    ck_assert_double_le(gap->gap.upper, want_gap(results, "a", "b", "hot")->gap.lower);
    tb_results_unref(results);
}
END_TEST

/* The duct's ends go with other parts' warmth while all of it rocks: its profile is proved, and the
 * pair's gap lies where that is least. */
START_TEST(the_profile_of_a_duct_whose_ends_are_carried_is_certified_and_agrees_with_its_gap)
{
    g_autofree char *text = between("engine", "<ball id='b' class='brake' mount='body' at='147 3 "
                                              "85' radius='11'/>");
    TbBay *bay = bay_of(text);
    TbStudy *study = study_alone();
    TbAsk ask = {.bay = bay, .state = "both", .profiles = true, .motion_profiles = true};
    TbResults *results = NULL;
    const TbResultGap *gap;
    double lower = INFINITY, upper = INFINITY;

    ck_assert_int_eq(tb_study_judge(study, &ask, NULL, &results, NULL), TB_OK);
    gap = want_gap(results, "duct", "b", "both");
    ck_assert(gap->gap.certified && gap->gap.site_a.on_sweep);
    ck_assert_uint_eq(results->profile_count, 1);
    ck_assert(results->profiles[0].certified);
    for (size_t i = 0; i < results->profiles[0].count; i++) {
        lower = fmin(lower, results->profiles[0].lower[i]);
        upper = fmin(upper, results->profiles[0].gap[i]);
    }
    ck_assert_double_le(lower, gap->gap.upper + 0.05); /* stations are 5 mm apart */
    ck_assert_double_ge(upper, gap->gap.lower);
    ck_assert_double_le(upper - lower, 0.05);
    tb_results_unref(results);
    tb_study_free(study);
    tb_bay_unref(bay);
}
END_TEST

/* The duct leaves the engine at its start and ends on the body, by way of a bellows. */
START_TEST(a_duct_between_two_mounts_is_blended_and_says_so)
{
    TbResults *results =
        results_of("<bay version='1' title='Bellows'><mounts><mount id='body'/><mount id='engine' "
                   "parent='body' axis-point='0 0 -300' axis-direction='1 0 0' rx='-3 3'/></mounts>"
                   "<ports><port id='in' owner='housing' at='0 0 0' flow='1 0 0'/>"
                   "<port id='out' owner='pipe' at='300 0 0' flow='1 0 0'/></ports>"
                   "<joints><joint id='j' a='out' b='out' kind='bellows'/></joints><items>"
                   "<ball id='housing' class='hot' mount='engine' at='-30 0 0' radius='30'/>"
                   "<rod id='pipe' class='hot' mount='body' a='300 0 0' b='500 0 0' radius='20'/>"
                   "<duct id='duct' class='hot' mount='engine' wall='2'><path><knot at='150 0 "
                   "0'/></path><start port='in'/><end port='out'/>"
                   "<section at='0' width='40' height='40'/></duct>"
                   "<ball id='b' class='brake' mount='body' at='20 60 0' radius='8'/>"
                   "<ball id='c' class='brake' mount='body' at='290 60 0' radius='8'/></items>"
                   "<keeps><keep id='k' class-a='hot' class-b='brake' reason='heat'>"
                   "<wanted state='rock' gap='4'/></keep></keeps>"
                   "<states><state id='rock' kind='rocking'/></states></bay>");
    const TbResultGap *start = want_gap(results, "duct", "b", "rock");
    const TbResultGap *end = want_gap(results, "duct", "c", "rock");

    ck_assert_msg(!start->gap.nothing, "%s", start->reason);
    ck_assert(!start->gap.certified);
    ck_assert(!end->gap.certified);
    /* the start swings by 300 sin 3 deg = 15.7 mm, the end stands */
    ck_assert_double_eq_tol(start->gap.upper, 60 - 30 - 300 * sin(3 * G_PI / 180), 0.4);
    ck_assert_double_eq_tol(end->gap.upper, 60 - 30, 0.2);
    ck_assert_ptr_nonnull(
        strstr(tb_finding_text(want_finding(results, "gap/b|duct/rock/"), "worst"), "sampled"));
    tb_results_unref(results);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("study/warmth");
    TCase *tests = tcase_create("warmth");

    tcase_add_test(tests, a_rod_and_a_block_that_both_grow_towards_each_other_are_worst_hot);
    tcase_add_test(tests,
                   a_hot_rod_before_a_block_that_would_grow_away_is_worst_with_the_block_cold);
    tcase_add_test(tests, both_ends_of_a_hot_duct_lie_on_its_hot_ports);
    tcase_add_test(tests, the_end_of_a_duct_goes_with_its_port_and_not_with_its_own_growth);
    tcase_add_test(tests, a_pipe_on_two_ports_of_one_hot_block_goes_up_with_all_of_it);
    tcase_add_test(tests, what_rocks_and_warms_names_angle_and_warmth);
    tcase_add_test(
        tests, the_profile_of_a_duct_whose_ends_are_carried_is_certified_and_agrees_with_its_gap);
    tcase_add_test(tests, a_duct_between_two_mounts_is_blended_and_says_so);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
