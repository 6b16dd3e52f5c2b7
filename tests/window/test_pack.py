#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The review pack's window: from sheet to sheet, chapters, PDF, an earlier bay, edits."""
import os
import re
import subprocess
import sys
import tempfile

from bays import change, title, type_path
from driver import Program, click, example, run, wait, xdotool

PACK = "Review Pack"


def show_pack(program):
    program.key("ctrl+r")
    program.front(PACK)
    program.await_text(r"^Sheet 1 of \d+: ")


def opened():
    program = Program(example("van-b.bay"))
    program.get("image", "Charts along")
    show_pack(program)
    return program


def press(program, node):
    """A click on what stands in the pack's window."""
    geometry = dict(line.split("=") for line in
                    xdotool("getwindowgeometry", "--shell", program.window).split())
    frame = program.extents(program.get("frame", PACK))
    box = program.extents(node)
    xdotool("mousemove",
            int(geometry["X"]) + (int(geometry["WIDTH"]) - frame.width) // 2 + box.x + box.width // 2,
            int(geometry["Y"]) + (int(geometry["HEIGHT"]) - frame.height) // 2 + box.y
            + box.height // 2)
    click()


def count(program):
    """How many sheets there are, as the sheet in the middle says."""
    return int(re.search(r"^Sheet \d+ of (\d+)", program.await_text(r"^Sheet \d+ of \d+: "))[1])


def at(program, sheet):
    program.await_text(rf"^Sheet {sheet} of \d+: ")


def listed(program):
    """The rows of the list."""
    return [node.get_name() for node in program.walk() if node.get_role_name() == "list item"]


def info(path, *command):
    return subprocess.run([*command, path], check=True, capture_output=True, text=True).stdout


def export(program, path):
    program.key("ctrl+e")
    type_path(program, "Export the Review Pack", path)
    program.await_text(re.escape(f"Exported {path}"))
    program.front(PACK)


def words(path):
    return subprocess.run(["pdftotext", path, "-"], check=True, capture_output=True,
                          text=True).stdout


def pages(path):
    subprocess.run(["qpdf", "--check", path], check=True, capture_output=True)
    return int(re.search(r"Pages: +(\d+)", info(path, "pdfinfo"))[1])


def a_chapter_is_left_out_and_the_file_has_the_sheets_of_the_others():
    program = opened()
    whole = count(program)
    row = next(name for name in listed(program) if name.startswith("Side, plan and front"))
    sheets = int(re.search(r", (\d+) sheet", row)[1])
    press(program, program.get("check box", "^Side, plan and front"))
    wait(lambda: count(program) == whole - sheets, "a pack without those cuts")
    path = os.path.join(tempfile.mkdtemp(), "pack")
    export(program, path + ".pdf")
    assert pages(path + ".pdf") == whole - sheets
    assert "Cuts through finding" not in words(path + ".pdf")
    program.key("ctrl+w")
    program.gone(PACK)
    program.front()
    # what was chosen is there again
    program.key("ctrl+r")
    program.front(PACK)
    wait(lambda: count(program) == whole - sheets, "the same chapters")
    program.key("Escape")
    program.gone(PACK)
    program.front()
    program.quit()


def keys_go_from_sheet_to_sheet_and_zoom():
    program = opened()
    canvas = program.get("image", "^Sheet 1 of")
    press(program, canvas)
    program.key("Page_Down", "Page_Down")
    at(program, 3)
    program.key("Page_Up")
    at(program, 2)
    program.key("End")
    at(program, count(program))
    program.key("Home")
    at(program, 1)
    fitted = program.description(program.get("image", "^Sheet 1 of"))
    assert re.match(r"\d+ %$", fitted), fitted
    program.key("1")
    wait(lambda: program.description(program.get("image", "^Sheet 1 of")) == "100 %", "100 %")
    program.key("0")
    wait(lambda: program.description(program.get("image", "^Sheet 1 of")) == fitted, fitted)
    program.key("Escape")
    program.gone(PACK)
    program.front()
    program.quit()


def the_pack_is_of_the_bay_as_it_stands_and_follows_it():
    program = Program(example("van-b.bay"))
    program.get("image", "Charts along")
    change(program)
    show_pack(program)
    with_copy = os.path.join(tempfile.mkdtemp(), "copy.pdf")
    export(program, with_copy)
    program.key("Escape")
    program.gone(PACK)
    program.front()
    program.key("ctrl+z")
    wait(lambda: not title(program).startswith("•"), "the copy to go")
    show_pack(program)
    without = with_copy.replace("copy", "without")
    export(program, without)
    assert words(with_copy).count("Brake line") > words(without).count("Brake line") > 0
    program.key("Escape")
    program.gone(PACK)
    program.front()
    program.quit()


if __name__ == "__main__":
    sys.exit(run(a_chapter_is_left_out_and_the_file_has_the_sheets_of_the_others,
                 keys_go_from_sheet_to_sheet_and_zoom,
                 the_pack_is_of_the_bay_as_it_stands_and_follows_it))
