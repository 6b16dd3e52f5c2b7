/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bay/undo.h"

#include "base/mem.h"

/** A document and the change that led to it. */
typedef struct Entry {
    TbBay *bay;
    char *what; /**< NULL at the bottom */
    int group;
} Entry;

struct TbUndo {
    Entry *entries; /**< [0] is the oldest */
    size_t count, capacity;
    size_t now;   /**< index of the present document */
    size_t saved; /**< index of the one on disk; SIZE_MAX: gone */
};

TbUndo *
tb_undo_new(TbBay *bay)
{
    TbUndo *undo = tb_alloc(sizeof *undo);

    if (undo == NULL)
        return NULL;
    if (tb_grow_array((void **)&undo->entries, &undo->capacity, 0, sizeof *undo->entries) != 0) {
        tb_free(undo);
        return NULL;
    }
    undo->entries[0] = (Entry){tb_bay_ref(bay), NULL, 0};
    undo->count = 1;
    return undo;
}

static void
drop_from(TbUndo *undo, size_t from)
{
    for (size_t i = from; i < undo->count; i++) {
        tb_bay_unref(undo->entries[i].bay);
        tb_free(undo->entries[i].what);
    }
    undo->count = from;
    if (undo->saved >= from)
        undo->saved = SIZE_MAX;
}

void
tb_undo_free(TbUndo *undo)
{
    if (undo == NULL)
        return;
    drop_from(undo, 0);
    tb_free(undo->entries);
    tb_free(undo);
}

TbBay *
tb_undo_now(const TbUndo *undo)
{
    return undo->entries[undo->now].bay;
}

TbStatus
tb_undo_push(TbUndo *undo, TbBay *bay, const char *what, int group, TbFault *fault)
{
    Entry *now = &undo->entries[undo->now];
    char *copy;

    if (group > 0 && now->group == group && undo->now > 0 && undo->saved != undo->now) {
        drop_from(undo, undo->now + 1);
        tb_bay_ref(bay);
        tb_bay_unref(now->bay);
        now->bay = bay;
        return TB_OK;
    }
    copy = tb_copy_text(what);
    if (copy == NULL || tb_grow_array((void **)&undo->entries, &undo->capacity, undo->now + 1,
                                      sizeof *undo->entries) != 0) {
        tb_free(copy);
        return tb_fail(fault, TB_E_MEMORY, "no room to undo %zu changes", undo->now + 1);
    }
    drop_from(undo, undo->now + 1);
    undo->entries[undo->count++] = (Entry){tb_bay_ref(bay), copy, group};
    undo->now++;
    return TB_OK;
}

const char *
tb_undo_back_name(const TbUndo *undo)
{
    return undo->entries[undo->now].what;
}

const char *
tb_undo_forth_name(const TbUndo *undo)
{
    return undo->now + 1 < undo->count ? undo->entries[undo->now + 1].what : NULL;
}

bool
tb_undo_back(TbUndo *undo)
{
    if (undo->now == 0)
        return false;
    undo->now--;
    return true;
}

bool
tb_undo_forth(TbUndo *undo)
{
    if (undo->now + 1 >= undo->count)
        return false;
    undo->now++;
    return true;
}

bool
tb_undo_forget(TbUndo *undo, int group)
{
    if (undo->now == 0 || group <= 0 || undo->entries[undo->now].group != group)
        return false;
    drop_from(undo, undo->now);
    undo->now--;
    return true;
}

void
tb_undo_mark_saved_bay(TbUndo *undo, const TbBay *bay)
{
    if (bay == NULL)
        undo->saved = SIZE_MAX;
    for (size_t i = 0; i < undo->count; i++)
        if (undo->entries[i].bay == bay)
            undo->saved = i;
}

void
tb_undo_mark_saved(TbUndo *undo)
{
    undo->saved = undo->now;
}

bool
tb_undo_is_saved(const TbUndo *undo)
{
    return undo->saved == undo->now;
}
