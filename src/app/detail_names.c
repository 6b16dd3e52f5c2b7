/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/detail_field.h"
#include "app/detail_words.h"

#include <glib/gi18n.h>
#include <string.h>

const TbRecord *
tb_detail_record(TbSession *session, const char *id)
{
    const TbBay *bay = tb_session_bay(session);

    return strcmp(id, bay->head->record.id) == 0 ? &bay->head->record : tb_bay_find(bay, id);
}

const char *
tb_detail_name(const TbRecord *record)
{
    if (record->element == &tb_element_bay)
        return _("the bay");
    return record->name != NULL ? record->name : record->id;
}

char *
tb_detail_place_name(const TbRecord *record, const TbPartPlace *place)
{
    g_autofree char *name = g_strdup(tb_detail_name(record));

    for (size_t i = 0; i < place->count; i++) {
        const TbPartStep *step = &place->steps[i];
        char *inner;

        if (tb_detail_is_flat(step->tag))
            continue;
        /* Translators: a numbered part and what it belongs to: "section 3 of Turbine outlet" */
        inner = g_strdup_printf(_("%s %zu of %s"), tb_detail_one_label(step->tag), step->index + 1,
                                name);
        g_free(name);
        name = inner;
    }
    return g_steal_pointer(&name);
}
