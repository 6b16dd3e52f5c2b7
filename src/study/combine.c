/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/combine.h"

#include <math.h>
#include <stdlib.h>

/* Stands that a cause may be looked up in: the case's own, and those judged besides. */
typedef struct Sources {
    GPtrArray *cases; /* of TbCase: the first is lent */
} Sources;

/* ---- what is needed besides ---- */

/* States mostly have the same pairs, so the first look is where the row itself has it; another keep
 * may name the two the other way round. Past the last: it has not. */
static guint
index_in(const TbCaseStand *in, const TbPair *like, guint hint)
{
    for (guint n = 0; n < in->pairs->len; n++) {
        guint i = (hint + n) % in->pairs->len;
        const TbPair *pair = in->pairs->pdata[i];

        if ((pair->a == like->a && pair->b == like->b) ||
            (pair->a == like->b && pair->b == like->a))
            return i;
    }
    return in->pairs->len;
}

/* A stand shows what some effects do to the items of another one. */
static bool
is_part(const TbCaseStand *in, const TbStand *of, unsigned effects)
{
    const TbCondition *c = in->stand->condition;

    return in->judged && c->effects == effects && g_strcmp0(in->stand->variant, of->variant) == 0 &&
           ((effects & TB_EFFECT_WARMTH) == 0 || c->hot == of->condition->hot);
}

static bool
has_pairs(const TbCaseStand *in, const TbCaseStand *of)
{
    for (guint i = 0; i < of->pairs->len; i++)
        if (index_in(in, of->pairs->pdata[i], i) == in->pairs->len)
            return false;
    return true;
}

/* All pairs of a stand are measured under some effects. */
static bool
is_known(const Sources *sources, const TbCaseStand *of, unsigned effects)
{
    for (guint i = 0; i < sources->cases->len; i++) {
        const TbCase *in = sources->cases->pdata[i];

        for (size_t k = 0; k < in->count; k++)
            if (is_part(&in->stands[k], of->stand, effects) && has_pairs(&in->stands[k], of))
                return true;
    }
    return false;
}

/* The effects up to one of them, in their order, and each alone. */
static size_t
needed(unsigned effects, unsigned out[2 * TB_EFFECTS + 1])
{
    unsigned so_far = 0;
    size_t count = 0;

    out[count++] = 0;
    for (unsigned k = 0; k < TB_EFFECTS; k++) {
        if ((effects & 1U << k) == 0)
            continue;
        so_far |= 1U << k;
        out[count++] = 1U << k;
        out[count++] = so_far;
    }
    return count;
}

static TbStatus
judge_besides(TbStudy *study,
              const TbAsk *ask,
              const TbCondition *like,
              unsigned effects,
              TbTask *task,
              Sources *sources,
              TbFault *fault)
{
    g_autofree char *state = tb_states_part(ask->bay, like, effects);
    TbAsk part = *ask;
    TbCase *made = NULL;
    TbStatus status;

    part.state = state;
    part.keeps_of = like;
    part.combine = false;
    part.samples = 0;
    status = tb_case_new(study, &part, TB_NEEDS_GAPS, false, task, &made, fault);
    if (status == TB_OK)
        g_ptr_array_add(sources->cases, made);
    return status;
}

static TbStatus
gather(TbStudy *study,
       const TbAsk *ask,
       const TbCase *theirs,
       TbTask *task,
       Sources *sources,
       TbFault *fault)
{
    TbStatus status = TB_OK;

    for (size_t i = 0; i < theirs->count && status == TB_OK; i++) {
        const TbCondition *condition = theirs->stands[i].stand->condition;
        unsigned part[2 * TB_EFFECTS + 1];
        size_t count = needed(condition->effects, part);

        for (size_t k = 0; theirs->stands[i].judged && k < count && status == TB_OK; k++)
            if (!is_known(sources, &theirs->stands[i], part[k]))
                status = judge_besides(study, ask, condition, part[k], task, sources, fault);
    }
    return status;
}

/* ---- rows ---- */

/* The lower end of a pair's gap under some effects, as all gaps are told; NAN where it is not
 * judged. */
static double
gap_under(
    const Sources *sources, const TbStand *stand, const TbPair *pair, guint hint, unsigned effects)
{
    for (guint i = 0; i < sources->cases->len; i++) {
        const TbCase *in = sources->cases->pdata[i];

        for (size_t k = 0; k < in->count; k++) {
            const TbCaseStand *other = &in->stands[k];
            guint at =
                is_part(other, stand, effects) ? index_in(other, pair, hint) : other->pairs->len;
            const TbGap *gap =
                at == other->pairs->len || other->gaps[at] == NULL ? NULL : other->gaps[at]->value;

            if (gap != NULL && !gap->nothing)
                return gap->lower;
        }
    }
    return NAN;
}

static void
add_causes(const Sources *sources,
           const TbStand *stand,
           const TbPair *pair,
           guint hint,
           TbResults *results,
           TbResultCombination *row)
{
    static const char *const names[TB_EFFECTS] = {"warmth", "rock", "tolerance"};
    double before = row->cold;
    unsigned so_far = 0;

    for (unsigned k = 0; k < TB_EFFECTS; k++) {
        double now;

        if ((stand->condition->effects & 1U << k) == 0)
            continue;
        so_far |= 1U << k;
        now = so_far == stand->condition->effects ? row->lower
                                                  : gap_under(sources, stand, pair, hint, so_far);
        tb_result_combination_add_cause(results, row, names[k],
                                        row->cold - gap_under(sources, stand, pair, hint, 1U << k),
                                        before - now);
        before = now;
    }
}

static void
add_row(const Sources *sources,
        const TbCaseStand *in,
        guint hint,
        const TbResultGap *gap,
        TbResults *results)
{
    const TbPair *pair = in->pairs->pdata[hint];
    TbResultCombination *row = tb_results_add_combination(results);
    bool none = gap->gap.nothing;

    tb_results_set_text(results, &row->a, gap->a);
    tb_results_set_text(results, &row->b, gap->b);
    tb_results_set_text(results, &row->state, gap->state);
    tb_results_set_text(results, &row->variant, gap->variant);
    row->gap = none ? (double)NAN : gap->gap.upper;
    row->lower = none ? (double)NAN : gap->gap.lower;
    row->keep = gap->keep;
    row->margin = gap->margin;
    row->level = gap->level;
    row->certified = !none && gap->gap.certified;
    row->exact = gap->scatter == NULL || !gap->scatter->plain;
    row->cold = gap_under(sources, in->stand, pair, hint, 0);
    if (!none)
        add_causes(sources, in->stand, pair, hint, results, row);
}

static int
rank_of(TbLevel level)
{
    return level == TB_LEVEL_SHORT   ? 0
           : level == TB_LEVEL_OPEN  ? 1
           : level == TB_LEVEL_WATCH ? 2
                                     : 3;
}

static int
text_order(const TbResultCombination *x, const TbResultCombination *y)
{
    const char *const one[4] = {x->a, x->b, x->state, x->variant};
    const char *const two[4] = {y->a, y->b, y->state, y->variant};
    int order = 0;

    for (int i = 0; i < 4 && order == 0; i++)
        order = g_strcmp0(one[i], two[i]);
    return order;
}

/* Short before open before watch; of these the least margin first, then by names. */
static int
by_worst(const void *a, const void *b)
{
    const TbResultCombination *x = a, *y = b;

    if (rank_of(x->level) != rank_of(y->level))
        return rank_of(x->level) - rank_of(y->level);
    if (!isnan(x->margin) && !isnan(y->margin) && x->margin != y->margin)
        return x->margin < y->margin ? -1 : 1;
    if (isnan(x->margin) != isnan(y->margin))
        return isnan(x->margin) ? 1 : -1;
    return text_order(x, y);
}

/* The results' gaps are in the order of stands and pairs. */
static void
add_rows(const Sources *sources, const TbCase *theirs, TbResults *results)
{
    size_t at = 0;

    for (size_t i = 0; i < theirs->count; i++) {
        const TbCaseStand *in = &theirs->stands[i];

        for (guint k = 0; k < in->pairs->len; k++)
            add_row(sources, in, k, &results->gaps[at++], results);
    }
    TB_ASSERT(at == results->gap_count);
    if (results->combination_count > 0)
        qsort(results->combinations, results->combination_count, sizeof *results->combinations,
              by_worst);
}

TbStatus
tb_combine(TbStudy *study,
           const TbAsk *ask,
           const TbCase *theirs,
           TbTask *task,
           TbResults *results,
           TbFault *fault)
{
    Sources sources = {.cases = g_ptr_array_new()};
    TbStatus status;

    g_ptr_array_add(sources.cases, (gpointer)theirs);
    status = gather(study, ask, theirs, task, &sources, fault);
    if (status == TB_OK)
        add_rows(&sources, theirs, results);
    for (guint i = 1; i < sources.cases->len; i++)
        tb_case_free(sources.cases->pdata[i]);
    g_ptr_array_unref(sources.cases);
    return status;
}
