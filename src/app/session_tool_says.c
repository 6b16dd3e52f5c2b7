/* SPDX-License-Identifier: GPL-3.0-or-later */

/* What the tool in hand tells: sizes, gaps, what is measured, what to do next. */

#include "app/item_acts.h"
#include "app/item_words.h"
#include "app/session_tool_private.h"

#include <glib/gi18n.h>
#include <string.h>

const char *
tb_session__item_name(TbSession *session, const char *id)
{
    const char *title = tb_record_title(tb_session_bay(session), id);

    return title == NULL ? id : title;
}

TbMeasured
tb_session_measured(TbSession *session)
{
    const TbMeasuring *measuring = tb_session__tool(session)->measuring;
    const TbResultGap *gap = NULL;

    if (tb_measuring_wants_gap(measuring))
        gap = tb_measuring_gap(tb_session_results(session), measuring->picks[0].item,
                               measuring->picks[1].item, tb_session_state(session),
                               tb_session_variant(session));
    return tb_measuring_tell(measuring, gap, tb_session_unit(session));
}

static int
by_gap(const void *a, const void *b)
{
    double x = ((const TbNearby *)a)->gap->gap.upper, y = ((const TbNearby *)b)->gap->gap.upper;

    return (x > y) - (x < y);
}

size_t
tb_session_nearby(TbSession *session, TbNearby nearby[], size_t room)
{
    const TbResults *results = tb_session_results(session);
    const TbSketch *sketch = tb_session__tool(session)->sketch;
    const char *id = sketch->tool == TB_TOOL_KNOTS ? sketch->item : sketch->id;
    g_autoptr(GArray) all = g_array_new(FALSE, FALSE, sizeof(TbNearby));
    size_t count;

    for (size_t i = 0; results != NULL && id != NULL && i < results->gap_count; i++) {
        const TbResultGap *gap = &results->gaps[i];
        bool is_a = strcmp(gap->a, id) == 0;
        TbNearby one = {gap, is_a ? gap->b : gap->a, NULL};

        if ((!is_a && strcmp(gap->b, id) != 0) || gap->gap.nothing ||
            (tb_session_state(session) != NULL &&
             strcmp(gap->state, tb_session_state(session)) != 0))
            continue;
        one.name = tb_session__item_name(session, one.item);
        g_array_append_val(all, one);
    }
    g_array_sort(all, by_gap);
    count = MIN(room, all->len);
    if (count > 0)
        memcpy(nearby, all->data, count * sizeof *nearby);
    return count;
}

/* "gap 12.3 mm to Turbine outlet (keep 25.0)" */
static void
say_nearby(TbSession *session, GString *to)
{
    TbNearby nearest;
    char gap[TB_TEXT_NUMBER], keep[TB_TEXT_NUMBER];

    if (session->preview == NULL || tb_session_nearby(session, &nearest, 1) == 0)
        return;
    tb_gap_words(nearest.gap->gap.lower, nearest.gap->keep, tb_session_unit(session), gap, keep);
    if (to->len > 0)
        g_string_append(to, " · ");
    g_string_append_printf(to, _("gap %s to %s, %s wanted"), gap, nearest.name, keep);
}

char *
tb_session_tool_says(TbSession *session)
{
    TbToolState *tool = tb_session__tool(session);
    g_autoptr(GString) text = g_string_new(NULL);
    g_autofree char *sizes = NULL;

    if (tool->sketch->tool == TB_TOOL_MEASURE)
        return g_strdup(tb_session_measured(session).text);
    sizes = tb_sketch_says(tool->sketch, tb_session_unit(session));
    g_string_append(text, sizes);
    say_nearby(session, text);
    return g_string_free(g_steal_pointer(&text), FALSE);
}

const char *
tb_session_tool_hint(TbSession *session)
{
    TbToolState *tool = tb_session__tool(session);

    return tool->sketch->tool == TB_TOOL_MEASURE ? tb_measuring_hint(tool->measuring)
                                                 : tb_sketch_hint(tool->sketch);
}
