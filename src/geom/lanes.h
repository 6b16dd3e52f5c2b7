/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file lanes.h
 * @brief Eight floats at a time: for filters that throw out what cannot matter, never for answers.
 *
 * A kernel is written once, in a private header, and compiled twice: in a file of its own as it is,
 * and in another that begins with `#pragma GCC target("avx2")`. Every operation here rounds the
 * same in both, lane by lane, and nothing is contracted, so both give the same bits. Which one runs
 * is chosen when the program starts: tb_lanes_in_use().
 *
 * The file that wants AVX2 sets the pragma before it includes anything.
 */
#pragma once

#include <math.h>
#include <stdint.h>
#include <string.h>
#ifdef __AVX2__
#include <immintrin.h>
#endif

/* These vectors never pass through a function that is not inlined. */
#pragma GCC diagnostic ignored "-Wpsabi"

#define TB_LANES 8

typedef float TbF8 __attribute__((vector_size(32)));
typedef int32_t TbI8 __attribute__((vector_size(32))); /**< a comparison: -1 where it holds */

/** Three coordinates of eight points. */
typedef struct TbP8 {
    TbF8 x, y, z;
} TbP8;

typedef enum TbLanesKind { TB_LANES_PLAIN, TB_LANES_AVX2 } TbLanesKind;

/** AVX2 where the processor has it, unless a test asked for the plain path. */
TbLanesKind tb_lanes_in_use(void);

/** Tests only: the plain path whatever the processor has, or back to the choice of the start. */
void tb_lanes_force_plain(int plain);

#define TB_LANES_INLINE static inline __attribute__((always_inline))

TB_LANES_INLINE TbF8
tb_f8(float x)
{
    return (TbF8){x, x, x, x, x, x, x, x};
}

/** @param from 8 floats, at any address */
TB_LANES_INLINE TbF8
tb_f8_load(const float *from)
{
    TbF8 r;

    memcpy(&r, from, sizeof r);
    return r;
}

/** Eight small whole numbers. */
TB_LANES_INLINE TbF8
tb_f8_load_bytes(const int8_t *from)
{
#ifdef __AVX2__
    return (TbF8)_mm256_cvtepi32_ps(_mm256_cvtepi8_epi32(_mm_loadl_epi64((const __m128i *)from)));
#else
    TbF8 r;

    for (int k = 0; k < TB_LANES; k++)
        r[k] = (float)from[k];
    return r;
#endif
}

/** Eight doubles in a row as floats. */
TB_LANES_INLINE TbF8
tb_f8_load_doubles(const double *from)
{
#ifdef __AVX2__
    return (TbF8)_mm256_set_m128(_mm256_cvtpd_ps(_mm256_loadu_pd(from + 4)),
                                 _mm256_cvtpd_ps(_mm256_loadu_pd(from)));
#else
    TbF8 r;

    for (int k = 0; k < TB_LANES; k++)
        r[k] = (float)from[k];
    return r;
#endif
}

TB_LANES_INLINE void
tb_f8_store(float *to, TbF8 x)
{
    memcpy(to, &x, sizeof x);
}

/** a where the mask holds, else b. */
TB_LANES_INLINE TbF8
tb_f8_select(TbI8 mask, TbF8 a, TbF8 b)
{
#ifdef __AVX2__
    return (TbF8)_mm256_blendv_ps((__m256)b, (__m256)a, (__m256)mask);
#else
    return (TbF8)((mask & (TbI8)a) | (~mask & (TbI8)b));
#endif
}

/** a < b ? a : b in every lane: b where either is not a number. */
TB_LANES_INLINE TbF8
tb_f8_min(TbF8 a, TbF8 b)
{
#ifdef __AVX2__
    return (TbF8)_mm256_min_ps((__m256)a, (__m256)b);
#else
    return tb_f8_select(a < b, a, b);
#endif
}

/** a > b ? a : b in every lane: b where either is not a number. */
TB_LANES_INLINE TbF8
tb_f8_max(TbF8 a, TbF8 b)
{
#ifdef __AVX2__
    return (TbF8)_mm256_max_ps((__m256)a, (__m256)b);
#else
    return tb_f8_select(a > b, a, b);
#endif
}

TB_LANES_INLINE TbF8
tb_f8_sqrt(TbF8 x)
{
#ifdef __AVX2__
    return (TbF8)_mm256_sqrt_ps((__m256)x);
#else
    TbF8 r;

    for (int k = 0; k < TB_LANES; k++)
        r[k] = sqrtf(x[k]);
    return r;
#endif
}

/** The largest of the eight. */
TB_LANES_INLINE float
tb_f8_most(TbF8 x)
{
    x = tb_f8_max(x, __builtin_shuffle(x, (TbI8){4, 5, 6, 7, 0, 1, 2, 3}));
    x = tb_f8_max(x, __builtin_shuffle(x, (TbI8){2, 3, 0, 1, 6, 7, 4, 5}));
    x = tb_f8_max(x, __builtin_shuffle(x, (TbI8){1, 0, 3, 2, 5, 4, 7, 6}));
    return x[0];
}

/** The smallest of the eight. */
TB_LANES_INLINE float
tb_f8_least(TbF8 x)
{
    x = tb_f8_min(x, __builtin_shuffle(x, (TbI8){4, 5, 6, 7, 0, 1, 2, 3}));
    x = tb_f8_min(x, __builtin_shuffle(x, (TbI8){2, 3, 0, 1, 6, 7, 4, 5}));
    x = tb_f8_min(x, __builtin_shuffle(x, (TbI8){1, 0, 3, 2, 5, 4, 7, 6}));
    return x[0];
}

/** Bit k is set where lane k of the mask holds. */
TB_LANES_INLINE unsigned
tb_i8_bits(TbI8 mask)
{
#ifdef __AVX2__
    return (unsigned)_mm256_movemask_ps((__m256)mask);
#else
    unsigned bits = 0;

    for (int k = 0; k < TB_LANES; k++)
        bits |= (unsigned)(mask[k] & 1) << k;
    return bits;
#endif
}

TB_LANES_INLINE TbP8
tb_p8_sub(TbP8 a, TbP8 b)
{
    return (TbP8){a.x - b.x, a.y - b.y, a.z - b.z};
}

TB_LANES_INLINE TbF8
tb_p8_dot(TbP8 a, TbP8 b)
{
    return a.x * b.x + a.y * b.y + a.z * b.z;
}

TB_LANES_INLINE TbP8
tb_p8_cross(TbP8 a, TbP8 b)
{
    return (TbP8){a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}
