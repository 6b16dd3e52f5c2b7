#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Areas and perimeters of sections and blends, computed again by scipy's quadrature.

Usage: section_reference.py DUMP-PROGRAM

Everything comes from the definition of the support function: perimeter = integral of h (Cauchy),
area = half the integral of h^2 - h'^2, quadrant by quadrant, with tan(phi) = exp(z). Nothing of the
program's own formulas is used but the definition of a section and of the law between two of them:
area and ln(width/height) run straight from one given section to the other.
"""
import math
import subprocess
import sys

from scipy.integrate import quad

SIDES = ((0, 2), (1, 2), (1, 3), (0, 3))  # right-up, left-up, left-down, right-down


class Section:
    def __init__(self, fields):
        self.kind = fields[0]
        numbers = [float(f) for f in fields[1:11]]
        self.half, self.n, self.corner, self.wall = numbers[:4], numbers[4], numbers[5:9], numbers[9]
        self.width = self.half[0] + self.half[1]
        self.height = self.half[2] + self.half[3]

    def support(self, quadrant, p, q, a, b):
        """h and its gradient for p, q >= 0, the section stretched to width 2 a, height 2 b."""
        kw, kh = 2 * a / self.width, 2 * b / self.height
        w, h = self.half[SIDES[quadrant][0]] * kw, self.half[SIDES[quadrant][1]] * kh
        if self.kind == "superellipse":
            rw, rh, n = w, h, self.n
        else:
            rw, rh, n = self.corner[quadrant] * kw, self.corner[quadrant] * kh, 2
        m = n / (n - 1)
        norm = ((rw * p) ** m + (rh * q) ** m) ** (1 / m)
        x = w - rw + rw * (rw * p / norm) ** (m - 1)
        y = h - rh + rh * (rh * q / norm) ** (m - 1)
        return x * p + y * q, x, y


def outline(parts, a, b, wall=0.0):
    """Area and perimeter of the blend of (share, section) parts, stretched and walled."""
    area = perimeter = 0.0
    for quadrant in range(4):
        def values(z):
            length = math.hypot(1, math.exp(-abs(z)))
            large, small = 1 / length, math.exp(-abs(z)) / length
            p, q = (small, large) if z > 0 else (large, small)
            h = dh = 0.0
            for share, section in parts:
                reach, x, y = section.support(quadrant, p, q, a, b)
                h += share * reach
                dh += share * (y * p - x * q)
            return h + wall, dh, p * q

        # peaks lie where the parts' arcs have their middles, all within +-8
        def both(f):
            return sum(quad(f, lo, hi, epsabs=1e-12, epsrel=1e-11, limit=400)[0]
                       for lo, hi in ((-45, -8), (-8, -2), (-2, 0), (0, 2), (2, 8), (8, 45)))

        def perimeter_density(z):
            h, _, turning = values(z)
            return h * turning

        def area_density(z):
            h, dh, turning = values(z)
            return 0.5 * (h * h - dh * dh) * turning

        perimeter += both(perimeter_density)
        area += both(area_density)
    return area, perimeter


class Check:
    def __init__(self):
        self.count = self.failed = 0
        self.worst = 0.0

    def near(self, what, got, want, tolerance):
        self.count += 1
        miss = abs(got - want) / abs(want)
        self.worst = max(self.worst, miss)
        if not miss <= tolerance:
            self.failed += 1
            print(f"# {what}: program {got!r}, scipy {want!r}, off by {miss:.2e}")


def check_section(check, fields):
    section = Section(fields[:11])
    area, perimeter = outline([(1, section)], section.width / 2, section.height / 2)
    check.near("area", float(fields[11]), area, 1e-10)
    check.near("perimeter", float(fields[12]), perimeter, 1e-10)


def check_blend(check, fields):
    first, last = Section(fields[:11]), Section(fields[11:22])
    x, width, height, area, outer_area, perimeter, outer_perimeter = map(float, fields[22:])
    w = x * x * (3 - 2 * x)
    given = [outline([(1, s)], s.width / 2, s.height / 2)[0] for s in (first, last)]
    law_area = given[0] + x * (given[1] - given[0])
    law_ratio = math.exp((1 - x) * math.log(first.width / first.height)
                         + x * math.log(last.width / last.height))
    parts = [(1 - w, first), (w, last)]
    unit = outline(parts, 1, 1)[0]
    a = math.sqrt(law_area / unit * law_ratio)
    b = a / law_ratio
    check.near("width", width, 2 * a, 1e-10)
    check.near("height", height, 2 * b, 1e-10)
    want = outline(parts, a, b)
    check.near("area", area, want[0], 1e-10)
    check.near("area by its law", area, law_area, 1e-10)
    check.near("perimeter", perimeter, want[1], 1e-10)
    wall = first.wall + x * (last.wall - first.wall)
    want = outline(parts, a, b, wall)
    check.near("outer area", outer_area, want[0], 1e-10)
    check.near("outer perimeter", outer_perimeter, want[1], 1e-10)


def main():
    lines = subprocess.run([sys.argv[1]], check=True, capture_output=True, text=True).stdout.split()
    kinds = (("section", check_section, "sections"), ("blend", check_blend, "blends"))
    print(f"1..{len(kinds)}")
    for number, (kind, function, name) in enumerate(kinds, 1):
        check = Check()
        for line in lines:
            fields = line.split(",")
            if fields[0] == kind:
                function(check, fields[1:])
        good = check.count > 0 and check.failed == 0
        print(f"{'ok' if good else 'not ok'} {number} - {name} agree with scipy's quadrature: "
              f"{check.count} values, worst {check.worst:.1e}")


main()
