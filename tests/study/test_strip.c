/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "tap.h"

#include "bays.h"

#include <math.h>

static TbStudy *study;
static TbBay *bay;
static TbSceneStrip *strip;

static void
begin(void)
{
    study = study_alone();
}

static void
end(void)
{
    tb_scene_strip_unref(strip);
    strip = NULL;
    tb_study_free(study);
    tb_bay_unref(bay);
    bay = NULL;
}

static void
ask_for(TbBay *of, const char *item, bool coarse)
{
    TbAsk ask = {.bay = of, .station_step = 10, .coarse = coarse};
    TbFault fault = {0};

    bay = of;
    tb_scene_strip_unref(strip);
    strip = NULL;
    ck_assert_msg(tb_study_strip(study, &ask, item, NULL, &strip, &fault) == TB_OK, "%s",
                  fault.text);
}

/* The tube of BAY_TUBE with other sections. */
static TbBay *
tube_with(const char *sections)
{
    g_auto(GStrv) halves = g_strsplit(BAY_TUBE, "<section at='0' width='46' height='46'/>", 2);
    g_autofree char *text = g_strjoinv(sections, halves);

    return bay_of(text);
}

/* Distance of the tube's outside at an angle from the rail, whose near edges run along the tube:
 * H is +Z and W is -Y there. */
static double
rail_distance(double angle)
{
    double y = -26.7 * sin(angle * G_PI / 180), z = 26.7 * cos(angle * G_PI / 180);

    return hypot(44 - y, fmax(0, fabs(z) - 20));
}

START_TEST(the_map_has_the_room_above_the_keep_at_every_place)
{
    const TbSceneMap *map;
    size_t beyond = 0;

    ask_for(bay_of(BAY_TUBE), "tube", false);
    map = tb_scene_strip_chart(strip, "gap-map")->map;
    ck_assert_uint_eq(map->columns, 61);
    ck_assert_uint_eq(map->rows, 72);
    for (size_t k = 0; k < map->columns; k++)
        for (size_t m = 0; m < map->rows; m++) {
            double angle = -180 + ((double)m + 0.5) * 5;
            double room = rail_distance(angle) - 12;

            ck_assert_double_eq_tol(map->room[k * map->rows + m], fmin(room, 40), 0.01);
            if (fabs(room - 40) > 0.01)
                ck_assert_int_eq(map->who[k * map->rows + m], room < 40 ? 0 : TB_SCENE_NOBODY);
            beyond += room >= 40;
        }
    ck_assert_uint_gt(beyond, 0);
    ck_assert_str_eq(map->neighbours[0].name, "Rail");
    ck_assert_uint_eq(map->basin_count, 1);
    ck_assert_double_eq_tol(fabs(map->basins[0].angle + 90), 2.5, 1e-9);
    ck_assert_int_eq(map->basins[0].level, TB_LEVEL_HOLDS);
    ck_assert_uint_eq(map->keep.loop_count, 0);
    ck_assert(!strip->coarse);
}
END_TEST

static void
check_level(const TbContour *contour, double distance)
{
    /* linear over 5° of a distance that bends by 26.7 / rad^2 at the most */
    double off = 26.7 * pow(5 * G_PI / 180, 2) / 8 + 0.01;

    ck_assert_uint_gt(contour->point_count, 100);
    for (size_t i = 0; i < contour->point_count; i++) {
        TbVec2 p = contour->points[i];

        ck_assert(p.x >= 0 && p.x <= 300 + 1e-9);
        /* the ends of the path close it */
        if (p.x < 1e-9 || p.x > 300 - 1e-9)
            ck_assert_double_le(rail_distance(p.y), distance + off);
        else
            ck_assert_double_eq_tol(rail_distance(p.y), distance, off);
    }
}

START_TEST(the_line_at_the_keep_runs_where_the_distance_is_the_keep)
{
    TbBay *plain = bay_of(BAY_TUBE), *stricter = NULL;
    const TbSceneMap *map;

    ck_assert_int_eq(tb_edit_set_keep(plain, "k", "cold", 23.9, &stricter, NULL), TB_OK);
    tb_bay_unref(plain);
    ask_for(stricter, "tube", false);
    map = tb_scene_strip_chart(strip, "gap-map")->map;
    ck_assert_uint_eq(map->keep.loop_count, 1);
    ck_assert_int_eq(map->basins[0].level, TB_LEVEL_SHORT);
    ck_assert_str_eq(map->basins[0].finding, "gap/rail|tube/cold/");
    check_level(&map->keep, 23.9);
    check_level(&map->want, 24.9);
}
END_TEST

START_TEST(a_coarse_map_says_so_and_has_the_same_room_at_fewer_places)
{
    const TbSceneMap *map;

    ask_for(bay_of(BAY_TUBE), "tube", true);
    map = tb_scene_strip_chart(strip, "gap-map")->map;
    ck_assert(strip->coarse);
    ck_assert_uint_eq(map->columns, 21);
    ck_assert_uint_eq(map->rows, 24);
    ck_assert_double_eq_tol(map->room[5 * 24 + 6], rail_distance(-180 + 6.5 * 15) - 12, 0.01);
    ck_assert_ptr_nonnull(
        strstr(tb_scene_strip_chart(strip, "gap-map")->summary, "Coarse while something moves."));
}
END_TEST

/* Rail is nearest, but the other one wants more: what is short must show. */
START_TEST(the_neighbour_with_the_least_room_shows_not_the_nearest)
{
    g_auto(GStrv) halves = g_strsplit(BAY_TUBE, "</items>", 2);
    g_autofree char *more =
        g_strjoinv("<block id='pipe' name='Pipe' class='brake' mount='body' low='-50 60 -20'"
                   " high='350 90 20'/></items>",
                   halves);
    g_auto(GStrv) parts = g_strsplit(more, "</keeps>", 2);
    g_autofree char *text = g_strjoinv(
        "<keep id='b' class-a='hot' class-b='brake'><wanted state='cold' gap='37.5'/></keep>"
        "</keeps>",
        parts);
    TbSceneMapSpot spot;

    ask_for(bay_of(text), "tube", false);
    spot = tb_scene_map_worst(tb_scene_strip_chart(strip, "gap-map")->map, strip->length, 151);
    ck_assert_str_eq(spot.neighbour->name, "Pipe");
    ck_assert_double_eq(spot.neighbour->keep, 37.5);
    ck_assert_double_eq_tol(spot.gap, 60 - 26.7, 0.05);
    ck_assert_double_eq_tol(spot.room, 60 - 26.7 - 37.5, 0.05);
    ck_assert_double_eq(spot.station, 150);
}
END_TEST

START_TEST(a_finding_is_a_band_with_its_id)
{
    const TbSceneChart *area, *cone;
    TbResults *results;

    ask_for(tube_with("<section at='0' width='46' height='46'/>"
                      "<section at='110' width='50' height='50'/>"
                      "<section at='190' width='48' height='48'/>"
                      "<section at='300' width='80' height='80'/>"),
            "tube", false);
    area = tb_scene_strip_chart(strip, "area");
    cone = tb_scene_strip_chart(strip, "cone");
    results = judged(study, bay);
    ck_assert_uint_eq(area->band_count, 1);
    ck_assert_str_eq(area->bands[0].finding, "area-shrinks/tube//");
    ck_assert_ptr_nonnull(finding(results, area->bands[0].finding));
    ck_assert_double_eq_tol(area->bands[0].from, 110, 1e-6);
    /* until it is what it was */
    ck_assert_double_gt(area->bands[0].to, 190);
    ck_assert_double_lt(area->bands[0].to, 230);
    ck_assert_uint_ge(cone->band_count, 1);
    ck_assert_str_eq(cone->bands[0].finding, "growth/tube//");
    ck_assert_int_eq(cone->bands[0].level, TB_LEVEL_SHORT);
    tb_results_unref(results);
}
END_TEST

/* Between 46 and 60 mm over 300 mm the radius grows by 7 mm; a cone of 7° does so in 114.5 mm.
 */
START_TEST(allowed_is_what_growth_up_to_the_limit_reaches_from_both_ends)
{
    const TbSceneAllowed *allowed;
    double k = tan(3.5 * G_PI / 180);

    ask_for(tube_with("<section at='0' width='46' height='46'/>"
                      "<section at='110' width='50' height='50'/>"
                      "<section at='190' width='48' height='48'/>"
                      "<section at='300' width='60' height='60'/>"),
            "tube", false);
    allowed = &tb_scene_strip_chart(strip, "area")->allowed;
    ck_assert_uint_eq(allowed->count, 121);
    for (size_t i = 0; i < allowed->count; i++) {
        double s = allowed->station[i];
        double low = fmax(23, 30 - k * (300 - s)), high = fmin(30, 23 + k * s);

        ck_assert_double_eq_tol(s, 2.5 * (double)i, 1e-9);
        ck_assert_double_eq_tol(allowed->low[i], G_PI * low * low, 1e-6);
        ck_assert_double_eq_tol(allowed->high[i], G_PI * high * high, 1e-6);
    }
    ck_assert_ptr_nonnull(strstr(allowed->label, "7°"));
}
END_TEST

/* Ends that no growth within the limit joins: nothing is allowed anywhere. */
START_TEST(nothing_is_allowed_between_ends_that_break_the_rules)
{
    static const char *const sections[] = {
        "<section at='0' width='46' height='46'/><section at='300' width='44' height='44'/>",
        "<section at='0' width='46' height='46'/><section at='300' width='90' height='90'/>"};

    for (int i = 0; i < 2; i++) {
        const TbSceneAllowed *allowed;

        ask_for(tube_with(sections[i]), "tube", false);
        allowed = &tb_scene_strip_chart(strip, "area")->allowed;
        ck_assert_uint_eq(allowed->count, 121);
        for (size_t k = 0; k < allowed->count; k++)
            ck_assert(isnan(allowed->low[k]) && isnan(allowed->high[k]));
        if (i == 0)
            tb_bay_unref(bay);
    }
}
END_TEST

START_TEST(an_area_curve_that_obeys_lies_in_what_is_allowed)
{
    const TbSceneChart *area;
    TbSceneCurve low, high;

    ask_for(tube_with("<section at='0' width='46' height='46'/>"
                      "<section at='110' width='52' height='52'/>"
                      "<section at='300' width='63' height='63'/>"),
            "tube", false);
    area = tb_scene_strip_chart(strip, "area");
    low = (TbSceneCurve){
        .station = area->allowed.station, .value = area->allowed.low, .count = area->allowed.count};
    high = low;
    high.value = area->allowed.high;
    ck_assert_uint_eq(area->curves[0].count, 31);
    for (size_t i = 0; i < area->curves[0].count; i++) {
        double s = area->curves[0].station[i], a = area->curves[0].value[i];

        ck_assert_double_ge(a, tb_scene_curve_at(&low, s) - 1e-6);
        ck_assert_double_le(a, tb_scene_curve_at(&high, s) + 1e-6);
    }
}
END_TEST

START_TEST(a_line_has_gaps_and_bends_with_its_least_radius_but_no_area)
{
    g_auto(GStrv) halves = g_strsplit(BAY_TUBE, "</items>", 2);
    g_autofree char *text = g_strjoinv(
        "<line id='hose' name='Hose' class='hot' mount='body' diameter='12' bore='8' role='hose'"
        " least-bend='47.3'><path kind='bent'><knot at='0 0 100'/>"
        "<knot at='200 0 100' radius='60'/><knot at='200 200 100'/></path></line></items>",
        halves);
    const TbSceneChart *bend;

    ask_for(bay_of(text), "hose", false);
    ck_assert_ptr_null(tb_scene_strip_chart(strip, "area"));
    ck_assert_ptr_null(tb_scene_strip_chart(strip, "cone"));
    ck_assert_ptr_nonnull(tb_scene_strip_chart(strip, "gap"));
    ck_assert_ptr_nonnull(tb_scene_strip_chart(strip, "gap-map"));
    bend = tb_scene_strip_chart(strip, "bend");
    ck_assert_double_eq_tol(bend->limits[0].value, 1000 / 47.3, 1e-9);
    ck_assert_str_eq(bend->limits[0].label, "radius 47.3 mm");
    ck_assert_double_eq_tol(tb_scene_curve_at(&bend->curves[0], 180), 1000 / 60.0, 1e-6);
    ck_assert_double_eq_tol(tb_scene_curve_at(&bend->curves[0], 51.3), 0, 1e-9);
    ck_assert_str_eq(strip->item, "hose");
}
END_TEST

/* A straight pipe that swings by 3 deg either way about an axis 300 mm below, past a rod that
 * stands where the pipe is at 1 deg: nearest inside the range. */
static const char swinging[] =
    "<bay version='1' title='Swing'>"
    "<mounts><mount id='body'/><mount id='engine' parent='body' axis-point='0 0 100' "
    "axis-direction='1 0 0' rx='-3 3'/></mounts>"
    "<items><duct id='pipe' class='hot' mount='engine' wall='2'><path><knot at='0 0 400'/>"
    "<knot at='150 0 400'/><knot at='300 0 400'/></path>"
    "<section at='0' width='40' height='40'/></duct>"
    "<rod id='rod' class='brake' mount='body' a='-50 -60 400' b='350 -60 400' radius='5'/></items>"
    "<keeps><keep id='k' class-a='hot' class-b='brake' reason='heat'>"
    "<wanted state='cold' gap='11'/><wanted state='rock' gap='9'/></keep></keeps>"
    "<states><state id='cold' kind='cold'/><state id='rock' kind='rocking'/></states></bay>";

static double
least_of(const TbSceneCurve *curve, const double value[])
{
    double least = INFINITY;

    for (size_t i = 0; i < curve->count; i++)
        if (!isnan(value[i]))
            least = fmin(least, value[i]);
    return least;
}

START_TEST(gaps_of_a_state_that_rocks_are_the_least_over_the_motion)
{
    TbAsk ask = {.state = "rock"};
    TbSceneStrip *moving = NULL, *rest = NULL;
    TbResults *results = NULL;
    const TbSceneChart *chart;
    const TbSceneCurve *curve;
    TbFault fault = {0};

    ask.bay = bay = bay_of(swinging);
    ck_assert_msg(tb_study_strip(study, &ask, "pipe", NULL, &moving, &fault) == TB_OK, "%s",
                  fault.text);
    ck_assert_int_eq(tb_study_judge(study, &ask, NULL, &results, &fault), TB_OK);
    chart = tb_scene_strip_chart(moving, "gap");
    curve = &chart->curves[0];
    ck_assert_str_eq(chart->title, "Gap, least over the motion");
    /* the whole pair's gap lies in the curve's own interval, and that is narrow where it is least
     */
    ck_assert_double_le(least_of(curve, curve->low), results->gaps[0].gap.upper);
    ck_assert_double_ge(least_of(curve, curve->value), results->gaps[0].gap.lower - 1e-6);
    ck_assert_double_le(least_of(curve, curve->value) - least_of(curve, curve->low), 0.3);
    /* at rest the pipe stands further off: what is dragged is drawn so, and says so */
    ask.coarse = true;
    ck_assert_int_eq(tb_study_strip(study, &ask, "pipe", NULL, &rest, &fault), TB_OK);
    chart = tb_scene_strip_chart(rest, "gap");
    ck_assert_str_eq(chart->title, "Gap, at rest");
    ck_assert_double_gt(least_of(&chart->curves[0], chart->curves[0].value),
                        results->gaps[0].gap.upper + 1);
    tb_scene_strip_unref(rest);
    tb_scene_strip_unref(moving);
    tb_results_unref(results);
}
END_TEST

static TbSceneStrip *
strip_of(TbStudy *of, TbAsk *ask, const char *item)
{
    TbSceneStrip *made = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_study_strip(of, ask, item, NULL, &made, &fault) == TB_OK, "%s", fault.text);
    return made;
}

/* A place of the swinging pipe and the rod's axis are points about the rock's axis; one turns to
 * the other as far as 3 deg go. */
static double
swung_gap(double angle)
{
    double y = -22 * sin(angle * G_PI / 180), z = 300 + 22 * cos(angle * G_PI / 180);
    double off = atan2(300, -60) - atan2(z, y), most = 3 * G_PI / 180;
    double left = off - fmin(fmax(off, -most), most);
    double r = hypot(y, z), s = hypot(60, 300);

    return sqrt(r * r + s * s - 2 * r * s * cos(left)) - 5;
}

START_TEST(the_map_of_a_state_that_rocks_is_the_least_over_the_motion_at_every_place)
{
    TbAsk ask = {.state = "rock"};
    const TbSceneChart *chart;
    const TbSceneMap *map;

    ask.bay = bay = bay_of(swinging);
    strip = strip_of(study, &ask, "pipe");
    chart = tb_scene_strip_chart(strip, "gap-map");
    map = chart->map;
    ck_assert_str_eq(chart->title, "Gap map, least over the motion");
    ck_assert_msg(strstr(chart->summary, "Proved to 0.07 mm at the keep.") != NULL, "%s",
                  chart->summary);
    ck_assert_double_eq_tol(map->proved, 0.072, 1e-9);
    ck_assert_uint_eq(map->rows, 72);
    for (size_t k = 0; k < map->columns; k++)
        for (size_t m = 0; m < map->rows; m++) {
            double room = swung_gap(-180 + ((double)m + 0.5) * 5) - 9;
            double told = map->room[k * map->rows + m];

            if (room > 40 + 1e-6) {
                ck_assert_double_ge(told, 40 - 1.1);
                continue;
            }
            ck_assert_double_le(told, room + 1e-6);
            ck_assert_double_ge(told, room - 0.08 - 0.2 * (fabs(room) + 0.2));
        }
    ck_assert_uint_ge(map->basin_count, 1);
    ck_assert_str_eq(map->neighbours[0].name, "rod");
    ck_assert(!map->neighbours[0].at_rest && !map->neighbours[0].unproved);
}
END_TEST

/* What was drawn in between, at rest and at fewer places, is not in what stands after it. */
START_TEST(what_stands_after_a_drag_is_that_of_a_study_that_saw_none)
{
    TbAsk ask = {.state = "rock"};
    TbStudy *fresh = study_alone();
    TbSceneStrip *live, *other;

    ask.bay = bay = bay_of(swinging);
    ask.coarse = true;
    live = strip_of(study, &ask, "pipe");
    ck_assert_str_eq(tb_scene_strip_chart(live, "gap-map")->title, "Gap map, at rest");
    ck_assert_double_eq(tb_scene_strip_chart(live, "gap-map")->map->proved, 0);
    ask.coarse = false;
    strip = strip_of(study, &ask, "pipe");
    other = strip_of(fresh, &ask, "pipe");
    for (int i = 0; i < 2; i++) {
        const TbSceneChart *a = tb_scene_strip_chart(strip, i == 0 ? "gap" : "gap-map");
        const TbSceneChart *b = tb_scene_strip_chart(other, i == 0 ? "gap" : "gap-map");

        ck_assert_str_eq(a->title, b->title);
        ck_assert_str_eq(a->summary, b->summary);
        if (a->map != NULL)
            ck_assert_mem_eq(a->map->room, b->map->room,
                             a->map->columns * a->map->rows * sizeof a->map->room[0]);
        else
            ck_assert_mem_eq(a->curves[0].low, b->curves[0].low,
                             a->curves[0].count * sizeof a->curves[0].low[0]);
    }
    tb_scene_strip_unref(other);
    tb_scene_strip_unref(live);
    tb_study_free(fresh);
}
END_TEST

/* The tube goes to the rail by 1.3 and turns by half a degree about its middle; its wall stands off
 * by what its grade says. */
static TbBay *
scattered_tube(const char *grade)
{
    g_autofree char *tolerance =
        g_strdup_printf("<tolerance shift='0.7 1.3 0.4' turn='0 0 0.5'%s/><path>", grade);
    g_auto(GStrv) ducts = g_strsplit(BAY_TUBE, "<path>", 2);
    g_autofree char *with = g_strjoinv(tolerance, ducts);
    g_auto(GStrv) states = g_strsplit(with, "<states>", 2);
    g_autofree char *text = g_strjoinv("<states><state id='edge' kind='tolerance'/>"
                                       "<state id='hot-edge' kind='combined' parts='hot+edge'/>",
                                       states);
    g_auto(GStrv) keeps = g_strsplit(text, "<wanted state='cold'", 2);
    g_autofree char *whole = g_strjoinv("<wanted state='edge' gap='3'/><wanted state='hot-edge' "
                                        "gap='2'/><wanted state='cold'",
                                        keeps);

    return bay_of(whole);
}

/* A section turned by q about the middle reaches off sin q + r cos q towards the rail. */
static double
edge_gap(double station)
{
    double off = fabs(station - 150), q = fmin(atan2(off, 26.7), 0.5 * G_PI / 180);

    return 44 - 1.3 - off * sin(q) - 26.7 * cos(q);
}

START_TEST(gaps_at_tolerance_are_those_of_the_worst_case_at_every_station)
{
    TbAsk ask = {.state = "edge"};
    const TbSceneChart *chart;
    const TbSceneCurve *curve;

    ask.bay = bay = scattered_tube("");
    strip = strip_of(study, &ask, "tube");
    chart = tb_scene_strip_chart(strip, "gap");
    curve = &chart->curves[0];
    ck_assert_str_eq(chart->title, "Gap, at tolerance, worst case");
    ck_assert_str_eq(curve->label, "Rail, keep 3");
    ck_assert_uint_eq(curve->count, 61);
    for (size_t i = 0; i < curve->count; i++) {
        ck_assert_double_le(curve->low[i], edge_gap(curve->station[i]) + 1e-6);
        ck_assert_double_ge(curve->value[i], edge_gap(curve->station[i]) - 1e-6);
        ck_assert_double_le(curve->value[i] - curve->low[i], 0.05 + 1e-9);
    }
    chart = tb_scene_strip_chart(strip, "gap-map");
    ck_assert_str_eq(chart->title, "Gap map, at tolerance, worst case");
    ck_assert_double_gt(chart->map->proved, 0);
    tb_scene_strip_unref(strip);
    ask.coarse = true;
    strip = strip_of(study, &ask, "tube");
    ck_assert_str_eq(tb_scene_strip_chart(strip, "gap")->title, "Gap, nominal parts");
    ck_assert_double_eq_tol(least_of(&tb_scene_strip_chart(strip, "gap")->curves[0],
                                     tb_scene_strip_chart(strip, "gap")->curves[0].low),
                            44 - 26.7, 0.01);
}
END_TEST

/* Chart, profile and map agree with the finding, which is of the same bands. */
static void
check_agrees(const char *state, const char *title)
{
    TbAsk ask = {.state = state, .profiles = true, .motion_profiles = true};
    TbResults *results = NULL;
    const TbSceneChart *chart;
    const TbSceneMap *map;
    const TbGap *gap;
    double least = INFINITY, low;

    ask.bay = bay;
    tb_scene_strip_unref(strip);
    strip = strip_of(study, &ask, "tube");
    ck_assert_int_eq(tb_study_judge(study, &ask, NULL, &results, NULL), TB_OK);
    ck_assert_uint_eq(results->gap_count, 1);
    gap = &results->gaps[0].gap;
    chart = tb_scene_strip_chart(strip, "gap");
    ck_assert_msg(g_str_has_suffix(chart->title, title), "%s", chart->title);
    low = least_of(&chart->curves[0], chart->curves[0].low);
    ck_assert_double_ge(low, gap->lower - 0.05 - 1e-6); /* its own interval */
    ck_assert_double_le(low, gap->upper + 1e-6);        /* the nearest section is one of its own */
    map = tb_scene_strip_chart(strip, "gap-map")->map;
    for (size_t i = 0; i < map->columns * map->rows; i++)
        least = fmin(least, map->room[i]);
    /* places are 5 deg apart about a radius of 27 */
    ck_assert_double_ge(least + results->gaps[0].keep, gap->lower - 1);
    ck_assert_double_le(least + results->gaps[0].keep, gap->upper + 0.05);
    ck_assert_uint_eq(results->profile_count, 1);
    ck_assert(results->profiles[0].certified);
    ck_assert_mem_eq(results->profiles[0].lower, chart->curves[0].low,
                     chart->curves[0].count * sizeof chart->curves[0].low[0]);
    tb_results_unref(results);
}

START_TEST(what_a_state_says_of_gaps_along_a_path_agrees_with_its_finding)
{
    bay = scattered_tube(" grade='ISO 13920-B'");
    check_agrees("edge", ", worst case");
    check_agrees("hot", ", least from cold to hot");
    check_agrees("hot-edge", ", at tolerance, worst case");
}
END_TEST

/* The tube begins on a port that leaves out so much of it; the rail is 17.3 from it all along. */
static TbBay *
bay_left_out(const char *leave_out)
{
    g_auto(GStrv) path = g_strsplit(BAY_TUBE, "<knot at='0 0 0'/><knot at='300 0 0'/></path>", 2);
    g_autofree char *on_port = g_strjoinv("<knot at='300 0 0'/></path><start port='p'/>", path);
    g_auto(GStrv) items = g_strsplit(on_port, "<items>", 2);
    g_autofree char *with = g_strjoinv(
        "<ports><port id='p' mount='engine' at='0 0 0' flow='1 0 0'/></ports><items>", items);
    g_auto(GStrv) keeps = g_strsplit(with, "</keep>", 2);
    g_autofree char *text = g_strjoinv(leave_out, keeps);

    return bay_of(text);
}

START_TEST(what_is_left_out_is_nobodys_in_a_map_at_rest_and_of_a_motion)
{
    static const char *const states[] = {"cold", "hot"};

    bay = bay_left_out("<leave-out port='p' radius='80'/></keep>");
    for (int s = 0; s < 2; s++) {
        TbAsk ask = {.bay = bay, .state = states[s]};
        const TbSceneMap *map;
        size_t told = 0;

        tb_scene_strip_unref(strip);
        strip = strip_of(study, &ask, "tube");
        map = tb_scene_strip_chart(strip, "gap-map")->map;
        for (size_t k = 0; k < map->columns; k++) {
            double station = ((double)k + 0.5) / (double)map->columns * 300;

            for (size_t m = 0; m < map->rows && station < 75; m++)
                ck_assert_uint_eq(map->who[k * map->rows + m], TB_SCENE_NOBODY);
            if (station > 85) {
                ck_assert_ptr_nonnull(tb_scene_map_worst(map, 300, station).neighbour);
                told++;
            }
        }
        ck_assert_uint_gt(told, map->columns / 2);
    }
}
END_TEST

/* 82.3 lies between the stations of the table, which are 5 apart. */
START_TEST(a_curve_of_a_motion_begins_where_the_leave_out_ends)
{
    TbAsk ask = {.state = "hot"};
    const TbSceneCurve *curve;
    size_t first = 0;

    bay = bay_left_out("<leave-out port='p' radius='82.3'/></keep>");
    ask.bay = bay;
    strip = strip_of(study, &ask, "tube");
    curve = &tb_scene_strip_chart(strip, "gap")->curves[0];
    while (first < curve->count && isnan(curve->low[first]))
        first++;
    ck_assert_uint_lt(first + 1, curve->count);
    ck_assert_double_eq_tol(curve->station[first], 82.3, 1e-6);
    ck_assert_double_eq_tol(curve->station[first + 1], 85, 1e-9);
    for (size_t i = 1; i < curve->count; i++)
        ck_assert_double_lt(curve->station[i - 1], curve->station[i]);
}
END_TEST

START_TEST(a_curve_is_read_between_its_stations_and_nowhere_else)
{
    double station[4] = {0, 10, 20, 33}, value[4] = {5, 7, (double)NAN, 9.5};
    TbSceneCurve curve = {.station = station, .value = value, .count = 4};

    ck_assert_double_eq_tol(tb_scene_curve_at(&curve, 2.5), 5.5, 1e-12);
    ck_assert_double_eq(tb_scene_curve_at(&curve, 10), 7);
    ck_assert_double_eq(tb_scene_curve_at(&curve, 33), 9.5);
    ck_assert_double_nan(tb_scene_curve_at(&curve, 10.001));
    ck_assert_double_nan(tb_scene_curve_at(&curve, 31));
    ck_assert_double_nan(tb_scene_curve_at(&curve, -0.001));
    ck_assert_double_nan(tb_scene_curve_at(&curve, 33.001));
}
END_TEST

START_TEST(the_table_has_a_row_a_step_and_what_the_charts_show)
{
    TbSceneTable *table;

    ask_for(bay_of(BAY_TUBE), "tube", false);
    table = tb_scene_strip_table(strip, 70);
    ck_assert_uint_eq(table->rows, 6);
    ck_assert_uint_eq(table->columns, 7);
    ck_assert_str_eq(table->heads[0], "Station, mm");
    ck_assert_str_eq(table->heads[1], "Area, mm²");
    ck_assert_str_eq(table->heads[3], "Gap, mm");
    ck_assert_str_eq(table->heads[4], "Least room for");
    ck_assert_str_eq(table->cells[5 * 7], "300.0");
    ck_assert_str_eq(table->cells[7], "70.0");
    ck_assert_str_eq(table->cells[7 + 1], "1662");
    ck_assert_str_eq(table->cells[7 + 3], "17.3");
    ck_assert_str_eq(table->cells[7 + 4], "Rail");
    tb_scene_table_free(table);
}
END_TEST

START_TEST(a_summary_tells_range_and_least_gap)
{
    ask_for(bay_of(BAY_TUBE), "tube", false);
    ck_assert_str_eq(tb_scene_strip_chart(strip, "area")->summary,
                     "1662 mm² at station 0 to 1662 mm² at station 0.");
    ck_assert_str_eq(tb_scene_strip_chart(strip, "gap")->summary,
                     "Rail: least 17.3 mm at station 0, keep 12.");
}
END_TEST

START_TEST(a_station_is_told_in_one_sentence)
{
    g_autofree char *said = NULL;

    ask_for(bay_of(BAY_TUBE), "tube", false);
    said = tb_scene_strip_say_at(strip, 121.3);
    ck_assert_str_eq(said, "Station 121.3 mm; Area 1662 mm²; Cone angle 0°; Rail 17.3 of 12 mm; "
                           "Bend 0 1/m.");
}
END_TEST

START_TEST(ids_are_alike_up_to_a_variant_that_one_of_them_leaves_out)
{
    ck_assert(tb_finding_id_alike("fold/a#outer//", "fold/a#outer//"));
    ck_assert(tb_finding_id_alike("fold/a#outer//tall", "fold/a#outer//"));
    ck_assert(tb_finding_id_alike("gap/a|b/hot/", "gap/a|b/hot/tall"));
    ck_assert(!tb_finding_id_alike("gap/a|b/hot/low", "gap/a|b/hot/tall"));
    ck_assert(!tb_finding_id_alike("gap/a|b/cold/", "gap/a|b/hot/"));
    ck_assert(!tb_finding_id_alike("fold/a#outer//", "fold/a#inner//"));
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("study/strip");
    TCase *c = tcase_create("strip");

    tcase_add_checked_fixture(c, begin, end);
    tcase_add_test(c, the_map_has_the_room_above_the_keep_at_every_place);
    tcase_add_test(c, the_line_at_the_keep_runs_where_the_distance_is_the_keep);
    tcase_add_test(c, a_coarse_map_says_so_and_has_the_same_room_at_fewer_places);
    tcase_add_test(c, the_neighbour_with_the_least_room_shows_not_the_nearest);
    tcase_add_test(c, a_finding_is_a_band_with_its_id);
    tcase_add_test(c, allowed_is_what_growth_up_to_the_limit_reaches_from_both_ends);
    tcase_add_test(c, nothing_is_allowed_between_ends_that_break_the_rules);
    tcase_add_test(c, an_area_curve_that_obeys_lies_in_what_is_allowed);
    tcase_add_test(c, a_line_has_gaps_and_bends_with_its_least_radius_but_no_area);
    tcase_add_test(c, a_curve_is_read_between_its_stations_and_nowhere_else);
    tcase_add_test(c, the_table_has_a_row_a_step_and_what_the_charts_show);
    tcase_add_test(c, a_summary_tells_range_and_least_gap);
    tcase_add_test(c, a_station_is_told_in_one_sentence);
    tcase_add_test(c, ids_are_alike_up_to_a_variant_that_one_of_them_leaves_out);
    tcase_add_test(c, gaps_of_a_state_that_rocks_are_the_least_over_the_motion);
    tcase_add_test(c, the_map_of_a_state_that_rocks_is_the_least_over_the_motion_at_every_place);
    tcase_add_test(c, what_stands_after_a_drag_is_that_of_a_study_that_saw_none);
    tcase_add_test(c, gaps_at_tolerance_are_those_of_the_worst_case_at_every_station);
    tcase_add_test(c, what_a_state_says_of_gaps_along_a_path_agrees_with_its_finding);
    tcase_add_test(c, a_curve_of_a_motion_begins_where_the_leave_out_ends);
    tcase_add_test(c, what_is_left_out_is_nobodys_in_a_map_at_rest_and_of_a_motion);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
