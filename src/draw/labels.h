/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file labels.h
 * @brief Where texts go: none on another, as little ink under them as can be had.
 *
 * A placer knows the rectangles that are taken (hard) and how much ink lies where (soft, on a grid
 * of 1 mm). Text widths come from the caller, so that placing can be tested without fonts.
 * Lengths in mm of paper, y down.
 */
#pragma once

#include "base/fault.h"
#include "geom/vec2.h"

#include <stdbool.h>
#include <stddef.h>

/** Width of a text on paper, mm. */
typedef struct TbMeasurer {
    double (*width)(void *user, const char *text, double size_pt, bool bold);
    void *user;
} TbMeasurer;

/**
 * How many bytes of a text fit a width, broken at a space; a first word that is too long stands
 * alone. 0 only for the empty text.
 */
size_t tb_text_fit(TbMeasurer measurer, const char *text, double size_pt, bool bold, double width);

/** Room for a shortened text. */
#define TB_TEXT_SHORT 256

/**
 * A text as far as it fits a width, its end an ellipsis where it does not; "" where not even that
 * fits. Cut between characters of UTF-8.
 */
void tb_text_shorten(TbMeasurer measurer,
                     const char *text,
                     double size_pt,
                     bool bold,
                     double width,
                     char out[TB_TEXT_SHORT]);

/**
 * The same, but what is cut is the name in the text: "Brake li…: 26.1 of 30 mm" keeps its numbers.
 *
 * @param name a part of the text; NULL, or not in it: tb_text_shorten()
 */
void tb_text_shorten_name(TbMeasurer measurer,
                          const char *text,
                          const char *name,
                          double size_pt,
                          double width,
                          char out[TB_TEXT_SHORT]);

/** A measurer for tests: every character is 0.55 of the size wide. */
TbMeasurer tb_measurer_plain(void);

typedef struct TbRectangle {
    TbVec2 low, high;
} TbRectangle;

/** Clip a segment to a rectangle; false, and the ends as they were, when nothing is left. */
bool tb_rectangle_clip(TbRectangle window, TbVec2 *a, TbVec2 *b);

typedef struct TbPlacer {
    TbRectangle window; /**< labels stay inside */
    TbRectangle *taken;
    size_t taken_count, taken_room;
    TbVec2 *lines; /**< two points each */
    size_t line_count, line_room;
    unsigned char *ink; /**< cells of 1 mm, row by row */
    size_t columns, rows;
    TbStatus status; /**< TB_E_MEMORY sticks; placing then takes the first candidate */
} TbPlacer;

void tb_placer_init(TbPlacer *placer, TbRectangle window);
void tb_placer_clear(TbPlacer *placer);

/** Nothing may be placed here any more. */
void tb_placer_take(TbPlacer *placer, TbRectangle taken);

/** Nothing may be placed on a line any more; a leader may cross it. */
void tb_placer_take_line(TbPlacer *placer, TbVec2 a, TbVec2 b);

/** Ink along a line; @p weight 1 to 40 for each cell. */
void
tb_placer_ink_line(TbPlacer *placer, const TbVec2 points[], size_t count, bool closed, int weight);

/** Sum of ink under a rectangle. */
double tb_placer_ink_under(const TbPlacer *placer, TbRectangle r);

/** Sum of ink along a line, each cell once. */
double tb_placer_ink_along(const TbPlacer *placer, TbVec2 a, TbVec2 b);

/** True when a rectangle lies in the window and on nothing taken. */
bool tb_placer_is_free(const TbPlacer *placer, TbRectangle r);

/** True when the line between two points runs over anything taken. */
bool tb_placer_crosses(const TbPlacer *placer, TbVec2 a, TbVec2 b);

/** One possible centre of a label, and how much it is disliked beforehand. */
typedef struct TbCandidate {
    TbVec2 centre;
    double cost;
} TbCandidate;

/**
 * Choose and take the best free candidate.
 *
 * @param width,height of the label
 * @param[out] centre of the chosen place
 * @return false when no candidate is free; nothing is taken then
 */
bool tb_placer_place(TbPlacer *placer,
                     const TbCandidate candidates[],
                     size_t count,
                     double width,
                     double height,
                     TbVec2 *centre);

/** Move values apart so that neighbours are @p step or more from each other, staying in low..high
 * as far as there is room, moving as little as can be; keeps their order. @p at ascending. */
void tb_labels_push_apart(double at[], size_t count, double step, double low, double high);
