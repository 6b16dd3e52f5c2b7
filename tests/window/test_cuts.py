#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The cuts: planes, zoom, selecting, dragging handles, the section across, the free cut."""
import re
import sys
import time

from driver import Program, click, example, run, wait, xdotool

PLACE = r"^X (-?[\d.]+)  Y (-?[\d.]+)  Z (-?[\d.]+) mm$"


class Cut:
    """The drawing of a pane, with the bay's coordinates under its pixels."""

    def __init__(self, program, title):
        self.program = program
        self.image = program.get("image", title)
        program.steady(self.image)
        self.left, self.top = program.place(self.image, 0, 0)
        box = program.extents(self.image)
        self.width, self.height = box.width * program.scale, box.height * program.scale

    def title(self):
        return self.image.get_name()

    def times(self):
        """N of the ratio 1:N, as the description has it."""
        return float(re.search(r"1:(\d+(?:\.\d+)?)", self.told()).group(1))

    def told(self):
        return self.image.get_description()

    def under(self, x, y):
        """The bay's place under a pixel, as the status line says it."""
        xdotool("mousemove", self.left + x, self.top + y)
        said = None
        while True:  # until the status line says the same twice
            time.sleep(0.2)
            before, said = said, self.program.await_text(PLACE)
            if said == before:
                return [float(n) for n in re.match(PLACE, said).groups()]

    def learn(self, u, v):
        """The pixels of two axes of the bay (0, 1, 2), from two places of the pane."""
        a = self.under(40, 60)
        b = self.under(self.width - 40, self.height - 60)
        self.axes = [(u, (self.width - 80) / (b[u] - a[u]), 40, a[u]),
                     (v, (self.height - 120) / (b[v] - a[v]), 60, a[v])]
        self.scale = abs(self.axes[0][1])

    def pixel(self, point):
        """On the screen."""
        (u, fu, u0, a), (v, fv, v0, b) = self.axes
        return (round(self.left + u0 + (point[u] - a) * fu),
                round(self.top + v0 + (point[v] - b) * fv))

    def click(self, point):
        xdotool("mousemove", *self.pixel(point))
        time.sleep(0.1)
        click()


def opened(name="van-c.bay"):
    program = Program(example(name))
    program.await_text(r"findings hold")
    return program


def select_outlet(program, cut):
    program.click(program.get("list item", r"^Turbine outlet"), 60, 8)
    wait(lambda: "Selected: Turbine outlet" in cut.told(), "the outlet selected")


def a_plane_is_typed_stepped_and_refused():
    program = opened()
    cut = Cut(program, r"^Side cut, Y = -160 mm")
    program.click(program.get("text", r"^Y of the plane"))
    program.key("ctrl+a")
    program.type("-15 cm")
    program.key("Return")
    wait(lambda: cut.title().startswith("Side cut, Y = -150 mm"), "the plane that was typed")
    program.key("Page_Up", "Page_Up", "shift+Page_Down")
    wait(lambda: cut.title().startswith("Side cut, Y = -158 mm"), "the plane that was stepped")
    program.key("ctrl+a")
    program.type("soon")
    program.key("Return")
    program.await_text(r"soon")
    assert cut.title().startswith("Side cut, Y = -158 mm")
    program.key("Escape", "Page_Up")
    wait(lambda: cut.title().startswith("Side cut, Y = -157 mm"), "the plane stepped on the drawing")
    program.quit()


def what_is_under_the_pointer_stays_there_while_zooming():
    program = opened()
    cut = Cut(program, r"^Side cut")
    before = cut.under(150, 130)
    fitting = cut.times()
    xdotool("keydown", "ctrl")
    xdotool("click", "--repeat", 3, 4)
    xdotool("keyup", "ctrl")
    wait(lambda: cut.times() < 0.8 * fitting, "a larger drawing")
    after = cut.under(150, 130)
    assert max(abs(a - b) for a, b in zip(before, after)) <= 0.15, f"{before} became {after}"
    # the middle button drags the drawing along
    xdotool("mousedown", 2)
    xdotool("mousemove_relative", "--", 40, 25)
    time.sleep(0.1)
    xdotool("mouseup", 2)
    moved = cut.under(190, 155)
    assert max(abs(a - b) for a, b in zip(before, moved)) <= 0.15, f"{before} became {moved}"
    program.click(cut.image, 150, 20)
    program.key("0")
    # the pane itself may have become a little wider or lower meanwhile
    wait(lambda: abs(cut.times() - fitting) < 0.1 * fitting, "the ratio that fits")
    program.key("1")
    wait(lambda: "1:1." in cut.told(), "true size")
    program.quit()


def a_click_selects_and_the_same_again_goes_to_what_lies_below():
    program = opened()
    cut = Cut(program, r"^Plan cut")
    cut.learn(0, 1)
    # the cross rail, over the silhouette of what lies below it
    cut.click([1335, -100, 0])
    wait(lambda: "Selected: Subframe cross rail" in cut.told(), "the rail")
    time.sleep(0.3)
    cut.click([1335, -100, 0])
    wait(lambda: "Selected: Subframe cross rail" not in cut.told(), "what lies below it")
    program.quit()


def a_knot_follows_the_pointer_and_one_undo_takes_it_back():
    program = opened()
    cut = Cut(program, r"^Side cut")
    cut.learn(0, 2)
    # the fourth knot of the outlet, 1259 -148 542 in the file
    knot = [1259, -148, 542]
    select_outlet(program, cut)
    program.drag(cut.pixel(knot), (24, 0))
    undo = program.get("push button", "Undo")
    wait(lambda: program.is_sensitive(undo), "an undo step")
    told = wait(lambda: re.search(r"Handle: knot (\d+) X ([\d.]+)", cut.told()), "the knot")
    moved = float(told.group(2)) - knot[0]
    assert abs(moved - 24 / cut.scale) < 0.2, f"24 pixels moved it by {moved} mm"
    assert "move knot" in undo.get_description(), undo.get_description()
    program.key("ctrl+z")
    wait(lambda: not program.is_sensitive(undo), "nothing more to undo")
    assert f"X {knot[0]:.1f}" in wait(lambda: cut.told() if "Handle" in cut.told() else None,
                                      "the knot"), cut.told()
    program.quit()


def escape_gives_a_drag_up():
    program = opened()
    cut = Cut(program, r"^Side cut")
    cut.learn(0, 2)
    undo = program.get("push button", "Undo")
    select_outlet(program, cut)
    program.drag(cut.pixel([1259, -148, 542]), (30, 12), release=False)
    wait(lambda: program.is_sensitive(undo), "the drag's step")
    program.key("Escape")
    wait(lambda: not program.is_sensitive(undo), "no step any more")
    xdotool("mouseup", 1)
    time.sleep(0.2)
    assert not program.is_sensitive(undo)
    assert "Selected: Turbine outlet" in cut.told()
    program.quit()


def handles_are_reached_and_moved_by_keys():
    program = opened()
    cut = Cut(program, r"^Side cut")
    cut.learn(0, 2)
    cut.click([1341, 0, 561])
    wait(lambda: "Selected: Subframe cross rail" in cut.told(), "the cross rail selected")
    wait(lambda: re.search(r"[1-9]\d* handles: Ctrl", cut.told()), "how to reach the handles")
    program.key("ctrl+Right")
    first = wait(lambda: re.search(r"Handle: (.*?) X ([-\d.]+)", cut.told()), "a handle")
    program.key("Right", "Right", "shift+Right")
    wait(lambda: (told := re.search(r"Handle: (.*?) X ([-\d.]+)", cut.told())) and
         abs(float(told.group(2)) - float(first.group(2)) - 12) < 0.01, "12 mm further")
    program.key("ctrl+z")
    wait(lambda: not program.is_sensitive(program.get("push button", "Undo")),
         "all key steps of one handle in one step")
    program.quit()


def a_section_is_dragged_wider():
    program = opened()
    cut = Cut(program, r"^Turbine outlet, across")
    program.click(program.get("push button", "Section after"))
    wait(lambda: "station 300" in cut.title(), "the next given section")
    # below the section, away from the button's tooltip
    program.click(cut.image, cut.width // 2, cut.height - 12)
    program.key("ctrl+Right")
    told = wait(lambda: re.search(r"Handle: Width ([\d.]+) mm", cut.told()), "the right side")
    program.key("Right", "Right")
    wait(lambda: f"Width {float(told.group(1)) + 4:.1f} mm" in cut.told(), "both sides by 2 mm")
    undo = program.get("push button", "Undo")
    assert "change width of section" in undo.get_description(), undo.get_description()
    program.key("Page_Down")
    wait(lambda: "station 301" in cut.title(), "a station further")
    program.key("ctrl+z")
    wait(lambda: not program.is_sensitive(undo), "one step for both keys")
    program.quit()


def station_under(program, charts, x):
    """The station that the status line tells of a place of the charts."""
    xdotool("mousemove", *program.place(charts, x, 20))
    time.sleep(0.2)
    return float(re.match(r"station ([\d.]+)", program.await_text(r"^station [\d.]+ mm")).group(1))


def a_file_opens_again_as_it_was_looked_at():
    # settings that stay when the program ends
    stays = {"GSETTINGS_BACKEND": "keyfile"}
    file = example("van-c.bay")
    program = Program(file, environment=stays)
    program.await_text(r"findings hold")
    cut = Cut(program, r"^Plan cut")
    charts = program.get("image", r"^Charts along Turbine outlet")
    select_outlet(program, cut)
    fitted = cut.times()
    whole = station_under(program, charts, 400) - station_under(program, charts, 200)
    for place in ((cut.left + 90, cut.top + 70), program.place(charts, 300, 20)):
        xdotool("mousemove", *place)
        xdotool("keydown", "ctrl", "click", "--repeat", 4, 4, "keyup", "ctrl")
    wait(lambda: cut.times() < fitted / 1.3, "a part of the bay")
    wait(lambda: station_under(program, charts, 400) - station_under(program, charts, 200)
         < whole / 1.3, "a part of the path")
    ratio, place = cut.times(), cut.under(150, 130)
    stations = [station_under(program, charts, x) for x in (200, 400)]
    program.quit()

    program = Program(file, environment=stays)
    program.await_text(r"findings hold")
    cut = Cut(program, r"^Plan cut")
    charts = program.get("image", r"^Charts along Turbine outlet")
    wait(lambda: "Selected: Turbine outlet" in cut.told(), "what was selected")
    assert cut.times() == ratio, (cut.times(), ratio)
    again = cut.under(150, 130)
    assert max(abs(a - b) for a, b in zip(again, place)) < 1, (again, place)
    for x, station in zip((200, 400), stations):
        assert abs(station_under(program, charts, x) - station) < 0.5
    # a cut that nobody zoomed is fitted
    assert Cut(program, r"^Side cut").times() > 3
    program.quit()


def a_free_cut_goes_through_three_picked_points():
    program = opened()
    cut = Cut(program, r"^Plan cut")
    select_outlet(program, cut)
    cut.learn(0, 1)
    program.click([node for node in program.walk() if node.get_role_name() == "push button" and
                   node.get_name() == "View"][-1])
    program.get("menu item", r"Three Points")
    time.sleep(0.3)
    program.key("Down", "Down", "Down", "Down", "Return")
    program.await_text(r"Pick three")
    wait(lambda: program.is_focused(cut.image), "the menu to have gone")
    time.sleep(0.3)
    # knots of the outlet, each at its own height
    cut.click([1243, -203, 703])
    program.await_text("^Point 1 of 3")
    cut.click([1259, -148, 542])
    program.await_text("^Point 2 of 3")
    cut.click([1277, -103, 407])
    free = Cut(program, r"^Free cut through")
    assert free.title().startswith("Free cut through X = 1243; Y = -203; Z = 703 mm"), free.title()
    assert "Free cut" in free.told()
    program.quit()


sys.exit(run(a_plane_is_typed_stepped_and_refused,
             what_is_under_the_pointer_stays_there_while_zooming,
             a_click_selects_and_the_same_again_goes_to_what_lies_below,
             a_knot_follows_the_pointer_and_one_undo_takes_it_back,
             escape_gives_a_drag_up,
             handles_are_reached_and_moved_by_keys,
             a_section_is_dragged_wider,
             a_file_opens_again_as_it_was_looked_at,
             a_free_cut_goes_through_three_picked_points))
