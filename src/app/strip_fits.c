/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/strip_fits.h"

#include <math.h>
#include <string.h>

/** px of a mm of a picture at the usual font. */
#define DOTS 3.2

/** px. Higher charts are a mistake of the settings. */
#define MOST_HEIGHT 4000.0

#define KEY "strip-heights"

/** The fit of a chart, made where there is none; NULL where there is no room for one more. */
static TbStripFit *
fit_of(TbStripFits *fits, const char *chart)
{
    for (size_t i = 0; i < fits->count; i++)
        if (strcmp(fits->fit[i].chart, chart) == 0)
            return &fits->fit[i];
    if (fits->count == TB_STRIP_MOST)
        return NULL;
    fits->name[fits->count] = g_strdup(chart);
    fits->fit[fits->count] = (TbStripFit){.chart = fits->name[fits->count]};
    return &fits->fit[fits->count++];
}

void
tb_strip_fits_load(TbStripFits *fits, GSettings *settings)
{
    g_autoptr(GVariant) heights = NULL;
    GVariantIter all;
    const char *chart;
    double px;

    *fits = (TbStripFits){.count = 0};
    if (settings == NULL)
        return;
    heights = g_settings_get_value(settings, KEY);
    g_variant_iter_init(&all, heights);
    while (g_variant_iter_next(&all, "{&sd}", &chart, &px)) {
        if (px > 0 && px < MOST_HEIGHT)
            tb_strip_fits_set_height(fits, chart, px / DOTS);
        else if (px == 0)
            tb_strip_fits_set_folded(fits, chart, true);
    }
}

void
tb_strip_fits_clear(TbStripFits *fits)
{
    for (size_t i = 0; i < fits->count; i++)
        g_free(fits->name[i]);
    *fits = (TbStripFits){.count = 0};
}

void
tb_strip_fits_save(const TbStripFits *fits, GSettings *settings)
{
    GVariantBuilder heights;

    if (settings == NULL)
        return;
    g_variant_builder_init(&heights, G_VARIANT_TYPE("a{sd}"));
    for (size_t i = 0; i < fits->count; i++) {
        const TbStripFit *fit = &fits->fit[i];

        if (fit->folded || fit->height > 0)
            g_variant_builder_add(&heights, "{sd}", fit->chart,
                                  fit->folded ? 0 : round(fit->height * DOTS));
    }
    g_settings_set_value(settings, KEY, g_variant_builder_end(&heights));
}

bool
tb_strip_fits_is_folded(const TbStripFits *fits, const char *chart)
{
    for (size_t i = 0; i < fits->count; i++)
        if (strcmp(fits->fit[i].chart, chart) == 0)
            return fits->fit[i].folded;
    return false;
}

void
tb_strip_fits_set_folded(TbStripFits *fits, const char *chart, bool folded)
{
    TbStripFit *fit = fit_of(fits, chart);

    if (fit != NULL)
        fit->folded = folded;
}

void
tb_strip_fits_set_height(TbStripFits *fits, const char *chart, double height)
{
    TbStripFit *fit = fit_of(fits, chart);

    if (fit == NULL)
        return;
    fit->height = fmax(TB_STRIP_LEAST, height);
    fit->folded = false;
}
