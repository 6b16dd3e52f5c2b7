/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Names of a sentence's length, of everything that has one: the window keeps its size. */

#include "inside.h"

#include "app/gap_window.h"
#include "app/session_tool.h"

#include <string.h>

/** The screen that all of it must fit. */
#define WIDTH 1280
#define HEIGHT 800

/** Letters of a name. */
#define LETTERS 400

/** Items besides the example's. */
#define MORE_ITEMS 32

static gboolean
lengthen(const GMatchInfo *match, GString *out, void *data)
{
    g_autofree char *name = g_match_info_fetch(match, 2);
    g_autofree char *start = g_match_info_fetch(match, 1);
    g_autoptr(GString) wide = g_string_new(name);

    (void)data;
    while (wide->len < LETTERS)
        g_string_append(wide, " of the bracket behind the upper heat exchanger");
    g_string_truncate(wide, LETTERS);
    g_string_append_printf(out, "%s=\"%s\"", start, wide->str);
    return FALSE;
}

static char *
long_names(const char *text)
{
    g_autoptr(GRegex) names = g_regex_new("\\b(name|title)=\"([^\"]*)\"", 0, 0, NULL);
    g_autoptr(GString) items = g_string_new(NULL);
    g_auto(GStrv) parts = g_strsplit(text, "</items>", 2);
    g_autofree char *whole = NULL;

    for (int i = 0; i < MORE_ITEMS; i++)
        g_string_append_printf(items,
                               "<block id='more-%d' name=\"More %d\" class='structure' "
                               "mount='body' low='%d 0 0' high='%d 40 40'/>",
                               i, i, 2000 + 60 * i, 2040 + 60 * i);
    whole = g_strconcat(parts[0], items->str, "</items>", parts[1], NULL);
    return g_regex_replace_eval(names, whole, -1, 0, 0, lengthen, NULL, NULL);
}

static TbWindow *
window_on_text(const char *text)
{
    g_autofree char *path = g_build_filename(g_get_user_runtime_dir(), "long.bay", NULL);
    g_autoptr(GFile) file = g_file_new_for_path(path);
    TbWindow *window;

    g_assert_true(g_file_set_contents(path, text, -1, NULL));
    tb_open_file(application, file);
    window = TB_WINDOW(gtk_application_get_windows(GTK_APPLICATION(application))->data);
    wait_until(tb_window_session(window) != NULL && is_drawn(window) &&
               tb_session_is_settled(tb_window_session(window)));
    return window;
}

static void
assert_fits(void *window)
{
    int wide = 0, tall = 0;

    gtk_widget_measure(window, GTK_ORIENTATION_HORIZONTAL, -1, &wide, NULL, NULL, NULL);
    gtk_widget_measure(window, GTK_ORIENTATION_VERTICAL, wide, &tall, NULL, NULL, NULL);
    g_assert_cmpint(wide, <=, WIDTH);
    g_assert_cmpint(tall, <=, HEIGHT);
}

static bool
details_show(TbWindow *window, const char *id)
{
    g_autofree char *ending = g_strdup_printf(" · %s", id);
    g_autoptr(GPtrArray) all = g_ptr_array_new();

    gather(GTK_WIDGET(window), all);
    for (guint i = 0; i < all->len; i++)
        if (GTK_IS_LABEL(all->pdata[i]) && gtk_widget_get_mapped(all->pdata[i]) &&
            g_str_has_suffix(gtk_label_get_text(all->pdata[i]), ending))
            return true;
    return false;
}

static void
sixty_items_with_names_of_400_letters_fit_the_window(void)
{
    g_autoptr(GFile) file = bay_file("van-b.bay");
    g_autofree char *text = NULL;
    g_autofree char *wide = NULL;
    TbWindow *window;
    TbSession *session;
    const TbResults *results;

    g_assert_true(g_file_load_contents(file, NULL, &text, NULL, NULL, NULL));
    wide = long_names(text);
    window = window_on_text(wide);
    session = tb_window_session(window);
    results = tb_session_whole_results(session);
    g_assert_cmpuint(results->item_count, >=, 60);
    for (size_t i = 0; i < results->item_count; i++)
        g_assert_cmpuint(strlen(results->items[i].name), ==, LETTERS);
    assert_fits(window);
    tb_session_select(session, "outlet");
    wait_until(details_show(window, "outlet"));
    assert_fits(window);
    tb_session_set_state(session, "hot-rocking");
    wait_until(tb_session_is_settled(session));
    for (size_t i = 0; i < results->finding_count; i++)
        if (results->findings[i].level == TB_LEVEL_SHORT) {
            tb_session_go_to_finding(session, &results->findings[i]);
            break;
        }
    wait_until(tb_session_is_settled(session));
    assert_fits(window);
    tb_session_set_tool(session, TB_TOOL_BLOCK);
    for (int i = 0; i < 20; i++)
        g_main_context_iteration(NULL, FALSE);
    assert_fits(window);
    for (size_t i = 0; i < results->gap_count; i++)
        if (results->gaps[i].scatter != NULL) {
            assert_fits(tb_gap_window_show(GTK_WINDOW(window), session, &results->gaps[i]));
            break;
        }
    close_windows();
}

int
main(int argc, char **argv)
{
    begin_inside(&argc, &argv);
#define ADD(name) g_test_add_func("/window/long_names/" #name, name)
    ADD(sixty_items_with_names_of_400_letters_fit_the_window);
    return run_inside();
}
