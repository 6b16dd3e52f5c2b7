/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/solid_private.h"

#include "base/mem.h"

#include <stdatomic.h>

TbPartStrip
tb_part_strip_of(TbStrip strip)
{
    TbPartStrip made = {.strip = strip};

    made.box = tb_strip_box(&made.strip);
    made.centre = tb_strip_ball(&made.strip, &made.radius);
    return made;
}

static TbPartStrip *
make_halves(const TbPartStrip *whole)
{
    TbPartStrip *made = tb_alloc_array(2, sizeof *made);
    TbStrip half[2];

    if (made == NULL)
        return NULL;
    tb_strip_halves(&whole->strip, true, half);
    for (int i = 0; i < 2; i++) {
        made[i] = tb_part_strip_of(half[i]);
        made[i].keeps = whole->keeps - 1;
    }
    return made;
}

const TbPartStrip *
tb_part_strip_halves(const TbPartStrip *strip)
{
    /* what comes later of a solid: whoever is first, the halves are the same */
    struct TbPartStrip *_Atomic *kept = (struct TbPartStrip * _Atomic *)&strip->halves;
    TbPartStrip *there, *made;

    if (strip->keeps == 0)
        return NULL;
    there = atomic_load(kept);
    if (there != NULL)
        return there;
    made = make_halves(strip);
    if (made == NULL || atomic_compare_exchange_strong(kept, &there, made))
        return made;
    tb_free(made);
    return there;
}

void
tb_part_strip__clear(TbPartStrip *strip)
{
    TbPartStrip *halves = atomic_load(&strip->halves);

    for (int i = 0; halves != NULL && i < 2; i++)
        tb_part_strip__clear(&halves[i]);
    tb_free(halves);
}
