#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Sheets of card gauges measured as another program reads them.

Usage: template_sheets.py TIGHTBAY-BATCH VAN-C.BAY

Each page goes through pdftocairo to SVG and is measured there: bars, areas of outlines against the
station table, holes of a flange against the document. Without the programs of poppler the test says
that it is skipped.
"""
import csv
import io
import math
import os
import re
import shutil
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as tree

sys.dont_write_bytecode = True  # the sources' folder stays as it is
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "share"))

from tap import Tap

MM = 25.4 / 72  # of a point
BAR = 0.1  # mm, what is promised of a bar's length
SHARE = 1e-3  # what is promised of an area
STATIONS = (14.5, 120.0, 283.0, 411.7, 536.3)
SVG = "{http://www.w3.org/2000/svg}"


def run(program, *arguments):
    return subprocess.run([program, *map(str, arguments)], check=True,
                          stdout=subprocess.PIPE).stdout


def matrix(element):
    text = element.get("transform")
    if text is None:
        return (1, 0, 0, 1, 0, 0)
    return tuple(float(x) for x in re.search(r"matrix\((.*)\)", text).group(1).split(","))


def loops(element):
    """The straight-sided loops of a path in mm of the page; those with curves are letters."""
    a, b, c, d, e, f = matrix(element)
    found = []
    for word, rest in re.findall(r"([A-Za-z])([^A-Za-z]*)", element.get("d")):
        numbers = [float(x) for x in rest.split()]
        if word == "M":
            found.append([])
        elif word not in "LZ":
            return []
        if numbers:
            x, y = numbers
            found[-1].append(((a * x + c * y + e) * MM, (b * x + d * y + f) * MM))
    return [loop for loop in found if len(loop) > 1]


def page_loops(pdf, page, folder):
    svg = os.path.join(folder, "page.svg")
    # -noshrink: it would fit A4 of 841.89 points to a page of 841
    run("pdftocairo", "-svg", "-noshrink", "-f", page, "-l", page, pdf, svg)
    root = tree.parse(svg).getroot()
    drawn = [element for element in root.iter(SVG + "path")
             if "stroke-width" in (element.get("style") or "") + str(element.get("stroke-width"))]
    return [loop for element in drawn for loop in loops(element)]


def area(loop):
    return abs(sum(x0 * y1 - x1 * y0
                   for (x0, y0), (x1, y1) in zip(loop, loop[1:] + loop[:1]))) / 2


def spans(loop):
    xs, ys = zip(*loop)
    return max(xs) - min(xs), max(ys) - min(ys)


def bars(found):
    """Lengths of the longest straight lines, lying and upright, that are about 100 mm long."""
    lines = [spans(loop) for loop in found if len(loop) == 2]
    return ([w for w, h in lines if h < 0.01 and 95 < w < 105],
            [h for w, h in lines if w < 0.01 and 95 < h < 105])


def check_bars(tap, pdf, pages, folder, what):
    worst, count = 0.0, 0
    for page in range(1, pages + 1):
        for lengths in bars(page_loops(pdf, page, folder)):
            count += any(abs(length - 100) < BAR for length in lengths)
            worst = max([worst] + [min(abs(length - 100) for length in lengths)] if lengths else [9])
    tap.fact(count == 2 * pages, f"both bars of {pages} sheets of {what} are 100 mm long",
             f"{count} are, the worst is {worst} mm off")


def pages_of(pdf):
    return int(re.search(r"Pages:\s+(\d+)", run("pdfinfo", pdf).decode()).group(1))


def check_sections(tap, batch, bay, folder):
    pdf = os.path.join(folder, "sections.pdf")
    run(batch, "templates", bay, "--item", "outlet", "--inner", "--stations",
        ",".join(map(str, STATIONS)), "-o", pdf)
    found = [loop for page in range(1, pages_of(pdf) + 1)
             for loop in page_loops(pdf, page, folder) if len(loop) > 60]
    wanted = {}
    for row in csv.DictReader(io.StringIO(run(batch, "stations", bay, "--item", "outlet", "--step",
                                              "0.1", "-o", "-").decode())):
        wanted[round(float(row["s [mm]"]), 1)] = float(row["area [mm2]"])
    areas = sorted(area(loop) for loop in found)
    table = sorted(wanted[s] for s in STATIONS)
    tap.fact(len(areas) == len(table) and
             all(abs(a / w - 1) < SHARE for a, w in zip(areas, table)),
             "areas of printed sections are those of the station table",
             f"{areas} against {table}")
    text = run("pdftotext", "-layout", pdf, "-").decode()
    tap.fact(all(word in text for word in ("Station 283 mm, flattest", "Turbine outlet, revision C",
                                           "looking downstream", "Print at 100 %")),
             "what a sheet says is text", text)
    check_bars(tap, pdf, pages_of(pdf), folder, "sections")
    fonts = run("pdffonts", pdf).decode().splitlines()[2:]
    tap.fact(fonts and all(re.search(r"\s+yes yes (yes|no)\s+\d+", line) for line in fonts),
             "fonts are embedded", *fonts)


def check_flange(tap, batch, bay, folder):
    """turbine-in: four bolts M10 on a circle of 76 mm, the first at 45 degrees; 48 x 40 mm."""
    pdf = os.path.join(folder, "flange.pdf")
    run(batch, "templates", bay, "--port", "turbine-in", "--paper", "Letter", "-o", pdf)
    found = [loop for loop in page_loops(pdf, 1, folder) if len(loop) > 20]
    holes = [loop for loop in found if abs(area(loop) / (math.pi * 25) - 1) < 5e-3]
    middles = [(sum(x for x, _ in loop) / len(loop), sum(y for _, y in loop) / len(loop))
               for loop in holes]
    tap.fact(len(holes) == 4, "a flange of four bolts has four holes of their size", len(holes))
    side = 76 / math.sqrt(2)
    width, height = spans(middles) if len(middles) > 1 else (0, 0)
    tap.fact(abs(width - side) < 0.05 and abs(height - side) < 0.05,
             "they lie on their circle, turned as the port says", width, height, side)
    opening = [loop for loop in found
               if abs(spans(loop)[0] - 48) < 0.05 and abs(spans(loop)[1] - 40) < 0.05]
    tap.fact(len(opening) == 1 and
             abs(area(opening[0]) - (48 * 40 - (4 - math.pi) * 100)) < 2,
             "the opening is as wide and tall as the port's, its corners round")
    check_bars(tap, pdf, 1, folder, "a flange")


def check_bytes(tap, batch, bay, folder):
    again = [run(batch, "templates", bay, "--item", "oil-drain", "--count", "3", "-o", "-")
             for _ in range(2)]
    tap.fact(again[0] == again[1] and again[0].startswith(b"%PDF") and
             b"CreationDate" not in again[0], "the same sheets are the same file")


def main():
    batch, bay = sys.argv[1:3]
    tap = Tap()
    missing = [name for name in ("pdftocairo", "pdfinfo", "pdftotext", "pdffonts")
               if shutil.which(name) is None]
    if missing:
        tap.skip("sheets are measured", "no " + ", ".join(missing))
        tap.end()
    with tempfile.TemporaryDirectory() as folder:
        check_sections(tap, batch, bay, folder)
        check_flange(tap, batch, bay, folder)
        check_bytes(tap, batch, bay, folder)
    tap.end()


if __name__ == "__main__":
    main()
