/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "tap.h"

#include "bays.h"
#include "drawn.h"
#include "small_kit.h"

#include "bay/write.h"
#include "study/cache.h"
#include "study/show.h"

#include <math.h>

enum { STEPS = 6 };

static TbStudy *study;
static TbBay *bay;
static TbShown *shown;
static TbFault fault;

static void
begin(void)
{
    study = study_alone();
    bay = bay_of(small_kit);
    shown = NULL;
    fault = (TbFault){0};
}

static void
end(void)
{
    tb_shown_unref(shown);
    tb_study_free(study);
    tb_bay_unref(bay);
}

/* A window's question: three cuts and the outlet's strip. */
static TbShowAsk
window_ask(const char *state, const char *variant)
{
    return (TbShowAsk){.bay = bay,
                       .state = state,
                       .variant = variant,
                       .wants_cut = {true, true, true},
                       .cuts = {{.view = TB_SCENE_SIDE, .at = 31},
                                {.view = TB_SCENE_PLAN, .at = -87},
                                {.view = TB_SCENE_ACROSS, .at = 143, .item = "outlet"}},
                       .strip = "outlet"};
}

/* Ask again, after what was shown last. */
static TbStatus
show(const TbShowAsk *ask)
{
    TbShown *next = NULL;
    TbStatus status = tb_study_show(study, ask, shown, NULL, &next, &fault);

    if (status == TB_OK) {
        tb_shown_unref(shown);
        shown = next;
    } else {
        ck_assert_ptr_null(next);
    }
    return status;
}

static void
must_show(const TbShowAsk *ask)
{
    ck_assert_msg(show(ask) == TB_OK, "%s", fault.text);
}

static void
move_knot(int step)
{
    TbBay *edited = NULL;
    TbVec3 to = tb_vec3(190 + 0.7 * step, 20 - 1.3 * step, -40 + 0.4 * step);

    ck_assert_int_eq(tb_edit_move_knot(bay, "outlet", 0, to, &edited, NULL), TB_OK);
    tb_bay_unref(bay);
    bay = edited;
}

/* What a study that knows nothing says of a document; NULL, NULL: of all of it. */
static char *
fresh_report(TbBay *of, const char *state, const char *variant)
{
    TbStudy *fresh = study_alone();
    bool whole = state == NULL && variant == NULL;
    TbAsk ask = {.bay = of,
                 .state = state,
                 .variant = variant,
                 .samples = whole ? TB_STUDY_SAMPLES : 0,
                 .seed = whole ? TB_STUDY_SEED : 0,
                 .combine = whole};
    TbResults *results = NULL;
    char *json;

    ck_assert_int_eq(tb_study_judge(fresh, &ask, NULL, &results, NULL), TB_OK);
    json = tb_report_json(results);
    tb_results_unref(results);
    tb_study_free(fresh);
    return json;
}

static void
assert_report(const char *state, const char *variant)
{
    g_autofree char *live = tb_report_json(shown->results);
    g_autofree char *fresh = fresh_report(bay, state, variant);

    ck_assert_str_eq(live, fresh);
}

static void
assert_same_text(char *one, char *other)
{
    ck_assert_str_eq(one, other);
    g_free(one);
    g_free(other);
}

/* The drawings of a study that knows nothing are the ones that are shown, bit for bit. */
static void
assert_drawings(void)
{
    TbStudy *fresh = study_alone();
    TbAsk ask = {.bay = bay,
                 .state = shown->ask.state,
                 .variant = shown->ask.variant,
                 .coarse = !shown->ask.whole};
    TbSceneStrip *strip = NULL;

    for (int i = 0; i < 3; i++) {
        TbScene *scene = NULL;

        ck_assert_int_eq(tb_study_scene(fresh, &ask, &shown->ask.cuts[i], NULL, &scene, NULL),
                         TB_OK);
        assert_same_text(scene_text(shown->cuts[i]), scene_text(scene));
        tb_scene_unref(scene);
    }
    ck_assert_int_eq(tb_study_strip(fresh, &ask, shown->ask.strip, NULL, &strip, NULL), TB_OK);
    assert_same_text(strip_text(shown->strip), strip_text(strip));
    tb_scene_strip_unref(strip);
    tb_study_free(fresh);
}

/* ---- results ---- */

/* A pose is drawn, not a motion: of what rocks the part that stands still, else cold. */
START_TEST(of_a_state_that_rocks_the_part_that_stands_still_is_drawn)
{
    static const struct {
        const char *asked, *drawn;
    } states[] = {{"rock", "chill"}, {"rock+hot", "hot"},        {"hot+rock", "hot"},
                  {"warm", "hot"},   {"hot+chill", "hot+chill"}, {"hot", "hot"},
                  {"gone", "gone"}};
    TbBay *rocking = bay_of("<bay version='1' title='t'><mounts><mount id='body'/></mounts><states>"
                            "<state id='rock' kind='rocking'/><state id='hot' kind='hot'/><state "
                            "id='chill' kind='cold'/>"
                            "<state id='warm' kind='combined' parts='rock+hot'/></states></bay>");
    TbBay *only = bay_of("<bay version='1' title='t'><mounts><mount id='body'/></mounts><states>"
                         "<state id='rock' kind='rocking'/></states></bay>");

    for (size_t i = 0; i < G_N_ELEMENTS(states); i++) {
        g_autofree char *drawn = tb_ask_state_at_rest(rocking, states[i].asked);

        ck_assert_str_eq(drawn, states[i].drawn);
    }
    {
        g_autofree char *drawn = tb_ask_state_at_rest(only, "rock");

        ck_assert_str_eq(drawn, "cold");
    }
    ck_assert_ptr_null(tb_ask_state_at_rest(rocking, NULL));
    tb_bay_unref(rocking);
    tb_bay_unref(only);
}
END_TEST

START_TEST(what_stands_after_a_drag_is_what_a_fresh_study_says_of_the_saved_file)
{
    TbShowAsk ask;
    g_autofree char *settled = NULL, *fresh = NULL;
    GString *text;
    TbBay *saved;

    for (int i = 1; i <= STEPS; i++) {
        move_knot(i);
        ask = window_ask("hot", "tall");
        must_show(&ask);
    }
    ask.whole = true;
    must_show(&ask);
    text = tb_bay_to_text(bay);
    saved = bay_of(text->str);
    settled = tb_report_json(shown->results);
    fresh = fresh_report(saved, NULL, NULL);
    ck_assert_str_eq(settled, fresh);
    ck_assert(shown->ask.whole);
    g_string_free(text, TRUE);
    tb_bay_unref(saved);
}
END_TEST

START_TEST(while_dragged_the_answer_is_the_judgement_of_what_is_shown)
{
    static const char *const state[] = {"cold", "hot"}, *const variant[] = {"low", "tall"};

    for (int i = 1; i <= STEPS; i++) {
        TbShowAsk ask = window_ask(state[i / 2 % 2], variant[i / 3 % 2]);

        move_knot(i);
        ask.bay = bay;
        must_show(&ask);
        ck_assert(!shown->ask.whole);
        assert_report(ask.state, ask.variant);
    }
}
END_TEST

/* The smallest of a live gap's distances is none that the whole answer rules out. */
START_TEST(a_live_gap_is_the_same_interval_as_the_settled_one)
{
    TbShowAsk ask = window_ask("hot", "low");
    TbResults *live;
    size_t found = 0;

    must_show(&ask);
    live = tb_results_ref(shown->results);
    ask.whole = true;
    must_show(&ask);
    for (size_t i = 0; i < live->gap_count; i++)
        for (size_t k = 0; k < shown->results->gap_count; k++) {
            const TbResultGap *a = &live->gaps[i], *b = &shown->results->gaps[k];

            if (strcmp(a->a, b->a) != 0 || strcmp(a->b, b->b) != 0 ||
                strcmp(a->state, b->state) != 0 || strcmp(a->variant, b->variant) != 0)
                continue;
            found++;
            ck_assert_double_eq(a->gap.lower, b->gap.lower);
            ck_assert_double_eq(a->gap.upper, b->gap.upper);
            ck_assert_int_eq(a->level, b->level);
        }
    ck_assert_uint_eq(found, live->gap_count);
    ck_assert_uint_gt(found, 5);
    tb_results_unref(live);
}
END_TEST

START_TEST(where_nothing_is_named_the_first_cold_state_and_the_first_variant_are_shown)
{
    TbShowAsk ask = window_ask(NULL, NULL);

    must_show(&ask);
    ck_assert_uint_eq(shown->results->state_count, 1);
    ck_assert_uint_eq(shown->results->variant_count, 1);
    assert_report("cold", "low");
    ck_assert_ptr_null(shown->ask.state);
}
END_TEST

START_TEST(a_whole_answer_serves_every_state_of_its_document)
{
    TbShowAsk ask = window_ask("cold", "low");
    const TbResults *whole;

    ask.whole = true;
    must_show(&ask);
    whole = shown->results;
    ask = window_ask("hot", "tall");
    must_show(&ask);
    ck_assert_ptr_eq(shown->results, whole);
    ck_assert(shown->ask.whole);
    assert_drawings();
}
END_TEST

/* The study forgets what no question used for some time; what the last whole answer knew of the
 * states that were not shown stays all the same. */
START_TEST(after_a_long_drag_only_what_moved_is_judged_anew)
{
    TbShowAsk ask = window_ask("hot", "low");
    TbStudyCounts before, after;
    size_t gaps;

    ask.whole = true;
    must_show(&ask);
    gaps = shown->results->gap_count;
    ask.wants_cut[0] = ask.wants_cut[1] = ask.wants_cut[2] = false;
    ask.strip = NULL;
    for (int i = 1; i <= TB_CACHE_TURNS + 2 * TB_CACHE_SWEEP; i++) {
        move_knot(i % 4 + 1);
        ask.bay = bay;
        ask.whole = false;
        must_show(&ask);
    }
    before = tb_study_counts(study);
    ask.whole = true;
    must_show(&ask);
    after = tb_study_counts(study);
    ck_assert_uint_eq(shown->results->gap_count, gaps);
    /* the outlet alone moved: drawn in the other variant, grown in the other of its states */
    ck_assert_uint_le(after.solids - before.solids, 3);
    ck_assert_uint_eq(after.sweeps - before.sweeps, 1);
    ck_assert_uint_lt(after.gaps - before.gaps, gaps / 2);
    assert_report(NULL, NULL);
}
END_TEST

/* ---- drawings ---- */

START_TEST(drawings_of_a_drag_are_those_of_a_fresh_study)
{
    for (int i = 1; i <= STEPS; i++) {
        TbShowAsk ask = window_ask(i % 2 == 0 ? "cold" : "hot", i % 3 == 0 ? "low" : "tall");

        move_knot(i);
        ask.bay = bay;
        must_show(&ask);
        if (i % 2 == 1)
            assert_drawings();
    }
}
END_TEST

START_TEST(a_drawing_whose_question_stays_is_shared)
{
    TbShowAsk ask = window_ask("hot", "low");
    const TbScene *side, *plan;
    const TbSceneStrip *strip;

    must_show(&ask);
    side = shown->cuts[0];
    plan = shown->cuts[1];
    strip = shown->strip;
    ask.cuts[2].at = 151;
    must_show(&ask);
    ck_assert_ptr_eq(shown->cuts[0], side);
    ck_assert_ptr_eq(shown->cuts[1], plan);
    ck_assert_ptr_eq(shown->strip, strip);
    ck_assert_str_eq(shown->cuts[2]->title, "outlet, across at station 151 mm, looking downstream");
    /* what is live is coarse, what has settled fine, which serves both */
    ask.whole = true;
    must_show(&ask);
    ck_assert_ptr_ne(shown->cuts[0], side);
    ck_assert_ptr_ne(shown->strip, strip);
    ck_assert(!shown->strip->coarse && !shown->cuts[0]->coarse);
    side = shown->cuts[0];
    strip = shown->strip;
    ask.whole = false;
    must_show(&ask);
    ck_assert_ptr_eq(shown->cuts[0], side);
    ck_assert_ptr_eq(shown->strip, strip);
    assert_drawings();
    ask.state = "cold";
    must_show(&ask);
    ck_assert_ptr_ne(shown->cuts[0], side);
    ck_assert_ptr_ne(shown->strip, strip);
}
END_TEST

/* What lies wholly beyond a plane looks the same from every one before it, and is kept. */
START_TEST(a_plane_that_is_dragged_shows_what_a_fresh_study_draws)
{
    for (int i = 0; i < STEPS; i++) {
        TbShowAsk ask = window_ask("hot", "low");

        ask.cuts[0].at = -431.7 + 117.3 * i;
        ask.cuts[1] = (TbCutAsk){.view = TB_SCENE_FRONT, .at = -311.9 + 143.1 * i};
        must_show(&ask);
        if (i % 2 == 1)
            assert_drawings();
    }
}
END_TEST

/* Panes that change places ask the same questions. */
START_TEST(a_cut_is_shared_wherever_it_stood)
{
    TbShowAsk ask = window_ask("hot", "low");
    const TbScene *side, *plan;
    TbCutAsk first = ask.cuts[0];

    must_show(&ask);
    side = shown->cuts[0];
    plan = shown->cuts[1];
    ask.cuts[0] = ask.cuts[1];
    ask.cuts[1] = first;
    must_show(&ask);
    ck_assert_ptr_eq(shown->cuts[0], plan);
    ck_assert_ptr_eq(shown->cuts[1], side);
}
END_TEST

START_TEST(a_changed_document_shares_no_drawing)
{
    TbShowAsk ask = window_ask("hot", "low");
    const TbScene *side;

    must_show(&ask);
    side = shown->cuts[0];
    move_knot(2);
    ask.bay = bay;
    must_show(&ask);
    ck_assert_ptr_ne(shown->cuts[0], side);
    assert_drawings();
}
END_TEST

/* ---- what cannot be shown ---- */

START_TEST(what_cannot_be_drawn_is_told_in_its_place)
{
    TbShowAsk ask = window_ask("hot", "low");

    ask.cuts[2].at = 4711;
    ask.strip = "nothing";
    must_show(&ask);
    ck_assert_ptr_nonnull(shown->cuts[0]);
    ck_assert_ptr_nonnull(shown->cuts[1]);
    ck_assert_ptr_null(shown->cuts[2]);
    ck_assert_int_eq(shown->cut_faults[2].status, TB_E_RANGE);
    ck_assert_ptr_nonnull(strstr(shown->cut_faults[2].text, "station 4711.0 mm is not on outlet"));
    ck_assert_ptr_null(shown->strip);
    ck_assert_str_eq(shown->strip_fault.text, "there is no item nothing");
    ck_assert_ptr_null(shown->cuts[3]);
    assert_report("hot", "low");
}
END_TEST

/* A section dragged off the end leaves no duct; dragged back, all is there again. */
START_TEST(a_duct_that_cannot_be_built_is_told_and_comes_back)
{
    TbShowAsk ask = window_ask("cold", "low");
    TbRow row = tb_row_round(4711, 57.3);
    TbBay *broken = NULL;
    size_t open = 0;

    must_show(&ask);
    ck_assert_int_eq(tb_edit_set_section(bay, "outlet", 1, &row, &broken, NULL), TB_OK);
    ask.bay = broken;
    must_show(&ask);
    ck_assert_ptr_nonnull(shown->cuts[0]);
    ck_assert_ptr_null(shown->cuts[2]);
    ck_assert_ptr_nonnull(strstr(shown->cut_faults[2].text, "item outlet has no shape"));
    ck_assert_ptr_null(shown->strip);
    ck_assert_ptr_nonnull(strstr(shown->strip_fault.text, "item outlet has no shape"));
    for (size_t i = 0; i < shown->results->gap_count; i++)
        open += shown->results->gaps[i].level == TB_LEVEL_OPEN;
    ck_assert_uint_gt(open, 0);
    tb_bay_unref(broken);
    move_knot(1);
    ask.bay = bay;
    must_show(&ask);
    assert_report("cold", "low");
    assert_drawings();
}
END_TEST

START_TEST(an_unknown_state_or_variant_is_refused_and_the_last_answer_stays)
{
    TbShowAsk ask = window_ask("hot", "low");
    const TbShown *before;

    must_show(&ask);
    before = shown;
    ask.state = "molten";
    ck_assert_int_eq(show(&ask), TB_E_REFERENCE);
    ck_assert_ptr_nonnull(strstr(fault.text, "molten"));
    ask.state = "hot";
    ask.variant = "sideways";
    ck_assert_int_eq(show(&ask), TB_E_REFERENCE);
    ck_assert_ptr_nonnull(strstr(fault.text, "there is no variant sideways"));
    ck_assert_ptr_eq(shown, before);
}
END_TEST

static void
cancel_late(void *user, const char *what, double share)
{
    TbTask *task = user;

    (void)share;
    if (strcmp(what, "gaps") == 0)
        tb_task_cancel(task);
}

/* Given up before it began, or in the middle of the gaps. */
START_TEST(an_answer_that_is_given_up_harms_nothing)
{
    TbShowAsk ask = window_ask("hot", "low");
    TbTask task = {0};
    TbShown *given_up = NULL;

    task.report = _i == 0 ? NULL : cancel_late;
    task.user = &task;
    if (_i == 0)
        tb_task_cancel(&task);
    ck_assert_int_eq(tb_study_show(study, &ask, NULL, &task, &given_up, &fault), TB_E_CANCELLED);
    ck_assert_ptr_null(given_up);
    must_show(&ask);
    assert_report("hot", "low");
    assert_drawings();
}
END_TEST

/* The name of a station was once lent by the copy of a question: it is read in another thread, long
 * after who asked has let it go. */
START_TEST(a_question_that_is_kept_has_its_own_names)
{
    char item[] = "outlet", named[] = "flange";
    TbShowAsk ask = window_ask(NULL, NULL);

    ask.cuts[2].item = item;
    ask.cuts[2].named = named;
    shown = tb_shown_new(&ask);
    item[0] = named[0] = 'x';
    ck_assert_str_eq(shown->ask.cuts[2].item, "outlet");
    ck_assert_str_eq(shown->ask.cuts[2].named, "flange");
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("study/show");
    TCase *c = tcase_create("show");

    tcase_add_checked_fixture(c, begin, end);
    tcase_add_test(c, of_a_state_that_rocks_the_part_that_stands_still_is_drawn);
    tcase_add_test(c, what_stands_after_a_drag_is_what_a_fresh_study_says_of_the_saved_file);
    tcase_add_test(c, while_dragged_the_answer_is_the_judgement_of_what_is_shown);
    tcase_add_test(c, a_live_gap_is_the_same_interval_as_the_settled_one);
    tcase_add_test(c, where_nothing_is_named_the_first_cold_state_and_the_first_variant_are_shown);
    tcase_add_test(c, a_whole_answer_serves_every_state_of_its_document);
    tcase_add_test(c, after_a_long_drag_only_what_moved_is_judged_anew);
    tcase_add_test(c, drawings_of_a_drag_are_those_of_a_fresh_study);
    tcase_add_test(c, a_plane_that_is_dragged_shows_what_a_fresh_study_draws);
    tcase_add_test(c, a_drawing_whose_question_stays_is_shared);
    tcase_add_test(c, a_cut_is_shared_wherever_it_stood);
    tcase_add_test(c, a_changed_document_shares_no_drawing);
    tcase_add_test(c, what_cannot_be_drawn_is_told_in_its_place);
    tcase_add_test(c, a_duct_that_cannot_be_built_is_told_and_comes_back);
    tcase_add_test(c, an_unknown_state_or_variant_is_refused_and_the_last_answer_stays);
    tcase_add_test(c, a_question_that_is_kept_has_its_own_names);
    tcase_add_loop_test(c, an_answer_that_is_given_up_harms_nothing, 0, 2);
    tcase_set_timeout(c, 120);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
