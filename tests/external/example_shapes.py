# SPDX-License-Identifier: GPL-3.0-or-later
"""Paths, section laws, sweeps and plain shapes in numpy and scipy, as the manual of the file says.

Nothing here is taken from the program: splines are scipy's, arc lengths Gauss-Legendre sums, frames
come from the differential equation of rotation-minimising transport, distances from dense points
that a pattern search then polishes. Units: mm, rad.
"""
import math

import numpy as np
from scipy.interpolate import CubicHermiteSpline, CubicSpline
from scipy.optimize import minimize
from scipy.spatial import cKDTree
from scipy.special import gamma

NODE_STEP = 0.5  # mm of chord; both the frame's and the arc length's error are of fourth order
GAUSS_X, GAUSS_W = np.polynomial.legendre.leggauss(8)


def unit(v):
    v = np.asarray(v, float)
    return v / np.linalg.norm(v)


def across(v, axis):
    """v without its part along the unit axis."""
    return v - np.dot(v, axis) * axis


# ---- paths ----


class Path:
    """C2 spline over chord length; an end is clamped to a unit tangent or natural."""

    def __init__(self, knots, start=None, end=None, up=None):
        self.knots = np.asarray(knots, float)
        chords = np.linalg.norm(np.diff(self.knots, axis=0), axis=1)
        self.at_knot = np.concatenate([[0], np.cumsum(chords)])
        ends = [(1, unit(t)) if t is not None else (2, np.zeros(3)) for t in (start, end)]
        self.curve = CubicSpline(self.at_knot, self.knots, bc_type=tuple(ends))
        self.slope, self.bend = self.curve.derivative(1), self.curve.derivative(2)
        self.nodes = np.concatenate(
            [np.linspace(a, b, 2 + int((b - a) / NODE_STEP))[:-1]
             for a, b in zip(self.at_knot, self.at_knot[1:])] + [self.at_knot[-1:]])
        self._measure()
        self._carry(up)

    def speed(self, u):
        return np.linalg.norm(self.slope(u), axis=-1)

    def _measure(self):
        half = np.diff(self.nodes)[:, None] / 2
        middle = (self.nodes[1:] + self.nodes[:-1])[:, None] / 2
        pieces = (self.speed(middle + half * GAUSS_X) * GAUSS_W * half).sum(axis=1)
        self.station = np.concatenate([[0], np.cumsum(pieces)])
        self.length = self.station[-1]
        self.u_of = CubicHermiteSpline(self.station, self.nodes, 1 / self.speed(self.nodes))

    def tangent(self, u):
        d = self.slope(u)
        return d / np.linalg.norm(d, axis=-1, keepdims=True)

    def turning(self, u):
        """dT/du."""
        d, dd = self.slope(u), self.bend(u)
        speed = np.linalg.norm(d, axis=-1, keepdims=True)
        t = d / speed
        return (dd - (dd * t).sum(axis=-1, keepdims=True) * t) / speed

    def curvature(self, u):
        return np.linalg.norm(self.turning(u), axis=-1) / self.speed(u)

    def _carry(self, up):
        """H' = -(H . T') T, by Runge and Kutta's fourth order over the nodes."""
        u = self.nodes
        t, dt = self.tangent(u), self.turning(u)
        middle = (u[1:] + u[:-1]) / 2
        tm, dtm = self.tangent(middle), self.turning(middle)
        if up is None:
            up = (-1, 0, 0) if math.hypot(t[0][0], t[0][1]) <= math.sin(math.radians(18)) else (0, 0, 1)
        h = unit(across(np.asarray(up, float), t[0]))
        rows = [h]
        for i in range(len(u) - 1):
            step = u[i + 1] - u[i]
            k1 = -np.dot(h, dt[i]) * t[i]
            k2 = -np.dot(h + step / 2 * k1, dtm[i]) * tm[i]
            k3 = -np.dot(h + step / 2 * k2, dtm[i]) * tm[i]
            k4 = -np.dot(h + step * k3, dt[i + 1]) * t[i + 1]
            h = h + step / 6 * (k1 + 2 * k2 + 2 * k3 + k4)
            h = unit(across(h, t[i + 1]))
            rows.append(h)
        rows = np.array(rows)
        slopes = -(rows * dt).sum(axis=1, keepdims=True) * t
        self.height = CubicHermiteSpline(u, rows, slopes)

    def frame(self, s):
        """Point, T, H, W at stations."""
        u = np.clip(self.u_of(s), 0, self.nodes[-1])
        t = self.tangent(u)
        h = self.height(u)
        h = h - (h * t).sum(axis=-1, keepdims=True) * t
        h = h / np.linalg.norm(h, axis=-1, keepdims=True)
        return self.curve(u), t, h, np.cross(t, h)


# ---- sections ----


class Row:
    """A given section; symmetric, without offset."""

    def __init__(self, station, kind, width, height, size, turn, wall):
        self.station, self.kind, self.width, self.height = station, kind, width, height
        self.exponent = size if kind == "superellipse" else 2.0
        self.corner = size if kind == "rounded" else None
        self.turn, self.wall = turn, wall
        if kind == "rounded":
            self.radius = (2 * size / width, 2 * size / height)  # of the unit shape's corners
        else:
            self.radius = (1.0, 1.0)

    def area(self):
        if self.kind == "rounded":
            return self.width * self.height - (4 - math.pi) * self.corner ** 2
        n = self.exponent
        return self.width * self.height * gamma(1 + 1 / n) ** 2 / gamma(1 + 2 / n)

    def perimeter(self):
        """Closed for a rounded rectangle; else chords of the outline, extrapolated."""
        if self.kind == "rounded":
            return 2 * (self.width + self.height) - (8 - 2 * math.pi) * self.corner
        lengths = []
        for cells in (20000, 40000):
            z = np.sinh(np.linspace(-5, 5, cells + 1))
            x = self.width / 2 * (1 / (1 + np.exp(z))) ** (1 / self.exponent)
            y = self.height / 2 * (1 / (1 + np.exp(-z))) ** (1 / self.exponent)
            lengths.append(4 * np.hypot(np.diff(x), np.diff(y)).sum())
        return lengths[1] + (lengths[1] - lengths[0]) / 3

    def contact(self, p, q):
        """Where the unit shape's first quadrant has the normal (p, q) >= 0, flats left out."""
        rw, rh = self.radius
        m = self.exponent / (self.exponent - 1)
        norm = ((rw * p) ** m + (rh * q) ** m) ** (1 / m)
        return (1 - rw + rw * (rw * p / norm) ** (m - 1), 1 - rh + rh * (rh * q / norm) ** (m - 1))


def blended_sums(first, last, w, a=1.0, b=1.0):
    """Area and perimeter of the blend stretched by (a, b), from its support function:
    half the integral of h^2 - h'^2, and Cauchy's integral of h, over ln tan of the normal."""
    z = np.arange(-42, 42, 0.03)
    p, q = 1 / np.sqrt(1 + np.exp(2 * z)), 1 / np.sqrt(1 + np.exp(-2 * z))
    x0, y0 = first.contact(a * p, b * q)
    x1, y1 = last.contact(a * p, b * q)
    x, y = a * (x0 + w * (x1 - x0)), b * (y0 + w * (y1 - y0))
    h, dh = x * p + y * q, y * p - x * q
    return 4 * (0.5 * (h * h - dh * dh) * p * q).sum() * 0.03, 4 * (h * p * q).sum() * 0.03


def monotone_slopes(x, y, length):
    """Slopes of Fritsch and Carlson's kind at given sections: those of the parabola through three,
    within 2.9 secants; 0 at an extreme and where a constant end begins."""
    secant = np.diff(y) / np.diff(x)

    def limited(slope, m):
        return 0.0 if slope * m <= 0 else math.copysign(min(abs(slope), 2.9 * abs(m)), m)

    def at_end(near, following, h0, h1):
        return limited(((2 * h0 + h1) * near - h0 * following) / (h0 + h1), near)

    n, h, out = len(x), np.diff(x), np.zeros(len(x))
    if n == 1:
        return out
    for i in range(1, n - 1):
        if secant[i - 1] * secant[i] > 0:
            slope = (h[i] * secant[i - 1] + h[i - 1] * secant[i]) / (h[i - 1] + h[i])
            out[i] = limited(limited(slope, secant[i - 1]), secant[i])
    if x[0] == 0:
        out[0] = secant[0] if n == 2 else at_end(secant[0], secant[1], h[0], h[1])
    if x[-1] == length:
        out[-1] = secant[-1] if n == 2 else at_end(secant[-1], secant[-2], h[-1], h[-2])
    return out


class Law:
    """Area and ln(width/height) monotone between given sections, shapes blended by smoothstep."""

    def __init__(self, rows, length):
        self.rows = rows
        self.x = np.array([r.station for r in rows])
        if len(rows) == 1:
            self.rows, self.x = rows * 2, np.array([0.0, length])
        values = [(r.area(), math.log(r.width / r.height), r.turn, r.wall) for r in self.rows]
        self.cubics = [CubicHermiteSpline(self.x, np.array(y), monotone_slopes(self.x, np.array(y), length))
                       for y in zip(*values)]
        self.growth = self.cubics[0].derivative()
        # a blend's area is a parabola in the share
        self.blend_area = []
        for first, last in zip(self.rows, self.rows[1:]):
            g = [blended_sums(first, last, w)[0] for w in (0, 0.5, 1)]
            self.blend_area.append((g[0], 4 * g[1] - 3 * g[0] - g[2], 2 * g[0] + 2 * g[2] - 4 * g[1]))
        self.blend_area = np.array(self.blend_area)
        self.radius = np.array([r.radius for r in self.rows])
        self.exponent = np.array([r.exponent for r in self.rows])

    def at(self, s):
        """Arrays: span, share of the second shape, half width, half height, turn, wall, area."""
        s = np.clip(s, self.x[0], self.x[-1])
        span = np.clip(np.searchsorted(self.x, s, side="right") - 1, 0, len(self.x) - 2)
        x = (s - self.x[span]) / (self.x[span + 1] - self.x[span])
        w = x * x * (3 - 2 * x)
        area, ratio, turn, wall = (c(s) for c in self.cubics)
        g = self.blend_area[span]
        product = area / (g[:, 0] + w * (g[:, 1] + w * g[:, 2]))
        a = np.sqrt(product * np.exp(ratio))
        return span, w, a, product / a, turn, wall, area

    def perimeter(self, s):
        span, w, a, b, *_ = self.at(np.array([s]))
        return blended_sums(self.rows[span[0]], self.rows[span[0] + 1], w[0], a[0], b[0])[1]


# ---- sweeps ----


class Sweep:
    """A law's outlines in the planes square to a path, walls outside, ends closed flat."""

    def __init__(self, path, rows):
        self.path, self.law = path, Law(rows, path.length)
        self.length = path.length
        first = rows[0]
        same = all((r.width, r.height, r.wall, r.exponent, r.kind) ==
                   (first.width, first.width, first.wall, 2.0, "superellipse") for r in rows)
        self.round = first.width / 2 + first.wall if same else None
        self.scale, self.about, self.shift = 1.0, np.zeros((2, 3)), np.zeros((2, 3))

    def step(self, s):
        """From 0 at the start to 1 at the end, smoothly."""
        x = np.clip(np.asarray(s, float) / self.length, 0, 1)[..., None]
        return x * x * (3 - 2 * x)

    def base(self, s):
        """What a station grows about, and how far it is carried."""
        k = self.step(s)
        return (1 - k) * self.about[0] + k * self.about[1], (1 - k) * self.shift[0] + k * self.shift[1]

    def placed(self, p, s):
        about, shift = self.base(s)
        return about + self.scale * (p - about) + shift

    def drawn(self, p, s):
        """Where a point at a station would be drawn: the other way."""
        about, shift = self.base(s)
        return about + (p - shift - about) / self.scale

    def outline(self, s, v):
        """Points of the outer outline in the plane (w, h), v from 0 to 4 right round: 0 is the
        middle of the top, each quarter its flat half, its arc and its other flat half."""
        span, mix, a, b, turn, wall, _ = self.law.at(s)
        quarter = np.floor(v).astype(int) % 4
        sigma = v - np.floor(v)
        backward = quarter % 2 == 1  # quarters run top to side, side to bottom, and so on
        sigma = np.where(backward, 1 - sigma, sigma)
        r = self.law.radius
        rw = a * (r[span, 0] + mix * (r[span + 1, 0] - r[span, 0]))
        rh = b * (r[span, 1] + mix * (r[span + 1, 1] - r[span, 1]))
        flat_w, flat_h = np.maximum(a - rw, 0), np.maximum(b - rh, 0)
        arc = 0.8 * (rw + rh) + 1.5 * wall
        place = sigma * (flat_w + arc + flat_h)
        angle = np.clip((place - flat_w) / arc, 0, 1) * (math.pi / 2)
        p, q = np.sin(angle), np.cos(angle)
        p, q = np.where(angle >= math.pi / 2, 1.0, p), np.where(angle >= math.pi / 2, 0.0, q)
        x, y = 0.0, 0.0
        for share, row in ((1 - mix, span), (mix, span + 1)):
            m = self.law.exponent[row] / (self.law.exponent[row] - 1)
            kp, kq = r[row, 0] * a * p, r[row, 1] * b * q
            norm = (kp ** m + kq ** m) ** (1 / m)
            x = x + share * (1 - r[row, 0] + r[row, 0] * (kp / norm) ** (m - 1))
            y = y + share * (1 - r[row, 1] + r[row, 1] * (kq / norm) ** (m - 1))
        x, y = a * x + wall * p, b * y + wall * q
        x = np.where(place < flat_w, place, x)
        y = np.where(place > flat_w + arc, flat_w + arc + flat_h - place, y)
        x = np.where((quarter == 2) | (quarter == 3), -x, x)
        y = np.where((quarter == 1) | (quarter == 2), -y, y)
        c, k = np.cos(turn), np.sin(turn)
        return c * x + k * y, c * y - k * x

    def points(self, s, v, share=None):
        """On the skin; with a share from 0 to 1 inside the disc of the station instead."""
        s, v = np.broadcast_arrays(np.asarray(s, float), np.asarray(v, float))
        w, h = self.outline(s, v)
        if share is not None:
            w, h = share * w, share * h
        point, _, up, right = self.path.frame(s)
        p = point + w[:, None] * right + h[:, None] * up
        return self.placed(p, s)

    def grown(self, factor, about, shift):
        """The same, grown about two places and carried by two shifts: those of its start and end,
        by the smoothstep of the station in between. Sections are not turned."""
        other = object.__new__(Sweep)
        other.__dict__.update(self.__dict__)
        other.scale, other.about, other.shift = factor, np.array(about, float), np.array(shift, float)
        return other

    def centre(self, s):
        s = np.atleast_1d(np.asarray(s, float))
        return self.placed(self.path.frame(s)[0], s)

    def kept(self, left_out):
        """Stations kept (in unscaled mm) when what lies about ports is left out."""
        kept = [0.0, self.length]
        for port, radius in left_out:
            for end in (0, 1):
                if np.linalg.norm(self.centre((0, self.length)[end])[0] - port) > 5:
                    continue
                s = np.linspace(0, self.length, 4001)
                if end == 1:
                    s = s[::-1]
                away = np.linalg.norm(self.centre(s) - port, axis=1)
                first = np.argmax(away >= radius)
                low, high = s[first - 1], s[first]
                for _ in range(50):
                    middle = (low + high) / 2
                    inside = np.linalg.norm(self.centre(middle)[0] - port) < radius
                    low, high = (middle, high) if inside else (low, middle)
                kept[end] = max(kept[0], high) if end == 0 else min(kept[1], high)
        return kept


class Tube:
    """A round sweep of one diameter as a solid that points have an exact distance to."""

    def __init__(self, sweep, kept):
        self.sweep, self.low, self.high = sweep, kept[0], kept[1]
        self.radius = sweep.round * sweep.scale
        self.s = np.linspace(self.low, self.high, 2 + int((self.high - self.low) / 1.0))
        self.tree = cKDTree(sweep.centre(self.s))
        ends = sweep.path.frame(np.array([self.low, self.high]))
        self.ends = sweep.centre([self.low, self.high])
        self.along = ends[1]

    def distance(self, points):
        """Feet on the centre line by Newton from the nearest sample; flat discs at the ends."""
        s = self.s[self.tree.query(points)[1]]
        path = self.sweep.path
        for _ in range(4):
            u = np.clip(path.u_of(s), 0, path.nodes[-1])
            gap = self.sweep.drawn(points, s) - path.curve(u)
            t = path.tangent(u)
            turn = path.turning(u) / path.speed(u)[:, None]
            step = (gap * t).sum(axis=1) / np.maximum(1 - (gap * turn).sum(axis=1), 0.3)
            s = np.clip(s + np.clip(step, -1, 1), self.low, self.high)
        away = np.linalg.norm(points - self.sweep.centre(s), axis=1) - self.radius
        for end, sign in ((0, -1), (1, 1)):
            gap = points - self.ends[end]
            axial = sign * (gap @ self.along[end])
            radial = np.sqrt(np.maximum((gap ** 2).sum(axis=1) - axial ** 2, 0))
            disc = np.hypot(axial, np.maximum(radial - self.radius, 0))
            away = np.where((s == (self.low, self.high)[end]) & (axial >= 0), disc, away)
        return away


# ---- plain convex shapes ----


class Block:
    def __init__(self, centre, axes, half):
        self.centre, self.axes, self.half = np.asarray(centre, float), np.asarray(axes, float), np.asarray(half, float)

    def grown(self, k, datum):
        return Block(datum + k * (self.centre - datum), self.axes, k * self.half)

    def nearest(self, points):
        local = (points - self.centre) @ self.axes.T
        return self.centre + np.clip(local, -self.half, self.half) @ self.axes

    def reach(self, n):
        return n @ self.centre + np.abs(self.axes @ n) @ self.half


class Rod:
    """Flat ends, a cone where the radii differ."""

    def __init__(self, a, b, ra, rb):
        self.a, self.b, self.r = np.asarray(a, float), np.asarray(b, float), (ra, rb)
        self.length = np.linalg.norm(self.b - self.a)
        self.axis = (self.b - self.a) / self.length
        self.centre = (self.a + self.b) / 2

    def grown(self, k, datum):
        return Rod(datum + k * (self.a - datum), datum + k * (self.b - datum), k * self.r[0], k * self.r[1])

    def nearest(self, points):
        gap = points - self.a
        t = gap @ self.axis
        side = gap - t[:, None] * self.axis
        rho = np.linalg.norm(side, axis=1)
        out = side / np.where(rho > 0, rho, 1)[:, None]
        corners = np.array([(0, 0), (0, self.r[0]), (self.length, self.r[1]), (self.length, 0)])
        flat = np.stack([t, rho], axis=1)
        best = nearest_on_polyline(corners, flat)
        limit = self.r[0] + (self.r[1] - self.r[0]) * t / self.length
        inside = (t >= 0) & (t <= self.length) & (rho <= limit)
        best = np.where(inside[:, None], flat, best)
        return self.a + best[:, :1] * self.axis + best[:, 1:] * out

    def reach(self, n):
        across_axis = np.linalg.norm(n - np.dot(n, self.axis) * self.axis)
        return max(n @ self.a + self.r[0] * across_axis, n @ self.b + self.r[1] * across_axis)


class Ball:
    def __init__(self, centre, radius):
        self.centre, self.radius = np.asarray(centre, float), radius

    def grown(self, k, datum):
        return Ball(datum + k * (self.centre - datum), k * self.radius)

    def nearest(self, points):
        gap = points - self.centre
        away = np.linalg.norm(gap, axis=1)
        return self.centre + gap * np.minimum(1, self.radius / np.maximum(away, 1e-300))[:, None]

    def reach(self, n):
        return n @ self.centre + self.radius * np.linalg.norm(n)


class Prism:
    """A convex polygon with a depth; the rounding grows it on every side."""

    def __init__(self, origin, u, v, corners, depth, rounding):
        self.origin, self.u, self.v = np.asarray(origin, float), np.asarray(u, float), np.asarray(v, float)
        self.n, self.corners = np.cross(self.u, self.v), np.asarray(corners, float)
        self.depth, self.rounding = depth, rounding
        edges = np.roll(self.corners, -1, axis=0) - self.corners
        turns = np.cross(edges, np.roll(edges, -1, axis=0))
        self.sense = np.sign(turns[0])
        self.edges = edges
        if not np.all(turns * self.sense > 0):
            raise ValueError("outline is not convex")
        self.centre = (self.origin + self.corners.mean(axis=0) @ np.array([self.u, self.v]) +
                       depth / 2 * self.n)

    def grown(self, k, datum):
        return Prism(datum + k * (self.origin - datum), self.u, self.v, k * self.corners, k * self.depth,
                     k * self.rounding)

    def nearest(self, points):
        gap = points - self.origin
        flat = np.stack([gap @ self.u, gap @ self.v], axis=1)
        inside = np.all([self.sense * np.cross(e, flat - c) >= 0
                         for c, e in zip(self.corners, self.edges)], axis=0)
        best = nearest_on_polyline(np.vstack([self.corners, self.corners[:1]]), flat)
        best = np.where(inside[:, None], flat, best)
        core = (self.origin + best @ np.array([self.u, self.v]) +
                np.clip(gap @ self.n, 0, self.depth)[:, None] * self.n)
        away = points - core
        size = np.linalg.norm(away, axis=1)
        return core + away * np.minimum(1, self.rounding / np.maximum(size, 1e-300))[:, None]

    def reach(self, n):
        flat = self.corners @ np.array([n @ self.u, n @ self.v])
        return n @ self.origin + flat.max() + max(0, self.depth * (n @ self.n)) + self.rounding * np.linalg.norm(n)


def nearest_on_polyline(corners, points):
    best, least = points, np.full(len(points), np.inf)
    for a, b in zip(corners, corners[1:]):
        d = b - a
        square = d @ d
        if square == 0:
            continue
        t = np.clip((points - a) @ d / square, 0, 1)
        foot = a + t[:, None] * d
        away = ((points - foot) ** 2).sum(axis=1)
        best = np.where((away < least)[:, None], foot, best)
        least = np.minimum(away, least)
    return best


def plain_distance(shape, points):
    return np.linalg.norm(points - shape.nearest(points), axis=1)


def convex_gap(a, b):
    """Distance of two convex shapes, and a lower bound of it.

    The half squared distances of a point to both have a convex, smooth sum, least halfway between;
    from there the nearest points of both are found. The bound is that of the plane square to them:
    the supports say how far apart the two lie along any direction.
    """

    def both(p):
        to_a, to_b = p - a.nearest(p[None])[0], p - b.nearest(p[None])[0]
        return (to_a @ to_a + to_b @ to_b) / 2, to_a + to_b

    p = np.array([(a.centre + b.centre) / 2])
    for _ in range(10):
        p = a.nearest(b.nearest(p))
    middle = minimize(both, (p[0] + b.nearest(p)[0]) / 2, jac=True, method="BFGS",
                      options={"gtol": 1e-9, "maxiter": 400}).x
    q = b.nearest(middle[None])
    found, proved = np.inf, 0.0
    for _ in range(20):
        p = a.nearest(q)
        q = b.nearest(p)
        n = (q - p)[0]
        found = min(found, np.linalg.norm(n))
        if found == 0:
            return 0.0, 0.0
        n = n / np.linalg.norm(n)
        proved = max(proved, -b.reach(-n) - a.reach(n))
        if found - proved < 1e-8:
            break
    return found, proved
