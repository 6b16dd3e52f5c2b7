/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "batch/job.h"
#include "batch/options.h"
#include "bay/read.h"
#include "draw/export.h"
#include "draw/pack.h"
#include "draw/paint.h"
#include "study/dossier_make.h"

#include <string.h>

/** What was asked. */
typedef struct Options {
    char *against, *out, *paper, *projection, *pages, *state, *variant;
    gboolean grey;
} Options;

static bool
read_projection(const char *text, TbProjection *projection)
{
    *projection = TB_PROJECTION_FIRST;
    if (text == NULL || strcmp(text, "first") == 0)
        return true;
    *projection = TB_PROJECTION_THIRD;
    if (strcmp(text, "third") == 0)
        return true;
    tb_job_complain(_("tightbay-batch pack: --projection %s, wanted is first or third"), text);
    return false;
}

static bool
read_against(const char *path, TbBay **bay)
{
    TbFault fault = {0};

    *bay = NULL;
    if (path == NULL || tb_bay_read_file(path, bay, &fault) == TB_OK)
        return true;
    tb_job_say(path, &fault);
    return false;
}

/* ---- where the bytes go ---- */

static TbStatus
write_pack(TbPack *pack, TbTheme theme, const char *path, TbTask *task, TbFault *fault)
{
    return strcmp(path, "-") == 0
               ? tb_pack_write(pack, theme, tb_job_standard_output, NULL, task, fault)
               : tb_pack_save(pack, theme, path, task, fault);
}

/** Its ending promises a picture. */
static bool
is_another_kind(const char *path)
{
    TbExportFormat format = tb_export_format_of(path);

    return format != TB_EXPORT_UNKNOWN && format != TB_EXPORT_PDF;
}

/* ---- the command ---- */

static bool
make(TbJob *job, const Options *options, TbPackDef *def, const TbDossierAsk *ask)
{
    g_auto(GStrv) chapters = options->pages == NULL ? NULL : g_strsplit(options->pages, ",", -1);
    TbPaintMeasurer *measurer = tb_paint_measurer_new();
    TbTheme theme = options->grey ? TB_THEME_GREY : TB_THEME_PRINT;
    TbDossier *dossier = NULL;
    TbPack *pack = NULL;
    TbFault fault = {0};
    TbStatus status = tb_dossier_new(job->study, ask, &job->task, &dossier, &fault);
    const char *about = job->file;

    def->dossier = dossier;
    def->chapters = (const char *const *)chapters;
    def->measurer = tb_paint_measurer(measurer);
    if (status == TB_OK)
        status = tb_pack_new(def, &pack, &fault);
    if (status == TB_OK && tb_pack_count(pack) == 0)
        status = tb_fail(&fault, TB_E_RANGE, "none of the pages asked for has anything to show");
    if (status == TB_OK) {
        status = write_pack(pack, theme, options->out, &job->task, &fault);
        if (status == TB_E_IO)
            about = NULL; /* the sentence names the place */
    }
    tb_job_hush(job);
    if (status != TB_OK && about != NULL)
        tb_job_say(about, &fault);
    else if (status != TB_OK)
        tb_job_complain("%s", fault.text);
    tb_pack_free(pack);
    tb_dossier_unref(dossier);
    tb_paint_measurer_free(measurer);
    return status == TB_OK;
}

static int
pack(const Options *options, const char *file, TbPackDef *def)
{
    g_autofree char *folder =
        options->against == NULL ? NULL : g_path_get_dirname(options->against);
    TbDossierAsk ask = {.name = strcmp(file, "-") == 0 ? NULL : file,
                        .state = options->state,
                        .variant = options->variant,
                        .against_folder = folder,
                        .against_name = options->against};
    int status = TB_EXIT_WRONG;
    TbJob job;

    if (!read_against(options->against, &ask.against))
        return TB_EXIT_WRONG;
    if (tb_job_open(&job, file, options->state, options->variant)) {
        ask.bay = job.bay;
        ask.folder = job.folder;
        if (make(&job, options, def, &ask))
            status = TB_EXIT_OK;
        tb_job_close(&job);
    }
    tb_bay_unref(ask.against);
    return status;
}

static void
clear(Options *options)
{
    g_free(options->against);
    g_free(options->out);
    g_free(options->paper);
    g_free(options->projection);
    g_free(options->pages);
    g_free(options->state);
    g_free(options->variant);
}

static int
run(const TbCommand *command, int argc, char **argv)
{
    Options options = {0};
    const GOptionEntry entries[] = {
        {"against", 0, 0, G_OPTION_ARG_FILENAME, &options.against,
         N_("Tell what changed since this bay"), "OLD"},
        {"output", 'o', 0, G_OPTION_ARG_FILENAME, &options.out, N_("Where the pack goes"),
         "OUT.pdf"},
        {"paper", 0, 0, G_OPTION_ARG_STRING, &options.paper,
         N_("A4, A3, Letter or Tabloid (default: A3)"), "PAPER"},
        {"projection", 0, 0, G_OPTION_ARG_STRING, &options.projection,
         N_("How views are placed: first or third angle (default: first)"), "first|third"},
        {"pages", 0, 0, G_OPTION_ARG_STRING, &options.pages,
         N_("These pages only, by name and separated by commas"), "summary,gaps,..."},
        {"grey", 0, 0, G_OPTION_ARG_NONE, &options.grey, N_("Without colours"), NULL},
        TB_OPTION_STATE_ONLY(&options.state),
        TB_OPTION_VARIANT_ONLY(&options.variant),
        G_OPTION_ENTRY_NULL};
    TbPackDef def = {0};
    int status;

    if (!tb_job_arguments(command, entries, &argc, &argv, 1, 1, &status)) {
        clear(&options);
        return status;
    }
    status = TB_EXIT_WRONG;
    if (options.out == NULL)
        tb_job_complain(_("tightbay-batch pack: -o is needed"));
    else if (is_another_kind(options.out))
        tb_job_complain("tightbay-batch pack: %s", _("sheets are written as .pdf"));
    else if (tb_options_paper("pack", options.paper, TB_PAPER_A3, &def.paper) &&
             read_projection(options.projection, &def.projection))
        status = pack(&options, argv[1], &def);
    clear(&options);
    return status;
}

const TbCommand tb_command_pack = {
    "pack",
    "FILE [--against OLD] -o OUT.pdf [--paper A4|A3|Letter|Tabloid] [--projection first|third] "
    "[--pages summary,gaps,...] [--grey] [--variant V] [--state S]",
    N_("Write the review pack: one PDF that a design review can decide on."), run};
