/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file data.h
 * @brief Files of data/ compiled in by embed.c, so that nothing is looked for at run time.
 */
#pragma once

#include <stddef.h>

extern const char tb_data_bay_rng[];
extern const size_t tb_data_bay_rng_size;

extern const char tb_data_materials_xml[];
extern const size_t tb_data_materials_xml_size;

extern const char tb_data_keeps_xml[];
extern const size_t tb_data_keeps_xml_size;

extern const char tb_data_tolerances_xml[];
extern const size_t tb_data_tolerances_xml_size;
