/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file diffuser.h
 * @brief Loss of a duct that widens, and how steeply it may before the flow leaves the wall.
 *
 * A conical diffuser has an area ratio n = A1 / A2, inlet by outlet, so n is below 1, and a full
 * (included) angle in radians. A duct of another section stands for the cone of equal areas. Losses
 * are in units of the inlet's velocity head rho V1^2 / 2. The inlet flow is taken as uniform and
 * turbulent.
 *
 * Source: I. E. Idelchik, Handbook of Hydraulic Resistance, chapter 5 (flow with smooth change of
 * velocity).
 */
#pragma once

#include "base/fault.h"

/**
 * rad. Full cone angle of growth that is still taken as attached when a bay says nothing else: the
 * angle of least loss at area ratio 2 and friction factor 0.02 is 7.02 degrees
 * (tb_diffuser_best_angle), and 7 degrees is also the low end of the 7 to 10 degrees below which
 * flow stays attached for area ratios around 2 in handbooks of diffusers.
 */
#define TB_DIFFUSER_LIMIT (7.0 * 3.14159265358979323846 / 180.0)

/** rad. Largest angle for which tb_diffuser_loss() holds: 40 degrees. */
#define TB_DIFFUSER_STEEPEST (40.0 * 3.14159265358979323846 / 180.0)

/**
 * Loss by Idelchik's formula: 3.2 tan(a/2)^1.25 (1 - n)^2 for the widening plus
 * friction (1 - n^2) / (8 sin(a/2)) for the wall. The first term is within 0.009 of the tabled
 * values for n of 0.1 to 0.5 up to 24 degrees, and within 0.045 up to 40.
 *
 * @param angle    rad, above 0 to TB_DIFFUSER_STEEPEST
 * @param ratio    n, above 0 and below 1
 * @param friction Darcy friction factor, 0 or more
 * @param[out] loss velocity heads of the inlet; untouched on failure
 * @return TB_OK, or TB_E_RANGE
 */
TbStatus
tb_diffuser_loss(double angle, double ratio, double friction, double *loss, TbFault *fault);

/**
 * Loss of the widening alone by Idelchik's table, linear between its values.
 *
 * @param angle rad, 3 to 180 degrees
 * @param ratio n, 0.1 to 0.6
 * @param[out] loss velocity heads of the inlet; untouched on failure
 * @return TB_OK, or TB_E_RANGE
 */
TbStatus tb_diffuser_loss_tabled(double angle, double ratio, double *loss, TbFault *fault);

/**
 * Full angle at which tb_diffuser_loss() is least, to rounding.
 *
 * @param ratio    n, above 0 and below 1
 * @param friction Darcy friction factor, above 0
 * @param[out] angle rad; untouched on failure
 * @return TB_OK, or TB_E_RANGE, also when the least loss lies beyond TB_DIFFUSER_STEEPEST
 */
TbStatus tb_diffuser_best_angle(double ratio, double friction, double *angle, TbFault *fault);

/**
 * Idelchik's closed estimate of the same angle: 0.43 (friction (1/n + 1) / (1/n - 1))^(4/9) rad.
 * Within a twentieth of a degree of tb_diffuser_best_angle() at n of 0.25 to 0.5 and friction 0.015
 * to 0.02.
 *
 * @param ratio    n, above 0 and below 1 (asserted)
 * @param friction Darcy friction factor, above 0 (asserted)
 * @return rad
 */
double tb_diffuser_best_angle_estimate(double ratio, double friction);
