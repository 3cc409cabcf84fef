"""The laws on many more examples than a run of all tests has time for.

    python tests/longer.py                              # every law on 10,000 examples; hours
    python tests/longer.py --seconds 8                  # the same, each law at most so long
    python tests/longer.py --only tests/fills test_chain
    python tests/longer.py --seconds 60 --stopped first.log

A law is a test by hypothesis: a function under ``@given``, or one that runs a state machine. Each
runs in a process forked from one that has loaded everything, on examples drawn by ``--seed``; a new
one where none is given. What a law says of the number of its examples, or of its own seed, does not
count. ``--seconds`` bounds the processor time of a law from its first example on, in which kernels
may be compiled; one that is at it for longer is ended, be it in a kernel, and what it had tried
counts. ``--stopped`` takes only the laws that an earlier run, which printed the file, ended so.

For each law a line is printed: how many examples ran (those that an assumption threw away do not
count), how it ended, its processor time, and the longest that one example took but for the first.
An example that fails is printed at once, before hypothesis makes it smaller; after that the smaller
one, and how to see it again. The last line counts laws, those that ran to their end, examples and
faults.
"""

from __future__ import annotations

import argparse
import functools
import mmap
import os
import random
import resource
import signal
import struct
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, TextIO

from mutation import forked
from reach import PLAIN, load

HOME = Path(__file__).parents[1]
COMPILING = 120  # seconds of the processor until the first example has run
SHRINKING = 120  # and for making a failing one smaller
WAITING = 20  # seconds on the clock for each of the processor, where others work too
MEMORY = 12 << 30  # bytes that a law may ask for
TOLD = 3_000  # characters of an example that fails
MACHINE = "run_state_machine_as_test"
ENDS = {
    "survives": "to the end",
    "killed": "FAULT",
    "killed by the clock": "stopped",
    "killed by a crash": "CRASH",
}


class Tally:
    """What a law has tried so far, in memory shared with its process, which may end at any time."""

    LAYOUT = struct.Struct("qqdd")

    def __init__(self) -> None:
        self.memory = mmap.mmap(-1, self.LAYOUT.size)

    @property
    def examples(self) -> int:
        return int(self.LAYOUT.unpack(self.memory)[0])

    @property
    def faults(self) -> int:
        return int(self.LAYOUT.unpack(self.memory)[1])

    @property
    def slowest(self) -> float:
        return float(self.LAYOUT.unpack(self.memory)[2])

    @property
    def last(self) -> float:
        """When the last example ended, in seconds of the law's process."""
        return float(self.LAYOUT.unpack(self.memory)[3])

    def add(self, now: float, *, fault: bool = False) -> None:
        examples = self.examples + 1
        slowest = max(self.slowest, now - self.last) if examples > 1 else 0.0
        self.LAYOUT.pack_into(self.memory, 0, examples, self.faults + fault, slowest, now)


class Law:
    """One test by hypothesis and how far it gets."""

    def __init__(self, item: Any, seconds: float, told: TextIO) -> None:
        self.item = item
        self.seconds = seconds
        self.told = told
        self.tally = Tally()

    def judge(self) -> int:
        """Run it in this process: 0 where nothing failed."""
        from _pytest.runner import runtestprotocol

        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        self.watch()
        signal.setitimer(signal.ITIMER_PROF, COMPILING)
        reports = runtestprotocol(self.item, log=False, nextitem=None)
        faults = [report.longreprtext for report in reports if report.failed]
        for fault in faults:
            print(fault, file=self.told, flush=True)
        return len(faults)

    def watch(self) -> None:
        """Have each example counted, also those of a state machine, which ends with a teardown."""
        handle = getattr(self.item.obj, "hypothesis", None)
        if handle is not None:
            handle.inner_test = self.counted(handle.inner_test)
            return
        for machine in machines(self.item):
            machine.teardown = self.counted(machine.teardown)

    def counted(self, run: Callable[..., None]) -> Callable[..., None]:
        from hypothesis.errors import StopTest, UnsatisfiedAssumption

        @functools.wraps(run)
        def example(*arguments: Any, **named: Any) -> None:
            try:
                run(*arguments, **named)
            except (StopTest, UnsatisfiedAssumption):
                raise  # not an example: hypothesis draws another
            except BaseException as error:
                self.failed(error, arguments, named)
                raise
            self.ran()

        return example

    def ran(self) -> None:
        """Count one more, with the time since the last, in which it was drawn too."""
        if not self.tally.examples:
            signal.setitimer(signal.ITIMER_PROF, self.seconds)
        self.tally.add(time.process_time())

    def failed(self, error: BaseException, arguments: tuple[Any, ...], named: Any) -> None:
        """Tell the first failing example as it is: making it smaller may not come to an end."""
        if not self.tally.faults:
            signal.setitimer(signal.ITIMER_PROF, SHRINKING)
            told = f"{self.item.nodeid} fails: {type(error).__name__}: {error}\n"
            told += f"on {arguments} {named}"
            print(told[:TOLD], file=self.told, flush=True)
        self.tally.add(time.process_time(), fault=True)


class Laws:
    """A pytest plugin that runs the laws only, one after the other, in processes of their own."""

    def __init__(self, given: argparse.Namespace, told: TextIO) -> None:
        self.given = given
        self.told = told
        self.tried: list[Law] = []
        self.ends: list[str] = []

    def pytest_runtestloop(self, session: Any) -> bool:
        chosen = [item for item in session.items if is_law(item) and self.wants(item.nodeid)]
        random.Random(self.given.seed).shuffle(chosen)
        print(f"{len(chosen)} laws, seed {self.given.seed}", file=self.told, flush=True)
        for item in chosen:
            law = Law(item, self.given.seconds, self.told)
            self.run(law)
            print(f"{len(self.tried)}/{len(chosen)} {self.line}", file=self.told, flush=True)
        return True

    def wants(self, name: str) -> bool:
        only = self.given.only
        if self.given.stopped is not None:
            earlier = self.given.stopped.read_text(encoding="utf-8").splitlines()
            stopped = {line.split()[-1] for line in earlier if " stopped " in line}
            if name not in stopped:
                return False
        return not only or any(part in name for part in only)

    def run(self, law: Law) -> None:
        before = processor()
        wait = WAITING * (COMPILING + self.given.seconds)
        end = ENDS[forked(law.judge, wait)]
        if law.tally.faults:
            end = ENDS["killed"]
        self.tried.append(law)
        self.ends.append(end)
        tally = law.tally
        seconds = processor() - before
        slowest = tally.slowest
        if end == "stopped":
            slowest = max(slowest, seconds - tally.last)  # the one that it was at
        self.line = f"{tally.examples:6} {end:10} {seconds:6.1f} s, "
        self.line += f"one {slowest:5.2f} s: {law.item.nodeid}"
        if end in ("FAULT", "CRASH"):
            self.line += f"\n    again: PLOTLIB_EXAMPLES={self.given.examples} python -m pytest"
            self.line += f" '{law.item.nodeid}' --hypothesis-seed={self.given.seed}"

    @property
    def faults(self) -> int:
        return sum(end in ("FAULT", "CRASH") for end in self.ends)

    def summary(self) -> str:
        whole = self.ends.count("to the end")
        examples = sum(law.tally.examples for law in self.tried)
        told = f"{len(self.tried)} laws, {whole} to the end, {examples:,} examples"
        return f"{told}, {self.faults} faults, {processor():.0f} s of the processor"


def is_law(item: Any) -> bool:
    return bool(getattr(item.obj, "is_hypothesis_test", False) or machines(item))


def machines(item: Any) -> list[Any]:
    """The state machines that a test runs."""
    from hypothesis.stateful import RuleBasedStateMachine as Kind

    code = getattr(item.obj, "__code__", None)
    if code is None or MACHINE not in code.co_names:
        return []
    named = [item.obj.__globals__.get(name) for name in code.co_names]
    return [thing for thing in named if isinstance(thing, type) and issubclass(thing, Kind)]


def processor() -> float:
    """Seconds of the processor that the laws took so far."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--examples", type=int, default=10_000, help="of each law, at least")
    parser.add_argument("--seconds", type=float, default=3_600.0, help="of the processor, a law")
    parser.add_argument("--seed", type=int, default=random.randrange(1 << 32))
    parser.add_argument("--only", nargs="+", default=[], help="parts of the names of laws")
    parser.add_argument("--stopped", type=Path, help="what an earlier run printed")
    given = parser.parse_args()
    os.environ["PLOTLIB_EXAMPLES"] = str(given.examples)  # tests/conftest.py
    if given.stopped is not None:
        given.stopped = given.stopped.resolve()
    os.chdir(HOME)
    sys.path.insert(0, str(HOME))
    load()
    import pytest

    told = os.fdopen(os.dup(1), "w")
    laws = Laws(given, told)
    with tempfile.TemporaryFile("w+") as output:
        os.dup2(output.fileno(), 1)
        seed = f"--hypothesis-seed={given.seed}"
        code = pytest.main([*PLAIN, "-s", seed, "tests"], plugins=[laws])
        if code not in (pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED):
            output.seek(0)
            told.write(output.read()[-4_000:])
    print(laws.summary(), file=told, flush=True)
    return int(laws.faults > 0 or not laws.tried)


if __name__ == "__main__":
    sys.exit(main())
