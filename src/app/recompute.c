/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/recompute.h"

#include "app/latest.h"

/** So many live answers are held until all panes have let go of them, to be freed by the thread
 * that made them: there they are still at hand, and the window has no time for it. */
enum { HELD = 4 };

struct TbRecompute {
    TbRecomputeDef def;
    TbLatest *latest;

    /* the thread's */
    TbStudy *study;
    TbShown *before; /**< the answer before this one */
    TbShown *held[HELD];
    size_t next_held; /**< place of the oldest */
};

typedef struct Letter {
    TbShown *ask; /**< an answer without results: its copies of the question are what is wanted */
    TbShown *shown;
} Letter;

static void
letter_free(void *data)
{
    Letter *letter = data;

    tb_shown_unref(letter->ask);
    tb_shown_unref(letter->shown);
    g_free(letter);
}

/* ---- the thread ---- */

static void
begin(void *user)
{
    TbRecompute *recompute = user;

    recompute->study = tb_study_new(recompute->def.store, recompute->def.work);
}

static void
end(void *user)
{
    TbRecompute *recompute = user;

    tb_shown_unref(recompute->before);
    for (size_t i = 0; i < HELD; i++)
        tb_shown_unref(recompute->held[i]);
    tb_study_free(recompute->study);
}

/* Whole answers come when a drag is over, and are large. */
static void
hold(TbRecompute *recompute, TbShown *shown)
{
    TbShown **place = &recompute->held[recompute->next_held];

    tb_shown_unref(*place);
    *place = shown->ask.whole ? NULL : tb_shown_ref(shown);
    recompute->next_held = (recompute->next_held + 1) % HELD;
}

static void
answer(void *user, unsigned kind, void *data, TbTask *task, TbFault *fault)
{
    TbRecompute *recompute = user;
    Letter *letter = data;

    (void)kind;
    if (tb_study_show(recompute->study, &letter->ask->ask, recompute->before, task, &letter->shown,
                      fault) == TB_OK) {
        tb_shown_unref(recompute->before);
        recompute->before = tb_shown_ref(letter->shown);
        hold(recompute, letter->shown);
    }
    g_clear_pointer(&letter->ask, tb_shown_unref);
}

/* ---- the owner ---- */

static void
deliver(void *user, unsigned kind, guint64 ticket, void *data, const TbFault *fault)
{
    TbRecompute *recompute = user;
    Letter *letter = data;

    (void)kind;
    recompute->def.deliver(recompute->def.user, ticket, letter->shown, fault);
}

static void
tell(void *user, const char *what, double share)
{
    TbRecompute *recompute = user;

    if (recompute->def.progress != NULL)
        recompute->def.progress(recompute->def.user, what, share);
}

TbRecompute *
tb_recompute_new(const TbRecomputeDef *def)
{
    TbRecompute *recompute = g_new0(TbRecompute, 1);

    recompute->def = *def;
    tb_store_ref(def->store);
    recompute->latest = tb_latest_new(&(TbLatestDef){.name = "study",
                                                     .kinds = 1,
                                                     .free_letter = letter_free,
                                                     .begin = begin,
                                                     .end = end,
                                                     .answer = answer,
                                                     .deliver = deliver,
                                                     .progress = tell,
                                                     .user = recompute});
    return recompute;
}

guint64
tb_recompute_ask(TbRecompute *recompute, const TbShowAsk *ask)
{
    Letter *letter = g_new0(Letter, 1);

    letter->ask = tb_shown_new(ask);
    return tb_latest_ask(recompute->latest, 0, letter, ask->whole);
}

void
tb_recompute_cancel(TbRecompute *recompute)
{
    tb_latest_cancel(recompute->latest);
}

void
tb_recompute_free(TbRecompute *recompute)
{
    if (recompute == NULL)
        return;
    tb_latest_free(recompute->latest);
    tb_store_unref(recompute->def.store);
    g_free(recompute);
}
