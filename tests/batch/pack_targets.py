#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""A pack is written whole or not at all, and what is wrong is said in one sentence.

Arguments: the program, a bay.
"""
import os
import re
import resource
import subprocess
import sys
import tempfile

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "share"))
from tap import Tap  # noqa: E402


def few_bytes():
    """The disk is full after some thousand bytes: writing fails, nobody is ended by a signal."""
    resource.setrlimit(resource.RLIMIT_FSIZE, (5000, 5000))


def pack(program, bay, *options, **more):
    run = subprocess.run([program, "pack", bay, *options],
                         stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True,
                         env=dict(os.environ, LC_ALL="C.UTF-8"), **more)
    # what the bay itself is warned of comes first, with its line
    said = [line for line in run.stderr.splitlines()
            if not re.match(re.escape(bay) + r":\d+: ", line)]
    return run.returncode, said


def is_one_sentence(said, *words):
    return len(said) == 1 and all(word in said[0] for word in words)


def main():
    program, bay = (os.path.abspath(path) for path in sys.argv[1:3])
    tap = Tap()
    with tempfile.TemporaryDirectory() as folder:
        target = os.path.join(folder, "review.pdf")

        def nothing_but(*names):
            return sorted(os.listdir(folder)) == sorted(names)

        status, said = pack(program, bay, "-o", target, restore_signals=False,
                            preexec_fn=few_bytes)
        tap.fact(status == 2 and is_one_sentence(said, target), "a full disk is told", said)
        tap.fact(nothing_but(), "... and leaves nothing behind", os.listdir(folder))

        status, said = pack(program, bay, "-o", target)
        tap.fact(status == 0 and not said and nothing_but("review.pdf"), "a good target is written",
                 said)
        with open(target, "rb") as file:
            whole = file.read()
        tap.fact(whole.startswith(b"%PDF-") and whole.rstrip().endswith(b"%%EOF"), "... whole")

        pack(program, bay, "-o", target, "--paper", "A4", restore_signals=False,
             preexec_fn=few_bytes)
        with open(target, "rb") as file:
            tap.fact(file.read() == whole and nothing_but("review.pdf"),
                     "where the disk is full the old pack stays as it was")

        status, said = pack(program, bay, "-o", folder)
        tap.fact(status == 2 and is_one_sentence(said, folder), "a folder as target is told", said)
        missing = os.path.join(folder, "none", "review.pdf")
        status, said = pack(program, bay, "-o", missing)
        tap.fact(status == 2 and is_one_sentence(said, missing), "a missing folder is told", said)
        status, said = pack(program, bay, "-o", "/dev/full")
        tap.fact(status == 2 and is_one_sentence(said, "/dev/full"), "a full device is told", said)
        if os.geteuid() != 0:
            os.chmod(folder, 0o500)
            status, said = pack(program, bay, "-o", os.path.join(folder, "other.pdf"))
            os.chmod(folder, 0o700)
            tap.fact(status == 2 and is_one_sentence(said, "other.pdf") and
                     nothing_but("review.pdf"), "a read-only folder is told", said)
        else:
            tap.skip("a read-only folder is told", "root may write everywhere")

        for options, word in ((["--paper", "A5"], "A5"), (["--projection", "fifth"], "fifth"),
                              (["--pages", "summary,poem"], "poem"),
                              (["--against", missing], missing), (["--state", "tepid"], "tepid")):
            status, said = pack(program, bay, "-o", os.path.join(folder, "no.pdf"), *options)
            tap.fact(status == 2 and is_one_sentence(said, word) and
                     nothing_but("review.pdf"), f"{options[0]} {word} is told", said)
        status, said = pack(program, bay)
        tap.fact(status == 2 and is_one_sentence(said, "-o"), "a pack without a target is told",
                 said)
    tap.end()


main()
