/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/check.h"

#include "physics/diffuser.h"

#include <math.h>
#include <string.h>

/* ---- the table: a new check is a new line here ---- */

const TbCheck tb_checks[] = {
    {"shape", 0, tb_check_shape},
    {"state", 0, tb_check_state},
    {"scan", 0, tb_check_scan},
    {"area-shrinks", TB_NEEDS_FACTS, tb_check_area},
    {"growth", TB_NEEDS_FACTS, tb_check_growth},
    {"smooth", TB_NEEDS_FACTS, tb_check_smooth},
    {"fold", TB_NEEDS_FACTS, tb_check_fold},
    {"self-touch", TB_NEEDS_FACTS, tb_check_self},
    {"wall", TB_NEEDS_FACTS, tb_check_wall},
    {"bend-radius", TB_NEEDS_FACTS, tb_check_bend},
    {"housing", 0, tb_check_housing},
    {"port", 0, tb_check_port},
    {"joint", 0, tb_check_joint},
    {"class", 0, tb_check_class},
    {"warmth", 0, tb_check_warmth},
    {"gap", TB_NEEDS_GAPS, tb_check_gap},
};

const size_t tb_check_count = G_N_ELEMENTS(tb_checks);

unsigned
tb_checks_needs(void)
{
    unsigned needs = 0;

    for (size_t i = 0; i < tb_check_count; i++)
        needs |= tb_checks[i].needs;
    return needs;
}

/* ---- visiting ---- */

/* The first stand of each variant shows the items as drawn. */
static const TbCaseStand *
first_of_variant(const TbCase *theirs, size_t variant)
{
    return &theirs->stands[variant * (theirs->count / theirs->variants)];
}

/* Relative. A path that was only moved gives the same numbers but for rounding. */
#define SAME_NUMBERS 1e-7

static bool
same_number(double a, double b)
{
    return a == b || fabs(a - b) <= SAME_NUMBERS * fmax(1, fmax(fabs(a), fabs(b)));
}

static bool
same_worst(const TbSweepWorst *a, const TbSweepWorst *b)
{
    return same_number(a->value, b->value);
}

/* The same path elsewhere: every number that a check goes by is the same. */
static bool
same_facts(const TbEntry *a, const TbEntry *b)
{
    const TbSweepFacts *one = a->value, *two = b->value;

    return same_worst(&one->shrinks, &two->shrinks) && same_worst(&one->cone, &two->cone) &&
           same_worst(&one->fold_inner, &two->fold_inner) &&
           same_worst(&one->fold_outer, &two->fold_outer) &&
           same_worst(&one->thinnest, &two->thinnest) &&
           same_worst(&one->tightest, &two->tightest) &&
           same_worst(&one->cone_change, &two->cone_change) &&
           same_worst(&one->bend_change, &two->bend_change) &&
           same_number(one->length, two->length) && same_number(one->last_area, two->last_area);
}

/* The same shape, wherever it stands: a mount that a variant shifts takes its items along, and what
 * is said about their shape is said once. */
static bool
same_shape(const TbCase *theirs, size_t variant, size_t other, size_t item)
{
    const TbCaseStand *one = first_of_variant(theirs, variant);
    const TbCaseStand *two = first_of_variant(theirs, other);
    const TbPlaced *a = &one->stand->items[item], *b = &two->stand->items[item];

    if (a->drawn == b->drawn)
        return true;
    if (a->item == NULL || b->item == NULL || a->item->record.node != b->item->record.node)
        return false;
    if (one->facts[item] != NULL && two->facts[item] != NULL)
        return same_facts(one->facts[item], two->facts[item]);
    return tb_placed_drawn(a)->solid != NULL && tb_placed_drawn(b)->solid != NULL;
}

/* True where an earlier variant has the item in the same shape. */
static bool
was_met(const TbCase *theirs, size_t variant, size_t item)
{
    for (size_t i = 0; i < variant; i++)
        if (same_shape(theirs, i, variant, item))
            return true;
    return false;
}

/* True where every variant that has the item has it in this shape. */
static bool
is_everywhere(const TbCase *theirs, size_t variant, size_t item)
{
    for (size_t i = 0; i < theirs->variants; i++)
        if (first_of_variant(theirs, i)->stand->items[item].item != NULL &&
            !same_shape(theirs, i, variant, item))
            return false;
    return true;
}

void
tb_case_each_item(const TbCase *theirs,
                  void (*visit)(const TbCaseItem *item, TbResults *results),
                  TbResults *results)
{
    size_t items = theirs->count == 0 ? 0 : theirs->stands[0].stand->count;

    for (size_t i = 0; i < items; i++)
        for (size_t v = 0; v < theirs->variants; v++) {
            const TbCaseStand *in = first_of_variant(theirs, v);
            TbCaseItem item = {.theirs = theirs, .stand = in->stand};

            item.placed = &in->stand->items[i];
            if (item.placed->item == NULL || was_met(theirs, v, i))
                continue;
            item.form = tb_placed_drawn(item.placed);
            item.facts = in->facts[i] == NULL ? NULL : in->facts[i]->value;
            item.variant = is_everywhere(theirs, v, i) ? "" : in->stand->variant_id;
            visit(&item, results);
        }
}

/* ---- limits ---- */

/* Curvature times half extent: at 1 the inside of the bend is a point. */
#define FOLD_LIMIT 1.0

/* Diameters of path over which smoothness is judged. */
#define SMOOTH_WINDOW 1.0

bool
tb_check_is_outlet(const TbItem *item)
{
    return item->kind == TB_ITEM_DUCT && g_strcmp0(tb_item_duct(item)->role, "runner") != 0;
}

static double
given_or(double value, double other)
{
    return tb_is_given(value) ? value : other;
}

TbSweepLimits
tb_check_limits(const TbCatalogue *catalogue, const TbBay *bay, const TbItem *item)
{
    const TbMaterial *material = tb_catalogue_find(catalogue, bay, item->material);
    double ratio = material == NULL ? 0 : given_or(material->bend_ratio, 0);
    double practice = material == NULL ? 0 : given_or(material->least_wall, 0);
    TbSweepLimits limits = {.cone = TB_DIFFUSER_LIMIT, .fold = FOLD_LIMIT, .window = SMOOTH_WINDOW};

    if (item->kind == TB_ITEM_LINE) {
        const TbLine *line = tb_item_line(item);

        limits.bend = given_or(line->least_bend, ratio * line->diameter);
        return limits;
    }
    if (tb_is_given(tb_item_duct(item)->cone_limit))
        limits.cone = tb_item_duct(item)->cone_limit * G_PI / 180;
    limits.wall = given_or(tb_item_duct(item)->least_wall, practice);
    /* The practice of bending is about tube; castings follow their pattern. */
    if (tb_item_path(item)->kind == TB_PATH_BENT)
        limits.bend = ratio * (tb_item_duct(item)->rows[0].width + 2 * tb_item_duct(item)->wall);
    if (!tb_is_given(limits.bend))
        limits.bend = 0;
    return limits;
}

TbLevel
tb_check_below(double value, double limit, double margin)
{
    if (!(value <= limit))
        return TB_LEVEL_SHORT;
    return value <= limit - margin ? TB_LEVEL_HOLDS : TB_LEVEL_WATCH;
}

TbLevel
tb_check_above(double value, double limit, double margin)
{
    if (!(value >= limit))
        return TB_LEVEL_SHORT;
    return value >= limit + margin ? TB_LEVEL_HOLDS : TB_LEVEL_WATCH;
}

TbFindingDef
tb_check_finding(const TbCaseItem *item, const char *rule, const TbSweepWorst *worst)
{
    TbFindingDef def = tb_finding_def(rule, item->placed->id);

    def.variant = item->variant;
    def.place.item = (char *)item->placed->id;
    if (worst == NULL)
        return def;
    def.place.from = worst->from <= worst->to ? worst->from : worst->station;
    def.place.to = worst->from <= worst->to ? worst->to : worst->station;
    def.place.angle = worst->angle * 180 / G_PI;
    def.place.point = tb_sweep_at(item->form->sweep, worst->station).centre;
    return def;
}
