#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The list of items and the findings, with pointer and keys: what they say against the report of
the command line, what is done to a row, and what is decided about a finding."""
import json
import math
import os
import re
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ElementTree

from driver import Atspi, Program, example, run, wait, xdotool


def opened(path):
    program = Program(path)
    program.file = path
    wait(lambda: program.seek("list item", r", (short|watch|holds|open)"), "a level of a row")
    # every state and variant is judged once nothing is said to be judged again
    wait(lambda: not program.has_text("being judged again"), "what is not shown to be judged")
    return program


def row(program, name):
    return program.get("list item", f"^{re.escape(name)}(,|$)")


def named(program, name):
    return program.seek("list item", f"^{re.escape(name)}(,|$)")


def saved(program):
    before = os.stat(program.file).st_mtime_ns
    program.key("ctrl+s")
    wait(lambda: os.stat(program.file).st_mtime_ns != before, "the file to be saved")
    return ElementTree.parse(program.file).getroot()


def report_of(path):
    out = path + ".json"
    subprocess.run([os.environ["TB_BATCH"], "check", "--json", out, path], capture_output=True)
    with open(out) as file:
        return json.load(file)


RANK = {"holds": 0, "watch": 1, "open": 2, "short": 3}


def is_about(finding, item):
    return item in finding["subject"].split("|") or finding["place"]["item"] == item


def rows_say_what_the_report_says():
    program = opened(example("van-b.bay"))
    report = report_of(program.file)
    told = 0
    for item in report["items"]:
        node = named(program, item["name"])
        if node is None:
            continue
        said = node.get_name()
        findings = [f for f in report["findings"] if is_about(f, item["id"])]
        if not findings:  # a spare that no variant swaps in
            assert not re.search(", (short|watch|holds|open)", said), said
            continue
        worst = max((f["level"] for f in findings), key=RANK.get)
        assert said.startswith(f"{item['name']}, {worst}, "), said
        gaps = [g for g in report["gaps"] if item["id"] in (g["a"], g["b"])
                and g["keep"] is not None and g["margin"] is not None]
        least = min(g["margin"] for g in gaps)
        number = re.search(r"(-?[\d.]+) of (-?[\d.]+) mm", said)
        assert math.isclose(float(number[1]) - float(number[2]), least, abs_tol=0.11), (said, least)
        told += 1
    assert told > 25, told
    worst = {}  # of a pair or an item, over states and variants
    for finding in report["findings"]:
        key = finding["id"].rsplit("/", 2)[0]
        worst[key] = max(worst.get(key, "holds"), finding["level"], key=RANK.get)
    for level in ("short", "watch"):
        program.await_text(f"^{level}: {list(worst.values()).count(level)}\\b")
    program.quit()


def a_row_is_renamed_duplicated_removed_and_brought_back():
    program = opened(example("van-b.bay"))
    program.click(row(program, "Lambda sensor"), 60)
    program.key("F2")
    program.get("text", "^New name$")
    program.type("Sensor <left>")
    program.key("Return")
    row(program, "Sensor <left>")
    program.key("ctrl+d")
    row(program, "Sensor <left> 2")
    program.key("Delete")
    wait(lambda: named(program, "Sensor <left> 2") is None, "the copy to be gone")
    # what the toast offers for some seconds, undo does at any time
    program.key("ctrl+z")
    row(program, "Sensor <left> 2")
    names = [b.get("name") for b in saved(program).iter("rod")]
    assert "Sensor <left>" in names and "Sensor <left> 2" in names, names
    # what something refers to stays, and says why
    program.click(row(program, "Coolant in"), 60)
    program.key("Delete")
    program.await_text(r"cannot be removed")
    row(program, "Coolant in")
    program.quit()


def the_worst_finding_stands_at_the_top_once_all_is_judged():
    # others are listed before its worst one comes
    program = opened(example("pickup.bay"))
    program.await_text("^watch: 6")
    listed = program.get("list", "^Findings, worst first")
    first = wait(lambda: next((node for node in program.walk(listed)
                               if node.get_role_name() == "list item"), None), "a finding")
    program.steady(first)
    assert program.extents(first).y >= program.extents(listed).y, first.get_name()
    program.quit()


def a_row_is_copied_and_pasted():
    program = opened(example("van-b.bay"))
    program.click(row(program, "Lambda sensor"), 60)
    program.key("ctrl+c", "ctrl+v")
    row(program, "Lambda sensor 2")
    rods = [rod.get("id") for rod in saved(program).iter("rod")]
    assert "lambda-sensor-2" in rods, rods
    program.quit()


def go_to_field(program, key, name):
    """Its mnemonic, once what was open before has closed."""
    def has_focus():
        program.key(key)
        state = program.get("text", name).get_state_set()
        return state.contains(Atspi.StateType.FOCUSED)
    wait(has_focus, f"{name} to have the focus")


def a_finding_is_gone_to_and_waived_by_keys():
    program = opened(example("van-b.bay"))
    # the worst of all states, once they are judged
    finding = program.get("list item", r"^short: Brake line.*high-s")
    program.click(finding)
    program.await_text(r"^engine 12 mm higher")
    program.key("F2")
    program.get("text", "^Owner")
    program.key("space")  # the choice of what is decided
    program.get("label", "^Waived$")
    for _ in range(4):
        program.key("Down")
    program.key("Return")
    go_to_field(program, "alt+w", "^Owner")
    program.type("A. B.")
    go_to_field(program, "alt+u", "^Due date")
    program.type("2027-01-31")
    program.key("Return")
    program.await_text(r"^A waiver needs its reason")
    program.type("bracket opened on the sample")
    program.key("alt+r")
    program.get("list item", r"Waived by A\. B\. until 2027-01-31: bracket opened on the sample$")
    decision = saved(program).find(".//decision")
    assert decision.get("finding") == "gap/brake-line|outlet", decision.attrib
    assert decision.get("disposition") == "waived", decision.attrib
    program.key("ctrl+z")
    wait(lambda: not program.has_text(r"Waived by"), "the waiver to be undone")
    assert saved(program).find(".//decision") is None
    program.quit()


def sixty_items_with_long_names(folder):
    items = "".join(
        f'<block id="box-{i}" name="Bracket number {i} of the left front wheel house, upper half"'
        f' class="structure" mount="body" low="{137 * i} 0 0" high="{137 * i + 61} 83 47"/>'
        for i in range(60))
    path = os.path.join(folder, "sixty.bay")
    with open(path, "w") as file:
        file.write('<?xml version="1.0"?><bay version="1" title="Sixty">'
                   '<mounts><mount id="body"/></mounts><items>' + items + "</items><keeps>"
                   '<keep id="k" class-a="structure" class-b="structure">'
                   '<wanted state="cold" gap="70"/></keep></keeps><states><state id="cold"'
                   ' kind="cold"/></states></bay>')
    return path


def sixty_items_are_searched_and_walked_by_keys():
    program = opened(sixty_items_with_long_names(tempfile.mkdtemp()))
    program.click(row(program, "Bracket number 0 of the left front wheel house, upper half"), 60)
    program.key("End")
    row(program, "Bracket number 59 of the left front wheel house, upper half")
    program.key("ctrl+f")
    program.type("number 47")
    wait(lambda: len([n for n in program.walk() if n.get_role_name() == "list item"
                      and re.match("Bracket number", n.get_name() or "")]) == 1, "one row")
    program.key("Escape")
    row(program, "Bracket number 12 of the left front wheel house, upper half")
    program.picture(os.path.join(os.environ.get("TB_PICTURES", "."), "lists-sixty.png"))
    program.quit()


def a_narrow_window_lets_details_and_findings_take_turns():
    program = opened(example("van-c.bay"))
    xdotool("windowsize", program.window, 1034, 710)
    tab = wait(lambda: next((node for node in program.walk() if node.get_name() == "Details"
                             and node.get_role_name() in ("page tab", "radio button", "tab",
                                                          "toggle button")), None), "the turns")
    assert tab
    wait(lambda: program.extents(program.get("frame")).width < 1040, "the window to be narrow")
    program.picture(os.path.join(os.environ.get("TB_PICTURES", "."), "lists-narrow.png"))
    xdotool("windowsize", program.window, 1280, 800)
    wait(lambda: not [node for node in program.walk() if node.get_name() == "Details"
                      and node.get_role_name() in ("page tab", "tab")], "the column to be back")
    program.quit()


sys.exit(run(rows_say_what_the_report_says,
             a_row_is_renamed_duplicated_removed_and_brought_back,
             a_row_is_copied_and_pasted,
             the_worst_finding_stands_at_the_top_once_all_is_judged,
             a_finding_is_gone_to_and_waived_by_keys,
             sixty_items_are_searched_and_walked_by_keys,
             a_narrow_window_lets_details_and_findings_take_turns))
