/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/report.h"

#include "base/text.h"
#include "study/say.h"

#include <glib.h>
#include <math.h>
#include <string.h>

#define DEG (180 / G_PI)

/** A table in the making. */
typedef struct Table {
    GString *csv;
    bool within; /**< a row has begun */
} Table;

/** A field by RFC 4180: quoted where it holds a comma, a quote or a line's end. */
static void
put_text(Table *table, const char *text)
{
    if (table->within)
        g_string_append_c(table->csv, ',');
    table->within = true;
    if (strpbrk(text, ",\"\r\n") == NULL) {
        g_string_append(table->csv, text);
        return;
    }
    g_string_append_c(table->csv, '"');
    for (; *text != '\0'; text++) {
        if (*text == '"')
            g_string_append_c(table->csv, '"');
        g_string_append_c(table->csv, *text);
    }
    g_string_append_c(table->csv, '"');
}

/** Shortest digits that read back to the same number; unknown: an empty field. */
static void
put_number(Table *table, double x)
{
    char text[TB_TEXT_NUMBER] = "";

    if (isfinite(x))
        tb_text_from_double(x, text);
    put_text(table, text);
}

static void
put_point(Table *table, TbVec3 p)
{
    put_number(table, p.x);
    put_number(table, p.y);
    put_number(table, p.z);
}

static void
end_row(Table *table)
{
    g_string_append_c(table->csv, '\n');
    table->within = false;
}

static void
put_heads(Table *table, const char *const heads[], size_t count)
{
    for (size_t i = 0; i < count; i++)
        put_text(table, heads[i]);
    end_row(table);
}

/* ---- gaps ---- */

static void
put_site(Table *table, const TbResultGap *gap, const TbSite *site)
{
    bool on = !gap->gap.nothing && site->on_sweep;

    put_number(table, on ? site->station : (double)NAN);
    put_number(table, on ? site->angle * DEG : (double)NAN);
}

static void
put_gap(Table *table, const TbResults *results, const TbResultGap *gap)
{
    const TbVec3 unknown = {NAN, NAN, NAN};
    bool none = gap->gap.nothing;

    put_text(table, gap->a);
    put_text(table, gap->b);
    put_text(table, tb_say_item(results, gap->a));
    put_text(table, tb_say_item(results, gap->b));
    put_text(table, gap->state);
    put_text(table, gap->variant);
    put_text(table, tb_level_name(gap->level));
    put_number(table, none ? (double)NAN : gap->gap.lower);
    put_number(table, none ? (double)NAN : gap->gap.upper);
    put_number(table, gap->keep);
    put_number(table, gap->margin);
    put_number(table, gap->want_margin);
    put_number(table, gap->uncertainty);
    put_text(table, none ? "" : tb_contact_name(gap->gap.contact));
    put_text(table, !none && gap->gap.certified ? "yes" : "no");
    put_site(table, gap, &gap->gap.site_a);
    put_site(table, gap, &gap->gap.site_b);
    put_point(table, none ? unknown : gap->gap.point_a);
    put_point(table, none ? unknown : gap->gap.point_b);
    put_text(table, gap->reason);
    end_row(table);
}

char *
tb_report_gaps_csv(const TbResults *results)
{
    static const char *const heads[] = {"a",
                                        "b",
                                        "name_a",
                                        "name_b",
                                        "state",
                                        "variant",
                                        "level",
                                        "lower [mm]",
                                        "upper [mm]",
                                        "keep [mm]",
                                        "margin [mm]",
                                        "want_margin [mm]",
                                        "uncertainty [mm]",
                                        "contact",
                                        "certified",
                                        "s_a [mm]",
                                        "angle_a [deg]",
                                        "s_b [mm]",
                                        "angle_b [deg]",
                                        "x_a [mm]",
                                        "y_a [mm]",
                                        "z_a [mm]",
                                        "x_b [mm]",
                                        "y_b [mm]",
                                        "z_b [mm]",
                                        "reason"};
    Table table = {.csv = g_string_new(NULL)};

    put_heads(&table, heads, G_N_ELEMENTS(heads));
    for (size_t i = 0; i < results->gap_count; i++)
        put_gap(&table, results, &results->gaps[i]);
    return g_string_free(table.csv, FALSE);
}

/* ---- profiles ---- */

char *
tb_report_profiles_csv(const TbResults *results)
{
    static const char *const heads[] = {"a",         "b",      "state",      "variant",
                                        "keep [mm]", "s [mm]", "lower [mm]", "gap [mm]"};
    Table table = {.csv = g_string_new(NULL)};

    put_heads(&table, heads, G_N_ELEMENTS(heads));
    for (size_t i = 0; i < results->profile_count; i++) {
        const TbResultProfile *profile = &results->profiles[i];

        for (size_t k = 0; k < profile->count; k++) {
            put_text(&table, profile->a);
            put_text(&table, profile->b);
            put_text(&table, profile->state);
            put_text(&table, profile->variant);
            put_number(&table, profile->keep);
            put_number(&table, profile->station[k]);
            put_number(&table, profile->lower[k]);
            put_number(&table, profile->gap[k]);
            end_row(&table);
        }
    }
    return g_string_free(table.csv, FALSE);
}

/* ---- findings ---- */

static void
put_finding(Table *table, const TbResults *results, const TbFinding *finding)
{
    g_autofree char *text = tb_say_finding(results, finding, TB_VOICE_REPORT);

    put_text(table, finding->id);
    put_text(table, tb_level_name(finding->level));
    put_text(table, finding->rule);
    put_text(table, finding->subject);
    put_text(table, finding->state);
    put_text(table, finding->variant);
    put_text(table, text);
    put_number(table, finding->value);
    put_number(table, finding->limit);
    put_number(table, finding->margin);
    put_text(table, finding->unit);
    put_text(table, finding->place.item);
    put_number(table, finding->place.from);
    put_number(table, finding->place.to);
    put_number(table, finding->place.angle);
    put_point(table, finding->place.point);
    put_text(table, finding->basis);
    end_row(table);
}

char *
tb_report_findings_csv(const TbResults *results)
{
    static const char *const heads[] = {
        "id",          "level",  "rule",   "subject", "state", "variant",     "text",
        "value",       "limit",  "margin", "unit",    "item",  "s_from [mm]", "s_to [mm]",
        "angle [deg]", "x [mm]", "y [mm]", "z [mm]",  "basis"};
    Table table = {.csv = g_string_new(NULL)};

    put_heads(&table, heads, G_N_ELEMENTS(heads));
    for (size_t i = 0; i < results->finding_count; i++)
        put_finding(&table, results, &results->findings[i]);
    return g_string_free(table.csv, FALSE);
}
