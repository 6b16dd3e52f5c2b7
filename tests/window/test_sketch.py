#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Sketching and measuring on the cuts, with pointer and keys, down to the file."""
import json
import os
import re
import subprocess
import sys
import xml.etree.ElementTree as ElementTree

from driver import Program, example, run, wait


def opened(name="van-c.bay"):
    program = Program(example(name))
    program.file = program.process.args[1]
    program.await_text(r"Side cut, Y = ")
    # a click on nothing gives the cut the keys
    program.side = next(n for n in program.walk() if re.match(r"Side cut, Y", n.get_name() or "")
                        and n.get_role_name() != "label")
    click(program, 0.1, 0.95)
    return program


def click(program, across, down):
    """On the side cut, by shares of its pane."""
    box = program.extents(program.side)
    program.click(program.side, round(box.width * across), round(box.height * down))


def saved(program):
    """The document as it is on disk now, saved before."""
    before = os.stat(program.file).st_mtime_ns
    program.key("ctrl+s")
    wait(lambda: os.stat(program.file).st_mtime_ns != before, "the file to be saved")
    return ElementTree.parse(program.file).getroot()


def set_typed(program, text):
    """Typed numbers: the first key opens the entry, Return sets what they say."""
    program.key({"=": "equal"}.get(text[0], text[0]))
    program.get("text", "Typed numbers")
    program.type(text[1:])
    program.key("Return")
    wait(lambda: program.seek("text", "Typed numbers") is None, f"{text} to be taken")


def gaps_of(file, item):
    report = file + ".json"
    subprocess.run([os.environ["TB_BATCH"], "check", "--json", report, file], capture_output=True)
    with open(report) as stream:
        return [gap for gap in json.load(stream)["gaps"] if item in (gap["a"], gap["b"])]


def a_block_is_drawn_with_typed_numbers_and_judged_like_the_saved_file():
    program = opened()
    program.key("b")
    program.await_text(r"Block: click a corner")
    set_typed(program, "= 1500, 700")
    program.await_text(r"Block: click the corner across")
    set_typed(program, "80, 50.5")
    program.await_text(r"Depth: type it")
    set_typed(program, "61")
    program.await_text(r"80\.0 x 50\.5 x 61\.0 mm")
    program.key("Return")
    program.await_text(r"^Block 1$")
    block = saved(program).find(".//block[@id='block-1']")
    y = float(re.search(r"Y = (-?[\d.]+)", program.has_text(r"Side cut, Y")).group(1))
    assert block.get("low") == f"1500 {y - 30.5:g} 700", block.get("low")
    assert block.get("high") == f"1580 {y + 30.5:g} 750.5", block.get("high")
    assert block.find("known").get("by") == "tape"
    assert gaps_of(program.file, "block-1"), "no gap of the block is judged"
    program.key("Escape")
    program.key("ctrl+z")
    wait(lambda: program.has_text(r"^Block 1$") is None, "the block to be gone")
    assert saved(program).find(".//block[@id='block-1']") is None
    program.quit()


def escape_leaves_no_trace():
    program = opened()
    program.key("r")
    program.await_text(r"Rod: click one end")
    click(program, 0.1, 0.9)
    program.await_text(r"Rod: click the other end")
    click(program, 0.4, 0.9)
    program.await_text(r"Rod: click its side")
    program.key("Escape")
    program.await_text(r"Rod: click one end")
    program.key("Escape")
    wait(lambda: program.has_text(r"Rod: ") is None, "the tool to be put away")
    assert not program.is_sensitive(program.get("push button", "Undo"))
    assert program.has_text(r"^• ") is None
    program.quit()


def a_line_is_drawn_by_keys_alone():
    program = opened()
    program.key("l")
    program.await_text(r"Line: click its start")
    for _ in range(3):
        program.key("shift+Right")
    program.key("Return")
    program.await_text(r"Line: click knot after knot")
    for _ in range(4):
        program.key("shift+Up")
    program.key("Return")
    program.await_text(r"Line: click on")
    program.key("Return")
    program.await_text(r"^Line 1$")
    knots = saved(program).findall(".//line[@id='line-1']/path/knot")
    assert len(knots) == 2, len(knots)
    program.quit()


def two_points_are_measured_and_nothing_is_changed():
    program = opened()
    program.key("m")
    program.await_text(r"Measure: click a point")
    click(program, 0.15, 0.2)
    program.await_text(r"Measure: click the second point")
    click(program, 0.6, 0.2)
    # to a point or to an edge, whatever lies there
    program.await_text(r"^[\d.]+ mm (\(X .*\), at|square to the edge)")
    assert not program.is_sensitive(program.get("push button", "Undo"))
    program.key("ctrl+c", "Escape", "Escape")
    program.quit()


sys.exit(run(a_block_is_drawn_with_typed_numbers_and_judged_like_the_saved_file,
             escape_leaves_no_trace, a_line_is_drawn_by_keys_alone,
             two_points_are_measured_and_nothing_is_changed))
