"""Checks against something outside: how a test says what it is held against, and the table of all
such tests in DEVELOPERS.md.

A test is tagged with ``@published(...)`` and takes what it asserts from there, so that a figure of
the table is the very figure that was asserted: the fixture ``within`` is its tolerance, ``printed``
its values, or ``column`` names the parametrized argument that holds them. After a change

    python tests/outside.py

writes the table anew.
"""

from __future__ import annotations

import ast
import importlib
import inspect
import sys
import textwrap
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

import pytest

ROOT = Path(__file__).parents[1]
BEGIN = "<!-- outside checks: written by tests/outside.py -->\n"
END = "<!-- end of outside checks -->\n"

READ = "source read"  # by whoever wrote the check, in the original or a transcription
SECONDARY = "secondary"  # as another text or test suite reports the source
MEMORY = "memory"
PRACTICE = "common practice"  # known in the trade; no source
COMPUTED = "computed"  # from a definition or a closed form, apart from this library
LIBRARY = "other program"  # asked while the test runs
KINDS = (READ, SECONDARY, MEMORY, PRACTICE, COMPUTED, LIBRARY)

Test = TypeVar("Test", bound=Callable[..., Any])


@dataclass(frozen=True)
class Within:
    """How near a value must come: the two tolerances of ``pytest.approx``. None at all is exact."""

    rel: float | None = None
    abs: float | None = None

    def of(self, value: Any) -> Any:
        return pytest.approx(value, rel=self.rel, abs=self.abs)

    def __str__(self) -> str:
        parts = [] if self.rel is None else [f"{self.rel:.2g} relative"]
        if self.abs is not None:
            parts.append(f"{self.abs:.2g}")
        return " or ".join(parts) or "exact"


@dataclass(frozen=True)
class Check:
    """What one test is held against."""

    module: str
    claim: str
    source: str
    kind: str
    within: Within
    printed: Any = None
    column: str = ""
    against: str = ""

    @property
    def columns(self) -> list[str]:
        return self.column.split()

    def values(self, test: Callable[..., Any]) -> list[Any]:
        """The values that the test asserts, one after the other."""
        if not self.column:
            return [] if self.printed is None else list(flat(self.printed))
        found = []
        for mark in getattr(test, "pytestmark", []):
            names, rows = mark.args[:2]
            if isinstance(names, str):
                names = names.replace(",", " ").split()
            if set(self.columns) <= set(names):
                places = [list(names).index(name) for name in self.columns]
                found += [[row[at] for at in places] if len(names) > 1 else [row] for row in rows]
        return list(flat(found))


def published(
    *,
    module: str,
    source: str,
    kind: str,
    claim: str = "",
    printed: Any = None,
    column: str = "",
    against: str = "",
    rel: float | None = None,
    abs: float | None = None,
) -> Callable[[Test], Test]:
    """Tag a test with what it is held against.

    Parameters
    ----------
    module : str
        The room that is tested, such as "curves".
    source : str
        Who says so, with the section or page.
    kind : str
        One of ``KINDS``.
    claim : str, optional
        What is held; by default the name of the test.
    printed, column, against : optional
        Values that the test takes by the fixture ``printed``; or the parametrized arguments that
        hold them, such as "width height"; or the program that gives them while the test runs. With
        none of them the source gives a rule instead of a number.
    rel, abs : float, optional
        What the test takes by the fixture ``within``; without them it is exact.
    """
    assert kind in KINDS, kind

    def tag(test: Test) -> Test:
        words = claim or test.__name__.removeprefix("test_").replace("_", " ")
        check = Check(module, words, source, kind, Within(rel, abs), printed, column, against)
        test.outside = check  # type: ignore[attr-defined]
        return test

    return tag


@pytest.fixture
def within(request: pytest.FixtureRequest) -> Within:
    """The tolerance of this test's row in the table."""
    return request.function.outside.within  # type: ignore[no-any-return]


@pytest.fixture
def printed(request: pytest.FixtureRequest) -> Any:
    """The values of this test's row in the table."""
    return request.function.outside.printed


# ---- the table


def flat(values: Any) -> Iterator[Any]:
    """The single values in nested ones."""
    if isinstance(values, Mapping):
        values = list(values.values())
    if isinstance(values, Sequence) and not isinstance(values, str):
        for value in values:
            yield from flat(value)
    elif values is not None:
        yield values


def files() -> list[Path]:
    """All of tests/published, and other files that tag their tests."""
    every = sorted((ROOT / "tests").rglob("test_*.py"))
    return [
        path
        for path in every
        if path.name != "test_outside.py"
        if path.parent.name == "published" or "from tests.outside import" in path.read_text("utf-8")
    ]


def tests_of(path: Path) -> Iterator[Callable[..., Any]]:
    """The test functions of a file, in their order."""
    name = ".".join(path.relative_to(ROOT).with_suffix("").parts)
    module = importlib.import_module(name)
    things = list(vars(module).values())
    for thing in things:
        if inspect.isclass(thing) and thing.__name__.startswith("Test"):
            things += vars(thing).values()
    for thing in things:
        if inspect.isfunction(thing) and thing.__name__.startswith("test_"):
            yield thing


def rows() -> list[tuple[Check, Callable[..., Any]]]:
    """Every tagged test with its tag, by room."""
    found = [
        (test.outside, test)  # type: ignore[attr-defined]
        for path in files()
        for test in tests_of(path)
        if hasattr(test, "outside")
    ]
    return sorted(found, key=lambda row: row[0].module)


def value(check: Check, test: Callable[..., Any]) -> str:
    """The column of values: the first three and how many there are."""
    if check.against:
        return f"what {check.against} gives"
    values = check.values(test)
    if not values:
        return "a rule"
    shown = ", ".join(f"{one:.10g}" if isinstance(one, float) else str(one) for one in values[:3])
    return shown if len(values) <= 3 else f"{shown} … ({len(values)})"


def table() -> str:
    """The table in Markdown."""
    lines = ["| room | claim | source | value | tolerance | kind |", "| --- " * 6 + "|"]
    for check, test in rows():
        cells = [
            check.module,
            check.claim,
            check.source,
            value(check, test),
            str(check.within),
            check.kind,
        ]
        lines.append("| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |")
    return "\n".join(lines) + "\n"


def parts(text: str) -> tuple[str, str, str]:
    """What stands before, between and after the marks."""
    before, rest = text.split(BEGIN)
    inner, after = rest.split(END)
    return before, inner, after


def used(test: Callable[..., Any]) -> set[str]:
    """The names that the body of a test reads."""
    tree = ast.parse(textwrap.dedent(inspect.getsource(test)))
    (function,) = tree.body
    assert isinstance(function, ast.FunctionDef)
    return {
        node.id
        for statement in function.body
        for node in ast.walk(statement)
        if isinstance(node, ast.Name)
    }


def main() -> None:
    """Write the table."""
    path = ROOT / "DEVELOPERS.md"
    before, _, after = parts(path.read_text("utf-8"))
    path.write_text(before + BEGIN + table() + END + after, encoding="utf-8")


if __name__ == "__main__":
    sys.path[:0] = [str(ROOT), str(ROOT / "tests")]
    importlib.import_module("tests.outside").main()
