/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/moments.h"

/* A key must begin with a node id or a serial, which are never 0: this one is about numbers. */
#define NUMBERS 0

static TbStatus
make_moments(const void *data, TbTask *task, void **value, TbFault *fault)
{
    if (tb_task_is_cancelled(task))
        return tb_fail(fault, TB_E_CANCELLED, "stopped while measuring sections");
    *value = tb_law_moments_new(data);
    return *value == NULL ? tb_fail(fault, TB_E_MEMORY, "no room for moments of sections") : TB_OK;
}

static void
free_moments(gpointer data)
{
    tb_law_moments_free(data);
}

static const TbSort sort_moments = {
    .what = "sections", .make = make_moments, .free_value = free_moments, .free_input = g_free};

static void
add_numbers(TbKey *key, const double numbers[], size_t count)
{
    for (size_t i = 0; i < count; i++)
        tb_key_add_number(key, numbers[i]);
}

static void
add_shape(TbKey *key, const TbShape *shape)
{
    tb_key_add_word(key, (uint64_t)shape->kind);
    tb_key_add_number(key, shape->exponent);
    add_numbers(key, shape->half, 4);
    add_numbers(key, shape->corner_w, 4);
    add_numbers(key, shape->corner_h, 4);
}

/* All that a section's shape and size follow from; what else a span holds follows from these, but
 * for the turn, and that is not in the moments. */
static TbKey *
key_of(const TbLawSpan *span)
{
    TbKey *key = tb_key_new(NUMBERS);

    tb_key_add_number(key, span->start);
    tb_key_add_number(key, span->length);
    tb_key_add_word(key, span->by_size);
    add_numbers(key, span->size[0], 4);
    add_numbers(key, span->size[1], 4);
    add_numbers(key, span->wall, 4);
    add_numbers(key, span->offset_w, 4);
    add_numbers(key, span->offset_h, 4);
    add_shape(key, &span->from);
    add_shape(key, &span->to);
    return key;
}

static bool
is_round(const TbLaw *law)
{
    const TbLawSpan *span = tb_law_span(law, 0);

    return tb_law_span_count(law) == 1 && span->from.is_disc && span->to.is_disc;
}

const TbLawMoments **
tb_moments_of(TbCache *cache, const TbSweep *sweep)
{
    const TbLaw *law = tb_sweep_law(sweep);
    size_t count = tb_law_span_count(law);
    const TbLawMoments **moments = g_new0(const TbLawMoments *, count);

    for (size_t i = 0; i < count && !is_round(law); i++) {
        const TbLawSpan *span = tb_law_span(law, i);

        moments[i] =
            tb_cache_need(cache, key_of(span), &sort_moments, g_memdup2(span, sizeof *span), NULL)
                ->value;
    }
    return moments;
}
