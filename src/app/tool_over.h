/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file tool_over.h
 * @brief What the tool in hand draws over a cut: rubber band, live sizes and gap, where the pointer
 *        snaps, what is measured.
 */
#pragma once

#include "app/session_tool.h"
#include "draw/cut_screen.h"

/** Where the tool's pointer is on a slot. */
typedef struct TbToolOver {
    bool here;          /**< the pointer, or the keys' crosshair, is on this slot */
    bool crosshair;     /**< moved by keys: drawn across the pane */
    TbVec2 pointer;     /**< mm of paper */
    const TbSnap *snap; /**< what it means; or NULL */
} TbToolOver;

/** Marks are added to a picture that is begun. */
void tb_tool_over_draw(TbSession *session,
                       const TbScene *scene,
                       TbViewport port,
                       const TbToolOver *over,
                       TbMeasurer measurer,
                       TbPicture *picture);
