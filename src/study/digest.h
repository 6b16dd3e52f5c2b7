/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file digest.h
 * @brief A fingerprint of a shape's numbers, by which two bays' items are compared.
 */
#pragma once

#include "geom/solid.h"

/**
 * SHA-256 over the numbers of every part, the same on every run and machine.
 *
 * @param checksum of the mesh file, for parts that are meshes; "" without one
 * @param[out] out 64 hexadecimal digits and an end
 */
void tb_digest(const TbSolid *solid, const char *checksum, char out[65]);
