/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/plain.h"

#include "base/text.h"
#include "geom/polygon.h"
#include "geom/tol.h"

/* ---- checks ---- */

/** Refuses a number outside its range; @p what names the field. */
static TbStatus
check_number(const char *what, double x, double low, double high, TbFault *fault)
{
    char is[TB_TEXT_NUMBER];
    char least[TB_TEXT_NUMBER];
    char most[TB_TEXT_NUMBER];

    if (isfinite(x) && x >= low && x <= high)
        return TB_OK;
    tb_text_from_double(x, is);
    tb_text_from_double(low, least);
    tb_text_from_double(high, most);
    return tb_fail(fault, TB_E_RANGE, "%s is %s mm, outside %s to %s mm", what, is, least, most);
}

static TbStatus
check_place(const char *what, TbVec3 p, TbFault *fault)
{
    const double number[3] = {p.x, p.y, p.z};
    TbStatus status = TB_OK;

    for (int i = 0; i < 3 && status == TB_OK; i++)
        status = check_number(what, number[i], -TB_LIMIT_COORDINATE, TB_LIMIT_COORDINATE, fault);
    return status;
}

static bool
are_unit_and_square(TbVec3 a, TbVec3 b)
{
    return fabs(tb_vec3_length2(a) - 1) < TB_TOL_UNIT &&
           fabs(tb_vec3_length2(b) - 1) < TB_TOL_UNIT && fabs(tb_vec3_dot(a, b)) < TB_TOL_UNIT;
}

static TbStatus
check_block(const TbBlock *block, TbFault *fault)
{
    static const char *const names[3] = {"half size 1 of the block", "half size 2 of the block",
                                         "half size 3 of the block"};
    TbStatus status = check_place("centre of the block", block->centre, fault);

    for (int i = 0; i < 3 && status == TB_OK; i++)
        status = check_number(names[i], block->half[i], TB_TOL_PLACE, TB_LIMIT_COORDINATE, fault);
    if (status == TB_OK && !(are_unit_and_square(block->axis[0], block->axis[1]) &&
                             are_unit_and_square(block->axis[1], block->axis[2]) &&
                             are_unit_and_square(block->axis[2], block->axis[0])))
        status = tb_fail(fault, TB_E_DEGENERATE, "axes of the block are not unit and square");
    return status;
}

static TbStatus
check_rod(const TbRod *rod, TbFault *fault)
{
    char apart[TB_TEXT_NUMBER];
    TbStatus status = check_place("first end of the rod", rod->a, fault);

    if (status == TB_OK)
        status = check_place("second end of the rod", rod->b, fault);
    if (status == TB_OK)
        status = check_number("first radius of the rod", rod->radius_a, 0, TB_LIMIT_SIZE, fault);
    if (status == TB_OK)
        status = check_number("second radius of the rod", rod->radius_b, 0, TB_LIMIT_SIZE, fault);
    if (status == TB_OK)
        status = check_number("larger radius of the rod", fmax(rod->radius_a, rod->radius_b),
                              TB_TOL_PLACE, TB_LIMIT_SIZE, fault);
    if (status == TB_OK && !(tb_vec3_distance(rod->a, rod->b) >= TB_TOL_PLACE)) {
        tb_text_from_double(tb_vec3_distance(rod->a, rod->b), apart);
        status = tb_fail(fault, TB_E_DEGENERATE, "ends of the rod are %s mm apart", apart);
    }
    return status;
}

static TbStatus
check_ball(const TbBall *ball, TbFault *fault)
{
    TbStatus status = check_place("centre of the ball", ball->centre, fault);

    if (status == TB_OK)
        status =
            check_number("radius of the ball", ball->radius, TB_TOL_PLACE, TB_LIMIT_SIZE, fault);
    return status;
}

static TbStatus
check_outline(const TbOutline *outline, TbFault *fault)
{
    TbStatus status = check_place("origin of the outline", outline->origin, fault);

    if (status == TB_OK && !are_unit_and_square(outline->u, outline->v))
        status = tb_fail(fault, TB_E_DEGENERATE, "axes of the outline are not unit and square");
    if (status == TB_OK)
        status = check_number("depth of the outline", outline->depth, TB_TOL_PLACE,
                              TB_LIMIT_COORDINATE, fault);
    if (status == TB_OK)
        status =
            check_number("rounding of the outline", outline->rounding, 0, TB_LIMIT_SIZE, fault);
    if (status == TB_OK && outline->count > TB_OUTLINE_MOST)
        status = tb_fail(fault, TB_E_LIMIT, "outline has %zu points, %d are the most",
                         outline->count, TB_OUTLINE_MOST);
    for (size_t i = 0; i < outline->count && status == TB_OK; i++)
        status = check_place("point of the outline",
                             tb_vec3(outline->points[i].x, outline->points[i].y, 0), fault);
    if (status == TB_OK)
        status = tb_polygon_check(outline->points, outline->count, fault);
    return status;
}

TbStatus
tb_plain_check(const TbPlain *plain, TbFault *fault)
{
    switch (plain->kind) {
    case TB_PLAIN_BLOCK:
        return check_block(&plain->block, fault);
    case TB_PLAIN_ROD:
        return check_rod(&plain->rod, fault);
    case TB_PLAIN_BALL:
        return check_ball(&plain->ball, fault);
    case TB_PLAIN_OUTLINE:
        return check_outline(&plain->outline, fault);
    }
    return tb_fail(fault, TB_E_RANGE, "kind of plain shape is %d", (int)plain->kind);
}

TbPlain
tb_plain_block_between(TbVec3 low, TbVec3 high)
{
    return (TbPlain){.kind = TB_PLAIN_BLOCK,
                     .block = {tb_vec3_mix(low, high, 0.5),
                               {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
                               {(high.x - low.x) / 2, (high.y - low.y) / 2, (high.z - low.z) / 2}}};
}

/* ---- boxes ---- */

/** Box of a flat disc: it reaches radius * sqrt(1 - axis_i^2) along axis i; the root from the other
 * two coordinates, so that a lean of 1e-8 is not lost. */
static TbBox3
disc_box(TbVec3 centre, TbVec3 axis, double radius)
{
    TbVec3 reach = {radius * hypot(axis.y, axis.z), radius * hypot(axis.z, axis.x),
                    radius * hypot(axis.x, axis.y)};

    return (TbBox3){tb_vec3_sub(centre, reach), tb_vec3_add(centre, reach)};
}

static TbVec3
outline_point(const TbOutline *outline, size_t index, double depth)
{
    TbVec3 p = tb_vec3_add_scaled(outline->origin, outline->points[index].x, outline->u);

    p = tb_vec3_add_scaled(p, outline->points[index].y, outline->v);
    return tb_vec3_add_scaled(p, depth, tb_vec3_cross(outline->u, outline->v));
}

static TbBox3
outline_box(const TbOutline *outline)
{
    TbBox3 box = tb_box3_empty();

    for (size_t i = 0; i < outline->count; i++) {
        box = tb_box3_with_point(box, outline_point(outline, i, 0));
        box = tb_box3_with_point(box, outline_point(outline, i, outline->depth));
    }
    return tb_box3_grown(box, outline->rounding);
}

static TbBox3
block_box(const TbBlock *block)
{
    TbVec3 reach = {0, 0, 0};

    for (int i = 0; i < 3; i++) {
        reach.x += block->half[i] * fabs(block->axis[i].x);
        reach.y += block->half[i] * fabs(block->axis[i].y);
        reach.z += block->half[i] * fabs(block->axis[i].z);
    }
    return (TbBox3){tb_vec3_sub(block->centre, reach), tb_vec3_add(block->centre, reach)};
}

TbBox3
tb_plain_box(const TbPlain *plain)
{
    switch (plain->kind) {
    case TB_PLAIN_BLOCK:
        return block_box(&plain->block);
    case TB_PLAIN_ROD: {
        const TbRod *rod = &plain->rod;
        TbVec3 axis = tb_vec3_unit(tb_vec3_sub(rod->b, rod->a));

        return tb_box3_union(disc_box(rod->a, axis, rod->radius_a),
                             disc_box(rod->b, axis, rod->radius_b));
    }
    case TB_PLAIN_BALL: {
        TbBox3 centre = {plain->ball.centre, plain->ball.centre};

        return tb_box3_grown(centre, plain->ball.radius);
    }
    case TB_PLAIN_OUTLINE:
        return outline_box(&plain->outline);
    }
    return tb_box3_empty();
}

/* ---- volumes ---- */

/**
 * Prism grown by a ball, layer by layer: a polygon grown by t has the area A + P t + k t^2, where
 * a corner that turns out by an angle e adds e/2 to k (a sector) and one that turns in takes
 * tan(e/2) (the two strips overlap in a kite). Over the depth t = r; over both rounded faces
 * t = sqrt(r^2 - z^2). For a convex polygon k = pi and this is Steiner's formula (Schneider,
 * "Convex Bodies: The Brunn-Minkowski Theory", 2nd ed., section 4.2).
 */
static double
outline_volume(const TbOutline *outline)
{
    const TbVec2 *p = outline->points;
    size_t count = outline->count;
    double area = tb_polygon_area(p, count);
    double way = area < 0 ? -1 : 1;
    double perimeter = 0;
    double k = 0;
    double r = outline->rounding;

    for (size_t i = 0; i < count; i++) {
        TbVec2 in = tb_vec2_sub(p[i], p[(i + count - 1) % count]);
        TbVec2 out = tb_vec2_sub(p[(i + 1) % count], p[i]);
        double angle = way * atan2(tb_vec2_cross(in, out), tb_vec2_dot(in, out));

        perimeter += tb_vec2_length(in);
        k += angle > 0 ? angle / 2 : tan(angle / 2);
    }
    area = fabs(area);
    return outline->depth * (area + r * (perimeter + r * k)) +
           2 * r * (area + r * (perimeter * M_PI / 4 + r * k * 2 / 3));
}

double
tb_plain_volume(const TbPlain *plain)
{
    switch (plain->kind) {
    case TB_PLAIN_BLOCK:
        return 8 * plain->block.half[0] * plain->block.half[1] * plain->block.half[2];
    case TB_PLAIN_ROD: {
        double a = plain->rod.radius_a;
        double b = plain->rod.radius_b;

        return M_PI / 3 * tb_vec3_distance(plain->rod.a, plain->rod.b) * (a * a + a * b + b * b);
    }
    case TB_PLAIN_BALL:
        return 4 * M_PI / 3 * plain->ball.radius * plain->ball.radius * plain->ball.radius;
    case TB_PLAIN_OUTLINE:
        return outline_volume(&plain->outline);
    }
    return 0;
}

/* ---- moving ---- */

TbPlain
tb_plain_moved(const TbPlain *plain, TbPose pose)
{
    TbPlain moved = *plain;

    TB_ASSERT(plain->kind != TB_PLAIN_OUTLINE);
    if (plain->kind == TB_PLAIN_BLOCK) {
        moved.block.centre = tb_pose_point(pose, plain->block.centre);
        for (int i = 0; i < 3; i++) {
            moved.block.axis[i] = tb_pose_direction(pose, plain->block.axis[i]);
            moved.block.half[i] *= pose.scale;
        }
    } else if (plain->kind == TB_PLAIN_ROD) {
        moved.rod.a = tb_pose_point(pose, plain->rod.a);
        moved.rod.b = tb_pose_point(pose, plain->rod.b);
        moved.rod.radius_a *= pose.scale;
        moved.rod.radius_b *= pose.scale;
    } else {
        moved.ball.centre = tb_pose_point(pose, plain->ball.centre);
        moved.ball.radius *= pose.scale;
    }
    return moved;
}

/* ---- distances ---- */

/** Distance to a shape that is @p across from its flank and @p along from its nearer face, both
 * signed, in a prism: outside by Pythagoras, inside the nearer of the two. */
static double
prism_distance(double across, double along)
{
    if (across <= 0 || along <= 0)
        return fmax(across, along);
    return hypot(across, along);
}

static double
block_distance(const TbBlock *block, TbVec3 p)
{
    TbVec3 to = tb_vec3_sub(p, block->centre);
    double outside2 = 0;
    double inside = -INFINITY;

    for (int i = 0; i < 3; i++) {
        double beyond = fabs(tb_vec3_dot(to, block->axis[i])) - block->half[i];

        inside = fmax(inside, beyond);
        outside2 += beyond > 0 ? beyond * beyond : 0;
    }
    return inside > 0 ? sqrt(outside2) : inside;
}

/** In the half plane through the axis: z along, r out. The rod is a trapezium there. */
static double
rod_distance(const TbRod *rod, TbVec3 p)
{
    double length = tb_vec3_distance(rod->a, rod->b);
    TbVec3 axis = tb_vec3_unit(tb_vec3_sub(rod->b, rod->a));
    TbVec3 to = tb_vec3_sub(p, rod->a);
    double z = tb_vec3_dot(to, axis);
    double r = tb_vec3_length(tb_vec3_across(to, axis));
    const TbVec2 half[4] = {
        {0, -rod->radius_a}, {length, -rod->radius_b}, {length, rod->radius_b}, {0, rod->radius_a}};
    double edge = tb_polygon_edge_distance(half, 4, tb_vec2(z, r));
    double flank = rod->radius_a + z / length * (rod->radius_b - rod->radius_a);

    return z > 0 && z < length && r < flank ? -edge : edge;
}

static double
outline_distance(const TbOutline *outline, TbVec3 p)
{
    TbVec3 to = tb_vec3_sub(p, outline->origin);
    TbVec2 q = {tb_vec3_dot(to, outline->u), tb_vec3_dot(to, outline->v)};
    double z = tb_vec3_dot(to, tb_vec3_cross(outline->u, outline->v));
    double across = tb_polygon_edge_distance(outline->points, outline->count, q);

    if (tb_polygon_holds(outline->points, outline->count, q))
        across = -across;
    return prism_distance(across, fmax(-z, z - outline->depth)) - outline->rounding;
}

double
tb_plain_distance(const TbPlain *plain, TbVec3 p)
{
    switch (plain->kind) {
    case TB_PLAIN_BLOCK:
        return block_distance(&plain->block, p);
    case TB_PLAIN_ROD:
        return rod_distance(&plain->rod, p);
    case TB_PLAIN_BALL:
        return tb_vec3_distance(p, plain->ball.centre) - plain->ball.radius;
    case TB_PLAIN_OUTLINE:
        return outline_distance(&plain->outline, p);
    }
    return INFINITY;
}
