/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Solids as triangles, for export and for pictures; gaps and cuts never use these. */

#include "geom/solid.h"

#include "base/mem.h"
#include "geom/polygon.h"

#include <string.h>

/** Chords of a full turn of radius r, each within @p chord mm of it; 8 to 720. */
static int
turn_count(double radius, double chord)
{
    double cosine = radius > 0 ? 1 - chord / radius : 0;
    double count = cosine > 0 ? ceil(M_PI / acos(cosine)) : 8;

    return (int)fmax(8, fmin(720, count));
}

/* ---- rings: rows of equally many points, joined by triangles ---- */

static TbStatus
add_triangle(TbMeshBuilder *to, TbVec3 a, TbVec3 b, TbVec3 c, TbFault *fault)
{
    const TbVec3 corner[3] = {a, b, c};

    return tb_mesh_builder_add(to, corner, fault);
}

/** Band between two rings of points; outward when both run counter-clockwise seen from above and
 * @p high lies above. */
static TbStatus
add_band(TbMeshBuilder *to, const TbVec3 low[], const TbVec3 high[], size_t count, TbFault *fault)
{
    TbStatus status = TB_OK;

    for (size_t i = 0; i < count && status == TB_OK; i++) {
        size_t next = (i + 1) % count;

        status = add_triangle(to, low[i], low[next], high[next], fault);
        if (status == TB_OK)
            status = add_triangle(to, low[i], high[next], high[i], fault);
    }
    return status;
}

/* ---- rods and balls: rings about an axis ---- */

typedef struct Lathe {
    TbVec3 origin, axis, x, y;
    int count; /**< points of a ring */
} Lathe;

static Lathe
lathe_of(TbVec3 origin, TbVec3 axis, int count)
{
    TbVec3 helper = fabs(axis.z) < M_SQRT1_2 ? tb_vec3(0, 0, 1) : tb_vec3(1, 0, 0);
    Lathe lathe = {origin, axis, tb_vec3_unit(tb_vec3_cross(helper, axis)), {0, 0, 0}, count};

    lathe.y = tb_vec3_cross(axis, lathe.x);
    return lathe;
}

static void
turn_ring(const Lathe *lathe, double z, double radius, TbVec3 ring[])
{
    TbVec3 centre = tb_vec3_add_scaled(lathe->origin, z, lathe->axis);

    for (int i = 0; i < lathe->count; i++) {
        double angle = 2 * M_PI * i / lathe->count;
        TbVec3 p = tb_vec3_add_scaled(centre, radius * cos(angle), lathe->x);

        ring[i] = tb_vec3_add_scaled(p, radius * sin(angle), lathe->y);
    }
}

/** Surface of revolution of a profile (z, r) that starts and ends on the axis, z rising. */
static TbStatus
add_lathe(TbMeshBuilder *to, const Lathe *lathe, const TbVec2 profile[], int rows, TbFault *fault)
{
    size_t count = (size_t)lathe->count;
    TbVec3 *low = tb_alloc_array(2 * count, sizeof *low);
    TbStatus status = TB_OK;

    if (low == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for a ring of %zu points", count);
    for (int i = 0; i + 1 < rows && status == TB_OK; i++) {
        turn_ring(lathe, profile[i].x, profile[i].y, low);
        turn_ring(lathe, profile[i + 1].x, profile[i + 1].y, low + count);
        status = add_band(to, low, low + count, count, fault);
    }
    tb_free(low);
    return status;
}

static TbStatus
add_rod(TbMeshBuilder *to, const TbRod *rod, double chord, TbFault *fault)
{
    double length = tb_vec3_distance(rod->a, rod->b);
    Lathe lathe = lathe_of(rod->a, tb_vec3_unit(tb_vec3_sub(rod->b, rod->a)),
                           turn_count(fmax(rod->radius_a, rod->radius_b), chord));
    const TbVec2 profile[4] = {{0, 0}, {0, rod->radius_a}, {length, rod->radius_b}, {length, 0}};

    return add_lathe(to, &lathe, profile, 4, fault);
}

static TbStatus
add_ball(TbMeshBuilder *to, const TbBall *ball, double chord, TbFault *fault)
{
    /* a facet strays by the sum of its two chords */
    int count = turn_count(ball->radius, chord / 2);
    int rows = count / 2 + 1;
    Lathe lathe = lathe_of(ball->centre, tb_vec3(0, 0, 1), count);
    TbVec2 *profile = tb_alloc_array((size_t)rows, sizeof *profile);
    TbStatus status;

    if (profile == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for a ball of %d rows", rows);
    for (int i = 0; i < rows; i++) {
        double angle = M_PI * i / (rows - 1);
        bool is_pole = i == 0 || i == rows - 1;

        profile[i] = tb_vec2(-ball->radius * cos(angle), is_pole ? 0 : ball->radius * sin(angle));
    }
    status = add_lathe(to, &lathe, profile, rows, fault);
    tb_free(profile);
    return status;
}

/* ---- blocks ---- */

static TbStatus
add_block(TbMeshBuilder *to, const TbBlock *block, TbFault *fault)
{
    TbStatus status = TB_OK;
    TbVec3 ring[2][4];
    static const double side[4][2] = {{-1, -1}, {1, -1}, {1, 1}, {-1, 1}};
    TbVec3 axis2 = tb_vec3_cross(block->axis[0], block->axis[1]);

    for (int level = 0; level < 2; level++)
        for (int i = 0; i < 4; i++) {
            TbVec3 p =
                tb_vec3_add_scaled(block->centre, side[i][0] * block->half[0], block->axis[0]);

            p = tb_vec3_add_scaled(p, side[i][1] * block->half[1], block->axis[1]);
            ring[level][i] = tb_vec3_add_scaled(p, (level ? 1 : -1) * block->half[2], axis2);
        }
    status = add_band(to, ring[0], ring[1], 4, fault);
    for (int i = 1; i < 3 && status == TB_OK; i++) {
        status = add_triangle(to, ring[0][0], ring[0][i + 1], ring[0][i], fault);
        if (status == TB_OK)
            status = add_triangle(to, ring[1][0], ring[1][i], ring[1][i + 1], fault);
    }
    return status;
}

/* ---- outlines ---- */

/** Arc points at a corner that turns out by @p angle; an inner corner has one. */
static size_t
corner_points(double angle, int full_turn)
{
    return angle > 0 ? (size_t)ceil(angle / (2 * M_PI) * full_turn) + 1 : 1;
}

static double
corner_angle(const TbOutline *outline, size_t i)
{
    size_t count = outline->count;
    TbVec2 in = tb_vec2_sub(outline->points[i], outline->points[(i + count - 1) % count]);
    TbVec2 out = tb_vec2_sub(outline->points[(i + 1) % count], outline->points[i]);

    return atan2(tb_vec2_cross(in, out), tb_vec2_dot(in, out));
}

/** The outline grown by @p t in its plane, at a height: arcs at outer corners, inner ones kept
 * sharp. */
static void
grown_ring(const TbOutline *outline, double t, double height, int full_turn, TbVec3 ring[])
{
    TbVec3 n = tb_vec3_cross(outline->u, outline->v);
    size_t count = outline->count;

    for (size_t i = 0; i < count; i++) {
        TbVec2 p = outline->points[i];
        TbVec2 in = tb_vec2_sub(p, outline->points[(i + count - 1) % count]);
        double angle = corner_angle(outline, i);
        double start = atan2(in.y, in.x) - M_PI_2;
        size_t points = corner_points(angle, full_turn);

        for (size_t k = 0; k < points; k++) {
            double share = points > 1 ? (double)k / (double)(points - 1) : 0.5;
            double at = start + angle * share;
            double reach = angle > 0 ? t : t / cos(angle / 2);
            TbVec3 q = tb_vec3_add_scaled(outline->origin, p.x + reach * cos(at), outline->u);

            q = tb_vec3_add_scaled(q, p.y + reach * sin(at), outline->v);
            *ring++ = tb_vec3_add_scaled(q, height, n);
        }
    }
}

static TbStatus
add_faces(TbMeshBuilder *to, const TbOutline *outline, TbFault *fault)
{
    size_t count = outline->count;
    size_t *index = tb_alloc_array(3 * (count - 2), sizeof *index);
    TbVec3 n = tb_vec3_cross(outline->u, outline->v);
    TbStatus status;

    if (index == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for an outline of %zu points", count);
    status = tb_polygon_triangulate(outline->points, count, index, fault);
    for (size_t i = 0; i < count - 2 && status == TB_OK; i++) {
        TbVec3 low[3];
        TbVec3 high[3];

        for (int k = 0; k < 3; k++) {
            TbVec2 p = outline->points[index[3 * i + (size_t)k]];
            TbVec3 q = tb_vec3_add_scaled(outline->origin, p.x, outline->u);

            q = tb_vec3_add_scaled(q, p.y, outline->v);
            low[k] = tb_vec3_add_scaled(q, -outline->rounding, n);
            high[k] = tb_vec3_add_scaled(q, outline->depth + outline->rounding, n);
        }
        status = add_triangle(to, low[0], low[2], low[1], fault);
        if (status == TB_OK)
            status = add_triangle(to, high[0], high[1], high[2], fault);
    }
    tb_free(index);
    return status;
}

/** Bands from the lower face, round its edge, up the flank, round the upper edge. Where the
 * rounding fills a notch the surface runs through itself there. */
static TbStatus
add_outline(TbMeshBuilder *to, const TbOutline *outline, double chord, TbFault *fault)
{
    int full_turn = turn_count(outline->rounding, chord / 2);
    int quarter = outline->rounding > 0 ? (full_turn + 3) / 4 : 0;
    size_t count = 0;
    TbVec3 *ring;
    TbStatus status;

    for (size_t i = 0; i < outline->count; i++)
        count += corner_points(corner_angle(outline, i), full_turn);
    ring = tb_alloc_array(2 * count, sizeof *ring);
    if (ring == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for an outline of %zu points", count);
    status = add_faces(to, outline, fault);
    grown_ring(outline, 0, -outline->rounding, full_turn, ring);
    for (int i = 1; i <= 2 * quarter + 1 && status == TB_OK; i++) {
        bool is_upper = i > quarter;
        double angle =
            quarter > 0 ? M_PI_2 * (is_upper ? i - quarter - 1 : quarter - i) / quarter : 0;
        double t = outline->rounding * cos(angle);
        double rise = outline->rounding * sin(angle);

        if (i == 2 * quarter + 1)
            t = 0;
        grown_ring(outline, t, is_upper ? outline->depth + rise : -rise, full_turn, ring + count);
        status = add_band(to, ring, ring + count, count, fault);
        memcpy(ring, ring + count, count * sizeof *ring);
    }
    tb_free(ring);
    return status;
}

/* ---- parts ---- */

static TbStatus
mesh_plain(const TbPlain *plain, double chord, TbMesh **mesh, TbFault *fault)
{
    TbMeshBuilder *builder = tb_mesh_builder_new();
    TbStatus status = TB_OK;

    if (builder == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for a mesh");
    if (plain->kind == TB_PLAIN_BLOCK)
        status = add_block(builder, &plain->block, fault);
    else if (plain->kind == TB_PLAIN_ROD)
        status = add_rod(builder, &plain->rod, chord, fault);
    else if (plain->kind == TB_PLAIN_BALL)
        status = add_ball(builder, &plain->ball, chord, fault);
    else
        status = add_outline(builder, &plain->outline, chord, fault);
    if (status == TB_OK)
        return tb_mesh_builder_finish(builder, NULL, NULL, mesh, fault);
    tb_mesh_builder_free(builder);
    return status;
}

TbStatus
tb_solid_part_mesh(const TbPart *part, double chord, TbMesh **mesh, TbFault *fault)
{
    TB_ASSERT(chord > 0);
    switch (part->kind) {
    case TB_PART_SWEEP:
        return tb_sweep_mesh(part->sweep, false, chord, mesh, fault);
    case TB_PART_PLAIN:
        return mesh_plain(&part->plain, chord, mesh, fault);
    case TB_PART_MESH:
        *mesh = tb_mesh_ref((TbMesh *)tb_tree_mesh(part->tree));
        return TB_OK;
    }
    return tb_fail(fault, TB_E_RANGE, "kind of part is %d", (int)part->kind);
}

/** One mesh of several, put one after the other; nothing is welded across. */
static TbStatus
gather(TbMesh *const meshes[], size_t count, TbMesh **mesh, TbFault *fault)
{
    size_t vertices = 0;
    size_t triangles = 0;
    TbVec3 *vertex = NULL;
    uint32_t *index = NULL;
    TbStatus status;

    for (size_t i = 0; i < count; i++) {
        vertices += tb_mesh_vertex_count(meshes[i]);
        triangles += tb_mesh_triangle_count(meshes[i]);
    }
    vertex = tb_alloc_array(vertices, sizeof *vertex);
    index = tb_alloc_array(3 * triangles, sizeof *index);
    if (vertex == NULL || index == NULL) {
        status = tb_fail(fault, TB_E_MEMORY, "no room for %zu triangles", triangles);
        goto done;
    }
    vertices = 0;
    triangles = 0;
    for (size_t i = 0; i < count; i++) {
        size_t more = 3 * tb_mesh_triangle_count(meshes[i]);
        const uint32_t *from = tb_mesh_indices(meshes[i]);

        memcpy(vertex + vertices, tb_mesh_vertices(meshes[i]),
               tb_mesh_vertex_count(meshes[i]) * sizeof *vertex);
        for (size_t k = 0; k < more; k++)
            index[3 * triangles + k] = (uint32_t)(from[k] + vertices);
        vertices += tb_mesh_vertex_count(meshes[i]);
        triangles += more / 3;
    }
    status = tb_mesh_from_arrays(vertex, vertices, index, triangles, mesh, fault);

done:
    tb_free(index);
    tb_free(vertex);
    return status;
}

TbStatus
tb_solid_mesh(const TbSolid *solid, double chord, TbMesh **mesh, TbFault *fault)
{
    size_t count = tb_solid_part_count(solid);
    TbMesh **meshes = tb_alloc_array(count, sizeof *meshes);
    TbStatus status = TB_OK;

    if (meshes == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for %zu parts", count);
    for (size_t i = 0; i < count && status == TB_OK; i++)
        status = tb_solid_part_mesh(tb_solid_part(solid, i), chord, &meshes[i], fault);
    if (status == TB_OK)
        status = gather(meshes, count, mesh, fault);
    for (size_t i = 0; i < count; i++)
        tb_mesh_unref(meshes[i]);
    tb_free(meshes);
    return status;
}
