/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/detail_choices.h"

#include "app/detail_words.h"
#include "bay/catalogue.h"
#include "bay/preset.h"

#include <glib/gi18n.h>
#include <string.h>

typedef struct Lists {
    GPtrArray *values, *labels;
} Lists;

static void
add(Lists *lists, const char *value, const char *label)
{
    for (guint i = 0; i < lists->values->len; i++)
        if (strcmp(lists->values->pdata[i], value) == 0)
            return;
    g_ptr_array_add(lists->values, g_strdup(value));
    g_ptr_array_add(lists->labels, g_strdup(label));
}

static void
add_record(Lists *lists, const TbRecord *record)
{
    add(lists, record->id, record->name != NULL ? record->name : record->id);
}

static void
add_records(Lists *lists, const TbBay *bay, unsigned wanted)
{
    for (size_t l = 0; l < TB_LIST_COUNT; l++)
        for (size_t i = 0; (wanted >> l & 1) != 0 && i < bay->lists[l].count; i++)
            add_record(lists, bay->lists[l].records[i]);
}

/** The bay's own materials first, then those that come along. */
static void
add_materials(Lists *lists, const TbBay *bay)
{
    TbCatalogue *catalogue = NULL;

    add_records(lists, bay, 1u << TB_LIST_MATERIALS);
    if (tb_catalogue_new(&catalogue, NULL) != TB_OK)
        return;
    for (size_t i = 0; i < tb_catalogue_count(catalogue); i++)
        add_record(lists, &tb_catalogue_at(catalogue, i)->record);
    tb_catalogue_unref(catalogue);
}

bool
tb_detail_has_words(const TbField *field)
{
    return strcmp(field->name, "casting") == 0 || strstr(field->name, "class") != NULL;
}

/** Words that items have already, then the usual classes. */
static void
add_words(Lists *lists, const TbBay *bay, const TbField *field)
{
    bool castings = strcmp(field->name, "casting") == 0;

    if (!tb_detail_has_words(field))
        return;
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_ITEMS); i++) {
        const TbItem *item = tb_bay_item_at(bay, i);
        const char *word = castings ? item->casting : item->klass;

        if (word != NULL)
            add(lists, word, word);
    }
    for (size_t i = 0; !castings && tb_usual_classes[i] != NULL; i++)
        add(lists, tb_usual_classes[i], tb_usual_classes[i]);
}

static void
add_choices(Lists *lists, const TbField *field)
{
    for (size_t i = 0; field->names[i] != NULL; i++)
        add(lists, field->names[i], tb_detail_choice(field->names[i]));
}

void
tb_detail_choices(const TbBay *bay, const TbField *field, TbDetailChoices *choices)
{
    Lists lists = {g_ptr_array_new(), g_ptr_array_new()};
    bool choice = field->kind == TB_FIELD_CHOICE;

    if (!field->needed &&
        (choice ? field->preset[0] < 0
                : field->kind == TB_FIELD_REFERENCE || field->kind == TB_FIELD_MATERIAL))
        add(&lists, "", _("none"));
    if (choice)
        add_choices(&lists, field);
    else if (field->kind == TB_FIELD_REFERENCE)
        add_records(&lists, bay, field->lists);
    else if (field->kind == TB_FIELD_STATES)
        add_records(&lists, bay, 1u << TB_LIST_STATES);
    else if (field->kind == TB_FIELD_MATERIAL)
        add_materials(&lists, bay);
    else
        add_words(&lists, bay, field);
    g_ptr_array_add(lists.values, NULL);
    g_ptr_array_add(lists.labels, NULL);
    choices->values = (char **)g_ptr_array_free(lists.values, FALSE);
    choices->labels = (char **)g_ptr_array_free(lists.labels, FALSE);
}

void
tb_detail_choices_clear(TbDetailChoices *choices)
{
    g_clear_pointer(&choices->values, g_strfreev);
    g_clear_pointer(&choices->labels, g_strfreev);
}

static guint
mixed(guint hash, const char *text)
{
    return 31 * hash + (text != NULL ? g_str_hash(text) : 1);
}

guint
tb_detail_choices_hash(const TbBay *bay, const TbField *field)
{
    unsigned lists = field->kind == TB_FIELD_REFERENCE  ? field->lists
                     : field->kind == TB_FIELD_MATERIAL ? 1u << TB_LIST_MATERIALS
                     : field->kind == TB_FIELD_STATES   ? 1u << TB_LIST_STATES
                                                        : 0;
    guint hash = 1;

    for (size_t l = 0; l < TB_LIST_COUNT; l++)
        for (size_t i = 0; (lists >> l & 1) != 0 && i < bay->lists[l].count; i++) {
            hash = mixed(hash, bay->lists[l].records[i]->id);
            hash = mixed(hash, bay->lists[l].records[i]->name);
        }
    for (size_t i = 0; field->kind == TB_FIELD_WORD && i < tb_bay_count(bay, TB_LIST_ITEMS); i++) {
        hash = mixed(hash, tb_bay_item_at(bay, i)->klass);
        hash = mixed(hash, tb_bay_item_at(bay, i)->casting);
    }
    return hash;
}
