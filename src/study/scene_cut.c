/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/scene_cut_private.h"

#include "geom/plane.h"
#include "geom/tol.h"
#include "study/posed.h"
#include "study/say.h"
#include "study/seen.h"
#include "study/show.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

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

static void
set_head(TbPlot *plot, const TbCutAsk *cut)
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
static TbStatus
set_plane(TbPlot *plot, TbCutAsk *cut, TbFault *fault)
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

/* ---- shapes ---- */

bool
tb_plot__is_subject(const TbPlot *plot, size_t index)
{
    const TbItem *item = plot->stand->items[index].item;

    if (plot->across)
        return index == plot->item;
    return item != NULL && tb_check_is_outlet(item);
}

static TbLook
look_of_line(const TbItem *item)
{
    switch ((TbLineRole)tb_item_line(item)->role) {
    case TB_LINE_BRAKE:
    case TB_LINE_FUEL:
        return TB_LOOK_BRAKE;
    case TB_LINE_HOSE:
    case TB_LINE_HARNESS:
        return TB_LOOK_HARNESS;
    case TB_LINE_OIL_DRAIN:
    case TB_LINE_OIL_FEED:
    case TB_LINE_COOLANT:
        break;
    }
    return TB_LOOK_LINE;
}

static TbLook
look_of(const TbItem *item)
{
    static const struct {
        const char *klass;
        TbLook look;
    } looks[] = {{"hot", TB_LOOK_HOT},      {"structure", TB_LOOK_STRUCTURE},
                 {"cover", TB_LOOK_COVER},  {"plastic", TB_LOOK_COVER},
                 {"panel", TB_LOOK_COVER},  {"brake", TB_LOOK_BRAKE},
                 {"fuel", TB_LOOK_BRAKE},   {"harness", TB_LOOK_HARNESS},
                 {"hose", TB_LOOK_HARNESS}, {"moving", TB_LOOK_MOVING}};

    if (item->kind == TB_ITEM_SCAN)
        return TB_LOOK_SCAN;
    for (size_t i = 0; i < G_N_ELEMENTS(looks); i++)
        if (g_strcmp0(looks[i].klass, item->klass) == 0)
            return looks[i].look;
    if (item->kind == TB_ITEM_LINE)
        return look_of_line(item);
    return item->kind == TB_ITEM_DUCT || item->kind == TB_ITEM_TURBO ? TB_LOOK_HOT
                                                                     : TB_LOOK_STRUCTURE;
}

/* Heights of a box over the plane, lowest first. */
static void
heights_of(TbPlane plane, TbBox3 box, double *low, double *high)
{
    *low = INFINITY;
    *high = -INFINITY;
    for (int i = 0; i < 8; i++) {
        TbVec3 corner = {i & 1 ? box.high.x : box.low.x, i & 2 ? box.high.y : box.low.y,
                         i & 4 ? box.high.z : box.low.z};
        double height = tb_plane_height(plane, corner);

        *low = fmin(*low, height);
        *high = fmax(*high, height);
    }
}

/* What is to be seen of an item. */
typedef struct ToSee {
    double low, high;      /* heights over the plane */
    TbEntry *cut, *beyond; /* TbSeen; NULL: nothing */
} ToSee;

/* Promises what is seen of an item: another edit's drawing may have it already. */
static ToSee
need_seen(const TbPlot *plot, size_t index)
{
    const TbEntry *form = plot->stand->items[index].entry;
    TbPlane plane = plot->scene->plane;
    ToSee seen = {0};

    heights_of(plane, tb_solid_box(((const TbForm *)form->value)->solid), &seen.low, &seen.high);
    if (seen.low <= 0 && seen.high >= 0)
        seen.cut = tb_seen_cut(plot->study->cache, form, plane, plot->scene->coarse);
    /* Across a path the plane is local: what lies behind it hides more than it tells. */
    if (seen.low < 0 && !plot->across)
        seen.beyond = tb_seen_beyond(plot->study->cache, form, plane, seen.high < -TB_TOL_PLACE);
    return seen;
}

static TbStatus
copy_outline(TbCut *to, const TbEntry *entry, TbFault *fault)
{
    const TbSeen *seen = entry == NULL ? NULL : entry->value;

    if (seen == NULL)
        return TB_OK;
    if (seen->fault.status != TB_OK) {
        *fault = seen->fault;
        return fault->status;
    }
    return tb_cut_copy(to, &seen->cut, fault);
}

static TbStatus
add_shape(TbPlot *plot, size_t index, const ToSee *seen, TbFault *fault)
{
    const TbPlaced *placed = &plot->stand->items[index];
    TbScene *scene = plot->scene;
    TbSceneShape *shape = &scene->shapes[scene->shape_count];
    TbStatus status;

    if (seen->low > 0 && plot->envelopes[index] == NULL)
        return TB_OK; /* all of it between the reader and the plane */
    shape->tag = g_strdup(placed->id);
    shape->label = g_strdup(tb_placed_name(placed));
    shape->look = look_of(placed->item);
    shape->subject = tb_plot__is_subject(plot, index);
    shape->height = fmin(0, (seen->low + fmin(seen->high, 0)) / 2);
    tb_cut_init(&shape->cut);
    tb_cut_init(&shape->silhouette);
    tb_cut_init(&shape->envelope);
    scene->shape_count++;
    status = copy_outline(&shape->cut, seen->cut, fault);
    if (status == TB_OK)
        status = copy_outline(&shape->envelope, plot->envelopes[index], fault);
    return status == TB_OK ? copy_outline(&shape->silhouette, seen->beyond, fault) : status;
}

static bool
has_shape(const TbStand *stand, size_t index)
{
    const TbForm *form = tb_placed_form(&stand->items[index]);

    return form != NULL && form->solid != NULL;
}

static TbStatus
add_shapes(TbPlot *plot, TbTask *task, TbFault *fault)
{
    size_t count = plot->stand->count;
    g_autofree ToSee *seen = g_new0(ToSee, count + 1);
    TbStatus status;

    plot->scene->shapes = g_new0(TbSceneShape, count + 1);
    plot->traces = g_new0(TbEntry *, count + 1);
    for (size_t i = 0; i < count; i++) {
        if (!has_shape(plot->stand, i))
            continue;
        seen[i] = need_seen(plot, i);
        if (!plot->across && tb_placed_form(&plot->stand->items[i])->sweep != NULL)
            plot->traces[i] = tb_seen_trace(plot->study->cache, plot->stand->items[i].entry);
    }
    tb_plot__need_envelopes(plot);
    status = tb_cache_settle(plot->study->cache, plot->study->work, task, fault);
    for (size_t i = 0; status == TB_OK && i < count; i++)
        if (has_shape(plot->stand, i))
            status = add_shape(plot, i, &seen[i], fault);
    return status;
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
static void
set_window(TbPlot *plot)
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

/* ---- centre lines ---- */

/* mm between ticks: few enough to be read, at round numbers of the unit. */
static double
tick_step(double length, TbLengthUnit unit)
{
    if (unit == TB_UNIT_INCH)
        return (length < 200 ? 1 : 2) * TB_MM_PER_INCH;
    return length < 200 ? 20 : 50;
}

static void
add_ticks(TbSceneLine *line, const TbForm *form, TbPlane plane, TbLengthUnit unit)
{
    double scale = form->grown.scale;
    double length = tb_sweep_length(form->sweep) / scale;
    double step = tick_step(length, unit);
    size_t room = (size_t)(length / step) + 1;

    line->tick = g_new0(TbVec2, room);
    line->tick_direction = g_new0(TbVec2, room);
    line->tick_station = g_new0(double, room);
    for (size_t i = 0; i < room; i++) {
        TbCurvePoint at = tb_sweep_place(form->sweep, (double)i * step * scale);
        TbVec2 along = {tb_vec3_dot(at.tangent, plane.u), tb_vec3_dot(at.tangent, plane.v)};
        double flat = tb_vec2_length(along);

        /* Where the path runs into the paper ticks pile up and point nowhere. */
        if (flat < 0.2)
            continue;
        line->tick[line->tick_count] = tb_plane_project(plane, at.point);
        line->tick_direction[line->tick_count] = (TbVec2){-along.y / flat, along.x / flat};
        line->tick_station[line->tick_count] = (double)i * step;
        line->tick_count++;
    }
}

/* A part of a path's centre line, by points of its trace. */
static TbSceneLine *
add_line(TbPlot *plot, size_t index, size_t from, size_t to)
{
    TbScene *scene = plot->scene;
    const TbForm *form = tb_placed_form(&plot->stand->items[index]);
    const TbTrace *trace = plot->traces[index]->value;
    size_t count = to - from + 1;
    TbSceneLine *line;

    scene->lines = g_renew(TbSceneLine, scene->lines, scene->line_count + 1);
    line = &scene->lines[scene->line_count++];
    *line = (TbSceneLine){.tag = g_strdup(plot->stand->items[index].id),
                          .points = g_new0(TbVec2, count),
                          .station = g_new0(double, count),
                          .count = count};
    for (size_t i = 0; i < count; i++) {
        line->points[i] = tb_plane_project(scene->plane, trace->point[from + i]);
        line->station[i] = trace->station[from + i] / form->grown.scale;
    }
    return line;
}

/* Of the subjects the whole centre line; of the others what is not cut away. */
static void
add_seen_lines(TbPlot *plot, size_t index)
{
    const TbTrace *trace = plot->traces[index]->value;
    size_t from = trace->count;

    for (size_t i = 0; i < trace->count; i++) {
        bool seen = tb_plane_height(plot->scene->plane, trace->point[i]) <= 0;

        if (seen && from == trace->count)
            from = i;
        if (from < trace->count && (!seen || i + 1 == trace->count)) {
            add_line(plot, index, from, i);
            from = trace->count;
        }
    }
}

static void
add_lines(TbPlot *plot)
{
    for (size_t i = 0; i < plot->stand->count; i++) {
        const TbForm *form = tb_placed_form(&plot->stand->items[i]);

        if (plot->traces[i] == NULL)
            continue;
        if (tb_plot__is_subject(plot, i))
            add_ticks(add_line(plot, i, 0, ((const TbTrace *)plot->traces[i]->value)->count - 1),
                      form, plot->scene->plane, plot->scene->unit);
        else
            add_seen_lines(plot, i);
    }
}

/* ---- notes ---- */

void
tb_plot__note(TbScene *scene, char *text)
{
    scene->notes = g_renew(char *, scene->notes, scene->note_count + 1);
    scene->notes[scene->note_count++] = text;
}

/* ---- the whole ---- */

/* A plane beside everything is a slip of the pen more often than a wish. */
static void
note_emptiness(TbPlot *plot)
{
    for (size_t i = 0; i < plot->scene->shape_count; i++)
        if (plot->scene->shapes[i].cut.loop_count > 0)
            return;
    tb_plot__note(plot->scene, g_strdup(_("This plane cuts nothing.")));
}

static TbStatus
fill(TbPlot *plot, const TbCutAsk *ask, TbTask *task, TbFault *fault)
{
    TbCutAsk found = *ask, *cut = &found;
    TbStatus status = set_plane(plot, cut, fault);

    if (status != TB_OK)
        return status;
    set_head(plot, cut);
    tb_plot__note_pose(plot);
    set_window(plot);
    status = add_shapes(plot, task, fault);
    if (status != TB_OK)
        return status;
    add_lines(plot);
    if (plot->across)
        tb_plot__add_section(plot);
    note_emptiness(plot);
    tb_plot__note_left_out(plot);
    status = tb_plot__add_gaps(plot, task, fault);
    if (status == TB_OK && plot->across)
        tb_plot__add_flat_gaps(plot);
    return status;
}

TbStatus
tb_case_scene(TbStudy *study,
              const TbAsk *ask,
              const TbCase *theirs,
              const TbCutAsk *cut,
              TbTask *task,
              TbScene **scene,
              TbFault *fault)
{
    TbPlot plot = {.study = study,
                   .in = &theirs->stands[0],
                   .stand = theirs->stands[0].stand,
                   .scene = g_new0(TbScene, 1),
                   .across = cut->view == TB_SCENE_ACROSS,
                   .moving = ask->moving};
    TbStatus status;

    plot.scene->references = 1;
    plot.scene->coarse = ask->coarse;
    plot.scene->unit = ask->unit;
    status = fill(&plot, cut, task, fault);
    if (status == TB_OK)
        *scene = plot.scene;
    else
        tb_scene_unref(plot.scene);
    g_free(plot.traces);
    g_free(plot.envelopes);
    return status;
}

TbAsk
tb_ask_at_rest(const TbAsk *ask, char **state)
{
    TbAsk drawn = *ask;

    *state = NULL;
    if (ask->pose != NULL && tb_posed_can(ask->pose))
        return drawn;
    drawn.pose = NULL;
    *state = tb_show_state(ask->bay, ask->state);
    if (ask->moving == NULL && g_strcmp0(*state, ask->state) != 0) {
        drawn.moving = ask->state;
        drawn.state = *state;
    }
    return drawn;
}

TbStatus
tb_study_scene(TbStudy *study,
               const TbAsk *ask,
               const TbCutAsk *cut,
               TbTask *task,
               TbScene **scene,
               TbFault *fault)
{
    TbCase *theirs = NULL;
    TbFault unheard = {0};
    TbFault *why = fault == NULL ? &unheard : fault;
    g_autofree char *state = NULL;
    TbAsk drawn = tb_ask_at_rest(ask, &state);
    TbStatus status = tb_case_new(study, &drawn, TB_NEEDS_GAPS, true, task, &theirs, why);

    if (status == TB_OK)
        status = tb_case_scene(study, &drawn, theirs, cut, task, scene, why);
    tb_case_free(theirs);
    return status;
}
