"""The quick way through plain lines does what the slow way does; a blank comment on every line
keeps a program from the quick way.
"""

from __future__ import annotations

import re

import numpy as np
import pytest
from oracles_gcode import assert_same, bench

from plotlib.gcode.reader import read
from plotlib.gcode.reading.plain import Lines, Source

LINES = [
    ("X1 Y2", (0, 1.0, 2.0, None)),
    ("G0 X1.5", (1, 1.5, None, None)),
    ("G1 Y-3 F100", (2, None, -3.0, 100.0)),
    ("G01X+1.25Y.", None),
    ("G00 X1.", (1, 1.0, None, None)),
    ("X1 F0", None),
    ("X1 F-5", None),
    ("F100", None),
    ("G1", None),
    ("G2 X1", None),
    ("G10 X1", None),
    ("G", None),
    ("", None),
    ("Y1 X1", None),
    ("X1  Y1", None),
    ("X1 Z1", None),
    ("x1", None),
    ("X1 (there)", None),
    ("N1 X1", None),
    ("X.5", None),
    ("X-", None),
    ("X0123456789.01234", (0, 123456789.01234, None, None)),
    ("X01234567890.01234", None),
    ("X-0.000", (0, -0.0, None, None)),
    ("X0.12345678901234", (0, 0.12345678901234, None, None)),
    ("X.12345678901234", None),
    ("G02 X1", None),
    ("G03 X1", None),
    ("G001 X1", None),
    ("G00", None),
    ("G0X1Y2F3", (1, 1.0, 2.0, 3.0)),
]


@pytest.mark.parametrize(("line", "wanted"), LINES)
def test_which_lines_are_plain(line: str, wanted: tuple[float | None, ...] | None) -> None:
    source = Source.of(f"M5\n{line}\nM2")
    found = (source.kind[1], source.x[1], source.y[1], source.feed[1])
    if wanted is None:
        assert found[0] == (-1 if "X" in line or "Y" in line else -2)
    else:
        assert found[0] == wanted[0]
        for value, number in zip(found[1:], wanted[1:], strict=True):
            assert np.isnan(value) if number is None else value == number
    assert source.kind[[0, 2]].tolist() == [-2, -2]


def test_numbers_are_the_nearest_floats() -> None:
    rng = np.random.default_rng(3)
    numbers = [
        f"{value:.{places}f}"
        for value, places in zip(rng.uniform(-999, 999, 500), rng.integers(1, 10, 500), strict=True)
    ]
    source = Source.of("".join(f"X{number}\n" for number in numbers))
    assert source.x.tolist() == [float(number) for number in numbers]


def random_program(seed: int) -> str:
    """Moves, lifts, modes and offsets in any order that is legal."""
    rng = np.random.default_rng(seed)
    out = ["G21", "G90", "M5", "G0 X1 Y1"]
    down = False
    for _ in range(200):
        kind = rng.integers(0, 14)
        x, y = rng.integers(0, 60, 2)
        if kind < 8:
            words = (
                [f"G{0 if not down and rng.random() < 0.3 else 1}"]
                if rng.random() < 0.4 or len(out) < 8
                else []
            )
            words += [f"X{x}.{rng.integers(0, 9)}"] if rng.random() < 0.7 else []
            words += [f"Y{y}"] if rng.random() < 0.7 or not words or words[-1][0] == "G" else []
            out.append(
                " ".join(
                    [
                        *words,
                        f"F{rng.integers(1, 3000)}" if rng.random() < 0.3 or len(out) < 8 else "",
                    ]
                ).strip()
            )
        elif kind < 11:
            down = not down
            out += ["M3 S90" if down else "M5", "G4 P0.2"]
        else:
            out.append(
                ["G92 X10 Y10", "G20", "G21", "G91", "G90", "G92.1", "G80\nG1 X5 F100"][
                    rng.integers(0, 7)
                ]
            )
    return "\n".join([*out, "M5", "M2"]) + "\n"


@pytest.mark.parametrize("seed", range(40))
def test_both_ways_give_the_same_toolpath(seed: int) -> None:
    machine = bench(zero=(20, 30), home=(20, 30))
    program = random_program(seed)
    slow = re.sub(r"$", "()", program.rstrip("\n"), flags=re.MULTILINE) + "\n"
    assert (Source.of(program).kind >= 0).sum() > 50
    assert (Source.of(slow).kind >= 0).sum() == 0
    one = read(program, machine)
    two = read(slow, machine)
    assert_same(one, two)


@pytest.mark.parametrize("text", ["", "\n", "a", "a\n", "a\n\nb", "\n\n", "a\r\nb\rc", "(é)\nX1"])
def test_lines_are_those_of_the_text(text: str) -> None:
    wanted = text.replace("\r\n", "\n").replace("\r", "\n").removesuffix("\n").split("\n")
    lines = Source.of(text).lines
    assert list(lines) == (wanted if text else [])
    assert list(lines[1:3]) == wanted[1:3]
    with pytest.raises(IndexError):
        lines[len(lines)]


@pytest.mark.parametrize("tail", ["", "\n"])
def test_lines_are_joined_as_they_stand(tail: str) -> None:
    text = "G21\n\nM5" + tail
    lines = Lines(text, np.frombuffer(text.encode(), np.uint8))
    parts = ["G21", "", "M5"]
    for first in range(4):
        for end in range(4):
            assert lines.joined(first, end) == "\n".join(parts[first:end])
    assert list(lines.first(2)) == parts[:2]
    assert lines[1:] == parts[1:]
    for wrong in (-1, 3):
        with pytest.raises(IndexError, match=f"no line {wrong} of 3"):
            lines[wrong]
