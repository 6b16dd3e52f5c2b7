/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "tap.h"

#include "app/places.h"
#include "bay/read.h"
#include "small_kit.h"

#include <string.h>

static TbSession *
session_of(const char *path)
{
    TbStore *store = tb_store_new();
    TbBay *bay = NULL;
    g_autoptr(GFile) file = path == NULL ? NULL : g_file_new_for_path(path);
    TbSession *session;

    ck_assert_int_eq(tb_bay_read_bytes(small_kit, strlen(small_kit), &bay, NULL), TB_OK);
    session = tb_session_new(bay, file, store, NULL);
    tb_bay_unref(bay);
    tb_store_unref(store);
    return session;
}

static void
put_somewhere(TbSession *session)
{
    tb_session_set_view(session, TB_SLOT_MIDDLE, TB_SCENE_FRONT);
    tb_session_set_plane(session, TB_SCENE_SIDE, -13.7);
    tb_session_select(session, "brake");
    tb_session_set_cursor(session, "runner", 41.3);
    tb_session_set_state(session, "hot");
    tb_session_set_variant(session, "tall");
    tb_session_set_hidden(session, "rail", true);
    tb_session_set_zoom(session, TB_SLOT_MIDDLE, TB_SCENE_FRONT,
                        (TbSessionZoom){{-12.7, 431.5}, 0.377});
    tb_session_set_zoom(session, TB_SLOT_ACROSS, TB_SCENE_ACROSS,
                        (TbSessionZoom){{3.1, -4.9}, 1.9});
    tb_session_set_stretch(session, 21.3, 87.9);
}

START_TEST(a_file_opens_again_where_it_was_left)
{
    g_autoptr(GSettings) settings = g_settings_new("net.tightbay.Tightbay");
    g_autoptr(TbSession) left = session_of("/nowhere/a.bay");
    g_autoptr(TbSession) again = session_of("/nowhere/a.bay");
    double from, to;

    put_somewhere(left);
    tb_places_keep(settings, left);
    tb_places_restore(settings, again);
    ck_assert_int_eq(tb_session_view(again, TB_SLOT_MIDDLE), TB_SCENE_FRONT);
    ck_assert_int_eq(tb_session_view(again, TB_SLOT_LEFT), TB_SCENE_SIDE);
    ck_assert_double_eq(tb_session_cut(again, TB_SCENE_SIDE).at, -13.7);
    ck_assert_str_eq(tb_session_cursor_item(again), "runner");
    ck_assert_double_eq(tb_session_cursor(again), 41.3);
    ck_assert_str_eq(tb_session_state(again), "hot");
    ck_assert_str_eq(tb_session_variant(again), "tall");
    ck_assert(tb_session_is_hidden(again, "rail"));
    ck_assert(!tb_session_is_hidden(again, "head"));
    ck_assert_str_eq(tb_session_selected(again), "brake");
    ck_assert_double_eq(tb_session_zoom(again, TB_SLOT_MIDDLE, TB_SCENE_FRONT).ratio, 0.377);
    ck_assert_double_eq(tb_session_zoom(again, TB_SLOT_MIDDLE, TB_SCENE_FRONT).centre.x, -12.7);
    ck_assert_double_eq(tb_session_zoom(again, TB_SLOT_MIDDLE, TB_SCENE_FRONT).centre.y, 431.5);
    ck_assert_double_eq(tb_session_zoom(again, TB_SLOT_ACROSS, TB_SCENE_ACROSS).ratio, 1.9);
    ck_assert_double_eq(tb_session_zoom(again, TB_SLOT_LEFT, TB_SCENE_SIDE).ratio, 0);
    tb_session_stretch(again, &from, &to);
    ck_assert_double_eq(from, 21.3);
    ck_assert_double_eq(to, 87.9);
}
END_TEST

START_TEST(another_file_and_an_untitled_bay_are_not_touched)
{
    g_autoptr(GSettings) settings = g_settings_new("net.tightbay.Tightbay");
    g_autoptr(TbSession) left = session_of("/nowhere/a.bay");
    g_autoptr(TbSession) other = session_of("/nowhere/b.bay");
    g_autoptr(TbSession) untitled = session_of(NULL);

    put_somewhere(left);
    tb_places_keep(settings, left);
    put_somewhere(untitled);
    tb_places_keep(settings, untitled);
    tb_places_restore(settings, other);
    ck_assert_str_eq(tb_session_state(other), "cold");
    ck_assert_int_eq(tb_session_view(other, TB_SLOT_MIDDLE), TB_SCENE_PLAN);
}
END_TEST

START_TEST(what_the_bay_lost_meanwhile_is_left_out)
{
    g_autoptr(GSettings) settings = g_settings_new("net.tightbay.Tightbay");
    g_autoptr(TbSession) session = session_of("/nowhere/a.bay");
    double from, to;
    GVariant *value = g_variant_new_parsed(
        "[('file:///nowhere/a.bay', {'path': <'gone'>, 'station': <12.5>, 'state': <'warm'>, "
        "'variant': <'flat'>, 'hidden': <['gone']>, 'views': <(99, 2)>, 'planes': <7>, 'selected': "
        "<'gone'>, "
        "'stretch': <(3.0, 9.0)>, 'zooms': <[(0, 0, 1.0, 2.0, -3.0), (9, 0, 1.0, 2.0, 0.5), "
        "(1, 77, 1.0, 2.0, 0.5)]>})]");

    g_settings_set_value(settings, "places", value);
    tb_places_restore(settings, session);
    ck_assert_str_eq(tb_session_cursor_item(session), "outlet");
    ck_assert_str_eq(tb_session_state(session), "cold");
    ck_assert_str_eq(tb_session_variant(session), "low");
    ck_assert_int_eq(tb_session_view(session, TB_SLOT_LEFT), TB_SCENE_SIDE);
    ck_assert_int_eq(tb_session_view(session, TB_SLOT_MIDDLE), TB_SCENE_FRONT);
    ck_assert(!tb_session_is_hidden(session, "gone"));
    ck_assert_ptr_null(tb_session_selected(session));
    ck_assert_double_eq(tb_session_zoom(session, TB_SLOT_LEFT, TB_SCENE_SIDE).ratio, 0);
    tb_session_stretch(session, &from, &to);
    ck_assert_double_eq(to, 0);
}
END_TEST

START_TEST(the_oldest_of_many_files_is_forgotten)
{
    g_autoptr(GSettings) settings = g_settings_new("net.tightbay.Tightbay");
    g_autoptr(TbSession) session = session_of("/nowhere/0.bay");
    g_autoptr(TbSession) oldest = session_of("/nowhere/2.bay");
    g_autoptr(GVariant) places = NULL;

    put_somewhere(session);
    for (int i = 0; i < TB_PLACES_MOST + 3; i++) {
        g_autofree char *path = g_strdup_printf("/nowhere/%d.bay", i);
        g_autoptr(GFile) file = g_file_new_for_path(path);

        tb_session_set_file(session, file);
        tb_places_keep(settings, session);
    }
    places = g_settings_get_value(settings, "places");
    ck_assert_uint_eq(g_variant_n_children(places), TB_PLACES_MOST);
    tb_places_restore(settings, oldest);
    ck_assert_str_eq(tb_session_state(oldest), "cold");
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("app/places");
    TCase *tests = tcase_create("places");

    tcase_add_test(tests, a_file_opens_again_where_it_was_left);
    tcase_add_test(tests, another_file_and_an_untitled_bay_are_not_touched);
    tcase_add_test(tests, what_the_bay_lost_meanwhile_is_left_out);
    tcase_add_test(tests, the_oldest_of_many_files_is_forgotten);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
