/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/mem.h"
#include "batch/job.h"

#include <glib/gi18n.h>
#include <gsl/gsl_errno.h>
#include <locale.h>
#include <stdio.h>
#include <string.h>

static const TbCommand *const commands[] = {
    &tb_command_check,     &tb_command_stations, &tb_command_tables,  &tb_command_cut,
    &tb_command_curve,     &tb_command_solid,    &tb_command_compare, &tb_command_pack,
    &tb_command_templates, &tb_command_keeps,    &tb_command_scatter,
};

static void
print_help(void)
{
    printf("%s tightbay-batch %s\n\n", _("Usage:"), _("COMMAND FILE ... [OPTION ...]"));
    printf("%s\n\n",
           _("Judges the hot side of a turbocharger kit in its engine bay, without a window."));
    for (size_t i = 0; i < G_N_ELEMENTS(commands); i++)
        printf("  %-9s %s\n            %s\n", commands[i]->name, commands[i]->arguments,
               _(commands[i]->summary));
    printf("\n%s\n",
           _("`tightbay-batch COMMAND --help` tells a command's options. `-` as a file name is "
             "standard input or output."));
    printf("%s\n", _("Exit status: 0 all hold, 1 something is short, 2 it cannot be judged."));
}

static void
use_language(void)
{
    const char *folder = g_getenv("TB_LOCALE_DIR");

    setlocale(LC_ALL, "");
    bindtextdomain(GETTEXT_PACKAGE, folder != NULL ? folder : TB_LOCALE_DIR);
    bind_textdomain_codeset(GETTEXT_PACKAGE, "UTF-8");
    textdomain(GETTEXT_PACKAGE);
}

int
main(int argc, char **argv)
{
    use_language();
    gsl_set_error_handler_off();
    tb_mem_keep();
    g_set_prgname("tightbay-batch");
    if (argc < 2) {
        tb_job_complain(_("tightbay-batch: no command given, see tightbay-batch --help"));
        return TB_EXIT_WRONG;
    }
    if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0) {
        print_help();
        return TB_EXIT_OK;
    }
    if (strcmp(argv[1], "--version") == 0) {
        printf("tightbay-batch %s\n", TB_VERSION);
        return TB_EXIT_OK;
    }
    for (size_t i = 0; i < G_N_ELEMENTS(commands); i++)
        if (strcmp(argv[1], commands[i]->name) == 0)
            return commands[i]->run(commands[i], argc - 1, argv + 1);
    tb_job_complain(_("tightbay-batch: no command `%s`, see tightbay-batch --help"), argv[1]);
    return TB_EXIT_WRONG;
}
