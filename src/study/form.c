/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/form.h"

#include "study/digest.h"
#include "study/shape.h"

TbForm *
tb_form_new(const TbForm *facts, TbSolid *solid)
{
    TbSweep *sweep = solid == NULL ? NULL : tb_solid_sweep(solid);
    TbForm *form = g_memdup2(facts, sizeof *facts);

    form->solid = solid;
    form->sweep = sweep == NULL ? NULL : tb_sweep_ref(sweep);
    return form;
}

void
tb_form_free(gpointer data)
{
    TbForm *form = data;

    tb_solid_unref(form->solid);
    tb_sweep_unref(form->sweep);
    g_free(form);
}

/* What a scan in its place is the surface of. */
static TbStatus
find_body(const TbSolid *solid, TbMeshBody *body, bool *room, TbFault *fault)
{
    const TbPart *part = tb_solid_part(solid, 0);

    if (part->kind != TB_PART_MESH || tb_tree_body(part->tree, body, room) == TB_OK)
        return TB_OK;
    return tb_fail(fault, TB_E_MEMORY, "no room for the rim of a scan");
}

static TbStatus
make_form(const void *input, TbTask *task, void **value, TbFault *fault)
{
    const TbBlueprint *print = input;
    bool is_scan = print->item->kind == TB_ITEM_SCAN;
    TbForm facts = {.is_scan = is_scan && print->status == TB_OK,
                    .scan = print->scan.state,
                    .scan_fault = print->scan.fault,
                    .body = TB_BODY_CLOSED,
                    .grown = tb_pose_identity()};
    TbSolid *solid = NULL;
    TbFault why = print->fault;
    TbStatus status = print->status;

    if (tb_task_is_cancelled(task))
        return tb_fail(fault, TB_E_CANCELLED, "stopped while building shapes");
    if (status == TB_OK)
        status = tb_blueprint_build(print, &solid, &why);
    if (status == TB_OK && is_scan)
        status = find_body(solid, &facts.body, &facts.room, &why);
    if (status != TB_OK) {
        tb_solid_unref(solid);
        solid = NULL;
    }
    if (status == TB_E_MEMORY) {
        *fault = why;
        return status;
    }
    if (print->scan.tree != NULL)
        facts.mesh = tb_mesh_facts(tb_tree_mesh(print->scan.tree));
    if (status == TB_OK)
        tb_digest(solid, print->scan.checksum, facts.digest);
    else
        facts.fault = why;
    *value = tb_form_new(&facts, solid);
    return TB_OK;
}

static void
blueprint_free(gpointer data)
{
    tb_blueprint_free(data);
}

const TbSort tb_sort_form = {
    .what = "shapes", .make = make_form, .free_value = tb_form_free, .free_input = blueprint_free};
