/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "motion/growth.h"

double
tb_growth_factor(double expansion, double temperature, double reference)
{
    return 1 + expansion * (temperature - reference);
}

TbPose
tb_growth_pose(TbVec3 datum, double expansion, double temperature, double reference)
{
    return tb_pose_growth(datum, tb_growth_factor(expansion, temperature, reference));
}
