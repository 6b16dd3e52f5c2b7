/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/measure_pair.h"

#include "geom/tol.h"

#include <math.h>
#include <string.h>

/* ---- what is asked, kept ---- */

void
tb_pair_input_init(TbPairInput *input, const TbPairAsk *ask)
{
    *input = (TbPairInput){.a = tb_solid_ref(tb_form_of(ask->a)->solid),
                           .b = tb_solid_ref(tb_form_of(ask->b)->solid),
                           .width = ask->width,
                           .leave_count = ask->leave_count};
    input->leave_out = g_memdup2(ask->leave_out, ask->leave_count * sizeof *ask->leave_out);
    for (int s = 0; s < 2; s++)
        input->motion[s] =
            ask->motion[s] == NULL ? NULL : g_memdup2(ask->motion[s], sizeof *ask->motion[s]);
    if (ask->ties != NULL)
        input->ties = *ask->ties;
}

void
tb_pair_input_clear(TbPairInput *input)
{
    tb_solid_unref(input->a);
    tb_solid_unref(input->b);
    g_free(input->leave_out);
    g_free(input->motion[0]);
    g_free(input->motion[1]);
}

/* ---- keys ---- */

TbKey *
tb_measure_pair_key(const TbPairAsk *ask)
{
    TbKey *key = tb_key_new(ask->a->serial);

    tb_key_add_word(key, ask->b->serial);
    tb_key_add_number(key, ask->width);
    tb_key_add_word(key, ask->leave_count);
    for (size_t i = 0; i < ask->leave_count; i++) {
        tb_key_add_vec3(key, ask->leave_out[i].port);
        tb_key_add_number(key, ask->leave_out[i].radius);
    }
    return key;
}

/* What it is made of; NULL is fine. */
static void
add_motion(TbKey *key, const TbMotion *motion)
{
    tb_key_add_word(key, motion == NULL ? 0 : (uint64_t)motion->count);
    for (int i = 0; motion != NULL && i < motion->count; i++) {
        const TbFreedom *f = &motion->freedom[i];

        tb_key_add_word(key, (uint64_t)f->kind);
        tb_key_add_vec3(key, f->point);
        tb_key_add_vec3(key, f->direction);
        tb_key_add_number(key, f->low);
        tb_key_add_number(key, f->high);
    }
}

static void
add_ties(TbKey *key, const TbTies *ties)
{
    for (int i = 0; ties != NULL && i < ties->count; i++) {
        tb_key_add_word(key, (uint64_t)ties->tie[i].a << 8 | (uint64_t)ties->tie[i].b);
        tb_key_add_word(key, ties->tie[i].opposite);
    }
}

TbKey *
tb_measure_motion_key(const TbPairAsk *ask)
{
    TbKey *key = tb_measure_pair_key(ask);

    add_motion(key, ask->motion[0]);
    add_motion(key, ask->motion[1]);
    add_ties(key, ask->ties);
    return key;
}

/* ---- gaps ---- */

typedef struct GapInput {
    TbPairInput pair;
    bool uncertified;
    TbMovingGap *still; /* or NULL */
} GapInput;

static void
gap_input_free(gpointer data)
{
    GapInput *input = data;

    tb_pair_input_clear(&input->pair);
    g_free(input->still);
    g_free(input);
}

static GapInput *
gap_input(const TbPairAsk *ask)
{
    GapInput *input = g_new0(GapInput, 1);

    tb_pair_input_init(&input->pair, ask);
    input->uncertified = ask->uncertified;
    if (ask->still != NULL) {
        input->still = g_memdup2(ask->still->value, sizeof *input->still);
        for (int s = 0; s < 2; s++)
            if (ask->motion[s] != NULL)
                tb_moving_rest(ask->motion[s], s == 0 ? input->still->at_a : input->still->at_b);
    }
    return input;
}

static TbStatus
still_gap(const TbPairInput *pair, TbTask *task, TbGap *gap, TbFault *fault)
{
    TbGapAsk ask = {.a = pair->a,
                    .b = pair->b,
                    .width = pair->width,
                    .leave_out = pair->leave_out,
                    .leave_out_count = pair->leave_count,
                    .hint = INFINITY};

    return tb_gap(&ask, task, gap, fault);
}

static TbMovingAsk
moving_ask(const TbPairInput *input)
{
    TbMovingAsk ask = {.a = input->a,
                       .b = input->b,
                       .width = input->width,
                       .leave_out = input->leave_out,
                       .leave_out_count = input->leave_count,
                       .ties = input->ties.count};

    if (input->motion[0] != NULL)
        ask.motion_a = *input->motion[0];
    if (input->motion[1] != NULL)
        ask.motion_b = *input->motion[1];
    memcpy(ask.tie, input->ties.tie, sizeof ask.tie);
    return ask;
}

static TbStatus
moving_gap(const GapInput *input, TbTask *task, TbMovingGap *moving, TbFault *fault)
{
    TbMovingAsk ask = moving_ask(&input->pair);
    TbStatus status;

    ask.known = input->still;
    status = tb_moving_gap(&ask, task, moving, fault);
    if (status == TB_OK && input->uncertified)
        moving->gap.certified = false;
    return status;
}

static TbStatus
make_gap(const void *data, TbTask *task, void **value, TbFault *fault)
{
    const GapInput *input = data;
    g_autofree TbMovingGap *moving = g_new0(TbMovingGap, 1);
    bool moves = input->pair.motion[0] != NULL || input->pair.motion[1] != NULL;
    TbStatus status = moves ? moving_gap(input, task, moving, fault)
                            : still_gap(&input->pair, task, &moving->gap, fault);

    if (status != TB_OK)
        return status;
    *value = g_steal_pointer(&moving);
    return TB_OK;
}

static const TbSort sort_gap = {
    .what = "gaps", .make = make_gap, .free_value = g_free, .free_input = gap_input_free};

TbEntry *
tb_measure_gap(TbCache *cache, const TbPairAsk *ask, bool *is_new)
{
    TbKey *key = tb_measure_motion_key(ask);

    tb_key_add_word(key, ask->uncertified);
    tb_key_add_word(key, ask->still == NULL ? 0 : ask->still->serial);
    return tb_cache_need(cache, key, &sort_gap, gap_input(ask), is_new);
}

TbEntry *
tb_measure_still(TbCache *cache, const TbPairAsk *ask, bool *is_new)
{
    TbPairAsk still = *ask;
    double at[TB_MOTION_MOST];

    *is_new = false;
    for (int s = 0; s < 2; s++)
        if (ask->motion[s] != NULL && !tb_moving_rest(ask->motion[s], at))
            return NULL;
    if (ask->motion[0] == NULL && ask->motion[1] == NULL)
        return NULL;
    still.motion[0] = still.motion[1] = NULL;
    still.ties = NULL;
    still.uncertified = false;
    return tb_measure_gap(cache, &still, is_new);
}

/* A limit inside the interval leaves the level undecided. */
static bool
is_undecided(const TbGap *gap, double limit)
{
    return gap->lower < limit && limit <= gap->upper;
}

TbEntry *
tb_measure_decided(TbCache *cache, const TbPairAsk *ask, TbEntry *gap, bool *is_new)
{
    const TbGap *known = gap->value;
    TbPairAsk closer = *ask;

    *is_new = false;
    if (known->nothing || ask->width <= TB_GAP_WIDTH_LEAST ||
        (!is_undecided(known, ask->keep) && !is_undecided(known, ask->keep + ask->want)))
        return gap;
    closer.width = TB_GAP_WIDTH_LEAST;
    return tb_measure_gap(cache, &closer, is_new);
}
