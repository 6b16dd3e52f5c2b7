/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/cut_screen.h"

#include "base/mem.h"

#include "draw/fixture.h"
#include "draw/golden.h"
#include "draw/texts.h"
#include "tap.h"

#include <math.h>
#include <string.h>

static Fixture fixture;
static TbPicture picture;
static const TbViewport pane = {
    .width = 117.3, .height = 101.9, .centre = {1225.1, 545.7}, .ratio = 0.2};
static TbCutOther others[2] = {
    {"plane:plan", "Z 640", {{0, 0, 640}, {1, 0, 0}, {0, 1, 0}, {0, 0, 1}}},
    {"plane:front", "X 1210", {{1210, 0, 0}, {0, -1, 0}, {0, 0, 1}, {-1, 0, 0}}}};

static void
set_up(void)
{
    fixture_scene(&fixture);
    fixture.scene.plane = tb_plane_of(tb_vec3(0, 212, 0), tb_vec3(1, 0, 0), tb_vec3(0, 0, 1));
}

static void
tear_down(void)
{
    tb_picture_clear(&picture);
}

static void
draw(TbViewport port, const TbCutScreen *screen)
{
    tb_picture_clear(&picture);
    ck_assert_int_eq(
        tb_cut_screen(&picture, &fixture.scene, port, screen, tb_measurer_plain(), NULL), TB_OK);
}

static bool
touch(TbRectangle a, TbRectangle b)
{
    return a.low.x < b.high.x && b.low.x < a.high.x && a.low.y < b.high.y && b.low.y < a.high.y;
}

/** The box of axes and scale, paper laid over what is under it; empty where there was no room. */
static TbRectangle
corner_box(void)
{
    TbRectangle box = {{INFINITY, INFINITY}, {-INFINITY, -INFINITY}};

    for (size_t i = 0; i < picture.mark_count; i++) {
        const TbMark *mark = &picture.marks[i];

        if (mark->kind == TB_MARK_AREA && mark->pen == TB_PEN_GRID) {
            const TbVec2 *p = picture.points + picture.loops[mark->first_loop].first;

            box = (TbRectangle){p[0], p[2]};
        }
    }
    return box;
}

static bool
lies_in(TbRectangle a, TbRectangle box)
{
    return a.low.x >= box.low.x && a.low.y >= box.low.y && a.high.x <= box.high.x &&
           a.high.y <= box.high.y;
}

/** Every text inside the pane, none on another, on a dimension, on another view's plane, or on a
 * handle. */
static void
assert_labels_are_clear(const TbCutScreen *screen, TbViewport port)
{
    for (size_t i = 0; i < picture.mark_count; i++) {
        const char *text = tb_picture_string(&picture, picture.marks[i].text);
        TbRectangle a;

        if (picture.marks[i].kind != TB_MARK_TEXT)
            continue;
        a = text_box(&picture, &picture.marks[i]);
        ck_assert_msg(a.low.x >= 0 && a.low.y >= 0 && a.high.x <= port.width &&
                          a.high.y <= port.height,
                      "\"%s\" leaves the pane", text);
        for (size_t k = 0; k < picture.mark_count; k++) {
            const TbMark *mark = &picture.marks[k];
            const char *tag = tb_picture_string(&picture, mark->tag);

            if (k > i && mark->kind == TB_MARK_TEXT)
                ck_assert_msg(!touch(a, text_box(&picture, mark)), "\"%s\" lies on \"%s\"", text,
                              tb_picture_string(&picture, mark->text));
            if (mark->kind == TB_MARK_LINE && !lies_in(a, corner_box()) &&
                (strncmp(tag, "gap:", 4) == 0 || strncmp(tag, "plane:", 6) == 0)) {
                const TbVec2 *p = picture.points + picture.loops[mark->first_loop].first;
                TbVec2 from = p[0], to = p[1];

                ck_assert_msg(!tb_rectangle_clip(a, &from, &to), "\"%s\" lies on %s", text, tag);
            }
        }
        for (size_t k = 0; k < screen->keep_off_count; k++) {
            TbVec2 at = tb_viewport_paper(port, screen->keep_off[k]);

            ck_assert_msg(!touch(a, (TbRectangle){{at.x - 2, at.y - 2}, {at.x + 2, at.y + 2}}),
                          "\"%s\" lies on a handle", text);
        }
    }
}

static const TbMark *
find_text(const char *text)
{
    for (size_t i = 0; i < picture.mark_count; i++)
        if (picture.marks[i].kind == TB_MARK_TEXT &&
            strcmp(tb_picture_string(&picture, picture.marks[i].text), text) == 0)
            return &picture.marks[i];
    return NULL;
}

static const TbMark *
find_tag(const char *tag)
{
    for (size_t i = 0; i < picture.mark_count; i++)
        if (strcmp(tb_picture_string(&picture, picture.marks[i].tag), tag) == 0)
            return &picture.marks[i];
    return NULL;
}

/* ---- the viewport ---- */

START_TEST(paper_and_bay_are_each_others_inverse)
{
    TbVec2 p = tb_viewport_paper(pane, tb_vec2(1301.7, 499.3));
    TbVec2 back = tb_viewport_bay(pane, p);

    /* 76.6 mm right of the centre, 46.4 below it, at 1:5 */
    ck_assert_double_eq_tol(p.x, 117.3 / 2 + 76.6 / 5, 1e-9);
    ck_assert_double_eq_tol(p.y, 101.9 / 2 + 46.4 / 5, 1e-9);
    ck_assert_double_eq_tol(back.x, 1301.7, 1e-9);
    ck_assert_double_eq_tol(back.y, 499.3, 1e-9);
}
END_TEST

START_TEST(what_lies_under_the_pointer_stays_there_while_zooming)
{
    TbVec2 pointer = {17.7, 93.1};
    TbVec2 under = tb_viewport_bay(pane, pointer);
    TbViewport port = pane;

    for (int i = 0; i < 60; i++) {
        TbVec2 now;

        port = tb_viewport_zoom_at(port, pointer, i < 40 ? 1.37 : 0.41);
        now = tb_viewport_paper(port, under);
        ck_assert_double_eq_tol(now.x, pointer.x, 1e-6);
        ck_assert_double_eq_tol(now.y, pointer.y, 1e-6);
        ck_assert_double_ge(port.ratio, TB_RATIO_LEAST);
        ck_assert_double_le(port.ratio, TB_RATIO_MOST);
    }
}
END_TEST

START_TEST(drawing_follows_a_pan)
{
    TbVec2 before = tb_viewport_paper(pane, tb_vec2(1200, 500));
    TbVec2 after = tb_viewport_paper(tb_viewport_pan(pane, tb_vec2(7.3, -2.9)), tb_vec2(1200, 500));

    ck_assert_double_eq_tol(after.x - before.x, 7.3, 1e-9);
    ck_assert_double_eq_tol(after.y - before.y, -2.9, 1e-9);
}
END_TEST

START_TEST(fit_shows_the_whole_window_and_touches_two_sides)
{
    TbVec2 low = {1030, 290}, high = {1420, 800};
    TbViewport port = tb_viewport_fit(pane, low, high, 3.5);
    TbVec2 a = tb_viewport_paper(port, low), b = tb_viewport_paper(port, high);

    /* 510 mm of 101.9 - 7 high: the tighter side */
    ck_assert_double_eq_tol(port.ratio, 94.9 / 510, 1e-12);
    ck_assert_double_eq_tol(a.y, 101.9 - 3.5, 1e-9);
    ck_assert_double_eq_tol(b.y, 3.5, 1e-9);
    ck_assert_double_gt(a.x, 3.5);
    ck_assert_double_lt(b.x, 117.3 - 3.5);
}
END_TEST

START_TEST(nothing_to_fit_gives_a_usable_ratio)
{
    TbViewport port = tb_viewport_fit(pane, tb_vec2(5, 5), tb_vec2(5, 5), 3);

    ck_assert_double_eq(port.ratio, 0.5);
    port = tb_viewport_fit(pane, tb_vec2(INFINITY, INFINITY), tb_vec2(-INFINITY, -INFINITY), 3);
    ck_assert(isfinite(port.ratio) && isfinite(port.centre.x) && isfinite(port.centre.y));
    port = tb_viewport_fit((TbViewport){0}, tb_vec2(0, 0), tb_vec2(100, 100), 3);
    ck_assert_double_gt(port.ratio, 0);
}
END_TEST

static const struct {
    double ratio;
    const char *text;
} ratios[] = {{0.5, "1:2"},       {1, "1:1"},      {2, "2:1"},         {0.4, "1:2.5"},
              {0.2127, "1:4.7"},  {1.46, "1.5:1"}, {1 / 13.7, "1:14"}, {1 / 187.0, "1:190"},
              {0.3333333, "1:3"}, {50, "50:1"}};

START_TEST(ratio_is_told_with_two_figures)
{
    char text[24];

    tb_viewport_ratio_text(ratios[_i].ratio, text);
    ck_assert_str_eq(text, ratios[_i].text);
}
END_TEST

/* ---- the drawing ---- */

START_TEST(pane_at_rest_is_as_kept)
{
    TbCutScreen screen = {.others = others, .other_count = 2};

    draw(pane, &screen);
    assert_golden(&picture, "cut-screen");
}
END_TEST

/* Its outline is found by the pointer, what it encloses is not the thing's. */
START_TEST(envelopes_of_what_moves_are_as_kept)
{
    TbCutScreen screen = {.selected = "rail"};
    const char *tag;

    fixture_circle(&fixture, &fixture.shapes[5].envelope, 1093, 622, 23);
    fixture_box(&fixture, &fixture.shapes[1].envelope, 1298, 491, 1379, 592, 0);
    draw(pane, &screen);
    assert_golden(&picture, "cut-envelope");
    tag = tb_picture_hit(&picture, tb_viewport_paper(pane, tb_vec2(1093, 622 - 23)), 0.5);
    ck_assert_str_eq(tag, "harness");
    tag = tb_picture_hit(&picture, tb_viewport_paper(pane, tb_vec2(1078, 630)), 0.1);
    ck_assert(tag == NULL || strcmp(tag, "harness") != 0);
}
END_TEST

/* The gap of 26.04 mm is 1.0252 in, its keep of 30 mm 1.181 in. */
START_TEST(pane_in_inches_is_as_kept)
{
    TbCutScreen screen = {.others = others, .other_count = 2};

    fixture.scene.unit = TB_UNIT_INCH;
    draw(pane, &screen);
    assert_golden(&picture, "cut-screen-inch");
}
END_TEST

START_TEST(selected_item_with_handles_is_as_kept)
{
    TbVec2 handles[3] = {{1311, 505}, {1341, 542.5}, {1371, 580}};
    const char *hidden[] = {"cover", "scan"};
    TbCutScreen screen = {.selected = "rail",
                          .hidden = hidden,
                          .hidden_count = 2,
                          .keep_off = handles,
                          .keep_off_count = 3};

    draw(pane, &screen);
    assert_golden(&picture, "cut-screen-selected");
}
END_TEST

START_TEST(no_label_lies_on_anything_at_any_zoom)
{
    TbVec2 handles[5] = {{1311, 505}, {1341, 542.5}, {1371, 580}, {1180, 735}, {1270, 540}};
    TbCutScreen screen = {.selected = "outlet",
                          .others = others,
                          .other_count = 2,
                          .keep_off = handles,
                          .keep_off_count = 5};
    static const TbVec2 sizes[] = {{117.3, 101.9}, {61, 44}, {402, 231}, {90, 260}, {21, 17}};

    for (size_t k = 0; k < sizeof sizes / sizeof sizes[0]; k++)
        for (double ratio = 0.021; ratio < 40; ratio *= 1.61) {
            TbViewport port = {sizes[k].x, sizes[k].y, {1262.3, 561.7}, ratio};

            draw(port, &screen);
            assert_labels_are_clear(&screen, port);
        }
}
END_TEST

START_TEST(other_planes_are_lines_that_a_hit_finds)
{
    TbCutScreen screen = {.others = others, .other_count = 2};
    TbVec2 at = tb_viewport_paper(pane, tb_vec2(1111.3, 640));
    const TbMark *line;

    draw(pane, &screen);
    line = find_tag("plane:plan");
    ck_assert_ptr_nonnull(line);
    ck_assert_double_eq_tol(picture.points[picture.loops[line->first_loop].first].y, at.y, 1e-9);
    ck_assert_str_eq(tb_picture_hit(&picture, at, 0.5), "plane:plan");
    at = tb_viewport_paper(pane, tb_vec2(1210, 401.3));
    ck_assert_str_eq(tb_picture_hit(&picture, at, 0.2), "plane:front");
    ck_assert_ptr_nonnull(find_text("Z 640"));
    ck_assert_ptr_nonnull(find_text("X 1210"));
}
END_TEST

/* The same kind of plane has no line here, and one far beside the pane is not drawn. */
START_TEST(planes_that_do_not_meet_the_pane_are_left_out)
{
    TbCutOther away[2] = {{"plane:side", "Y 50", {{0, 50, 0}, {1, 0, 0}, {0, 0, 1}, {0, -1, 0}}},
                          {"plane:plan", "Z 99", {{0, 0, 99}, {1, 0, 0}, {0, 1, 0}, {0, 0, 1}}}};
    TbCutScreen screen = {.others = away, .other_count = 2};

    draw(pane, &screen);
    ck_assert_ptr_null(find_tag("plane:side"));
    ck_assert_ptr_null(find_tag("plane:plan"));
}
END_TEST

START_TEST(what_is_hidden_is_not_drawn_nor_named_nor_dimensioned)
{
    const char *hidden[] = {"rail"};
    TbCutScreen screen = {.hidden = hidden, .hidden_count = 1};

    draw(pane, &screen);
    ck_assert_ptr_null(find_tag("rail"));
    ck_assert_ptr_null(find_tag("gap:0"));
    ck_assert_ptr_null(find_text("Subframe cross rail"));
    ck_assert_ptr_nonnull(find_tag("gap:1"));
}
END_TEST

START_TEST(selected_outline_is_in_the_selections_ink)
{
    TbCutScreen screen = {.selected = "brake"};

    draw(pane, &screen);
    ck_assert_int_eq(find_tag("brake")->ink, TB_INK_SELECT);
    ck_assert_int_eq(find_tag("rail")->ink, TB_INK_STRUCTURE_EDGE);
    ck_assert_int_eq(find_text("Brake line")->ink, TB_INK_SELECT);
}
END_TEST

/* The rail lies right of the pane: an arrow at the right edge, its tip nearest to the rail. */
START_TEST(selected_item_beside_the_pane_is_pointed_at)
{
    TbCutScreen screen = {.selected = "rail"};
    TbViewport port = {60.7, 50.3, {1000, 540}, 0.3};
    const TbMark *name;

    draw(port, &screen);
    name = find_text("Subframe cross rail");
    ck_assert_ptr_nonnull(name);
    ck_assert_int_eq(name->ink, TB_INK_SELECT);
    ck_assert_ptr_null(find_tag("rail"));
    assert_labels_are_clear(&screen, port);
    /* and not where it is seen */
    draw(pane, &screen);
    ck_assert_ptr_nonnull(find_tag("rail"));
    /* nothing is said of what is hidden */
    screen.hidden = &screen.selected;
    screen.hidden_count = 1;
    draw(port, &screen);
    ck_assert_ptr_null(find_text("Subframe cross rail"));
}
END_TEST

/* A scan's outline of 200,000 points, zoomed in and out: what is kept is bounded by the pane. */
START_TEST(very_long_outlines_cost_what_the_pane_can_show)
{
    enum { N = 200000 };
    TbVec2 *ring = tb_alloc_array(N, sizeof(TbVec2));
    TbLoop loop = {0, N, TB_LOOP_OUTER, 0, 0};
    TbSceneShape shape = {.tag = "scan", .label = "Scan", .look = TB_LOOK_SCAN};

    for (int i = 0; i < N; i++) {
        double a = 2 * M_PI * i / N;
        double r = 171.3 + 0.02 * sin(977 * a);

        ring[i] = tb_vec2(1225.1 + r * cos(a), 545.7 + r * sin(a));
    }
    shape.cut = (TbCut){ring, N, 0, &loop, 1, 0};
    fixture.scene.shapes = &shape;
    fixture.scene.shape_count = 1;
    fixture.scene.gap_count = 0;
    fixture.scene.line_count = 0;
    for (double ratio = 0.01; ratio < 45; ratio *= 3.1) {
        TbCutScreen screen = {.pixel = 1 / 3.2};
        TbViewport port = pane;
        double worst = 0;

        port.ratio = ratio;
        port.centre.x += ratio > 1 ? 171.3 : 0;
        draw(port, &screen);
        ck_assert_uint_lt(picture.point_count, 8000);
        /* no kept point leaves the true ring by more than what was allowed */
        for (size_t i = 0; i < picture.mark_count; i++) {
            const TbMark *mark = &picture.marks[i];
            TbLoopSpan span;

            if (mark->kind != TB_MARK_AREA || mark->tag == 0)
                continue;
            span = picture.loops[mark->first_loop];
            for (size_t k = 0; k + 1 < span.count; k++) {
                TbVec2 a = picture.points[span.first + k], b = picture.points[span.first + k + 1];
                TbVec2 middle = tb_viewport_bay(port, tb_vec2_scale(tb_vec2_add(a, b), 0.5));

                if (middle.x - port.centre.x > port.width / 2 / ratio ||
                    middle.x - port.centre.x < -port.width / 2 / ratio ||
                    fabs(middle.y - port.centre.y) > port.height / 2 / ratio)
                    continue;
                worst =
                    fmax(worst, fabs(hypot(middle.x - 1225.1, middle.y - 545.7) - 171.3) - 0.02);
            }
        }
        ck_assert_double_le(worst * ratio, 0.33 / 3.2);
    }
    tb_free(ring);
}
END_TEST

/* What was left out of an outline that runs far beside the pane must not fill other than before. */
START_TEST(thinned_outline_encloses_the_same_points_of_the_pane)
{
    enum { N = 900 };
    TbVec2 ring[N];
    TbLoop loop = {0, N, TB_LOOP_OUTER, 0, 0};
    TbSceneShape shape = {.tag = "star", .label = "Star", .look = TB_LOOK_COVER};
    TbCutScreen screen = {0};
    TbViewport port = {60.7, 41.3, {0, 0}, 1.0};
    size_t asked = 0;

    /* a star whose arms leave the pane on all sides and come back */
    for (int i = 0; i < N; i++) {
        double a = 2 * M_PI * i / N;
        double r = 70 + 61 * cos(7 * a);

        ring[i] = tb_vec2(r * cos(a), r * sin(a));
    }
    shape.cut = (TbCut){ring, N, 0, &loop, 1, 0};
    fixture.scene.shapes = &shape;
    fixture.scene.shape_count = 1;
    fixture.scene.gap_count = 0;
    fixture.scene.line_count = 0;
    draw(port, &screen);
    {
        const TbMark *mark = find_tag("star");
        TbLoopSpan span = picture.loops[mark->first_loop];

        ck_assert_uint_lt(span.count, N / 2);
        for (double x = 0.77; x < port.width; x += 1.13)
            for (double y = 0.61; y < port.height; y += 1.07) {
                TbVec2 q = tb_viewport_bay(port, tb_vec2(x, y));

                /* on the edge either way will do */
                if (tb_polygon_edge_distance(ring, N, q) < 0.2)
                    continue;
                asked++;
                ck_assert_int_eq(
                    tb_polygon_holds(picture.points + span.first, span.count, tb_vec2(x, y)),
                    tb_polygon_holds(ring, N, q));
            }
    }
    ck_assert_uint_gt(asked, 1000);
}
END_TEST

/* ---- what lies over it ---- */

START_TEST(overlay_is_as_kept)
{
    TbCutHandle handles[4] = {
        {.at = {1180, 735}, .mark = TB_HANDLE_MARK_SQUARE},
        {.at = {1305.4, 500}, .mark = TB_HANDLE_MARK_SQUARE, .active = true},
        {.at = {1341, 580}, .toward = {0, 1}, .mark = TB_HANDLE_MARK_BAR},
        {.at = {1311, 542}, .toward = {-0.6, 0.8}, .mark = TB_HANDLE_MARK_ARROW}};
    TbVec2 band[3] = {{1100, 600}, {1140, 640}, {1151.3, 577}};
    double stations[11];
    TbCutOverlay overlay = {.hovered = "brake",
                            .says = "Brake line\n26.0 of 30 mm",
                            .pointer = {71.1, 33.3},
                            .cursor_item = "outlet",
                            .cursor = 184.2,
                            .handles = handles,
                            .handle_count = 4,
                            .band = band,
                            .band_count = 3};

    memcpy(stations, fixture.stations, sizeof stations);
    fixture.line.station = stations;
    ck_assert_int_eq(
        tb_cut_overlay(&picture, &fixture.scene, pane, &overlay, tb_measurer_plain(), NULL), TB_OK);
    assert_golden(&picture, "cut-overlay");
}
END_TEST

START_TEST(the_ring_of_the_handle_that_keys_move_is_round_it)
{
    TbCutHandle handles[2] = {{.at = {1180, 735}, .active = true},
                              {.at = {1305.4, 500}, .active = true, .focus = true}};
    TbCutOverlay overlay = {.cursor = NAN, .handles = handles, .handle_count = 2};
    TbVec2 want = tb_viewport_paper(pane, handles[1].at), low, high;

    ck_assert_int_eq(
        tb_cut_overlay(&picture, &fixture.scene, pane, &overlay, tb_measurer_plain(), NULL), TB_OK);
    /* a square, the ring's paper, the ring, a square: what is without the focus has no ring */
    ck_assert_uint_eq(picture.mark_count, 4);
    ck_assert_int_eq(picture.marks[2].ink, TB_INK_SELECT);
    tb_picture_mark_box(&picture, &picture.marks[2], 0, &low, &high);
    ck_assert_double_eq_tol((low.x + high.x) / 2, want.x, 1e-9);
    ck_assert_double_eq_tol((low.y + high.y) / 2, want.y, 1e-9);
    tb_picture_mark_box(&picture, &picture.marks[3], 0, &handles[0].at, &handles[0].toward);
    ck_assert_double_lt(low.x, handles[0].at.x);
    ck_assert_double_gt(high.y, handles[0].toward.y);
}
END_TEST

START_TEST(station_on_a_line_lies_between_its_points)
{
    double stations[11];
    TbVec2 at, across, want;

    memcpy(stations, fixture.stations, sizeof stations);
    fixture.line.station = stations;
    ck_assert(tb_scene_station(&fixture.scene, "outlet", 120, &at, &across));
    want =
        tb_vec2_add(tb_vec2_scale(fixture_path(0.2), 0.6), tb_vec2_scale(fixture_path(0.3), 0.4));
    ck_assert_double_eq_tol(at.x, want.x, 1e-9);
    ck_assert_double_eq_tol(at.y, want.y, 1e-9);
    ck_assert_double_eq_tol(tb_vec2_length(across), 1, 1e-12);
    ck_assert_double_eq_tol(tb_vec2_dot(across, tb_vec2_sub(fixture_path(0.3), fixture_path(0.2))),
                            0, 1e-9);
    ck_assert(!tb_scene_station(&fixture.scene, "outlet", 501, &at, &across));
    ck_assert(!tb_scene_station(&fixture.scene, "rail", 20, &at, &across));
    fixture.line.station = NULL;
    ck_assert(!tb_scene_station(&fixture.scene, "outlet", 120, &at, &across));
}
END_TEST

START_TEST(note_of_the_pointer_stays_in_the_pane)
{
    static const TbVec2 pointers[] = {{1, 1}, {116, 1}, {1, 101}, {116, 101}, {60, 50}};

    for (size_t i = 0; i < sizeof pointers / sizeof pointers[0]; i++) {
        TbCutOverlay overlay = {.says = "A long name of a harness sleeve\n103.4 of 50 mm",
                                .pointer = pointers[i],
                                .cursor = NAN};

        tb_picture_clear(&picture);
        ck_assert_int_eq(
            tb_cut_overlay(&picture, &fixture.scene, pane, &overlay, tb_measurer_plain(), NULL),
            TB_OK);
        assert_labels_are_clear(&(TbCutScreen){0}, pane);
        for (size_t k = 0; k < picture.mark_count; k++) {
            TbRectangle under = {{pointers[i].x - 2, pointers[i].y - 2},
                                 {pointers[i].x + 2, pointers[i].y + 2}};

            if (picture.marks[k].kind == TB_MARK_TEXT)
                ck_assert(!touch(text_box(&picture, &picture.marks[k]), under));
        }
    }
}
END_TEST

/** What is drawn with a memo is what is drawn without one. */
static void
assert_memo_changes_nothing(TbCutMemo *memo,
                            TbScene *scene,
                            TbViewport port,
                            const TbCutScreen *screen)
{
    TbCutScreen with = *screen;
    TbPicture again;
    char *fresh, *kept;

    with.memo = memo;
    tb_picture_clear(&picture);
    ck_assert_int_eq(tb_cut_screen(&picture, scene, port, screen, tb_measurer_plain(), NULL),
                     TB_OK);
    ck_assert_int_eq(tb_cut_screen(&again, scene, port, &with, tb_measurer_plain(), NULL), TB_OK);
    fresh = tb_picture_dump(&picture);
    kept = tb_picture_dump(&again);
    ck_assert_str_eq(fresh, kept);
    tb_free(fresh);
    tb_free(kept);
    tb_picture_clear(&again);
}

START_TEST(what_the_last_drawing_left_changes_no_drawing)
{
    static Fixture moved, fewer;
    const char *hidden[] = {"cover"};
    TbCutScreen screen = {.others = others, .other_count = 2};
    TbViewport near_by = tb_viewport_zoom_at(pane, tb_vec2(47.3, 51.9), 2.3);
    TbCutMemo *memo = tb_cut_memo_new();

    fixture_scene(&moved);
    fixture_scene(&fewer);
    moved.scene.plane = fewer.scene.plane = fixture.scene.plane;
    /* they are not on the heap: nobody may give them back */
    fixture.scene.references = moved.scene.references = fewer.scene.references = 100;
    for (size_t i = 0; i < moved.shapes[1].cut.point_count; i++)
        moved.shapes[1].cut.points[i].x -= 13.7;
    fewer.shapes[2] = fewer.shapes[6];
    fewer.scene.shape_count = 6;

    assert_memo_changes_nothing(memo, &fixture.scene, pane, &screen);
    assert_memo_changes_nothing(memo, &fixture.scene, pane, &screen);
    assert_memo_changes_nothing(memo, &moved.scene, pane, &screen);
    screen.selected = "rail";
    assert_memo_changes_nothing(memo, &moved.scene, pane, &screen);
    screen.hidden = hidden;
    screen.hidden_count = 1;
    assert_memo_changes_nothing(memo, &fixture.scene, pane, &screen);
    screen.hidden_count = 0;
    assert_memo_changes_nothing(memo, &fixture.scene, pane, &screen);
    assert_memo_changes_nothing(memo, &fewer.scene, pane, &screen);
    assert_memo_changes_nothing(memo, &fixture.scene, pane, &screen);
    assert_memo_changes_nothing(memo, &fixture.scene, near_by, &screen);
    assert_memo_changes_nothing(memo, &fixture.scene, tb_viewport_pan(near_by, tb_vec2(3.1, 1)),
                                &screen);
    tb_cut_memo_free(memo);
    ck_assert_int_eq(fixture.scene.references, 100);
    ck_assert_int_eq(moved.scene.references, 100);
}
END_TEST

/** The harness has an outline too, nearer than the shaft or further off, that covers its middle. */
static void
veil_shaft(Fixture *f, double height)
{
    fixture_scene(f);
    fixture_box(f, &f->shapes[5].silhouette, 1307, 643, 1371, 702, 0);
    f->shapes[5].height = height;
    f->scene.plane = fixture.scene.plane;
    f->scene.references = 100;
}

/* The shaft lies beyond the plane and is selected: its leader ends where nothing hides it. */
START_TEST(what_hides_an_outline_moves_its_leader_with_a_memo_too)
{
    static Fixture covered, before, behind;
    Fixture *const scenes[] = {&fixture, &covered, &fixture, &before, &behind, &before, &fixture};
    TbCutScreen screen = {.selected = "shaft"};
    TbCutMemo *memo = tb_cut_memo_new();

    veil_shaft(&before, 1);
    veil_shaft(&behind, -1);
    fixture_scene(&covered);
    covered.scene.plane = fixture.scene.plane;
    fixture.scene.references = covered.scene.references = 100;
    for (size_t i = 0; i < covered.shapes[1].cut.point_count; i++)
        covered.shapes[1].cut.points[i].y += 117.3;
    for (size_t i = 0; i < sizeof scenes / sizeof *scenes; i++)
        assert_memo_changes_nothing(memo, &scenes[i]->scene, pane, &screen);
    tb_cut_memo_free(memo);
}
END_TEST

START_TEST(pane_without_room_fails_clean_at_every_request)
{
    TbCutScreen screen = {.selected = "rail", .others = others, .other_count = 2};
    long most;

    tb_mem_fail_at(1000000);
    draw(pane, &screen);
    most = tb_mem_requests();
    tb_mem_fail_at(0);
    for (long n = 1; n <= most; n++) {
        TbFault fault = {0};

        tb_picture_clear(&picture);
        tb_mem_fail_at(n);
        if (tb_cut_screen(&picture, &fixture.scene, pane, &screen, tb_measurer_plain(), &fault) !=
            TB_OK)
            ck_assert_int_eq(fault.status, TB_E_MEMORY);
        tb_mem_fail_at(0);
    }
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("draw/cut_screen");
    TCase *c = tcase_create("cut_screen");

    tcase_add_checked_fixture(c, set_up, tear_down);
    tcase_add_test(c, paper_and_bay_are_each_others_inverse);
    tcase_add_test(c, what_lies_under_the_pointer_stays_there_while_zooming);
    tcase_add_test(c, drawing_follows_a_pan);
    tcase_add_test(c, fit_shows_the_whole_window_and_touches_two_sides);
    tcase_add_test(c, nothing_to_fit_gives_a_usable_ratio);
    tcase_add_loop_test(c, ratio_is_told_with_two_figures, 0,
                        (int)(sizeof ratios / sizeof ratios[0]));
    tcase_add_test(c, pane_at_rest_is_as_kept);
    tcase_add_test(c, envelopes_of_what_moves_are_as_kept);
    tcase_add_test(c, pane_in_inches_is_as_kept);
    tcase_add_test(c, selected_item_with_handles_is_as_kept);
    tcase_add_test(c, no_label_lies_on_anything_at_any_zoom);
    tcase_add_test(c, other_planes_are_lines_that_a_hit_finds);
    tcase_add_test(c, planes_that_do_not_meet_the_pane_are_left_out);
    tcase_add_test(c, what_is_hidden_is_not_drawn_nor_named_nor_dimensioned);
    tcase_add_test(c, selected_outline_is_in_the_selections_ink);
    tcase_add_test(c, selected_item_beside_the_pane_is_pointed_at);
    tcase_add_test(c, very_long_outlines_cost_what_the_pane_can_show);
    tcase_add_test(c, thinned_outline_encloses_the_same_points_of_the_pane);
    tcase_add_test(c, overlay_is_as_kept);
    tcase_add_test(c, the_ring_of_the_handle_that_keys_move_is_round_it);
    tcase_add_test(c, station_on_a_line_lies_between_its_points);
    tcase_add_test(c, note_of_the_pointer_stays_in_the_pane);
    tcase_add_test(c, what_the_last_drawing_left_changes_no_drawing);
    tcase_add_test(c, what_hides_an_outline_moves_its_leader_with_a_memo_too);
    tcase_add_test(c, pane_without_room_fails_clean_at_every_request);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
