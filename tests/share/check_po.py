#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Every sentence of the program is translated into every language, with the same places to fill.

Argument: the project's folder. The template is gathered anew, so that a sentence which was added
after the catalogues were merged is found too.
"""
import os
import re
import shutil
import subprocess
import sys
import tempfile

from tap import Tap

# As po/meson.build has them.
KEYWORDS = ["--keyword=_", "--keyword=N_", "--keyword=C_:1c,2", "--keyword=NC_:1c,2",
            "--keyword=ngettext:1,2", "--keyword=g_dngettext:2,3"]

# Format directives of printf and of dates, without those that only print a percent sign.
DIRECTIVE = re.compile(r"%(?:\d+\$)?[-+ #0]*(?:\d+|\*)?(?:\.(?:\d+|\*))?"
                       r"(?:hh|h|ll|l|z|j|t|L)?[a-zA-Z]")


# What long work is at: said by sorts of values and by tasks, translated by src/study/say_progress.c.
PROGRESS = re.compile(r'\.what = "([^"]+)"|tb_task_report\([^";]*?,\s*"([^"]+)"')
# Values of other tables that are no progress.
NO_PROGRESS = {"bay"}


def run(*command, folder=None):
    return subprocess.run(command, cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.STDOUT)


def entries(path):
    """(sentence, [translations]) of a catalogue, unescaped enough to count directives in."""
    text = subprocess.run(["msgcat", "--no-wrap", "--no-location", path], check=True,
                          stdout=subprocess.PIPE).stdout.decode()
    for block in text.split("\n\n"):
        parts, now = {}, None
        for line in block.splitlines():
            head = re.match(r'(msgid_plural|msgid|msgstr(?:\[\d\])?|msgctxt) (".*")$', line)
            if head:
                now = head.group(1)
                parts[now] = head.group(2)[1:-1]
            elif line.startswith('"') and now:
                parts[now] += line[1:-1]
        if parts.get("msgid"):
            yield (parts.get("msgid_plural", parts["msgid"]), parts["msgid"],
                   [value for name, value in parts.items() if name.startswith("msgstr")], block)


def directives(text):
    return sorted(DIRECTIVE.findall(text.replace("%%", "")))


def check_language(tap, folder, template, language):
    path = os.path.join(folder, "po", language + ".po")
    checked = run("msgfmt", "--check", "--check-accelerators=_", "-o", os.devnull, path)
    tap.fact(checked.returncode == 0, f"{language}: msgfmt finds nothing wrong",
             checked.stdout.decode())
    same = run("msgcmp", path, template)
    tap.fact(same.returncode == 0, f"{language}: every sentence is translated, none is fuzzy",
             same.stdout.decode())
    wrong, ends, same_words = [], [], 0
    for plural, single, translations, block in entries(path):
        for text in translations:
            # dates have their own order of directives, and all of them are allowed
            if "g_date_time_format" not in block and \
                    directives(text) not in (directives(plural), directives(single)):
                wrong.append(f"{single} | {text}")
            if single.endswith("\\n") != text.endswith("\\n") or \
                    (single[:1] == " ") != (text[:1] == " ") or \
                    (single[-1:] == " ") != (text[-1:] == " "):
                ends.append(f"{single} | {text}")
        same_words += translations[0] == single and len(single.split()) > 3
    tap.fact(not wrong, f"{language}: places to fill are the same", *wrong)
    tap.fact(not ends, f"{language}: blanks and line ends at the edges are the same", *ends)
    tap.fact(same_words <= 5, f"{language}: whole sentences were not left in English", same_words)


def check_progress(tap, folder):
    said = set()
    for parent, _, names in os.walk(os.path.join(folder, "src")):
        for name in names:
            with open(os.path.join(parent, name), encoding="utf-8") as file:
                said |= {a or b for a, b in PROGRESS.findall(file.read())}
    with open(os.path.join(folder, "src", "study", "say_progress.c"), encoding="utf-8") as file:
        known = set(re.findall(r'N_\("([^"]+)"\)', file.read()))
    lost = sorted(said - NO_PROGRESS - known)
    tap.fact(len(said) > 15 and not lost, "every word of progress can be translated", *lost)
    tap.fact(not known - said, "and there are no others", *sorted(known - said))


def main():
    folder = sys.argv[1]
    tap = Tap()
    if not shutil.which("xgettext"):
        print("1..0 # SKIP no gettext")
        return
    with open(os.path.join(folder, "po", "LINGUAS"), encoding="utf-8") as file:
        languages = file.read().split()
    tap.fact(set(languages) >= {"de", "es"}, "there are German and Spanish", languages)
    check_progress(tap, folder)
    with tempfile.TemporaryDirectory() as scratch:
        template = os.path.join(scratch, "template.pot")
        gathered = run("xgettext", "--from-code=UTF-8", "--add-comments=Translators:", *KEYWORDS,
                       "--flag=_:1:pass-c-format", "--flag=N_:1:pass-c-format",
                       "-f", "po/POTFILES.in", "-o", template, folder=folder)
        tap.fact(gathered.returncode == 0, "the sentences are gathered", gathered.stdout.decode())
        for language in languages:
            check_language(tap, folder, template, language)
    tap.end()


main()
