/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/mem.h"
#include "gaps/field_private.h"
#include "geom/tol.h"

#include <string.h>

/** Children of a group: a search tests that many boxes a step. */
#define GROUP 4

/** mm of u. Strips shorter than this are not split: far below any width that can be asked. */
#define SHORTEST_STRIP 1e-7

/** Share of its length by which a strip may overstate its solid although nothing strays: a hull of
 * two sections is larger than what lies between them where they differ or turn. */
#define HULL_SHARE 1e-3

/* ---- nodes ---- */

static TbStatus
add_node(TbField *field, const TbNode *node)
{
    void *room = field->node;

    if (tb_grow_array(&room, &field->room, field->count, sizeof *field->node) != 0)
        return TB_E_MEMORY;
    field->node = room;
    field->node[field->count++] = *node;
    return TB_OK;
}

/** The ball about a box, and how loose a box is: it may be empty but for a corner. */
static TbNode
box_node(TbNodeKind kind, TbBox3 box, uint32_t part, uint32_t index)
{
    double diagonal = tb_box3_diagonal(box);
    TbNode node = {.box = box, .thick = -1, .kind = kind, .part = part, .index = index};

    node.centre = tb_box3_centre(box);
    node.radius = 0.5 * diagonal + TB_TOL_ROUND;
    node.loose = kind == TB_NODE_GROUP || kind == TB_NODE_BOXES ? diagonal : 0;
    return node;
}

/** Strips of a field's own, side by side. */
#define BLOCK_STRIPS 16

struct TbStripBlock {
    struct TbStripBlock *next;
    size_t used;
    TbPartStrip strip[BLOCK_STRIPS];
};

/** A copy that stays where it is as long as the field; NULL when there is no room. */
static const TbPartStrip *
own_strip(TbField *field, const TbPartStrip *strip)
{
    struct TbStripBlock *block = field->block;

    if (block == NULL || block->used == BLOCK_STRIPS) {
        block = tb_alloc(sizeof *block);
        if (block == NULL)
            return NULL;
        block->next = field->block;
        field->block = block;
    }
    block->strip[block->used] = *strip;
    return &block->strip[block->used++];
}

static TbNode
strip_node(const TbPartStrip *made, uint32_t part, uint32_t index)
{
    TbNode node = {.kind = TB_NODE_STRIP, .part = part, .index = index};
    const TbStrip *strip = &made->strip;
    double length = tb_vec3_distance(strip->disc0.centre, strip->disc1.centre);

    node.box = made->box;
    node.centre = made->centre;
    node.radius = made->radius;
    node.from = strip->disc0.centre;
    node.to = strip->disc1.centre;
    node.thick =
        fmax(strip->bound.end[0], strip->bound.end[1]) + strip->bound.widening + TB_TOL_ROUND;
    node.loose = strip->bound.widening + HULL_SHARE * length;
    node.station0 = strip->disc0.station;
    node.station1 = strip->disc1.station;
    return node;
}

/** @param strip where it stays; NULL when there was no room for it */
static TbStatus
add_strip(TbField *field, const TbPartStrip *strip, uint32_t part)
{
    void *room = (void *)field->strip;
    TbNode node;

    if (strip == NULL ||
        tb_grow_array(&room, &field->strip_room, field->strips, sizeof *field->strip) != 0)
        return TB_E_MEMORY;
    node = strip_node(strip, part, (uint32_t)field->strips);
    field->strip = room;
    field->strip[field->strips++] = strip;
    return add_node(field, &node);
}

static TbStatus
add_tube(TbField *field, const TbTube *tube, uint32_t part)
{
    TbNode node = {.kind = TB_NODE_TUBE, .part = part, .index = (uint32_t)field->tubes};
    void *room = field->tube;

    if (tb_grow_array(&room, &field->tube_room, field->tubes, sizeof *field->tube) != 0)
        return TB_E_MEMORY;
    field->tube = room;
    field->tube[field->tubes++] = *tube;
    node.box = tb_tube__box(tube);
    node.centre = tb_tube__ball(tube, &node.radius);
    node.from = tube->c0;
    node.to = tube->c1;
    node.thick = tube->radius + tube->stray + TB_TOL_ROUND;
    node.loose = tube->stray;
    node.station0 = tube->station0;
    node.station1 = tube->station1;
    return add_node(field, &node);
}

/** A line from the first child's to the last one's. How far points are from it is convex, so what a
 * child holds is no further away than the ends of its own line, and as thick as that is. */
static void
set_line(TbNode *group, const TbNode child[])
{
    TbVec3 from = child[0].from, to = child[group->count - 1].to;
    double thick = 0;

    for (uint32_t i = 0; i < group->count; i++) {
        double away = fmax(tb_line_distance(from, to, child[i].from),
                           tb_line_distance(from, to, child[i].to));

        if (child[i].thick < 0)
            return;
        thick = fmax(thick, away + child[i].thick);
    }
    group->from = from;
    group->to = to;
    group->thick = thick + TB_TOL_ROUND;
}

/** Groups of neighbours over the nodes from `first` on, until one is left; it is the last node. */
static TbStatus
add_groups(TbField *field, size_t first)
{
    size_t from = first, to = field->count;

    while (to - from > 1) {
        for (size_t i = from; i < to; i += GROUP) {
            size_t end = i + GROUP < to ? i + GROUP : to;
            TbBox3 box = tb_box3_empty();
            TbNode group;
            TbStatus status;

            for (size_t k = i; k < end; k++)
                box = tb_box3_union(box, field->node[k].box);
            group = box_node(TB_NODE_GROUP, box, field->node[i].part, 0);
            group.first = (uint32_t)i;
            group.count = (uint32_t)(end - i);
            group.station0 = field->node[i].station0;
            group.station1 = field->node[end - 1].station1;
            set_line(&group, &field->node[i]);
            status = add_node(field, &group);
            if (status != TB_OK)
                return status;
        }
        from = to;
        to = field->count;
    }
    return TB_OK;
}

/** Stations between which a sweep is one round bar, with its radius left off at both ends. */
typedef struct Bar {
    double from, to;
    size_t end; /**< first piece behind it */
} Bar;

/** The bar that begins with a piece: of no length where the piece is not round. */
static Bar
bar_from(const TbSweep *sweep, size_t first, TbKept kept)
{
    const TbPiece *piece = tb_sweep_piece(sweep, first);
    Bar bar = {.from = piece->station0, .to = piece->station0, .end = first + 1};
    double radius;

    if (!tb_tube__is_round(piece))
        return bar;
    radius = tb_tube__radius(piece);
    while (bar.end < tb_sweep_piece_count(sweep)) {
        const TbPiece *next = tb_sweep_piece(sweep, bar.end);

        if (!tb_tube__is_round(next) || fabs(tb_tube__radius(next) - radius) > TB_TOL_ROUND)
            break;
        piece = next;
        bar.end++;
    }
    bar.from = fmax(bar.from, kept.from) + radius;
    bar.to = fmin(piece->station0 + piece->length, kept.to) - radius;
    return bar;
}

/** A part of a piece; whole is the strip of all of it where somebody has it, or NULL. */
static TbStatus
add_strip_of(TbField *field,
             const TbPiece *piece,
             const TbPartStrip *whole,
             double u0,
             double u1,
             uint32_t part)
{
    TbPartStrip strip;

    if (!(u1 > u0))
        return TB_OK;
    if (whole != NULL && u0 == 0 && u1 == piece->extent)
        return add_strip(field, whole, part);
    strip = tb_part_strip_of(tb_strip_of(piece, u0, u1, true));
    return add_strip(field, own_strip(field, &strip), part);
}

/** u of a station, kept within a piece. */
static double
u_within(const TbPiece *piece, double station)
{
    if (station <= piece->station0)
        return 0;
    return station >= piece->station0 + piece->length ? piece->extent : tb_piece_u(piece, station);
}

/** What is kept of a piece: a strip, or a tube and strips before and behind it. */
static TbStatus
add_piece(TbField *field,
          const TbPiece *piece,
          const TbPartStrip *whole,
          TbKept kept,
          const Bar *bar,
          uint32_t part)
{
    double u0 = u_within(piece, kept.from), u1 = u_within(piece, kept.to), t0, t1;
    TbTube tube;
    TbStatus status;

    t0 = fmax(u0, u_within(piece, bar->from));
    t1 = fmin(u1, u_within(piece, bar->to));
    if (!field->with_tubes || !(t1 > t0))
        return add_strip_of(field, piece, whole, u0, u1, part);
    tube = tb_tube__of(piece, t0, t1);
    status = add_strip_of(field, piece, NULL, u0, t0, part);
    if (status == TB_OK)
        status = add_tube(field, &tube, part);
    return status == TB_OK ? add_strip_of(field, piece, NULL, t1, u1, part) : status;
}

/** @param whole the strips of the sweep's pieces where somebody has them, or NULL */
static TbStatus
add_sweep(
    TbField *field, const TbSweep *sweep, const TbPartStrip *whole, TbKept kept, uint32_t part)
{
    size_t first = field->count, pieces = tb_sweep_piece_count(sweep);
    Bar bar = {.end = 0};
    TbStatus status = TB_OK;

    for (size_t i = 0; i < pieces && status == TB_OK; i++) {
        if (field->with_tubes && i == bar.end)
            bar = bar_from(sweep, i, kept);
        status = add_piece(field, tb_sweep_piece(sweep, i), whole == NULL ? NULL : &whole[i], kept,
                           &bar, part);
    }
    return status == TB_OK ? add_groups(field, first) : status;
}

static TbStatus
add_plain(TbField *field, const TbPart *part, uint32_t number)
{
    size_t first = field->count;
    TbStatus status = TB_OK;

    for (size_t i = 0; i < part->piece_count && status == TB_OK; i++) {
        const TbConvex *piece = &part->pieces[i];
        TbNode node = box_node(TB_NODE_PIECE, tb_convex_box(piece), number, (uint32_t)i);

        if (piece->points == 1 && piece->discs + piece->circles == 0) {
            node.centre = piece->point[0];
            node.radius = piece->radius + TB_TOL_ROUND;
        }
        status = add_node(field, &node);
    }
    return status == TB_OK ? add_groups(field, first) : status;
}

/** @param index a packed place of the part's tree */
static TbNode
tree_node(const TbPart *part, uint32_t number, uint32_t index)
{
    return box_node(TB_NODE_BOXES, tb_tree_box(part->tree, tb_tree_unpack(index)), number, index);
}

static TbStatus
add_part(TbField *field, const TbPart *part, uint32_t number, TbKept kept)
{
    TbNode node;

    if (part->kind == TB_PART_SWEEP)
        return add_sweep(field, part->sweep, part->strips, kept, number);
    if (part->kind == TB_PART_PLAIN)
        return add_plain(field, part, number);
    if (tb_mesh_triangle_count(tb_tree_mesh(part->tree)) == 0)
        return TB_OK;
    node = tree_node(part, number, tb_tree_pack(tb_tree_root(part->tree)));
    return add_node(field, &node);
}

/** The roots of the parts side by side, under one group. */
static TbStatus
add_roots(TbField *field, const uint32_t root[], size_t roots)
{
    TbNode group;
    TbBox3 box = tb_box3_empty();
    size_t first = field->count;

    for (size_t i = 0; i < roots; i++) {
        TbNode copy = field->node[root[i]];

        box = tb_box3_union(box, copy.box);
        if (add_node(field, &copy) != TB_OK)
            return TB_E_MEMORY;
    }
    group = box_node(TB_NODE_GROUP, box, 0, 0);
    group.first = (uint32_t)first;
    group.count = (uint32_t)roots;
    field->root = (uint32_t)field->count;
    return add_node(field, &group);
}

/** The field holds nothing but its solid and whether it has tubes. */
static TbStatus
fill(TbField *field, const TbSolid *solid, const TbLeaveOut leave_out[], size_t count)
{
    size_t parts = tb_solid_part_count(solid), roots = 0;
    uint32_t *root;
    TbStatus status = TB_OK;

    root = tb_alloc_array(parts, sizeof *root);
    if (root == NULL)
        return TB_E_MEMORY;
    for (size_t i = 0; i < parts && status == TB_OK; i++) {
        const TbPart *part = tb_solid_part(solid, i);
        TbKept kept = {0, 0};
        size_t before = field->count;

        if (tb_field__is_left_out(part, leave_out, count) ||
            (part->kind == TB_PART_MESH && field->without_meshes))
            continue;
        if (part->kind == TB_PART_SWEEP)
            kept = tb_field__kept(part->sweep, leave_out, count);
        status = add_part(field, part, (uint32_t)i, kept);
        if (field->count > before)
            root[roots++] = (uint32_t)(field->count - 1);
    }
    if (status == TB_OK && roots > 0)
        status = add_roots(field, root, roots);
    field->empty = roots == 0;
    tb_free(root);
    return status;
}

TbStatus
tb_field__of_solid(TbField *field, const TbSolid *solid, const TbLeaveOut leave_out[], size_t count)
{
    *field = (TbField){.solid = solid, .empty = true};
    return fill(field, solid, leave_out, count);
}

TbStatus
tb_field__of_solid_for_sections(TbField *field,
                                const TbSolid *solid,
                                const TbLeaveOut leave_out[],
                                size_t count)
{
    *field = (TbField){.solid = solid, .empty = true, .with_tubes = true, .without_meshes = true};
    return fill(field, solid, leave_out, count);
}

TbStatus
tb_field__of_sweep(TbField *field, const TbSweep *sweep, TbKept kept)
{
    TbStatus status;

    *field = (TbField){.sweep = sweep, .empty = true};
    status = add_sweep(field, sweep, NULL, kept, 0);
    field->empty = field->count == 0;
    field->root = field->empty ? 0 : (uint32_t)(field->count - 1);
    return status;
}

TbStatus
tb_field__copy(TbField *field, const TbField *from)
{
    TB_ASSERT(!from->with_tubes);
    *field = *from;
    field->block = NULL;
    field->node = tb_alloc_array(from->count, sizeof *from->node);
    field->strip = tb_alloc_array(from->strips, sizeof *from->strip);
    field->room = field->node != NULL ? from->count : 0;
    field->strip_room = field->strip != NULL ? from->strips : 0;
    if (field->node == NULL || field->strip == NULL)
        return TB_E_MEMORY;
    memcpy(field->node, from->node, from->count * sizeof *from->node);
    memcpy((void *)field->strip, (const void *)from->strip, from->strips * sizeof *from->strip);
    return TB_OK;
}

TbStatus
tb_field__of_body(TbField *field, const TbConvex *body)
{
    TbNode node = box_node(TB_NODE_PIECE, tb_convex_box(body), 0, 0);

    *field = (TbField){.body = body};
    return add_node(field, &node);
}

void
tb_field__renew_body(TbField *field)
{
    field->node[0] = box_node(TB_NODE_PIECE, tb_convex_box(field->body), 0, 0);
}

void
tb_field__clear(TbField *field)
{
    tb_free(field->node);
    while (field->block != NULL) {
        struct TbStripBlock *next = field->block->next;

        tb_free(field->block);
        field->block = next;
    }
    tb_free((void *)field->strip);
    tb_free(field->tube);
    *field = (TbField){.empty = true};
}

/* ---- refining ---- */

/** Halves of a strip that nobody keeps. */
static TbStatus
add_own_halves(TbField *field, const TbStrip *strip, uint32_t part)
{
    TbStrip half[2];
    TbStatus status = TB_OK;

    tb_strip_halves(strip, true, half);
    for (int i = 0; i < 2 && status == TB_OK; i++) {
        TbPartStrip made = tb_part_strip_of(half[i]);

        status = add_strip(field, own_strip(field, &made), part);
    }
    return status;
}

static TbStatus
open_strip(TbField *field, uint32_t index, bool *opened)
{
    uint32_t part = field->node[index].part;
    const TbPartStrip *whole = field->strip[field->node[index].index], *half;
    TbStatus status;

    if (whole->strip.u1 - whole->strip.u0 < SHORTEST_STRIP) {
        *opened = false;
        return TB_OK;
    }
    field->node[index].first = (uint32_t)field->count;
    half = tb_part_strip_halves(whole);
    if (half == NULL) {
        status = add_own_halves(field, &whole->strip, part);
    } else {
        status = add_strip(field, &half[0], part);
        if (status == TB_OK)
            status = add_strip(field, &half[1], part);
    }
    if (status == TB_OK)
        field->node[index].count = 2;
    return status;
}

static TbStatus
open_tube(TbField *field, uint32_t index, bool *opened)
{
    uint32_t part = field->node[index].part;
    const TbTube *tube = &field->tube[field->node[index].index];
    TbTube half[2];

    if (tube->u1 - tube->u0 < SHORTEST_STRIP) {
        *opened = false;
        return TB_OK;
    }
    tb_tube__halves(tube, half);
    field->node[index].first = (uint32_t)field->count;
    for (int i = 0; i < 2; i++) {
        if (add_tube(field, &half[i], part) != TB_OK)
            return TB_E_MEMORY;
    }
    field->node[index].count = 2;
    return TB_OK;
}

static TbStatus
open_boxes(TbField *field, uint32_t index)
{
    uint32_t part = field->node[index].part;
    const TbTree *tree = tb_solid_part(field->solid, part)->tree;
    TbTreeAt at = tb_tree_unpack(field->node[index].index);
    uint32_t first = (uint32_t)field->count;
    int children = tb_tree_children(tree, at);

    for (int i = 0; i < children; i++) {
        TbBox3 box = tb_tree_child_box(tree, at, i);
        TbNode child = at.level == 0
                           ? box_node(TB_NODE_TRIANGLE, box, part, tb_tree_triangle(at, i))
                           : box_node(TB_NODE_BOXES, box, part, tb_tree_pack(tb_tree_child(at, i)));

        if (add_node(field, &child) != TB_OK)
            return TB_E_MEMORY;
    }
    field->node[index].first = first;
    field->node[index].count = (uint32_t)children;
    return TB_OK;
}

TbStatus
tb_field__open(TbField *field, uint32_t node, bool *opened)
{
    *opened = true;
    if (field->node[node].count > 0)
        return TB_OK;
    if (field->node[node].kind == TB_NODE_STRIP)
        return open_strip(field, node, opened);
    if (field->node[node].kind == TB_NODE_TUBE)
        return open_tube(field, node, opened);
    if (field->node[node].kind == TB_NODE_BOXES)
        return open_boxes(field, node);
    *opened = false;
    return TB_OK;
}
