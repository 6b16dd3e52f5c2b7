# SPDX-License-Identifier: GPL-3.0-or-later
"""What journeys about files have in common: titles, buttons, an edit, what the file says."""
import os
import subprocess
import time

from driver import wait


def read(path):
    with open(path, encoding="utf-8") as file:
        return file.read()


def title(program):
    return program.get("frame").get_name()


def change(program, item="Brake line"):
    """An edit: an item of the list is duplicated."""
    program.click(program.get("label", f"^{item}$"))
    program.key("ctrl+d")
    wait(lambda: title(program).startswith("•"), "the mark of unsaved changes")


def frames(program):
    """The program's windows."""
    return [child for child in (program.root.get_child_at_index(i)
                                for i in range(program.root.get_child_count()))
            if child and child.get_role_name() == "frame"]


def press(program, label):
    program.get("push button", label).get_action_iface().do_action(0)


def type_path(program, window, path):
    """Give a file chooser a path."""
    program.front(window)
    time.sleep(0.5)
    program.key("ctrl+a")
    program.type(path)
    time.sleep(0.3)
    program.key("Return")
    program.gone(window)


def judged(path):
    """What the command line says of a file: its exit status."""
    return subprocess.run([os.environ["TB_BATCH"], "check", path], capture_output=True).returncode


def kept_settings(words=""):
    """An environment whose settings outlive the program; some of them beforehand."""
    folder = os.path.join(os.environ["HOME"], ".config", "glib-2.0", "settings")
    os.makedirs(folder, exist_ok=True)
    with open(os.path.join(folder, "keyfile"), "w", encoding="utf-8") as file:
        file.write(f"[net/tightbay/Tightbay]\n{words}\n")
    return {"GSETTINGS_BACKEND": "keyfile"}
