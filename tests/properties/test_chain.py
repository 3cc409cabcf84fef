"""The whole chain in any order: made, combined, transformed, clipped and filled drawings are
planned, written, read back and sent to the simulated controller, and the ink stays what it was.

The states are one drawing in bed mm, the plot of it and the file of that. What must hold is looked
at by other code than what is tested: ``plotlib.testing`` measures ink from line to line, and the
controller follows bytes without any code of the sender.
"""

from __future__ import annotations

import os
import tempfile
from pathlib import Path
from typing import Any

import hypothesis.strategies as st
import pytest
import shapely
from hypothesis import HealthCheck, settings
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    rule,
    run_state_machine_as_test,
)
from streaming_bench import HEIGHTS, RAMP, SERVO, bench

import plotlib as pl
from plotlib import fills, gcode, streaming
from plotlib.errors import OutsideEnvelope
from plotlib.gcode.writer import text_of
from plotlib.streaming.simulated import Controller, VirtualPort
from plotlib.testing import assert_inside, assert_on_bed, assert_same_ink
from plotlib.testing import drawings as random_drawings
from plotlib.testing import regions as random_regions

EXAMPLES = max(60, int(os.environ.get("PLOTLIB_EXAMPLES", "0")))
INK = pl.Pen("ink")
FINE = pl.Pen("fine", 0.2, "#202020")
# All in one: beds are 100 x 80 mm, so that one strategy serves all machines.
BED = (0.0, 0.0, 100.0, 80.0)
MACHINES = [
    bench(signs=False, lift=SERVO),
    bench(signs=False, lift=HEIGHTS, decimals=2),
    bench(signs=False, lift=RAMP, zero=(100, 0), home=(0, 0), x=pl.Axis(9_000, 500, reversed=True)),
    bench(signs=False, lift=SERVO, arcs=True),
    bench(signs=False, lift=SERVO, keep_outs=(pl.KeepOut(shapely.box(70, 0, 100, 20)),)),
]
# Points are rounded once, to half a unit in x and y; arcs leave their chords by what a machine with
# arcs allows; reading adds the rounding of floats.
SLACK = 1e-6
ARC = 0.02


class Recording(VirtualPort):
    """A port that keeps what was written to it."""

    def __init__(self, controller: Controller) -> None:
        super().__init__(controller, baud=115_200)
        self.sent = bytearray()

    def write(self, data: bytes, seconds: float) -> None:
        self.sent += data
        super().write(data, seconds)


def same_ink(one: pl.Drawing, other: pl.Drawing, tolerance: float) -> None:
    """Whatever the pens are called: files name them by numbers."""
    assert_same_ink(one.inked(INK), other.inked(INK), tolerance)


class Chain(RuleBasedStateMachine):
    """One drawing on its way to paper; the last plot and file stay while the drawing goes on."""

    drawing: pl.Drawing
    planned: pl.Drawing  # what the plot was made of
    plot: pl.Plot
    file: Path

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.file = Path(self.folder.name) / "plot.gcode"

    def teardown(self) -> None:
        self.folder.cleanup()

    @initialize(machine=st.sampled_from(MACHINES), drawing=random_drawings(BED, most=5))
    def begin(self, machine: pl.Machine, drawing: pl.Drawing) -> None:
        self.machine = machine
        self.drawing = drawing
        self.plan(join=0.0)

    # ---- make, combine, transform, clip, fill

    @rule(other=random_drawings(BED, most=3))
    def combine(self, other: pl.Drawing) -> None:
        both = self.drawing + other
        assert len(both) == len(self.drawing) + len(other)
        self.drawing = both

    @rule(angle=st.floats(-360, 360), at=st.tuples(st.floats(0, 100), st.floats(0, 80)))
    def turn(self, angle: float, at: tuple[float, float]) -> None:
        turned = self.drawing.turned(angle, about=at)
        same_ink(turned.turned(-angle, about=at), self.drawing, SLACK)
        self.drawing = turned

    @rule(dx=st.floats(-30, 30), dy=st.floats(-30, 30))
    def move(self, dx: float, dy: float) -> None:
        self.drawing = self.drawing.moved(dx, dy)

    @rule(angle=st.sampled_from([0.0, 90.0, 33.0]))
    def mirror(self, angle: float) -> None:
        mirrored = self.drawing.mirrored(angle, about=(50, 40))
        same_ink(mirrored.mirrored(angle, about=(50, 40)), self.drawing, SLACK)
        self.drawing = mirrored

    @rule(region=random_regions(BED))
    def cut(self, region: Any) -> None:
        """What a region keeps and what it erases are the whole, and each is on its side."""
        kept = self.drawing.clipped(region)
        erased = self.drawing.erased(region)
        assert_inside(kept, region)
        same_ink(kept + erased, self.drawing, SLACK)
        self.drawing = kept + erased

    @rule(region=random_regions(BED), angle=st.floats(1, 179))
    def fill(self, region: Any, angle: float) -> None:
        rows = fills.hatch(region, spacing=3, angle=angle, inset=False, pen=FINE)
        assert_inside(rows, region)
        self.drawing = self.drawing + rows

    # ---- plan, write, read, send

    @rule(join=st.sampled_from([None, 0.0, 0.5]))
    def plan(self, join: float | None) -> None:
        """A drawing that leaves the bed is refused, and clipped to the bed it is not."""
        try:
            assert_on_bed(self.drawing, self.machine)
        except AssertionError:
            with pytest.raises(OutsideEnvelope):
                pl.plan(self.drawing, self.machine)
            self.drawing = self.on_the_bed()
        self.planned = self.drawing
        self.plot = pl.plan(self.planned, self.machine, join=join, effort="quick")
        # a gap that joining closes is as long as that at the most
        same_ink(self.plot.drawing, self.planned, (join or 0.0) / 2 + self.rounding)
        gcode.write(self.plot, self.file)

    def on_the_bed(self) -> pl.Drawing:
        """As a maker of a drawing would: into the bed, round what is kept out."""
        area = self.machine.bed
        for kept_out in self.machine.keep_outs:
            area = area.difference(kept_out.area.buffer(1, join_style="mitre"))
        return self.drawing.clipped(area)

    @property
    def rounding(self) -> float:
        """How far the ink of a file may lie from that of the drawing, mm."""
        unit = self.machine.unit
        return ARC + unit if self.machine.arcs else unit

    @rule()
    def read_back(self) -> None:
        path = gcode.read(self.file, self.machine)
        same_ink(path.drawing, self.plot.drawing, self.reading)
        assert path.lifts == self.plot.lifts
        text = self.file.read_text("ascii")
        assert text == text_of(self.plot), "the same plot gives the same bytes"

    @property
    def reading(self) -> float:
        """How far what a reader finds may lie from the plot: arcs are chords there, mm."""
        return ARC if self.machine.arcs else SLACK

    @rule(keep_full=st.booleans())
    def send(self, keep_full: bool) -> None:
        controller = Controller(self.machine)
        controller.greet()
        port = Recording(controller)
        outcome = streaming.send(
            self.file,
            self.machine,
            port=port,
            log=None,
            ask=lambda what: None,
            keep_full=keep_full,
        )
        assert outcome.is_finished
        assert controller.counts.dropped == 0
        assert not controller.is_down
        written = gcode.read(self.file, self.machine).drawing
        received = gcode.read(port.sent.decode("ascii"), self.machine).drawing
        same_ink(received, written, SLACK)
        same_ink(pl.Drawing(controller.strokes), self.plot.drawing, self.reading)

    # ---- what always holds, whatever has become of the drawing since

    @invariant()
    def plot_and_file_stay_on_the_bed(self) -> None:
        if hasattr(self, "plot"):
            assert_on_bed(self.plot, self.machine)
            assert_on_bed(self.file, self.machine)


def test_ink_goes_down_the_whole_chain_and_stays_what_it_was() -> None:
    busy = settings(
        max_examples=EXAMPLES,
        stateful_step_count=12,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )
    run_state_machine_as_test(Chain, settings=busy)


def test_the_chain_gets_to_the_end() -> None:
    """The rules in the order of the day, so that each is known to run."""
    for machine in MACHINES:
        chain = Chain()
        chain.begin(machine, pl.Drawing([[(5, 5), (60, 70)], [(20, 70)]]))
        chain.combine(pl.Drawing([[(0, 30), (120, 30)]]))
        chain.turn(15.0, (50.0, 40.0))
        chain.mirror(33.0)
        chain.cut(shapely.box(10, 10, 50, 50))
        chain.fill(shapely.Point(40, 50).buffer(12), 30.0)
        chain.move(-3.0, 2.0)
        chain.plan(join=0.0)
        chain.read_back()
        chain.send(keep_full=True)
        chain.plot_and_file_stay_on_the_bed()
        chain.teardown()
