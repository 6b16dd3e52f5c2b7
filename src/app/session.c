/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/session_private.h"

#include <glib/gi18n.h>

G_DEFINE_FINAL_TYPE(TbSession, tb_session, G_TYPE_OBJECT)

enum { CHANGED, SIGNALS };
static guint signals[SIGNALS];

void
tb_session__changed(TbSession *session, guint parts)
{
    g_signal_emit(session, signals[CHANGED], 0, parts);
}

static void
dispose(GObject *object)
{
    TbSession *session = TB_SESSION(object);

    g_clear_pointer(&session->recompute, tb_recompute_free);
    g_clear_handle_id(&session->blink, g_source_remove);
    G_OBJECT_CLASS(tb_session_parent_class)->dispose(object);
}

static void
finalize(GObject *object)
{
    TbSession *session = TB_SESSION(object);

    tb_shown_unref(session->shown);
    tb_results_unref(session->posed);
    tb_results_unref(session->whole);
    tb_bay_unref(session->preview);
    tb_session__clear_handles(session);
    tb_session__tool_free(session->tool);
    tb_undo_free(session->undo);
    g_clear_object(&session->file);
    g_hash_table_unref(session->hidden);
    g_free(session->folder);
    g_free(session->selected);
    g_free(session->finding);
    g_free(session->cursor_item);
    g_free(session->state);
    g_free(session->variant);
    g_free(session->message);
    g_free(session->drawn);
    g_free(session->told);
    g_free(session->pointer);
    g_free(session->progress);
    G_OBJECT_CLASS(tb_session_parent_class)->finalize(object);
}

static void
tb_session_class_init(TbSessionClass *klass)
{
    GObjectClass *object_class = G_OBJECT_CLASS(klass);

    object_class->dispose = dispose;
    object_class->finalize = finalize;
    signals[CHANGED] = g_signal_new("changed", TB_TYPE_SESSION, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                    NULL, G_TYPE_NONE, 1, G_TYPE_UINT);
}

static void
tb_session_init(TbSession *session)
{
    session->hidden = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    session->handle = -1;
    session->message = g_strdup("");
    session->pointer = g_strdup("");
    session->views[TB_SLOT_LEFT] = TB_SCENE_SIDE;
    session->views[TB_SLOT_MIDDLE] = TB_SCENE_PLAN;
    session->views[TB_SLOT_ACROSS] = TB_SCENE_ACROSS;
}

TbSession *
tb_session_new(TbBay *bay, GFile *file, TbStore *store, TbWork *work)
{
    TbSession *session = g_object_new(TB_TYPE_SESSION, NULL);

    session->undo = tb_undo_new(bay);
    if (session->undo == NULL)
        g_error("no room for a document"); /* as g_new() does */
    if (file != NULL) {
        session->file = g_object_ref(file);
        tb_undo_mark_saved(session->undo);
    }
    tb_session__settle_ids(session);
    tb_session__place_planes(session);
    session->recompute = tb_recompute_new(&(TbRecomputeDef){.store = store,
                                                            .work = work,
                                                            .deliver = tb_session__deliver,
                                                            .progress = tb_session__progress,
                                                            .user = session});
    tb_session__ask(session);
    return session;
}

/* ---- the document ---- */

TbBay *
tb_session_bay(TbSession *session)
{
    return tb_undo_now(session->undo);
}

/* What was told of a time before goes; what holds of the drawing still does. */
static void
forget_told(TbSession *session)
{
    if (g_strcmp0(session->message, session->told) == 0)
        tb_session_say(session, session->drawn);
    g_clear_pointer(&session->told, g_free);
}

/* After every change of the present document. */
static void
follow(TbSession *session)
{
    forget_told(session);
    g_clear_pointer(&session->preview, tb_bay_unref);
    tb_session__settle_ids(session);
    tb_session__ask(session);
    tb_session__changed(session, TB_SESSION_DOCUMENT | TB_SESSION_FILE | TB_SESSION_SELECTION |
                                     TB_SESSION_CURSOR | TB_SESSION_CHOICE);
}

void
tb_session_edit(TbSession *session, TbBay *next, const char *what, int group)
{
    TbFault fault = {0};
    TbStatus status = tb_undo_push(session->undo, next, what, group, &fault);

    tb_bay_unref(next);
    if (status == TB_OK)
        follow(session);
    else
        tb_session_say(session, fault.text);
}

int
tb_session_group(TbSession *session)
{
    return ++session->last_group;
}

void
tb_session_hold(TbSession *session)
{
    session->holds++;
}

void
tb_session_release(TbSession *session)
{
    g_return_if_fail(session->holds > 0);
    if (--session->holds == 0)
        tb_session__ask(session);
}

bool
tb_session_is_held(TbSession *session)
{
    return session->holds > 0;
}

void
tb_session_abandon(TbSession *session, int group)
{
    if (tb_undo_forget(session->undo, group))
        follow(session);
}

void
tb_session_preview(TbSession *session, TbBay *bay)
{
    if (session->preview == bay)
        return;
    if (bay != NULL)
        tb_bay_ref(bay);
    tb_bay_unref(session->preview);
    session->preview = bay;
    tb_session__ask(session);
}

bool
tb_session_undo(TbSession *session)
{
    if (!tb_undo_back(session->undo))
        return false;
    follow(session);
    return true;
}

bool
tb_session_redo(TbSession *session)
{
    if (!tb_undo_forth(session->undo))
        return false;
    follow(session);
    return true;
}

const char *
tb_session_undo_name(TbSession *session)
{
    return tb_undo_back_name(session->undo);
}

const char *
tb_session_redo_name(TbSession *session)
{
    return tb_undo_forth_name(session->undo);
}

bool
tb_session_is_saved(TbSession *session)
{
    return tb_undo_is_saved(session->undo);
}

void
tb_session_mark_saved(TbSession *session, const TbBay *bay)
{
    tb_undo_mark_saved_bay(session->undo, bay);
    tb_session__changed(session, TB_SESSION_FILE);
}

GFile *
tb_session_file(TbSession *session)
{
    return session->file;
}

void
tb_session_set_file(TbSession *session, GFile *file)
{
    g_set_object(&session->file, file);
    /* scans are looked for beside the file */
    tb_session__ask(session);
    tb_session__changed(session, TB_SESSION_FILE);
}

void
tb_session_refresh(TbSession *session)
{
    tb_session__changed(session, TB_SESSION_DOCUMENT | TB_SESSION_SHOWN);
    /* drawings tell their numbers in the unit that they were asked for with */
    tb_session__ask(session);
}

char *
tb_session_folder(TbSession *session)
{
    g_autoptr(GFile) parent = session->file == NULL ? NULL : g_file_get_parent(session->file);

    return parent == NULL ? g_strdup(session->folder) : g_file_get_path(parent);
}

void
tb_session_set_folder(TbSession *session, const char *folder)
{
    g_free(session->folder);
    session->folder = g_strdup(folder);
    tb_session__ask(session);
}

const char *
tb_session_title(TbSession *session)
{
    const char *title = tb_session_bay(session)->head->title;

    return title == NULL || title[0] == '\0' ? _("Untitled bay") : title;
}

/* ---- the status line ---- */

const char *
tb_session_message(TbSession *session)
{
    return session->message;
}

void
tb_session_say(TbSession *session, const char *message)
{
    g_free(session->message);
    session->message = g_strdup(message == NULL ? "" : message);
    tb_session__changed(session, TB_SESSION_STATUS);
}

void
tb_session_tell(TbSession *session, const char *message)
{
    g_free(session->told);
    session->told = g_strdup(message);
    tb_session_say(session, message);
}

const char *
tb_session_pointer(TbSession *session)
{
    return session->pointer;
}

void
tb_session_set_pointer(TbSession *session, const char *text)
{
    if (g_strcmp0(session->pointer, text) == 0)
        return;
    g_free(session->pointer);
    session->pointer = g_strdup(text);
    tb_session__changed(session, TB_SESSION_STATUS);
}

const char *
tb_session_progress(TbSession *session, double *share)
{
    if (share != NULL)
        *share = session->share;
    return session->progress;
}

void
tb_session_cancel(TbSession *session)
{
    tb_recompute_cancel(session->recompute);
}
