#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The charts along the path: scrubbing by pointer and keys, findings, folding, zoom, the table."""
import os
import re
import subprocess
import sys
import tempfile
import time

from driver import Atspi, Program, example, run, wait, xdotool

DOTS = 3.2  # px a mm of a picture at the usual font


def opened():
    program = Program(example("van-b.bay"))
    charts = program.get("image", "Charts along Turbine outlet")
    wait(lambda: "Area" in charts.get_description(), "charts that are told")
    return program, charts


def focus(program, charts):
    """The axis' left end: moves the cursor there, and has the focus."""
    program.click(charts, int(35 * DOTS) + 2, program.extents(charts).height - 4)


def station(charts):
    return float(re.match(r"Station ([\d.]+) mm", charts.get_description()).group(1))


def await_station(charts, value, off=0.05):
    wait(lambda: abs(station(charts) - value) <= off, f"station {value}")


def tables(file, item):
    """Station and area as the command line tells them."""
    out = os.path.join(tempfile.mkdtemp(), "stations.csv")
    subprocess.run([os.environ["TB_BATCH"], "stations", file, "--item", item, "-o", out],
                   check=True, capture_output=True)
    with open(out) as lines:
        head = next(lines).strip().split(",")
        rows = [line.strip().split(",") for line in lines]
    return head, rows


def keys_move_the_cursor_and_the_charts_tell_the_area_there():
    program, charts = opened()
    head, rows = tables(example("van-b.bay"), "outlet")
    column = next(i for i, name in enumerate(head) if name.startswith("area"))
    focus(program, charts)
    program.key("Home")
    await_station(charts, 0)
    program.key("Right", "Right", "shift+Right")
    await_station(charts, 12)
    program.key("Left", "Left")
    await_station(charts, 10)
    row = next(row for row in rows if abs(float(row[0]) - 10) < 1e-6)
    assert f"Area {round(float(row[column]))} mm²" in charts.get_description()
    program.key("Page_Down")
    first = station(charts)
    assert first > 12
    program.key("Page_Down")
    wait(lambda: station(charts) > first, "the next named station")
    program.key("Page_Up")
    await_station(charts, first)
    program.key("End")
    await_station(charts, float(rows[-1][0]))
    program.quit()


def a_typed_station_is_taken_and_a_wrong_one_stays_with_a_message():
    program, charts = opened()
    entry = next(node for node in program.walk()
                 if node.get_role_name() in ("text", "entry")
                 and "Station of the cursor" in (node.get_name() or ""))
    program.click(entry)
    program.key("ctrl+a")
    program.type("12.4 cm")
    program.key("Return")
    await_station(charts, 124)
    program.key("ctrl+a")
    program.type("far away")
    program.key("Return")
    program.await_text(r"far away")
    assert station(charts) == 124
    program.key("Escape")
    program.quit()


def a_station_is_stepped_in_its_entry_and_taken_on_leaving():
    program, charts = opened()
    entry = next(node for node in program.walk()
                 if node.get_role_name() in ("text", "entry")
                 and "Station of the cursor" in (node.get_name() or ""))
    program.click(entry)
    program.key("ctrl+a")
    program.type("87.35")
    program.key("Tab")
    await_station(charts, 87.35)
    # shown as 87.4: what nobody changed must not move the cursor
    program.click(entry)
    program.key("Return", "Page_Down", "Page_Down", "shift+Page_Up")
    await_station(charts, 79.35)
    program.key("ctrl+a")
    program.type("12")
    program.key("Escape")
    assert abs(station(charts) - 79.35) < 0.06
    program.key("Right")
    await_station(charts, 80.35)
    program.quit()


def dragging_scrubs_and_a_click_on_a_range_goes_to_its_finding():
    program, charts = opened()
    box = program.extents(charts)
    left = 35 * DOTS
    start = program.place(charts, int(left + 20), 20)
    xdotool("mousemove", *start)
    xdotool("mousedown", 1)
    xdotool("mousemove", start[0] + 60, start[1])
    before = wait(lambda: station(charts), "a station")
    xdotool("mousemove", start[0] + 160, start[1])
    wait(lambda: station(charts) > before + 20, "the cursor follows the pointer")
    xdotool("mouseup", 1)
    # the fall of the area lies between stations 210 and 267 of 536
    right = None
    for x in range(int(left), box.width, 6):
        program.click(charts, x, 20)
        wait(lambda: station(charts) >= 0, "a station")
        if 225 < station(charts) < 255:
            right = x
            break
    assert right is not None
    # selected: the sentence of the finding's list, or what the details say of it
    program.await_text(r"area falls by 2\.3 %")
    program.quit()


def is_shown(program, chart):
    """By the mark in the menu, which is left closed."""
    program.click(program.get("push button", "^Charts$"))
    item = program.get("menu item", f"^{chart}$")
    shown = item.get_state_set().contains(Atspi.StateType.CHECKED)
    program.key("Escape")
    wait(lambda: program.seek("menu item", f"^{chart}$") is None, "the menu closes")
    return shown


def a_click_on_a_title_folds_its_chart_and_the_menu_opens_it():
    program, charts = opened()
    assert is_shown(program, "Area")
    program.click(charts, 20, 14)
    wait(lambda: not is_shown(program, "Area"), "a folded chart")
    assert is_shown(program, "Gap")
    program.click(program.get("push button", "^Charts$"))
    program.get("menu item", "^Area$")
    time.sleep(0.3)  # the menu fades in, its first row has the focus
    program.key("Return")
    wait(lambda: is_shown(program, "Area"), "an open chart")
    program.quit()


def told(program, charts, x, y=20):
    """The station that the status line tells of a place of the charts; None where it tells none."""
    xdotool("mousemove", *program.place(charts, x, y))
    time.sleep(0.15)
    text = program.has_text(r"^station [\d.]+ mm")
    return float(re.match(r"station ([\d.]+) mm", text).group(1)) if text else None


def zoomed_in_the_pointer_tells_finer_stations():
    program, charts = opened()
    focus(program, charts)
    middle = int(35 * DOTS) + 200

    def span():
        first = wait(lambda: told(program, charts, middle), "a station")
        last = wait(lambda: told(program, charts, middle + 100), "a station")
        return last - first

    whole = span()
    for _ in range(5):
        program.key("plus")
    wait(lambda: span() < whole / 2, "a part of the path")
    program.key("0")
    wait(lambda: abs(span() - whole) < 0.2, "the whole path")
    # the wheel zooms at the pointer, a double click on the axis shows all
    xdotool("mousemove", *program.place(charts, middle, 20))
    here = told(program, charts, middle)
    xdotool("keydown", "ctrl", "click", "--repeat", 6, 4, "keyup", "ctrl")
    wait(lambda: span() < whole / 1.8, "a part of the path")
    assert abs(told(program, charts, middle) - here) < 0.5
    axis = program.place(charts, middle, program.extents(charts).height - 12)
    xdotool("mousemove", *axis, "click", "--repeat", 2, "--delay", 60, 1)
    wait(lambda: abs(span() - whole) < 0.2, "the whole path again")
    program.quit()


def a_lower_edge_is_dragged_and_the_chart_is_higher():
    program, charts = opened()
    x = int(35 * DOTS) + 200
    edge = next(y for y in range(16, 120) if told(program, charts, x, y) is None)
    program.drag(program.place(charts, x, edge + 3), (0, 60))
    wait(lambda: told(program, charts, x, edge) is not None, "a chart where its edge was")
    lower = next(y for y in range(edge + 30, edge + 90) if told(program, charts, x, y) is None)
    assert abs(lower - edge - 60) <= 2, lower - edge
    program.quit()


def the_table_has_the_values_of_the_charts():
    program, charts = opened()
    program.click(program.get("push button", "^Charts$"))
    program.get("menu item", "Show as Table")
    time.sleep(0.3)
    program.key("Up", "Return")
    program.await_text(r"Station, mm")
    program.await_text(r"Area, mm²")
    program.front("along the path")
    program.key("Escape")
    program.gone("along the path")
    assert program.seek("frame", "along the path") is None
    program.front("Small delivery van")
    program.quit()


sys.exit(run(keys_move_the_cursor_and_the_charts_tell_the_area_there,
             a_typed_station_is_taken_and_a_wrong_one_stays_with_a_message,
             a_station_is_stepped_in_its_entry_and_taken_on_leaving,
             dragging_scrubs_and_a_click_on_a_range_goes_to_its_finding,
             a_click_on_a_title_folds_its_chart_and_the_menu_opens_it,
             zoomed_in_the_pointer_tells_finer_stations,
             a_lower_edge_is_dragged_and_the_chart_is_higher,
             the_table_has_the_values_of_the_charts))
