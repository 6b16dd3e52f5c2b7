/* SPDX-License-Identifier: GPL-3.0-or-later */

/** An open scan that is clear as drawn and crossed in what a state may bring: no depth is known,
 * so no keep holds, one of 0 neither. */

#include "bays.h"
#include "scans.h"
#include "tap.h"

#include "study/scene_scatter.h"

#include <unistd.h>

/* A rod from 0 to 400 before a sheet at 403: the engine rocks by 5, warmth grows it by 3.24. */
#define BAY(tolerance)                                                                             \
    "<bay version='1' title='Crossed'><mounts><mount id='body'/>"                                  \
    "<mount id='engine' parent='body' tx='-5 5'/></mounts>"                                        \
    "<materials><material id='iron' density='7000' expansion='13.5'/></materials><items>"          \
    "<rod id='a' name='Rod' class='hot' mount='engine' material='iron' a='0 0 0' b='400 0 0' "     \
    "radius='10'><tolerance " tolerance "/></rod>"                                                 \
    "<scan id='s' name='Sheet' class='structure' mount='body' file='sheet.stl'/></items>"          \
    "<keeps><keep id='k' class-a='hot' class-b='structure'><wanted state='cold' gap='0'/>"         \
    "<wanted state='hot' gap='0'/><wanted state='rock' gap='0'/><wanted state='edge' gap='0'/>"    \
    "</keep></keeps><states><state id='cold' kind='cold'/>"                                        \
    "<state id='hot' kind='hot'><warm class='hot' growth='620'/></state>"                          \
    "<state id='rock' kind='rocking'/><state id='edge' kind='tolerance'/></states></bay>"

static void
put_corner(GString *text, double x, double y, double z)
{
    g_string_append_printf(text, "vertex %g %g %g\n", x, y, z);
}

/* Two triangles, 100 mm to either side. */
static void
write_sheet(double x)
{
    g_autoptr(GString) text = g_string_new("solid sheet\n");

    for (int half = -1; half <= 1; half += 2) {
        g_string_append(text, "facet normal -1 0 0\nouter loop\n");
        put_corner(text, x, -100 * half, -100 * half);
        put_corner(text, x, 100 * half, -100 * half);
        put_corner(text, x, 100, 100);
        g_string_append(text, "endloop\nendfacet\n");
    }
    g_string_append(text, "endsolid sheet\n");
    put_file("sheet.stl", text->str, -1);
}

static TbResults *
judged_before(const char *bay, double x)
{
    ck_assert_int_eq(chdir(folder), 0); /* scans are looked for from the working folder */
    write_sheet(x);
    return results_of(bay);
}

static void
check_crossed(const TbResults *results, const char *state)
{
    const TbResultGap *gap = want_gap(results, "a", "s", state);
    g_autofree char *id = g_strdup_printf("gap/a|s/%s/", state);
    const TbFinding *found = want_finding(results, id);
    g_autofree char *said = tb_say_finding(results, found, TB_VOICE_REPORT);

    ck_assert_msg(gap->gap.contact == TB_CROSSES, "%s: %s", state,
                  tb_contact_name(gap->gap.contact));
    ck_assert_double_eq(gap->gap.lower, 0);
    ck_assert_double_eq(gap->gap.upper, 0);
    ck_assert_int_eq(gap->level, TB_LEVEL_OPEN);
    ck_assert_str_eq(tb_finding_text(found, "contact"), "crosses");
    ck_assert_msg(strstr(said, "an open scan is crossed") != NULL, "%s", said);
}

START_TEST(a_scan_that_is_crossed_only_in_the_worst_case_holds_no_keep_of_0)
{
    TbResults *results = judged_before(BAY("shift='5 0 0'"), 403);
    TbSceneScatter *scene;

    ck_assert_int_eq(want_gap(results, "a", "s", "cold")->gap.contact, TB_CLEAR);
    ck_assert_int_eq(want_gap(results, "a", "s", "cold")->level, TB_LEVEL_HOLDS);
    check_crossed(results, "rock");
    check_crossed(results, "hot");
    check_crossed(results, "edge");
    scene = tb_scene_scatter_new(results, want_gap(results, "a", "s", "edge"), TB_UNIT_MM);
    ck_assert_msg(g_str_has_suffix(scene->lines[0], "the worst case crosses an open scan"), "%s",
                  scene->lines[0]);
    tb_scene_scatter_free(scene);
    tb_results_unref(results);
}
END_TEST

/* By its size alone: ISO 13920-B is 3 mm either way at 500 mm, further than the sheet at 402. */
START_TEST(a_surface_that_stands_off_through_an_open_scan_crosses_it)
{
    TbResults *results = judged_before(BAY("grade='ISO 13920-B' size='500'"), 402);

    ck_assert_int_eq(want_gap(results, "a", "s", "cold")->gap.contact, TB_CLEAR);
    check_crossed(results, "edge");
    tb_results_unref(results);
}
END_TEST

START_TEST(a_scan_that_is_crossed_as_drawn_has_no_depth_at_tolerance_either)
{
    TbResults *results = judged_before(BAY("shift='1 0 0' grade='ISO 13920-B' size='500'"), 390);

    check_crossed(results, "cold");
    check_crossed(results, "edge");
    tb_results_unref(results);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("study/crossed");
    TCase *tests = tcase_create("crossed");

    tcase_add_checked_fixture(tests, make_folder, remove_folder);
    tcase_add_test(tests, a_scan_that_is_crossed_only_in_the_worst_case_holds_no_keep_of_0);
    tcase_add_test(tests, a_surface_that_stands_off_through_an_open_scan_crosses_it);
    tcase_add_test(tests, a_scan_that_is_crossed_as_drawn_has_no_depth_at_tolerance_either);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
