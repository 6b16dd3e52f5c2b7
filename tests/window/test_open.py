#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Opening a bay: what stands in the window, and how it ends."""
import sys

from driver import Atspi, Program, example, run, wait

STOPS = 9  # seven panes, the choice of state and variant, the tools


def focused(program):
    """Place of what has the focus; a place tells alike widgets apart."""
    def found():
        for node in program.walk():
            if node.get_state_set().contains(Atspi.StateType.FOCUSED):
                box = program.extents(node)
                return box.x, box.y, node.get_role_name()
        return None
    return wait(found, "something that has the focus")


def an_example_opens_with_its_title_and_caution():
    program = Program(example("van-c.bay"))
    program.await_text(r"Small delivery van, turbocharger kit, revision C")
    program.await_text(r"van-c\.bay")
    program.await_text(r"estimates: verify on the vehicle")
    undo = program.get("push button", "Undo")
    assert not program.is_sensitive(undo)
    program.quit()


def a_key_leads_from_pane_to_pane_and_back():
    program = Program(example("van-c.bay"))
    program.await_text(r"findings hold")
    stops = [focused(program)]
    for _ in range(STOPS):
        program.key("F6")
        wait(lambda: focused(program) != stops[-1], f"the focus to leave {stops[-1]}")
        stops.append(focused(program))
    # the tools, where it begins, are a stop too: then it is there again
    assert len(set(stops)) == STOPS, stops
    assert stops[0] == stops[-1], stops
    program.key("shift+F6")
    wait(lambda: focused(program) == stops[-2], f"the stop before, {stops[-2]}")
    program.quit()


sys.exit(run(an_example_opens_with_its_title_and_caution,
             a_key_leads_from_pane_to_pane_and_back))
