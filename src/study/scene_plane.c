/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/scene_cut_private.h"

#include "geom/plane.h"
#include "study/say.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* mm of the bay. Room about the subject on a plot: shows the neighbours that can matter. */
#define MARGIN 90.0

/* ---- planes ---- */

static const struct {
    TbVec3 u, v;
    TbVec3 along; /* the coordinate that stays the same on the plane */
    const char *axis_u, *axis_v;
    int sign_u, sign_v, front_u, front_v;
} views[] = {
    /* from the left, front at the left */
    [TB_SCENE_SIDE] = {{1, 0, 0}, {0, 0, 1}, {0, 1, 0}, "X", "Z", 1, 1, -1, 0},
    /* from above, front at the left, Y up the page */
    [TB_SCENE_PLAN] = {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}, "X", "Y", 1, 1, -1, 0},
    /* from the front: the driver's right at the left */
    [TB_SCENE_FRONT] = {{0, -1, 0}, {0, 0, 1}, {1, 0, 0}, "Y", "Z", -1, 1, 0, 0},
};

/* Where a free cut lies and from where it is seen. */
static char *
free_title(const TbCutAsk *cut, TbPlane plane, TbLengthUnit unit)
{
    TbVec3 p = cut->point;
    TbVec3 d = tb_vec3_neg(plane.n);
    g_autofree char *x = tb_scene_length(p.x, unit, 1);
    g_autofree char *y = tb_scene_length(p.y, unit, 1);
    g_autofree char *z = tb_scene_quantity(p.z, TB_QUANTITY_LENGTH, unit, 1);
    g_autofree char *dx = tb_scene_number(d.x, 3);
    g_autofree char *dy = tb_scene_number(d.y, 3);
    g_autofree char *dz = tb_scene_number(d.z, 3);

    return g_strdup_printf(_("Free cut through X = %s; Y = %s; Z = %s, seen along %s; %s; %s"), x,
                           y, z, dx, dy, dz);
}

void
tb_plot__set_head(TbPlot *plot, const TbCutAsk *cut)
{
    TbScene *scene = plot->scene;
    g_autofree char *at = tb_scene_quantity(cut->at, TB_QUANTITY_LENGTH, scene->unit, 1);

    scene->view = cut->view;
    scene->front = g_strdup(_("front"));
    scene->axes[0] = tb_vec2(scene->plane.u.x, scene->plane.v.x);
    scene->axes[1] = tb_vec2(scene->plane.u.y, scene->plane.v.y);
    scene->axes[2] = tb_vec2(scene->plane.u.z, scene->plane.v.z);
    scene->subtitle = tb_plot__subtitle(plot);
    scene->caution = g_strdup(tb_say_caution(false));
    if (plot->across) {
        scene->title = g_strdup_printf(_("%s, across at station %s, looking downstream"),
                                       tb_placed_name(&plot->stand->items[plot->item]), at);
        scene->axis_u = g_strdup("W");
        scene->axis_v = g_strdup("H");
        scene->axis_u_sign = scene->axis_v_sign = 1;
        return;
    }
    if (cut->view == TB_SCENE_FREE) {
        scene->title = free_title(cut, scene->plane, scene->unit);
        scene->axis_u = g_strdup("");
        scene->axis_v = g_strdup("");
        return;
    }
    scene->title =
        g_strdup_printf(cut->view == TB_SCENE_SIDE   ? _("Side cut, Y = %s, seen from the left")
                        : cut->view == TB_SCENE_PLAN ? _("Plan cut, Z = %s, seen from above")
                                                     : _("Front cut, X = %s, seen from the front"),
                        at);
    scene->axis_u = g_strdup(views[cut->view].axis_u);
    scene->axis_v = g_strdup(views[cut->view].axis_v);
    scene->axis_u_sign = views[cut->view].sign_u;
    scene->axis_v_sign = views[cut->view].sign_v;
    scene->front_u = views[cut->view].front_u;
    scene->front_v = views[cut->view].front_v;
}

/* A named station is looked up. */
TbStatus
tb_plot__set_plane(TbPlot *plot, TbCutAsk *cut, TbFault *fault)
{
    const TbForm *form;
    double length;
    TbStatus status;

    if (cut->view == TB_SCENE_FREE)
        return tb_plane_of_sight((TbSight){cut->point, cut->look, cut->up}, &plot->scene->plane,
                                 fault);
    if (!plot->across) {
        plot->scene->plane = tb_plane_of(tb_vec3_scale(views[cut->view].along, cut->at),
                                         views[cut->view].u, views[cut->view].v);
        return TB_OK;
    }
    status = tb_stand_want(plot->stand, cut->item, &plot->item, fault);
    if (status != TB_OK)
        return status;
    form = tb_placed_form(&plot->stand->items[plot->item]);
    if (form->sweep == NULL)
        return tb_fail(fault, TB_E_REFERENCE, "item %s has no path to cut across", cut->item);
    length = tb_sweep_length(form->sweep) / form->grown.scale;
    if (cut->named != NULL)
        status =
            tb_placed_station(&plot->stand->items[plot->item], cut->named, length, &cut->at, fault);
    if (status != TB_OK)
        return status;
    if (!(cut->at >= 0 && cut->at <= length))
        return tb_fail(fault, TB_E_RANGE,
                       "station %.1f mm is not on %s, whose path is %.1f mm long", cut->at,
                       cut->item, length);
    plot->drawn = cut->at;
    plot->disc = tb_sweep_at(form->sweep, cut->at * form->grown.scale);
    plot->scene->plane = tb_plane_of(plot->disc.centre, plot->disc.frame.w, plot->disc.frame.h);
    return TB_OK;
}

/* ---- window ---- */

static void
widen(TbScene *scene, TbVec2 p)
{
    scene->low = (TbVec2){fmin(scene->low.x, p.x), fmin(scene->low.y, p.y)};
    scene->high = (TbVec2){fmax(scene->high.x, p.x), fmax(scene->high.y, p.y)};
}

static void
widen_by_box(TbScene *scene, TbBox3 box)
{
    for (int i = 0; i < 8; i++)
        widen(scene, tb_plane_project(scene->plane, (TbVec3){i & 1 ? box.high.x : box.low.x,
                                                             i & 2 ? box.high.y : box.low.y,
                                                             i & 4 ? box.high.z : box.low.z}));
}

/* The subjects with some room; without one everything. */
void
tb_plot__set_window(TbPlot *plot)
{
    TbScene *scene = plot->scene;

    scene->low = (TbVec2){INFINITY, INFINITY};
    scene->high = (TbVec2){-INFINITY, -INFINITY};
    if (plot->across) {
        double reach = tb_slice_reach(&plot->disc.slice, true);

        widen(scene, (TbVec2){-reach, -reach});
        widen(scene, (TbVec2){reach, reach});
    }
    for (int all = 0; all < 2 && !(scene->low.x <= scene->high.x); all++)
        for (size_t i = 0; i < plot->stand->count; i++) {
            const TbForm *form = tb_placed_form(&plot->stand->items[i]);

            if (form != NULL && form->solid != NULL && (all == 1 || tb_plot__is_subject(plot, i)))
                widen_by_box(scene, tb_solid_box(form->solid));
        }
    if (!(scene->low.x <= scene->high.x))
        scene->low = scene->high = (TbVec2){0, 0};
    scene->low = tb_vec2_sub(scene->low, (TbVec2){MARGIN, MARGIN});
    scene->high = tb_vec2_add(scene->high, (TbVec2){MARGIN, MARGIN});
}
