/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file lab.h
 * @brief CIELAB, in which equal steps of lightness look equal, and the screen's colours.
 *
 * ISO/CIE 11664-4:2019 (CIE 1976 L*a*b*) under D65; IEC 61966-2-1 (sRGB) for primaries and
 * transfer. Numbers of both are from memory, and checked by white, black, round trips and published
 * pairs.
 */
#pragma once

#include "draw/style.h"

typedef struct TbLab {
    double lightness; /**< L*, 0 black to 100 white */
    double a, b;
} TbLab;

/** As the screen shows it, cut off where the screen cannot; opaque. */
TbColour tb_lab_colour(TbLab lab);

TbLab tb_lab_of(TbColour colour);
