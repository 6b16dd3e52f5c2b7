/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/cut_screen.h"

#include "base/fault.h"
#include "base/text.h"

#include <math.h>
#include <stdio.h>

/** The ratio where there is nothing to fit. */
#define USUAL 0.5

static double
within_limits(double ratio)
{
    return fmin(TB_RATIO_MOST, fmax(TB_RATIO_LEAST, ratio));
}

TbVec2
tb_viewport_paper(TbViewport port, TbVec2 bay)
{
    return tb_vec2(port.width / 2 + port.ratio * (bay.x - port.centre.x),
                   port.height / 2 - port.ratio * (bay.y - port.centre.y));
}

TbVec2
tb_viewport_bay(TbViewport port, TbVec2 paper)
{
    return tb_vec2(port.centre.x + (paper.x - port.width / 2) / port.ratio,
                   port.centre.y - (paper.y - port.height / 2) / port.ratio);
}

TbViewport
tb_viewport_fit(TbViewport port, TbVec2 low, TbVec2 high, double air)
{
    double wide = high.x - low.x;
    double tall = high.y - low.y;
    double room_x = fmax(1, port.width - 2 * air);
    double room_y = fmax(1, port.height - 2 * air);
    double ratio = fmin(wide > 0 ? room_x / wide : HUGE_VAL, tall > 0 ? room_y / tall : HUGE_VAL);

    port.ratio = isfinite(ratio) ? within_limits(ratio) : USUAL;
    port.centre = tb_vec2((low.x + high.x) / 2, (low.y + high.y) / 2);
    if (!isfinite(port.centre.x) || !isfinite(port.centre.y))
        port.centre = tb_vec2(0, 0);
    return port;
}

TbViewport
tb_viewport_zoom_at(TbViewport port, TbVec2 paper, double factor)
{
    TbVec2 stays = tb_viewport_bay(port, paper);

    port.ratio = within_limits(port.ratio * factor);
    /* from paper = middle + ratio (stays - centre) */
    port.centre.x = stays.x - (paper.x - port.width / 2) / port.ratio;
    port.centre.y = stays.y + (paper.y - port.height / 2) / port.ratio;
    return port;
}

TbViewport
tb_viewport_pan(TbViewport port, TbVec2 by)
{
    port.centre.x -= by.x / port.ratio;
    port.centre.y += by.y / port.ratio;
    return port;
}

void
tb_viewport_ratio_text(double ratio, char text[24])
{
    char number[TB_TEXT_NUMBER];
    double times, step, rounded;

    TB_ASSERT(ratio > 0);
    times = ratio >= 1 ? ratio : 1 / ratio;
    /* two figures tell a ratio; more would flicker while zooming */
    step = times >= 100 ? 10 : times >= 10 ? 1 : 0.1;
    rounded = round(times / step) * step;
    /* 0.05: half of the last figure */
    tb_text_shown(rounded, fabs(rounded - round(rounded)) < 0.05 ? 0 : 1, number);
    snprintf(text, 24, ratio >= 1 ? "%.12s:1" : "1:%.12s", number);
}
