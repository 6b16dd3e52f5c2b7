#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Scrubbing the cursor and dragging a knot: what the window then says is what the command line
says about the saved file."""
import json
import math
import os
import re
import subprocess
import sys
import xml.etree.ElementTree as ElementTree

from driver import Program, example, run, wait, xdotool

OUTLET = "Turbine outlet"


def opened(bay):
    program = Program(bay)
    program.await_text(r"\d+ of \d+ findings hold")
    return program


def choose(program, item):
    program.click(program.get("list item", rf"^{item}, "), 40)
    program.await_text(r"^Show the worst gap")


def charts(program):
    return program.description(program.get("image", rf"^Charts along {OUTLET}"))


PLACE = r"^X .* Y .* Z "


def pointer(program, canvas, x, y):
    """X and Z of the bay under a point of the side cut, as the status line tells them."""
    before = program.has_text(PLACE)
    xdotool("mousemove", *program.place(canvas, x, y))
    text = wait(lambda: next((text for text in program.texts()
                              if re.search(PLACE, text) and text != before), None),
                "another place under the pointer")
    return [float(number) for number in re.findall(r"[XZ] (-?[\d.]+)", text)]


def place_of(program, canvas, x, z):
    """Pixels of a side cut's canvas for a point of the bay: two places give the straight map."""
    a, b = (60, 60), (180, 180)
    program.steady(canvas)
    at_a, at_b = pointer(program, canvas, *a), pointer(program, canvas, *b)
    return [round(a[k] + (value - at_a[k]) * (b[k] - a[k]) / (at_b[k] - at_a[k]))
            for k, value in enumerate((x, z))]


def knot(bay, number):
    path = ElementTree.parse(bay).find(".//duct[@id='outlet']/path")
    return [float(word) for word in path[number - 1].get("at").split()]


def report_of(bay):
    out = bay + ".json"
    done = subprocess.run([os.environ["TB_BATCH"], "check", bay, "--json", out],
                          capture_output=True, text=True)
    assert done.returncode in (0, 1), done.stderr
    with open(out) as file:
        return json.load(file)


def worst_gap(report):
    """The judged gap of the outlet with the least margin: its bounds as the details say them."""
    gaps = [gap for gap in report["gaps"]
            if "outlet" in (gap["a"], gap["b"]) and gap["margin"] is not None]
    return min(gaps, key=lambda gap: gap["margin"])


def station_row(report, station):
    duct = next(duct for duct in report["ducts"] if duct["id"] == "outlet")
    return next(row for row in duct["stations"] if row["s"] == station)


def profiles_at(report, station):
    """Name of each neighbour and the lower end of its gap at a station of the outlet, in what the
    window shows."""
    names = {item["id"]: item["name"] for item in report["items"]}
    shown = [profile for profile in report["profiles"] if profile["a"] == "outlet"
             and profile["state"] == "cold" and profile["variant"] == report["variants"][0]["id"]]
    return {names[profile["b"]]: dict(zip(profile["s"], profile["lower"]))[station]
            for profile in shown}


def type_station(program, station):
    entry = program.get("text", "^Station of the cursor")
    program.click(entry)
    program.key("ctrl+a")
    program.type(str(station))
    program.key("Return")
    return wait(lambda: re.search(rf"^Station {station}(?:\.0)? mm; Area (\d+) mm", charts(program)),
                f"charts at station {station}").group(1)


def cursor_follows_the_pointer_through_the_charts():
    program = opened(example("van-c.bay"))
    canvas = program.get("image", rf"^Charts along {OUTLET}")
    stations = []
    for x in (200, 260, 320):
        before = charts(program)
        program.click(canvas, x, 25)
        wait(lambda: charts(program) != before, "the cursor to move")
        stations.append(re.match(r"Station ([\d.]+) mm", charts(program)).group(1))
        # the cut across the path is at the same station
        program.await_text(rf"across at station {re.escape(stations[-1])} mm")
    assert len(set(stations)) == 3, stations
    assert stations == sorted(stations, key=float), stations
    program.quit()


def dragged_knot_stands_as_the_command_line_judges_it():
    bay = example("van-c.bay")
    program = opened(bay)
    choose(program, OUTLET)
    type_station(program, 265)
    before = charts(program)
    canvas = program.get("image", "^Side cut")
    x, _, z = knot(bay, 3)
    at = place_of(program, canvas, x, z)
    program.drag(program.place(canvas, *at), (-6, 4), steps=14)
    wait(lambda: re.search(r"Undo: .*knot 3", program.description(program.get("push button", "^Undo"))),
         "the name of the step")
    program.key("ctrl+s")
    program.await_text(r"[Ss]aved")
    assert knot(bay, 3) != [x, knot(bay, 3)[1], z], "the knot did not move"

    report = report_of(bay)
    worst = worst_gap(report)
    # the lower end is told rounded down, the upper one up
    lower = math.floor(worst["lower"] * 100 + 1e-6) / 100
    upper = math.ceil(worst["upper"] * 100 - 1e-6) / 100
    bounds = f"{lower:.2f} to {upper:.2f}"
    wait(lambda: program.has_text(rf"{re.escape(bounds)}"), f"the worst gap's bounds {bounds}")
    area = type_station(program, 265)
    assert area == f"{station_row(report, 265)['area']:.0f}", area
    compared = 0
    for name, gap in profiles_at(report, 265).items():
        told = re.search(rf"{re.escape(name)} ([\d.]+) of", charts(program))
        if told and gap is not None:
            # gaps are told rounded down; near their keeps with more decimals
            steps = 10 ** len(told.group(1).partition(".")[2])
            assert float(told.group(1)) == math.floor(gap * steps + 1e-6) / steps, (name, told, gap)
            compared += 1
    assert compared >= 4, charts(program)
    assert charts(program) != before, "nothing changed"
    program.quit()


def place_under_the_pointer_is_told_while_a_knot_is_dragged():
    bay = example("van-c.bay")
    program = opened(bay)
    choose(program, OUTLET)
    canvas = program.get("image", "^Side cut")
    x, _, z = knot(bay, 3)
    at = place_of(program, canvas, x, z)
    before = pointer(program, canvas, *at)
    program.drag(program.place(canvas, *at), (-18, 11), release=False)
    told = []

    def moved():
        text = program.has_text(PLACE) or ""
        told[:] = [float(number) for number in re.findall(r"[XZ] (-?[\d.]+)", text)]
        # forward is to the left and down is less, by far more than the 1 mm that texts round to
        return told and told[0] < before[0] - 10 and told[1] < before[1] - 10
    wait(moved, f"the place under a pointer that drags, not {before}")
    xdotool("mouseup", 1)
    program.kill()


def undo_to_the_start_gives_the_same_file():
    bay = example("van-c.bay")
    with open(bay, "rb") as file:
        first = file.read()
    program = opened(bay)
    choose(program, OUTLET)
    canvas = program.get("image", "^Side cut")
    x, _, z = knot(bay, 3)
    at = place_of(program, canvas, x, z)
    program.drag(program.place(canvas, *at), (7, -5))
    wait(lambda: "knot 3" in program.description(program.get("push button", "^Undo")), "the drag")
    program.drag(program.place(canvas, at[0] + 7, at[1] - 5), (-12, 8))
    program.key("ctrl+s")
    program.await_text(r"[Ss]aved")
    with open(bay, "rb") as file:
        assert file.read() != first
    wait(lambda: program.key("ctrl+z") or not program.is_sensitive(
        program.get("push button", "^Undo")), "the start of the undo")
    program.key("ctrl+s")
    wait(lambda: open(bay, "rb").read() == first, "the file as it was at first")
    program.quit()


def escape_takes_a_drag_back():
    bay = example("van-c.bay")
    program = opened(bay)
    choose(program, OUTLET)
    canvas = program.get("image", "^Side cut")
    x, _, z = knot(bay, 3)
    at = place_of(program, canvas, x, z)
    program.drag(program.place(canvas, *at), (11, 3), release=False)
    wait(lambda: program.is_sensitive(program.get("push button", "^Undo")), "the drag's step")
    program.key("Escape")
    xdotool("mouseup", 1)
    wait(lambda: not program.is_sensitive(program.get("push button", "^Undo")), "no step left")
    program.quit()


sys.exit(run(cursor_follows_the_pointer_through_the_charts,
             dragged_knot_stands_as_the_command_line_judges_it,
             place_under_the_pointer_is_told_while_a_knot_is_dragged,
             undo_to_the_start_gives_the_same_file,
             escape_takes_a_drag_back))
