/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file opening.h
 * @brief Openings of ports compared with each other and with the sections that end on them.
 */
#pragma once

#include "bay/ports.h"
#include "geom/sweep.h"

/** The shape of an opening about its own middle: no offset, no wall. */
TbSection tb_opening_section(const TbOpening *opening);

/**
 * Largest step between the outlines of two ports' openings, mm, over 72 directions in the first
 * port's plane; of several openings the best fitting pair. NAN where one has none.
 */
double tb_opening_step(const TbPort *a, TbPortPlace place_a, const TbPort *b, TbPortPlace place_b);

/** The same between a sweep's inner section at a disc and a port's opening. */
double tb_opening_disc_step(const TbDisc *disc, const TbPort *port, TbPortPlace place);
