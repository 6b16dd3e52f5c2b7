/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "batch/check_table.h"

#include "study/say.h"

#include <glib/gi18n.h>
#include <math.h>
#include <string.h>

/** Rows that are told where not all are asked for. */
#define WORST_ROWS 20

/** Digits behind the decimal mark of mm. */
#define DECIMALS 2

static void
put_row(GString *text, const TbResults *results, const TbResultCombination *row, TbVoice voice)
{
    g_autofree char *number = tb_voice_gap(voice, row->lower, DECIMALS);
    /* Translators: a gap that is only known to be at least so much */
    g_autofree char *gap =
        row->exact ? g_strdup(number) : g_strdup_printf(_("at least %s"), number);
    g_autofree char *keep = tb_voice_keep(voice, row->keep, DECIMALS);

    g_string_append_printf(text, "%-6s ", tb_say_level(row->level));
    g_string_append_printf(text, _("%s of %s, %s to %s, %s"), gap, keep,
                           tb_say_item(results, row->a), tb_say_item(results, row->b), row->state);
    if (row->variant[0] != '\0')
        g_string_append_printf(text, _(", variant %s"), row->variant);
    if (row->cause_count > 0) {
        g_autofree char *causes = tb_say_causes(row, voice);

        g_string_append_printf(text, ": %s", causes);
    }
    if (!row->certified && !isnan(row->gap)) {
        g_string_append(text, "; ");
        g_string_append(text, _("sampled, not certified"));
    }
    g_string_append_c(text, '\n');
}

void
tb_check_table(GString *text, const TbResults *results, TbVoice voice, bool all)
{
    size_t count = all ? results->combination_count : MIN(results->combination_count, WORST_ROWS);

    g_string_append_c(text, '\n');
    g_string_append_printf(text,
                           ngettext("The worst %zu of %zu combination of pair, state and variant:",
                                    "The worst %zu of %zu combinations of pair, state and variant:",
                                    results->combination_count),
                           count, results->combination_count);
    g_string_append(text, "\n\n");
    for (size_t i = 0; i < count; i++)
        put_row(text, results, &results->combinations[i], voice);
    g_string_append_c(text, '\n');
}
