/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scene_cut_private.h
 * @brief A section plot in the making: its shapes and lines, its gaps and its notes.
 */
#pragma once

#include "study/scene_build.h"

/** What a plot is made of. */
typedef struct TbPlot {
    TbStudy *study;
    const TbCaseStand *in;
    const TbStand *stand;
    TbScene *scene;
    bool across;
    TbEntry **traces;    /**< of paths, by item: its TbTrace, or NULL */
    size_t item;         /**< the path that is cut across */
    TbDisc disc;         /**< where, in the state's place */
    double drawn;        /**< its station as drawn */
    const char *moving;  /**< state that rocks, drawn at rest; or NULL */
    TbEntry **envelopes; /**< by item: its TbSeen, or NULL */
} TbPlot;

/** True for the items that the plot is about. */
bool tb_plot__is_subject(const TbPlot *plot, size_t index);

/** Puts the plane where it is asked; a named station is looked up and put into @p cut. */
TbStatus tb_plot__set_plane(TbPlot *plot, TbCutAsk *cut, TbFault *fault);

/** Title and axes of a plot whose plane is set. */
void tb_plot__set_head(TbPlot *plot, const TbCutAsk *cut);

/** What of the plane is shown: the subjects with some room, mm. */
void tb_plot__set_window(TbPlot *plot);

/** Centre lines of paths: the subjects' with ticks, of others what is not cut away. */
void tb_plot__add_lines(TbPlot *plot);

/** Promises the envelopes of what moves, and tells over which ranges they are. */
void tb_plot__need_envelopes(TbPlot *plot);

/** Tells at which numbers things stand, where they do at some, and that tolerances are not drawn.
 */
void tb_plot__note_pose(TbPlot *plot);

/** What the plot is of: freed by the caller. */
char *tb_plot__subtitle(const TbPlot *plot);

/** Puts a line below the drawing; takes the text. */
void tb_plot__note(TbScene *scene, char *text);

/** Dimensions the subjects' smallest gaps that the drawing can show, and notes the nearest others.
 */
TbStatus tb_plot__add_gaps(TbPlot *plot, TbTask *task, TbFault *fault);

/** Notes where gaps of the subjects were not looked for. */
void tb_plot__note_left_out(TbPlot *plot);

/** What the section across a path measures, inside it and in the notes. */
void tb_plot__add_section(TbPlot *plot);

/** Across a path: distances within the plane to the neighbours that no certified gap is drawn to.
 */
void tb_plot__add_flat_gaps(TbPlot *plot);

/** Dimensions on one drawing: more cannot be read at A4. */
#define TB_PLOT_GAPS 7

/** ... and as many measured within the plane. */
#define TB_PLOT_FLAT_GAPS 6
