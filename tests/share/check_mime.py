#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The desktop tells a bay by its name, and by what is in it when the name says something else.

Arguments: the MIME description, the folder of the examples.
"""
import os
import shutil
import subprocess
import sys
import tempfile

from tap import Tap

BAY = "application/x-tightbay"

# What lies in a file that has no name to go by, and whether it is a bay.
CONTENTS = [
    (b'<?xml version="1.0" encoding="UTF-8"?>\n<bay version="1" title="Slim outlet">', True,
     "a bay is told by its root element"),
    (b'\xef\xbb\xbf<?xml version="1.0"?>\r\n<bay version="1" title="Slim outlet">', True,
     "a bay with a byte order mark is told"),
    (b'<?xml version="1.0"?>\n<!-- ' + b"a long comment " * 90 + b'-->\n<bay version="1">', True,
     "a bay is told behind a comment of 1350 bytes"),
    (b'<bay version="1" title="Slim outlet">', True, "a bay without a declaration is told"),
    (b'<?xml version="1.0"?>\n<bayonet version="1">', False, "another root element is no bay"),
    (b'<?xml version="1.0"?>\n<window-bays/>', False, "XML about bays is no bay"),
    (b'see <bay version="1"> in the manual', False, "a text that names the element is no bay"),
]


def content_type(path, environment):
    run = subprocess.run(["gio", "info", "-a", "standard::content-type", path], check=True,
                         env=environment, stdout=subprocess.PIPE)
    for line in run.stdout.decode().splitlines():
        if "standard::content-type:" in line:
            return line.split(":")[-1].strip()
    return None


def main():
    description, examples = sys.argv[1:3]
    tap = Tap()
    if not (shutil.which("update-mime-database") and shutil.which("gio")):
        print("1..0 # SKIP no update-mime-database, or no gio")
        return
    with tempfile.TemporaryDirectory() as folder:
        packages = os.path.join(folder, "mime", "packages")
        os.makedirs(packages)
        shutil.copy(description, packages)
        environment = dict(os.environ, XDG_DATA_HOME=folder, XDG_DATA_DIRS="/usr/share")
        run = subprocess.run(["update-mime-database", os.path.join(folder, "mime")],
                             env=environment, stderr=subprocess.PIPE)
        tap.fact(run.returncode == 0 and not run.stderr, "the data base takes the description",
                 run.stderr.decode())
        for name in sorted(os.listdir(examples)):
            if not name.endswith(".bay"):
                continue
            bay = os.path.join(examples, name)
            told = content_type(bay, environment)
            tap.fact(told == BAY, f"{name} is a bay by its name", told)
            for other in ("no-ending", "outlet.revision-c", "outlet.2026-11-25"):
                copy = os.path.join(folder, other)
                shutil.copy(bay, copy)
                told = content_type(copy, environment)
                tap.fact(told == BAY, f"{name} is a bay also as {other}", told)
        small = os.path.join(os.environ["TB_TEST_DATA"], "small.bay")
        shutil.copy(small, os.path.join(folder, "small"))
        told = content_type(os.path.join(folder, "small"), environment)
        tap.fact(told == BAY, "a bay with comments ahead of its root is told", told)
        for number, (data, is_bay, sentence) in enumerate(CONTENTS):
            path = os.path.join(folder, f"content{number}")
            with open(path, "wb") as file:
                file.write(data)
            told = content_type(path, environment)
            tap.fact((told == BAY) == is_bay, sentence, told)
    tap.end()


main()
