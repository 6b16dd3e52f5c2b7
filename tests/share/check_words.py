#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The command line speaks German and Spanish, in an uninstalled build too; files keep their points.

Arguments: the program, the folder of the compiled catalogues, an example.
"""
import json
import os
import shutil
import subprocess
import sys
import tempfile

from tap import Tap

# Locale, what its catalogue makes of "Usage:", and of the word for a gap that is too small.
LANGUAGES = [("de_DE", "Aufruf:", "Abstand"), ("es_ES", "Uso:", "holgura")]


def main():
    program, catalogues, bay = sys.argv[1:4]
    tap = Tap()
    if not shutil.which("localedef") or not os.path.exists("/usr/share/i18n/locales/de_DE"):
        print("1..0 # SKIP no sources of locales")
        return
    with tempfile.TemporaryDirectory() as folder:
        for locale, usage, gap in LANGUAGES:
            subprocess.run(["localedef", "-i", locale, "-f", "UTF-8",
                            os.path.join(folder, locale + ".UTF-8")],
                           stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
            environment = dict(os.environ, LOCPATH=folder, LC_ALL=locale + ".UTF-8",
                               TB_LOCALE_DIR=catalogues)
            environment.pop("LANGUAGE", None)
            text = subprocess.run([program, "--help"], env=environment, check=True,
                                  stdout=subprocess.PIPE).stdout.decode()
            tap.fact(text.startswith(usage), f"{locale}: the help is translated", text[:200])
            report = os.path.join(folder, "report.json")
            run = subprocess.run([program, "check", bay, "--all", "--json", report],
                                 env=environment, stdout=subprocess.PIPE)
            text = run.stdout.decode()
            tap.fact(gap in text, f"{locale}: findings are translated", text[:400])
            with open(report, encoding="utf-8") as file:
                words = json.load(file)
            english = json.dumps(words, ensure_ascii=False)
            tap.fact(gap not in english, f"{locale}: the report stays in English")
    tap.end()


main()
