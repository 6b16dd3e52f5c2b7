/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/say_private.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

const char *
tb_say__trans(bool english, const char *text)
{
    return english ? text : _(text);
}

/* ---- pieces of sentences ---- */

/* Decimals that tell a value from its limit: two that differ must not read alike. */
int
tb_say__decimals_for(double value, double limit)
{
    double apart = fabs(value - limit);

    for (int decimals = 1; decimals < 6; decimals++)
        if (!(apart > 0) || apart >= 0.5 * pow(10, -decimals))
            return decimals;
    return 6;
}

const char *
tb_say_item(const TbResults *results, const char *id)
{
    const TbResultItem *item = tb_results_item(results, id);

    return item == NULL || item->name[0] == '\0' ? id : item->name;
}

/* No unit. A warmth this near to hot, or to cold, is that. */
#define NEARLY 0.99

static char *
where_of(const TbResults *results, const TbFinding *finding, TbVoice voice)
{
    const TbResultPlace *place = &finding->place;
    g_autofree char *from = NULL, *to = NULL;

    if (isnan(place->from))
        return g_strdup("");
    from = tb_voice_bare(voice, place->from, TB_QUANTITY_LENGTH, 0);
    to = tb_voice_quantity(voice, place->to, TB_QUANTITY_LENGTH, 0);
    /* both sides of a gap may have stations: whose they are is said */
    if (strcmp(finding->rule, "gap") == 0)
        return g_strdup_printf(tb_say__trans(voice.english, N_(", at station %s of %s")), to,
                               tb_say_item(results, place->item));
    if (g_str_has_prefix(to, from) && to[strlen(from)] == ' ')
        return g_strdup_printf(tb_say__trans(voice.english, N_(", at station %s")), to);
    return g_strdup_printf(tb_say__trans(voice.english, N_(", between stations %s and %s")), from,
                           to);
}

/* "engine rx -2.5 deg" of a report, as people read it; takes it as it is where it is no such. */
static char *
told_move(const char *move, TbVoice voice)
{
    g_auto(GStrv) words = g_strsplit(move, " ", 0);
    g_autofree char *value = NULL;
    double x;

    if (g_strv_length(words) != 4 || !tb_text_to_double(words[2], strlen(words[2]), &x))
        return g_strdup(move);
    value = tb_voice_value(voice, x, words[3], 2);
    return g_strdup_printf("%s %s %s", words[0], words[1], value);
}

/* Where a moving gap is worst, "engine rx -2.5°, engine ty 3 mm"; "" where nothing moves. */
static char *
worst_of(const TbFinding *finding, TbVoice voice)
{
    static const char sampled[] = " (sampled, not certified)";
    const char *text = tb_finding_text(finding, "worst");
    bool is_sampled = g_str_has_suffix(text, sampled);
    g_autofree char *only = g_strndup(text, strlen(text) - (is_sampled ? strlen(sampled) : 0));
    g_auto(GStrv) moves = g_strsplit(only, ", ", 0);
    g_autofree char *told = NULL;

    for (char **move = moves; *move != NULL; move++) {
        char *one = told_move(*move, voice);

        g_free(*move);
        *move = one;
    }
    told = g_strjoinv(", ", moves);
    if (!is_sampled)
        return g_steal_pointer(&told);
    return g_strconcat(told, " ", tb_say__trans(voice.english, N_("(sampled, not certified)")),
                       NULL);
}

/* "Turbo hot, Cross rail cold", or NULL. */
static char *
warmth_of(const TbResults *results, const TbFinding *finding, TbVoice voice)
{
    g_autoptr(GString) text = g_string_new(NULL);

    for (size_t i = 0; i < finding->fact_count; i++) {
        const TbFact *fact = &finding->facts[i];
        const char *name;
        g_autofree char *share = NULL, *warm = NULL;

        if (!g_str_has_prefix(fact->name, "warm "))
            continue;
        name = tb_say_item(results, fact->name + strlen("warm "));
        share = tb_voice_number(voice, 100 * fact->number, 0);
        if (fact->number > NEARLY)
            warm = g_strdup_printf(tb_say__trans(voice.english, N_("%s hot")), name);
        else if (fact->number < 1 - NEARLY)
            warm = g_strdup_printf(tb_say__trans(voice.english, N_("%s cold")), name);
        else
            warm = g_strdup_printf(tb_say__trans(voice.english, N_("%s %s %% warm")), name, share);
        g_string_append_printf(text, "%s%s", text->len == 0 ? "" : ", ", warm);
    }
    return text->len == 0 ? NULL : g_string_free(g_steal_pointer(&text), FALSE);
}

/* State and variant by their ids: they are what the user asks by, and short. */
static char *
when_of(const TbResults *results, const TbFinding *finding, TbVoice voice)
{
    g_autofree char *warmth = warmth_of(results, finding, voice);
    g_autofree char *worst = worst_of(finding, voice);
    g_autofree char *first =
        finding->state[0] == '\0' ? g_strdup("") : g_strconcat(", ", finding->state, NULL);
    g_autofree char *when =
        finding->variant[0] == '\0'
            ? g_strdup(first)
            : g_strdup_printf(tb_say__trans(voice.english, N_("%s, variant %s")), first,
                              finding->variant);

    if (worst[0] == '\0' && warmth == NULL)
        return g_steal_pointer(&when);
    if (worst[0] == '\0')
        return g_strdup_printf(tb_say__trans(voice.english, N_("%s, worst with %s")), when, warmth);
    if (warmth != NULL)
        return g_strdup_printf(tb_say__trans(voice.english, N_("%s, worst at %s with %s")), when,
                               worst, warmth);
    return g_strdup_printf(tb_say__trans(voice.english, N_("%s, worst at %s")), when, worst);
}

const char *
tb_say_level(TbLevel level)
{
    switch (level) {
    case TB_LEVEL_HOLDS:
        return tb_say__trans(false, N_("holds"));
    case TB_LEVEL_WATCH:
        return tb_say__trans(false, N_("watch"));
    case TB_LEVEL_SHORT:
        return tb_say__trans(false, N_("short"));
    case TB_LEVEL_OPEN:
        break;
    }
    return tb_say__trans(false, N_("open"));
}

const char *
tb_say_caution(bool english)
{
    return tb_say__trans(
        english,
        N_("These are estimates: verify on the vehicle. Laws on emission control and brakes of the "
           "place where the vehicle runs come first. Lifting, welding and brake work belong to "
           "qualified people."));
}

/* ---- the whole ---- */

/* A rule that has no sentence of its own yet: its numbers all the same. */
static char *
say_plainly(const TbSpeech *s)
{
    const char *unit = s->finding->unit;
    bool said = strcmp(unit, "mm") == 0 || g_str_has_prefix(unit, "deg");
    g_autofree char *value = g_strconcat(s->value, said ? "" : " ", said ? "" : unit, NULL);

    return g_strdup_printf(tb_say__trans(s->english, N_("%s: %s is %s, limit %s%s%s")), s->subject,
                           s->finding->rule, value, s->limit, s->where, s->when);
}

/* Value, limit and margin. A gap is told by its lower bound, which is what is proved, and keep, gap
 * and margin add up as they are told. */
static void
tell_numbers(TbSpeech *s)
{
    const TbFinding *f = s->finding;
    int decimals = tb_say__decimals_for(f->value, f->limit);
    double gap = f->limit + f->margin;

    if (strcmp(f->rule, "gap") != 0 || !isfinite(f->margin)) {
        s->value = tb_voice_value(s->voice, f->value, f->unit, decimals);
        s->limit = tb_voice_value(s->voice, f->limit, f->unit, decimals);
        s->margin = tb_voice_value(s->voice, fabs(f->margin), f->unit, decimals);
        return;
    }
    decimals = tb_gap_decimals(gap, f->limit, s->voice.unit);
    s->value = tb_voice_gap(s->voice, gap, decimals);
    s->limit = tb_voice_keep(s->voice, f->limit, decimals);
    gap = tb_gap_told(gap, s->voice.unit, decimals);
    s->margin = tb_voice_quantity(s->voice, fabs(f->limit - gap), TB_QUANTITY_LENGTH, decimals);
}

/** @param brief without where and when */
static char *
say(const TbResults *results, const TbFinding *finding, TbVoice voice, bool brief)
{
    TbSpeech speech = {.results = results,
                       .finding = finding,
                       .voice = voice,
                       .english = voice.english,
                       .subject = tb_say_item(results, finding->subject),
                       .where = brief ? g_strdup("") : where_of(results, finding, voice),
                       .when = brief ? g_strdup("") : when_of(results, finding, voice)};
    char *sentence;

    tell_numbers(&speech);
    sentence = tb_say__by_rule(&speech);
    if (sentence == NULL)
        sentence = say_plainly(&speech);
    if (strcmp(finding->rule, "gap") == 0 && !brief) {
        g_autofree char *first = sentence;
        g_autofree char *more = tb_say__scatter(results, finding, voice);

        sentence = g_strconcat(first, more, NULL);
    }
    g_free(speech.value);
    g_free(speech.limit);
    g_free(speech.margin);
    g_free(speech.where);
    g_free(speech.when);
    return sentence;
}

char *
tb_say_finding(const TbResults *results, const TbFinding *finding, TbVoice voice)
{
    return say(results, finding, voice, false);
}

char *
tb_say_finding_short(const TbResults *results, const TbFinding *finding, TbLengthUnit unit)
{
    return say(results, finding, (TbVoice){.unit = unit}, true);
}

char *
tb_say_finding_where(const TbResults *results, const TbFinding *finding, TbLengthUnit unit)
{
    TbVoice voice = {.unit = unit};
    g_autofree char *where = where_of(results, finding, voice);
    g_autofree char *when = when_of(results, finding, voice);
    g_autofree char *both = g_strconcat(where, when, NULL);

    /* pieces of sentences: each begins with a comma */
    return g_strdup(g_str_has_prefix(both, ", ") ? both + 2 : both);
}
