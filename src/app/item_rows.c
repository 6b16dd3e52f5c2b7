/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/item_rows.h"

#include "app/item_words.h"
#include "app/judged.h"
#include "bay/ports.h"

#include <glib/gi18n.h>

/* ---- a row ---- */

G_DEFINE_FINAL_TYPE(TbItemRow, tb_item_row, G_TYPE_OBJECT)

enum { CHANGED, SIGNALS };
static guint signals[SIGNALS];

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
    signals[CHANGED] = g_signal_new("changed", TB_TYPE_ITEM_ROW, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                    NULL, G_TYPE_NONE, 0);
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
    GObject parent;

    TbSession *session;
    gulong handler;
    GPtrArray *rows;   /* TbItemRow, in the order that is listed */
    GHashTable *by_id; /* id, lent by the row, to TbItemRow */
    TbStandings *standings;
    char *filter;    /* case-folded */
    uint64_t listed; /* node of the document whose records are listed */
    guint64 changes;
};

static GType
get_item_type(GListModel *model)
{
    (void)model;
    return TB_TYPE_ITEM_ROW;
}

static guint
get_n_items(GListModel *model)
{
    return TB_ITEM_ROWS(model)->rows->len;
}

static void *
get_item(GListModel *model, guint place)
{
    TbItemRow *row = tb_item_rows_at(TB_ITEM_ROWS(model), place);

    return row == NULL ? NULL : g_object_ref(row);
}

static void
list_model_init(GListModelInterface *interface)
{
    interface->get_item_type = get_item_type;
    interface->get_n_items = get_n_items;
    interface->get_item = get_item;
}

G_DEFINE_FINAL_TYPE_WITH_CODE(TbItemRows,
                              tb_item_rows,
                              G_TYPE_OBJECT,
                              G_IMPLEMENT_INTERFACE(G_TYPE_LIST_MODEL, list_model_init))

/* ---- what a row says ---- */

/* Takes the text. */
static bool
put(char **place, char *text)
{
    if (strcmp(*place, text) == 0) {
        g_free(text);
        return false;
    }
    g_free(*place);
    *place = text;
    return true;
}

#define PUT(place, value) ((place) != (value) && ((place) = (value), true))

static bool
put_standing(TbItemRows *rows, TbItemRow *row)
{
    const TbStanding *standing = rows->standings == NULL || !row->is_item
                                     ? NULL
                                     : tb_standings_find(rows->standings, row->id);
    const TbResultGap *gap = standing == NULL ? NULL : standing->gap;
    bool judged = standing != NULL && standing->judged;
    bool changed = PUT(row->judged, judged);

    changed |= PUT(row->level, judged ? standing->level : TB_LEVEL_OPEN);
    changed |= PUT(row->is_short, gap != NULL && gap->level == TB_LEVEL_SHORT);
    changed |= PUT(row->stale, standing != NULL && (standing->gap_stale || standing->stale));
    changed |= put(&row->value, tb_item_words_value(rows->session, gap));
    changed |= put(&row->note, tb_item_words_note(rows->session, gap));
    changed |= put(&row->said, tb_item_words_said(rows->session, row, gap));
    return changed;
}

/* Everything but the standing: what the document and the session say. */
static bool
put_record(TbItemRows *rows, TbItemRow *row)
{
    const TbBay *bay = tb_session_bay(rows->session);
    const TbRecord *record = tb_bay_find(bay, row->id);
    bool changed = put(&row->name, tb_item_words_name(bay, record));

    if (row->is_item) {
        changed |= PUT(row->hidden, tb_session_is_hidden(rows->session, row->id));
        changed |= PUT(row->absent,
                       tb_bay_item_in(bay, tb_session_variant(rows->session), row->id) == NULL);
    }
    return changed;
}

static void
refresh(TbItemRows *rows)
{
    for (guint i = 0; i < rows->rows->len; i++) {
        TbItemRow *row = g_ptr_array_index(rows->rows, i);
        bool changed = put_record(rows, row);

        changed |= put_standing(rows, row);
        if (!changed)
            continue;
        rows->changes++;
        g_signal_emit(row, signals[CHANGED], 0);
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
    TbItemRow *row = g_hash_table_lookup(rows->by_id, record->id);

    if (row != NULL && row->group == group)
        return g_object_ref(row);
    row = g_object_new(TB_TYPE_ITEM_ROW, NULL);
    row->id = g_strdup(record->id);
    row->name = g_strdup("");
    row->group = group;
    row->is_item = group < TB_GROUP_FASTENERS;
    put_record(rows, row);
    put_standing(rows, row);
    return row;
}

static void
append(TbItemRows *rows, GPtrArray *wanted, const TbRecord *record, TbItemGroup group)
{
    if (passes(rows, tb_session_bay(rows->session), record))
        g_ptr_array_add(wanted, row_of(rows, record, group));
}

static GPtrArray *
wanted_rows(TbItemRows *rows)
{
    const TbBay *bay = tb_session_bay(rows->session);
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

/* Says which stretch differs: what is alike at both ends stays as it is. */
static void
list(TbItemRows *rows)
{
    GPtrArray *old = rows->rows;
    GPtrArray *wanted = wanted_rows(rows);
    guint head = 0, tail = 0;
    guint shorter = MIN(old->len, wanted->len);

    while (head < shorter && old->pdata[head] == wanted->pdata[head])
        head++;
    while (tail < shorter - head &&
           old->pdata[old->len - 1 - tail] == wanted->pdata[wanted->len - 1 - tail])
        tail++;
    rows->rows = wanted;
    g_hash_table_remove_all(rows->by_id);
    for (guint i = 0; i < wanted->len; i++)
        g_hash_table_insert(rows->by_id, TB_ITEM_ROW(wanted->pdata[i])->id, wanted->pdata[i]);
    if (old->len - tail > head || wanted->len - tail > head)
        g_list_model_items_changed(G_LIST_MODEL(rows), head, old->len - tail - head,
                                   wanted->len - tail - head);
    g_ptr_array_unref(old);
}

/* ---- following the session ---- */

static void
take_standings(TbItemRows *rows)
{
    TbMatterAsk ask = tb_session_judged(rows->session);

    tb_standings_free(rows->standings);
    rows->standings = tb_standings_new(&ask);
}

static void
session_changed(TbSession *session, guint parts, TbItemRows *rows)
{
    const uint64_t node = tb_session_bay(session)->node;

    if (!(parts & (TB_SESSION_DOCUMENT | TB_SESSION_SHOWN | TB_SESSION_CHOICE | TB_SESSION_HIDDEN)))
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

static void
dispose(GObject *object)
{
    TbItemRows *rows = TB_ITEM_ROWS(object);

    if (rows->session != NULL)
        g_clear_signal_handler(&rows->handler, rows->session);
    g_clear_object(&rows->session);
    G_OBJECT_CLASS(tb_item_rows_parent_class)->dispose(object);
}

static void
finalize(GObject *object)
{
    TbItemRows *rows = TB_ITEM_ROWS(object);

    g_hash_table_unref(rows->by_id);
    g_ptr_array_unref(rows->rows);
    tb_standings_free(rows->standings);
    g_free(rows->filter);
    G_OBJECT_CLASS(tb_item_rows_parent_class)->finalize(object);
}

static void
tb_item_rows_class_init(TbItemRowsClass *klass)
{
    G_OBJECT_CLASS(klass)->dispose = dispose;
    G_OBJECT_CLASS(klass)->finalize = finalize;
}

static void
tb_item_rows_init(TbItemRows *rows)
{
    rows->rows = g_ptr_array_new_with_free_func(g_object_unref);
    rows->by_id = g_hash_table_new(g_str_hash, g_str_equal);
    rows->filter = g_strdup("");
}

TbItemRows *
tb_item_rows_new(TbSession *session)
{
    TbItemRows *rows = g_object_new(TB_TYPE_ITEM_ROWS, NULL);

    rows->session = g_object_ref(session);
    rows->handler = g_signal_connect(session, "changed", G_CALLBACK(session_changed), rows);
    session_changed(session, TB_SESSION_DOCUMENT | TB_SESSION_SHOWN, rows);
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
    TbItemRow *row = id == NULL ? NULL : g_hash_table_lookup(rows->by_id, id);
    guint place;

    return row != NULL && g_ptr_array_find(rows->rows, row, &place) ? (int)place : -1;
}

TbItemRow *
tb_item_rows_at(TbItemRows *rows, guint place)
{
    return place < rows->rows->len ? g_ptr_array_index(rows->rows, place) : NULL;
}

char *
tb_item_rows_explain(TbItemRows *rows, const TbItemRow *row)
{
    return tb_item_words_explain(
        rows->session, row,
        rows->standings == NULL ? NULL : tb_standings_find(rows->standings, row->id));
}

guint64
tb_item_rows_changes(TbItemRows *rows)
{
    return rows->changes;
}
