/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "scene.h"

/** Control points of the duct's axis, mm. */
static const TbVec3 axis[6] = {{0, 0, 0},      {62, 0, 0},      {132, 22, 13},
                               {198, 101, 53}, {264, 132, 114}, {320, 136, 154}};

/** Which of them is dragged. */
enum { DRAGGED = 3 };

/** Chords of the table of arc lengths. */
enum { CHORDS = 4096 };

uint64_t
scene_bits(uint64_t *state)
{
    uint64_t z = (*state += 0x9E3779B97F4A7C15u);

    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return z ^ (z >> 31);
}

double
scene_unit(uint64_t *state)
{
    return (double)(scene_bits(state) >> 11) * (1.0 / 9007199254740992.0);
}

TbVec3
scene_spline(const TbVec3 *point, double t)
{
    static const double knot[10] = {0, 0, 0, 0, 1, 2, 3, 3, 3, 3};
    double u = t * 3.0;
    int k = u >= 2 ? 5 : u >= 1 ? 4 : 3;
    TbVec3 d[4];

    for (int j = 0; j < 4; j++)
        d[j] = point[j + k - 3];
    for (int r = 1; r < 4; r++) /* de Boor */
        for (int j = 3; j >= r; j--) {
            double low = knot[j + k - 3], high = knot[j + 1 + k - r];
            double w = (u - low) / (high - low);

            d[j] = tb_vec3_add(tb_vec3_scale(d[j - 1], 1 - w), tb_vec3_scale(d[j], w));
        }
    return d[3];
}

void
scene_axis(double drag, TbVec3 point[6])
{
    for (int i = 0; i < 6; i++)
        point[i] = axis[i];
    point[DRAGGED].y += drag;
}

TbVec3
scene_path(double t, double drag)
{
    TbVec3 point[6];

    scene_axis(drag, point);
    return scene_spline(point, t);
}

static TbVec3
reflected(TbVec3 a, TbVec3 d, double square)
{
    return tb_vec3_sub(a, tb_vec3_scale(d, 2 / square * tb_vec3_dot(d, a)));
}

/** Next frame by double reflection (Wang, Juttler, Zheng, Liu, ACM TOG 27 (2008) 2). */
static void
carry(const SceneFrame *last, SceneFrame *next)
{
    TbVec3 d = tb_vec3_sub(next->centre, last->centre), u, t;
    double square = tb_vec3_dot(d, d);

    u = reflected(last->u, d, square);
    t = reflected(last->t, d, square);
    d = tb_vec3_sub(next->t, t);
    square = tb_vec3_dot(d, d);
    if (square > 0)
        u = reflected(u, d, square);
    u = tb_vec3_sub(u, tb_vec3_scale(next->t, tb_vec3_dot(u, next->t)));
    next->u = tb_vec3_unit(u);
    next->v = tb_vec3_cross(next->t, next->u);
}

static void
set_section(SceneFrame *frame)
{
    double s = frame->place, h = s * s * (3 - 2 * s);

    frame->a = 30 + 20 * h;
    frame->b = 25 + 25 * h;
    frame->n = 2.5 - 0.5 * h;
}

static TbVec3
tangent(double t, double drag)
{
    const double step = 1e-5;
    double low = t - step < 0 ? 0 : t - step, high = t + step > 1 ? 1 : t + step;

    return tb_vec3_unit(tb_vec3_sub(scene_path(high, drag), scene_path(low, drag)));
}

double
scene_frames(size_t count, double drag, SceneFrame frames[])
{
    double length[CHORDS + 1];
    TbVec3 last = scene_path(0, drag);
    size_t j = 0;

    length[0] = 0;
    for (int i = 1; i <= CHORDS; i++) {
        TbVec3 p = scene_path(i / (double)CHORDS, drag);

        length[i] = length[i - 1] + tb_vec3_length(tb_vec3_sub(p, last));
        last = p;
    }
    for (size_t i = 0; i < count; i++) {
        SceneFrame *f = &frames[i];
        double s = (double)i / (double)(count - 1), want = s * length[CHORDS], t;

        while (j < CHORDS - 1 && length[j + 1] < want)
            j++;
        t = ((double)j + (want - length[j]) / (length[j + 1] - length[j])) / CHORDS;
        f->place = s;
        f->centre = scene_path(t, drag);
        f->t = tangent(t, drag);
        set_section(f);
        if (i > 0) {
            carry(&frames[i - 1], f);
        } else {
            f->v = tb_vec3_unit(tb_vec3_cross(f->t, tb_vec3(0, 1, 0)));
            f->u = tb_vec3_cross(f->v, f->t);
        }
    }
    return length[CHORDS];
}

static double
signed_power(double x, double exponent)
{
    return x < 0 ? -pow(-x, exponent) : pow(x, exponent);
}

TbVec3
scene_point(const SceneFrame *frame, double angle)
{
    double c = cos(angle), s = sin(angle), e = 2 / frame->n;
    double x = frame->a * signed_power(c, e), y = frame->b * signed_power(s, e);

    return tb_vec3_add(frame->centre,
                       tb_vec3_add(tb_vec3_scale(frame->u, x), tb_vec3_scale(frame->v, y)));
}

void
scene_points(size_t rings, size_t columns, double drag, TbVec3 points[])
{
    SceneFrame frames[SCENE_RINGS];

    TB_ASSERT(rings <= SCENE_RINGS);
    scene_frames(rings, drag, frames);
    for (size_t i = 0; i < rings; i++)
        for (size_t k = 0; k < columns; k++)
            points[i * columns + k] =
                scene_point(&frames[i], 2 * M_PI * (double)k / (double)columns);
}

void
scene_quad(size_t columns, size_t ring, size_t column, uint32_t corner[6])
{
    uint32_t here = (uint32_t)(ring * columns), next = here + (uint32_t)columns;
    uint32_t k = (uint32_t)column, k1 = (uint32_t)((column + 1) % columns);

    corner[0] = corner[3] = here + k;
    corner[1] = here + k1;
    corner[2] = corner[4] = next + k1;
    corner[5] = next + k;
}

void
scene_indices(size_t rings, size_t columns, uint32_t index[])
{
    for (size_t i = 0; i + 1 < rings; i++)
        for (size_t k = 0; k < columns; k++)
            scene_quad(columns, i, k, index + 6 * (i * columns + k));
}

/* ---- plain obstacles ---- */

static void
set_block(const SceneFrame *f, TbBlock *block)
{
    TbVec3 way = tb_vec3_unit(tb_vec3_add_scaled(f->u, .35, f->v));
    TbVec3 lean = tb_vec3_add_scaled(tb_vec3_scale(f->t, .3), -.2, f->v);

    block->axis[0] = tb_vec3_unit(tb_vec3_add(way, lean));
    block->axis[1] =
        tb_vec3_unit(tb_vec3_cross(block->axis[0], tb_vec3_add_scaled(f->t, .4, f->v)));
    block->axis[2] = tb_vec3_cross(block->axis[0], block->axis[1]);
    block->half[0] = 20;
    block->half[1] = 25;
    block->half[2] = 14;
    block->centre = tb_vec3_add_scaled(f->centre, f->a + 41, way);
}

static void
set_rod(const SceneFrame *f, TbRod *rod)
{
    TbVec3 way = tb_vec3_unit(tb_vec3_add_scaled(tb_vec3_scale(f->v, -1), .3, f->u));
    TbVec3 lean = tb_vec3_add_scaled(tb_vec3_scale(f->u, .6), .25, f->v);
    TbVec3 along = tb_vec3_unit(tb_vec3_add(f->t, lean));
    TbVec3 middle = tb_vec3_add_scaled(f->centre, f->b + 27, way);

    rod->a = tb_vec3_add_scaled(middle, -45, along);
    rod->b = tb_vec3_add_scaled(middle, 45, along);
    rod->radius_a = rod->radius_b = 12;
}

void
scene_plain(ScenePlain *plain)
{
    SceneFrame frames[SCENE_RINGS];

    scene_frames(SCENE_RINGS, 0, frames);
    set_block(&frames[140], &plain->block);
    set_rod(&frames[250], &plain->rod);
    for (int i = 0; i < 6; i++) {
        const SceneFrame *f = &frames[40 + 64 * i];
        double off = i == 0 || i == 5 ? 45 : i % 2 == 1 ? 26 : 18;
        TbVec3 way = tb_vec3_unit(tb_vec3_add_scaled(f->v, -.4 + .15 * i, f->u));

        plain->line[i] = tb_vec3_add_scaled(f->centre, f->b * 1.12 + off, way);
    }
    plain->line_radius = 2.375;
}

/* ---- as a sweep ---- */

void
scene_duct(double drag, SceneDuct *duct)
{
    duct->start = tangent(0, drag);
    duct->end = tangent(1, drag);
    for (int i = 0; i < SCENE_KNOTS; i++)
        duct->knot[i] = scene_path(i / (SCENE_KNOTS - 1.0), drag);
    for (int i = 0; i < SCENE_ROWS; i++) {
        SceneFrame frame = {.place = i / (SCENE_ROWS - 1.0)};

        /* the program's h is the scene's u: both square to the path, the start's towards +y */
        set_section(&frame);
        duct->place[i] = frame.place;
        duct->row[i] =
            (TbSectionRow){.section = tb_section_superellipse(2 * frame.b, 2 * frame.a, frame.n)};
    }
}

TbStatus
scene_sweep(const SceneDuct *duct, TbSweep **sweep, TbFault *fault)
{
    TbSectionRow row[SCENE_ROWS];
    TbVec3 up = tb_vec3(0, 1, 0);
    TbSweepDef def = {.rows = row, .row_count = SCENE_ROWS, .up = &up};
    TbStatus status =
        tb_curve_smooth_new(duct->knot, SCENE_KNOTS, &duct->start, &duct->end, &def.curve, fault);

    if (status != TB_OK)
        return status;
    for (int i = 0; i < SCENE_ROWS; i++) {
        row[i] = duct->row[i];
        row[i].station = duct->place[i] * tb_curve_length(def.curve);
    }
    status = tb_sweep_new(&def, sweep, fault);
    tb_curve_unref(def.curve);
    return status;
}

TbStatus
scene_line(const ScenePlain *plain, TbSweep **sweep, TbFault *fault)
{
    TbVec3 knot[SCENE_KNOTS], start = tb_vec3_sub(plain->line[1], plain->line[0]),
                              end = tb_vec3_sub(plain->line[5], plain->line[4]);
    TbCurve *curve = NULL;
    TbStatus status;

    for (int i = 0; i < SCENE_KNOTS; i++)
        knot[i] = scene_spline(plain->line, i / (SCENE_KNOTS - 1.0));
    status = tb_curve_smooth_new(knot, SCENE_KNOTS, &start, &end, &curve, fault);
    if (status == TB_OK)
        status = tb_sweep_new_round(curve, 2 * plain->line_radius, 0, sweep, fault);
    tb_curve_unref(curve);
    return status;
}
