/* SPDX-License-Identifier: GPL-3.0-or-later */

/** What holds a node away from a section, the cheap before the dear. */
#include "gaps/walk_private.h"

#include "geom/tol.h"

/** How far a box reaches along a direction. */
static double
box_reach(TbBox3 box, TbVec3 d)
{
    return (d.x > 0 ? box.high.x : box.low.x) * d.x + (d.y > 0 ? box.high.y : box.low.y) * d.y +
           (d.z > 0 ? box.high.z : box.low.z) * d.z;
}

/** How far a node reaches against the nearest leaf's plane. */
static double
reach_back(const TbWalk *walk, const TbNode *node)
{
    double box, ball;

    if (node->kind == TB_NODE_TUBE)
        return tb_tube__reach(&walk->other->tube[node->index], walk->plane);
    box = box_reach(node->box, walk->plane);
    ball = tb_vec3_dot(node->centre, walk->plane) + node->radius;
    return box < ball ? box : ball;
}

/** Of the ball about the section and what holds a node: its box, a tube itself, or a ball. */
static double
ball_apart(const TbWalk *walk, const TbNode *node)
{
    TbVec3 centre = walk->at->disc.centre;
    double ball;

    if (node->kind == TB_NODE_TUBE)
        return tb_tube__distance(&walk->other->tube[node->index], centre) - walk->at->reach;
    ball = sqrt(tb_box3_point_distance2(node->box, centre));
    if (!tb_node__is_box(node)) /* of a box its ball says no more */
        ball = tb_larger(ball, tb_vec3_distance(centre, node->centre) - node->radius);
    return ball - walk->at->reach;
}

double
tb_walk__far_apart(const TbWalk *walk, const TbNode *node)
{
    double enough = tb_walk__cut_of(walk) + TB_TOL_ROUND;
    double lower = sqrt(tb_box3_distance2(walk->at->box, node->box));

    if (lower < enough)
        lower = tb_larger(lower, ball_apart(walk, node));
    if (lower < enough && !isnan(walk->front))
        lower = tb_larger(lower, walk->front - reach_back(walk, node));
    return lower - TB_TOL_ROUND;
}

double
tb_walk__front_of(const TbWalk *walk, TbVec3 d)
{
    return -tb_disc_furthest(&walk->at->disc, tb_vec3_neg(d), true);
}

double
tb_walk__beyond_of(const TbWalk *walk, uint32_t node, TbVec3 d)
{
    const TbNode *at = &walk->other->node[node];

    return at->kind == TB_NODE_TUBE ? tb_tube__beyond(&walk->other->tube[at->index], d) : 0;
}

/** How far a leaf reaches along a unit d, all included. */
static double
leaf_reach(const TbWalk *walk, uint32_t index, TbVec3 d)
{
    const TbNode *node = &walk->other->node[index];
    TbConvex body;
    TbSupport support;

    if (node->kind == TB_NODE_STRIP)
        return tb_strip_furthest(tb_field__strip(walk->other, index), d);
    if (node->kind == TB_NODE_TUBE)
        return tb_tube__reach(&walk->other->tube[node->index], d);
    body = tb_field__body(walk->other, index);
    support = tb_convex_support(&body, d);
    return support.reach + support.beyond;
}

double
tb_walk__remembered(TbWalk *walk, uint32_t node)
{
    TbNodeWay *known = &walk->known[node];

    if (!known->given)
        return -INFINITY;
    if (isinf(known->reach))
        known->reach = leaf_reach(walk, node, known->way);
    return tb_walk__front_of(walk, known->way) - known->reach - TB_TOL_ROUND;
}

double
tb_walk__behind_plane(const TbWalk *walk, uint32_t node)
{
    if (isnan(walk->front) || walk->other->node[node].kind != TB_NODE_STRIP)
        return -INFINITY;
    return walk->front - leaf_reach(walk, node, walk->plane) - TB_TOL_ROUND;
}
