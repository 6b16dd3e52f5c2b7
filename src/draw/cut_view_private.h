/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file cut_view_private.h
 * @brief A section plot while it is drawn: shared by the shapes, the labels, the corner, the sheet
 *        and the pane.
 */
#pragma once

#include "draw/cut_screen.h"
#include "draw/cut_view.h"

/** mm of paper: height of a label's place, and what it is wider than its text. */
#define TB_CUT_LABEL_HEIGHT 4.4
#define TB_CUT_LABEL_AIR 1.6

/** Ink of a gap's dimension or a leader under a label. */
#define TB_CUT_INK_GAP 20

/** Places that are tried for one label, at most. */
#define TB_CUT_CANDIDATES 217

typedef struct TbPaperDepths TbPaperDepths; /* cut_inside.c */

/** Where a leader to a cut may end, as it was found: good as long as the cut lies alike and what
 * may hide it does (cut_memo.c). */
typedef struct TbPaperPlace {
    bool known;
    TbVec2 at;
    double depth;     /**< 0: there is no such place */
    double fit_width; /**< of a label about it that was tried; 0: none was */
    bool fits;
} TbPaperPlace;

/** Loops of a cut on paper. On a pane what nobody could see is left out: loops beside the frame or
 * smaller than a third of a dot, points that a straight line passes close by, and rows of points on
 * the far side of one edge of the frame. */
typedef struct TbPaperCut {
    TbVec2 *points;
    TbLoop *loops;
    TbRectangle *boxes; /**< of the loops */
    size_t point_count, loop_count;
    TbPaperDepths **depths; /**< by loop, of those that were searched for a place; or NULL */
    TbPaperPlace deepest, any;
} TbPaperCut;

typedef struct TbPaperShape {
    const TbSceneShape *shape;
    TbPaperCut cut, silhouette, envelope;
    bool hidden;   /**< by the user: not drawn at all */
    bool selected; /**< by the user */
} TbPaperShape;

typedef struct TbCutDrawing {
    TbPicture *picture;
    const TbScene *scene;
    TbMeasurer measurer;
    TbRectangle frame; /**< the drawing's part of the sheet */
    double ratio;
    TbVec2 centre; /**< of the window, mm of the bay */
    TbPlacer placer;
    const TbCutScreen *screen; /**< NULL on a sheet */
    TbPaperShape *shapes;      /**< the scene's, in its order */
    size_t names;              /**< that may still get a leader */
    bool few_names;            /**< only of the subject and of what is dimensioned */
    TbVec2 *paper;             /**< scratch: points on paper */
    size_t paper_room;
    TbLoopSpan *spans;
    size_t span_room;
} TbCutDrawing;

/** Where a point of the bay lies on paper. */
TbVec2 tb_cut_drawing__paper(const TbCutDrawing *view, TbVec2 p);

/** Points on paper, in the scratch; false when there is no room. */
bool tb_cut_drawing__put(TbCutDrawing *view, const TbVec2 points[], size_t count);

/** A shape with nothing on paper yet. */
TbPaperShape tb_cut_drawing__paper_shape(const TbCutDrawing *view, const TbSceneShape *shape);

/** Puts a shape on paper; false when there is no room. Cleared in any case by
 * tb_cut_drawing__clear_shape(). */
bool
tb_cut_drawing__lay_shape(const TbCutDrawing *view, const TbSceneShape *shape, TbPaperShape *paper);
void tb_cut_drawing__clear_shape(TbPaperShape *paper);

/**
 * The visible point furthest inside any closed loop of a cut: where a leader may end. Loops whose
 * boxes could not hold a deeper one are passed over.
 *
 * @param behind the shape whose silhouette the cut is, for what hides it; NULL for a cut itself
 */
bool tb_cut_drawing__deepest(
    TbCutDrawing *view, TbPaperCut *cut, const TbPaperShape *behind, TbVec2 *best, double *depth);

/** A visible vertex of an open chain, or of anything too thin for that. */
bool tb_cut_drawing__any_point(const TbCutDrawing *view,
                               TbPaperCut *cut,
                               const TbPaperShape *behind,
                               TbVec2 *best);

/** The scene's shapes on paper, from the memo those that are as they were; false when there is no
 * room. */
bool tb_cut_drawing__lay_shapes(TbCutDrawing *view);

/** Gives them to the memo, or frees them. */
void tb_cut_drawing__leave_shapes(TbCutDrawing *view);

/** Draws everything inside the frame, and frees what it needed for it. */
void tb_cut_drawing__draw(TbCutDrawing *view);

/** Below 0 where @p a lies further from the reader; never 0 for two shapes. For qsort too; both are
 * pointers to pointers to a TbPaperShape. */
int tb_cut_drawing__furthest_first(const void *a, const void *b);

/** True for an item that the user has taken off the drawing. */
bool tb_cut_drawing__is_hidden(const TbCutDrawing *view, const char *tag);

/** Axes, arrow to the front and scale bar, together in the corner that holds least. */
void tb_cut_drawing__corner(TbCutDrawing *view);

/** The lines of the gaps' dimensions; before the labels, so that none comes to lie on one. */
void tb_cut_drawing__dimensions(TbCutDrawing *view);

/** ... and their numbers, after what a section measures and before stations. */
void tb_cut_drawing__label_dimensions(TbCutDrawing *view);

/** Inside the frame, and @p air mm from its edge. */
bool tb_cut_drawing__in_frame(const TbCutDrawing *view, TbVec2 p, double air);

/** Places for a label about a point: right on it where there is room, then rings further out. */
size_t tb_cut_drawing__candidates_about(TbVec2 at,
                                        double width,
                                        bool inside_fits,
                                        TbCandidate out[TB_CUT_CANDIDATES]);

/**
 * Choose and take the best free candidate of a label: near, over little ink, and with a leader that
 * runs over no other label and over few outlines.
 *
 * @param to what the label names
 * @return false when no candidate is free; nothing is taken then
 */
bool tb_cut_drawing__place(TbCutDrawing *view,
                           const TbCandidate candidates[],
                           size_t count,
                           double width,
                           double height,
                           TbVec2 to,
                           TbVec2 *centre);

/** The point of a label's rectangle nearest to what it names. */
TbVec2 tb_cut_drawing__leader_start(TbVec2 centre, double width, double height, TbVec2 to);

/** Draw a leader, and let later labels keep off it. */
void tb_cut_drawing__put_leader(TbCutDrawing *view, TbVec2 from, TbVec2 to, TbInk ink);

/** Name everything, number the gaps and the ticks; all else is drawn by then. */
void tb_cut_drawing__label(TbCutDrawing *view);

/** The lines in which other views' planes meet this one; the corner may cover them. */
void tb_cut_drawing__others(TbCutDrawing *view);

/** ... and their names; labels keep off the lines from then on. */
void tb_cut_drawing__name_others(TbCutDrawing *view);

/** An arrow with a filled head. */
void tb_cut_drawing__arrow(TbPicture *picture, TbVec2 from, TbVec2 to, TbPen pen, TbInk ink);
