/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "batch/job.h"

#include "base/save.h"
#include "bay/read.h"
#include "study/say.h"
#include "study/shelf.h"

#include <errno.h>
#include <glib/gi18n.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#define NOT_GIVEN G_MININT

/** MiB that a scan may take, as the command line had it. */
static int scan_memory = NOT_GIVEN;

/** µs before progress is shown: work that is over sooner needs none. */
#define QUIET_TIME G_USEC_PER_SEC

void
tb_job_complain(const char *format, ...)
{
    va_list args;
    g_autofree char *text = NULL;

    va_start(args, format);
    text = g_strdup_vprintf(format, args);
    va_end(args);
    fprintf(stderr, "%s\n", text);
}

void
tb_job_say(const char *place, const TbFault *fault)
{
    if (fault->line > 0)
        tb_job_complain("%s:%d: %s", place, fault->line, fault->text);
    else
        tb_job_complain("%s: %s", place, fault->text);
}

bool
tb_job_arguments(const TbCommand *command,
                 const GOptionEntry entries[],
                 int *argc,
                 char ***argv,
                 int least,
                 int most,
                 int *status)
{
    g_autofree char *head = g_strdup_printf("%s %s", command->name, command->arguments);
    g_autoptr(GOptionContext) context = g_option_context_new(NULL);
    g_autoptr(GError) error = NULL;
    gboolean help = FALSE;
    GOptionEntry own[] = {
        {"scan-memory", 0, 0, G_OPTION_ARG_INT, &scan_memory,
         N_("Memory that one scan may take; a larger one is left out, and what hangs on it open"),
         "MIB"},
        {"help", 'h', 0, G_OPTION_ARG_NONE, &help, N_("Say what this command does"), NULL},
        G_OPTION_ENTRY_NULL};
    int files;

    g_option_context_set_help_enabled(context, FALSE);
    g_option_context_set_summary(context, _(command->summary));
    g_option_context_add_main_entries(context, entries, GETTEXT_PACKAGE);
    g_option_context_add_main_entries(context, own, GETTEXT_PACKAGE);
    if (!g_option_context_parse(context, argc, argv, &error)) {
        tb_job_complain("tightbay-batch %s: %s", command->name, error->message);
        *status = TB_EXIT_WRONG;
        return false;
    }
    if (scan_memory < 1 && scan_memory != NOT_GIVEN) {
        tb_job_complain(_("tightbay-batch %s: --scan-memory must be above 0 MiB, %d is given"),
                        command->name, scan_memory);
        *status = TB_EXIT_WRONG;
        return false;
    }
    if (help) {
        g_autofree char *options = g_option_context_get_help(context, TRUE, NULL);
        const char *from = strchr(options, '\n');

        /* the parser's first lines name the program without its command */
        printf("%s tightbay-batch %s\n%s", _("Usage:"), head,
               from != NULL ? strchr(from + 1, '\n') : "");
        *status = TB_EXIT_OK;
        return false;
    }
    files = *argc - 1;
    if (files < least || files > most) {
        tb_job_complain(ngettext("tightbay-batch %s: %d file given, the call is: %s",
                                 "tightbay-batch %s: %d files given, the call is: %s",
                                 (unsigned long)files),
                        command->name, files, head);
        *status = TB_EXIT_WRONG;
        return false;
    }
    return true;
}

/** One line that is written over; only on a terminal and only when it takes long. */
static void
show_progress(void *user, const char *what, double share)
{
    TbJob *job = user;

    if (g_get_monotonic_time() - job->began < QUIET_TIME || !isatty(STDERR_FILENO))
        return;
    job->showing = true;
    fprintf(stderr, "\r\033[K%s %3.0f %%", tb_say_progress(what), 100 * share);
    fflush(stderr);
}

void
tb_job_hush(TbJob *job)
{
    if (job->showing)
        fprintf(stderr, "\r\033[K");
    job->showing = false;
}

bool
tb_job_answered(TbJob *job, TbStatus status, const TbFault *fault)
{
    tb_job_hush(job);
    if (status != TB_OK)
        tb_job_say(job->file, fault);
    return status == TB_OK;
}

static TbStore *
new_store(void)
{
    g_autofree char *folder = tb_shelf_default_folder();
    TbStoreDef def = {.cache = folder};

    if (scan_memory != NOT_GIVEN)
        def.memory = (uint64_t)scan_memory << 20;
    return tb_store_new_with(&def);
}

bool
tb_job_open(TbJob *job, const char *file, const char *state, const char *variant)
{
    bool from_input = strcmp(file, "-") == 0;
    TbFault fault = {0};

    memset(job, 0, sizeof *job);
    job->file = g_strdup(from_input ? _("standard input") : file);
    job->folder = from_input ? g_strdup(".") : g_path_get_dirname(file);
    job->began = g_get_monotonic_time();
    job->task.report = show_progress;
    job->task.user = job;
    if (tb_bay_read_file(file, &job->bay, &fault) != TB_OK) {
        tb_job_say(job->file, &fault);
        tb_job_close(job);
        return false;
    }
    for (size_t i = 0; i < job->bay->warning_count; i++)
        tb_job_complain("%s:%d: %s", job->file, job->bay->warnings[i].line,
                        job->bay->warnings[i].text);
    job->store = new_store();
    job->work = tb_work_new(tb_work_processors());
    job->study = tb_study_new(job->store, job->work);
    job->ask = (TbAsk){.bay = job->bay,
                       .folder = job->folder,
                       .state = state,
                       .variant = variant,
                       .unit = tb_bay_unit(job->bay)};
    return true;
}

void
tb_job_close(TbJob *job)
{
    tb_job_hush(job);
    tb_study_free(job->study);
    tb_store_unref(job->store);
    tb_work_free(job->work);
    tb_bay_unref(job->bay);
    g_free(job->folder);
    g_free(job->file);
    memset(job, 0, sizeof *job);
}

TbStatus
tb_job_standard_output(void *user, const void *bytes, size_t size, TbFault *fault)
{
    (void)user;
    if (fwrite(bytes, 1, size, stdout) == size && fflush(stdout) == 0)
        return TB_OK;
    return tb_fail(fault, TB_E_IO, _("standard output cannot be written: %s"), g_strerror(errno));
}

bool
tb_job_write(const char *path, const void *bytes, size_t size)
{
    TbFault fault = {0};

    if (strcmp(path, "-") != 0) {
        if (tb_save_bytes(path, bytes, size, &fault) == TB_OK)
            return true;
        tb_job_complain("%s", fault.text);
        return false;
    }
    if (tb_job_standard_output(NULL, bytes, size, &fault) == TB_OK)
        return true;
    tb_job_complain("%s", fault.text);
    return false;
}
