/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Cuts of blocks, rods, balls and sharp outlines: corners exact, curves by points on them. */

#include "base/mem.h"
#include "geom/cut_private.h"
#include "geom/tol.h"

/* ---- blocks and sharp outlines ---- */

static TbStatus
cut_block(TbCut *cut, const TbBlock *block, TbPlane plane, int role, TbFault *fault)
{
    static const double side[4][2] = {{-1, -1}, {1, -1}, {1, 1}, {-1, 1}};
    static const size_t triangles[6] = {0, 1, 2, 0, 2, 3};
    TbVec3 up = tb_vec3_scale(tb_vec3_cross(block->axis[0], block->axis[1]), block->half[2]);
    TbVec3 vertex[8];

    for (int i = 0; i < 4; i++) {
        TbVec3 p = tb_vec3_add_scaled(block->centre, side[i][0] * block->half[0], block->axis[0]);

        p = tb_vec3_add_scaled(p, side[i][1] * block->half[1], block->axis[1]);
        vertex[i] = tb_vec3_sub(p, up);
        vertex[4 + i] = tb_vec3_add(p, up);
    }
    return tb_cut__prism(cut, vertex, 4, triangles, plane, role, fault);
}

static TbStatus
cut_outline(TbCut *cut, const TbOutline *outline, TbPlane plane, int role, TbFault *fault)
{
    size_t count = outline->count;
    TbVec3 up = tb_vec3_scale(tb_vec3_cross(outline->u, outline->v), outline->depth);
    TbVec3 *vertex = tb_alloc_array(2 * count, sizeof *vertex);
    TbVec2 *flat = tb_alloc_array(count, sizeof *flat);
    size_t *triangles = tb_alloc_array(3 * count, sizeof *triangles);
    bool turned = tb_polygon_area(outline->points, count) < 0;
    TbStatus status;

    if (vertex == NULL || flat == NULL || triangles == NULL) {
        status = tb_fail(fault, TB_E_MEMORY, "no room for an outline of %zu points", count);
        goto done;
    }
    for (size_t i = 0; i < count; i++) {
        TbVec2 p = outline->points[turned ? count - 1 - i : i];
        TbVec3 foot = tb_vec3_add_scaled(outline->origin, p.x, outline->u);

        flat[i] = p;
        vertex[i] = tb_vec3_add_scaled(foot, p.y, outline->v);
        vertex[count + i] = tb_vec3_add(vertex[i], up);
    }
    status = tb_polygon_triangulate(flat, count, triangles, fault);
    if (status == TB_OK)
        status = tb_cut__prism(cut, vertex, (uint32_t)count, triangles, plane, role, fault);

done:
    tb_free(triangles);
    tb_free(flat);
    tb_free(vertex);
    return status;
}

/* ---- balls ---- */

static TbStatus
cut_ball(TbCut *cut, const TbBall *ball, TbPlane plane, int role, TbFault *fault)
{
    double height = tb_plane_height(plane, ball->centre);
    double radius = sqrt(fmax(0, ball->radius * ball->radius - height * height));
    TbVec2 centre = tb_plane_project(plane, ball->centre);
    double cosine = radius > 0 ? 1 - TB_TOL_CUT / radius : 0;
    int count = cosine > 0 ? (int)fmax(8, ceil(M_PI / acos(cosine))) : 8;
    size_t first = cut->point_count;
    TbStatus status = TB_OK;

    for (int i = 0; i < count && status == TB_OK; i++) {
        double angle = 2 * M_PI * i / count;

        status = tb_cut__point(
            cut, first, tb_vec2(centre.x + radius * cos(angle), centre.y + radius * sin(angle)),
            fault);
    }
    return status == TB_OK ? tb_cut__end(cut, first, TB_LOOP_OUTER, role, fault) : status;
}

/* ---- rods ---- */

/**
 * A rod in the axes of a plane. A generator runs from the circle at a to the circle at b, at an
 * angle phi from the direction in which the circles rise most; its ends have the heights
 * low + rise cos(phi). The cut's boundary is where a generator passes the plane: the phi between
 * the angles at which the two circles do, on both sides; joined by chords of the two end faces.
 */
typedef struct RodCut {
    const TbRod *rod;
    TbPlane plane;
    TbVec3 axis, up, side;
    double length;
    double low[2], rise[2]; /**< heights at a and b: low + rise cos(phi) */
    double radius[2];
    double outward; /**< 1: the outside is on the right of the way the loop runs, else -1 */
} RodCut;

static RodCut
rod_cut_of(const TbRod *rod, TbPlane plane)
{
    RodCut c = {.rod = rod, .plane = plane};
    TbVec3 n;

    c.axis = tb_vec3_unit(tb_vec3_sub(rod->b, rod->a));
    c.length = tb_vec3_distance(rod->a, rod->b);
    n = tb_vec3_across(plane.n, c.axis);
    c.up = tb_vec3_unit(n);
    if (tb_vec3_length2(n) < TB_TOL_UNIT * TB_TOL_UNIT) {
        /* the plane is square to the axis: any direction will do, and the rise is 0 */
        n = tb_vec3(0, 0, 0);
        c.up = tb_vec3_unit(tb_vec3_across(
            fabs(c.axis.x) < M_SQRT1_2 ? tb_vec3(1, 0, 0) : tb_vec3(0, 1, 0), c.axis));
    }
    c.side = tb_vec3_cross(c.axis, c.up);
    c.radius[0] = rod->radius_a;
    c.radius[1] = rod->radius_b;
    c.low[0] = tb_plane_height(plane, rod->a);
    c.low[1] = tb_plane_height(plane, rod->b);
    c.rise[0] = c.radius[0] * tb_vec3_length(n);
    c.rise[1] = c.radius[1] * tb_vec3_length(n);
    return c;
}

/** The angle up to which a circle is above the plane: 0 nowhere, pi everywhere. */
static double
end_angle(const RodCut *c, int end)
{
    if (!(c->rise[end] > 0))
        return c->low[end] >= 0 ? M_PI : 0;
    return acos(fmax(-1, fmin(1, -c->low[end] / c->rise[end])));
}

static TbVec2
rod_point(const RodCut *c, double phi, double along)
{
    double radius = c->radius[0] + along * (c->radius[1] - c->radius[0]);
    TbVec3 p = tb_vec3_mix(c->rod->a, c->rod->b, along);

    p = tb_vec3_add_scaled(p, radius * cos(phi), c->up);
    return tb_plane_project(c->plane, tb_vec3_add_scaled(p, radius * sin(phi), c->side));
}

/** Where the generator at phi passes the plane. */
static TbVec2
flank_point(const RodCut *c, double phi)
{
    double a = c->low[0] + c->rise[0] * cos(phi);
    double b = c->low[1] + c->rise[1] * cos(phi);

    return rod_point(c, phi, a != b ? fmax(0, fmin(1, a / (a - b))) : 0.5);
}

/**
 * How far the flank's cut lies beyond the middle of a chord, square to it. The flank is a quadric,
 * |across|^2 = radius^2, so this is the smaller root of a quadratic, in the form that does not
 * cancel.
 */
static double
bulge(const RodCut *c, TbVec2 from, TbVec2 to)
{
    TbVec2 chord = tb_vec2_sub(to, from);
    TbVec2 out = tb_vec2_scale(tb_vec2(chord.y, -chord.x), c->outward / tb_vec2_length(chord));
    TbVec3 w = tb_vec3_add(tb_vec3_scale(c->plane.u, out.x), tb_vec3_scale(c->plane.v, out.y));
    TbVec3 q =
        tb_vec3_sub(tb_plane_lift(c->plane, tb_vec2_scale(tb_vec2_add(from, to), 0.5)), c->rod->a);
    double taper = (c->radius[1] - c->radius[0]) / c->length;
    double wz = tb_vec3_dot(w, c->axis);
    double qz = tb_vec3_dot(q, c->axis);
    TbVec3 wr = tb_vec3_across(w, c->axis);
    TbVec3 qr = tb_vec3_across(q, c->axis);
    double radius = c->radius[0] + taper * qz;
    double a = tb_vec3_length2(wr) - taper * taper * wz * wz;
    double b = tb_vec3_dot(qr, wr) - taper * wz * radius;
    double minus_c = radius * radius - tb_vec3_length2(qr);
    double root2 = b * b + a * minus_c;

    if (!(minus_c > 0) || !(root2 > 0) || !(b + sqrt(root2) > 0))
        return 0;
    return minus_c / (b + sqrt(root2));
}

/** Points of the flank after @p from up to @p to. The cut is convex: the bulge at the middle is at
 * least half of the largest one over the chord. */
static TbStatus
flank_points(
    TbCut *cut, size_t first, const RodCut *c, TbVec2 from, TbVec2 to, int depth, TbFault *fault)
{
    double length = tb_vec2_length(tb_vec2_sub(to, from));
    double beyond = length > TB_TOL_CUT ? bulge(c, from, to) : 0;

    if (beyond > TB_TOL_CUT / 2 && depth > 0) {
        TbVec2 chord = tb_vec2_sub(to, from);
        TbVec2 middle = tb_vec2_scale(tb_vec2_add(from, to), 0.5);
        TbStatus status;

        middle = tb_vec2_add(
            middle, tb_vec2_scale(tb_vec2(chord.y, -chord.x), c->outward * beyond / length));
        status = flank_points(cut, first, c, from, middle, depth - 1, fault);
        if (status == TB_OK)
            status = flank_points(cut, first, c, middle, to, depth - 1, fault);
        return status;
    }
    return tb_cut__point(cut, first, to, fault);
}

/** Parts of the flank's cut on each side, before it is known where it bulges. */
#define ROD_PARTS 6

static TbStatus
cut_rod(TbCut *cut, const TbRod *rod, TbPlane plane, int role, TbFault *fault)
{
    RodCut c = rod_cut_of(rod, plane);
    double angle[2] = {end_angle(&c, 0), end_angle(&c, 1)};
    int early = angle[0] <= angle[1] ? 0 : 1; /* the end whose circle passes the plane first */
    double from = angle[early];
    double to = angle[1 - early];
    bool is_straight = (to - from) * fmax(c.radius[0], c.radius[1]) < TB_TOL_PLACE;
    TbVec2 point[2 * ROD_PARTS + 2];
    size_t first = cut->point_count;
    TbStatus status;

    if (is_straight && (from == 0 || to == M_PI))
        return TB_OK;
    for (int i = 0; i <= ROD_PARTS; i++) {
        double share = (double)i / ROD_PARTS;
        double phi = from + share * (to - from);
        double along = early == 0 ? share : 1 - share;

        for (int side = 0; side < 2; side++) {
            int number = side == 0 ? i : 2 * ROD_PARTS + 1 - i;
            double at = side == 0 ? phi : -phi;

            /* corners are exact: they lie on an end's circle */
            if (is_straight)
                point[number] = rod_point(&c, at, along);
            else if (i == 0 && from > 0)
                point[number] = rod_point(&c, at, early);
            else if (i == ROD_PARTS && to < M_PI)
                point[number] = rod_point(&c, at, 1 - early);
            else
                point[number] = flank_point(&c, at);
        }
    }
    c.outward = tb_polygon_area(point, 2 * ROD_PARTS + 2) < 0 ? -1 : 1;
    status = tb_cut__point(cut, first, point[0], fault);
    for (int i = 1; i < 2 * ROD_PARTS + 2 && status == TB_OK; i++) {
        bool is_chord = is_straight || i == ROD_PARTS + 1;

        if (is_straight && i % (ROD_PARTS + 1) != 0 && i % (ROD_PARTS + 1) != ROD_PARTS)
            continue;

        status = flank_points(cut, first, &c, point[i - 1], point[i], is_chord ? 0 : 30, fault);
    }
    return status == TB_OK ? tb_cut__end(cut, first, TB_LOOP_OUTER, role, fault) : status;
}

TbStatus
tb_cut_add_plain(TbCut *cut, const TbPlain *plain, TbPlane plane, int role, TbFault *fault)
{
    TbCutMark mark = tb_cut__mark(cut);
    TbStatus status = TB_OK;

    if (plain->kind == TB_PLAIN_BLOCK)
        status = cut_block(cut, &plain->block, plane, role, fault);
    else if (plain->kind == TB_PLAIN_ROD)
        status = cut_rod(cut, &plain->rod, plane, role, fault);
    else if (plain->kind == TB_PLAIN_BALL)
        status = cut_ball(cut, &plain->ball, plane, role, fault);
    else if (plain->outline.rounding > 0)
        status = tb_cut__rounded(cut, plain, plane, role, fault);
    else
        status = cut_outline(cut, &plain->outline, plane, role, fault);
    if (status == TB_OK)
        status = tb_cut__nest(cut, mark, fault);
    if (status != TB_OK)
        tb_cut__back(cut, mark);
    return status;
}
