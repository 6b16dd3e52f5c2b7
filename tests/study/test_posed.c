/* SPDX-License-Identifier: GPL-3.0-or-later */

/** Cuts at the worst numbers of a gap: things stand where it was found least. */

#include "tap.h"

#include "bays.h"

#include "geom/polygon.h"
#include "study/posed.h"
#include "study/show.h"

#include <math.h>

/* An engine that turns about X through (0, 0, 100), on a body. */
#define BAY(rock, items)                                                                           \
    "<bay version='1' title='Rock'><mounts><mount id='body'/>"                                     \
    "<mount id='engine' parent='body' axis-point='0 0 100' axis-direction='2 0 0' "                \
    "datum='0 0 0' " rock "/></mounts><items>" items "</items>"                                    \
    "<keeps><keep id='k' class-a='hot' class-b='brake' reason='heat'>"                             \
    "<wanted state='cold' gap='4'/><wanted state='hot' gap='4'/><wanted state='rock' gap='13'/>"   \
    "<wanted state='both' gap='9'/></keep></keeps><states><state id='cold' kind='cold'/>"          \
    "<state id='hot' kind='hot'><warm class='hot' growth='620' skin='650'/></state>"               \
    "<state id='rock' kind='rocking'/>"                                                            \
    "<state id='both' kind='combined' parts='hot+rock'/></states></bay>"

/* 300 mm above the axis; the other 340 mm out, where the first is at +1 deg. */
#define SWINGING                                                                                   \
    "<ball id='a' name='Ball' class='hot' mount='engine' material='simo-iron' at='0 0 400' "       \
    "radius='20'/>"
#define STANDING                                                                                   \
    "<ball id='b' class='brake' mount='body' at='0 -5.933818188 439.948217118' radius='8'/>"
#define RIDER "<ball id='c' class='cover' mount='engine' at='0 80 400' radius='10'/>"

static TbStudy *study;
static TbBay *bay;
static TbResults *results;

static void
begin(void)
{
    study = study_alone();
    bay = bay_of(BAY("rx='-3 3'", SWINGING STANDING RIDER));
    results = judged(study, bay);
}

static void
end(void)
{
    tb_results_unref(results);
    tb_bay_unref(bay);
    tb_study_free(study);
}

static const TbResultGap *
gap_in(const char *state)
{
    for (size_t i = 0; i < results->gap_count; i++)
        if (strcmp(results->gaps[i].state, state) == 0 && strcmp(results->gaps[i].a, "a") == 0 &&
            strcmp(results->gaps[i].b, "b") == 0)
            return &results->gaps[i];
    ck_abort_msg("no gap in %s", state);
    return NULL;
}

static const TbSceneShape *
shape(const TbScene *scene, const char *tag)
{
    for (size_t i = 0; i < scene->shape_count; i++)
        if (strcmp(scene->shapes[i].tag, tag) == 0)
            return &scene->shapes[i];
    return NULL;
}

/* Between the outlines of two cuts in the plane. */
static double
apart(const TbScene *scene, const char *one, const char *other)
{
    const TbCut *a = &shape(scene, one)->cut, *b = &shape(scene, other)->cut;
    double least = INFINITY;

    ck_assert_uint_eq(a->loop_count, 1);
    ck_assert_uint_eq(b->loop_count, 1);
    for (size_t i = 0; i < a->point_count; i++)
        least = fmin(least, tb_polygon_edge_distance(b->points, b->point_count, a->points[i]));
    return least;
}

static TbScene *
cut_at(const TbResultGap *pose, const char *state)
{
    TbAsk ask = {.bay = bay, .state = state, .pose = pose};
    TbCutAsk cut = {.view = TB_SCENE_FRONT, .at = 0};
    TbScene *scene = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_study_scene(study, &ask, &cut, NULL, &scene, &fault) == TB_OK, "%s",
                  fault.text);
    return scene;
}

static const char *const states[] = {"rock", "hot", "both"};

START_TEST(what_is_drawn_is_as_far_apart_as_the_gap_says)
{
    const TbResultGap *gap = gap_in(states[_i]);
    TbScene *scene = cut_at(gap, states[_i]);

    ck_assert(tb_posed_can(gap));
    ck_assert_double_eq_tol(apart(scene, "a", "b"), gap->gap.upper, 0.05);
    ck_assert_uint_eq(scene->gap_count, 1);
    ck_assert_double_eq_tol(scene->gaps[0].gap, gap->gap.upper, 0.05);
    ck_assert_double_eq(scene->gaps[0].keep, gap->keep);
    ck_assert_double_eq_tol(tb_vec2_length(tb_vec2_sub(scene->gaps[0].a, scene->gaps[0].b)),
                            gap->gap.upper, 0.05);
    ck_assert_uint_eq(shape(scene, "a")->envelope.loop_count, 0);
    tb_scene_unref(scene);
}
END_TEST

START_TEST(at_rest_it_is_further_apart)
{
    TbScene *rest = cut_at(NULL, "rock"), *worst = cut_at(gap_in("rock"), "rock");

    ck_assert_double_ge(apart(rest, "a", "b"), apart(worst, "a", "b") + 0.2);
    tb_scene_unref(rest);
    tb_scene_unref(worst);
}
END_TEST

START_TEST(a_cut_at_a_pose_says_at_which)
{
    const TbResultGap *gap = gap_in("both");
    TbScene *scene = cut_at(gap, "both");
    g_autofree char *told = tb_posed_tell(bay, gap, TB_UNIT_MM);
    bool said = false;

    ck_assert_ptr_nonnull(strstr(told, "engine rx "));
    ck_assert_ptr_nonnull(strstr(told, "Ball hot"));
    for (size_t i = 0; i < scene->note_count; i++)
        said = said || strstr(scene->notes[i], told) != NULL;
    ck_assert(said);
    tb_scene_unref(scene);
}
END_TEST

/* What rides on the same mount goes with it, whether the gap is about it or not; the answer tells
 * where everything went, so that what is drawn can be taken hold of. */
START_TEST(everything_on_the_mount_goes_along_and_the_answer_tells_where)
{
    const TbResultGap *gap = gap_in("rock");
    TbShowAsk ask = {.bay = bay,
                     .state = "cold",
                     .moving = "rock",
                     .posed = results,
                     .pose = gap,
                     .whole = _i == 1,
                     .wants_cut = {true},
                     .cuts = {{.view = TB_SCENE_FRONT, .at = 0}}};
    TbVec3 corner = {0, 70, 390};
    double angle = gap->moves[0].at * G_PI / 180;
    TbShown *shown = NULL, *again = NULL;
    TbPose pose;
    TbVec3 there;

    ck_assert_int_eq(tb_study_show(study, &ask, NULL, NULL, &shown, NULL), TB_OK);
    ck_assert_ptr_nonnull(shown->cuts[0]);
    pose = tb_shown_pose(shown, "c");
    there = tb_pose_point(pose, corner);
    ck_assert_double_eq_tol(there.y, 70 * cos(angle) - 290 * sin(angle), 1e-9);
    ck_assert_double_eq_tol(there.z, 100 + 70 * sin(angle) + 290 * cos(angle), 1e-9);
    ck_assert(tb_pose_is_identity(tb_shown_pose(shown, "b")));
    /* the same question is served with the same drawing, and back at rest it is another */
    ck_assert_int_eq(tb_study_show(study, &ask, shown, NULL, &again, NULL), TB_OK);
    ck_assert_ptr_eq(again->cuts[0], shown->cuts[0]);
    ck_assert_double_eq(tb_pose_point(tb_shown_pose(again, "c"), corner).y, there.y);
    tb_shown_unref(again);
    ask.pose = NULL;
    ask.posed = NULL;
    ck_assert_int_eq(tb_study_show(study, &ask, shown, NULL, &again, NULL), TB_OK);
    ck_assert_ptr_ne(again->cuts[0], shown->cuts[0]);
    ck_assert(tb_pose_is_identity(tb_shown_pose(again, "c")));
    tb_shown_unref(again);
    tb_shown_unref(shown);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("study/posed");
    TCase *tcase = tcase_create("posed");

    tcase_add_checked_fixture(tcase, begin, end);
    tcase_add_loop_test(tcase, what_is_drawn_is_as_far_apart_as_the_gap_says, 0, 3);
    tcase_add_test(tcase, at_rest_it_is_further_apart);
    tcase_add_test(tcase, a_cut_at_a_pose_says_at_which);
    tcase_add_loop_test(tcase, everything_on_the_mount_goes_along_and_the_answer_tells_where, 0, 2);
    suite_add_tcase(suite, tcase);
    return tb_test_main(suite);
}
