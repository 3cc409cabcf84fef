from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from oracles_gcode import bench, handwritten, job, text

from plotlib.errors import GcodeError, InvalidValue, NotRead, UnknownName
from plotlib.gcode.envelope import excess, trespass
from plotlib.gcode.reader import read
from plotlib.gcode.reading.tolerances import TOLERANCES
from plotlib.machine import Axis, ZLift

MACHINE = bench()
PROGRAM = text(handwritten(job(MACHINE)))


def test_a_path_a_name_and_a_text_are_read_alike(tmp_path: Path) -> None:
    path = tmp_path / "isle.gcode"
    path.write_bytes(PROGRAM.encode())
    drawings = [read(thing, MACHINE).drawing for thing in (path, str(path), PROGRAM)]
    assert drawings[0] == drawings[1] == drawings[2]
    assert len(drawings[0]) == 5


def test_a_text_without_line_end_is_taken_for_a_name(tmp_path: Path) -> None:
    for thing in ("G21 G90", str(tmp_path), str(tmp_path / "none.gcode"), "a\0b", "x" * 5000):
        with pytest.raises(
            NotRead, match="a program given as text must hold at least one line end"
        ) as caught:
            read(thing, MACHINE)
        assert caught.value.path == str(thing)
    for nothing in ("", 12):
        with pytest.raises(
            InvalidValue, match="a program given as text must hold at least one line end"
        ):
            read(nothing, MACHINE)  # type: ignore[arg-type]


def test_a_missing_path_is_not_taken_for_a_text(tmp_path: Path) -> None:
    with pytest.raises(NotRead, match=r"there is no such file; check the name and the folder$"):
        read(tmp_path / "none.gcode", MACHINE)


def test_line_ends_of_any_system_give_the_same_lines(tmp_path: Path) -> None:
    for end in ("\r\n", "\r"):
        other = read(PROGRAM.replace("\n", end), MACHINE)
        assert other.drawing == read(PROGRAM, MACHINE).drawing
        np.testing.assert_array_equal(other.moves.line, read(PROGRAM, MACHINE).moves.line)
    with pytest.raises(GcodeError, match="line 3"):
        read("G21\r\nG90\r\nQ\r\n", MACHINE)


def test_bytes_of_any_code_page_may_stand_in_comments_only(tmp_path: Path) -> None:
    path = tmp_path / "old.nc"
    path.write_bytes(b"(caf\xe9)\n" + PROGRAM.encode())
    assert len(read(path, MACHINE)) == 5
    path.write_bytes(PROGRAM.encode() + b"caf\xe9\n")
    with pytest.raises(GcodeError, match=r"cannot read|not followed"):
        read(path, MACHINE)
    assert len(read(path, MACHINE, ignore="text after the end")) == 5


def test_unknown_names_to_ignore_list_the_known_ones() -> None:
    with pytest.raises(UnknownName, match=r"'arc radii', .*'z words'; got 'everything'"):
        read(PROGRAM, MACHINE, ignore=["everything"])
    with pytest.raises(InvalidValue, match="one name or several"):
        read(PROGRAM, MACHINE, ignore=3)  # type: ignore[arg-type]
    assert len(read(PROGRAM, MACHINE, ignore=TOLERANCES)) == 5


def test_a_toolpath_tells_ink_travel_lifts_and_bounds_and_cannot_be_changed() -> None:
    plot = job(MACHINE)
    path = read(PROGRAM, MACHINE)
    assert path.drawing.points.tolist() == plot.drawing.points.tolist()
    assert path.drawing.offsets.tolist() == plot.drawing.offsets.tolist()
    assert path.travel == pytest.approx(plot.travel)
    assert path.ink == pytest.approx(plot.drawing.length)
    assert path.lifts == len(path) == 5
    assert path.bounds == (5.0, 10.0, 72.0, 80.0)
    assert repr(path).startswith("<Toolpath: 5 strokes, ")
    for array in (
        path.points,
        path.moves.end,
        path.moves.down,
        path.pens.line,
        path.dwells.seconds,
        path.said["F"],
    ):
        assert not array.flags.writeable


def test_an_empty_program_is_legal() -> None:
    path = read("\n", bench(epilogue=()))
    assert (len(path), path.bounds, path.travel, len(path.drawing)) == (0, None, 0.0, 0)
    assert excess(path, MACHINE) is None
    assert trespass(path, bench(keep_outs=[bench().bed])) is None


ELSEWHERE = """; made elsewhere
N10 G21 ; mm
N20 G90
T1 M6
M106 S255
G00 Z5.0
G00 X10 Y10
G01 Z-1 F200
G01 X30 F1500
G03 X30 Y30 I0 J10
G01 Z5
G28
"""


def test_a_file_from_elsewhere_is_checked_against_the_users_own_machine() -> None:
    machine = bench(ZLift(5, -1, 600), zero=(0, 0), home=(0, 0), park=(0, 0), y=Axis(4_000))
    with pytest.raises(GcodeError, match="line 1: a comment after"):
        read(ELSEWHERE, machine)
    path = read(
        ELSEWHERE,
        machine,
        ignore=["semicolon comments", "tool words", "unknown words", "missing end"],
    )
    assert len(path) == 1
    assert path.bounds == pytest.approx((0, 0, 40, 30), abs=1e-9)
    assert path.ink == pytest.approx(20 + 10 * math.pi)
    assert path.travel == pytest.approx(math.hypot(10, 10))
    assert excess(path, machine) is None
    small = bench(
        ZLift(5, -1, 600), width=39.5, zero=(0, 0), home=(0, 0), park=(0, 0), y=Axis(4_000)
    )
    over = excess(path, small)
    assert over is not None
    assert (over.line, over.side, over.excess) == (10, "right", pytest.approx(0.5))


def test_what_no_file_can_hold_is_told_by_line() -> None:
    with pytest.raises(GcodeError, match=r"line 2: .*outside a comment"):
        read("G21 G90\nG0 X1 \ud800\n", MACHINE, ignore=TOLERANCES)
    assert (
        read("(\ud800)\n" + PROGRAM, MACHINE, ignore=TOLERANCES).drawing
        == read(PROGRAM, MACHINE).drawing
    )


def test_only_a_machine_says_what_a_program_means() -> None:
    for thing in (None, "bench", MACHINE.bed):
        with pytest.raises(InvalidValue, match="machine must be a Machine"):
            read(PROGRAM, thing)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "curve", ["G2 X5 Y5 I100000000000000 J0", "G2 X6 Y5 R99999999999999", "G3 X6 Y5 I-1000000001"]
)
def test_arcs_beyond_all_machines_are_told_so(curve: str) -> None:
    with pytest.raises(GcodeError, match=r"line 5: the arc's radius of .* mm"):
        read(
            f"G21 G90\nM5\nG0 X5 Y5\nM3 S90\n{curve} F100\nM5\nM2\n",
            bench(zero=(0, 0), y=Axis(4_000)),
            ignore=TOLERANCES,
        )


def test_declared_comments_may_begin_with_a_semicolon() -> None:
    machine = bench(prologue=("; make ready", "@H ; now"), epilogue=("; done", "M2"))
    lines = PROGRAM.splitlines()
    assert (
        len(read("\n".join(["; make ready", "@H ; now", *lines[:-1], "; done", "M2", ""]), machine))
        == 5
    )
    with pytest.raises(GcodeError, match=r'a comment after ";"'):
        read("; another\n" + PROGRAM, machine)
