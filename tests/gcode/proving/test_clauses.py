"""Single clauses of the reader and the proof, each at its edge."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from oracles_gcode import ZED, bench, handwritten, job, text

from plotlib.errors import GcodeError, ProofError
from plotlib.gcode.proving.proof import prove
from plotlib.gcode.reader import read
from plotlib.gcode.reading.arcs import by_centre
from plotlib.gcode.reading.places import places_of

HEAD = "G21 G90\nM5\n"
OPEN = bench(zero=(0, 0), home=(0, 0), park=(0, 0), epilogue=(), width=400, height=400)


def test_travel_by_g1_keeps_to_the_travel_feed() -> None:
    plot = job(bench(travel_word="G1", travel_feed=3_000))
    program = text(handwritten(plot))
    prove(program, plot)
    first = program.index("G1 X")
    for feed, reason in (
        ("F3000.01", r"F 3000\.01 is too fast: the travel feed is 3000"),
        ("F50", "F 50 is too slow: the plan has travel at 3000"),
    ):
        broken = program[:first] + program[first:].replace("F3000", feed, 1)
        with pytest.raises(ProofError, match=reason):
            prove(broken, plot)


@pytest.mark.parametrize(
    ("word", "by"),
    [("X90.001", "0.001"), ("X-10.001", "0.001"), ("Y80.5", "0.5"), ("Y-0.001", "0.001")],
)
def test_words_of_declared_lines_stay_within_what_the_controller_counts(word: str, by: str) -> None:
    plot = job(bench())
    on_edge = replace(plot, machine=bench(prologue=("Q7 X90 Y80 (X999)", "Q7 X-10 Y0")))
    prove(text(handwritten(on_edge)), on_edge)
    beyond = replace(plot, machine=bench(prologue=(f"Q7 {word}",)))
    lines = handwritten(beyond)
    with pytest.raises(
        ProofError, match=rf"is {by} mm outside what the controller may count"
    ) as caught:
        prove(text(lines), beyond)
    assert caught.value.line == lines.index(f"Q7 {word}") + 1


@pytest.mark.parametrize("place", ["first", "last"])
def test_every_line_counts_to_its_last_character(place: str) -> None:
    plot = job(bench())
    lines = handwritten(plot)
    for length, fits in ((70, True), (71, False)):
        comment = f"({'a' * (length - 2)})"
        program = [comment, *lines] if place == "first" else [*lines, comment]
        if fits:
            prove(text(program), plot)
        else:
            with pytest.raises(ProofError, match="71 characters, 1 more than") as caught:
                prove(text(program), plot)
            assert caught.value.line == program.index(comment) + 1


def test_a_dwell_has_no_sign_and_may_be_said_in_parts() -> None:
    plot = job(bench())
    program = text(handwritten(plot))
    with pytest.raises(ProofError, match=r"P-0\.2: neither a word"):
        prove(program.replace("G4 P0.2", "G4 P-0.2", 1), plot)
    prove(program.replace("G4 P0.2", "G4 P0.15\nG4 P0.05"), plot)
    prove(program.replace("G4 P0.2", "G4 P0\nG4 P0.2"), plot)
    prove(program.replace("G4 P0.2", "G4 P0.201"), plot)
    with pytest.raises(ProofError, match=r"too long: 0\.2011 s"):
        prove(program.replace("G4 P0.2", "G4 P0.2011", 1), plot)
    assert read(HEAD + "G4 P0\n", OPEN).dwells.seconds.tolist() == [0.0]


def test_inverse_time_arcs_are_fed_along_their_length() -> None:
    """RS274NGC 3.5.19: F is how many times a minute the move would fit."""
    half = read(HEAD + "G0 X5 Y5\nG93 G2 X15 Y5 I5 F2\n", OPEN).moves
    np.testing.assert_allclose(half.feed[1:], 2 * math.pi * 5)
    inches = read(HEAD + "G0 X50 Y50\nG20 G93 G2 I1 X1.968503937 F2\n", OPEN).moves
    np.testing.assert_allclose(inches.feed[1:], 2 * math.tau * 25.4, rtol=1e-6)


def test_nothing_curves_or_draws_from_an_unknown_place() -> None:
    lost = replace(OPEN, setup=("G21", "G90", "Q5"), epilogue=())
    with pytest.raises(GcodeError, match="line 5: an arc from an unknown place"):
        read("G21\nG90\nQ5\nM5\nG2 X5 Y5 I2 F100\n", lost)
    drops = replace(OPEN, epilogue=("G28", "G0 X5 Y5"))
    with pytest.raises(GcodeError, match="line 6: draws from an unknown place"):
        read(HEAD + "G0 X1\nM3 S90\nG28\nG0 X5 Y5\n", drops)


def test_a_spindle_word_beside_an_unknown_one_moves_the_pen() -> None:
    machine = replace(OPEN, setup=("G21", "G90", "Q5 M5"))
    assert read("G21\nG90\nQ5 M5\nG0 X5 Y-5\n", machine).bounds == (5, 5, 5, 5)


def test_heights_are_told_as_the_program_says_them() -> None:
    path = read("G21 G90\nG0 Z4\nG92 Z1\nG0 Z-3.5\n", replace(OPEN, lift=ZED))
    assert path.pens.height.tolist() == [4, -3.5]
    assert path.pens.down.tolist() == [False, True]


def test_one_line_is_not_the_beginning_and_the_end() -> None:
    machine = bench(prologue=("M5",), setup=(), epilogue=("M5",))
    alone = places_of(["M5"], machine)
    assert (alone.prologue, alone.epilogue) == ((1,), None)
    both = places_of(["M5", "M5"], machine)
    assert (both.prologue, both.epilogue) == ((1,), (2,))


def test_chords_lie_within_two_micrometres_of_their_arc_unless_asked_otherwise() -> None:
    arc = by_centre((0, 0), (0, 0), (100, 0), clockwise=True)
    chain = np.vstack([arc.start, arc.points()])
    middles = (chain[1:] + chain[:-1]) / 2
    assert (100 - np.hypot(*(middles - (100, 0)).T)).max() <= 0.002
