/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file style.h
 * @brief Inks, pens, hatches and letter sizes of every drawing, in one place.
 *
 * Lengths are mm of paper, letter sizes pt. A picture names roles; only this file knows values.
 */
#pragma once

#include "study/results.h"
#include "study/scene.h"

/** What a colour is for. */
typedef enum TbInk {
    TB_INK_NONE,
    TB_INK_PAPER,
    TB_INK_INK,
    TB_INK_QUIET,
    TB_INK_GRID,
    TB_INK_SELECT,
    TB_INK_HOLDS,
    TB_INK_WATCH,
    TB_INK_SHORT,
    TB_INK_OPEN,
    TB_INK_BAND,       /**< pale fill behind a finding's range */
    TB_INK_BAND_WATCH, /**< the same where it is only watched */
    TB_INK_INTERVAL,   /**< pale fill between the ends of an interval */
    TB_INK_HOT,        /**< pale class fills ... */
    TB_INK_STRUCTURE,
    TB_INK_COVER,
    TB_INK_LINE,
    TB_INK_SCAN,
    TB_INK_HOT_EDGE, /**< ... and their darker outlines */
    TB_INK_STRUCTURE_EDGE,
    TB_INK_COVER_EDGE,
    TB_INK_LINE_EDGE,
    TB_INK_SCAN_EDGE,
    TB_INK_CURVE_1, /**< curves of a chart, told apart by dash and mark too */
    TB_INK_CURVE_2,
    TB_INK_CURVE_3,
    TB_INK_CURVE_4,
    TB_INK_CURVE_5,
    TB_INK_CURVE_6,
    TB_INK_COUNT
} TbInk;

typedef enum TbTheme {
    TB_THEME_LIGHT,
    TB_THEME_DARK,
    TB_THEME_PRINT,
    TB_THEME_LIGHT_CONTRAST, /**< the desktop's high contrast: text 7:1, marks 4.5:1 */
    TB_THEME_DARK_CONTRAST,
    TB_THEME_GREY, /**< print without colours, each as light as the print's */
    TB_THEME_COUNT
} TbTheme;

typedef struct TbColour {
    double red, green, blue, alpha; /**< 0 to 1 */
} TbColour;

TbColour tb_style_colour(TbTheme theme, TbInk ink);

/** Contrast of two colours, 1 to 21: (L1 + 0.05) / (L2 + 0.05) of their relative luminances (WCAG
 * 2.1); a transparent one lies on the theme's paper. */
double tb_style_contrast(TbTheme theme, TbInk a, TbInk b);

/** The theme for a background as light as @p luminance (0 to 1, relative). */
TbTheme tb_style_theme_on(double luminance, bool high_contrast);

/** Relative luminance of a colour, 0 to 1, its alpha left aside. */
double tb_style_luminance(TbColour colour);

/**
 * The scale of gap maps: lightness falls evenly towards the neighbour, in one hue.
 *
 * @param share 0 near (dark) to 1 far (light)
 */
TbColour tb_style_scale(TbTheme theme, double share);

typedef enum TbPen {
    TB_PEN_NONE,
    TB_PEN_CUT,      /**< outline of a cut, 0.5 mm */
    TB_PEN_BEYOND,   /**< visible beyond the plane, 0.25 */
    TB_PEN_HIDDEN,   /**< 0.18 dashed */
    TB_PEN_CENTRE,   /**< 0.18 long dash, dot */
    TB_PEN_HATCH,    /**< 0.13 */
    TB_PEN_GAP,      /**< gap dimension, 0.35 */
    TB_PEN_ENVELOPE, /**< 0.25 long, short, short */
    TB_PEN_GRID,     /**< 0.1 */
    TB_PEN_FRAME,    /**< 0.18 plain: axes, ticks, chart frames, leaders */
    TB_PEN_SCALE,    /**< 0.5 plain: scale bar, axes arrows */
    TB_PEN_CURVE,    /**< 0.45 plain ... and its dashed sisters */
    TB_PEN_CURVE_DASH,
    TB_PEN_CURVE_DOT,
    TB_PEN_CURVE_LONG,
    TB_PEN_CURVE_DASH_DOT,
    TB_PEN_CURVE_SHORT,
    TB_PEN_DOUBLE,      /**< both lines of a double outline, 1.1 ... */
    TB_PEN_DOUBLE_CORE, /**< ... and the paper between them, 0.5 */
    TB_PEN_SELECTED,    /**< what a tool has picked, 0.8 */
    TB_PEN_LIMIT,       /**< limit of a chart, 0.3 dashed */
    TB_PEN_BORDER,      /**< frame of a drawing sheet, centring marks, 0.7 */
    TB_PEN_COUNT
} TbPen;

typedef struct TbPenStyle {
    double width;   /**< mm */
    double dash[6]; /**< mm: on, off, ...; all 0: plain */
    int dashes;
} TbPenStyle;

TbPenStyle tb_style_pen(TbPen pen);

/** Short names for the text dump and for tests. */
const char *tb_style_ink_name(TbInk ink);
const char *tb_style_pen_name(TbPen pen);

/** How one class of things is drawn. */
typedef struct TbLookStyle {
    TbInk fill, edge;
    double hatch_angle; /**< deg from paper's x, counter-clockwise */
    double hatch_step;  /**< mm; 0: none */
    bool dotted;        /**< dots instead of lines */
    bool double_edge;   /**< a second outline inside the first */
} TbLookStyle;

TbLookStyle tb_style_look(TbLook look);

TbInk tb_style_level_ink(TbLevel level);

/** The k-th curve's ink and pen; the pair repeats after 36. */
TbInk tb_style_curve_ink(size_t k);
TbPen tb_style_curve_pen(size_t k);

/** Letter sizes, pt. 9 is the smallest on paper. */
#define TB_PT_SMALL 9.0
#define TB_PT_TEXT 9.5
#define TB_PT_HEAD 12.0

/** mm of paper for one pt. */
#define TB_MM_PER_PT (25.4 / 72.0)
