/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file picture.h
 * @brief A drawing as data: a list of marks in mm of paper, that others read.
 *
 * Paper: origin at the top left, x to the right, y down. Marks are painted in order. The painter
 * strokes them (paint.h), tests dump them as text, hit tests ask what lies under a point; none of
 * them knows what an engine bay is. A picture that ran out of memory keeps its status and ignores
 * further marks, so that drawing code checks once, at the end.
 */
#pragma once

#include "draw/style.h"

#include "base/fault.h"
#include "geom/polygon.h"
#include "geom/vec2.h"

typedef enum TbMarkKind {
    TB_MARK_AREA,
    TB_MARK_LINE,
    TB_MARK_TEXT,
    TB_MARK_DOT,
    TB_MARK_CLIP,
    TB_MARK_RASTER
} TbMarkKind;

/** What a mark is for, by meaning: whoever takes a drawing apart finds its parts by these. In the
 * order in which they usually lie on each other. */
typedef enum TbLayer {
    TB_LAYER_TITLE,
    TB_LAYER_NOTES,
    TB_LAYER_BEYOND,       /**< what is seen beyond the plane of a cut */
    TB_LAYER_FILLS,        /**< of areas in the layer of outlines */
    TB_LAYER_HATCH,        /**< of areas in the layer of outlines */
    TB_LAYER_OUTLINES,     /**< of what is cut; an area's fill and hatch have layers of their own */
    TB_LAYER_ENVELOPES,    /**< clamps, bolt boxes */
    TB_LAYER_CENTRE_LINES, /**< with ticks of stations */
    TB_LAYER_MAP,
    TB_LAYER_FINDINGS,
    TB_LAYER_GRID, /**< of a chart, with the numbers of its ticks */
    TB_LAYER_CURVES,
    TB_LAYER_LIMITS,
    TB_LAYER_FRAME,
    TB_LAYER_DIMENSIONS,
    TB_LAYER_GAPS,
    TB_LAYER_PLANES, /**< where other views' planes lie */
    TB_LAYER_AXES,   /**< of the vehicle, a section, a chart; front, scale bar */
    TB_LAYER_LABELS,
    TB_LAYER_CUT_LINES,    /**< of gauges to be cut out */
    TB_LAYER_REGISTRATION, /**< marks that are laid on each other */
    TB_LAYER_CHECK_BARS,
    TB_LAYER_COUNT
} TbLayer;

/** "centre-lines" */
const char *tb_layer_name(TbLayer layer);

/** Where a text stands about its point. */
typedef enum TbAnchor { TB_ANCHOR_LEFT, TB_ANCHOR_MIDDLE, TB_ANCHOR_RIGHT } TbAnchor;

typedef struct TbMark {
    TbMarkKind kind;
    TbLayer layer;
    TbInk fill; /**< of an area or dot */
    TbInk ink;  /**< of strokes, hatch and text */
    TbPen pen;
    double hatch_angle, hatch_step; /**< deg, mm; step 0: none */
    bool hatch_dotted;
    size_t first_loop, loops; /**< of an area (closed) or line (open): in the picture's loops; of a
                                   clip or raster its rectangle */
    TbVec2 at;                /**< of a text (on its baseline's middle height) or dot */
    double size;              /**< pt of a text, mm radius of a dot */
    double turn;              /**< deg, of a text, counter-clockwise */
    TbAnchor anchor;
    bool bold;
    bool backed; /**< paper behind the text, so that hatch and lines stop short of it */
    size_t text; /**< offset in the picture's texts */
    size_t tag;  /**< offset in the picture's texts, of what a hit gives back; 0: nothing */
    size_t columns, rows; /**< of a raster */
    size_t first_share; /**< of a raster: in the picture's shares, by column, then row from below */
} TbMark;

typedef struct TbPicture {
    double width, height; /**< mm */
    TbStatus status;
    TbLayer layer; /**< of marks to come */
    TbMark *marks;
    size_t mark_count, mark_room;
    TbVec2 *points;
    size_t point_count, point_room;
    TbLoopSpan *loops;
    size_t loop_count, loop_room;
    char *texts;
    size_t text_used, text_room;
    double *shares; /**< of rasters: 0 the near end of the scale, 1 the far one */
    size_t share_count, share_room;
} TbPicture;

void tb_picture_init(TbPicture *picture, double width, double height);
void tb_picture_clear(TbPicture *picture);

/** Marks from here on belong to a layer; those before the first call to the frame. */
void tb_picture_layer(TbPicture *picture, TbLayer layer);

/** How an area is filled and edged. */
typedef struct TbAreaStyle {
    TbInk fill, edge;
    TbPen pen;
    double hatch_angle, hatch_step;
    bool hatch_dotted;
} TbAreaStyle;

/** Closed loops filled even-odd, hatched, stroked. @p tag may be NULL. */
void tb_picture_area(TbPicture *picture,
                     const TbVec2 points[],
                     const TbLoopSpan loops[],
                     size_t loop_count,
                     TbAreaStyle style,
                     const char *tag);

/** A rectangle, corners in any order. */
void
tb_picture_rectangle(TbPicture *picture, TbVec2 a, TbVec2 b, TbAreaStyle style, const char *tag);

/** An open line through points. */
void tb_picture_line(
    TbPicture *picture, const TbVec2 points[], size_t count, TbPen pen, TbInk ink, const char *tag);

void tb_picture_segment(TbPicture *picture, TbVec2 a, TbVec2 b, TbPen pen, TbInk ink);

void tb_picture_dot(TbPicture *picture, TbVec2 at, double radius, TbInk fill);

/** How a text is set. */
typedef struct TbTextStyle {
    double size; /**< pt */
    TbInk ink;
    TbAnchor anchor;
    bool bold, backed;
    double turn; /**< deg */
} TbTextStyle;

/** @p at is the middle of the text's height at its anchor. */
void tb_picture_text(TbPicture *picture, TbVec2 at, TbTextStyle style, const char *text);

/** The level's own shape: triangle, square, disc, hollow diamond; @p size mm across. */
void tb_picture_level(TbPicture *picture, TbVec2 at, double size, TbLevel level);

/** Marks from here on are clipped to a rectangle; end with tb_picture_unclip(). Not nested. */
void tb_picture_clip(TbPicture *picture, TbVec2 a, TbVec2 b);
void tb_picture_unclip(TbPicture *picture);

/**
 * Cells of a scale from near (0, dark) to far (1, light), evenly over a rectangle and smooth
 * between their middles.
 *
 * @param low,high the rectangle's top left and bottom right
 * @param share    columns x rows, by column, then row from the bottom up
 */
void tb_picture_raster(
    TbPicture *picture, TbVec2 low, TbVec2 high, const double share[], size_t columns, size_t rows);

const char *tb_picture_string(const TbPicture *picture, size_t offset);

/** Tag of the topmost mark within @p near mm of a point, or NULL. Inside an area counts. */
const char *tb_picture_hit(const TbPicture *picture, TbVec2 at, double near_by);

/**
 * Tags of everything within @p near_by of a point, the likeliest first, each once: thin things and
 * small ones by their distance; then areas that hold the point, the topmost first; then others by
 * their distance. Lent by the picture.
 *
 * @param[out] tags room for @p most
 * @return how many
 */
size_t tb_picture_hits(
    const TbPicture *picture, TbVec2 at, double near_by, const char *tags[], size_t most);

/**
 * Where a mark's ink may lie, mm: corners low and high. Of a clip the whole picture.
 *
 * @param text_width of a text, mm; else unused
 */
void tb_picture_mark_box(
    const TbPicture *picture, const TbMark *mark, double text_width, TbVec2 *low, TbVec2 *high);

/** The marks as text, one a line, numbers to 0.01 mm: what goldens compare. tb_free() it; NULL when
 * there is no room. */
char *tb_picture_dump(const TbPicture *picture);
