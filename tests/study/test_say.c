/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Every rule's sentence at every level it can have, from findings made here. */

#include "tap.h"

#include "comma_locale.h"
#include "study/results_build.h"
#include "study/say.h"

#include <glib.h>
#include <math.h>

static TbResults *
bay(void)
{
    static const char *const names[4][2] = {
        {"outlet", "Downpipe"}, {"rail", "Frame rail"}, {"turbo", "Turbo"}, {"j3", ""}};
    TbResults *results = tb_results_new("b", "C");

    for (int i = 0; i < 4; i++) {
        TbResultItem *item = tb_results_add_item(results);

        tb_results_set_text(results, &item->id, names[i][0]);
        tb_results_set_text(results, &item->name, names[i][1]);
    }
    return results;
}

/** A fact is a number, or a text where that is not NULL. */
typedef struct Given {
    const char *name, *text;
    double number;
} Given;

typedef struct Row {
    const char *rule, *subject;
    TbLevel level;
    double value, limit, margin, from, to;
    const char *item, *state, *variant;
    Given facts[6];
    const char *sentence;
} Row;

static const Row rows[] = {
    {"area-shrinks",
     "outlet",
     TB_LEVEL_HOLDS,
     0,
     0,
     0,
     NAN,
     NAN,
     "",
     "cold",
     "",
     {{"from_area", NULL, 1923.44}, {"to_area", NULL, 2827.4}},
     "Downpipe: the area never falls, from 1923.4 to 2827.4 mm², cold"},
    {"area-shrinks",
     "outlet",
     TB_LEVEL_SHORT,
     3.17,
     0,
     -3.17,
     213.4,
     287.6,
     "",
     "hot",
     "tall",
     {{"from_area", NULL, 1923}, {"to_area", NULL, 1862.07}, {"worst_station", NULL, 251.2}},
     "Downpipe: the area falls by 3.2 %, from 1923 at station 213 to 1862.1 mm² at station 251 mm, "
     "hot, variant tall"},
    {"growth",
     "outlet",
     TB_LEVEL_SHORT,
     11.34,
     7.5,
     -3.84,
     40,
     71,
     "",
     "",
     "",
     {{"worst_station", NULL, 55.4}},
     "Downpipe: the area grows like a cone of 11.3° at station 55 mm, above the 7.5° up to "
     "which the flow stays attached, between stations 40 and 71 mm"},
    {"growth",
     "outlet",
     TB_LEVEL_HOLDS,
     6.71,
     7.5,
     0.79,
     NAN,
     NAN,
     "",
     "",
     "",
     {{"worst_station", NULL, 55.4}},
     "Downpipe: the area grows like a cone of at most 6.7°, at station 55 mm; the flow stays "
     "attached up to 7.5°"},
    {"smooth-growth",
     "outlet",
     TB_LEVEL_WATCH,
     9.43,
     8,
     -1.43,
     77,
     77,
     "",
     "",
     "",
     {{0}},
     "Downpipe: the cone angle changes by 9.4° within one diameter, at station 77 mm; practice "
     "stays below 8°"},
    {"smooth-bend",
     "outlet",
     TB_LEVEL_WATCH,
     0.62,
     0.5,
     -0.12,
     77,
     91,
     "",
     "",
     "",
     {{0}},
     "Downpipe: diameter over bend radius changes by 0.6 within one diameter, between stations 77 "
     "and 91 mm; practice stays below 0.5"},
    {"fold",
     "outlet",
     TB_LEVEL_SHORT,
     1.13,
     1,
     -0.13,
     88,
     99,
     "",
     "",
     "",
     {{"surface", "inner", 0}},
     "Downpipe: the inner surface folds in the bend, curvature times half extent is 1.1 (1 folds), "
     "between stations 88 and 99 mm"},
    {"fold",
     "outlet",
     TB_LEVEL_HOLDS,
     0.57,
     1,
     0.43,
     NAN,
     NAN,
     "",
     "",
     "",
     {{"surface", "outer", 0}},
     "Downpipe: the outer surface does not fold, curvature times half extent is at most 0.6 (1 "
     "folds)"},
    {"self-touch",
     "outlet",
     TB_LEVEL_SHORT,
     -2.1,
     0,
     -2.1,
     31,
     288,
     "",
     "",
     "",
     {{0}},
     "Downpipe: touches itself, between stations 31 and 288 mm"},
    {"self-touch",
     "outlet",
     TB_LEVEL_HOLDS,
     23.41,
     0,
     23.41,
     NAN,
     NAN,
     "",
     "hot",
     "",
     {{0}},
     "Downpipe: comes no nearer to itself than 23.4 mm, hot"},
    {"wall",
     "outlet",
     TB_LEVEL_SHORT,
     1.17,
     1.2,
     -0.03,
     12,
     12,
     "",
     "",
     "",
     {{0}},
     "Downpipe: the wall is 1.17 mm, below the least wall of 1.2 mm, at station 12 mm"},
    {"wall",
     "outlet",
     TB_LEVEL_HOLDS,
     1.5,
     1.2,
     0.3,
     NAN,
     NAN,
     "",
     "",
     "",
     {{0}},
     "Downpipe: the wall is 1.5 mm or more; the least wall is 1.2 mm"},
    {"bend-radius",
     "outlet",
     TB_LEVEL_SHORT,
     57.3,
     63.7,
     -6.4,
     NAN,
     NAN,
     "",
     "",
     "",
     {{"worst_station", NULL, 141.8}},
     "Downpipe: bend radius 57.3 mm at station 142 mm, below the least of 63.7 mm"},
    {"bend-radius",
     "outlet",
     TB_LEVEL_HOLDS,
     71.3,
     63.7,
     7.6,
     NAN,
     NAN,
     "",
     "",
     "",
     {{"worst_station", NULL, 141.8}},
     "Downpipe: bend radius 71.3 mm or more, least at station 142 mm; 63.7 mm is wanted"},
    {"housing-turn",
     "turbo",
     TB_LEVEL_SHORT,
     47.2,
     45,
     -2.2,
     NAN,
     NAN,
     "",
     "",
     "",
     {{"low", NULL, -45}, {"high", NULL, 45}, {"housing", "turbine", 0}},
     "Turbo: turbine housing turned by 47.2°, outside its limits of -45 to 45°"},
    {"housing-turn",
     "turbo",
     TB_LEVEL_HOLDS,
     -17.3,
     45,
     27.7,
     NAN,
     NAN,
     "",
     "",
     "tall",
     {{"low", NULL, -45}, {"high", NULL, 45}, {"housing", "compressor", 0}},
     "Turbo: compressor housing turned by -17.3°, within its limits of -45 to 45°, variant "
     "tall"},
    {"shaft-tilt",
     "turbo",
     TB_LEVEL_SHORT,
     16.3,
     15,
     -1.3,
     NAN,
     NAN,
     "",
     "",
     "",
     {{"low", NULL, -15}, {"high", NULL, 15}},
     "Turbo: shaft tilted by 16.3°, outside its limits of -15 to 15°"},
    {"shaft-tilt",
     "turbo",
     TB_LEVEL_HOLDS,
     3.3,
     15,
     11.7,
     NAN,
     NAN,
     "",
     "",
     "",
     {{"low", NULL, -15}, {"high", NULL, 15}},
     "Turbo: shaft tilted by 3.3°, within its limits of -15 to 15°"},
    {"port-size",
     "outlet",
     TB_LEVEL_SHORT,
     1.37,
     0.5,
     -0.87,
     NAN,
     NAN,
     "",
     "",
     "",
     {{"port", "turbo.out", 0}},
     "Downpipe: its end differs from port turbo.out by a step of 1.4 mm; up to 0.5 mm is accepted"},
    {"port-size",
     "outlet",
     TB_LEVEL_SHORT,
     2,
     1,
     -1,
     NAN,
     NAN,
     "",
     "",
     "",
     {{"port", "turbo.out", 0}, {"end", "start", 0}},
     "Downpipe: its start differs from port turbo.out by a step of 2 mm; up to 1 mm is accepted"},
    {"port-direction",
     "outlet",
     TB_LEVEL_HOLDS,
     0.21,
     1.5,
     1.29,
     NAN,
     NAN,
     "",
     "",
     "",
     {{"port", "turbo.out", 0}},
     "Downpipe: its end points 0.2° off port turbo.out; up to 1.5° is accepted"},
    {"joint-place",
     "j3",
     TB_LEVEL_SHORT,
     1.23,
     0.1,
     -1.13,
     NAN,
     NAN,
     "",
     "",
     "",
     {{"port_a", "turbo.out", 0}, {"port_b", "outlet.in", 0}},
     "Joint j3: ports turbo.out and outlet.in lie 1.2 mm apart; up to 0.1 mm is accepted"},
    {"joint-direction",
     "j3",
     TB_LEVEL_HOLDS,
     0.31,
     1.5,
     1.19,
     NAN,
     NAN,
     "",
     "hot",
     "",
     {{"port_a", "turbo.out", 0}, {"port_b", "outlet.in", 0}},
     "Joint j3: ports turbo.out and outlet.in point 0.3° apart; up to 1.5° is accepted, hot"},
    {"joint-step",
     "j3",
     TB_LEVEL_SHORT,
     2.41,
     0.5,
     -1.91,
     NAN,
     NAN,
     "",
     "",
     "",
     {{"port_a", "turbo.out", 0}, {"port_b", "outlet.in", 0}},
     "Joint j3: the openings of ports turbo.out and outlet.in differ by a step of 2.4 mm; up to "
     "0.5 "
     "mm is accepted"},
    {"joint-thread",
     "j3",
     TB_LEVEL_SHORT,
     NAN,
     NAN,
     NAN,
     NAN,
     NAN,
     "",
     "",
     "",
     {{"standard_a", "ISO 261", 0},
      {"size_a", "M14x1.5", 0},
      {"port_a", "turbo.oil", 0},
      {"standard_b", "ISO 228", 0},
      {"size_b", "G1/4", 0},
      {"port_b", "line.in", 0}},
     "Joint j3: thread ISO 261 M14x1.5 of port turbo.oil does not fit thread ISO 228 G1/4 of port "
     "line.in"},
    {"joint-thread",
     "j3",
     TB_LEVEL_HOLDS,
     NAN,
     NAN,
     NAN,
     NAN,
     NAN,
     "",
     "",
     "",
     {{"standard_a", "ISO 261", 0},
      {"size_a", "M14x1.5", 0},
      {"port_a", "turbo.oil", 0},
      {"port_b", "line.in", 0}},
     "Joint j3: threads ISO 261 M14x1.5 of ports turbo.oil and line.in fit"},
    {"scan",
     "rail",
     TB_LEVEL_OPEN,
     NAN,
     NAN,
     NAN,
     NAN,
     NAN,
     "",
     "",
     "",
     {{"reason", "rail.stl cannot be read: No such file or directory", 0}},
     "Frame rail: rail.stl cannot be read: No such file or directory"},
    {"scan",
     "rail",
     TB_LEVEL_WATCH,
     NAN,
     NAN,
     NAN,
     NAN,
     NAN,
     "",
     "",
     "",
     {{"triangles", NULL, 20318}, {"flipped_edges", NULL, 17}},
     "Frame rail: read, 20318 triangles; at 17 edges neighbours disagree about which side is out"},
    {"scan",
     "rail",
     TB_LEVEL_HOLDS,
     NAN,
     NAN,
     NAN,
     NAN,
     NAN,
     "",
     "",
     "",
     {{"triangles", NULL, 20318}, {"flipped_edges", NULL, 0}},
     "Frame rail: read, 20318 triangles"},
    {"scan",
     "rail",
     TB_LEVEL_HOLDS,
     NAN,
     NAN,
     NAN,
     NAN,
     NAN,
     "",
     "",
     "",
     {{"triangles", NULL, 20318}, {"body", "open", 0}},
     "Frame rail: read, 20318 triangles; it is open: gaps are told to its surface, and what lies "
     "inside it cannot be decided"},
    {"scan",
     "rail",
     TB_LEVEL_HOLDS,
     NAN,
     NAN,
     NAN,
     NAN,
     NAN,
     "",
     "",
     "",
     {{"triangles", NULL, 20318}, {"body", "nearly closed", 0}, {"open_edges", NULL, 9}},
     "Frame rail: read, 20318 triangles; its 9 open edges are taken to be closed"},
    {"scan",
     "rail",
     TB_LEVEL_WATCH,
     NAN,
     NAN,
     NAN,
     NAN,
     NAN,
     "",
     "",
     "",
     {{"triangles", NULL, 20318}, {"body", "closed", 0}, {"normals", "inward", 0}},
     "Frame rail: read, 20318 triangles; its normals point inwards, so it is taken for the walls "
     "of a room and what is in it for clear"},
    {"gap",
     "outlet|rail",
     TB_LEVEL_SHORT,
     -21.2,
     12,
     -33.2,
     NAN,
     NAN,
     "outlet",
     "",
     "",
     {{"contact", "inside", 0}, {"inside", "rail", 0}},
     "Frame rail: lies inside Downpipe, 21.2 mm deep, with a keep of 12 mm"},
    {"gap",
     "outlet|rail",
     TB_LEVEL_SHORT,
     -21.2,
     12,
     -33.2,
     NAN,
     NAN,
     "outlet",
     "",
     "",
     {{"contact", "inside", 0}, {"inside", "outlet", 0}},
     "Frame rail: holds Downpipe inside it, 21.2 mm deep, with a keep of 12 mm"},
    {"shape",
     "outlet",
     TB_LEVEL_OPEN,
     NAN,
     NAN,
     NAN,
     NAN,
     NAN,
     "",
     "hot",
     "",
     {{"reason", "knots 3 and 4 lie in one place", 0}},
     "Downpipe: its shape cannot be built: knots 3 and 4 lie in one place, hot"},
    {"state",
     "rock-4",
     TB_LEVEL_OPEN,
     NAN,
     NAN,
     NAN,
     NAN,
     NAN,
     "",
     "",
     "",
     {{"reason", "it rocks about nothing", 0}},
     "State rock-4 cannot be judged: it rocks about nothing"},
    {"warmth",
     "outlet",
     TB_LEVEL_WATCH,
     613.2,
     NAN,
     NAN,
     NAN,
     NAN,
     "",
     "hot",
     "",
     {{0}},
     "Downpipe: warm at 613.2 °C, but it names no material, so it is judged as drawn, hot"},
    {"warmth",
     "outlet",
     TB_LEVEL_WATCH,
     613.2,
     NAN,
     NAN,
     NAN,
     NAN,
     "",
     "hot",
     "",
     {{"material", "ore", NAN}},
     "Downpipe: warm at 613.2 °C, but neither the bay nor the catalogue has its material ore, so "
     "it is judged as drawn, hot"},
    {"warmth",
     "outlet",
     TB_LEVEL_WATCH,
     95,
     NAN,
     NAN,
     NAN,
     NAN,
     "",
     "hot",
     "",
     {{"mount", "engine", NAN}, {"end-mount", "body", NAN}},
     "Downpipe: rides on engine and on body; at 95 °C it is grown from engine alone, so its gaps "
     "near its other end are estimates, hot"},
    {"gap",
     "outlet|rail",
     TB_LEVEL_SHORT,
     -3.07,
     12,
     -15.07,
     131,
     131,
     "outlet",
     "",
     "",
     {{"contact", "overlaps", 0}},
     "Frame rail: overlaps Downpipe by 3.1 mm, with a keep of 12 mm, at station 131 mm of "
     "Downpipe"},
    /* a hair of an overlap is not none */
    {"gap",
     "outlet|rail",
     TB_LEVEL_SHORT,
     -0.035,
     12,
     -12.035,
     NAN,
     NAN,
     "outlet",
     "",
     "",
     {{"contact", "overlaps", 0}},
     "Frame rail: overlaps Downpipe by 0.04 mm, with a keep of 12 mm"},
    /* between -30.1 and -26.8: the end that lists tell */
    {"gap",
     "outlet|rail",
     TB_LEVEL_SHORT,
     -26.83,
     12,
     -42.07,
     NAN,
     NAN,
     "outlet",
     "",
     "",
     {{"contact", "overlaps", 0}},
     "Frame rail: overlaps Downpipe by 30.1 mm, with a keep of 12 mm"},
    /* 30 - 25.4498: keep, gap and what is short add up */
    {"gap",
     "outlet|rail",
     TB_LEVEL_SHORT,
     25.4581,
     30,
     -4.5502,
     NAN,
     NAN,
     "outlet",
     "",
     "",
     {{"contact", "clear", 0}},
     "Frame rail: 4.6 mm short of its keep of 30 mm to Downpipe (gap 25.4 mm)"},
    {"class",
     "rail",
     TB_LEVEL_WATCH,
     NAN,
     NAN,
     NAN,
     NAN,
     NAN,
     "",
     "",
     "tall",
     {{"class", "structur", 0}},
     "Frame rail: neither it nor its class structur is in any keep, so no gap to it is judged, "
     "variant tall"},
    {"gap",
     "outlet|rail",
     TB_LEVEL_SHORT,
     0,
     12,
     -12,
     NAN,
     NAN,
     "rail",
     "",
     "",
     {{"contact", "touches", 0}},
     "Downpipe: touches Frame rail, with a keep of 12 mm"},
    {"gap",
     "outlet|rail",
     TB_LEVEL_SHORT,
     9.81,
     12,
     -2.19,
     131,
     131,
     "outlet",
     "hot",
     "tall",
     {{"contact", "clear", 0}},
     "Frame rail: 2.2 mm short of its keep of 12 mm to Downpipe (gap 9.8 mm), at station 131 mm "
     "of Downpipe, hot, variant tall"},
    {"gap",
     "outlet|rail",
     TB_LEVEL_OPEN,
     NAN,
     12,
     NAN,
     NAN,
     NAN,
     "outlet",
     "cold",
     "",
     {{"reason", "the scan of rail is missing", 0}},
     "Frame rail: gap to Downpipe cannot be judged, cold: the scan of rail is missing"},
    {"gap",
     "outlet|rail",
     TB_LEVEL_WATCH,
     12.83,
     12,
     0.83,
     131,
     131,
     "outlet",
     "",
     "",
     {{"want_margin", NULL, 1.5}},
     "Frame rail: gap to Downpipe of 12.8 mm holds its keep of 12 mm by 0.8 mm, less than the 1.5 "
     "mm wanted beyond it, at station 131 mm of Downpipe"},
    {"gap",
     "outlet|rail",
     TB_LEVEL_HOLDS,
     17.46,
     12,
     5.46,
     131,
     131,
     "outlet",
     "",
     "",
     {{0}},
     "Frame rail: gap to Downpipe of 17.4 mm holds its keep of 12 mm, at station 131 mm of "
     "Downpipe"},
    /* neither is an item that has a name: told by their ids, each by its own */
    {"gap",
     "gone|j3",
     TB_LEVEL_HOLDS,
     17.46,
     12,
     5.46,
     NAN,
     NAN,
     "gone",
     "",
     "",
     {{0}},
     "j3: gap to gone of 17.4 mm holds its keep of 12 mm"},
    /* a gap a hair below its keep shows as many decimals as tell them apart */
    {"gap",
     "outlet|rail",
     TB_LEVEL_SHORT,
     11.9972,
     12,
     -0.0028,
     NAN,
     NAN,
     "outlet",
     "",
     "",
     {{"contact", "clear", 0}},
     "Frame rail: 0.003 mm short of its keep of 12 mm to Downpipe (gap 11.997 mm)"},
    {"newer-rule",
     "rail",
     TB_LEVEL_WATCH,
     3.33,
     4.1,
     -0.77,
     NAN,
     NAN,
     "",
     "",
     "",
     {{0}},
     "Frame rail: newer-rule is 3.3 kPa, limit 4.1"},
};

/* As the checks give it. */
static const char *
unit_of(const char *rule)
{
    static const char *const units[][2] = {
        {"area-shrinks", "%"},
        {"growth", "deg"},
        {"smooth-growth", "deg"},
        {"smooth-bend", "1"},
        {"fold", "1"},
        {"housing-turn", "deg"},
        {"shaft-tilt", "deg"},
        {"port-direction", "deg"},
        {"joint-direction", "deg"},
        {"warmth", "degC"},
        {"newer-rule", "kPa"},
    };

    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++)
        if (strcmp(units[i][0], rule) == 0)
            return units[i][1];
    return "mm";
}

static TbFinding *
found(TbResults *results, const Row *row)
{
    TbFindingDef def = tb_finding_def(row->rule, row->subject);
    TbFinding *finding;

    def.level = row->level;
    def.value = row->value;
    def.limit = row->limit;
    def.margin = row->margin;
    def.place.from = row->from;
    def.place.to = row->to;
    def.place.item = (char *)row->item;
    def.state = row->state;
    def.variant = row->variant;
    def.unit = unit_of(row->rule);
    finding = tb_results_add_finding(results, &def);
    for (int i = 0; i < 6 && row->facts[i].name != NULL; i++) {
        const Given *fact = &row->facts[i];

        if (fact->text != NULL)
            tb_finding_add_text(results, finding, fact->name, fact->text);
        else
            tb_finding_add_number(results, finding, fact->name, fact->number);
    }
    return finding;
}

START_TEST(every_rule_is_told_in_one_sentence_with_its_numbers)
{
    const Row *row = &rows[_i];
    TbResults *results = bay();
    g_autofree char *sentence = tb_say_finding(results, found(results, row), TB_VOICE_REPORT);

    ck_assert_str_eq(sentence, row->sentence);
    tb_results_unref(results);
}
END_TEST

START_TEST(without_a_translation_the_user_reads_english_with_his_decimal_mark)
{
    TbResults *results = bay();
    g_autofree char *his = NULL, *english = NULL;
    char folder[] = "/tmp/tb-say-XXXXXX", command[64];
    const Row *row = &rows[1];
    TbFinding *finding = found(results, row);

    ck_assert_ptr_nonnull(mkdtemp(folder));
    if (tb_test_comma_locale(folder) != NULL) {
        his = tb_say_finding(results, finding, (TbVoice){.unit = TB_UNIT_MM});
        english = tb_say_finding(results, finding, TB_VOICE_REPORT);
        ck_assert_str_eq(english, row->sentence);
        ck_assert_ptr_nonnull(strstr(his, "3,2 %, from 1923 at station 213 to 1862,1 mm²"));
    } else {
        fprintf(stderr, "# no locale with a comma here, and localedef cannot make one\n");
    }
    snprintf(command, sizeof command, "rm -r '%s'", folder);
    ck_assert_int_eq(system(command), 0);
    tb_results_unref(results);
}
END_TEST

START_TEST(a_row_of_a_list_parts_what_is_found_from_where_and_when)
{
    TbResults *results = bay();
    TbFindingDef def = tb_finding_def("gap", "outlet|rail");
    const TbFinding *finding;
    g_autofree char *what = NULL;
    g_autofree char *where = NULL;
    g_autofree char *nowhere = NULL;

    def.state = "cold";
    def.variant = "tall";
    def.value = 25.44;
    def.limit = 30;
    def.margin = -4.6;
    def.level = TB_LEVEL_SHORT;
    def.place.item = (char *)"outlet";
    def.place.from = def.place.to = 135.2;
    finding = tb_results_add_finding(results, &def);
    what = tb_say_finding_short(results, finding, TB_UNIT_MM);
    where = tb_say_finding_where(results, finding, TB_UNIT_MM);
    ck_assert_str_eq(where, "at station 135 mm of Downpipe, cold, variant tall");
    ck_assert_ptr_null(strstr(what, "station"));
    ck_assert_ptr_null(strstr(what, "tall"));
    ck_assert_ptr_nonnull(strstr(what, "4.6"));

    def = tb_finding_def("wall", "outlet");
    finding = tb_results_add_finding(results, &def);
    nowhere = tb_say_finding_where(results, finding, TB_UNIT_MM);
    ck_assert_str_eq(nowhere, "");
    tb_results_unref(results);
}
END_TEST

/* Inches are a display choice: the same finding, its station too; what a report says stays in mm.
 */
START_TEST(a_gap_is_told_in_inches_where_they_are_wanted)
{
    TbResults *results = bay();
    TbFindingDef def = tb_finding_def("gap", "outlet|rail");
    TbVoice inch = {.unit = TB_UNIT_INCH};
    const TbFinding *finding;
    g_autofree char *told = NULL, *report = NULL;

    def.state = "cold";
    def.value = 25.44;
    def.limit = 30;
    def.margin = -4.67; /* lower end 25.33: 0.997 in; keep 1.181 in */
    def.level = TB_LEVEL_SHORT;
    def.unit = "mm";
    def.place.item = (char *)"outlet";
    def.place.from = def.place.to = 135.2; /* 5.32 in */
    finding = tb_results_add_finding(results, &def);
    told = tb_say_finding(results, finding, inch);
    report = tb_say_finding(results, finding, TB_VOICE_REPORT);
    ck_assert_str_eq(told, "Frame rail: 0.184 in short of its keep of 1.181 in to Downpipe (gap "
                           "0.997 in), at station 5.3 in of Downpipe, cold");
    ck_assert_str_eq(report, "Frame rail: 4.7 mm short of its keep of 30 mm to Downpipe (gap 25.3 "
                             "mm), at station 135 mm of Downpipe, cold");
    tb_results_unref(results);
}
END_TEST

/* What an area, an angle and a temperature are told in. */
START_TEST(areas_are_told_in_square_inches_and_angles_in_degrees)
{
    TbResults *results = bay();
    TbVoice inch = {.unit = TB_UNIT_INCH};
    g_autofree char *area = tb_say_finding(results, found(results, &rows[1]), inch);

    /* 1923 and 1862.1 mm2 by 645.16 */
    ck_assert_ptr_nonnull(strstr(area, "3.2 %, from 2.981 at station 8.4 to 2.886 in²"));
    tb_results_unref(results);
}
END_TEST

START_TEST(levels_and_unknown_items_have_a_word)
{
    TbResults *results = bay();

    ck_assert_str_eq(tb_say_level(TB_LEVEL_HOLDS), "holds");
    ck_assert_str_eq(tb_say_level(TB_LEVEL_WATCH), "watch");
    ck_assert_str_eq(tb_say_level(TB_LEVEL_SHORT), "short");
    ck_assert_str_eq(tb_say_level(TB_LEVEL_OPEN), "open");
    ck_assert_str_eq(tb_say_item(results, "rail"), "Frame rail");
    ck_assert_str_eq(tb_say_item(results, "j3"), "j3");
    ck_assert_str_eq(tb_say_item(results, "gone"), "gone");
    ck_assert_ptr_nonnull(strstr(tb_say_caution(true), "verify on the vehicle"));
    tb_results_unref(results);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("study/say");
    TCase *c = tcase_create("say");

    tcase_set_timeout(c, 60); /* a locale is compiled */
    tcase_add_loop_test(c, every_rule_is_told_in_one_sentence_with_its_numbers, 0,
                        (int)(sizeof rows / sizeof rows[0]));
    tcase_add_test(c, without_a_translation_the_user_reads_english_with_his_decimal_mark);
    tcase_add_test(c, a_row_of_a_list_parts_what_is_found_from_where_and_when);
    tcase_add_test(c, a_gap_is_told_in_inches_where_they_are_wanted);
    tcase_add_test(c, areas_are_told_in_square_inches_and_angles_in_degrees);
    tcase_add_test(c, levels_and_unknown_items_have_a_word);
    suite_add_tcase(suite, c);
    return tb_test_main(suite);
}
