import numpy as np
import pytest
import shapely

import plotlib as pl
from plotlib.errors import InvalidValue
from plotlib.text import along, lettering, measure

LINE = [(0.0, 0.0), (200.0, 0.0)]


def circle(radius=40.0, turns=1.0):
    turn = np.linspace(0, turns * 2 * np.pi, 721)
    ring = np.column_stack([radius * np.cos(turn), radius * np.sin(turn)])
    if turns == 1.0:
        ring[-1] = ring[0]
    return ring


@pytest.mark.parametrize(("side", "outside"), [("left", False), ("right", True)])
def test_letters_stand_on_the_side_asked_for(side, outside):
    distance = np.hypot(*along("HHH", circle(), height=5, side=side).points.T)
    if outside:
        assert distance.min() > 39.5
        assert distance.max() == pytest.approx(45, abs=0.5)
    else:
        assert distance.max() <= 40.2
        assert distance.min() == pytest.approx(35, abs=0.5)


@pytest.mark.parametrize("text", ["IIII", "I I  I", "I"])
def test_letters_stand_at_their_own_way_along_the_curve(text):
    radius = 40.0
    height = 4.0
    bent = along(text, circle(radius), side="right", height=height, tracking=0.3)
    ways = [
        measure(text[:k] + "I", height=height, tracking=0.3).advance
        - measure("I", height=height).advance / 2
        for k in _places(text)
    ]
    feet = np.array([stroke[np.argmin(np.hypot(*stroke.T))] for stroke in bent])
    np.testing.assert_allclose(
        np.degrees(np.arctan2(*feet.T[::-1])), np.degrees(-np.array(ways) / radius), atol=0.02
    )
    np.testing.assert_allclose(np.hypot(*feet.T), radius, atol=0.01)
    np.testing.assert_allclose(bent.lengths, height, rtol=1e-12)


def _places(text):
    return [k for k, character in enumerate(text) if character == "I"]


def test_a_drawing_of_one_stroke_is_a_curve_and_of_two_is_not():
    assert along("ab", pl.Drawing([LINE])) == along("ab", LINE)
    with pytest.raises(pl.InvalidValue, match="one stroke"):
        along("ab", pl.Drawing([LINE, LINE]))
    for bad in ([(0, 0)], [(1, 1), (1, 1)], [(0, 0), (np.nan, 1)]):
        with pytest.raises(pl.InvalidValue):
            along("ab", bad)


def test_offset_moves_away_from_the_curve():
    assert along("H", LINE, offset=3).bounds[1] == pytest.approx(3)
    assert along("H", LINE, offset=3, side="right").bounds[3] == pytest.approx(-3)


def test_alignment_and_start():
    advance = measure("Holm").advance
    left = along("Holm", LINE).bounds[0]
    assert along("Holm", LINE, align="right").bounds[0] == pytest.approx(left + 200 - advance)
    assert along("Holm", LINE, align="centre").bounds[0] == pytest.approx(
        left + (200 - advance) / 2
    )
    assert along("Holm", LINE, start=12.5).bounds[0] == pytest.approx(left + 12.5)


def test_justified_fills_the_curve_and_closed_ones_evenly():
    spread = along("HHHH", LINE, align="justified")
    right = 200 - (measure("H").advance - lettering("H").bounds[2])
    assert spread.bounds[0] == pytest.approx(along("HHHH", LINE).bounds[0])
    assert spread.bounds[2] == pytest.approx(right)
    ring = along("IIII", circle(), align="justified", side="right")
    angles = np.sort(np.degrees(np.arctan2(*ring.points[::2].T[::-1])) % 360)
    np.testing.assert_allclose(np.diff(angles), 90, atol=0.5)


def test_text_longer_than_the_curve_is_refused_with_the_excess():
    with pytest.raises(pl.OutsideEnvelope) as caught:
        along("Skerrow", [(0, 0), (10, 0)])
    assert caught.value.excess == pytest.approx(measure("Skerrow").advance - 10)
    with pytest.raises(pl.OutsideEnvelope):
        along("Skerrow", LINE, start=190)


def test_a_closed_curve_lets_text_run_over_its_seam():
    assert len(along("Skerrow", circle(), start=-10)) == len(lettering("Skerrow"))


def test_one_line_only_and_empty_text():
    with pytest.raises(pl.InvalidValue, match="one line"):
        along("a\nb", LINE)
    assert len(along("", LINE)) == 0
    assert len(along("  ", LINE, align="justified")) == 0


@pytest.mark.parametrize(
    "curve", [shapely.LineString([(0, 0), (60, 0)]), None, "abc", [[1, 2], [3]], 5, object()]
)
def test_a_curve_is_a_drawing_or_points(curve):
    with pytest.raises(InvalidValue, match="curve must"):
        along("Skerrow", curve)
