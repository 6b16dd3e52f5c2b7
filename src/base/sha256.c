/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * SHA-256 by FIPS 180-4, section 6.2. Where the processor has instructions for it they are used: a
 * scan of 5 million triangles is 250 MB, a second of plain code and a ninth of that with them.
 */
#include "base/sum.h"

#include <stdatomic.h>
#include <string.h>
#if defined(__x86_64__)
#include <cpuid.h>
#include <immintrin.h>
#endif

#define BLOCK 64

static const uint32_t round_words[64] __attribute__((aligned(16))) = {
    0x428a2f98, 0x71374491, 0xb5c0fbcf, 0xe9b5dba5, 0x3956c25b, 0x59f111f1, 0x923f82a4, 0xab1c5ed5,
    0xd807aa98, 0x12835b01, 0x243185be, 0x550c7dc3, 0x72be5d74, 0x80deb1fe, 0x9bdc06a7, 0xc19bf174,
    0xe49b69c1, 0xefbe4786, 0x0fc19dc6, 0x240ca1cc, 0x2de92c6f, 0x4a7484aa, 0x5cb0a9dc, 0x76f988da,
    0x983e5152, 0xa831c66d, 0xb00327c8, 0xbf597fc7, 0xc6e00bf3, 0xd5a79147, 0x06ca6351, 0x14292967,
    0x27b70a85, 0x2e1b2138, 0x4d2c6dfc, 0x53380d13, 0x650a7354, 0x766a0abb, 0x81c2c92e, 0x92722c85,
    0xa2bfe8a1, 0xa81a664b, 0xc24b8b70, 0xc76c51a3, 0xd192e819, 0xd6990624, 0xf40e3585, 0x106aa070,
    0x19a4c116, 0x1e376c08, 0x2748774c, 0x34b0bcb5, 0x391c0cb3, 0x4ed8aa4a, 0x5b9cca4f, 0x682e6ff3,
    0x748f82ee, 0x78a5636f, 0x84c87814, 0x8cc70208, 0x90befffa, 0xa4506ceb, 0xbef9a3f7, 0xc67178f2};

/** Set by tests alone. */
static atomic_bool forced_plain;

void
tb_sha256_force_plain(bool plain)
{
    atomic_store(&forced_plain, plain);
}

/* ---- plain ---- */

static uint32_t
turned(uint32_t x, int by)
{
    return x >> by | x << (32 - by);
}

static void
spread_words(const unsigned char *bytes, uint32_t w[64])
{
    for (int t = 0; t < 16; t++, bytes += 4)
        w[t] = (uint32_t)bytes[0] << 24 | (uint32_t)bytes[1] << 16 | (uint32_t)bytes[2] << 8 |
               bytes[3];
    for (int t = 16; t < 64; t++) {
        uint32_t a = turned(w[t - 15], 7) ^ turned(w[t - 15], 18) ^ w[t - 15] >> 3;
        uint32_t b = turned(w[t - 2], 17) ^ turned(w[t - 2], 19) ^ w[t - 2] >> 10;

        w[t] = w[t - 16] + a + w[t - 7] + b;
    }
}

/** One round; the eight words of the state change their names from round to round. */
static inline __attribute__((always_inline)) void
round_of(const uint32_t a,
         const uint32_t b,
         const uint32_t c,
         uint32_t *d,
         const uint32_t e,
         const uint32_t f,
         const uint32_t g,
         uint32_t *h,
         uint32_t add)
{
    uint32_t one = *h + add + (turned(e, 6) ^ turned(e, 11) ^ turned(e, 25)) + (g ^ (e & (f ^ g)));
    uint32_t two = (turned(a, 2) ^ turned(a, 13) ^ turned(a, 22)) + ((a & b) | (c & (a | b)));

    *d += one;
    *h = one + two;
}

static void
add_block_plain(uint32_t h[8], const unsigned char *bytes)
{
    uint32_t w[64];
    uint32_t s0 = h[0], s1 = h[1], s2 = h[2], s3 = h[3], s4 = h[4], s5 = h[5], s6 = h[6], s7 = h[7];

    spread_words(bytes, w);
    for (int t = 0; t < 64; t += 8) {
        const uint32_t *k = round_words + t, *x = w + t;

        round_of(s0, s1, s2, &s3, s4, s5, s6, &s7, k[0] + x[0]);
        round_of(s7, s0, s1, &s2, s3, s4, s5, &s6, k[1] + x[1]);
        round_of(s6, s7, s0, &s1, s2, s3, s4, &s5, k[2] + x[2]);
        round_of(s5, s6, s7, &s0, s1, s2, s3, &s4, k[3] + x[3]);
        round_of(s4, s5, s6, &s7, s0, s1, s2, &s3, k[4] + x[4]);
        round_of(s3, s4, s5, &s6, s7, s0, s1, &s2, k[5] + x[5]);
        round_of(s2, s3, s4, &s5, s6, s7, s0, &s1, k[6] + x[6]);
        round_of(s1, s2, s3, &s4, s5, s6, s7, &s0, k[7] + x[7]);
    }
    h[0] += s0;
    h[1] += s1;
    h[2] += s2;
    h[3] += s3;
    h[4] += s4;
    h[5] += s5;
    h[6] += s6;
    h[7] += s7;
}

static void
add_blocks_plain(uint32_t h[8], const unsigned char *bytes, size_t blocks)
{
    for (; blocks > 0; blocks--, bytes += BLOCK)
        add_block_plain(h, bytes);
}

/* ---- with the processor's instructions ---- */

#if defined(__x86_64__)

#define SHA_TARGET __attribute__((target("sha,ssse3,sse4.1")))

/** Four words of the schedule from the sixteen before them. */
SHA_TARGET static inline __m128i
next_words(__m128i a, __m128i b, __m128i c, __m128i d)
{
    __m128i sum = _mm_add_epi32(_mm_sha256msg1_epu32(a, b), _mm_alignr_epi8(d, c, 4));

    return _mm_sha256msg2_epu32(sum, d);
}

/** State in the order that the instructions want, ABEF and CDGH; four rounds a step. */
SHA_TARGET static void
add_blocks_quick(uint32_t h[8], const unsigned char *bytes, size_t blocks)
{
    const __m128i flip = _mm_set_epi64x(0x0c0d0e0f08090a0b, 0x0405060700010203);
    __m128i low = _mm_shuffle_epi32(_mm_loadu_si128((const __m128i *)h), 0xb1);
    __m128i high = _mm_shuffle_epi32(_mm_loadu_si128((const __m128i *)(h + 4)), 0x1b);
    __m128i abef = _mm_alignr_epi8(low, high, 8);
    __m128i cdgh = _mm_blend_epi16(high, low, 0xf0);

    for (; blocks > 0; blocks--, bytes += BLOCK) {
        __m128i abef_before = abef, cdgh_before = cdgh;
        __m128i w[4];

        for (int k = 0; k < 4; k++)
            w[k] =
                _mm_shuffle_epi8(_mm_loadu_si128((const __m128i *)(bytes + (size_t)16 * k)), flip);
        for (int t = 0; t < 16; t++) {
            __m128i now;

            if (t >= 4)
                w[t & 3] = next_words(w[t & 3], w[(t + 1) & 3], w[(t + 2) & 3], w[(t + 3) & 3]);
            now = _mm_add_epi32(w[t & 3],
                                _mm_load_si128((const __m128i *)(round_words + (size_t)4 * t)));
            cdgh = _mm_sha256rnds2_epu32(cdgh, abef, now);
            abef = _mm_sha256rnds2_epu32(abef, cdgh, _mm_shuffle_epi32(now, 0x0e));
        }
        abef = _mm_add_epi32(abef, abef_before);
        cdgh = _mm_add_epi32(cdgh, cdgh_before);
    }
    low = _mm_shuffle_epi32(abef, 0x1b);
    high = _mm_shuffle_epi32(cdgh, 0xb1);
    _mm_storeu_si128((__m128i *)h, _mm_blend_epi16(low, high, 0xf0));
    _mm_storeu_si128((__m128i *)(h + 4), _mm_alignr_epi8(high, low, 8));
}

/** Bit 29 of EBX in leaf 7: the SHA extensions; the older two are asked of the compiler. */
static bool
has_instructions(void)
{
    unsigned a, b, c, d;

    return __get_cpuid_count(7, 0, &a, &b, &c, &d) != 0 && (b & (1U << 29)) != 0 &&
           __builtin_cpu_supports("ssse3") && __builtin_cpu_supports("sse4.1");
}

#endif

static void
add_blocks(uint32_t h[8], const unsigned char *bytes, size_t blocks)
{
#if defined(__x86_64__)
    static atomic_int known; /* 0 not asked yet, 1 no, 2 yes */
    int kind = atomic_load_explicit(&known, memory_order_relaxed);

    if (kind == 0) {
        kind = has_instructions() ? 2 : 1;
        atomic_store_explicit(&known, kind, memory_order_relaxed);
    }
    if (kind == 2 && !atomic_load_explicit(&forced_plain, memory_order_relaxed)) {
        add_blocks_quick(h, bytes, blocks);
        return;
    }
#endif
    add_blocks_plain(h, bytes, blocks);
}

/* ---- pieces ---- */

void
tb_sha256_init(TbSha256 *sum)
{
    *sum = (TbSha256){.h = {0x6a09e667, 0xbb67ae85, 0x3c6ef372, 0xa54ff53a, 0x510e527f, 0x9b05688c,
                            0x1f83d9ab, 0x5be0cd19}};
}

void
tb_sha256_add(TbSha256 *sum, const void *bytes, size_t size)
{
    const unsigned char *p = bytes;
    size_t whole;

    sum->length += size;
    if (sum->held > 0) {
        size_t taken = BLOCK - sum->held;

        taken = taken < size ? taken : size;
        memcpy(sum->block + sum->held, p, taken);
        sum->held += taken;
        p += taken;
        size -= taken;
        if (sum->held < BLOCK)
            return;
        add_blocks(sum->h, sum->block, 1);
    }
    whole = size / BLOCK;
    add_blocks(sum->h, p, whole);
    sum->held = size - whole * BLOCK;
    if (sum->held > 0)
        memcpy(sum->block, p + whole * BLOCK, sum->held);
}

void
tb_sha256_text(TbSha256 *sum, char out[TB_SHA256_TEXT])
{
    static const char digits[] = "0123456789abcdef";
    unsigned char end[2 * BLOCK] = {0x80};
    uint64_t bits = 8 * sum->length;
    size_t pad = (sum->held < BLOCK - 8 ? BLOCK : 2 * BLOCK) - sum->held;

    for (int k = 0; k < 8; k++)
        end[pad - 1 - k] = (unsigned char)(bits >> 8 * k);
    tb_sha256_add(sum, end, pad);
    for (int k = 0; k < 64; k++)
        out[k] = digits[sum->h[k / 8] >> (28 - 4 * (k % 8)) & 15];
    out[64] = '\0';
}
