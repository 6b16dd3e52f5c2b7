/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file handles_private.h
 * @brief What the list of handles and their drags both go by. For handles*.c and edit_drag*.c only.
 */
#pragma once

#include "bay/document.h"
#include "bay/handles.h"
#include "bay/ports.h"
#include "geom/curve.h"

/** A growing list. */
typedef struct Handles {
    const TbBay *bay;
    const char *variant;
    const char *asked;  /**< id: a swap may put another item in its place */
    const TbItem *item; /**< as it stands in the variant, mirrored or not */
    TbPose pose;        /**< from its axes to the bay's */
    TbHandle *all;
    size_t count, room;
    bool full; /**< no room */
} Handles;

/** In the list's axes; nothing once there is no room. */
void tb_handles__add(
    Handles *list, TbHandleKind kind, size_t index, TbVec3 point, TbVec3 direction, double size);

/** One that turns about an axis. */
void tb_handles__add_turn(
    Handles *list, TbHandleKind kind, size_t index, TbVec3 point, TbVec3 direction, TbVec3 axis);

/** Of the ports that the item owns or ends on, their bolts, and the clamps of their joints. */
TbStatus tb_handles__add_ports(Handles *list, TbFault *fault);

/** One of two directions square to an axis (and to each other), unit. */
TbVec3 tb_handle__square_to(TbVec3 axis, size_t which);

/** The axes of a turned block, unit and square, in the item's axes. */
void tb_handle__block_axes(const TbBlockItem *block, TbVec3 axis[3]);

/** An outline's plane, unit and square: its depth goes along n. */
void tb_handle__outline_axes(const TbOutlineItem *outline, TbVec3 *u, TbVec3 *v, TbVec3 *n);

/** The middle of an outline's corners, in its item's axes. */
TbVec3 tb_handle__outline_middle(const TbOutlineItem *outline);

/** The axes that a port is given in, and whether the variant mirrors it. */
TbStatus tb_handle__port_axes(const TbBay *bay,
                              const char *variant,
                              const TbPort *port,
                              TbPose *pose,
                              bool *mirrored,
                              TbFault *fault);

/** The curve of a placed path. */
TbStatus tb_handle__curve(const TbPlacedPath *path, TbCurve **curve, TbFault *fault);

/** mm along the shaft at which its direction is dragged. */
double tb_handle__shaft_reach(const TbTurbo *turbo);
