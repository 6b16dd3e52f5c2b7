/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Saving from inside: what is asked for while a file is still being written. */

#include "app/closing.h"
#include "app/keeper.h"
#include "bay/edit.h"
#include "inside.h"

#include <sys/stat.h>

/** A copy of an example in a folder of its own. */
static GFile *
copy_of(const char *name)
{
    g_autofree char *folder = g_dir_make_tmp("tightbay-saving-XXXXXX", NULL);
    g_autoptr(GFile) from = bay_file(name);
    GFile *to = g_file_new_build_filename(folder, name, NULL);

    g_assert_true(g_file_copy(from, to, G_FILE_COPY_NONE, NULL, NULL, NULL, NULL));
    return to;
}

static void
remove_copy(GFile *copy)
{
    g_autoptr(GFile) folder = g_file_get_parent(copy);

    g_file_delete(copy, NULL, NULL);
    g_file_delete(folder, NULL, NULL);
    g_object_unref(copy);
}

static void
rename_first(TbWindow *window, const char *name)
{
    TbSession *session = tb_window_session(window);
    TbBay *bay = NULL;
    TbFault fault = {0};

    g_assert_cmpint(tb_edit_rename(tb_session_bay(session), "outlet", name, &bay, &fault), ==,
                    TB_OK);
    tb_session_edit(session, bay, "rename", 0);
    g_assert_true(tb_keeper_would_lose(tb_window_keeper(window)));
}

static bool
file_says(GFile *file, const char *text)
{
    g_autofree char *bytes = NULL;

    g_assert_true(g_file_load_contents(file, NULL, &bytes, NULL, NULL, NULL));
    return strstr(bytes, text) != NULL;
}

/** Questions that wait for an answer. */
static guint
question_count(void)
{
    g_autoptr(GListModel) all = g_object_ref(gtk_window_get_toplevels());
    guint count = 0;

    for (guint i = 0; i < g_list_model_get_n_items(all); i++) {
        g_autoptr(GtkWidget) one = g_list_model_get_item(all, i);

        count += GTK_IS_MESSAGE_DIALOG(one);
    }
    return count;
}

/** How a saving ended. */
typedef struct Ending {
    guint order; /**< 1: the first to end; 0: not yet */
    bool saved;
    guint *count;
} Ending;

static void
ended(void *user, bool saved)
{
    Ending *ending = user;

    ending->order = ++*ending->count;
    ending->saved = saved;
}

static void
two_savings_at_once_are_written_one_after_the_other(void)
{
    GFile *file = copy_of("van-b.bay");
    TbWindow *window = window_on_file(file);
    TbKeeper *keeper = tb_window_keeper(window);
    guint count = 0;
    Ending endings[3] = {{.count = &count}, {.count = &count}, {.count = &count}};

    rename_first(window, "Named 7 times");
    tb_keeper_save(keeper, ended, &endings[0]);
    rename_first(window, "Named 8 times");
    tb_keeper_save(keeper, ended, &endings[1]);
    tb_keeper_after_saving(keeper, ended, &endings[2]);
    g_assert_cmpuint(count, ==, 0);
    wait_until(count == 3);
    for (guint i = 0; i < 3; i++) {
        g_assert_cmpuint(endings[i].order, ==, i + 1);
        g_assert_true(endings[i].saved);
    }
    g_assert_false(tb_keeper_would_lose(keeper));
    g_assert_true(file_says(file, "Named 8 times"));
    close_windows();
    remove_copy(file);
}

static void
nothing_to_wait_for_is_told_at_once(void)
{
    GFile *file = copy_of("van-b.bay");
    guint count = 0;
    Ending ending = {.count = &count};

    tb_keeper_after_saving(tb_window_keeper(window_on_file(file)), ended, &ending);
    g_assert_cmpuint(ending.order, ==, 1);
    close_windows();
    remove_copy(file);
}

static void
closing_while_it_is_being_saved_asks_nothing(void)
{
    GFile *file = copy_of("van-b.bay");
    TbWindow *window = window_on_file(file);
    guint before = window_count();

    rename_first(window, "Named 9 times");
    tb_keeper_save(tb_window_keeper(window), NULL, NULL);
    tb_close_window(window);
    tb_close_window(window);
    wait_until(window_count() != before || question_count() > 0);
    g_assert_cmpuint(question_count(), ==, 0);
    g_assert_cmpuint(window_count(), ==, before - 1);
    g_assert_true(file_says(file, "Named 9 times"));
    remove_copy(file);
}

static void
closing_while_a_saving_fails_asks(void)
{
    GFile *file = copy_of("van-b.bay");
    TbWindow *window = window_on_file(file);

    rename_first(window, "Named 10 times");
    g_assert_true(g_file_replace_contents(file, "other", 5, NULL, FALSE, 0, NULL, NULL, NULL));
    tb_keeper_save(tb_window_keeper(window), NULL, NULL);
    tb_close_all(application);
    wait_until(question_count() > 0);
    g_assert_cmpuint(question_count(), ==, 1);
    g_assert_true(tb_keeper_would_lose(tb_window_keeper(window)));
    g_assert_true(file_says(file, "other"));
    close_windows();
    remove_copy(file);
}

int
main(int argc, char **argv)
{
    begin_inside(&argc, &argv);
#define ADD(name) g_test_add_func("/window/saving/" #name, name)
    ADD(two_savings_at_once_are_written_one_after_the_other);
    ADD(nothing_to_wait_for_is_told_at_once);
    ADD(closing_while_it_is_being_saved_asks_nothing);
    ADD(closing_while_a_saving_fails_asks);
    return run_inside();
}
