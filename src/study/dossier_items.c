/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/dossier_build.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/* ---- how an item is known ---- */

const char *
tb_dossier__known_by(const TbKnown *known)
{
    static const char *const words[] = {
        [TB_KNOWN_DRAWING] = N_("drawing"),   [TB_KNOWN_SCAN] = N_("scan"),
        [TB_KNOWN_CALLIPER] = N_("calliper"), [TB_KNOWN_TAPE] = N_("tape measure"),
        [TB_KNOWN_GUESS] = N_("guess"),
    };

    return known == NULL ? _("not said") : _(words[known->by]);
}

char *
tb_dossier__known(const TbKnown *known)
{
    GString *text = g_string_new(tb_dossier__known_by(known));

    if (known == NULL)
        return g_string_free(text, FALSE);
    if (tb_is_given(known->uncertainty)) {
        g_autofree char *number = tb_dossier__number(known->uncertainty, 2);

        g_string_append_printf(text, " ± %s mm", number);
    }
    if (known->datum != NULL) {
        g_string_append(text, ", ");
        /* Translators: measured from what */
        g_string_append_printf(text, _("from %s"), known->datum);
    }
    if (known->date != NULL)
        g_string_append_printf(text, ", %s", known->date);
    return g_string_free(text, FALSE);
}

bool
tb_dossier__is_rough(const TbItem *item)
{
    return item->known == NULL || item->known->by == TB_KNOWN_TAPE ||
           item->known->by == TB_KNOWN_GUESS;
}

/* ---- items ---- */

static const char *
name_of(const TbRecord *record)
{
    return record->name == NULL || record->name[0] == '\0' ? record->id : record->name;
}

static const char *
kind_word(TbItemKind kind)
{
    static const char *const words[] = {
        [TB_ITEM_DUCT] = N_("duct"),       [TB_ITEM_LINE] = N_("line"),
        [TB_ITEM_TURBO] = N_("turbo"),     [TB_ITEM_BLOCK] = N_("block"),
        [TB_ITEM_ROD] = N_("rod"),         [TB_ITEM_BALL] = N_("ball"),
        [TB_ITEM_OUTLINE] = N_("outline"), [TB_ITEM_SCAN] = N_("scan"),
    };

    return _(words[kind]);
}

static void add_note(GString *notes, const char *about, const char *format, ...)
    G_GNUC_PRINTF(3, 4);

/* Nothing where there is nothing to tell about. */
static void
add_note(GString *notes, const char *about, const char *format, ...)
{
    va_list args;

    if (about == NULL || about[0] == '\0')
        return;
    if (notes->len > 0)
        g_string_append(notes, "; ");
    va_start(args, format);
    g_string_append_vprintf(notes, format, args);
    va_end(args);
}

static void
add_process(GString *notes, const TbProcess *process)
{
    static const char *const words[] = {[TB_PROCESS_CAST] = N_("cast"),
                                        [TB_PROCESS_FORMED] = N_("formed"),
                                        [TB_PROCESS_TUBE] = N_("tube")};

    if (process == NULL)
        return;
    add_note(notes, _(words[process->kind]), "%s", _(words[process->kind]));
    add_note(notes, process->grade, "%s", process->grade);
}

static char *
notes_of(const TbBay *bay, const TbItem *item)
{
    GString *notes = g_string_new(NULL);
    const TbRecord *found = item->shield == NULL ? NULL : tb_bay_find(bay, item->shield);
    const char *shield = found == NULL ? item->shield : name_of(found);

    if (item->kind == TB_ITEM_DUCT)
        add_process(notes, tb_item_duct(item)->process);
    if (item->spare)
        add_note(notes, _("spare: only where a variant swaps it in"), "%s",
                 _("spare: only where a variant swaps it in"));
    add_note(notes, shield, _("shielded by %s"), shield);
    add_note(notes, item->casting, _("casting %s"), item->casting);
    if (item->kind == TB_ITEM_SCAN) {
        add_note(notes, tb_item_scan(item)->file, _("file %s"), tb_item_scan(item)->file);
        add_note(notes, tb_item_scan(item)->coverage, _("not shown by it: %s"),
                 tb_item_scan(item)->coverage);
    }
    add_note(notes, item->record.why, "%s", item->record.why);
    return g_string_free(notes, FALSE);
}

static void
add_item(TbDossier *dossier,
         const TbBay *bay,
         const TbCatalogue *catalogue,
         const TbItem *item,
         GHashTable *used)
{
    const TbMaterial *material = tb_catalogue_find(catalogue, bay, item->material);
    g_autofree char *known = tb_dossier__known(item->known);
    g_autofree char *notes = notes_of(bay, item);

    if (material != NULL)
        g_hash_table_add(used, (void *)material);
    tb_dossier__row(dossier, TB_DOSSIER_ITEMS,
                    (const char *[]){name_of(&item->record), item->record.id, kind_word(item->kind),
                                     item->klass, item->mount,
                                     material == NULL ? "–" : name_of(&material->record), known,
                                     notes});
}

/* ---- materials ---- */

static void
add_material(TbDossier *dossier, const TbMaterial *material)
{
    g_autofree char *density = tb_dossier__number(material->density, 0);
    g_autofree char *expansion = tb_dossier__number(material->expansion, 1);
    g_autofree char *emissivity = tb_dossier__number(material->emissivity, 2);
    g_autofree char *limit = tb_dossier__number(material->limit, 0);
    GString *sources = g_string_new(NULL);

    for (size_t i = 0; i < material->source_count; i++) {
        bool told = false;

        for (size_t k = 0; k < i; k++)
            told = told || strcmp(material->sources[k].from, material->sources[i].from) == 0;
        if (!told)
            add_note(sources, material->sources[i].from, "%s", material->sources[i].from);
    }
    tb_dossier__row(dossier, TB_DOSSIER_MATERIALS,
                    (const char *[]){name_of(&material->record), material->standard, density,
                                     expansion, emissivity, limit, sources->str});
    g_string_free(sources, TRUE);
}

void
tb_dossier__fill_items(TbDossier *dossier, const TbBay *bay, const TbCatalogue *catalogue)
{
    GHashTable *used = g_hash_table_new(NULL, NULL);

    tb_dossier__begin(dossier, TB_DOSSIER_ITEMS, _("Items"), "tttttttt",
                      (const char *[]){_("Item"), _("Id"), _("Kind"), _("Class"), _("Mount"),
                                       _("Material"), _("How it is known"), _("Notes")});
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_ITEMS); i++)
        add_item(dossier, bay, catalogue, tb_bay_item_at(bay, i), used);
    tb_dossier__begin(dossier, TB_DOSSIER_MATERIALS, _("Materials"), "ttnnnnt",
                      (const char *[]){_("Material"), _("Standard"), _("Density kg/m³"),
                                       _("Expansion 1e-6/K"), _("Emissivity"), _("Limit °C"),
                                       _("Where the values come from")});
    /* in the order of the document, then of the catalogue */
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_MATERIALS); i++)
        if (g_hash_table_contains(used, tb_bay_material_at(bay, i)))
            add_material(dossier, tb_bay_material_at(bay, i));
    for (size_t i = 0; i < tb_catalogue_count(catalogue); i++)
        if (g_hash_table_contains(used, tb_catalogue_at(catalogue, i)))
            add_material(dossier, tb_catalogue_at(catalogue, i));
    g_hash_table_unref(used);
}
