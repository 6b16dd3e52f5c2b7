/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file tables_macros.h
 * @brief Short ways to write a line of a field table. For tables.c and tables_items.c only.
 */
#pragma once

#include "base/mem.h"
#include "bay/fields.h"
#include "geom/tol.h"

#define UNSET                                                                                      \
    {                                                                                              \
        NAN, NAN, NAN                                                                              \
    }
#define COUNT(array) (sizeof(array) / sizeof *(array))
#define FIELDS(array)                                                                              \
    {                                                                                              \
        array, COUNT(array)                                                                        \
    }
#define CHILDREN(array) .children = array, .child_count = COUNT(array)

#define MANY(T, table, member, counter, minimum)                                                   \
    {                                                                                              \
        .element = &(table), .offset = offsetof(T, member), .count_offset = offsetof(T, counter),  \
        .least = (minimum)                                                                         \
    }
#define ONE(T, table, member, minimum)                                                             \
    {                                                                                              \
        .element = &(table), .offset = offsetof(T, member), .count_offset = TB_ONE,                \
        .least = (minimum)                                                                         \
    }

/* Texts and words. The last argument adds to or overrides what stands before it. */
#define TEXT(T, member, tag, ...)                                                                  \
    {                                                                                              \
        .name = (tag), .kind = TB_FIELD_TEXT, .offset = offsetof(T, member), .unit = "",           \
        .preset = UNSET, ##__VA_ARGS__                                                             \
    }
#define WORD(T, member, tag, ...) TEXT(T, member, tag, .kind = TB_FIELD_WORD, ##__VA_ARGS__)
#define DATE(T, member, tag, ...) TEXT(T, member, tag, .kind = TB_FIELD_DATE, ##__VA_ARGS__)
#define BODY(T, member, tag, ...) TEXT(T, member, tag, .kind = TB_FIELD_BODY, ##__VA_ARGS__)
#define REF(T, member, tag, targets, ...)                                                          \
    TEXT(T, member, tag, .kind = TB_FIELD_REFERENCE, .lists = (targets), ##__VA_ARGS__)
#define TO(list) (1u << (TB_LIST_##list))

/* Numbers. */
#define NUMBER(T, member, tag, u, from, to, ...)                                                   \
    {                                                                                              \
        .name = (tag), .kind = TB_FIELD_NUMBER, .offset = offsetof(T, member), .unit = (u),        \
        .low = (from), .high = (to), .preset = UNSET, ##__VA_ARGS__                                \
    }
#define PLACE(T, member, tag, ...)                                                                 \
    NUMBER(T, member, tag, "mm", -TB_LIMIT_COORDINATE, TB_LIMIT_COORDINATE, .kind = TB_FIELD_VEC3, \
           ##__VA_ARGS__)
#define PLACE2(T, member, tag, ...) PLACE(T, member, tag, .kind = TB_FIELD_VEC2, ##__VA_ARGS__)
#define DIRECTION(T, member, tag, ...)                                                             \
    NUMBER(T, member, tag, "", -1e6, 1e6, .kind = TB_FIELD_DIRECTION, ##__VA_ARGS__)
#define SIZE(T, member, tag, ...)                                                                  \
    NUMBER(T, member, tag, "mm", 0, TB_LIMIT_SIZE, .above_low = true, ##__VA_ARGS__)
#define LENGTH(T, member, tag, ...)                                                                \
    NUMBER(T, member, tag, "mm", 0, TB_LIMIT_COORDINATE, ##__VA_ARGS__)
#define ANGLE(T, member, tag, ...) NUMBER(T, member, tag, "deg", -360, 360, ##__VA_ARGS__)
#define CELSIUS(T, member, tag, ...) NUMBER(T, member, tag, "degC", -273.15, 2000, ##__VA_ARGS__)
#define CHOICE(T, member, tag, words, value, ...)                                                  \
    {                                                                                              \
        .name = (tag), .kind = TB_FIELD_CHOICE, .offset = offsetof(T, member), .unit = "",         \
        .names = (words), .preset = {value}, ##__VA_ARGS__                                         \
    }
#define FLAG(T, member, tag)                                                                       \
    {                                                                                              \
        .name = (tag), .kind = TB_FIELD_FLAG, .offset = offsetof(T, member), .unit = "",           \
        .preset = {                                                                                \
            0                                                                                      \
        }                                                                                          \
    }
#define NEEDED .needed = true
#define PRESET(...) .preset = {__VA_ARGS__}
