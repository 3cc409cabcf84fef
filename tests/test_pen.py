from __future__ import annotations

import dataclasses

import pytest

from plotlib.colours import NAMED
from plotlib.errors import InvalidValue
from plotlib.pen import Pen
from tests.outside import LIBRARY, published


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
        ({"opacity": 0}, "pen opacity must be from 0.01 to 1"),
        ({"opacity": 1.5}, "pen opacity must be from 0.01 to 1"),
        ({"opacity": "half"}, "pen opacity"),
        ({"colour": "bleu"}, "colour names of CSS such as .navy."),
        ({"colour": "#12345"}, "#rrggbb"),
        ({"colour": None}, "#rrggbb"),
    ],
)
def test_wrong_values_are_refused(values: dict[str, object], words: str) -> None:
    with pytest.raises(InvalidValue, match=words):
        Pen(**{"name": "blue", **values})  # type: ignore[arg-type]


@published(
    module="pen",
    source="CSS Color Module Level 4, 6.1",
    kind=LIBRARY,
    against="tinycss2",
    claim="the 148 named colours",
)
def test_colours_may_be_named() -> None:
    """CSS Color Module Level 4, 6.1, as tinycss2 has them too: an outside table."""
    color4 = pytest.importorskip("tinycss2.color4")
    assert len(NAMED) == 148
    for name, colour in NAMED.items():
        parts = color4.parse_color(name).coordinates
        assert colour == "#{:02x}{:02x}{:02x}".format(*(round(part * 255) for part in parts))
    assert Pen("ink", colour="navy") == Pen("ink", colour="#000080")
    assert Pen("ink", colour=" RebeccaPurple").colour == "#663399"


def test_is_frozen() -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        Pen("blue").width = 3  # type: ignore[misc]
