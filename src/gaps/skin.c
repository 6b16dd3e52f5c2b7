/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/skin_private.h"

#include "base/mem.h"
#include "gaps/inside_private.h"
#include "geom/tol.h"

static TbStatus
add_cell(TbSkin *skin, const TbCell *cell)
{
    void *room = skin->cell;

    if (tb_grow_array(&room, &skin->room, skin->count, sizeof *skin->cell) != 0)
        return TB_E_MEMORY;
    skin->cell = room;
    skin->cell[skin->count++] = *cell;
    return TB_OK;
}

static void
measure(TbCell *cell)
{
    double most = 0;

    for (int i = 0; i < cell->points; i++)
        most = fmax(most, tb_vec3_length2(tb_vec3_sub(cell->point[i], cell->centre)));
    cell->reach = sqrt(most) + cell->widening + TB_TOL_ROUND;
}

/* ---- arcs of an outline: two contact points and where their tangents meet ---- */

/** An outline in a plane with axes x, y: what of it lies between two normals. */
typedef struct Tangent {
    TbVec3 contact, normal, along; /**< along: a quarter turn from normal, x to y */
} Tangent;

/** The arc between two tangents lies in the triangle of their contacts and their meeting. */
static void
arc_triangle(const Tangent *t0, const Tangent *t1, TbVec3 out[3])
{
    TbVec3 chord = tb_vec3_sub(t1->contact, t0->contact);
    double height = tb_vec3_dot(chord, t1->normal), sine = tb_vec3_dot(t0->along, t1->normal);
    double most = 2 * tb_vec3_length(chord);

    out[0] = t0->contact;
    out[1] = t1->contact;
    /* the way along the first tangent to the second: never back, never further than the chord by
     * more than the turn allows (below a quarter turn) */
    out[2] = tb_vec3_add_scaled(
        t0->contact, sine > 0 ? fmin(most, fmax(0, height / sine)) : 0.5 * most, t0->along);
}

static Tangent
disc_tangent(const TbDisc *disc, double v)
{
    double x = cos(v) / disc->slice.a, y = sin(v) / disc->slice.b, length = hypot(x, y);
    Tangent t;

    t.normal = tb_vec3_add(tb_vec3_scale(disc->w, x / length), tb_vec3_scale(disc->h, y / length));
    t.along = tb_vec3_add(tb_vec3_scale(disc->w, -y / length), tb_vec3_scale(disc->h, x / length));
    tb_disc_support(disc, t.normal, true, &t.contact);
    return t;
}

static Tangent
circle_tangent(TbVec3 centre, TbVec3 x, TbVec3 y, double radius, double v)
{
    Tangent t;

    t.normal = tb_vec3_add(tb_vec3_scale(x, cos(v)), tb_vec3_scale(y, sin(v)));
    t.along = tb_vec3_add(tb_vec3_scale(x, -sin(v)), tb_vec3_scale(y, cos(v)));
    t.contact = tb_vec3_add_scaled(centre, radius, t.normal);
    return t;
}

static void
disc_arc(const TbDisc *disc, double v0, double v1, TbVec3 out[3])
{
    Tangent t0 = disc_tangent(disc, v0), t1 = disc_tangent(disc, v1);

    arc_triangle(&t0, &t1, out);
}

static void
circle_arc(const TbCell *cell, double share, TbVec3 out[3])
{
    TbVec3 centre = tb_vec3_mix(cell->shape[0], cell->shape[1], share);
    double radius = cell->radius[0] + share * (cell->radius[1] - cell->radius[0]);
    Tangent t0 = circle_tangent(centre, cell->shape[2], cell->shape[3], radius, cell->v0);
    Tangent t1 = circle_tangent(centre, cell->shape[2], cell->shape[3], radius, cell->v1);

    arc_triangle(&t0, &t1, out);
}

static bool
is_flat(const TbCell *cell)
{
    return cell->v1 - cell->v0 < 4 * TB_FLAT_TURN;
}

/** How far the tangents' meeting stands off the chord: no point of the arc stands off further. */
static double
arc_height(const TbVec3 t[3])
{
    TbVec3 chord = tb_vec3_sub(t[1], t[0]), to = tb_vec3_sub(t[2], t[0]);
    double square = tb_vec3_length2(chord);
    double along = square > 0 ? fmin(1, fmax(0, tb_vec3_dot(to, chord) / square)) : 0;

    return tb_vec3_distance(t[2], tb_vec3_add_scaled(t[0], along, chord));
}

/** A flat side's part of its arc's triangle: the same chord, cut; returns what it leaves out. */
static double
cut_chord(const TbCell *cell, TbVec3 t[3])
{
    double height = arc_height(t);
    TbVec3 a = tb_vec3_mix(t[0], t[1], cell->y0), b = tb_vec3_mix(t[0], t[1], cell->y1);

    t[0] = a;
    t[1] = b;
    t[2] = b;
    return height;
}

/** Draw three points towards one. */
static void
shrink(TbVec3 p[3], TbVec3 to, double share)
{
    for (int i = 0; i < 3; i++)
        p[i] = tb_vec3_mix(to, p[i], share);
}

/* ---- filling a cell from its ranges ---- */

static void
fill_skin(const TbSkin *skin, TbCell *cell)
{
    const TbStrip *strip = &skin->strip[cell->index];
    TbDisc middle = tb_piece_disc(strip->piece, 0.5 * (strip->u0 + strip->u1));
    Tangent tangent;
    TbVec3 along;

    cell->points = 6;
    disc_arc(&strip->disc0, cell->v0, cell->v1, cell->point);
    disc_arc(&strip->disc1, cell->v0, cell->v1, cell->point + 3);
    cell->widening = strip->bound.eighth * strip->bound.skin;
    cell->off = 0;
    tangent = disc_tangent(&middle, 0.5 * (cell->v0 + cell->v1));
    along = tb_vec3_unit(tb_vec3_sub(cell->point[3], cell->point[0]));
    cell->centre = tangent.contact;
    if (is_flat(cell)) {
        TbVec3 t[3];

        cell->widening += fmax(cut_chord(cell, cell->point), cut_chord(cell, cell->point + 3));
        disc_arc(&middle, cell->v0, cell->v1, t);
        cell->centre = tb_vec3_mix(t[0], t[1], 0.5 * (cell->y0 + cell->y1));
        cell->off = arc_height(t);
    }
    cell->normal = tb_vec3_unit(tb_vec3_across(tangent.normal, along));
    cell->station = middle.station;
}

/** A point inside a section. Its origin need not be: a corner's arc may leave that out. */
static TbVec3
inside_disc(const TbDisc *disc)
{
    TbVec3 sum = {0, 0, 0};

    for (int i = 0; i < 4; i++)
        sum = tb_vec3_add(sum, disc_tangent(disc, i * M_PI / 2).contact);
    return tb_vec3_scale(sum, 0.25);
}

/** A convex section is star-shaped about any point inside. */
static void
fill_end(const TbSkin *skin, TbCell *cell)
{
    const TbDisc *disc = &skin->end[cell->index];
    TbVec3 origin = inside_disc(disc);
    TbVec3 rim = disc_tangent(disc, 0.5 * (cell->v0 + cell->v1)).contact;

    cell->points = 6;
    disc_arc(disc, cell->v0, cell->v1, cell->point);
    disc_arc(disc, cell->v0, cell->v1, cell->point + 3);
    cell->widening = cell->off = 0;
    if (is_flat(cell)) { /* the chord is inside the section, so the centre is on the end */
        rim = tb_vec3_mix(cell->point[0], cell->point[1], 0.5 * (cell->y0 + cell->y1));
        cell->widening = fmax(cut_chord(cell, cell->point), cut_chord(cell, cell->point + 3));
    }
    shrink(cell->point, origin, cell->x0);
    shrink(cell->point + 3, origin, cell->x1);
    cell->centre = tb_vec3_mix(origin, rim, 0.5 * (cell->x0 + cell->x1));
    cell->normal = cell->index == 0 ? tb_vec3_neg(disc->frame.t) : disc->frame.t;
    cell->station = disc->station;
}

static void
fill_flank(TbCell *cell)
{
    double share = 0.5 * (cell->x0 + cell->x1);
    TbVec3 centre = tb_vec3_mix(cell->shape[0], cell->shape[1], share);
    double radius = cell->radius[0] + share * (cell->radius[1] - cell->radius[0]);

    cell->points = 6;
    circle_arc(cell, cell->x0, cell->point);
    circle_arc(cell, cell->x1, cell->point + 3);
    cell->centre =
        circle_tangent(centre, cell->shape[2], cell->shape[3], radius, 0.5 * (cell->v0 + cell->v1))
            .contact;
}

static void
fill_sector(TbCell *cell)
{
    Tangent rim = circle_tangent(cell->shape[0], cell->shape[2], cell->shape[3], cell->radius[0],
                                 0.5 * (cell->v0 + cell->v1));

    cell->points = 6;
    circle_arc(cell, 0, cell->point);
    circle_arc(cell, 0, cell->point + 3);
    shrink(cell->point, cell->shape[0], cell->x0);
    shrink(cell->point + 3, cell->shape[0], cell->x1);
    cell->centre = tb_vec3_mix(cell->shape[0], rim.contact, 0.5 * (cell->x0 + cell->x1));
}

static void
fill_face(TbCell *cell)
{
    cell->points = 4;
    for (int i = 0; i < 4; i++) {
        double x = i & 1 ? cell->x1 : cell->x0, v = i & 2 ? cell->v1 : cell->v0;

        cell->point[i] = tb_vec3_add_scaled(tb_vec3_add_scaled(cell->shape[0], x, cell->shape[1]),
                                            v, cell->shape[2]);
    }
    cell->centre = tb_vec3_mix(cell->point[0], cell->point[3], 0.5);
}

static void
fill_flat(TbCell *cell)
{
    cell->points = 3;
    for (int i = 0; i < 3; i++)
        cell->point[i] = cell->shape[i];
    cell->centre = tb_vec3_scale(
        tb_vec3_add(cell->shape[0], tb_vec3_add(cell->shape[1], cell->shape[2])), 1.0 / 3);
}

/**
 * A point of the cone of three normals, at distance r: a sum of them with shares of 1 or more in
 * all, and of at most 1/cos a, a the widest angle from their middle to a normal.
 */
static void
fill_sphere(TbCell *cell)
{
    const TbVec3 *n = cell->shape + 1;
    TbVec3 middle = tb_vec3_unit(tb_vec3_add(n[0], tb_vec3_add(n[1], n[2])));
    double cosine = 1;

    for (int i = 0; i < 3; i++)
        cosine = fmin(cosine, tb_vec3_dot(middle, n[i]));
    cell->points = 6;
    for (int i = 0; i < 3; i++) {
        cell->point[i] = tb_vec3_add_scaled(cell->shape[0], cell->radius[0], n[i]);
        cell->point[3 + i] = tb_vec3_add_scaled(cell->shape[0], cell->radius[0] / cosine, n[i]);
    }
    cell->centre = tb_vec3_add_scaled(cell->shape[0], cell->radius[0], middle);
}

static void
fill_boxes(const TbSkin *skin, TbCell *cell)
{
    TbBox3 box = tb_tree_box(cell->lid ? tb_inside__lids(skin->part) : skin->part->tree,
                             tb_tree_unpack(cell->index));
    TbConvex hull = tb_convex_of_box(box);

    cell->points = 8;
    for (int i = 0; i < 8; i++)
        cell->point[i] = hull.point[i];
    cell->centre = tb_box3_centre(box);
    cell->real = false;
}

static void
fill(const TbSkin *skin, TbCell *cell)
{
    cell->real = true;
    cell->first = cell->count = 0;
    switch (cell->kind) {
    case TB_CELL_SKIN:
        fill_skin(skin, cell);
        break;
    case TB_CELL_END:
        fill_end(skin, cell);
        break;
    case TB_CELL_FLANK:
        fill_flank(cell);
        break;
    case TB_CELL_SECTOR:
        fill_sector(cell);
        break;
    case TB_CELL_FACE:
        fill_face(cell);
        break;
    case TB_CELL_FLAT:
        fill_flat(cell);
        break;
    case TB_CELL_SPHERE:
        fill_sphere(cell);
        break;
    case TB_CELL_BOXES:
        fill_boxes(skin, cell);
        break;
    }
    measure(cell);
}

TbStatus
tb_skin__add(TbSkin *skin, TbCell *cell)
{
    fill(skin, cell);
    return add_cell(skin, cell);
}

TbStatus
tb_skin__add_strip(TbSkin *skin, const TbStrip *strip)
{
    void *room = skin->strip;

    if (tb_grow_array(&room, &skin->strip_room, skin->strips, sizeof *skin->strip) != 0)
        return TB_E_MEMORY;
    skin->strip = room;
    skin->strip[skin->strips++] = *strip;
    return TB_OK;
}

void
tb_skin__clear(TbSkin *skin)
{
    tb_free(skin->cell);
    tb_free(skin->strip);
    *skin = (TbSkin){.part = NULL};
}

TbConvex
tb_skin__hull(const TbCell *cell)
{
    TbConvex hull = {.points = cell->points};

    for (int i = 0; i < cell->points; i++)
        hull.point[i] = cell->point[i];
    return hull;
}

/* ---- halving ---- */

/** A cell of two ranges is halved along the longer one. */
static bool
is_longer_along(const TbCell *cell)
{
    int across = cell->kind == TB_CELL_FACE ? 2 : 1, along = cell->kind == TB_CELL_FACE ? 1 : 3;
    double x = tb_vec3_distance(cell->point[0], cell->point[along]);
    double v = tb_vec3_distance(cell->point[0], cell->point[across]);

    if (cell->kind != TB_CELL_FACE) {
        x = fmax(x, tb_vec3_distance(cell->point[1], cell->point[4]));
        v = fmax(v, tb_vec3_distance(cell->point[3], cell->point[4]));
    }
    return x > v;
}

static TbStatus
open_ranges(TbSkin *skin, TbCell cell)
{
    bool along = is_longer_along(&cell);
    TbStatus status = TB_OK;

    for (int i = 0; i < 2 && status == TB_OK; i++) {
        TbCell half = cell;
        bool first = i == 0;

        if (along)
            *(first ? &half.x1 : &half.x0) = 0.5 * (cell.x0 + cell.x1);
        else if (is_flat(&cell) && (cell.kind == TB_CELL_SKIN || cell.kind == TB_CELL_END))
            *(first ? &half.y1 : &half.y0) = 0.5 * (cell.y0 + cell.y1);
        else
            *(first ? &half.v1 : &half.v0) = 0.5 * (cell.v0 + cell.v1);
        status = tb_skin__add(skin, &half);
    }
    return status;
}

/** Along its path a skin cell's halves get strips of their own. */
static TbStatus
open_skin(TbSkin *skin, TbCell cell)
{
    TbStrip strip = skin->strip[cell.index], half[2];
    TbStatus status = TB_OK;

    if (!is_longer_along(&cell))
        return open_ranges(skin, cell);
    tb_strip_halves(&strip, true, half);
    for (int i = 0; i < 2 && status == TB_OK; i++) {
        TbCell child = cell;

        child.index = (uint32_t)skin->strips;
        status = tb_skin__add_strip(skin, &half[i]);
        if (status == TB_OK)
            status = tb_skin__add(skin, &child);
    }
    return status;
}

/** A triangle, flat or on a ball, is halved across its longest side. */
static TbStatus
open_triangle(TbSkin *skin, TbCell cell)
{
    TbVec3 *corner = cell.kind == TB_CELL_FLAT ? cell.shape : cell.shape + 1;
    int from = 0;
    double longest = -1;
    TbVec3 middle;
    TbStatus status = TB_OK;

    for (int i = 0; i < 3; i++) {
        double side = tb_vec3_distance(corner[i], corner[(i + 1) % 3]);

        if (side > longest) {
            longest = side;
            from = i;
        }
    }
    middle = tb_vec3_mix(corner[from], corner[(from + 1) % 3], 0.5);
    if (cell.kind == TB_CELL_SPHERE)
        middle = tb_vec3_unit(middle);
    for (int i = 0; i < 2 && status == TB_OK; i++) {
        TbCell half = cell;
        TbVec3 *own = cell.kind == TB_CELL_FLAT ? half.shape : half.shape + 1;

        own[i == 0 ? (from + 1) % 3 : from] = middle;
        status = tb_skin__add(skin, &half);
    }
    return status;
}

static TbStatus
open_boxes(TbSkin *skin, TbCell cell)
{
    const TbTree *tree = cell.lid ? tb_inside__lids(skin->part) : skin->part->tree;
    TbTreeAt at = tb_tree_unpack(cell.index);
    int children = tb_tree_children(tree, at);
    TbStatus status = TB_OK;

    for (int i = 0; i < children && status == TB_OK; i++) {
        TbCell child = {.kind = TB_CELL_BOXES, .lid = cell.lid};

        if (at.level > 0) {
            child.index = tb_tree_pack(tb_tree_child(at, i));
        } else {
            child.kind = TB_CELL_FLAT;
            child.index = tb_tree_triangle(at, i);
            tb_mesh_corners(tb_tree_mesh(tree), child.index, child.shape);
        }
        status = tb_skin__add(skin, &child);
    }
    return status;
}

TbStatus
tb_skin__open(TbSkin *skin, uint32_t index)
{
    TbCell cell = skin->cell[index];
    uint32_t first = (uint32_t)skin->count;
    TbStatus status;

    if (cell.count > 0)
        return TB_OK;
    if (cell.kind == TB_CELL_SKIN)
        status = open_skin(skin, cell);
    else if (cell.kind == TB_CELL_BOXES)
        status = open_boxes(skin, cell);
    else if (cell.kind == TB_CELL_FLAT || cell.kind == TB_CELL_SPHERE)
        status = open_triangle(skin, cell);
    else
        status = open_ranges(skin, cell);
    if (status != TB_OK)
        return status;
    skin->cell[index].first = first;
    skin->cell[index].count = (uint32_t)skin->count - first;
    return TB_OK;
}
