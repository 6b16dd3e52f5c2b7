/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file cut_view_private.h
 * @brief A section plot while it is drawn: shared by the shapes, the labels and the sheet.
 */
#pragma once

#include "draw/cut_view.h"

/** mm of paper: height of a label's place. */
#define TB_CUT_LABEL_HEIGHT 4.4

typedef struct TbCutDrawing {
    TbPicture *picture;
    const TbScene *scene;
    TbMeasurer measurer;
    TbRectangle frame; /**< the drawing's part of the sheet */
    double ratio;
    TbVec2 centre; /**< of the window, mm of the bay */
    TbPlacer placer;
    TbVec2 *paper; /**< scratch: points on paper */
    size_t paper_room;
    TbLoopSpan *spans;
    size_t span_room;
} TbCutDrawing;

/** Where a point of the bay lies on paper. */
TbVec2 tb_cut_drawing__paper(const TbCutDrawing *view, TbVec2 p);

/** Points on paper, in the scratch; false when there is no room. */
bool tb_cut_drawing__put(TbCutDrawing *view, const TbVec2 points[], size_t count);

/** Below 0 where @p a lies further from the reader; never 0 for two shapes. For qsort too. */
int tb_cut_drawing__furthest_first(const void *a, const void *b);

/** Name everything, dimension the gaps, number the ticks; all else is drawn by then. */
void tb_cut_drawing__label(TbCutDrawing *view);
