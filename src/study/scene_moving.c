/* SPDX-License-Identifier: GPL-3.0-or-later */

/* A section plot of a state that rocks: things at rest, what moves with its envelope. */

#include "study/scene_cut_private.h"

#include "study/envelope.h"
#include "study/posed.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* ---- which ranges ---- */

static void
add_word(GString *text, const char *word)
{
    g_string_append_printf(text, "%s%s", text->len == 0 ? "" : ", ", word);
}

static char *
bound_of(const TbPlot *plot, const TbFreedom *freedom, double value)
{
    return freedom->kind == TB_FREEDOM_TURN
               ? tb_scene_quantity(value * 180 / G_PI, TB_QUANTITY_ANGLE, plot->scene->unit, 2)
               : tb_scene_quantity(value, TB_QUANTITY_LENGTH, plot->scene->unit, 2);
}

/* "engine rx -3° to 3°", each freedom of each mount once. */
static void
tell_ranges(const TbPlot *plot, const TbMove *move, GHashTable *said, GString *ranges)
{
    for (int i = 0; i < move->motion.count; i++) {
        const TbFreedom *freedom = &move->motion.freedom[i];
        g_autofree char *low = bound_of(plot, freedom, freedom->low);
        g_autofree char *high = bound_of(plot, freedom, freedom->high);
        /* Translators: a mount, one of its freedoms, from where to where: "engine rx -3° to 3°" */
        char *one =
            g_strdup_printf(_("%s %s %s to %s"), move->mount[i], move->freedom[i], low, high);

        if (!g_hash_table_contains(said, one))
            add_word(ranges, one);
        g_hash_table_add(said, one);
    }
}

/* ---- the plot ---- */

static bool
is_shown(const TbPlot *plot, size_t index)
{
    const TbForm *form = tb_placed_form(&plot->stand->items[index]);

    return form != NULL && form->solid != NULL;
}

static void
note_moving(TbPlot *plot, const GString *ranges, const GString *blends, const GString *many)
{
    g_autofree char *within =
        tb_scene_quantity(TB_ENVELOPE_CHORD, TB_QUANTITY_LENGTH, plot->scene->unit, 1);

    if (plot->scene->coarse)
        tb_plot__note(plot->scene, g_strdup(_("Drawn at rest; envelopes are left out while "
                                              "something is being changed")));
    else if (ranges->len > 0)
        tb_plot__note(plot->scene,
                      g_strdup_printf(_("Drawn at rest, dimensions too; long and short dashes: "
                                        "envelope over %s, within %s"),
                                      ranges->str, within));
    else
        tb_plot__note(plot->scene, g_strdup(_("Nothing that is drawn moves in this state")));
    if (blends->len > 0)
        tb_plot__note(plot->scene, g_strdup_printf(_("No envelope of what rides on two mounts: %s"),
                                                   blends->str));
    if (many->len > 0)
        tb_plot__note(
            plot->scene,
            g_strdup_printf(_("No envelope of what has too many freedoms: %s"), many->str));
}

void
tb_plot__need_envelopes(TbPlot *plot)
{
    g_autoptr(GHashTable) said = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    g_autoptr(GString) ranges = g_string_new(NULL);
    g_autoptr(GString) blends = g_string_new(NULL);
    g_autoptr(GString) many = g_string_new(NULL);

    plot->envelopes = g_new0(TbEntry *, plot->stand->count + 1);
    if (plot->moving == NULL)
        return;
    for (size_t i = 0; i < plot->stand->count; i++) {
        TbEnvelopeKind kind;
        TbMove move;

        if (!is_shown(plot, i))
            continue;
        kind = tb_envelope_of(plot->stand, i, &move);
        if (kind == TB_ENVELOPE_BLENDS)
            add_word(blends, tb_placed_name(&plot->stand->items[i]));
        if (kind == TB_ENVELOPE_MANY)
            add_word(many, tb_placed_name(&plot->stand->items[i]));
        if (kind != TB_ENVELOPE_DRAWN)
            continue;
        tell_ranges(plot, &move, said, ranges);
        if (!plot->scene->coarse)
            plot->envelopes[i] = tb_envelope_need(plot->study->cache, plot->stand->items[i].entry,
                                                  &move.motion, plot->scene->plane);
    }
    note_moving(plot, ranges, blends, many);
}

static void
note_tolerances(TbPlot *plot)
{
    if (!plot->stand->condition->scatters)
        return;
    tb_plot__note(plot->scene,
                  g_strdup(plot->across ? _("Tolerances are not drawn: dimensions are those of "
                                            "nominal parts")
                                        : _("Tolerances are not drawn: the gap is told with "
                                            "them, less than what is drawn")));
}

static void
note_numbers(TbPlot *plot)
{
    const TbResultGap *pose = plot->stand->pose;
    g_autofree char *at = NULL;
    size_t a, b;

    if (pose == NULL)
        return;
    at = tb_posed_tell(plot->stand->bay, pose, plot->scene->unit);
    a = tb_stand_find(plot->stand, pose->a);
    b = tb_stand_find(plot->stand, pose->b);
    if (a < plot->stand->count && b < plot->stand->count)
        tb_plot__note(plot->scene, g_strdup_printf(
                                       /* Translators: two items, then numbers of a motion */
                                       _("Drawn where %s and %s come nearest: %s"),
                                       tb_placed_name(&plot->stand->items[a]),
                                       tb_placed_name(&plot->stand->items[b]), at));
}

void
tb_plot__note_pose(TbPlot *plot)
{
    note_numbers(plot);
    note_tolerances(plot);
}

char *
tb_plot__subtitle(const TbPlot *plot)
{
    const TbState *state = tb_bay_state(plot->stand->bay, plot->moving);
    g_autofree char *drawn = NULL;

    if (plot->moving == NULL)
        return tb_scene_subtitle(plot->stand, plot->stand->condition->name);
    /* Translators: two states, such as "hot-rocking, drawn at rest (hot)" */
    drawn = g_strdup_printf(_("%s, drawn at rest (%s)"),
                            state != NULL && state->record.name != NULL ? state->record.name
                                                                        : plot->moving,
                            plot->stand->condition->name);
    return tb_scene_subtitle(plot->stand, drawn);
}
