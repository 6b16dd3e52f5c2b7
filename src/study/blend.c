/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/blend.h"

#include "gaps/moving.h"

#include <math.h>

/* mm between the points that a warped path is led through. */
#define STEP 8.0
#define LEAST_POINTS 6
#define MOST_POINTS 200

/* Poses of one freedom. */
#define EVENLY 13

/* Freedoms whose extremes are all looked at, at most: 32 poses and the middle. */
#define MOST_EXTREME 5

/* ---- poses ---- */

bool
tb_blend_rides_on_two(const TbStand *stand, size_t item)
{
    const char *mount[2];

    tb_moves_ends(stand, item, mount);
    return tb_moves_apart(stand, mount[0], mount[1]);
}

/* Where a mount puts what rides on it, of the numbers of all freedoms. */
static TbPose
pose_on(const TbBay *bay, const char *mount, const TbMove *move, const double q[])
{
    TbMotion one = {.count = 1};
    TbPose pose = tb_pose_identity();

    for (const TbMount *m = tb_bay_mount(bay, mount); m != NULL; m = tb_bay_mount(bay, m->parent)) {
        TbPose own = tb_pose_identity();

        for (int i = 0; i < move->motion.count; i++) {
            if (g_strcmp0(move->mount[i], m->record.id) != 0)
                continue;
            one.freedom[0] = move->motion.freedom[i];
            own = tb_pose_compose(own, tb_motion_pose(&one, &q[i]));
        }
        pose = tb_pose_compose(own, pose);
    }
    return pose;
}

static void
set_numbers(const TbMove *move, TbBlend *blend)
{
    int count = move->motion.count, extreme = MIN(count, MOST_EXTREME);

    blend->count = count == 0 ? 1 : count == 1 ? EVENLY : ((size_t)1 << extreme) + 1;
    for (size_t k = 0; k < blend->count; k++)
        for (int i = 0; i < count; i++) {
            const TbFreedom *f = &move->motion.freedom[i];
            double share = count == 1                              ? (double)k / (EVENLY - 1)
                           : k + 1 == blend->count || i >= extreme ? 0.5
                                                                   : (double)(k >> i & 1);

            blend->q[k][i] = f->low + share * (f->high - f->low);
        }
}

TbStatus
tb_blend_of(const TbStand *stand, size_t a, size_t b, TbMove *move, TbBlend *blend, TbFault *fault)
{
    const size_t item[2] = {a, b};
    const char *ends[2][2];
    TbStatus status = tb_moves_all(stand, a, b, move, fault);

    if (status != TB_OK)
        return status;
    *blend = (TbBlend){.count = 0};
    set_numbers(move, blend);
    for (int s = 0; s < 2; s++) {
        tb_moves_ends(stand, item[s], ends[s]);
        blend->warps[s] = tb_blend_rides_on_two(stand, item[s]);
        blend->bends[s] = stand->items[item[s]].item->kind == TB_ITEM_LINE;
    }
    for (size_t k = 0; k < blend->count; k++) {
        TbPose still = tb_pose_identity();

        for (int s = 0; s < 2; s++) {
            blend->start[s][k] = pose_on(stand->bay, ends[s][0], move, blend->q[k]);
            blend->end[s][k] = pose_on(stand->bay, ends[s][1], move, blend->q[k]);
            if (!blend->warps[s])
                still = tb_pose_inverse(blend->start[s][k]);
        }
        for (int s = 0; s < 2; s++) { /* what keeps its shape stays where it is drawn */
            blend->start[s][k] = tb_pose_compose(still, blend->start[s][k]);
            blend->end[s][k] = tb_pose_compose(still, blend->end[s][k]);
        }
    }
    return TB_OK;
}

/* ---- warped shapes ---- */

typedef struct BlendInput {
    TbForm form[2][2]; /* by side; as drawn, and in the state: references to solid and sweep */
    int forms[2];      /* 2 where it is warm */
    TbBlend blend;
    double width;
    TbLeaveOut *leave_out;
    size_t leave_count;
} BlendInput;

static void
input_free(gpointer data)
{
    BlendInput *input = data;

    for (int s = 0; s < 2; s++)
        for (int k = 0; k < 2; k++) {
            tb_solid_unref(input->form[s][k].solid);
            tb_sweep_unref(input->form[s][k].sweep);
        }
    g_free(input->leave_out);
    g_free(input);
}

/* How warm a side is in a pose, 0 or 1: the poses of each number go through all warmths. */
static int
warmth_in(const BlendInput *input, size_t pose, int side)
{
    int which = (int)(pose % (size_t)(input->forms[0] * input->forms[1]));

    return side == 0 ? which % input->forms[0] : which / input->forms[0];
}

static size_t
numbers_in(const BlendInput *input, size_t pose)
{
    return pose / (size_t)(input->forms[0] * input->forms[1]);
}

static TbVec3
warped(const TbPose *start, const TbPose *end, TbVec3 p, double share)
{
    double w = share * share * (3 - 2 * share);

    return tb_vec3_mix(tb_pose_point(*start, p), tb_pose_point(*end, p), w);
}

static TbStatus
warp(const TbSweep *sweep, const TbPose *start, const TbPose *end, TbSolid **solid, TbFault *fault)
{
    double length = tb_sweep_length(sweep), radius = 0;
    size_t count = (size_t)CLAMP(length / STEP, LEAST_POINTS, MOST_POINTS) + 1;
    g_autofree TbVec3 *knot = g_new(TbVec3, count);
    TbDisc first = tb_sweep_at(sweep, 0), last = tb_sweep_at(sweep, length);
    TbVec3 t0 = tb_pose_direction(*start, first.frame.t);
    TbVec3 t1 = tb_pose_direction(*end, last.frame.t);
    TbCurve *curve = NULL;
    TbSweep *made = NULL;
    TbStatus status;

    for (size_t i = 0; i < count; i++) {
        double share = (double)i / (double)(count - 1);
        TbDisc disc = tb_sweep_at(sweep, share * length);

        radius = fmax(radius, tb_slice_radius(&disc.slice, true));
        knot[i] = warped(start, end, disc.centre, share);
    }
    *solid = tb_solid_new();
    status =
        *solid == NULL ? TB_E_MEMORY : tb_curve_smooth_new(knot, count, &t0, &t1, &curve, fault);
    if (status == TB_OK)
        status = tb_sweep_new_round(curve, 2 * radius, 0, &made, fault);
    if (status == TB_OK)
        status = tb_solid_add_sweep(*solid, made, TB_ROLE_SKIN, fault);
    tb_sweep_unref(made);
    tb_curve_unref(curve);
    return status;
}

/* Moved as its start is, and its end drawn out to where that one's mount takes it. */
static TbStatus
draw_out(const TbSolid *drawn, const TbPose *start, const TbPose *end, TbSolid **solid)
{
    TbSolid *moved = tb_solid_moved(drawn, *start);
    TbVec3 c0 = {0, 0, 0}, c1 = {0, 0, 0}, still = {0, 0, 0};
    double length;

    if (moved != NULL && tb_solid_chord(drawn, &c0, &c1, &length))
        *solid = tb_solid_drifted(moved, 1, still,
                                  tb_vec3_sub(tb_pose_point(*end, c1), tb_pose_point(*start, c1)));
    tb_solid_unref(moved);
    return *solid == NULL ? TB_E_MEMORY : TB_OK;
}

static TbStatus
solids_at(void *user, size_t pose, TbSolid **a, TbSolid **b, TbFault *fault)
{
    BlendInput *input = user;
    TbSolid **out[2] = {a, b};
    size_t k = numbers_in(input, pose);
    TbStatus status = TB_OK;

    for (int s = 0; s < 2 && status == TB_OK; s++) {
        const TbForm *form = &input->form[s][warmth_in(input, pose, s)];
        const TbPose *start = &input->blend.start[s][k], *end = &input->blend.end[s][k];

        if (!input->blend.warps[s] || form->sweep == NULL)
            *out[s] = tb_solid_ref(form->solid);
        else if (input->blend.bends[s])
            status = warp(form->sweep, start, end, out[s], fault);
        else
            status = draw_out(form->solid, start, end, out[s]);
    }
    return status;
}

static TbStatus
make_blend(const void *data, TbTask *task, void **value, TbFault *fault)
{
    const BlendInput *input = data;
    TbSampledAsk ask = {.poses = input->blend.count * (size_t)(input->forms[0] * input->forms[1]),
                        .solids = solids_at,
                        .user = (void *)input,
                        .width = input->width,
                        .leave_out = input->leave_out,
                        .leave_out_count = input->leave_count};
    g_autofree TbMovingGap *moving = g_new0(TbMovingGap, 1);
    size_t worst;
    TbStatus status = tb_moving_sampled(&ask, task, &moving->gap, &worst, fault);

    if (status != TB_OK)
        return status;
    for (int i = 0; i < TB_MOTION_MOST; i++)
        moving->at_a[i] = input->blend.q[numbers_in(input, worst)][i];
    for (int s = 0; s < 2; s++) {
        TbSite *site = s == 0 ? &moving->gap.site_a : &moving->gap.site_b;
        int warmth = warmth_in(input, worst, s);

        moving->at_b[TB_BLEND_WARMTH + s] = warmth;
        if (site->on_sweep)
            site->station /= input->form[s][warmth].grown.scale;
    }
    *value = g_steal_pointer(&moving);
    return TB_OK;
}

static const TbSort sort_blend = {
    .what = "gaps", .make = make_blend, .free_value = g_free, .free_input = input_free};

static TbForm
form_kept(const TbEntry *entry)
{
    TbForm form = *(const TbForm *)entry->value;

    tb_solid_ref(form.solid);
    if (form.sweep != NULL)
        tb_sweep_ref(form.sweep);
    return form;
}

TbEntry *
tb_blend_gap(
    TbCache *cache, const TbStand *stand, const TbPairAsk *ask, const TbBlend *blend, bool *is_new)
{
    const TbEntry *entry[2] = {ask->a, ask->b};
    TbKey *key = tb_measure_pair_key(ask);
    BlendInput *input = g_new0(BlendInput, 1);

    input->blend = *blend;
    input->width = ask->width;
    input->leave_count = ask->leave_count;
    input->leave_out = g_memdup2(ask->leave_out, ask->leave_count * sizeof *ask->leave_out);
    tb_key_add_word(key, blend->count);
    for (int s = 0; s < 2; s++) {
        const TbEntry *drawn = tb_stand_drawn(stand, entry[s]);

        input->form[s][0] = form_kept(drawn);
        input->forms[s] = drawn == entry[s] ? 1 : 2;
        if (input->forms[s] == 2)
            input->form[s][1] = form_kept(entry[s]);
        tb_key_add_word(key, (uint64_t)blend->warps[s] << 1 | (uint64_t)blend->bends[s]);
        tb_key_add_word(key, drawn->serial);
        for (size_t k = 0; k < blend->count; k++) {
            tb_key_add_pose(key, blend->start[s][k]);
            tb_key_add_pose(key, blend->end[s][k]);
        }
    }
    return tb_cache_need(cache, key, &sort_blend, input, is_new);
}
