/* SPDX-License-Identifier: GPL-3.0-or-later */

/* What a tool draws over a cut, as marks. */

#include "app/tool_over.h"
#include "base/mem.h"
#include "loop.h"
#include "scenes.h"

#include <math.h>

static TbSession *session;
static TbViewport port;
static TbSnap snap;

static void
set_up(void)
{
    TbStore *store = tb_store_new();
    TbBay *bay = scene_bay(snap_kit);

    session = tb_session_new(bay, NULL, store, NULL);
    tb_bay_unref(bay);
    tb_store_unref(store);
    tb_session_set_plane(session, TB_SCENE_SIDE, -120);
    settle(session);
    /* 1:2, X 400 and Z 0 in the middle of a pane of 300 x 200 mm */
    port = (TbViewport){.width = 300, .height = 200, .centre = {400, 0}, .ratio = 0.5};
}

static void
take_down(void)
{
    g_clear_object(&session);
}

static void
aim(double x, double z)
{
    TbVec2 at = {x, z};

    ck_assert(tb_session_snap(session, TB_SLOT_LEFT, port.ratio, at, false, &snap));
    tb_session_tool_aim(session, TB_SLOT_LEFT, at, &snap);
}

/* The marks as text; freed by tb_free(). */
static char *
drawn(TbVec2 pointer)
{
    TbToolOver over = {.here = true, .pointer = pointer, .snap = &snap};
    TbPicture picture;
    char *dump;

    tb_picture_init(&picture, port.width, port.height);
    tb_tool_over_draw(session, tb_session_scene(session, TB_SLOT_LEFT, NULL), port, &over,
                      tb_measurer_plain(), &picture);
    ck_assert_int_eq(picture.status, TB_OK);
    dump = tb_picture_dump(&picture);
    tb_picture_clear(&picture);
    return dump;
}

static void
assert_has(const char *dump, const char *part)
{
    ck_assert_msg(strstr(dump, part) != NULL, "no '%s' in:\n%s", part, dump);
}

START_TEST(without_a_tool_nothing_is_drawn)
{
    TbPicture picture;
    TbToolOver over = {.here = true};

    tb_picture_init(&picture, port.width, port.height);
    tb_tool_over_draw(session, tb_session_scene(session, TB_SLOT_LEFT, NULL), port, &over,
                      tb_measurer_plain(), &picture);
    ck_assert_uint_eq(picture.mark_count, 0);
    tb_picture_clear(&picture);
}
END_TEST

START_TEST(a_block_shows_its_sides_and_what_it_snaps_to)
{
    char *dump;

    tb_session_set_tool(session, TB_TOOL_BLOCK);
    aim(400, 60);
    tb_session_tool_set(session, false);
    aim(610.4, -20.2);
    dump = drawn(tb_viewport_paper(port, tb_vec2(610.4, -20.2)));
    assert_has(dump, "corner of Frame rail");
    assert_has(dump, "211.2"); /* 611.2 - 400 */
    assert_has(dump, "81.9");  /* 60 + 21.9 */
    tb_free(dump);
}
END_TEST

START_TEST(words_at_the_panes_edge_stay_in_it)
{
    static const TbVec2 corners[] = {{0, 0}, {300, 0}, {0, 200}, {300, 200}};

    tb_session_set_tool(session, TB_TOOL_LINE);
    for (size_t i = 0; i < G_N_ELEMENTS(corners); i++) {
        TbVec2 at = tb_viewport_bay(port, corners[i]);
        TbPicture picture;
        TbToolOver over = {.here = true, .pointer = corners[i], .snap = &snap};

        aim(at.x, at.y);
        tb_picture_init(&picture, port.width, port.height);
        tb_tool_over_draw(session, tb_session_scene(session, TB_SLOT_LEFT, NULL), port, &over,
                          tb_measurer_plain(), &picture);
        for (size_t k = 0; k < picture.mark_count; k++)
            if (picture.marks[k].kind == TB_MARK_TEXT) {
                ck_assert(picture.marks[k].at.x >= 0 && picture.marks[k].at.x <= port.width);
                ck_assert(picture.marks[k].at.y >= 0 && picture.marks[k].at.y <= port.height);
            }
        tb_picture_clear(&picture);
    }
}
END_TEST

START_TEST(a_measure_is_a_dimension_with_its_length)
{
    char *dump;

    tb_session_set_tool(session, TB_TOOL_MEASURE);
    aim(103.7, -21.9);
    tb_session_tool_set(session, false);
    aim(611.2, -117.3);
    dump = drawn(tb_vec2(100, 100));
    /* sqrt(507.5^2 + 95.4^2) = 516.39 */
    assert_has(dump, "516.4");
    tb_free(dump);
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("app/tool_over");
    TCase *c = tcase_create("over");

    tcase_set_timeout(c, TB_TEST_LIMIT);
    tcase_add_checked_fixture(c, set_up, take_down);
    tcase_add_test(c, without_a_tool_nothing_is_drawn);
    tcase_add_test(c, a_block_shows_its_sides_and_what_it_snaps_to);
    tcase_add_test(c, words_at_the_panes_edge_stay_in_it);
    tcase_add_test(c, a_measure_is_a_dimension_with_its_length);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
