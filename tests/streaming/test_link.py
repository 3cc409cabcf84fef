"""The link alone, on a port that is played by hand: what goes out, what an answer does, and how
long silence is borne.
"""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from plotlib.machine import Dialogue
from plotlib.streaming.events import Trouble
from plotlib.streaming.link import Link, first_undone
from plotlib.streaming.ports import PortGone, PortStuck

LINES = ["G1 X1", "G1 X2", "G1 X3", "G1 X4", "M5"]
SECONDS = [0.0, 1.0, 2.0, 4.0, 8.0, 16.0]  # by the number of the line; 0 is before the first
MOTIONS = [1, 2, 3, 4]


class Hand:
    """A port and a log at once: what is written and noted, in its order."""

    def __init__(self) -> None:
        self.time = 100.0
        self.done: list[Any] = []
        self.coming: list[bytes] = []
        self.broken: Exception | None = None
        self.log_broken: Exception | None = None

    def now(self) -> float:
        return self.time

    def write(self, data: Any = None, patience: float = 0.0, **record: int) -> None:
        if record:
            if self.log_broken:
                raise self.log_broken
            self.done.append(record)
            return
        if self.broken:
            raise self.broken
        self.done.append((data, patience))

    def sync(self) -> None:
        self.done.append("synced")

    def read(self, seconds: float) -> bytes:
        if self.broken:
            raise self.broken
        return self.coming.pop(0) if self.coming else b""


def bench(look_ahead: int = 2) -> tuple[Link, Hand]:
    hand = Hand()
    job: Any = SimpleNamespace(
        lines=LINES,
        seconds=np.array(SECONDS),
        motions=np.array(MOTIONS),
        machine=SimpleNamespace(look_ahead=look_ahead),
    )
    words = Dialogue(
        accepted="yes",
        refused="no",
        greeting="Hello",
        ask="?",
        resting="still",
        patience=3,
        line_end="\r\n",
    )
    return Link(job, words, hand, hand), hand  # type: ignore[arg-type]


def answered(link: Link, hand: Hand, *answers: bytes) -> None:
    for answer in answers:
        hand.coming.append(answer)
        link.listen()


def test_the_log_knows_of_lines_before_the_port_does() -> None:
    link, hand = bench()
    link.send([1, 2])
    assert hand.done == [{"sent": 2}, "synced", (b"G1 X1\r\nG1 X2\r\n", 3)]
    assert list(link.unanswered) == [(1, 7), (2, 7)]
    assert (link.sent, link.taken, link.rest, link.waiting_bytes) == (2, 0, 0, 14)
    hand.done.clear()
    link.send_own("M105")
    assert hand.done == [(b"M105\r\n", 3)]
    assert list(link.unanswered)[-1] == (0, 6)
    hand.done.clear()
    link.sign("\x85")
    assert hand.done == [(b"\x85", 3)]
    assert link.waiting_bytes == 20


def test_an_answer_is_for_the_oldest_line_and_may_come_in_pieces() -> None:
    link, hand = bench()
    link.send([1, 2, 3])
    hand.done.clear()
    answered(link, hand, b"y", b"es\r", b"\n  ")
    assert (link.taken, link.answers) == (1, 1)
    assert hand.done == [{"taken": 1}, "synced"]
    answered(link, hand, b"yes 15\nyes\n")
    assert (link.taken, link.answers) == (3, 3)
    assert hand.done[2:] == [{"taken": 3}, "synced"]
    assert not link.unanswered
    assert not link.said


def test_what_is_no_answer_is_kept() -> None:
    link, hand = bench()
    link.send([1])
    answered(link, hand, b"yesterday\n[12 still 34]\n\n")
    assert list(link.said) == ["yesterday"]
    assert link.is_resting
    assert link.answers == 2
    assert link.taken == 0
    link.said.clear()
    answered(link, hand, b"x" * 5000, b"\n")
    assert [len(text) for text in link.said] == [4096]


def test_lines_are_surely_taken_where_no_answer_is_missing() -> None:
    link, hand = bench()
    link.send([1, 2])
    answered(link, hand, b"yes\n")
    assert (link.taken, link.surely) == (1, 0)
    answered(link, hand, b"yes\n")
    assert (link.taken, link.surely) == (2, 2)
    link.send([3, 4])
    answered(link, hand, b"yes\n")
    assert (link.taken, link.surely) == (3, 2)
    link.passed(4)
    assert link.surely == 4


def test_own_lines_take_no_line_of_the_file() -> None:
    link, hand = bench()
    link.send([1])
    link.send_own("M105")
    answered(link, hand, b"yes\nyes\n")
    assert link.taken == 1
    assert not link.unanswered


@pytest.mark.parametrize(
    ("answer", "kind", "words"),
    [
        (b"no: 20\n", "refused", "answered 'no: 20' to line 1, 'G1 X1'"),
        (b"Hello 1.1\n", "reset", r"started anew \('Hello 1.1'\)"),
        (b"yes\nyes\n", "surplus", "acknowledged a line that it never got"),
    ],
)
def test_trouble_stops_or_is_noted(answer: bytes, kind: str, words: str) -> None:
    link, hand = bench()
    link.send([1])
    with pytest.raises(Trouble, match=words) as caught:
        answered(link, hand, answer)
    assert caught.value.kind == kind
    link, hand = bench()
    link.is_watched = False
    link.send([1])
    answered(link, hand, answer)
    assert len(link.said) == 1
    assert link.is_greeted == (kind == "reset")
    assert link.is_refused == (kind == "refused")


def test_after_a_refusal_no_later_line_counts_as_taken() -> None:
    link, hand = bench()
    link.is_watched = False
    link.send([1, 2, 3])
    answered(link, hand, b"yes\nno\nyes\n")
    assert link.taken == 1
    assert not link.unanswered
    answered(link, hand, b"no\n")
    assert link.said[-1].endswith("to no line of the file")


@pytest.mark.parametrize(
    ("broken", "kind"), [(PortGone("out"), "gone"), (PortStuck("in"), "stuck")]
)
def test_a_port_that_fails_is_trouble(broken: Exception, kind: str) -> None:
    link, hand = bench()
    hand.broken = broken
    with pytest.raises(Trouble, match=str(broken)) as caught:
        link.send([1])
    assert caught.value.kind == kind
    if kind == "gone":
        with pytest.raises(Trouble, match="out"):
            link.listen()


def test_a_log_that_fails_is_trouble() -> None:
    link, hand = bench()
    hand.log_broken = OSError("no space")
    with pytest.raises(Trouble, match="the log cannot be written: no space") as caught:
        link.send([1])
    assert caught.value.kind == "log"
    assert hand.done == []


# ---- time


def test_silence_is_borne_as_long_as_the_moves_may_take_twice() -> None:
    """Lines 1 to 3 are on their way: 7 seconds of the model, twice, and the patience of 3."""
    link, hand = bench()
    link.check_silence()
    link.send([1, 2])
    hand.time += 5
    link.send([3])
    assert link.allowance() == 3 + 2 * 7
    hand.time = 100 + 17
    link.check_silence()
    hand.time += 0.25
    with pytest.raises(Trouble, match=r"no answer to line 1 for 17\.2 s") as caught:
        link.check_silence()
    assert caught.value.kind == "silent"
    answered(link, hand, b"yes\n")
    link.check_silence()  # counts from the last answer


def test_what_may_be_in_the_queue_counts() -> None:
    link, hand = bench(look_ahead=2)
    link.send([1, 2, 3, 4])
    answered(link, hand, b"yes\nyes\nyes\n")
    assert link.undone(3) == 2
    assert link.allowance() == 3 + 2 * (1 + 2 + 4 + 8)  # the line before the first may still end
    assert link.queue_seconds() == 2 * (2 + 4)
    assert link.longest_wait() == 8
    assert link.left == 8 + 16
    assert link.share == 1 - 24 / 31
    link.at_rest()
    assert (link.rest, hand.done[-2:]) == (3, [{"rest": 3}, "synced"])
    assert link.undone(3) == 4
    assert link.queue_seconds() == 0
    assert link.longest_wait() == 8
    hand.done.clear()
    link.passed(4)
    assert hand.done == [{"sent": 4, "taken": 4, "rest": 4}, "synced"]
    assert (link.sent, link.taken, link.rest) == (4, 4, 4)
    assert link.longest_wait() == 0
    assert link.share == 1 - 16 / 31


def test_a_job_without_time_is_done() -> None:
    link, _ = bench()
    link._busy[:] = 0
    assert link.share == 1


@pytest.mark.parametrize(
    ("taken", "rest", "look_ahead", "first"),
    [
        (0, 0, 2, 1),
        (1, 0, 2, 1),
        (2, 0, 2, 1),
        (3, 0, 2, 2),
        (4, 0, 2, 3),
        (4, 3, 2, 4),
        (4, 4, 2, 5),
        (5, 0, 1, 4),
    ],
)
def test_the_first_line_that_may_not_be_done(
    taken: int, rest: int, look_ahead: int, first: int
) -> None:
    link, _ = bench(look_ahead)
    assert first_undone(link.job, taken, rest) == first
