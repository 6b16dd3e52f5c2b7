#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Several windows in one program: one a file, and closing asks once for all."""
import os
import subprocess
import sys
import time

from bays import change, frames, press, read
from driver import PATIENCE, Program, example, run, wait


def closing_asks_once_for_all_windows():
    first, second = example("van-c.bay"), example("van-b.bay")
    texts = read(first), read(second)
    program = Program(first)
    change(program)
    program.key("ctrl+w")
    program.front("Unsaved changes")
    program.await_text("^Save changes to “Small delivery van")
    press(program, "Cancel")
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
             same_file_again_presents_its_window))
