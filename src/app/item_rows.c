/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/item_rows.h"

#include "app/item_words.h"
#include "app/judged.h"
#include "bay/ports.h"

#include <glib/gi18n.h>

/* ---- a row ---- */

G_DEFINE_FINAL_TYPE(TbItemRow, tb_item_row, TB_TYPE_LIST_ROW)

static void
row_finalize(GObject *object)
{
    TbItemRow *row = TB_ITEM_ROW(object);

    g_free(row->id);
    g_free(row->name);
    g_free(row->value);
    g_free(row->note);
    g_free(row->said);
    G_OBJECT_CLASS(tb_item_row_parent_class)->finalize(object);
}

static void
tb_item_row_class_init(TbItemRowClass *klass)
{
    G_OBJECT_CLASS(klass)->finalize = row_finalize;
}

static void
tb_item_row_init(TbItemRow *row)
{
    row->value = g_strdup("");
    row->note = g_strdup("");
    row->said = g_strdup("");
}

/* ---- the rows ---- */

struct _TbItemRows {
    TbRowList parent;

    TbStandings *standings;
    char *filter;    /* case-folded */
    uint64_t listed; /* node of the document whose records are listed */
};

G_DEFINE_FINAL_TYPE(TbItemRows, tb_item_rows, TB_TYPE_ROW_LIST)

static TbSession *
session_of(TbItemRows *rows)
{
    return tb_row_list_session(TB_ROW_LIST(rows));
}

/* ---- what a row says ---- */

static const TbStanding *
standing_of(TbItemRows *rows, const TbItemRow *row)
{
    return rows->standings == NULL || !row->is_item ? NULL
                                                    : tb_standings_find(rows->standings, row->id);
}

static bool
put_standing(TbItemRows *rows, TbItemRow *row)
{
    const TbStanding *standing = standing_of(rows, row);
    const TbResultGap *gap = standing == NULL ? NULL : standing->gap;
    bool judged = standing != NULL && standing->judged;
    bool changed = TB_LIST_ROW_PUT(row->judged, judged);

    changed |= TB_LIST_ROW_PUT(row->level, judged ? standing->level : TB_LEVEL_OPEN);
    changed |= TB_LIST_ROW_PUT(row->is_short, gap != NULL && gap->level == TB_LEVEL_SHORT);
    changed |=
        TB_LIST_ROW_PUT(row->stale, standing != NULL && (standing->gap_stale || standing->stale));
    changed |= tb_list_row_put(&row->value, tb_item_words_value(session_of(rows), gap));
    changed |= tb_list_row_put(&row->note, tb_item_words_note(session_of(rows), gap));
    return changed;
}

/* Everything but the standing: what the document and the session say. */
static bool
put_record(TbItemRows *rows, TbItemRow *row)
{
    const TbBay *bay = tb_session_bay(session_of(rows));
    const TbRecord *record = tb_bay_find(bay, row->id);
    bool changed = tb_list_row_put(&row->name, tb_item_words_name(bay, record));

    if (row->is_item) {
        changed |= TB_LIST_ROW_PUT(row->hidden, tb_session_is_hidden(session_of(rows), row->id));
        changed |=
            TB_LIST_ROW_PUT(row->absent, tb_bay_item_in(bay, tb_session_variant(session_of(rows)),
                                                        row->id) == NULL);
    }
    return changed;
}

/* All that the row says in one sentence: only a row that reads differently has another one. */
static void
put_said(TbItemRows *rows, TbItemRow *row)
{
    const TbStanding *standing = standing_of(rows, row);

    tb_list_row_put(&row->said, tb_item_words_said(session_of(rows), row,
                                                   standing == NULL ? NULL : standing->gap));
}

static void
refresh(TbItemRows *rows)
{
    TbRowList *list = TB_ROW_LIST(rows);

    for (guint i = 0; i < tb_row_list_count(list); i++) {
        TbItemRow *row = tb_row_list_at(list, i);
        bool changed = put_record(rows, row);

        changed |= put_standing(rows, row);
        if (!changed)
            continue;
        put_said(rows, row);
        tb_row_list_tell(list, row);
    }
}

/* ---- which rows there are ---- */

const char *
tb_item_group_name(TbItemGroup group)
{
    switch (group) {
    case TB_GROUP_GAS_PATH:
        return _("Gas path");
    case TB_GROUP_TURBO:
        return _("Turbo");
    case TB_GROUP_LINES:
        return _("Lines");
    case TB_GROUP_OBSTACLES:
        return _("Obstacles");
    case TB_GROUP_SCANS:
        return _("Scans");
    case TB_GROUP_FASTENERS:
        return _("Fasteners");
    case TB_GROUP_STEPS:
        break;
    }
    return _("Fitting order");
}

static TbItemGroup
group_of(const TbItem *item)
{
    switch (item->kind) {
    case TB_ITEM_DUCT:
        return TB_GROUP_GAS_PATH;
    case TB_ITEM_LINE:
        return TB_GROUP_LINES;
    case TB_ITEM_TURBO:
        return TB_GROUP_TURBO;
    case TB_ITEM_SCAN:
        return TB_GROUP_SCANS;
    case TB_ITEM_BLOCK:
    case TB_ITEM_ROD:
    case TB_ITEM_BALL:
    case TB_ITEM_OUTLINE:
        break;
    }
    return g_strcmp0(item->klass, "hot") == 0 ? TB_GROUP_GAS_PATH : TB_GROUP_OBSTACLES;
}

static bool
passes(TbItemRows *rows, const TbBay *bay, const TbRecord *record)
{
    g_autofree char *name = tb_item_words_name(bay, record);
    g_autofree char *folded = g_utf8_casefold(name, -1);
    g_autofree char *id = g_utf8_casefold(record->id, -1);

    return strstr(folded, rows->filter) != NULL || strstr(id, rows->filter) != NULL;
}

/* The row of a record: the one there is, or a new one. A reference for the caller. */
static TbItemRow *
row_of(TbItemRows *rows, const TbRecord *record, TbItemGroup group)
{
    TbItemRow *row = tb_row_list_row(TB_ROW_LIST(rows), record->id);

    if (row != NULL && row->group == group)
        return g_object_ref(row);
    row = g_object_new(TB_TYPE_ITEM_ROW, NULL);
    row->id = g_strdup(record->id);
    row->name = g_strdup("");
    row->group = group;
    row->is_item = group < TB_GROUP_FASTENERS;
    put_record(rows, row);
    put_standing(rows, row);
    put_said(rows, row);
    return row;
}

static void
append(TbItemRows *rows, GPtrArray *wanted, const TbRecord *record, TbItemGroup group)
{
    if (passes(rows, tb_session_bay(session_of(rows)), record))
        g_ptr_array_add(wanted, row_of(rows, record, group));
}

static GPtrArray *
wanted_rows(TbItemRows *rows)
{
    const TbBay *bay = tb_session_bay(session_of(rows));
    GPtrArray *wanted = g_ptr_array_new_with_free_func(g_object_unref);

    for (int group = 0; group < TB_GROUP_FASTENERS; group++)
        for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_ITEMS); i++)
            if ((int)group_of(tb_bay_item_at(bay, i)) == group)
                append(rows, wanted, &tb_bay_item_at(bay, i)->record, (TbItemGroup)group);
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_FASTENERS); i++)
        append(rows, wanted, &tb_bay_fastener_at(bay, i)->record, TB_GROUP_FASTENERS);
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_STEPS); i++)
        append(rows, wanted, &tb_bay_step_at(bay, i)->record, TB_GROUP_STEPS);
    return wanted;
}

static void
list(TbItemRows *rows)
{
    tb_row_list_replace(TB_ROW_LIST(rows), wanted_rows(rows));
}

/* ---- following the session ---- */

static void
take_standings(TbItemRows *rows)
{
    TbMatterAsk ask = tb_session_judged(session_of(rows));
    TbStandings *before = rows->standings;

    rows->standings = tb_standings_again(&ask, before);
    tb_standings_free(before);
}

static void
session_changed(TbRowList *self, guint parts)
{
    TbItemRows *rows = TB_ITEM_ROWS(self);
    const uint64_t node = tb_session_bay(session_of(rows))->node;

    if (!(parts & (TB_SESSION_DOCUMENT | TB_SESSION_SHOWN | TB_SESSION_CHOICE | TB_SESSION_HIDDEN)))
        return;
    /* the same where something is dragged: only its place changes */
    if (tb_session_is_held(session_of(rows)) && !(parts & TB_SESSION_SHOWN))
        return;
    /* an edit alone changes no number: its answer is on the way */
    if ((parts & TB_SESSION_SHOWN) ||
        ((parts & TB_SESSION_CHOICE) && !(parts & TB_SESSION_DOCUMENT)))
        take_standings(rows);
    if (rows->listed != node) {
        rows->listed = node;
        list(rows);
    }
    refresh(rows);
}

static const char *
key(void *row)
{
    return TB_ITEM_ROW(row)->id;
}

static void
finalize(GObject *object)
{
    TbItemRows *rows = TB_ITEM_ROWS(object);

    tb_standings_free(rows->standings);
    g_free(rows->filter);
    G_OBJECT_CLASS(tb_item_rows_parent_class)->finalize(object);
}

static void
tb_item_rows_class_init(TbItemRowsClass *klass)
{
    TbRowListClass *list_class = TB_ROW_LIST_CLASS(klass);

    G_OBJECT_CLASS(klass)->finalize = finalize;
    list_class->row_type = TB_TYPE_ITEM_ROW;
    list_class->key = key;
    list_class->session_changed = session_changed;
}

static void
tb_item_rows_init(TbItemRows *rows)
{
    rows->filter = g_strdup("");
}

TbItemRows *
tb_item_rows_new(TbSession *session)
{
    TbItemRows *rows = g_object_new(TB_TYPE_ITEM_ROWS, NULL);

    tb_row_list_follow(TB_ROW_LIST(rows), session);
    session_changed(TB_ROW_LIST(rows), TB_SESSION_DOCUMENT | TB_SESSION_SHOWN);
    return rows;
}

/* ---- reading ---- */

void
tb_item_rows_set_filter(TbItemRows *rows, const char *text)
{
    g_autofree char *stripped = g_strstrip(g_strdup(text));

    g_free(rows->filter);
    rows->filter = g_utf8_casefold(stripped, -1);
    list(rows);
}

int
tb_item_rows_find(TbItemRows *rows, const char *id)
{
    return tb_row_list_place(TB_ROW_LIST(rows), id);
}

TbItemRow *
tb_item_rows_at(TbItemRows *rows, guint place)
{
    return tb_row_list_at(TB_ROW_LIST(rows), place);
}

char *
tb_item_rows_explain(TbItemRows *rows, const TbItemRow *row)
{
    return tb_item_words_explain(
        session_of(rows), row,
        rows->standings == NULL ? NULL : tb_standings_find(rows->standings, row->id));
}

guint64
tb_item_rows_changes(TbItemRows *rows)
{
    return tb_row_list_changes(TB_ROW_LIST(rows));
}
