#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Two gaps of the van at the edge of tolerance, sampled again with numpy.

Usage: tolerance_reference.py TIGHTBAY-BATCH EXAMPLES-FOLDER MATERIALS.XML

The outlet's skin as dense points, moved pose by pose, and closed distances to a block and to a
ball. Half bands are the file's and the standards', by hand. Once with numpy's own numbers: the two
estimates of the probability must agree. Once with the program's (Philox4x32-10 and Box and Muller,
written here after their papers): then every sample must be decided alike, but for those so near the
keep that the points' spacing decides. Root-sum-square by differences; no sample within the bands may
be below the certified worst case.
"""
import json
import os
import subprocess
import sys
import tempfile

import numpy as np

sys.dont_write_bytecode = True  # the sources' folder stays as it is

from example_bay import Bay

SAMPLES, SEED = 4000, 20261126
DEVIATIONS = 3  # in a half band
STEP = 0.8  # mm between points along the outlet; about as much around it
COARSE = 0.02  # mm, what a distance to the points is too large by: STEP^2 / 2 / 16 mm of radius
AROUND = 8.0  # mm beyond the nearest point: turns bring no further point nearest

# engine on its mounts, mm and deg; the outlet on its joint, mm
MOUNT_SHIFT, MOUNT_TURN, OUTLET_SHIFT = (3, 3, 3), (0.2, 0.35, 0.15), (0.9, 0.6, 1.2)

# ISO 8062-3:2007, table 2: DCTG 8 of 400 to 630 mm is 2.6 mm wide, DCTG 9 (the wall's) to 10 mm 1.5;
# the core's shift and the mismatch are the file's
SIZES = {"grade": 2.6 / 2, "core-shift": max(0.8, 1.5 / 2), "mismatch": 0.5}

PAIRS = (("cross-rail", 14.5), ("steering-joint", 30.5))


def philox(counter, key):
    """Salmon and others, SC 2011: ten rounds on columns of 32-bit words held in 64."""
    low = np.uint64(0xFFFFFFFF)
    x = [c.astype(np.uint64) for c in counter]
    k = [int(key[0]), int(key[1])]
    for _ in range(10):
        p0, p1 = x[0] * np.uint64(0xD2511F53), x[2] * np.uint64(0xCD9E8D57)
        x = [(p1 >> np.uint64(32)) ^ x[1] ^ np.uint64(k[0]), p1 & low,
             (p0 >> np.uint64(32)) ^ x[3] ^ np.uint64(k[1]), p0 & low]
        k = [(k[0] + 0x9E3779B9) & 0xFFFFFFFF, (k[1] + 0xBB67AE85) & 0xFFFFFFFF]
    return x


def same_normals(count):
    """The program's: one row a sample; pairs by Box and Muller from shares of 53 bits."""
    sample = np.arange(SAMPLES, dtype=np.uint64)
    columns = []
    for block in range((count + 1) // 2):
        zero = np.zeros_like(sample)
        bits = philox([sample, zero, zero, zero + np.uint64(block)], (SEED & 0xFFFFFFFF, SEED >> 32))
        share = [(((bits[2 * i] << np.uint64(32) | bits[2 * i + 1]) >> np.uint64(11)).astype(float) + 0.5)
                 * 2.0 ** -53 for i in (0, 1)]
        radius, angle = np.sqrt(-2 * np.log(share[0])), 2 * np.pi * share[1]
        columns += [radius * np.cos(angle), radius * np.sin(angle)]
    return np.stack(columns[:count], axis=1)


def turn(axis, angle):
    c, s = np.cos(angle), np.sin(angle)
    i, k = (axis + 1) % 3, (axis + 2) % 3
    m = np.eye(3)
    m[i, i], m[i, k], m[k, i], m[k, k] = c, -s, s, c
    return m


class Pair:
    """The outlet and its neighbour, as drawn."""

    def __init__(self, bay, other):
        sweep = bay.item("outlet").sweep
        self.shape = bay.item(other).plain[0]
        self.datum = np.array([float(t) for t in bay.mounts["engine"].get("datum").split()])
        s, v = np.meshgrid(np.arange(30, 480, STEP), np.arange(0, 4, 4 / 400), indexing="ij")
        points = sweep.points(s.ravel(), v.ravel())
        away = self.distance(points)
        self.nominal = away.min()
        self.points = points[away < self.nominal + AROUND]

    def distance(self, points):
        return np.linalg.norm(points - self.shape.nearest(points), axis=1) \
            if not hasattr(self.shape, "radius") \
            else np.linalg.norm(points - self.shape.centre, axis=1) - self.shape.radius

    def gap(self, values, freedoms):
        """With values in half bands of the freedoms (kind, index, half)."""
        rotation, shift, off = np.eye(3), np.zeros(3), 0.0
        for value, (kind, axis, half) in zip(values, freedoms):
            if kind == "turn":
                rotation = rotation @ turn(axis, value * half)
            elif kind == "shift":
                shift[axis] += value * half
            else:
                off += value * half
        moved = self.datum + (self.points - self.datum) @ rotation.T + shift
        return self.distance(moved).min() - off


def freedoms_of(tap, sources, what):
    """The program's list in its order, with half bands from here."""
    freedoms, told = [], []
    for source in sources:
        name = source["freedom"]
        if source["kind"] == "placement":
            axis, turns = "xyz".index(name[1]), name[0] == "r"
            halves = OUTLET_SHIFT if source["item"] else MOUNT_TURN if turns else MOUNT_SHIFT
            half, scale = halves[axis], np.pi / 180 if turns else 1
            freedoms.append(("turn" if turns else "shift", axis, half * scale))
        else:
            half = SIZES[source["kind"]]
            freedoms.append(("size", 0, half))
        told.append(abs(source["half"] - half) < 1e-9)
    tap.fact(len(sources) == 12 and all(told),
             f"{what}: twelve tolerances with the file's and the standards' half bands",
             [s["name"] for s in sources])
    return freedoms


class Tap:
    def __init__(self):
        self.count, self.good = 0, True

    def fact(self, good, what, *said):
        self.count += 1
        self.good = self.good and bool(good)
        print(f"{'ok' if good else 'not ok'} {self.count} - {what}", flush=True)
        for one in said if not good else ():
            print(f"# {one}")


def check_pair(tap, bay, report, other, keep):
    gap = next(g for g in report["gaps"] if g["a"] == "outlet" and g["b"] == other)
    told = gap["tolerance"]
    pair = Pair(bay, other)
    what = f"outlet to {other}"
    freedoms = freedoms_of(tap, told["sources"], what)
    count = len(freedoms)
    tap.fact(0 <= pair.nominal - told["nominal"] + 1e-6 < COARSE + 0.01,
             f"{what}: the nominal gap", pair.nominal, told["nominal"])

    slopes = [(pair.gap(row, freedoms) - pair.gap(-row, freedoms)) / 2 for row in 0.1 * np.eye(count)]
    rss = 10 * float(np.linalg.norm(slopes))
    tap.fact(abs(rss - told["rss"]) < 0.02 * told["rss"], f"{what}: root-sum-square to the first order",
             rss, told["rss"])

    same = same_normals(count) / DEVIATIONS
    gaps = np.array([pair.gap(row, freedoms) for row in same])
    # a distance to points is too large by COARSE at most
    surely, perhaps = int((gaps < keep).sum()), int((gaps < keep + COARSE).sum())
    tap.fact(told["samples"] == SAMPLES and surely <= told["broken"] <= perhaps and perhaps - surely < 40,
             f"{what}: the program's own samples are decided as it decides them",
             (surely, told["broken"], perhaps))
    within = np.abs(same).max(axis=1) <= 1
    tap.fact(within.sum() > SAMPLES / 2 and gaps[within].min() >= told["worst_lower"],
             f"{what}: no sample within the bands is below the certified worst case",
             gaps[within].min(), told["worst_lower"])

    other_numbers = np.random.default_rng(5).standard_normal((SAMPLES, count)) / DEVIATIONS
    share = float(np.mean([pair.gap(row, freedoms) < keep for row in other_numbers]))
    # four deviations of the difference of two estimates
    spread = 4 * np.sqrt(2 * share * (1 - share) / SAMPLES)
    tap.fact(0.05 < share < 0.95 and told["low"] - spread < share < told["high"] + spread,
             f"{what}: numpy's numbers give the same probability", share, told["low"], told["high"])


def prepared(path, folder):
    """The van with turns at its mount, an outlet placed within bands, and keeps that are at stake."""
    with open(path) as file:
        text = file.read()
    mount = " ".join(map(str, MOUNT_TURN))
    text = text.replace('scatter-shift="3 3 3"', f'scatter-shift="3 3 3" scatter-turn="{mount}"', 1)
    at = text.index("<path>", text.index('<duct id="outlet"'))
    shift = " ".join(map(str, OUTLET_SHIFT))
    text = f'{text[:at]}<tolerance shift="{shift}"/>{text[at:]}'
    keeps = "".join(f'<keep id="at-stake-{other}" item-a="outlet" item-b="{other}">'
                    f'<wanted state="tolerance" gap="{keep}"/></keep>' for other, keep in PAIRS)
    text = text.replace("</keeps>", keeps + "</keeps>", 1)
    made = os.path.join(folder, "van.bay")
    with open(made, "w") as file:
        file.write(text)
    return made


def main():
    batch, examples, materials = sys.argv[1:4]
    tap = Tap()
    with tempfile.TemporaryDirectory() as folder:
        path = prepared(f"{examples}/van-c.bay", folder)
        done = subprocess.run([batch, "check", path, "--json", "-", "--state", "tolerance", "--variant",
                               "std-s", "--samples", str(SAMPLES), "--seed", str(SEED)],
                              capture_output=True, text=True)
        if done.returncode not in (0, 1):
            raise RuntimeError(done.stderr)
        bay = Bay(path, materials, "std-s", "tolerance")
    report = json.loads(done.stdout)
    for other, keep in PAIRS:
        check_pair(tap, bay, report, other, keep)
    print(f"1..{tap.count}")
    return 0 if tap.good else 1


if __name__ == "__main__":
    sys.exit(main())
