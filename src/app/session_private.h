/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file session_private.h
 * @brief The session's struct and what its files share.
 */
#pragma once

#include "app/recompute.h"
#include "app/session.h"
#include "bay/undo.h"

typedef struct TbToolState TbToolState; /* session_tool.c */

enum { TB_SESSION_VIEWS = 8 }; /* room for every TbSceneView */

enum { TB_SESSION_HANDLES = 2 }; /* of the selected item, and of the cursor's */

/** The handles of one item of one document. */
typedef struct TbSessionHandles {
    TbBay *bay; /**< referenced; NULL: nothing is kept here */
    char *item, *variant;
    TbHandle *handles;
    size_t count;
} TbSessionHandles;

struct _TbSession {
    GObject parent;

    /* document */
    TbUndo *undo;
    GFile *file;
    char *folder; /**< of scans, while there is no file; or NULL */
    int last_group;
    int holds;
    TbBay *preview; /* shown in its place, or NULL */
    TbToolState *tool;

    /* selection */
    char *selected, *finding;
    int handle;
    TbSessionHandles handles[TB_SESSION_HANDLES]; /* asked for last, the newest first */

    /* cursor, planes, slots */
    char *cursor_item;
    double cursor;
    double planes[TB_SESSION_VIEWS];
    TbCutAsk free_plane;
    TbSceneView views[TB_SLOT_COUNT];
    TbSessionZoom zooms[TB_SLOT_COUNT][TB_SESSION_VIEWS];
    double stretch[2];

    /* choice */
    char *state, *variant;
    GHashTable *hidden;

    /* answers */
    TbRecompute *recompute;
    guint64 ticket; /* of the newest question */
    guint64 answers;
    TbShown *shown;
    TbResults *posed;        /* of them is */
    const TbResultGap *pose; /* at whose worst numbers cuts are drawn; NULL: at rest */
    TbResults *whole;        /* newest results of every state and variant */
    uint64_t whole_node;
    guint blink;    /* source that ends a blink; 0: nothing lags behind, or it is told */
    bool is_behind; /* longer than a blink */
    TbFault fault;

    /* status */
    char *message, *pointer, *progress;
    char *drawn; /* the message that says how cuts stand for what is judged; or NULL */
    char *told;  /* the message that is of something past; or NULL */
    double share;
};

/** Emits `changed`. */
void tb_session__changed(TbSession *session, guint parts);

void tb_session__clear_handles(TbSession *session);

/** NULL is fine. */
void tb_session__tool_free(TbToolState *state);

/** Asks the study for what is to be shown now. */
void tb_session__ask(TbSession *session);

/** Makes selection, cursor, state and variant name things that the document has. */
void tb_session__settle_ids(TbSession *session);

/** Planes through the middle of what matters, where nothing is set yet. */
void tb_session__place_planes(TbSession *session);

/** The three main planes through a point. */
void tb_session__planes_through(TbSession *session, TbVec3 point);

/* TbRecomputeDef's callbacks. */
void tb_session__deliver(void *user, guint64 ticket, TbShown *shown, const TbFault *fault);
void tb_session__progress(void *user, const char *what, double share);
