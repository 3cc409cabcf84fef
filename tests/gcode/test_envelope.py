from __future__ import annotations

import pytest
from oracles_gcode import bench

from plotlib.gcode.envelope import excess, trespass
from plotlib.gcode.reader import read
from plotlib.machine import KeepOut

MACHINE = bench()


def test_excess_names_the_worst_line_and_side() -> None:
    head = "G21 G90\nM5\n"
    path = read(head + "G0 X0 Y1\nX95\nG0 X0 Y0\nM3 S90\nG1 X0 Y-0.5 F100\nY82\nM5\nM2\n", MACHINE)
    worst = excess(path, MACHINE)
    assert worst is not None
    assert (worst.line, worst.side, worst.place, worst.count) == (4, "right", (105.0, 79.0), 3)
    assert worst.excess == pytest.approx(5)
    edge = read(head + "G0 X90 Y80\nX-10 Y0\nM2\n", MACHINE)
    assert excess(edge, MACHINE) is None, "exactly on the edge is inside"
    inch = read("G20 G90\nM5\nG0 X3.543307087\nM2\n", MACHINE)
    assert excess(inch, MACHINE) is not None, "10 nm over the edge"


def test_arcs_are_judged_by_their_bulge() -> None:
    program = "G21 G90\nM5\nG0 X-10 Y20\nM3 S90\nG3 X-10 Y30 R5 F100\nM5\nM2\n"
    assert excess(read(program, MACHINE), MACHINE) is None, "to the right of the edge"
    over = excess(read(program.replace("G3", "G2"), MACHINE), MACHINE)
    assert over is not None
    assert (over.side, over.excess) == ("left", pytest.approx(5))


def test_trespass_knows_ink_from_travel() -> None:
    area = bench(keep_outs=[MACHINE.bed.buffer(-30)]).keep_outs[0].area
    text = "G21 G90\nM5\nG0 X80 Y5\nM3 S90\nM5\nG0 X0 Y70\nM2\n"
    path = read(text, MACHINE)
    assert trespass(path, bench(keep_outs=[KeepOut(area)])) is None
    barred = trespass(path, bench(keep_outs=[KeepOut(area, passable=False)]))
    assert barred is not None
    assert (barred.line, barred.side) == (6, "keep-out")
    inked = read(
        text.replace("G0 X0", "G1 F100 X0").replace("M5\nG1", "G1"), MACHINE, ignore="missing end"
    )
    found = trespass(inked, bench(keep_outs=[KeepOut(area)]))
    assert found is not None
    assert found.excess > 10
    dot = read("G21 G90\nM5\nG0 X40 Y40\nM3 S90\nM5\nM2\n", MACHINE)
    assert trespass(dot, bench(keep_outs=[area])) is not None
