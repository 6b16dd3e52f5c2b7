/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "tap.h"

#include "bays.h"

#include "geom/polygon.h"

#include <math.h>

static TbStudy *study;
static TbBay *bay;

static void
begin(void)
{
    study = study_alone();
    bay = bay_of(BAY_TUBE);
}

static void
end(void)
{
    tb_study_free(study);
    tb_bay_unref(bay);
}

static TbScene *
scene_of(TbSceneView view, double at, const char *item, const char *state)
{
    TbAsk ask = {.bay = bay, .state = state};
    TbCutAsk cut = {.view = view, .at = at, .item = item};
    TbScene *scene = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_study_scene(study, &ask, &cut, NULL, &scene, &fault) == TB_OK, "%s",
                  fault.text);
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

/* Area of all loops of one kind, holes counted away. */
static double
area_of(const TbCut *cut, TbLoopKind kind)
{
    double area = 0;

    for (size_t i = 0; i < cut->loop_count; i++)
        if (cut->loops[i].kind == kind)
            area += tb_polygon_area(cut->points + cut->loops[i].first, cut->loops[i].count);
    return area;
}

START_TEST(a_plan_cut_through_the_axis_shows_the_tube_and_the_block)
{
    TbScene *scene = scene_of(TB_SCENE_PLAN, 0, NULL, NULL);
    const TbSceneShape *tube = shape(scene, "tube"), *rail = shape(scene, "rail");

    ck_assert_str_eq(scene->title, "Plan cut, Z = 0 mm, seen from above");
    ck_assert_str_eq(scene->subtitle, "Tube, revision B, cold");
    ck_assert_str_eq(scene->axis_u, "X");
    ck_assert_str_eq(scene->axis_v, "Y");
    ck_assert_int_eq(scene->front_u, -1);
    ck_assert(tube->subject && !rail->subject);
    ck_assert_int_eq(tube->look, TB_LOOK_HOT);
    ck_assert_int_eq(rail->look, TB_LOOK_STRUCTURE);
    ck_assert_double_eq_tol(fabs(area_of(&tube->cut, TB_LOOP_OUTER)), 300 * 53.4, 1);
    ck_assert_double_eq_tol(fabs(area_of(&tube->cut, TB_LOOP_INNER)), 300 * 46, 1);
    ck_assert_double_eq_tol(fabs(area_of(&rail->cut, TB_LOOP_OUTER)), 400 * 46, 1e-6);
    tb_scene_unref(scene);
}
END_TEST

START_TEST(the_gap_of_the_subject_is_dimensioned_between_its_witness_points)
{
    TbScene *scene = scene_of(TB_SCENE_PLAN, 0, NULL, NULL);

    ck_assert_uint_eq(scene->gap_count, 1);
    ck_assert_double_eq_tol(scene->gaps[0].gap, 17.3, 0.011);
    ck_assert_double_eq(scene->gaps[0].keep, 12);
    ck_assert_int_eq(scene->gaps[0].level, TB_LEVEL_HOLDS);
    ck_assert_double_eq_tol(scene->gaps[0].a.y, 26.7, 0.02);
    ck_assert_double_eq_tol(scene->gaps[0].b.y, 44, 0.02);
    tb_scene_unref(scene);
}
END_TEST

/* Seen from the front the driver's right lies at the left, so Y runs to the left. */
START_TEST(a_front_view_has_y_to_the_left)
{
    TbScene *scene = scene_of(TB_SCENE_FRONT, 150, NULL, NULL);
    const TbSceneShape *rail = shape(scene, "rail");
    double left = INFINITY, right = -INFINITY;

    for (size_t i = 0; i < rail->cut.point_count; i++) {
        left = fmin(left, rail->cut.points[i].x);
        right = fmax(right, rail->cut.points[i].x);
    }
    ck_assert_double_eq_tol(left, -90, 1e-9);
    ck_assert_double_eq_tol(right, -44, 1e-9);
    ck_assert_int_eq(scene->axis_u_sign, -1);
    ck_assert_str_eq(scene->title, "Front cut, X = 150 mm, seen from the front");
    tb_scene_unref(scene);
}
END_TEST

/* From the left, the reader at -Y: what lies at Y below the plane is cut away. */
START_TEST(a_side_view_shows_what_lies_to_the_right_of_its_plane)
{
    TbScene *scene = scene_of(TB_SCENE_SIDE, 40, NULL, NULL);

    ck_assert_ptr_null(shape(scene, "tube"));
    ck_assert_ptr_nonnull(shape(scene, "rail"));
    ck_assert_uint_eq(shape(scene, "rail")->cut.loop_count, 0);
    ck_assert_double_eq_tol(fabs(area_of(&shape(scene, "rail")->silhouette, TB_LOOP_OUTER)),
                            400 * 40, 1);
    tb_scene_unref(scene);
}
END_TEST

/* Path along +X without a port: H is +Z, W = T x H is -Y, so the block is at the left. */
START_TEST(a_cut_across_looks_downstream)
{
    TbScene *scene = scene_of(TB_SCENE_ACROSS, 120, "tube", NULL);
    const TbSceneShape *rail = shape(scene, "rail");

    ck_assert_str_eq(scene->title, "Tube, across at station 120 mm, looking downstream");
    ck_assert_double_eq_tol(area_of(&shape(scene, "tube")->cut, TB_LOOP_INNER), -G_PI * 23 * 23, 1);
    ck_assert_double_lt(rail->cut.points[0].x, -43);
    ck_assert_double_eq_tol(scene->plane.n.x, -1, 1e-12);
    ck_assert_uint_eq(scene->gap_count, 1);
    ck_assert_ptr_nonnull(strstr(scene->notes[0], "Inside 46 x 46 mm, area 1661.9 mm²"));
    ck_assert_uint_eq(scene->line_count, 0);
    tb_scene_unref(scene);
}
END_TEST

/* 30 degrees off the path: the round tube's cut is an ellipse of 1/cos 30 times its area. */
START_TEST(a_free_cut_slants_through_the_tube)
{
    double c = cos(G_PI / 6), s = sin(G_PI / 6);
    TbAsk ask = {.bay = bay};
    TbCutAsk cut = {
        .view = TB_SCENE_FREE, .point = {151.3, 7.7, 0}, .look = {c, s, 0}, .up = {0, 0, 1}};
    TbScene *scene = NULL;

    ck_assert_int_eq(tb_study_scene(study, &ask, &cut, NULL, &scene, NULL), TB_OK);
    ck_assert_str_eq(scene->title, "Free cut through X = 151.3; Y = 7.7; Z = 0 mm, "
                                   "seen along 0.866; 0.5; 0");
    ck_assert_double_eq_tol(area_of(&shape(scene, "tube")->cut, TB_LOOP_OUTER),
                            G_PI * 26.7 * 26.7 / c, 1);
    /* X and Y as short as they look, Z up the page, the front towards the reader's right */
    ck_assert_double_eq_tol(fabs(scene->axes[0].x), s, 1e-12);
    ck_assert_double_eq_tol(fabs(scene->axes[1].x), c, 1e-12);
    ck_assert_double_eq_tol(scene->axes[2].y, 1, 1e-12);
    ck_assert_str_eq(scene->axis_u, "");
    ck_assert_str_eq(scene->front, "front");
    tb_scene_unref(scene);
}
END_TEST

/* The plane of the side cut asked as a free one gives the same loops to the last bit. */
START_TEST(a_free_cut_along_an_axis_is_the_usual_view)
{
    TbAsk ask = {.bay = bay};
    TbCutAsk cut = {.view = TB_SCENE_FREE, .point = {0, 3.3, 0}, .look = {0, 1, 0}};
    TbScene *scene = NULL, *side = scene_of(TB_SCENE_SIDE, 3.3, NULL, NULL);

    ck_assert_int_eq(tb_study_scene(study, &ask, &cut, NULL, &scene, NULL), TB_OK);
    ck_assert_uint_eq(scene->shape_count, side->shape_count);
    for (size_t i = 0; i < side->shape_count; i++) {
        const TbCut *a = &scene->shapes[i].cut, *b = &side->shapes[i].cut;

        ck_assert_uint_eq(a->point_count, b->point_count);
        if (b->point_count > 0)
            ck_assert_mem_eq(a->points, b->points, b->point_count * sizeof(TbVec2));
    }
    tb_scene_unref(scene);
    tb_scene_unref(side);
}
END_TEST

START_TEST(a_section_tells_its_measures_inside)
{
    TbScene *scene = scene_of(TB_SCENE_ACROSS, 120, "tube", NULL);

    ck_assert_uint_eq(scene->inside_count, 3); /* round and not turned: no turn */
    ck_assert_str_eq(scene->inside[0], "A 1661.9 mm²");
    ck_assert_str_eq(scene->inside[1], "Dh 46 mm");
    ck_assert_str_eq(scene->inside[2], "wall 3.7 mm");
    tb_scene_unref(scene);
}
END_TEST

/* A second rail without a keep: at 44 + 9 mm the other side; no certified gap is asked to it. */
START_TEST(a_neighbour_without_a_keep_is_measured_within_the_plane)
{
    g_auto(GStrv) halves = g_strsplit(BAY_TUBE, "</items>", 2);
    g_autofree char *text = g_strjoinv("<block id='shelf' name='Shelf' class='cover' mount='body' "
                                       "low='-50 -90 -20' high='350 -53 20'/></items>",
                                       halves);
    TbBay *shelved = bay_of(text);
    TbAsk ask = {.bay = shelved};
    TbCutAsk cut = {.view = TB_SCENE_ACROSS, .at = 120, .item = "tube"};
    TbScene *scene = NULL;
    const TbSceneGap *gap;

    ck_assert_int_eq(tb_study_scene(study, &ask, &cut, NULL, &scene, NULL), TB_OK);
    ck_assert_uint_eq(scene->gap_count, 2);
    ck_assert(!scene->gaps[0].flat);
    gap = &scene->gaps[1];
    ck_assert(gap->flat);
    ck_assert_str_eq(gap->tag_b, "shelf");
    ck_assert(isnan(gap->keep));
    /* the outline's chords lie inside the circle of 26.7 by 1e-3 at most */
    ck_assert_double_ge(gap->gap, 53 - 26.7);
    ck_assert_double_le(gap->gap, 53 - 26.7 + 2e-3);
    ck_assert_double_eq_tol(gap->b.x, 53, 1e-9);
    tb_scene_unref(scene);
    tb_bay_unref(shelved);
}
END_TEST

START_TEST(the_points_of_a_centre_line_know_their_stations_as_drawn)
{
    TbScene *scene = scene_of(TB_SCENE_PLAN, 0, NULL, "hot");
    const TbSceneLine *line = &scene->lines[0];

    ck_assert_double_eq(line->station[0], 0);
    ck_assert_double_eq_tol(line->station[line->count - 1], 300, 1e-9);
    for (size_t i = 1; i < line->count; i++)
        ck_assert_double_gt(line->station[i], line->station[i - 1]);
    tb_scene_unref(scene);
}
END_TEST

START_TEST(ticks_stand_every_50_mm_square_to_the_path_and_tell_stations_as_drawn)
{
    TbScene *scene = scene_of(TB_SCENE_PLAN, 0, NULL, "hot");
    const TbSceneLine *line = &scene->lines[0];
    double k = 1 + 13.5e-6 * 600;

    ck_assert_uint_eq(line->tick_count, 7);
    for (size_t i = 0; i < line->tick_count; i++) {
        ck_assert_double_eq(line->tick_station[i], 50.0 * (double)i);
        /* grown from the datum at X 100 */
        ck_assert_double_eq_tol(line->tick[i].x, 100 + k * (50.0 * (double)i - 100), 1e-6);
        ck_assert_double_eq_tol(fabs(line->tick_direction[i].y), 1, 1e-9);
    }
    tb_scene_unref(scene);
}
END_TEST

static const struct {
    TbCutAsk cut;
    const char *state, *words;
    TbStatus status;
} refused[] = {
    {{.view = TB_SCENE_ACROSS, .at = 120, .item = "nobody"},
     NULL,
     "there is no item nobody",
     TB_E_REFERENCE},
    {{.view = TB_SCENE_ACROSS, .at = 120, .item = "rail"},
     NULL,
     "item rail has no path to cut across",
     TB_E_REFERENCE},
    {{.view = TB_SCENE_ACROSS, .at = 300.5, .item = "tube"},
     NULL,
     "station 300.5 mm is not on tube",
     TB_E_RANGE},
    {{.view = TB_SCENE_ACROSS, .at = -1, .item = "tube"},
     NULL,
     "station -1.0 mm is not on tube",
     TB_E_RANGE},
    {{.view = TB_SCENE_SIDE}, "warm", "there is no state warm", TB_E_REFERENCE},
    {{.view = TB_SCENE_FREE, .point = {1, 2, 3}}, NULL, "has no direction", TB_E_DEGENERATE},
};

START_TEST(a_cut_that_cannot_be_drawn_says_why)
{
    TbAsk ask = {.bay = bay, .state = refused[_i].state};
    TbScene *scene = NULL;
    TbFault fault = {0};

    ck_assert_int_eq(tb_study_scene(study, &ask, &refused[_i].cut, NULL, &scene, &fault),
                     refused[_i].status);
    ck_assert_ptr_null(scene);
    ck_assert_msg(strstr(fault.text, refused[_i].words) != NULL, "said: %s", fault.text);
}
END_TEST

START_TEST(a_strip_has_area_cone_and_gap_along_the_path)
{
    TbAsk ask = {.bay = bay, .station_step = 10};
    TbSceneStrip *strip = NULL;
    const TbSceneChart *gap;

    ck_assert_int_eq(tb_study_strip(study, &ask, "tube", NULL, &strip, NULL), TB_OK);
    ck_assert_uint_eq(strip->chart_count, 5);
    ck_assert_double_eq_tol(strip->length, 300, 1e-9);
    ck_assert_str_eq(strip->charts[0].unit, "mm²");
    ck_assert_double_eq_tol(strip->charts[0].curves[0].value[4], G_PI * 23 * 23, 1e-9);
    ck_assert_double_eq_tol(strip->charts[1].limits[0].value, 7, 1e-12);
    gap = tb_scene_strip_chart(strip, "gap");
    ck_assert_uint_eq(gap->curve_count, 1);
    ck_assert_str_eq(gap->curves[0].label, "Rail, keep 12");
    ck_assert_double_eq(gap->limits[0].value, 12);
    ck_assert_str_eq(gap->limits[0].label, "keep 12 mm");
    for (size_t i = 0; i < gap->curves[0].count; i++) {
        ck_assert_double_le(gap->curves[0].low[i], 17.3 + 1e-9);
        ck_assert_double_ge(gap->curves[0].value[i], 17.3 - 1e-9);
    }
    ck_assert_uint_eq(gap->band_count, 0);
    tb_scene_strip_unref(strip);
}
END_TEST

/* The rail is 44 mm off the axis: 17.3 mm off the wall, 44 - 80/2 = 4 mm off the ring. */
START_TEST(a_ring_that_comes_nearer_than_the_curve_is_noted_under_the_charts)
{
    g_auto(GStrv) halves = g_strsplit(BAY_TUBE, "<section", 2);
    g_autofree char *text = g_strjoinv(
        "<end><ring kind='flange' diameter='80' from='0' to='9'/></end><section", halves);
    TbBay *ringed = bay_of(text);
    TbAsk ask = {.bay = ringed, .station_step = 10};
    TbSceneStrip *strip = NULL;

    ck_assert_int_eq(tb_study_strip(study, &ask, "tube", NULL, &strip, NULL), TB_OK);
    ck_assert_uint_eq(strip->note_count, 1);
    ck_assert_ptr_nonnull(strstr(strip->notes[0], "Rail 4.0 / 12"));
    tb_scene_strip_unref(strip);
    tb_bay_unref(ringed);
    ask.bay = bay;
    ck_assert_int_eq(tb_study_strip(study, &ask, "tube", NULL, &strip, NULL), TB_OK);
    ck_assert_uint_eq(strip->note_count, 0);
    tb_scene_strip_unref(strip);
}
END_TEST

START_TEST(a_stretch_below_the_keep_is_a_band_on_the_gap_chart)
{
    TbBay *stricter = NULL;
    TbAsk ask = {.station_step = 10};
    TbSceneStrip *strip = NULL;
    const TbSceneChart *gap;

    ck_assert_int_eq(tb_edit_set_keep(bay, "k", "cold", 20, &stricter, NULL), TB_OK);
    ask.bay = stricter;
    ck_assert_int_eq(tb_study_strip(study, &ask, "tube", NULL, &strip, NULL), TB_OK);
    gap = tb_scene_strip_chart(strip, "gap");
    ck_assert_uint_eq(gap->band_count, 1);
    ck_assert_double_eq(gap->bands[0].from, 0);
    ck_assert_double_eq_tol(gap->bands[0].to, 300, 1e-9);
    ck_assert_int_eq(gap->bands[0].level, TB_LEVEL_SHORT);
    tb_scene_strip_unref(strip);
    tb_bay_unref(stricter);
}
END_TEST

START_TEST(an_item_becomes_a_closed_mesh_of_its_volume)
{
    TbAsk ask = {.bay = bay};
    TbMesh *outer = NULL, *inner = NULL, *hot = NULL;
    double k = 1 + 13.5e-6 * 600;

    ck_assert_int_eq(tb_study_mesh(study, &ask, "tube", false, 0.02, NULL, &outer, NULL), TB_OK);
    ck_assert_int_eq(tb_study_mesh(study, &ask, "tube", true, 0.02, NULL, &inner, NULL), TB_OK);
    ask.state = "hot";
    ck_assert_int_eq(tb_study_mesh(study, &ask, "tube", false, 0.02, NULL, &hot, NULL), TB_OK);
    ck_assert(tb_mesh_facts(outer).closed);
    /* inside the true surface by at most the chord */
    ck_assert_double_eq_tol(tb_mesh_facts(outer).volume / (G_PI * 26.7 * 26.7 * 300), 1, 2e-3);
    ck_assert_double_eq_tol(tb_mesh_facts(inner).volume / (G_PI * 23 * 23 * 300), 1, 2e-3);
    ck_assert_double_eq_tol(tb_mesh_facts(hot).volume / tb_mesh_facts(outer).volume, k * k * k,
                            2e-3);
    tb_mesh_unref(outer);
    tb_mesh_unref(inner);
    tb_mesh_unref(hot);
    ck_assert_int_eq(tb_study_mesh(study, &ask, "rail", true, 0.02, NULL, &outer, NULL),
                     TB_E_REFERENCE);
}
END_TEST

START_TEST(the_station_table_of_one_item_is_a_csv)
{
    TbAsk ask = {.bay = bay, .station_step = 100};
    g_autofree char *csv = NULL;
    g_auto(GStrv) lines = NULL;
    TbFault fault = {0};

    ck_assert_int_eq(tb_study_stations(study, &ask, "tube", &csv, &fault), TB_OK);
    lines = g_strsplit(csv, "\n", -1);
    ck_assert_uint_eq(g_strv_length(lines), 6); /* head, 0, 100, 200, 300, and after the last LF */
    ck_assert(g_str_has_prefix(lines[2], "100,100,0,0,1,0,0,1661.90"));
    ck_assert_int_eq(tb_study_stations(study, &ask, "rail", &csv, &fault), TB_E_REFERENCE);
    ck_assert_ptr_nonnull(strstr(fault.text, "no stations"));
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("study/scene");
    TCase *c = tcase_create("scene");

    tcase_add_checked_fixture(c, begin, end);
    tcase_add_test(c, a_plan_cut_through_the_axis_shows_the_tube_and_the_block);
    tcase_add_test(c, the_gap_of_the_subject_is_dimensioned_between_its_witness_points);
    tcase_add_test(c, a_front_view_has_y_to_the_left);
    tcase_add_test(c, a_side_view_shows_what_lies_to_the_right_of_its_plane);
    tcase_add_test(c, a_cut_across_looks_downstream);
    tcase_add_test(c, a_free_cut_slants_through_the_tube);
    tcase_add_test(c, a_free_cut_along_an_axis_is_the_usual_view);
    tcase_add_test(c, a_section_tells_its_measures_inside);
    tcase_add_test(c, a_neighbour_without_a_keep_is_measured_within_the_plane);
    tcase_add_test(c, the_points_of_a_centre_line_know_their_stations_as_drawn);
    tcase_add_test(c, ticks_stand_every_50_mm_square_to_the_path_and_tell_stations_as_drawn);
    tcase_add_loop_test(c, a_cut_that_cannot_be_drawn_says_why, 0,
                        (int)(sizeof refused / sizeof refused[0]));
    tcase_add_test(c, a_ring_that_comes_nearer_than_the_curve_is_noted_under_the_charts);
    tcase_add_test(c, a_strip_has_area_cone_and_gap_along_the_path);
    tcase_add_test(c, a_stretch_below_the_keep_is_a_band_on_the_gap_chart);
    tcase_add_test(c, an_item_becomes_a_closed_mesh_of_its_volume);
    tcase_add_test(c, the_station_table_of_one_item_is_a_csv);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
