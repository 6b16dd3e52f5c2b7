#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""A man page names just the commands and options that the program's own help prints.

Arguments: the page, the program, the version, and what asks for all options if not --help. The page
sets without a warning. There need not be a display.
"""
import os
import re
import shutil
import subprocess
import sys

from tap import Tap

LONG = re.compile(r"--[a-z][a-z-]*")
# "  -o, --output=OUT.csv     Where the table goes"
HELP_OPTION = re.compile(r"^  (?:-[a-zA-Z], )?--[a-z]")


def help_of(program, *command, ask="--help"):
    environment = {name: value for name, value in os.environ.items() if name != "DISPLAY"}
    out = subprocess.run([program, *command, ask], check=True, stdout=subprocess.PIPE,
                         env=environment)
    return out.stdout.decode()


def help_options(text):
    """Every option in a help text, as printed: "-o, --output=OUT.csv"."""
    return {re.split(r"\s{2,}", line.strip())[0]
            for line in text.splitlines() if HELP_OPTION.match(line)}


def plain(line):
    """A line of the page without fonts and escapes."""
    line = re.sub(r"\\f[BIRP]", "", line)
    line = line.replace("\\&", "").replace("\\-", "-").replace("\\(aq", "'")
    words = line.split(None, 1)
    if words and re.match(r"\.(B|I|BI|IB|BR|RB|IR|RI)$", words[0]):
        # alternating fonts: the arguments are joined
        arguments = re.findall(r'"([^"]*)"|(\S+)', words[1])
        parts = [quoted or bare for quoted, bare in arguments]
        return ("" if len(words[0]) == 3 else " ").join(parts)
    return line


def page_options(lines):
    """Every option that starts a paragraph (.TP) of the page."""
    found = set()
    for before, line in zip(lines, lines[1:]):
        if before.strip() == ".TP" and plain(line).startswith("-"):
            found.add(plain(line))
    return found


def sections(lines):
    """Heading to lines, for .SH and .SS alike."""
    parts = {}
    now = parts.setdefault("", [])
    for line in lines:
        head = re.match(r"\.S[HS] \"?([^\"]*)\"?$", line)
        if head:
            now = parts.setdefault(plain(head.group(1)), [])
        else:
            now.append(line)
    return parts


def compare(tap, what, wanted, found):
    tap.fact(wanted and wanted == found, f"the page has the options of {what}",
             f"only in the help: {sorted(wanted - found)}",
             f"only in the page: {sorted(found - wanted)}")


def main():
    page, program, version = sys.argv[1:4]
    tap = Tap()
    with open(page, encoding="utf-8") as file:
        lines = file.read().splitlines()
    parts = sections(lines)
    text = help_of(program, ask=sys.argv[4] if len(sys.argv) > 4 else "--help")
    commands = re.findall(r"^  ([a-z]+) {2,}\S", text, re.MULTILINE)
    for command in commands:
        if tap.fact(command in parts, f"the page has a chapter on {command}"):
            compare(tap, command, help_options(help_of(program, command)),
                    page_options(parts[command]))
    compare(tap, "the program itself",
            help_options(text) or {"-h, --help", "--version"}, page_options(parts["OPTIONS"]))
    named = {option for line in lines for option in LONG.findall(plain(line))}
    known = set(LONG.findall(text)) | {"--help", "--version"}
    for command in commands:
        known |= set(LONG.findall(help_of(program, command)))
    tap.fact(named <= known, "no option is named that does not exist", sorted(named - known))
    tap.fact(f" {version}\"" in lines[1], "the page is of this version", lines[1])
    if shutil.which("groff"):
        run = subprocess.run(["groff", "-man", "-Tutf8", "-ww", "-z", page],
                             stderr=subprocess.PIPE)
        tap.fact(run.returncode == 0 and not run.stderr, "the page sets without a warning",
                 run.stderr.decode())
    else:
        tap.skip("the page sets without a warning", "no groff")
    tap.end()


main()
