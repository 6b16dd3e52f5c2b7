/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file text.h
 * @brief Numbers as text, the same in every locale, and exact both ways.
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
