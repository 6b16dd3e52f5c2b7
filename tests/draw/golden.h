/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file golden.h
 * @brief Compares a picture's dump with the one kept in tests/data/draw.
 *
 * When a drawing is meant to have changed: look at it, then run the test with TB_GOLDEN_WRITE set
 * and commit the new text. A mismatch leaves the new dump beside the test as NAME.new.txt.
 */
#pragma once

#include "base/mem.h"
#include "draw/picture.h"

#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static inline void
golden_write(const char *path, const char *text)
{
    FILE *file = fopen(path, "wb");

    ck_assert_msg(file != NULL, "%s cannot be written", path);
    ck_assert_int_ge(fputs(text, file), 0);
    ck_assert_int_eq(fclose(file), 0);
}

/** The whole file, freed by the caller; NULL when it is not there. */
static inline char *
golden_read(const char *path)
{
    FILE *file = fopen(path, "rb");
    size_t used = 0, room = 1 << 22;
    char *text = file == NULL ? NULL : calloc(room, 1);

    if (text != NULL)
        used = fread(text, 1, room - 1, file);
    if (file != NULL)
        fclose(file);
    ck_assert_uint_lt(used, room - 1);
    return text;
}

/** The line of a text that holds an offset, counted from 1. */
static inline int
golden_line(const char *text, size_t offset)
{
    int line = 1;

    for (size_t i = 0; i < offset; i++)
        line += text[i] == '\n';
    return line;
}

static inline void
assert_golden(const TbPicture *picture, const char *name)
{
    const char *data = getenv("TB_TEST_DATA");
    char path[600], beside[200];
    char *dump = tb_picture_dump(picture);
    char *kept;
    size_t same = 0;

    ck_assert_ptr_nonnull(data);
    ck_assert_ptr_nonnull(dump);
    snprintf(path, sizeof path, "%s/draw/%s.txt", data, name);
    if (getenv("TB_GOLDEN_WRITE") != NULL)
        golden_write(path, dump);
    kept = golden_read(path);
    ck_assert_msg(kept != NULL, "%s is not there", path);
    while (dump[same] != '\0' && dump[same] == kept[same])
        same++;
    if (dump[same] != kept[same]) {
        snprintf(beside, sizeof beside, "%s.new.txt", name);
        golden_write(beside, dump);
    }
    ck_assert_msg(dump[same] == kept[same], "%s differs from line %d on, see %s.new.txt", name,
                  golden_line(dump, same), name);
    free(kept);
    tb_free(dump);
}
