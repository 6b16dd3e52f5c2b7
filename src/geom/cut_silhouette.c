/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Silhouettes: what lies beyond a plane, as closed polygons on paper. Convex parts are hulls
 * (cut_hull.c), sweeps shadows (cut_shadow.c); others by their triangles on a grid. A grid point is
 * covered or not; between a covered point and its uncovered neighbour the triangles' own edges tell
 * where the outline passes, so the outline is not stepped.
 */

#include "base/mem.h"
#include "geom/cut_private.h"
#include "geom/tol.h"

/** Grid points along the longer side at most: 2048^2 points of 5 bytes are 20 MiB. */
#define GRID_MOST 2048

/** Share of a grid step by which thinning may move the outline. */
#define GRID_THIN 0.08

/* ---- grids ---- */

/** A grid point: covered or not, and how far the cover reaches towards each neighbour, in 255ths
 * of a step. */
typedef struct Dot {
    unsigned char covered, right, left, up, down;
} Dot;

typedef struct Grid {
    TbVec2 low;
    double step;
    size_t wide, high; /**< points, an empty border included */
    Dot *dots;
    TbCutSegments segments;
} Grid;

/** A triangle's part beyond the plane: 0, 3 or 4 points on paper. */
static int
clip_triangle(TbPlane plane, const TbVec3 t[3], TbVec2 out[4])
{
    int count = 0;

    for (int i = 0; i < 3; i++) {
        TbVec3 a = t[i];
        TbVec3 b = t[(i + 1) % 3];
        double from = tb_plane_height(plane, a);
        double to = tb_plane_height(plane, b);

        if (from <= 0)
            out[count++] = tb_plane_project(plane, a);
        if ((from <= 0) != (to <= 0))
            out[count++] = tb_plane_project(plane, tb_vec3_mix(a, b, from / (from - to)));
    }
    return count;
}

static unsigned char
reach(double steps)
{
    return (unsigned char)lround(255 * fmax(0, fmin(1, steps)));
}

static void
raise(unsigned char *to, unsigned char value)
{
    if (value > *to)
        *to = value;
}

/** The span of a convex polygon on one line across it; empty when low > high. */
static void
span_at(const TbVec2 p[], int count, double y, bool by_rows, double *low, double *high)
{
    *low = INFINITY;
    *high = -INFINITY;
    for (int i = 0; i < count; i++) {
        TbVec2 a = p[i];
        TbVec2 b = p[(i + 1) % count];
        double from = by_rows ? a.y : a.x;
        double to = by_rows ? b.y : b.x;
        double at = by_rows ? a.x : a.y;
        double next = by_rows ? b.x : b.y;

        if ((from <= y) == (to <= y))
            continue;
        at += (y - from) / (to - from) * (next - at);
        *low = fmin(*low, at);
        *high = fmax(*high, at);
    }
}

/** Covers the grid points of one row or column that lie in a span, all in grid steps. */
static void
cover_span(Grid *grid, size_t line, bool by_rows, double low, double high)
{
    size_t stride = by_rows ? 1 : grid->wide;
    Dot *dots = grid->dots + line * (by_rows ? grid->wide : 1);
    double most = (double)(by_rows ? grid->wide : grid->high) - 1;
    size_t from = (size_t)fmax(0, ceil(low));
    size_t to = (size_t)fmin(most, fmax(0, floor(high)));

    if ((double)from < low || (double)to > high)
        return;
    for (size_t i = from; i <= to; i++) {
        Dot *dot = dots + i * stride;

        dot->covered = 1;
        raise(by_rows ? &dot->left : &dot->down, reach((double)i - low));
        raise(by_rows ? &dot->right : &dot->up, reach(high - (double)i));
    }
}

static void
cover_polygon(Grid *grid, TbVec2 p[], int count)
{
    double low[2] = {INFINITY, INFINITY};
    double high[2] = {-INFINITY, -INFINITY};

    for (int i = 0; i < count; i++) {
        p[i] = tb_vec2_scale(tb_vec2_sub(p[i], grid->low), 1 / grid->step);
        low[0] = fmin(low[0], p[i].y);
        high[0] = fmax(high[0], p[i].y);
        low[1] = fmin(low[1], p[i].x);
        high[1] = fmax(high[1], p[i].x);
    }
    for (int way = 0; way < 2; way++)
        for (double line = fmax(0, ceil(low[way])); line <= high[way]; line++) {
            double from;
            double to;

            span_at(p, count, line, way == 0, &from, &to);
            if (from <= to)
                cover_span(grid, (size_t)line, way == 0, from, to);
        }
}

/** Reserves a grid around the mesh's part beyond the plane; false when there is none. */
static bool
frame_grid(Grid *grid, const TbMesh *mesh, TbPlane plane, double chord)
{
    TbVec2 low = {INFINITY, INFINITY};
    TbVec2 high = {-INFINITY, -INFINITY};
    double size;

    for (size_t i = 0; i < tb_mesh_triangle_count(mesh); i++) {
        TbVec3 t[3];
        TbVec2 p[4];
        int count;

        tb_mesh_corners(mesh, i, t);
        count = clip_triangle(plane, t, p);
        for (int k = 0; k < count; k++) {
            low = tb_vec2(fmin(low.x, p[k].x), fmin(low.y, p[k].y));
            high = tb_vec2(fmax(high.x, p[k].x), fmax(high.y, p[k].y));
        }
    }
    if (!(low.x <= high.x))
        return false;
    size = fmax(high.x - low.x, high.y - low.y);
    grid->step = fmax(chord, size / (GRID_MOST - 4));
    /* odd shares, so that grid lines seldom run along sides of the body */
    grid->low = tb_vec2(low.x - 1.3701 * grid->step, low.y - 1.4142 * grid->step);
    grid->wide = (size_t)ceil((high.x - grid->low.x) / grid->step) + 2;
    grid->high = (size_t)ceil((high.y - grid->low.y) / grid->step) + 2;
    return true;
}

/** Edges are numbered by the point they leave to the right (even) or upwards (odd). */
static bool
outline_point(void *user, uint64_t edge, TbVec2 *point)
{
    const Grid *grid = user;
    size_t number = (size_t)(edge / 2);
    bool upwards = edge % 2 == 1;
    const Dot *from = &grid->dots[number];
    const Dot *to = from + (upwards ? grid->wide : 1);
    double share = from->covered ? (upwards ? from->up : from->right) / 255.0
                                 : 1 - (upwards ? to->down : to->left) / 255.0;
    double x = (double)(number % grid->wide) + (upwards ? 0 : share);
    double y = (double)(number / grid->wide) + (upwards ? share : 0);

    *point = tb_vec2_add(grid->low, tb_vec2_scale(tb_vec2(x, y), grid->step));
    return true;
}

static TbStatus
march_grid(Grid *grid, TbFault *fault)
{
    TbStatus status = TB_OK;

    for (size_t j = 0; j + 1 < grid->high && status == TB_OK; j++)
        for (size_t i = 0; i + 1 < grid->wide && status == TB_OK; i++) {
            size_t at = j * grid->wide + i;
            const Dot *dot = grid->dots + at;
            const bool inside[4] = {dot[0].covered, dot[1].covered, dot[grid->wide + 1].covered,
                                    dot[grid->wide].covered};
            const uint64_t edge[4] = {2 * at, 2 * (at + 1) + 1, 2 * (at + grid->wide), 2 * at + 1};

            status = tb_cut__square(&grid->segments, inside, edge, true, fault);
        }
    return status;
}

/** Directions in which a straight line from a point passes near every point so far: between two of
 * them, left and right. */
typedef struct Wedge {
    TbVec2 from, left, right;
    bool all;     /**< no point so far tells anything */
    double reach; /**< of the furthest one */
} Wedge;

/** Whether the line from the wedge's tip to @p p passes near all points so far. */
static bool
holds(const Wedge *wedge, TbVec2 p)
{
    TbVec2 way = tb_vec2_sub(p, wedge->from);

    /* going back is no straight piece */
    return wedge->all ||
           (tb_vec2_length(way) >= wedge->reach && tb_vec2_cross(wedge->right, way) >= 0 &&
            tb_vec2_cross(way, wedge->left) >= 0);
}

/** Narrows the wedge to what passes within @p near of one more point. */
static void
narrow(Wedge *wedge, TbVec2 p, double near)
{
    TbVec2 way = tb_vec2_sub(p, wedge->from);
    double length = tb_vec2_length(way), sine, cosine;
    TbVec2 left, right;

    wedge->reach = fmax(wedge->reach, length);
    if (length <= near)
        return;
    sine = near / length;
    cosine = sqrt(1 - sine * sine);
    left = tb_vec2(cosine * way.x - sine * way.y, sine * way.x + cosine * way.y);
    right = tb_vec2(cosine * way.x + sine * way.y, cosine * way.y - sine * way.x);
    if (wedge->all || tb_vec2_cross(left, wedge->left) > 0)
        wedge->left = left;
    if (wedge->all || tb_vec2_cross(wedge->right, right) > 0)
        wedge->right = right;
    wedge->all = false;
}

TbStatus
tb_cut__thinned(TbCut *cut, const TbCut *traced, double near, TbFault *fault)
{
    TbStatus status = TB_OK;

    for (size_t l = 0; l < traced->loop_count && status == TB_OK; l++) {
        const TbLoop *loop = &traced->loops[l];
        const TbVec2 *p = traced->points + loop->first;
        size_t first = cut->point_count;

        for (size_t i = 0; i < loop->count && status == TB_OK;) {
            size_t next = i + 1;
            Wedge wedge = {.from = p[i], .all = true};

            status = tb_cut__point(cut, first, p[i], fault);
            while (next < loop->count) {
                narrow(&wedge, p[next], near);
                if (!holds(&wedge, p[(next + 1) % loop->count]))
                    break;
                next++;
            }
            i = next;
        }
        if (status == TB_OK)
            status = tb_cut__end(cut, first, TB_LOOP_OUTER, loop->role, fault);
    }
    return status;
}

static TbStatus
trace_mesh(TbCut *cut, const TbMesh *mesh, TbPlane plane, double chord, int role, TbFault *fault)
{
    Grid grid = {0};
    TbCut traced;
    TbStatus status;

    if (!frame_grid(&grid, mesh, plane, chord))
        return TB_OK;
    grid.dots = tb_alloc_array(grid.wide * grid.high, sizeof *grid.dots);
    if (grid.dots == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for a silhouette of %zu x %zu points",
                       grid.wide, grid.high);
    for (size_t i = 0; i < tb_mesh_triangle_count(mesh); i++) {
        TbVec3 t[3];
        TbVec2 p[4];
        int count;

        tb_mesh_corners(mesh, i, t);
        count = clip_triangle(plane, t, p);
        if (count >= 3)
            cover_polygon(&grid, p, count);
    }
    tb_cut_init(&traced);
    status = march_grid(&grid, fault);
    if (status == TB_OK)
        status = tb_cut__chain(&grid.segments, outline_point, &grid, &traced, role, fault);
    if (status == TB_OK)
        status = tb_cut__thinned(cut, &traced, GRID_THIN * grid.step, fault);
    tb_cut_clear(&traced);
    tb_free(grid.segments.all);
    tb_free(grid.dots);
    return status;
}

/* ---- parts ---- */

static bool
is_convex(const TbPart *part)
{
    return part->kind == TB_PART_PLAIN && part->piece_count == 1 &&
           !(part->plain.kind == TB_PLAIN_OUTLINE && part->plain.outline.rounding > 0);
}

/** How all parts of a solid are drawn. */
typedef struct Drawn {
    const TbCutRings *rings; /**< of one of its sweeps; NULL: they are made */
    TbPlane plane;
    double chord, step;
} Drawn;

static TbStatus
add_sweep(TbCut *cut, const TbPart *part, const Drawn *drawn, TbFault *fault)
{
    const TbCutRings *rings = drawn->rings;
    TbCutRings own = {.sweep = NULL};
    TbStatus status = TB_OK;

    if (rings == NULL || rings->sweep != part->sweep) {
        status = tb_cut_rings(&own, part->sweep, drawn->chord, fault);
        rings = &own;
    }
    if (status == TB_OK)
        status =
            tb_cut__shadow(cut, rings, drawn->plane, drawn->chord, drawn->step, part->role, fault);
    tb_cut_rings_clear(&own);
    return status;
}

static TbStatus
add_part(TbCut *cut, const TbPart *part, const Drawn *drawn, TbFault *fault)
{
    TbCutMark mark = tb_cut__mark(cut);
    TbMesh *mesh = NULL;
    TbStatus status;

    if (is_convex(part)) {
        status = tb_cut__hull(cut, part, drawn->plane, drawn->chord, fault);
    } else if (part->kind == TB_PART_SWEEP) {
        status = add_sweep(cut, part, drawn, fault);
    } else {
        status = tb_solid_part_mesh(part, drawn->chord / 2, &mesh, fault);
        if (status == TB_OK)
            status = trace_mesh(cut, mesh, drawn->plane, drawn->chord, part->role, fault);
        tb_mesh_unref(mesh);
    }
    return status == TB_OK ? tb_cut__nest(cut, mark, fault) : status;
}

TbStatus
tb_cut_add_silhouette_on(TbCut *cut,
                         const TbSolid *solid,
                         const TbCutRings *rings,
                         TbPlane plane,
                         double chord,
                         double step,
                         TbFault *fault)
{
    Drawn drawn = {rings, plane, chord, step};
    TbCutMark mark = tb_cut__mark(cut);
    TbStatus status = TB_OK;

    TB_ASSERT(chord > 0 && step >= chord);
    for (size_t i = 0; i < tb_solid_part_count(solid) && status == TB_OK; i++)
        status = add_part(cut, tb_solid_part(solid, i), &drawn, fault);
    if (status != TB_OK)
        tb_cut__back(cut, mark);
    return status;
}

TbStatus
tb_cut_add_silhouette(TbCut *cut, const TbSolid *solid, TbPlane plane, double chord, TbFault *fault)
{
    return tb_cut_add_silhouette_on(cut, solid, NULL, plane, chord, chord, fault);
}
