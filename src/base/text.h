/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file text.h
 * @brief Numbers as text: for machines the same in every locale and exact both ways, for people
 * with the decimal mark of their language.
 */
#pragma once

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>

/** Room for any number that this file writes. */
#define TB_TEXT_NUMBER 40

/**
 * The decimal text of fewest digits, each nearest to the number, that reads back to the same bits;
 * "-0" stays "-0". Not finite numbers become "nan", "inf", "-inf".
 */
void tb_text_from_double(double x, char out[TB_TEXT_NUMBER]);

/** Fixed decimals (0 to 12), '.' as the mark, never "-0.00". Huge numbers fall back to shortest. */
void tb_text_fixed(double x, int decimals, char out[TB_TEXT_NUMBER]);

/**
 * Read a decimal number that fills the whole text, spaces around it allowed.
 *
 * @param text   bytes, need not end in zero
 * @param length how many
 * @param[out] out the number, finite or infinite on overflow as strtod has it; untouched on failure
 * @return false when the text is not one number. Hexadecimal, "nan" and "inf" are not numbers here
 */
bool tb_text_to_double(const char *text, size_t length, double *out);

/**
 * snprintf with '.' as the mark in every locale. A text that does not fit is cut between two
 * characters of UTF-8, never inside one.
 *
 * @param[out] out  room for @p size bytes, 1 or more; always ends in zero
 * @return the bytes that the whole text has, without the zero, as snprintf counts them
 */
size_t tb_text_format(char *out, size_t size, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/** The same with the arguments as a list. */
size_t tb_text_format_list(char *out, size_t size, const char *format, va_list args)
    __attribute__((format(printf, 3, 0)));

/* ---- for people ---- */

/**
 * The decimal mark of the user's language, as the process's locale has it; "." where it has none
 * that can be shown. Lent until the locale changes.
 */
const char *tb_text_mark(void);

/** Puts the language's decimal mark for the '.' of a number of this file. */
void tb_text_localise(char number[TB_TEXT_NUMBER]);

/** tb_text_fixed() as people read it: with the language's decimal mark. */
void tb_text_shown(double x, int decimals, char out[TB_TEXT_NUMBER]);

/** Takes zeros off the end of a number's decimals, for machines or people: they say nothing. */
void tb_text_trim(char number[TB_TEXT_NUMBER]);
