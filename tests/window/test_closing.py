#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Several windows in one program: one a file, and closing asks once for all."""
import os
import subprocess
import sys
import time

from bays import change, frames, kept_settings, press, read
from driver import PATIENCE, Program, example, run, wait, xdotool


def closing_asks_once_for_all_windows():
    first, second = example("van-c.bay"), example("van-b.bay")
    texts = read(first), read(second)
    program = Program(first)
    change(program)
    program.key("ctrl+w")
    program.front("Unsaved changes")
    program.await_text("^Save changes to “Small delivery van")
    press(program, "Cancel")
    program.gone("Unsaved changes")
    subprocess.run([os.environ["TB_PROGRAM"], second], check=True)
    wait(lambda: len(frames(program)) == 2, "2 windows")
    program.front()
    root, program.root = program.root, next(f for f in frames(program)
                                            if "revision B" in f.get_name())
    program.click(program.get("label", "^Brake line$"))
    program.key("ctrl+d")
    wait(lambda: program.root.get_name().startswith("•"), "the mark in the second window")
    program.root = root
    program.key("ctrl+q")
    program.await_text("^Save changes to 2 bays\\?")
    press(program, "Save All")
    assert program.process.wait(PATIENCE) == 0
    assert program.said() == "", program.said()
    assert read(first) != texts[0] and read(second) != texts[1]


def size(program):
    """Width and height of the window with its shadow."""
    lines = xdotool("getwindowgeometry", "--shell", program.window).split()
    values = dict(line.split("=") for line in lines)
    return int(values["WIDTH"]), int(values["HEIGHT"])


def typed(entry):
    text = entry.get_text_iface()
    return text.get_text(0, text.get_character_count())


def size_of_the_last_window_and_the_place_in_a_file_come_back():
    path = example("van-c.bay")
    environment = kept_settings()
    program = Program(path, environment=environment)
    program.await_text("Small delivery van")
    xdotool("windowsize", "--sync", program.window, 1250, 760)
    wait(lambda: size(program) == (1250, 760), "another size")
    entry = program.get("text", "^Y of the plane")
    program.click(entry)
    program.key("ctrl+a")
    program.type("-123")
    program.key("Return")
    wait(lambda: typed(entry) == "-123.0 mm", "the plane")
    program.quit()
    program = Program(path, environment=environment)
    program.await_text("Small delivery van")
    wait(lambda: size(program) == (1250, 760), "the size of the last window")
    entry = program.get("text", "^Y of the plane")
    wait(lambda: typed(entry) == "-123.0 mm", "the plane of the last time")
    program.quit()


def same_file_again_presents_its_window():
    path = example("van-c.bay")
    link = os.path.join(os.path.dirname(path), "latest.bay")
    os.symlink("van-c.bay", link)
    program = Program(path)
    program.await_text("Small delivery van")
    subprocess.run([os.environ["TB_PROGRAM"], link], check=True)
    time.sleep(0.5)
    assert len(frames(program)) == 1
    program.quit()


sys.exit(run(closing_asks_once_for_all_windows,
             same_file_again_presents_its_window,
             size_of_the_last_window_and_the_place_in_a_file_come_back))
