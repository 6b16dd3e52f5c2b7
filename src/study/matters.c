/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/matters_private.h"

#include <glib.h>
#include <math.h>
#include <string.h>

int
tb_level_rank(TbLevel level)
{
    switch (level) {
    case TB_LEVEL_HOLDS:
        return 0;
    case TB_LEVEL_WATCH:
        return 1;
    case TB_LEVEL_SHORT:
        return 3;
    case TB_LEVEL_OPEN:
        break;
    }
    return 2;
}

/* ---- whole and live results together ---- */

static bool
is_among(const char *id, const TbResultName *names, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(names[i].id, id) == 0)
            return true;
    return id[0] == '\0'; /* does not hang on it: every study judges it */
}

bool
tb_matter__is_superseded(const TbMatterAsk *ask, const char *state, const char *variant)
{
    return ask->live != NULL && is_among(state, ask->live->states, ask->live->state_count) &&
           is_among(variant, ask->live->variants, ask->live->variant_count);
}

/* The states and variants that the live results judge anew; NULL without such. */
static char *
superseded_of(const TbMatterAsk *ask)
{
    GString *text;

    if (ask->live == NULL)
        return NULL;
    text = g_string_new(NULL);
    for (size_t i = 0; i < ask->live->state_count; i++)
        g_string_append_printf(text, "%s\n", ask->live->states[i].id);
    g_string_append_c(text, '\n');
    for (size_t i = 0; i < ask->live->variant_count; i++)
        g_string_append_printf(text, "%s\n", ask->live->variants[i].id);
    return g_string_free(text, FALSE);
}

/** The pair that a subject "a|b" names; b "" for a single one. Cuts the copy in two. */
static void
subject_ids(const char *subject, const char **a, size_t *a_length, const char **b)
{
    const char *bar = strchr(subject, '|');

    *a = subject;
    *a_length = bar == NULL ? strlen(subject) : (size_t)(bar - subject);
    *b = bar == NULL ? "" : bar + 1;
}

bool
tb_finding_is_about(const TbFinding *finding, const char *item)
{
    const char *a, *b;
    size_t length;

    subject_ids(finding->subject, &a, &length, &b);
    return (strlen(item) == length && memcmp(a, item, length) == 0) || strcmp(b, item) == 0 ||
           strcmp(finding->place.item, item) == 0;
}

/* ---- gathering ---- */

char *
tb_finding_matter(const TbFinding *finding)
{
    /* the id ends in /state/variant */
    size_t tail = strlen(finding->state) + strlen(finding->variant) + 2;

    return g_strndup(finding->id, strlen(finding->id) - tail);
}

bool
tb_finding_is_gap(const TbFinding *finding)
{
    return strcmp(finding->rule, "gap") == 0;
}

bool
tb_finding_is_open_gap(const TbFinding *finding)
{
    return finding->level == TB_LEVEL_OPEN && tb_finding_is_gap(finding);
}

char *
tb_matter_key(const TbFinding *finding)
{
    if (tb_finding_is_open_gap(finding))
        return g_strconcat("gap/?", tb_finding_text(finding, "reason"), NULL);
    return tb_finding_matter(finding);
}

bool
tb_margin_is_worse(double margin, double than)
{
    return !isnan(margin) && (isnan(than) || margin < than - TB_MATTER_ALIKE);
}

/* Of two that read alike, the one that is shown is told. */
static bool
is_shown(const TbMatterAsk *ask, const TbFinding *finding)
{
    return g_strcmp0(finding->state, ask->state) == 0 &&
           (finding->variant[0] == '\0' || g_strcmp0(finding->variant, ask->variant) == 0);
}

static bool
is_told_rather(const TbMatterAsk *ask, const TbFinding *a, const TbFinding *b)
{
    if (tb_margin_is_worse(a->margin, b->margin) || tb_margin_is_worse(b->margin, a->margin))
        return tb_margin_is_worse(a->margin, b->margin);
    return is_shown(ask, a) && !is_shown(ask, b);
}

/* The state that is told becomes that of @p one where it is worse. */
static void
join(const TbMatterAsk *ask, TbMatter *matter, const TbMatter *one)
{
    int rank = tb_level_rank(one->worst->level) - tb_level_rank(matter->worst->level);

    if (rank < 0)
        return;
    matter->others = rank > 0 ? one->others : matter->others + one->others + 1;
    if (rank > 0 || is_told_rather(ask, one->worst, matter->worst)) {
        matter->worst = one->worst;
        matter->results = one->results;
        matter->stale = one->stale;
    }
}

/* Matters by their keys, in the order in which they came. */
typedef struct Gathering {
    const TbMatterAsk *ask;
    GArray *matters;    /* TbMatter */
    GHashTable *places; /* key to place + 1 */
    size_t judged[TB_LEVEL_COUNT];
} Gathering;

static Gathering
gathering_of(const TbMatterAsk *ask)
{
    return (Gathering){.ask = ask,
                       .matters = g_array_new(FALSE, FALSE, sizeof(TbMatter)),
                       .places = g_hash_table_new(g_str_hash, g_str_equal)};
}

static void
free_key(TbMatter *matter)
{
    if (!matter->key_lent)
        g_free(matter->key);
}

/* One more; its key is taken. */
static void
gather(Gathering *gathering, TbMatter one)
{
    size_t place = GPOINTER_TO_SIZE(g_hash_table_lookup(gathering->places, one.key));

    if (place == 0) {
        g_array_append_val(gathering->matters, one);
        g_hash_table_insert(gathering->places, one.key, GSIZE_TO_POINTER(gathering->matters->len));
        return;
    }
    join(gathering->ask, &g_array_index(gathering->matters, TbMatter, place - 1), &one);
    free_key(&one);
}

static void
gather_finding(Gathering *gathering, const TbResults *results, const TbFinding *finding, bool stale)
{
    if (gathering->ask->item != NULL && !tb_finding_is_about(finding, gathering->ask->item))
        return;
    gathering->judged[finding->level]++;
    gather(gathering, (TbMatter){.key = tb_matter_key(finding),
                                 .worst = finding,
                                 .results = results,
                                 .stale = stale,
                                 .is_gap = tb_finding_is_gap(finding)});
}

/* The same items in the same order: the usual case in a drag. */
static bool
are_same_items(const TbResults *a, const TbResults *b)
{
    if (a->item_count != b->item_count)
        return false;
    for (size_t i = 0; i < a->item_count; i++)
        if (strcmp(a->items[i].id, b->items[i].id) != 0)
            return false;
    return true;
}

GHashTable *
tb_matter__items_now(const TbMatterAsk *ask)
{
    GHashTable *items;

    if (ask->live == NULL || ask->whole == NULL || are_same_items(ask->live, ask->whole))
        return NULL;
    items = g_hash_table_new(g_str_hash, g_str_equal);
    for (size_t i = 0; i < ask->live->item_count; i++)
        g_hash_table_add(items, ask->live->items[i].id);
    return items;
}

bool
tb_matter__is_gone(GHashTable *items_now, const TbResults *whole, const TbFinding *finding)
{
    const char *a, *b;
    size_t length;
    g_autofree char *first = NULL;

    if (items_now == NULL)
        return false;
    subject_ids(finding->subject, &a, &length, &b);
    first = g_strndup(a, length);
    /* a subject that is no item (a state, a joint) says nothing here */
    return (!g_hash_table_contains(items_now, first) && tb_results_item(whole, first) != NULL) ||
           (b[0] != '\0' && !g_hash_table_contains(items_now, b) &&
            tb_results_item(whole, b) != NULL);
}

/* ---- what older results say ---- */

TbOlderAsk
tb_matter__older_ask(const TbMatterAsk *ask, GHashTable *items_now)
{
    return (TbOlderAsk){.whole =
                            ask->whole == NULL ? NULL : tb_results_ref((TbResults *)ask->whole),
                        .item = g_strdup(ask->item),
                        .state = g_strdup(ask->state),
                        .variant = g_strdup(ask->variant),
                        .superseded = superseded_of(ask),
                        .of_same_items = items_now == NULL};
}

void
tb_matter__older_ask_clear(TbOlderAsk *older)
{
    tb_results_unref(older->whole);
    g_free(older->item);
    g_free(older->state);
    g_free(older->variant);
    g_free(older->superseded);
}

bool
tb_matter__is_same_ask(const TbOlderAsk *older, const TbMatterAsk *ask, GHashTable *items_now)
{
    g_autofree char *superseded = superseded_of(ask);

    return older->of_same_items && items_now == NULL && older->whole == ask->whole &&
           g_strcmp0(older->item, ask->item) == 0 && g_strcmp0(older->state, ask->state) == 0 &&
           g_strcmp0(older->variant, ask->variant) == 0 &&
           g_strcmp0(older->superseded, superseded) == 0;
}

/* Immutable, of one question. */
typedef struct TbOlderMatters {
    gatomicrefcount references;
    TbOlderAsk ask;
    GArray *matters; /* TbMatter; keys are its own */
    size_t judged[TB_LEVEL_COUNT];
} TbOlderMatters;

static TbOlderMatters *
older_new(const TbMatterAsk *ask, GHashTable *items_now)
{
    TbOlderMatters *older = g_new0(TbOlderMatters, 1);
    Gathering gathering = gathering_of(ask);

    for (size_t i = 0; ask->whole != NULL && i < ask->whole->finding_count; i++) {
        const TbFinding *finding = &ask->whole->findings[i];

        if (!tb_matter__is_superseded(ask, finding->state, finding->variant) &&
            (ask->live == NULL || !tb_matter__is_gone(items_now, ask->whole, finding)))
            gather_finding(&gathering, ask->whole, finding, ask->live != NULL);
    }
    g_hash_table_unref(gathering.places);
    g_atomic_ref_count_init(&older->references);
    older->ask = tb_matter__older_ask(ask, items_now);
    older->matters = gathering.matters;
    memcpy(older->judged, gathering.judged, sizeof older->judged);
    return older;
}

static void
older_unref(TbOlderMatters *older)
{
    if (!g_atomic_ref_count_dec(&older->references))
        return;
    for (guint i = 0; i < older->matters->len; i++)
        g_free(g_array_index(older->matters, TbMatter, i).key);
    g_array_unref(older->matters);
    tb_matter__older_ask_clear(&older->ask);
    g_free(older);
}

static TbOlderMatters *
older_of(const TbMatterAsk *ask, const TbMatters *before)
{
    GHashTable *items_now = tb_matter__items_now(ask);
    TbOlderMatters *older = before == NULL ? NULL : before->older;

    if (older != NULL && tb_matter__is_same_ask(&older->ask, ask, items_now))
        g_atomic_ref_count_inc(&older->references);
    else
        older = older_new(ask, items_now);
    g_clear_pointer(&items_now, g_hash_table_unref);
    return older;
}

static void
gather_all(Gathering *gathering, const TbOlderMatters *older)
{
    const TbResults *live = gathering->ask->live;

    for (size_t i = 0; live != NULL && i < live->finding_count; i++)
        gather_finding(gathering, live, &live->findings[i], false);
    for (guint i = 0; i < older->matters->len; i++) {
        TbMatter one = g_array_index(older->matters, TbMatter, i);

        one.key_lent = true; /* the matters hold what it is of */
        gather(gathering, one);
    }
    for (int level = 0; level < TB_LEVEL_COUNT; level++)
        gathering->judged[level] += older->judged[level];
}

/* ---- order ---- */

/* Whether one is about a gap is told, not asked: rows are sorted at every turn of a drag. */
static int
order(const TbFinding *a, bool a_is_gap, const TbFinding *b, bool b_is_gap)
{
    int rank = tb_level_rank(b->level) - tb_level_rank(a->level);

    if (rank != 0)
        return rank;
    if (a->level != TB_LEVEL_OPEN && a_is_gap != b_is_gap)
        return a_is_gap ? -1 : 1;
    if (isnan(a->margin) || isnan(b->margin))
        return (isnan(a->margin) != 0) - (isnan(b->margin) != 0);
    return (a->margin > b->margin) - (a->margin < b->margin);
}

int
tb_finding_order(const TbFinding *a, const TbFinding *b)
{
    return order(a, tb_finding_is_gap(a), b, tb_finding_is_gap(b));
}

static int
compare(const void *left, const void *right)
{
    const TbMatter *a = left;
    const TbMatter *b = right;

    return order(a->worst, a->is_gap, b->worst, b->is_gap);
}

TbMatters *
tb_matters_again(const TbMatterAsk *ask, const TbMatters *before)
{
    TbMatters *matters = g_new0(TbMatters, 1);
    Gathering gathering = gathering_of(ask);

    matters->older = older_of(ask, before);
    gather_all(&gathering, matters->older);
    /* stable (GLib's sort is): what is alike stays in the order of the checks */
    g_array_sort(gathering.matters, compare);
    matters->count = gathering.matters->len;
    matters->matters = (TbMatter *)(void *)g_array_free(gathering.matters, FALSE);
    memcpy(matters->judged, gathering.judged, sizeof matters->judged);
    for (size_t i = 0; i < matters->count; i++)
        matters->levels[matters->matters[i].worst->level]++;
    matters->whole = ask->whole == NULL ? NULL : tb_results_ref((TbResults *)ask->whole);
    matters->live = ask->live == NULL ? NULL : tb_results_ref((TbResults *)ask->live);
    g_hash_table_unref(gathering.places);
    return matters;
}

TbMatters *
tb_matters_new(const TbMatterAsk *ask)
{
    return tb_matters_again(ask, NULL);
}

void
tb_matters_free(TbMatters *matters)
{
    if (matters == NULL)
        return;
    for (size_t i = 0; i < matters->count; i++)
        free_key(&matters->matters[i]);
    g_free(matters->matters);
    tb_results_unref(matters->whole);
    tb_results_unref(matters->live);
    older_unref(matters->older);
    g_free(matters);
}
