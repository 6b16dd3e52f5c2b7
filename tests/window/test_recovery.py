#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""A killed program leaves a copy of what was not saved, and the next one offers it."""
import os
import sys
import time

from bays import change, kept_settings, press, read, title
from driver import PATIENCE, Program, example, run, wait

# the shortest time between copies that the settings allow
COPY_SECONDS = 5


def state_folder():
    return os.path.join(os.environ["HOME"], ".local", "state", "tightbay", "recovered")


def copies():
    try:
        return [name for name in os.listdir(state_folder()) if name.endswith(".bay")]
    except FileNotFoundError:
        return []


def quick_copies():
    """An environment in which copies for recovery come as soon as the settings allow."""
    return kept_settings(f"autosave-seconds=uint32 {COPY_SECONDS}")


def changes_of_a_killed_program_come_back():
    path = example("van-c.bay")
    before = read(path)
    environment = quick_copies()
    program = Program(path, environment=environment)
    change(program)
    start = time.time()
    wait(copies, "a copy for recovery")
    assert time.time() - start < 30, "older than 30 s"
    program.kill()
    assert read(path) == before, "the user's file was touched"
    program = Program(environment=environment)
    program.await_text(r"^Unsaved changes of Small delivery van.* \(van-c\.bay\) were recovered")
    press(program, "Open Recovered")
    wait(lambda: title(program).startswith("• Small delivery van"), "the bay, unsaved")
    assert read(path) == before, "the user's file was touched"
    assert len(copies()) == 1, "the copy went before anything was saved"
    program.key("ctrl+s")
    program.await_text(r"^Saved van-c\.bay$")
    assert read(path) != before
    wait(lambda: not copies(), "the copy to go")
    program.quit()


def discarded_recovery_can_be_undone_for_a_while():
    path = example("van-c.bay")
    environment = quick_copies()
    program = Program(path, environment=environment)
    change(program)
    wait(copies, "a copy for recovery")
    program.kill()
    program = Program(environment=environment)
    program.await_text("were recovered")
    press(program, "Discard")
    program.await_text("^Recovered changes of .* discarded$")
    press(program, "Undo$")
    program.await_text("were recovered")
    press(program, "Discard")
    wait(lambda: not copies(), "the copy to go when the toast does", PATIENCE)
    program.quit()


sys.exit(run(changes_of_a_killed_program_come_back,
             discarded_recovery_can_be_undone_for_a_while))
