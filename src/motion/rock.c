/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "motion/rock.h"

#define DEGREES (180 / M_PI)

TbStatus
tb_rock_check(const TbRock *rock, TbFault *fault)
{
    if (!tb_vec3_is_finite(rock->point) || !tb_vec3_is_finite(rock->direction) ||
        !(tb_vec3_length(rock->direction) > 0))
        return tb_fail(fault, TB_E_DEGENERATE,
                       "the rock has no axis: its direction is %g %g %g through %g %g %g",
                       rock->direction.x, rock->direction.y, rock->direction.z, rock->point.x,
                       rock->point.y, rock->point.z);
    if (!isfinite(rock->low) || !isfinite(rock->high) || rock->low > rock->high)
        return tb_fail(fault, TB_E_RANGE, "the rock goes from %g to %g deg, which is no range",
                       rock->low * DEGREES, rock->high * DEGREES);
    if (rock->high - rock->low > TB_ROCK_WHOLE)
        return tb_fail(
            fault, TB_E_RANGE, "the rock goes from %g to %g deg: %g deg are more than a whole turn",
            rock->low * DEGREES, rock->high * DEGREES, (rock->high - rock->low) * DEGREES);
    return TB_OK;
}

TbPose
tb_rock_pose(TbRock rock, double angle)
{
    return tb_pose_turn(rock.point, rock.direction, angle);
}

/** Distance of a point from the axis. */
static double
from_axis(TbRock rock, TbVec3 p)
{
    TbVec3 axis = tb_vec3_unit(rock.direction);

    return tb_vec3_length(tb_vec3_across(tb_vec3_sub(p, rock.point), axis));
}

double
tb_rock_travel(TbRock rock, TbVec3 p)
{
    double angle = fmax(fabs(rock.low), fabs(rock.high));

    /* past half a turn the point comes back */
    return 2 * from_axis(rock, p) * sin(fmin(angle, M_PI) / 2);
}

double
tb_rock_reach(TbRock rock, TbBox3 box)
{
    double most = 0;

    if (tb_box3_is_empty(box))
        return 0;
    for (int i = 0; i < 8; i++) {
        TbVec3 corner = {i & 1 ? box.high.x : box.low.x, i & 2 ? box.high.y : box.low.y,
                         i & 4 ? box.high.z : box.low.z};

        most = fmax(most, from_axis(rock, corner));
    }
    return most;
}
