# SPDX-License-Identifier: GPL-3.0-or-later
"""TAP for the scripts of this folder: facts are stated one by one, the plan comes last."""
import sys


class Tap:
    def __init__(self):
        self.count = 0
        self.failed = 0

    def fact(self, holds, sentence, *details):
        """Report whether a fact holds; the details are printed when it does not."""
        self.count += 1
        if not holds:
            self.failed += 1
            for detail in details:
                for line in str(detail).splitlines():
                    print("# " + line)
        print(f"{'ok' if holds else 'not ok'} {self.count} - {sentence}", flush=True)
        return holds

    def skip(self, sentence, reason):
        self.count += 1
        print(f"ok {self.count} - {sentence} # SKIP {reason}", flush=True)

    def end(self):
        print(f"1..{self.count}")
        sys.exit(1 if self.failed or not self.count else 0)
