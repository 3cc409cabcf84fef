"""What the comments of a program must say, and where."""

from __future__ import annotations

import pytest
from oracles_gcode import bench, handwritten, job

from plotlib.errors import ProofError
from plotlib.gcode.cautions import CAUTIONS
from plotlib.gcode.proving.told import _facts, check_header


def test_cautions_and_facts_stand_before_anything_else() -> None:
    plot = job(bench())
    said = [f"({sentence})" for sentence in (*_facts(plot), *CAUTIONS)]
    check_header([*said, "G21"], plot)
    for late in (
        [*said[:-1], "G21", said[-1]],
        [*said[:-1], f"M5 {said[-1]}"],
        [*said[:-1], f"{said[-1]} M5"],
        said[:-1],
    ):
        with pytest.raises(ProofError, match="the comments at the beginning do not say"):
            check_header(late, plot)


def test_a_machine_that_takes_no_comments_is_told_nothing() -> None:
    check_header(["G21"], job(bench(comments=False)))


def test_sentences_may_be_broken_anywhere() -> None:
    plot = job(bench())
    words = " ".join((*_facts(plot), *CAUTIONS)).split(" ")
    check_header([f"({word})" for word in words], plot)
    check_header(handwritten(plot), plot)
