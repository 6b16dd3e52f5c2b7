/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Why the triangle contact[k], meeting[k], contact[k + 1] holds the outline between: the two points
 * lie on the section's support lines of two normals less than half a turn apart. The chord between
 * them is inside the section, which is convex, so the outline between runs on the chord's outer
 * side; and no point of the section is beyond either support line. Outer side of the chord and both
 * lines' inner sides: that is the triangle. Nothing else is used, so it holds on flat sides and at
 * sharp corners, whichever point of a flat side is taken.
 *
 * The meeting m of unit normals n0, n1 solves m.n0 = h0, m.n1 = h1: linear in the supports h. A
 * blend's support is the blend of supports, so its meeting is the blend of meetings; a stretch
 * takes support lines to support lines; a wall t moves both lines out by t, which moves m by
 * t (n0 + n1) / (1 + n0.n1).
 *
 * Rounding: m is found from contact[k] along the tangent there, s = (x1 - x0).n1 / sin(turn), so an
 * error of the contact points, whatever the turn, shifts m's lines by no more than that error.
 */

#include "geom/ring_private.h"

#include "base/fault.h"
#include "geom/sweep_private.h"
#include "geom/twin.h"

/* ---- tables ---- */

/** Where the tangents at two points of a quarter meet, n0 before n1 in the direction of @p way. */
static TbVec2
meeting_of(TbVec2 x0, TbVec2 n0, TbVec2 x1, TbVec2 n1, double way)
{
    TbVec2 along = tb_vec2(way * n0.y, -way * n0.x), chord = tb_vec2_sub(x1, x0);
    double sine = tb_vec2_dot(along, n1), s;

    /* one normal for both: the side itself */
    if (!(sine > 0))
        return tb_vec2_add(x0, tb_vec2_scale(chord, 0.5));
    /* the corner there is blunt, so a side of it is no longer than the chord */
    s = fmin(fmax(tb_vec2_dot(chord, n1) / sine, 0), tb_vec2_length(chord));
    return tb_vec2_add(x0, tb_vec2_scale(along, s));
}

static void
put_meeting(struct TbRingTable *table, size_t k, TbVec2 p)
{
    table->meeting_w[k] = p.x;
    table->meeting_h[k] = p.y;
}

static void
fill_quadrant(const TbShape *shape, const TbRingPlan *plan, size_t q, struct TbRingTable *table)
{
    TbQuarter quarter = tb_shape_quarter(shape, tb_ring__corner[q], 1, 1);
    TbVec2 x0 = {0, 0}, n0 = {0, 0};

    for (size_t k = plan->first[q]; k <= plan->last[q]; k++) {
        TbVec2 n = plan->normal[k % plan->columns], x;

        tb_quarter_support(&quarter, fabs(n.x), fabs(n.y), &x);
        x = tb_vec2(tb_ring__sign_w[q] * x.x, tb_ring__sign_h[q] * x.y);
        if (k > plan->first[q])
            put_meeting(table, k - 1, meeting_of(x0, n0, x, n, 1));
        if (k < plan->columns) {
            table->contact_w[k] = x.x;
            table->contact_h[k] = x.y;
        }
        x0 = x;
        n0 = n;
    }
}

static void
fill_table(const TbShape *shape, const TbRingPlan *plan, struct TbRingTable *table)
{
    size_t odd = plan->columns;

    for (size_t q = 0; q < 4; q++)
        fill_quadrant(shape, plan, q, table);
    for (size_t q = 0; q < 4; q++) {
        size_t k = plan->last[q], next = (k + 1) % plan->columns;

        /* a flat side's two ends */
        if (k < plan->columns && plan->first[(q + 1) % 4] != k)
            put_meeting(table, k,
                        tb_vec2(0.5 * (table->contact_w[k] + table->contact_w[next]),
                                0.5 * (table->contact_h[k] + table->contact_h[next])));
    }
    if (odd % 2 == 0)
        return;
    /* read along with the last column, and never used */
    table->contact_w[odd] = table->contact_h[odd] = 0;
    put_meeting(table, odd, tb_vec2(0, 0));
}

void
tb_ring_plan_move(const TbLawSpan *span, TbRingPlan *plan)
{
    fill_table(&span->from, plan, &plan->from);
    if (tb_shape_equal(&span->from, &span->to))
        plan->to = plan->from;
    else
        fill_table(&span->to, plan, &plan->to);
}

/* ---- rings ---- */

/** A ring in the section's own axes: column by column, two at a time, one more where they are odd.
 */
typedef struct Flat {
    double w[TB_RING_MOST + 2], h[TB_RING_MOST + 2];
} Flat;

/** One coordinate of all columns: blended, stretched, shifted. */
static inline void
stretch(const TbSlice *slice,
        size_t count,
        const double from[],
        const double to[],
        double half,
        double shift,
        double out[])
{
    TbTwin mix = tb_twin(slice->mix), by = tb_twin(half), start = tb_twin(shift);

    for (size_t k = 0; k < count; k += 2) {
        TbTwin f = tb_twin_load(&from[k]), t = tb_twin_load(&to[k]);

        tb_twin_store(&out[k], start + by * (f + mix * (t - f)));
    }
}

/** The outline's unit normals where the unit shape's are those of the plan; then the first again.
 */
static void
stretch_normals(const TbSlice *slice, const TbRingPlan *plan, Flat *n)
{
    for (size_t k = 0; k < plan->columns; k += 2) {
        const TbVec2 *v = &plan->normal[k];
        TbTwin p = (TbTwin){v[0].x, v[1].x} * slice->b, q = (TbTwin){v[0].y, v[1].y} * slice->a;
        TbTwin length = tb_twin_sqrt(p * p + q * q);

        tb_twin_store(&n->w[k], p / length);
        tb_twin_store(&n->h[k], q / length);
    }
    n->w[plan->columns] = n->w[0];
    n->h[plan->columns] = n->h[0];
}

static void
add_wall(double wall, size_t count, const Flat *n, Flat *contact)
{
    for (size_t k = 0; k < count; k += 2) {
        TbTwin w = tb_twin_load(&contact->w[k]), h = tb_twin_load(&contact->h[k]);

        tb_twin_store(&contact->w[k], w + wall * tb_twin_load(&n->w[k]));
        tb_twin_store(&contact->h[k], h + wall * tb_twin_load(&n->h[k]));
    }
}

static void
add_wall_to_meetings(double wall, size_t count, const Flat *n, Flat *meeting)
{
    for (size_t k = 0; k < count; k++) {
        double share = wall / (1 + n->w[k] * n->w[k + 1] + n->h[k] * n->h[k + 1]);

        meeting->w[k] += share * (n->w[k] + n->w[k + 1]);
        meeting->h[k] += share * (n->h[k] + n->h[k + 1]);
    }
}

static void
put_in_space(const TbDisc *disc, size_t count, const Flat *ring, TbVec3 out[])
{
    TbVec3 c = disc->centre, right = disc->w, up = disc->h;
    size_t k = 0;

    for (; k + 1 < count; k += 2) {
        TbTwin w = tb_twin_load(&ring->w[k]), h = tb_twin_load(&ring->h[k]);
        TbTwin x = c.x + w * right.x + h * up.x;
        TbTwin y = c.y + w * right.y + h * up.y;
        TbTwin z = c.z + w * right.z + h * up.z;
        double *to = &out[k].x;

        tb_twin_store(to, (TbTwin){x[0], y[0]});
        tb_twin_store(to + 2, (TbTwin){z[0], x[1]});
        tb_twin_store(to + 4, (TbTwin){y[1], z[1]});
    }
    if (k < count)
        out[k] = tb_vec3_add_scaled(tb_vec3_add_scaled(c, ring->w[k], right), ring->h[k], up);
}

void
tb_ring_points(
    const TbDisc *disc, const TbRingPlan *plan, bool outer, TbVec3 contact[], TbVec3 meeting[])
{
    const TbSlice *slice = &disc->slice;
    const struct TbRingTable *from = &plan->from, *to = &plan->to;
    size_t count = plan->columns;
    bool wall = outer && slice->wall > 0;
    Flat ring, normal;

    TB_ASSERT(count >= TB_RING_LEAST);
    if (wall)
        stretch_normals(slice, plan, &normal);
    stretch(slice, count, from->contact_w, to->contact_w, slice->a, slice->offset.x, ring.w);
    stretch(slice, count, from->contact_h, to->contact_h, slice->b, slice->offset.y, ring.h);
    if (wall)
        add_wall(slice->wall, count, &normal, &ring);
    put_in_space(disc, count, &ring, contact);
    if (meeting == NULL)
        return;
    stretch(slice, count, from->meeting_w, to->meeting_w, slice->a, slice->offset.x, ring.w);
    stretch(slice, count, from->meeting_h, to->meeting_h, slice->b, slice->offset.y, ring.h);
    if (wall)
        add_wall_to_meetings(slice->wall, count, &normal, &ring);
    put_in_space(disc, count, &ring, meeting);
}

void
tb_sweep_rings(const TbSweep *sweep,
               const double stations[],
               size_t rings,
               size_t columns,
               bool outer,
               TbVec3 points[])
{
    const TbLawSpan *span = tb_law_span(tb_sweep_law(sweep), 0);
    size_t piece = 0;
    TbRingPlan plan;

    tb_ring_plan_of_law(tb_sweep_law(sweep), columns, &plan);
    for (size_t i = 0; i < rings; i++) {
        double station = fmin(fmax(stations[i], 0), tb_sweep_length(sweep));
        const TbPiece *at = tb_sweep_piece(sweep, piece);
        TbDisc disc;

        while (piece + 1 < tb_sweep_piece_count(sweep) && station >= at->station0 + at->length)
            at = tb_sweep_piece(sweep, ++piece);
        disc = tb_piece__disc_at(at, tb_piece_u(at, station), station);
        if (at->law != span) {
            span = at->law;
            tb_ring_plan_move(span, &plan);
        }
        tb_ring_points(&disc, &plan, outer, points + i * columns, NULL);
    }
}
