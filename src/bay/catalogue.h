/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file catalogue.h
 * @brief The materials that come with the program (data/materials.xml, compiled in).
 */
#pragma once

#include "bay/document.h"

typedef struct TbCatalogue TbCatalogue;

/** Reads the compiled-in list. @return TB_OK or TB_E_MEMORY */
TbStatus tb_catalogue_new(TbCatalogue **catalogue, TbFault *fault);

TbCatalogue *tb_catalogue_ref(TbCatalogue *catalogue);
void tb_catalogue_unref(TbCatalogue *catalogue); /**< NULL is fine */

size_t tb_catalogue_count(const TbCatalogue *catalogue);
const TbMaterial *tb_catalogue_at(const TbCatalogue *catalogue, size_t index); /**< lends */

/** The bay's own material of that id, else the catalogue's, else NULL. Lends. */
const TbMaterial *tb_catalogue_find(const TbCatalogue *catalogue, const TbBay *bay, const char *id);

/** Mean expansion from 20 degC to @p temperature, 1/K (not 1e-6): by the material's means, linear
 * between them and held beyond, or its one value. */
double tb_material_expansion(const TbMaterial *material, double temperature);
