/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file app_actions.h
 * @brief What can be done in the program whichever window is in front, and every action's keys.
 */
#pragma once

#include "app/application.h"

void tb_app_actions_add(TbApplication *application);
