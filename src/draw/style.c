/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/style.h"

#include "draw/lab.h"

#include <math.h>

static const struct {
    const char *name;
    unsigned light, dark, print; /**< 0xRRGGBB */
    double alpha;
} inks[TB_INK_COUNT] = {
    [TB_INK_NONE] = {"none", 0x000000, 0x000000, 0x000000, 0},
    [TB_INK_PAPER] = {"paper", 0xFBFAF7, 0x1C1F24, 0xFFFFFF, 1},
    [TB_INK_INK] = {"ink", 0x1E2328, 0xE9E6E0, 0x000000, 1},
    [TB_INK_QUIET] = {"quiet", 0x6B7280, 0x9AA1AB, 0x666666, 1},
    [TB_INK_GRID] = {"grid", 0xE7E4DD, 0x2A2E35, 0xD9D9D9, 1},
    [TB_INK_SELECT] = {"select", 0x0B6E99, 0x6FC3E8, 0x0B6E99, 1},
    [TB_INK_HOLDS] = {"holds", 0x1D6FA5, 0x6FB6E8, 0x1D6FA5, 1},
    [TB_INK_WATCH] = {"watch", 0xA16207, 0xE8B84A, 0xA16207, 1},
    [TB_INK_SHORT] = {"short", 0xC2410C, 0xFF8A5C, 0xC2410C, 1},
    [TB_INK_OPEN] = {"open", 0x6B7280, 0x9AA1AB, 0x666666, 1},
    [TB_INK_BAND] = {"band", 0xC2410C, 0xFF8A5C, 0xC2410C, 0.13},
    [TB_INK_BAND_WATCH] = {"band watch", 0xA16207, 0xE8B84A, 0xA16207, 0.13},
    [TB_INK_INTERVAL] = {"interval", 0x1D6FA5, 0x6FB6E8, 0x1D6FA5, 0.15},
    [TB_INK_HOT] = {"hot", 0xF3E1D6, 0x3A2E28, 0xF3EAE4, 1},
    [TB_INK_STRUCTURE] = {"structure", 0xE1E6EC, 0x2A3038, 0xE9EDF1, 1},
    [TB_INK_COVER] = {"cover", 0xF0E9D2, 0x37331F, 0xF4F0E2, 1},
    [TB_INK_LINE] = {"line", 0xE2EBE6, 0x26332D, 0xEAF0EC, 1},
    [TB_INK_SCAN] = {"scan", 0xE9E4EF, 0x322C39, 0xEEEAF2, 1},
    [TB_INK_HOT_EDGE] = {"hot edge", 0x7A3B1E, 0xE0A98C, 0x4A2412, 1},
    [TB_INK_STRUCTURE_EDGE] = {"structure edge", 0x3E4C5C, 0xA9B8C9, 0x26303B, 1},
    [TB_INK_COVER_EDGE] = {"cover edge", 0x6B5A1F, 0xD3C27F, 0x453A14, 1},
    [TB_INK_LINE_EDGE] = {"line edge", 0x2F5D4A, 0x9CCBB6, 0x1D3A2E, 1},
    [TB_INK_SCAN_EDGE] = {"scan edge", 0x5B4573, 0xC3AEDB, 0x3A2C49, 1},
    [TB_INK_CURVE_1] = {"curve 1", 0x1D6FA5, 0x6FB6E8, 0x1D6FA5, 1},
    [TB_INK_CURVE_2] = {"curve 2", 0x7A3B1E, 0xE0A98C, 0x7A3B1E, 1},
    [TB_INK_CURVE_3] = {"curve 3", 0x5B4573, 0xC3AEDB, 0x5B4573, 1},
    [TB_INK_CURVE_4] = {"curve 4", 0x2F5D4A, 0x9CCBB6, 0x2F5D4A, 1},
    [TB_INK_CURVE_5] = {"curve 5", 0x6B5A1F, 0xD3C27F, 0x6B5A1F, 1},
    [TB_INK_CURVE_6] = {"curve 6", 0x1E2328, 0xE9E6E0, 0x000000, 1},
};

/** What the desktop's high contrast changes; the others stay as they are. */
static const struct {
    bool set;
    unsigned light, dark;
} contrasts[TB_INK_COUNT] = {
    [TB_INK_PAPER] = {true, 0xFFFFFF, 0x000000},
    [TB_INK_INK] = {true, 0x000000, 0xFFFFFF},
    [TB_INK_QUIET] = {true, 0x3D434D, 0xC9CFD7},
    [TB_INK_GRID] = {true, 0xB4B1AB, 0x585E67},
    [TB_INK_SELECT] = {true, 0x004B6E, 0x9BDBFF},
    [TB_INK_HOLDS] = {true, 0x0B4A75, 0xA3D3F5},
    [TB_INK_WATCH] = {true, 0x643B00, 0xFFD57A},
    [TB_INK_SHORT] = {true, 0x8A2A00, 0xFFB599},
    [TB_INK_OPEN] = {true, 0x3D434D, 0xC9CFD7},
    [TB_INK_HOT_EDGE] = {true, 0x4A2412, 0xF2CDB9},
    [TB_INK_STRUCTURE_EDGE] = {true, 0x26303B, 0xD3DDE8},
    [TB_INK_COVER_EDGE] = {true, 0x453A14, 0xEBDDA6},
    [TB_INK_LINE_EDGE] = {true, 0x1D3A2E, 0xC3E6D6},
    [TB_INK_SCAN_EDGE] = {true, 0x3A2C49, 0xE0D2F0},
    [TB_INK_CURVE_1] = {true, 0x0B4A75, 0xA3D3F5},
    [TB_INK_CURVE_2] = {true, 0x4A2412, 0xF2CDB9},
    [TB_INK_CURVE_3] = {true, 0x3A2C49, 0xE0D2F0},
    [TB_INK_CURVE_4] = {true, 0x1D3A2E, 0xC3E6D6},
    [TB_INK_CURVE_5] = {true, 0x453A14, 0xEBDDA6},
    [TB_INK_CURVE_6] = {true, 0x000000, 0xFFFFFF},
};

static const struct {
    const char *name;
    TbPenStyle style;
} pens[TB_PEN_COUNT] = {
    [TB_PEN_NONE] = {"none", {0, {0}, 0}},
    [TB_PEN_CUT] = {"cut", {0.5, {0}, 0}},
    [TB_PEN_BEYOND] = {"beyond", {0.25, {0}, 0}},
    [TB_PEN_HIDDEN] = {"hidden", {0.18, {2.2, 0.6}, 2}},
    [TB_PEN_CENTRE] = {"centre", {0.18, {4.3, 0.6, 0.3, 0.6}, 4}},
    [TB_PEN_HATCH] = {"hatch", {0.13, {0}, 0}},
    [TB_PEN_GAP] = {"gap", {0.35, {0}, 0}},
    [TB_PEN_ENVELOPE] = {"envelope", {0.25, {4, 0.8, 1, 0.8, 1, 0.8}, 6}},
    [TB_PEN_GRID] = {"grid", {0.1, {0}, 0}},
    [TB_PEN_FRAME] = {"frame", {0.18, {0}, 0}},
    [TB_PEN_SCALE] = {"scale", {0.5, {0}, 0}},
    [TB_PEN_CURVE] = {"curve", {0.45, {0}, 0}},
    [TB_PEN_CURVE_DASH] = {"curve dash", {0.45, {2.4, 0.9}, 2}},
    [TB_PEN_CURVE_DOT] = {"curve dot", {0.5, {0.5, 0.9}, 2}},
    [TB_PEN_CURVE_LONG] = {"curve long", {0.45, {5, 1}, 2}},
    [TB_PEN_CURVE_DASH_DOT] = {"curve dash dot", {0.45, {3, 0.8, 0.5, 0.8}, 4}},
    [TB_PEN_CURVE_SHORT] = {"curve short", {0.45, {1.2, 0.7}, 2}},
    [TB_PEN_DOUBLE] = {"double", {1.1, {0}, 0}},
    [TB_PEN_DOUBLE_CORE] = {"double core", {0.5, {0}, 0}},
    [TB_PEN_SELECTED] = {"selected", {0.8, {0}, 0}},
    [TB_PEN_LIMIT] = {"limit", {0.3, {1.6, 0.8}, 2}},
    [TB_PEN_BORDER] = {"border", {0.7, {0}, 0}},
};

static const TbLookStyle looks[] = {
    [TB_LOOK_HOT] = {TB_INK_HOT, TB_INK_HOT_EDGE, 45, 2.5, false, false},
    [TB_LOOK_STRUCTURE] = {TB_INK_STRUCTURE, TB_INK_STRUCTURE_EDGE, -45, 2.5, false, false},
    [TB_LOOK_COVER] = {TB_INK_COVER, TB_INK_COVER_EDGE, 60, 3.5, false, false},
    [TB_LOOK_BRAKE] = {TB_INK_PAPER, TB_INK_INK, 0, 0, false, true},
    [TB_LOOK_HARNESS] = {TB_INK_PAPER, TB_INK_QUIET, 45, 1.2, true, false},
    [TB_LOOK_MOVING] = {TB_INK_PAPER, TB_INK_INK, -60, 3.5, false, false},
    [TB_LOOK_LINE] = {TB_INK_LINE, TB_INK_LINE_EDGE, 30, 1.8, false, false},
    [TB_LOOK_SCAN] = {TB_INK_SCAN, TB_INK_SCAN_EDGE, 0, 0, false, false},
};

static unsigned
rgb_of(TbTheme theme, TbInk ink)
{
    switch (theme) {
    case TB_THEME_DARK:
        return inks[ink].dark;
    case TB_THEME_PRINT:
    case TB_THEME_GREY:
        return inks[ink].print;
    case TB_THEME_LIGHT_CONTRAST:
        return contrasts[ink].set ? contrasts[ink].light : inks[ink].light;
    case TB_THEME_DARK_CONTRAST:
        return contrasts[ink].set ? contrasts[ink].dark : inks[ink].dark;
    case TB_THEME_LIGHT:
    case TB_THEME_COUNT:
        break;
    }
    return inks[ink].light;
}

/* sRGB (IEC 61966-2-1), one channel */
static double
to_linear(double c)
{
    return c <= 0.04045 ? c / 12.92 : pow((c + 0.055) / 1.055, 2.4);
}

static double
from_linear(double c)
{
    return c <= 0.0031308 ? 12.92 * c : 1.055 * pow(c, 1 / 2.4) - 0.055;
}

double
tb_style_luminance(TbColour colour)
{
    return 0.2126 * to_linear(colour.red) + 0.7152 * to_linear(colour.green) +
           0.0722 * to_linear(colour.blue);
}

TbColour
tb_style_colour(TbTheme theme, TbInk ink)
{
    unsigned rgb = rgb_of(theme, ink);
    TbColour colour = {(double)(rgb >> 16 & 255) / 255, (double)(rgb >> 8 & 255) / 255,
                       (double)(rgb & 255) / 255, inks[ink].alpha};

    if (theme == TB_THEME_GREY)
        colour.red = colour.green = colour.blue = from_linear(tb_style_luminance(colour));
    return colour;
}

/** A colour as it looks on the theme's paper. */
static TbColour
on_paper(TbTheme theme, TbInk ink)
{
    TbColour paper = tb_style_colour(theme, TB_INK_PAPER);
    TbColour c = tb_style_colour(theme, ink);

    return (TbColour){paper.red + c.alpha * (c.red - paper.red),
                      paper.green + c.alpha * (c.green - paper.green),
                      paper.blue + c.alpha * (c.blue - paper.blue), 1};
}

double
tb_style_contrast(TbTheme theme, TbInk a, TbInk b)
{
    double one = tb_style_luminance(on_paper(theme, a)) + 0.05;
    double two = tb_style_luminance(on_paper(theme, b)) + 0.05;

    return one > two ? one / two : two / one;
}

TbTheme
tb_style_theme_on(double luminance, bool high_contrast)
{
    /* the luminance against which black and white stand out alike: (x + 0.05)^2 = 0.05 * 1.05 */
    bool light = luminance > 0.179;

    if (high_contrast)
        return light ? TB_THEME_LIGHT_CONTRAST : TB_THEME_DARK_CONTRAST;
    return light ? TB_THEME_LIGHT : TB_THEME_DARK;
}

TbColour
tb_style_scale(TbTheme theme, double share)
{
    /* near and far; hues of selection blue and of the paper. Dark stays under its labels. */
    static const TbLab ends[][2] = {
        [TB_THEME_LIGHT] = {{34, -3, -24}, {97, 0, 2}},
        [TB_THEME_DARK] = {{7, 0, -4}, {48, -4, -13}},
        [TB_THEME_PRINT] = {{34, -3, -24}, {100, 0, 0}},
        [TB_THEME_LIGHT_CONTRAST] = {{34, -3, -24}, {100, 0, 0}},
        [TB_THEME_DARK_CONTRAST] = {{5, 0, -2}, {48, -4, -13}},
        [TB_THEME_GREY] = {{34, 0, 0}, {100, 0, 0}},
    };
    const TbLab near = ends[theme][0], far = ends[theme][1];
    double k = fmax(0, fmin(1, share));

    return tb_lab_colour((TbLab){near.lightness + k * (far.lightness - near.lightness),
                                 near.a + k * (far.a - near.a), near.b + k * (far.b - near.b)});
}

TbPenStyle
tb_style_pen(TbPen pen)
{
    return pens[pen].style;
}

const char *
tb_style_ink_name(TbInk ink)
{
    return inks[ink].name;
}

const char *
tb_style_pen_name(TbPen pen)
{
    return pens[pen].name;
}

TbLookStyle
tb_style_look(TbLook look)
{
    return looks[look];
}

TbInk
tb_style_level_ink(TbLevel level)
{
    switch (level) {
    case TB_LEVEL_HOLDS:
        return TB_INK_HOLDS;
    case TB_LEVEL_WATCH:
        return TB_INK_WATCH;
    case TB_LEVEL_SHORT:
        return TB_INK_SHORT;
    case TB_LEVEL_OPEN:
        break;
    }
    return TB_INK_OPEN;
}

TbInk
tb_style_curve_ink(size_t k)
{
    return (TbInk)(TB_INK_CURVE_1 + (int)(k % 6));
}

TbPen
tb_style_curve_pen(size_t k)
{
    /* the seventh curve has the first one's ink and another dash */
    return (TbPen)(TB_PEN_CURVE + (int)((k + k / 6) % 6));
}
