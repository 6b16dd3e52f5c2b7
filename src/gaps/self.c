/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/gap.h"

#include "gaps/search_private.h"
#include "geom/tol.h"

/** Pairs before the search gives up narrowing. Nearest points that lie just `apart` from each other
 * all along the path are found about as fast as any (stagger.c). */
#define SELF_BUDGET 60000

static TbStatus
search_self(TbSearch *search, TbField fields[2], double apart, double width, const TbTask *task)
{
    TbStatus status;

    tb_search__start(search, &fields[0], &fields[1], width);
    search->apart = apart;
    search->budget = SELF_BUDGET;
    search->task = task;
    status = tb_search__push(search, fields[0].root, fields[1].root, tb_vec3(0, 0, 0));
    return status == TB_OK ? tb_search__run(search) : status;
}

static TbGap
take_answer(const TbSearch *search)
{
    const TbWitness *w = &search->witness;
    TbGap gap = {.upper = search->upper, .certified = true, .nodes = search->nodes};

    /* a distance of points, not signed: never below 0 */
    gap.lower = search->met ? 0 : fmax(0, tb_search__lower(search));
    gap.point_a = w->point_a;
    gap.point_b = w->point_b;
    gap.site_a = w->site_a;
    gap.site_b = w->site_b;
    gap.exhausted = search->exhausted;
    gap.contact = search->met ? TB_CROSSES : TB_CLEAR;
    if (search->met)
        gap.upper = 0;
    return gap;
}

TbStatus
tb_gap_self(
    const TbSweep *sweep, double apart, double width, TbTask *task, TbGap *gap, TbFault *fault)
{
    TbKept all = {0, tb_sweep_length(sweep)};
    TbField fields[2] = {{.empty = true}, {.empty = true}};
    TbSearch search = {.a = NULL};
    TbStatus status = TB_OK;

    TB_ASSERT(apart > 0);
    if (apart > tb_sweep_length(sweep)) {
        *gap = (TbGap){.nothing = true, .certified = true, .lower = INFINITY, .upper = INFINITY};
        return TB_OK;
    }
    status = tb_field__of_sweep(&fields[0], sweep, all);
    if (status == TB_OK)
        status = tb_field__copy(&fields[1], &fields[0]);
    if (status == TB_OK)
        status = search_self(&search, fields, apart, fmax(width, TB_GAP_WIDTH_LEAST), task);
    if (status == TB_OK)
        *gap = take_answer(&search);
    tb_search__clear(&search);
    tb_field__clear(&fields[0]);
    tb_field__clear(&fields[1]);
    if (status == TB_E_CANCELLED)
        return tb_fail(fault, status, "stopped while a path was held against itself");
    return status == TB_OK ? TB_OK
                           : tb_fail(fault, status, "no room to hold a path against itself");
}
