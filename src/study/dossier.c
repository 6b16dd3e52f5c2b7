/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/dossier_build.h"

#include "study/case.h"

#include <string.h>

/* ---- title ---- */

static const TbRevision *
current_revision(const TbBay *bay)
{
    size_t count = tb_bay_count(bay, TB_LIST_REVISIONS);

    for (size_t i = 0; i < count; i++)
        if (g_strcmp0(tb_bay_revision_at(bay, i)->record.id, bay->head->revision) == 0)
            return tb_bay_revision_at(bay, i);
    return count > 0 ? tb_bay_revision_at(bay, count - 1) : NULL;
}

/* The name of a file without folder and ending. */
static char *
plain_name(const char *name)
{
    g_autofree char *base =
        name == NULL || name[0] == '\0' ? g_strdup("") : g_path_get_basename(name);
    char *dot = strrchr(base, '.');

    if (dot != NULL && dot > base)
        *dot = '\0';
    return g_steal_pointer(&base);
}

static TbDossierTitle
title_of(TbDossier *dossier, const TbBay *bay, const char *name)
{
    const TbRevision *revision = current_revision(bay);
    const TbHead *head = bay->head;
    g_autofree char *document = plain_name(name);
    TbDossierTitle title = {
        .document = tb_dossier__keep(dossier, document),
        .title = tb_dossier__keep(dossier, head->title),
        .revision = tb_dossier__keep(dossier, head->revision),
        .owner = tb_dossier__keep(dossier, head->record.who),
        .change = tb_dossier__keep(dossier, revision == NULL ? NULL : revision->text),
        .creator = tb_dossier__keep(dossier, revision == NULL ? NULL : revision->record.who),
        .date =
            tb_dossier__keep(dossier, revision == NULL ? head->record.when : revision->record.when),
        .vehicle = tb_dossier__keep(dossier, head->vehicle == NULL ? NULL : head->vehicle->name),
        .program = "Tightbay " TB_VERSION};

    return title;
}

/* ---- all together ---- */

/* The duct that the pack is about: the first that must grow, else the first with a path. */
static const char *
subject_of(const TbBay *bay)
{
    const char *first = NULL;

    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_ITEMS); i++) {
        const TbItem *item = tb_bay_item_at(bay, i);

        if (item->spare || !tb_item_has_path(item))
            continue;
        if (item->kind == TB_ITEM_DUCT && tb_check_is_outlet(item))
            return item->record.id;
        if (first == NULL)
            first = item->record.id;
    }
    return first;
}

static TbDossier *
new_dossier(void)
{
    TbDossier *dossier = g_new0(TbDossier, 1);

    dossier->references = 1;
    dossier->stock = g_new0(TbDossierStock, 1);
    dossier->stock->texts = g_string_chunk_new(4096);
    for (int i = 0; i < TB_DOSSIER_LISTS; i++) {
        dossier->stock->cells[i] = g_ptr_array_new();
        dossier->stock->levels[i] = g_array_new(FALSE, FALSE, sizeof(TbLevel));
    }
    return dossier;
}

static void
fill(TbDossier *dossier, TbStudy *study, const TbDossierAsk *ask)
{
    const TbBay *bay = ask->bay;

    dossier->title = title_of(dossier, bay, ask->name);
    if (ask->against != NULL)
        dossier->before_title = title_of(dossier, ask->against, ask->against_name);
    dossier->subject = tb_dossier__keep(dossier, subject_of(bay));
    dossier->state =
        tb_dossier__keep(dossier, ask->state != NULL ? ask->state : tb_ask_cold_state(bay));
    dossier->variant = "";
    if (ask->variant != NULL)
        dossier->variant = tb_dossier__keep(dossier, ask->variant);
    else if (tb_bay_count(bay, TB_LIST_VARIANTS) > 0)
        dossier->variant = tb_dossier__keep(dossier, tb_bay_variant_at(bay, 0)->record.id);
    tb_dossier__fill_findings(dossier, bay);
    tb_dossier__fill_numbers(dossier, bay);
    tb_dossier__fill_gaps(dossier, bay);
    tb_dossier__fill_unpaired(dossier, bay);
    tb_dossier__fill_items(dossier, bay, study->catalogue);
    tb_dossier__fill_rules(dossier, bay);
    tb_dossier__fill_basis(dossier, bay);
    tb_dossier__fill_changes(dossier);
    tb_dossier__end(dossier);
    dossier->maker = tb_dossier__maker(study, ask);
}

TbStatus
tb_dossier_new(
    TbStudy *study, const TbDossierAsk *ask, TbTask *task, TbDossier **dossier, TbFault *fault)
{
    TbAsk now = {.bay = ask->bay,
                 .folder = ask->folder,
                 .state = ask->state,
                 .variant = ask->variant,
                 .samples = TB_STUDY_SAMPLES,
                 .combine = true,
                 .seed = TB_STUDY_SEED,
                 .profiles = true};
    TbAsk then = now;
    TbResults *results = NULL, *before = NULL;
    TbStatus status = TB_OK;

    then.bay = ask->against;
    then.folder = ask->against_folder;
    if (ask->against != NULL)
        status = tb_study_judge(study, &then, task, &before, fault);
    if (status == TB_OK)
        status = tb_study_judge(study, &now, task, &results, fault);
    if (status != TB_OK) {
        tb_results_unref(before);
        return status;
    }
    *dossier = new_dossier();
    (*dossier)->results = results;
    (*dossier)->before = before;
    fill(*dossier, study, ask);
    return TB_OK;
}

TbDossier *
tb_dossier_ref(TbDossier *dossier)
{
    g_atomic_int_inc(&dossier->references);
    return dossier;
}

void
tb_dossier_unref(TbDossier *dossier)
{
    if (dossier == NULL || !g_atomic_int_dec_and_test(&dossier->references))
        return;
    if (dossier->maker.free != NULL)
        dossier->maker.free(dossier->maker.user);
    tb_matters_free(dossier->matters);
    g_free(dossier->findings);
    g_free(dossier->gaps);
    tb_results_unref(dossier->results);
    tb_results_unref(dossier->before);
    for (int i = 0; i < TB_DOSSIER_LISTS; i++) {
        g_ptr_array_unref(dossier->stock->cells[i]);
        g_array_unref(dossier->stock->levels[i]);
    }
    g_string_chunk_free(dossier->stock->texts);
    g_free(dossier->stock);
    g_free(dossier);
}
