/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file fault.h
 * @brief What went wrong, in one sentence with the number; and asserts for programmers' mistakes.
 *
 * Three kinds are kept apart. A programmer's mistake is an assert. Input that has no answer is a
 * status plus a TbFault: one sentence, English, without a full stop, naming the place and the
 * number. An answer worth knowing about (a gap too small) is neither: it is a result.
 *
 * The fault belongs to the caller, so nothing is stale and threads need no care. A function that
 * fails leaves its outputs untouched unless its own comment says otherwise.
 */
#pragma once

#include <stdbool.h>
#include <stddef.h>

typedef enum TbStatus {
    TB_OK = 0,
    TB_E_RANGE,      /**< a value outside its range, or not finite */
    TB_E_DEGENERATE, /**< geometry without an answer: two knots in one place, zero width */
    TB_E_FORMAT,     /**< bytes that are not what they should be */
    TB_E_LIMIT,      /**< larger than a stated limit */
    TB_E_REFERENCE,  /**< names something that is not there, twice there, or a cycle */
    TB_E_MEMORY,     /**< no room */
    TB_E_IO,         /**< the system said no: folder, full disk, permission */
    TB_E_CANCELLED,  /**< somebody asked to stop */
    TB_E_NUMERIC     /**< an iteration that did not converge */
} TbStatus;

#define TB_FAULT_TEXT 400

typedef struct TbFault {
    TbStatus status;
    int line;                 /**< line of the file the text is about, from 1; 0 when unknown */
    char text[TB_FAULT_TEXT]; /**< one sentence with the number; cut, never overrun */
} TbFault;

/**
 * Every failure of the program's core is born here: set one breakpoint and see them all. Numbers
 * have '.' as their mark in every locale.
 *
 * @param[out] fault gets the sentence; may be NULL. Its line is set to 0. Its old text may be among
 *                   the arguments
 * @param status any value but TB_OK
 * @return @p status, so that a caller can write `return tb_fail(...)`
 */
TbStatus tb_fail(TbFault *fault, TbStatus status, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/** The same with a line of the file. */
TbStatus tb_fail_at(TbFault *fault, TbStatus status, int line, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

/** Short lower-case name of a status for logs and tests: "range", "format". Never NULL. */
const char *tb_status_name(TbStatus status);

/** Ends the program after printing the place; what TB_ASSERT calls. */
void tb_assert_failed(const char *what, const char *file, int line) __attribute__((noreturn));

/** A programmer's mistake; stays on in release builds, because it is cheap. */
#define TB_ASSERT(condition)                                                                       \
    ((condition) ? (void)0 : tb_assert_failed(#condition, __FILE__, __LINE__))

/** A branch that cannot be taken: asserts when tested, and is not counted as uncovered. */
#define TB_NEVER(condition) ((condition) && (tb_assert_failed(#condition, __FILE__, __LINE__), 1))
