/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file session_tool.h
 * @brief The tool in hand: sketching and measuring, on whichever cut the pointer is.
 *
 * One tool for all panes of a window, because a line's knots are set in different views. What is
 * being drawn is shown by asking the study about the document that would be (tb_session_preview());
 * the present document and undo know nothing of it until it is done. Says TB_SESSION_TOOL.
 */
#pragma once

#include "app/measure.h"
#include "app/session.h"
#include "app/sketch.h"
#include "app/snap.h"

TbTool tb_session_tool(TbSession *session);

/** What was begun is dropped. TB_TOOL_KNOTS takes the selected duct or line, or the cursor's. */
void tb_session_set_tool(TbSession *session, TbTool tool);

/** Lent. Facts may be written to; call tb_session_tool_facts_changed() then. */
TbSketch *tb_session_sketch(TbSession *session);
const TbMeasuring *tb_session_measuring(TbSession *session); /**< lent */
void tb_session_tool_facts_changed(TbSession *session);

/**
 * Where a pointer on a slot's cut means to be.
 *
 * @param ratio mm of paper for one of the bay
 * @param off   no snapping
 * @return false when the slot shows no cut
 */
bool
tb_session_snap(TbSession *session, int slot, double ratio, TbVec2 pointer, bool off, TbSnap *snap);

/** The pointer is here, and means @p snap. */
void tb_session_tool_aim(TbSession *session, int slot, TbVec2 pointer, const TbSnap *snap);
void tb_session_tool_leave(TbSession *session);

/** Typed numbers instead of the pointer; the fault says what is wrong with them. */
TbStatus tb_session_tool_type(TbSession *session, int slot, const char *text, TbFault *fault);

/** Numbers are typed from now on, on a slot, beginning with @p first: whoever has an entry shows
 * it.
 */
void tb_session_tool_start_typing(TbSession *session, int slot, const char *first);

/** What was typed first, and on which slot; NULL while nothing is typed. Lent. */
const char *tb_session_tool_typing(TbSession *session, int *slot);
void tb_session_tool_stop_typing(TbSession *session);

/** A point by three distances, mm. */
void tb_session_tool_aim_point(TbSession *session, int slot, TbVec3 at);

/** Set what is aimed at: a click, Return. @p whole: of a measure the item as a whole. */
void tb_session_tool_set(TbSession *session, bool whole);

/** Done as it stands. */
void tb_session_tool_finish(TbSession *session);

/** Take back the last point; false when there is none. */
bool tb_session_tool_back(TbSession *session);

/** Drop what was begun, or put the tool away when nothing was; false when there is no tool. */
bool tb_session_tool_cancel(TbSession *session);

/** Which set point is taken hold of there, or -1; and moving it. */
int tb_session_tool_grab(TbSession *session, int slot, double ratio, TbVec2 at);
void tb_session_tool_drag(TbSession *session, int slot, int point, TbVec2 to);

/** What is measured, with the gap where one is wanted. */
TbMeasured tb_session_measured(TbSession *session);

/** A neighbour of what is drawn. */
typedef struct TbNearby {
    const TbResultGap *gap; /**< lent by the newest answer */
    const char *item;       /**< id of the other; lent as well */
    const char *name;
} TbNearby;

/** The nearest neighbours of what is drawn, by the newest answer; at most @p room. */
size_t tb_session_nearby(TbSession *session, TbNearby nearby[], size_t room);

/** Sizes and gap of what is drawn, or what is measured, for the status line. Freed with g_free().
 */
char *tb_session_tool_says(TbSession *session);

/** What to do next, and what may be typed. Lent, translated. */
const char *tb_session_tool_hint(TbSession *session);
