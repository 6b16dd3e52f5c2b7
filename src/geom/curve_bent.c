/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Bent path: straights between corners, an arc in each inner corner. A corner that turns by theta
 * takes R tan(theta/2) off both of its legs.
 */

#include "geom/curve.h"

#include "base/mem.h"
#include "geom/curve_private.h"
#include "geom/tol.h"

typedef struct Corner {
    TbVec3 point;
    double radius;
    size_t number; /**< in the input, from 1 */
    TbVec3 along;  /**< unit, to the next corner */
    double leg;    /**< to the next corner, mm */
    double turn;   /**< rad */
    double taken;  /**< off both legs, mm */
} Corner;

/** Legs, turns and what bends take off the legs. */
static void
measure(Corner corner[], size_t count)
{
    for (size_t i = 0; i + 1 < count; i++) {
        TbVec3 leg = tb_vec3_sub(corner[i + 1].point, corner[i].point);

        corner[i].leg = tb_vec3_length(leg);
        corner[i].along = tb_vec3_scale(leg, 1 / corner[i].leg);
    }
    for (size_t i = 1; i + 1 < count; i++) {
        corner[i].turn = tb_curve__turn(corner[i - 1].along, corner[i].along);
        corner[i].taken = corner[i].radius * tan(0.5 * corner[i].turn);
    }
}

/** Leave out the corners where the path goes straight on. @return how many are left. */
static size_t
take_corners(const TbVec3 corners[], const double radii[], size_t count, Corner out[])
{
    size_t used = 0;

    for (size_t i = 0; i < count; i++) {
        bool inner = i > 0 && i + 1 < count;

        if (inner && tb_curve__turn(tb_vec3_sub(corners[i], out[used - 1].point),
                                    tb_vec3_sub(corners[i + 1], corners[i])) < TB_TURN_LEAST)
            continue;
        out[used] = (Corner){.point = corners[i], .number = i + 1};
        out[used].radius = inner ? radii[i] : 0;
        used++;
    }
    measure(out, used);
    return used;
}

static TbStatus
check_radii(const double radii[], size_t count, TbFault *fault)
{
    char text[TB_TEXT_NUMBER];

    for (size_t i = 1; i + 1 < count; i++) {
        if (!isfinite(radii[i]))
            return tb_fail(fault, TB_E_RANGE, "corner %zu: the bend radius is not a finite number",
                           i + 1);
        if (radii[i] < 0 || radii[i] > TB_LIMIT_COORDINATE)
            return tb_fail(fault, TB_E_RANGE, "corner %zu: bend radius %s mm is out of range",
                           i + 1, tb_curve__number(radii[i], text));
    }
    return TB_OK;
}

static TbStatus
check_bends(const Corner corner[], size_t count, TbFault *fault)
{
    char text[TB_TEXT_NUMBER];

    for (size_t i = 1; i + 1 < count; i++) {
        const Corner *c = &corner[i];

        tb_curve__number(c->turn * 180 / M_PI, text);
        if (c->turn > TB_TURN_MOST)
            return tb_fail(fault, TB_E_DEGENERATE,
                           "corner %zu: the path doubles back, it turns %s degrees", c->number,
                           text);
        if (!(c->radius > 0))
            return tb_fail(fault, TB_E_RANGE,
                           "corner %zu: bend radius 0 mm where the path turns %s degrees",
                           c->number, text);
    }
    return TB_OK;
}

/** Straight left on the leg after a corner; 0 where it is rounding only. */
static double
straight_after(const Corner corner[], size_t i)
{
    double straight = corner[i].leg - corner[i].taken - corner[i + 1].taken;

    return fabs(straight) <= TB_TOL_ROUND ? 0 : straight;
}

static TbStatus
check_fit(const Corner corner[], size_t count, TbFault *fault)
{
    char has[TB_TEXT_NUMBER], needs[TB_TEXT_NUMBER];

    for (size_t i = 0; i + 1 < count; i++) {
        if (straight_after(corner, i) >= 0)
            continue;
        tb_curve__number(corner[i].leg, has);
        tb_curve__number(corner[i].taken + corner[i + 1].taken, needs);
        return tb_fail(fault, TB_E_DEGENERATE,
                       "leg %zu is %s mm, its bends need %s mm (corners %zu to %zu)", i + 1, has,
                       needs, corner[i].number, corner[i + 1].number);
    }
    return TB_OK;
}

static TbStatus
prepare(const TbVec3 corners[],
        const double radii[],
        size_t count,
        Corner **out,
        size_t *used,
        TbFault *fault)
{
    TbStatus status = tb_curve__check_points(corners, count, "corner", fault);

    *out = NULL;
    if (status == TB_OK)
        status = check_radii(radii, count, fault);
    if (status != TB_OK)
        return status;
    *out = tb_alloc_array(count, sizeof **out);
    if (*out == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for a path of %zu corners", count);
    *used = take_corners(corners, radii, count, *out);
    return check_bends(*out, *used, fault);
}

static TbSpan
arc_at(const Corner *before, const Corner *corner)
{
    double radius = corner->radius;
    TbVec3 in = before->along, out = corner->along;
    /* from the arc's start towards its centre: what `out` has across `in` */
    TbVec3 side = tb_vec3_unit(tb_vec3_across(tb_vec3_sub(out, in), in));
    TbVec3 start = tb_vec3_add_scaled(corner->point, -corner->taken, in);
    TbSpan span = {.kind = TB_SPAN_ARC, .extent = radius * corner->turn, .radius = radius};

    span.c[0] = tb_vec3_add_scaled(start, radius, side);
    span.c[1] = tb_vec3_scale(side, -radius);
    span.c[2] = tb_vec3_scale(in, radius);
    return span;
}

static size_t
make_spans(const Corner corner[], size_t count, TbSpan spans[])
{
    size_t used = 0;

    for (size_t i = 0; i + 1 < count; i++) {
        const Corner *c = &corner[i];
        double straight = straight_after(corner, i);

        if (i > 0)
            spans[used++] = arc_at(&corner[i - 1], c);
        if (straight > 0) {
            spans[used] = (TbSpan){.kind = TB_SPAN_CUBIC, .extent = straight};
            spans[used].c[0] = tb_vec3_add_scaled(c->point, c->taken, c->along);
            spans[used].c[1] = c->along;
            used++;
        }
    }
    return used;
}

TbStatus
tb_curve_bent_new(
    const TbVec3 corners[], const double radii[], size_t count, TbCurve **curve, TbFault *fault)
{
    TbCurve *made;
    Corner *corner = NULL;
    TbSpan *spans = NULL;
    size_t used = 0;
    TbStatus status = prepare(corners, radii, count, &corner, &used, fault);

    if (status == TB_OK)
        status = check_fit(corner, used, fault);
    if (status != TB_OK)
        goto done;
    spans = tb_alloc_array(2 * used, sizeof *spans);
    if (spans == NULL) {
        status = tb_fail(fault, TB_E_MEMORY, "no room for a path of %zu corners", count);
        goto done;
    }
    made = tb_curve__new(spans, make_spans(corner, used, spans));
    if (made == NULL)
        status = tb_fail(fault, TB_E_MEMORY, "no room for a path of %zu corners", count);
    else
        *curve = made;

done:
    tb_free(spans);
    tb_free(corner);
    return status;
}

size_t
tb_curve_max_bends(size_t count)
{
    return count > 2 ? count - 1 : 1;
}

/** Signed turn of the bend's plane about the leg between two corners, rad. */
static double
rotation_between(const Corner *a, const Corner *b, const Corner *c)
{
    TbVec3 before = tb_vec3_cross(a->along, b->along);
    TbVec3 after = tb_vec3_cross(b->along, c->along);

    return atan2(tb_vec3_dot(b->along, tb_vec3_cross(before, after)), tb_vec3_dot(before, after));
}

TbStatus
tb_curve_bends(const TbVec3 corners[],
               const double radii[],
               size_t count,
               TbBend bends[],
               size_t *used,
               TbFault *fault)
{
    Corner *corner = NULL;
    size_t kept = 0;
    TbStatus status = prepare(corners, radii, count, &corner, &kept, fault);

    if (status == TB_OK) {
        for (size_t i = 0; i + 1 < kept; i++) {
            bends[i] = (TbBend){.straight = straight_after(corner, i)};
            bends[i].angle = corner[i + 1].turn;
            bends[i].radius = corner[i + 1].radius;
            if (i > 0 && i + 2 < kept)
                bends[i].rotation = rotation_between(&corner[i - 1], &corner[i], &corner[i + 1]);
        }
        *used = kept - 1;
    }
    tb_free(corner);
    return status;
}
