/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "physics/diffuser.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>

#define DEGREE (M_PI / 180)

/** Idelchik's formula: factor and power of the widening's term, and divisor of the wall's. */
#define WIDENING 3.2
#define POWER 1.25
#define WALL 8.0

#define ANGLES 14
#define RATIOS 7

static const double angles[ANGLES] = {3, 6, 8, 10, 12, 14, 16, 20, 24, 30, 40, 60, 90, 180};
static const double ratios[RATIOS] = {0.1, 0.2, 0.25, 0.3, 0.4, 0.5, 0.6};

/** Idelchik's table of the loss by widening, a row a ratio; uniform inlet. */
static const double tabled[RATIOS][ANGLES] = {
    {0.03, 0.07, 0.09, 0.12, 0.15, 0.18, 0.22, 0.29, 0.38, 0.52, 0.75, 0.93, 0.89, 0.83},
    {0.02, 0.05, 0.07, 0.10, 0.12, 0.15, 0.17, 0.23, 0.30, 0.41, 0.59, 0.74, 0.70, 0.65},
    {0.02, 0.05, 0.06, 0.08, 0.10, 0.13, 0.15, 0.20, 0.26, 0.35, 0.47, 0.65, 0.62, 0.58},
    {0.02, 0.04, 0.05, 0.07, 0.09, 0.11, 0.13, 0.18, 0.23, 0.31, 0.40, 0.57, 0.54, 0.50},
    {0.01, 0.03, 0.04, 0.06, 0.07, 0.08, 0.10, 0.13, 0.17, 0.23, 0.33, 0.41, 0.39, 0.37},
    {0.01, 0.02, 0.03, 0.04, 0.05, 0.06, 0.07, 0.09, 0.12, 0.16, 0.23, 0.29, 0.28, 0.26},
    {0.01, 0.01, 0.02, 0.03, 0.03, 0.04, 0.05, 0.06, 0.08, 0.10, 0.15, 0.18, 0.17, 0.16},
};

static TbStatus
check_ratio(double ratio, TbFault *fault)
{
    if (ratio > 0 && ratio < 1)
        return TB_OK;
    return tb_fail(fault, TB_E_RANGE, "a diffuser's area ratio is %g, between 0 and 1 is needed",
                   ratio);
}

TbStatus
tb_diffuser_loss(double angle, double ratio, double friction, double *loss, TbFault *fault)
{
    TbStatus status = check_ratio(ratio, fault);

    if (status != TB_OK)
        return status;
    if (!(angle > 0 && angle <= TB_DIFFUSER_STEEPEST))
        return tb_fail(fault, TB_E_RANGE,
                       "a diffuser's full angle is %g degrees, above 0 to 40 is needed",
                       angle / DEGREE);
    if (!(friction >= 0 && isfinite(friction)))
        return tb_fail(fault, TB_E_RANGE, "a friction factor is %g, 0 or more is needed", friction);
    *loss = WIDENING * pow(tan(angle / 2), POWER) * (1 - ratio) * (1 - ratio) +
            friction * (1 - ratio * ratio) / (WALL * sin(angle / 2));
    return TB_OK;
}

/** The interval of a rising table that holds x, and how far x is into it, 0 to 1. */
static size_t
interval(const double table[], size_t count, double x, double *share)
{
    size_t i = 0;

    while (i + 2 < count && x > table[i + 1])
        i++;
    *share = (x - table[i]) / (table[i + 1] - table[i]);
    return i;
}

TbStatus
tb_diffuser_loss_tabled(double angle, double ratio, double *loss, TbFault *fault)
{
    double degrees = angle / DEGREE;
    double u, v;
    size_t i, j;

    if (!(degrees >= angles[0] && degrees <= angles[ANGLES - 1]))
        return tb_fail(fault, TB_E_RANGE,
                       "a diffuser's full angle is %g degrees, the table has 3 to 180", degrees);
    if (!(ratio >= ratios[0] && ratio <= ratios[RATIOS - 1]))
        return tb_fail(fault, TB_E_RANGE, "a diffuser's area ratio is %g, the table has 0.1 to 0.6",
                       ratio);
    i = interval(ratios, RATIOS, ratio, &u);
    j = interval(angles, ANGLES, degrees, &v);
    *loss = (1 - u) * ((1 - v) * tabled[i][j] + v * tabled[i][j + 1]) +
            u * ((1 - v) * tabled[i + 1][j] + v * tabled[i + 1][j + 1]);
    return TB_OK;
}

/** How the loss changes with half the angle. It only rises, from minus infinity at 0. */
static double
slope(double half, double ratio, double friction)
{
    double t = tan(half);
    double s = sin(half);
    double widening =
        WIDENING * POWER * pow(t, POWER - 1) * (1 + t * t) * (1 - ratio) * (1 - ratio);

    return widening - friction * (1 - ratio * ratio) * cos(half) / (WALL * s * s);
}

TbStatus
tb_diffuser_best_angle(double ratio, double friction, double *angle, TbFault *fault)
{
    TbStatus status = check_ratio(ratio, fault);
    double low = 0;
    double high = TB_DIFFUSER_STEEPEST / 2;

    if (status != TB_OK)
        return status;
    if (!(friction > 0 && isfinite(friction)))
        return tb_fail(fault, TB_E_RANGE, "a friction factor is %g, above 0 is needed", friction);
    if (slope(high, ratio, friction) < 0)
        return tb_fail(fault, TB_E_RANGE,
                       "the angle of least loss at area ratio %g and friction factor %g is beyond "
                       "40 degrees, where the formula ends",
                       ratio, friction);
    /* halve until no number is left between */
    for (;;) {
        double middle = low + (high - low) / 2;

        if (middle <= low || middle >= high)
            break;
        if (slope(middle, ratio, friction) < 0)
            low = middle;
        else
            high = middle;
    }
    *angle = 2 * high;
    return TB_OK;
}

double
tb_diffuser_best_angle_estimate(double ratio, double friction)
{
    TB_ASSERT(ratio > 0 && ratio < 1 && friction > 0);
    return 0.43 * pow(friction * (1 / ratio + 1) / (1 / ratio - 1), 4.0 / 9);
}
