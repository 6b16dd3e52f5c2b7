#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Opening a bay: what stands in the window, and how it ends."""
import sys

from driver import Program, example, run


def an_example_opens_with_its_title_and_caution():
    program = Program(example("van-c.bay"))
    program.await_text(r"Small delivery van, turbocharger kit, revision C")
    program.await_text(r"van-c\.bay")
    program.await_text(r"estimates: verify on the vehicle")
    undo = program.get("push button", "Undo")
    assert not program.is_sensitive(undo)
    program.quit()


sys.exit(run(an_example_opens_with_its_title_and_caution))
