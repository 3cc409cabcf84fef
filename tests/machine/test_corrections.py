from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from plotlib.errors import InvalidValue
from plotlib.machine import Axis, Corrections, Machine, ServoLift


def test_the_matrix_leads_from_counts_to_true_places() -> None:
    """Worked by hand: the y axis leans by 3 degrees to the right, and each of its mm is 0.9 mm."""
    leaning = Corrections(scale_x=1.1, scale_y=0.9, skew=3.0)
    (xx, xy), (yx, yy) = leaning.matrix
    assert (xx, yx) == (1.1, 0.0)
    assert xy == pytest.approx(0.9 * 0.052_335_956_2, abs=1e-10)
    assert yy == pytest.approx(0.9 * 0.998_629_534_8, abs=1e-10)
    assert math.hypot(xy, yy) == pytest.approx(0.9)


def test_nothing_said_is_nothing_corrected() -> None:
    assert Corrections().matrix == ((1.0, 0.0), (0.0, 1.0))
    assert Corrections().backlash == (0.0, 0.0)
    assert Corrections(backlash_x=0.2, backlash_y=1).backlash == (0.2, 1.0)


def test_values_are_kept_as_floats() -> None:
    taken = Corrections(scale_x=1, skew=2)
    assert [type(value) for value in taken.entry().values()] == [float] * 5


def bench(corrections: Any) -> Machine:
    return Machine(
        width=200,
        height=100,
        x=Axis(9_000),
        y=Axis(9_000),
        feed=600,
        lift=ServoLift("M5", "M3 S90"),
        corrections=corrections,
    )


def test_they_stand_in_the_profile(tmp_path: Path) -> None:
    machine = bench(Corrections(scale_x=1.01, skew=-0.5, backlash_y=0.1))
    machine.save(tmp_path / "bench.toml")
    assert Machine.load(tmp_path / "bench.toml") == machine


def test_another_kind_of_thing_is_refused() -> None:
    with pytest.raises(InvalidValue, match="corrections must be Corrections") as caught:
        bench(0.5)
    assert caught.value.name == "corrections"
