/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/dossier_build.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

static const char *
name_of(const TbRecord *record)
{
    return record->name == NULL || record->name[0] == '\0' ? record->id : record->name;
}

static void
add_part(GString *text, const char *part)
{
    g_string_append_printf(text, "%s%s", text->len > 0 ? "; " : "", part);
}

/* "1, 2, 3" of a point or shift. */
static char *
three(TbVec3 v, int decimals)
{
    g_autofree char *x = tb_dossier__number(v.x, decimals);
    g_autofree char *y = tb_dossier__number(v.y, decimals);
    g_autofree char *z = tb_dossier__number(v.z, decimals);

    return g_strdup_printf("%s | %s | %s", x, y, z);
}

static void
add_three(GString *text, const char *name, TbVec3 v, const char *unit)
{
    g_autofree char *numbers = NULL;

    if (!tb_vec3_is_given(v) || (v.x == 0 && v.y == 0 && v.z == 0))
        return;
    numbers = three(v, 2);
    g_string_append_printf(text, "%s%s %s %s", text->len > 0 ? "; " : "", name, numbers, unit);
}

/* ---- mounts ---- */

static void
add_spread(GString *text, const char *name, TbSpread spread, const char *unit)
{
    g_autofree char *low = tb_dossier__number(spread.low, 2);
    g_autofree char *high = tb_dossier__number(spread.high, 2);

    if (spread.low == 0 && spread.high == 0)
        return;
    /* Translators: a freedom, its lowest and highest value, unit */
    g_string_append_printf(text, "%s", text->len > 0 ? "; " : "");
    g_string_append_printf(text, _("%s %s to %s %s"), name, low, high, unit);
}

static void
add_mount(TbDossier *dossier, const TbMount *mount)
{
    GString *moves = g_string_new(NULL);
    GString *axis = g_string_new(NULL);
    GString *other = g_string_new(NULL);
    g_autofree char *reference = tb_dossier__number(mount->reference, 0);

    add_spread(moves, "rx", mount->rx, _("deg"));
    add_spread(moves, "ry", mount->ry, _("deg"));
    add_spread(moves, "rz", mount->rz, _("deg"));
    add_spread(moves, "tx", mount->tx, "mm");
    add_spread(moves, "ty", mount->ty, "mm");
    add_spread(moves, "tz", mount->tz, "mm");
    add_three(axis, _("through"), mount->axis_point, "mm");
    add_three(axis, _("along"), mount->axis_direction, "");
    add_three(other, _("grows from"), mount->datum, "mm");
    add_three(other, _("placed within ±"), mount->scatter_shift, "mm");
    add_three(other, _("turned within ±"), mount->scatter_turn, _("deg"));
    add_three(other, _("aged rubbers"), mount->sag, "mm");
    tb_dossier__row(dossier, TB_DOSSIER_MOUNTS,
                    (const char *[]){name_of(&mount->record),
                                     mount->parent == NULL ? _("the vehicle") : mount->parent,
                                     axis->str, moves->len > 0 ? moves->str : "–", reference,
                                     other->str});
    g_string_free(moves, TRUE);
    g_string_free(axis, TRUE);
    g_string_free(other, TRUE);
}

/* ---- states and variants ---- */

static void
add_warm(GString *text, const TbStateWarm *warm)
{
    g_autofree char *growth = tb_dossier__number(warm->growth, 0);
    g_autofree char *who =
        g_strdup_printf("%s%s%s", warm->klass == NULL ? _("all") : warm->klass,
                        warm->mount == NULL ? "" : "/", warm->mount == NULL ? "" : warm->mount);

    /* Translators: class and mount, degC that they grow by */
    g_string_append_printf(text, "%s", text->len > 0 ? "; " : "");
    g_string_append_printf(text, _("%s %s °C"), who, growth);
}

static const char *
state_word(int kind)
{
    static const char *const words[] = {
        [TB_STATE_COLD] = N_("cold"),
        [TB_STATE_HOT] = N_("hot"),
        [TB_STATE_ROCKING] = N_("rocking"),
        [TB_STATE_TOLERANCE] = N_("at tolerance"),
        [TB_STATE_COMBINED] = N_("combination"),
    };

    return _(words[kind]);
}

static bool
is_judged(const TbDossier *dossier, const char *state)
{
    for (size_t i = 0; i < dossier->results->state_count; i++)
        if (strcmp(dossier->results->states[i].id, state) == 0)
            return true;
    return false;
}

static void
add_state(TbDossier *dossier, const TbState *state)
{
    GString *text = g_string_new(NULL);
    g_autofree char *ambient = tb_dossier__number(state->ambient, 0);

    if (state->parts != NULL)
        add_part(text, state->parts);
    for (size_t i = 0; i < state->warm_count; i++)
        add_warm(text, &state->warm[i]);
    tb_dossier__row(dossier, TB_DOSSIER_STATES,
                    (const char *[]){state->record.id, name_of(&state->record),
                                     state_word(state->kind),
                                     is_judged(dossier, state->record.id) ? _("yes") : _("no"),
                                     ambient, text->str});
    g_string_free(text, TRUE);
}

static void
add_variant(TbDossier *dossier, const TbVariant *variant)
{
    GString *text = g_string_new(NULL);

    for (size_t i = 0; i < variant->shift_count; i++) {
        g_autofree char *by = three(variant->shifts[i].by, 1);
        g_autofree char *part =
            g_strdup_printf(_("%s shifted by %s mm"), variant->shifts[i].mount, by);

        add_part(text, part);
    }
    for (size_t i = 0; i < variant->swap_count; i++) {
        g_autofree char *part =
            g_strdup_printf(_("%s in place of %s"), variant->swaps[i].with, variant->swaps[i].item);

        add_part(text, part);
    }
    for (size_t i = 0; i < variant->mirror_count; i++) {
        g_autofree char *part = g_strdup_printf(_("%s mirrored"), variant->mirrors[i].item);

        add_part(text, part);
    }
    for (size_t i = 0; i < variant->hide_count; i++) {
        g_autofree char *part = g_strdup_printf(_("without %s"), variant->hides[i].item);

        add_part(text, part);
    }
    tb_dossier__row(dossier, TB_DOSSIER_VARIANTS,
                    (const char *[]){variant->record.id, name_of(&variant->record),
                                     text->len > 0 ? text->str : _("as drawn")});
    g_string_free(text, TRUE);
}

/* ---- keeps ---- */

static const char *
side_of(const TbDossier *dossier, const char *item, const char *klass)
{
    return item != NULL ? tb_dossier_name(dossier, item) : klass;
}

static char *
only_of(const TbKeep *keep)
{
    GString *text = g_string_new(NULL);

    if (keep->same_casting != TB_TELL_ANY)
        add_part(text,
                 keep->same_casting == TB_TELL_YES ? _("of one casting") : _("not of one casting"));
    if (keep->same_mount != TB_TELL_ANY)
        add_part(text, keep->same_mount == TB_TELL_YES ? _("on one mount") : _("on two mounts"));
    if (keep->shielded != TB_TELL_ANY)
        add_part(text, keep->shielded == TB_TELL_YES ? _("with a shield") : _("without a shield"));
    return g_string_free(text, FALSE);
}

static void
add_keep(TbDossier *dossier, const TbKeep *keep)
{
    g_autofree char *sides =
        g_strdup_printf("%s – %s", side_of(dossier, keep->item_a, keep->class_a),
                        side_of(dossier, keep->item_b, keep->class_b));
    g_autofree char *only = only_of(keep);
    g_autofree char *margin = tb_dossier__number(keep->margin, 1);
    GString *gaps = g_string_new(NULL);
    GString *omits = g_string_new(NULL);

    for (size_t i = 0; i < keep->gap_count; i++) {
        g_autofree char *gap = tb_dossier__number(keep->gaps[i].gap, 1);
        g_autofree char *part = g_strdup_printf("%s %s", keep->gaps[i].state, gap);

        add_part(gaps, part);
    }
    for (size_t i = 0; i < keep->leave_out_count; i++) {
        g_autofree char *radius = tb_dossier__number(keep->leave_outs[i].radius, 0);
        g_autofree char *part =
            g_strdup_printf(_("%s mm about %s"), radius, keep->leave_outs[i].port);

        add_part(omits, part);
    }
    tb_dossier__row(
        dossier, TB_DOSSIER_KEEPS,
        (const char *[]){sides, only, gaps->str, margin, keep->reason, keep->source, omits->str});
    g_string_free(gaps, TRUE);
    g_string_free(omits, TRUE);
}

static const char *
joint_word(int kind)
{
    /* as the window has them */
    static const char *const words[] = {
        [TB_JOINT_V_BAND] = N_("V-band"), [TB_JOINT_GASKETED] = N_("gasketed"),
        [TB_JOINT_BARE] = N_("bare"),     [TB_JOINT_SLIP] = N_("slip joint"),
        [TB_JOINT_BALL] = N_("ball"),     [TB_JOINT_BELLOWS] = N_("bellows"),
        [TB_JOINT_HOSE] = N_("hose"),     [TB_JOINT_THREAD] = N_("thread"),
        [TB_JOINT_WELD] = N_("weld"),
    };

    return _(words[kind]);
}

static void
add_joint(TbDossier *dossier, const TbJoint *joint)
{
    g_autofree char *radius = tb_dossier__number(joint->leave_out, 0);
    g_autofree char *ports = strcmp(joint->a, joint->b) == 0
                                 ? g_strdup(joint->a)
                                 : g_strdup_printf("%s – %s", joint->a, joint->b);

    tb_dossier__row(
        dossier, TB_DOSSIER_JOINTS,
        (const char *[]){name_of(&joint->record), ports, joint_word(joint->kind), radius});
}

static void
begin_all(TbDossier *dossier)
{
    tb_dossier__begin(dossier, TB_DOSSIER_MOUNTS, _("Mounts"), "ttttnt",
                      (const char *[]){_("Mount"), _("Rides on"), _("Axis X | Y | Z"), _("Moves"),
                                       _("Drawn at °C"), _("Growth and scatter, X | Y | Z")});
    tb_dossier__begin(dossier, TB_DOSSIER_STATES, _("States"), "ttttnt",
                      (const char *[]){_("Id"), _("State"), _("Kind"), _("Judged"), _("Ambient °C"),
                                       _("Consists of; warmth that things grow by")});
    tb_dossier__begin(dossier, TB_DOSSIER_VARIANTS, _("Variants"), "ttt",
                      (const char *[]){_("Id"), _("Variant"), _("Differs by")});
    tb_dossier__begin(dossier, TB_DOSSIER_KEEPS, _("Gaps that must be kept"), "tttnttt",
                      (const char *[]){_("Between"), _("Only"), _("Keep mm, by state"),
                                       _("Margin mm"), _("Reason"), _("Source"), _("Left out")});
    tb_dossier__begin(
        dossier, TB_DOSSIER_JOINTS, _("Joints"), "tttn",
        (const char *[]){_("Joint"), _("Ports"), _("Kind"), _("Not judged within mm")});
}

void
tb_dossier__fill_rules(TbDossier *dossier, const TbBay *bay)
{
    begin_all(dossier);
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_MOUNTS); i++)
        add_mount(dossier, tb_bay_mount_at(bay, i));
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_STATES); i++)
        add_state(dossier, tb_bay_state_at(bay, i));
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_VARIANTS); i++)
        add_variant(dossier, tb_bay_variant_at(bay, i));
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_KEEPS); i++)
        add_keep(dossier, tb_bay_keep_at(bay, i));
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_JOINTS); i++)
        add_joint(dossier, tb_bay_joint_at(bay, i));
}
