"""Wrong values of every argument of every fill: refused by name, at once, or of use."""

from __future__ import annotations

import inspect

import numpy as np
import pytest
from shapely import box

from plotlib import fills
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue, PlotlibError, UnknownName
from plotlib.pen import Pen

AREA = box(0, 0, 10, 8)
MOTIF = Drawing([[(0.2, 0.1), (0.9, 1.2)]])
CALLS = {
    "hatch": {"spacing": 1},
    "cross_hatch": {"spacing": 1},
    "graded_hatch": {"spacing": lambda x, y: 1 + x, "finest": 1},
    "dashed_hatch": {"spacing": 1, "dash": 1, "gap": 1},
    "dotted_hatch": {"spacing": 1},
    "circles": {"smallest": 1},
    "contour": {"spacing": 1},
    "spiral": {"spacing": 1},
    "concentric": {"spacing": 1},
    "radial": {"count": 12},
    "wave": {"spacing": 1, "amplitude": 0.5, "wavelength": 3},
    "zigzag": {"spacing": 1, "amplitude": 0.5, "wavelength": 3},
    "scribble": {"spacing": 1},
    "space_filling": {"spacing": 1},
    "dots": {"spacing": 1},
    "one_stroke": {"spacing": 1},
    "tiles": {"size": 2},
    "pattern": {"motif": MOTIF, "width": 2, "height": 2},
    "solid": {},
    "measured_solid": {},
    "coverage": {"drawing": MOTIF},
}
WRONG = [
    "blue",
    b"x",
    None,
    True,
    -1,
    0,
    1e-9,
    1e300,
    10**400,
    float("nan"),
    float("inf"),
    3 + 2j,
    [],
    [1],
    (1, 2),
    [[1, 2], [3]],
    {},
    object(),
    np.array([1.0, 2.0]),
    lambda x: x,
    AREA,
    MOTIF,
    Pen,
]
ARGUMENTS = [
    (name, argument)
    for name in CALLS
    for argument in inspect.signature(getattr(fills, name)).parameters
    if argument != "progress"  # any callable will do, and what it raises is its own
]


def call(name: str, argument: str, value: object) -> object:
    return getattr(fills, name)(**{"region": AREA, **CALLS[name], argument: value})


def refusal(name: str, argument: str, value: object) -> str | None:
    """What is said of a value, if it is refused."""
    try:
        call(name, argument, value)
    except PlotlibError as error:
        return str(error)
    return None


def test_every_fill_is_walked() -> None:
    assert set(CALLS) == set(fills.__all__) - {"Coverage", "OneStrokeWarning", "SolidFill"}


@pytest.mark.parametrize(("name", "argument"), ARGUMENTS)
def test_a_refusal_names_the_argument(name: str, argument: str) -> None:
    refused = [told for told in (refusal(name, argument, value) for value in WRONG) if told]
    assert [told for told in refused if argument not in told] == []
    assert len(refused) >= len(WRONG) // 2


@pytest.mark.parametrize("name", [name for name in CALLS if name != "coverage"])
@pytest.mark.parametrize("pen", ["blue", 0, False, {}, 0.4, Pen])
def test_a_pen_is_a_pen(name: str, pen: object) -> None:
    with pytest.raises(
        InvalidValue, match=r'pen must be a Pen, such as Pen\("blue", width=0.4\), got'
    ):
        call(name, "pen", pen)


def test_progress_is_a_callable() -> None:
    with pytest.raises(InvalidValue, match="progress"):
        fills.circles(AREA, smallest=1, progress="loud")  # type: ignore[arg-type]


def test_messages_say_what_to_do() -> None:
    with pytest.raises(InvalidValue, match=r"angles must be several .*\(45, -45\), got 45"):
        fills.cross_hatch(AREA, spacing=1, angles=45)  # type: ignore[arg-type]
    with pytest.raises(InvalidValue, match=r"drawing must be a Drawing .*, got Polygon"):
        fills.coverage(AREA, MOTIF)  # type: ignore[arg-type]
    with pytest.raises(InvalidValue, match=r"two arrays x and y .* numpy's functions; TypeError"):
        fills.graded_hatch(AREA, lambda x, y: float(x) + 1, finest=1)
    with pytest.raises(InvalidValue, match="joined must be True or False, got 'no'"):
        fills.spiral(AREA, spacing=1, joined="no")  # type: ignore[arg-type]
    with pytest.raises(InvalidValue, match="20,000 deep; use a wider spacing"):
        fills.contour(AREA, spacing=1e-9)
    with pytest.raises(UnknownName, match="'omit', 'centre'"):
        fills.solid(AREA, thin="draw")


def test_refusals_carry_their_facts() -> None:
    with pytest.raises(InvalidValue) as told:
        fills.wave(AREA, spacing=1e-6, amplitude=1, wavelength=1)
    assert told.value.facts["count"] > 5_000_000
    assert told.value.facts["name"].startswith("spacing")


@pytest.mark.parametrize("name", CALLS)
def test_nothing_is_nothing(name: str) -> None:
    from shapely import Polygon

    made = call(name, "region", Polygon())
    if name == "coverage":
        assert made == fills.Coverage(0.0, 0.0, 0.0, pytest.approx(MOTIF.length * 0.4, abs=0.2))
    else:
        drawing = made.drawing if isinstance(made, fills.SolidFill) else made
        assert drawing == Drawing()
