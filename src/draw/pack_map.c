/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/charts.h"
#include "draw/pack_views.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* The gap map of each duct that a keep speaks of: gap to each neighbour, and below it the gap
 * unrolled over station and angle. */

typedef struct Own {
    const char **items; /**< ids, lent by the results */
    size_t count;
} Own;

/** A map says something where a keep is held against the duct. */
static bool
has_keeps(const TbResults *results, const char *id)
{
    for (size_t i = 0; i < results->gap_count; i++)
        if (!isnan(results->gaps[i].keep) && !results->gaps[i].gap.nothing &&
            (g_strcmp0(results->gaps[i].a, id) == 0 || g_strcmp0(results->gaps[i].b, id) == 0))
            return true;
    return false;
}

static size_t
plan(TbPackChapter *chapter)
{
    const TbResults *results = chapter->dossier->results;
    Own *own = g_new0(Own, 1);

    chapter->own = own;
    own->items = g_new0(const char *, results->duct_count + 1);
    for (size_t i = 0; i < results->duct_count; i++)
        if (!results->ducts[i].is_line && has_keeps(results, results->ducts[i].id))
            own->items[own->count++] = results->ducts[i].id;
    return own->count;
}

static TbStatus
draw(TbPackChapter *chapter, size_t page, TbPackSheet *sheet, TbTask *task, TbFault *fault)
{
    static const char *const charts[] = {"gap", "gap-map", NULL};
    const char *item = ((const Own *)chapter->own)->items[page];
    TbSceneStrip *strip = NULL;
    TbStatus status =
        tb_dossier_strip(chapter->dossier, item, NULL, NULL, false, task, &strip, fault);

    if (status != TB_OK)
        return status;
    tb_charts_into(sheet->picture, strip, charts,
                   tb_pack__strip_line(sheet->picture, strip, sheet->room), chapter->measurer);
    tb_scene_strip_unref(strip);
    sheet->subject = g_strdup_printf(_("Gap map of %s"), tb_dossier_name(chapter->dossier, item));
    return TB_OK;
}

static char *
label(const TbPackChapter *chapter, size_t page)
{
    const Own *own = chapter->own;

    return g_strdup(tb_dossier_name(chapter->dossier, own->items[page]));
}

static void
clear(TbPackChapter *chapter)
{
    Own *own = chapter->own;

    if (own != NULL)
        g_free(own->items);
    g_free(own);
}

const TbPackKind tb_pack_map = {.name = "map",
                                .title = N_("Gap maps"),
                                .plan = plan,
                                .draw = draw,
                                .label = label,
                                .clear = clear};
