/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/sketch_private.h"

#include "bay/preset.h"
#include "geom/tol.h"

#include <glib/gi18n.h>
#include <math.h>

/* mm. Two planes whose normals differ by less than this a millimetre away look the same way. */
#define PARALLEL 1e-9

/* No unit. A direction seen shorter than this in a view cannot be dragged there: 30 degrees. */
#define SEEN_LEAST 0.5

static void
clear_point(void *data)
{
    g_free(((TbSketchPoint *)data)->port);
}

TbSketch *
tb_sketch_new(void)
{
    TbSketch *sketch = g_new0(TbSketch, 1);

    sketch->points = g_array_new(FALSE, FALSE, sizeof(TbSketchPoint));
    g_array_set_clear_func(sketch->points, clear_point);
    sketch->facts = (TbSketchFacts){.klass = g_strdup("structure"),
                                    .mount = g_strdup("body"),
                                    .known = TB_KNOWN_TAPE,
                                    .uncertainty = tb_known_usual(TB_KNOWN_TAPE),
                                    .role = TB_LINE_HOSE,
                                    .diameter = 12,
                                    .bend = 30,
                                    .radius = 10,
                                    .depth = 40};
    return sketch;
}

void
tb_sketch_free(TbSketch *sketch)
{
    if (sketch == NULL)
        return;
    g_array_unref(sketch->points);
    g_free(sketch->aim.port);
    g_free(sketch->id);
    g_free(sketch->item);
    g_free(sketch->facts.name);
    g_free(sketch->facts.klass);
    g_free(sketch->facts.mount);
    g_free(sketch->facts.datum);
    g_free(sketch->facts.date);
    g_free(sketch);
}

void
tb_sketch_begin(TbSketch *sketch, TbTool tool)
{
    sketch->tool = tool;
    sketch->stage = TB_SKETCH_POINTS;
    g_array_set_size(sketch->points, 0);
    sketch->from = -sketch->facts.depth / 2;
    sketch->to = sketch->facts.depth / 2;
    g_clear_pointer(&sketch->id, g_free);
    g_clear_pointer(&sketch->facts.name, g_free);
    tb_sketch_aim_away(sketch);
}

bool
tb_sketch_is_begun(const TbSketch *sketch)
{
    return sketch->points->len > 0;
}

const char *
tb_sketch_class(const TbSketch *sketch)
{
    return sketch->tool == TB_TOOL_LINE ? tb_usual_class(TB_ITEM_LINE, sketch->facts.role)
                                        : sketch->facts.klass;
}

bool
tb_tool_draws(TbTool tool)
{
    return tool != TB_TOOL_NONE && tool != TB_TOOL_KNOTS && tool != TB_TOOL_MEASURE;
}

/* ---- planes ---- */

bool
tb_sketch__is_flat(TbTool tool)
{
    return tool == TB_TOOL_BLOCK || tool == TB_TOOL_OUTLINE;
}

bool
tb_sketch__parallel(TbPlane a, TbPlane b)
{
    return tb_vec3_length(tb_vec3_cross(a.n, b.n)) < PARALLEL;
}

int
tb_sketch__axis(TbVec3 direction, double *sense)
{
    const double parts[3] = {direction.x, direction.y, direction.z};

    for (int i = 0; i < 3; i++)
        if (fabs(parts[i]) > 1 - PARALLEL) {
            *sense = parts[i] > 0 ? 1 : -1;
            return i;
        }
    return -1;
}

/* ---- aiming ---- */

void
tb_sketch_aim_away(TbSketch *sketch)
{
    g_clear_pointer(&sketch->aim.port, g_free);
    sketch->aim = (TbSketchAim){0};
}

/* What the next point has square to a view. */
static double
height_on(const TbSketch *sketch, TbPlane plane)
{
    const TbSketchPoint *last;

    if (sketch->points->len == 0)
        return 0;
    last = tb_sketch__point(sketch, sketch->points->len - 1);
    if (tb_sketch__parallel(plane, sketch->last_plane) &&
        fabs(tb_plane_height(plane, sketch->last_plane.origin)) > TB_TOL_PLACE)
        return 0;
    return tb_plane_height(plane, last->at);
}

/* A radius is what lies between the pointer and the rod's axis or the ball's middle on paper. */
static double
radius_to(const TbSketch *sketch, TbPlane plane, TbVec2 p)
{
    TbVec2 a = tb_plane_project(plane, tb_sketch__point(sketch, 0)->at);
    TbVec2 b =
        sketch->tool == TB_TOOL_ROD ? tb_plane_project(plane, tb_sketch__point(sketch, 1)->at) : a;
    TbVec2 d = tb_vec2_sub(b, a);
    TbVec2 off = tb_vec2_sub(p, a);
    double length = tb_vec2_length(d);

    /* seen along the axis */
    if (length < TB_SKETCH_LEAST)
        return tb_vec2_length(off);
    return fabs(tb_vec2_cross(d, off)) / length;
}

static TbVec3
middle_of(const TbSketch *sketch)
{
    TbVec3 sum = {0, 0, 0};

    for (guint i = 0; i < sketch->points->len; i++)
        sum = tb_vec3_add(sum, tb_sketch__point(sketch, i)->at);
    return tb_vec3_scale(sum, 1.0 / sketch->points->len);
}

/* The nearer side goes where the pointer is, in a view that shows the depth. */
static void
aim_depth(TbSketch *sketch, TbPlane plane, TbVec2 p)
{
    TbSketchAim *aim = &sketch->aim;
    TbVec2 seen = {tb_vec3_dot(sketch->plane.n, plane.u), tb_vec3_dot(sketch->plane.n, plane.v)};
    TbVec2 off = tb_vec2_sub(p, tb_plane_project(plane, middle_of(sketch)));
    double length = tb_vec2_length(seen);
    double height;

    aim->from = sketch->from;
    aim->to = sketch->to;
    aim->square_on = length >= SEEN_LEAST;
    if (!aim->square_on)
        return;
    height = tb_vec2_dot(off, seen) / (length * length);
    if (fabs(height - aim->from) < fabs(height - aim->to))
        aim->from = fmin(height, aim->to - TB_SKETCH_LEAST);
    else
        aim->to = fmax(height, aim->from + TB_SKETCH_LEAST);
}

void
tb_sketch__aim_at(TbSketch *sketch, TbPlane plane, TbVec3 at)
{
    TbSketchAim *aim = &sketch->aim;
    bool bound = tb_sketch__is_flat(sketch->tool) && sketch->points->len > 0;

    g_clear_pointer(&aim->port, g_free);
    *aim = (TbSketchAim){.is = true,
                         .plane = plane,
                         .on_paper = tb_plane_project(plane, at),
                         .at = at,
                         .square_on = true};
    if (bound && sketch->stage == TB_SKETCH_POINTS) {
        /* all corners lie in the first one's plane */
        aim->at = tb_vec3_add_scaled(at, -tb_plane_height(sketch->plane, at), sketch->plane.n);
        aim->square_on = tb_sketch__parallel(plane, sketch->plane);
    }
    if (sketch->stage == TB_SKETCH_SIZE)
        aim->radius = fmax(radius_to(sketch, plane, aim->on_paper), TB_SKETCH_LEAST);
    if (sketch->stage == TB_SKETCH_DEPTH)
        aim_depth(sketch, plane, aim->on_paper);
}

void
tb_sketch_aim(TbSketch *sketch,
              TbPlane plane,
              TbVec2 pointer,
              TbVec2 snapped,
              const char *port,
              double port_height)
{
    bool joins = port != NULL && sketch->tool == TB_TOOL_LINE;
    double height = joins ? port_height : height_on(sketch, plane);

    sketch->pointer = pointer;
    tb_sketch__aim_at(sketch, plane,
                      tb_vec3_add_scaled(tb_plane_lift(plane, snapped), height, plane.n));
    if (joins)
        sketch->aim.port = g_strdup(port);
}

void
tb_sketch_aim_point(TbSketch *sketch, TbPlane plane, TbVec3 at)
{
    sketch->pointer = tb_plane_project(plane, at);
    tb_sketch__aim_at(sketch, plane, at);
}

/* ---- with what is aimed at ---- */

GArray *
tb_sketch__points_with_aim(const TbSketch *sketch)
{
    GArray *points = g_array_new(FALSE, FALSE, sizeof(TbSketchPoint));
    const TbSketchAim *aim = &sketch->aim;

    if (sketch->points->len > 0)
        g_array_append_vals(points, sketch->points->data, sketch->points->len);
    if (aim->is && aim->square_on && sketch->stage == TB_SKETCH_POINTS &&
        sketch->tool != TB_TOOL_KNOTS) {
        const TbSketchPoint *last =
            points->len == 0 ? NULL : &g_array_index(points, TbSketchPoint, points->len - 1);
        TbSketchPoint next = {aim->at, aim->port};

        /* the pointer rests where it has just set one */
        if (last == NULL || tb_vec3_distance(last->at, aim->at) >= TB_SKETCH_LEAST)
            g_array_append_val(points, next);
    }
    return points;
}

double
tb_sketch__radius(const TbSketch *sketch)
{
    return sketch->stage == TB_SKETCH_SIZE && sketch->aim.is ? sketch->aim.radius
                                                             : sketch->facts.radius;
}

void
tb_sketch__reach(const TbSketch *sketch, double *from, double *to)
{
    bool aimed = sketch->stage == TB_SKETCH_DEPTH && sketch->aim.is;

    *from = aimed ? sketch->aim.from : sketch->from;
    *to = aimed ? sketch->aim.to : sketch->to;
}

/* ---- setting ---- */

static TbSketchStep
refuse(TbFault *fault, const char *why)
{
    tb_fail(fault, TB_E_DEGENERATE, "%s", why);
    return TB_SKETCH_REFUSED;
}

/* How many points are needed before anything else. */
static guint
least_points(TbTool tool)
{
    return tool == TB_TOOL_OUTLINE ? 3 : tool == TB_TOOL_BALL || tool == TB_TOOL_KNOTS ? 1 : 2;
}

/* After a point was set. */
static TbSketchStep
go_on(TbSketch *sketch)
{
    if (sketch->points->len < least_points(sketch->tool))
        return TB_SKETCH_MORE;
    if (sketch->tool == TB_TOOL_BLOCK)
        sketch->stage = TB_SKETCH_DEPTH;
    if (sketch->tool == TB_TOOL_ROD || sketch->tool == TB_TOOL_BALL)
        sketch->stage = TB_SKETCH_SIZE;
    /* the pointer has not yet said anything about what is asked next */
    if (sketch->stage != TB_SKETCH_POINTS)
        tb_sketch_aim_away(sketch);
    return TB_SKETCH_MORE;
}

/* True when a block between two corners has two sides. */
static bool
has_sides(const TbSketch *sketch, TbVec3 a, TbVec3 b)
{
    TbVec2 d = tb_vec2_sub(tb_plane_project(sketch->plane, b), tb_plane_project(sketch->plane, a));

    return fabs(d.x) >= TB_SKETCH_LEAST && fabs(d.y) >= TB_SKETCH_LEAST;
}

/* True when two legs in a plane cross or touch. */
static bool
legs_meet(TbVec2 a, TbVec2 b, TbVec2 c, TbVec2 d)
{
    TbVec2 ab = tb_vec2_sub(b, a), cd = tb_vec2_sub(d, c);
    double side_c = tb_vec2_cross(ab, tb_vec2_sub(c, a));
    double side_d = tb_vec2_cross(ab, tb_vec2_sub(d, a));
    double side_a = tb_vec2_cross(cd, tb_vec2_sub(a, c));
    double side_b = tb_vec2_cross(cd, tb_vec2_sub(b, c));

    return side_c * side_d <= 0 && side_a * side_b <= 0 &&
           !(side_c == 0 && side_d == 0); /* on one line: told by the next corner */
}

/* Whether a leg from the last corner to a place crosses the outline; the last leg ends where it
 * begins, and the closing one ends on the first corner. */
static bool
leg_crosses(const TbSketch *sketch, TbVec3 to, bool closing)
{
    guint count = sketch->points->len;
    TbVec2 end = tb_plane_project(sketch->plane, to);
    TbVec2 from;

    if (count < 3 && !closing)
        return false;
    from = tb_plane_project(sketch->plane, tb_sketch__point(sketch, count - 1)->at);
    for (guint i = closing ? 1 : 0; i + 2 < count; i++)
        if (legs_meet(from, end, tb_plane_project(sketch->plane, tb_sketch__point(sketch, i)->at),
                      tb_plane_project(sketch->plane, tb_sketch__point(sketch, i + 1)->at)))
            return true;
    return false;
}

static TbSketchStep
set_point(TbSketch *sketch, TbFault *fault)
{
    TbSketchAim *aim = &sketch->aim;
    guint count = sketch->points->len;
    TbSketchPoint point = {aim->at, NULL};

    if (!aim->square_on)
        return refuse(fault, _("the corners lie in the view of the first one"));
    if (count > 0 &&
        tb_vec3_distance(tb_sketch__point(sketch, count - 1)->at, aim->at) < TB_SKETCH_LEAST)
        return tb_sketch_finish(sketch, fault);
    if (sketch->tool == TB_TOOL_OUTLINE && count >= 3 &&
        tb_vec3_distance(tb_sketch__point(sketch, 0)->at, aim->at) < TB_SKETCH_LEAST)
        return tb_sketch_finish(sketch, fault);
    if (sketch->tool == TB_TOOL_BLOCK && count == 1 &&
        !has_sides(sketch, tb_sketch__point(sketch, 0)->at, aim->at))
        return refuse(fault, _("the block is flat: its corners lie across from each other"));
    if (sketch->tool == TB_TOOL_OUTLINE && leg_crosses(sketch, aim->at, false))
        return refuse(fault, _("the outline would cross itself"));
    if (count == 0)
        sketch->plane =
            tb_plane_of(tb_vec3_add_scaled(aim->plane.origin, tb_plane_height(aim->plane, aim->at),
                                           aim->plane.n),
                        aim->plane.u, aim->plane.v);
    point.port = g_strdup(aim->port);
    g_array_append_val(sketch->points, point);
    sketch->last_plane = aim->plane;
    return go_on(sketch);
}

static TbSketchStep
set_depth(TbSketch *sketch)
{
    const TbSketchAim *aim = &sketch->aim;

    if (!aim->square_on || (aim->from == sketch->from && aim->to == sketch->to))
        return TB_SKETCH_DONE;
    sketch->from = aim->from;
    sketch->to = aim->to;
    sketch->facts.depth = aim->to - aim->from;
    return TB_SKETCH_MORE;
}

TbSketchStep
tb_sketch_set(TbSketch *sketch, TbFault *fault)
{
    if (!sketch->aim.is && sketch->stage != TB_SKETCH_POINTS)
        return tb_sketch_finish(sketch, fault);
    if (!sketch->aim.is)
        return refuse(fault, _("point at a cut first"));
    if (sketch->tool == TB_TOOL_KNOTS)
        return TB_SKETCH_DONE;
    switch (sketch->stage) {
    case TB_SKETCH_POINTS:
        return set_point(sketch, fault);
    case TB_SKETCH_SIZE:
        sketch->facts.radius = sketch->aim.radius;
        return TB_SKETCH_DONE;
    case TB_SKETCH_DEPTH:
        break;
    }
    return set_depth(sketch);
}

TbSketchStep
tb_sketch_finish(TbSketch *sketch, TbFault *fault)
{
    guint needed = least_points(sketch->tool);

    if (sketch->tool == TB_TOOL_KNOTS)
        return refuse(fault, _("click where the knot belongs"));
    if (sketch->points->len < needed) {
        guint more = needed - sketch->points->len;

        tb_fail(fault, TB_E_DEGENERATE,
                ngettext("%u more point is wanted", "%u more points are wanted", more), more);
        return TB_SKETCH_REFUSED;
    }
    if (sketch->tool == TB_TOOL_OUTLINE && sketch->stage == TB_SKETCH_POINTS) {
        if (leg_crosses(sketch, tb_sketch__point(sketch, 0)->at, true))
            return refuse(fault, _("closed here the outline would cross itself"));
        sketch->stage = TB_SKETCH_DEPTH;
        tb_sketch_aim_away(sketch);
        return TB_SKETCH_MORE;
    }
    tb_sketch_aim_away(sketch);
    return TB_SKETCH_DONE;
}

bool
tb_sketch_back(TbSketch *sketch)
{
    if (sketch->points->len == 0)
        return false;
    /* an outline opens again; of all others the last point goes too */
    if (!(sketch->tool == TB_TOOL_OUTLINE && sketch->stage == TB_SKETCH_DEPTH))
        g_array_set_size(sketch->points, sketch->points->len - 1);
    sketch->stage = TB_SKETCH_POINTS;
    sketch->aim.square_on = true;
    return true;
}

int
tb_sketch_point_at(const TbSketch *sketch, TbPlane plane, TbVec2 at, double radius)
{
    int best = -1;

    for (guint i = 0; i < sketch->points->len; i++) {
        TbVec2 d = tb_vec2_sub(tb_plane_project(plane, tb_sketch__point(sketch, i)->at), at);

        if (tb_vec2_length(d) <= radius) {
            radius = tb_vec2_length(d);
            best = (int)i;
        }
    }
    return best;
}

void
tb_sketch_move_point(TbSketch *sketch, int index, TbPlane plane, TbVec2 to)
{
    TbSketchPoint *point;
    TbVec3 at;

    g_return_if_fail(index >= 0 && (guint)index < sketch->points->len);
    point = &g_array_index(sketch->points, TbSketchPoint, index);
    at = tb_vec3_add_scaled(tb_plane_lift(plane, to), tb_plane_height(plane, point->at), plane.n);
    if (tb_sketch__is_flat(sketch->tool))
        at = tb_vec3_add_scaled(at, -tb_plane_height(sketch->plane, at), sketch->plane.n);
    if (sketch->tool == TB_TOOL_BLOCK && sketch->points->len == 2 &&
        !has_sides(sketch, at, tb_sketch__point(sketch, 1 - (guint)index)->at))
        return;
    point->at = at;
    g_clear_pointer(&point->port, g_free);
}
