/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/check.h"

#include "base/text.h"
#include "gaps/moving.h"
#include "study/blend.h"

#include <glib/gi18n-lib.h>
#include <math.h>

static const char *
missing_shape(const TbForm *a, const TbForm *b)
{
    return a->solid == NULL ? a->fault.text : b->fault.text;
}

/* The numbers at which the gap is least, in deg and mm. */
static void
add_moves(const TbCaseStand *in,
          size_t index,
          const TbMovingGap *moving,
          TbResults *results,
          TbResultGap *gap)
{
    for (int s = 0; s < 2; s++) {
        const TbMove *move = &in->moves[2 * index + (size_t)s];
        const double *at = s == 0 ? moving->at_a : moving->at_b;

        for (int i = 0; i < tb_motion_before_warm(&move->motion); i++) {
            const TbFreedom *f = &move->motion.freedom[i];
            double unit = f->kind == TB_FREEDOM_TURN ? 180 / G_PI : 1;
            TbResultMove *made = tb_result_gap_add_move(results, gap, s == 0 ? gap->a : gap->b,
                                                        move->mount[i], move->freedom[i]);

            made->at = at[i] * unit;
            made->low = f->low * unit;
            made->high = f->high * unit;
        }
    }
}

/* What a warm number does to an item's point at the gap, a unit of it. */
static TbVec3
warm_shift(const TbForm *form, const TbFreedom *f, const TbSite *site, TbVec3 point)
{
    TbDrift drift = {.length = form->sweep == NULL ? 1 : tb_sweep_length(form->sweep)};
    TbVec3 start = {0, 0, 0}, end = {0, 0, 0};
    double length, w = 0;

    if (site->on_sweep)
        w = tb_drift_share(&drift, site->station);
    else if (tb_solid_chord(form->solid, &start, &end, &length))
        /* what is no path is fitted at one of its ends */
        w = tb_vec3_distance(point, end) < tb_vec3_distance(point, start) ? 1 : 0;
    switch (f->kind) {
    case TB_FREEDOM_GROWTH:
        return tb_vec3_sub(point, f->point);
    case TB_FREEDOM_SPREAD:
        return tb_vec3_sub(point, tb_vec3_add_scaled(f->point, w, f->direction));
    case TB_FREEDOM_START:
        return tb_vec3_scale(f->direction, 1 - w);
    case TB_FREEDOM_END:
        return tb_vec3_scale(f->direction, w);
    case TB_FREEDOM_ENDS:
        return tb_vec3_mix(f->direction, f->point, w);
    case TB_FREEDOM_TURN:
    case TB_FREEDOM_SHIFT:
    case TB_FREEDOM_CARRIED:
        break;
    }
    return f->direction;
}

/* How warm everything is where the gap is least; along the gap that opens it by so much. */
static void
add_warmth(const TbCaseStand *in,
           size_t index,
           const TbMovingGap *moving,
           TbResults *results,
           TbResultGap *gap)
{
    const TbPair *pair = in->pairs->pdata[index];
    TbVec3 way = tb_vec3_unit(tb_vec3_sub(gap->gap.point_b, gap->gap.point_a));

    for (int s = 0; s < 2; s++) {
        const TbMove *move = &in->moves[2 * index + (size_t)s];
        const TbPlaced *placed = &in->stand->items[s == 0 ? pair->a : pair->b];
        const double *at = s == 0 ? moving->at_a : moving->at_b;

        for (int i = tb_motion_before_warm(&move->motion); i < move->motion.count; i++) {
            const TbFreedom *f = &move->motion.freedom[i];
            double range = f->high - f->low, share = (at[i] - f->low) / range;
            TbVec3 shift =
                warm_shift(tb_placed_drawn(placed), f, s == 0 ? &gap->gap.site_a : &gap->gap.site_b,
                           s == 0 ? gap->gap.point_a : gap->gap.point_b);
            double opens = range * tb_vec3_dot(way, shift) * (s == 0 ? -1 : 1);

            tb_result_gap_add_warmth(results, gap, move->warm[i],
                                     move->backwards[i] ? 1 - share : share,
                                     move->backwards[i] ? -opens : opens);
        }
    }
}

/* Of what is blended: cold or hot as a whole. */
static void
add_blended_warmth(const TbCaseStand *in,
                   size_t index,
                   const TbMovingGap *moving,
                   TbResults *results,
                   TbResultGap *gap)
{
    const TbPair *pair = in->pairs->pdata[index];

    for (int s = 0; s < 2; s++) {
        const TbPlaced *placed = &in->stand->items[s == 0 ? pair->a : pair->b];

        if (placed->entry != placed->drawn)
            tb_result_gap_add_warmth(results, gap, placed->id, moving->at_b[TB_BLEND_WARMTH + s],
                                     INFINITY);
    }
}

/* The pose and the warmths of the least gap. */
static void
add_worst_place(const TbCaseStand *in, size_t index, TbResults *results, TbResultGap *gap)
{
    const TbMovingGap *moving = in->gaps[index]->value;

    if (in->moves == NULL || gap->gap.nothing)
        return;
    add_moves(in, index, moving, results, gap);
    if (in->blended[index])
        add_blended_warmth(in, index, moving, results, gap);
    else
        add_warmth(in, index, moving, results, gap);
}

/* What tolerances do to it; false where they cannot be judged. */
static bool
add_spread(const TbCaseStand *in, size_t index, TbResults *results, TbResultGap *gap)
{
    const TbSpreadSet *set = in->spread == NULL ? NULL : &in->spread[index];
    const TbSpreadGap *spread = in->gaps[index]->value;

    if (set == NULL)
        return true;
    if (!tb_spread_is_searched(in->gaps[index])) {
        tb_spread_take_off(set, &gap->gap);
        spread = NULL;
    }
    tb_spread_tell(set, spread, &in->chance, gap->keep, results, gap);
    if (spread == NULL || spread->status == TB_OK)
        return true;
    gap->level = TB_LEVEL_OPEN;
    gap->gap = (TbGap){.nothing = true};
    tb_results_set_text(results, &gap->reason, spread->fault.text);
    return false;
}

static TbResultGap *
add_gap(const TbCaseStand *in, size_t index, TbResults *results)
{
    const TbStand *stand = in->stand;
    const TbPair *pair = in->pairs->pdata[index];
    const TbPlaced *a = &stand->items[pair->a], *b = &stand->items[pair->b];
    TbResultGap *gap = tb_results_add_gap(results);
    const char *reason = "";

    tb_results_set_text(results, &gap->a, a->id);
    tb_results_set_text(results, &gap->b, b->id);
    tb_results_set_text(results, &gap->state, stand->condition->id);
    tb_results_set_text(results, &gap->variant, stand->variant_id);
    gap->keep = pair->gap;
    gap->want_margin = pair->want;
    gap->uncertainty = pair->uncertainty;
    for (size_t i = 0; i < pair->leave_count; i++)
        tb_result_gap_add_excluded(results, gap, pair->leave_port[i], pair->leave_out[i].radius);
    if (in->gaps[index] == NULL) {
        gap->level = TB_LEVEL_OPEN;
        gap->gap.nothing = true;
        tb_results_set_text(results, &gap->reason,
                            in->why[index] != NULL
                                ? in->why[index]
                                : missing_shape(tb_placed_form(a), tb_placed_form(b)));
        return gap;
    }
    gap->gap = *(const TbGap *)in->gaps[index]->value;
    if (!add_spread(in, index, results, gap))
        return gap;
    add_worst_place(in, index, results, gap);
    gap->level = tb_keeps_level(&gap->gap, pair->gap, pair->want, &reason);
    tb_results_set_text(results, &gap->reason, reason);
    if (!gap->gap.nothing)
        gap->margin = gap->gap.lower - pair->gap;
    return gap;
}

/* A finding is told at the place on a duct, else on a line, else on the first item. */
static TbResultPlace
place_of(const TbResultGap *gap, const TbItem *a, const TbItem *b)
{
    bool at_b = b->kind < a->kind && gap->gap.site_b.on_sweep;
    const TbSite *site = at_b ? &gap->gap.site_b : &gap->gap.site_a;
    TbResultPlace place = {.item = at_b ? gap->b : gap->a,
                           .from = NAN,
                           .to = NAN,
                           .angle = NAN,
                           .point = {NAN, NAN, NAN}};

    if (gap->gap.nothing)
        return place;
    place.point = at_b ? gap->gap.point_b : gap->gap.point_a;
    if (site->on_sweep) {
        place.from = place.to = site->station;
        place.angle = site->angle * 180 / G_PI;
    }
    return place;
}

/* Which item lies inside the other: its id, "undecidable", or "". */
static const char *
inner_of(const TbResultGap *gap)
{
    if (gap->gap.nothing || gap->gap.inner == TB_INNER_NONE)
        return "";
    if (gap->gap.inner == TB_INNER_UNKNOWN)
        return tb_inner_name(TB_INNER_UNKNOWN);
    return gap->gap.inner == TB_INNER_A ? gap->a : gap->b;
}

/* mm. What a warmth changes the gap by less is not spoken of. */
#define TOLD_EFFECT 0.05

/* "warm turbo" 1: the sentence names the item. */
static void
tell_warmth(const TbResultGap *gap, TbResults *results, TbFinding *finding)
{
    for (size_t i = 0; i < gap->warmth_count; i++) {
        g_autofree char *name = g_strconcat("warm ", gap->warmth[i].item, NULL);

        if (fabs(gap->warmth[i].effect) >= TOLD_EFFECT)
            tb_finding_add_number(results, finding, name, gap->warmth[i].share);
    }
}

/* "engine rx -2.5 deg, engine ty 3 mm" */
static void
add_worst(const TbResultGap *gap, TbResults *results, TbFinding *finding)
{
    g_autoptr(GString) text = NULL;

    if (gap->move_count == 0)
        return;
    text = g_string_new(NULL);
    for (size_t i = 0; i < gap->move_count; i++) {
        const TbResultMove *move = &gap->moves[i];
        char at[TB_TEXT_NUMBER];

        tb_text_fixed(move->at, 2, at);
        g_string_append_printf(text, "%s%s %s %s %s", i == 0 ? "" : ", ", move->mount,
                               move->freedom, at, move->freedom[0] == 'r' ? "deg" : "mm");
    }
    if (!gap->gap.nothing && !gap->gap.certified)
        g_string_append(text, " (sampled, not certified)");
    tb_finding_add_text(results, finding, "worst", text->str);
}

static void
add_finding(const TbCaseStand *in, size_t index, const TbResultGap *gap, TbResults *results)
{
    const TbPair *pair = in->pairs->pdata[index];
    const TbStand *stand = in->stand;
    g_autofree char *subject = tb_results_pair(gap->a, gap->b);
    TbFindingDef def = tb_finding_def("gap", subject);
    TbFinding *finding;

    def.state = gap->state;
    def.variant = gap->variant;
    def.place = place_of(gap, stand->items[pair->a].item, stand->items[pair->b].item);
    def.value = gap->gap.nothing ? (double)NAN : gap->gap.upper;
    def.limit = gap->keep;
    def.margin = gap->margin;
    def.unit = "mm";
    def.level = gap->level;
    def.basis = pair->keep->source != NULL
                    ? pair->keep->source
                    : N_("certified smallest distance of the outer surfaces");
    finding = tb_results_add_finding(results, &def);
    tb_finding_add_text(results, finding, "keep", pair->keep->record.id);
    tb_finding_add_text(results, finding, "keep_state", pair->keep_state);
    tb_finding_add_number(results, finding, "lower", gap->gap.lower);
    tb_finding_add_number(results, finding, "want_margin", gap->want_margin);
    tb_finding_add_number(results, finding, "uncertainty", gap->uncertainty);
    tb_finding_add_text(results, finding, "contact",
                        gap->gap.nothing ? "" : tb_contact_name(gap->gap.contact));
    tb_finding_add_text(results, finding, "inside", inner_of(gap));
    tb_finding_add_text(results, finding, "reason", gap->reason);
    add_worst(gap, results, finding);
    tell_warmth(gap, results, finding);
}

void
tb_check_gap(const TbCase *theirs, TbResults *results)
{
    for (size_t i = 0; i < theirs->count; i++) {
        const TbCaseStand *in = &theirs->stands[i];

        for (size_t k = 0; k < in->pairs->len; k++)
            add_finding(in, k, add_gap(in, k, results), results);
    }
}
