#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Bays on the disk: saving, what others do to the file, a full disk."""
import os
import shutil
import subprocess
import sys
import tempfile

from bays import change, judged, press, read, title
from driver import Program, example, run, wait


def saved_bay_is_what_the_command_line_reads():
    path = example("van-c.bay")
    before = read(path)
    program = Program(path)
    change(program)
    assert read(path) == before, "written before it was saved"
    program.key("ctrl+s")
    program.await_text(r"^Saved van-c\.bay$")
    wait(lambda: not title(program).startswith("•"), "the mark to go")
    after = read(path)
    assert after != before and after.count("<item") >= 0
    assert judged(path) in (0, 1)
    program.key("ctrl+z")
    wait(lambda: title(program).startswith("•"), "undoing past the save to be a change")
    program.key("ctrl+s")
    wait(lambda: read(path) == before, "the file as it was")
    program.await_text(r"^Saved van-c\.bay$")
    wait(lambda: not title(program).startswith("•"), "the mark to go again")
    program.quit()


def change_by_another_is_offered_and_can_be_undone():
    path = example("van-c.bay")
    program = Program(path)
    program.await_text("Small delivery van")
    mine = read(path)
    with open(path, "w", encoding="utf-8") as file:
        file.write(mine.replace("Small delivery van", "Large delivery van"))
    program.await_text(r"van-c\.bay was changed by another program")
    press(program, "Reload")
    program.await_text("Large delivery van")
    program.key("ctrl+z")
    program.await_text("Small delivery van")
    program.key("ctrl+s")
    wait(lambda: read(path) == mine, "mine on the disk")
    program.await_text(r"^Saved van-c\.bay$")
    program.quit()


def saving_over_what_another_saved_is_asked():
    path = example("van-c.bay")
    program = Program(path)
    change(program)
    theirs = read(path).replace("Small delivery van", "Large delivery van")
    with open(path, "w", encoding="utf-8") as file:
        file.write(theirs)
    program.await_text(r"was changed by another program")
    program.key("ctrl+s")
    program.await_text(r"^Not saved: .*van-c\.bay was changed by another program")
    assert read(path) == theirs
    press(program, "Save Anyway")
    wait(lambda: "Small delivery van" in read(path), "mine on the disk")
    program.await_text(r"^Saved van-c\.bay$")
    program.quit()


def full_disk_loses_nothing():
    path = example("van-c.bay")
    folder = tempfile.mkdtemp()
    if os.geteuid() != 0 or subprocess.run(
            ["mount", "-t", "tmpfs", "-o", "size=256k", "tmpfs", folder],
            capture_output=True).returncode:
        return  # no disk of our own to fill; tests/app/test_files.c does it with a limit
    try:
        full = shutil.copy(path, folder)
        before = read(full)
        ballast = os.open(os.path.join(folder, "ballast"), os.O_WRONLY | os.O_CREAT)
        try:
            while True:
                os.write(ballast, b"x" * 4096)
        except OSError:
            os.close(ballast)
        program = Program(full)
        change(program)
        program.key("ctrl+s")
        program.await_text(r"^Not saved: .*No space left on device$")
        assert read(full) == before and title(program).startswith("•")
        os.remove(os.path.join(folder, "ballast"))
        press(program, "Try Again")
        program.await_text(r"^Saved van-c\.bay$")
        assert sorted(os.listdir(folder)) == ["van-c.bay"]
        program.quit()
    finally:
        subprocess.run(["umount", "-l", folder], check=True)


def bay_that_is_wrong_is_told_in_a_bar():
    folder = tempfile.mkdtemp()
    path = os.path.join(folder, "broken.bay")
    with open(path, "w") as file:
        file.write("<bay version=\"1\" title=\"broken\">\n<cube/>\n</bay>\n")
    program = Program(path)
    program.await_text(r"^Not opened: .*broken\.bay:2: ")
    program.quit()


sys.exit(run(saved_bay_is_what_the_command_line_reads,
             change_by_another_is_offered_and_can_be_undone,
             saving_over_what_another_saved_is_asked,
             full_disk_loses_nothing,
             bay_that_is_wrong_is_told_in_a_bar))
