/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/say_private.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#define trans(english, text) tb_say__trans(english, text)

const char *
tb_say__trans(bool english, const char *text)
{
    return english ? text : _(text);
}

/* ---- pieces of sentences ---- */

/* Decimals that tell a value from its limit: two that differ must not read alike. */
static int
decimals_for(double value, double limit)
{
    double apart = fabs(value - limit);

    for (int decimals = 1; decimals < 6; decimals++)
        if (!(apart > 0) || apart >= 0.5 * pow(10, -decimals))
            return decimals;
    return 6;
}

/* What every sentence needs. */
typedef struct Speech {
    const TbResults *results;
    const TbFinding *finding;
    TbVoice voice;
    bool english;
    const char *subject;          /* name */
    char *value, *limit, *margin; /* with their units */
    char *where;                  /* ", at station 123 mm", or "" */
    char *when;                   /* ", hot, variant tall", or "" */
} Speech;

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
        return g_strdup_printf(trans(voice.english, N_(", at station %s of %s")), to,
                               tb_say_item(results, place->item));
    if (g_str_has_prefix(to, from) && to[strlen(from)] == ' ')
        return g_strdup_printf(trans(voice.english, N_(", at station %s")), to);
    return g_strdup_printf(trans(voice.english, N_(", between stations %s and %s")), from, to);
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
    return g_strconcat(told, " ", trans(voice.english, N_("(sampled, not certified)")), NULL);
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
            warm = g_strdup_printf(trans(voice.english, N_("%s hot")), name);
        else if (fact->number < 1 - NEARLY)
            warm = g_strdup_printf(trans(voice.english, N_("%s cold")), name);
        else
            warm = g_strdup_printf(trans(voice.english, N_("%s %s %% warm")), name, share);
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
            : g_strdup_printf(trans(voice.english, N_("%s, variant %s")), first, finding->variant);

    if (worst[0] == '\0' && warmth == NULL)
        return g_steal_pointer(&when);
    if (worst[0] == '\0')
        return g_strdup_printf(trans(voice.english, N_("%s, worst with %s")), when, warmth);
    if (warmth != NULL)
        return g_strdup_printf(trans(voice.english, N_("%s, worst at %s with %s")), when, worst,
                               warmth);
    return g_strdup_printf(trans(voice.english, N_("%s, worst at %s")), when, worst);
}

const char *
tb_say_level(TbLevel level)
{
    switch (level) {
    case TB_LEVEL_HOLDS:
        return trans(false, N_("holds"));
    case TB_LEVEL_WATCH:
        return trans(false, N_("watch"));
    case TB_LEVEL_SHORT:
        return trans(false, N_("short"));
    case TB_LEVEL_OPEN:
        break;
    }
    return trans(false, N_("open"));
}

const char *
tb_say_caution(bool english)
{
    return trans(
        english,
        N_("These are estimates: verify on the vehicle. Laws on emission control and brakes of the "
           "place where the vehicle runs come first. Lifting, welding and brake work belong to "
           "qualified people."));
}

/* ---- sentences, by rule ---- */

static char *
fact_number(const Speech *s, const char *name, int decimals)
{
    return tb_voice_number(s->voice, tb_finding_number(s->finding, name), decimals);
}

static char *
fact(const Speech *s, const char *name, TbQuantity quantity, int decimals)
{
    return tb_voice_quantity(s->voice, tb_finding_number(s->finding, name), quantity, decimals);
}

/* The first of two numbers: the second one has the unit. */
static char *
bare_fact(const Speech *s, const char *name, TbQuantity quantity, int decimals)
{
    return tb_voice_bare(s->voice, tb_finding_number(s->finding, name), quantity, decimals);
}

static char *
say_area(const Speech *s)
{
    g_autofree char *from = bare_fact(s, "from_area", TB_QUANTITY_AREA, 1);
    g_autofree char *to = fact(s, "to_area", TB_QUANTITY_AREA, 1);

    if (s->finding->level == TB_LEVEL_HOLDS)
        return g_strdup_printf(trans(s->english, N_("%s: the area never falls, from %s to %s%s")),
                               s->subject, from, to, s->when);
    return g_strdup_printf(trans(s->english, N_("%s: the area falls by %s %%, from %s to %s%s%s")),
                           s->subject, s->value, from, to, s->where, s->when);
}

static char *
say_growth(const Speech *s)
{
    g_autofree char *station = fact(s, "worst_station", TB_QUANTITY_LENGTH, 0);

    if (s->finding->level == TB_LEVEL_SHORT)
        return g_strdup_printf(
            trans(s->english, N_("%s: the area grows like a cone of %s at station %s, above the %s "
                                 "up to which the flow stays attached%s%s")),
            s->subject, s->value, station, s->limit, s->where, s->when);
    return g_strdup_printf(
        trans(s->english,
              N_("%s: the area grows like a cone of at most %s, at station %s; the flow "
                 "stays attached up to %s%s")),
        s->subject, s->value, station, s->limit, s->when);
}

static char *
say_smooth_growth(const Speech *s)
{
    return g_strdup_printf(
        trans(s->english,
              N_("%s: the cone angle changes by %s within one diameter%s; practice stays below "
                 "%s%s")),
        s->subject, s->value, s->where, s->limit, s->when);
}

static char *
say_smooth_bend(const Speech *s)
{
    return g_strdup_printf(
        trans(s->english,
              N_("%s: diameter over bend radius changes by %s within one diameter%s; practice "
                 "stays below %s%s")),
        s->subject, s->value, s->where, s->limit, s->when);
}

static char *
say_fold(const Speech *s)
{
    bool inner = strcmp(tb_finding_text(s->finding, "surface"), "inner") == 0;
    const char *surface =
        inner ? trans(s->english, N_("inner surface")) : trans(s->english, N_("outer surface"));

    if (s->finding->level == TB_LEVEL_SHORT)
        return g_strdup_printf(
            trans(s->english,
                  N_("%s: the %s folds in the bend, curvature times half extent is %s (1 "
                     "folds)%s%s")),
            s->subject, surface, s->value, s->where, s->when);
    return g_strdup_printf(
        trans(s->english,
              N_("%s: the %s does not fold, curvature times half extent is at most %s (1 "
                 "folds)%s%s")),
        s->subject, surface, s->value, s->where, s->when);
}

static char *
say_self(const Speech *s)
{
    if (s->finding->level == TB_LEVEL_SHORT)
        return g_strdup_printf(trans(s->english, N_("%s: touches itself%s%s")), s->subject,
                               s->where, s->when);
    return g_strdup_printf(trans(s->english, N_("%s: comes no nearer to itself than %s%s%s")),
                           s->subject, s->value, s->where, s->when);
}

static char *
say_wall(const Speech *s)
{
    if (s->finding->level == TB_LEVEL_SHORT)
        return g_strdup_printf(
            trans(s->english, N_("%s: the wall is %s, below the least wall of %s%s%s")), s->subject,
            s->value, s->limit, s->where, s->when);
    return g_strdup_printf(
        trans(s->english, N_("%s: the wall is %s or more; the least wall is %s%s")), s->subject,
        s->value, s->limit, s->when);
}

static char *
say_bend(const Speech *s)
{
    g_autofree char *station = fact(s, "worst_station", TB_QUANTITY_LENGTH, 0);

    if (s->finding->level == TB_LEVEL_SHORT)
        return g_strdup_printf(
            trans(s->english, N_("%s: bend radius %s at station %s, below the least of %s%s")),
            s->subject, s->value, station, s->limit, s->when);
    return g_strdup_printf(
        trans(s->english, N_("%s: bend radius %s or more, least at station %s; %s is wanted%s")),
        s->subject, s->value, station, s->limit, s->when);
}

static char *
say_turn(const Speech *s)
{
    g_autofree char *low = bare_fact(s, "low", TB_QUANTITY_ANGLE, 1);
    g_autofree char *high = fact(s, "high", TB_QUANTITY_ANGLE, 1);
    const char *housing = tb_finding_text(s->finding, "housing");
    const char *inside = s->finding->level == TB_LEVEL_SHORT ? trans(s->english, N_("outside"))
                                                             : trans(s->english, N_("within"));

    return g_strdup_printf(
        trans(s->english, N_("%s: %s housing turned by %s, %s its limits of %s to %s%s")),
        s->subject, housing, s->value, inside, low, high, s->when);
}

static char *
say_tilt(const Speech *s)
{
    g_autofree char *low = bare_fact(s, "low", TB_QUANTITY_ANGLE, 1);
    g_autofree char *high = fact(s, "high", TB_QUANTITY_ANGLE, 1);
    const char *inside = s->finding->level == TB_LEVEL_SHORT ? trans(s->english, N_("outside"))
                                                             : trans(s->english, N_("within"));

    return g_strdup_printf(
        trans(s->english, N_("%s: shaft tilted by %s, %s its limits of %s to %s%s")), s->subject,
        s->value, inside, low, high, s->when);
}

static char *
say_port(const Speech *s)
{
    const char *port = tb_finding_text(s->finding, "port");
    const char *end = strcmp(tb_finding_text(s->finding, "end"), "start") == 0
                          ? trans(s->english, N_("start"))
                          : trans(s->english, N_("end"));

    if (strcmp(s->finding->rule, "port-size") == 0)
        return g_strdup_printf(
            trans(s->english, N_("%s: its %s differs from port %s by a step of %s; up to %s is "
                                 "accepted%s")),
            s->subject, end, port, s->value, s->limit, s->when);
    return g_strdup_printf(
        trans(s->english, N_("%s: its %s points %s off port %s; up to %s is accepted%s")),
        s->subject, end, s->value, port, s->limit, s->when);
}

static char *
say_joint(const Speech *s)
{
    const char *a = tb_finding_text(s->finding, "port_a");
    const char *b = tb_finding_text(s->finding, "port_b");
    const char *rule = s->finding->rule;

    if (strcmp(rule, "joint-place") == 0)
        return g_strdup_printf(
            trans(s->english, N_("Joint %s: ports %s and %s lie %s apart; up to %s is accepted%s")),
            s->subject, a, b, s->value, s->limit, s->when);
    if (strcmp(rule, "joint-direction") == 0)
        return g_strdup_printf(
            trans(s->english,
                  N_("Joint %s: ports %s and %s point %s apart; up to %s is accepted%s")),
            s->subject, a, b, s->value, s->limit, s->when);
    return g_strdup_printf(
        trans(s->english,
              N_("Joint %s: the openings of ports %s and %s differ by a step of %s; up to %s "
                 "is accepted%s")),
        s->subject, a, b, s->value, s->limit, s->when);
}

static char *
say_thread(const Speech *s)
{
    const TbFinding *f = s->finding;

    if (f->level == TB_LEVEL_SHORT)
        return g_strdup_printf(
            trans(s->english,
                  N_("Joint %s: thread %s %s of port %s does not fit thread %s %s of port %s")),
            s->subject, tb_finding_text(f, "standard_a"), tb_finding_text(f, "size_a"),
            tb_finding_text(f, "port_a"), tb_finding_text(f, "standard_b"),
            tb_finding_text(f, "size_b"), tb_finding_text(f, "port_b"));
    return g_strdup_printf(trans(s->english, N_("Joint %s: threads %s %s of ports %s and %s fit")),
                           s->subject, tb_finding_text(f, "standard_a"),
                           tb_finding_text(f, "size_a"), tb_finding_text(f, "port_a"),
                           tb_finding_text(f, "port_b"));
}

/* What a scan that was read means for what lies inside it; NULL: it is closed, and all is well. */
static char *
say_body(const Speech *s)
{
    const char *body = tb_finding_text(s->finding, "body");
    g_autofree char *flipped = fact_number(s, "flipped_edges", 0);
    g_autofree char *open = fact_number(s, "open_edges", 0);

    if (strcmp(tb_finding_text(s->finding, "normals"), "inward") == 0)
        return g_strdup(trans(s->english, N_("its normals point inwards, so it is taken for the "
                                             "walls of a room and what is in it for clear")));
    if (strcmp(body, "open") == 0)
        return g_strdup(trans(s->english, N_("it is open: gaps are told to its surface, and what "
                                             "lies inside it cannot be decided")));
    if (s->finding->level == TB_LEVEL_WATCH)
        return g_strdup_printf(
            trans(s->english, N_("at %s edges neighbours disagree about which side is out")),
            flipped);
    if (strcmp(body, "nearly closed") == 0)
        return g_strdup_printf(trans(s->english, N_("its %s open edges are taken to be closed")),
                               open);
    return NULL;
}

static char *
say_scan(const Speech *s)
{
    g_autofree char *triangles = fact_number(s, "triangles", 0);
    g_autofree char *body = say_body(s);

    if (s->finding->level == TB_LEVEL_OPEN)
        return g_strdup_printf(trans(s->english, N_("%s: %s")), s->subject,
                               tb_finding_text(s->finding, "reason"));
    if (body != NULL)
        return g_strdup_printf(trans(s->english, N_("%s: read, %s triangles; %s")), s->subject,
                               triangles, body);
    return g_strdup_printf(trans(s->english, N_("%s: read, %s triangles")), s->subject, triangles);
}

static char *
say_shape(const Speech *s)
{
    return g_strdup_printf(trans(s->english, N_("%s: its shape cannot be built: %s%s")), s->subject,
                           tb_finding_text(s->finding, "reason"), s->when);
}

static char *
say_state(const Speech *s)
{
    return g_strdup_printf(trans(s->english, N_("State %s cannot be judged: %s")),
                           s->finding->subject, tb_finding_text(s->finding, "reason"));
}

static char *
say_warmth(const Speech *s)
{
    const char *material = tb_finding_text(s->finding, "material");
    const char *mount = tb_finding_text(s->finding, "mount");
    const char *end_mount = tb_finding_text(s->finding, "end-mount");

    if (end_mount[0] != '\0')
        return g_strdup_printf(
            trans(s->english,
                  N_("%s: rides on %s and on %s; at %s it is grown from %s alone, so its "
                     "gaps near its other end are estimates%s")),
            s->subject, mount, end_mount, s->value, mount, s->when);
    if (material[0] == '\0')
        return g_strdup_printf(
            trans(s->english,
                  N_("%s: warm at %s, but it names no material, so it is judged as drawn%s")),
            s->subject, s->value, s->when);
    return g_strdup_printf(
        trans(s->english,
              N_("%s: warm at %s, but neither the bay nor the catalogue has its material %s, "
                 "so it is judged as drawn%s")),
        s->subject, s->value, material, s->when);
}

static char *
say_class(const Speech *s)
{
    return g_strdup_printf(
        trans(s->english,
              N_("%s: neither it nor its class %s is in any keep, so no gap to it is judged%s")),
        s->subject, tb_finding_text(s->finding, "class"), s->when);
}

/* ---- gaps ---- */

/* The two names of a gap: first the neighbour, then the one at whose place it is told. */
static void
names_of(const Speech *s, char **neighbour, char **own)
{
    g_auto(GStrv) ids = g_strsplit(s->finding->subject, "|", 2);
    bool at_b = ids[1] != NULL && strcmp(s->finding->place.item, ids[1]) == 0;
    char *a = g_strdup(tb_say_item(s->results, ids[0]));
    char *b = g_strdup(ids[1] == NULL ? "" : tb_say_item(s->results, ids[1]));

    *neighbour = at_b ? a : b;
    *own = at_b ? b : a;
}

static char *
say_gap_short(const Speech *s, const char *neighbour, const char *own)
{
    const char *contact = tb_finding_text(s->finding, "contact");
    bool holds = strcmp(tb_finding_text(s->finding, "inside"), s->finding->place.item) == 0;
    /* rounded as a gap is: a depth never looks smaller than it is */
    int decimals = decimals_for(s->finding->value, 0);
    double overlap = -tb_gap_told(s->finding->value, s->voice.unit, decimals);
    g_autofree char *depth = tb_voice_quantity(s->voice, overlap, TB_QUANTITY_LENGTH, decimals);

    if (strcmp(contact, "overlaps") == 0)
        return g_strdup_printf(
            trans(s->english, N_("%s: overlaps %s by %s, with a keep of %s%s%s")), neighbour, own,
            depth, s->limit, s->where, s->when);
    if (strcmp(contact, "inside") == 0 && !holds)
        return g_strdup_printf(
            trans(s->english, N_("%s: lies inside %s, %s deep, with a keep of %s%s%s")), neighbour,
            own, depth, s->limit, s->where, s->when);
    if (strcmp(contact, "inside") == 0)
        return g_strdup_printf(
            trans(s->english, N_("%s: holds %s inside it, %s deep, with a keep of %s%s%s")),
            neighbour, own, depth, s->limit, s->where, s->when);
    if (strcmp(contact, "touches") == 0)
        return g_strdup_printf(trans(s->english, N_("%s: touches %s, with a keep of %s%s%s")),
                               neighbour, own, s->limit, s->where, s->when);
    return g_strdup_printf(
        trans(s->english, N_("%s: %s short of its keep of %s to %s (gap %s)%s%s")), neighbour,
        s->margin, s->limit, own, s->value, s->where, s->when);
}

static char *
say_gap(const Speech *s)
{
    g_autofree char *neighbour = NULL, *own = NULL;
    g_autofree char *want = fact(s, "want_margin", TB_QUANTITY_LENGTH, 1);

    names_of(s, &neighbour, &own);
    switch (s->finding->level) {
    case TB_LEVEL_SHORT:
        return say_gap_short(s, neighbour, own);
    case TB_LEVEL_OPEN:
        return g_strdup_printf(trans(s->english, N_("%s: gap to %s cannot be judged%s: %s")),
                               neighbour, own, s->when, tb_finding_text(s->finding, "reason"));
    case TB_LEVEL_WATCH:
        return g_strdup_printf(
            trans(s->english, N_("%s: gap to %s of %s holds its keep of %s by %s, less than the %s "
                                 "wanted beyond it%s%s")),
            neighbour, own, s->value, s->limit, s->margin, want, s->where, s->when);
    case TB_LEVEL_HOLDS:
        break;
    }
    return g_strdup_printf(trans(s->english, N_("%s: gap to %s of %s holds its keep of %s%s%s")),
                           neighbour, own, s->value, s->limit, s->where, s->when);
}

/* ---- the whole ---- */

typedef struct Sayer {
    const char *rule;
    char *(*say)(const Speech *speech);
} Sayer;

static const Sayer sayers[] = {
    {"area-shrinks", say_area},
    {"bend-radius", say_bend},
    {"class", say_class},
    {"fold", say_fold},
    {"gap", say_gap},
    {"growth", say_growth},
    {"housing-turn", say_turn},
    {"joint-direction", say_joint},
    {"joint-place", say_joint},
    {"joint-step", say_joint},
    {"joint-thread", say_thread},
    {"port-direction", say_port},
    {"port-size", say_port},
    {"scan", say_scan},
    {"self-touch", say_self},
    {"shaft-tilt", say_tilt},
    {"shape", say_shape},
    {"smooth-bend", say_smooth_bend},
    {"smooth-growth", say_smooth_growth},
    {"state", say_state},
    {"wall", say_wall},
    {"warmth", say_warmth},
};

/* A rule that has no sentence of its own yet: its numbers all the same. */
static char *
say_plainly(const Speech *s)
{
    const char *unit = s->finding->unit;
    bool said = strcmp(unit, "mm") == 0 || g_str_has_prefix(unit, "deg");
    g_autofree char *value = g_strconcat(s->value, said ? "" : " ", said ? "" : unit, NULL);

    return g_strdup_printf(trans(s->english, N_("%s: %s is %s, limit %s%s%s")), s->subject,
                           s->finding->rule, value, s->limit, s->where, s->when);
}

/* Value, limit and margin. A gap is told by its lower bound, which is what is proved, and keep, gap
 * and margin add up as they are told. */
static void
tell_numbers(Speech *s)
{
    const TbFinding *f = s->finding;
    int decimals = decimals_for(f->value, f->limit);
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
    Speech speech = {.results = results,
                     .finding = finding,
                     .voice = voice,
                     .english = voice.english,
                     .subject = tb_say_item(results, finding->subject),
                     .where = brief ? g_strdup("") : where_of(results, finding, voice),
                     .when = brief ? g_strdup("") : when_of(results, finding, voice)};
    char *sentence = NULL;

    tell_numbers(&speech);
    for (size_t i = 0; sentence == NULL && i < G_N_ELEMENTS(sayers); i++)
        if (strcmp(sayers[i].rule, finding->rule) == 0)
            sentence = sayers[i].say(&speech);
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
