/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Where the session's cuts lie. */

#include "app/session_private.h"

#include "bay/ports.h"

#include <math.h>

TbSceneView
tb_session_view(TbSession *session, int slot)
{
    g_return_val_if_fail(slot >= 0 && slot < TB_SLOT_COUNT, TB_SCENE_SIDE);
    return session->views[slot];
}

void
tb_session_set_view(TbSession *session, int slot, TbSceneView view)
{
    g_return_if_fail(slot >= 0 && slot < TB_SLOT_COUNT);
    if (session->views[slot] == view)
        return;
    session->views[slot] = view;
    tb_session__ask(session);
    tb_session__changed(session, TB_SESSION_PLANES);
}

TbCutAsk
tb_session_cut(TbSession *session, TbSceneView view)
{
    switch (view) {
    case TB_SCENE_SIDE:
    case TB_SCENE_PLAN:
    case TB_SCENE_FRONT:
        return (TbCutAsk){.view = view, .at = session->planes[view]};
    case TB_SCENE_ACROSS:
        return (TbCutAsk){.view = view, .at = session->cursor, .item = session->cursor_item};
    case TB_SCENE_FREE:
        break;
    }
    return session->free_plane;
}

void
tb_session_set_plane(TbSession *session, TbSceneView view, double at)
{
    g_return_if_fail(view == TB_SCENE_SIDE || view == TB_SCENE_PLAN || view == TB_SCENE_FRONT);
    if (!isfinite(at) || session->planes[view] == at)
        return;
    session->planes[view] = at;
    tb_session__ask(session);
    tb_session__changed(session, TB_SESSION_PLANES);
}

/* Planes through a point; the free one is the user's own. */
void
tb_session__planes_through(TbSession *session, TbVec3 point)
{
    session->planes[TB_SCENE_SIDE] = point.y;
    session->planes[TB_SCENE_PLAN] = point.z;
    session->planes[TB_SCENE_FRONT] = point.x;
}

void
tb_session_set_free_plane(TbSession *session, const TbCutAsk *cut)
{
    session->free_plane = *cut;
    session->free_plane.view = TB_SCENE_FREE;
    session->free_plane.item = NULL;
    tb_session__ask(session);
    tb_session__changed(session, TB_SESSION_PLANES);
}

/* Middle of an item's path at rest, and half its length by its knots; false when it has none. */
static bool
path_middle(TbSession *session, const char *item, TbVec3 *middle, double *half)
{
    TbPlacedPath path;
    double length = 0, before = 0, next = 0;
    size_t at = 1;

    if (item == NULL ||
        tb_bay_path(tb_session_bay(session), session->variant, item, &path, NULL) != TB_OK)
        return false;
    for (size_t i = 1; i < path.count; i++)
        length += tb_vec3_length(tb_vec3_sub(path.knots[i], path.knots[i - 1]));
    for (; at < path.count; at++) {
        next = tb_vec3_length(tb_vec3_sub(path.knots[at], path.knots[at - 1]));
        if (before + next >= length / 2 || at + 1 == path.count)
            break;
        before += next;
    }
    *middle = tb_vec3_add(path.knots[at - 1],
                          tb_vec3_scale(tb_vec3_sub(path.knots[at], path.knots[at - 1]),
                                        next > 0 ? (length / 2 - before) / next : 0));
    *half = length / 2;
    tb_placed_path_clear(&path);
    return true;
}

static TbSceneView
view_of(int kind)
{
    return kind == TB_VIEW_SIDE   ? TB_SCENE_SIDE
           : kind == TB_VIEW_PLAN ? TB_SCENE_PLAN
                                  : TB_SCENE_FRONT;
}

void
tb_session__place_planes(TbSession *session)
{
    const TbBay *bay = tb_session_bay(session);
    TbVec3 middle = {0, 0, 0};
    bool named[TB_SESSION_VIEWS] = {false};

    session->planes[TB_SCENE_SIDE] = session->planes[TB_SCENE_PLAN] =
        session->planes[TB_SCENE_FRONT] = 0;
    if (path_middle(session, session->cursor_item, &middle, &session->cursor))
        tb_session__planes_through(session, middle);
    /* between the side and the front view until somebody picks points */
    session->free_plane =
        (TbCutAsk){.view = TB_SCENE_FREE, .point = middle, .look = {1, 1, 0}, .up = {0, 0, 1}};
    /* the first named view of each kind is where the file's author looks */
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_VIEWS); i++) {
        const TbView *view = tb_bay_view_at(bay, i);

        if (view->kind == TB_VIEW_STATION || view->kind == TB_VIEW_FREE ||
            named[view_of(view->kind)])
            continue;
        named[view_of(view->kind)] = true;
        session->planes[view_of(view->kind)] = view->at;
    }
}
