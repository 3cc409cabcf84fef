from __future__ import annotations

import pytest

from plotlib.errors import InvalidValue, UnknownName
from plotlib.sheet import Sheet


def test_iso_sheets_lie_portrait_or_landscape() -> None:
    assert (Sheet.iso("A5").width, Sheet.iso("A5").height) == (148, 210)
    assert (Sheet.iso("A5", landscape=True).width, Sheet.iso("A5", landscape=True).height) == (
        210,
        148,
    )


@pytest.mark.parametrize(("small", "known"), [("a5", "A5"), ("b10", "B10"), ("c0", "C0")])
def test_small_letters_name_the_same_sheet(small: str, known: str) -> None:
    assert Sheet.iso(small) == Sheet.iso(known)


def test_paper_and_area_are_in_sheet_mm_wherever_the_sheet_lies() -> None:
    sheet = Sheet(120, 80, margin=8, at=(5, 10))
    assert sheet.paper.bounds == (0, 0, 120, 80)
    assert sheet.area.bounds == (8, 8, 112, 72)


@pytest.mark.parametrize("name", ["A11", "D4", "", "A", None, 5, "A05"])
def test_unknown_names_are_told_with_the_known_ones(name: str) -> None:
    with pytest.raises(UnknownName, match=r"'A0', .*'C10'"):
        Sheet.iso(name)


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ((0, 80), "sheet width"),
        ((120, -1), "sheet height"),
        ((120, 80, -1), "sheet margin"),
        ((120, 80, 40), "leaves nothing"),
        ((120, 80, 5, (1, 2, 3)), "sheet at"),
        ((120, 80, 5, (1, float("inf"))), "sheet at"),
    ],
)
def test_wrong_values_are_refused(values: tuple[object, ...], words: str) -> None:
    with pytest.raises(InvalidValue, match=words):
        Sheet(*values)  # type: ignore[arg-type]
