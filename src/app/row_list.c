/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/row_list.h"

#include <string.h>

/* ---- a row ---- */

G_DEFINE_ABSTRACT_TYPE(TbListRow, tb_list_row, G_TYPE_OBJECT)

enum { CHANGED, SIGNALS };
static guint signals[SIGNALS];

static void
tb_list_row_class_init(TbListRowClass *klass)
{
    (void)klass;
    signals[CHANGED] = g_signal_new("changed", TB_TYPE_LIST_ROW, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                    NULL, G_TYPE_NONE, 0);
}

static void
tb_list_row_init(TbListRow *row)
{
    (void)row;
}

bool
tb_list_row_put(char **place, char *text)
{
    if (strcmp(*place, text) == 0) {
        g_free(text);
        return false;
    }
    g_free(*place);
    *place = text;
    return true;
}

/* ---- the rows ---- */

typedef struct TbRowListPrivate {
    TbSession *session;
    gulong handler;
    GPtrArray *rows;    /* in the order that is listed */
    GHashTable *by_key; /* key, lent by the row, to the row */
    guint64 changes;
} TbRowListPrivate;

static void list_model_init(GListModelInterface *interface);

G_DEFINE_ABSTRACT_TYPE_WITH_CODE(TbRowList,
                                 tb_row_list,
                                 G_TYPE_OBJECT,
                                 G_ADD_PRIVATE(TbRowList)
                                     G_IMPLEMENT_INTERFACE(G_TYPE_LIST_MODEL, list_model_init))

static TbRowListPrivate *
private_of(TbRowList *list)
{
    return tb_row_list_get_instance_private(list);
}

static GType
get_item_type(GListModel *model)
{
    return TB_ROW_LIST_GET_CLASS(model)->row_type;
}

static guint
get_n_items(GListModel *model)
{
    return tb_row_list_count(TB_ROW_LIST(model));
}

static void *
get_item(GListModel *model, guint place)
{
    void *row = tb_row_list_at(TB_ROW_LIST(model), place);

    return row == NULL ? NULL : g_object_ref(row);
}

static void
list_model_init(GListModelInterface *interface)
{
    interface->get_item_type = get_item_type;
    interface->get_n_items = get_n_items;
    interface->get_item = get_item;
}

guint
tb_row_list_count(TbRowList *list)
{
    return private_of(list)->rows->len;
}

void *
tb_row_list_at(TbRowList *list, guint place)
{
    GPtrArray *rows = private_of(list)->rows;

    return place < rows->len ? g_ptr_array_index(rows, place) : NULL;
}

void *
tb_row_list_row(TbRowList *list, const char *key)
{
    return key == NULL ? NULL : g_hash_table_lookup(private_of(list)->by_key, key);
}

int
tb_row_list_place(TbRowList *list, const char *key)
{
    void *row = tb_row_list_row(list, key);
    guint place;

    return row != NULL && g_ptr_array_find(private_of(list)->rows, row, &place) ? (int)place : -1;
}

/* Says which stretch differs: what is alike at both ends stays as it is. */
void
tb_row_list_replace(TbRowList *list, GPtrArray *rows)
{
    TbRowListPrivate *self = private_of(list);
    GPtrArray *old = self->rows;
    guint head = 0, tail = 0;
    guint shorter = MIN(old->len, rows->len);

    while (head < shorter && old->pdata[head] == rows->pdata[head])
        head++;
    while (tail < shorter - head &&
           old->pdata[old->len - 1 - tail] == rows->pdata[rows->len - 1 - tail])
        tail++;
    self->rows = rows;
    g_hash_table_remove_all(self->by_key);
    for (guint i = 0; i < rows->len; i++)
        g_hash_table_insert(self->by_key,
                            (void *)(uintptr_t)TB_ROW_LIST_GET_CLASS(list)->key(rows->pdata[i]),
                            rows->pdata[i]);
    if (old->len - tail > head || rows->len - tail > head)
        g_list_model_items_changed(G_LIST_MODEL(list), head, old->len - tail - head,
                                   rows->len - tail - head);
    g_ptr_array_unref(old);
}

void
tb_row_list_tell(TbRowList *list, void *row)
{
    private_of(list)->changes++;
    g_signal_emit(row, signals[CHANGED], 0);
}

guint64
tb_row_list_changes(TbRowList *list)
{
    return private_of(list)->changes;
}

/* ---- following the session ---- */

static void
session_changed(TbSession *session, guint parts, TbRowList *list)
{
    (void)session;
    TB_ROW_LIST_GET_CLASS(list)->session_changed(list, parts);
}

void
tb_row_list_follow(TbRowList *list, TbSession *session)
{
    TbRowListPrivate *self = private_of(list);

    self->session = g_object_ref(session);
    self->handler = g_signal_connect(session, "changed", G_CALLBACK(session_changed), list);
}

TbSession *
tb_row_list_session(TbRowList *list)
{
    return private_of(list)->session;
}

static void
dispose(GObject *object)
{
    TbRowListPrivate *self = private_of(TB_ROW_LIST(object));

    if (self->session != NULL)
        g_clear_signal_handler(&self->handler, self->session);
    g_clear_object(&self->session);
    G_OBJECT_CLASS(tb_row_list_parent_class)->dispose(object);
}

static void
finalize(GObject *object)
{
    TbRowListPrivate *self = private_of(TB_ROW_LIST(object));

    g_hash_table_unref(self->by_key);
    g_ptr_array_unref(self->rows);
    G_OBJECT_CLASS(tb_row_list_parent_class)->finalize(object);
}

static void
tb_row_list_class_init(TbRowListClass *klass)
{
    G_OBJECT_CLASS(klass)->dispose = dispose;
    G_OBJECT_CLASS(klass)->finalize = finalize;
}

static void
tb_row_list_init(TbRowList *list)
{
    TbRowListPrivate *self = private_of(list);

    self->rows = g_ptr_array_new_with_free_func(g_object_unref);
    self->by_key = g_hash_table_new(g_str_hash, g_str_equal);
}
