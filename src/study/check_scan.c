/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/check.h"

#include <glib/gi18n-lib.h>

static TbLevel
level_of(const TbForm *form)
{
    if (form->scan != TB_SCAN_READY)
        return TB_LEVEL_OPEN;
    /* Neighbours that disagree about which side is out say little about what is inside, and normals
     * that point in may be a room's or a mistake. */
    return form->mesh.flipped_edges > 0 || form->room ? TB_LEVEL_WATCH : TB_LEVEL_HOLDS;
}

static void
visit(const TbCaseItem *item, TbResults *results)
{
    const TbForm *form = item->form;
    TbFindingDef def = tb_finding_def("scan", item->placed->id);
    TbFinding *finding;

    if (!form->is_scan)
        return;
    def.variant = item->variant;
    def.place.item = (char *)item->placed->id;
    def.level = level_of(form);
    def.basis = N_("the scan's file against its checksum in the bay");
    finding = tb_results_add_finding(results, &def);
    tb_finding_add_text(results, finding, "reason", form->scan_fault.text);
    tb_finding_add_number(results, finding, "triangles", (double)form->mesh.triangles_read);
    tb_finding_add_number(results, finding, "dropped",
                          (double)(form->mesh.dropped_degenerate + form->mesh.dropped_not_finite));
    tb_finding_add_number(results, finding, "open_edges", (double)form->mesh.open_edges);
    tb_finding_add_number(results, finding, "flipped_edges", (double)form->mesh.flipped_edges);
    tb_finding_add_number(results, finding, "shells", (double)form->mesh.shells);
    tb_finding_add_text(results, finding, "body",
                        form->scan == TB_SCAN_READY ? tb_mesh_body_name(form->body) : "");
    tb_finding_add_text(results, finding, "normals", form->room ? "inward" : "");
}

void
tb_check_scan(const TbCase *theirs, TbResults *results)
{
    tb_case_each_item(theirs, visit, results);
}
