/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/section.h"

#include "geom/quarter.h"
#include "geom/tol.h"

TbSection
tb_section_superellipse(double width, double height, double exponent)
{
    return (TbSection){.kind = TB_SECTION_SUPERELLIPSE,
                       .half = {width / 2, width / 2, height / 2, height / 2},
                       .exponent = exponent};
}

TbSection
tb_section_rounded(double width, double height, double corner)
{
    return (TbSection){.kind = TB_SECTION_ROUNDED,
                       .half = {width / 2, width / 2, height / 2, height / 2},
                       .exponent = 2,
                       .corner = {corner, corner, corner, corner}};
}

double
tb_section_width(TbSection s)
{
    return s.half[TB_SIDE_RIGHT] + s.half[TB_SIDE_LEFT];
}

double
tb_section_height(TbSection s)
{
    return s.half[TB_SIDE_UP] + s.half[TB_SIDE_DOWN];
}

/* ---- checks ---- */

static const char *const side_names[4] = {"right", "left", "upper", "lower"};
static const char *const corner_names[4] = {"right-up", "left-up", "left-down", "right-down"};

static TbStatus
check_halves(const TbSection *s, TbFault *fault)
{
    for (int i = 0; i < 4; i++) {
        if (!isfinite(s->half[i]) || s->half[i] < 0 || s->half[i] > TB_LIMIT_SIZE)
            return tb_fail(fault, TB_E_RANGE, "its %s half size is %.7g mm, 0 to %g mm is accepted",
                           side_names[i], s->half[i], TB_LIMIT_SIZE);
    }
    if (s->half[TB_SIDE_RIGHT] == 0 && s->half[TB_SIDE_LEFT] == 0)
        return tb_fail(fault, TB_E_DEGENERATE, "its width is 0 mm");
    if (s->half[TB_SIDE_UP] == 0 && s->half[TB_SIDE_DOWN] == 0)
        return tb_fail(fault, TB_E_DEGENERATE, "its height is 0 mm");
    for (int i = 0; i < 4; i++) {
        if (s->half[i] < TB_SECTION_LEAST)
            return tb_fail(fault, TB_E_DEGENERATE,
                           "its %s half size is %.7g mm, %g mm or more is needed", side_names[i],
                           s->half[i], TB_SECTION_LEAST);
    }
    return TB_OK;
}

/** The side that a corner shares with the next one: up, left, down, right. */
static double
side_after(const TbSection *s, int corner)
{
    return corner % 2 == 0 ? tb_section_width(*s) : tb_section_height(*s);
}

static TbStatus
check_corners(const TbSection *s, TbFault *fault)
{
    for (int i = 0; i < 4; i++) {
        if (!isfinite(s->corner[i]) || s->corner[i] < TB_SECTION_LEAST ||
            s->corner[i] > TB_LIMIT_SIZE)
            return tb_fail(fault, TB_E_RANGE,
                           "its %s corner has radius %.7g mm, %g to %g mm is accepted",
                           corner_names[i], s->corner[i], TB_SECTION_LEAST, TB_LIMIT_SIZE);
    }
    for (int i = 0; i < 4; i++) {
        int next = (i + 1) % 4;
        double need = s->corner[i] + s->corner[next];
        double room = side_after(s, i);

        if (need > room + TB_TOL_ROUND)
            return tb_fail(fault, TB_E_DEGENERATE,
                           "its %s and %s corners need %.7g mm of the side they share, which has "
                           "%.7g mm",
                           corner_names[i], corner_names[next], need, room);
    }
    return TB_OK;
}

static TbStatus
check_rest(const TbSection *s, TbFault *fault)
{
    if (!isfinite(s->turn) || fabs(s->turn) > TB_SECTION_TURN_LIMIT)
        return tb_fail(fault, TB_E_RANGE, "its turn is %.7g rad, -%g to %g rad is accepted",
                       s->turn, TB_SECTION_TURN_LIMIT, TB_SECTION_TURN_LIMIT);
    if (!isfinite(s->offset.x) || fabs(s->offset.x) > TB_LIMIT_SIZE)
        return tb_fail(fault, TB_E_RANGE,
                       "its offset in width is %.7g mm, -%g to %g mm is accepted", s->offset.x,
                       TB_LIMIT_SIZE, TB_LIMIT_SIZE);
    if (!isfinite(s->offset.y) || fabs(s->offset.y) > TB_LIMIT_SIZE)
        return tb_fail(fault, TB_E_RANGE,
                       "its offset in height is %.7g mm, -%g to %g mm is accepted", s->offset.y,
                       TB_LIMIT_SIZE, TB_LIMIT_SIZE);
    if (!isfinite(s->wall) || s->wall < 0 || s->wall > TB_LIMIT_SIZE)
        return tb_fail(fault, TB_E_RANGE, "its wall is %.7g mm, 0 to %g mm is accepted", s->wall,
                       TB_LIMIT_SIZE);
    return TB_OK;
}

TbStatus
tb_section_check(TbSection s, TbFault *fault)
{
    TbStatus status = check_halves(&s, fault);

    if (status == TB_OK && s.kind == TB_SECTION_ROUNDED)
        status = check_corners(&s, fault);
    if (status == TB_OK && s.kind == TB_SECTION_SUPERELLIPSE &&
        !(s.exponent >= TB_EXPONENT_LEAST && s.exponent <= TB_EXPONENT_MOST))
        status = tb_fail(fault, TB_E_RANGE, "its exponent is %.7g, %g to %g is accepted",
                         s.exponent, TB_EXPONENT_LEAST, TB_EXPONENT_MOST);
    return status == TB_OK ? check_rest(&s, fault) : status;
}

/* ---- size ---- */

/** How much smaller a corner must be so that the sum of two is not over its side by rounding. */
static double
corner_fit(const TbSection *s, int corner)
{
    double fit = 1;

    for (int k = 0; k < 2; k++) {
        int first = (corner + 3 * k) % 4;
        double need = s->corner[first] + s->corner[(first + 1) % 4];

        fit = fmin(fit, side_after(s, first) / need);
    }
    return fit;
}

/** The quarters by quadrant, as supports ask for them. */
static void
set_quarters(TbShape *shape)
{
    static const int corner[4] = {TB_CORNER_RU, TB_CORNER_LU, TB_CORNER_RD, TB_CORNER_LD};

    for (int i = 0; i < 4; i++) {
        double half_w = shape->half[(i & 1) != 0 ? TB_SIDE_LEFT : TB_SIDE_RIGHT];
        double half_h = shape->half[(i & 2) != 0 ? TB_SIDE_DOWN : TB_SIDE_UP];
        bool rounded = shape->kind == TB_SECTION_ROUNDED;
        double w = rounded ? shape->corner_w[corner[i]] : half_w;
        double h = rounded ? shape->corner_h[corner[i]] : half_h;

        shape->quarter[i] = (TbShapeQuarter){half_w - w, half_h - h, w, h};
    }
}

TbShape
tb_shape_of(TbSection s)
{
    double a = tb_section_width(s) / 2;
    double b = tb_section_height(s) / 2;
    bool rounded = s.kind == TB_SECTION_ROUNDED;
    double n = rounded ? 2 : s.exponent;
    TbShape shape = {.kind = s.kind, .exponent = n, .dual = n / (n - 1)};

    for (int i = 0; i < 4; i++)
        shape.half[i] = s.half[i] / (i == TB_SIDE_RIGHT || i == TB_SIDE_LEFT ? a : b);
    shape.area = 4 * tb_quarter_factor(n);
    shape.is_disc = !rounded && n == 2 && shape.half[0] == 1 && shape.half[1] == 1 &&
                    shape.half[2] == 1 && shape.half[3] == 1;
    if (rounded) {
        shape.area = 4;
        for (int i = 0; i < 4; i++) {
            double r = s.corner[i] * corner_fit(&s, i);

            shape.corner_w[i] = r / a;
            shape.corner_h[i] = r / b;
            shape.area -= (1 - M_PI / 4) * shape.corner_w[i] * shape.corner_h[i];
        }
    }
    set_quarters(&shape);
    return shape;
}

double
tb_section_area(TbSection s)
{
    return tb_section_width(s) * tb_section_height(s) / 4 * tb_shape_of(s).area;
}

double
tb_section_perimeter(TbSection s)
{
    TbShape shape = tb_shape_of(s);

    return tb_shape_perimeter(&shape, tb_section_width(s) / 2, tb_section_height(s) / 2);
}

double
tb_section_hydraulic_diameter(TbSection s)
{
    return 4 * tb_section_area(s) / tb_section_perimeter(s);
}
