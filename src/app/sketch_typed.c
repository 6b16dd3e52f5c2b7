/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Numbers that are typed while drawing. */

#include "app/sketch_private.h"

#include "geom/tol.h"

#include <glib/gi18n.h>
#include <math.h>
#include <string.h>

#define RAD (G_PI / 180)

/** What was typed, read but not yet applied. */
typedef struct Typed {
    enum { LENGTH, SIZES, STEP, POLAR, PLACE, SPACE } form;
    double v[3]; /* mm; of POLAR the second in deg */
    int count;
} Typed;

/* ---- reading ---- */

/* Where the parts of a list are parted: ';', or a comma with a space behind; NULL: nowhere. */
static const char *
list_mark(const char *text, size_t *width)
{
    for (const char *p = text; *p != '\0'; p++)
        if (*p == ';' || (*p == ',' && g_ascii_isspace(p[1]))) {
            *width = 1;
            return p;
        }
    return NULL;
}

/* The "x" of "120 x 40" or "120x40", or a times sign: between two numbers, in no unit's name. */
static const char *
times_mark(const char *text, size_t *width)
{
    for (const char *p = text; *p != '\0'; p++) {
        if (g_ascii_tolower(*p) == 'x') {
            *width = 1;
            return p;
        }
        if (strncmp(p, "×", strlen("×")) == 0) {
            *width = strlen("×");
            return p;
        }
    }
    return NULL;
}

static TbStatus
read_length(const char *from, const char *to, TbLengthUnit unit, double *mm, TbFault *fault)
{
    g_autofree char *part = g_strndup(from, (size_t)(to - from));
    double value = 0;
    TbStatus status = tb_length_read(part, unit, &value, fault);

    if (status == TB_OK && !(fabs(value) <= TB_LIMIT_COORDINATE))
        return tb_fail(fault, TB_E_RANGE, "%.0f mm is farther than anything in a bay", value);
    if (status == TB_OK)
        *mm = value;
    return status;
}

/* Lengths parted by list marks, three at most. */
static TbStatus
read_list(const char *text, TbLengthUnit unit, Typed *typed, TbFault *fault)
{
    TbStatus status = TB_OK;
    size_t width = 0;

    for (typed->count = 0; status == TB_OK; typed->count++) {
        const char *mark = list_mark(text, &width);

        if (typed->count == 3)
            return tb_fail(fault, TB_E_FORMAT, "%s", _("three numbers at most"));
        status = read_length(text, mark == NULL ? text + strlen(text) : mark, unit,
                             &typed->v[typed->count], fault);
        if (mark == NULL) {
            typed->count++;
            break;
        }
        text = mark + width;
    }
    return status;
}

static TbStatus
read_two(const char *text,
         const char *mark,
         size_t width,
         TbLengthUnit unit,
         bool polar,
         Typed *typed,
         TbFault *fault)
{
    TbStatus status = read_length(text, mark, unit, &typed->v[0], fault);

    typed->count = 2;
    if (status != TB_OK)
        return status;
    if (polar)
        return tb_angle_read(mark + width, &typed->v[1], fault);
    return read_length(mark + width, mark + width + strlen(mark + width), unit, &typed->v[1],
                       fault);
}

static TbStatus
read_typed(const char *text, TbLengthUnit unit, Typed *typed, TbFault *fault)
{
    const char *start = text + strspn(text, " ");
    const char *mark;
    size_t width = 1;
    TbStatus status;

    if (*start == '=') {
        status = read_list(start + 1, unit, typed, fault);
        if (status == TB_OK && typed->count < 2)
            return tb_fail(fault, TB_E_FORMAT, "%s",
                           _("a place is two numbers, such as = 1240, 630, or three"));
        typed->form = typed->count == 3 ? SPACE : PLACE;
        return status;
    }
    mark = strchr(start, '@');
    if (mark != NULL) {
        typed->form = POLAR;
        return read_two(start, mark, 1, unit, true, typed, fault);
    }
    mark = times_mark(start, &width);
    if (mark != NULL) {
        typed->form = SIZES;
        return read_two(start, mark, width, unit, false, typed, fault);
    }
    status = read_list(start, unit, typed, fault);
    if (status == TB_OK && typed->count > 2)
        return tb_fail(fault, TB_E_FORMAT, "%s", _("a step is two numbers, such as 120, 40"));
    typed->form = typed->count == 1 ? LENGTH : STEP;
    return status;
}

/* ---- applying ---- */

/* The sense in which a view's paper direction counts: with the vehicle's axis it lies along. */
static double
sense_of(TbVec3 direction)
{
    double sense = 1;

    return tb_sketch__axis(direction, &sense) < 0 ? 1 : sense;
}

static TbStatus
need_last(const TbSketch *sketch, TbFault *fault)
{
    if (sketch->points->len > 0)
        return TB_OK;
    return tb_fail(fault, TB_E_FORMAT, "%s", _("a first point is a place, such as = 1240, 630"));
}

static double
sign_of(double x)
{
    return x < 0 ? -1 : 1;
}

/* The step from the last point on paper. */
static TbStatus
step_of(const TbSketch *sketch, TbPlane plane, const Typed *typed, TbVec2 *step, TbFault *fault)
{
    TbVec2 last = tb_plane_project(plane, tb_sketch__point(sketch, sketch->points->len - 1)->at);
    TbVec2 towards = tb_vec2_sub(sketch->pointer, last);
    double length = tb_vec2_length(towards);

    switch (typed->form) {
    case LENGTH:
        if (sketch->tool == TB_TOOL_BLOCK)
            return tb_fail(fault, TB_E_FORMAT, "%s", _("a block is two sizes, such as 120 x 40"));
        if (!(length >= TB_SKETCH_LEAST))
            return tb_fail(fault, TB_E_FORMAT, "%s",
                           _("point in a direction first, or type one: 120 @ 30"));
        *step = tb_vec2_scale(towards, typed->v[0] / length);
        return TB_OK;
    case SIZES:
        *step = tb_vec2(sign_of(towards.x) * typed->v[0], sign_of(towards.y) * typed->v[1]);
        return TB_OK;
    case POLAR:
        *step = tb_vec2(typed->v[0] * cos(typed->v[1] * RAD), typed->v[0] * sin(typed->v[1] * RAD));
        return TB_OK;
    case STEP:
    case PLACE:
    case SPACE:
        break;
    }
    *step = tb_vec2(sense_of(plane.u) * typed->v[0], sense_of(plane.v) * typed->v[1]);
    return TB_OK;
}

static TbStatus
aim_point(TbSketch *sketch, TbPlane plane, const Typed *typed, TbFault *fault)
{
    TbVec2 pointer = sketch->pointer;
    TbVec2 step = {0, 0};
    TbVec2 at;
    TbStatus status;

    if (typed->form == SPACE) {
        tb_sketch__aim_at(sketch, plane, tb_vec3(typed->v[0], typed->v[1], typed->v[2]));
        return TB_OK;
    }
    if (typed->form == PLACE) {
        at = tb_vec2(sense_of(plane.u) * typed->v[0], sense_of(plane.v) * typed->v[1]);
    } else {
        status = need_last(sketch, fault);
        if (status == TB_OK)
            status = step_of(sketch, plane, typed, &step, fault);
        if (status != TB_OK)
            return status;
        at = tb_vec2_add(
            tb_plane_project(plane, tb_sketch__point(sketch, sketch->points->len - 1)->at), step);
    }
    tb_sketch_aim(sketch, plane, pointer, at, NULL, 0);
    return TB_OK;
}

static TbStatus
aim_size(TbSketch *sketch, TbPlane plane, const Typed *typed, TbFault *fault)
{
    if (typed->form != LENGTH)
        return tb_fail(fault, TB_E_FORMAT, "%s", _("a diameter is one number"));
    if (!(typed->v[0] >= 2 * TB_SKETCH_LEAST && typed->v[0] <= 2 * TB_LIMIT_SIZE))
        return tb_fail(fault, TB_E_RANGE, "a diameter of %.1f mm cannot be drawn", typed->v[0]);
    sketch->aim.is = sketch->aim.square_on = true;
    sketch->aim.plane = plane;
    sketch->aim.radius = typed->v[0] / 2;
    return TB_OK;
}

static TbStatus
aim_depth(TbSketch *sketch, TbPlane plane, const Typed *typed, TbFault *fault)
{
    double middle = (sketch->from + sketch->to) / 2;
    double from = typed->form == STEP ? -typed->v[0] : middle - typed->v[0] / 2;
    double to = typed->form == STEP ? typed->v[1] : middle + typed->v[0] / 2;

    if (typed->form != LENGTH && typed->form != STEP)
        return tb_fail(fault, TB_E_FORMAT, "%s",
                       _("a depth is one number, or two: behind, before the plane"));
    if (!(to - from >= TB_SKETCH_LEAST && to - from <= TB_LIMIT_SIZE))
        return tb_fail(fault, TB_E_RANGE, "a depth of %.1f mm cannot be drawn", to - from);
    sketch->aim.is = sketch->aim.square_on = true;
    sketch->aim.plane = plane;
    sketch->aim.from = from;
    sketch->aim.to = to;
    return TB_OK;
}

TbStatus
tb_sketch_aim_typed(
    TbSketch *sketch, TbPlane plane, const char *text, TbLengthUnit unit, TbFault *fault)
{
    Typed typed = {0};
    TbStatus status = read_typed(text, unit, &typed, fault);

    if (status != TB_OK)
        return status;
    switch (sketch->stage) {
    case TB_SKETCH_SIZE:
        return aim_size(sketch, plane, &typed, fault);
    case TB_SKETCH_DEPTH:
        return aim_depth(sketch, plane, &typed, fault);
    case TB_SKETCH_POINTS:
        break;
    }
    return aim_point(sketch, plane, &typed, fault);
}
