/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "motion/chance.h"

#include "base/fault.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdbool.h>

/* Philox4x32-10: its multipliers, and what its key grows by (golden ratio, square root of 3 less
 * 1). */
#define MULTIPLY_0 0xD2511F53u
#define MULTIPLY_1 0xCD9E8D57u
#define GROW_0 0x9E3779B9u
#define GROW_1 0xBB67AE85u
#define ROUNDS 10

void
tb_chance_bits(const uint32_t counter[4], const uint32_t key[2], uint32_t bits[4])
{
    uint32_t x0 = counter[0], x1 = counter[1], x2 = counter[2], x3 = counter[3];
    uint32_t k0 = key[0], k1 = key[1];

    for (int i = 0; i < ROUNDS; i++) {
        uint64_t p0 = (uint64_t)MULTIPLY_0 * x0, p1 = (uint64_t)MULTIPLY_1 * x2;

        x0 = (uint32_t)(p1 >> 32) ^ x1 ^ k0;
        x1 = (uint32_t)p1;
        x2 = (uint32_t)(p0 >> 32) ^ x3 ^ k1;
        x3 = (uint32_t)p0;
        k0 += GROW_0;
        k1 += GROW_1;
    }
    bits[0] = x0;
    bits[1] = x1;
    bits[2] = x2;
    bits[3] = x3;
}

/** Two numbers above 0 and below 1, of 53 bits each. */
static void
two_shares(uint64_t seed, uint64_t sample, uint32_t stream, uint32_t block, double share[2])
{
    const uint32_t counter[4] = {(uint32_t)sample, (uint32_t)(sample >> 32), stream, block};
    const uint32_t key[2] = {(uint32_t)seed, (uint32_t)(seed >> 32)};
    uint32_t bits[4];

    tb_chance_bits(counter, key, bits);
    for (int i = 0; i < 2; i++) {
        uint64_t wide = (uint64_t)bits[2 * i] << 32 | bits[2 * i + 1];

        share[i] = ((double)(wide >> 11) + 0.5) * 0x1p-53;
    }
}

void
tb_chance_normals(uint64_t seed, uint64_t sample, uint32_t stream, double normal[], size_t count)
{
    for (size_t i = 0; i < count; i += 2) {
        double share[2], radius, angle;

        two_shares(seed, sample, stream, (uint32_t)(i / 2), share);
        radius = sqrt(-2 * log(share[0]));
        angle = 2 * M_PI * share[1];
        normal[i] = radius * cos(angle);
        if (i + 1 < count)
            normal[i + 1] = radius * sin(angle);
    }
}

void
tb_chance_evens(uint64_t seed, uint64_t sample, uint32_t stream, double even[], size_t count)
{
    for (size_t i = 0; i < count; i += 2) {
        double share[2];

        two_shares(seed, sample, stream, (uint32_t)(i / 2), share);
        even[i] = 2 * share[0] - 1;
        if (i + 1 < count)
            even[i + 1] = 2 * share[1] - 1;
    }
}

/** Halvings of an interval of probabilities: below what doubles tell apart. */
#define HALVINGS 60

/** The probability p at which P (upper: Q) of a beta distribution is `tail`. By halving: the
 * library's own inverse fails for some thousands of trials. */
static double
quantile(double tail, double a, double b, bool upper)
{
    double low = 0, high = 1;

    for (int i = 0; i < HALVINGS; i++) {
        double middle = 0.5 * (low + high);
        bool below =
            upper ? gsl_cdf_beta_Q(middle, a, b) > tail : gsl_cdf_beta_P(middle, a, b) < tail;

        if (below)
            low = middle;
        else
            high = middle;
    }
    return 0.5 * (low + high);
}

void
tb_chance_interval(uint64_t hits, uint64_t count, double confidence, double *low, double *high)
{
    double tail = 0.5 * (1 - confidence), k = (double)hits, n = (double)count;

    TB_ASSERT(hits <= count && confidence > 0 && confidence < 1);
    *low = hits == 0 ? 0 : quantile(tail, k, n - k + 1, false);
    *high = hits == count ? 1 : quantile(tail, k + 1, n - k, true);
}
