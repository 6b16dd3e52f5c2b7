#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The first start: examples, a new bay, recent files."""
import os
import re
import subprocess
import sys
import tempfile

from bays import change, judged, press, read, title, type_path
from driver import Program, run, wait


def example_is_an_untitled_copy_that_can_be_saved_with_its_scan():
    program = Program()
    program.await_text("^The idea in a minute$")
    press(program, "Example: pickup")
    wait(lambda: "pickup" in title(program), "the pickup")
    assert not title(program).startswith("•")
    program.await_text("^not saved yet$")
    folder = tempfile.mkdtemp()
    path = os.path.join(folder, "mine.bay")
    program.key("ctrl+s")
    type_path(program, "Save Bay", path)
    program.await_text(r"^Saved mine\.bay$")
    scan = re.search(r'file="([^"]*frame-side\.ply)"', read(path)).group(1)
    assert os.path.samefile(os.path.join(folder, scan),
                            os.path.join(os.environ["TB_DATA"], "examples", "frame-side.ply"))
    said = subprocess.run([os.environ["TB_BATCH"], "check", path], capture_output=True, text=True)
    assert "is not there" not in said.stdout + said.stderr, "the scan was not found from there"
    program.front()
    program.quit()
    again = Program()
    again.await_text("^Recent$")
    again.await_text(r"^mine\.bay$")
    again.quit()


def new_bay_is_judged_and_goes_without_a_question():
    program = Program()
    program.await_text("^The idea in a minute$")
    program.key("ctrl+n")
    wait(lambda: title(program).startswith("New bay"), "a new bay")
    assert not title(program).startswith("•")
    program.quit()


def untitled_bay_that_was_changed_asks_where_to_go():
    program = Program()
    program.await_text("^The idea in a minute$")
    press(program, "Example: delivery van")
    wait(lambda: "van" in title(program), "the van")
    change(program)
    path = os.path.join(tempfile.mkdtemp(), "changed.bay")
    program.key("ctrl+q")
    program.front("Unsaved changes")
    program.key("Return")
    type_path(program, "Save Bay", path)
    assert program.process.wait(30) == 0
    assert program.said() == "", program.said()
    assert judged(path) in (0, 1)


sys.exit(run(example_is_an_untitled_copy_that_can_be_saved_with_its_scan,
             new_bay_is_judged_and_goes_without_a_question,
             untitled_bay_that_was_changed_asks_where_to_go))
