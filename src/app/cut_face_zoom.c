/* SPDX-License-Identifier: GPL-3.0-or-later */

/* How a cut lies in its pane: fitted until somebody zooms or pans it, and found again so. */

#include "app/cut_face_private.h"

#include "geom/plane.h"
#include "geom/tol.h"

#include <math.h>

/** mm of paper between the window of interest and the pane's edge. */
#define AIR 2.0

/** mm of the bay that a pane shows less than a sheet all round: what is further off is panned to,
 * and across a path the section is what one looks at. */
#define LESS 35.0
#define LESS_ACROSS 50.0

/* The part of a scene that is fitted into the pane. */
static TbViewport
fitted(TbViewport port, const TbScene *scene)
{
    double less = scene->view == TB_SCENE_ACROSS ? LESS_ACROSS : LESS;
    TbVec2 by = {less, less};

    return tb_viewport_fit(port, tb_vec2_add(scene->low, by), tb_vec2_sub(scene->high, by), AIR);
}

static bool
same_paper(TbPlane a, TbPlane b)
{
    TbVec3 way = tb_vec3_sub(b.origin, a.origin);

    return a.u.x == b.u.x && a.u.y == b.u.y && a.u.z == b.u.z && a.v.x == b.v.x && a.v.y == b.v.y &&
           a.v.z == b.v.z && hypot(tb_vec3_dot(way, a.u), tb_vec3_dot(way, a.v)) < TB_TOL_ROUND;
}

/* A free plane that lies elsewhere has another paper: what was looked at is looked at again. */
static void
follow_plane(TbCutFace *face, const TbScene *scene)
{
    TbViewport *port = &face->ports[TB_SCENE_FREE];

    if (scene->view != TB_SCENE_FREE || same_paper(face->free_plane, scene->plane))
        return;
    if (port->ratio > 0 && face->touched[TB_SCENE_FREE])
        port->centre =
            tb_plane_project(scene->plane, tb_plane_lift(face->free_plane, port->centre));
    else
        port->ratio = 0;
    face->free_plane = scene->plane;
}

/* A view that was zoomed when the file was left. */
static void
take_zoom(TbCutFace *face, TbSceneView view)
{
    TbSessionZoom zoom = tb_session_zoom(face->session, face->slot, view);

    if (!(zoom.ratio > 0))
        return;
    face->ports[view].ratio = zoom.ratio;
    face->ports[view].centre = zoom.centre;
    face->touched[view] = true;
}

static gboolean
tell_ratio(void *user)
{
    TbCutFace *face = user;

    face->telling = 0;
    if (face->def.changed != NULL)
        face->def.changed(face->def.user);
    tb_cut_face__describe(face);
    return G_SOURCE_REMOVE;
}

TbViewport
tb_cut_face__port(TbCutFace *face, const TbScene *scene)
{
    TbViewport *port = &face->ports[scene->view];
    TbVec2 size = tb_canvas_size(face->canvas);
    bool other_size = port->width != size.x || port->height != size.y;

    follow_plane(face, scene);
    port->width = size.x;
    port->height = size.y;
    if (!(port->ratio > 0))
        take_zoom(face, scene->view);
    /* nothing moves under a hand */
    if (!(port->ratio > 0) ||
        (other_size && !face->touched[scene->view] && face->drag.kind == TB_DRAG_NONE)) {
        *port = fitted(*port, scene);
        /* it is found while drawing, when no label may change */
        if (face->telling == 0)
            face->telling = g_idle_add(tell_ratio, face);
    }
    return *port;
}

/* The user has chosen what is shown. */
static void
set_port(TbCutFace *face, const TbScene *scene, TbViewport port, bool touched)
{
    face->ports[scene->view] = port;
    face->touched[scene->view] = touched;
    tb_session_set_zoom(face->session, face->slot, scene->view,
                        (TbSessionZoom){port.centre, touched ? port.ratio : 0});
    tb_canvas_redraw(face->canvas);
    if (face->def.changed != NULL)
        face->def.changed(face->def.user);
    tb_cut_face__describe(face);
}

void
tb_cut_face__zoom(void *user, TbVec2 at, double factor)
{
    TbCutFace *face = user;
    TbScene *scene = tb_cut_face__scene(face);

    if (scene != NULL)
        set_port(face, scene, tb_viewport_zoom_at(tb_cut_face__port(face, scene), at, factor),
                 true);
}

void
tb_cut_face__pan(void *user, TbVec2 by)
{
    TbCutFace *face = user;
    TbScene *scene = tb_cut_face__scene(face);

    if (scene != NULL)
        set_port(face, scene, tb_viewport_pan(tb_cut_face__port(face, scene), by), true);
}

void
tb_cut_face__fit(void *user)
{
    TbCutFace *face = user;
    TbScene *scene = tb_cut_face__scene(face);

    if (scene != NULL)
        set_port(face, scene, fitted(tb_cut_face__port(face, scene), scene), false);
}

void
tb_cut_face__true_size(void *user, double ratio)
{
    TbCutFace *face = user;
    TbScene *scene = tb_cut_face__scene(face);
    TbViewport port;

    if (scene == NULL)
        return;
    port = tb_cut_face__port(face, scene);
    port.ratio = ratio;
    set_port(face, scene, port, true);
}

void
tb_cut_face_fit(TbCutFace *face)
{
    tb_cut_face__fit(face);
}

void
tb_cut_face_true_size(TbCutFace *face)
{
    tb_cut_face__true_size(face, tb_canvas_true_ratio(face->canvas));
}

void
tb_cut_face_zoom(TbCutFace *face, double factor)
{
    tb_cut_face__zoom(face, tb_vec2_scale(tb_canvas_size(face->canvas), 0.5), factor);
}

double
tb_cut_face_ratio(TbCutFace *face)
{
    TbScene *scene = tb_cut_face__scene(face);

    /* without room there is none yet */
    return scene == NULL || !(tb_canvas_size(face->canvas).x > 0)
               ? 0
               : tb_cut_face__port(face, scene).ratio / tb_canvas_true_ratio(face->canvas);
}

void
tb_cut_face_show_ratio(TbCutFace *face, GtkLabel *label)
{
    double ratio = tb_cut_face_ratio(face);
    char text[24] = "";

    if (ratio > 0)
        tb_viewport_ratio_text(ratio, text);
    gtk_label_set_text(label, text);
}
