import numpy as np
import pytest

from plotlib import Drawing, checks, curves, fields, fills, shapes
from plotlib.errors import InvalidValue
from plotlib.pen import DEFAULT_PEN, Pen, as_pen

RING = shapes.rectangle((0, 0), 30, 20)


@pytest.mark.parametrize("value", ["yes", None, 1, 0.0, [], np.zeros(2)])
def test_a_flag_is_true_or_false(value):
    assert checks.flag("closed", True) is True
    assert checks.flag("closed", np.False_) is False
    with pytest.raises(InvalidValue, match="closed must be True or False"):
        checks.flag("closed", value)


def test_lengths_end_where_they_cannot_be_meant():
    assert checks.finite("radius", 1e8, unit="mm") == 1e8
    assert checks.finite("n1", 1e9) == 1e9
    with pytest.raises(InvalidValue, match="radius must be within 1e\\+08 mm, got 1e\\+300"):
        checks.positive("radius", 1e300, unit="mm")
    with pytest.raises(InvalidValue, match="points: point 1 is beyond 1e\\+09 mm"):
        checks.points("points", [(0, 0), (1e300, 1)])


def test_no_points_are_points():
    assert checks.points("points", [], least=0).shape == (0, 2)
    with pytest.raises(InvalidValue, match="points needs at least 1 points, got 0"):
        checks.points("points", [])


@pytest.mark.parametrize("value", [[1, [2, 3]], ["a"], {}, None, [10**400], 2j])
def test_arrays_hold_numbers(value):
    with pytest.raises(InvalidValue, match="levels must"):
        checks.numbers("levels", value, ndim=1)


def test_what_is_too_much_is_refused_with_the_number_and_a_remedy():
    checks.affordable("step", 0.1, 100, 100, "steps", "take more")
    with pytest.raises(InvalidValue, match="step = 1e-06 makes 3,000,000 steps, more than 1,000"):
        checks.affordable("step", 1e-6, 3e6, 1e3, "steps", "take 0.003 or more")
    with pytest.raises(InvalidValue, match=r"makes 1e\+30 steps.*; take 0.003 or more"):
        checks.affordable("step", 1e-30, 1e30, 1e3, "steps", "take 0.003 or more")


def test_no_pen_is_the_default_pen():
    blue = Pen("blue")
    assert as_pen(None) is DEFAULT_PEN
    assert as_pen(blue) is blue


@pytest.mark.parametrize(
    "make",
    [
        lambda pen: shapes.circle((0, 0), 5, pen=pen),
        lambda pen: curves.hilbert((0, 0), 5, depth=2, pen=pen),
        lambda pen: fills.hatch(RING, spacing=2, pen=pen),
        lambda pen: fields.voronoi([(1, 1), (5, 5)], RING, pen=pen),
        lambda pen: Drawing([], pen=pen),
        lambda pen: RING.inked(pen),
    ],
)
@pytest.mark.parametrize("pen", ["blue", 0.4, object(), []])
def test_a_pen_is_a_pen(make, pen):
    with pytest.raises(InvalidValue, match="pen must be a Pen"):
        make(pen)


def test_a_seed_is_said_or_a_generator():
    assert checks.generator(3).integers(1_000) == np.random.default_rng(3).integers(1_000)
    own = np.random.default_rng()
    assert checks.generator(own) is own
    with pytest.raises(InvalidValue, match=r"got None.* pass numpy\.random\.default_rng\(\)"):
        checks.generator(None)


@pytest.mark.parametrize(
    ("least", "told"),
    [
        (0.00341, "0.0035"),
        (9.91, "10"),
        (20.1, "21"),
        (201, "210"),
        (2541, "2600"),
        (2.41e7, "2.5e+07"),
    ],
)
def test_two_digits_of_advice_are_written_out(least: float, told: str) -> None:
    assert checks.two_digits(least) == told
    assert float(told) >= least
