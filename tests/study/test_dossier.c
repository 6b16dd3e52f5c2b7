/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/dossier_make.h"

#include "bays.h"
#include "comma_locale.h"
#include "tap.h"

#include <math.h>

/* Two hot rods past a rail and a hose; one is known by tape, one thing nobody judges. Distances are
 * those of axis-parallel rods and blocks: centre distance less radii. */
static const char bay_text[] =
    "<bay version='1' title='Rods' revision='B'>"
    "<revisions>"
    "<revision id='A' who='first' when='2031-04-09'>Laid out.</revision>"
    "<revision id='B' who='second' when='2031-05-02'>Moved by 3 mm.</revision>"
    "</revisions>"
    "<mounts><mount id='body'/><mount id='engine' parent='body'/></mounts>"
    "<items>"
    "<rod id='hot-1' name='Hot one' class='hot' mount='engine' a='0 0 0' b='300 0 0' radius='20'>"
    "<known by='drawing' uncertainty='0.5'/></rod>"
    "<rod id='hot-2' class='hot' mount='engine' a='0 200 0' b='300 200 0' radius='20'>"
    "<known by='tape' uncertainty='3' datum='head' date='2031-03-01'/></rod>"
    "<block id='rail' name='Rail' class='structure' mount='body' low='0 -60 -30' high='300 -31 30'>"
    "<known by='calliper' uncertainty='0.7'/></block>"
    "<rod id='hose' class='hose' mount='body' a='0 240 0' b='300 240 0' radius='9'/>"
    "<ball id='lamp' class='lamp' mount='body' at='150 0 400' radius='11'/>"
    "</items>"
    "<keeps>"
    "<keep id='k1' class-a='hot' class-b='structure' margin='1' reason='no contact'>"
    "<wanted state='cold' gap='12'/></keep>"
    "<keep id='k2' class-a='hot' class-b='hose' reason='heat'>"
    "<wanted state='cold' gap='10'/></keep>"
    "</keeps>"
    "<states><state id='cold' kind='cold'/></states>"
    "<variants><variant id='low'/><variant id='high'/>"
    "<variant id='far'><shift mount='engine' by='0 0 400'/></variant></variants>"
    "<decisions>%s</decisions>"
    "</bay>";

static TbStudy *study;
static TbBay *bay;
static TbDossier *dossier;

static void
make(const char *decisions)
{
    g_autofree char *text = NULL;
    TbDossierAsk ask = {.name = "/somewhere/rods.v2.bay"};
    TbFault fault = {0};
    g_auto(GStrv) halves = g_strsplit(bay_text, "%s", 2);

    text = g_strconcat(halves[0], decisions, halves[1], NULL);
    bay = bay_of(text);
    study = study_alone();
    ask.bay = bay;
    ck_assert_msg(tb_dossier_new(study, &ask, NULL, &dossier, &fault) == TB_OK, "%s", fault.text);
}

static void
forget(void)
{
    tb_dossier_unref(dossier);
    tb_study_free(study);
    tb_bay_unref(bay);
    dossier = NULL;
}

static const char *
cell(TbDossierList list, size_t row, size_t column)
{
    const TbDossierTable *table = &dossier->lists[list];

    ck_assert_uint_lt(row, table->row_count);
    ck_assert_uint_lt(column, table->column_count);
    return table->cells[row * table->column_count + column];
}

/** The row of a list whose cell in a column is a text. */
static size_t
row_of(TbDossierList list, size_t column, const char *text)
{
    for (size_t i = 0; i < dossier->lists[list].row_count; i++)
        if (strcmp(cell(list, i, column), text) == 0)
            return i;
    ck_abort_msg("no row of %s says %s", dossier->lists[list].title, text);
    return 0;
}

START_TEST(the_title_block_is_that_of_the_current_revision)
{
    make("");
    ck_assert_str_eq(dossier->title.document, "rods.v2");
    ck_assert_str_eq(dossier->title.title, "Rods");
    ck_assert_str_eq(dossier->title.revision, "B");
    ck_assert_str_eq(dossier->title.creator, "second");
    ck_assert_str_eq(dossier->title.date, "2031-05-02");
    ck_assert_str_eq(dossier->title.change, "Moved by 3 mm.");
    forget();
}
END_TEST

START_TEST(variants_in_which_a_gap_is_the_same_stand_in_one_row)
{
    make("");
    /* four pairs, three variants: low and high are alike and nearer than far */
    ck_assert_uint_eq(dossier->results->gap_count, 12);
    ck_assert_uint_eq(dossier->gap_count + dossier->further_gaps, 8);
    for (size_t i = 0; i < dossier->gap_count; i++)
        ck_assert_str_eq(dossier->gaps[i].variants, "low, high");
    forget();
}
END_TEST

/* By all gaps, one by one: one that is left out holds, has as much to spare as is said or more, and
 * its pair is told where it is worst. */
START_TEST(every_pair_is_told_where_it_is_worst_and_nothing_near_its_keep_is_left_out)
{
    double least = INFINITY;

    make("");
    ck_assert_uint_eq(dossier->further_gaps, 4);
    for (size_t i = 0; i < dossier->results->gap_count; i++) {
        const TbResultGap *gap = &dossier->results->gaps[i];
        const TbDossierGap *worst = NULL;
        bool told = false;

        for (size_t k = 0; k < dossier->gap_count; k++) {
            const TbDossierGap *row = &dossier->gaps[k];

            if (strcmp(row->gap->a, gap->a) != 0 || strcmp(row->gap->b, gap->b) != 0)
                continue;
            worst = worst == NULL ? row : worst;
            told = told || strstr(row->variants, gap->variant) != NULL;
        }
        ck_assert_ptr_nonnull(worst);
        ck_assert_double_le(worst->gap->margin, gap->margin + 0.01); /* alike ones share a row */
        if (told)
            continue;
        ck_assert_int_eq(gap->level, TB_LEVEL_HOLDS);
        ck_assert_double_ge(gap->margin, TB_DOSSIER_NEAR);
        least = fmin(least, gap->margin);
    }
    ck_assert_double_eq(dossier->further_spare, least);
    forget();
}
END_TEST

START_TEST(gap_rows_go_from_the_worst_to_the_best)
{
    make("");
    /* hot-1 to the rail: 31 - 20 = 11 of 12 mm; hot-2 to the hose: 40 - 29 = 11 of 10 */
    ck_assert_str_eq(dossier->gaps[0].gap->b, "rail");
    ck_assert_int_eq(dossier->gaps[0].gap->level, TB_LEVEL_SHORT);
    ck_assert_double_eq_tol(dossier->gaps[0].gap->gap.lower, 11, 0.01);
    ck_assert_str_eq(dossier->gaps[1].gap->b, "hose");
    for (size_t i = 1; i < dossier->gap_count; i++)
        ck_assert_int_le(tb_level_rank(dossier->gaps[i].gap->level),
                         tb_level_rank(dossier->gaps[i - 1].gap->level));
    forget();
}
END_TEST

START_TEST(only_gaps_that_rest_on_rough_measurements_are_to_be_measured_again)
{
    make("");
    /* hot-2 by tape and the hose by nobody's word: 1 mm of spare, known to 3 mm. hot-1 and the rail
     * are drawn and measured; hot-2 and the rail are far apart */
    ck_assert_uint_eq(dossier->lists[TB_DOSSIER_ROUGH].row_count, 1);
    ck_assert_ptr_nonnull(strstr(cell(TB_DOSSIER_ROUGH, 0, 1), "tape measure ± 3 mm, from head"));
    ck_assert_ptr_nonnull(strstr(cell(TB_DOSSIER_ROUGH, 0, 2), "not said"));
    ck_assert_str_eq(cell(TB_DOSSIER_ROUGH, 0, 6), "10");
    forget();
}
END_TEST

START_TEST(every_pair_is_judged_or_listed_as_without_a_keep)
{
    size_t pairs = 0;

    make("");
    for (size_t i = 0; i < dossier->lists[TB_DOSSIER_UNPAIRED].row_count; i++)
        pairs += (size_t)atoi(cell(TB_DOSSIER_UNPAIRED, i, 2));
    /* five items are ten pairs, four are judged */
    ck_assert_uint_eq(pairs, 6);
    ck_assert_uint_eq(dossier->lists[TB_DOSSIER_UNJUDGED].row_count, 1);
    ck_assert_str_eq(cell(TB_DOSSIER_UNJUDGED, 0, 0), "lamp");
    forget();
}
END_TEST

START_TEST(the_smallest_gap_of_two_classes_is_told_with_its_place)
{
    size_t row;

    make("");
    row = row_of(TB_DOSSIER_CLASSES, 0, "hot – structure");
    ck_assert_str_eq(cell(TB_DOSSIER_CLASSES, row, 3), "Hot one – Rail");
    /* half way between y = -20 and y = -31 */
    ck_assert_ptr_nonnull(strstr(cell(TB_DOSSIER_CLASSES, row, 4), "Y -2"));
    /* 11 mm, rounded down from its lower bound */
    ck_assert_ptr_nonnull(strstr("11.00 10.99 10.98", cell(TB_DOSSIER_CLASSES, row, 1)));
    forget();
}
END_TEST

static const TbDossierFinding *
short_finding(void)
{
    for (size_t i = 0; i < dossier->finding_count; i++)
        if (dossier->findings[i].matter->worst->level == TB_LEVEL_SHORT)
            return &dossier->findings[i];
    ck_abort_msg("nothing is short");
    return NULL;
}

/** Decisions about the gap that is short, and what the dossier tells. */
static const struct {
    const char *decisions, *decided, *owner, *reason;
} decided[] = {
    {"", "Not decided", "", ""},
    {"<decision id='d1' finding='gap/hot-1|rail/cold/low' disposition='waived' owner='A. B.' "
     "due='2031-12-24'>soft trim</decision>",
     "Waived", "A. B.", "soft trim"},
    {"<decision id='d1' finding='gap/hot-1|rail' disposition='change' owner='C.'>for "
     "all</decision>",
     "To be changed", "C.", "for all"},
    {"<decision id='d1' finding='gap/hot-1|rail/cold/far' disposition='accepted'>elsewhere"
     "</decision>",
     "Accepted", "", "elsewhere"},
    {"<decision id='d1' finding='gap/hot-1|rail-two' disposition='waived'>of another"
     "</decision>",
     "Not decided", "", ""},
};

START_TEST(a_finding_carries_what_was_decided_about_it)
{
    const TbDossierFinding *told;

    make(decided[_i].decisions);
    told = short_finding();
    ck_assert_uint_eq(told->number, 1);
    ck_assert_str_eq(told->decided, decided[_i].decided);
    ck_assert_str_eq(told->owner, decided[_i].owner);
    ck_assert_str_eq(told->reason, decided[_i].reason);
    ck_assert_ptr_nonnull(told->gap);
    ck_assert_str_eq(told->gap->b, "rail");
    forget();
}
END_TEST

START_TEST(findings_are_all_that_does_not_simply_hold)
{
    size_t wanted = 0;

    make("");
    for (size_t i = 0; i < dossier->matters->count; i++)
        wanted += dossier->matters->matters[i].worst->level != TB_LEVEL_HOLDS;
    ck_assert_uint_gt(wanted, 1);
    ck_assert_uint_eq(dossier->finding_count, wanted);
    for (size_t i = 0; i < wanted; i++)
        ck_assert_uint_eq(dossier->findings[i].number, i + 1);
    forget();
}
END_TEST

START_TEST(a_cut_is_made_when_it_is_asked_for)
{
    TbDossierCut cut = {.view = TB_SCENE_SIDE, .at = 3};
    TbDossierCut before = cut;
    TbScene *scene = NULL;
    TbFault fault = {0};

    make("");
    ck_assert_int_eq(tb_dossier_cut(dossier, &cut, NULL, &scene, &fault), TB_OK);
    /* the rail lies in front of the plane */
    ck_assert_uint_eq(scene->shape_count, 4);
    tb_scene_unref(scene);
    before.before = true;
    ck_assert_int_eq(tb_dossier_cut(dossier, &before, NULL, &scene, &fault), TB_E_REFERENCE);
    ck_assert_str_eq(fault.text, "there is no earlier document");
    forget();
}
END_TEST

/* Seen: the pack of a bay without variants ended with "there is no variant ", for its gaps name the
 * empty one. */
START_TEST(a_cut_may_be_asked_with_the_empty_variant_of_a_gap)
{
    TbScene *scene = NULL;
    TbFault fault = {0};

    make("");
    ck_assert_msg(tb_dossier_cut(dossier,
                                 &(TbDossierCut){.view = TB_SCENE_PLAN, .at = 3.7, .variant = ""},
                                 NULL, &scene, &fault) == TB_OK,
                  "%s", fault.text);
    tb_scene_unref(scene);
    forget();
}
END_TEST

START_TEST(a_dossier_outlives_the_callers_document)
{
    TbScene *scene = NULL;

    make("");
    tb_bay_unref(bay);
    bay = NULL;
    ck_assert_str_eq(tb_dossier_name(dossier, "hot-1"), "Hot one");
    ck_assert_int_eq(
        tb_dossier_cut(dossier, &(TbDossierCut){.view = TB_SCENE_PLAN}, NULL, &scene, NULL), TB_OK);
    tb_scene_unref(scene);
    forget();
}
END_TEST

static const struct {
    double gap;
    const char *told;
} told[] = {
    {14.8684, "14.86"}, {14.87, "14.87"}, {-5.1316, "-5.14"}, {0.0099, "0.00"}, {NAN, "–"},
};

START_TEST(gaps_are_rounded_down_with_the_languages_mark)
{
    GString *text = g_string_new(NULL);
    g_auto(GStrv) halves = g_strsplit(told[_i].told, ".", 2);
    g_autofree char *comma = g_strjoinv(",", halves);

    tb_dossier_gap_number(told[_i].gap, text);
    ck_assert_str_eq(text->str, told[_i].told);
    g_string_truncate(text, 0);
    if (tb_test_comma_locale(".") != NULL) {
        tb_dossier_gap_number(told[_i].gap, text);
        ck_assert_str_eq(text->str, comma);
    }
    g_string_free(text, TRUE);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("study/dossier");
    TCase *tests = tcase_create("dossier");

    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, the_title_block_is_that_of_the_current_revision);
    tcase_add_test(tests, variants_in_which_a_gap_is_the_same_stand_in_one_row);
    tcase_add_test(tests,
                   every_pair_is_told_where_it_is_worst_and_nothing_near_its_keep_is_left_out);
    tcase_add_test(tests, gap_rows_go_from_the_worst_to_the_best);
    tcase_add_test(tests, only_gaps_that_rest_on_rough_measurements_are_to_be_measured_again);
    tcase_add_test(tests, every_pair_is_judged_or_listed_as_without_a_keep);
    tcase_add_test(tests, the_smallest_gap_of_two_classes_is_told_with_its_place);
    tcase_add_loop_test(tests, a_finding_carries_what_was_decided_about_it, 0,
                        (int)G_N_ELEMENTS(decided));
    tcase_add_test(tests, findings_are_all_that_does_not_simply_hold);
    tcase_add_test(tests, a_cut_is_made_when_it_is_asked_for);
    tcase_add_test(tests, a_cut_may_be_asked_with_the_empty_variant_of_a_gap);
    tcase_add_test(tests, a_dossier_outlives_the_callers_document);
    tcase_add_loop_test(tests, gaps_are_rounded_down_with_the_languages_mark, 0,
                        (int)G_N_ELEMENTS(told));
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
