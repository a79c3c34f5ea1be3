"""Shared by the reference comparers: runs the program over many inputs, keeps the seed and the score.

Every comparer is called as `python compare_NAME.py PATH/TO/undershell`. It makes random inputs in the same run,
works each out with a library that is not ours, compares, prints one line `N passed, M failed`, and leaves with 1
where anything failed.
"""

import json
import os
import random
import subprocess
import sys
import time

from mpmath import mpf


def seeded(name):
    """A random source. The seed comes from UNDERSHELL_SEED, else from the clock; it is printed so that a failure
    can be had again."""
    seed = int(os.environ.get("UNDERSHELL_SEED", time.time_ns() % 1_000_000_007))
    print(f"{name}: seed {seed}")
    return random.Random(seed)


def program():
    """Path of the program to compare, from the command line."""
    if len(sys.argv) != 2:
        print(f"usage: python {sys.argv[0]} PATH/TO/undershell", file=sys.stderr)
        raise SystemExit(2)
    return sys.argv[1]


def run_lines(path, name, inputs):
    """Answers of `undershell calc NAME --lines`, one per input. An answer is a dict; a refusal has the key
    `refused`."""
    text = "".join(json.dumps(one, ensure_ascii=False) + "\n" for one in inputs)
    done = subprocess.run([path, "calc", name, "--lines"], input=text, capture_output=True, text=True, encoding="utf-8")
    if done.returncode != 0:
        raise SystemExit(f"{path} calc {name} --lines ended with {done.returncode}: {done.stderr.strip()}")
    answers = [json.loads(line) for line in done.stdout.split("\n") if line.strip()]
    if len(answers) != len(inputs):
        raise SystemExit(f"{len(inputs)} inputs, {len(answers)} answers")
    return answers


def values_of(answer):
    """The values of an answer by name."""
    return {value["name"]: value for value in answer["values"]}


def contains_tightly(ours, theirs):
    """Whether our bounds contain an interval by mpmath and are no wider than a billionth beyond it. What mpmath's own
    160 bits leave in doubt, far below one step of ours, is not counted."""
    low, high = theirs.a, theirs.b
    size = max(abs(low), abs(high))
    dust, reach = size * mpf(2) ** -120, size * mpf("1e-9") + mpf("1e-12")
    contains = ours["lo"] <= low + dust and high - dust <= ours["hi"]
    tight = ours["lo"] >= low - reach and ours["hi"] <= high + reach
    return contains and tight and ours["lo"] <= ours["value"] <= ours["hi"]


class Score:
    """Counts what passed and prints what failed, the first 20 in full."""

    def __init__(self, name):
        self.name = name
        self.passed = 0
        self.failed = 0

    def check(self, holds, what, given=None):
        """Counts one comparison; `what` says it, `given` is the input it came from."""
        if holds:
            self.passed += 1
            return
        self.failed += 1
        if self.failed <= 20:
            print(f"  {what}")
            if given is not None:
                print(f"    {json.dumps(given, ensure_ascii=False)}")

    def end(self):
        """Prints the score and leaves: 0 where all passed, 1 where anything failed or nothing was compared."""
        print(f"{self.passed} passed, {self.failed} failed")
        raise SystemExit(0 if self.passed and not self.failed else 1)
