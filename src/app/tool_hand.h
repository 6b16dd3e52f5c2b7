/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file tool_hand.h
 * @brief What pointer and keys do on a cut while a tool is in hand.
 *
 * A cut's drawing asks it first. A click sets what is aimed at, Shift picks an item as a whole,
 * Alt switches snapping off, a set point is dragged. Arrows move a crosshair (1 mm of paper, with
 * Shift 10), Return sets, BackSpace takes back, Escape drops; digits and '=' begin typed numbers.
 * B R O S L K M choose a tool whether there is one in hand or not.
 */
#pragma once

#include "app/canvas.h"
#include "app/session_tool.h"
#include "draw/cut_screen.h"

typedef struct TbToolHand TbToolHand;

/** @param canvas lent; lives longer */
TbToolHand *tb_tool_hand_new(TbSession *session, int slot, TbCanvas *canvas);
void tb_tool_hand_free(TbToolHand *hand); /**< NULL is fine */

/* Each returns true when there is a tool in hand: the drawing then does nothing of its own. */
bool tb_tool_hand_press(TbToolHand *hand, TbViewport port, TbCanvasPointer pointer);
bool tb_tool_hand_drag(TbToolHand *hand, TbViewport port, TbCanvasPointer pointer);
bool tb_tool_hand_release(TbToolHand *hand, TbViewport port, TbCanvasPointer pointer);
bool tb_tool_hand_give_up(TbToolHand *hand);
bool tb_tool_hand_hover(TbToolHand *hand, TbViewport port, TbCanvasPointer pointer);
bool tb_tool_hand_leave(TbToolHand *hand);

/** @return true when the key has done something */
bool tb_tool_hand_key(TbToolHand *hand, TbViewport port, guint key, GdkModifierType state);

/** Adds the tool's marks to what lies over the drawing. */
void tb_tool_hand_draw(TbToolHand *hand, const TbScene *scene, TbViewport port, TbPicture *picture);

/** Something of the session has changed. @return true when a tool was just taken or put away */
bool tb_tool_hand_follow(TbToolHand *hand, guint parts);
