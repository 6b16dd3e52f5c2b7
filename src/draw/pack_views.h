/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file pack_views.h
 * @brief Views on a sheet of the pack: one with its title, and three about each other.
 */
#pragma once

#include "draw/pack_pages.h"

/** mm of paper: height of a view's title above its frame. */
#define TB_PACK_VIEW_TITLE 5.0

/** mm of paper between two views. */
#define TB_PACK_VIEW_APART 6.0

/** Three cuts through one place. */
typedef struct TbPackViews {
    TbVec3 at;              /**< where the three planes meet, before rounding */
    const TbResultGap *gap; /**< shown before all others, lent; or NULL */
    TbScene *side, *plan, *front;
    const struct TbPackViews *before; /**< drawn dashed over them, what has changed; or NULL */
    bool (*has_changed)(const void *user, const char *tag);
    const void *user;
} TbPackViews;

/** A scene with another window. Shares everything else; nothing of it is to be freed. */
TbScene tb_pack__window(const TbScene *scene, TbVec2 low, TbVec2 high);

/** A gap of the results on a scene, measured between its own points. Lends the gap's names. */
TbSceneGap tb_pack__gap(const TbScene *scene, const TbResultGap *gap);

/**
 * Of what state and variant a strip's curves are, in small letters at the top of a room.
 *
 * @return the room below it
 */
TbRectangle tb_pack__strip_line(TbPicture *picture, const TbSceneStrip *strip, TbRectangle room);

/**
 * A title and the scene below it.
 *
 * @param ratio 0: the largest standard one at which the scene's window fits
 * @return the ratio
 */
double tb_pack__view(TbPicture *picture,
                     const TbScene *scene,
                     const char *title,
                     TbRectangle place,
                     double ratio,
                     TbMeasurer measurer);

/**
 * The three cuts through a point in a state and variant.
 *
 * @param before of the earlier document
 * @param[out] views cleared by the caller with tb_pack__views_clear(), on failure empty
 */
TbStatus tb_pack__views_make(const TbDossier *dossier,
                             TbVec3 at,
                             const char *state,
                             const char *variant,
                             bool before,
                             TbTask *task,
                             TbPackViews *views,
                             TbFault *fault);
void tb_pack__views_clear(TbPackViews *views);

/**
 * The side view, plan and front about each other as the projection says, on the same axes and at
 * one ratio: the
 * largest standard one at which most of the kit is seen, the place in any case.
 *
 * First angle: plan below the side view, what is seen from the front to its right. Third angle:
 * plan above, the front view to the left, where the front is (ISO 5456-2).
 *
 * @param[out] rest the quarter that no view takes
 * @return the ratio
 */
double tb_pack__views_draw(const TbPackViews *views,
                           TbPicture *picture,
                           TbRectangle room,
                           TbProjection projection,
                           TbMeasurer measurer,
                           TbRectangle *rest);
