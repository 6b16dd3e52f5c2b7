/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/lab.h"

#include <math.h>

/** D65 white, Y = 1. */
static const double white[3] = {0.95047, 1.0, 1.08883};

/** The cube root of CIELAB ends in a straight line at (6/29)^3. */
static double
root_of(double t)
{
    return t > 216.0 / 24389 ? cbrt(t) : (24389.0 / 27 * t + 16) / 116;
}

static double
cube_of(double f)
{
    return f > 6.0 / 29 ? f * f * f : (116 * f - 16) * 27 / 24389;
}

static double
encode(double linear)
{
    double kept = fmax(0, fmin(1, linear));

    return kept <= 0.0031308 ? 12.92 * kept : 1.055 * pow(kept, 1 / 2.4) - 0.055;
}

static double
decode(double shown)
{
    return shown <= 0.04045 ? shown / 12.92 : pow((shown + 0.055) / 1.055, 2.4);
}

TbColour
tb_lab_colour(TbLab lab)
{
    double fy = (lab.lightness + 16) / 116;
    double x = white[0] * cube_of(fy + lab.a / 500);
    double y = white[1] * cube_of(fy);
    double z = white[2] * cube_of(fy - lab.b / 200);

    return (TbColour){encode(3.2404542 * x - 1.5371385 * y - 0.4985314 * z),
                      encode(-0.9692660 * x + 1.8760108 * y + 0.0415560 * z),
                      encode(0.0556434 * x - 0.2040259 * y + 1.0572252 * z), 1};
}

TbLab
tb_lab_of(TbColour colour)
{
    double r = decode(colour.red), g = decode(colour.green), b = decode(colour.blue);
    double fx = root_of((0.4124564 * r + 0.3575761 * g + 0.1804375 * b) / white[0]);
    double fy = root_of((0.2126729 * r + 0.7151522 * g + 0.0721750 * b) / white[1]);
    double fz = root_of((0.0193339 * r + 0.1191920 * g + 0.9503041 * b) / white[2]);

    return (TbLab){116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)};
}
