/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/tree_points_kernel.h"

const TbPointsKernel tb_points__plain = {nearest_of_one, nearest_of_packet};
