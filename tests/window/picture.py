#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""One picture of the window for tests/window/pictures: NAME, a bay of the examples or -, and an
item of its list, "finding" for the first finding, or - for nothing."""
import os
import sys
import time

from driver import Program, example, wait, xdotool

name, bay, item = sys.argv[1:4]
program = Program(*([] if bay == "-" else [example(bay)]))
program.scale = int(os.environ.get("GDK_SCALE", "1"))
width, height = xdotool("getdisplaygeometry").split()
xdotool("windowsize", "--sync", program.window, width, height)


def rows(role):
    return [node for node in program.walk() if node.get_role_name() == role and node.get_name()]


if bay != "-":
    wait(lambda: program.has_text(r"^\d+ \D+ \d+ \D+"), "the count of checks")
    time.sleep(2)
    if item == "finding":
        findings = wait(lambda: program.seek("list", "^Findings"), "the findings")
        program.click(wait(lambda: next(iter([node for node in program.walk(findings)
                                              if node.get_role_name() == "list item"]), None),
                           "a finding"))
    elif item != "-":
        row = next(node for node in rows("list item") if item in node.get_name())
        program.click(row, 40)
    time.sleep(4)
xdotool("mousemove", 3, 3)
time.sleep(1)
program.picture(os.path.join(os.environ["TB_PICTURES"], f"{name}.png"))
program.kill()
