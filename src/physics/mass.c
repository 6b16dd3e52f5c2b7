/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "physics/mass.h"

TbMass
tb_mass_of(double volume, double density, TbVec3 centre)
{
    double mass = volume * density;

    return (TbMass){mass, mass != 0 ? centre : tb_vec3(0, 0, 0)};
}

TbMass
tb_mass_sum(const TbMass parts[], size_t count)
{
    TbMass all = {0, {0, 0, 0}};
    TbVec3 moment = {0, 0, 0};
    size_t first = 0;

    while (first < count && parts[first].mass == 0)
        first++;
    for (size_t i = first; i < count; i++) {
        TbVec3 arm = tb_vec3_sub(parts[i].centre, parts[first].centre);

        all.mass += parts[i].mass;
        moment = tb_vec3_add_scaled(moment, parts[i].mass, arm);
    }
    /* nothing, or as much cut out as there is */
    if (all.mass == 0)
        return (TbMass){0, {0, 0, 0}};
    all.centre = tb_vec3_add_scaled(parts[first].centre, 1 / all.mass, moment);
    return all;
}

TbVec3
tb_mass_moment(TbMass body, TbVec3 point, TbVec3 gravity)
{
    return tb_vec3_cross(tb_vec3_sub(body.centre, point), tb_vec3_scale(gravity, body.mass));
}
