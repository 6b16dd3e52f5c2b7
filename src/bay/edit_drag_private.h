/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file edit_drag_private.h
 * @brief What the drags share. For edit_drag.c and edit_drag_port.c only.
 */
#pragma once

#include "bay/edit_private.h"
#include "bay/handles.h"

/** A drag under way. */
typedef struct Drag {
    const TbBay *bay;
    const char *variant, *id;
    const TbHandle *handle;
    TbVec3 to; /**< mm, where the handle goes, in the axes that the record stands in */
} Drag;

/** Rounded to a step, to few decimals. */
double tb_drag__step(double x, double step);
TbVec3 tb_drag__step_place(TbVec3 p);
TbVec3 tb_drag__step_direction(TbVec3 d);

/** "the shaft of "x" has no direction there". */
TbStatus tb_drag__no_direction(const Drag *drag, const char *sort, TbFault *fault);

/** TB_HANDLE_TURN: of a copy that stands as it does in the variant. */
TbStatus tb_drag__turn(const Drag *drag, TbItem *item, TbFault *fault);

/** TB_HANDLE_BOLTS and TB_HANDLE_CLAMP; @p to in the bay's axes. */
TbStatus tb_drag__clocking(const Drag *drag, TbVec3 to, TbBay **out, TbFault *fault);

/** `"x" has no face 7 to drag`. */
TbStatus tb_drag__no_such(const Drag *drag, const char *sort, TbFault *fault);

/** The point or the flow of the handle's port; @p to in the bay's axes. */
TbStatus tb_drag__port(Drag *drag, TbVec3 to, TbBay **out, TbFault *fault);
