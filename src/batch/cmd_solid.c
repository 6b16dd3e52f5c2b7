/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/save.h"
#include "batch/job.h"
#include "batch/options.h"

#include <string.h>

/** mm. Default distance of the mesh from the true surface. */
#define CHORD 0.05

static TbStatus
into_file(void *user, const void *bytes, size_t size, TbFault *fault)
{
    return tb_save_write(user, bytes, size, fault);
}

static bool
write_mesh(const TbMesh *mesh, TbMeshFormat format, const char *out)
{
    TbSink sink = {tb_job_standard_output, NULL};
    TbSave *save = NULL;
    TbFault fault = {0};
    TbStatus status = TB_OK;

    if (strcmp(out, "-") != 0) {
        status = tb_save_open(out, &save, &fault);
        sink = (TbSink){into_file, save};
    }
    if (status == TB_OK) {
        status = tb_mesh_write(mesh, format, &sink, &fault);
        if (status != TB_OK)
            tb_save_drop(save);
        else if (save != NULL)
            status = tb_save_close(save, &fault);
    }
    if (status != TB_OK)
        tb_job_complain("%s", fault.text);
    return status == TB_OK;
}

static int
run(const TbCommand *command, int argc, char **argv)
{
    g_autofree char *item = NULL;
    g_autofree char *out = NULL;
    g_autofree char *state = NULL;
    g_autofree char *variant = NULL;
    gboolean inner = FALSE;
    double chord = CHORD;
    const GOptionEntry entries[] = {
        {"item", 0, 0, G_OPTION_ARG_STRING, &item, N_("The item"), "ID"},
        {"output", 'o', 0, G_OPTION_ARG_FILENAME, &out, N_("Where the mesh goes"), "OUT.stl|.ply"},
        {"inner", 0, 0, G_OPTION_ARG_NONE, &inner, N_("The gas side instead of the outside"), NULL},
        {"chord", 0, 0, G_OPTION_ARG_DOUBLE, &chord,
         N_("Largest distance from the true surface in mm (default: 0.05)"), "MM"},
        TB_OPTION_STATE(&state),
        TB_OPTION_VARIANT(&variant),
        G_OPTION_ENTRY_NULL};
    TbMeshFormat format;
    TbMesh *mesh = NULL;
    TbFault fault = {0};
    TbStatus made;
    TbJob job;
    int status;

    if (!tb_job_arguments(command, entries, &argc, &argv, 1, 1, &status))
        return status;
    if (!tb_options_have("solid", "--item", item, out))
        return TB_EXIT_WRONG;
    if (!(chord >= 1e-4 && chord <= 10)) {
        tb_job_complain(_("tightbay-batch solid: --chord %g, 0.0001 to 10 mm can be asked"), chord);
        return TB_EXIT_WRONG;
    }
    format = strcmp(out, "-") == 0 ? TB_MESH_STL : tb_mesh_format_of(out);
    if (format != TB_MESH_STL && format != TB_MESH_PLY) {
        tb_job_complain(_("tightbay-batch solid: %s ends in none of .stl, .ply"), out);
        return TB_EXIT_WRONG;
    }
    if (!tb_job_open(&job, argv[1], state, variant))
        return TB_EXIT_WRONG;
    made = tb_study_mesh(job.study, &job.ask, item, inner, chord, &job.task, &mesh, &fault);
    status = TB_EXIT_WRONG;
    if (tb_job_answered(&job, made, &fault) && write_mesh(mesh, format, out))
        status = TB_EXIT_OK;
    tb_mesh_unref(mesh);
    tb_job_close(&job);
    return status;
}

const TbCommand tb_command_solid = {
    "solid", "FILE --item ID [--inner] [--chord MM] -o OUT.stl|.ply [--variant V] [--state S]",
    N_("Write an item's surface as a mesh in the bay's axes."), run};
