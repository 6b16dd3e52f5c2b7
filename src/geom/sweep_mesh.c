/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Triangles of a sweep. All rings have the same number of points, and point k of every ring has
 * the same normal on the unit shape, so lines along the duct run over like places and the joints
 * of different sections need no care. What a triangle may miss of the true surface has three parts,
 * each kept below a share of the chord asked for:
 * - across: how far the outline rises over the chord of two points, from its support square to the
 *   chord (on slices at the ends and the quarters of every span of the law);
 * - along: how far the true line between two rings leaves the straight one, measured at its
 *   quarters on pieces that turn by 0.15 rad at most;
 * - the fold of a quad: its bilinear patch lies (a - b + c - d) . n / 4 from the two triangles, n
 *   square to its diagonals.
 */

#include "base/mem.h"
#include "geom/mesh.h"
#include "geom/sweep_private.h"
#include "geom/tol.h"

#define SHARE_ACROSS 0.2
#define SHARE_ALONG 0.25
#define SHARE_FOLD 0.55

/** Points of a ring before any is added: a turn of 45 degrees at most between two. */
#define LEAST_POINTS 8

/** Halvings of an angle or a piece: beyond, the part is rounding. */
#define MOST_HALVINGS 40

/** Slices looked at in each span of the law. */
#define SLICES 5

typedef struct Ring {
    const TbPiece *piece;
    double u;
} Ring;

typedef struct Mesher {
    const TbSweep *sweep;
    bool outer;
    double chord;
    TbSlice *slices;
    size_t slice_count;
    TbVec2 *directions; /**< of the unit shape's normals */
    size_t direction_count, direction_room;
    Ring *rings;
    size_t ring_count, ring_room;
    TbVec3 *points;
    uint32_t *index;
} Mesher;

/** The outline's point in the section's own axes. */
static TbVec2
outline_point(const TbSlice *slice, TbVec2 v, bool outer)
{
    TbVec2 d = {v.x / slice->a, v.y / slice->b}, contact;

    tb_slice_support_turned(slice, d, outer, &contact);
    return contact;
}

static TbVec3
ring_point(const Mesher *m, const TbDisc *disc, size_t k)
{
    TbVec2 p = outline_point(&disc->slice, m->directions[k], m->outer);

    return tb_vec3_add_scaled(tb_vec3_add_scaled(disc->centre, p.x, disc->w), p.y, disc->h);
}

/* ---- across ---- */

static TbStatus
take_slices(Mesher *m, TbFault *fault)
{
    size_t spans = tb_law_span_count(m->sweep->law);

    m->slices = tb_alloc_array(spans, SLICES * sizeof *m->slices);
    if (m->slices == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for a mesh's rings");
    for (size_t i = 0; i < spans; i++) {
        const TbLawSpan *law = tb_law_span(m->sweep->law, i);

        for (int j = 0; j < SLICES; j++)
            m->slices[m->slice_count++] =
                tb_law_in_span(law, law->start + law->length * j / (SLICES - 1));
    }
    return TB_OK;
}

/** How far the outline between two of its points rises over their chord: its support square to the
 * chord, exactly. */
static double
height_across(const TbSlice *slice, TbVec2 v0, TbVec2 v1, bool outer)
{
    TbVec2 p0 = outline_point(slice, v0, outer), p1 = outline_point(slice, v1, outer), contact;
    TbVec2 way = tb_vec2_sub(p1, p0);
    double length = tb_vec2_length(way);
    TbVec2 square; /* outward: points run from h towards w */

    if (!(length > 0))
        return 0;
    square = tb_vec2(-way.y / length, way.x / length);
    return tb_slice_support_turned(slice, square, outer, &contact) - tb_vec2_dot(square, p0);
}

static bool
is_round_enough(const Mesher *m, TbVec2 v0, TbVec2 v1)
{
    for (size_t i = 0; i < m->slice_count; i++)
        if (height_across(&m->slices[i], v0, v1, m->outer) > SHARE_ACROSS * m->chord)
            return false;
    return true;
}

static TbStatus
too_many(const Mesher *m, TbFault *fault)
{
    return tb_fail(fault, TB_E_LIMIT, "a mesh within %g mm has more than %d triangles", m->chord,
                   TB_MESH_MOST);
}

/** Add the directions from v0 up to, but not with, v1. */
static TbStatus
add_directions(Mesher *m, TbVec2 v0, TbVec2 v1, int halvings, TbFault *fault)
{
    TbStatus status;
    void *room = m->directions;

    if (halvings > 0 && !is_round_enough(m, v0, v1)) {
        TbVec2 sum = tb_vec2_add(v0, v1);
        TbVec2 middle = tb_vec2_scale(sum, 1 / tb_vec2_length(sum));

        status = add_directions(m, v0, middle, halvings - 1, fault);
        if (status == TB_OK)
            status = add_directions(m, middle, v1, halvings - 1, fault);
        return status;
    }
    if (m->direction_count == TB_MESH_MOST)
        return too_many(m, fault);
    if (tb_grow_array(&room, &m->direction_room, m->direction_count, sizeof *m->directions) != 0)
        return tb_fail(fault, TB_E_MEMORY, "no room for a mesh's rings");
    m->directions = room;
    m->directions[m->direction_count++] = v0;
    return TB_OK;
}

static TbStatus
choose_directions(Mesher *m, TbFault *fault)
{
    /* from h towards w: exact on the axes */
    static const double sine[LEAST_POINTS] = {0, M_SQRT1_2,  1,  M_SQRT1_2,
                                              0, -M_SQRT1_2, -1, -M_SQRT1_2};
    TbStatus status = take_slices(m, fault);

    for (int i = 0; i < LEAST_POINTS && status == TB_OK; i++) {
        int j = (i + 1) % LEAST_POINTS;
        TbVec2 v0 = {sine[i], sine[(i + 2) % LEAST_POINTS]};
        TbVec2 v1 = {sine[j], sine[(j + 2) % LEAST_POINTS]};

        status = add_directions(m, v0, v1, MOST_HALVINGS, fault);
    }
    return status;
}

/* ---- along ---- */

static double
off_line(TbVec3 p, TbVec3 a, TbVec3 b)
{
    TbVec3 way = tb_vec3_sub(b, a), from = tb_vec3_sub(p, a);
    double length2 = tb_vec3_length2(way);
    double along = length2 > 0 ? tb_vec3_dot(from, way) / length2 : 0;

    return tb_vec3_length(tb_vec3_add_scaled(from, -fmin(1, fmax(0, along)), way));
}

/** How far a quad's bilinear patch lies from its two triangles. */
static double
fold_of(TbVec3 a, TbVec3 b, TbVec3 c, TbVec3 d)
{
    TbVec3 bent = tb_vec3_add(tb_vec3_sub(a, b), tb_vec3_sub(c, d));
    TbVec3 normal = tb_vec3_cross(tb_vec3_sub(c, a), tb_vec3_sub(d, b));
    double size = tb_vec3_length(normal);

    /* a quad without area: all of it counts */
    return 0.25 * (size > 0 ? fabs(tb_vec3_dot(bent, normal)) / size : tb_vec3_length(bent));
}

/** May the rings at u0 and u1 of a piece be neighbours? */
static bool
is_straight_enough(const Mesher *m, const TbPiece *piece, double u0, double u1)
{
    size_t n = m->direction_count;
    TbVec3 a1, b1;
    TbDisc disc[5];

    for (int i = 0; i < 5; i++)
        disc[i] = tb_piece_disc(piece, u0 + (u1 - u0) * i / 4);
    a1 = ring_point(m, &disc[0], n - 1);
    b1 = ring_point(m, &disc[4], n - 1);
    for (size_t k = 0; k < n; k++) {
        TbVec3 a = ring_point(m, &disc[0], k), b = ring_point(m, &disc[4], k);

        if (fold_of(a1, a, b, b1) > SHARE_FOLD * m->chord)
            return false;
        for (int i = 1; i < 4; i++)
            if (off_line(ring_point(m, &disc[i], k), a, b) > SHARE_ALONG * m->chord)
                return false;
        a1 = a;
        b1 = b;
    }
    return true;
}

static TbStatus
add_ring(Mesher *m, const TbPiece *piece, double u, TbFault *fault)
{
    void *room = m->rings;

    if (2 * m->direction_count * (m->ring_count + 1) > TB_MESH_MOST)
        return too_many(m, fault);
    if (tb_grow_array(&room, &m->ring_room, m->ring_count, sizeof *m->rings) != 0)
        return tb_fail(fault, TB_E_MEMORY, "no room for a mesh's rings");
    m->rings = room;
    m->rings[m->ring_count++] = (Ring){piece, u};
    return TB_OK;
}

/** Add the rings after u0 up to u1. */
static TbStatus
add_rings(Mesher *m, const TbPiece *piece, double u0, double u1, int halvings, TbFault *fault)
{
    double middle = 0.5 * (u0 + u1);
    TbStatus status;

    if (halvings == 0 || is_straight_enough(m, piece, u0, u1))
        return add_ring(m, piece, u1, fault);
    status = add_rings(m, piece, u0, middle, halvings - 1, fault);
    if (status == TB_OK)
        status = add_rings(m, piece, middle, u1, halvings - 1, fault);
    return status;
}

static TbStatus
choose_rings(Mesher *m, TbFault *fault)
{
    TbStatus status = add_ring(m, &m->sweep->pieces[0], 0, fault);

    for (size_t i = 0; i < m->sweep->count && status == TB_OK; i++) {
        const TbPiece *piece = &m->sweep->pieces[i];

        status = add_rings(m, piece, 0, piece->extent, MOST_HALVINGS, fault);
    }
    return status;
}

/* ---- triangles ---- */

static TbVec3
fill_ring(const Mesher *m, const Ring *ring, TbVec3 out[])
{
    TbDisc disc = tb_piece_disc(ring->piece, ring->u);
    TbVec3 sum = {0, 0, 0};

    for (size_t k = 0; k < m->direction_count; k++) {
        out[k] = ring_point(m, &disc, k);
        sum = tb_vec3_add(sum, tb_vec3_sub(out[k], disc.centre));
    }
    return tb_vec3_add_scaled(disc.centre, 1 / (double)m->direction_count, sum);
}

static uint32_t *
put(uint32_t *index, size_t a, size_t b, size_t c)
{
    index[0] = (uint32_t)a;
    index[1] = (uint32_t)b;
    index[2] = (uint32_t)c;
    return index + 3;
}

/** Skin and caps. Points run right-handed about the path, so outward is (k, k+1, next ring). */
static void
fill(Mesher *m)
{
    size_t n = m->direction_count, rings = m->ring_count, end = (rings - 1) * n;
    uint32_t *index = m->index;

    m->points[rings * n] = fill_ring(m, &m->rings[0], m->points);
    for (size_t r = 1; r < rings; r++)
        m->points[rings * n + 1] = fill_ring(m, &m->rings[r], m->points + r * n);
    for (size_t r = 0; r + 1 < rings; r++)
        for (size_t k = 0; k < n; k++) {
            size_t a = r * n + k, b = r * n + (k + 1) % n;

            index = put(index, a, b, a + n);
            index = put(index, b, b + n, a + n);
        }
    for (size_t k = 0; k < n; k++) {
        size_t next = (k + 1) % n;

        index = put(index, rings * n, next, k);
        index = put(index, rings * n + 1, end + k, end + next);
    }
}

static TbStatus
make(Mesher *m, TbMesh **mesh, TbFault *fault)
{
    size_t vertices, triangles;
    TbStatus status = choose_directions(m, fault);

    if (status == TB_OK)
        status = choose_rings(m, fault);
    if (status != TB_OK)
        return status;
    vertices = m->ring_count * m->direction_count + 2;
    triangles = 2 * m->ring_count * m->direction_count;
    m->points = tb_alloc_array(vertices, sizeof *m->points);
    m->index = tb_alloc_array(triangles, 3 * sizeof *m->index);
    if (m->points == NULL || m->index == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for %zu triangles", triangles);
    fill(m);
    return tb_mesh_from_arrays(m->points, vertices, m->index, triangles, mesh, fault);
}

TbStatus
tb_sweep_mesh(const TbSweep *sweep, bool inner, double chord, TbMesh **mesh, TbFault *fault)
{
    Mesher m = {.sweep = sweep, .outer = !inner, .chord = chord};
    TbStatus status;

    if (!(chord >= TB_CHORD_LEAST) || !isfinite(chord))
        return tb_fail(fault, TB_E_RANGE, "a mesh within %g mm of the surface: %g or more is asked",
                       chord, TB_CHORD_LEAST);
    status = make(&m, mesh, fault);
    tb_free(m.index);
    tb_free(m.points);
    tb_free(m.rings);
    tb_free(m.directions);
    tb_free(m.slices);
    return status;
}
