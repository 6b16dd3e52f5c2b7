/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/scene_build.h"
#include "study/study.h"

static TbStatus
mesh_of(
    const TbForm *form, const char *item, bool inner, double chord, TbMesh **mesh, TbFault *fault)
{
    if (!inner)
        return tb_solid_mesh(form->solid, chord, mesh, fault);
    if (form->sweep == NULL)
        return tb_fail(fault, TB_E_REFERENCE, "item %s has no path, so it has no gas side", item);
    return tb_sweep_mesh(form->sweep, true, chord, mesh, fault);
}

TbStatus
tb_study_mesh(TbStudy *study,
              const TbAsk *ask,
              const char *item,
              bool inner,
              double chord,
              TbTask *task,
              TbMesh **mesh,
              TbFault *fault)
{
    TbCase *theirs = NULL;
    TbFault unheard = {0};
    TbFault *why = fault == NULL ? &unheard : fault;
    TbStatus status = tb_case_new(study, ask, 0, true, task, &theirs, why);
    size_t index = 0;

    if (status != TB_OK)
        return status;
    status = tb_stand_want(theirs->stands[0].stand, item, &index, why);
    if (status == TB_OK)
        status = mesh_of(tb_placed_form(&theirs->stands[0].stand->items[index]), item, inner, chord,
                         mesh, why);
    tb_case_free(theirs);
    return status;
}
