"""A file for each pen, pens with an offset or a lift of their own: what changes is proven."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

import plotlib as pl
from plotlib import gcode
from plotlib.errors import InvalidValue, OutsideEnvelope, ProofError
from plotlib.gcode.proving.proof import prove
from plotlib.gcode.writer import text_of

MACHINE = pl.Machine(
    width=200,
    height=100,
    x=pl.Axis(9_000, 500),
    y=pl.Axis(9_000, 500),
    lift=pl.ServoLift("M5", "M3 S90", settle_up=0.1, settle_down=0.2),
    feed=2_000,
    zero=(10, 20),
    home=(5, 5),
)
BLUE = pl.Pen("Blue fine", width=0.3, colour="navy")
RED = pl.Pen("red", width=0.5, colour="#c03030")
SQUARE = pl.shapes.rectangle((30, 30), 40, 20)


def test_each_pen_has_a_file_with_the_same_zero(tmp_path: Path) -> None:
    drawing = SQUARE.inked(BLUE) + SQUARE.moved(2, 2).inked(RED)
    plot = pl.plan(drawing, MACHINE, pens=[RED, BLUE])
    paths = gcode.write_each(plot, tmp_path / "chart.gcode", title="chart")
    assert [path.name for path in paths] == ["chart-1-red.gcode", "chart-2-blue-fine.gcode"]
    for path, pen in zip(paths, (RED, BLUE), strict=True):
        found = gcode.read(path, MACHINE)
        assert "M0" not in path.read_text()
        assert found.drawing.bounds == plot.part(pens=pen).drawing.bounds
        assert sorted(path.iterdir() if path.is_dir() else []) == []
    assert sorted(tmp_path.iterdir()) == sorted(paths)


def test_names_of_pens_that_no_file_could_have(tmp_path: Path) -> None:
    pens = [pl.Pen("ä/ö: ü"), pl.Pen("墨"), pl.Pen("../up")]
    plot = pl.plan(pl.Drawing([SQUARE.inked(pen) for pen in pens]), MACHINE)
    paths = gcode.write_each(plot, tmp_path / "x")
    assert [path.name for path in paths] == ["x-1-a-o-u", "x-2", "x-3-up"]
    assert len(list(tmp_path.iterdir())) == 3


def test_nothing_is_written_when_one_proof_fails(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from plotlib.gcode import each

    def broken(part: pl.Plot, **options: str) -> str:
        text = text_of(part, **options)
        return text.replace("X60", "X60.001") if part.drawing.pens == (RED,) else text

    monkeypatch.setattr(each, "text_of", broken)
    plot = pl.plan(SQUARE.inked(BLUE) + SQUARE.inked(RED), MACHINE)
    with pytest.raises(ProofError):
        gcode.write_each(plot, tmp_path / "chart.gcode")
    assert list(tmp_path.iterdir()) == []


def test_a_pen_that_sits_off_is_driven_so_that_its_ink_lies_right(tmp_path: Path) -> None:
    off = replace(BLUE, offset=(1.5, -2.25))
    plot = pl.plan(SQUARE.inked(off), MACHINE)
    assert plot.drawing.bounds == (30, 30, 70, 50)
    # by hand: the carriage stands 1.5 to the left of the ink and 2.25 above it
    assert plot.units.min(axis=0).tolist() == [28_500, 32_250]
    gcode.write(plot, tmp_path / "off.gcode")
    read = gcode.read(tmp_path / "off.gcode", MACHINE)
    assert read.drawing.bounds == (28.5, 32.25, 68.5, 52.25)
    assert "30.000 to 70.000" in (tmp_path / "off.gcode").read_text().replace("\n", " ")


def test_the_proof_knows_the_offset() -> None:
    off = replace(BLUE, offset=(1.0, 0.0))
    right = pl.plan(SQUARE.inked(off), MACHINE)
    wrong = pl.plan(SQUARE.inked(BLUE), MACHINE)
    with pytest.raises(ProofError, match=r"stroke 0"):
        prove(text_of(wrong), right)


def test_the_carriage_of_a_pen_that_sits_off_stays_on_the_bed() -> None:
    off = replace(BLUE, offset=(-3.0, 0.0))
    fine = pl.shapes.rectangle((100, 10), 97, 20, pen=off)  # the carriage goes to 200, the edge
    assert pl.plan(fine, MACHINE).units[:, 0].max() == 200_000
    with pytest.raises(OutsideEnvelope, match=r"takes the carriage off the bed.*by 0\.001") as told:
        pl.plan(fine.moved(0.001, 0), MACHINE)
    assert told.value.side == "right"
    assert ".moved(-0.001, 0.000)" in told.value.mends


def test_ink_of_a_pen_that_sits_off_stays_on_the_paper_and_off_keep_outs() -> None:
    sheet = pl.Sheet(60, 40, at=(20, 20))
    off = replace(BLUE, offset=(30.0, 0.0))
    near = replace(BLUE, offset=(10.0, 0.0))
    corner = pl.shapes.rectangle((0.15, 1), 5, 5, pen=near)
    plot = pl.plan(corner, MACHINE, sheet=sheet)
    prove(text_of(plot), plot)
    with pytest.raises(OutsideEnvelope, match="leaves the paper"):
        pl.plan(corner.moved(-0.01, 0), MACHINE, sheet=sheet)
    clamp = pl.KeepOut(shapely.box(60, 20, 70, 40))
    clamped = replace(MACHINE, keep_outs=(clamp,))
    with pytest.raises(OutsideEnvelope, match="has ink in keep-out"):
        pl.plan(pl.shapes.rectangle((62, 22), 3, 3, pen=off), clamped)
    with pytest.raises(OutsideEnvelope, match="by the offset of its pen the carriage is there"):
        pl.plan(pl.shapes.rectangle((92, 22), 3, 3, pen=off), clamped)


@settings(deadline=None, max_examples=20)
@given(pl.testing.drawings(), st.integers(-3_000, 3_000), st.integers(-3_000, 3_000))
def test_whatever_is_drawn_the_carriage_is_the_ink_less_the_offset(
    drawing: pl.Drawing, x: int, y: int
) -> None:
    pen = pl.Pen("off", offset=(x / 1000, y / 1000))
    placed = drawing.fitted(shapely.box(20, 20, 120, 80)).inked(pen)
    plot = pl.plan(placed, MACHINE, effort="quick")
    path = prove(text_of(plot), plot)
    shift = np.array(pen.offset)
    assert np.array_equal(
        MACHINE.to_units(path.points + shift), plot.machine.to_units(plot.drawing.points)
    )


BRUSH = pl.Pen("brush", lift=pl.ServoLift("M5", "M3 S40", settle_up=0.3, settle_down=0.9))


def test_a_pen_is_lifted_in_its_own_words(tmp_path: Path) -> None:
    plot = pl.plan(SQUARE.inked(BRUSH), MACHINE)
    gcode.write(plot, tmp_path / "brush.gcode")
    text = (tmp_path / "brush.gcode").read_text()
    assert "M3 S40" in text
    assert "M3 S90" not in text
    assert "G4 P0.9" in text
    # by hand: one stroke, 0.3 + 0.9 s instead of 0.1 + 0.2 s, and the lift before everything
    plain = pl.plan(SQUARE.inked(BLUE), MACHINE)
    assert plot.times.lifting - plain.times.lifting == pytest.approx(0.9 + 0.2 * 1, abs=0.2 + 1e-9)
    with pytest.raises(ProofError):
        prove(text, plain)


def test_pens_with_different_lifts_are_written_apart(tmp_path: Path) -> None:
    plot = pl.plan(SQUARE.inked(BRUSH) + SQUARE.moved(1, 1).inked(BLUE), MACHINE)
    assert any("different lifts" in warning for warning in plot.warnings)
    with pytest.raises(InvalidValue, match="write_each"):
        gcode.write(plot, tmp_path / "both.gcode")
    brush, blue = gcode.write_each(plot, tmp_path / "both.gcode")
    assert "M3 S40" in brush.read_text()
    assert "M3 S90" in blue.read_text()
    apart = pl.plan(SQUARE.inked(BRUSH), MACHINE).times.lifting
    apart += pl.plan(SQUARE.inked(BLUE), MACHINE).times.lifting
    assert plot.times.lifting == pytest.approx(apart, abs=0.5)


def test_a_z_lift_of_a_pen_on_a_servo_machine(tmp_path: Path) -> None:
    high = replace(BLUE, lift=pl.ZLift(up=6, down=1, feed=500))
    machine = replace(MACHINE, prologue=("G0 Z6",))
    machine = replace(machine, lift=pl.ZLift(up=6, down=0, feed=500))
    plot = pl.plan(SQUARE.inked(high), machine)
    gcode.write(plot, tmp_path / "z.gcode")
    text = (tmp_path / "z.gcode").read_text()
    assert "Z1.000" in text
    assert "Z0.000" not in text


@pytest.mark.parametrize("offset", [1, (1,), "ab", (float("nan"), 0), (1e9, 0)])
def test_an_offset_is_a_pair_of_numbers(offset: object) -> None:
    with pytest.raises(InvalidValue):
        pl.Pen("x", offset=offset)  # type: ignore[arg-type]


def test_a_lift_is_a_lift() -> None:
    with pytest.raises(InvalidValue, match="pen lift"):
        pl.Pen("x", lift="M3")  # type: ignore[arg-type]
