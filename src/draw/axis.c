/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/axis.h"

#include <math.h>

TbAxis
tb_axis_for(double low, double high, int most_ticks)
{
    static const double steps[] = {1, 2, 5, 10};
    TbAxis axis;
    double decade;

    if (!(high > low)) {
        double air = fmax(1e-3, fabs(low) * 0.05);

        low -= air;
        high += air;
    }
    decade = pow(10, floor(log10((high - low) / most_ticks)));
    axis.step = 10 * decade;
    for (int i = 0; i < 4; i++)
        if ((high - low) / (steps[i] * decade) <= most_ticks) {
            axis.step = steps[i] * decade;
            break;
        }
    axis.low = floor(low / axis.step + 1e-9) * axis.step;
    axis.high = ceil(high / axis.step - 1e-9) * axis.step;
    axis.decimals = (int)fmax(0, fmin(9, -floor(log10(axis.step) + 1e-9)));
    return axis;
}

double
tb_axis_first_tick(const TbAxis *axis, double from)
{
    return ceil(from / axis->step - 1e-9) * axis->step;
}
