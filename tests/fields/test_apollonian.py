import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plotlib import fields
from plotlib.errors import InvalidValue


def gaps(circles):
    """Distances between the rims of every two circles."""
    apart = np.linalg.norm(circles[:, None, :2] - circles[None, :, :2], axis=2)
    apart = apart - circles[:, None, 2] - circles[None, :, 2]
    return apart[np.triu_indices(len(circles), 1)]


def three(radii):
    """Three circles of such radii that touch."""
    a, b, c = radii
    x = ((a + b) ** 2 + (a + c) ** 2 - (b + c) ** 2) / (2 * (a + b))
    return np.array([(0, 0, a), (a + b, 0, b), (x, np.sqrt((a + c) ** 2 - x * x), c)])


@settings(max_examples=25)
@given(
    first=st.floats(1.02, 30),
    over=st.floats(0, 20),
    angle=st.floats(-360, 360),
    share=st.floats(0.02, 0.2),
)
def test_circles_of_a_gasket_touch_and_nothing_overlaps(first, over, angle, share):
    second = first / (first - 1) + over
    circles = fields.apollonian(
        (7, -4), 30, smallest=30 * share, curvatures=(first, second), angle=angle
    )
    assert (circles[:, 2] >= 30 * share * (1 - 1e-9)).all()
    assert (np.diff(circles[:, 2]) <= 0).all()
    inside = 30 - np.hypot(*(circles[:, :2] - (7, -4)).T) - circles[:, 2]
    assert inside.min() > -1e-7
    if len(circles) > 1:
        assert gaps(circles).min() > -1e-7
        # every family of four has six contacts: each circle after the first three brings three
        contacts = (np.abs(gaps(circles)) < 1e-7).sum() + (np.abs(inside) < 1e-7).sum()
        assert contacts <= 3 * len(circles)


def test_the_first_circle_lies_where_the_angle_says():
    circles = fields.apollonian((10, 20), 8, smallest=2, curvatures=(1.5, 3), angle=90)
    np.testing.assert_allclose(circles[0], (10, 20 + 8 / 3, 8 / 1.5), atol=1e-9)
    np.testing.assert_allclose(circles[1], (10, 20 - 16 / 3, 8 / 3), atol=1e-9)
    turned = fields.apollonian((0, 0), 8, smallest=0.5, curvatures=(2.5, 3.5))
    second = turned[np.abs(turned[:, 2] - 8 / 3.5) < 1e-9]
    assert (second[:, 1] > 0).any()


@settings(max_examples=25)
@given(st.tuples(*[st.floats(0.5, 20)] * 3))
def test_a_gap_is_filled_by_circles_that_touch_its_sides(radii):
    sides = three(radii)
    first = 1 / (
        sum(1 / r for r in radii) + 2 * np.sqrt(sum(1 / radii[i] / radii[i - 1] for i in (0, 1, 2)))
    )
    found = fields.apollonian_gap(sides, smallest=first / 6)
    assert found[0, 2] == pytest.approx(first)
    np.testing.assert_allclose(
        np.hypot(*(sides[:, :2] - found[0, :2]).T), sides[:, 2] + first, rtol=1e-7
    )
    every = np.concatenate([sides, found])
    assert gaps(every).min() > -1e-6
    contacts = (np.abs(gaps(every)) < 1e-6).sum()
    assert contacts == 3 + 3 * len(found)  # each new one touches three that were there


def test_a_gap_too_narrow_stays_empty():
    assert fields.apollonian_gap(three((1, 1, 1)), smallest=0.2).shape == (0, 3)
    assert fields.apollonian((0, 0), 1, smallest=0.9).shape == (0, 3)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"smallest": 1e-4}, r"more than 1,000,000; take 0\.00056 mm or more"),
        ({"curvatures": (2, 1.9)}, "no room side by side"),
        ({"curvatures": (2,)}, "two numbers, got 1"),
        ({"curvatures": (2, 1e5)}, "curvatures must be from 1 to 1000"),
        ({"radius": 0}, "radius must be greater than 0"),
    ],
)
def test_refusals(change, says):
    with pytest.raises(InvalidValue, match=says):
        fields.apollonian(**{"centre": (0, 0), "radius": 40, "smallest": 1} | change)


def test_the_advice_can_be_obeyed():
    with pytest.raises(InvalidValue, match=r"take 0\.00056 mm or more"):
        fields.apollonian((0, 0), 40, smallest=1e-5)
    assert 500_000 < len(fields.apollonian((0, 0), 40, smallest=0.00056)) <= 1_000_000


def test_circles_that_do_not_touch_are_refused():
    sides = three((3, 2, 1))
    with pytest.raises(InvalidValue, match=r"circles 0 and 1 must touch; they are 0\.5 mm apart"):
        fields.apollonian_gap(sides - np.array([(0, 0, 0.5), (0, 0, 0), (0, 0, 0)]), smallest=0.1)
    with pytest.raises(InvalidValue, match=r"circles must be \(3, 3\)"):
        fields.apollonian_gap(sides[:2], smallest=0.1)
