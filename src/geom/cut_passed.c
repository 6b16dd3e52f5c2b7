/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * What a solid passes, as the union of hulls: of each convex body of it at the corners of each
 * cell. The plane meets a hull in the hull of all crossings between a point before it and one
 * beyond; those polygons are united on a grid.
 */

#include "geom/cut_passed.h"

#include "base/mem.h"
#include "geom/cut_cover.h"
#include "geom/polygon.h"

/** Points of a hull of which all crossings are taken. */
#define FEW 40

/** Else so many directions are looked into: of a cut of 100 mm, chords within 0.04 mm. */
#define WAYS 120

/** Crossings of few points at most, or ways. */
#define GATHER (FEW * FEW / 4)

/** Discs that are looked at for a sweep's size. */
#define SIZE_DISCS 33

typedef struct Passed {
    const TbPassing *passing;
    TbPlane plane;
    TbVec3 *at; /**< a body's points at a cell's corners */
    TbVec2 *paper;
    double *height;
    size_t room;    /**< of the three */
    TbVec2 *gather; /**< GATHER crossings, and behind them room for their hull */
    TbVec2 *points; /**< of all polygons */
    size_t point_count, point_room;
    size_t *ends; /**< of each polygon, in points */
    size_t end_count, end_room;
} Passed;

static TbStatus
no_room(TbFault *fault)
{
    return tb_fail(fault, TB_E_MEMORY, "no room for an envelope");
}

/* ---- hulls ---- */

static TbStatus
keep_polygon(Passed *passed, const TbVec2 p[], size_t count, TbFault *fault)
{
    void *points = passed->points, *ends = passed->ends;

    for (size_t i = 0; i < count; i++) {
        if (tb_grow_array(&points, &passed->point_room, passed->point_count, sizeof *p) != 0)
            return no_room(fault);
        passed->points = points;
        passed->points[passed->point_count++] = p[i];
    }
    if (tb_grow_array(&ends, &passed->end_room, passed->end_count, sizeof *passed->ends) != 0)
        return no_room(fault);
    passed->ends = ends;
    passed->ends[passed->end_count++] = passed->point_count;
    return TB_OK;
}

static TbVec2
crossing(const Passed *passed, size_t below, size_t above)
{
    double share = passed->height[below] / (passed->height[below] - passed->height[above]);

    return tb_vec2_add(
        passed->paper[below],
        tb_vec2_scale(tb_vec2_sub(passed->paper[above], passed->paper[below]), share));
}

/**
 * The furthest crossing in a direction. The line through both points of a crossing, in the plane of
 * the direction and the height, has nothing beyond it where no other crossing is further; else what
 * lies furthest beyond it takes the place of the one on its side.
 */
static void
go_furthest(const Passed *passed, size_t count, TbVec2 way, size_t *below, size_t *above)
{
    for (size_t round = 0; round < count; round++) {
        double s = tb_vec2_dot(way, passed->paper[*below]), h = passed->height[*below];
        double slope = (tb_vec2_dot(way, passed->paper[*above]) - s) / (h - passed->height[*above]);
        /* rounding of sums of millimetres: a further one than that is none */
        double most = s + slope * h + 1e-9 * (1 + fabs(s));
        size_t best = count;

        for (size_t i = 0; i < count; i++) {
            double value = tb_vec2_dot(way, passed->paper[i]) + slope * passed->height[i];

            if (value > most) {
                most = value;
                best = i;
            }
        }
        if (best == count)
            return;
        if (passed->height[best] <= 0)
            *below = best;
        else
            *above = best;
    }
}

/** What the plane cuts of the hull of many points: the crossing furthest in each direction. */
static size_t
gather_furthest(Passed *passed, size_t count)
{
    size_t below = 0, above = 0;

    for (size_t i = 0; i < count; i++)
        if (passed->height[i] <= 0)
            below = i;
        else
            above = i;
    for (size_t k = 0; k < WAYS; k++) {
        double angle = 2 * M_PI * (double)k / WAYS;

        go_furthest(passed, count, tb_vec2(cos(angle), sin(angle)), &below, &above);
        passed->gather[k] = crossing(passed, below, above);
    }
    return WAYS;
}

/** Of few points: all crossings. */
static size_t
gather_all(Passed *passed, size_t count)
{
    size_t held = 0;

    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < count && passed->height[i] <= 0; k++)
            if (passed->height[k] > 0)
                passed->gather[held++] = crossing(passed, i, k);
    return held;
}

/** What the plane cuts of the hull of the points that are laid out. */
static TbStatus
cut_hull(Passed *passed, size_t count, TbFault *fault)
{
    size_t held = count > FEW ? gather_furthest(passed, count) : gather_all(passed, count);
    TbVec2 *hull = passed->gather + GATHER;

    held = tb_polygon_hull(passed->gather, held, hull);
    return held < 3 ? TB_OK : keep_polygon(passed, hull, held, fault);
}

/* ---- bodies ---- */

static bool
make_room(Passed *passed, size_t count)
{
    void *at, *paper, *height;

    if (count <= passed->room)
        return true;
    at = tb_resize_array(passed->at, count, sizeof *passed->at);
    passed->at = at == NULL ? passed->at : at;
    paper = tb_resize_array(passed->paper, count, sizeof *passed->paper);
    passed->paper = paper == NULL ? passed->paper : paper;
    height = tb_resize_array(passed->height, count, sizeof *passed->height);
    passed->height = height == NULL ? passed->height : height;
    if (at == NULL || paper == NULL || height == NULL)
        return false;
    passed->room = count;
    return true;
}

/** A convex body, as the hull of points, through all cells. */
static TbStatus
pass_body(Passed *passed, const TbVec3 p[], size_t count, TbFault *fault)
{
    const TbPassing *passing = passed->passing;
    TbStatus status = TB_OK;

    if (!make_room(passed, count * passing->corners))
        return no_room(fault);
    for (size_t c = 0; c < passing->cells && status == TB_OK; c++) {
        const TbPose *pose = passing->pose + c * passing->corners;
        int sides = 0;

        for (size_t i = 0; i < count * passing->corners; i++) {
            passed->at[i] = tb_pose_point(pose[i / count], p[i % count]);
            passed->height[i] = tb_plane_height(passed->plane, passed->at[i]);
            sides |= passed->height[i] <= 0 ? 1 : 2;
        }
        if (sides != 3)
            continue;
        for (size_t i = 0; i < count * passing->corners; i++)
            passed->paper[i] = tb_plane_project(passed->plane, passed->at[i]);
        status = cut_hull(passed, count * passing->corners, fault);
    }
    return status;
}

static TbStatus
pass_sweep(Passed *passed, const TbSweep *sweep, double chord, TbFault *fault)
{
    TbCutRings rings;
    TbStatus status = tb_cut_rings(&rings, sweep, chord, fault);

    for (size_t r = 0; status == TB_OK && r + 1 < rings.count; r++)
        status = pass_body(passed, rings.points + r * rings.columns, 2 * rings.columns, fault);
    tb_cut_rings_clear(&rings);
    return status;
}

static bool
is_convex(const TbPart *part)
{
    return part->kind == TB_PART_PLAIN && part->piece_count == 1;
}

static TbStatus
pass_mesh(Passed *passed, const TbMesh *mesh, bool convex, TbFault *fault)
{
    TbStatus status = TB_OK;

    if (convex)
        return pass_body(passed, tb_mesh_vertices(mesh), tb_mesh_vertex_count(mesh), fault);
    for (size_t i = 0; i < tb_mesh_triangle_count(mesh) && status == TB_OK; i++) {
        TbVec3 t[3];

        tb_mesh_corners(mesh, i, t);
        status = pass_body(passed, t, 3, fault);
    }
    return status;
}

static TbStatus
pass_part(Passed *passed, const TbPart *part, double chord, TbFault *fault)
{
    TbMesh *mesh = NULL;
    TbStatus status;

    if (part->kind == TB_PART_SWEEP)
        return pass_sweep(passed, part->sweep, chord, fault);
    status = tb_solid_part_mesh(part, chord / 2, &mesh, fault);
    if (status == TB_OK)
        status = pass_mesh(passed, mesh, is_convex(part), fault);
    tb_mesh_unref(mesh);
    return status;
}

/* ---- the union ---- */

static TbStatus
cover_polygons(TbCutCover *cover, const Passed *passed, TbFault *fault)
{
    size_t first = 0;

    for (size_t i = 0; i < passed->end_count; i++) {
        size_t end = passed->ends[i];

        for (size_t k = first; k < end; k++)
            tb_cut__cover_edge(
                cover, tb_cut__cover_place(cover, passed->points[k]),
                tb_cut__cover_place(cover, passed->points[k + 1 < end ? k + 1 : first]));
        if (!tb_cut__cover_close(cover))
            return no_room(fault);
        first = end;
    }
    return TB_OK;
}

static TbStatus
unite(const Passed *passed, TbCut *cut, double chord, TbFault *fault)
{
    TbVec2 low = {INFINITY, INFINITY}, high = {-INFINITY, -INFINITY};
    TbCutCover cover = {.step = 0};
    TbStatus status;

    if (passed->end_count == 0)
        return TB_OK;
    for (size_t i = 0; i < passed->point_count; i++) {
        low = tb_vec2(fmin(low.x, passed->points[i].x), fmin(low.y, passed->points[i].y));
        high = tb_vec2(fmax(high.x, passed->points[i].x), fmax(high.y, passed->points[i].y));
    }
    status = tb_cut__cover_begin(&cover, low, high, chord, chord, fault);
    if (status == TB_OK)
        status = cover_polygons(&cover, passed, fault);
    if (status == TB_OK)
        status = tb_cut__cover_trace(&cover, cut, 0, fault);
    tb_cut__cover_clear(&cover);
    return status;
}

/** Takes holes out where they may be the inside of a mesh, which only its surface was passed of. */
static void
drop_holes(TbCut *cut, TbCutMark mark)
{
    size_t kept = mark.loops;

    for (size_t i = mark.loops; i < cut->loop_count; i++)
        if (cut->loops[i].depth == 0)
            cut->loops[kept++] = cut->loops[i];
    cut->loop_count = kept;
}

static bool
is_hollow(const TbSolid *solid)
{
    for (size_t i = 0; i < tb_solid_part_count(solid); i++)
        if (tb_solid_part(solid, i)->kind != TB_PART_SWEEP && !is_convex(tb_solid_part(solid, i)))
            return true;
    return false;
}

TbStatus
tb_cut_add_passed(TbCut *cut,
                  const TbSolid *solid,
                  const TbPassing *passing,
                  TbPlane plane,
                  double chord,
                  TbFault *fault)
{
    TbCutMark mark = tb_cut__mark(cut);
    Passed passed = {.passing = passing, .plane = plane};
    TbStatus status = TB_OK;

    TB_ASSERT(chord > 0);
    passed.gather = tb_alloc_array(3 * GATHER, sizeof *passed.gather);
    if (passed.gather == NULL)
        status = no_room(fault);
    for (size_t i = 0; i < tb_solid_part_count(solid) && status == TB_OK; i++)
        status = pass_part(&passed, tb_solid_part(solid, i), chord, fault);
    if (status == TB_OK)
        status = unite(&passed, cut, chord, fault);
    if (status == TB_OK)
        status = tb_cut__nest(cut, mark, fault);
    if (status == TB_OK && is_hollow(solid))
        drop_holes(cut, mark);
    if (status != TB_OK)
        tb_cut__back(cut, mark);
    tb_free(passed.at);
    tb_free(passed.paper);
    tb_free(passed.height);
    tb_free(passed.gather);
    tb_free(passed.points);
    tb_free(passed.ends);
    return status;
}

/* ---- sizes ---- */

static double
size_of_sweep(const TbSweep *sweep)
{
    double size = 0;

    for (int i = 0; i < SIZE_DISCS; i++) {
        TbDisc disc = tb_sweep_at(sweep, tb_sweep_length(sweep) * i / (SIZE_DISCS - 1));

        size = fmax(size, 2 * tb_slice_reach(&disc.slice, true));
    }
    return size;
}

static double
size_of_mesh(const TbMesh *mesh)
{
    double size = 0;

    for (size_t i = 0; i < tb_mesh_triangle_count(mesh); i++) {
        TbVec3 t[3];

        tb_mesh_corners(mesh, i, t);
        for (int k = 0; k < 3; k++)
            size = fmax(size, tb_vec3_distance(t[k], t[(k + 1) % 3]));
    }
    return size;
}

double
tb_cut_passed_size(const TbSolid *solid)
{
    double size = 0;

    for (size_t i = 0; i < tb_solid_part_count(solid); i++) {
        const TbPart *part = tb_solid_part(solid, i);
        TbBox3 box = tb_solid_part_box(part);

        size = fmax(size, part->kind == TB_PART_SWEEP  ? size_of_sweep(part->sweep)
                          : part->kind == TB_PART_MESH ? size_of_mesh(tb_tree_mesh(part->tree))
                                                       : tb_vec3_distance(box.low, box.high));
    }
    return size;
}
