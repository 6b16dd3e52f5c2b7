/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/pack_maker.h"

#include "draw/paint.h"
#include "study/dossier_make.h"

struct TbPackMaker {
    TbStudy *study;
    TbPaintMeasurer *measurer;
    TbPackWish *made; /**< what the dossier is of */
    TbDossier *dossier;
    TbPack *pack;
    TbFault unplanned; /**< why the plan that was wanted last is not the pack's */
};

static void
forget(TbPackMaker *maker)
{
    tb_pack_free(maker->pack);
    tb_dossier_unref(maker->dossier);
    tb_pack_wish_free(maker->made);
}

/* ---- wishes and plans ---- */

static TbBay *
bay_ref(TbBay *bay)
{
    return bay == NULL ? NULL : tb_bay_ref(bay);
}

TbPackWish *
tb_pack_wish_copy(const TbPackWish *wish)
{
    TbPackWish *copy = g_new(TbPackWish, 1);

    *copy = *wish;
    copy->bay = bay_ref(wish->bay);
    copy->against = bay_ref(wish->against);
    copy->folder = g_strdup(wish->folder);
    copy->name = g_strdup(wish->name);
    copy->earlier = g_strdup(wish->earlier);
    copy->left_out = (const char *const *)g_strdupv((char **)wish->left_out);
    return copy;
}

void
tb_pack_wish_free(TbPackWish *wish)
{
    if (wish == NULL)
        return;
    tb_bay_unref(wish->bay);
    tb_bay_unref(wish->against);
    g_free((char *)wish->folder);
    g_free((char *)wish->name);
    g_free((char *)wish->earlier);
    g_strfreev((char **)wish->left_out);
    g_free(wish);
}

void
tb_pack_plan_free(TbPackPlan *plan)
{
    if (plan == NULL)
        return;
    for (size_t i = 0; i < plan->sheet_count; i++) {
        g_free(plan->sheets[i].number);
        g_free(plan->sheets[i].label);
    }
    g_free(plan->sheets);
    g_free(plan->chapters);
    g_free(plan);
}

/* ---- planning ---- */

static bool
same_dossier(const TbPackWish *a, const TbPackWish *b)
{
    return a->bay == b->bay && a->against == b->against && g_strcmp0(a->folder, b->folder) == 0 &&
           g_strcmp0(a->name, b->name) == 0 && g_strcmp0(a->earlier, b->earlier) == 0;
}

static TbStatus
make_dossier(
    TbPackMaker *maker, const TbPackWish *wish, TbTask *task, TbDossier **dossier, TbFault *fault)
{
    g_autofree char *earlier = wish->earlier == NULL ? NULL : g_path_get_dirname(wish->earlier);
    TbDossierAsk ask = {.bay = wish->bay,
                        .folder = wish->folder,
                        .name = wish->name,
                        .against = wish->against,
                        .against_folder = earlier,
                        .against_name = wish->earlier};

    if (maker->made != NULL && same_dossier(maker->made, wish)) {
        *dossier = tb_dossier_ref(maker->dossier);
        return TB_OK;
    }
    return tb_dossier_new(maker->study, &ask, task, dossier, fault);
}

static bool
is_left_out(const TbPackWish *wish, size_t chapter)
{
    return wish->left_out != NULL && g_strv_contains(wish->left_out, tb_pack_chapter_name(chapter));
}

static TbStatus
new_pack(TbPackMaker *maker,
         const TbPackWish *wish,
         TbDossier *dossier,
         bool whole,
         TbPack **pack,
         TbFault *fault)
{
    g_autoptr(GPtrArray) names = g_ptr_array_new();
    TbPackDef def = {.dossier = dossier,
                     .paper = wish->paper,
                     .projection = wish->projection,
                     .measurer = tb_paint_measurer(maker->measurer)};

    for (size_t i = 0; !whole && tb_pack_chapter_name(i) != NULL; i++)
        if (!is_left_out(wish, i))
            g_ptr_array_add(names, (void *)tb_pack_chapter_name(i));
    g_ptr_array_add(names, NULL);
    def.chapters = whole ? NULL : (const char *const *)names->pdata;
    return tb_pack_new(&def, pack, fault);
}

/* Every chapter that the whole pack has. */
static void
list_chapters(TbPackPlan *plan, const TbPack *whole, const TbPackWish *wish)
{
    plan->chapters = g_new0(TbPackPlanChapter, tb_pack_count(whole) + 1);
    for (size_t i = 0; i < tb_pack_count(whole); i++) {
        TbPackPlace place = tb_pack_place(whole, i);

        if (place.page == 0)
            plan->chapters[plan->chapter_count++] =
                (TbPackPlanChapter){place.chapter, place.pages, !is_left_out(wish, place.chapter)};
    }
}

static void
list_sheets(TbPackPlan *plan, const TbPack *pack)
{
    size_t chapter = 0;

    plan->sheet_count = tb_pack_count(pack);
    plan->sheets = g_new0(TbPackPlanSheet, plan->sheet_count + 1);
    for (size_t i = 0; i < plan->sheet_count; i++) {
        TbPackPlace place = tb_pack_place(pack, i);

        while (plan->chapters[chapter].chapter != place.chapter)
            chapter++;
        plan->sheets[i].chapter = chapter;
        plan->sheets[i].number = g_strdup_printf("%zu.%zu", place.chapter_number, place.page + 1);
        plan->sheets[i].label = tb_pack_label(pack, i);
    }
}

static TbPackPlan *
list_plan(const TbPack *whole, const TbPack *pack, const TbPackWish *wish)
{
    TbPackPlan *plan = g_new0(TbPackPlan, 1);

    plan->size = tb_pack_size(pack);
    list_chapters(plan, whole, wish);
    list_sheets(plan, pack);
    return plan;
}

TbStatus
tb_pack_maker_plan(
    TbPackMaker *maker, TbPackWish *wish, TbTask *task, TbPackPlan **plan, TbFault *fault)
{
    TbDossier *dossier = NULL;
    TbPack *whole = NULL, *pack = NULL;
    TbFault why = {0};
    TbStatus status = make_dossier(maker, wish, task, &dossier, &why);

    if (status == TB_OK)
        status = new_pack(maker, wish, dossier, true, &whole, &why);
    if (status == TB_OK)
        status = new_pack(maker, wish, dossier, false, &pack, &why);
    maker->unplanned = why;
    if (status != TB_OK) {
        if (fault != NULL)
            *fault = why;
        tb_dossier_unref(dossier);
        tb_pack_wish_free(wish);
    } else {
        *plan = list_plan(whole, pack, wish);
        forget(maker);
        maker->pack = pack;
        maker->dossier = dossier;
        maker->made = wish;
    }
    tb_pack_free(whole);
    return status;
}

/* ---- sheets and files ---- */

TbStatus
tb_pack_maker_draw(
    TbPackMaker *maker, size_t sheet, TbTask *task, TbPicture *picture, TbFault *fault)
{
    TbPicture drawn;
    TbStatus status;

    if (maker->pack == NULL || sheet >= tb_pack_count(maker->pack))
        return tb_fail(fault, TB_E_RANGE, "there is no sheet %zu", sheet + 1);
    status = tb_pack_sheet(maker->pack, sheet, task, &drawn, fault);
    if (status == TB_OK)
        *picture = drawn;
    else
        tb_picture_clear(&drawn);
    return status;
}

TbStatus
tb_pack_maker_write(
    TbPackMaker *maker, const char *path, TbTheme theme, TbTask *task, TbFault *fault)
{
    /* never an older bay than the one that was wanted */
    if (maker->unplanned.status != TB_OK) {
        if (fault != NULL)
            *fault = maker->unplanned;
        return maker->unplanned.status;
    }
    if (maker->pack == NULL || tb_pack_count(maker->pack) == 0)
        return tb_fail(fault, TB_E_RANGE, "the pack has no sheet");
    return tb_pack_save(maker->pack, theme, path, task, fault);
}

/* ---- the maker ---- */

TbPackMaker *
tb_pack_maker_new(TbStore *store, TbWork *work)
{
    TbPackMaker *maker = g_new0(TbPackMaker, 1);

    maker->study = tb_study_new(store, work);
    maker->measurer = tb_paint_measurer_new();
    return maker;
}

void
tb_pack_maker_free(TbPackMaker *maker)
{
    forget(maker);
    tb_paint_measurer_free(maker->measurer);
    tb_study_free(maker->study);
    g_free(maker);
}
