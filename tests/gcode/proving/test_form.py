from __future__ import annotations

import pytest

import plotlib as pl
from plotlib.errors import ProofError
from plotlib.gcode.proving import form
from plotlib.gcode.proving.proof import prove
from plotlib.gcode.writer import text_of


@pytest.mark.parametrize("at_once", [1, 3, 1000])
def test_the_first_line_of_other_words_is_named_wherever_it_stands(
    at_once: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(form, "_AT_ONCE", at_once)
    lift = pl.ServoLift("M5", "M3 S90")
    axis = pl.Axis(9_000)
    machine = pl.Machine(width=200, height=100, x=axis, y=axis, feed=600, lift=lift)
    plot = pl.plan(pl.shapes.rectangle((20, 20), 30, 20), machine)
    lines = text_of(plot).split("\n")
    first = next(number for number, line in enumerate(lines) if line.startswith("G0"))
    last = max(number for number, line in enumerate(lines) if line.startswith("G0"))
    for number in range(first, last + 1):
        bad = lines.copy()
        bad[number] = "X1.00 Y01.000"
        with pytest.raises(ProofError, match="exactly 3 decimals") as caught:
            prove("\n".join(bad), plot)
        assert caught.value.line == number + 1
