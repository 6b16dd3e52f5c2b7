/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/measure_moving.h"

#include "gaps/moving_profile.h"
#include "gaps/profile.h"

#include <math.h>

/* ---- the question ---- */

struct TbMovingInput {
    TbPairInput pair;
    TbScatterSource *sources;
    size_t count;
};

static TbPairAsk
tied(const TbMovingAlong *along)
{
    TbPairAsk pair = along->pair;

    pair.ties = &along->ties;
    return pair;
}

TbMovingInput *
tb_moving_input_of(const TbMovingAlong *along)
{
    TbPairAsk pair = tied(along);
    TbMovingInput *input = g_new0(TbMovingInput, 1);

    tb_pair_input_init(&input->pair, &pair);
    input->count = along->spread == NULL ? 0 : along->spread->count;
    input->sources = g_new0(TbScatterSource, input->count);
    for (size_t i = 0; i < input->count; i++) {
        input->sources[i] = along->spread->source[i].scatter;
        if (along->turned)
            input->sources[i].side = 1 - input->sources[i].side;
    }
    return input;
}

void
tb_moving_input_free(TbMovingInput *input)
{
    tb_pair_input_clear(&input->pair);
    g_free(input->sources);
    g_free(input);
}

TbStatus
tb_moving_input_motion(const TbMovingInput *input, TbScatterMotion *motion, TbFault *fault)
{
    TbScatterAsk ask = tb_spread_ask(&input->pair, input->sources, input->count);

    return tb_scatter_motion(&ask, motion, fault);
}

TbKey *
tb_measure_moving_key(const TbMovingAlong *along)
{
    TbPairAsk pair = tied(along);
    TbKey *key = tb_measure_motion_key(&pair);

    tb_spread_key(key, along->spread);
    tb_key_add_word(key, along->turned);
    return key;
}

/* ---- profiles ---- */

typedef struct ProfileInput {
    TbMovingInput *moving;
    double *stations;
    size_t count;
    double near;
} ProfileInput;

static void
profile_input_free(gpointer data)
{
    ProfileInput *input = data;

    tb_moving_input_free(input->moving);
    g_free(input->stations);
    g_free(input);
}

static TbStatus
make_profile(const void *data, TbTask *task, void **value, TbFault *fault)
{
    const ProfileInput *input = data;
    g_autofree TbProfile *profile =
        g_malloc0(sizeof(TbProfile) + input->count * sizeof(TbProfilePoint));
    TbScatterMotion motion;
    TbMovingProfileAsk ask = {.moving = &motion.moving,
                              .stations = input->stations,
                              .count = input->count,
                              .fine = TB_MEASURE_MOVING_FINE};
    TbStatus status = tb_moving_input_motion(input->moving, &motion, fault);

    if (status == TB_OK) {
        ask.near = input->near + motion.off + motion.slack;
        status = tb_moving_profile(&ask, task, profile->points, fault);
    }
    if (status != TB_OK)
        return status;
    for (size_t i = 0; i < input->count; i++) {
        TbProfilePoint *point = &profile->points[i];

        point->lower = fmax(0, point->lower - motion.off - motion.slack);
        point->upper = fmax(0, point->upper - motion.off + motion.slack);
    }
    profile->count = input->count;
    *value = g_steal_pointer(&profile);
    return TB_OK;
}

static const TbSort sort_profile = {.what = "gaps along the path",
                                    .make = make_profile,
                                    .free_value = g_free,
                                    .free_input = profile_input_free};

/* The stations of the table, and with them those at which a leave-out ends: there a neighbour that
 * comes nearer towards the joint is nearest. */
static void
set_stations(ProfileInput *input, const TbSweep *sweep, const TbPairAsk *pair, double step)
{
    double length = tb_sweep_length(sweep), ends[2];
    size_t rows = tb_measure_station_count(length, step), next = 0;

    tb_profile_kept(sweep, pair->leave_out, pair->leave_count, &ends[0], &ends[1]);
    input->stations = g_new(double, rows + G_N_ELEMENTS(ends));
    for (size_t i = 0; i < rows; i++) {
        double station = tb_measure_station(length, step, i);

        for (; next < G_N_ELEMENTS(ends) && ends[next] <= station; next++)
            if (ends[next] > 0 && ends[next] < station &&
                (input->count == 0 || ends[next] > input->stations[input->count - 1]))
                input->stations[input->count++] = ends[next];
        input->stations[input->count++] = station;
    }
}

TbEntry *
tb_measure_moving_profile(TbCache *cache, const TbMovingAlong *along, double step, bool *is_new)
{
    const TbForm *form = along->pair.a->value;
    ProfileInput *input = g_new0(ProfileInput, 1);
    TbKey *key = tb_measure_moving_key(along);

    input->moving = tb_moving_input_of(along);
    input->near = along->pair.keep + along->pair.want + TB_MEASURE_MOVING_NEAR;
    set_stations(input, form->sweep, &along->pair, step);
    tb_key_add_number(key, along->pair.keep + along->pair.want);
    tb_key_add_number(key, step);
    return tb_cache_need(cache, key, &sort_profile, input, is_new);
}

/* ---- which pairs ---- */

/* The path's motion is the first. */
static void
take_moves(TbMovingAlong *along, const TbMove move[2], const TbTies *ties)
{
    along->ties = *ties;
    along->pair.uncertified = move[0].chained || move[1].chained;
    for (int s = 0; s < 2; s++) {
        const TbMotion *motion = &move[along->turned ? 1 - s : s].motion;

        along->pair.motion[s] = motion->count > 0 ? motion : NULL;
    }
    for (int i = 0; along->turned && i < along->ties.count; i++) {
        TbMovingTie *tie = &along->ties.tie[i];

        *tie = (TbMovingTie){.a = tie->b, .b = tie->a, .opposite = tie->opposite};
    }
}

/* A gap that was searched with its sources, and could be. */
static bool
take_spread(TbMovingAlong *along, const TbSpreadSet *set, const TbEntry *gap)
{
    const TbSpreadGap *spread = gap->value;

    if (!tb_spread_is_searched(gap) || spread->status != TB_OK)
        return false;
    along->spread = set;
    along->pair.uncertified = along->pair.uncertified || set->blended;
    return true;
}

bool
tb_measure_moving_along(
    const TbCaseStand *in, guint index, bool turned, double width, TbMovingAlong *along)
{
    const TbPair *pair = in->pairs->pdata[index];
    const TbMove *move = in->moves == NULL ? NULL : &in->moves[2 * index];
    size_t item = turned ? pair->b : pair->a, other = turned ? pair->a : pair->b;
    const TbForm *form;

    if (in->gaps[index] == NULL || (move != NULL && in->blended[index]))
        return false;
    *along = (TbMovingAlong){.pair = tb_case_pair_ask(in, pair, width), .turned = turned};
    along->pair.a = in->stand->items[item].drawn;
    along->pair.b = in->stand->items[other].drawn;
    along->pair.leave_out = pair->leave_rest;
    if (move != NULL)
        take_moves(along, move, &in->ties[index]);
    if (in->spread != NULL && !take_spread(along, &in->spread[index], in->gaps[index]))
        return false;
    form = along->pair.a->value;
    return form->sweep != NULL && (along->spread != NULL || along->pair.motion[0] != NULL ||
                                   along->pair.motion[1] != NULL);
}

bool
tb_measure_moving_is_certified(const TbMovingAlong *along)
{
    return !along->pair.uncertified;
}
