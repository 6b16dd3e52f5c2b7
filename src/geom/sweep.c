/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/sweep.h"

#include "base/mem.h"
#include "geom/curve_private.h"
#include "geom/sweep_private.h"

static TbSweep *
sweep_alloc(void)
{
    TbSweep *sweep = tb_alloc(sizeof *sweep);

    if (sweep != NULL)
        atomic_init(&sweep->references, 1);
    return sweep;
}

TbStatus
tb_sweep_new(const TbSweepDef *def, TbSweep **sweep, TbFault *fault)
{
    TbSweep *made;
    TbStatus status;

    if (def->up != NULL && !tb_vec3_is_finite(*def->up))
        return tb_fail(fault, TB_E_RANGE, "the start's up direction is not finite");
    made = sweep_alloc();
    if (made == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for a sweep");
    made->curve = tb_curve_ref(def->curve);
    status = tb_law_new(def->rows, def->row_count, tb_curve_length(made->curve), &made->law, fault);
    if (status == TB_OK)
        status = tb_sweep__cut(made, def->up, fault);
    if (status == TB_OK)
        *sweep = made;
    else
        tb_sweep_unref(made);
    return status;
}

TbStatus
tb_sweep_new_round(TbCurve *curve, double outside, double wall, TbSweep **sweep, TbFault *fault)
{
    double inside = outside - 2 * wall;
    TbSectionRow row = {.section = tb_section_superellipse(inside, inside, 2)};
    TbSweepDef def = {.curve = curve, .rows = &row, .row_count = 1};

    row.section.wall = wall;
    return tb_sweep_new(&def, sweep, fault);
}

TbSweep *
tb_sweep_ref(TbSweep *sweep)
{
    atomic_fetch_add(&sweep->references, 1);
    return sweep;
}

void
tb_sweep_unref(TbSweep *sweep)
{
    if (sweep == NULL || atomic_fetch_sub(&sweep->references, 1) != 1)
        return;
    tb_free(sweep->pieces);
    tb_law_unref(sweep->law);
    tb_curve_unref(sweep->curve);
    tb_free(sweep);
}

/* ---- moving ---- */

static TbFrame
frame_moved(TbFrame frame, TbPose pose)
{
    return (TbFrame){tb_pose_direction(pose, frame.t), tb_pose_direction(pose, frame.h),
                     tb_pose_direction(pose, frame.w)};
}

/** theta(u) keeps its values at u k. */
static TbPiece
piece_moved(const TbSweep *to, const TbSweep *from, const TbPiece *piece, TbPose pose)
{
    double k = pose.scale, power = 1;
    TbPiece out = *piece;

    out.span = tb_curve_span(to->curve, (size_t)(piece->span - tb_curve_span(from->curve, 0)));
    out.u0 *= k;
    out.extent *= k;
    out.station0 *= k;
    out.length *= k;
    out.law = tb_law_span(to->law, (size_t)(piece->law - tb_law_span(from->law, 0)));
    out.node = frame_moved(piece->node, pose);
    for (int i = 0; i < 4; i++, power *= k)
        out.theta[i] = piece->theta[i] / power;
    out.bend /= k;
    return out;
}

static TbVec3
vector_moved(TbVec3 v, TbPose pose)
{
    return tb_vec3_scale(tb_pose_direction(pose, v), pose.scale);
}

TbSweep *
tb_sweep_moved(const TbSweep *sweep, TbPose pose)
{
    TbSweep *moved = sweep_alloc();

    if (moved == NULL)
        return NULL;
    moved->curve = tb_curve_moved(sweep->curve, pose);
    moved->law = pose.scale == 1 ? tb_law_ref(sweep->law) : tb_law_scaled(sweep->law, pose.scale);
    moved->pieces = tb_alloc_array(sweep->count, sizeof *moved->pieces);
    moved->count = moved->capacity = sweep->count;
    if (moved->curve == NULL || moved->pieces == NULL || moved->law == NULL) {
        tb_sweep_unref(moved);
        return NULL;
    }
    moved->drifts = sweep->drifts;
    moved->drift =
        (TbDrift){vector_moved(sweep->drift.start, pose), vector_moved(sweep->drift.end, pose),
                  sweep->drift.length * pose.scale};
    for (size_t i = 0; i < sweep->count; i++) {
        moved->pieces[i] = piece_moved(moved, sweep, &sweep->pieces[i], pose);
        moved->pieces[i].drift = moved->drifts ? &moved->drift : NULL;
    }
    return moved;
}

TbSweep *
tb_sweep_drifted(const TbSweep *sweep, double factor, TbVec3 start, TbVec3 end)
{
    double length = tb_sweep_length(sweep);
    TbVec3 c0 = tb_sweep_at(sweep, 0).centre, c1 = tb_sweep_at(sweep, length).centre;
    TbSweep *made = tb_sweep_moved(sweep, tb_pose_growth(c0, factor));

    if (made == NULL)
        return NULL;
    /* about c0 the chord's end went off by (factor - 1) (c1 - c0) */
    end = tb_vec3_add_scaled(end, 1 - factor, tb_vec3_sub(c1, c0));
    made->drifts = true;
    made->drift.start = tb_vec3_add(made->drift.start, start);
    made->drift.end = tb_vec3_add(made->drift.end, end);
    made->drift.length = tb_sweep_length(made);
    for (size_t i = 0; i < made->count; i++)
        made->pieces[i].drift = &made->drift;
    return made;
}

/* ---- asking ---- */

double
tb_sweep_length(const TbSweep *sweep)
{
    return tb_curve_length(sweep->curve);
}

const TbCurve *
tb_sweep_curve(const TbSweep *sweep)
{
    return sweep->curve;
}

const TbLaw *
tb_sweep_law(const TbSweep *sweep)
{
    return sweep->law;
}

size_t
tb_sweep_piece_count(const TbSweep *sweep)
{
    return sweep->count;
}

const TbPiece *
tb_sweep_piece(const TbSweep *sweep, size_t index)
{
    TB_ASSERT(index < sweep->count);
    return &sweep->pieces[index];
}

size_t
tb_sweep_find(const TbSweep *sweep, double station)
{
    size_t low = 0, high = sweep->count;

    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;

        if (sweep->pieces[middle].station0 <= station)
            low = middle;
        else
            high = middle;
    }
    return low;
}

TbCurvePoint
tb_sweep_place(const TbSweep *sweep, double station)
{
    double s = fmin(fmax(station, 0), tb_sweep_length(sweep));
    const TbPiece *piece = &sweep->pieces[tb_sweep_find(sweep, s)];
    double u = piece->u0 + tb_piece_u(piece, s);
    TbCurvePoint place =
        tb_span__place(piece->span, (size_t)(piece->span - tb_curve_span(sweep->curve, 0)), u, s);

    place.point = tb_piece__drifted(piece, place.point, s);
    return place;
}

TbDisc
tb_sweep_at(const TbSweep *sweep, double station)
{
    double s = fmin(fmax(station, 0), tb_sweep_length(sweep));
    const TbPiece *piece = &sweep->pieces[tb_sweep_find(sweep, s)];

    return tb_piece__disc_at(piece, tb_piece_u(piece, s), s);
}
