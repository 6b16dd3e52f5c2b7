/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/axis.h"

#include <math.h>

/* mm and the like. A range of none gets at least this much air on both sides, or a share of where
 * it lies. */
#define LEAST_AIR 1e-3
#define AIR 0.05

TbAxis
tb_axis_for(double low, double high, int most_ticks, TbQuantity quantity, TbLengthUnit unit)
{
    static const double steps[] = {1, 2, 5, 10};
    TbAxis axis = {.one = tb_quantity_one(quantity, unit)};
    double decade, step;

    if (!(high > low)) {
        double air = fmax(LEAST_AIR, fabs(low) * AIR);

        low -= air;
        high += air;
    }
    low /= axis.one;
    high /= axis.one;
    decade = pow(10, floor(log10((high - low) / most_ticks)));
    step = 10 * decade;
    for (int i = 0; i < 4; i++)
        if ((high - low) / (steps[i] * decade) <= most_ticks) {
            step = steps[i] * decade;
            break;
        }
    axis.low = floor(low / step + 1e-9) * step * axis.one;
    axis.high = ceil(high / step - 1e-9) * step * axis.one;
    axis.step = step * axis.one;
    axis.decimals = (int)fmax(0, fmin(9, -floor(log10(step) + 1e-9)));
    return axis;
}

void
tb_axis_number(const TbAxis *axis, double tick, char out[TB_TEXT_NUMBER])
{
    tb_text_shown(tick / axis->one, axis->decimals, out);
}

double
tb_axis_first_tick(const TbAxis *axis, double from)
{
    return ceil(from / axis->step - 1e-9) * axis->step;
}
