/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file growth.h
 * @brief Thermal growth of an item from its mount's datum.
 */
#pragma once

#include "geom/pose.h"

/**
 * Growth factor 1 + alpha (T - T_ref).
 *
 * Linear expansion with the mean coefficient between the two temperatures; any handbook, e.g.
 * ASME BPVC II-D table TE-1 for how mean coefficients are meant.
 *
 * @param expansion   mean linear coefficient, 1/K
 * @param temperature of the item, degC
 * @param reference   temperature at which the sizes hold, degC
 */
double tb_growth_factor(double expansion, double temperature, double reference);

/** The pose of an item grown from a datum point. */
TbPose tb_growth_pose(TbVec3 datum, double expansion, double temperature, double reference);
