/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file session.h
 * @brief What one window is about: the document and its undo, what is selected, where the cursor
 *        and the planes are, which state and variant are shown, and the last answer of the study.
 *
 * Everything that two panes must agree on lives here and nowhere else. Panes listen to `changed`,
 * read what they show, and ask for changes; they never talk to each other. No widget here, so all
 * of it is tested without a display.
 *
 * Signals: `changed` (guint parts: TbSessionChange, or-ed).
 */
#pragma once

#include "bay/document.h"
#include "bay/handles.h"
#include "study/show.h"

#include <gio/gio.h>

typedef enum TbSessionChange {
    TB_SESSION_DOCUMENT = 1 << 0,  /**< another document: an edit, undo, redo, reload */
    TB_SESSION_SELECTION = 1 << 1, /**< record, handle or finding */
    TB_SESSION_CURSOR = 1 << 2,    /**< duct and station */
    TB_SESSION_PLANES = 1 << 3,    /**< where planes are, and what the slots show */
    TB_SESSION_CHOICE = 1 << 4,    /**< state or variant shown */
    TB_SESSION_HIDDEN = 1 << 5,    /**< which items are hidden */
    TB_SESSION_SHOWN = 1 << 6,     /**< a new answer */
    TB_SESSION_FILE = 1 << 7,      /**< file name or saved mark */
    TB_SESSION_STATUS = 1 << 8,    /**< message, pointer, progress */
    TB_SESSION_TOOL = 1 << 9,      /**< the tool in hand, and what it aims at (session_tool.h) */
    TB_SESSION_BEHIND = 1 << 10,   /**< whether what is shown lags behind */
} TbSessionChange;

#define TB_TYPE_SESSION (tb_session_get_type())
G_DECLARE_FINAL_TYPE(TbSession, tb_session, TB, SESSION, GObject)

/**
 * @param bay   referenced
 * @param file  where it is kept, or NULL: untitled
 * @param store scans, shared by all sessions; referenced
 * @param work  pool, or NULL; must outlive the session
 */
TbSession *tb_session_new(TbBay *bay, GFile *file, TbStore *store, TbWork *work);

/* ---- the document ---- */

TbBay *tb_session_bay(TbSession *session); /**< lent */

/**
 * Make a new document the present one; an undo step.
 *
 * @param next  ownership is taken
 * @param what  "move knot 3 of Turbine outlet", translated
 * @param group from tb_session_group() for the steps of one drag, else 0
 */
void tb_session_edit(TbSession *session, TbBay *next, const char *what, int group);

/** A fresh group number. */
int tb_session_group(TbSession *session);

/** Between these two, only what is shown is judged (a drag). They nest. */
void tb_session_hold(TbSession *session);
void tb_session_release(TbSession *session);
bool tb_session_is_held(TbSession *session);

/** Takes back the steps of a drag that was given up, as if they had never been. */
void tb_session_abandon(TbSession *session, int group);

/**
 * Show and judge another document in place of the present one, which stays as it is: what is being
 * drawn and not done yet. Undo, file and saved mark hear nothing of it; any change of the document
 * ends it. Answers may then name items that tb_session_bay() does not have.
 *
 * @param bay referenced; NULL: the present one is shown again
 */
void tb_session_preview(TbSession *session, TbBay *bay);

bool tb_session_undo(TbSession *session); /**< false: nothing to undo */
bool tb_session_redo(TbSession *session);
const char *tb_session_undo_name(TbSession *session); /**< lent; NULL: nothing to undo */
const char *tb_session_redo_name(TbSession *session);

bool tb_session_is_saved(TbSession *session);
/** The document @p bay is on disk now; says FILE. It may be older than the present one. NULL: what
 * is on disk is another one (a recovered bay). */
void tb_session_mark_saved(TbSession *session, const TbBay *bay);

GFile *tb_session_file(TbSession *session); /**< lent; NULL: untitled */
void tb_session_set_file(TbSession *session, GFile *file);
/** The folder that the bay names its scans from, to be freed: that of its file, or the one that was
 * set for an untitled bay; NULL: none. */
char *tb_session_folder(TbSession *session);
void tb_session_set_folder(TbSession *session, const char *folder);
/** How things are shown has changed (the unit): says DOCUMENT, though it is the same. */
void tb_session_refresh(TbSession *session);
/** Title for people: the bay's title, or "Untitled bay". Lent. */
const char *tb_session_title(TbSession *session);

/* ---- selection ---- */

/** Id of the selected record (item, port, keep ...), or NULL. Lent. */
const char *tb_session_selected(TbSession *session);
void tb_session_select(TbSession *session, const char *id); /**< NULL: nothing */

/** Number of the selected handle among the selected record's (bay/handles.h), or -1. */
int tb_session_handle(TbSession *session);
void tb_session_select_handle(TbSession *session, int handle);

/** Id of the selected finding, or NULL. Lent. */
const char *tb_session_finding(TbSession *session);
/** Selects it and puts selection, cursor, planes, state and variant on its place; of a gap over a
 * motion or a warm-up cuts are then drawn at its worst numbers, where they can be. */
void tb_session_go_to_finding(TbSession *session, const TbFinding *finding);

/* ---- cursor ---- */

const char *tb_session_cursor_item(TbSession *session); /**< duct or line; NULL: there is none */
double tb_session_cursor(TbSession *session);           /**< station, mm */
/** @p item NULL: the same as now. Kept within 0 and the length where that is known. */
void tb_session_set_cursor(TbSession *session, const char *item, double station);

/* ---- planes and what the cut slots show ---- */

/** Slots of cuts: three panes along the top. */
enum { TB_SLOT_LEFT, TB_SLOT_MIDDLE, TB_SLOT_ACROSS, TB_SLOT_COUNT };

TbSceneView tb_session_view(TbSession *session, int slot);
void tb_session_set_view(TbSession *session, int slot, TbSceneView view);
/** Where the plane of a view is; of TB_SCENE_ACROSS the cursor. */
TbCutAsk tb_session_cut(TbSession *session, TbSceneView view);
/** Y, Z or X of a side, plan or front cut, mm. */
void tb_session_set_plane(TbSession *session, TbSceneView view, double at);
/** The free plane: any of TbCutAsk's members that are for it. */
void tb_session_set_free_plane(TbSession *session, const TbCutAsk *cut);

/* ---- what is looked at; kept here for the next time, panes alone change it: it says nothing ----
 */

/** Where a view was zoomed and panned by hand. */
typedef struct TbSessionZoom {
    TbVec2 centre; /**< mm of the cut's plane, in the middle of the pane */
    double ratio;  /**< mm of paper for one of the bay; 0: not by hand, it is fitted */
} TbSessionZoom;

TbSessionZoom tb_session_zoom(TbSession *session, int slot, TbSceneView view);
/** What is not finite, or no ratio that a drawing can have, is none. */
void tb_session_set_zoom(TbSession *session, int slot, TbSceneView view, TbSessionZoom zoom);

/** Stations of the strip in view, mm; both 0: the whole path. */
void tb_session_stretch(TbSession *session, double *from, double *to);
void tb_session_set_stretch(TbSession *session, double from, double to);

/* ---- state, variant, hidden items ---- */

const char *tb_session_state(TbSession *session);   /**< id; lent; NULL: the bay has none */
const char *tb_session_variant(TbSession *session); /**< id; lent; NULL: the bay has none */

/** The gap of a finding gone to, at whose worst numbers of motion and warmth the cuts are drawn;
 * NULL: they are drawn at rest. Lent until the next change. */
const TbResultGap *tb_session_drawn_at(TbSession *session);

/** Back to rest, as choosing a state or variant does. */
void tb_session_draw_at_rest(TbSession *session);

void tb_session_set_state(TbSession *session, const char *state);
void tb_session_set_variant(TbSession *session, const char *variant);

bool tb_session_is_hidden(TbSession *session, const char *item);
void tb_session_set_hidden(TbSession *session, const char *item, bool hidden);

/* ---- answers ---- */

/** ms that what is shown may lag behind what is asked for before it is told. */
#define TB_SESSION_BLINK 250

/** The newest answer; lent; NULL before the first one. */
TbShown *tb_session_shown(TbSession *session);
/** Results of the newest answer; NULL before the first one. Lent. */
const TbResults *tb_session_results(TbSession *session);
/** Results of every state and variant: the newest whole answer's; may be of an older document
 * (then tb_session_is_settled() is false); NULL before the first one. Lent. */
const TbResults *tb_session_whole_results(TbSession *session);
/** True when what is shown has been of another document, state or variant than is asked for, for
 * longer than a blink (TB_SESSION_BLINK); not while something is dragged. */
bool tb_session_is_behind(TbSession *session);
/** True when every state and variant of the present document is judged. */
bool tb_session_is_settled(TbSession *session);
/** The cut that a slot shows, or NULL with why in @p fault (lent; may be NULL). Lent. */
TbScene *tb_session_scene(TbSession *session, int slot, const TbFault **fault);
/** What can be taken hold of of an item, in the variant shown: see tb_bay_handles(). Lent until
 * handles are asked for again; NULL where there are none, or the document has no such item. */
const TbHandle *tb_session_handles(TbSession *session, const char *item, size_t *count);
/** From an item as the document has it to where the newest answer draws it. */
TbPose tb_session_pose(TbSession *session, const char *item);
/** The curves along the cursor's duct. */
TbSceneStrip *tb_session_strip(TbSession *session, const TbFault **fault);
/** Why there is no answer to the newest question; text "" when there is one. Lent. */
const TbFault *tb_session_fault(TbSession *session);
/** How many answers came since the session began. */
guint64 tb_session_answers(TbSession *session);

/* ---- the status line ---- */

/** A short message: "Saved van.bay". Lent; "" when there is none. */
const char *tb_session_message(TbSession *session);
void tb_session_say(TbSession *session, const char *message); /**< NULL: none */
/** The same of something that has happened: it goes with the next change of the document. */
void tb_session_tell(TbSession *session, const char *message);
/** Coordinates under the pointer, "X 1432.0  Y 212.0 mm"; "" when there is none. Lent. */
const char *tb_session_pointer(TbSession *session);
void tb_session_set_pointer(TbSession *session, const char *text);
/** What takes long, and how far it is from 0 to 1; NULL when nothing does. Lent. */
const char *tb_session_progress(TbSession *session, double *share);
void tb_session_cancel(TbSession *session); /**< give up what takes long */
