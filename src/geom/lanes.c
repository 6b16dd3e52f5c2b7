/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/lanes.h"

#include <stdatomic.h>

/** Set by tests alone. */
static atomic_int forced_plain;

void
tb_lanes_force_plain(int plain)
{
    atomic_store(&forced_plain, plain);
}

TbLanesKind
tb_lanes_in_use(void)
{
#if defined(__x86_64__) || defined(__i386__)
    if (!atomic_load_explicit(&forced_plain, memory_order_relaxed) &&
        __builtin_cpu_supports("avx2"))
        return TB_LANES_AVX2;
#endif
    return TB_LANES_PLAIN;
}
