"""What is said of open strokes where an area is wanted."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from plotlib import Drawing, fills, regions
from plotlib.arrays.areas import as_area
from plotlib.errors import InvalidValue
from plotlib.shapes import dots, line, polyline, rectangle

OPEN = polyline([(0, 0), (10, 0), (10, 5), (0, 4)])


@pytest.mark.parametrize(
    "call",
    [
        lambda: fills.hatch(OPEN, spacing=1),
        lambda: fills.solid(OPEN),
        lambda: line((0, 0), (9, 9)).clipped(OPEN),
        lambda: line((0, 0), (9, 9)).erased(OPEN),
        lambda: line((0, 0), (9, 9)).fitted(OPEN),
        lambda: regions.inset(OPEN, 1),
        lambda: regions.stack([line((0, 0), (9, 9)), (line((0, 0), (1, 1)), OPEN)]),
    ],
)
def test_a_forgotten_closed_is_named_with_its_gap_and_its_remedy(call) -> None:
    with pytest.raises(
        InvalidValue,
        match=r"must be an area, but it has no closed stroke: stroke 0 is open, it begins at "
        r"\(0, 0\) and ends at \(0, 4\), 4 mm away; repeat its first point at its end, or draw "
        r"it with closed=True",
    ) as error:
        call()
    assert (error.value.stroke, error.value.gap, error.value.count) == (0, 4.0, 1)


def test_one_closed_stroke_is_enough_but_for_a_keep_out() -> None:
    mixed = line((0, 0), (50, 0)) + rectangle((0, 0), 10, 10) + OPEN
    assert as_area(mixed).area == 100
    with pytest.raises(
        InvalidValue,
        match=r"keep-out .* every stroke of it must be closed: stroke 2 is open.*\(and 1 more\)",
    ) as error:
        as_area(mixed, "keep-out", every=True)
    assert error.value.facts["stroke"] == 2


@pytest.mark.parametrize(
    ("drawing", "words"),
    [
        (dots([(3, 4), (5, 6)]), r"stroke 0 is a dot at \(3, 4\) \(and 1 more\)"),
        (line((0, 0), (3, 4)), r"stroke 0 is open.*, 5 mm away;"),
        (Drawing([[(1, 1), (1, 1)]]), "stroke 0 goes to one other point and back"),
    ],
)
def test_strokes_that_surround_nothing_are_described(drawing: Drawing, words: str) -> None:
    with pytest.raises(InvalidValue, match=words):
        as_area(drawing)


def test_nothing_is_a_legal_area_and_so_is_a_ring_without_width() -> None:
    assert as_area(Drawing()).is_empty
    assert as_area(Drawing(), every=True).is_empty
    assert as_area(Drawing([[(0, 0), (5, 0), (0, 0)]])).is_empty
    assert len(fills.hatch(Drawing(), spacing=1)) == 0


def test_an_almost_closed_ring_gives_the_area_of_the_closed_one() -> None:
    ring = np.array([[0, 0], [10, 0], [10, 5], [0, 5], [0, 9e-7]])
    assert as_area(Drawing([ring])).equals(shapely.box(0, 0, 10, 5))
    with pytest.raises(InvalidValue, match=r"1\.1e-06 mm away"):
        as_area(Drawing([[*ring[:-1], (0, 1.1e-6)]]))
