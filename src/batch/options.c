/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "batch/options.h"

#include "batch/job.h"

bool
tb_options_have(const char *command, const char *name, const char *value, const char *output)
{
    if (value != NULL && output != NULL)
        return true;
    tb_job_complain(_("tightbay-batch %s: %s and -o are needed"), command, name);
    return false;
}

bool
tb_options_is_count(const char *command, const char *name, gint64 value, gint64 least, gint64 most)
{
    g_autofree char *given = g_strdup_printf("%" G_GINT64_FORMAT, value);
    g_autofree char *low = g_strdup_printf("%" G_GINT64_FORMAT, least);
    g_autofree char *high = g_strdup_printf("%" G_GINT64_FORMAT, most);

    if (value >= least && value <= most)
        return true;
    tb_job_complain(_("tightbay-batch %s: %s must be %s to %s, %s is given"), command, name, low,
                    high, given);
    return false;
}

bool
tb_options_paper(const char *command, const char *text, TbPaper otherwise, TbPaper *paper)
{
    int named = text == NULL ? (int)otherwise : tb_paper_of(text);

    if (named >= 0)
        *paper = (TbPaper)named;
    else
        tb_job_complain(_("tightbay-batch %s: --paper %s, wanted is A4, A3, Letter or Tabloid"),
                        command, text);
    return named >= 0;
}
