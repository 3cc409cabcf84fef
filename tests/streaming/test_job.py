"""What a program means to its sender, line by line, against values worked out by hand."""

from __future__ import annotations

import hashlib
from typing import Any

import numpy as np
import pytest
from streaming_bench import HEIGHTS, bench

import plotlib as pl
from plotlib import gcode
from plotlib.errors import InvalidValue
from plotlib.gcode.proving.proof import prove
from plotlib.gcode.writer import text_of
from plotlib.streaming.job import Job

PROGRAM = """(a program by hand)
G21 G90

M5
G0 X30 Y40
M3 S90
G1 X30 Y60 F600
G1 X60 Y60
G4 P0.5
M5
M0
G0 X10 Y60
M3 S90
G1 X13 Y64
M5
G0 X0 Y0
M2
"""
ALONG_Z = PROGRAM.replace("M5", "G0 Z4").replace("M3 S90", "G1 Z0 F600")


def job(text: str = PROGRAM, **changes: Any) -> Job:
    machine = bench(**changes)
    return Job(text, machine, gcode.read(text, machine), None)


def test_lines_that_say_nothing_are_not_sent() -> None:
    assert job().told == [2, *range(4, 18)]
    assert job("%\n" + PROGRAM + "%\n").told == [3, *range(5, 19)]
    assert list(job().stops) == [11]
    assert len(job().lines) == 17
    assert job().digest == hashlib.sha256(PROGRAM.encode()).hexdigest()


def test_seconds_are_those_of_the_slower_axis_or_of_the_feed() -> None:
    """Axes of 9,000 and 6,000 mm/min: 40 mm up take 0.4 s, 50 mm to the left a third, the way home
    from (13, 64) 0.64. Strokes at 600 mm/min, 10 mm/s.
    """
    busy = {5: 0.4, 7: 2, 8: 3, 9: 0.5, 12: 1 / 3, 14: 0.5, 16: 0.64}
    expected = [busy.get(line, 0) for line in range(18)]
    assert job().seconds == pytest.approx(expected)
    along_z = dict.fromkeys((6, 10, 13, 15), 0.4)  # 4 mm at 600 mm/min
    expected = [{**busy, **along_z}.get(line, 0) for line in range(18)]
    assert job(ALONG_Z, lift=HEIGHTS).seconds == pytest.approx(expected)


@pytest.mark.parametrize("arcs", [False, True])
def test_seconds_of_a_plot_are_those_of_its_motion(arcs: bool) -> None:
    """All together its duration and the pen-up at the beginning; each line that draws takes as
    long as its points in the model of the motion, and no less than at its feed.
    """
    machine = bench(arcs=arcs)
    shape = pl.shapes.rectangle((50, 20), 40, 30, radius=6) + pl.shapes.star((25, 62), 8)
    plot = pl.plan(shape, machine)
    assert len(plot.arcs) == (4 if arcs else 0)
    text = text_of(plot)
    path = prove(text, plot)
    made = Job(text, machine, path, plot)
    assert made.seconds.sum() == pytest.approx(plot.duration + machine.lift.settle_up)
    moves = path.moves
    at_feed = np.zeros(len(made.seconds))
    np.add.at(at_feed, moves.line[moves.down], 60 * moves.length[moves.down] / machine.feed)
    drawn = at_feed > 0
    assert (made.seconds[drawn] >= at_feed[drawn] * (1 - 1e-3)).all()
    inked = plot.times.moves.sum()
    assert made.seconds[drawn].sum() == pytest.approx(inked)
    rings = [made.ink_before(int(end)) for end in made.stroke_ends]
    for stroke, before in zip(plot.drawing, rings, strict=True):
        whole = float(np.hypot(*np.diff(stroke, axis=0).T).sum())
        assert 0 < before < whole


def test_a_queue_holds_what_moves() -> None:
    assert job().motions.tolist() == [5, 7, 8, 12, 14, 16]
    lifted = job(ALONG_Z, lift=HEIGHTS).motions.tolist()
    assert lifted == [4, 5, 6, 7, 8, 10, 12, 13, 14, 15, 16]


def test_the_pen_is_up_and_at_rest_after_these_lines() -> None:
    """Before the first M5 nobody knows, and after M2 it is out of the program's hands."""
    assert [line for line in range(18) if job().is_up[line]] == [4, 5, 10, 11, 12, 15, 16]
    settled = PROGRAM.replace("M5\n", "M5\nG4 P0.2\n")
    waits = job(settled).is_up
    assert not waits[4]  # the pen is still on its way up
    assert waits[5]


def test_strokes_are_told_by_line() -> None:
    made = job()
    assert made.stroke_ends.tolist() == [8, 14]
    assert [made.stroke_at(line) for line in (1, 8, 9, 14, 15)] == [0, 0, 1, 1, 2]
    assert [made.stroke_begin(stroke) for stroke in (0, 1)] == [6, 13]
    assert [made.ink_until(line) for line in (6, 7, 8, 13, 14, 17)] == [0, 20, 50, 50, 55, 55]
    assert [made.ink_before(line) for line in (6, 7, 8, 9, 14, 15)] == [0, 0, 20, 0, 0, 0]


def test_what_the_controller_hears_at_once_is_not_sent_as_text() -> None:
    made = job(PROGRAM.replace("(a program by hand)", "(a program\x02)"))
    with pytest.raises(InvalidValue, match=r"line 1 holds '\\x02'") as caught:
        made.check_immediate()
    assert caught.value.line == 1
    made = job(PROGRAM.replace("M2", "M2 (\x03)"))
    with pytest.raises(InvalidValue, match="line 17 holds"):
        made.check_immediate()
    job().check_immediate()
    job(PROGRAM.replace("by hand", "\x02"), signs=False).check_immediate()
