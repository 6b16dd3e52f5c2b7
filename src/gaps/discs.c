/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/discs.h"

#include "base/mem.h"
#include "geom/convex.h"
#include "geom/tol.h"

#include <stdatomic.h>

struct TbDiscs {
    atomic_int references;
    TbSweep *sweep; /* its law holds what the slices point to */
    size_t count;
    TbDiscAt at[];
};

TbStatus
tb_discs_new(TbSweep *sweep, const double stations[], size_t count, TbDiscs **discs, TbFault *fault)
{
    TbDiscs *made = tb_alloc(sizeof *made + count * sizeof made->at[0]);

    if (made == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for the sections at %zu stations", count);
    atomic_init(&made->references, 1);
    made->sweep = tb_sweep_ref(sweep);
    made->count = count;
    for (size_t i = 0; i < count; i++) {
        TbDiscAt *at = &made->at[i];
        TbConvex body;

        at->disc = tb_sweep_at(sweep, stations[i]);
        body = tb_convex_of_disc(&at->disc, true);
        at->box = tb_convex_box(&body);
        at->reach = tb_slice_reach(&at->disc.slice, true) + TB_TOL_ROUND;
    }
    *discs = made;
    return TB_OK;
}

TbDiscs *
tb_discs_ref(TbDiscs *discs)
{
    atomic_fetch_add(&discs->references, 1);
    return discs;
}

void
tb_discs_unref(TbDiscs *discs)
{
    if (discs == NULL || atomic_fetch_sub(&discs->references, 1) != 1)
        return;
    tb_sweep_unref(discs->sweep);
    tb_free(discs);
}

size_t
tb_discs_count(const TbDiscs *discs)
{
    return discs->count;
}

const TbDiscAt *
tb_discs_at(const TbDiscs *discs, size_t index)
{
    return &discs->at[index];
}
