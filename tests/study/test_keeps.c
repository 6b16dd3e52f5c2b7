/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "tap.h"

#include "bays.h"
#include "study/case.h"

#include <math.h>

/* Balls in a row, 100 mm apart: a hot, b brake, c brake with a shield, d hot of one casting with
 * a; a port on a. Gaps between neighbours are 100 - 2 x 11.5 = 77. */
#define BALLS(keeps)                                                                               \
    "<bay version='1' title='Balls'><mounts><mount id='body'/><mount id='engine' parent='body'/>"  \
    "</mounts>"                                                                                    \
    "<ports><port id='p' owner='a' at='0 0 0' flow='1 0 0'><opening width='21' height='21'/>"      \
    "</port></ports>"                                                                              \
    "<items>"                                                                                      \
    "<ball id='a' class='hot' mount='engine' casting='m' at='0 0 0' radius='11.5'>"                \
    "<known by='calliper' uncertainty='0.7'/></ball>"                                              \
    "<ball id='b' class='brake' mount='body' at='100 0 0' radius='11.5'>"                          \
    "<known by='tape' uncertainty='2.4'/></ball>"                                                  \
    "<ball id='c' class='brake' mount='body' shield='s' at='200 0 0' radius='11.5'/>"              \
    "<ball id='d' class='hot' mount='engine' casting='m' at='300 0 0' radius='11.5'/>"             \
    "<ball id='s' class='shield' mount='body' at='200 500 0' radius='11.5'/>"                      \
    "</items><keeps>" keeps "</keeps>"                                                             \
    "<states><state id='cold' kind='cold'/><state id='hot' kind='hot'/>"                           \
    "<state id='rock' kind='rocking'/></states></bay>"

static TbStudy *study;

static void
begin(void)
{
    study = study_alone();
}

static void
end(void)
{
    tb_study_free(study);
}

static TbCase *
case_of(TbBay *bay, const char *state)
{
    TbAsk ask = {.bay = bay, .state = state};
    TbCase *theirs = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_case_new(study, &ask, TB_NEEDS_GAPS, true, NULL, &theirs, &fault) == TB_OK,
                  "%s", fault.text);
    return theirs;
}

static const TbPair *
pair_of(const TbCase *theirs, const char *a, const char *b)
{
    const TbCaseStand *in = &theirs->stands[0];

    for (guint i = 0; i < in->pairs->len; i++) {
        const TbPair *pair = in->pairs->pdata[i];

        if (strcmp(in->stand->items[pair->a].id, a) == 0 &&
            strcmp(in->stand->items[pair->b].id, b) == 0)
            return pair;
    }
    return NULL;
}

START_TEST(a_keep_that_names_an_item_goes_before_one_of_classes)
{
    TbBay *bay = bay_of(BALLS("<keep id='k1' class-a='hot' class-b='brake'>"
                              "<wanted state='cold' gap='30'/></keep>"
                              "<keep id='k2' class-a='hot' class-b='brake'>"
                              "<wanted state='cold' gap='31'/></keep>"
                              "<keep id='k3' class-a='hot' item-b='b'>"
                              "<wanted state='cold' gap='40'/></keep>"
                              "<keep id='k4' item-a='d' item-b='b'>"
                              "<wanted state='cold' gap='50'/></keep>"));
    TbCase *theirs = case_of(bay, NULL);

    ck_assert_str_eq(pair_of(theirs, "a", "b")->keep->record.id, "k3");
    ck_assert_str_eq(pair_of(theirs, "d", "b")->keep->record.id, "k4"); /* side a first */
    ck_assert_str_eq(pair_of(theirs, "a", "c")->keep->record.id, "k1"); /* first of equals */
    ck_assert_ptr_null(pair_of(theirs, "a", "d"));
    ck_assert_ptr_null(pair_of(theirs, "b", "c"));
    ck_assert_uint_eq(theirs->stands[0].pairs->len, 4);
    tb_case_free(theirs);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(casting_mount_and_shield_tell_pairs_apart)
{
    TbBay *bay = bay_of(BALLS("<keep id='bare' class-a='hot' class-b='brake' shielded='no'>"
                              "<wanted state='cold' gap='50'/></keep>"
                              "<keep id='behind' class-a='hot' class-b='brake' shielded='yes'>"
                              "<wanted state='cold' gap='30'/></keep>"
                              "<keep id='other' class-a='hot' class-b='hot' same-casting='no'>"
                              "<wanted state='cold' gap='6'/></keep>"
                              "<keep id='one' class-a='hot' class-b='hot' same-casting='yes' "
                              "same-mount='yes'><wanted state='cold' gap='3'/></keep>"));
    TbCase *theirs = case_of(bay, NULL);

    ck_assert_str_eq(pair_of(theirs, "a", "b")->keep->record.id, "bare");
    ck_assert_str_eq(pair_of(theirs, "a", "c")->keep->record.id, "behind");
    ck_assert_str_eq(pair_of(theirs, "a", "d")->keep->record.id, "one");
    tb_case_free(theirs);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(a_shield_counts_in_the_variants_in_which_it_is_there)
{
    static const char *const variants[] = {"with", "without"};
    TbBay *bay = bay_of(BALLS("<keep id='bare' class-a='hot' class-b='brake' shielded='no'>"
                              "<wanted state='cold' gap='51'/></keep>"
                              "<keep id='behind' class-a='hot' class-b='brake' shielded='yes'>"
                              "<wanted state='cold' gap='30'/></keep>"));
    TbBay *both = NULL, *made = NULL;
    TbFault fault = {0};

    ck_assert_int_eq(tb_edit_add(bay, "<variant id='with'/>", &made, &fault), TB_OK);
    tb_bay_unref(bay);
    ck_assert_msg(tb_edit_add(made, "<variant id='without'><hide item='s'/></variant>", &both,
                              &fault) == TB_OK,
                  "%s", fault.text);
    tb_bay_unref(made);
    for (size_t i = 0; i < 2; i++) {
        TbAsk ask = {.bay = both, .state = "cold", .variant = variants[i]};
        TbCase *theirs = NULL;

        ck_assert_int_eq(tb_case_new(study, &ask, TB_NEEDS_GAPS, true, NULL, &theirs, &fault),
                         TB_OK);
        ck_assert_double_eq(pair_of(theirs, "a", "c")->gap, i == 0 ? 30 : 51);
        ck_assert_double_eq(pair_of(theirs, "a", "b")->gap, 51);
        tb_case_free(theirs);
    }
    tb_bay_unref(both);
}
END_TEST

START_TEST(a_state_without_a_value_takes_the_one_of_a_state_that_includes_it)
{
    TbBay *bay = bay_of(BALLS("<keep id='k' class-a='hot' class-b='brake'>"
                              "<wanted state='cold' gap='30'/>"
                              "<wanted state='hot+rock' gap='20'/></keep>"));
    TbCase *theirs = case_of(bay, "hot");

    ck_assert_double_eq(pair_of(theirs, "a", "b")->gap, 20);
    ck_assert_str_eq(pair_of(theirs, "a", "b")->keep_state, "hot+rock");
    tb_case_free(theirs);
    theirs = case_of(bay, "cold");
    ck_assert_double_eq(pair_of(theirs, "a", "b")->gap, 30);
    tb_case_free(theirs);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(what_is_wanted_beyond_a_keep_is_its_margin_or_the_uncertainty)
{
    TbBay *bay = bay_of(BALLS("<keep id='k' class-a='hot' class-b='brake' margin='1.5'>"
                              "<wanted state='cold' gap='30'/></keep>"));
    TbCase *theirs = case_of(bay, NULL);

    /* root of squares of 0.7 and 2.4 is 2.5; c is not said to be uncertain */
    ck_assert_double_eq_tol(pair_of(theirs, "a", "b")->uncertainty, 2.5, 1e-12);
    ck_assert_double_eq_tol(pair_of(theirs, "a", "b")->want, 2.5, 1e-12);
    ck_assert_double_eq_tol(pair_of(theirs, "a", "c")->uncertainty, 0.7, 1e-12);
    ck_assert_double_eq(pair_of(theirs, "a", "c")->want, 1.5);
    tb_case_free(theirs);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(leave_outs_of_a_keep_are_listed)
{
    TbBay *bay = bay_of(BALLS("<keep id='k' class-a='hot' class-b='brake'>"
                              "<wanted state='cold' gap='30'/><leave-out port='p' radius='17'/>"
                              "</keep>"));
    TbResults *results = judged(study, bay);
    const TbResultGap *gap = want_gap(results, "a", "b", "cold");

    ck_assert_uint_eq(gap->excluded_count, 1);
    ck_assert_str_eq(gap->excluded[0].port, "p");
    ck_assert_double_eq(gap->excluded[0].radius, 17);
    tb_results_unref(results);
    tb_bay_unref(bay);
}
END_TEST

/* Found by a reader: the ids of gaps followed the order of the items in the file, so moving an item
 * up in it lost what was decided about its findings, and a comparison told of new gaps. */
START_TEST(findings_of_a_pair_keep_their_ids_when_items_change_places)
{
    static const char *const items[] = {
        "<ball id='a' class='hot' mount='body' at='0 0 0' radius='11.5'/>",
        "<ball id='c' class='hot' mount='body' at='60 0 80' radius='11.5'/>"};

    for (int first = 0; first < 2; first++) {
        g_autofree char *text = g_strdup_printf(
            "<bay version='1' title='Two'><mounts><mount id='body'/></mounts><items>%s%s</items>"
            "<keeps><keep id='k' class-a='hot' class-b='hot'><wanted state='cold' gap='20'/></keep>"
            "</keeps><states><state id='cold' kind='cold'/></states></bay>",
            items[first], items[1 - first]);
        TbResults *results = results_of(text);
        const TbFinding *gap = want_finding(results, "gap/a|c/cold/");
        g_autofree char *sentence = tb_say_finding(results, gap, TB_VOICE_REPORT);

        ck_assert_double_eq_tol(gap->value, 77, 1e-6);
        ck_assert_str_eq(gap->place.item, first == 0 ? "a" : "c");
        ck_assert(g_str_has_prefix(sentence,
                                   first == 0 ? "c: gap to a of 77 mm" : "a: gap to c of 77 mm"));
        tb_results_unref(results);
    }
}
END_TEST

/* The gap of a and b is 77 exactly: balls of 11.5 mm, 100 mm apart. */
static const struct {
    double keep, margin;
    TbLevel level;
} boundaries[] = {
    {77 - 1e-4, 0, TB_LEVEL_HOLDS},     {77 + 1e-4, 0, TB_LEVEL_SHORT},
    {74.5 - 1e-4, 2.5, TB_LEVEL_HOLDS}, /* 77 = keep + margin, just above */
    {74.5 + 1e-4, 2.5, TB_LEVEL_WATCH}, /* just below */
    {70, 6.9999, TB_LEVEL_HOLDS},       {70, 7.0001, TB_LEVEL_WATCH},
    {500, 3, TB_LEVEL_SHORT},
};

START_TEST(levels_change_where_the_gap_meets_the_keep_and_the_margin)
{
    g_autofree char *text = g_strdup_printf(
        "<bay version='1' title='Two'><mounts><mount id='body'/></mounts><items>"
        "<ball id='a' class='hot' mount='body' at='0 0 0' radius='11.5'/>"
        "<ball id='c' class='brake' mount='body' at='60 0 80' radius='11.5'/></items>"
        "<keeps><keep id='k' item-a='a' item-b='c' margin='%.4f'>"
        "<wanted state='cold' gap='%.6f'/></keep></keeps>"
        "<states><state id='cold' kind='cold'/></states></bay>",
        boundaries[_i].margin, boundaries[_i].keep);
    TbResults *results = results_of(text);
    const TbResultGap *gap;

    gap = want_gap(results, "a", "c", "cold");
    ck_assert_double_eq_tol(gap->gap.upper, 77, 1e-6);
    ck_assert_msg(gap->level == boundaries[_i].level, "keep %.6f margin %.4f: %s, [%.9f, %.9f]",
                  gap->keep, gap->want_margin, tb_level_name(gap->level), gap->gap.lower,
                  gap->gap.upper);
    tb_results_unref(results);
}
END_TEST

START_TEST(a_gap_that_cannot_be_judged_is_open_with_its_reason)
{
    TbGap gap = {.lower = 0, .upper = 0, .contact = TB_CROSSES};
    const char *reason = NULL;

    ck_assert_int_eq(tb_keeps_level(&gap, 5, 1, &reason), TB_LEVEL_OPEN);
    ck_assert_ptr_nonnull(strstr(reason, "open scan"));
    gap = (TbGap){.nothing = true};
    ck_assert_int_eq(tb_keeps_level(&gap, 5, 1, &reason), TB_LEVEL_OPEN);
    ck_assert_ptr_nonnull(strstr(reason, "left out"));
    gap = (TbGap){.lower = 5, .upper = 5.001};
    ck_assert_int_eq(tb_keeps_level(&gap, 5, 0, &reason), TB_LEVEL_HOLDS); /* lower >= keep */
    ck_assert_str_eq(reason, "");
}
END_TEST

START_TEST(what_may_lie_inside_a_scan_is_open_and_what_is_too_near_is_short)
{
    TbGap gap = {.lower = 7, .upper = 7.001, .inner = TB_INNER_UNKNOWN, .doubt = TB_DOUBT_OPEN};
    const char *reason = NULL;

    gap.enclosed = 0.83; /* in a tray */
    ck_assert_int_eq(tb_keeps_level(&gap, 5, 1, &reason), TB_LEVEL_OPEN);
    ck_assert_ptr_nonnull(strstr(reason, "back of an open scan"));
    ck_assert_int_eq(tb_keeps_level(&gap, 8, 1, &reason), TB_LEVEL_SHORT); /* either way */
    gap.enclosed = 0.48;                                                   /* behind a flat one */
    ck_assert_int_eq(tb_keeps_level(&gap, 5, 1, &reason), TB_LEVEL_HOLDS);
    gap.enclosed = -0.9; /* in the bay */
    ck_assert_int_eq(tb_keeps_level(&gap, 5, 3, &reason), TB_LEVEL_WATCH);
    ck_assert_str_eq(reason, "");
    gap.enclosed = NAN;
    ck_assert_int_eq(tb_keeps_level(&gap, 5, 1, &reason), TB_LEVEL_HOLDS);
    gap.enclosed = 0.4;
    for (int i = TB_DOUBT_HOLE; i <= TB_DOUBT_INWARD; i++) {
        gap.doubt = (TbDoubt)i;
        ck_assert_int_eq(tb_keeps_level(&gap, 5, 1, &reason), TB_LEVEL_OPEN);
        ck_assert_ptr_nonnull(strstr(reason, "cannot be decided"));
    }
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("study/keeps");
    TCase *c = tcase_create("keeps");

    tcase_add_checked_fixture(c, begin, end);
    tcase_add_test(c, a_keep_that_names_an_item_goes_before_one_of_classes);
    tcase_add_test(c, casting_mount_and_shield_tell_pairs_apart);
    tcase_add_test(c, a_shield_counts_in_the_variants_in_which_it_is_there);
    tcase_add_test(c, a_state_without_a_value_takes_the_one_of_a_state_that_includes_it);
    tcase_add_test(c, what_is_wanted_beyond_a_keep_is_its_margin_or_the_uncertainty);
    tcase_add_test(c, leave_outs_of_a_keep_are_listed);
    tcase_add_test(c, findings_of_a_pair_keep_their_ids_when_items_change_places);
    tcase_add_loop_test(c, levels_change_where_the_gap_meets_the_keep_and_the_margin, 0,
                        (int)(sizeof boundaries / sizeof boundaries[0]));
    tcase_add_test(c, a_gap_that_cannot_be_judged_is_open_with_its_reason);
    tcase_add_test(c, what_may_lie_inside_a_scan_is_open_and_what_is_too_near_is_short);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
