/* SPDX-License-Identifier: GPL-3.0-or-later */

/* The first covering of a part's surface with cells; skin.c fills and halves them. */

#include "gaps/skin_private.h"

#include "base/mem.h"
#include "gaps/inside_private.h"
#include "geom/polygon.h"
#include "geom/tol.h"

/** Cells around an outline to begin with: an eighth of a turn of the unit shape's normal is less
 * than a quarter turn of the true one, so two tangents always meet. */
#define SECTORS 8

/** The range of angles in equal parts of an eighth turn or less. */
static TbStatus
add_around(TbSkin *skin, TbCell cell, double v0, double v1)
{
    int parts = (int)ceil((v1 - v0) / (2 * M_PI / SECTORS) - 1e-9);
    TbStatus status = TB_OK;

    for (int i = 0; i < parts && status == TB_OK; i++) {
        cell.v0 = v0 + (v1 - v0) * i / parts;
        cell.v1 = v0 + (v1 - v0) * (i + 1) / parts;
        status = tb_skin__add(skin, &cell);
    }
    return status;
}

/** Around a section: flat sides, if any, each to a cell of its own. Starts where the outline has no
 * flat side, so that the ends meet. */
static TbStatus
add_around_disc(TbSkin *skin, TbCell cell)
{
    TbStatus status = TB_OK;

    cell.x1 = cell.y1 = 1;
    for (int k = 0; k < 4 && status == TB_OK; k++) {
        double from = (2 * k + 1) * M_PI / 4, axis = (k + 1) * M_PI / 2,
               to = (2 * k + 3) * M_PI / 4;
        const double edge[4] = {from, axis - TB_FLAT_TURN, axis + TB_FLAT_TURN, to};

        for (int i = 0; i < 3 && status == TB_OK; i++) {
            cell.v0 = edge[i];
            cell.v1 = edge[i + 1];
            status = tb_skin__add(skin, &cell);
        }
    }
    return status;
}

static TbStatus
cover_sweep(TbSkin *skin, TbKept kept)
{
    const TbSweep *sweep = skin->part->sweep;
    TbStatus status = TB_OK;
    bool any = false;

    for (size_t i = 0; i < tb_sweep_piece_count(sweep) && status == TB_OK; i++) {
        const TbPiece *piece = tb_sweep_piece(sweep, i);
        double end = piece->station0 + piece->length;
        double u0 = kept.from > piece->station0 ? tb_piece_u(piece, kept.from) : 0;
        double u1 = kept.to < end ? tb_piece_u(piece, kept.to) : piece->extent;
        TbCell cell = {.kind = TB_CELL_SKIN, .x1 = 1};
        TbStrip strip;

        if (end <= kept.from || piece->station0 >= kept.to || !(u1 > u0))
            continue;
        strip = tb_strip_of(piece, u0, u1, true);
        cell.index = (uint32_t)skin->strips;
        status = tb_skin__add_strip(skin, &strip);
        if (!any)
            skin->end[0] = strip.disc0;
        skin->end[1] = strip.disc1;
        any = true;
        if (status == TB_OK)
            status = add_around_disc(skin, cell);
    }
    for (uint32_t i = 0; i < 2 && any && status == TB_OK; i++)
        status = add_around_disc(skin, (TbCell){.kind = TB_CELL_END, .index = i});
    return status;
}

static TbStatus
cover_block(TbSkin *skin)
{
    const TbBlock *block = &skin->part->plain.block;
    TbStatus status = TB_OK;

    for (int f = 0; f < 6 && status == TB_OK; f++) {
        int k = f / 2, x = (k + 1) % 3, y = (k + 2) % 3;
        TbCell cell = {.kind = TB_CELL_FACE, .x0 = -block->half[x], .x1 = block->half[x]};

        cell.v0 = -block->half[y];
        cell.v1 = block->half[y];
        cell.shape[0] = tb_vec3_add_scaled(block->centre, f & 1 ? block->half[k] : -block->half[k],
                                           block->axis[k]);
        cell.shape[1] = block->axis[x];
        cell.shape[2] = block->axis[y];
        status = tb_skin__add(skin, &cell);
    }
    return status;
}

static TbStatus
cover_rod(TbSkin *skin)
{
    const TbRod *rod = &skin->part->plain.rod;
    TbVec3 axis = tb_vec3_unit(tb_vec3_sub(rod->b, rod->a));
    TbVec3 other = fabs(axis.x) < 0.7 ? tb_vec3(1, 0, 0) : tb_vec3(0, 1, 0);
    TbVec3 x = tb_vec3_unit(tb_vec3_across(other, axis)), y = tb_vec3_cross(axis, x);
    TbCell flank = {.kind = TB_CELL_FLANK, .x1 = 1, .shape = {rod->a, rod->b, x, y}};
    TbCell end = {.kind = TB_CELL_SECTOR, .x1 = 1, .shape = {rod->a, rod->a, x, y}};
    TbStatus status;

    flank.radius[0] = rod->radius_a;
    flank.radius[1] = rod->radius_b;
    status = add_around(skin, flank, 0, 2 * M_PI);
    end.radius[0] = end.radius[1] = rod->radius_a;
    if (status == TB_OK && rod->radius_a > 0)
        status = add_around(skin, end, 0, 2 * M_PI);
    end.shape[0] = end.shape[1] = rod->b;
    end.radius[0] = end.radius[1] = rod->radius_b;
    if (status == TB_OK && rod->radius_b > 0)
        status = add_around(skin, end, 0, 2 * M_PI);
    return status;
}

static TbStatus
add_sphere(TbSkin *skin, TbVec3 centre, double radius, TbVec3 n0, TbVec3 n1, TbVec3 n2)
{
    TbCell cell = {.kind = TB_CELL_SPHERE, .shape = {centre, n0, n1, n2}, .radius = {radius, 0}};

    return tb_skin__add(skin, &cell);
}

static TbStatus
cover_ball(TbSkin *skin)
{
    const TbBall *ball = &skin->part->plain.ball;
    TbStatus status = TB_OK;

    for (int i = 0; i < 8 && status == TB_OK; i++)
        status = add_sphere(skin, ball->centre, ball->radius, tb_vec3(i & 1 ? 1 : -1, 0, 0),
                            tb_vec3(0, i & 2 ? 1 : -1, 0), tb_vec3(0, 0, i & 4 ? 1 : -1));
    return status;
}

/* ---- outlines ---- */

/** One side of a prism and what joins it to the next. */
typedef struct Side {
    TbVec3 a, b;       /**< bottom edge of the core */
    TbVec3 out, along; /**< unit, outwards and along */
} Side;

static Side
side_of(const TbOutline *o, size_t i)
{
    TbVec2 p = o->points[i], q = o->points[(i + 1) % o->count];
    Side s;

    s.a = tb_vec3_add_scaled(tb_vec3_add_scaled(o->origin, p.x, o->u), p.y, o->v);
    s.b = tb_vec3_add_scaled(tb_vec3_add_scaled(o->origin, q.x, o->u), q.y, o->v);
    s.along = tb_vec3_unit(tb_vec3_sub(s.b, s.a));
    s.out = tb_vec3_cross(s.along, tb_vec3_cross(o->u, o->v));
    return s;
}

static bool
is_convex(const TbOutline *o)
{
    for (size_t i = 0; i < o->count; i++) {
        TbVec2 a = o->points[i], b = o->points[(i + 1) % o->count];
        TbVec2 c = o->points[(i + 2) % o->count];

        if (tb_vec2_cross(tb_vec2_sub(b, a), tb_vec2_sub(c, b)) < 0)
            return false;
    }
    return true;
}

static TbStatus
cover_caps(TbSkin *skin, const TbOutline *o, TbVec3 up)
{
    size_t *index = tb_alloc_array(3 * (o->count - 2), sizeof *index);
    TbStatus status = TB_OK;

    if (index == NULL)
        return TB_E_MEMORY;
    status = tb_polygon_triangulate(o->points, o->count, index, NULL);
    for (size_t t = 0; t < 2 * (o->count - 2) && status == TB_OK; t++) {
        double height = t & 1 ? o->depth + o->rounding : -o->rounding;
        TbVec3 origin = tb_vec3_add_scaled(o->origin, height, up);
        TbCell cell = {.kind = TB_CELL_FLAT, .index = UINT32_MAX};

        for (int k = 0; k < 3; k++) {
            TbVec2 p = o->points[index[3 * (t / 2) + (size_t)k]];

            cell.shape[k] = tb_vec3_add_scaled(tb_vec3_add_scaled(origin, p.x, o->u), p.y, o->v);
        }
        status = tb_skin__add(skin, &cell);
    }
    tb_free(index);
    return status;
}

/** Round edges and corners that leave from a side: two rims, the upright edge, two corners. */
static TbStatus
cover_rounding(TbSkin *skin, const TbOutline *o, Side side, Side next, TbVec3 up)
{
    TbVec3 top = tb_vec3_scale(up, o->depth);
    double turn =
        atan2(tb_vec3_dot(tb_vec3_cross(side.out, next.out), up), tb_vec3_dot(side.out, next.out));
    TbCell round = {.kind = TB_CELL_FLANK, .x1 = 1, .radius = {o->rounding, o->rounding}};
    TbStatus status = TB_OK;

    for (int k = 0; k < 2 && status == TB_OK; k++) {
        TbVec3 lift = k == 0 ? tb_vec3(0, 0, 0) : top;

        round.shape[0] = tb_vec3_add(side.a, lift);
        round.shape[1] = tb_vec3_add(side.b, lift);
        round.shape[2] = side.out;
        round.shape[3] = k == 0 ? tb_vec3_neg(up) : up;
        status = add_around(skin, round, 0, M_PI / 2);
    }
    if (status != TB_OK || !(turn > 0))
        return status;
    round.shape[0] = side.b;
    round.shape[1] = tb_vec3_add(side.b, top);
    round.shape[2] = side.out;
    round.shape[3] = side.along;
    status = add_around(skin, round, 0, turn);
    for (int k = 0; k < 2 && status == TB_OK; k++) {
        /* in two halves: a sharp corner turns by nearly half a turn */
        TbVec3 half = tb_vec3_add(tb_vec3_scale(side.out, cos(0.5 * turn)),
                                  tb_vec3_scale(side.along, sin(0.5 * turn)));
        TbVec3 centre = tb_vec3_add(side.b, k == 0 ? tb_vec3(0, 0, 0) : top);
        TbVec3 pole = k == 0 ? tb_vec3_neg(up) : up;

        status = add_sphere(skin, centre, o->rounding, side.out, half, pole);
        if (status == TB_OK)
            status = add_sphere(skin, centre, o->rounding, half, next.out, pole);
    }
    return status;
}

static TbStatus
cover_outline(TbSkin *skin)
{
    const TbOutline *o = &skin->part->plain.outline;
    TbVec3 up = tb_vec3_cross(o->u, o->v);
    TbStatus status;

    if (o->rounding > 0 && !is_convex(o)) {
        skin->covers = false;
        return TB_OK;
    }
    status = cover_caps(skin, o, up);
    for (size_t i = 0; i < o->count && status == TB_OK; i++) {
        Side side = side_of(o, i);
        TbCell face = {.kind = TB_CELL_FACE, .x1 = 1, .v1 = 1};

        face.shape[0] = tb_vec3_add_scaled(side.a, o->rounding, side.out);
        face.shape[1] = tb_vec3_sub(side.b, side.a);
        face.shape[2] = tb_vec3_scale(up, o->depth);
        status = tb_skin__add(skin, &face);
        if (status == TB_OK && o->rounding > 0)
            status = cover_rounding(skin, o, side, side_of(o, (i + 1) % o->count), up);
    }
    return status;
}

static TbStatus
cover_plain(TbSkin *skin)
{
    switch (skin->part->plain.kind) {
    case TB_PLAIN_BLOCK:
        return cover_block(skin);
    case TB_PLAIN_ROD:
        return cover_rod(skin);
    case TB_PLAIN_BALL:
        return cover_ball(skin);
    case TB_PLAIN_OUTLINE:
        return cover_outline(skin);
    }
    return TB_OK;
}

TbStatus
tb_skin__of(TbSkin *skin, const TbPart *part, TbKept kept)
{
    TbStatus status;

    *skin = (TbSkin){.part = part, .covers = true};
    if (part->kind == TB_PART_SWEEP) {
        status = cover_sweep(skin, kept);
    } else if (part->kind == TB_PART_PLAIN) {
        status = cover_plain(skin);
    } else {
        TbCell all = {.kind = TB_CELL_BOXES, .index = tb_tree_pack(tb_tree_root(part->tree))};

        status = tb_skin__add(skin, &all);
        if (status == TB_OK && tb_inside__lids(part) != NULL) {
            TbCell lids = {.kind = TB_CELL_BOXES, .lid = true};

            lids.index = tb_tree_pack(tb_tree_root(tb_inside__lids(part)));
            status = tb_skin__add(skin, &lids);
        }
    }
    skin->roots = (uint32_t)skin->count;
    skin->covering = skin->strips;
    return status;
}
