/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file session_tool_private.h
 * @brief The struct of the tool in hand, and what its files share.
 */
#pragma once

#include "app/session_private.h"
#include "app/session_tool.h"

/** The tool's things; made with the first tool. */
struct TbToolState {
    TbSketch *sketch;
    TbMeasuring *measuring;
    TbSnap measure_snap; /* of the newest aim; its ids are copied below */
    bool has_aim;        /* of a measure */
    char *aim_item, *aim_under;
    int slot;     /* that was aimed at last */
    char *typing; /* what was typed first, while numbers are typed; or NULL */
    bool said;    /* the session's message is the tool's */

    TbSnapIndex *index[TB_SLOT_COUNT];
    char *without[TB_SLOT_COUNT]; /* item that is not in the index */
    GArray *points;               /* of TbSnapPoint */
    uint64_t points_node;
    char *points_variant;
    TbShown *points_shown; /* referenced: the answer in whose places they are; or NULL */
};

/** Made when it is first asked for. */
TbToolState *tb_session__tool(TbSession *session);

/** The outlines that a slot shows, or NULL where there is no cut. */
TbSnapIndex *tb_session__snap_index(TbSession *session, int slot);

/** Frees what a TbSnapPoint holds. */
void tb_session__clear_snap_point(void *point);

/** Name of an item, or its id where the bay does not have it. Lent. */
const char *tb_session__item_name(TbSession *session, const char *id);
