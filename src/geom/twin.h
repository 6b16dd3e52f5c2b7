/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file twin.h
 * @brief Two doubles at a time, for loops that answers come from.
 *
 * Every operation is the IEEE one in each lane and nothing is contracted, so a loop over twins
 * gives the same bits as the plain one. Every x86-64 processor has them.
 */
#pragma once

#include <math.h>
#include <string.h>
#ifdef __SSE2__
#include <emmintrin.h>
#endif

typedef double TbTwin __attribute__((vector_size(16)));

static inline TbTwin
tb_twin(double x)
{
    return (TbTwin){x, x};
}

/** @param from two doubles, at any address */
static inline TbTwin
tb_twin_load(const double *from)
{
    TbTwin r;

    memcpy(&r, from, sizeof r);
    return r;
}

static inline void
tb_twin_store(double *to, TbTwin x)
{
    memcpy(to, &x, sizeof x);
}

static inline TbTwin
tb_twin_sqrt(TbTwin x)
{
#ifdef __SSE2__
    return (TbTwin)_mm_sqrt_pd((__m128d)x);
#else
    return (TbTwin){sqrt(x[0]), sqrt(x[1])};
#endif
}
