"""Mutation testing: would the tests notice if one thing in the code were wrong?

A mutant is the code with one small change (tests/mutants.py). It is killed if a test fails on it;
one that survives shows something that no test looks at, or a change that makes no difference.

    python tests/mutation.py plotlib/planning/placing --count 20
    python tests/mutation.py plotlib/gcode --tests tests/gcode tests/published --reach reach.json

It takes ``--count`` mutants, drawn by ``--seed`` from all that the given files and folders have,
and tries each in a copy of the project; the working tree is left alone. Without ``--tests`` it runs
what mirrors the given places. First it measures which test runs which line (tests/reach.py), and
keeps that in ``--reach``, where tests that are new or changed are measured again; of a file of code
that changed since, all tests that run any of it count. Then a mutant meets the tests that run it
only, the mirror of its file first, in a process forked from one that has loaded the large
libraries. Kernels that a mutant does not touch come from the store of compiled ones. A mutant of a
kernel, which takes half a minute to compile, meets at first the tests that are quick enough where
Python runs all kernels (tests/by_python.py); what survives is compiled and meets the others.

Tests above ``--longest`` seconds are left out, and what is beyond ``--budget`` seconds of tests for
one mutant; so a share killed is rather too low than too high. A mutant on which a test takes five
times its time, and some seconds, counts as killed; how many those are is printed.

It prints a line for each mutant that survives, and the share killed. To see one mutant again, or to
know whether a new test kills it, give its number as printed: ``--only 12``. Numbers change when the
code does.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import random
import resource
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable
from pathlib import Path

from by_python import ByPython
from mutants import HOME, Mutant, mutants
from reach import PLAIN, SLOWER, Clock, Reach, load, loaded, measured, saved, settled, test_files

SPARE = 8  # seconds of the processor that a test may take beside its own
COMPILING = 60  # and where a kernel is compiled anew
UNSEEN = 71  # the end of a process in which Python saw what compiled code does not look at
WAITING = 10  # seconds on the clock for each of the processor, where others work too
MEMORY = 12 << 30  # bytes that a mutant may ask for


def files(given: list[Path]) -> list[Path]:
    """The Python files of some files and folders, relative to the project."""
    found: list[Path] = []
    for path in given:
        whole = HOME / path
        found += sorted(whole.rglob("*.py")) if whole.is_dir() else [whole]
    return [path.relative_to(HOME) for path in found]


def mirrors(given: list[Path]) -> list[str]:
    """The tests that mirror the given files and folders."""
    found = []
    for path in given:
        inside = path.relative_to("plotlib")
        found.append(HOME / "tests" / inside.with_name(f"test_{inside.name}"))
        if not path.suffix:
            found[-1] = HOME / "tests" / inside
    return [str(path.relative_to(HOME)) for path in found if path.exists()]


class Copy:
    """A copy of the project in which mutants are tried, one after the other."""

    def __init__(self, folder: Path, longest: float, budget: float, left: list[str]) -> None:
        self.folder = folder
        self.left = left
        self.longest = longest
        self.budget = budget
        self.kernels = folder / "kernels"
        self.output = folder / "output"
        for name in ("plotlib", "tests"):
            shutil.copytree(HOME / name, folder / name, ignore=shutil.ignore_patterns("*.kernel"))
        shutil.copy(HOME / "pyproject.toml", folder)
        (self.kernels / "plotlib").mkdir(parents=True)
        for kernel in (HOME / "plotlib" / "__pycache__").glob("*.kernel"):
            shutil.copy(kernel, self.kernels / "plotlib")

    def reach(self, tests: list[str], kept: Path | None) -> Reach:
        """What the tests run, of new and changed ones measured now."""
        digests = {file: digest(HOME / file) for file in test_files(HOME, tests)}
        code = {str(file): digest(HOME / file) for file in files([Path("plotlib")])}
        found = Reach()
        known = code
        if kept is not None and kept.exists():
            known = json.loads(kept.with_suffix(".files").read_text(encoding="utf-8"))
            found = loaded(kept)
        changed = [file for file, was in digests.items() if known.get(file) != was]
        if changed:
            part = self.folder / "reach"
            if forked(lambda: self.measure(changed, part), None) != "survives":
                sys.exit(self.output.read_text(encoding="utf-8", errors="replace")[-4000:])
            found = found.without(set(changed))
            found.add(loaded(part))
            found.add_by_python(self.by_python(loaded(part)))
        if kept is not None:
            saved(found, kept)
            kept.with_suffix(".files").write_text(json.dumps(known | digests), encoding="utf-8")
        here = found.without({test.split("::")[0] for test in found.seconds} - set(digests))
        here.moved = [file for file, was in code.items() if known.get(file) != was]
        return here

    def by_python(self, found: Reach) -> Reach:
        """What tests of kernels run, measured with kernels run by Python."""
        calling = {test for tests in found.kernels.values() for test in tests}
        tests = sorted(calling & found.seconds.keys())
        part = self.folder / "by_python"
        if not tests or forked(lambda: self.measure(tests, part, True), None) != "survives":
            return Reach()
        return loaded(part)

    def measure(self, tests: list[str], part: Path, by_python: bool = False) -> int:
        settled(self.folder, self.kernels, self.output)
        saved(measured(self.folder, tests, self.left, by_python=by_python), part)
        return 0

    def tried(self, mutant: Mutant, reach: Reach) -> str:
        """What becomes of a mutant; what it compiles is thrown away."""
        tests = reach.tests(mutant)
        if not tests:
            return "survives: no test runs it"
        path = self.folder / mutant.path
        kept = path.read_bytes()
        own = self.folder / "own"
        # Links: a kernel of the mutant replaces the one in this folder only.
        shutil.copytree(self.kernels, own, copy_function=os.link)
        try:
            path.write_text(mutant.source, encoding="utf-8")
            if not path.stem.endswith("_kernel"):
                return self.met(tests, own, reach.seconds, SPARE)
            slow = reach.compiling()
            quick = [test for test in tests if test not in slow]
            end = self.met(quick, own, reach.seconds | reach.by_python, SPARE, by_python=True)
            if end.startswith("killed"):
                return f"{end}, by Python"
            others = [test for test in tests if end == "unseen" or test in slow]
            return self.met(others, own, reach.seconds, COMPILING)
        finally:
            path.write_bytes(kept)
            shutil.rmtree(own)

    def met(
        self,
        tests: list[str],
        own: Path,
        known: dict[str, float],
        spare: float,
        *,
        by_python: bool = False,
    ) -> str:
        """What becomes of the mutant in the copy when it meets tests, as many as the budget
        allows.
        """
        total = 0.0
        chosen = []
        for test in tests:
            total += known[test]
            if total <= self.budget and known[test] <= self.longest:
                chosen.append(test)
        if not chosen:
            return "survives"
        clock = Clock(known, spare)
        seconds = COMPILING + SLOWER * sum(known[test] for test in chosen)
        return forked(lambda: self.judge(chosen, own, clock, by_python), WAITING * seconds)

    def judge(self, tests: list[str], kernels: Path, clock: Clock, by_python: bool) -> int:
        """Run tests in this process; the result of pytest."""
        import pytest

        settled(self.folder, kernels, self.output)
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        if not by_python:
            return int(pytest.main([*PLAIN, "-x", *tests], plugins=[clock]))
        python = ByPython()
        result = int(pytest.main([*PLAIN, "-x", *tests], plugins=[clock, python]))
        return UNSEEN if result == 0 and python.unseen else result


def forked(work: Callable[[], int], seconds: float | None) -> str:
    """Do something in a process of its own; what became of it."""
    child = os.fork()
    if child == 0:
        os.setpgid(0, 0)
        code = 70
        try:
            code = work()
        except BaseException:
            traceback.print_exc()
        finally:
            os._exit(code)
    end = time.monotonic() + (seconds or float("inf"))
    while True:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            break
        if time.monotonic() > end:
            os.killpg(child, signal.SIGKILL)
            os.waitpid(child, 0)
            return "killed by the clock"
        time.sleep(0.02)
    if os.WIFSIGNALED(status):
        late = os.WTERMSIG(status) in (signal.SIGPROF, signal.SIGKILL)
        return "killed by the clock" if late else "killed by a crash"
    ends = {0: "survives", UNSEEN: "unseen"}
    return ends.get(os.WEXITSTATUS(status), "killed")


def digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()[:16]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("places", type=Path, nargs="+", help="files and folders of plotlib")
    parser.add_argument("--tests", nargs="+", help="what pytest runs")
    parser.add_argument("--count", type=int, default=40)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--only", type=int, nargs="+", help="numbers of mutants")
    parser.add_argument("--reach", type=Path, help="a file that keeps which tests run what")
    parser.add_argument("--deselect", nargs="+", default=[], help="tests that take too long")
    parser.add_argument("--longest", type=float, default=5.0, help="seconds of a test")
    parser.add_argument("--budget", type=float, default=60.0, help="seconds of tests for a mutant")
    given = parser.parse_args()
    every = mutants(files(given.places))
    drawn = random.Random(given.seed).sample(every, min(given.count, len(every)))
    if given.only:
        drawn = [every[number] for number in given.only]
    load()
    ends: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        trial = Copy(Path(folder), given.longest, given.budget, given.deselect)
        reach = trial.reach(given.tests or mirrors(given.places), given.reach)
        for test in reach.failing:
            print("fails without a mutant:", test, flush=True)
        for tried, mutant in enumerate(drawn, 1):
            end = trial.tried(mutant, reach)
            ends[end] += 1
            if end.startswith("survives") or given.only:
                print(f"{tried}/{len(drawn)}", mutant, f"({end})", flush=True)
    killed = sum(count for end, count in ends.items() if end.startswith("killed"))
    print(f"{killed} of {len(drawn)} killed ({100 * killed / len(drawn):.0f} %), of {len(every)}")
    print(", ".join(f"{end}: {count}" for end, count in sorted(ends.items())))


if __name__ == "__main__":
    main()
