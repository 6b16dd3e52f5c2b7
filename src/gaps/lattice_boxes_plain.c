/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/lattice_boxes.h"

void
tb_lattice__row_boxes_plain(TbLattice *lattice, size_t row)
{
    box_row(lattice, row);
}

void
tb_lattice__ring_places_plain(TbLattice *lattice, size_t ring)
{
    ring_places(lattice, ring);
}

void
tb_lattice__set_solid_plain(const TbLattice *lattice, size_t row, TbLatticeSolid *solid)
{
    set_solid(lattice, row, solid);
}
