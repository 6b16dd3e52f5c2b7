/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/dossier_build.h"

#include "study/say.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/* ---- assumptions: what the document states and nothing here proves ---- */

static void
assume(TbDossier *dossier, const char *about, const char *text)
{
    if (text != NULL && text[0] != '\0')
        tb_dossier__row(dossier, TB_DOSSIER_ASSUMPTIONS, (const char *[]){about, text});
}

static void
add_number(GString *text, const char *name, double x, int decimals, const char *unit)
{
    g_autofree char *number = tb_dossier__number(x, decimals);

    if (!isnan(x))
        g_string_append_printf(text, "%s%s %s%s%s", text->len > 0 ? ", " : "", name, number,
                               unit[0] == '\0' ? "" : " ", unit);
}

static void
assume_gas(TbDossier *dossier, const TbGasPoint *gas)
{
    GString *text = g_string_new(NULL);
    g_autofree char *about =
        g_strdup_printf(_("gas, %s"), gas->record.name != NULL ? gas->record.name : gas->record.id);

    add_number(text, _("engine speed"), gas->speed, 0, _("1/min"));
    add_number(text, _("mass flow"), gas->flow, 1, "g/s");
    add_number(text, _("bypass share"), gas->bypass, 2, "");
    add_number(text, _("total temperature"), gas->temperature, 0, "°C");
    add_number(text, _("pressure downstream"), gas->pressure, 1, "kPa");
    add_number(text, "λ", gas->lambda, 2, "");
    assume(dossier, about, text->str);
    g_string_free(text, TRUE);
}

static void
assume_vehicle(TbDossier *dossier, const TbVehicle *vehicle)
{
    GString *text = g_string_new(vehicle->name);

    if (vehicle->serial != NULL)
        g_string_append_printf(text, "%s%s", text->len > 0 ? ", " : "", vehicle->serial);
    if (vehicle->date != NULL)
        g_string_append_printf(text, "%s%s", text->len > 0 ? ", " : "", vehicle->date);
    if (vehicle->text != NULL)
        g_string_append_printf(text, "%s%s", text->len > 0 ? ": " : "", vehicle->text);
    assume(dossier, _("vehicle that was measured"), text->str);
    g_string_free(text, TRUE);
}

static void
fill_assumptions(TbDossier *dossier, const TbBay *bay)
{
    const TbHead *head = bay->head;
    GString *ground = g_string_new(NULL);

    tb_dossier__begin(dossier, TB_DOSSIER_ASSUMPTIONS, _("Assumptions"), "tt",
                      (const char *[]){_("About"), _("What the document states")});
    add_number(ground, "Z", head->ground, 1, "mm");
    assume(dossier, _("zero planes"), head->zero == NULL ? NULL : head->zero->text);
    assume(dossier, _("ground at design load"), ground->str);
    if (head->vehicle != NULL)
        assume_vehicle(dossier, head->vehicle);
    for (size_t i = 0; i < head->note_count; i++)
        assume(dossier, _("note"), head->notes[i].text);
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_GAS); i++)
        assume_gas(dossier, tb_bay_gas_at(bay, i));
    g_string_free(ground, TRUE);
}

static void
fill_revisions(TbDossier *dossier, const TbBay *bay)
{
    tb_dossier__begin(dossier, TB_DOSSIER_REVISIONS, _("Revisions"), "tttt",
                      (const char *[]){_("Revision"), _("Date"), _("Who"), _("What changed")});
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_REVISIONS); i++) {
        const TbRevision *revision = tb_bay_revision_at(bay, i);

        tb_dossier__row(dossier, TB_DOSSIER_REVISIONS,
                        (const char *[]){revision->record.id, revision->record.when,
                                         revision->record.who, revision->text});
    }
}

/* ---- what numbers rest on ---- */

static const char *
rule_word(const char *rule)
{
    static const struct {
        const char *rule, *word;
    } words[] = {
        {"area-shrinks", N_("area falls")},
        {"growth", N_("growth of the area")},
        {"smooth-growth", N_("smooth growth")},
        {"smooth-bend", N_("smooth bends")},
        {"fold", N_("folding in a bend")},
        {"self-touch", N_("touching itself")},
        {"wall", N_("wall")},
        {"bend-radius", N_("bend radius")},
        {"housing-turn", N_("turn of a housing")},
        {"shaft-tilt", N_("tilt of the shaft")},
        {"port-size", N_("size at a port")},
        {"port-direction", N_("direction at a port")},
        {"joint-place", N_("place of a joint")},
        {"joint-direction", N_("direction of a joint")},
        {"joint-step", N_("size at a joint")},
        {"joint-thread", N_("threads of a joint")},
        {"gap", N_("gap")},
        {"scan", N_("scan")},
        {"shape", N_("shape")},
        {"class", N_("class")},
        {"state", N_("state")},
        {"warmth", N_("warmth")},
    };

    for (size_t i = 0; i < G_N_ELEMENTS(words); i++)
        if (strcmp(words[i].rule, rule) == 0)
            return _(words[i].word);
    return rule;
}

static const char *
translated(const char *basis)
{
    return basis[0] == '\0' ? "" : _(basis);
}

/* Each rule with each basis once, in the order of the checks. */
static void
fill_rules(TbDossier *dossier)
{
    const TbResults *results = dossier->results;
    GHashTable *told = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);

    for (size_t i = 0; i < results->finding_count; i++) {
        const TbFinding *finding = &results->findings[i];
        char *key = g_strconcat(finding->rule, "\n", finding->basis, NULL);

        if (g_hash_table_contains(told, key)) {
            g_free(key);
            continue;
        }
        g_hash_table_add(told, key);
        tb_dossier__row(dossier, TB_DOSSIER_BASIS,
                        (const char *[]){rule_word(finding->rule), translated(finding->basis)});
    }
    g_hash_table_unref(told);
}

void
tb_dossier__fill_basis(TbDossier *dossier, const TbBay *bay)
{
    fill_assumptions(dossier, bay);
    fill_revisions(dossier, bay);
    tb_dossier__begin(dossier, TB_DOSSIER_BASIS, _("What each judgement rests on"), "tt",
                      (const char *[]){_("Judged"), _("Basis")});
    fill_rules(dossier);
    tb_dossier__begin(dossier, TB_DOSSIER_CAUTIONS, _("Noted while reading and judging"), "t",
                      (const char *[]){_("Note")});
    for (size_t i = 0; i < dossier->results->warning_count; i++)
        tb_dossier__row(dossier, TB_DOSSIER_CAUTIONS,
                        (const char *[]){dossier->results->warnings[i]});
}
