/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file bench_rock.h
 * @brief The rock of the benches: 3 degrees each way about an axis along X beside the duct.
 */
#pragma once

#include "motion/rock.h"

#define ROCK_Y 60.0
#define ROCK_Z 50.0
#define ROCK_HALF (3 * M_PI / 180)

enum { ROCK_POSES = 61 };

static const TbRock bench_rock = {{0, ROCK_Y, ROCK_Z}, {1, 0, 0}, -ROCK_HALF, ROCK_HALF};
