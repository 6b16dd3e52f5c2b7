/* SPDX-License-Identifier: GPL-3.0-or-later */

/* What a sketch would be in the document: a line of the file, added. */

#include "app/sketch_private.h"

#include "bay/edit.h"
#include "bay/ports.h"
#include "geom/tol.h"

#include <glib/gi18n.h>
#include <math.h>

/* ---- numbers ---- */

static double
rounded(double x)
{
    /* + 0: no minus in front of a zero */
    return round(x / TB_SKETCH_STEP) * TB_SKETCH_STEP + 0.0;
}

static void
add_number(GString *to, double x)
{
    char text[TB_TEXT_NUMBER];

    tb_text_fixed(rounded(x), 3, text);
    /* 12.500 is 12.5 */
    for (size_t end = strlen(text); end > 1 && (text[end - 1] == '0' || text[end - 1] == '.');) {
        bool point = text[end - 1] == '.';

        text[--end] = '\0';
        if (point)
            break;
    }
    g_string_append(to, text);
}

static void
add_length(GString *to, const char *name, double x)
{
    g_string_append_printf(to, " %s=\"", name);
    add_number(to, x);
    g_string_append_c(to, '"');
}

static void
add_place(GString *to, const char *name, TbVec3 p)
{
    g_string_append_printf(to, " %s=\"", name);
    add_number(to, p.x);
    g_string_append_c(to, ' ');
    add_number(to, p.y);
    g_string_append_c(to, ' ');
    add_number(to, p.z);
    g_string_append_c(to, '"');
}

/* Directions of a view, to more digits than lengths. */
static void
add_direction(GString *to, const char *name, TbVec3 d)
{
    char x[TB_TEXT_NUMBER], y[TB_TEXT_NUMBER], z[TB_TEXT_NUMBER];

    tb_text_from_double(d.x + 0.0, x);
    tb_text_from_double(d.y + 0.0, y);
    tb_text_from_double(d.z + 0.0, z);
    g_string_append_printf(to, " %s=\"%s %s %s\"", name, x, y, z);
}

static void
add_words(GString *to, const char *name, const char *words)
{
    g_autofree char *escaped = NULL;

    if (words == NULL || words[0] == '\0')
        return;
    escaped = g_markup_escape_text(words, -1);
    g_string_append_printf(to, " %s=\"%s\"", name, escaped);
}

/* ---- names ---- */

static const char *
element_of(TbTool tool)
{
    static const char *const names[TB_TOOL_COUNT] = {[TB_TOOL_BLOCK] = "block",
                                                     [TB_TOOL_ROD] = "rod",
                                                     [TB_TOOL_OUTLINE] = "outline",
                                                     [TB_TOOL_BALL] = "ball",
                                                     [TB_TOOL_LINE] = "line"};

    return names[tool];
}

static int
id_number(const TbSketch *sketch)
{
    return sketch->id == NULL ? 1 : (int)g_ascii_strtoll(strrchr(sketch->id, '-') + 1, NULL, 10);
}

/* The first free one of block-1, block-2 ... */
void
tb_sketch_choose_id(TbSketch *sketch, const TbBay *bay)
{
    if (element_of(sketch->tool) == NULL)
        return;
    for (int k = 1; sketch->id == NULL || tb_bay_find(bay, sketch->id) != NULL; k++) {
        g_free(sketch->id);
        sketch->id = g_strdup_printf("%s-%d", element_of(sketch->tool), k);
    }
}

char *
tb_sketch_name(const TbSketch *sketch)
{
    if (sketch->facts.name != NULL && sketch->facts.name[0] != '\0')
        return g_strdup(sketch->facts.name);
    /* Translators: a kind of item and its number: "Block 2" */
    return g_strdup_printf(_("%s %d"), tb_tool_name(sketch->tool), id_number(sketch));
}

char *
tb_sketch_act(const TbSketch *sketch, const TbBay *bay)
{
    const TbItem *item = tb_bay_item(bay, sketch->item);
    g_autofree char *name = NULL;

    if (sketch->tool == TB_TOOL_KNOTS)
        return g_strdup_printf(_("add a knot to %s"), item == NULL ? sketch->item
                                                      : item->record.name == NULL
                                                          ? item->record.id
                                                          : item->record.name);
    name = tb_sketch_name(sketch);
    return g_strdup_printf(_("draw %s"), name);
}

static void
begin_element(GString *to, const TbSketch *sketch)
{
    g_autofree char *name = tb_sketch_name(sketch);

    g_string_append_printf(to, "<%s", element_of(sketch->tool));
    add_words(to, "id", sketch->id);
    add_words(to, "name", name);
    add_words(to, "class", tb_sketch_class(sketch));
    add_words(to, "mount", sketch->facts.mount);
}

/* Ends the element's attributes and says how it is known. */
static void
add_known(GString *to, const TbSketch *sketch)
{
    const TbSketchFacts *facts = &sketch->facts;

    g_string_append(to, "><known");
    add_words(to, "by", tb_name_of(tb_names_known, facts->known));
    add_length(to, "uncertainty", facts->uncertainty);
    add_words(to, "datum", facts->datum);
    add_words(to, "date", facts->date);
    g_string_append(to, "/>");
}

/* ---- shapes ---- */

static TbVec3
least_of(TbVec3 a, TbVec3 b)
{
    return tb_vec3(fmin(a.x, b.x), fmin(a.y, b.y), fmin(a.z, b.z));
}

static TbVec3
most_of(TbVec3 a, TbVec3 b)
{
    return tb_vec3(fmax(a.x, b.x), fmax(a.y, b.y), fmax(a.z, b.z));
}

static bool
lies_along_axes(TbPlane plane)
{
    double sense;

    return tb_sketch__axis(plane.u, &sense) >= 0 && tb_sketch__axis(plane.v, &sense) >= 0;
}

/* On a view that lies askew, sides x and z are those of the paper, and y runs into it. */
static void
add_turned_block(GString *to, const TbSketch *sketch, TbVec3 a, TbVec3 b)
{
    TbPlane plane = sketch->plane;
    TbVec3 middle = tb_vec3_mix(a, b, 0.5);
    TbVec3 d = tb_vec3_sub(b, a);
    TbVec3 half = tb_vec3(fabs(tb_vec3_dot(d, plane.u)) / 2, fabs(tb_vec3_dot(d, plane.n)) / 2,
                          fabs(tb_vec3_dot(d, plane.v)) / 2);

    add_place(to, "low", tb_vec3_sub(middle, half));
    add_place(to, "high", tb_vec3_add(middle, half));
    add_direction(to, "along", plane.u);
    add_direction(to, "up", plane.v);
}

static TbStatus
add_block(GString *to, const TbSketch *sketch, const GArray *points, TbVec3 shift, TbFault *fault)
{
    double from, to_height;
    TbVec3 a, b;
    TbVec2 d;

    if (points->len < 2)
        return tb_fail(fault, TB_E_DEGENERATE, "a block has two corners");
    tb_sketch__reach(sketch, &from, &to_height);
    a = tb_vec3_sub(g_array_index(points, TbSketchPoint, 0).at, shift);
    b = tb_vec3_sub(g_array_index(points, TbSketchPoint, 1).at, shift);
    d = tb_vec2(tb_vec3_dot(tb_vec3_sub(b, a), sketch->plane.u),
                tb_vec3_dot(tb_vec3_sub(b, a), sketch->plane.v));
    if (!(fabs(d.x) >= TB_SKETCH_LEAST && fabs(d.y) >= TB_SKETCH_LEAST))
        return tb_fail(fault, TB_E_DEGENERATE, "the block is flat");
    a = tb_vec3_add_scaled(a, from, sketch->plane.n);
    b = tb_vec3_add_scaled(b, to_height, sketch->plane.n);
    if (lies_along_axes(sketch->plane)) {
        add_place(to, "low", least_of(a, b));
        add_place(to, "high", most_of(a, b));
    } else {
        add_turned_block(to, sketch, a, b);
    }
    add_known(to, sketch);
    return TB_OK;
}

static TbStatus
add_rod(GString *to, const TbSketch *sketch, const GArray *points, TbVec3 shift, TbFault *fault)
{
    if (points->len < 2)
        return tb_fail(fault, TB_E_DEGENERATE, "a rod has two ends");
    add_place(to, "a", tb_vec3_sub(g_array_index(points, TbSketchPoint, 0).at, shift));
    add_place(to, "b", tb_vec3_sub(g_array_index(points, TbSketchPoint, 1).at, shift));
    add_length(to, "radius", tb_sketch__radius(sketch));
    add_known(to, sketch);
    return TB_OK;
}

static TbStatus
add_ball(GString *to, const TbSketch *sketch, TbVec3 shift, TbFault *fault)
{
    if (sketch->points->len < 1)
        return tb_fail(fault, TB_E_DEGENERATE, "a ball has a middle");
    add_place(to, "at", tb_vec3_sub(tb_sketch__point(sketch, 0)->at, shift));
    add_length(to, "radius", tb_sketch__radius(sketch));
    add_known(to, sketch);
    return TB_OK;
}

static TbStatus
add_outline(GString *to, const TbSketch *sketch, const GArray *points, TbVec3 shift, TbFault *fault)
{
    TbPlane plane = sketch->plane;
    double from, to_height;
    TbVec3 first;

    if (points->len < 3)
        return tb_fail(fault, TB_E_DEGENERATE, "an outline has three corners or more");
    tb_sketch__reach(sketch, &from, &to_height);
    first = g_array_index(points, TbSketchPoint, 0).at;
    add_place(to, "origin", tb_vec3_add_scaled(tb_vec3_sub(first, shift), from, plane.n));
    add_direction(to, "u", plane.u);
    add_direction(to, "v", plane.v);
    add_length(to, "depth", to_height - from);
    add_known(to, sketch);
    for (guint i = 0; i < points->len; i++) {
        TbVec3 d = tb_vec3_sub(g_array_index(points, TbSketchPoint, i).at, first);

        g_string_append(to, "<corner at=\"");
        add_number(to, tb_vec3_dot(d, plane.u));
        g_string_append_c(to, ' ');
        add_number(to, tb_vec3_dot(d, plane.v));
        g_string_append(to, "\"/>");
    }
    return TB_OK;
}

/* ---- lines ---- */

/* An end on a port; the line runs with the port's direction, or against it. */
static void
add_end(GString *to,
        const char *name,
        const TbBay *bay,
        const char *variant,
        const TbSketchPoint *end,
        TbVec3 along)
{
    TbPortPlace place;

    if (end->port == NULL || tb_bay_port_place(bay, variant, end->port, &place, NULL) != TB_OK)
        return;
    g_string_append_printf(to, "<%s", name);
    add_words(to, "port", end->port);
    if (tb_vec3_dot(place.flow, along) < 0)
        g_string_append(to, " against=\"yes\"");
    g_string_append(to, "/>");
}

static TbStatus
add_line(GString *to,
         const TbSketch *sketch,
         const TbBay *bay,
         const char *variant,
         const GArray *points,
         TbVec3 shift,
         TbFault *fault)
{
    const TbSketchPoint *point = (const TbSketchPoint *)(const void *)points->data;
    guint last = points->len - 1;

    if (points->len < 2)
        return tb_fail(fault, TB_E_DEGENERATE, "a line has two ends");
    add_words(to, "role", tb_name_of(tb_names_line_role, sketch->facts.role));
    add_length(to, "diameter", sketch->facts.diameter);
    add_known(to, sketch);
    g_string_append(to, sketch->facts.bent ? "<path kind=\"bent\">" : "<path>");
    for (guint i = 0; i <= last; i++)
        /* a port within the way is a place like any other */
        if (point[i].port == NULL || (i > 0 && i < last)) {
            g_string_append(to, "<knot");
            add_place(to, "at", tb_vec3_sub(point[i].at, shift));
            if (sketch->facts.bent && i > 0 && i < last)
                add_length(to, "radius", sketch->facts.bend);
            g_string_append(to, "/>");
        }
    g_string_append(to, "</path>");
    add_end(to, "start", bay, variant, &point[0], tb_vec3_sub(point[1].at, point[0].at));
    add_end(to, "end", bay, variant, &point[last], tb_vec3_sub(point[last].at, point[last - 1].at));
    return TB_OK;
}

/* ---- the document ---- */

static TbStatus
add_shape(GString *to,
          const TbSketch *sketch,
          const TbBay *bay,
          const char *variant,
          const GArray *points,
          TbFault *fault)
{
    TbVec3 shift = tb_bay_mount_shift(bay, variant, sketch->facts.mount);

    switch (sketch->tool) {
    case TB_TOOL_BLOCK:
        return add_block(to, sketch, points, shift, fault);
    case TB_TOOL_ROD:
        return add_rod(to, sketch, points, shift, fault);
    case TB_TOOL_OUTLINE:
        return add_outline(to, sketch, points, shift, fault);
    case TB_TOOL_BALL:
        return add_ball(to, sketch, shift, fault);
    case TB_TOOL_LINE:
        return add_line(to, sketch, bay, variant, points, shift, fault);
    case TB_TOOL_NONE:
    case TB_TOOL_KNOTS:
    case TB_TOOL_MEASURE:
        break;
    }
    return tb_fail(fault, TB_E_DEGENERATE, "nothing is being drawn");
}

TbStatus
tb_sketch_bay(TbSketch *sketch, const TbBay *bay, const char *variant, TbBay **out, TbFault *fault)
{
    g_autoptr(GString) element = g_string_new(NULL);
    g_autoptr(GArray) points = NULL;
    TbStatus status;

    if (sketch->tool == TB_TOOL_KNOTS)
        return tb_sketch__knot_bay(sketch, bay, variant, out, fault);
    if (element_of(sketch->tool) == NULL)
        return tb_fail(fault, TB_E_DEGENERATE, "nothing is being drawn");
    tb_sketch_choose_id(sketch, bay);
    points = tb_sketch__points_with_aim(sketch);
    begin_element(element, sketch);
    status = add_shape(element, sketch, bay, variant, points, fault);
    if (status != TB_OK)
        return status;
    g_string_append_printf(element, "</%s>", element_of(sketch->tool));
    return tb_edit_add(bay, element->str, out, fault);
}
