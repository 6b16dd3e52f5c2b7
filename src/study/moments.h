/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file moments.h
 * @brief Private to study: moments over the spans of a law, kept by the span's numbers.
 */
#pragma once

#include "geom/sweep.h"
#include "study/cache.h"

/**
 * Moments of each span of a sweep's law, in order. Those that are not there yet are promised and
 * NULL; so are those of a round bar, always: a handful of multiplications.
 *
 * @return owned by the caller; the moments are the cache's, at least until its next turn
 */
const TbLawMoments **tb_moments_of(TbCache *cache, const TbSweep *sweep);
