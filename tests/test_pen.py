from __future__ import annotations

import dataclasses

import pytest

from plotlib.errors import InvalidValue
from plotlib.pen import Pen


def test_a_pen_is_normalised() -> None:
    assert Pen("blue", 1, "#ABC", 900) == Pen("blue", 1.0, "#aabbcc", 900.0)


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"name": ""}, "needs a name"),
        ({"name": "  "}, "needs a name"),
        ({"name": "a\nb"}, "needs a name"),
        ({"name": 7}, "needs a name"),
        ({"width": 0}, "pen width must be greater than 0"),
        ({"width": float("nan")}, "pen width must be a finite number"),
        ({"width": "0.4"}, "pen width"),
        ({"feed": -1}, "pen feed must be greater than 0"),
        ({"colour": "blue"}, "#rrggbb"),
        ({"colour": "#12345"}, "#rrggbb"),
        ({"colour": None}, "#rrggbb"),
    ],
)
def test_wrong_values_are_refused(values: dict[str, object], words: str) -> None:
    with pytest.raises(InvalidValue, match=words):
        Pen(**{"name": "blue", **values})  # type: ignore[arg-type]


def test_is_frozen() -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        Pen("blue").width = 3  # type: ignore[misc]
