/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/law.h"
#include "geom/quarter.h"

#include "base/fault.h"

/*
 * Points are spread by a measure of the outline: mostly the square root of length times turning,
 * whose equal steps have equal sagittas, with a share of plain length (long flats get points) and
 * one of plain turning (tight corners look round). The measure is tabled along the outline; a point
 * is then taken on the true outline, at the normal that the table gives.
 */

/** Shares of length and of turning in the measure; the rest is by sagitta. */
#define SHARE_LENGTH 0.1
#define SHARE_TURNING 0.1

/** First cells of a quarter, and how often one may be halved. */
#define CELLS 16
#define DEPTH 12

/** A cell is halved while length times turning is over this share of the whole outline's. */
#define CELL_SHARE (1.0 / (256.0 * 256.0))

/** Room for nodes. Cells that are halved come to some 600; should ever more be wanted, the last
 * ones stay whole: SPARE is for what is then still to come, the first cells and one of each depth.
 */
#define MOST_NODES 1400
#define SPARE (4 * (CELLS + 1) + DEPTH + 4)

/** exp(sinh 7) is 1e238: normals beyond it are along an axis. */
#define NORMAL_LIMIT 7.0

/** Fewest and most points of an outline. */
#define LEAST_POINTS 8
#define MOST_POINTS 100000

/** A normal: a quadrant, and where in it; u runs from the quadrant's first axis to its second. */
typedef struct Normal {
    int turnings; /**< 0: h to w, 1: w to -h, 2: -h to -w, 3: -w to h */
    double u;     /**< +-NORMAL_LIMIT are the axes themselves */
} Normal;

typedef struct Node {
    Normal normal;
    TbVec2 point;   /**< turned axes, offset not counted */
    double angle;   /**< of the normal from h, rad */
    double measure; /**< from the first node */
} Node;

/** An outline made ready to be walked along. */
typedef struct Walk {
    TbQuarter from[4], to[4]; /**< by turnings */
    double mix, wall;
    TbVec2 offset;
    double c, s;            /**< of the turn */
    double length, sagitta; /**< of the tabled outline: sum of lengths; of sqrt(length turning) */
    int count;
    Node node[MOST_NODES];
} Walk;

/** Point of the inner or outer outline at a normal of one quadrant, limits at the axes included. */
static Node
node_at(const Walk *walk, Normal normal)
{
    /* the quadrant's first axis is h where turnings is even */
    bool from_h = normal.turnings % 2 == 0;
    double z = fabs(normal.u) < NORMAL_LIMIT ? sinh(normal.u) : copysign(INFINITY, normal.u);
    double first = z > 0 ? exp(-z) : 1;
    double second = z > 0 ? 1 : exp(z);
    double length = hypot(first, second);
    double p = (from_h ? second : first) / length;
    double q = (from_h ? first : second) / length;
    int k = normal.turnings;
    TbVec2 at, to;

    tb_quarter_support(&walk->from[k], p, q, &at);
    if (walk->mix > 0) {
        tb_quarter_support(&walk->to[k], p, q, &to);
        at.x += walk->mix * (to.x - at.x);
        at.y += walk->mix * (to.y - at.y);
    }
    at = tb_vec2(at.x + walk->wall * p, at.y + walk->wall * q);
    return (Node){normal,
                  {k >= 2 ? -at.x : at.x, k == 1 || k == 2 ? -at.y : at.y},
                  k * M_PI_2 + atan2(second, first),
                  0};
}

static void
add_node(Walk *walk, Node node)
{
    TB_ASSERT(walk->count < MOST_NODES);
    walk->node[walk->count++] = node;
}

/** The nodes after @p from up to @p to, cells halved until each is a small share of the whole. */
static void
add_cell(Walk *walk, const Node *from, const Node *to, double largest, int depth)
{
    double length = tb_vec2_length(tb_vec2_sub(to->point, from->point));
    double turning = to->angle - from->angle;

    if (depth > 0 && length * turning > largest && walk->count < MOST_NODES - SPARE) {
        Normal between = {from->normal.turnings, 0.5 * (from->normal.u + to->normal.u)};
        Node middle = node_at(walk, between);

        add_cell(walk, from, &middle, largest, depth - 1);
        add_cell(walk, &middle, to, largest, depth - 1);
        return;
    }
    add_node(walk, *to);
}

static void
add_quarter(Walk *walk, int turnings, double largest)
{
    Node before = node_at(walk, (Normal){turnings, -NORMAL_LIMIT});

    add_node(walk, before);
    for (int i = 1; i <= CELLS; i++) {
        double u = NORMAL_LIMIT * (2.0 * i / CELLS - 1);
        Node next = node_at(walk, (Normal){turnings, u});

        add_cell(walk, &before, &next, largest, DEPTH);
        before = next;
    }
}

/** Sums of length and sagitta along the nodes, then the measure itself, 1 at the last node. */
static void
fill_measure(Walk *walk)
{
    Node *node = walk->node;

    for (int i = 1; i < walk->count; i++) {
        double length = tb_vec2_length(tb_vec2_sub(node[i].point, node[i - 1].point));

        walk->length += length;
        walk->sagitta += sqrt(length * (node[i].angle - node[i - 1].angle));
    }
    for (int i = 1; i < walk->count; i++) {
        double length = tb_vec2_length(tb_vec2_sub(node[i].point, node[i - 1].point));
        double turning = node[i].angle - node[i - 1].angle;

        node[i].measure =
            node[i - 1].measure + SHARE_LENGTH * length / walk->length +
            SHARE_TURNING * turning / (2 * M_PI) +
            (1 - SHARE_LENGTH - SHARE_TURNING) * sqrt(length * turning) / walk->sagitta;
    }
}

static void
walk_init(Walk *walk, const TbSlice *slice, bool outer)
{
    static const int corner[4] = {TB_CORNER_RU, TB_CORNER_RD, TB_CORNER_LD, TB_CORNER_LU};
    double around = 4 * (slice->a + slice->b) + (outer ? 2 * M_PI * slice->wall : 0);
    Node first, last;

    walk->mix = slice->mix;
    walk->wall = outer ? slice->wall : 0;
    walk->offset = slice->offset;
    walk->c = cos(slice->turn);
    walk->s = sin(slice->turn);
    walk->length = walk->sagitta = 0;
    walk->count = 0;
    for (int k = 0; k < 4; k++) {
        walk->from[k] = tb_shape_quarter(slice->from, corner[k], slice->a, slice->b);
        walk->to[k] = tb_shape_quarter(slice->to, corner[k], slice->a, slice->b);
    }
    /* begin in the middle of the top, so that what is symmetric gets symmetric points */
    first = node_at(walk, (Normal){0, -NORMAL_LIMIT});
    last = node_at(walk, (Normal){3, NORMAL_LIMIT});
    first.point = tb_vec2_scale(tb_vec2_add(first.point, last.point), 0.5);
    first.normal.turnings = -1;
    add_node(walk, first);
    for (int k = 0; k < 4; k++)
        add_quarter(walk, k, 2 * M_PI * around * CELL_SHARE);
    first.angle = 2 * M_PI;
    add_node(walk, first);
    fill_measure(walk);
}

/** The point at a share of the measure; @p cell is where to look first, and moves on. */
static TbVec2
walk_point(const Walk *walk, double share, int *cell)
{
    const Node *from, *to;
    double k;

    while (*cell + 2 < walk->count && walk->node[*cell + 1].measure <= share)
        ++*cell;
    from = &walk->node[*cell];
    to = from + 1;
    k = to->measure > from->measure ? (share - from->measure) / (to->measure - from->measure) : 0;
    if (from->normal.turnings == to->normal.turnings) {
        Normal between = {from->normal.turnings,
                          from->normal.u + k * (to->normal.u - from->normal.u)};

        return node_at(walk, between).point;
    }
    return tb_vec2_add(from->point, tb_vec2_scale(tb_vec2_sub(to->point, from->point), k));
}

void
tb_slice_outline(const TbSlice *slice, bool outer, size_t count, TbVec2 out[])
{
    Walk walk;
    int cell = 0;

    TB_ASSERT(count >= LEAST_POINTS);
    walk_init(&walk, slice, outer);
    for (size_t i = 0; i < count; i++) {
        TbVec2 p = walk_point(&walk, (double)i / (double)count, &cell);

        p = tb_vec2_add(p, walk.offset);
        out[i] = tb_vec2(walk.c * p.x + walk.s * p.y, walk.c * p.y - walk.s * p.x);
    }
}

/** Largest distance of the outline from a chord p to q that runs from h towards w. */
static double
sagitta_of(const TbSlice *slice, bool outer, TbVec2 p, TbVec2 q)
{
    TbVec2 along = tb_vec2_sub(q, p);
    double length = tb_vec2_length(along);
    TbVec2 outward, contact;

    if (length == 0)
        return 0;
    outward = tb_vec2(-along.y / length, along.x / length);
    return tb_slice_support_turned(slice, outward, outer, &contact) -
           tb_vec2_dot(outward, tb_vec2_add(p, slice->offset));
}

static bool
chords_keep(const Walk *walk, const TbSlice *slice, bool outer, size_t count, double chord)
{
    int cell = 0;
    TbVec2 first = walk_point(walk, 0, &cell);
    TbVec2 p = first;

    for (size_t i = 1; i <= count; i++) {
        TbVec2 q = i < count ? walk_point(walk, (double)i / (double)count, &cell) : first;

        if (sagitta_of(slice, outer, p, q) > chord)
            return false;
        p = q;
    }
    return true;
}

size_t
tb_slice_outline_count(const TbSlice *slice, bool outer, double chord)
{
    Walk walk;
    double guess;
    size_t count;

    TB_ASSERT(chord > 0);
    walk_init(&walk, slice, outer);
    /* equal steps of sqrt(length turning): each has a sagitta of its square over 8 */
    guess = walk.sagitta / sqrt(8 * chord);
    count = guess < MOST_POINTS ? 4 * (size_t)ceil(guess / 4) : MOST_POINTS;
    if (count < LEAST_POINTS)
        count = LEAST_POINTS;
    while (count < MOST_POINTS && !chords_keep(&walk, slice, outer, count, chord))
        count += 4 * (1 + count / 32);
    return count < MOST_POINTS ? count : MOST_POINTS;
}
