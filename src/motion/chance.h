/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file chance.h
 * @brief Numbers by chance that depend on nothing but seed, sample and place; and what a count of
 *        hits says of a probability.
 *
 * Counter-based: a number is a function of its seed and its place, not of what was drawn before, so
 * any thread may draw any sample. Philox4x32-10: Salmon, Moraes, Dror, Shaw, "Parallel random
 * numbers: as easy as 1, 2, 3", SC 2011, doi 10.1145/2063384.2063405.
 */
#pragma once

#include <stddef.h>
#include <stdint.h>

/** 128 bits for a counter and a key. */
void tb_chance_bits(const uint32_t counter[4], const uint32_t key[2], uint32_t bits[4]);

/**
 * Normal numbers, mean 0, deviation 1, of one sample: by Box and Muller, Ann. Math. Statist. 29
 * (1958) 610, doi 10.1214/aoms/1177706645. At most 8.6 from 0: of 53 bits.
 *
 * @param stream keeps the numbers of one use apart from another's
 */
void
tb_chance_normals(uint64_t seed, uint64_t sample, uint32_t stream, double normal[], size_t count);

/** Numbers from -1 to 1, evenly. */
void tb_chance_evens(uint64_t seed, uint64_t sample, uint32_t stream, double even[], size_t count);

/**
 * Where a probability lies, of which `hits` of `count` independent trials were seen: Clopper and
 * Pearson, Biometrika 26 (1934) 404, doi 10.1093/biomet/26.4.404. Exact: it holds the truth at
 * least as often as it says, also where no hit was seen.
 *
 * @param confidence 0 to 1, e.g. 0.95
 */
void
tb_chance_interval(uint64_t hits, uint64_t count, double confidence, double *low, double *high);
