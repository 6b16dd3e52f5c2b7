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

/** Relative. Rounding of a bound on how far sections are from each other. */
#define SPARE (1 + 1e-9)

/**
 * How far the outlines of two stations of one span of the law are from each other, at most, in
 * their own axes. A point of one is e + q + t n, q = diag(a, b) ((1 - m) p0 + m p1); the point of
 * the other with the same p0, p1 and n is off by what e, t, a, b and m change. As n is any unit
 * vector, |q| is at most the reach and |e|.
 */
static double
outline_moved(const TbLawSpan *span, const TbSlice *from, const TbSlice *to, double reach)
{
    double offset = hypot(to->offset.x - from->offset.x, to->offset.y - from->offset.y);
    double stretch = fmax(fabs(to->a / from->a - 1), fabs(to->b / from->b - 1));
    double most = reach + hypot(from->offset.x, from->offset.y);
    TbVec2 difference = span->pair.difference;
    double mix = fabs(to->mix - from->mix) * hypot(to->a * difference.x, to->b * difference.y);

    return offset + fabs(to->wall - from->wall) + stretch * most + mix;
}

/** The same from station to station, span by span. */
static double
outlines_moved(const TbLaw *law, const TbDiscAt *from, const TbDiscAt *to)
{
    size_t first = tb_law_find(law, from->disc.station), last = tb_law_find(law, to->disc.station);
    TbSlice slice = tb_law_in_span(tb_law_span(law, first), from->disc.station);
    double moved = 0, reach = from->reach;

    for (size_t i = first; i <= last; i++) {
        const TbLawSpan *span = tb_law_span(law, i);
        double start = i == first ? from->disc.station : span->start;
        double end = i == last ? to->disc.station : span->start + span->length;
        TbSlice next = tb_law_in_span(span, end);

        if (i > first) {
            slice = tb_law_in_span(span, start);
            reach = tb_slice_reach(&slice, true);
        }
        moved += outline_moved(span, &slice, &next, reach);
    }
    return moved;
}

/** The section's axes turn about its centre: a point at (x, y) goes by |x dw + y dh| at most. */
static double
section_moved(const TbLaw *law, const TbDiscAt *from, const TbDiscAt *to)
{
    double dw = tb_vec3_distance(from->disc.w, to->disc.w);
    double dh = tb_vec3_distance(from->disc.h, to->disc.h);
    double turned = fmax(from->reach, to->reach) * hypot(dw, dh);
    double centre = tb_vec3_distance(from->disc.centre, to->disc.centre);

    return (centre + turned + outlines_moved(law, from, to)) * SPARE + TB_TOL_ROUND;
}

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
        if (i > 0)
            at->gone =
                made->at[i - 1].gone + section_moved(tb_sweep_law(sweep), &made->at[i - 1], at);
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
