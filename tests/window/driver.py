# SPDX-License-Identifier: GPL-3.0-or-later
"""Drives the real window as a person would: the accessibility bus finds and reads, xdotool moves
the pointer and presses keys. Runs inside tests/window/display."""
import os
import re
import shutil
import subprocess
import tempfile
import time
import warnings

warnings.simplefilter("ignore", DeprecationWarning)
import gi  # noqa: E402

gi.require_version("Atspi", "2.0")
from gi.repository import Atspi, GLib  # noqa: E402

PATIENCE = 30 * float(os.environ.get("TB_PATIENCE", "1"))  # s that anything may take


def xdotool(*arguments):
    return subprocess.run(["xdotool", *map(str, arguments)], check=True, capture_output=True,
                          text=True).stdout


def click(button=1):
    """As long as a finger takes: the toolkit may miss a button that is up before it has looked."""
    xdotool("mousedown", button)
    time.sleep(0.06)
    xdotool("mouseup", button)


def named(window):
    """The title of a window of the screen; None when it has gone."""
    found = subprocess.run(["xdotool", "getwindowname", window], capture_output=True, text=True)
    return found.stdout.strip() if found.returncode == 0 else None


def wait(question, what, patience=PATIENCE):
    """The first answer that is true; AssertionError when none comes."""
    end = time.time() + patience
    while True:
        try:
            answer = question()
        except GLib.Error:  # what was asked has gone from the bus meanwhile
            answer = None
        if answer:
            return answer
        if time.time() > end:
            raise AssertionError(f"waited {patience:.0f} s for: {what}")
        time.sleep(0.03)


class Focus:
    """Where the keys go, as the bus tells it from now on: to walk all that is there and ask each
    takes long on a busy machine."""

    def __init__(self):
        self.nodes = []  # the newest last; a form that is open has a focus of its own
        self.moves = 0
        self.listener = Atspi.EventListener.new(self._heard)
        self.listener.register("object:state-changed:focused")

    def _heard(self, event):
        self.nodes = [node for node in self.nodes if node != event.source]
        if event.detail1:
            self.nodes.append(event.source)
            self.moves += 1

    def words(self):
        """The name of what has it, and of what holds that; empty while nothing has it."""
        while GLib.MainContext.default().iteration(False):
            pass
        while self.nodes:
            try:
                node = self.nodes[-1]
                holder = node.get_parent()
                return [node.get_name(), holder.get_name() if holder else ""]
            except GLib.Error:  # it has gone
                self.nodes.pop()
        return []


class Program:
    """The program with one window in front."""

    living = []  # what a journey that failed has left running

    def __init__(self, *arguments, environment=None):
        self.folder = tempfile.mkdtemp()
        self.errors = os.path.join(self.folder, "errors")
        self.process = subprocess.Popen(
            [os.environ["TB_PROGRAM"], *arguments], stderr=open(self.errors, "w"),
            env={**os.environ, "G_DEBUG": "fatal-warnings", **(environment or {})})
        Program.living.append(self)
        self.root = wait(self._find, "the program on the accessibility bus")
        self.scale = int((environment or {}).get("GDK_SCALE", "1"))
        self.front()

    def _find(self):
        if self.process.poll() is not None:
            raise AssertionError(f"the program ended with {self.process.returncode}: {self.said()}")
        desktop = Atspi.get_desktop(0)
        for i in range(desktop.get_child_count()):
            child = desktop.get_child_at_index(i)
            if child and child.get_process_id() == self.process.pid and child.get_child_count():
                return child
        return None

    def said(self):
        with open(self.errors) as file:
            return file.read()

    def front(self, name=None):
        """Focus the newest window (no window manager is there to do it), or the one of a name."""
        def visible():
            search = ["search", "--onlyvisible", "--pid", self.process.pid]
            if name is not None:
                search = ["search", "--onlyvisible", "--name", name]
            found = subprocess.run(["xdotool", *map(str, search)], capture_output=True, text=True)
            windows = found.stdout.split()
            # tips and menus are windows too, and bear the program's name
            return [one for one in windows if named(one) != "Tightbay"] or windows[:1]
        self.window = wait(visible, f"window {name or ''}")[-1]
        xdotool("windowfocus", "--sync", self.window)

    @staticmethod
    def gone(name):
        """Waits until no window of a name is left, without a question to the bus: GTK 4.8 stumbles
        (g_variant_is_object_path) over questions about a window that is going."""
        wait(lambda: subprocess.run(["xdotool", "search", "--onlyvisible", "--name", name],
                                    capture_output=True).stdout == b"", f"{name} to go")
        time.sleep(0.5)

    # ---- finding and reading ----

    def walk(self, node=None):
        node = node or self.root
        yield node
        for i in range(node.get_child_count()):
            child = node.get_child_at_index(i)
            if child:
                yield from self.walk(child)

    def seek(self, role, name=""):
        for node in self.walk():
            if node.get_role_name() == role and re.search(name, node.get_name() or ""):
                return node
        return None

    def get(self, role, name=""):
        return wait(lambda: self.seek(role, name), f"{role} named /{name}/")

    def texts(self):
        return [node.get_name() for node in self.walk() if node.get_name()]

    def has_text(self, pattern):
        return next((text for text in self.texts() if re.search(pattern, text)), None)

    def await_text(self, pattern):
        return wait(lambda: self.has_text(pattern), f"text /{pattern}/")

    @staticmethod
    def description(node):
        """What a drawing says of itself now; the bus would tell what it heard first."""
        node.clear_cache()
        return node.get_description()

    @staticmethod
    def is_sensitive(node):
        return node.get_state_set().contains(Atspi.StateType.SENSITIVE)

    @staticmethod
    def is_focused(node):
        return node.get_state_set().contains(Atspi.StateType.FOCUSED)

    # ---- pointer and keys ----

    def origin(self):
        """Where (0, 0) of the bus is on the screen: the window less its shadow."""
        geometry = dict(line.split("=") for line in
                        xdotool("getwindowgeometry", "--shell", self.window).split())
        frame = self.get("frame").get_component_iface().get_extents(Atspi.CoordType.WINDOW)
        return (int(geometry["X"]) + (int(geometry["WIDTH"]) - frame.width * self.scale) // 2,
                int(geometry["Y"]) + (int(geometry["HEIGHT"]) - frame.height * self.scale) // 2)

    def extents(self, node):
        # now and then the bus is late with what a widget can do
        component = wait(node.get_component_iface, "where a widget is")
        return component.get_extents(Atspi.CoordType.WINDOW)

    def steady(self, node):
        """Waits until a widget has kept its place for half a second: panes have made room."""
        def rests():
            boxes = []
            for _ in range(6):
                box = self.extents(node)
                boxes.append((box.x, box.y, box.width, box.height))
                time.sleep(0.1)
            return len(set(boxes)) == 1
        wait(rests, "a widget to rest")

    def place(self, node, x=None, y=None):
        """A point of a widget on the screen; its middle by default."""
        box = self.extents(node)
        left, top = self.origin()
        return (left + self.scale * (box.x + (box.width // 2 if x is None else x)),
                top + self.scale * (box.y + (box.height // 2 if y is None else y)))

    def click(self, node, x=None, y=None, button=1):
        xdotool("mousemove", *self.place(node, x, y))
        time.sleep(0.05)
        click(button)

    def drag(self, start, by, steps=8, release=True):
        xdotool("mousemove", *start)
        time.sleep(0.05)
        xdotool("mousedown", 1)
        for i in range(1, steps + 1):
            xdotool("mousemove", start[0] + by[0] * i // steps, start[1] + by[1] * i // steps)
            time.sleep(0.03)
        if release:
            xdotool("mouseup", 1)

    def key(self, *keys):
        for key in keys:
            xdotool("key", key)
            time.sleep(0.02)

    def type(self, text):
        xdotool("type", "--delay", 10, "--", text)

    def act(self, name, parameter=""):
        """A window action through the session bus, as assistive programs do."""
        subprocess.run(["gdbus", "call", "--session", "--dest", "net.tightbay.Tightbay",
                        "--object-path", "/net/tightbay/Tightbay/window/1",
                        "--method", "org.gtk.Actions.Activate", name, f"[{parameter}]", "{}"],
                       check=True, capture_output=True)

    def picture(self, path):
        subprocess.run(["import", "-window", "root", path], check=True)

    # ---- ending ----

    def quit(self):
        """Ctrl+Q; the program must end well and have said nothing."""
        self.key("ctrl+q")
        code = self.process.wait(PATIENCE)
        said = self.said()
        shutil.rmtree(self.folder)
        assert code == 0, f"ended with {code}: {said}"
        assert said == "", f"said: {said}"

    def kill(self):
        self.process.kill()
        self.process.wait()


def example(name, folder=None):
    """A copy of an example in a folder of its own, scans beside it."""
    folder = folder or tempfile.mkdtemp()
    source = os.environ["TB_EXAMPLES"]
    for file in os.listdir(source):
        if file == name or file.endswith(".ply"):
            shutil.copy(os.path.join(source, file), folder)
    return os.path.join(folder, name)


# GTK 4.8 says this, and dies of it where warnings are fatal, when the accessibility bus asks about a
# widget that is going: no fault of the program's, and a person's screen reader seldom meets it.
TOOLKIT_FAULT = "g_variant_is_object_path"


def attempt(journey):
    """What went wrong on a journey, or None, and what the programs said that it left behind."""
    fault = None
    said = []
    try:
        journey()
    except Exception as what:  # the next journeys still run
        fault = what
        picture = os.path.join(os.environ.get("TB_PICTURES", tempfile.gettempdir()),
                               f"{journey.__name__}.png")
        subprocess.run(["import", "-window", "root", picture], check=False)
    for program in Program.living:
        said += program.said().splitlines() if os.path.exists(program.errors) else []
        program.kill()  # or the next one would only hand its file over
    Program.living.clear()
    return fault, said


def run(*journeys):
    """Run journeys one after the other; TAP on standard output, a picture of each that failed. One
    that fails by the toolkit's fault is gone once more."""
    print(f"1..{len(journeys)}")
    failed = False
    for number, journey in enumerate(journeys, 1):
        title = journey.__name__.replace("_", " ")
        fault, said = attempt(journey)
        if fault is not None and TOOLKIT_FAULT in " ".join([str(fault), *said]):
            print(f"# {title}: once more, GTK stumbled: {TOOLKIT_FAULT}", flush=True)
            fault, said = attempt(journey)
        if fault is None:
            print(f"ok {number} - {title}", flush=True)
            continue
        failed = True
        told = " | ".join(str(fault).splitlines())
        print(f"not ok {number} - {title}")
        print(f"# {type(fault).__name__}: {told}; picture {journey.__name__}.png", flush=True)
        for line in said:
            print(f"# said: {line}", flush=True)
    return 1 if failed else 0
