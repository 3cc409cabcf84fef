import pytest
import shapely

import plotlib as pl
from plotlib.text import boxed, lettering

BOX = shapely.box(10, 20, 70, 50)
NOTE = "Mind the step at low water; the gangway tips."


def test_the_largest_height_nearly_fills_the_box():
    note = boxed(NOTE, BOX)
    taller = lettering(NOTE, height=boxed_height(NOTE) * 1.03, wrap=60)
    assert note.bounds[3] <= 50 + 1e-9
    assert note.bounds[1] >= 20 - 1e-9
    assert taller.bounds[3] - taller.bounds[1] > 30


def boxed_height(text):
    """Cap height that was used, from the ratio of ink lengths."""
    return boxed(text, BOX).length / lettering(text, height=1).length


def test_levels():
    tops = [boxed(NOTE, BOX, height=3, level=level).bounds for level in ("top", "middle", "bottom")]
    assert tops[0][3] == pytest.approx(50)
    assert tops[2][1] == pytest.approx(20)
    assert tops[0][3] > tops[1][3] > tops[2][3]


def test_accents_stay_in_the_box():
    assert boxed("ÂÅ", BOX, height=10).bounds[3] == pytest.approx(50)


def test_what_is_too_deep_or_too_wide_is_refused():
    with pytest.raises(pl.OutsideEnvelope, match="lacks") as caught:
        boxed(NOTE, BOX, height=9)
    assert caught.value.excess > 0
    with pytest.raises(pl.InvalidValue, match="'gangway'"):
        boxed("gangway", shapely.box(0, 0, 5, 50), height=9)


def test_a_box_without_room_is_refused():
    with pytest.raises(pl.InvalidValue, match="no room"):
        boxed(NOTE, BOX, margin=15)
    with pytest.raises(pl.InvalidValue):
        boxed(NOTE, shapely.Polygon())


def test_a_sheet_is_a_box_and_options_pass_through():
    note = boxed(
        "Holm", pl.Sheet(60, 30, margin=4), height=5, face="script simplex", pen=pl.Pen("blue")
    )
    assert note.pens == (pl.Pen("blue"),)
    assert note.length == pytest.approx(lettering("Holm", height=5, face="script simplex").length)
    with pytest.raises(pl.InvalidValue):
        boxed("\U0001f600", BOX)


def test_empty_text():
    assert len(boxed("", BOX)) == 0
