/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file settle.h
 * @brief Waiting for what a main loop brings, as long as the machine needs.
 *
 * A wait may take a minute; where CK_TIMEOUT_MULTIPLIER says so (under sanitizers, say) that many
 * minutes, for the library of tests stretches its own limits by the same variable. A test case that
 * waits has TB_TEST_LIMIT as its limit.
 */
#pragma once

#include "app/session.h"

#include <check.h>
#include <stdlib.h>

/** Longest wait for anything, s, before it is multiplied. */
#define TB_TEST_WAIT 60.0

/** Limit of a test case that waits more than once, s; it is multiplied too. */
#define TB_TEST_LIMIT 240

static inline double
longest_wait(void)
{
    const char *multiplier = getenv("CK_TIMEOUT_MULTIPLIER");
    double times = multiplier == NULL ? 1 : g_ascii_strtod(multiplier, NULL);

    return TB_TEST_WAIT * (times > 0 ? times : 1);
}

/** Run the main loop until something is so, or the longest wait is over; fails then. */
#define wait_until(condition)                                                                      \
    do {                                                                                           \
        gint64 end_ = g_get_monotonic_time() + (gint64)(longest_wait() * G_USEC_PER_SEC);          \
        guint tick_ = g_timeout_add(20, loop_tick, NULL);                                          \
        while (!(condition) && g_get_monotonic_time() < end_)                                      \
            g_main_context_iteration(NULL, TRUE);                                                  \
        g_source_remove(tick_);                                                                    \
        ck_assert_msg((condition), "waited in vain for: %s", #condition);                          \
    } while (0)

static inline gboolean
loop_tick(void *data)
{
    (void)data;
    return G_SOURCE_CONTINUE;
}

/** Until every state and variant is judged and nothing is on its way. */
static inline void
settle(TbSession *session)
{
    wait_until(tb_session_is_settled(session));
}
