/* SPDX-License-Identifier: GPL-3.0-or-later */

#if defined(__x86_64__) || defined(__i386__)
#pragma GCC target("avx2")
#endif
#include "gaps/lattice_boxes.h"

void
tb_lattice__row_boxes_avx2(TbLattice *lattice, size_t row)
{
    box_row(lattice, row);
}

void
tb_lattice__ring_places_avx2(TbLattice *lattice, size_t ring)
{
    ring_places(lattice, ring);
}

void
tb_lattice__set_solid_avx2(const TbLattice *lattice, size_t row, TbLatticeSolid *solid)
{
    set_solid(lattice, row, solid);
}
