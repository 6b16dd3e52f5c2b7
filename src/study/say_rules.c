/* SPDX-License-Identifier: GPL-3.0-or-later */

/* The sentence of each rule. */

#include "study/say_private.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

static char *
fact_number(const TbSpeech *s, const char *name, int decimals)
{
    return tb_voice_number(s->voice, tb_finding_number(s->finding, name), decimals);
}

static char *
fact(const TbSpeech *s, const char *name, TbQuantity quantity, int decimals)
{
    return tb_voice_quantity(s->voice, tb_finding_number(s->finding, name), quantity, decimals);
}

/* The first of two numbers: the second one has the unit. */
static char *
bare_fact(const TbSpeech *s, const char *name, TbQuantity quantity, int decimals)
{
    return tb_voice_bare(s->voice, tb_finding_number(s->finding, name), quantity, decimals);
}

static char *
say_area(const TbSpeech *s)
{
    g_autofree char *from = bare_fact(s, "from_area", TB_QUANTITY_AREA, 1);
    g_autofree char *to = fact(s, "to_area", TB_QUANTITY_AREA, 1);
    g_autofree char *begins = NULL, *least = NULL;

    if (s->finding->level == TB_LEVEL_HOLDS)
        return g_strdup_printf(
            tb_say__trans(s->english, N_("%s: the area never falls, from %s to %s%s")), s->subject,
            from, to, s->when);
    begins = tb_voice_bare(s->voice, s->finding->place.from, TB_QUANTITY_LENGTH, 0);
    least = fact(s, "worst_station", TB_QUANTITY_LENGTH, 0);
    return g_strdup_printf(
        tb_say__trans(s->english, N_("%s: the area falls by %s %%, from %s at station %s to %s at "
                                     "station %s%s")),
        s->subject, s->value, from, begins, to, least, s->when);
}

static char *
say_growth(const TbSpeech *s)
{
    g_autofree char *station = fact(s, "worst_station", TB_QUANTITY_LENGTH, 0);

    if (s->finding->level == TB_LEVEL_SHORT)
        return g_strdup_printf(
            tb_say__trans(s->english,
                          N_("%s: the area grows like a cone of %s at station %s, above the %s "
                             "up to which the flow stays attached%s%s")),
            s->subject, s->value, station, s->limit, s->where, s->when);
    return g_strdup_printf(
        tb_say__trans(s->english,
                      N_("%s: the area grows like a cone of at most %s, at station %s; the flow "
                         "stays attached up to %s%s")),
        s->subject, s->value, station, s->limit, s->when);
}

static char *
say_smooth_growth(const TbSpeech *s)
{
    return g_strdup_printf(
        tb_say__trans(
            s->english,
            N_("%s: the cone angle changes by %s within one diameter%s; practice stays below "
               "%s%s")),
        s->subject, s->value, s->where, s->limit, s->when);
}

static char *
say_smooth_bend(const TbSpeech *s)
{
    return g_strdup_printf(
        tb_say__trans(
            s->english,
            N_("%s: diameter over bend radius changes by %s within one diameter%s; practice "
               "stays below %s%s")),
        s->subject, s->value, s->where, s->limit, s->when);
}

static char *
say_fold(const TbSpeech *s)
{
    bool inner = strcmp(tb_finding_text(s->finding, "surface"), "inner") == 0;
    const char *surface = inner ? tb_say__trans(s->english, N_("inner surface"))
                                : tb_say__trans(s->english, N_("outer surface"));

    if (s->finding->level == TB_LEVEL_SHORT)
        return g_strdup_printf(
            tb_say__trans(s->english,
                          N_("%s: the %s folds in the bend, curvature times half extent is %s (1 "
                             "folds)%s%s")),
            s->subject, surface, s->value, s->where, s->when);
    return g_strdup_printf(
        tb_say__trans(s->english,
                      N_("%s: the %s does not fold, curvature times half extent is at most %s (1 "
                         "folds)%s%s")),
        s->subject, surface, s->value, s->where, s->when);
}

static char *
say_self(const TbSpeech *s)
{
    if (s->finding->level == TB_LEVEL_SHORT)
        return g_strdup_printf(tb_say__trans(s->english, N_("%s: touches itself%s%s")), s->subject,
                               s->where, s->when);
    return g_strdup_printf(
        tb_say__trans(s->english, N_("%s: comes no nearer to itself than %s%s%s")), s->subject,
        s->value, s->where, s->when);
}

static char *
say_wall(const TbSpeech *s)
{
    if (s->finding->level == TB_LEVEL_SHORT)
        return g_strdup_printf(
            tb_say__trans(s->english, N_("%s: the wall is %s, below the least wall of %s%s%s")),
            s->subject, s->value, s->limit, s->where, s->when);
    return g_strdup_printf(
        tb_say__trans(s->english, N_("%s: the wall is %s or more; the least wall is %s%s")),
        s->subject, s->value, s->limit, s->when);
}

static char *
say_bend(const TbSpeech *s)
{
    g_autofree char *station = fact(s, "worst_station", TB_QUANTITY_LENGTH, 0);

    if (s->finding->level == TB_LEVEL_SHORT)
        return g_strdup_printf(
            tb_say__trans(s->english,
                          N_("%s: bend radius %s at station %s, below the least of %s%s")),
            s->subject, s->value, station, s->limit, s->when);
    return g_strdup_printf(
        tb_say__trans(s->english,
                      N_("%s: bend radius %s or more, least at station %s; %s is wanted%s")),
        s->subject, s->value, station, s->limit, s->when);
}

static const char *
housing_of(const TbSpeech *s)
{
    const char *housing = tb_finding_text(s->finding, "housing");

    if (strcmp(housing, "turbine") == 0)
        return tb_say__trans(s->english, N_("turbine housing"));
    return strcmp(housing, "centre") == 0 ? tb_say__trans(s->english, N_("centre housing"))
                                          : tb_say__trans(s->english, N_("compressor housing"));
}

static char *
say_turn(const TbSpeech *s)
{
    g_autofree char *low = bare_fact(s, "low", TB_QUANTITY_ANGLE, 1);
    g_autofree char *high = fact(s, "high", TB_QUANTITY_ANGLE, 1);
    const char *housing = housing_of(s);
    const char *inside = s->finding->level == TB_LEVEL_SHORT
                             ? tb_say__trans(s->english, N_("outside"))
                             : tb_say__trans(s->english, N_("within"));

    return g_strdup_printf(
        tb_say__trans(s->english, N_("%s: %s turned by %s, %s its limits of %s to %s%s")),
        s->subject, housing, s->value, inside, low, high, s->when);
}

static char *
say_tilt(const TbSpeech *s)
{
    g_autofree char *low = bare_fact(s, "low", TB_QUANTITY_ANGLE, 1);
    g_autofree char *high = fact(s, "high", TB_QUANTITY_ANGLE, 1);
    const char *inside = s->finding->level == TB_LEVEL_SHORT
                             ? tb_say__trans(s->english, N_("outside"))
                             : tb_say__trans(s->english, N_("within"));

    return g_strdup_printf(
        tb_say__trans(s->english, N_("%s: shaft tilted by %s, %s its limits of %s to %s%s")),
        s->subject, s->value, inside, low, high, s->when);
}

static char *
say_port(const TbSpeech *s)
{
    const char *port = tb_finding_text(s->finding, "port");
    const char *end = strcmp(tb_finding_text(s->finding, "end"), "start") == 0
                          ? tb_say__trans(s->english, N_("start"))
                          : tb_say__trans(s->english, N_("end"));

    if (strcmp(s->finding->rule, "port-size") == 0)
        return g_strdup_printf(
            tb_say__trans(s->english,
                          N_("%s: its %s differs from port %s by a step of %s; up to %s is "
                             "accepted%s")),
            s->subject, end, port, s->value, s->limit, s->when);
    return g_strdup_printf(
        tb_say__trans(s->english, N_("%s: its %s points %s off port %s; up to %s is accepted%s")),
        s->subject, end, s->value, port, s->limit, s->when);
}

static char *
say_joint(const TbSpeech *s)
{
    const char *a = tb_finding_text(s->finding, "port_a");
    const char *b = tb_finding_text(s->finding, "port_b");
    const char *rule = s->finding->rule;

    if (strcmp(rule, "joint-place") == 0)
        return g_strdup_printf(
            tb_say__trans(s->english,
                          N_("Joint %s: ports %s and %s lie %s apart; up to %s is accepted%s")),
            s->subject, a, b, s->value, s->limit, s->when);
    if (strcmp(rule, "joint-direction") == 0)
        return g_strdup_printf(
            tb_say__trans(s->english,
                          N_("Joint %s: ports %s and %s point %s apart; up to %s is accepted%s")),
            s->subject, a, b, s->value, s->limit, s->when);
    return g_strdup_printf(
        tb_say__trans(
            s->english,
            N_("Joint %s: the openings of ports %s and %s differ by a step of %s; up to %s "
               "is accepted%s")),
        s->subject, a, b, s->value, s->limit, s->when);
}

static char *
say_thread(const TbSpeech *s)
{
    const TbFinding *f = s->finding;

    if (f->level == TB_LEVEL_SHORT)
        return g_strdup_printf(
            tb_say__trans(
                s->english,
                N_("Joint %s: thread %s %s of port %s does not fit thread %s %s of port %s")),
            s->subject, tb_finding_text(f, "standard_a"), tb_finding_text(f, "size_a"),
            tb_finding_text(f, "port_a"), tb_finding_text(f, "standard_b"),
            tb_finding_text(f, "size_b"), tb_finding_text(f, "port_b"));
    return g_strdup_printf(
        tb_say__trans(s->english, N_("Joint %s: threads %s %s of ports %s and %s fit")), s->subject,
        tb_finding_text(f, "standard_a"), tb_finding_text(f, "size_a"),
        tb_finding_text(f, "port_a"), tb_finding_text(f, "port_b"));
}

/* What a scan that was read means for what lies inside it; NULL: it is closed, and all is well. */
static char *
say_body(const TbSpeech *s)
{
    const char *body = tb_finding_text(s->finding, "body");
    g_autofree char *flipped = fact_number(s, "flipped_edges", 0);
    g_autofree char *open = fact_number(s, "open_edges", 0);

    if (strcmp(tb_finding_text(s->finding, "normals"), "inward") == 0)
        return g_strdup(
            tb_say__trans(s->english, N_("its normals point inwards, so it is taken for the "
                                         "walls of a room and what is in it for clear")));
    if (strcmp(body, "open") == 0)
        return g_strdup(
            tb_say__trans(s->english, N_("it is open: gaps are told to its surface, and what "
                                         "lies inside it cannot be decided")));
    if (s->finding->level == TB_LEVEL_WATCH)
        return g_strdup_printf(
            tb_say__trans(s->english,
                          N_("at %s edges neighbours disagree about which side is out")),
            flipped);
    if (strcmp(body, "nearly closed") == 0)
        return g_strdup_printf(
            tb_say__trans(s->english, N_("its %s open edges are taken to be closed")), open);
    return NULL;
}

static char *
say_scan(const TbSpeech *s)
{
    g_autofree char *triangles = fact_number(s, "triangles", 0);
    g_autofree char *body = say_body(s);

    if (s->finding->level == TB_LEVEL_OPEN)
        return g_strdup_printf(tb_say__trans(s->english, N_("%s: %s")), s->subject,
                               tb_finding_text(s->finding, "reason"));
    if (body != NULL)
        return g_strdup_printf(tb_say__trans(s->english, N_("%s: read, %s triangles; %s")),
                               s->subject, triangles, body);
    return g_strdup_printf(tb_say__trans(s->english, N_("%s: read, %s triangles")), s->subject,
                           triangles);
}

static char *
say_shape(const TbSpeech *s)
{
    return g_strdup_printf(tb_say__trans(s->english, N_("%s: its shape cannot be built: %s%s")),
                           s->subject, tb_finding_text(s->finding, "reason"), s->when);
}

static char *
say_state(const TbSpeech *s)
{
    return g_strdup_printf(tb_say__trans(s->english, N_("State %s cannot be judged: %s")),
                           s->finding->subject, tb_finding_text(s->finding, "reason"));
}

static char *
say_warmth(const TbSpeech *s)
{
    const char *material = tb_finding_text(s->finding, "material");
    const char *mount = tb_finding_text(s->finding, "mount");
    const char *end_mount = tb_finding_text(s->finding, "end-mount");

    if (end_mount[0] != '\0')
        return g_strdup_printf(
            tb_say__trans(s->english,
                          N_("%s: rides on %s and on %s; at %s it is grown from %s alone, so its "
                             "gaps near its other end are estimates%s")),
            s->subject, mount, end_mount, s->value, mount, s->when);
    if (material[0] == '\0')
        return g_strdup_printf(
            tb_say__trans(
                s->english,
                N_("%s: warm at %s, but it names no material, so it is judged as drawn%s")),
            s->subject, s->value, s->when);
    return g_strdup_printf(
        tb_say__trans(
            s->english,
            N_("%s: warm at %s, but neither the bay nor the catalogue has its material %s, "
               "so it is judged as drawn%s")),
        s->subject, s->value, material, s->when);
}

static char *
say_class(const TbSpeech *s)
{
    return g_strdup_printf(
        tb_say__trans(
            s->english,
            N_("%s: neither it nor its class %s is in any keep, so no gap to it is judged%s")),
        s->subject, tb_finding_text(s->finding, "class"), s->when);
}

/* ---- gaps ---- */

/* The two names of a gap: first the neighbour, then the one at whose place it is told. */
static void
names_of(const TbSpeech *s, char **neighbour, char **own)
{
    g_auto(GStrv) ids = g_strsplit(s->finding->subject, "|", 2);
    bool at_b = ids[1] != NULL && strcmp(s->finding->place.item, ids[1]) == 0;
    char *a = g_strdup(tb_say_item(s->results, ids[0]));
    char *b = g_strdup(ids[1] == NULL ? "" : tb_say_item(s->results, ids[1]));

    *neighbour = at_b ? a : b;
    *own = at_b ? b : a;
}

static char *
say_gap_short(const TbSpeech *s, const char *neighbour, const char *own)
{
    const char *contact = tb_finding_text(s->finding, "contact");
    bool holds = strcmp(tb_finding_text(s->finding, "inside"), s->finding->place.item) == 0;
    /* the end that lists tell, rounded as a gap is: a depth never looks smaller than it is */
    double gap =
        isfinite(s->finding->margin) ? s->finding->limit + s->finding->margin : s->finding->value;
    int decimals = tb_say__decimals_for(gap, 0);
    double overlap = -tb_gap_told(gap, s->voice.unit, decimals);
    g_autofree char *depth = tb_voice_quantity(s->voice, overlap, TB_QUANTITY_LENGTH, decimals);

    if (strcmp(contact, "overlaps") == 0)
        return g_strdup_printf(
            tb_say__trans(s->english, N_("%s: overlaps %s by %s, with a keep of %s%s%s")),
            neighbour, own, depth, s->limit, s->where, s->when);
    if (strcmp(contact, "inside") == 0 && !holds)
        return g_strdup_printf(
            tb_say__trans(s->english, N_("%s: lies inside %s, %s deep, with a keep of %s%s%s")),
            neighbour, own, depth, s->limit, s->where, s->when);
    if (strcmp(contact, "inside") == 0)
        return g_strdup_printf(
            tb_say__trans(s->english, N_("%s: holds %s inside it, %s deep, with a keep of %s%s%s")),
            neighbour, own, depth, s->limit, s->where, s->when);
    if (strcmp(contact, "touches") == 0)
        return g_strdup_printf(
            tb_say__trans(s->english, N_("%s: touches %s, with a keep of %s%s%s")), neighbour, own,
            s->limit, s->where, s->when);
    return g_strdup_printf(
        tb_say__trans(s->english, N_("%s: %s short of its keep of %s to %s (gap %s)%s%s")),
        neighbour, s->margin, s->limit, own, s->value, s->where, s->when);
}

static char *
say_gap(const TbSpeech *s)
{
    g_autofree char *neighbour = NULL, *own = NULL;
    g_autofree char *want = fact(s, "want_margin", TB_QUANTITY_LENGTH, 1);

    names_of(s, &neighbour, &own);
    switch (s->finding->level) {
    case TB_LEVEL_SHORT:
        return say_gap_short(s, neighbour, own);
    case TB_LEVEL_OPEN:
        return g_strdup_printf(
            tb_say__trans(s->english, N_("%s: gap to %s cannot be judged%s: %s")), neighbour, own,
            s->when, tb_finding_text(s->finding, "reason"));
    case TB_LEVEL_WATCH:
        return g_strdup_printf(
            tb_say__trans(s->english,
                          N_("%s: gap to %s of %s holds its keep of %s by %s, less than the %s "
                             "wanted beyond it%s%s")),
            neighbour, own, s->value, s->limit, s->margin, want, s->where, s->when);
    case TB_LEVEL_HOLDS:
        break;
    }
    return g_strdup_printf(
        tb_say__trans(s->english, N_("%s: gap to %s of %s holds its keep of %s%s%s")), neighbour,
        own, s->value, s->limit, s->where, s->when);
}

/* ---- which rule has which ---- */

typedef struct Sayer {
    const char *rule;
    char *(*say)(const TbSpeech *speech);
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

char *
tb_say__by_rule(const TbSpeech *speech)
{
    for (size_t i = 0; i < G_N_ELEMENTS(sayers); i++)
        if (strcmp(sayers[i].rule, speech->finding->rule) == 0)
            return sayers[i].say(speech);
    return NULL;
}
