#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The two examples computed again with numpy and scipy, and compared with what the program says.

Usage: example_reference.py TIGHTBAY-BATCH EXAMPLES-FOLDER MATERIALS.XML

Paths, arc lengths, sections and areas against the station tables; gaps against dense points of the
one surface, polished, and exact distances to the other; hot items grown by hand. A polished distance
belongs to two points of the items, so no certified lower end may exceed it; it is also the least one
found, so no upper end may fall below it by more than the search's own error.
"""
import csv
import io
import json
import math
import subprocess
import sys

import numpy as np
from scipy.integrate import quad
from scipy.spatial import cKDTree

sys.dont_write_bytecode = True  # the sources' folder stays as it is

from example_bay import Bay
from example_shapes import Tube, convex_gap, plain_distance

PLACE = 1e-6  # mm, points of a path: rounding of both splines and of the arc lengths
PROVED = 1e-6  # mm, how far a lower end may exceed a found distance: rounding
FOUND = 1e-5  # mm, how far an upper end may fall below it: the pattern search's last step
ON_SKIN = 0.005  # mm, of a point whose foot is searched: of first order in the search's last steps
WIDTH = 0.01  # mm, certified width that the program promises
SETTINGS = (
    ("van-c", "std-s", "cold"), ("van-c", "std-s", "hot"), ("van-c", "high-s", "cold"),
    ("pickup", "standard", "cold"), ("pickup", "standard", "hot"),
)


class Facts:
    """Collects one TAP line."""

    def __init__(self, what):
        self.what, self.count, self.failed, self.worst = what, 0, 0, -math.inf

    def near(self, name, got, want, tolerance):
        miss = float(np.max(np.abs(np.asarray(got, float) - np.asarray(want, float))))
        self.true(f"{name}: program {got}, here {want}, off by {miss:.3g}", miss <= tolerance,
                  miss, np.size(got))

    def true(self, name, good, miss=0.0, count=1):
        self.count += count
        self.worst = max(self.worst, miss)
        if not good:
            self.failed += 1
            print(f"# {name}")

    def tell(self, index):
        good = self.count > 0 and self.failed == 0
        print(f"{'ok' if good else 'not ok'} {index} - {self.what}: {self.count} values, "
              f"{self.failed} fail, worst {self.worst:.1e}", flush=True)
        return good


# ---- the program ----


class Program:
    def __init__(self, batch, folder):
        self.batch, self.folder = batch, folder

    def file(self, example):
        return f"{self.folder}/{example}.bay"

    def run(self, *arguments):
        done = subprocess.run([self.batch, *arguments], capture_output=True, text=True)
        if done.returncode not in (0, 1):
            raise RuntimeError(f"{arguments}: {done.stderr}")
        return done.stdout

    def report(self, example, variant, state):
        return json.loads(self.run("check", self.file(example), "--json", "-", "--variant", variant,
                                   "--state", state))

    def stations(self, example, item, variant, state, step):
        text = self.run("stations", self.file(example), "--item", item, "-o", "-", "--step", str(step),
                        "--variant", variant, "--state", state)
        rows = list(csv.reader(io.StringIO(text)))
        table = np.array([[float(f) for f in r] for r in rows[1:]])
        return {name.split(" ")[0]: table[:, i] for i, name in enumerate(rows[0])}


# ---- paths and sections ----


def check_stations(program, bay, setting, name, facts):
    example, variant, state = setting
    sweep = bay.item(name).sweep
    k = sweep.scale
    table = program.stations(example, name, variant, state, 1)
    s = np.minimum(table["s"] / k, sweep.length)
    where = f"{example} {name} {state} {variant}"
    point = np.stack([table[c] for c in "xyz"], axis=1)
    tangent = np.stack([table[c] for c in ("tx", "ty", "tz")], axis=1)
    facts["path"].near(f"{where}, points", point, sweep.centre(s), PLACE)
    facts["path"].near(f"{where}, tangents", tangent, sweep.path.frame(s)[1], 1e-8)
    u = sweep.path.u_of(s)
    facts["path"].near(f"{where}, curvature", table["curvature"], sweep.path.curvature(u) / k, 1e-8)
    whole = sum(quad(sweep.path.speed, a, b, epsabs=1e-11, epsrel=1e-12, limit=200)[0]
                for a, b in zip(sweep.path.at_knot, sweep.path.at_knot[1:]))
    facts["length"].near(f"{where}, length", table["s"][-1], whole * k, 1e-8 * whole)
    check_sections(sweep, table, s, k, where, facts)


def check_sections(sweep, table, s, k, where, facts):
    law = sweep.law
    span, mix, a, b, turn, wall, area = law.at(s)
    for row in law.rows:
        i = int(np.argmin(abs(s - row.station)))
        if abs(s[i] - row.station) < 1e-9:
            want = row.area() * k * k
            facts["given"].near(f"{where}, area at {row.station:g}", table["area"][i] / want, 1, 1e-10)
            facts["given"].near(f"{where}, perimeter at {row.station:g}",
                                table["perimeter"][i] / (row.perimeter() * k), 1, 1e-9)
    facts["law"].near(f"{where}, areas", table["area"] / (area * k * k), np.ones(len(s)), 1e-9)
    facts["law"].near(f"{where}, widths", table["width"], 2 * a * k, 1e-7)
    facts["law"].near(f"{where}, heights", table["height"], 2 * b * k, 1e-7)
    facts["law"].near(f"{where}, turns", table["turn"], np.degrees(turn), 1e-8)
    facts["law"].near(f"{where}, walls", table["wall"], wall * k, 1e-9)
    growth = law.growth(np.clip(s, law.x[0], law.x[-1])) * ((s >= law.x[0]) & (s <= law.x[-1]))
    facts["law"].near(f"{where}, growth", table["growth"], growth * k, 1e-7)
    cone = np.degrees(2 * np.arctan(growth / (2 * np.sqrt(math.pi * area))))
    facts["law"].near(f"{where}, cone angles", table["cone_angle"], cone, 1e-7)
    for i in range(3, len(s), 29):
        facts["law"].near(f"{where}, perimeter at {s[i]:g}",
                          table["perimeter"][i] / (law.perimeter(s[i]) * k), 1, 1e-9)


# ---- gaps ----


def polish(evaluate, start, step, rounds=200):
    """Pattern search of all starts (rows of parameters) at once; evaluate gives distances."""
    best = np.array(start, float)
    step = np.repeat(np.array([step], float), len(best), axis=0)
    dimension = best.shape[1]
    moves = np.array(np.meshgrid(*[[-1, 0, 1]] * dimension)).reshape(dimension, -1).T
    least = evaluate(best)
    first = step.max()
    for _ in range(rounds):
        tried = best[:, None, :] + moves * step[:, None, :]
        away = evaluate(tried.reshape(-1, dimension)).reshape(len(best), -1)
        pick = away.argmin(axis=1)
        rows = np.arange(len(best))
        better = away[rows, pick] < least
        best = np.where(better[:, None], tried[rows, pick], best)
        least = np.where(better, away[rows, pick], least)
        step = np.where(better[:, None], step, step / 3)
        if step.max() < 3e-5 * first:
            break
    return best, least


def apart(points, away, count, distance):
    """The best points that lie apart: starts of the search."""
    starts = []
    for i in np.argsort(away)[:1500]:
        if all(np.linalg.norm(points[i] - points[j]) > distance for j in starts):
            starts.append(i)
        if len(starts) == count:
            break
    return starts


class Skin:
    """Patches of a sweep between two stations: its side, and the discs that close it."""

    def __init__(self, sweep, kept):
        self.sweep, (self.low, self.high) = sweep, kept
        # stations below low or above high are the disc there, 1 mm beyond it is its centre
        s = np.linspace(self.low, self.high, 2 + int((self.high - self.low) / 2.5))
        caps = [self.low - c for c in (0.1, 0.25, 0.4, 0.55, 0.7, 0.85, 1)]
        caps += [self.high + c for c in (0.1, 0.25, 0.4, 0.55, 0.7, 0.85, 1)]
        s, v = np.meshgrid(np.concatenate([s, caps]), np.arange(0, 4, 4 / 72), indexing="ij")
        self.grid = np.stack([s.ravel(), v.ravel()], axis=1)
        self.points = self.at(self.grid)
        middle = (self.points.max(axis=0) + self.points.min(axis=0)) / 2
        self.middle, self.reach = middle, np.linalg.norm(self.points - middle, axis=1).max() + 0.2

    def at(self, parameters):
        s = parameters[:, 0]
        beyond = np.maximum(np.maximum(self.low - s, s - self.high), 0)
        return self.sweep.points(np.clip(s, self.low, self.high), parameters[:, 1] % 4,
                                 np.clip(1 - beyond, 0, 1))

    def least(self, distance, tries=3):
        away = distance(self.points)
        starts = apart(self.points, away, tries, 15)
        return polish(lambda p: distance(self.at(p)), self.grid[starts], (1.0, 4 / 72))[1].min()


def skin_gap(a, b):
    """Two skins, neither of which has a closed distance: nearest grid points, polished."""
    tree = cKDTree(b.points)
    away, other = tree.query(a.points)
    starts = apart(a.points, away, 3, 15)

    def evaluate(p):
        return np.linalg.norm(a.at(p[:, :2]) - b.at(p[:, 2:]), axis=1)

    return polish(evaluate, np.hstack([a.grid[starts], b.grid[other[starts]]]),
                  (1.0, 4 / 72, 1.0, 4 / 72))[1].min()


class Solids:
    """Items of one setting as parts that gaps can be found between; skins are made once."""

    def __init__(self, bay):
        self.bay, self.items, self.skins, self.tubes = bay, {}, {}, {}

    def item(self, name):
        if name not in self.items:
            self.items[name] = self.bay.item(name)
        return self.items[name]

    def sweep_parts(self, name, left_out):
        item = self.item(name)
        kept = tuple(item.sweep.kept(left_out))
        key = (name, kept)
        if key not in self.skins:
            self.skins[key] = Skin(item.sweep, kept)
            self.tubes[key] = Tube(item.sweep, kept) if item.sweep.round is not None else None
        return self.skins[key], self.tubes[key]

    def parts(self, name, left_out):
        item = self.item(name)
        ends = [p for p in item.ends
                if all(np.linalg.norm(p.centre - port) > radius for port, radius in left_out)]
        return (self.sweep_parts(name, left_out) if item.sweep is not None else None), item.plain + ends

    def gap(self, a, b, left_out):
        """The least distance found."""
        (skin_a, plain_a), (skin_b, plain_b) = self.parts(a, left_out), self.parts(b, left_out)
        best = np.inf
        for p in plain_a:
            for q in plain_b:
                best = min(best, convex_gap(p, q)[0])
        for skin, plain in ((skin_a, plain_b), (skin_b, plain_a)):
            for p in plain if skin is not None else ():
                rough = np.linalg.norm(skin[0].middle - p.nearest(skin[0].middle[None])[0]) - skin[0].reach
                if rough < best:
                    best = min(best, skin[0].least(lambda x: plain_distance(p, x)))
        if skin_a is not None and skin_b is not None:
            if skin_b[1] is not None:
                best = min(best, skin_a[0].least(skin_b[1].distance))
            elif skin_a[1] is not None:
                best = min(best, skin_b[0].least(skin_a[1].distance))
            else:
                best = min(best, skin_gap(skin_a[0], skin_b[0]))
        return best

    def off_item(self, name, point, left_out):
        """How far a point lies from an item's plain parts and from its skin."""
        skin, plain = self.parts(name, left_out)
        best = min((plain_distance(p, point[None])[0] for p in plain), default=np.inf)
        if skin is not None and best > PLACE:
            best = min(best, skin[0].least(lambda x: np.linalg.norm(x - point, axis=1), 1))
        return best


def check_gaps(program, bay, setting, report, facts):
    """All pairs of the report but those with a scan."""
    solids = Solids(bay)
    for gap in report["gaps"]:
        a, b = gap["a"], gap["b"]
        name = f"{setting[0]} {a} to {b}, {setting[2]} {setting[1]}"
        if "scan" in (bay.items[a].tag, bay.items[b].tag):
            continue
        if setting[1] == "high-s" and bay.items[a].get("mount") == bay.items[b].get("mount"):
            continue  # moved together: nothing new
        left_out = [(bay.grown_port(e["port"]), e["radius"]) for e in gap["excluded"]]
        found = solids.gap(a, b, left_out)
        lower, upper = gap["lower"], gap["upper"]
        facts["lower"].true(f"{name}: lower {lower!r} is above {found!r}",
                            lower <= found + PROVED, lower - found)
        if is_all_hot(gap):
            facts["upper"].true(f"{name}: upper {upper!r} is below {found!r}",
                                upper >= found - FOUND, found - upper)
        else:
            facts["warmth"].true(f"{name}: upper {upper!r} is above {found!r} of full heat",
                                 upper <= found + WIDTH, upper - found)
        facts["width"].true(f"{name}: {lower!r} to {upper!r} is too wide", upper - lower <= WIDTH,
                            upper - lower)
        if setting[2] == "cold" and setting[1] != "high-s":
            check_witness(solids, gap, left_out, name, facts["witness"])


def is_all_hot(gap):
    """Parts warm at different times: true where the worst is with both as hot as they get."""
    warmth = (gap["motion"] or {}).get("warmth") or {}
    return all(share >= 1 for share in warmth.values())


def check_witness(solids, gap, left_out, name, fact):
    pair = [np.array(gap["point_a"]), np.array(gap["point_b"])]
    fact.near(f"{name}, distance of its points", np.linalg.norm(pair[0] - pair[1]), gap["upper"],
              2e-9)
    for item, point in zip((gap["a"], gap["b"]), pair):
        off = solids.off_item(item, point, left_out)
        fact.true(f"{name}: its point on {item} is {off!r} mm off it", off <= ON_SKIN, off)


# ---- the tables of an independent model ----

# Invented data of the examples, computed by an independent model before the program was: cubic
# spline over chord length, monotone cubics for every section parameter, obstacle distances sampled
# on the outer skin. Another blend of sections moves gaps by up to about 1 mm.
MODEL_GAPS = {
    ("van-c", "cold"): {"cross-rail": 15.5, "bulkhead": 67.8, "steering-joint": 31.7,
                        "steering-shaft": 51.2, "brake-line": 33.1, "boss": 19.6},
    ("van-c", "hot"): {"cross-rail": 12.8, "bulkhead": 65.0, "steering-joint": 28.8,
                       "steering-shaft": 48.2, "brake-line": 30.5},
    ("pickup", "cold"): {"bracket": 20.7, "toe-board": 25.6, "starter": 25.9, "heater-hose": 45.4,
                         "frame-rail": 46.7, "brake-line": 40.5},
    ("pickup", "hot"): {"bracket": 18.0, "toe-board": 23.1, "frame-rail": 43.8, "brake-line": 37.8},
}
# length mm, inner volume mm3; then station, point, area mm2
MODEL_PATH = {
    "van-c": (536.3, 2.238e6, (
        (0.0, 1177.8, -218.2, 735.0, 2642.1), (40.0, 1215.9, -212.5, 725.8, 2754.5),
        (80.0, 1244.5, -202.1, 700.6, 2993.6), (120.1, 1253.5, -189.4, 664.0, 3213.2),
        (160.1, 1254.4, -176.7, 626.1, 3458.5), (200.1, 1256.2, -163.8, 588.3, 3713.8),
        (240.1, 1258.5, -150.9, 550.5, 3949.0), (280.2, 1260.6, -138.1, 512.6, 4186.2),
        (320.2, 1263.1, -125.6, 474.7, 4458.8), (360.2, 1268.0, -113.1, 436.9, 4728.9),
        (400.2, 1279.8, -100.8, 400.9, 5008.8), (440.2, 1301.1, -89.2, 369.1, 5283.9),
        (480.3, 1327.5, -78.5, 341.0, 5639.6), (520.3, 1355.2, -68.1, 314.1, 5795.3),
        (536.3, 1366.0, -64.0, 303.0, 5795.3))),
    "pickup": (461.1, 1.867e6, (
        (0.0, 1264.4, 374.0, 735.0, 2827.4), (40.0, 1304.0, 369.4, 732.2, 2889.6),
        (80.0, 1341.9, 363.6, 721.2, 3064.5), (120.0, 1373.7, 356.4, 698.4, 3216.9),
        (160.0, 1399.1, 348.7, 668.5, 3364.8), (200.0, 1422.9, 340.7, 637.3, 3580.9),
        (240.0, 1448.9, 332.7, 608.1, 3860.2), (280.1, 1477.9, 325.0, 581.6, 4200.2),
        (320.1, 1509.9, 317.5, 558.8, 4602.4), (360.1, 1544.8, 310.3, 540.8, 5008.5),
        (400.1, 1582.3, 303.7, 528.7, 5505.7), (440.1, 1620.8, 297.3, 519.9, 5795.3),
        (461.1, 1641.0, 294.0, 515.0, 5795.3))),
}


def outlet_gaps(report):
    gaps = [g for g in report["gaps"] if "outlet" in (g["a"], g["b"])]
    return {g["a"] if g["b"] == "outlet" else g["b"]: g for g in gaps}


def check_model(setting, report, facts):
    example, _, state = setting
    gaps = outlet_gaps(report)
    for other, want in MODEL_GAPS[example, state].items():
        facts["model"].near(f"{example} {state} outlet to {other}", gaps[other]["upper"], want, 1.0)
    if state != "cold":
        return
    length, volume, rows = MODEL_PATH[example]
    duct = next(d for d in report["ducts"] if d["id"] == "outlet")
    facts["model"].near(f"{example} length", duct["length"], length, 0.1)
    facts["model"].near(f"{example} volume", duct["volume_inner"] / volume, 1, 0.005)
    table = {k: [r[k] for r in duct["stations"]] for k in ("s", "x", "y", "z", "area")}
    for s, x, y, z, area in rows:
        got = [np.interp(s, table["s"], table[k]) for k in ("x", "y", "z", "area")]
        facts["model"].near(f"{example} point at {s}", got[:3], (x, y, z), 0.2)
        facts["model"].near(f"{example} area at {s}", got[3] / area, 1, 0.02)


def check_scan(report, facts):
    """The scan of the frame side was made from the rail's and the bracket's faces: where the nearer
    of them is nearest inside of what was scanned, the gap to the scan is the same within 1 mm."""
    gaps = {}
    for g in report["gaps"]:
        gaps[g["a"], g["b"]] = (g["upper"], np.array(g["point_b"]))
        gaps[g["b"], g["a"]] = (g["upper"], np.array(g["point_a"]))
    for item, other in gaps:
        blocks = [gaps[item, o] for o in ("frame-rail", "bracket") if (item, o) in gaps]
        if other != "frame-scan" or not blocks:
            continue
        want, (x, y, z) = min(blocks, key=lambda b: b[0])
        inside = 1252 < x < 1748 and 402 < z < 698  # by 2 mm
        if inside and abs(gaps[item, other][1][1] - y) < 1:  # else a bolt head or the weld is nearer
            facts["scan"].near(f"pickup {item} to the scan", gaps[item, other][0], want, 1.0)


def main():
    program = Program(sys.argv[1], sys.argv[2])
    facts = {
        "path": Facts("points, tangents and curvature along the paths are scipy's spline's"),
        "length": Facts("lengths are scipy's quadrature of the speed"),
        "given": Facts("areas and perimeters at given sections have their closed forms"),
        "law": Facts("areas, sizes, growth and perimeters between them follow the law"),
        "lower": Facts("no certified lower end exceeds a distance of two points"),
        "upper": Facts("no upper end falls below the least distance found"),
        "warmth": Facts("over all warmths a gap is no more than at full heat"),
        "width": Facts("every gap is certified within its width"),
        "witness": Facts("the two points of a gap lie on their items, as far apart as it says"),
        "model": Facts("gaps and paths are those of an earlier, independent model to 1 mm"),
        "scan": Facts("gaps to the scan are those to the blocks it was made from, to 1 mm"),
    }
    print(f"1..{len(facts)}")
    for setting in SETTINGS:
        bay = Bay(program.file(setting[0]), sys.argv[3], setting[1], setting[2])
        report = program.report(*setting)
        for name, element in bay.items.items():
            if element.tag in ("duct", "line") and (setting[2] == "cold" or name == "outlet"):
                check_stations(program, bay, setting, name, facts)
        check_gaps(program, bay, setting, report, facts)
        if setting[1] in ("std-s", "standard"):
            check_model(setting, report, facts)
        if setting[0] == "pickup":
            check_scan(report, facts)
    for index, fact in enumerate(facts.values(), 1):
        fact.tell(index)


main()
