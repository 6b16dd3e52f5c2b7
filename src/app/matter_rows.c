/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/matter_rows.h"

#include "app/decisions.h"
#include "app/shown_unit.h"
#include "study/say.h"

#include <glib/gi18n.h>

/* ---- a row ---- */

G_DEFINE_FINAL_TYPE(TbMatterRow, tb_matter_row, TB_TYPE_LIST_ROW)

static void
row_finalize(GObject *object)
{
    TbMatterRow *row = TB_MATTER_ROW(object);

    g_free(row->key);
    g_free(row->sentence);
    g_free(row->where);
    g_free(row->decided);
    g_free(row->said);
    G_OBJECT_CLASS(tb_matter_row_parent_class)->finalize(object);
}

static void
tb_matter_row_class_init(TbMatterRowClass *klass)
{
    G_OBJECT_CLASS(klass)->finalize = row_finalize;
}

static void
tb_matter_row_init(TbMatterRow *row)
{
    row->sentence = g_strdup("");
    row->where = g_strdup("");
    row->decided = g_strdup("");
    row->said = g_strdup("");
}

/* ---- the rows ---- */

struct _TbMatterRows {
    TbRowList parent;

    TbMatters *all;    /* of everything */
    TbMatters *listed; /* of the selected item; NULL: all */
    bool levels[TB_LEVEL_COUNT];
    bool only_selected;
};

enum { COUNTED, SIGNALS };
static guint signals[SIGNALS];

G_DEFINE_FINAL_TYPE(TbMatterRows, tb_matter_rows, TB_TYPE_ROW_LIST)

static TbSession *
session_of(TbMatterRows *rows)
{
    return tb_row_list_session(TB_ROW_LIST(rows));
}

/* ---- what a row says ---- */

static char *
where_told(const TbMatter *matter, TbLengthUnit unit)
{
    g_autofree char *where = tb_say_finding_where(matter->results, matter->worst, unit);
    g_autofree char *more = NULL;
    bool by_reason = g_str_has_prefix(matter->key, "gap/?");

    if (matter->others == 0)
        return g_steal_pointer(&where);
    more = by_reason
               ? g_strdup_printf(ngettext("and %zu more gap for the same reason",
                                          "and %zu more gaps for the same reason", matter->others),
                                 matter->others)
               : g_strdup_printf(ngettext("and in %zu more state or variant",
                                          "and in %zu more states or variants", matter->others),
                                 matter->others);
    return where[0] == '\0' ? g_steal_pointer(&more) : g_strdup_printf("%s; %s", where, more);
}

static char *
decided_told(TbMatterRows *rows, const TbFinding *finding)
{
    const TbDecision *decision = tb_decision_about(tb_session_bay(session_of(rows)), finding, NULL);
    g_autofree char *today = NULL;

    if (decision == NULL)
        return g_strdup("");
    today = tb_today();
    return tb_decision_told(decision, today);
}

static char *
said(const TbMatterRow *row)
{
    GString *text = g_string_new(tb_say_level(row->level));

    g_string_append_printf(text, ": %s", row->sentence);
    if (row->where[0] != '\0')
        g_string_append_printf(text, ", %s", row->where);
    if (row->decided[0] != '\0')
        g_string_append_printf(text, "; %s", row->decided);
    return g_string_free(text, FALSE);
}

static void
put_matter(TbMatterRows *rows, TbMatterRow *row, const TbMatter *matter)
{
    TbLengthUnit unit = tb_shown_unit(tb_session_bay(session_of(rows)));
    bool changed = TB_LIST_ROW_PUT(row->level, matter->worst->level);

    row->finding = matter->worst;
    changed |= TB_LIST_ROW_PUT(row->stale, matter->stale);
    changed |=
        tb_list_row_put(&row->sentence, tb_say_finding_short(matter->results, matter->worst, unit));
    changed |= tb_list_row_put(&row->where, where_told(matter, unit));
    changed |= tb_list_row_put(&row->decided, decided_told(rows, matter->worst));
    if (!changed)
        return;
    tb_list_row_put(&row->said, said(row));
    tb_row_list_tell(TB_ROW_LIST(rows), row);
}

/* ---- which rows there are ---- */

static const TbMatters *
listed(TbMatterRows *rows)
{
    return rows->listed != NULL ? rows->listed : rows->all;
}

static GPtrArray *
wanted_rows(TbMatterRows *rows)
{
    const TbMatters *matters = listed(rows);
    GPtrArray *wanted = g_ptr_array_new_with_free_func(g_object_unref);

    for (size_t i = 0; i < matters->count; i++) {
        const TbMatter *matter = &matters->matters[i];
        TbMatterRow *row;

        if (!rows->levels[matter->worst->level])
            continue;
        row = tb_row_list_row(TB_ROW_LIST(rows), matter->key);
        if (row != NULL) {
            g_object_ref(row);
        } else {
            row = g_object_new(TB_TYPE_MATTER_ROW, NULL);
            row->key = g_strdup(matter->key);
        }
        put_matter(rows, row, matter);
        g_ptr_array_add(wanted, row);
    }
    return wanted;
}

/* True when the same rows are listed, in whatever order. */
static bool
are_same(TbMatterRows *rows, const GPtrArray *wanted)
{
    if (wanted->len != tb_row_list_count(TB_ROW_LIST(rows)))
        return false;
    for (guint i = 0; i < wanted->len; i++)
        if (tb_row_list_row(TB_ROW_LIST(rows), TB_MATTER_ROW(wanted->pdata[i])->key) == NULL)
            return false;
    return true;
}

static void
list(TbMatterRows *rows)
{
    GPtrArray *wanted = wanted_rows(rows);

    /* rows do not jump while the document is being judged again */
    if (!tb_session_is_settled(session_of(rows)) && are_same(rows, wanted))
        g_ptr_array_unref(wanted);
    else
        tb_row_list_replace(TB_ROW_LIST(rows), wanted);
}

/* ---- following the session ---- */

static void
gather(TbMatterRows *rows)
{
    TbMatters *all = rows->all, *of_item = rows->listed;
    TbMatterAsk ask = tb_session_judged(session_of(rows));
    const char *selected = tb_session_selected(session_of(rows));

    rows->all = tb_matters_again(&ask, all);
    rows->listed = NULL;
    if (rows->only_selected && tb_bay_item(tb_session_bay(session_of(rows)), selected) != NULL) {
        ask.item = selected;
        rows->listed = tb_matters_again(&ask, of_item);
    }
    list(rows);
    g_signal_emit(rows, signals[COUNTED], 0);
    /* rows that went may have been read until now */
    tb_matters_free(all);
    tb_matters_free(of_item);
}

static void
session_changed(TbRowList *self, guint parts)
{
    TbMatterRows *rows = TB_MATTER_ROWS(self);
    guint wanted = TB_SESSION_SHOWN | TB_SESSION_CHOICE;

    if (rows->only_selected)
        wanted |= TB_SESSION_SELECTION;
    /* an edit alone changes no finding, but maybe what was decided: its answer is on the way */
    if ((parts & TB_SESSION_DOCUMENT) && !(parts & TB_SESSION_SHOWN)) {
        if (!tb_session_is_held(session_of(rows)))
            list(rows);
    } else if (parts & wanted) {
        gather(rows);
    }
}

static const char *
key(void *row)
{
    return TB_MATTER_ROW(row)->key;
}

static void
finalize(GObject *object)
{
    TbMatterRows *rows = TB_MATTER_ROWS(object);

    tb_matters_free(rows->all);
    tb_matters_free(rows->listed);
    G_OBJECT_CLASS(tb_matter_rows_parent_class)->finalize(object);
}

static void
tb_matter_rows_class_init(TbMatterRowsClass *klass)
{
    TbRowListClass *list_class = TB_ROW_LIST_CLASS(klass);

    G_OBJECT_CLASS(klass)->finalize = finalize;
    list_class->row_type = TB_TYPE_MATTER_ROW;
    list_class->key = key;
    list_class->session_changed = session_changed;
    signals[COUNTED] = g_signal_new("counted", TB_TYPE_MATTER_ROWS, G_SIGNAL_RUN_LAST, 0, NULL,
                                    NULL, NULL, G_TYPE_NONE, 0);
}

static void
tb_matter_rows_init(TbMatterRows *rows)
{
    for (int level = 0; level < TB_LEVEL_COUNT; level++)
        rows->levels[level] = level != TB_LEVEL_HOLDS;
}

TbMatterRows *
tb_matter_rows_new(TbSession *session)
{
    TbMatterRows *rows = g_object_new(TB_TYPE_MATTER_ROWS, NULL);

    tb_row_list_follow(TB_ROW_LIST(rows), session);
    gather(rows);
    return rows;
}

/* ---- choosing ---- */

void
tb_matter_rows_list_level(TbMatterRows *rows, TbLevel level, bool is_listed)
{
    if (rows->levels[level] == is_listed)
        return;
    rows->levels[level] = is_listed;
    gather(rows);
}

bool
tb_matter_rows_lists_level(TbMatterRows *rows, TbLevel level)
{
    return rows->levels[level];
}

void
tb_matter_rows_set_only_selected(TbMatterRows *rows, bool only)
{
    if (rows->only_selected == only)
        return;
    rows->only_selected = only;
    gather(rows);
}

/* ---- reading ---- */

size_t
tb_matter_rows_count(TbMatterRows *rows, TbLevel level)
{
    return listed(rows)->levels[level];
}

static size_t
sum(const size_t counts[TB_LEVEL_COUNT])
{
    size_t total = 0;

    for (int level = 0; level < TB_LEVEL_COUNT; level++)
        total += counts[level];
    return total;
}

char *
tb_matter_rows_summary(TbMatterRows *rows)
{
    size_t total = sum(rows->all->levels);

    if (total == 0)
        return g_strdup(_("Nothing is judged yet"));
    return g_strdup_printf(ngettext("%zu of %zu finding holds", "%zu of %zu findings hold", total),
                           rows->all->levels[TB_LEVEL_HOLDS], total);
}

char *
tb_matter_rows_summary_whole(TbMatterRows *rows)
{
    return g_strdup_printf(_("%zu of %zu, counting every state and variant"),
                           rows->all->judged[TB_LEVEL_HOLDS], sum(rows->all->judged));
}

TbLevel
tb_matter_rows_worst(TbMatterRows *rows)
{
    return rows->all->count == 0 ? TB_LEVEL_OPEN : rows->all->matters[0].worst->level;
}

/* The key of a finding's id: without /state/variant. */
static char *
key_of_id(const char *id)
{
    char *key = g_strdup(id);

    for (int i = 0; i < 2; i++) {
        char *slash = strrchr(key, '/');

        if (slash != NULL)
            *slash = '\0';
    }
    return key;
}

int
tb_matter_rows_find(TbMatterRows *rows, const char *finding)
{
    g_autofree char *wanted = finding == NULL ? NULL : key_of_id(finding);

    if (wanted == NULL)
        return -1;
    for (guint i = 0; i < tb_row_list_count(TB_ROW_LIST(rows)); i++) {
        const TbMatterRow *row = tb_matter_rows_at(rows, i);

        /* of open gaps for one reason the one that is told stands for all */
        if (strcmp(row->key, wanted) == 0 || strcmp(row->finding->id, finding) == 0)
            return (int)i;
    }
    return -1;
}

TbMatterRow *
tb_matter_rows_at(TbMatterRows *rows, guint place)
{
    return tb_row_list_at(TB_ROW_LIST(rows), place);
}
