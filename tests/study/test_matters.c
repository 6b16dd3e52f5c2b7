/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "tap.h"

#include "study/matters.h"
#include "study/results_build.h"

#include <glib.h>
#include <math.h>

/* One finding in short: rule, subject, part, state, variant, margin, level. */
typedef struct Said {
    const char *rule, *subject, *part, *state, *variant;
    double margin;
    TbLevel level;
} Said;

static void
add(TbResults *results, const Said *said)
{
    TbFindingDef def = tb_finding_def(said->rule, said->subject);

    def.part = said->part;
    def.state = said->state;
    def.variant = said->variant;
    def.margin = said->margin;
    def.level = said->level;
    tb_results_add_finding(results, &def);
}

static void
add_item(TbResults *results, const char *id)
{
    tb_results_set_text(results, &tb_results_add_item(results)->id, id);
}

static TbResults *
results_of(const Said said[], size_t count)
{
    TbResults *results = tb_results_new("kit", "A");

    add_item(results, "brake");
    add_item(results, "outlet");
    add_item(results, "rail");
    for (size_t i = 0; i < count; i++)
        add(results, &said[i]);
    return results;
}

/* A brake line short in two variants of four, an area that falls by more than that in its own unit,
 * a rail that holds. */
static const Said van[] = {
    {"gap", "brake|outlet", NULL, "cold", "low", 7.31, TB_LEVEL_HOLDS},
    {"gap", "brake|outlet", NULL, "hot", "low", 3.07, TB_LEVEL_HOLDS},
    {"gap", "brake|outlet", NULL, "cold", "high", -3.98, TB_LEVEL_SHORT},
    {"gap", "brake|outlet", NULL, "hot", "high", -4.62, TB_LEVEL_SHORT},
    {"gap", "outlet|rail", NULL, "cold", "low", 1.13, TB_LEVEL_WATCH},
    {"gap", "outlet|rail", NULL, "hot", "low", 1.13 + 1e-4, TB_LEVEL_WATCH},
    {"area", "outlet", NULL, NULL, NULL, -12.34, TB_LEVEL_SHORT},
    {"fold", "outlet", "inner", NULL, NULL, 0.47, TB_LEVEL_HOLDS},
    {"fold", "outlet", "outer", NULL, NULL, 0.31, TB_LEVEL_HOLDS},
};

START_TEST(a_matter_is_told_once_where_it_is_worst)
{
    TbResults *results = results_of(van, G_N_ELEMENTS(van));
    TbMatters *matters = tb_matters_new(&(TbMatterAsk){.whole = results});

    ck_assert_uint_eq(matters->count, 5);
    ck_assert_str_eq(matters->matters[0].key, "gap/brake|outlet");
    ck_assert_str_eq(matters->matters[0].worst->id, "gap/brake|outlet/hot/high");
    ck_assert_uint_eq(matters->matters[0].others, 1);
    ck_assert(!matters->matters[0].stale);
    ck_assert_str_eq(matters->matters[1].key, "area/outlet");
    ck_assert_str_eq(matters->matters[2].key, "gap/outlet|rail");
    ck_assert_str_eq(matters->matters[3].key, "fold/outlet#outer");
    ck_assert_str_eq(matters->matters[4].key, "fold/outlet#inner");
    ck_assert_uint_eq(matters->levels[TB_LEVEL_SHORT], 2);
    ck_assert_uint_eq(matters->levels[TB_LEVEL_HOLDS], 2);
    ck_assert_uint_eq(matters->judged[TB_LEVEL_SHORT], 3);
    ck_assert_uint_eq(matters->judged[TB_LEVEL_HOLDS], 4);
    tb_matters_free(matters);
    tb_results_unref(results);
}
END_TEST

START_TEST(of_margins_that_read_alike_the_shown_one_is_told)
{
    TbResults *results = results_of(van, G_N_ELEMENTS(van));
    TbMatterAsk ask = {.whole = results, .state = "hot", .variant = "low"};
    TbMatters *matters = tb_matters_new(&ask);

    ck_assert_str_eq(matters->matters[2].worst->id, "gap/outlet|rail/hot/low");
    /* 3.07 of what is shown is not alike -4.62 of what is not */
    ck_assert_str_eq(matters->matters[0].worst->id, "gap/brake|outlet/hot/high");
    tb_matters_free(matters);
    tb_results_unref(results);
}
END_TEST

START_TEST(an_item_has_the_matters_that_name_it)
{
    TbResults *results = results_of(van, G_N_ELEMENTS(van));
    TbMatters *rail = tb_matters_new(&(TbMatterAsk){.whole = results, .item = "rail"});
    TbMatters *outlet = tb_matters_new(&(TbMatterAsk){.whole = results, .item = "outlet"});
    TbMatters *out = tb_matters_new(&(TbMatterAsk){.whole = results, .item = "out"});

    ck_assert_uint_eq(rail->count, 1);
    ck_assert_uint_eq(outlet->count, 5);
    ck_assert_uint_eq(out->count, 0);
    tb_matters_free(rail);
    tb_matters_free(outlet);
    tb_matters_free(out);
    tb_results_unref(results);
}
END_TEST

static TbResults *
live_of(const Said said[], size_t count)
{
    TbResults *results = results_of(said, count);

    tb_results_add_state(results, "cold", "cold");
    tb_results_add_variant(results, "low", "low");
    return results;
}

START_TEST(newer_results_take_the_place_of_what_they_judge_and_the_rest_is_stale)
{
    const Said now[] = {
        {"gap", "brake|outlet", NULL, "cold", "low", -9.43, TB_LEVEL_SHORT},
        {"gap", "outlet|rail", NULL, "cold", "low", 5.77, TB_LEVEL_HOLDS},
        {"area", "outlet", NULL, NULL, NULL, 0, TB_LEVEL_HOLDS},
    };
    TbResults *whole = results_of(van, G_N_ELEMENTS(van));
    TbResults *live = live_of(now, G_N_ELEMENTS(now));
    TbMatters *matters = tb_matters_new(&(TbMatterAsk){.whole = whole, .live = live});

    /* folds hang on no state: what is newer says nothing of them, so they are gone */
    ck_assert_uint_eq(matters->count, 3);
    ck_assert_str_eq(matters->matters[0].worst->id, "gap/brake|outlet/cold/low");
    ck_assert(!matters->matters[0].stale);
    ck_assert_uint_eq(matters->matters[0].others, 2);
    /* hot is of the older document */
    ck_assert_str_eq(matters->matters[1].worst->id, "gap/outlet|rail/hot/low");
    ck_assert(matters->matters[1].stale);
    ck_assert_str_eq(matters->matters[2].key, "area/outlet");
    ck_assert_int_eq(matters->matters[2].worst->level, TB_LEVEL_HOLDS);
    tb_matters_free(matters);
    tb_results_unref(live);
    tb_results_unref(whole);
}
END_TEST

START_TEST(an_item_that_was_taken_away_takes_its_stale_matters_along)
{
    TbResults *whole = results_of(van, G_N_ELEMENTS(van));
    TbResults *live = tb_results_new("kit", "A");
    TbMatterAsk ask = {.whole = whole, .live = live};
    TbMatters *matters;
    TbStandings *standings;

    add_item(live, "outlet");
    add_item(live, "rail");
    tb_results_add_state(live, "cold", "cold");
    tb_results_add_variant(live, "low", "low");
    matters = tb_matters_new(&ask);
    standings = tb_standings_new(&ask);
    for (size_t i = 0; i < matters->count; i++)
        ck_assert(!tb_finding_is_about(matters->matters[i].worst, "brake"));
    ck_assert_uint_eq(matters->count, 1);
    ck_assert_int_eq(tb_standings_find(standings, "outlet")->level, TB_LEVEL_WATCH);
    ck_assert_ptr_null(tb_standings_find(standings, "brake"));
    tb_standings_free(standings);
    tb_matters_free(matters);
    tb_results_unref(live);
    tb_results_unref(whole);
}
END_TEST

/* Both ways of gathering say the same of everything. */
static void
expect_same(const TbMatterAsk *ask, TbMatters **before, TbStandings **standings_before)
{
    static const char *const items[] = {"outlet", "rail", "brake"};
    TbMatters *fresh = tb_matters_new(ask), *again = tb_matters_again(ask, *before);
    TbStandings *stand = tb_standings_new(ask);
    TbStandings *stand_again = tb_standings_again(ask, *standings_before);

    ck_assert_uint_eq(fresh->count, again->count);
    for (size_t i = 0; i < fresh->count; i++) {
        ck_assert_str_eq(fresh->matters[i].key, again->matters[i].key);
        ck_assert_ptr_eq(fresh->matters[i].worst, again->matters[i].worst);
        ck_assert_uint_eq(fresh->matters[i].others, again->matters[i].others);
        ck_assert(fresh->matters[i].stale == again->matters[i].stale);
    }
    ck_assert_mem_eq(fresh->judged, again->judged, sizeof fresh->judged);
    for (size_t i = 0; i < G_N_ELEMENTS(items); i++) {
        const TbStanding *a = tb_standings_find(stand, items[i]);
        const TbStanding *b = tb_standings_find(stand_again, items[i]);

        ck_assert(a == NULL ? b == NULL : a->worst == b->worst && a->stale == b->stale);
    }
    tb_matters_free(fresh);
    tb_standings_free(stand);
    tb_matters_free(*before);
    tb_standings_free(*standings_before);
    *before = again;
    *standings_before = stand_again;
}

START_TEST(gathered_again_after_what_was_gathered_before_they_are_the_same)
{
    const Said first[] = {{"gap", "brake|outlet", NULL, "cold", "low", -9.43, TB_LEVEL_SHORT},
                          {"gap", "outlet|rail", NULL, "cold", "low", 5.77, TB_LEVEL_HOLDS}};
    const Said second[] = {{"gap", "brake|outlet", NULL, "cold", "low", 2.18, TB_LEVEL_WATCH},
                           {"gap", "outlet|rail", NULL, "cold", "low", -1.61, TB_LEVEL_SHORT}};
    TbResults *whole = results_of(van, G_N_ELEMENTS(van));
    TbResults *one = live_of(first, 2), *two = live_of(second, 2);
    TbResults *hot = results_of(second, 2), *fewer = live_of(first, 2);
    TbMatters *before = NULL;
    TbStandings *standings = NULL;

    tb_results_add_state(hot, "hot", "hot");
    tb_results_add_variant(hot, "low", "low");
    add_item(fewer, "outlet");
    add_item(fewer, "rail");
    {
        const TbMatterAsk asks[] = {
            {.whole = whole},
            {.whole = whole, .live = one},
            {.whole = whole, .live = two},
            {.whole = whole, .live = two, .state = "hot", .variant = "low"},
            {.whole = whole, .live = two, .state = "cold", .variant = "low"},
            /* other states are of the older results now */
            {.whole = whole, .live = hot, .state = "cold", .variant = "low"},
            /* an item has gone: what is said of it too, once */
            {.whole = whole, .live = fewer},
            {.whole = whole, .live = one},
            {.whole = whole, .live = one, .item = "rail"},
            {.whole = two, .live = one, .item = "rail"},
            {.whole = NULL, .live = one},
            {.whole = whole},
        };

        for (size_t i = 0; i < G_N_ELEMENTS(asks); i++)
            expect_same(&asks[i], &before, &standings);
    }
    tb_matters_free(before);
    tb_standings_free(standings);
    tb_results_unref(whole);
    tb_results_unref(one);
    tb_results_unref(two);
    tb_results_unref(hot);
    tb_results_unref(fewer);
}
END_TEST

START_TEST(gaps_that_are_open_for_one_reason_are_one_matter)
{
    TbResults *results = tb_results_new("kit", "A");
    TbMatters *matters;

    for (int i = 0; i < 31; i++) {
        g_autofree char *subject = g_strdup_printf("part-%d|scan", i);
        TbFindingDef def = tb_finding_def("gap", subject);

        def.level = TB_LEVEL_OPEN;
        tb_finding_add_text(results, tb_results_add_finding(results, &def), "reason",
                            i == 17 ? "it does not close" : "side.ply is not there");
    }
    matters = tb_matters_new(&(TbMatterAsk){.whole = results});
    ck_assert_uint_eq(matters->count, 2);
    ck_assert_uint_eq(matters->matters[0].others, 29);
    ck_assert_uint_eq(matters->matters[1].others, 0);
    ck_assert_uint_eq(matters->judged[TB_LEVEL_OPEN], 31);
    tb_matters_free(matters);
    tb_results_unref(results);
}
END_TEST

START_TEST(without_results_there_are_no_matters_and_no_standings)
{
    TbMatters *matters = tb_matters_new(&(TbMatterAsk){0});
    TbStandings *standings = tb_standings_new(&(TbMatterAsk){0});

    ck_assert_uint_eq(matters->count, 0);
    ck_assert_ptr_null(tb_standings_find(standings, "outlet"));
    tb_matters_free(matters);
    tb_standings_free(standings);
}
END_TEST

/* ---- standings ---- */

static void
add_gap(TbResults *results, const char *b, const char *state, const char *variant, double margin)
{
    TbResultGap *gap = tb_results_add_gap(results);

    tb_results_set_text(results, &gap->a, "outlet");
    tb_results_set_text(results, &gap->b, b);
    tb_results_set_text(results, &gap->state, state);
    tb_results_set_text(results, &gap->variant, variant);
    gap->keep = 23.7;
    gap->margin = margin;
    gap->gap.lower = gap->gap.upper = gap->keep + margin;
}

START_TEST(an_item_stands_as_its_worst_finding_and_its_worst_gap_say)
{
    TbResults *results = results_of(van, G_N_ELEMENTS(van));
    TbStandings *standings;
    const TbStanding *outlet, *rail;

    add_gap(results, "rail", "cold", "low", 1.13);
    add_gap(results, "rail", "hot", "low", 1.13 - 1e-4);
    add_gap(results, "brake", "hot", "high", -4.62);
    add_gap(results, "brake", "cold", "low", 7.31);
    standings =
        tb_standings_new(&(TbMatterAsk){.whole = results, .state = "cold", .variant = "low"});
    outlet = tb_standings_find(standings, "outlet");
    rail = tb_standings_find(standings, "rail");
    ck_assert_int_eq(outlet->level, TB_LEVEL_SHORT);
    ck_assert_str_eq(outlet->worst->id, "gap/brake|outlet/hot/high");
    ck_assert_str_eq(outlet->gap->variant, "high");
    ck_assert_int_eq(rail->level, TB_LEVEL_WATCH);
    /* alike: the shown state is told */
    ck_assert_str_eq(rail->gap->state, "cold");
    ck_assert(!rail->stale && !rail->gap_stale);
    tb_standings_free(standings);
    tb_results_unref(results);
}
END_TEST

START_TEST(asked_for_one_item_its_standing_is_the_same)
{
    static const char *const items[] = {"outlet", "rail", "brake"};
    TbResults *results = results_of(van, G_N_ELEMENTS(van));
    TbMatterAsk ask = {.whole = results, .state = "cold", .variant = "low"};
    TbStandings *all;

    add_gap(results, "rail", "cold", "low", 1.13);
    add_gap(results, "brake", "hot", "high", -4.62);
    all = tb_standings_new(&ask);
    for (size_t i = 0; i < G_N_ELEMENTS(items); i++) {
        TbStandings *one;
        const TbStanding *a = tb_standings_find(all, items[i]);
        const TbStanding *b;

        ask.item = items[i];
        one = tb_standings_new(&ask);
        b = tb_standings_find(one, items[i]);
        ck_assert_ptr_eq(a->worst, b->worst);
        ck_assert_ptr_eq(a->gap, b->gap);
        ck_assert_int_eq(a->level, b->level);
        tb_standings_free(one);
    }
    tb_standings_free(all);
    tb_results_unref(results);
}
END_TEST

START_TEST(while_one_is_dragged_a_gap_and_a_finding_may_be_of_different_results)
{
    static const Said now[] = {{"gap", "brake|outlet", NULL, "cold", "low", -3.07, TB_LEVEL_SHORT}};
    TbResults *whole = results_of(van, G_N_ELEMENTS(van)), *live = results_of(now, 1);
    TbMatterAsk ask = {.whole = whole, .live = live, .state = "cold", .variant = "low"};
    TbStandings *standings;
    const TbStanding *outlet;

    add_gap(whole, "brake", "hot", "high", -2.31);
    add_gap(live, "brake", "cold", "low", -3.07);
    standings = tb_standings_new(&ask);
    outlet = tb_standings_find(standings, "outlet");
    ck_assert_str_eq(outlet->worst->id, "gap/brake|outlet/hot/high");
    ck_assert_ptr_eq(outlet->results, whole);
    ck_assert(outlet->stale);
    ck_assert_ptr_eq(outlet->gap, &live->gaps[0]);
    ck_assert_ptr_eq(outlet->gap_results, live);
    ck_assert(!outlet->gap_stale);
    tb_standings_free(standings);
    tb_results_unref(live);
    tb_results_unref(whole);
}
END_TEST

static Suite *
matters_suite(void)
{
    Suite *suite = suite_create("study/matters");
    TCase *gathered = tcase_create("gathered");
    TCase *standings = tcase_create("standings");

    tcase_add_test(gathered, a_matter_is_told_once_where_it_is_worst);
    tcase_add_test(gathered, of_margins_that_read_alike_the_shown_one_is_told);
    tcase_add_test(gathered, an_item_has_the_matters_that_name_it);
    tcase_add_test(gathered, newer_results_take_the_place_of_what_they_judge_and_the_rest_is_stale);
    tcase_add_test(gathered, an_item_that_was_taken_away_takes_its_stale_matters_along);
    tcase_add_test(gathered, gathered_again_after_what_was_gathered_before_they_are_the_same);
    tcase_add_test(gathered, gaps_that_are_open_for_one_reason_are_one_matter);
    tcase_add_test(gathered, without_results_there_are_no_matters_and_no_standings);
    suite_add_tcase(suite, gathered);
    tcase_add_test(standings, an_item_stands_as_its_worst_finding_and_its_worst_gap_say);
    tcase_add_test(standings, asked_for_one_item_its_standing_is_the_same);
    tcase_add_test(standings, while_one_is_dragged_a_gap_and_a_finding_may_be_of_different_results);
    suite_add_tcase(suite, standings);
    return suite;
}

int
main(void)
{
    return tb_test_main(matters_suite());
}
