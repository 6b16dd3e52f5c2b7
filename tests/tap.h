/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file tap.h
 * @brief The one main of a test program: quiet GSL, run the suite, TAP on standard output.
 */
#pragma once

#include <check.h>
#include <gsl/gsl_errno.h>
#include <stdlib.h>

/** Run @p suite and report; the value for main to return. */
static inline int
tb_test_main(Suite *suite)
{
    SRunner *runner = srunner_create(suite);
    int failed;

    gsl_set_error_handler_off();
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
