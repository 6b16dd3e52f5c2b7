/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/decisions.h"

#include "bay/edit.h"
#include "study/matters.h"

#include <glib/gi18n.h>

static const TbDecision *
decision_for(const TbBay *bay, const char *key)
{
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_DECISIONS); i++)
        if (strcmp(tb_bay_decision_at(bay, i)->finding, key) == 0)
            return tb_bay_decision_at(bay, i);
    return NULL;
}

const TbDecision *
tb_decision_about(const TbBay *bay, const TbFinding *finding, bool *wide)
{
    const TbDecision *one;
    g_autofree char *matter = NULL;

    if (wide != NULL)
        *wide = false;
    if (tb_bay_count(bay, TB_LIST_DECISIONS) == 0)
        return NULL;
    one = decision_for(bay, finding->id);
    if (one != NULL)
        return one;
    matter = tb_finding_matter(finding);
    one = decision_for(bay, matter);
    if (wide != NULL)
        *wide = one != NULL;
    return one;
}

static bool
is_given(const char *text)
{
    return text != NULL && text[0] != '\0';
}

/* Dates as YYYY-MM-DD are in the order of their letters. */
static char *
due_told(const TbDecision *decision, const char *today)
{
    bool past = strcmp(decision->due, today) < 0;

    if (decision->disposition == TB_DISPOSITION_WAIVED)
        return g_strdup_printf(past ? _(", ran out on %s") : _(" until %s"), decision->due);
    return g_strdup_printf(past ? _(", was due on %s") : _(", due on %s"), decision->due);
}

char *
tb_decision_told(const TbDecision *decision, const char *today)
{
    GString *told = g_string_new(tb_disposition_name(decision->disposition));

    if (is_given(decision->owner)) {
        /* Translators: who: "Waived by A. B." */
        g_string_append_printf(told, _(" by %s"), decision->owner);
    }
    if (is_given(decision->due)) {
        g_autofree char *due = due_told(decision, today);

        g_string_append(told, due);
    }
    if (is_given(decision->text))
        g_string_append_printf(told, ": %s", decision->text);
    return g_string_free(told, FALSE);
}

char *
tb_today(void)
{
    g_autoptr(GDateTime) now = g_date_time_new_now_local();

    /* digits of the file whatever the language */
    return g_strdup_printf("%04d-%02d-%02d", g_date_time_get_year(now), g_date_time_get_month(now),
                           g_date_time_get_day_of_month(now));
}

/* The document without the decision that is kept by a key; a reference to it as it is where there
 * is none. */
static TbStatus
without(TbBay *bay, const char *key, TbBay **out, TbFault *fault)
{
    const TbDecision *old = decision_for(bay, key);

    if (old != NULL)
        return tb_edit_remove(bay, old->record.id, out, fault);
    *out = tb_bay_ref(bay);
    return TB_OK;
}

bool
tb_decide(TbSession *session, const TbFinding *finding, const TbVerdict *verdict, TbFault *fault)
{
    g_autofree char *matter = tb_finding_matter(finding);
    g_autofree char *today = tb_today();
    TbDecide decide = {.finding = verdict->wide ? matter : finding->id,
                       .disposition = verdict->disposition,
                       .owner = verdict->owner,
                       .due = verdict->due,
                       .text = verdict->text,
                       .when = today};
    TbBay *cleared = NULL, *next = NULL;
    TbStatus status;

    /* one that holds in this state and variant alone would stand before one for all */
    status =
        without(tb_session_bay(session), verdict->wide ? finding->id : matter, &cleared, fault);
    if (status == TB_OK)
        status = tb_edit_decide(cleared, &decide, &next, fault);
    tb_bay_unref(cleared);
    if (status == TB_OK)
        tb_session_edit(session, next, _("decision about a finding"), 0);
    return status == TB_OK;
}
