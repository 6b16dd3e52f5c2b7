/* SPDX-License-Identifier: GPL-3.0-or-later */

#if defined(__x86_64__) || defined(__i386__)
#pragma GCC target("avx2")

#include "geom/tree_points_kernel.h"

const TbPointsKernel tb_points__avx2 = {nearest_of_one, nearest_of_packet};
#endif
