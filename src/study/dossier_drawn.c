/* SPDX-License-Identifier: GPL-3.0-or-later */

/* What is too large to keep in a dossier and made when a page asks for it: cuts, curves, skins. */

#include "study/dossier_build.h"

/* ---- made by a study ---- */

typedef struct Maker {
    TbStudy *study;
    TbBay *bay, *against;
    char *folder, *against_folder;
} Maker;

static TbAsk
ask_of(const Maker *maker, bool before, const char *variant)
{
    return (TbAsk){.bay = before ? maker->against : maker->bay,
                   .folder = before ? maker->against_folder : maker->folder,
                   .variant = variant};
}

static TbStatus
make_cut(void *user, const TbDossierCut *cut, TbTask *task, TbScene **scene, TbFault *fault)
{
    const Maker *maker = user;
    TbAsk ask = ask_of(maker, cut->before, cut->variant);
    TbCutAsk plane = {.view = cut->view,
                      .at = cut->at,
                      .item = cut->item,
                      .point = cut->point,
                      .look = cut->look,
                      .up = cut->up};

    if (ask.bay == NULL)
        return tb_fail(fault, TB_E_REFERENCE, "there is no earlier document");
    ask.state = cut->state;
    ask.pose = cut->pose;
    return tb_study_scene(maker->study, &ask, &plane, task, scene, fault);
}

static TbStatus
make_strip(void *user,
           const char *item,
           const char *state,
           const char *variant,
           bool before,
           TbTask *task,
           TbSceneStrip **strip,
           TbFault *fault)
{
    const Maker *maker = user;
    TbAsk ask = ask_of(maker, before, variant);

    if (ask.bay == NULL)
        return tb_fail(fault, TB_E_REFERENCE, "there is no earlier document");
    ask.state = state;
    return tb_study_strip(maker->study, &ask, item, task, strip, fault);
}

static TbStatus
mesh_of(const Maker *maker,
        bool before,
        const char *item,
        const char *variant,
        TbTask *task,
        TbMesh **mesh,
        TbFault *fault)
{
    TbAsk ask = ask_of(maker, before, variant);

    return tb_study_mesh(maker->study, &ask, item, false, TB_SKIN_CHORD, task, mesh, fault);
}

static TbStatus
make_skin(void *user,
          const TbResultDuct *path,
          const char *variant,
          TbTask *task,
          TbSkinChange **change,
          TbFault *fault)
{
    const Maker *maker = user;
    TbMesh *before = NULL, *after = NULL;
    TbStatus status;

    if (maker->against == NULL)
        return tb_fail(fault, TB_E_REFERENCE, "there is no earlier document");
    status = mesh_of(maker, true, path->id, variant, task, &before, fault);
    if (status == TB_OK)
        status = mesh_of(maker, false, path->id, variant, task, &after, fault);
    if (status == TB_OK)
        status = tb_skin_change(before, after, path, task, change, fault);
    tb_mesh_unref(after);
    tb_mesh_unref(before);
    return status;
}

static void
free_maker(void *user)
{
    Maker *maker = user;

    tb_bay_unref(maker->bay);
    tb_bay_unref(maker->against);
    g_free(maker->folder);
    g_free(maker->against_folder);
    g_free(maker);
}

TbDossierMaker
tb_dossier__maker(TbStudy *study, const TbDossierAsk *ask)
{
    Maker *maker = g_new0(Maker, 1);

    maker->study = study;
    maker->bay = tb_bay_ref(ask->bay);
    maker->against = ask->against == NULL ? NULL : tb_bay_ref(ask->against);
    maker->folder = g_strdup(ask->folder);
    maker->against_folder = g_strdup(ask->against_folder);
    return (TbDossierMaker){make_cut, make_strip, make_skin, free_maker, maker};
}

/* ---- what pages ask for ---- */

/* No id, or that of a gap in a bay without variants. */
static bool
is_unsaid(const char *id)
{
    return id == NULL || id[0] == '\0';
}

/* NULL in a bay without variants. */
static const char *
variant_of(const TbDossier *dossier)
{
    return dossier->variant[0] == '\0' ? NULL : dossier->variant;
}

TbStatus
tb_dossier_cut(const TbDossier *dossier,
               const TbDossierCut *cut,
               TbTask *task,
               TbScene **scene,
               TbFault *fault)
{
    TbDossierCut whole = *cut;

    if (is_unsaid(whole.state))
        whole.state = dossier->state;
    if (is_unsaid(whole.variant))
        whole.variant = variant_of(dossier);
    return dossier->maker.cut(dossier->maker.user, &whole, task, scene, fault);
}

TbStatus
tb_dossier_strip(const TbDossier *dossier,
                 const char *item,
                 const char *state,
                 const char *variant,
                 bool before,
                 TbTask *task,
                 TbSceneStrip **strip,
                 TbFault *fault)
{
    return dossier->maker.strip(
        dossier->maker.user, item, is_unsaid(state) ? dossier->state : state,
        is_unsaid(variant) ? variant_of(dossier) : variant, before, task, strip, fault);
}

TbStatus
tb_dossier_skin(
    const TbDossier *dossier, const char *item, TbTask *task, TbSkinChange **change, TbFault *fault)
{
    const TbResultDuct *path = tb_results_duct(dossier->results, item);

    if (path == NULL || path->row_count == 0)
        return tb_fail(fault, TB_E_REFERENCE, "%s has no path", item);
    return dossier->maker.skin(dossier->maker.user, path, variant_of(dossier), task, change, fault);
}
