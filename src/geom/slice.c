/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/law.h"
#include "geom/shape_private.h"

/* ---- support ---- */

static inline double
length_of(TbVec2 d)
{
    double square = tb_vec2_dot(d, d);

    return square > TB_SQUARE_LEAST && square < TB_SQUARE_MOST ? sqrt(square) : hypot(d.x, d.y);
}

static inline double
circle_support(const TbSlice *slice, TbVec2 d, double radius, TbVec2 *contact)
{
    double length = length_of(d), share = length > 0 ? radius / length : 0;

    *contact = tb_vec2(slice->offset.x + share * d.x, slice->offset.y + share * d.y);
    return tb_vec2_dot(slice->offset, d) + radius * length;
}

/* Its arguments come in halves: packed in pairs they would go through memory, stored as two and
 * loaded as one, and wait for it. The same bits either way. */
#if defined __GNUC__ && !defined __clang__
__attribute__((optimize("no-tree-slp-vectorize")))
#endif
double
tb_slice_support_turned(const TbSlice *slice, TbVec2 d, bool outer, TbVec2 *contact)
{
    TbQuadrant at;
    TbVec2 p;
    double reach, x, y;

    if (slice->is_circle)
        return circle_support(slice, d, slice->a + (outer ? slice->wall : 0), contact);
    at = tb_quadrant_of(tb_vec2(slice->a * d.x, slice->b * d.y));
    reach = tb_shape__support(slice->from, &at, &x, &y);
    if (slice->mix > 0) {
        double to_x, to_y, other = tb_shape__support(slice->to, &at, &to_x, &to_y);

        reach += slice->mix * (other - reach);
        x += slice->mix * (to_x - x);
        y += slice->mix * (to_y - y);
    }
    x *= slice->a;
    y *= slice->b;
    p = tb_vec2(slice->offset.x + (at.left ? -x : x), slice->offset.y + (at.down ? -y : y));
    reach += tb_vec2_dot(slice->offset, d);
    if (outer && slice->wall > 0) {
        double length = length_of(d);

        reach += slice->wall * length;
        if (length > 0) {
            p.x += slice->wall * (d.x / length);
            p.y += slice->wall * (d.y / length);
        }
    }
    *contact = p;
    return reach;
}

double
tb_slice_furthest_turned(const TbSlice *slice, TbVec2 d, bool outer)
{
    TbQuadrant at;
    double wall = outer ? slice->wall : 0, reach = tb_vec2_dot(slice->offset, d), shape;

    if (slice->is_circle)
        return reach + (slice->a + wall) * length_of(d);
    at = tb_quadrant_of(tb_vec2(slice->a * d.x, slice->b * d.y));
    shape = tb_shape__furthest(slice->from, &at);
    if (slice->mix > 0)
        shape += slice->mix * (tb_shape__furthest(slice->to, &at) - shape);
    return reach + shape + (wall > 0 ? wall * length_of(d) : 0);
}

/** From the turned axes to the untwisted ones: a point at angle phi goes to phi + turn. */
static inline TbVec2
turned(TbVec2 p, double c, double s)
{
    return tb_vec2(c * p.x + s * p.y, c * p.y - s * p.x);
}

double
tb_slice_support(const TbSlice *slice, TbVec2 d, bool outer, TbVec2 *contact)
{
    double c, s, reach;

    if (slice->turn == 0)
        return tb_slice_support_turned(slice, d, outer, contact);
    c = cos(slice->turn);
    s = sin(slice->turn);
    reach = tb_slice_support_turned(slice, turned(d, c, -s), outer, contact);
    *contact = turned(*contact, c, s);
    return reach;
}

/**
 * The farthest corner of the octagon that eight support lines make about the slice. Neighbouring
 * lines n0.p = h0, n1.p = h1, a unit normal each, meet at a distance r with
 * r^2 = (h0^2 + h1^2 - 2 h0 h1 c) / (1 - c^2), c = n0.n1.
 */
double
tb_slice_reach(const TbSlice *slice, bool outer)
{
    const double c = M_SQRT1_2;
    double h[8];
    double most = 0;
    TbVec2 contact;

    for (int i = 0; i < 8; i++) {
        /* exact zeros along the axes, and c c + c c = 1 to a rounding */
        static const double step[8] = {0, M_SQRT1_2, 1, M_SQRT1_2, 0, -M_SQRT1_2, -1, -M_SQRT1_2};

        h[i] = tb_slice_support_turned(slice, tb_vec2(step[i], step[(i + 2) % 8]), outer, &contact);
    }
    for (int i = 0; i < 8; i++) {
        double h0 = h[i];
        double h1 = h[(i + 1) % 8];

        most = fmax(most, h0 * h0 + h1 * h1 - 2 * h0 * h1 * c);
    }
    return sqrt(most / (1 - c * c)) * (1 + 1e-14);
}

double
tb_slice_radius(const TbSlice *slice, bool outer)
{
    if (!slice->is_circle)
        return tb_slice_reach(slice, outer);
    return (tb_vec2_length(slice->offset) + slice->a + (outer ? slice->wall : 0)) * (1 + 1e-14);
}

/* ---- size ---- */

double
tb_slice_width(const TbSlice *slice)
{
    return 2 * slice->a;
}

double
tb_slice_height(const TbSlice *slice)
{
    return 2 * slice->b;
}

double
tb_slice_perimeter(const TbSlice *slice, bool outer)
{
    double length = tb_shape_perimeter(slice->from, slice->a, slice->b);

    if (slice->mix > 0)
        length += slice->mix * (tb_shape_perimeter(slice->to, slice->a, slice->b) - length);
    return outer ? length + 2 * M_PI * slice->wall : length;
}

double
tb_slice_area(const TbSlice *slice, bool outer)
{
    double t = slice->wall;

    if (!outer || t == 0)
        return slice->area;
    return slice->area + t * (tb_slice_perimeter(slice, false) + M_PI * t);
}
