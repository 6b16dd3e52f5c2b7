/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "batch/job.h"
#include "bay/preset.h"
#include "bay/write.h"

#include <glib/gi18n.h>

/* "hot, brake (shielded: no)" */
static void
put_pair(GString *text, const TbKeep *keep)
{
    g_string_append_printf(text, "%s, %s", keep->class_a, keep->class_b);
    if (keep->shielded != TB_TELL_ANY)
        g_string_append_printf(text, " (%s)",
                               keep->shielded == TB_TELL_YES ? _("shielded") : _("not shielded"));
    if (keep->same_mount != TB_TELL_ANY)
        g_string_append_printf(text, " (%s)",
                               keep->same_mount == TB_TELL_YES ? _("on one mount")
                                                               : _("on two mounts"));
}

/* What the table has and the bay lacks, a keep a line; empty: nothing. */
static GString *
lacking_text(const TbBay *bay, const TbBay *usual)
{
    GString *text = g_string_new(NULL);

    for (size_t i = 0; i < tb_bay_count(usual, TB_LIST_KEEPS); i++) {
        const TbKeep *keep = tb_bay_keep_at(usual, i);

        if (!tb_keep_is_lacking(bay, keep))
            continue;
        put_pair(text, keep);
        g_string_append_printf(text, ": %s; %s\n", keep->reason == NULL ? "-" : keep->reason,
                               keep->source == NULL ? "-" : keep->source);
    }
    return text;
}

/** A bay with the usual keeps, of a table of the user's own or the program's. */
static TbStatus
read_usual(const char *path, TbBay **usual, TbFault *fault)
{
    g_autofree char *bytes = NULL;
    g_autoptr(GError) error = NULL;
    gsize size = 0;

    if (path == NULL)
        return tb_bay_new_kit("usual", TB_KIT_TRANSVERSE, usual, fault);
    if (!g_file_get_contents(path, &bytes, &size, &error))
        return tb_fail(fault, TB_E_IO, "%s", error->message);
    return tb_bay_new_kit_with(bytes, size, "usual", TB_KIT_TRANSVERSE, usual, fault);
}

static bool
write_bay(const TbBay *bay, const char *out)
{
    GString *text = tb_bay_to_text(bay);
    bool done = tb_job_write(out, text->str, text->len);

    g_string_free(text, TRUE);
    return done;
}

/** @param out where the bay with them goes; NULL: nowhere */
static bool
tell_and_add(const TbJob *job, const TbBay *usual, const char *out)
{
    g_autoptr(GString) lacking = lacking_text(job->bay, usual);
    TbBay *made = tb_bay_ref(job->bay);
    TbFault fault = {0};
    bool done = true;

    if (out != NULL && lacking->len > 0) {
        tb_bay_unref(made);
        if (tb_edit_add_default_keeps(job->bay, usual, NULL, &made, &fault) != TB_OK) {
            tb_job_say(job->file, &fault);
            return false;
        }
    }
    if (lacking->len == 0)
        g_string_append_printf(lacking, "%s\n",
                               _("Every pair of classes that usually has a keep has one."));
    if (out != NULL)
        done = write_bay(made, out);
    tb_bay_unref(made);
    /* the bay may be what standard output is for */
    if (g_strcmp0(out, "-") != 0)
        done &= tb_job_write("-", lacking->str, lacking->len);
    return done;
}

static int
run(const TbCommand *command, int argc, char **argv)
{
    g_autofree char *out = NULL;
    g_autofree char *table = NULL;
    const GOptionEntry entries[] = {
        {"output", 'o', 0, G_OPTION_ARG_FILENAME, &out, N_("Write the bay with them in it"),
         "OUT.bay"},
        {"table", 0, 0, G_OPTION_ARG_FILENAME, &table,
         N_("Take the usual keeps from this table instead of the program's own"), "TABLE.xml"},
        G_OPTION_ENTRY_NULL};
    TbBay *usual = NULL;
    TbFault fault = {0};
    TbJob job;
    int status;

    if (!tb_job_arguments(command, entries, &argc, &argv, 1, 1, &status))
        return status;
    if (read_usual(table, &usual, &fault) != TB_OK) {
        tb_job_say(table != NULL && fault.line > 0 ? table : "tightbay-batch keeps", &fault);
        return TB_EXIT_WRONG;
    }
    status = TB_EXIT_WRONG;
    if (tb_job_open(&job, argv[1], NULL, NULL)) {
        if (tell_and_add(&job, usual, out))
            status = TB_EXIT_OK;
        tb_job_close(&job);
    }
    tb_bay_unref(usual);
    return status;
}

const TbCommand tb_command_keeps = {
    "keeps", "FILE [-o OUT.bay] [--table TABLE.xml]",
    N_("Tell, or add, the usual keeps of pairs of classes that have none."), run};
