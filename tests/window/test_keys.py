#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Sessions by keys alone: the pointer is parked in a corner and never used."""
import os
import re
import subprocess
import sys
import xml.etree.ElementTree as ElementTree

from bays import read, title, type_path
from driver import Focus, Program, example, run, wait, xdotool

PANES = 12  # presses of F6 that go round once, at most
STOPS = 16  # presses of Tab within a pane, at most

focus = Focus()


def opened(path):
    program = Program(path)
    xdotool("mousemove", 1, 1)
    program.await_text(r"^\d+ of \d+ findings hold$")
    wait(lambda: not program.has_text("being judged again"), "what is not shown to be judged")
    return program


def is_at(name):
    """True when what has the focus bears a name itself, or is the button of a choice that does."""
    return any(re.search(name, word) for word in focus.words())


def await_focus(name):
    wait(lambda: is_at(name), f"{name} to have the focus")


def press_until(program, key, name, most):
    """Press a key until what has the focus bears a name; the focus moves with every press."""
    seen = []
    for _ in range(most):
        seen.append(wait(focus.words, "something to have the focus"))
        if is_at(name):
            return
        moves = focus.moves
        program.key(key)
        wait(lambda: focus.words() and focus.moves > moves, f"{key} to move the focus: {seen}")
    raise AssertionError(f"{key} does not lead to /{name}/: {seen}")


def go_to(program, first, name):
    """To a pane, by what has its first stop, and on to what is in it."""
    press_until(program, "F6", first, PANES)
    press_until(program, "Tab", name, STOPS)


def choose(program, name):
    """An item of the list."""
    press_until(program, "F6", "^Items in the bay$|^Search the list$", PANES)
    press_until(program, "Tab", "^Items in the bay$", STOPS)
    program.key("Home")
    await_focus("^Turbine outlet,")
    press_until(program, "Down", f"^{name},", 40)
    wait(lambda: f"Selected: {name}" in side_says(program), f"{name} to be selected")


def drawing(program, name):
    """Found once: to walk the whole window takes long."""
    found = program.__dict__.setdefault("drawings", {})
    if name not in found:
        found[name] = program.get("image", name)
    return found[name]


def side(program):
    return drawing(program, "^Side cut")


def side_says(program):
    return program.description(side(program))


def charts_say(program):
    return program.description(drawing(program, "^Charts along"))


def replace(program, text):
    """What is typed into the entry in focus, in place of what stands there."""
    program.key("ctrl+a")
    program.type(text)
    program.key("Return")


def saved(program, path):
    before = os.stat(path).st_mtime_ns
    program.key("ctrl+s")
    wait(lambda: os.stat(path).st_mtime_ns != before, "the file to be saved")
    wait(lambda: not title(program).startswith("•"), "no mark of changes")
    return ElementTree.parse(path).getroot()


def undo_to_the_start(program):
    undo = program.get("push button", "^Undo")
    for _ in range(20):
        if not program.is_sensitive(undo):
            return
        said = program.description(undo)
        program.key("ctrl+z")
        wait(lambda: program.description(undo) != said or not program.is_sensitive(undo),
             f"{said} to be undone")
    raise AssertionError("there is no end of steps to undo")


def handle(program):
    """Name and X of the handle in hand."""
    told = re.search(r"Handle: (.*?) X (-?[\d.]+)", side_says(program))
    return (told.group(1), float(told.group(2))) if told else None


def a_bay_is_opened_looked_at_and_left():
    path = example("van-b.bay")
    first = read(path)
    program = Program()
    xdotool("mousemove", 1, 1)
    program.await_text("^Tightbay$")
    program.key("ctrl+o")
    type_path(program, "Open", path)
    program.front()
    program.await_text(r"^\d+ of \d+ findings hold$")
    choose(program, "Turbine outlet")
    # along the path
    go_to(program, "^Duct or line$", "^Charts along Turbine outlet$")
    program.key("Home")
    wait(lambda: charts_say(program).startswith("Station 0 mm"), "the start of the path")
    program.key("Right", "Right", "shift+Right")
    wait(lambda: charts_say(program).startswith("Station 12 mm"), "twelve steps on")
    program.key("Page_Down")
    wait(lambda: not charts_say(program).startswith("Station 12 mm"), "the next named place")
    # a plane is stepped in its entry and on its drawing
    go_to(program, "^Which cut$", "^Y of the plane$")
    program.key("Page_Up", "shift+Page_Up")
    wait(lambda: side_says(program).startswith("Side cut, Y = -149 mm"), "the plane")
    go_to(program, "^Y of the plane$", "^Side cut")
    program.key("Page_Down")
    wait(lambda: side_says(program).startswith("Side cut, Y = -150 mm"), "the plane back")
    # state and variant
    program.await_text(r"^cold$")
    gaps = charts_say(program)
    go_to(program, "^State shown$", "^State shown$")
    program.key("space", "Down", "Return")
    await_focus("^State shown$")
    press_until(program, "Tab", "^Variant shown$", STOPS)
    program.key("space", "Down", "Return")
    await_focus("^Variant shown$")
    wait(lambda: charts_say(program) != gaps, "the gaps of another state")
    # what is looked at is no change of the bay
    assert not title(program).startswith("•")
    program.quit()
    assert read(path) == first


def a_handle_is_moved_and_put_back():
    path = example("van-b.bay")
    first = read(path)
    program = opened(path)
    choose(program, "Brake line")
    go_to(program, "^Which cut$", "^Side cut")
    wait(lambda: "handles: Ctrl and the arrows" in side_says(program), "how to reach the handles")
    program.key("ctrl+Right", "ctrl+Right")
    name, x = wait(lambda: handle(program), "a handle")
    assert name == "knot 1", name
    program.await_text(r"^Arrows move the handle")
    program.key("Right", "shift+Right")
    wait(lambda: handle(program) == (name, x + 11), "eleven steps")
    wait(lambda: "Undo: move knot 1 of Brake line" in
         program.description(program.get("push button", "^Undo")), "the name of the step")
    # round the corner to the last one, and back
    program.key("ctrl+Left", "ctrl+Left")
    wait(lambda: (told := re.search(r"number (\d+) of (\d+)", side_says(program))) and
         told.group(1) == told.group(2), "the last handle")
    program.key("ctrl+Right", "ctrl+Right")
    wait(lambda: handle(program) == (name, x + 11), "the knot again")
    # one press of Tab leaves the drawing, whatever is in hand, and one leads back
    program.key("Tab")
    await_focus("^Which cut$")
    program.key("shift+Tab")
    await_focus("^Side cut")
    program.key("Escape")
    wait(lambda: handle(program) is None, "the handle to be let go")
    assert "Selected: Brake line" in side_says(program)
    knot = saved(program, path).find(".//line[@id='brake-line']/path")[0]
    assert abs(float(knot.get("at").split()[0]) - x - 11) < 1e-9, knot.attrib
    undo_to_the_start(program)
    saved(program, path)
    assert read(path) == first
    program.quit()


def a_value_and_a_decision_are_typed():
    path = example("van-b.bay")
    first = read(path)
    program = opened(path)
    choose(program, "Turbine outlet")
    go_to(program, "^Show the worst gap", "^Least wall$")
    replace(program, "0.3 cm")
    wait(lambda: "Undo: " in program.description(program.get("push button", "^Undo")), "a step")
    press_until(program, "F6", "Brake line: 5.2 mm short|^Findings$|^Only selected$|^short:", PANES)
    press_until(program, "Tab", "^Findings", STOPS)
    program.key("Home")
    await_focus("^short: ")
    program.key("F2")
    program.get("text", "^Owner")
    await_focus("^Decision$")
    program.key("space")
    program.get("label", "^Waived$")
    program.key("Down", "Down", "Down", "Down", "Return")
    await_focus("^Decision$")
    press_until(program, "Tab", "^Owner$", STOPS)
    program.type("A. B.")
    press_until(program, "Tab", "^Due date", STOPS)
    program.type("2027-01-31")
    press_until(program, "Tab", "^Reason$", STOPS)
    program.type("bracket opened on the sample")
    program.key("alt+r")
    program.get("list item", r"Waived by A\. B\. until 2027-01-31: bracket opened on the sample$")
    root = saved(program, path)
    assert root.find(".//decision").get("disposition") == "waived"
    outlet = root.find(".//duct[@id='outlet']")
    assert outlet.get("least-wall") == "3", outlet.attrib
    undo_to_the_start(program)
    saved(program, path)
    assert read(path) == first
    program.quit()


def set_typed(program, text):
    """Typed numbers: the first key opens the entry, Return sets what they say."""
    program.key({"=": "equal"}.get(text[0], text[0]))
    await_focus("^Typed numbers$")
    program.type(text[1:])
    program.key("Return")
    await_focus("^Side cut")


def a_block_is_drawn_and_judged():
    path = example("van-b.bay")
    program = opened(path)
    go_to(program, "^Which cut$", "^Side cut")
    program.key("b")
    program.await_text(r"Block: click a corner")
    set_typed(program, "= 1500, 700")
    program.await_text(r"Block: click the corner across")
    set_typed(program, "80, 50.5")
    program.await_text(r"Depth: type it")
    set_typed(program, "61")
    program.await_text(r"80\.0 x 50\.5 x 61\.0 mm")
    program.key("Return")
    program.get("list item", r"^Block 1,")
    program.key("Escape")
    wait(lambda: program.has_text(r"Block: click") is None, "the tool to be put away")
    wait(lambda: not program.has_text("being judged again"), "everything to be judged")
    block = saved(program, path).find(".//block[@id='block-1']")
    assert block.get("low").split()[::2] == ["1500", "700"], block.attrib
    held = program.await_text(r"^\d+ of \d+ findings hold$")
    short = program.await_text(r"^short: \d+")
    said = subprocess.run([os.environ["TB_BATCH"], "check", path], capture_output=True, text=True)
    assert said.returncode == (0 if short.startswith("short: 0") else 1), (said, held, short)
    program.quit()


sys.exit(run(a_bay_is_opened_looked_at_and_left,
             a_handle_is_moved_and_put_back,
             a_value_and_a_decision_are_typed,
             a_block_is_drawn_and_judged))
