/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "motion/rock.h"

TbPose
tb_rock_pose(TbRock rock, double angle)
{
    return tb_pose_turn(rock.point, rock.direction, angle);
}

double
tb_rock_travel(TbRock rock, TbVec3 p)
{
    TbVec3 axis = tb_vec3_unit(rock.direction);
    double rho = tb_vec3_length(tb_vec3_across(tb_vec3_sub(p, rock.point), axis));
    double angle = fmax(fabs(rock.low), fabs(rock.high));

    /* past half a turn the point comes back */
    return 2 * rho * sin(fmin(angle, M_PI) / 2);
}
