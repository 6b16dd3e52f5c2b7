/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/root.h"

#include "base/fault.h"

#include <float.h>
#include <math.h>
#include <string.h>

/** Halvings after which a part is narrower than the rounding of its own place. */
#define MOST_HALVINGS 50

typedef struct Search {
    int degree;
    double low, high;
    double *out;
    size_t found;
} Search;

double
tb_poly_at(const double coef[], int degree, double x)
{
    double value = coef[degree];

    for (int i = degree - 1; i >= 0; i--)
        value = value * x + coef[i];
    return value;
}

void
tb_poly_slope(const double coef[], int degree, double out[])
{
    out[0] = 0;
    for (int i = 1; i <= degree; i++)
        out[i - 1] = i * coef[i];
}

void
tb_poly_product(const double a[], int degree_a, const double b[], int degree_b, double out[])
{
    memset(out, 0, (size_t)(degree_a + degree_b + 1) * sizeof *out);
    for (int i = 0; i <= degree_a; i++)
        for (int j = 0; j <= degree_b; j++)
            out[i + j] += a[i] * b[j];
}

/** Powers of x to Bernstein coefficients over low..high. */
static void
bernstein(const double coef[], int n, double low, double high, double out[])
{
    double a[TB_POLY_MOST + 1];
    double scale = 1, width = high - low;

    memcpy(a, coef, (size_t)(n + 1) * sizeof *a);
    for (int i = 0; i < n; i++) /* Taylor shift to low, by repeated synthetic division */
        for (int j = n - 1; j >= i; j--)
            a[j] += low * a[j + 1];
    for (int i = 0; i <= n; i++, scale *= width)
        a[i] *= scale;
    for (int j = 0; j <= n; j++) {
        double ratio = 1; /* binomial(j, i) / binomial(n, i) */

        out[j] = 0;
        for (int i = 0; i <= j; i++) {
            out[j] += ratio * a[i];
            ratio *= (double)(j - i) / (double)(n - i > 0 ? n - i : 1);
        }
    }
}

/** De Casteljau at t: both halves; the value is left[n]. */
static void
split(const double b[], int n, double t, double left[], double right[])
{
    double a[TB_POLY_MOST + 1];

    memcpy(a, b, (size_t)(n + 1) * sizeof *a);
    for (int i = 0; i <= n; i++) {
        left[i] = a[0];
        right[n - i] = a[n - i];
        for (int j = 0; j < n - i; j++)
            a[j] += t * (a[j + 1] - a[j]);
    }
}

static int
changes_of_sign(const double b[], int n)
{
    int changes = 0, last = 0;

    for (int i = 0; i <= n; i++) {
        int sign = (b[i] > 0) - (b[i] < 0);

        if (sign != 0 && last != 0 && sign != last)
            changes++;
        if (sign != 0)
            last = sign;
    }
    return changes;
}

static void
report(Search *search, double t)
{
    double x = search->low + t * (search->high - search->low);

    if (search->found == (size_t)search->degree)
        return;
    if (search->found > 0 && x <= search->out[search->found - 1])
        return;
    search->out[search->found++] = x;
}

/** The one root of a part whose ends differ in sign: halving, at most to the last bit. */
static double
bisected(const double b[], int n)
{
    double low = 0, high = 1, left[TB_POLY_MOST + 1], right[TB_POLY_MOST + 1];

    for (int i = 0; i < 60; i++) {
        double middle = 0.5 * (low + high);

        split(b, n, middle, left, right);
        if (left[n] == 0)
            return middle;
        if ((left[n] > 0) == (b[0] > 0))
            low = middle;
        else
            high = middle;
    }
    return 0.5 * (low + high);
}

static void
search_part(Search *search, const double b[], double t0, double t1, int depth)
{
    double left[TB_POLY_MOST + 1], right[TB_POLY_MOST + 1];
    int n = search->degree, changes = changes_of_sign(b, n);
    double middle = 0.5 * (t0 + t1);

    if (changes == 0)
        return;
    if (changes == 1 && b[0] != 0 && b[n] != 0) {
        report(search, t0 + bisected(b, n) * (t1 - t0));
        return;
    }
    if (depth == MOST_HALVINGS) {
        report(search, middle);
        return;
    }
    split(b, n, 0.5, left, right);
    search_part(search, left, t0, middle, depth + 1);
    if (left[n] == 0)
        report(search, middle);
    search_part(search, right, middle, t1, depth + 1);
}

size_t
tb_poly_roots(const double coef[], int degree, double low, double high, double out[])
{
    double b[TB_POLY_MOST + 1];
    Search search = {degree, low, high, out, 0};

    TB_ASSERT(degree >= 0 && degree <= TB_POLY_MOST);
    if (!(low < high))
        return 0;
    bernstein(coef, degree, low, high, b);
    search_part(&search, b, 0, 1, 0);
    return search.found;
}
