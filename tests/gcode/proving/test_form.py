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


@pytest.mark.parametrize("at_once", [1, 7, 1 << 22])
@pytest.mark.parametrize(
    ("lengths", "longest", "number"),
    [
        ([3, 9, 2], 9, 2),
        ([9, 3, 9], 9, 1),
        ([1, 2, 10], 10, 3),
        ([0, 0], 0, 1),
        ([0, 4, 4, 0, 1], 4, 2),
        ([30, 1, 1, 1, 1, 1, 1, 20, 1], 30, 1),
    ],
)
def test_the_longest_line_is_the_first_of_several(
    lengths: list[int], longest: int, number: int, at_once: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(form, "_CHARACTERS", at_once)
    text = "".join("x" * length + "\n" for length in lengths)
    assert form._longest(text) == (longest, number)


@pytest.mark.parametrize(
    ("text", "reason", "line"),
    [
        ("G21\nG90 \u00d8\n", "'\u00d8' is not plain ASCII", 2),
        ("G21\nG90\r\n", "a carriage return", 2),
        ("G21\tG90\n", "a tab", 1),
        ("G21\nG90\n\0\n", "a zero byte", 3),
        ("G21\nG90", "does not end with a line feed", 2),
        ("G21\n" + "x" * 81 + "\n", "81 characters, 1 more than", 2),
    ],
)
def test_what_no_line_may_be_is_named(text: str, reason: str, line: int) -> None:
    axis = pl.Axis(9_000)
    lift = pl.ServoLift("M5", "M3 S90")
    machine = pl.Machine(
        width=200, height=100, x=axis, y=axis, feed=600, lift=lift, longest_line=80
    )
    with pytest.raises(ProofError, match=reason) as caught:
        form.check_form(text, machine)
    assert caught.value.line == line
    form.check_form("G21\n" + "x" * 80 + "\n", machine)
