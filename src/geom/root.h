/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file root.h
 * @brief All real roots of a polynomial in an interval, none missed between samples.
 *
 * The polynomial is written in Bernstein form; by Descartes' rule of signs a part whose
 * coefficients have one sign holds no root, a part with one change of sign holds exactly one.
 * Other parts are halved (Lane and Riesenfeld, "Bounds on a polynomial", BIT 21, 1981).
 */
#pragma once

#include <stddef.h>

/** Highest degree accepted. */
#define TB_POLY_MOST 24

/** Value of coef[0] + coef[1] x + ... + coef[degree] x^degree. */
double tb_poly_at(const double coef[], int degree, double x);

/** Coefficients of the first derivative; @p out has room for @p degree entries (at least 1). */
void tb_poly_slope(const double coef[], int degree, double out[]);

/** Coefficients of a product; @p out has room for degree_a + degree_b + 1. */
void tb_poly_product(const double a[], int degree_a, const double b[], int degree_b, double out[]);

/**
 * Roots strictly between two places, ascending. Two roots nearer than 1e-15 of the interval come
 * out as one, and a touching root may come out once or twice; of the zero polynomial there are
 * none.
 *
 * @param degree 0 to TB_POLY_MOST (asserted)
 * @param low,high low below high, else nothing is found
 * @param[out] out room for @p degree roots
 * @return how many
 */
size_t tb_poly_roots(const double coef[], int degree, double low, double high, double out[]);
