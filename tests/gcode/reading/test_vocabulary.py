from __future__ import annotations

import pytest

from plotlib.gcode.reading.vocabulary import _named


@pytest.mark.parametrize(
    ("letter", "number", "name"),
    [
        ("G", 0.0, "G0"),
        ("G", 59.1, "G59.1"),
        ("G", 38.2, "G38.2"),
        ("M", 30.0, "M30"),
        ("M", 0.0001, "M0"),
        ("M", 0.000_11, "M0.00011"),
        ("M", 2.999_95, "M3"),
        ("M", 3.1, "M3.1"),
        ("G", 1.000_009, "G1"),
        ("G", 1.000_02, "G1.00002"),
        ("G", 92.299_999, "G92.3"),
        ("M", -0.0, "M0"),
        ("G", -1.0, "G-1"),
        ("S", 90.0, "S90"),
    ],
)
def test_words_are_named_as_whole_or_tenths_within_a_ten_thousandth(
    letter: str, number: float, name: str
) -> None:
    """NISTIR 6556, section 3.3.2.1."""
    assert _named(letter, number) == name
