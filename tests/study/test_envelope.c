/* SPDX-License-Identifier: GPL-3.0-or-later */

/** Cuts of a state that rocks: things at rest, what moves with all that it passes. */

#include "tap.h"

#include "bays.h"

#include "geom/polygon.h"
#include "study/envelope.h"

#include <math.h>

#define DEG (G_PI / 180)

/* An engine that turns about X through (0, 0, 100), on a body. */
#define BAY(rock, items)                                                                           \
    "<bay version='1' title='Rock'><mounts><mount id='body'/>"                                     \
    "<mount id='engine' parent='body' axis-point='0 0 100' axis-direction='2 0 0' " rock "/>"      \
    "</mounts><items>" items "</items>"                                                            \
    "<states><state id='cold' kind='cold'/><state id='rock' name='Rocking' kind='rocking'/>"       \
    "</states></bay>"

#define SWINGING "<ball id='a' class='hot' mount='engine' at='0 0 400' radius='20'/>"
#define STANDING "<ball id='b' class='brake' mount='body' at='0 90 400' radius='8'/>"

static TbScene *
cut_of(const char *text, TbSceneView view, double at, bool coarse)
{
    TbStudy *study = study_alone();
    TbBay *bay = bay_of(text);
    TbAsk ask = {.bay = bay, .state = "rock", .coarse = coarse};
    TbCutAsk cut = {.view = view, .at = at};
    TbScene *scene = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_study_scene(study, &ask, &cut, NULL, &scene, &fault) == TB_OK, "%s",
                  fault.text);
    tb_bay_unref(bay);
    tb_study_free(study);
    return scene;
}

static const TbSceneShape *
shape(const TbScene *scene, const char *tag)
{
    for (size_t i = 0; i < scene->shape_count; i++)
        if (strcmp(scene->shapes[i].tag, tag) == 0)
            return &scene->shapes[i];
    return NULL;
}

static double
area_of(const TbCut *cut)
{
    double area = 0;

    for (size_t i = 0; i < cut->loop_count; i++)
        area += tb_polygon_area(cut->points + cut->loops[i].first, cut->loops[i].count);
    return area;
}

static bool
notes_have(const TbScene *scene, const char *text)
{
    for (size_t i = 0; i < scene->note_count; i++)
        if (strstr(scene->notes[i], text) != NULL)
            return true;
    return false;
}

START_TEST(what_moves_is_drawn_at_rest_with_all_that_it_passes)
{
    TbScene *scene = cut_of(BAY("rx='-3 2'", SWINGING STANDING), TB_SCENE_FRONT, 0, false);
    double path = 5 * DEG * 300, area = G_PI * 20 * 20 + path * 40;

    ck_assert_str_eq(scene->subtitle, "Rock, Rocking, drawn at rest (cold)");
    ck_assert(notes_have(scene, "envelope over engine rx -3° to 2°, within 0.2 mm"));
    ck_assert_double_eq_tol(area_of(&shape(scene, "a")->cut), G_PI * 20 * 20, 0.2);
    /* within the chord along all of the outline */
    ck_assert_double_eq_tol(area_of(&shape(scene, "a")->envelope), area,
                            TB_ENVELOPE_CHORD * (2 * path + G_PI * 40));
    ck_assert_uint_eq(shape(scene, "b")->envelope.loop_count, 0);
    tb_scene_unref(scene);
}
END_TEST

/* Shifts of 5 mm to one side and 4 to the other sweep 9 mm of its width besides. */
START_TEST(shifts_and_turns_go_together)
{
    TbScene *scene =
        cut_of(BAY("rx='-3 2' ty='-5 4'", SWINGING STANDING), TB_SCENE_FRONT, 0, false);
    double path = 5 * DEG * 300 + 9, low = INFINITY, high = -INFINITY;
    const TbCut *cut = &shape(scene, "a")->envelope;

    ck_assert_double_eq_tol(area_of(cut), G_PI * 20 * 20 + path * 40,
                            TB_ENVELOPE_CHORD * (2 * path + G_PI * 40) + 9);
    for (size_t i = 0; i < cut->point_count; i++) {
        low = fmin(low, cut->points[i].x);
        high = fmax(high, cut->points[i].x);
    }
    /* Y runs to the left: a turn by -3 deg takes what is above the axis to +Y */
    ck_assert_double_eq_tol(low, -(300 * sin(3 * DEG) + 4 + 20), TB_ENVELOPE_CHORD);
    ck_assert_double_eq_tol(high, 300 * sin(2 * DEG) + 5 + 20, TB_ENVELOPE_CHORD);
    tb_scene_unref(scene);
}
END_TEST

/* A plane beside the ball at rest, 24 mm from its middle: the ball swings by 15.7. */
START_TEST(what_only_passes_through_the_plane_has_an_envelope_and_no_cut)
{
    TbScene *scene = cut_of(BAY("rx='-3 2'", SWINGING STANDING), TB_SCENE_SIDE, 24, false);
    const TbSceneShape *a = shape(scene, "a");

    ck_assert_uint_eq(a->cut.loop_count, 0);
    ck_assert_uint_eq(a->envelope.loop_count, 1);
    tb_scene_unref(scene);
    scene = cut_of(BAY("rx='-3 2'", SWINGING STANDING), TB_SCENE_SIDE, -24, false);
    /* to the right it swings by 10.5 only: as far as -30.5 */
    ck_assert_ptr_nonnull(shape(scene, "a"));
    ck_assert_double_gt(area_of(&shape(scene, "a")->envelope), 0);
    tb_scene_unref(scene);
    scene = cut_of(BAY("rx='-3 2'", SWINGING STANDING), TB_SCENE_SIDE, -31, false);
    ck_assert_uint_eq(shape(scene, "a")->envelope.loop_count, 0);
    tb_scene_unref(scene);
}
END_TEST

START_TEST(what_rides_on_two_mounts_is_named_instead)
{
    TbScene *scene =
        cut_of(BAY("rx='-3 2'", SWINGING
                   "<line id='h' name='Hose' class='hot' mount='engine' end-mount='body' "
                   "role='hose' diameter='16'><path><knot at='0 60 400'/><knot at='150 60 400'/>"
                   "<knot at='300 60 400'/></path></line>"),
               TB_SCENE_FRONT, 40, false);

    ck_assert(notes_have(scene, "No envelope of what rides on two mounts: Hose"));
    ck_assert_uint_eq(shape(scene, "h")->envelope.loop_count, 0);
    tb_scene_unref(scene);
}
END_TEST

START_TEST(while_something_is_dragged_envelopes_are_left_out_and_it_says_so)
{
    TbScene *scene = cut_of(BAY("rx='-3 2'", SWINGING STANDING), TB_SCENE_FRONT, 0, true);

    ck_assert(scene->coarse);
    ck_assert_uint_eq(shape(scene, "a")->envelope.loop_count, 0);
    ck_assert(notes_have(scene, "envelopes are left out"));
    tb_scene_unref(scene);
}
END_TEST

START_TEST(a_bay_in_which_nothing_moves_says_so)
{
    TbScene *scene = cut_of(BAY("", SWINGING STANDING), TB_SCENE_FRONT, 0, false);

    ck_assert(notes_have(scene, "Nothing that is drawn moves"));
    ck_assert_uint_eq(shape(scene, "a")->envelope.loop_count, 0);
    tb_scene_unref(scene);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("study/envelope");
    TCase *tcase = tcase_create("envelopes");

    tcase_add_test(tcase, what_moves_is_drawn_at_rest_with_all_that_it_passes);
    tcase_add_test(tcase, shifts_and_turns_go_together);
    tcase_add_test(tcase, what_only_passes_through_the_plane_has_an_envelope_and_no_cut);
    tcase_add_test(tcase, what_rides_on_two_mounts_is_named_instead);
    tcase_add_test(tcase, while_something_is_dragged_envelopes_are_left_out_and_it_says_so);
    tcase_add_test(tcase, a_bay_in_which_nothing_moves_says_so);
    suite_add_tcase(suite, tcase);
    return tb_test_main(suite);
}
