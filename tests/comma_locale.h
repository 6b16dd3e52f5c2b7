/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file comma_locale.h
 * @brief A locale whose decimal mark is a comma, for tests that must not notice it.
 */
#pragma once

#include <locale.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/** True when the process now writes 1,5 for one and a half. */
static inline int
tb_test_mark_is_comma(void)
{
    return strcmp(localeconv()->decimal_point, ",") == 0;
}

/**
 * Switch the whole process, and the children it starts, to a locale with a comma: one that the
 * system has, or one compiled into @p folder.
 *
 * @param folder a writable folder, or NULL: use only what the system has
 * @return the locale's name, or NULL when there is none (the test then says that it is skipped)
 */
static inline const char *
tb_test_comma_locale(const char *folder)
{
    static const char *const names[] = {"de_DE.UTF-8", "de_DE.utf8", "fr_FR.UTF-8", "nl_NL.UTF-8"};
    char command[600];

    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
        if (setlocale(LC_ALL, names[i]) != NULL && tb_test_mark_is_comma()) {
            setenv("LC_ALL", names[i], 1);
            return names[i];
        }
    if (folder == NULL)
        return NULL;
    snprintf(command, sizeof command,
             "localedef -i de_DE -f UTF-8 '%s/de_DE.UTF-8' >/dev/null 2>&1", folder);
    if (system(command) != 0)
        return NULL;
    setenv("LOCPATH", folder, 1);
    if (setlocale(LC_ALL, names[0]) == NULL || !tb_test_mark_is_comma())
        return NULL;
    setenv("LC_ALL", names[0], 1);
    return names[0];
}

/** The same for this process alone: a locale that had to be compiled leaves no files behind. */
static inline const char *
tb_test_comma_locale_here(void)
{
    char folder[] = "/tmp/tb-locale-XXXXXX";
    char command[60];
    const char *name;

    if (mkdtemp(folder) == NULL)
        return NULL;
    name = tb_test_comma_locale(folder);
    snprintf(command, sizeof command, "rm -r '%s'", folder);
    return system(command) == 0 ? name : NULL;
}
