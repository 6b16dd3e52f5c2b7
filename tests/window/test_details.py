#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The Details pane: values typed with units, what is wrong with them, parts, undo."""
import re
import sys
import time

from driver import Atspi, Program, example, run, wait, xdotool


def content(node):
    text = node.get_text_iface()
    return text.get_text(0, text.get_character_count()) if text else None


def bring_into_view(program, node):
    """Turn the wheel over the pane until the cell is wholly in it."""
    pane = program.get("panel", "^Details$")

    def visible():
        outer = program.extents(pane)
        inner = program.extents(node)
        head = 50  # px: the title stays above what scrolls
        if inner.y > outer.y + head and inner.y + inner.height < outer.y + outer.height:
            return True
        xdotool("mousemove", *program.place(pane, y=outer.height - 20))
        xdotool("click", 5 if inner.y > outer.y + head else 4)
        time.sleep(0.2)
        return False
    wait(visible, f"{node.get_name()} in view")


def type_into(program, node, text):
    bring_into_view(program, node)
    program.click(node)
    wait(lambda: node.get_state_set().contains(Atspi.StateType.FOCUSED), "the cell is focused")
    program.key("ctrl+a")
    program.type(text)
    program.key("Return")


def shows(program, name, text):
    """A cell of a name shows a text."""
    wait(lambda: content(program.get("text", f"^{name}$")) == text, f"{name} shows {text}")


def select(program, name, item):
    """Pick an item of the list, when the list has its place and its numbers."""
    program.await_text(r"findings hold$")

    def picked():
        program.click(program.get("list item", f"^{name},"))
        time.sleep(0.3)
        return program.has_text(rf" · {item}$")
    wait(picked, f"{name} in the details")


def saved(program, file, pattern):
    program.key("ctrl+s")

    def written():
        with open(file) as text:
            return re.search(pattern, text.read())
    wait(written, f"{pattern} in the file")


def a_value_typed_with_its_unit_is_one_undo_step():
    file = example("van-c.bay")
    program = Program(file)
    select(program, "Brake line", "brake-line")
    shows(program, "Diameter", "4.75")
    type_into(program, program.get("text", "^Diameter$"), "1/4 in")
    shows(program, "Diameter", "6.35")
    saved(program, file, r'id="brake-line"[^>]* diameter="6.35"')
    program.key("ctrl+z")
    shows(program, "Diameter", "4.75")
    program.key("ctrl+shift+z")
    shows(program, "Diameter", "6.35")
    program.quit()


def a_bad_value_stays_with_a_sentence_and_changes_nothing():
    program = Program(example("van-c.bay"))
    select(program, "Brake line", "brake-line")
    cell = program.get("text", "^Diameter$")
    type_into(program, cell, "zzz")
    program.await_text(r'^"zzz" is not a length; write 12\.5, 2\.5 cm or 3/4 in$')
    assert content(cell) == "zzz"
    assert not program.is_sensitive(program.get("push button", "^Undo"))
    # picking something else gives the text up, and says so
    program.click(program.get("list item", "^Harness,"))
    program.await_text(r'^Diameter is as it was: "zzz" is not a length')
    select(program, "Brake line", "brake-line")
    shows(program, "Diameter", "4.75")
    cell = program.get("text", "^Diameter$")
    type_into(program, cell, "-3")
    program.await_text(r"^diameter -3 mm is not above 0$")
    program.key("Escape")
    shows(program, "Diameter", "4.75")
    assert program.has_text(r"is not above 0") is None
    program.quit()


def knots_are_typed_added_and_removed():
    file = example("van-c.bay")
    program = Program(file)
    select(program, "Brake line", "brake-line")
    shows(program, "Knot 2, Place, Z", "700")
    type_into(program, program.get("text", "^Knot 2, Place, Z$"), "70,5 cm")
    shows(program, "Knot 2, Place, Z", "705")
    program.key("Up", "Up", "Page_Down", "Up")
    shows(program, "Knot 2, Place, Z", "698")
    program.key("ctrl+z")
    shows(program, "Knot 2, Place, Z", "705")
    program.get("push button", "^Add: Knot$").get_action_iface().do_action(0)
    shows(program, "Knot 7, Place, X", content(program.get("text", "^Knot 7, Place, X$")))
    saved(program, file, r'at="1328 -300 705"')
    program.key("ctrl+z")
    wait(lambda: program.seek("text", "^Knot 7, Place, X$") is None, "knot 7 is gone")
    program.key("ctrl+z")
    shows(program, "Knot 2, Place, Z", "700")
    saved(program, file, r'at="1328 -300 700"')
    program.quit()


def lengths_are_shown_in_inches_where_the_bay_says_so():
    file = example("van-c.bay")
    with open(file) as text:
        bay = text.read().replace('ground="-85"', 'unit="inch" ground="-85"', 1)
    with open(file, "w") as text:
        text.write(bay)
    program = Program(file)
    select(program, "Brake line", "brake-line")
    shows(program, "Diameter", "0.187")
    type_into(program, program.get("text", "^Diameter$"), "3/16")
    saved(program, file, r'id="brake-line"[^>]* diameter="4.7625"')
    program.quit()


sys.exit(run(a_value_typed_with_its_unit_is_one_undo_step,
             a_bad_value_stays_with_a_sentence_and_changes_nothing,
             knots_are_typed_added_and_removed,
             lengths_are_shown_in_inches_where_the_bay_says_so))
