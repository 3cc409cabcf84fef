from __future__ import annotations

import pytest

from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.tidying import without_specks

STROKES = Drawing([[(0, 0), (9, 0)], [(0, 5), (0.5, 5)], [(3, 3)], [(1, 1), (1.4, 1), (1, 1)]])


def test_strokes_that_are_too_short_go() -> None:
    assert without_specks(STROKES, 0.6).lengths.tolist() == pytest.approx([9, 0.8])
    assert len(without_specks(STROKES, 0.5)) == 3
    assert without_specks(STROKES, 0.6, keep_dots=True)[1].tolist() == [[3, 3]]


@pytest.mark.parametrize("length", [0, -1, float("nan"), "a"])
def test_a_length_is_positive(length: object) -> None:
    with pytest.raises(InvalidValue):
        without_specks(STROKES, length)  # type: ignore[arg-type]
