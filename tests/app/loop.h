/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file loop.h
 * @brief Folders for tests of files, and letting a main loop run.
 */
#pragma once

#include "bay/read.h"
#include "bay/write.h"
#include "settle.h"
#include "tap.h"

#include <gio/gio.h>
#include <string.h>

/** Run the main loop for a while, in which nothing shall happen. */
static inline void
let_pass(unsigned ms)
{
    gint64 end = g_get_monotonic_time() + ms * 1000;
    guint tick = g_timeout_add(10, loop_tick, NULL);

    while (g_get_monotonic_time() < end)
        g_main_context_iteration(NULL, TRUE);
    g_source_remove(tick);
}

static inline char *
new_folder(void)
{
    char *folder = g_build_filename(g_get_tmp_dir(), "tightbay-app-XXXXXX", NULL);

    ck_assert_ptr_nonnull(g_mkdtemp(folder));
    return folder;
}

static inline void
remove_folder(char *folder)
{
    char *command = g_strdup_printf("rm -rf '%s'", folder);

    ck_assert_int_eq(system(command), 0);
    g_free(command);
    g_free(folder);
}

static inline unsigned
count_files(const char *folder)
{
    GDir *dir = g_dir_open(folder, 0, NULL);
    unsigned count = 0;

    if (dir == NULL)
        return 0;
    while (g_dir_read_name(dir) != NULL)
        count++;
    g_dir_close(dir);
    return count;
}

/** The example van, or a bay with another title. */
static inline TbBay *
example(const char *name)
{
    char *path = g_build_filename(g_getenv("TB_DATA"), "examples", name, NULL);
    TbFault fault = {0};
    TbBay *bay = NULL;

    ck_assert_msg(tb_bay_read_file(path, &bay, &fault) == TB_OK, "%s", fault.text);
    g_free(path);
    return bay;
}

static inline TbBay *
titled(const char *title)
{
    TbBay *bay = tb_bay_new(title);

    ck_assert_ptr_nonnull(bay);
    return bay;
}

static inline void
ck_assert_same_bay(TbBay *a, TbBay *b)
{
    GString *x = tb_bay_to_text(a), *y = tb_bay_to_text(b);

    ck_assert_str_eq(x->str, y->str);
    g_string_free(x, TRUE);
    g_string_free(y, TRUE);
}
