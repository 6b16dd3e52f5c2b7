/* SPDX-License-Identifier: GPL-3.0-or-later */

/* The session's questions to the study, and what came of them. */

#include "app/session_private.h"
#include "app/shown_unit.h"

#include <math.h>

/* ---- lagging behind ---- */

static TbBay *
asked_bay(TbSession *session)
{
    return session->preview != NULL ? session->preview : tb_session_bay(session);
}

/* Whether what is shown is of another document, state or variant than is asked for. */
static bool
lags(TbSession *session)
{
    g_autofree char *state = tb_ask_state_at_rest(tb_session_bay(session), session->state);
    const char *moving = g_strcmp0(state, session->state) != 0 ? session->state : NULL;
    const TbShowAsk *shown = session->shown == NULL ? NULL : &session->shown->ask;

    return shown != NULL &&
           (shown->bay->node != asked_bay(session)->node || g_strcmp0(shown->state, state) != 0 ||
            g_strcmp0(shown->moving, moving) != 0 ||
            g_strcmp0(shown->variant, session->variant) != 0);
}

static gboolean
blink_ends(void *user)
{
    TbSession *session = user;

    /* a drag's answers come one behind the other */
    if (session->holds > 0)
        return G_SOURCE_CONTINUE;
    session->blink = 0;
    session->is_behind = true;
    tb_session__changed(session, TB_SESSION_BEHIND);
    return G_SOURCE_REMOVE;
}

/* After every question and answer. */
static void
watch_lag(TbSession *session)
{
    if (lags(session)) {
        if (!session->is_behind && session->blink == 0)
            session->blink = g_timeout_add(TB_SESSION_BLINK, blink_ends, session);
        return;
    }
    g_clear_handle_id(&session->blink, g_source_remove);
    if (session->is_behind) {
        session->is_behind = false;
        tb_session__changed(session, TB_SESSION_BEHIND);
    }
}

bool
tb_session_is_behind(TbSession *session)
{
    return session->is_behind;
}

/* ---- asking ---- */

static void
ask_for(TbSession *session, bool whole)
{
    g_autofree char *folder = tb_session_folder(session);
    g_autofree char *state = tb_ask_state_at_rest(tb_session_bay(session), session->state);
    TbShowAsk ask = {.bay = asked_bay(session),
                     .folder = folder,
                     .state = state,
                     .moving = g_strcmp0(state, session->state) != 0 ? session->state : NULL,
                     .posed = session->posed,
                     .pose = session->pose,
                     .variant = session->variant,
                     .whole = whole,
                     .strip = session->cursor_item,
                     .unit = tb_shown_unit(tb_session_bay(session))};

    for (int slot = 0; slot < TB_SLOT_COUNT; slot++) {
        ask.cuts[slot] = tb_session_cut(session, session->views[slot]);
        ask.wants_cut[slot] =
            ask.cuts[slot].view != TB_SCENE_ACROSS || session->cursor_item != NULL;
    }
    session->ticket = tb_recompute_ask(session->recompute, &ask);
    watch_lag(session);
}

void
tb_session__ask(TbSession *session)
{
    if (session->recompute != NULL)
        ask_for(session, false);
}

/* ---- answers ---- */

static bool
is_of_now(TbSession *session, uint64_t node)
{
    return tb_session_bay(session)->node == node;
}

static void
take(TbSession *session, TbShown *shown)
{
    tb_shown_unref(session->shown);
    session->shown = tb_shown_ref(shown);
    session->answers++;
    if (shown->ask.whole && shown->results != session->whole) {
        tb_results_unref(session->whole);
        session->whole = tb_results_ref(shown->results);
        session->whole_node = shown->ask.bay->node;
    }
}

/* The answer knows how long the cursor's path is: an item that was chosen may be shorter than the
 * one before. Says what changed. */
static guint
keep_cursor_on_path(TbSession *session)
{
    const TbResultDuct *duct = session->cursor_item == NULL
                                   ? NULL
                                   : tb_results_duct(session->shown->results, session->cursor_item);

    /* while something is dragged a path may be short for a moment */
    if (duct == NULL || session->holds > 0 || !(session->cursor > duct->length))
        return 0;
    session->cursor = duct->length;
    return TB_SESSION_CURSOR;
}

void
tb_session__deliver(void *user, guint64 ticket, TbShown *shown, const TbFault *fault)
{
    TbSession *session = user;
    bool newest = ticket == session->ticket;
    guint parts = TB_SESSION_SHOWN;

    if (shown == NULL && fault->status == TB_E_CANCELLED && !newest)
        return; /* it made way for a newer question */
    session->fault = shown == NULL ? *fault : (TbFault){0};
    if (shown != NULL) {
        take(session, shown);
        parts |= keep_cursor_on_path(session);
    }
    watch_lag(session);
    tb_session__changed(session, parts);
    /* what is shown stands; now everything else */
    if (newest && shown != NULL && !shown->ask.whole && session->holds == 0 &&
        session->preview == NULL)
        ask_for(session, true);
}

void
tb_session__progress(void *user, const char *what, double share)
{
    TbSession *session = user;

    if (share < 0 && session->progress == NULL)
        return;
    g_free(session->progress);
    session->progress = share < 0 ? NULL : g_strdup(what);
    session->share = share;
    tb_session__changed(session, TB_SESSION_STATUS);
}

/* ---- reading ---- */

TbShown *
tb_session_shown(TbSession *session)
{
    return session->shown;
}

const TbResults *
tb_session_results(TbSession *session)
{
    return session->shown == NULL ? NULL : session->shown->results;
}

const TbResults *
tb_session_whole_results(TbSession *session)
{
    return session->whole;
}

bool
tb_session_is_settled(TbSession *session)
{
    return session->whole != NULL && is_of_now(session, session->whole_node);
}

TbScene *
tb_session_scene(TbSession *session, int slot, const TbFault **fault)
{
    g_return_val_if_fail(slot >= 0 && slot < TB_SLOT_COUNT, NULL);
    if (fault != NULL)
        *fault = session->shown == NULL ? &session->fault : &session->shown->cut_faults[slot];
    return session->shown == NULL ? NULL : session->shown->cuts[slot];
}

TbPose
tb_session_pose(TbSession *session, const char *item)
{
    return session->shown == NULL ? tb_pose_identity() : tb_shown_pose(session->shown, item);
}

TbSceneStrip *
tb_session_strip(TbSession *session, const TbFault **fault)
{
    if (fault != NULL)
        *fault = session->shown == NULL ? &session->fault : &session->shown->strip_fault;
    return session->shown == NULL ? NULL : session->shown->strip;
}

const TbFault *
tb_session_fault(TbSession *session)
{
    return &session->fault;
}

guint64
tb_session_answers(TbSession *session)
{
    return session->answers;
}
