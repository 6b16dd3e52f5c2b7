/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file bays.h
 * @brief The small bay with one of everything, whole or with a text replaced.
 */
#pragma once

#include "bay/read.h"
#include "bay/write.h"
#include "tap.h"

#include <glib.h>
#include <string.h>

/** A file of tests/data. */
static inline GString *
data_text(const char *name)
{
    char *path = g_build_filename(g_getenv("TB_TEST_DATA"), name, NULL);
    GString *text = g_string_new(NULL);
    char *bytes = NULL;
    gsize size = 0;

    ck_assert_msg(g_file_get_contents(path, &bytes, &size, NULL), "%s is missing", path);
    g_string_append_len(text, bytes, (gssize)size);
    g_free(bytes);
    g_free(path);
    return text;
}

/** The small bay with the first @p from replaced by @p to. @param[out] line where that is */
static inline GString *
small_with(const char *from, const char *to, int *line)
{
    GString *text = data_text("small.bay");
    const char *at = strstr(text->str, from);
    gssize where;

    ck_assert_msg(at != NULL, "\"%s\" is not in small.bay", from);
    where = at - text->str;
    if (line != NULL) {
        *line = 1;
        for (gssize i = 0; i < where; i++)
            *line += text->str[i] == '\n';
    }
    g_string_erase(text, where, (gssize)strlen(from));
    g_string_insert(text, where, to);
    return text;
}

/** Read a text that must be right. */
static inline TbBay *
read_text(const char *text)
{
    TbBay *bay = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_bay_read_bytes(text, strlen(text), &bay, &fault) == TB_OK, "line %d: %s",
                  fault.line, fault.text);
    return bay;
}

static inline TbBay *
read_small(void)
{
    GString *text = data_text("small.bay");
    TbBay *bay = read_text(text->str);

    g_string_free(text, TRUE);
    return bay;
}

/** Read a text that must be refused. */
static inline TbFault
refused(const char *text, size_t size)
{
    TbBay *bay = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_bay_read_bytes(text, size, &bay, &fault) != TB_OK, "accepted");
    ck_assert_ptr_null(bay);
    ck_assert_msg(fault.text[0] != '\0' && fault.text[strlen(fault.text) - 1] != '.', "\"%s\"",
                  fault.text);
    ck_assert_msg(strchr(fault.text, '\n') == NULL, "\"%s\"", fault.text);
    return fault;
}

#define ck_assert_contains(text, part)                                                             \
    ck_assert_msg(strstr((text), (part)) != NULL, "\"%s\" does not say \"%s\"", (text), (part))
