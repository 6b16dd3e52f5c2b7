/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/mem.h"
#include "base/text.h"
#include "batch/job.h"
#include "batch/options.h"
#include "draw/export.h"
#include "draw/paint.h"
#include "draw/templates.h"

#include <limits.h>
#include <string.h>

/** Sections that nobody asked for by number. */
#define NO_COUNT INT_MIN

/** What is asked for. */
typedef struct Wish {
    char *item, *port, *stations, *paper, *out;
    int count;
    gboolean inner, outer;
    TbPaper size;
    GArray *at; /**< of double: the stations; NULL: evenly spread */
} Wish;

static void
wish_clear(Wish *wish)
{
    g_free(wish->item);
    g_free(wish->port);
    g_free(wish->stations);
    g_free(wish->paper);
    g_free(wish->out);
    g_clear_pointer(&wish->at, g_array_unref);
}

/** "40,120,283.5" */
static bool
read_stations(Wish *wish)
{
    g_auto(GStrv) words = NULL;

    if (wish->stations == NULL)
        return true;
    words = g_strsplit(wish->stations, ",", -1);
    wish->at = g_array_new(FALSE, FALSE, sizeof(double));
    for (size_t i = 0; words[i] != NULL; i++) {
        double station;

        if (!tb_text_to_double(words[i], strlen(words[i]), &station)) {
            tb_job_complain(_("tightbay-batch templates: --stations %s, wanted are numbers of mm "
                              "with commas between"),
                            wish->stations);
            return false;
        }
        g_array_append_val(wish->at, station);
    }
    return true;
}

static bool
is_count_right(int count)
{
    if (count == NO_COUNT || (count >= TB_TEMPLATES_LEAST && count <= TB_TEMPLATES_MOST))
        return true;
    tb_job_complain(_("tightbay-batch templates: --count %d, wanted is %d to %d"), count,
                    TB_TEMPLATES_LEAST, TB_TEMPLATES_MOST);
    return false;
}

/** Of a call its options fit each other. */
static bool
is_call_right(const Wish *wish)
{
    const char *wrong = NULL;

    if ((wish->item == NULL) == (wish->port == NULL))
        wrong = _("either --item or --port is needed");
    else if (wish->out == NULL)
        wrong = _("-o is needed");
    else if (wish->port != NULL && (wish->stations != NULL || wish->count != NO_COUNT))
        wrong = _("--stations and --count are of an --item");
    else if (wish->stations != NULL && wish->count != NO_COUNT)
        wrong = _("either --stations or --count can be given");
    else if (wish->inner && wish->outer)
        wrong = _("either --inner or --outer can be given; without, both are drawn");
    else if (strcmp(wish->out, "-") != 0 && tb_export_format_of(wish->out) != TB_EXPORT_PDF)
        wrong = _("sheets are written as .pdf");
    if (wrong != NULL)
        tb_job_complain("tightbay-batch templates: %s", wrong);
    return wrong == NULL && is_count_right(wish->count);
}

static TbStatus
ask_templates(TbJob *job, const Wish *wish, TbTemplates **templates, TbFault *fault)
{
    size_t count = wish->count != NO_COUNT ? (size_t)wish->count : TB_TEMPLATES_USUAL;

    if (wish->port != NULL)
        return tb_study_port_template(job->study, &job->ask, wish->port, &job->task, templates,
                                      fault);
    return tb_study_section_templates(job->study, &job->ask, wish->item,
                                      wish->at != NULL ? (double *)(void *)wish->at->data : NULL,
                                      wish->at != NULL ? wish->at->len : count, &job->task,
                                      templates, fault);
}

/** All sheets as one PDF. */
static TbStatus
export_sheets(const TbTemplateSheets *sheets,
              const char *title,
              unsigned char **bytes,
              size_t *size,
              TbFault *fault)
{
    size_t count = tb_template_sheets_count(sheets);
    TbPicture *pages = g_new0(TbPicture, count);
    TbStatus status = TB_OK;

    for (size_t i = 0; status == TB_OK && i < count; i++)
        status = tb_template_sheet(sheets, i, &pages[i], fault);
    if (status == TB_OK)
        status = tb_export_pages(pages, count, TB_THEME_PRINT, title, bytes, size, fault);
    for (size_t i = 0; i < count; i++)
        tb_picture_clear(&pages[i]);
    g_free(pages);
    return status;
}

static bool
draw(const Wish *wish, const TbTemplates *templates)
{
    TbPaintMeasurer *measurer = tb_paint_measurer_new();
    TbTemplateSide side = wish->inner   ? TB_TEMPLATE_INSIDE
                          : wish->outer ? TB_TEMPLATE_OUTSIDE
                                        : TB_TEMPLATE_BOTH;
    TbTemplateSheets *sheets =
        tb_template_sheets_new(templates, wish->size, side, tb_paint_measurer(measurer));
    unsigned char *bytes = NULL;
    size_t size = 0;
    TbFault fault = {0};
    TbStatus status = sheets != NULL
                          ? export_sheets(sheets, templates->title, &bytes, &size, &fault)
                          : tb_fail(&fault, TB_E_MEMORY, "no room for the sheets");
    bool done = status == TB_OK && tb_job_write(wish->out, bytes, size);

    if (status != TB_OK)
        tb_job_say(wish->out, &fault);
    tb_free(bytes);
    tb_template_sheets_free(sheets);
    tb_paint_measurer_free(measurer);
    return done;
}

static int
work(const Wish *wish, const char *file, const char *variant)
{
    TbTemplates *templates = NULL;
    TbFault fault = {0};
    TbStatus asked;
    TbJob job;
    int status = TB_EXIT_WRONG;

    if (!tb_job_open(&job, file, NULL, variant))
        return TB_EXIT_WRONG;
    asked = ask_templates(&job, wish, &templates, &fault);
    if (tb_job_answered(&job, asked, &fault) && draw(wish, templates))
        status = TB_EXIT_OK;
    tb_templates_free(templates);
    tb_job_close(&job);
    return status;
}

static int
run(const TbCommand *command, int argc, char **argv)
{
    Wish wish = {.count = NO_COUNT};
    g_autofree char *variant = NULL;
    const GOptionEntry entries[] = {
        TB_OPTION_ITEM(&wish.item),
        {"stations", 0, 0, G_OPTION_ARG_STRING, &wish.stations,
         N_("Sections at these stations, mm"), "S,S,..."},
        {"count", 0, 0, G_OPTION_ARG_INT, &wish.count,
         N_("So many sections, evenly spread (default: 8)"), "N"},
        {"inner", 0, 0, G_OPTION_ARG_NONE, &wish.inner, N_("The gas side only"), NULL},
        {"outer", 0, 0, G_OPTION_ARG_NONE, &wish.outer, N_("The outside only"), NULL},
        {"port", 0, 0, G_OPTION_ARG_STRING, &wish.port,
         N_("In place of an item: this port's flange, with the holes of its bolts"), "ID"},
        {"paper", 0, 0, G_OPTION_ARG_STRING, &wish.paper,
         N_("A4, A3, Letter or Tabloid (default: A4)"), "NAME"},
        {"output", 'o', 0, G_OPTION_ARG_FILENAME, &wish.out, N_("Where the sheets go"), "OUT.pdf"},
        TB_OPTION_VARIANT(&variant),
        G_OPTION_ENTRY_NULL};
    int status = TB_EXIT_WRONG;

    if (tb_job_arguments(command, entries, &argc, &argv, 1, 1, &status)) {
        status = TB_EXIT_WRONG;
        if (is_call_right(&wish) && read_stations(&wish) &&
            tb_options_paper("templates", wish.paper, TB_PAPER_A4, &wish.size))
            status = work(&wish, argv[1], variant);
    }
    wish_clear(&wish);
    return status;
}

const TbCommand tb_command_templates = {
    "templates",
    "FILE --item ID [--stations S,S,... | --count N] [--inner | --outer] | --port ID -o OUT.pdf "
    "[--paper A4] [--variant V]",
    N_("Draw sections or a flange at 1:1, to be cut out as card gauges."), run};
