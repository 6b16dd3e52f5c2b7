/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/measure_moving.h"

#include "gaps/moving_profile.h"

#include <string.h>

typedef struct Input {
    TbSolid *a, *b;
    TbMovingAsk ask; /* lends the rest */
    TbLeaveOut *leave_out;
    double *stations;
    size_t count;
    double near;
} Input;

static void
input_free(gpointer data)
{
    Input *input = data;

    tb_solid_unref(input->a);
    tb_solid_unref(input->b);
    g_free(input->leave_out);
    g_free(input->stations);
    g_free(input);
}

static TbStatus
make_profile(const void *data, TbTask *task, void **value, TbFault *fault)
{
    const Input *input = data;
    g_autofree TbProfile *profile =
        g_malloc0(sizeof(TbProfile) + input->count * sizeof(TbProfilePoint));
    TbMovingProfileAsk ask = {.moving = &input->ask,
                              .stations = input->stations,
                              .count = input->count,
                              .near = input->near,
                              .fine = TB_MEASURE_MOVING_FINE};
    TbStatus status = tb_moving_profile(&ask, task, profile->points, fault);

    if (status != TB_OK)
        return status;
    profile->count = input->count;
    *value = g_steal_pointer(&profile);
    return TB_OK;
}

static const TbSort sort_profile = {.what = "gaps along the path",
                                    .make = make_profile,
                                    .free_value = g_free,
                                    .free_input = input_free};

static Input *
input_of(const TbMovingAlong *along, double step)
{
    const TbPairAsk *pair = &along->pair;
    const TbForm *a = pair->a->value, *b = pair->b->value;
    double length = tb_sweep_length(a->sweep);
    Input *input = g_new0(Input, 1);

    input->a = tb_solid_ref(a->solid);
    input->b = tb_solid_ref(b->solid);
    input->leave_out = g_memdup2(pair->leave_out, pair->leave_count * sizeof *pair->leave_out);
    input->near = pair->keep + pair->want + TB_MEASURE_MOVING_NEAR;
    input->count = tb_measure_station_count(length, step);
    input->stations = g_new(double, input->count);
    for (size_t i = 0; i < input->count; i++)
        input->stations[i] = tb_measure_station(length, step, i);
    input->ask = (TbMovingAsk){.a = input->a,
                               .b = input->b,
                               .width = pair->width,
                               .leave_out = input->leave_out,
                               .leave_out_count = pair->leave_count,
                               .ties = along->ties.count};
    memcpy(input->ask.tie, along->ties.tie, sizeof input->ask.tie);
    if (pair->motion[0] != NULL)
        input->ask.motion_a = *pair->motion[0];
    if (pair->motion[1] != NULL)
        input->ask.motion_b = *pair->motion[1];
    return input;
}

TbEntry *
tb_measure_moving_profile(TbCache *cache, const TbMovingAlong *along, double step, bool *is_new)
{
    TbKey *key = tb_measure_pair_key(&along->pair);

    tb_measure_key_motion(key, along->pair.motion[0]);
    tb_measure_key_motion(key, along->pair.motion[1]);
    tb_measure_key_ties(key, &along->ties);
    tb_key_add_number(key, along->pair.keep + along->pair.want);
    tb_key_add_number(key, step);
    return tb_cache_need(cache, key, &sort_profile, input_of(along, step), is_new);
}

bool
tb_measure_moving_along(
    const TbCaseStand *in, guint index, bool turned, double width, TbMovingAlong *along)
{
    const TbPair *pair = in->pairs->pdata[index];
    const TbMove *move = in->moves == NULL ? NULL : &in->moves[2 * index];
    size_t item = turned ? pair->b : pair->a, other = turned ? pair->a : pair->b;
    const TbForm *form;

    if (move == NULL || in->spread != NULL || in->blended[index] || in->gaps[index] == NULL ||
        move[0].motion.count + move[1].motion.count == 0)
        return false;
    *along = (TbMovingAlong){.pair = tb_case_pair_ask(in, pair, width),
                             .ties = in->ties[index],
                             .worst = in->gaps[index]->value,
                             .turned = turned};
    along->pair.a = in->stand->items[item].drawn;
    along->pair.b = in->stand->items[other].drawn;
    along->pair.leave_out = pair->leave_rest;
    along->pair.uncertified = move[0].chained || move[1].chained;
    for (int s = 0; s < 2; s++) {
        const TbMotion *motion = &move[turned ? 1 - s : s].motion;

        along->pair.motion[s] = motion->count > 0 ? motion : NULL;
    }
    for (int i = 0; turned && i < along->ties.count; i++) {
        TbMovingTie *tie = &along->ties.tie[i];

        *tie = (TbMovingTie){.a = tie->b, .b = tie->a, .opposite = tie->opposite};
    }
    form = along->pair.a->value;
    return form->sweep != NULL;
}

bool
tb_measure_moving_is_certified(const TbMovingAlong *along)
{
    return !along->pair.uncertified;
}
