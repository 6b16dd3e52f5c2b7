/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/show.h"

#include "study/case.h"

/* ---- questions ---- */

static bool
same(TbVec3 a, TbVec3 b)
{
    return a.x == b.x && a.y == b.y && a.z == b.z;
}

static bool
same_cut(const TbCutAsk *a, const TbCutAsk *b)
{
    if (a->view != b->view)
        return false;
    if (a->view == TB_SCENE_FREE)
        return same(a->point, b->point) && same(a->look, b->look) && same(a->up, b->up);
    return a->at == b->at && g_strcmp0(a->item, b->item) == 0 && g_strcmp0(a->named, b->named) == 0;
}

static void
copy_ask(TbShowAsk *to, const TbShowAsk *from)
{
    *to = *from;
    to->bay = tb_bay_ref(from->bay);
    to->folder = g_strdup(from->folder);
    to->state = g_strdup(from->state);
    to->moving = g_strdup(from->moving);
    to->posed = from->posed == NULL ? NULL : tb_results_ref(from->posed);
    to->variant = g_strdup(from->variant);
    to->strip = g_strdup(from->strip);
    for (int i = 0; i < TB_SHOW_CUTS; i++) {
        to->cuts[i].item = g_strdup(from->cuts[i].item);
        to->cuts[i].named = g_strdup(from->cuts[i].named);
    }
}

static void
clear_ask(TbShowAsk *ask)
{
    for (int i = 0; i < TB_SHOW_CUTS; i++) {
        g_free((char *)(uintptr_t)ask->cuts[i].item);
        g_free((char *)(uintptr_t)ask->cuts[i].named);
    }
    g_free((char *)(uintptr_t)ask->strip);
    g_free((char *)(uintptr_t)ask->variant);
    tb_results_unref(ask->posed);
    g_free((char *)(uintptr_t)ask->moving);
    g_free((char *)(uintptr_t)ask->state);
    g_free((char *)(uintptr_t)ask->folder);
    tb_bay_unref(ask->bay);
}

static bool
same_bay(const TbShowAsk *a, const TbShowAsk *b)
{
    return a->bay->node == b->bay->node && g_strcmp0(a->folder, b->folder) == 0;
}

/* The same document in the same condition. */
static bool
same_stand(const TbShowAsk *a, const TbShowAsk *b)
{
    return same_bay(a, b) && g_strcmp0(a->state, b->state) == 0 &&
           g_strcmp0(a->variant, b->variant) == 0;
}

/* And of the same motion, told in the same unit: so are its drawings. */
static bool
same_drawings(const TbShowAsk *a, const TbShowAsk *b)
{
    return same_stand(a, b) && g_strcmp0(a->moving, b->moving) == 0 && a->pose == b->pose &&
           a->unit == b->unit;
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
    for (size_t i = 0; i < shown->grown_count; i++)
        g_free(shown->grown[i].item);
    g_free(shown->grown);
    tb_scene_strip_unref(shown->strip);
    tb_results_unref(shown->results);
    clear_ask(&shown->ask);
    g_free(shown);
}

TbPose
tb_shown_pose(const TbShown *shown, const char *item)
{
    for (size_t i = 0; i < shown->grown_count; i++)
        if (g_strcmp0(shown->grown[i].item, item) == 0)
            return shown->grown[i].pose;
    return tb_pose_identity();
}

static void
add_growth(TbShown *shown, const char *item, TbPose pose)
{
    shown->grown = g_renew(TbShownGrowth, shown->grown, shown->grown_count + 1);
    shown->grown[shown->grown_count++] = (TbShownGrowth){g_strdup(item), pose};
}

/* An answer in the making. */
typedef struct Making {
    TbStudy *study;
    TbShown *shown;
    const TbShown *before; /* or NULL */
    TbAsk drawn;           /* what results and drawings are about */
    TbCase *theirs;        /* of that; NULL until it is needed */
    TbAsk at_pose;         /* what cuts at a pose are about */
    TbCase *posed;         /* of that, likewise */
    TbTask *task;
} Making;

/* A drawing that cannot be made is told in its place; only a job given up ends the answer. */
static TbStatus
gone_on(TbStatus status)
{
    return status == TB_E_CANCELLED || status == TB_E_MEMORY ? status : TB_OK;
}

/* The case of what is drawn: what is judged live has it already. */
static TbStatus
need_case(Making *making, TbFault *fault)
{
    if (making->theirs != NULL)
        return tb_case_must_be_judged(making->theirs, fault);
    return tb_case_new(making->study, &making->drawn, TB_NEEDS_GAPS | TB_NEEDS_FACTS, true,
                       making->task, &making->theirs, fault);
}

/* Of things at a pose, which are judged nowhere. */
static TbStatus
need_posed(Making *making, TbFault *fault)
{
    const TbResultGap *pose = making->shown->ask.pose;

    if (making->posed != NULL)
        return TB_OK;
    making->at_pose = making->drawn;
    making->at_pose.moving = NULL;
    making->at_pose.pose = pose;
    making->at_pose.state = pose->state;
    if (pose->variant[0] != '\0')
        making->at_pose.variant = pose->variant;
    return tb_case_new(making->study, &making->at_pose, TB_NEEDS_GAPS, true, making->task,
                       &making->posed, fault);
}

/* What was drawn before and may serve again. */
static const TbShown *
drawn_before(const Making *making)
{
    const TbShown *before = making->before;

    return before != NULL && same_drawings(&before->ask, &making->shown->ask) ? before : NULL;
}

static TbStatus
show_cut(Making *making, int i)
{
    const TbShown *before = drawn_before(making);
    TbShown *shown = making->shown;
    const TbCutAsk *cut = &shown->ask.cuts[i];
    bool at_pose = shown->ask.pose != NULL;
    TbStatus status;

    for (int k = 0; before != NULL && k < TB_SHOW_CUTS; k++)
        if (before->cuts[k] != NULL && before->cuts[k]->coarse <= making->drawn.coarse &&
            same_cut(cut, &before->ask.cuts[k])) {
            shown->cuts[i] = tb_scene_ref(before->cuts[k]);
            return TB_OK;
        }
    status = at_pose ? need_posed(making, &shown->cut_faults[i])
                     : need_case(making, &shown->cut_faults[i]);
    if (status == TB_OK)
        status = tb_case_scene(making->study, at_pose ? &making->at_pose : &making->drawn,
                               at_pose ? making->posed : making->theirs, cut, making->task,
                               &shown->cuts[i], &shown->cut_faults[i]);
    return gone_on(status);
}

static TbStatus
show_strip(Making *making)
{
    const TbShown *before = drawn_before(making);
    TbShown *shown = making->shown;
    TbStatus status;

    if (shown->ask.strip == NULL)
        return TB_OK;
    if (before != NULL && before->strip != NULL && before->strip->coarse <= making->drawn.coarse &&
        g_strcmp0(before->ask.strip, shown->ask.strip) == 0) {
        shown->strip = tb_scene_strip_ref(before->strip);
        return TB_OK;
    }
    status = need_case(making, &shown->strip_fault);
    if (status == TB_OK)
        status = tb_case_strip(making->study, &making->drawn, making->theirs,
                               shown->ask.whole ? NULL : shown->results, shown->ask.strip,
                               making->task, &shown->strip, &shown->strip_fault);
    return gone_on(status);
}

static TbStatus
show_drawings(Making *making)
{
    TbStatus status = TB_OK;

    making->drawn.coarse = !making->shown->ask.whole;
    for (int i = 0; i < TB_SHOW_CUTS && status == TB_OK; i++)
        if (making->shown->ask.wants_cut[i])
            status = show_cut(making, i);
    return status == TB_OK ? show_strip(making) : status;
}

/* What was drawn before stands as it stood then; what is drawn anew as the case has it. */
static void
take_growth(Making *making)
{
    const TbShown *before = drawn_before(making);
    const TbCase *drawn = making->shown->ask.pose != NULL ? making->posed : making->theirs;
    const TbStand *stand;

    if (drawn == NULL) {
        for (size_t i = 0; before != NULL && i < before->grown_count; i++)
            add_growth(making->shown, before->grown[i].item, before->grown[i].pose);
        return;
    }
    stand = drawn->stands[0].stand;
    for (size_t i = 0; i < stand->count; i++) {
        const TbForm *form = tb_placed_form(&stand->items[i]);

        if (form != NULL && !tb_pose_is_identity(form->grown))
            add_growth(making->shown, stand->items[i].id, form->grown);
    }
}

static TbStatus
judge_live(Making *making, TbFault *fault)
{
    TbAsk *drawn = &making->drawn;
    TbStatus status;

    /* what the drawings take where none is named: see tb_case_new() */
    if (drawn->state == NULL)
        drawn->state = tb_ask_cold_state(drawn->bay);
    if (drawn->variant == NULL && tb_bay_count(drawn->bay, TB_LIST_VARIANTS) > 0)
        drawn->variant = tb_bay_variant_at(drawn->bay, 0)->record.id;
    status = tb_case_new(making->study, drawn, tb_checks_needs() | TB_NEEDS_GAPS | TB_NEEDS_FACTS,
                         false, making->task, &making->theirs, fault);
    if (status != TB_OK)
        return status;
    return tb_case_judge(making->study, drawn, making->theirs, making->task,
                         &making->shown->results, fault);
}

static TbStatus
show_results(Making *making, TbFault *fault)
{
    const TbShown *before = making->before;
    TbShown *shown = making->shown;
    TbAsk all = making->drawn;

    /* a whole answer covers every state and variant of its document */
    if (before != NULL &&
        (before->ask.whole ? same_bay(&before->ask, &shown->ask)
                           : !shown->ask.whole && same_stand(&before->ask, &shown->ask))) {
        shown->ask.whole = before->ask.whole;
        shown->results = tb_results_ref(before->results);
        return TB_OK;
    }
    if (!shown->ask.whole)
        return judge_live(making, fault);
    all.state = all.variant = NULL;
    all.samples = TB_STUDY_SAMPLES;
    all.seed = TB_STUDY_SEED;
    all.combine = true;
    return tb_study_judge(making->study, &all, making->task, &shown->results, fault);
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
    Making making = {.study = study,
                     .shown = shown,
                     .before = before,
                     .drawn = {.bay = shown->ask.bay,
                               .folder = shown->ask.folder,
                               .state = shown->ask.state,
                               .moving = shown->ask.moving,
                               .variant = shown->ask.variant,
                               .unit = shown->ask.unit},
                     .task = task};
    TbFault unheard = {0};
    TbStatus status = show_results(&making, fault == NULL ? &unheard : fault);

    if (status == TB_OK)
        status = show_drawings(&making);
    if (status == TB_OK)
        take_growth(&making);
    tb_case_free(making.theirs);
    tb_case_free(making.posed);
    if (status == TB_OK)
        *out = shown;
    else
        tb_shown_unref(shown);
    return status;
}
