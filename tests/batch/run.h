/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file run.h
 * @brief The real program run by a test, in a folder of the test's own.
 */
#pragma once

#include <check.h>
#include <gio/gio.h>
#include <stdlib.h>
#include <sys/wait.h>

/** What a run of the program left. */
typedef struct Run {
    int status;
    char *out, *err;
} Run;

static char *folder;
static Run last;

static inline const char *
program(void)
{
    const char *path = g_getenv("TB_BATCH");

    ck_assert_msg(path != NULL, "TB_BATCH names no program");
    return path;
}

static inline void
forget_run(void)
{
    g_clear_pointer(&last.out, g_free);
    g_clear_pointer(&last.err, g_free);
}

/** Run the program with the words of a command line; %s stands for the test's folder. */
static inline int G_GNUC_PRINTF(1, 2) run(const char *format, ...)
{
    va_list args;
    g_autofree char *line = NULL;
    g_auto(GStrv) words = NULL;
    g_auto(GStrv) argv = NULL;
    GPtrArray *all = g_ptr_array_new();
    g_autoptr(GError) error = NULL;
    int wait = 0;

    forget_run();
    va_start(args, format);
    line = g_strdup_vprintf(format, args);
    va_end(args);
    words = g_strsplit(line, " ", -1);
    g_ptr_array_add(all, g_strdup(program()));
    for (size_t i = 0; words[i] != NULL; i++)
        if (words[i][0] != '\0')
            g_ptr_array_add(all, g_strdup(words[i]));
    g_ptr_array_add(all, NULL);
    argv = (char **)g_ptr_array_free(all, FALSE);
    ck_assert_msg(g_spawn_sync(NULL, argv, NULL, G_SPAWN_DEFAULT, NULL, NULL, &last.out, &last.err,
                               &wait, &error),
                  "%s", error != NULL ? error->message : "");
    ck_assert_msg(WIFEXITED(wait), "the program was ended by a signal: %s", last.err);
    last.status = WEXITSTATUS(wait);
    return last.status;
}

static inline const char *
example(const char *name)
{
    static char path[4096];

    g_snprintf(path, sizeof path, "%s/%s", g_getenv("TB_EXAMPLES"), name);
    return path;
}

static inline void
set_up(void)
{
    folder = g_dir_make_tmp("tb-batch-XXXXXX", NULL);
    ck_assert_ptr_nonnull(folder);
}

static inline void
tear_down(void)
{
    g_autofree char *command = g_strdup_printf("rm -rf %s", folder);

    ck_assert_int_eq(system(command), 0);
    g_clear_pointer(&folder, g_free);
    forget_run();
}
