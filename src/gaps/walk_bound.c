/* SPDX-License-Identifier: GPL-3.0-or-later */

/** What holds a node away from a section, the cheap before the dear. */
#include "gaps/walk_private.h"

#include "geom/tol.h"

/** Of a part of a path: the nearest leaf's plane first, then the ball about the section. */
static double
path_apart(const TbWalk *walk, const TbNode *node, double enough)
{
    bool has_plane = !isnan(walk->front);
    double lower = -INFINITY;

    if (has_plane) {
        double first = tb_vec3_dot(node->from, walk->plane);
        double second = tb_vec3_dot(node->to, walk->plane);

        lower = walk->front - tb_larger(first, second) - node->thick;
    }
    if (lower < enough)
        lower = tb_larger(lower, tb_line_distance(node->from, node->to, walk->at->disc.centre) -
                                     node->thick - walk->at->reach);
    if (lower < enough && has_plane && node->kind == TB_NODE_TUBE)
        lower = tb_larger(lower, walk->front -
                                     tb_tube__reach(&walk->other->tube[node->index], walk->plane));
    return lower;
}

/** Of what has no line: its box and its ball. */
static double
box_apart(const TbWalk *walk, const TbNode *node, double enough)
{
    TbVec3 centre = walk->at->disc.centre;
    double lower = sqrt(tb_box3_distance2(walk->at->box, node->box)), ball;

    if (lower >= enough)
        return lower;
    ball = sqrt(tb_box3_point_distance2(node->box, centre));
    if (!tb_node__is_box(node)) /* of a box its ball says no more */
        ball = tb_larger(ball, tb_vec3_distance(centre, node->centre) - node->radius);
    lower = tb_larger(lower, ball - walk->at->reach);
    if (lower >= enough || isnan(walk->front))
        return lower;
    ball = tb_vec3_dot(node->centre, walk->plane) + node->radius;
    return tb_larger(lower, walk->front - fmin(ball, tb_box3_reach(node->box, walk->plane)));
}

double
tb_walk__far_apart(const TbWalk *walk, const TbNode *node)
{
    double enough = tb_walk__cut_of(walk) + TB_TOL_ROUND;

    return (node->thick >= 0 ? path_apart(walk, node, enough) : box_apart(walk, node, enough)) -
           TB_TOL_ROUND;
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

double
tb_walk__remembered(TbWalk *walk, uint32_t node)
{
    TbNodeWay *known = &walk->known[node];

    if (!known->given)
        return -INFINITY;
    if (isinf(known->reach))
        known->reach = tb_field__leaf_reach(walk->other, node, known->way);
    return tb_walk__front_of(walk, known->way) - known->reach - TB_TOL_ROUND;
}

double
tb_walk__behind_plane(const TbWalk *walk, uint32_t node)
{
    if (isnan(walk->front) || walk->other->node[node].kind != TB_NODE_STRIP)
        return -INFINITY;
    return walk->front - tb_field__leaf_reach(walk->other, node, walk->plane) - TB_TOL_ROUND;
}
