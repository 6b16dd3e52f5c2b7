/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file sum.h
 * @brief Checksums of bytes: SHA-256, by which documents know their scans, and a quick one.
 *
 * SHA-256 (FIPS 180-4) tells two files apart whatever anybody intends. The quick sum (XXH64, seed
 * 0: Y. Collet, "XXH64 digest algorithm", xxHash specification 0.2) finds bytes that a disk or a
 * half-written file has changed, at the memory's speed; it is no defence against intent. Both take
 * bytes in pieces of any length and give the same whatever the pieces are.
 */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/** SHA-256 under way. A value; start with tb_sha256_init(). */
typedef struct TbSha256 {
    uint32_t h[8];
    uint64_t length; /**< bytes so far */
    unsigned char block[64];
    size_t held; /**< bytes waiting in the block */
} TbSha256;

/** Room for a digest as text: 64 small hexadecimal digits and the zero. */
#define TB_SHA256_TEXT 65

void tb_sha256_init(TbSha256 *sum);
void tb_sha256_add(TbSha256 *sum, const void *bytes, size_t size);

/** The digest as text; the sum is used up. */
void tb_sha256_text(TbSha256 *sum, char out[TB_SHA256_TEXT]);

/** Tests only: without the processor's own instructions for it, or back to the start's choice. */
void tb_sha256_force_plain(bool plain);

/** A quick sum under way. A value; start with tb_sum64_init(). */
typedef struct TbSum64 {
    uint64_t lane[4];
    uint64_t length;
    unsigned char block[32];
    size_t held;
} TbSum64;

void tb_sum64_init(TbSum64 *sum);
void tb_sum64_add(TbSum64 *sum, const void *bytes, size_t size);

/** The sum of what was added so far; more may be added after. */
uint64_t tb_sum64(const TbSum64 *sum);

/** All in one call. */
uint64_t tb_sum64_of(const void *bytes, size_t size);
