/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file section_grips.h
 * @brief The handles of a duct's given section in the cut across its path; no widget.
 *
 * The cut lies as the path has it: w to the right, h up, the path's centre at (0, 0).
 */
#pragma once

#include "app/drag.h"
#include "base/quantity.h"

/** mm of station. The cursor within this of a given section stands on it. */
#define TB_SECTION_NEAR 0.25

/** How many handles a section has at most. */
enum { TB_SECTION_GRIPS = 6 };

/** Station of a given section of a duct, mm, or NAN when there is none such. */
double tb_section_station(TbSession *session, const char *duct, size_t row);

/** The given section at a station; false when the cursor stands between them. */
bool tb_section_at(TbSession *session, const char *duct, double station, size_t *row);

/** The station of the next given section towards the end (@p step 1) or the start (-1); NAN when
 * there is none. */
double tb_section_next(TbSession *session, const char *duct, double station, int step);

/** Handles of a given section: its sides, its turn, its corner radius. @return how many */
size_t tb_section_grips(TbSession *session,
                        const char *duct,
                        size_t row,
                        TbPartGrip grips[TB_SECTION_GRIPS]);

/** "Width 91.3 mm"; freed by the caller. */
char *tb_section_grip_name(const TbPartGrip *grip, TbLengthUnit unit);
