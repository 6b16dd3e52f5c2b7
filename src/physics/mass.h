/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file mass.h
 * @brief Mass and centre of gravity of things made of parts.
 *
 * Units: kg, m, m^3, kg/m^3. A thing without mass has its centre at the origin, by decision; adding
 * it to another changes nothing.
 */
#pragma once

#include "geom/vec3.h"

#include <stddef.h>

typedef struct TbMass {
    double mass;   /**< kg, below 0 for what is cut out of another part */
    TbVec3 centre; /**< of gravity, m */
} TbMass;

/** A body of one density. @p volume in m^3, @p density in kg/m^3, @p centre of the volume in m. */
TbMass tb_mass_of(double volume, double density, TbVec3 centre);

/** All parts together; the centre is taken about the first part's, to keep rounding small. */
TbMass tb_mass_sum(const TbMass parts[], size_t count);

/**
 * Moment of the weight about a point, for the load on a flange: (centre - point) x mass g.
 *
 * @param point m
 * @param gravity m/s^2, with its direction: (0, 0, -9.80665) on level ground
 * @return N m
 */
TbVec3 tb_mass_moment(TbMass body, TbVec3 point, TbVec3 gravity);
