/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/case.h"

#include "geom/tol.h"
#include "study/blend.h"

/* ---- what is asked ---- */

static TbStatus
no_variant(const TbBay *bay, const char *id, TbFault *fault)
{
    g_autoptr(GString) known = g_string_new(NULL);

    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_VARIANTS); i++)
        g_string_append_printf(known, "%s%s", i == 0 ? "" : ", ",
                               tb_bay_variant_at(bay, i)->record.id);
    if (known->len == 0)
        return tb_fail(fault, TB_E_REFERENCE, "there is no variant %s; the bay has none", id);
    return tb_fail(fault, TB_E_REFERENCE, "there is no variant %s; there are: %s", id, known->str);
}

/* Ids of variants to judge; a bay without variants is judged as it stands (NULL). */
static TbStatus
find_variants(const TbAsk *ask, bool one, GPtrArray *ids, TbFault *fault)
{
    size_t count = tb_bay_count(ask->bay, TB_LIST_VARIANTS);

    if (ask->variant != NULL) {
        const TbVariant *variant = tb_bay_variant(ask->bay, ask->variant);

        if (variant == NULL)
            return no_variant(ask->bay, ask->variant, fault);
        g_ptr_array_add(ids, variant->record.id);
        return TB_OK;
    }
    for (size_t i = 0; i < (one ? MIN(count, 1) : count); i++)
        g_ptr_array_add(ids, tb_bay_variant_at(ask->bay, i)->record.id);
    if (count == 0)
        g_ptr_array_add(ids, NULL);
    return TB_OK;
}

/* ---- steps ---- */

static bool
has_judged(const TbCase *theirs)
{
    for (guint i = 0; i < theirs->conditions->len; i++)
        if (((TbCondition *)theirs->conditions->pdata[i])->unjudged == NULL)
            return true;
    return false;
}

static void
add_stands(TbStudy *study, const TbAsk *ask, TbCase *theirs, GPtrArray *variants, TbTask *task)
{
    TbShapeSources sources = {
        .store = study->store, .folder = ask->folder, .work = study->work, .task = task};
    bool judged = has_judged(theirs);

    theirs->stands = g_new0(TbCaseStand, variants->len * theirs->conditions->len);
    theirs->variants = variants->len;
    for (guint v = 0; v < variants->len; v++)
        for (guint s = 0; s < theirs->conditions->len; s++) {
            const TbCondition *condition = theirs->conditions->pdata[s];
            TbCaseStand *in = &theirs->stands[theirs->count];

            /* Where nothing is judged the first one shows the shapes as drawn all the same. */
            if (condition->unjudged != NULL && (judged || s > 0))
                continue;
            in->judged = condition->unjudged == NULL;
            in->stand = tb_stand_new(ask->bay, study->catalogue, variants->pdata[v], condition,
                                     study->cache, &sources, &study->counts);
            in->stand->pose = ask->pose;
            in->stand->keeps_of = ask->keeps_of;
            in->facts = g_new0(TbEntry *, in->stand->count + 1);
            theirs->count++;
        }
}

/* What facts of the paths as drawn read, a round before them. */
static void
need_moments(TbStudy *study, const TbCaseStand *in)
{
    for (size_t i = 0; i < in->stand->count; i++)
        if (tb_placed_drawn(&in->stand->items[i]) != NULL)
            tb_measure_moments(study->cache, in->stand->items[i].drawn);
}

static void
need_facts(TbStudy *study, TbCaseStand *in)
{
    for (size_t i = 0; i < in->stand->count; i++) {
        const TbPlaced *placed = &in->stand->items[i];
        const TbForm *form = tb_placed_drawn(placed);
        TbSweepLimits limits;

        if (form == NULL || form->sweep == NULL)
            continue;
        limits = tb_check_limits(study->catalogue, in->stand->bay, placed->item);
        in->facts[i] = tb_measure_facts(study->cache, placed->drawn, &limits, NULL);
    }
}

TbPairAsk
tb_case_pair_ask(const TbCaseStand *in, const TbPair *pair, double width)
{
    return (TbPairAsk){.a = in->stand->items[pair->a].entry,
                       .b = in->stand->items[pair->b].entry,
                       .keep = pair->gap,
                       .want = pair->want,
                       .width = width,
                       .leave_out = pair->leave_out,
                       .leave_count = pair->leave_count};
}

TbPairAsk
tb_case_pair_ask_turned(const TbCaseStand *in, const TbPair *pair, double width)
{
    TbPairAsk ask = tb_case_pair_ask(in, pair, width);
    const TbEntry *a = ask.a;

    ask.a = ask.b;
    ask.b = a;
    return ask;
}

bool
tb_case_gap(const TbCaseStand *in, guint index, TbGap *gap)
{
    const TbEntry *entry = in->gaps[index];

    if (entry == NULL)
        return false;
    *gap = *(const TbGap *)entry->value;
    if (in->spread != NULL && !tb_spread_is_searched(entry))
        tb_spread_take_off(&in->spread[index], gap);
    else if (in->spread != NULL && ((const TbSpreadGap *)entry->value)->status != TB_OK)
        return false;
    return !gap->nothing;
}

/* A motion's gap begins with the one as drawn: that comes first, and the other a round later. */
static TbEntry *
need_start(TbStudy *study, TbPairAsk *ask, bool *is_new)
{
    ask->still = tb_measure_still(study->cache, ask, is_new);
    return ask->still != NULL ? ask->still : tb_measure_gap(study->cache, ask, is_new);
}

/* What moves the two of a pair that keep their shapes, and how warm they may be; false, with the
 * reason, where that cannot be judged. What is warm is asked as drawn: growth is a number. */
static bool
find_motion(TbCaseStand *in, guint index, TbPairAsk *ask)
{
    const TbPair *pair = in->pairs->pdata[index];
    const TbCondition *condition = in->stand->condition;
    TbMove *move = &in->moves[2 * index];
    TbFault fault = {0};
    TbStatus status = TB_OK;

    if (condition->rocks)
        status = tb_moves_of(in->stand, pair->a, pair->b, move, &fault);
    if (status == TB_OK && condition->hot != NULL)
        status = tb_warmth_moves(in->stand, pair->a, pair->b, move, &in->ties[index], &fault);
    if (status != TB_OK) {
        in->why[index] = g_strdup(fault.text);
        return false;
    }
    ask->a = in->stand->items[pair->a].drawn;
    ask->b = in->stand->items[pair->b].drawn;
    ask->leave_out = pair->leave_rest;
    ask->ties = &in->ties[index];
    ask->uncertified = move[0].chained || move[1].chained;
    for (int s = 0; s < 2; s++)
        ask->motion[s] = move[s].motion.count > 0 ? &move[s].motion : NULL;
    return true;
}

/* A pair in a state that rocks or is warm: NULL, with the reason, where its motion cannot be
 * judged. */
static TbEntry *
need_moving(TbStudy *study, TbCaseStand *in, guint index, TbPairAsk *ask, bool *is_new)
{
    const TbPair *pair = in->pairs->pdata[index];
    const TbStand *stand = in->stand;
    TbMove *move = &in->moves[2 * index];
    g_autofree TbBlend *blend = NULL;
    TbFault fault = {0};

    *is_new = false;
    if (!stand->condition->rocks ||
        (!tb_blend_rides_on_two(stand, pair->a) && !tb_blend_rides_on_two(stand, pair->b)))
        return find_motion(in, index, ask) ? need_start(study, ask, is_new) : NULL;
    blend = g_new0(TbBlend, 1);
    if (tb_blend_of(stand, pair->a, pair->b, move, blend, &fault) != TB_OK) {
        in->why[index] = g_strdup(fault.text);
        return NULL;
    }
    if (move->motion.count == 0)
        return find_motion(in, index, ask) ? need_start(study, ask, is_new) : NULL;
    in->blended[index] = true;
    return tb_blend_gap(study->cache, stand, ask, blend, is_new);
}

/* At the edge of tolerance: the gap of what moves it besides, on which the rest stands. */
static TbEntry *
need_nominal(TbStudy *study, TbCaseStand *in, guint index, TbPairAsk *ask, bool *is_new)
{
    const TbPair *pair = in->pairs->pdata[index];
    TbSpreadSet *set = &in->spread[index];
    TbFault fault = {0};

    *is_new = false;
    if (tb_spread_of(in->stand, pair->a, pair->b, set, &fault) != TB_OK) {
        in->why[index] = g_strdup(fault.text);
        return NULL;
    }
    if (in->stand->condition->rocks && set->blended)
        return need_moving(study, in, index, ask, is_new);
    if (in->moves != NULL && !find_motion(in, index, ask))
        return NULL;
    return need_start(study, ask, is_new);
}

/* Where things stand at a pose, only its own gap means anything. */
static TbEntry *
need_posed(TbStudy *study, const TbCaseStand *in, guint index, TbPairAsk *ask, bool *is_new)
{
    const TbPair *pair = in->pairs->pdata[index];
    const TbResultGap *pose = in->stand->pose;
    const char *a = in->stand->items[pair->a].id, *b = in->stand->items[pair->b].id;

    *is_new = false;
    if ((g_strcmp0(a, pose->a) != 0 || g_strcmp0(b, pose->b) != 0) &&
        (g_strcmp0(a, pose->b) != 0 || g_strcmp0(b, pose->a) != 0))
        return NULL;
    return tb_measure_gap(study->cache, ask, is_new);
}

static TbEntry *
need_gap(TbStudy *study, TbCaseStand *in, guint index, TbPairAsk *ask, bool *is_new)
{
    if (in->stand->pose != NULL)
        return need_posed(study, in, index, ask, is_new);
    if (in->spread != NULL)
        return need_nominal(study, in, index, ask, is_new);
    if (in->moves != NULL)
        return need_moving(study, in, index, ask, is_new);
    return tb_measure_gap(study->cache, ask, is_new);
}

/* A pair whose gap is promised. */
typedef struct Asked {
    TbCaseStand *in;
    guint index;
    TbPairAsk ask;
} Asked;

static void
need_gaps(TbStudy *study, const TbAsk *ask, TbCaseStand *in, GArray *asked)
{
    if (!in->judged)
        return;
    g_ptr_array_unref(in->pairs);
    in->pairs = tb_keeps_pairs(in->stand);
    in->gaps = g_new0(TbEntry *, in->pairs->len + 1);
    in->why = g_new0(char *, in->pairs->len + 1);
    if (in->stand->pose == NULL &&
        (in->stand->condition->rocks || in->stand->condition->hot != NULL)) {
        in->moves = g_new0(TbMove, 2 * in->pairs->len + 1);
        in->ties = g_new0(TbTies, in->pairs->len + 1);
        in->blended = g_new0(bool, in->pairs->len + 1);
    }
    if (in->stand->pose == NULL && in->stand->condition->scatters)
        in->spread = g_new0(TbSpreadSet, in->pairs->len + 1);
    in->chance = (TbSpreadChance){.samples = ask->samples, .seed = ask->seed};
    for (guint i = 0; i < in->pairs->len; i++) {
        const TbPair *pair = in->pairs->pdata[i];
        Asked one = {.in = in, .index = i, .ask = tb_case_pair_ask(in, pair, tb_ask_width(ask))};
        bool is_new;

        if (tb_placed_form(&in->stand->items[pair->a])->solid == NULL ||
            tb_placed_form(&in->stand->items[pair->b])->solid == NULL)
            continue;
        in->gaps[i] = need_gap(study, in, i, &one.ask, &is_new);
        study->counts.gaps += is_new;
        if (in->gaps[i] != NULL)
            g_array_append_val(asked, one);
    }
}

/* Those of motions, of which the gap as drawn is there. */
static void
need_motions(TbStudy *study, const GArray *asked)
{
    for (guint i = 0; i < asked->len; i++) {
        const Asked *one = &g_array_index(asked, Asked, i);
        bool is_new = false;

        if (one->ask.still != NULL)
            one->in->gaps[one->index] = tb_measure_gap(study->cache, &one->ask, &is_new);
        study->counts.gaps += is_new;
    }
}

/* What is still to be asked of settled gaps: of what is at the edge of tolerance all that
 * tolerances do; of the rest those closer that leave their level undecided. What is blended along a
 * motion stays as it is; the check takes off what tolerances reach. */
static void
need_verdicts(TbStudy *study, const GArray *asked)
{
    for (guint i = 0; i < asked->len; i++) {
        const Asked *one = &g_array_index(asked, Asked, i);
        TbCaseStand *in = one->in;
        TbEntry **gap = &in->gaps[one->index];
        bool is_new;

        if (in->blended != NULL && in->blended[one->index])
            continue;
        if (in->spread == NULL || (in->stand->condition->rocks && in->spread[one->index].blended))
            *gap = tb_measure_decided(study->cache, &one->ask, *gap, &is_new);
        else
            *gap = tb_spread_gap(study->cache, &one->ask, *gap, &in->spread[one->index],
                                 &in->chance, &is_new);
        study->counts.gaps += is_new;
    }
}

static TbStatus
judge_gaps(TbStudy *study, const TbAsk *ask, TbCase *theirs, TbTask *task, TbFault *fault)
{
    g_autoptr(GArray) asked = g_array_new(FALSE, FALSE, sizeof(Asked));
    TbStatus status;

    for (size_t i = 0; i < theirs->count; i++)
        need_gaps(study, ask, &theirs->stands[i], asked);
    status = tb_cache_settle(study->cache, study->work, task, fault);
    if (status != TB_OK)
        return status;
    need_motions(study, asked);
    status = tb_cache_settle(study->cache, study->work, task, fault);
    if (status != TB_OK)
        return status;
    need_verdicts(study, asked);
    return tb_cache_settle(study->cache, study->work, task, fault);
}

static TbStatus
fill(TbStudy *study,
     const TbAsk *ask,
     unsigned needs,
     bool everything,
     TbCase *theirs,
     GPtrArray *variants,
     TbTask *task,
     TbFault *fault)
{
    TbStatus status;

    tb_cache_turn(study->cache, everything);
    add_stands(study, ask, theirs, variants, task);
    status = tb_cache_settle(study->cache, study->work, task, fault);
    if (status != TB_OK)
        return status;
    for (size_t i = 0; i < theirs->count; i++) {
        theirs->stands[i].pairs = g_ptr_array_new();
        tb_stand_grow(theirs->stands[i].stand, study->cache, &study->counts);
        if (needs & TB_NEEDS_FACTS)
            need_moments(study, &theirs->stands[i]);
    }
    status = tb_cache_settle(study->cache, study->work, task, fault);
    if (status != TB_OK)
        return status;
    for (size_t i = 0; i < theirs->count && (needs & TB_NEEDS_FACTS) != 0; i++)
        need_facts(study, &theirs->stands[i]);
    if (needs & TB_NEEDS_GAPS)
        return judge_gaps(study, ask, theirs, task, fault);
    return tb_cache_settle(study->cache, study->work, task, fault);
}

/* ---- whole ---- */

/* A picture or a mesh of a state that is not judged would be of another one; of a motion it would
 * be of one pose. */
TbStatus
tb_case_must_be_judged(const TbCase *theirs, TbFault *fault)
{
    const TbCondition *condition = theirs->conditions->pdata[0];

    if (condition->unjudged != NULL)
        return tb_fail(fault, TB_E_REFERENCE, "state %s cannot be shown: %s", condition->id,
                       condition->unjudged);
    if (condition->rocks && !theirs->posed)
        return tb_fail(fault, TB_E_REFERENCE,
                       "state %s cannot be shown: it is a motion, of which only gaps are judged",
                       condition->id);
    return TB_OK;
}

TbStatus
tb_case_new(TbStudy *study,
            const TbAsk *ask,
            unsigned needs,
            bool one,
            TbTask *task,
            TbCase **theirs,
            TbFault *fault)
{
    g_autoptr(GPtrArray) variants = g_ptr_array_new();
    TbCase *made = g_new0(TbCase, 1);
    const char *state = ask->state == NULL && one ? tb_ask_cold_state(ask->bay) : ask->state;
    TbStatus status = tb_states_asked(ask->bay, state, &made->conditions, fault);

    made->bay = ask->bay;
    made->catalogue = study->catalogue;
    made->state_asked = ask->state != NULL;
    made->posed = ask->pose != NULL;
    if (status == TB_OK && one)
        status = tb_case_must_be_judged(made, fault);
    if (status == TB_OK)
        status = find_variants(ask, one, variants, fault);
    if (status == TB_OK)
        status = fill(study, ask, needs, !one && ask->state == NULL && ask->variant == NULL, made,
                      variants, task, fault);
    if (status == TB_OK)
        *theirs = made;
    else
        tb_case_free(made);
    return status;
}

void
tb_case_free(TbCase *theirs)
{
    if (theirs == NULL)
        return;
    for (size_t i = 0; i < theirs->count; i++) {
        TbCaseStand *in = &theirs->stands[i];

        tb_stand_free(in->stand);
        for (guint k = 0; in->why != NULL && k < in->pairs->len; k++)
            g_free(in->why[k]);
        if (in->pairs != NULL)
            g_ptr_array_unref(in->pairs);
        g_free(in->why);
        g_free(in->moves);
        g_free(in->ties);
        g_free(in->blended);
        g_free(in->spread);
        g_free(in->gaps);
        g_free(in->facts);
    }
    g_free(theirs->stands);
    if (theirs->conditions != NULL)
        g_ptr_array_unref(theirs->conditions);
    g_free(theirs);
}
