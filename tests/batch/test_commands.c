/* SPDX-License-Identifier: GPL-3.0-or-later */

/* The real program on the real examples: exit codes, outputs, and one sentence for what is wrong.
 */

#include "comma_locale.h"
#include "run.h"
#include "tap.h"

#include <gio/gio.h>
#include <glib.h>
#include <glib/gstdio.h>
#include <string.h>
#include <sys/mount.h>

static char *
in_folder(const char *name)
{
    return g_build_filename(folder, name, NULL);
}

static char *
example_text(const char *name)
{
    char *text = NULL;

    ck_assert(g_file_get_contents(example(name), &text, NULL, NULL));
    return text;
}

static void
put_file(const char *name, const char *text, gssize size)
{
    g_autofree char *path = in_folder(name);

    ck_assert(g_file_set_contents(path, text, size, NULL));
}

/** The van with one piece of its text replaced; the piece must be there. */
static void
put_van(const char *piece, const char *with)
{
    g_autofree char *text = example_text("van-c.bay");
    g_auto(GStrv) halves = g_strsplit(text, piece, 2);
    g_autofree char *changed = NULL;

    ck_assert_msg(g_strv_length(halves) == 2, "the van does not hold %s", piece);
    changed = g_strjoinv(with, halves);
    put_file("bad.bay", changed, -1);
}

static size_t
count_lines(const char *text)
{
    size_t lines = 0;

    for (const char *p = text; *p != '\0'; p++)
        lines += *p == '\n';
    return lines;
}

/* ---- the usual way ---- */

START_TEST(help_names_every_command)
{
    static const char *const commands[] = {"check", "stations", "tables",    "cut",   "curve",
                                           "solid", "compare",  "templates", "keeps", "scatter"};

    ck_assert_int_eq(run("--help"), 0);
    for (size_t i = 0; i < G_N_ELEMENTS(commands); i++) {
        ck_assert_ptr_nonnull(strstr(last.out, commands[i]));
        ck_assert_int_eq(run("%s --help", commands[i]), 0);
        ck_assert_ptr_nonnull(strstr(last.out, "Usage"));
        ck_assert_int_eq(run("--help"), 0);
    }
    ck_assert_int_eq(run("--version"), 0);
    ck_assert(g_str_has_prefix(last.out, "tightbay-batch "));
}
END_TEST

START_TEST(revision_c_holds_and_revision_b_is_short_of_area_and_brake_line)
{
    ck_assert_int_eq(run("check %s", example("van-c.bay")), 0);
    ck_assert_int_eq(run("check %s", example("van-b.bay")), 1);
    ck_assert_ptr_nonnull(strstr(last.out, "short"));
    ck_assert_ptr_nonnull(strstr(last.out, "Brake line"));
    /* the area falls by more mm2 than the gap by mm, but the brake line comes first */
    ck_assert_ptr_nonnull(strstr(last.out, "\n\nshort  Brake line: "));
    ck_assert_ptr_null(strstr(last.out, "\nholds  "));
    ck_assert_int_eq(run("check %s --all --state cold --variant std-s", example("van-b.bay")), 1);
    ck_assert_ptr_nonnull(strstr(last.out, "\nshort  "));
    ck_assert_ptr_nonnull(strstr(last.out, "\nholds  "));
    ck_assert_ptr_null(strstr(strstr(last.out, "\nholds  "), "\nshort  "));
}
END_TEST

START_TEST(pickup_with_its_scan_is_judged)
{
    ck_assert_int_eq(run("check %s", example("pickup.bay")), 0);
    ck_assert_ptr_null(strstr(last.out, "open"));
}
END_TEST

START_TEST(one_variant_and_one_state_can_be_asked)
{
    ck_assert_int_eq(run("check %s --variant high-l --state hot", example("van-c.bay")), 0);
    ck_assert_int_eq(run("check %s --variant tall", example("van-c.bay")), 2);
    ck_assert_ptr_nonnull(strstr(last.err, "tall"));
    ck_assert_ptr_nonnull(strstr(last.err, "high-l"));
    ck_assert_uint_eq(count_lines(last.err), 1);
    ck_assert_int_eq(run("check %s --state lukewarm", example("van-c.bay")), 2);
    ck_assert_ptr_nonnull(strstr(last.err, "lukewarm"));
}
END_TEST

START_TEST(tolerances_are_judged_and_samples_and_seed_are_told)
{
    ck_assert_int_eq(run("check %s --state tolerance --variant std-s", example("van-c.bay")), 0);
    ck_assert_ptr_nonnull(strstr(last.out, "the worst of all tolerances, most of it "));
    ck_assert_ptr_nonnull(strstr(
        last.out, "\nnote   tolerances: 10000 samples of every gap that can be sampled, seed 1;"));
    ck_assert_int_eq(run("check %s --state tolerance --variant std-s --samples 700 --seed 12",
                         example("van-c.bay")),
                     0);
    ck_assert_ptr_nonnull(strstr(
        last.out, "\nnote   tolerances: 700 samples of every gap that can be sampled, seed 12;"));
    ck_assert_int_eq(
        run("check %s --state tolerance --variant std-s --samples 0", example("van-c.bay")), 0);
    ck_assert_ptr_null(strstr(last.out, "samples"));
}
END_TEST

/* A hose that is bent along a rock at tolerance: its interval is wide, and only its lower end is
 * told. */
START_TEST(the_table_tells_a_gap_as_its_finding_does_and_what_was_taken_of_it)
{
    ck_assert_int_eq(run("check %s --table --all --samples 0 --state hot-rocking-tolerance "
                         "--variant standard",
                         example("pickup.bay")),
                     0);
    ck_assert_ptr_nonnull(strstr(last.out, "Heater hose: gap to Turbine outlet of 23.6 mm holds"));
    ck_assert_ptr_nonnull(strstr(last.out, "23.64 mm of 20 mm, Turbine outlet to Heater hose"));
    ck_assert_ptr_nonnull(strstr(last.out, "tolerance takes 11.6 mm (alone 7.47 mm); sampled"));
}
END_TEST

START_TEST(too_many_samples_are_refused_in_one_sentence)
{
    ck_assert_int_eq(run("check %s --samples 10000001", example("van-c.bay")), 2);
    ck_assert_str_eq(last.err, "tightbay-batch check: --samples must be 0 to 10000000, 10000001 is "
                               "given\n");
    ck_assert_int_eq(run("check %s --samples -1", example("van-c.bay")), 2);
    ck_assert_uint_eq(count_lines(last.err), 1);
    ck_assert_int_eq(run("check %s --seed -7", example("van-c.bay")), 2);
    ck_assert_ptr_nonnull(strstr(last.err, "--seed must be 0 to 9007199254740992, -7 is given"));
}
END_TEST

START_TEST(a_rock_is_judged_and_its_worst_angle_named)
{
    ck_assert_int_eq(run("check %s --state hot-rocking", example("van-c.bay")), 0);
    ck_assert_int_eq(run("check %s --state hot-rocking", example("van-b.bay")), 1);
    ck_assert_ptr_nonnull(strstr(last.out, "worst at engine rx 2.5°"));
}
END_TEST

START_TEST(stations_table_has_units_in_its_header_and_a_row_for_both_ends)
{
    g_auto(GStrv) lines = NULL;

    ck_assert_int_eq(run("stations %s --item outlet -o -", example("van-c.bay")), 0);
    lines = g_strsplit(last.out, "\n", -1);
    ck_assert_ptr_nonnull(strstr(lines[0], "s [mm]"));
    ck_assert_ptr_nonnull(strstr(lines[0], "mm2"));
    ck_assert_uint_gt(g_strv_length(lines), 100);
    ck_assert(g_str_has_prefix(lines[1], "0,"));
    ck_assert_int_eq(run("stations %s --item outlet --step 50 -o -", example("van-c.bay")), 0);
    ck_assert_uint_lt(count_lines(last.out), 20);
}
END_TEST

START_TEST(tables_come_one_by_one_or_all_into_a_folder)
{
    static const char *const names[] = {"gaps", "profiles", "findings", "stations"};
    g_autofree char *tables = in_folder("tables");

    ck_assert_int_eq(
        run("tables %s --folder %s --variant std-s --state cold", example("van-b.bay"), tables), 0);
    for (size_t i = 0; i < G_N_ELEMENTS(names); i++) {
        g_autofree char *name = g_strconcat(names[i], ".csv", NULL);
        g_autofree char *path = g_build_filename(tables, name, NULL);
        g_autofree char *text = NULL;

        ck_assert_msg(g_file_get_contents(path, &text, NULL, NULL), "no %s", name);
        ck_assert_uint_gt(count_lines(text), 20);
        ck_assert_int_eq(
            run("tables %s --%s -o - --variant std-s --state cold", example("van-b.bay"), names[i]),
            0);
        ck_assert_str_eq(last.out, text);
    }
    ck_assert_int_eq(run("tables %s --folder /proc/tables", example("van-b.bay")), 2);
    ck_assert_uint_eq(count_lines(last.err), 1);
}
END_TEST

START_TEST(drawings_come_in_all_formats_and_whole)
{
    static const char *const cuts[] = {"cut %s --side -160 -o %s/a.svg",
                                       "cut %s --plan 540 -o %s/a.pdf --state hot",
                                       "cut %s --front 1250 -o %s/a.png --scale 1:5",
                                       "cut %s --station outlet:283 -o %s/b.svg",
                                       "curve %s --item outlet -o %s/c.svg",
                                       "curve %s --item outlet --chart gap-map -o %s/m.svg",
                                       "curve %s --item outlet --chart area --chart bend "
                                       "--dpi 96 -o %s/m.png",
                                       "curve %s --item oil-drain -o %s/c.pdf",
                                       "scatter %s --gap outlet,cross-rail --samples 500 --state "
                                       "tolerance --variant std-s -o %s/t.svg"};

    for (size_t i = 0; i < G_N_ELEMENTS(cuts); i++) {
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wformat-nonliteral"
        ck_assert_msg(run(cuts[i], example("van-c.bay"), folder) == 0, "%s", last.err);
#pragma GCC diagnostic pop
        ck_assert_str_eq(last.out, "");
    }
    ck_assert_int_eq(run("cut %s --side -160 -o -", example("van-c.bay")), 0);
    ck_assert(g_str_has_prefix(last.out, "<?xml"));
    ck_assert(g_str_has_suffix(g_strchomp(last.out), "</svg>"));
}
END_TEST

START_TEST(scatter_says_what_is_wrong_with_the_pair_or_the_state)
{
    ck_assert_int_eq(run("scatter %s --gap outlet,xx -o %s/t.svg", example("van-c.bay"), folder),
                     2);
    ck_assert_msg(strstr(last.err, "there is no item xx; there are: ") != NULL, "%s", last.err);
    ck_assert_msg(strstr(last.err, "cross-rail") != NULL, "%s", last.err);
    ck_assert_int_eq(run("scatter %s --gap outlet,cross-rail --state cold -o %s/t.svg",
                         example("van-c.bay"), folder),
                     2);
    ck_assert_msg(strstr(last.err, "state cold has no tolerances; these have: tolerance") != NULL,
                  "%s", last.err);
}
END_TEST

START_TEST(a_cut_at_a_named_station_is_that_at_its_place)
{
    g_autofree char *by_place = NULL;

    ck_assert_int_eq(run("cut %s --station outlet:283 -o -", example("van-c.bay")), 0);
    by_place = g_strdup(last.out);
    ck_assert_int_eq(run("cut %s --station outlet:flattest -o -", example("van-c.bay")), 0);
    ck_assert_str_eq(last.out, by_place);
    ck_assert_int_eq(run("cut %s --station outlet:tallest -o -", example("van-c.bay")), 2);
    ck_assert_ptr_nonnull(strstr(last.err, "tallest"));
    ck_assert_ptr_nonnull(strstr(last.err, "flattest, lambda sensor"));
    ck_assert_int_eq(run("cut %s --station turbo:flattest -o -", example("van-c.bay")), 2);
    ck_assert_ptr_nonnull(strstr(last.err, "turbo"));
}
END_TEST

START_TEST(solid_writes_both_formats_and_the_gas_side)
{
    g_autofree char *outer = in_folder("o.stl");
    g_autofree char *inner = in_folder("i.ply");
    GStatBuf a, b;

    ck_assert_int_eq(run("solid %s --item outlet -o %s", example("van-c.bay"), outer), 0);
    ck_assert_int_eq(
        run("solid %s --item outlet --inner --chord 0.5 -o %s", example("van-c.bay"), inner), 0);
    ck_assert_int_eq(g_stat(outer, &a), 0);
    ck_assert_int_eq(g_stat(inner, &b), 0);
    ck_assert_int_gt(a.st_size, 84);
    ck_assert_int_eq((a.st_size - 84) % 50, 0);
    ck_assert_int_gt(b.st_size, 200);
    ck_assert_int_eq(run("solid %s --item nothing -o %s", example("van-c.bay"), outer), 2);
    ck_assert_ptr_nonnull(strstr(last.err, "nothing"));
}
END_TEST

START_TEST(compare_tells_the_area_and_the_brake_line)
{
    g_autofree char *b = g_strdup(example("van-b.bay"));

    ck_assert_int_eq(run("compare %s %s", b, example("van-c.bay")), 0);
    ck_assert_ptr_nonnull(strstr(last.out, "outlet"));
    ck_assert_ptr_nonnull(strstr(last.out, "brake-line"));
    ck_assert_int_eq(run("compare %s %s --json -", b, example("van-c.bay")), 0);
    ck_assert_int_eq(last.out[0], '{');
}
END_TEST

START_TEST(bay_may_come_from_standard_input)
{
    g_autofree char *line = g_strdup_printf("sh -c '%s check - --state cold --variant std-s < %s'",
                                            program(), example("van-c.bay"));
    int wait = 0;

    forget_run();
    ck_assert(g_spawn_command_line_sync(line, &last.out, &last.err, &wait, NULL));
    ck_assert_msg(WIFEXITED(wait) && WEXITSTATUS(wait) == 0, "%s", last.err);
}
END_TEST

START_TEST(same_report_twice_and_in_a_locale_with_commas)
{
    g_autofree char *first = NULL;

    ck_assert_int_eq(run("check %s --json - --state cold --variant std-s", example("van-c.bay")),
                     0);
    first = g_strdup(last.out);
    if (tb_test_comma_locale(folder) == NULL)
        fprintf(stderr, "# no locale with a comma here, and localedef cannot make one\n");
    ck_assert_int_eq(run("check %s --json - --state cold --variant std-s", example("van-c.bay")),
                     0);
    g_unsetenv("LC_ALL");
    g_unsetenv("LOCPATH");
    setlocale(LC_ALL, "C");
    ck_assert_str_eq(first, last.out);
}
END_TEST

/* Without its scan the pickup has everything that a report may leave unknown. */
START_TEST(reports_of_the_examples_fit_the_schema)
{
    static const struct {
        const char *bay, *one;
        int status;
    } reports[] = {{"van-b.bay", "--state cold --variant high-s", 1},
                   {"pickup.bay", "--state hot --variant lowered", 0},
                   {"bad.bay", "--state hot", 2},
                   {"van-c.bay", "--state hot-rocking", 0},
                   {"van-c.bay", "--state tolerance", 0},
                   {"van-c.bay", "--state hot+rocking+tolerance --variant high-l", 0}};
    g_autofree char *text = example_text("pickup.bay");

    put_file("bad.bay", text, -1);
    for (size_t i = 0; i < G_N_ELEMENTS(reports); i++) {
        g_autofree char *bad = in_folder("bad.bay");
        g_autofree char *line = NULL;
        int wait = 0;

        ck_assert_int_eq(run("check %s --json %s/report.json %s",
                             strcmp(reports[i].bay, "bad.bay") == 0 ? bad : example(reports[i].bay),
                             folder, reports[i].one),
                         reports[i].status);
        line = g_strdup_printf("sh -c \"/usr/bin/python3 '%s' '%s' < '%s/report.json'\"",
                               g_getenv("TB_CHECK_SCHEMA"), g_getenv("TB_SCHEMA"), folder);
        forget_run();
        ck_assert(g_spawn_command_line_sync(line, &last.out, &last.err, &wait, NULL));
        ck_assert_msg(WIFEXITED(wait) && WEXITSTATUS(wait) == 0, "%s: %s%s", reports[i].bay,
                      last.out, last.err);
    }
}
END_TEST

/* ---- what is wrong gets one sentence ---- */

START_TEST(calls_that_make_no_sense_are_refused_in_one_line)
{
    static const char *const calls[] = {"",
                                        "judge",
                                        "check",
                                        "check a b",
                                        "check --colour a",
                                        "stations %s -o -",
                                        "stations %s --item outlet --step 0 -o -",
                                        "stations %s --item outlet --step -3 -o -",
                                        "cut %s -o -",
                                        "cut %s --side 1 --plan 2 -o -",
                                        "cut %s --side here -o -",
                                        "cut %s --side nan -o -",
                                        "cut %s --station outlet -o -",
                                        "cut %s --station nothing:5 -o -",
                                        "cut %s --station outlet:nan -o -",
                                        "cut %s --station outlet:tallest -o -",
                                        "cut %s --side 1 --scale 1:0 -o -",
                                        "cut %s --side 1 -o a.dxf",
                                        "cut %s --side 1 --dpi 49 -o a.png",
                                        "cut %s --side 1 --dpi nan -o a.png",
                                        "cut %s --side 1 --dpi fine -o a.png",
                                        "cut %s --side 1 --dpi 200 -o a.pdf",
                                        "curve %s --item cross-rail -o -",
                                        "curve %s --item outlet --chart pressure -o -",
                                        "curve %s --item outlet --dpi 601 -o a.png",
                                        "solid %s --item outlet --chord 1e-9 -o -",
                                        "solid %s --item outlet -o a.obj",
                                        "tables %s",
                                        "tables %s -o -",
                                        "tables %s --gaps --findings -o -",
                                        "tables %s --gaps -o - --folder nowhere",
                                        "tables %s --gaps -o - --state boiling",
                                        "templates %s -o -",
                                        "templates %s --item outlet --port turbine-in -o -",
                                        "templates %s --item outlet",
                                        "templates %s --item outlet -o a.svg",
                                        "templates %s --item outlet --count 1 -o -",
                                        "templates %s --item outlet --count -5 -o -",
                                        "templates %s --item outlet --count 0 -o -",
                                        "pack %s -o pack.png",
                                        "templates %s --item outlet --count 201 -o -",
                                        "templates %s --item outlet --stations 40,far -o -",
                                        "templates %s --item outlet --stations 536.4 -o -",
                                        "templates %s --item outlet --stations nan -o -",
                                        "templates %s --item outlet --stations 4 --count 3 -o -",
                                        "templates %s --item outlet --paper A5 -o -",
                                        "templates %s --item outlet --inner --outer -o -",
                                        "templates %s --item cross-rail -o -",
                                        "templates %s --item nothing -o -",
                                        "templates %s --port nowhere -o -",
                                        "templates %s --port turbine-in --count 3 -o -",
                                        "compare %s"};

    for (size_t i = 0; i < G_N_ELEMENTS(calls); i++) {
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wformat-nonliteral"
#pragma GCC diagnostic ignored "-Wformat-extra-args"
        ck_assert_msg(run(calls[i], example("van-c.bay")) == 2, "%s gave %d", calls[i],
                      last.status);
#pragma GCC diagnostic pop
        ck_assert_msg(count_lines(last.err) == 1, "%s said: %s", calls[i], last.err);
        ck_assert_str_eq(last.out, "");
    }
}
END_TEST

static const struct {
    const char *piece, *with; /**< of the van's text; piece NULL: `with` is the whole file */
    const char *says;         /**< what the sentence must hold */
} bad_bays[] = {
    {NULL, "a shopping list", ":1:"},
    {NULL, "", "bad.bay"},
    {NULL, "<?xml version=\"1.0\"?>\n<garage version=\"1\" title=\"t\"/>", "garage"},
    {NULL, "<!DOCTYPE bay [<!ENTITY a \"b\">]>\n<bay version=\"1\" title=\"&a;\"/>", "DTD"},
    {NULL, "<!DOCTYPE bay SYSTEM \"/etc/passwd\">\n<bay version=\"1\" title=\"t\"/>", "DTD"},
    {" wall=\"4\"", " wall=\"nan\"", "nan"},
    {" wall=\"4\"", " wall=\"1e400\"", "1e400"},
    {" wall=\"4\"", " wall=\"-4\"", "-4"},
    {"width=\"98.5\"", "width=\"0\"", "width"},
    {"<knot at=\"1254 -182 642\"/>", "<knot at=\"1243 -203 703\"/>", "knot"},
    {"<knot at=\"1259 -148 542\"/>", "<knot at=\"1243.5 -202.9 702.8\"/>", "knot"},
    {" port=\"turbine-out\"", " port=\"turbine-exit\"", "turbine-exit"},
    {"item-b=\"turbo\"", "item-b=\"turbine\"", "\"turbine\""},
    {"id=\"bulkhead\"", "id=\"cross-rail\"", "cross-rail"},
    {"id=\"turbo\"", "id=\"turbo\" on=\"turbine-out\"", "turbine-out"},
};

START_TEST(bad_bay_gets_one_sentence_with_place_and_number)
{
    g_autofree char *path = in_folder("bad.bay");
    g_autofree char *out = in_folder("out.csv");

    if (bad_bays[_i].piece != NULL)
        put_van(bad_bays[_i].piece, bad_bays[_i].with);
    else
        put_file("bad.bay", bad_bays[_i].with, -1);
    put_file("out.csv", "old", -1);
    ck_assert_msg(run("stations %s --item outlet -o %s", path, out) == 2, "case %d gave %d: %s%s",
                  _i, last.status, last.out, last.err);
    ck_assert_msg(count_lines(last.err) == 1, "case %d said: %s", _i, last.err);
    ck_assert_msg(strstr(last.err, bad_bays[_i].says) != NULL, "case %d said: %s", _i, last.err);
    ck_assert_msg(strstr(last.err, "bad.bay") != NULL, "case %d said: %s", _i, last.err);
    {
        g_autofree char *text = NULL;

        ck_assert(g_file_get_contents(out, &text, NULL, NULL));
        ck_assert_str_eq(text, "old");
    }
}
END_TEST

/* One section with corners that do not fit leaves every gap to the outlet open. */
START_TEST(gaps_that_are_open_for_one_reason_are_told_once)
{
    g_autofree char *path = in_folder("bad.bay");
    const char *first;

    put_van("width=\"58\" height=\"58\" corner=\"29\"", "width=\"58\" height=\"58\" corner=\"40\"");
    ck_assert_int_eq(run("check %s --variant std-s --state cold", path), 2);
    first = strstr(last.out, "\nopen   ");
    ck_assert_ptr_nonnull(first);
    ck_assert_ptr_nonnull(strstr(first, "80 mm of the side they share, which has 58 mm"));
    first = strstr(first + 1, "\nopen   ");
    ck_assert_ptr_nonnull(first);
    ck_assert_ptr_nonnull(strstr(first, " more gaps for the same reason\n"));
    ck_assert_ptr_null(strstr(first + 1, "\nopen   "));
}
END_TEST

START_TEST(huge_bay_is_refused_by_its_size_before_it_is_read)
{
    g_autofree char *path = in_folder("huge.bay");
    FILE *f = g_fopen(path, "w");

    ck_assert_ptr_nonnull(f);
    ck_assert_int_eq(ftruncate(fileno(f), 200000000), 0);
    fclose(f);
    ck_assert_int_eq(run("check %s", path), 2);
    ck_assert_uint_eq(count_lines(last.err), 1);
    ck_assert_ptr_nonnull(strstr(last.err, "200000000"));
}
END_TEST

START_TEST(deeply_nested_bay_is_refused_with_a_number)
{
    GString *text = g_string_new("<bay version=\"1\" title=\"deep\">");
    g_autofree char *path = in_folder("deep.bay");

    for (int i = 0; i < 10000; i++)
        g_string_append(text, "<a>");
    for (int i = 0; i < 10000; i++)
        g_string_append(text, "</a>");
    g_string_append(text, "</bay>");
    put_file("deep.bay", text->str, (gssize)text->len);
    g_string_free(text, TRUE);
    ck_assert_int_eq(run("check %s", path), 2);
    ck_assert_uint_eq(count_lines(last.err), 1);
    ck_assert(strpbrk(strstr(last.err, "deep.bay") + 8, "123456789") != NULL);
}
END_TEST

START_TEST(bends_that_do_not_fit_are_refused_with_the_lengths)
{
    g_autofree char *path = in_folder("bend.bay");

    put_file("bend.bay",
             "<bay version=\"1\" title=\"bends\"><mounts><mount id=\"body\"/></mounts><items>"
             "<line id=\"pipe\" class=\"brake\" mount=\"body\" role=\"brake\" diameter=\"4.75\">"
             "<path kind=\"bent\"><knot at=\"0 0 0\"/><knot at=\"150 0 0\" radius=\"76.2\"/>"
             "<knot at=\"150 0 120\" radius=\"76.2\"/><knot at=\"150 90 120\"/></path></line>"
             "</items></bay>",
             -1);
    ck_assert_int_eq(run("stations %s --item pipe -o -", path), 2);
    ck_assert_uint_eq(count_lines(last.err), 1);
    ck_assert_ptr_nonnull(strstr(last.err, "152.4"));
    ck_assert_ptr_nonnull(strstr(last.err, "120"));
}
END_TEST

/** A bay with one scan and a duct-like rod to keep away from it. */
static void
put_scan_bay(const char *file)
{
    g_autofree char *text = g_strdup_printf(
        "<bay version=\"1\" title=\"scan\"><mounts><mount id=\"body\"/></mounts><items>"
        "<rod id=\"rod\" class=\"hot\" mount=\"body\" a=\"0 0 50\" b=\"100 0 50\" radius=\"10\"/>"
        "<scan id=\"wall\" class=\"structure\" mount=\"body\" file=\"%s\"/></items>"
        "<keeps><keep id=\"k\" class-a=\"hot\" class-b=\"structure\"><wanted state=\"cold\" "
        "gap=\"5\"/>"
        "</keep></keeps><states><state id=\"cold\" kind=\"cold\"/></states></bay>",
        file);

    put_file("scan.bay", text, -1);
}

static const struct {
    const char *name, *bytes;
    size_t size;
    const char *says;
} bad_scans[] = {
    {"gone.stl", NULL, 0, "gone.stl"},
    {"folder.stl", "", 0, "folder.stl"},
    {"empty.stl", "", 0, "empty.stl"},
    {"text.stl", "solid cast\nfacet normal 0 0 1\nouter loop\nvertex 0 0 zero\n", 58, "4"},
    {"cut.stl",
     "0123456789012345678901234567890123456789012345678901234567890123456789012345678\0\3\0\0\0abc",
     87, "3"},
    {"many.stl",
     "binary                                                                          "
     "\377\377\377\377",
     84, "4294967295"},
};

START_TEST(bad_scan_is_told_with_its_name_and_number)
{
    g_autofree char *path = in_folder("scan.bay");
    g_autofree char *scan = in_folder(bad_scans[_i].name);

    put_scan_bay(bad_scans[_i].name);
    if (g_str_has_prefix(bad_scans[_i].name, "folder"))
        ck_assert_int_eq(g_mkdir(scan, 0700), 0);
    else if (bad_scans[_i].bytes != NULL)
        put_file(bad_scans[_i].name, bad_scans[_i].bytes, (gssize)bad_scans[_i].size);
    ck_assert_msg(run("check %s", path) == 2, "%s gave %d: %s", bad_scans[_i].name, last.status,
                  last.out);
    ck_assert_msg(strstr(last.err, bad_scans[_i].says) != NULL, "%s: %s", bad_scans[_i].name,
                  last.err);
    ck_assert_msg(strstr(last.out, "Scan") != NULL || strstr(last.out, "scan") != NULL ||
                      strstr(last.out, "wall") != NULL,
                  "%s", last.out);
    ck_assert_int_eq(run("solid %s --item wall -o -", path), 2);
    ck_assert_msg(count_lines(last.err) == 1, "%s", last.err);
}
END_TEST

static const char *const writers[] = {"check %s --json %s --state cold --variant std-s",
                                      "stations %s --item outlet -o %s",
                                      "cut %s --side -160 -o %s",
                                      "curve %s --item outlet -o %s",
                                      "solid %s --item outlet -o %s",
                                      "tables %s --gaps --state cold --variant std-s -o %s",
                                      "templates %s --item outlet -o %s"};
static const char *const endings[] = {".json", ".csv", ".png", ".svg", ".stl", ".csv", ".pdf"};

START_TEST(output_that_cannot_be_written_keeps_the_old_file)
{
    g_autofree char *small = in_folder("small");
    g_autofree char *name = g_strconcat("out", endings[_i], NULL);
    g_autofree char *path = g_build_filename(small, name, NULL);
    g_autofree char *text = NULL;
    g_autofree char *nowhere = g_strconcat("/proc/out", endings[_i], NULL);
    g_autoptr(GDir) dir = NULL;

#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wformat-nonliteral"
    ck_assert_int_eq(run(writers[_i], example("van-c.bay"), nowhere), 2);
    ck_assert_msg(count_lines(last.err) == 1, "%s", last.err);
    ck_assert_ptr_nonnull(strstr(last.err, "/proc/out"));

    ck_assert_int_eq(g_mkdir(small, 0700), 0);
    if (mount("tmpfs", small, "tmpfs", 0, "size=8k") != 0) {
        g_printerr("# no permission to mount a small file system: full disk not tried\n");
        return;
    }
    ck_assert(g_file_set_contents(path, "old", 3, NULL));
    run(writers[_i], example("van-c.bay"), path);
#pragma GCC diagnostic pop
    ck_assert(g_file_get_contents(path, &text, NULL, NULL));
    dir = g_dir_open(small, 0, NULL);
    ck_assert_str_eq(g_dir_read_name(dir), name);
    ck_assert_ptr_null(g_dir_read_name(dir));
    g_clear_pointer(&dir, g_dir_close);
    ck_assert_int_eq(umount(small), 0);
    ck_assert_msg(last.status == 2, "%s %s", last.out, last.err);
    ck_assert_ptr_nonnull(strstr(last.err, "No space left on device"));
    ck_assert_str_eq(text, "old");
}
END_TEST

START_TEST(full_device_as_standard_output_is_noticed)
{
    g_autofree char *line = g_strdup_printf("sh -c '%s stations %s --item outlet -o - > /dev/full'",
                                            program(), example("van-c.bay"));
    int wait = 0;

    forget_run();
    ck_assert(g_spawn_command_line_sync(line, &last.out, &last.err, &wait, NULL));
    ck_assert_int_eq(WEXITSTATUS(wait), 2);
    ck_assert_uint_eq(count_lines(last.err), 1);
}
END_TEST

static Suite *
commands_suite(void)
{
    Suite *suite = suite_create("batch/commands");
    TCase *usual = tcase_create("usual");
    TCase *wrong = tcase_create("wrong");

    tcase_set_timeout(usual, 240);
    tcase_add_checked_fixture(usual, set_up, tear_down);
    tcase_add_test(usual, help_names_every_command);
    tcase_add_test(usual, revision_c_holds_and_revision_b_is_short_of_area_and_brake_line);
    tcase_add_test(usual, pickup_with_its_scan_is_judged);
    tcase_add_test(usual, one_variant_and_one_state_can_be_asked);
    tcase_add_test(usual, tolerances_are_judged_and_samples_and_seed_are_told);
    tcase_add_test(usual, the_table_tells_a_gap_as_its_finding_does_and_what_was_taken_of_it);
    tcase_add_test(usual, too_many_samples_are_refused_in_one_sentence);
    tcase_add_test(usual, a_rock_is_judged_and_its_worst_angle_named);
    tcase_add_test(usual, stations_table_has_units_in_its_header_and_a_row_for_both_ends);
    tcase_add_test(usual, tables_come_one_by_one_or_all_into_a_folder);
    tcase_add_test(usual, drawings_come_in_all_formats_and_whole);
    tcase_add_test(usual, scatter_says_what_is_wrong_with_the_pair_or_the_state);
    tcase_add_test(usual, a_cut_at_a_named_station_is_that_at_its_place);
    tcase_add_test(usual, solid_writes_both_formats_and_the_gas_side);
    tcase_add_test(usual, compare_tells_the_area_and_the_brake_line);
    tcase_add_test(usual, bay_may_come_from_standard_input);
    tcase_add_test(usual, same_report_twice_and_in_a_locale_with_commas);
    tcase_add_test(usual, reports_of_the_examples_fit_the_schema);
    suite_add_tcase(suite, usual);
    tcase_set_timeout(wrong, 240);
    tcase_add_checked_fixture(wrong, set_up, tear_down);
    tcase_add_test(wrong, calls_that_make_no_sense_are_refused_in_one_line);
    tcase_add_loop_test(wrong, bad_bay_gets_one_sentence_with_place_and_number, 0,
                        G_N_ELEMENTS(bad_bays));
    tcase_add_test(wrong, gaps_that_are_open_for_one_reason_are_told_once);
    tcase_add_test(wrong, huge_bay_is_refused_by_its_size_before_it_is_read);
    tcase_add_test(wrong, deeply_nested_bay_is_refused_with_a_number);
    tcase_add_test(wrong, bends_that_do_not_fit_are_refused_with_the_lengths);
    tcase_add_loop_test(wrong, bad_scan_is_told_with_its_name_and_number, 0,
                        G_N_ELEMENTS(bad_scans));
    tcase_add_loop_test(wrong, output_that_cannot_be_written_keeps_the_old_file, 0,
                        G_N_ELEMENTS(writers));
    tcase_add_test(wrong, full_device_as_standard_output_is_noticed);
    suite_add_tcase(suite, wrong);
    return suite;
}

int
main(void)
{
    return tb_test_main(commands_suite());
}
