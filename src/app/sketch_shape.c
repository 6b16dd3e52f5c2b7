/* SPDX-License-Identifier: GPL-3.0-or-later */

/* What a cut shows of a sketch: rubber band and live sizes; and its words. */

#include "app/sketch_private.h"

#include <glib/gi18n.h>
#include <math.h>

/* Pieces of a drawn circle: its chords leave it by a 300th of the radius. */
enum { CIRCLE = 40 };

#define RAD (G_PI / 180)

static TbVec3
at_of(const GArray *points, guint k)
{
    return g_array_index(points, TbSketchPoint, k).at;
}

static void
add_stroke(GArray *strokes, TbVec2 a, TbVec2 b)
{
    TbSketchStroke stroke = {a, b};

    g_array_append_val(strokes, stroke);
}

static void
add_edge(GArray *strokes, TbPlane plane, TbVec3 a, TbVec3 b)
{
    add_stroke(strokes, tb_plane_project(plane, a), tb_plane_project(plane, b));
}

static void
add_circle(GArray *strokes, TbVec2 centre, double radius)
{
    for (int i = 0; i < CIRCLE; i++) {
        double from = 2 * G_PI * i / CIRCLE;
        double to = 2 * G_PI * (i + 1) / CIRCLE;

        add_stroke(strokes, tb_vec2(centre.x + radius * cos(from), centre.y + radius * sin(from)),
                   tb_vec2(centre.x + radius * cos(to), centre.y + radius * sin(to)));
    }
}

/* ---- rubber band ---- */

/* The corners of a block in the order around it, on the sketch's plane. */
static void
block_corners(const TbSketch *sketch, TbVec3 a, TbVec3 b, TbVec3 corner[4])
{
    TbVec3 d = tb_vec3_sub(b, a);

    corner[0] = a;
    corner[1] = tb_vec3_add_scaled(a, tb_vec3_dot(d, sketch->plane.u), sketch->plane.u);
    corner[2] = tb_vec3_add_scaled(corner[1], tb_vec3_dot(d, sketch->plane.v), sketch->plane.v);
    corner[3] = tb_vec3_add_scaled(a, tb_vec3_dot(d, sketch->plane.v), sketch->plane.v);
}

/* A closed row of corners, and its prism as far as it reaches. */
static void
add_prism(GArray *strokes, const TbSketch *sketch, TbPlane plane, const TbVec3 *corner, guint count)
{
    bool flat_on = tb_sketch__parallel(plane, sketch->plane);
    double from, to;

    tb_sketch__reach(sketch, &from, &to);
    for (guint i = 0; i < count; i++) {
        TbVec3 a = corner[i], b = corner[(i + 1) % count];

        if (flat_on) {
            add_edge(strokes, plane, a, b);
            continue;
        }
        add_edge(strokes, plane, tb_vec3_add_scaled(a, from, sketch->plane.n),
                 tb_vec3_add_scaled(b, from, sketch->plane.n));
        add_edge(strokes, plane, tb_vec3_add_scaled(a, to, sketch->plane.n),
                 tb_vec3_add_scaled(b, to, sketch->plane.n));
        add_edge(strokes, plane, tb_vec3_add_scaled(a, from, sketch->plane.n),
                 tb_vec3_add_scaled(a, to, sketch->plane.n));
    }
}

static void
add_flat(GArray *strokes, const TbSketch *sketch, TbPlane plane, const GArray *points)
{
    bool closed = sketch->stage == TB_SKETCH_DEPTH;
    g_autofree TbVec3 *corner = g_new(TbVec3, MAX(points->len, 4));

    if (sketch->tool == TB_TOOL_BLOCK) {
        if (points->len < 2)
            return;
        block_corners(sketch, at_of(points, 0), at_of(points, 1), corner);
        add_prism(strokes, sketch, plane, corner, 4);
        return;
    }
    for (guint i = 0; i < points->len; i++)
        corner[i] = at_of(points, i);
    if (closed) {
        add_prism(strokes, sketch, plane, corner, points->len);
        return;
    }
    for (guint i = 0; i + 1 < points->len; i++)
        add_edge(strokes, plane, corner[i], corner[i + 1]);
}

/* A rod as wide as it is: two circles and the sides between. */
static void
add_rod(GArray *strokes, const TbSketch *sketch, TbPlane plane, const GArray *points)
{
    double radius = tb_sketch__radius(sketch);
    TbVec2 a, b, d, across;
    double length;

    if (points->len < 2)
        return;
    a = tb_plane_project(plane, at_of(points, 0));
    b = tb_plane_project(plane, at_of(points, 1));
    d = tb_vec2_sub(b, a);
    length = tb_vec2_length(d);
    if (length < 2 * radius * 0.02) {
        add_circle(strokes, a, radius);
        return;
    }
    across = tb_vec2(-d.y / length * radius, d.x / length * radius);
    add_stroke(strokes, tb_vec2_add(a, across), tb_vec2_add(b, across));
    add_stroke(strokes, tb_vec2_sub(a, across), tb_vec2_sub(b, across));
    add_stroke(strokes, tb_vec2_add(a, across), tb_vec2_sub(a, across));
    add_stroke(strokes, tb_vec2_add(b, across), tb_vec2_sub(b, across));
    add_stroke(strokes, a, b);
}

GArray *
tb_sketch_strokes(const TbSketch *sketch, TbPlane plane)
{
    GArray *strokes = g_array_new(FALSE, FALSE, sizeof(TbSketchStroke));
    g_autoptr(GArray) points = tb_sketch__points_with_aim(sketch);

    switch (sketch->tool) {
    case TB_TOOL_BLOCK:
    case TB_TOOL_OUTLINE:
        add_flat(strokes, sketch, plane, points);
        break;
    case TB_TOOL_ROD:
        add_rod(strokes, sketch, plane, points);
        break;
    case TB_TOOL_BALL:
        if (sketch->points->len > 0)
            add_circle(strokes, tb_plane_project(plane, at_of(points, 0)),
                       tb_sketch__radius(sketch));
        break;
    case TB_TOOL_LINE:
        for (guint i = 0; i + 1 < points->len; i++)
            add_edge(strokes, plane, at_of(points, i), at_of(points, i + 1));
        break;
    case TB_TOOL_NONE:
    case TB_TOOL_KNOTS:
    case TB_TOOL_MEASURE:
        break;
    }
    return strokes;
}

/* ---- sizes ---- */

static void
add_size(GArray *sizes,
         TbVec2 a,
         TbVec2 b,
         TbVec2 inside,
         const char *before,
         double mm,
         TbLengthUnit unit)
{
    TbSketchSize size = {.a = a, .b = b, .inside = inside};
    char number[TB_TEXT_NUMBER];

    tb_length_write(mm, unit, 1, number);
    g_snprintf(size.text, sizeof size.text, "%s%s", before, number);
    g_array_append_val(sizes, size);
}

/* How far a flat shape reaches, in a view that shows it. */
static void
add_reach(
    GArray *sizes, const TbSketch *sketch, TbPlane plane, const GArray *points, TbLengthUnit unit)
{
    TbVec3 corner = at_of(points, 0);
    TbVec3 middle = {0, 0, 0};
    double from, to;

    for (guint i = 0; i < points->len; i++)
        middle = tb_vec3_add(middle, tb_vec3_scale(at_of(points, i), 1.0 / points->len));
    tb_sketch__reach(sketch, &from, &to);
    add_size(sizes, tb_plane_project(plane, tb_vec3_add_scaled(corner, from, sketch->plane.n)),
             tb_plane_project(plane, tb_vec3_add_scaled(corner, to, sketch->plane.n)),
             tb_plane_project(plane, tb_vec3_add_scaled(middle, (from + to) / 2, sketch->plane.n)),
             "", to - from, unit);
}

static void
add_block_sizes(
    GArray *sizes, const TbSketch *sketch, TbPlane plane, const GArray *points, TbLengthUnit unit)
{
    TbVec3 corner[4];
    TbVec2 middle;

    if (points->len < 2)
        return;
    if (!tb_sketch__parallel(plane, sketch->plane)) {
        add_reach(sizes, sketch, plane, points, unit);
        return;
    }
    block_corners(sketch, at_of(points, 0), at_of(points, 1), corner);
    middle = tb_plane_project(plane, tb_vec3_mix(corner[0], corner[2], 0.5));
    add_size(sizes, tb_plane_project(plane, corner[0]), tb_plane_project(plane, corner[1]), middle,
             "", tb_vec3_distance(corner[0], corner[1]), unit);
    add_size(sizes, tb_plane_project(plane, corner[1]), tb_plane_project(plane, corner[2]), middle,
             "", tb_vec3_distance(corner[1], corner[2]), unit);
}

/* Length of the last leg, and its angle as the view shows it. */
static void
add_leg(GArray *sizes, TbPlane plane, const GArray *points, TbLengthUnit unit)
{
    TbSketchSize size;
    char length[TB_TEXT_NUMBER], angle[TB_TEXT_NUMBER];
    TbVec3 a, b;
    TbVec2 d;

    if (points->len < 2)
        return;
    a = at_of(points, points->len - 2);
    b = at_of(points, points->len - 1);
    size.a = tb_plane_project(plane, a);
    size.b = tb_plane_project(plane, b);
    /* above a leg, whichever way it runs */
    size.inside = tb_vec2((size.a.x + size.b.x) / 2 - 1e3, (size.a.y + size.b.y) / 2 - 1e4);
    d = tb_vec2_sub(size.b, size.a);
    if (tb_vec2_length(d) < TB_SKETCH_LEAST)
        return;
    tb_length_write(tb_vec3_distance(a, b), unit, 1, length);
    tb_text_shown(atan2(d.y, d.x) / RAD, 1, angle);
    /* a leg that runs through the paper has no angle on it */
    if (tb_vec2_length(d) < tb_vec3_distance(a, b) - TB_SKETCH_LEAST)
        g_strlcpy(size.text, length, sizeof size.text);
    else
        /* Translators: a length and its direction: "120.0 at 30.0°" */
        g_snprintf(size.text, sizeof size.text, _("%s at %s°"), length, angle);
    g_array_append_val(sizes, size);
}

/* Across the end of a rod, over a ball. */
static void
add_diameter(GArray *sizes, const TbSketch *sketch, TbPlane plane, TbLengthUnit unit)
{
    double radius = tb_sketch__radius(sketch);
    TbVec2 a = tb_plane_project(plane, tb_sketch__point(sketch, 0)->at);
    TbVec2 b = a, d, across;
    double length;

    if (sketch->tool == TB_TOOL_ROD)
        b = tb_plane_project(plane, tb_sketch__point(sketch, 1)->at);
    d = tb_vec2_sub(b, a);
    length = tb_vec2_length(d);
    if (length < TB_SKETCH_LEAST) {
        TbVec2 top = {b.x, b.y + radius};

        add_size(sizes, top, top, b, "Ø ", 2 * radius, unit);
        return;
    }
    across = tb_vec2(-d.y / length * radius, d.x / length * radius);
    add_size(sizes, tb_vec2_sub(b, across), tb_vec2_add(b, across), a, "Ø ", 2 * radius, unit);
}

GArray *
tb_sketch_sizes(const TbSketch *sketch, TbPlane plane, TbLengthUnit unit)
{
    GArray *sizes = g_array_new(FALSE, FALSE, sizeof(TbSketchSize));
    g_autoptr(GArray) points = tb_sketch__points_with_aim(sketch);

    if (sketch->tool == TB_TOOL_BLOCK)
        add_block_sizes(sizes, sketch, plane, points, unit);
    else if (sketch->tool == TB_TOOL_BALL && sketch->points->len > 0)
        add_diameter(sizes, sketch, plane, unit);
    else if (sketch->stage == TB_SKETCH_SIZE)
        add_diameter(sizes, sketch, plane, unit);
    else if (sketch->stage == TB_SKETCH_POINTS)
        add_leg(sizes, plane, points, unit);
    else if (!tb_sketch__parallel(plane, sketch->plane))
        add_reach(sizes, sketch, plane, points, unit);
    return sizes;
}

/* ---- words ---- */

static void
add_words(GString *to, const char *before, double mm, TbLengthUnit unit)
{
    char number[TB_TEXT_NUMBER];

    tb_length_write(mm, unit, 1, number);
    g_string_append_printf(to, "%s%s", before, number);
}

static void
say_legs(GString *to, const GArray *points, TbLengthUnit unit)
{
    double length = 0;

    for (guint i = 0; i + 1 < points->len; i++)
        length += tb_vec3_distance(at_of(points, i), at_of(points, i + 1));
    if (points->len > 1)
        add_words(to, "", length, unit);
}

static void
say_block(GString *to, const TbSketch *sketch, const GArray *points, TbLengthUnit unit)
{
    TbVec3 d = tb_vec3_sub(at_of(points, 1), at_of(points, 0));

    add_words(to, "", fabs(tb_vec3_dot(d, sketch->plane.u)), unit);
    add_words(to, " x ", fabs(tb_vec3_dot(d, sketch->plane.v)), unit);
}

char *
tb_sketch_says(const TbSketch *sketch, TbLengthUnit unit)
{
    g_autoptr(GArray) points = tb_sketch__points_with_aim(sketch);
    g_autoptr(GString) text = g_string_new(NULL);
    double from, to;

    tb_sketch__reach(sketch, &from, &to);
    if (sketch->tool == TB_TOOL_BLOCK && points->len >= 2)
        say_block(text, sketch, points, unit);
    else if (sketch->tool != TB_TOOL_BALL)
        say_legs(text, points, unit);
    if (tb_sketch__is_flat(sketch->tool) && text->len > 0)
        add_words(text, sketch->tool == TB_TOOL_BLOCK ? " x " : _(", deep "), to - from, unit);
    if ((sketch->tool == TB_TOOL_ROD && text->len > 0) ||
        (sketch->tool == TB_TOOL_BALL && sketch->points->len > 0))
        add_words(text, text->len > 0 ? ", Ø " : "Ø ", 2 * tb_sketch__radius(sketch), unit);
    if (text->len > 0)
        g_string_append_printf(text, " %s", tb_length_unit_name(unit));
    return g_string_free(g_steal_pointer(&text), FALSE);
}

const char *
tb_tool_name(TbTool tool)
{
    switch (tool) {
    case TB_TOOL_BLOCK:
        return _("Block");
    case TB_TOOL_ROD:
        return _("Rod");
    case TB_TOOL_OUTLINE:
        return _("Outline");
    case TB_TOOL_BALL:
        return _("Ball");
    case TB_TOOL_LINE:
        return _("Line");
    case TB_TOOL_KNOTS:
        return _("Knots");
    case TB_TOOL_MEASURE:
        return _("Measure");
    case TB_TOOL_NONE:
        break;
    }
    return _("Select");
}

/* While points are wanted. */
static const char *
hint_of_points(const TbSketch *sketch)
{
    guint count = sketch->points->len;

    switch (sketch->tool) {
    case TB_TOOL_BLOCK:
        return count == 0 ? _("Block: click a corner, or type = and its place")
                          : _("Block: click the corner across, or type 120 x 40");
    case TB_TOOL_ROD:
        return count == 0 ? _("Rod: click one end, or type = and its place")
                          : _("Rod: click the other end, or type 120 or 120 @ 30 or 120, 40");
    case TB_TOOL_OUTLINE:
        return count < 3
                   ? _("Outline: click corner after corner, or type 120 or 120 @ 30 or "
                       "120, 40")
                   : _("Outline: click on; the first corner, or the last one again, closes it");
    case TB_TOOL_BALL:
        return _("Ball: click its middle, or type = and its place");
    case TB_TOOL_LINE:
        return count == 0  ? _("Line: click its start, a port or any place, in any cut")
               : count < 2 ? _("Line: click knot after knot in any cut, or type 120 @ 30")
                           : _("Line: click on; the last knot again ends it");
    case TB_TOOL_KNOTS:
        return _("Knots: click where the selected duct or line shall pass");
    case TB_TOOL_NONE:
    case TB_TOOL_MEASURE:
        break;
    }
    return "";
}

const char *
tb_sketch_hint(const TbSketch *sketch)
{
    if (sketch->stage == TB_SKETCH_SIZE)
        return sketch->tool == TB_TOOL_ROD
                   ? _("Rod: click its side or type its diameter; Return keeps it")
                   : _("Ball: click its edge or type its diameter; Return keeps it");
    if (sketch->stage == TB_SKETCH_DEPTH)
        return _("Depth: type it, or click a side in another cut; Return adds it");
    return hint_of_points(sketch);
}
