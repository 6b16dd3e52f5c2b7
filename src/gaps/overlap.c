/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/overlap_private.h"

#include "gaps/inside_private.h"
#include "geom/tol.h"

/** No point of a box's content is deeper inside it than half the box's least side: a ball about it
 * would not fit. */
static double
deepest_possible(TbBox3 box)
{
    TbVec3 side = tb_vec3_sub(box.high, box.low);

    return 0.5 * fmin(side.x, fmin(side.y, side.z));
}

TbStatus
tb_overlap__depth(
    TbField *a, TbField *b, double width, long budget, const TbTask *task, TbDepth *depth)
{
    const TbNode *root_a = &a->node[a->root], *root_b = &b->node[b->root];

    (void)width;
    (void)budget;
    (void)task;
    *depth = (TbDepth){.upper = TB_TOL_ROUND, .exhausted = true};
    for (uint32_t i = 0; i < root_a->count; i++) {
        for (uint32_t k = 0; k < root_b->count; k++) {
            TbBox3 box_a = a->node[root_a->first + i].box, box_b = b->node[root_b->first + k].box;

            if (!tb_inside__has(tb_field__part(a, root_a->first + i)) ||
                !tb_inside__has(tb_field__part(b, root_b->first + k)) ||
                tb_box3_distance2(box_a, box_b) > 0)
                continue;
            depth->any = true;
            depth->lower =
                fmin(depth->lower, -fmax(deepest_possible(box_a), deepest_possible(box_b)));
        }
    }
    return TB_OK;
}
