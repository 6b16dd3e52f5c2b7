/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/dossier_build.h"

#include "base/text.h"
#include "study/say.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/* ---- numbers ---- */

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

/* ---- names and places ---- */

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
