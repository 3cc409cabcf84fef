"""Which tests run which lines, so that a mutant is tried on those only.

Measured once by coverage.py, which keeps for each line the tests that ran it. What is compiled
leaves no lines behind: tests of kernels are measured once more with kernels run by Python
(tests/by_python.py). Of those for which that takes too long it is noted only which files the
kernels that they called are made of.
"""

from __future__ import annotations

import contextlib
import json
import os
import signal
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from by_python import ByPython
from mutants import Mutant, functions

SLOWER = 5  # times as long as without a mutant
REWRITING = "ignore::pytest.PytestAssertRewriteWarning"  # of what was loaded before
PLAIN = ("-q", "-p", "no:cacheprovider", "-p", "no:xdist", "-p", "no:cov", "-W", REWRITING)
LOADED = (
    "hypothesis",
    "numba",
    "numpy.testing",
    "scipy.ndimage",
    "scipy.optimize",
    "scipy.sparse",
    "scipy.spatial",
    "shapely",
)


@dataclass
class Reach:
    """What was measured.

    ``seconds`` has the processor time of each test that passes, ``lines`` for each file the lines
    with the tests that run them, ``kernels`` for each file the tests that call what was compiled
    from it. ``by_python`` has the seconds of tests of kernels where Python runs these. The lines of
    files that have ``moved`` since count for each other.
    """

    seconds: dict[str, float] = field(default_factory=dict)
    failing: list[str] = field(default_factory=list)
    lines: dict[str, dict[str, list[str]]] = field(default_factory=dict)
    kernels: dict[str, list[str]] = field(default_factory=dict)
    moved: list[str] = field(default_factory=list)
    by_python: dict[str, float] = field(default_factory=dict)

    def tests(self, mutant: Mutant) -> list[str]:
        """The tests that run what a mutant changes, the mirror of its file first, then the
        quickest first.
        """
        file = mutant.path.as_posix()
        found = self.on(file, mutant.first, mutant.last)
        if file in self.moved:
            found = {test for tests in self.lines.get(file, {}).values() for test in tests}
        elif not found:
            around = [(a, b) for a, b in functions(mutant.path) if a <= mutant.first <= b]
            found = self.on(file, *around[-1])
        found |= set(self.kernels.get(file, ()))
        mirror = f"test_{mutant.path.stem.removesuffix('_kernel')}.py"
        known = [test for test in found if test in self.seconds]
        return sorted(known, key=lambda test: (mirror not in test, self.seconds[test], test))

    def compiling(self) -> set[str]:
        """The tests of kernels that take too long where Python runs these."""
        return {test for tests in self.kernels.values() for test in tests}

    def on(self, file: str, first: int, last: int) -> set[str]:
        """The tests that run a line between two lines."""
        known = self.lines.get(file, {})
        return {test for line in range(first, last + 1) for test in known.get(str(line), ())}

    def without(self, files: set[str]) -> Reach:
        """The same, but for the tests of some files."""

        def stays(test: str) -> bool:
            return test.split("::")[0] not in files

        return Reach(
            {test: value for test, value in self.seconds.items() if stays(test)},
            [test for test in self.failing if stays(test)],
            {
                file: {line: [*filter(stays, tests)] for line, tests in known.items()}
                for file, known in self.lines.items()
            },
            {file: [*filter(stays, tests)] for file, tests in self.kernels.items()},
            by_python={test: value for test, value in self.by_python.items() if stays(test)},
        )

    def add(self, other: Reach) -> None:
        """Take in what was measured of other tests."""
        self.seconds |= other.seconds
        self.failing += other.failing
        self.by_python |= other.by_python
        for file, known in other.lines.items():
            mine = self.lines.setdefault(file, {})
            for line, tests in known.items():
                mine[line] = sorted({*mine.get(line, ()), *tests})
        for file, tests in other.kernels.items():
            self.kernels[file] = sorted({*self.kernels.get(file, ()), *tests})

    def add_by_python(self, other: Reach) -> None:
        """Take in what was measured with kernels run by Python: the lines of those that passed."""
        self.add(Reach(lines=other.lines, by_python=other.seconds))
        for file, tests in self.kernels.items():
            self.kernels[file] = [test for test in tests if test not in self.by_python]


class Watch:
    """A pytest plugin that measures; which ``kernel`` a test calls too, if it is given."""

    def __init__(self, coverage: Any, kernel: type | None) -> None:
        self.coverage = coverage
        self.found = Reach()
        self.test = ""
        self.began = 0.0
        self.made_of: dict[str, list[Path]] = {}
        self.home = Path.cwd()  # tests may go elsewhere
        if kernel is not None:
            self.note_calls(kernel)

    def note_calls(self, kernel: type) -> None:
        run = kernel.__call__  # type: ignore[operator]

        def noted(own: Any, *arguments: Any) -> Any:
            self.called(own.function.__code__.co_filename)
            return run(own, *arguments)

        kernel.__call__ = noted  # type: ignore[operator]

    def called(self, file: str) -> None:
        from plotlib.kernel_store import _sources

        if file not in self.made_of:
            self.made_of[file] = [*_sources(Path(file), set())]
        for path in self.made_of[file]:
            tests = self.found.kernels.setdefault(path.relative_to(self.home).as_posix(), [])
            if self.test and self.test not in tests:
                tests.append(self.test)

    def pytest_runtest_logstart(self, nodeid: str) -> None:
        self.test = nodeid
        self.coverage.switch_context(nodeid)
        self.began = time.process_time()
        self.found.seconds[nodeid] = 0.0

    def pytest_runtest_logreport(self, report: Any) -> None:
        if report.failed:
            self.found.failing.append(report.nodeid)

    def pytest_runtest_logfinish(self, nodeid: str) -> None:
        self.found.seconds[nodeid] = round(time.process_time() - self.began, 3)
        self.test = ""
        self.coverage.switch_context("")


class Clock:
    """A pytest plugin that ends the process (SIGPROF) where a test takes much longer than it
    should, be it in a kernel.
    """

    def __init__(self, seconds: dict[str, float], spare: float) -> None:
        self.seconds = seconds
        self.spare = spare

    def pytest_runtest_logstart(self, nodeid: str) -> None:
        usual = self.seconds.get(nodeid, 0.0)
        signal.setitimer(signal.ITIMER_PROF, self.spare + SLOWER * usual)


def measured(folder: Path, tests: list[str], left: list[str], *, by_python: bool = False) -> Reach:
    """Run tests in a copy of the project, but for those left out, in this process, and see what
    they run.
    """
    import coverage
    import pytest

    watched = coverage.Coverage(data_file=None, source=["plotlib"], config_file=False)
    watched.start()
    from plotlib.compiled import Kernel

    watch = Watch(watched, None if by_python else Kernel)
    others = [ByPython(limited=True)] if by_python else []
    without = [f"--deselect={test}" for test in left]
    pytest.main([*PLAIN, *without, *tests], plugins=[watch, *others])
    watched.stop()
    found = watch.found
    for test in found.failing:
        found.seconds.pop(test, None)
    data = watched.get_data()
    for file in data.measured_files():
        lines = data.contexts_by_lineno(file)
        name = Path(file).relative_to(folder).as_posix()
        found.lines[name] = {str(line): [*filter(None, who)] for line, who in lines.items()}
    return found


def settled(folder: Path, kernels: Path, output: Path) -> None:
    """Make this process one that runs tests in a copy of the project."""
    os.chdir(folder)
    os.environ["PYTHONPATH"] = str(folder)
    os.environ["NUMBA_CACHE_DIR"] = str(kernels)
    sys.path[:] = [str(folder), *(place for place in sys.path if "tests" not in Path(place).parts)]
    sys.dont_write_bytecode = True
    handle = os.open(output, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    os.dup2(handle, 1)
    os.dup2(handle, 2)


def load() -> None:
    """Import what takes long and does not change, before a process is forked for each mutant."""
    for name in LOADED:
        with contextlib.suppress(ImportError):
            __import__(name)


def saved(reach: Reach, path: Path) -> None:
    path.write_text(json.dumps(vars(reach)), encoding="utf-8")


def loaded(path: Path) -> Reach:
    return Reach(**json.loads(path.read_text(encoding="utf-8")))


def test_files(home: Path, tests: list[str]) -> Iterator[str]:
    """The files of tests in some files and folders, relative to the project."""
    for test in tests:
        place = home / test
        found = sorted(place.rglob("test_*.py")) if place.is_dir() else [place]
        yield from (path.relative_to(home).as_posix() for path in found)
