"""Every fault, at random lines, in both ways of sending: motion stopped, the pen up where the link
still works, and a file that goes on where the log says.
"""

from __future__ import annotations

import itertools
import tempfile
from pathlib import Path
from typing import Any

import hypothesis.strategies as st
import pytest
from hypothesis import given, settings
from streaming_bench import (
    HEIGHTS,
    RAMP,
    SERVO,
    bench,
    check_drawn,
    check_resumed,
    check_stopped,
    run_out,
    two_pens,
)

from plotlib import streaming
from plotlib.streaming.log import Log
from plotlib.streaming.simulated import FAULTS, faulty
from plotlib.streaming.simulated.faults import HARMLESS

# Faults after which the line is dead: nobody can tell the pen anything any more.
DEAD = {
    "silence",
    "half an answer",
    "too late",
    "other rate out",
    "other rate in",
    "pulled in writing",
    "pulled in reading",
    "stuck",
    "half stuck",
}
# Faults that swallow a line and let later ones through, if later ones are on their way already.
GAPS = {
    "refuses",
    "refuses shortly",
    "garbles",
    "danger",
    "small buffer",
    "resets",
    "resets twice",
    "resets silently",
}
KINDS = {
    "refuses": {"refused"},
    "refuses shortly": {"refused"},
    "danger": {"refused"},
    "resets": {"reset"},
    "resets twice": {"reset"},
    "resets silently": {"silent", "refused"},
    "loses an answer": {"silent"},
    "doubles an answer": {"surplus", "finished"},
    "too late": {"silent"},
    "garbage in an answer": {"silent"},
    "silence": {"silent"},
    "half an answer": {"silent"},
    "other rate out": {"silent"},
    "other rate in": {"refused", "silent"},
    "garbles": {"refused"},
    "small buffer": {"refused", "silent", "finished"},
    "pulled in writing": {"gone"},
    "pulled in reading": {"gone"},
    "stuck": {"stuck"},
    "half stuck": {"stuck"},
}
COUNTER = itertools.count()


def run(fault: str, line: int, folder: Path, **options: Any) -> tuple[Any, ...]:
    lift = options.pop("lift", SERVO)
    machine = bench(signs=options.pop("signs"), lift=lift)
    plot = two_pens(machine)
    controller, port = faulty(machine, fault, line, baud=115_200)
    controller.greet()
    log = folder / f"{next(COUNTER)}.jsonl"
    going = streaming.stream(plot, port=port, log=log, keep_full=options["keep_full"])
    for _ in going:
        pass
    run_out(controller)
    return controller, plot, going.outcome, log


def lines_of(signs: bool, lift: Any) -> int:
    machine = bench(signs=signs, lift=lift)
    controller, port = faulty(machine, "none", 1)
    for _ in streaming.stream(two_pens(machine), port=port, log=None):
        pass
    return controller.counts.lines


def test_the_table_of_faults_is_complete() -> None:
    assert len(FAULTS) >= 24
    assert KINDS.keys() | HARMLESS == FAULTS.keys()


@pytest.fixture(autouse=True)
def _no_waiting_for_the_disk(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is synced when is another test's; here thousands of records would wait for a disk."""
    monkeypatch.setattr("os.fsync", lambda _: None)


@pytest.mark.parametrize("fault", sorted(FAULTS))
@settings(max_examples=8, deadline=None)
@given(st.data())
def test_a_fault_ends_safely_and_is_resumed(fault: str, data: Any) -> None:
    signs = data.draw(st.booleans(), "signs")
    keep_full = data.draw(st.booleans(), "keep_full")
    lift = data.draw(st.sampled_from([SERVO, HEIGHTS, RAMP]), "lift")
    line = data.draw(st.integers(1, lines_of(signs, lift)), "line")
    overlap = data.draw(st.sampled_from([None, 0.0, 2.0]), "overlap")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        controller, plot, outcome, log = run(
            fault, line, folder, signs=signs, keep_full=keep_full, lift=lift
        )
        told = streaming.read_log(log)
        assert (told.sent, told.taken, told.rest) == (outcome.sent, outcome.taken, outcome.rest)
        assert outcome.taken <= outcome.sent
        if fault in HARMLESS:
            assert outcome.kind == "finished"
        if outcome.kind == "finished":
            check_drawn(controller, plot)
            return
        assert outcome.kind in KINDS[fault]
        assert len(outcome.text) > 40
        if fault not in DEAD:
            assert outcome.is_lifted
        check_stopped(controller, outcome)
        rest = streaming.resume(log, folder / "rest.gcode", plot=plot, overlap=overlap)
        check_resumed(controller, plot, rest, only_prefix=not (keep_full and fault in GAPS))


@pytest.mark.parametrize("lift", [SERVO, HEIGHTS])
@pytest.mark.parametrize("fault", ["resets silently", "small buffer", "loses an answer"])
@pytest.mark.parametrize("line", [5, 20, 38, 39, 45])
def test_of_an_answer_that_is_missing_at_the_end_nobody_knows_the_line(
    fault: str, line: int, lift: Any, tmp_path: Path
) -> None:
    """Without a word a controller forgets what waits in its queue, and answers all that comes
    later: with its buffer kept full that shows where the sender must wait, at a pen change or at
    the end.
    """
    controller, plot, outcome, log = run(
        fault, line, tmp_path, signs=False, keep_full=True, lift=lift
    )
    if outcome.kind == "finished":
        check_drawn(controller, plot)
        return
    rest = streaming.resume(log, tmp_path / "rest.gcode", plot=plot)
    assert rest.stroke == outcome.stroke
    check_resumed(controller, plot, rest, only_prefix=False)


class FullDisk(Log):
    """A log on a disk that is full after some records."""

    room = 20

    def sync(self) -> None:
        self.room -= 1
        if self.room < 0:
            raise OSError(28, "no space left on device")
        super().sync()


@pytest.mark.parametrize("signs", [True, False])
def test_a_full_disk_stops_the_plot(
    signs: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("plotlib.streaming.sending.Log", FullDisk)
    controller, plot, outcome, log = run("none", 1, tmp_path, signs=signs, keep_full=False)
    assert outcome.kind == "log"
    assert outcome.is_lifted
    assert "make room on the disk" in outcome.text
    check_stopped(controller, outcome)
    rest = streaming.resume(log, tmp_path / "rest.gcode", plot=plot)
    assert rest.stroke <= outcome.stroke
