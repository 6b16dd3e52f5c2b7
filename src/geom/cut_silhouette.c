/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Silhouettes: what lies beyond a plane, as closed polygons on paper. Convex parts by the hull of
 * their points; others by their triangles on a grid. A grid point is covered or not; between a
 * covered point and its uncovered neighbour the triangles' own edges tell where the outline passes,
 * so the outline is not stepped.
 */

#include "base/mem.h"
#include "geom/cut_private.h"
#include "geom/polygon.h"
#include "geom/tol.h"

/** Grid points along the longer side at most: 2048^2 points of 5 bytes are 20 MiB. */
#define GRID_MOST 2048

/** Share of a grid step by which thinning may move the outline. */
#define GRID_THIN 0.08

/* ---- hulls ---- */

typedef struct Cloud {
    TbVec2 *all;
    size_t count, room;
} Cloud;

static TbStatus
add_to_cloud(Cloud *cloud, TbVec2 p, TbFault *fault)
{
    void *all = cloud->all;

    if (tb_grow_array(&all, &cloud->room, cloud->count, sizeof p) != 0)
        return tb_fail(fault, TB_E_MEMORY, "no room for a silhouette of %zu points", cloud->count);
    cloud->all = all;
    cloud->all[cloud->count++] = p;
    return TB_OK;
}

/** Adds what of a segment lies beyond the plane. */
static TbStatus
add_segment(Cloud *cloud, TbPlane plane, TbVec3 a, TbVec3 b, TbFault *fault)
{
    double from = tb_plane_height(plane, a);
    double to = tb_plane_height(plane, b);
    TbStatus status = TB_OK;

    if (from <= 0)
        status = add_to_cloud(cloud, tb_plane_project(plane, a), fault);
    if (status == TB_OK && to <= 0)
        status = add_to_cloud(cloud, tb_plane_project(plane, b), fault);
    if (status == TB_OK && (from < 0) != (to < 0) && from != to)
        status = add_to_cloud(cloud, tb_plane_project(plane, tb_vec3_mix(a, b, from / (from - to))),
                              fault);
    return status;
}

/** The cloud's hull, as a loop. */
static TbStatus
add_hull(TbCut *cut, Cloud *cloud, int role, TbFault *fault)
{
    TbVec2 *hull = tb_alloc_array(2 * cloud->count, sizeof *hull);
    size_t first = cut->point_count, count;
    TbStatus status = TB_OK;

    if (hull == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for a silhouette of %zu points", cloud->count);
    count = tb_polygon_hull(cloud->all, cloud->count, hull);
    for (size_t i = 0; i < count && status == TB_OK; i++)
        status = tb_cut__point(cut, first, hull[i], fault);
    tb_free(hull);
    return status == TB_OK ? tb_cut__end(cut, first, TB_LOOP_OUTER, role, fault) : status;
}

/** Chords of a full turn within @p chord mm. */
static int
turn_count(double radius, double chord)
{
    double cosine = radius > 0 ? 1 - chord / radius : 0;

    return cosine > 0 ? (int)fmax(16, fmin(720, ceil(M_PI / acos(cosine)))) : 16;
}

static TbVec3
circle_point(const TbCircle *circle, TbVec3 x, TbVec3 y, double angle)
{
    TbVec3 p = tb_vec3_add_scaled(circle->centre, circle->radius * cos(angle), x);

    return tb_vec3_add_scaled(p, circle->radius * sin(angle), y);
}

/** Adds where a segment passes the plane. */
static TbStatus
add_passage(Cloud *cloud, TbPlane plane, TbVec3 a, TbVec3 b, TbFault *fault)
{
    double from = tb_plane_height(plane, a);
    double to = tb_plane_height(plane, b);

    if ((from < 0) == (to < 0) || from == to)
        return TB_OK;
    return add_to_cloud(cloud, tb_plane_project(plane, tb_vec3_mix(a, b, from / (from - to))),
                        fault);
}

/** A rod: its generators and the chords of its end circles, beyond the plane. */
static TbStatus
add_rod(Cloud *cloud, const TbConvex *body, TbPlane plane, double chord, TbFault *fault)
{
    const TbCircle *a = &body->circle[0];
    const TbCircle *b = &body->circle[1];
    TbVec3 helper = fabs(a->axis.x) < M_SQRT1_2 ? tb_vec3(1, 0, 0) : tb_vec3(0, 1, 0);
    TbVec3 x = tb_vec3_unit(tb_vec3_across(helper, a->axis));
    TbVec3 y = tb_vec3_cross(a->axis, x);
    int count = turn_count(fmax(a->radius, b->radius), chord);
    TbVec3 from_a = circle_point(a, x, y, 0), from_b = circle_point(b, x, y, 0);
    TbStatus status = TB_OK;

    for (int i = 0; i < count && status == TB_OK; i++) {
        double to = 2 * M_PI * (i + 1) / count;
        TbVec3 to_a = circle_point(a, x, y, to), to_b = circle_point(b, x, y, to);

        status = add_segment(cloud, plane, from_a, from_b, fault);
        if (status == TB_OK)
            status = add_passage(cloud, plane, from_a, to_a, fault);
        if (status == TB_OK)
            status = add_passage(cloud, plane, from_b, to_b, fault);
        from_a = to_a;
        from_b = to_b;
    }
    return status;
}

static TbStatus
add_corners(Cloud *cloud, const TbConvex *body, TbPlane plane, TbFault *fault)
{
    TbStatus status = TB_OK;

    /* all pairs: edges are among them, and the others add nothing outside the hull */
    for (int i = 0; i < body->points; i++)
        for (int k = i + 1; k < body->points && status == TB_OK; k++)
            status = add_segment(cloud, plane, body->point[i], body->point[k], fault);
    return status;
}

static TbStatus
add_ball(Cloud *cloud, const TbBall *ball, TbPlane plane, double chord, TbFault *fault)
{
    double height = tb_plane_height(plane, ball->centre);
    double radius2 = ball->radius * ball->radius - fmax(0, height) * fmax(0, height);
    TbVec2 centre = tb_plane_project(plane, ball->centre);
    int count = turn_count(ball->radius, chord);
    TbStatus status = TB_OK;

    for (int i = 0; i < count && status == TB_OK && radius2 > 0; i++) {
        double angle = 2 * M_PI * i / count;

        status = add_to_cloud(
            cloud,
            tb_vec2(centre.x + sqrt(radius2) * cos(angle), centre.y + sqrt(radius2) * sin(angle)),
            fault);
    }
    return status;
}

static TbStatus
add_convex(TbCut *cut, const TbPart *part, TbPlane plane, double chord, TbFault *fault)
{
    const TbConvex *body = &part->pieces[0];
    Cloud cloud = {0};
    TbStatus status;

    if (part->plain.kind == TB_PLAIN_BALL)
        status = add_ball(&cloud, &part->plain.ball, plane, chord, fault);
    else if (part->plain.kind == TB_PLAIN_ROD)
        status = add_rod(&cloud, body, plane, chord, fault);
    else
        status = add_corners(&cloud, body, plane, fault);
    if (status == TB_OK)
        status = cloud.count < 3 ? TB_OK : add_hull(cut, &cloud, part->role, fault);
    tb_free(cloud.all);
    return status;
}

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

static TbStatus
add_part(TbCut *cut, const TbPart *part, TbPlane plane, double chord, TbFault *fault)
{
    TbCutMark mark = tb_cut__mark(cut);
    TbMesh *mesh = NULL;
    TbStatus status;

    if (is_convex(part)) {
        status = add_convex(cut, part, plane, chord, fault);
    } else if (part->kind == TB_PART_SWEEP) {
        status = tb_cut__shadow(cut, part->sweep, plane, chord, part->role, fault);
    } else {
        status = tb_solid_part_mesh(part, chord / 2, &mesh, fault);
        if (status == TB_OK)
            status = trace_mesh(cut, mesh, plane, chord, part->role, fault);
        tb_mesh_unref(mesh);
    }
    return status == TB_OK ? tb_cut__nest(cut, mark, fault) : status;
}

TbStatus
tb_cut_add_silhouette(TbCut *cut, const TbSolid *solid, TbPlane plane, double chord, TbFault *fault)
{
    TbCutMark mark = tb_cut__mark(cut);
    TbStatus status = TB_OK;

    TB_ASSERT(chord > 0);
    for (size_t i = 0; i < tb_solid_part_count(solid) && status == TB_OK; i++)
        status = add_part(cut, tb_solid_part(solid, i), plane, chord, fault);
    if (status != TB_OK)
        tb_cut__back(cut, mark);
    return status;
}
