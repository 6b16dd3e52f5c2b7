/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/show.h"

#include "study/case.h"

/* ---- questions ---- */

static bool
same(TbVec3 a, TbVec3 b)
{
    return a.x == b.x && a.y == b.y && a.z == b.z;
}

bool
tb_cut_ask_equal(const TbCutAsk *a, const TbCutAsk *b)
{
    if (a->view != b->view)
        return false;
    if (a->view == TB_SCENE_FREE)
        return same(a->point, b->point) && same(a->look, b->look) && same(a->up, b->up);
    return a->at == b->at && g_strcmp0(a->item, b->item) == 0;
}

static void
copy_ask(TbShowAsk *to, const TbShowAsk *from)
{
    *to = *from;
    to->bay = tb_bay_ref(from->bay);
    to->folder = g_strdup(from->folder);
    to->state = g_strdup(from->state);
    to->variant = g_strdup(from->variant);
    to->strip = g_strdup(from->strip);
    for (int i = 0; i < TB_SHOW_CUTS; i++)
        to->cuts[i].item = g_strdup(from->cuts[i].item);
}

static void
clear_ask(TbShowAsk *ask)
{
    for (int i = 0; i < TB_SHOW_CUTS; i++)
        g_free((char *)(uintptr_t)ask->cuts[i].item);
    g_free((char *)(uintptr_t)ask->strip);
    g_free((char *)(uintptr_t)ask->variant);
    g_free((char *)(uintptr_t)ask->state);
    g_free((char *)(uintptr_t)ask->folder);
    tb_bay_unref(ask->bay);
}

static bool
same_bay(const TbShowAsk *a, const TbShowAsk *b)
{
    return a->bay->node == b->bay->node && g_strcmp0(a->folder, b->folder) == 0;
}

/* The same document in the same condition: its drawings are the same too. */
static bool
same_stand(const TbShowAsk *a, const TbShowAsk *b)
{
    return same_bay(a, b) && g_strcmp0(a->state, b->state) == 0 &&
           g_strcmp0(a->variant, b->variant) == 0;
}

/* ---- answers ---- */

TbShown *
tb_shown_new(const TbShowAsk *ask)
{
    TbShown *shown = g_new0(TbShown, 1);

    shown->references = 1;
    copy_ask(&shown->ask, ask);
    return shown;
}

TbShown *
tb_shown_ref(TbShown *shown)
{
    g_atomic_int_inc(&shown->references);
    return shown;
}

void
tb_shown_unref(TbShown *shown)
{
    if (shown == NULL || !g_atomic_int_dec_and_test(&shown->references))
        return;
    for (int i = 0; i < TB_SHOW_CUTS; i++)
        tb_scene_unref(shown->cuts[i]);
    tb_scene_strip_unref(shown->strip);
    tb_results_unref(shown->results);
    clear_ask(&shown->ask);
    g_free(shown);
}

/* A drawing that cannot be made is told in its place; only a job given up ends the answer. */
static TbStatus
gone_on(TbStatus status)
{
    return status == TB_E_CANCELLED || status == TB_E_MEMORY ? status : TB_OK;
}

static TbStatus
show_cut(
    TbStudy *study, const TbAsk *drawn, TbShown *shown, int i, const TbShown *before, TbTask *task)
{
    const TbCutAsk *cut = &shown->ask.cuts[i];

    for (int k = 0; before != NULL && k < TB_SHOW_CUTS; k++)
        if (before->cuts[k] != NULL && before->cuts[k]->coarse <= drawn->coarse &&
            tb_cut_ask_equal(cut, &before->ask.cuts[k])) {
            shown->cuts[i] = tb_scene_ref(before->cuts[k]);
            return TB_OK;
        }
    return gone_on(tb_study_scene(study, drawn, cut, task, &shown->cuts[i], &shown->cut_faults[i]));
}

static TbStatus
show_strip(TbStudy *study, const TbAsk *drawn, TbShown *shown, const TbShown *before, TbTask *task)
{
    if (shown->ask.strip == NULL)
        return TB_OK;
    if (before != NULL && before->strip != NULL && before->strip->coarse <= drawn->coarse &&
        g_strcmp0(before->ask.strip, shown->ask.strip) == 0) {
        shown->strip = tb_scene_strip_ref(before->strip);
        return TB_OK;
    }
    return gone_on(
        tb_study_strip(study, drawn, shown->ask.strip, task, &shown->strip, &shown->strip_fault));
}

static TbStatus
show_drawings(
    TbStudy *study, const TbAsk *drawn, TbShown *shown, const TbShown *before, TbTask *task)
{
    TbStatus status = TB_OK;

    if (before != NULL && !same_stand(&before->ask, &shown->ask))
        before = NULL;
    for (int i = 0; i < TB_SHOW_CUTS && status == TB_OK; i++)
        if (shown->ask.wants_cut[i])
            status = show_cut(study, drawn, shown, i, before, task);
    return status == TB_OK ? show_strip(study, drawn, shown, before, task) : status;
}

static TbStatus
show_results(TbStudy *study,
             const TbAsk *drawn,
             TbShown *shown,
             const TbShown *before,
             TbTask *task,
             TbFault *fault)
{
    TbAsk judged = *drawn;

    /* a whole answer covers every state and variant of its document */
    if (before != NULL &&
        (before->ask.whole ? same_bay(&before->ask, &shown->ask)
                           : !shown->ask.whole && same_stand(&before->ask, &shown->ask))) {
        shown->ask.whole = before->ask.whole;
        shown->results = tb_results_ref(before->results);
        return TB_OK;
    }
    if (shown->ask.whole) {
        judged.state = judged.variant = NULL;
    } else {
        /* what the drawings take where none is named: see tb_case_new() */
        if (judged.state == NULL)
            judged.state = tb_case_cold_state(judged.bay);
        if (judged.variant == NULL && tb_bay_count(judged.bay, TB_LIST_VARIANTS) > 0)
            judged.variant = tb_bay_variant_at(judged.bay, 0)->record.id;
    }
    return tb_study_judge(study, &judged, task, &shown->results, fault);
}

TbStatus
tb_study_show(TbStudy *study,
              const TbShowAsk *ask,
              const TbShown *before,
              TbTask *task,
              TbShown **out,
              TbFault *fault)
{
    TbShown *shown = tb_shown_new(ask);
    TbAsk drawn;
    TbStatus status;

    drawn = (TbAsk){.bay = shown->ask.bay,
                    .folder = shown->ask.folder,
                    .state = shown->ask.state,
                    .variant = shown->ask.variant};
    status = show_results(study, &drawn, shown, before, task, fault);
    drawn.coarse = !shown->ask.whole;
    if (status == TB_OK)
        status = show_drawings(study, &drawn, shown, before, task);
    if (status == TB_OK)
        *out = shown;
    else
        tb_shown_unref(shown);
    return status;
}
