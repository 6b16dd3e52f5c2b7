/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/states.h"

#include <string.h>

#define NOBODYS_COLD 63
#define MOST_STATES 63

/* Combined states may name combined ones; the reader refuses circles, this stops them too. */
#define MOST_DEEP 16

static bool
has_cold(const TbBay *bay)
{
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_STATES); i++)
        if (tb_bay_state_at(bay, i)->kind == TB_STATE_COLD)
            return true;
    return false;
}

static TbStatus
no_state(const TbBay *bay, const char *id, TbFault *fault)
{
    g_autoptr(GString) known = g_string_new(has_cold(bay) ? NULL : "cold");

    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_STATES); i++)
        g_string_append_printf(known, "%s%s", known->len == 0 ? "" : ", ",
                               tb_bay_state_at(bay, i)->record.id);
    return tb_fail(fault, TB_E_REFERENCE, "there is no state %s; there are: %s", id, known->str);
}

static TbStatus
add_text(const TbBay *bay, const char *text, int deep, TbStateSet *set, TbFault *fault);

static TbStatus
add_id(const TbBay *bay, const char *id, int deep, TbStateSet *set, TbFault *fault)
{
    size_t count = MIN(tb_bay_count(bay, TB_LIST_STATES), MOST_STATES);

    for (size_t i = 0; i < count; i++) {
        const TbState *state = tb_bay_state_at(bay, i);

        if (strcmp(state->record.id, id) != 0)
            continue;
        if (state->kind == TB_STATE_COMBINED)
            return add_text(bay, state->parts, deep + 1, set, fault);
        *set |= (TbStateSet)1 << i;
        return TB_OK;
    }
    if (strcmp(id, "cold") == 0 && !has_cold(bay)) {
        *set |= (TbStateSet)1 << NOBODYS_COLD;
        return TB_OK;
    }
    return no_state(bay, id, fault);
}

static TbStatus
add_text(const TbBay *bay, const char *text, int deep, TbStateSet *set, TbFault *fault)
{
    g_auto(GStrv) ids = g_strsplit(text == NULL ? "" : text, "+", -1);
    TbStatus status = TB_OK;

    if (deep > MOST_DEEP)
        return tb_fail(fault, TB_E_REFERENCE, "combined states name each other in a circle");
    if (ids[0] == NULL)
        return no_state(bay, "\"\"", fault);
    for (size_t i = 0; status == TB_OK && ids[i] != NULL; i++)
        status = add_id(bay, g_strstrip(ids[i]), deep, set, fault);
    return status;
}

TbStatus
tb_states_set(const TbBay *bay, const char *text, TbStateSet *set, TbFault *fault)
{
    TbStateSet found = 0;
    TbStatus status = add_text(bay, text, 0, &found, fault);

    if (status == TB_OK)
        *set = found;
    return status;
}

static void
condition_free(gpointer data)
{
    TbCondition *condition = data;

    g_free(condition->id);
    g_free(condition->name);
    g_free(condition->unjudged);
    g_free(condition);
}

/* A bay is cold, or hot in one way. */
static void
add_warmth(TbCondition *condition, const char **warmth, const TbState *state)
{
    if (*warmth != NULL && condition->unjudged == NULL)
        condition->unjudged =
            g_strdup_printf("%s and %s exclude each other", *warmth, state->record.id);
    *warmth = state->record.id;
    if (state->kind == TB_STATE_HOT && condition->hot == NULL)
        condition->hot = state;
}

static unsigned
effect_of(const TbState *state)
{
    return state->kind == TB_STATE_HOT         ? TB_EFFECT_WARMTH
           : state->kind == TB_STATE_ROCKING   ? TB_EFFECT_ROCK
           : state->kind == TB_STATE_TOLERANCE ? TB_EFFECT_TOLERANCE
                                               : 0;
}

/* What a set means: its hot state, and whether it can be judged. */
static void
look_into(const TbBay *bay, TbCondition *condition)
{
    const char *warmth = condition->set >> NOBODYS_COLD & 1 ? "cold" : NULL;

    for (size_t i = 0; i < MIN(tb_bay_count(bay, TB_LIST_STATES), MOST_STATES); i++) {
        const TbState *state = tb_bay_state_at(bay, i);

        if ((condition->set >> i & 1) == 0)
            continue;
        condition->effects |= effect_of(state);
        if (state->kind == TB_STATE_COLD || state->kind == TB_STATE_HOT)
            add_warmth(condition, &warmth, state);
        if (state->kind == TB_STATE_ROCKING)
            condition->rocks = true;
        if (state->kind == TB_STATE_TOLERANCE)
            condition->scatters = true;
    }
}

static TbStatus
add_condition(const TbBay *bay, GPtrArray *out, const char *id, const char *name, TbFault *fault)
{
    TbCondition *condition = g_new0(TbCondition, 1);
    TbStatus status = tb_states_set(bay, id, &condition->set, fault);

    condition->id = g_strdup(id);
    condition->name = g_strdup(name == NULL ? id : name);
    g_ptr_array_add(out, condition);
    if (status == TB_OK)
        look_into(bay, condition);
    return status;
}

TbStatus
tb_states_asked(const TbBay *bay, const char *text, GPtrArray **conditions, TbFault *fault)
{
    g_autoptr(GPtrArray) out = g_ptr_array_new_with_free_func(condition_free);
    TbStatus status = TB_OK;

    if (text != NULL) {
        const TbState *state = tb_bay_state(bay, text);

        status = add_condition(bay, out, text, state == NULL ? NULL : state->record.name, fault);
    } else {
        if (!has_cold(bay))
            status = add_condition(bay, out, "cold", NULL, fault);
        for (size_t i = 0; status == TB_OK && i < tb_bay_count(bay, TB_LIST_STATES); i++) {
            const TbRecord *record = &tb_bay_state_at(bay, i)->record;

            status = add_condition(bay, out, record->id, record->name, fault);
        }
    }
    if (status == TB_OK)
        *conditions = g_steal_pointer(&out);
    return status;
}

char *
tb_states_part(const TbBay *bay, const TbCondition *condition, unsigned effects)
{
    g_autoptr(GString) text = g_string_new(NULL);

    for (size_t i = 0; i < MIN(tb_bay_count(bay, TB_LIST_STATES), MOST_STATES); i++) {
        const TbState *state = tb_bay_state_at(bay, i);

        if ((condition->set >> i & 1) == 0 || (effect_of(state) & effects) == 0)
            continue;
        g_string_append_printf(text, "%s%s", text->len == 0 ? "" : "+", state->record.id);
    }
    for (size_t i = 0; text->len == 0 && i < tb_bay_count(bay, TB_LIST_STATES); i++)
        if (tb_bay_state_at(bay, i)->kind == TB_STATE_COLD)
            g_string_append(text, tb_bay_state_at(bay, i)->record.id);
    if (text->len == 0)
        g_string_append(text, "cold");
    return g_string_free(g_steal_pointer(&text), FALSE);
}

/* How particular a state's word is about an item: 0 to 2; -1 where it is about others. */
static int
particular(const TbStateWarm *warm, const TbItem *item)
{
    if (warm->klass != NULL && g_strcmp0(warm->klass, item->klass) != 0)
        return -1;
    if (warm->mount != NULL && g_strcmp0(warm->mount, item->mount) != 0)
        return -1;
    return (warm->klass != NULL) + (warm->mount != NULL);
}

double
tb_states_growth(const TbCondition *condition, const TbItem *item)
{
    double growth = NAN;
    int best = -1;

    if (condition->hot == NULL)
        return NAN;
    for (size_t i = 0; i < item->warm_count; i++)
        if (g_strcmp0(item->warm[i].state, condition->hot->record.id) == 0 &&
            tb_is_given(item->warm[i].growth))
            return item->warm[i].growth;
    for (size_t i = 0; i < condition->hot->warm_count; i++) {
        const TbStateWarm *warm = &condition->hot->warm[i];
        int how = particular(warm, item);

        if (how > best && tb_is_given(warm->growth)) {
            best = how;
            growth = warm->growth;
        }
    }
    return growth;
}
