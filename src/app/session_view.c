/* SPDX-License-Identifier: GPL-3.0-or-later */

/* The session's selection, cursor, state and variant. */

#include "app/session_private.h"

#include "app/shown_unit.h"
#include "bay/ports.h"
#include "study/posed.h"

#include <glib/gi18n.h>
#include <math.h>

/* Replaces a text; false when it was the same. */
static bool
set_text(char **place, const char *text)
{
    if (g_strcmp0(*place, text) == 0)
        return false;
    g_free(*place);
    *place = g_strdup(text);
    return true;
}

/* ---- selection ---- */

const char *
tb_session_selected(TbSession *session)
{
    return session->selected;
}

void
tb_session_select(TbSession *session, const char *id)
{
    guint parts = TB_SESSION_SELECTION;
    const TbItem *item = tb_bay_item(tb_session_bay(session), id);

    if (!set_text(&session->selected, id))
        return;
    session->handle = -1;
    /* curves and the cut across the path are of the duct that one works on */
    if (item != NULL && tb_item_has_path(item) && set_text(&session->cursor_item, id)) {
        parts |= TB_SESSION_CURSOR;
        tb_session__ask(session);
    }
    tb_session__changed(session, parts);
}

int
tb_session_handle(TbSession *session)
{
    return session->handle;
}

void
tb_session_select_handle(TbSession *session, int handle)
{
    if (session->handle == handle)
        return;
    session->handle = handle;
    tb_session__changed(session, TB_SESSION_SELECTION);
}

const char *
tb_session_finding(TbSession *session)
{
    return session->finding;
}

/* The item that a finding is about: that of its place, or the first of its pair. */
static char *
finding_item(TbSession *session, const TbFinding *finding)
{
    g_auto(GStrv) pair = NULL;

    if (finding->place.item[0] != '\0')
        return g_strdup(finding->place.item);
    pair = g_strsplit(finding->subject, "|", 2);
    return tb_bay_item(tb_session_bay(session), pair[0]) == NULL ? NULL : g_strdup(pair[0]);
}

/* A state that is judged: the first cold one, else the first. */
static const char *
default_state(const TbBay *bay)
{
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_STATES); i++)
        if (tb_bay_state_at(bay, i)->kind == TB_STATE_COLD)
            return tb_bay_state_at(bay, i)->record.id;
    return tb_bay_count(bay, TB_LIST_STATES) > 0 ? tb_bay_state_at(bay, 0)->record.id : NULL;
}

/* The gap that a finding is about, in the variant shown where it is of all. */
static const TbResultGap *
finding_gap(TbSession *session, const TbFinding *finding)
{
    const TbResults *all = session->whole;

    for (size_t i = 0; all != NULL && i < all->gap_count; i++) {
        const TbResultGap *gap = &all->gaps[i];
        g_autofree char *pair = tb_results_pair(gap->a, gap->b);

        if (g_strcmp0(pair, finding->subject) == 0 && g_strcmp0(gap->state, finding->state) == 0 &&
            g_strcmp0(gap->variant, session->variant == NULL ? "" : session->variant) == 0)
            return gap;
    }
    return NULL;
}

/* How what is drawn stands for what is judged, where it is not the same; else NULL. */
static char *
drawn_words(TbSession *session)
{
    const TbBay *bay = tb_session_bay(session);
    g_autofree char *drawn = tb_ask_state_at_rest(bay, session->state);

    if (session->pose != NULL) {
        g_autofree char *at = tb_posed_tell(bay, session->pose, tb_shown_unit(bay));

        /* Translators: numbers of a motion, such as "engine rx -2.5°" */
        return g_strdup_printf(_("Cuts are drawn where the two come nearest: %s"), at);
    }
    if (g_strcmp0(drawn, session->state) == 0)
        return NULL;
    return g_strdup_printf(
        /* Translators: two states' names, such as "hot-rocking" and "hot" */
        _("%s is a motion: lists and findings judge all of it, cuts show %s at rest with the "
          "envelope of what moves"),
        session->state, drawn);
}

/* Says that once; what was said of before goes, what anybody else has said stays. */
static void
tell_drawn(TbSession *session)
{
    char *words = drawn_words(session);
    bool same = g_strcmp0(words, session->drawn) == 0;

    if (!same && words != NULL)
        tb_session_say(session, words);
    else if (!same && g_strcmp0(session->message, session->drawn) == 0)
        tb_session_say(session, NULL);
    g_free(session->drawn);
    session->drawn = words;
}

/* Cuts are drawn at a gap's worst numbers; at rest where it has none that can be drawn, or NULL. */
static void
stand_at(TbSession *session, const TbResultGap *gap)
{
    bool can = gap != NULL && tb_posed_can(gap);

    g_clear_pointer(&session->posed, tb_results_unref);
    session->pose = NULL;
    if (can) {
        session->posed = tb_results_ref(session->whole);
        session->pose = gap;
    }
    tell_drawn(session);
}

const TbResultGap *
tb_session_drawn_at(TbSession *session)
{
    return session->pose;
}

void
tb_session_draw_at_rest(TbSession *session)
{
    if (session->pose == NULL)
        return;
    stand_at(session, NULL);
    tb_session__ask(session);
    tb_session__changed(session, TB_SESSION_CHOICE);
}

void
tb_session_go_to_finding(TbSession *session, const TbFinding *finding)
{
    g_autofree char *item = finding_item(session, finding);
    const TbItem *there = tb_bay_item(tb_session_bay(session), item);

    set_text(&session->finding, finding->id);
    if (item != NULL && set_text(&session->selected, item))
        session->handle = -1;
    if (there != NULL && tb_item_has_path(there)) {
        set_text(&session->cursor_item, item);
        if (!isnan(finding->place.from))
            session->cursor = (finding->place.from + finding->place.to) / 2;
    }
    if (tb_vec3_is_given(finding->place.point))
        tb_session__planes_through(session, finding->place.point);
    if (finding->state[0] != '\0')
        set_text(&session->state, finding->state);
    if (finding->variant[0] != '\0')
        set_text(&session->variant, finding->variant);
    stand_at(session, finding_gap(session, finding));
    tb_session__ask(session);
    tb_session__changed(session, TB_SESSION_SELECTION | TB_SESSION_CURSOR | TB_SESSION_PLANES |
                                     TB_SESSION_CHOICE);
}

/* ---- cursor ---- */

const char *
tb_session_cursor_item(TbSession *session)
{
    return session->cursor_item;
}

double
tb_session_cursor(TbSession *session)
{
    return session->cursor;
}

void
tb_session_set_cursor(TbSession *session, const char *item, double station)
{
    const TbResultDuct *duct;
    bool moved = item != NULL && set_text(&session->cursor_item, item);

    if (session->cursor_item == NULL || !isfinite(station))
        return;
    duct = session->shown == NULL ? NULL
                                  : tb_results_duct(session->shown->results, session->cursor_item);
    station = CLAMP(station, 0, duct == NULL ? (double)INFINITY : duct->length);
    if (!moved && station == session->cursor)
        return;
    session->cursor = station;
    tb_session__ask(session);
    tb_session__changed(session, TB_SESSION_CURSOR);
}

/* ---- what is looked at ---- */

/** mm of paper for one of the bay: a bay of 100 m on a stamp, and a hair across the pane. */
#define LEAST_RATIO 1e-4
#define MOST_RATIO 1e4

TbSessionZoom
tb_session_zoom(TbSession *session, int slot, TbSceneView view)
{
    return session->zooms[slot][view];
}

void
tb_session_set_zoom(TbSession *session, int slot, TbSceneView view, TbSessionZoom zoom)
{
    bool holds = zoom.ratio >= LEAST_RATIO && zoom.ratio <= MOST_RATIO && isfinite(zoom.centre.x) &&
                 isfinite(zoom.centre.y);

    session->zooms[slot][view] = holds ? zoom : (TbSessionZoom){.ratio = 0};
}

void
tb_session_stretch(TbSession *session, double *from, double *to)
{
    *from = session->stretch[0];
    *to = session->stretch[1];
}

void
tb_session_set_stretch(TbSession *session, double from, double to)
{
    bool holds = isfinite(from) && isfinite(to) && from >= 0 && to > from;

    session->stretch[0] = holds ? from : 0;
    session->stretch[1] = holds ? to : 0;
}

/* ---- state, variant, hidden ---- */

const char *
tb_session_state(TbSession *session)
{
    return session->state;
}

const char *
tb_session_variant(TbSession *session)
{
    return session->variant;
}

static void
choose(TbSession *session, char **place, const char *id)
{
    if (!set_text(place, id) && session->pose == NULL)
        return;
    stand_at(session, NULL);
    tb_session__ask(session);
    tb_session__changed(session, TB_SESSION_CHOICE);
}

void
tb_session_set_state(TbSession *session, const char *state)
{
    choose(session, &session->state, state);
}

void
tb_session_set_variant(TbSession *session, const char *variant)
{
    choose(session, &session->variant, variant);
}

bool
tb_session_is_hidden(TbSession *session, const char *item)
{
    return g_hash_table_contains(session->hidden, item);
}

void
tb_session_set_hidden(TbSession *session, const char *item, bool hidden)
{
    bool changed = hidden ? g_hash_table_add(session->hidden, g_strdup(item))
                          : g_hash_table_remove(session->hidden, item);

    if (changed)
        tb_session__changed(session, TB_SESSION_HIDDEN);
}

/* ---- after a change of the document ---- */

/* The outlet, or the first duct, or the first line. */
static const char *
default_path(const TbBay *bay)
{
    const char *best = NULL;
    int rank = 0;

    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_ITEMS); i++) {
        const TbItem *item = tb_bay_item_at(bay, i);
        int now = 0;

        if (item->spare || !tb_item_has_path(item))
            continue;
        now = item->kind == TB_ITEM_LINE                           ? 1
              : g_strcmp0(tb_item_duct(item)->role, "outlet") != 0 ? 2
                                                                   : 3;
        if (now > rank) {
            rank = now;
            best = item->record.id;
        }
    }
    return best;
}

void
tb_session__settle_ids(TbSession *session)
{
    const TbBay *bay = tb_session_bay(session);
    const TbItem *along = tb_bay_item(bay, session->cursor_item);

    if (session->selected != NULL && tb_bay_find(bay, session->selected) == NULL) {
        g_clear_pointer(&session->selected, g_free);
        session->handle = -1;
    }
    if (along == NULL || !tb_item_has_path(along))
        set_text(&session->cursor_item, default_path(bay));
    if (session->state == NULL ||
        (strchr(session->state, '+') == NULL && tb_bay_state(bay, session->state) == NULL))
        set_text(&session->state, default_state(bay));
    if (session->pose != NULL &&
        (tb_bay_item(bay, session->pose->a) == NULL || tb_bay_item(bay, session->pose->b) == NULL ||
         g_strcmp0(session->state, session->pose->state) != 0))
        stand_at(session, NULL);
    tell_drawn(session);
    if (session->variant == NULL || tb_bay_variant(bay, session->variant) == NULL)
        set_text(&session->variant, tb_bay_count(bay, TB_LIST_VARIANTS) > 0
                                        ? tb_bay_variant_at(bay, 0)->record.id
                                        : NULL);
}
