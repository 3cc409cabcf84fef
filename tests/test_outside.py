"""The table of outside checks is true: every test of tests/published has a row, asserts the figures
that the row shows, and DEVELOPERS.md holds the rows as they are now.
"""

from __future__ import annotations

import inspect
from pathlib import Path

import pytest

from tests import outside

TESTS = [
    pytest.param(test, id=f"{path.stem}::{test.__name__}")
    for path in outside.files()
    for test in outside.tests_of(path)
    if hasattr(test, "outside") or path.parent.name == "published"
]


@pytest.mark.parametrize("test", TESTS)
def test_a_published_test_asserts_what_its_row_says(test: object) -> None:
    assert callable(test)
    check = getattr(test, "outside", None)
    assert check is not None, "tag it with @published: room, source, kind"
    taken = set(inspect.signature(test).parameters)
    read = outside.used(test)
    assert check.kind in outside.KINDS
    given = [bool(check.column), bool(check.against), check.printed is not None]
    assert sum(given) <= 1, "give one of printed, column and against"
    wanted = set(check.columns)
    if check.printed is not None:
        wanted.add("printed")
    if str(check.within) != "exact":
        wanted.add("within")
    assert wanted <= taken, f"the test does not take {sorted(wanted - taken)}"
    assert wanted <= read, f"the test does not use {sorted(wanted - read)}"
    assert not check.column or check.values(test), "no such parametrized argument"


def test_developers_md_holds_the_table() -> None:
    text = (outside.ROOT / "DEVELOPERS.md").read_text("utf-8")
    kept = outside.parts(text)[1]
    assert kept == outside.table(), "run: python tests/outside.py"


def test_the_table_says_what_a_test_asserts() -> None:
    @pytest.mark.parametrize(("radius", "length"), [(1, 6.25), (2, 12.5)])
    def test_a_circle(radius: int, length: float) -> None: ...

    tagged = outside.published(
        module="shapes", source="by hand", kind=outside.COMPUTED, column="length", rel=1e-3
    )(test_a_circle)
    check = tagged.outside  # type: ignore[attr-defined]
    assert (check.claim, str(check.within)) == ("a circle", "0.001 relative")
    assert outside.value(check, tagged) == "6.25, 12.5"
    assert check.within.of(6.25) == 6.255
    assert check.within.of(6.25) != 6.257


def test_every_file_of_published_is_looked_at() -> None:
    folder = Path(__file__).parent / "published"
    assert set(folder.glob("test_*.py")) <= set(outside.files())
