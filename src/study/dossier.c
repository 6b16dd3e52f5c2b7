/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/dossier_build.h"

#include "base/text.h"
#include "study/case.h"
#include "study/say.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/* ---- texts and lists ---- */

const char *
tb_dossier__keep(TbDossier *dossier, const char *text)
{
    return text == NULL ? "" : g_string_chunk_insert_const(dossier->stock->texts, text);
}

void
tb_dossier__begin(TbDossier *dossier,
                  TbDossierList list,
                  const char *title,
                  const char *kinds,
                  const char *const heads[])
{
    TbDossierTable *table = &dossier->lists[list];

    table->title = tb_dossier__keep(dossier, title);
    table->column_count = strlen(kinds);
    g_assert(table->column_count <= TB_DOSSIER_COLUMNS);
    for (size_t i = 0; i < table->column_count; i++) {
        table->columns[i].is_number = kinds[i] == 'n';
        table->columns[i].head = tb_dossier__keep(dossier, heads[i]);
    }
}

void
tb_dossier__row(TbDossier *dossier, TbDossierList list, const char *const cells[])
{
    TbDossierTable *table = &dossier->lists[list];

    for (size_t i = 0; i < table->column_count; i++)
        g_ptr_array_add(dossier->stock->cells[list], (void *)tb_dossier__keep(dossier, cells[i]));
    table->row_count++;
}

void
tb_dossier__level(TbDossier *dossier, TbDossierList list, TbLevel level)
{
    g_array_append_val(dossier->stock->levels[list], level);
}

void
tb_dossier__end(TbDossier *dossier)
{
    for (int i = 0; i < TB_DOSSIER_LISTS; i++) {
        const GArray *levels = dossier->stock->levels[i];

        dossier->lists[i].cells = (const char **)dossier->stock->cells[i]->pdata;
        g_assert(levels->len == 0 || levels->len == dossier->lists[i].row_count);
        dossier->lists[i].levels = levels->len == 0 ? NULL : (TbLevel *)(void *)levels->data;
    }
}

char *
tb_dossier__number(double x, int decimals)
{
    GString *text = g_string_new(NULL);
    const char *mark = tb_text_mark();

    tb_dossier_number(x, decimals, text);
    if (decimals > 0 && isfinite(x)) {
        while (text->len > 0 && text->str[text->len - 1] == '0')
            g_string_truncate(text, text->len - 1);
        if (g_str_has_suffix(text->str, mark))
            g_string_truncate(text, text->len - strlen(mark));
    }
    return g_string_free(text, FALSE);
}

/* ---- for the pages ---- */

void
tb_dossier_number(double x, int decimals, GString *text)
{
    char number[TB_TEXT_NUMBER];

    tb_text_shown(x, decimals, number);
    g_string_append(text, isfinite(x) ? number : "–");
}

void
tb_dossier_gap_number(double gap, GString *text)
{
    tb_dossier_number(tb_gap_told(gap, TB_UNIT_MM, 2), 2, text);
}

void
tb_dossier_gap_end(double gap, GString *text)
{
    tb_dossier_number(-tb_gap_told(-gap, TB_UNIT_MM, 2), 2, text);
}

void
tb_dossier_keep_number(double keep, GString *text)
{
    char number[TB_TEXT_NUMBER];

    if (!isfinite(keep)) {
        tb_dossier_number(keep, 1, text);
        return;
    }
    tb_keep_write(keep, TB_UNIT_MM, 2, number);
    g_string_append(text, number);
}

char *
tb_dossier__keep_text(double keep)
{
    GString *text = g_string_new(NULL);

    tb_dossier_keep_number(keep, text);
    return g_string_free(text, FALSE);
}

const char *
tb_dossier_name(const TbDossier *dossier, const char *item)
{
    if (tb_results_item(dossier->results, item) == NULL && dossier->before != NULL)
        return tb_say_item(dossier->before, item);
    return tb_say_item(dossier->results, item);
}

static void
add_site(const TbDossier *dossier, const char *item, TbSite site, GString *text)
{
    g_autofree char *station = NULL;

    if (!site.on_sweep)
        return;
    station = tb_dossier__number(site.station, 0);
    if (text->len > 0)
        g_string_append(text, "; ");
    /* Translators: station in mm, name of a duct or line */
    g_string_append_printf(text, _("%s mm of %s"), station, tb_dossier_name(dossier, item));
}

/* Between the two witness points: "X 1037, Y -138, Z 747", or the bare numbers. */
static void
add_point(const TbResultGap *gap, const char *const before[3], GString *text)
{
    TbVec3 p = tb_vec3_scale(tb_vec3_add(gap->gap.point_a, gap->gap.point_b), 0.5);
    const double at[] = {p.x, p.y, p.z};

    if (!isfinite(p.x + p.y + p.z) || gap->gap.nothing)
        return;
    for (int i = 0; i < 3; i++) {
        g_string_append(text, before[i]);
        tb_dossier_number(at[i], 0, text);
    }
}

void
tb_dossier_gap_place(const TbDossier *dossier, const TbResultGap *gap, GString *text)
{
    size_t before = text->len;

    add_site(dossier, gap->a, gap->gap.site_a, text);
    add_site(dossier, gap->b, gap->gap.site_b, text);
    if (text->len == before)
        add_point(gap, (const char *[]){"X ", ", Y ", ", Z "}, text);
}

static void
add_station(TbSite site, GString *text)
{
    tb_dossier_number(site.on_sweep ? site.station : (double)NAN, 0, text);
}

void
tb_dossier_gap_stations(const TbResultGap *gap, GString *text)
{
    if (!gap->gap.site_a.on_sweep && !gap->gap.site_b.on_sweep) {
        add_point(gap, (const char *[]){"", ", ", ", "}, text);
        return;
    }
    add_station(gap->gap.site_a, text);
    g_string_append(text, " | ");
    add_station(gap->gap.site_b, text);
}

/* ---- findings and decisions ---- */

const char *
tb_disposition_name(int disposition)
{
    static const char *const names[] = {
        [TB_DISPOSITION_OPEN] = N_("Open"),
        [TB_DISPOSITION_ACCEPTED] = N_("Accepted"),
        [TB_DISPOSITION_CHANGE] = N_("To be changed"),
        [TB_DISPOSITION_MEASURE] = N_("To be measured"),
        [TB_DISPOSITION_WAIVED] = N_("Waived"),
    };

    return _(names[disposition]);
}

/* Of the finding itself first, then of its matter, then of another state or variant of it. */
static const TbDecision *
decision_about(const TbBay *bay, const TbFinding *finding)
{
    g_autofree char *matter = tb_finding_matter(finding);
    const TbDecision *loose = NULL;
    size_t length = strlen(matter);

    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_DECISIONS); i++) {
        const TbDecision *decision = tb_bay_decision_at(bay, i);

        if (tb_finding_id_alike(decision->finding, finding->id))
            return decision;
        if (strncmp(decision->finding, matter, length) == 0 &&
            (decision->finding[length] == '\0' || decision->finding[length] == '/') &&
            (loose == NULL || decision->finding[length] == '\0'))
            loose = decision;
    }
    return loose;
}

static bool
is_pair_of(const TbResultGap *gap, const char *subject)
{
    g_autofree char *pair = tb_results_pair(gap->a, gap->b);

    return strcmp(pair, subject) == 0;
}

static const TbResultGap *
gap_of(const TbResults *results, const TbFinding *finding)
{
    if (strcmp(finding->rule, "gap") != 0)
        return NULL;
    for (size_t i = 0; i < results->gap_count; i++) {
        const TbResultGap *gap = &results->gaps[i];

        if (strcmp(gap->state, finding->state) == 0 &&
            strcmp(gap->variant, finding->variant) == 0 && is_pair_of(gap, finding->subject))
            return gap;
    }
    return NULL;
}

static void
add_finding(TbDossier *dossier, const TbBay *bay, const TbMatter *matter)
{
    TbDossierFinding *finding = &dossier->findings[dossier->finding_count];
    g_autofree char *what = tb_say_finding_short(dossier->results, matter->worst, TB_UNIT_MM);
    g_autofree char *where = tb_say_finding_where(dossier->results, matter->worst, TB_UNIT_MM);
    const TbDecision *decision = decision_about(bay, matter->worst);

    finding->matter = matter;
    finding->number = ++dossier->finding_count;
    finding->what = tb_dossier__keep(dossier, what);
    finding->where = tb_dossier__keep(dossier, where);
    finding->gap = gap_of(dossier->results, matter->worst);
    finding->decided = tb_dossier__keep(
        dossier, decision == NULL ? _("Not decided") : tb_disposition_name(decision->disposition));
    finding->owner = tb_dossier__keep(dossier, decision == NULL ? NULL : decision->owner);
    finding->due = tb_dossier__keep(dossier, decision == NULL ? NULL : decision->due);
    finding->reason = tb_dossier__keep(dossier, decision == NULL ? NULL : decision->text);
}

static void
fill_findings(TbDossier *dossier, const TbBay *bay)
{
    TbMatterAsk ask = {.whole = dossier->results};

    dossier->matters = tb_matters_new(&ask);
    dossier->findings = g_new0(TbDossierFinding, dossier->matters->count + 1);
    for (size_t i = 0; i < dossier->matters->count; i++)
        if (dossier->matters->matters[i].worst->level != TB_LEVEL_HOLDS)
            add_finding(dossier, bay, &dossier->matters->matters[i]);
}

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

/* ---- cuts and curves by the study ---- */

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

static TbDossierMaker
maker_of(TbStudy *study, const TbDossierAsk *ask)
{
    Maker *maker = g_new0(Maker, 1);

    maker->study = study;
    maker->bay = tb_bay_ref(ask->bay);
    maker->against = ask->against == NULL ? NULL : tb_bay_ref(ask->against);
    maker->folder = g_strdup(ask->folder);
    maker->against_folder = g_strdup(ask->against_folder);
    return (TbDossierMaker){make_cut, make_strip, make_skin, free_maker, maker};
}

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
        tb_dossier__keep(dossier, ask->state != NULL ? ask->state : tb_case_cold_state(bay));
    dossier->variant = "";
    if (ask->variant != NULL)
        dossier->variant = tb_dossier__keep(dossier, ask->variant);
    else if (tb_bay_count(bay, TB_LIST_VARIANTS) > 0)
        dossier->variant = tb_dossier__keep(dossier, tb_bay_variant_at(bay, 0)->record.id);
    fill_findings(dossier, bay);
    tb_dossier__fill_numbers(dossier, bay);
    tb_dossier__fill_gaps(dossier, bay);
    tb_dossier__fill_unpaired(dossier, bay);
    tb_dossier__fill_items(dossier, bay, study->catalogue);
    tb_dossier__fill_rules(dossier, bay);
    tb_dossier__fill_basis(dossier, bay);
    tb_dossier__fill_changes(dossier);
    tb_dossier__end(dossier);
    dossier->maker = maker_of(study, ask);
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
