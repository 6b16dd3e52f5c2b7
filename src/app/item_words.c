/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/item_words.h"

#include "app/shown_unit.h"
#include "study/say.h"

#include <glib/gi18n.h>
#include <math.h>

TbLengthUnit
tb_session_unit(TbSession *session)
{
    return tb_shown_unit(tb_session_bay(session));
}

/* ---- rows ---- */

static const char *
plain_name(const TbRecord *record)
{
    return record->name == NULL || record->name[0] == '\0' ? record->id : record->name;
}

static char *
step_name(const TbBay *bay, const TbRecord *record)
{
    const TbStep *step = (const TbStep *)record;
    const TbRecord *of = tb_bay_find(bay, step->item != NULL ? step->item : step->fastener);
    const char *what = step->text != NULL ? step->text : plain_name(of != NULL ? of : record);
    size_t number = 1;

    while (tb_bay_step_at(bay, number - 1) != step)
        number++;
    /* Translators: a step of the fitting order: its number, what is done */
    return g_strdup_printf(_("%zu  %s"), number, what);
}

char *
tb_item_words_name(const TbBay *bay, const TbRecord *record)
{
    return tb_record_list(record) == TB_LIST_STEPS ? step_name(bay, record)
                                                   : g_strdup(plain_name(record));
}

char *
tb_item_words_value(TbSession *session, const TbResultGap *gap)
{
    char value[TB_TEXT_NUMBER], keep[TB_TEXT_NUMBER];

    if (gap == NULL)
        return g_strdup("");
    tb_gap_words(gap->gap.lower, gap->keep, tb_session_unit(session), value, keep);
    /* Translators: a gap and the gap that must be kept */
    return g_strdup_printf(_("%s / %s"), value, keep);
}

char *
tb_item_words_note(TbSession *session, const TbResultGap *gap)
{
    bool state = gap != NULL && g_strcmp0(gap->state, tb_session_state(session)) != 0;
    bool variant = gap != NULL && tb_session_variant(session) != NULL &&
                   strcmp(gap->variant, tb_session_variant(session)) != 0;

    if (state && variant)
        return g_strdup_printf(_("%s, %s"), gap->state, gap->variant);
    return g_strdup(state ? gap->state : variant ? gap->variant : "");
}

char *
tb_item_words_said(TbSession *session, const TbItemRow *row, const TbResultGap *gap)
{
    GString *said = g_string_new(row->name);

    if (row->judged)
        g_string_append_printf(said, ", %s", tb_say_level(row->level));
    if (gap != NULL) {
        char value[TB_TEXT_NUMBER], keep[TB_TEXT_NUMBER];
        TbLengthUnit unit = tb_session_unit(session);

        tb_gap_words(gap->gap.lower, gap->keep, unit, value, keep);
        g_string_append(said, ", ");
        /* Translators: gap, keep, unit */
        g_string_append_printf(said, _("%s of %s %s"), value, keep, tb_length_unit_name(unit));
    }
    if (row->note[0] != '\0')
        g_string_append_printf(said, ", %s", row->note);
    if (row->hidden)
        g_string_append_printf(said, ", %s", _("hidden"));
    if (row->absent)
        g_string_append_printf(said, ", %s", _("not in the variant shown"));
    if (row->stale)
        g_string_append_printf(said, ", %s", _("being judged again"));
    return g_string_free(said, FALSE);
}

/* ---- in sentences ---- */

static const char *
name_of(TbSession *session, const char *id)
{
    const TbRecord *record = tb_bay_find(tb_session_bay(session), id);

    return record == NULL ? id : plain_name(record);
}

static char *
gap_sentence(TbSession *session, const TbItemRow *row, const TbResultGap *gap)
{
    const char *other = strcmp(gap->a, row->id) == 0 ? gap->b : gap->a;
    TbLengthUnit unit = tb_session_unit(session);
    char value[TB_TEXT_NUMBER], keep[TB_TEXT_NUMBER];

    tb_gap_words(gap->gap.lower, gap->keep, unit, value, keep);
    /* Translators: gap, unit, item, keep, unit, state, variant */
    return g_strdup_printf(_("Worst gap: %s %s to %s, where %s %s are kept; %s, variant %s"), value,
                           tb_length_unit_name(unit), name_of(session, other), keep,
                           tb_length_unit_name(unit), gap->state, gap->variant);
}

char *
tb_item_words_explain(TbSession *session, const TbItemRow *row, const TbStanding *standing)
{
    GString *text = g_string_new(NULL);

    if (row->absent)
        g_string_append(text, _("Not in the variant that is shown"));
    /* of what holds the gap says enough */
    if (standing != NULL && standing->worst != NULL &&
        (standing->level != TB_LEVEL_HOLDS || standing->gap == NULL)) {
        g_autofree char *sentence = tb_say_finding(standing->results, standing->worst,
                                                   (TbVoice){.unit = tb_session_unit(session)});

        g_string_append_printf(text, "%s%s: %s", text->len > 0 ? "\n" : "",
                               tb_say_level(standing->level), sentence);
    }
    if (standing != NULL && standing->gap != NULL) {
        g_autofree char *sentence = gap_sentence(session, row, standing->gap);

        g_string_append_printf(text, "%s%s", text->len > 0 ? "\n" : "", sentence);
    }
    if (row->stale)
        g_string_append_printf(text, "\n%s", _("Other states and variants are being judged again"));
    return g_string_free(text, text->len == 0);
}
