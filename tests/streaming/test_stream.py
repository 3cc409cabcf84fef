"""The stream alone, on a port that is played by hand: when what is written, how long silence and
chatter are borne, and how it ends.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from streaming_bench import HEIGHTS, SIGNS, WORDS, bench

import plotlib as pl
from plotlib import streaming
from plotlib.streaming.stream import Stream

SERVO_UP = ["M5", "G4 P0.2"]
SETUP = ["G21", "G90", "G17", "G94"]


class Played:
    """A port whose other side takes each line at once, unless told otherwise; time passes while
    nothing comes.
    """

    def __init__(self, **answers: str | None) -> None:
        self.time = 0.0
        self.wrote: list[tuple[float, str]] = []
        self.coming: list[tuple[float, bytes]] = []
        self.answers = answers  # to characters that are heard at once: by their names
        self.taken: Callable[[str], str | None] = lambda line: "taken"
        self.delay = 0.0

    def now(self) -> float:
        return self.time

    def say(self, text: str, *, after: float = 0.0) -> None:
        self.coming.append((self.time + after, f"{text}\n".encode("latin-1")))

    def write(self, data: bytes, seconds: float) -> None:
        text = data.decode("latin-1")
        names = {sign: name for name, sign in SIGNS.items()}
        if text in names:
            self.wrote.append((round(self.time, 6), names[text]))
            answer = self.answers.get(names[text])
            if answer:
                self.say(answer)
            return
        for line in text.splitlines():
            self.wrote.append((round(self.time, 6), line))
            said = self.taken(line)
            if said is not None:
                self.say(said, after=self.delay)

    def read(self, seconds: float) -> bytes:
        due = [at for at, _ in self.coming if at <= self.time + seconds]
        if not due:
            self.time += seconds
            return b""
        self.time = max(self.time, min(due))
        now = [item for item in self.coming if item[0] <= self.time]
        self.coming = [item for item in self.coming if item[0] > self.time]
        return b"".join(data for _, data in now)

    def close(self) -> None:
        self.wrote.append((round(self.time, 6), "closed"))

    @property
    def lines(self) -> list[str]:
        return [text for _, text in self.wrote]

    def times(self, text: str) -> list[float]:
        return [at for at, line in self.wrote if line == text]


READY: dict[str, str | None] = {"ask": "<resting>", "halt": "awake"}


def started(
    port: Played, *, signs: bool = True, keep_full: bool = False, lift: Any = None, **words: Any
) -> Stream:
    """Two strokes on their way."""
    known = {**WORDS, **(SIGNS if signs else {}), **words}
    options = {} if lift is None else {"lift": lift}
    machine = bench(dialogue=pl.Dialogue(**known), **options)
    plot = pl.plan(pl.Drawing([[(10, 10), (50, 10)], [(60, 20), (60, 60)]]), machine)
    return streaming.stream(plot, port=port, log=None, keep_full=keep_full)


def stopped_in_the_first_stroke(going: Stream) -> streaming.Outcome:
    """Once the line that draws it was sent, in the middle of it."""
    link = going._link
    for _ in going:
        if link.sent >= going.job.stroke_begin(0) + 1 and not going._wish:
            going.stop(at_once=True)
    assert going.outcome is not None
    return going.outcome


# ---- the beginning


@pytest.mark.parametrize(("greeting", "begins"), [(None, 0.5), (0.2, 0.2), (0.49, 0.49)])
def test_a_controller_that_has_just_woken_is_heard_out(
    greeting: float | None, begins: float
) -> None:
    port = Played(**READY)
    if greeting is not None:
        port.say("awake 1.1", after=greeting)
        port.say("note: a lamp burns", after=greeting)
    port.say("cannot be understood", after=0.1)  # of whoever was there before
    going = started(port)
    said = [event.text for event in going if event.kind == "said"]
    assert going.outcome is not None
    assert going.outcome.is_finished
    assert port.wrote[0][0] == pytest.approx(begins, abs=0.051)
    assert port.wrote[0][0] >= begins
    assert any("cannot be understood" in text for text in said)


@pytest.mark.parametrize("is_greeted", [False, True])
def test_a_controller_that_was_reset_is_unlocked(is_greeted: bool) -> None:
    port = Played(**READY)
    if is_greeted:
        port.say("awake", after=0.1)
    going = started(port, unlock=("$H", "$X"))
    for _ in going:
        pass
    assert port.lines[:2] == (["$H", "$X"] if is_greeted else SETUP[:2])


def test_an_unlock_that_nobody_answers_is_silence() -> None:
    port = Played()
    port.say("awake")
    port.taken = lambda line: None
    going = started(port, unlock=("$X",), patience=3)
    kinds = [event.kind for event in going]
    assert kinds == ["said", "end"]
    assert going.outcome is not None
    assert going.outcome.kind == "silent"


# ---- lines


def test_each_line_waits_for_the_answer_before_it() -> None:
    port = Played(**READY)
    port.delay = 0.3
    going = started(port)
    for _ in going:
        pass
    begin = [at for at, line in port.wrote if line not in ("ask", "closed")]
    assert np.diff(begin).min() >= 0.3 - 1e-9
    assert port.lines[-1] == "closed"
    assert [line for line in port.lines if line not in ("ask", "closed")] == [
        going.job.lines[number - 1] for number in going.job.told
    ]


@pytest.mark.parametrize("size", [40, 51, 60, 73, 96])
def test_the_buffer_is_kept_full_but_for_the_longest_line(size: int) -> None:
    """What is on its way never comes nearer to the size than the longest line and its end."""
    port = Played(**READY)
    port.delay = 0.3
    going = started(port, keep_full=True, receive_bytes=size)
    longest = max(len(going.job.lines[number - 1]) for number in going.job.told) + 1
    assert going._room() == size - longest
    most = 0
    for _ in going:
        most = max(most, going._link.waiting_bytes)
    assert most <= size - longest
    assert most > size - 2 * longest
    assert going.outcome is not None
    assert going.outcome.is_finished


def test_progress_is_told_four_times_a_second() -> None:
    port = Played(**READY)
    port.delay = 0.1
    going = started(port)
    told = [port.time for event in going if event.kind == "progress"]
    assert len(told) > 4
    assert np.diff(told).min() >= 0.25 - 1e-9
    assert np.diff(told).max() <= 0.25 + 0.1 + 0.05


def test_an_event_says_where_things_stand() -> None:
    port = Played(**READY)
    port.delay = 0.26
    going = started(port)
    events = list(going)
    while events[0].kind == "progress":  # of waiting for a greeting
        assert events.pop(0).share == 0
    assert (events[0].kind, events[-1].kind) == ("begin", "end")
    assert events[0].text == f"{len(going.job.told)} lines to send"
    assert (events[0].line, events[0].stroke, events[0].share) == (0, 0, 0)
    assert (events[-1].line, events[-1].stroke, events[-1].share) == (events[-1].lines, 2, 1)
    assert events[-1].lines == len(going.job.lines)
    assert events[-1].strokes == 2
    assert events[-1].text == "everything is drawn"
    ends = going.job.stroke_ends.tolist()
    for event in events:
        assert event.stroke == sum(event.line >= end for end in ends)
        assert event.left == pytest.approx(going.job.seconds[event.line + 1 :].sum())


# ---- rest


def test_rest_is_asked_for_five_times_a_second() -> None:
    port = Played()
    going = started(port)
    for event in going:
        if len(port.times("ask")) == 4:
            port.answers["ask"] = "<resting>"
        assert event.kind != "said"
    assert np.diff(port.times("ask")[:5]) == pytest.approx(np.full(4, 0.2), abs=0.051)
    assert going.outcome is not None
    assert going.outcome.is_finished


def test_a_controller_that_never_rests_is_silent() -> None:
    port = Played()
    going = started(port, patience=3)
    for _ in going:
        pass
    assert going.outcome is not None
    assert going.outcome.kind == "silent"
    assert "does not say that it rests" in going.outcome.text
    link = going._link
    asked = port.times("ask")
    allowed = 3 + 2 * going.job.seconds[max(link.undone(link.taken) - 1, 0) : link.sent + 1].sum()
    assert asked[-1] - asked[0] <= allowed < asked[-1] - asked[0] + 0.3


def test_without_a_word_for_rest_the_queue_runs_out() -> None:
    """Twice the time of all that may be in it."""
    port = Played()
    going = started(port, signs=False)
    for _ in going:
        pass
    assert going.outcome is not None
    assert going.outcome.is_finished
    last = [at for at, line in port.wrote if line != "closed"][-1]
    motions = going.job.motions
    busy = 2 * going.job.seconds[motions[-4] :].sum()  # look_ahead is 4
    assert port.times("closed")[0] - last == pytest.approx(busy, abs=0.051)
    assert port.times("closed")[0] - last >= busy - 1e-9


# ---- the way out


def test_a_stop_at_once_holds_halts_and_raises() -> None:
    """Half a second to brake, and the greeting after the halt; then the lines that raise."""
    port = Played(**READY)
    port.delay = 0.26
    outcome = stopped_in_the_first_stroke(started(port))
    assert outcome.kind == "stopped"
    assert outcome.is_lifted
    hold = port.lines.index("hold")
    assert port.lines[hold:] == ["hold", "halt", *SETUP, *SERVO_UP, "closed"]
    assert port.times("halt")[0] - port.times("hold")[0] == pytest.approx(0.5, abs=0.051)
    assert "lift it by hand" not in outcome.text


@pytest.mark.parametrize("opening", [0.2, 2.0])
def test_a_greeting_after_the_halt_is_waited_for(opening: float) -> None:
    """As long as opening takes, half a second at least; then half a second of quiet."""
    port = Played(ask="<resting>")
    port.delay = 0.26
    stopped_in_the_first_stroke(started(port, opening=opening, greeting="awake"))
    halt = port.times("halt")[0]
    after = min(at for at in port.times("G21") if at > halt)
    assert after - halt >= max(opening, 0.5) + 0.5 - 0.051
    port = Played(**READY)
    port.delay = 0.26
    stopped_in_the_first_stroke(started(port, opening=opening))
    soon = min(at for at in port.times("G21") if at > port.times("halt")[0])
    assert soon - port.times("halt")[0] < after - halt - 0.1


@pytest.mark.parametrize(("answers", "tries"), [(0, 3), (1, 3)])
def test_the_pen_is_told_up_three_times_if_nobody_answers(answers: int, tries: int) -> None:
    port = Played(**READY)
    port.delay = 0.26

    def taken(line: str) -> str | None:
        if "halt" not in port.lines:
            return "taken"
        return "taken" if answers and line == "G21" else None

    port.taken = taken
    outcome = stopped_in_the_first_stroke(started(port, patience=1))
    assert not outcome.is_lifted
    assert outcome.text.endswith("The pen may still be down: lift it by hand")
    after = port.lines[port.lines.index("halt") :]
    assert after.count("G21") == tries
    assert after.count("G90") == (tries if answers else 0)


def test_a_way_up_of_unknown_height_is_said_once() -> None:
    """Said twice it might lift twice as high."""
    port = Played(**READY)
    port.delay = 0.26
    port.taken = lambda line: None if "halt" in port.lines else "taken"
    outcome = stopped_in_the_first_stroke(started(port, lift=HEIGHTS, patience=1))
    assert not outcome.is_lifted
    assert port.lines[port.lines.index("halt") :].count("G21") == 1


def test_a_refused_word_is_said_again() -> None:
    port = Played(**READY)
    port.delay = 0.26
    refusals = ["cannot now", "cannot now"]
    port.taken = lambda line: (
        refusals.pop() if "halt" in port.lines and line == "M5" and refusals else "taken"
    )
    outcome = stopped_in_the_first_stroke(started(port))
    assert outcome.is_lifted
    assert port.lines[port.lines.index("halt") :].count("M5") == 3


def test_a_chatterbox_is_not_heard_for_ever() -> None:
    """It says something five times a second, so it is never quiet for half a one."""
    port = Played(ask="<resting>")
    port.delay = 0.26
    going = started(port, patience=2)
    real = port.read

    def read(seconds: float) -> bytes:
        if "halt" in port.lines and not port.coming:
            port.say("note: rain", after=0.2)
        assert port.time < 600
        return real(seconds)

    port.read = read  # type: ignore[method-assign]
    outcome = stopped_in_the_first_stroke(going)
    assert outcome.kind == "stopped"
    assert not outcome.is_lifted


@pytest.mark.parametrize("words", [{}, {"hold": "\x01", "go_on": "\x02"}])
def test_without_a_halt_what_was_handed_over_is_done_first(words: dict[str, str]) -> None:
    port = Played()
    port.delay = 0.26
    going = started(port, signs=False, **words)
    outcome = stopped_in_the_first_stroke(going)
    assert outcome.is_lifted
    sent = [going.job.lines[number - 1] for number in going.job.told if number <= outcome.sent]
    assert port.lines == [*sent, *SERVO_UP, "closed"]
    assert outcome.taken == outcome.sent


def test_a_hold_is_let_go_where_there_is_no_halt() -> None:
    port = Played()
    port.delay = 0.26
    going = started(port, signs=False, hold="\x01", go_on="\x02")
    for event in going:
        if event.kind == "progress" and going._link.sent > 8:
            going.pause(at_once=True)
        if event.kind == "paused":
            going.stop(at_once=True)
    assert port.lines.count("hold") == 1
    assert port.lines.count("go_on") == 1
    assert going.outcome is not None
    assert going.outcome.is_lifted


def test_a_missing_answer_is_that_of_the_last_line_only_if_lines_are_still_to_come() -> None:
    """The answer to one line near the beginning never comes; all later ones stay short of one."""
    for keep_full in (False, True):
        port = Played(**READY)
        port.taken = lambda line: None if line == "G17" else "taken"
        going = started(port, keep_full=keep_full, patience=2)
        for _ in going:
            pass
        assert going.outcome is not None
        assert going.outcome.kind == "silent"
        link = going._link
        at = going.job.lines.index("G17")  # from 0: the number of the line before
        if keep_full:
            assert link.sent == len(going.job.lines)
            assert link.surely < link.taken == link.sent - 1
        else:
            assert (link.sent, link.taken, link.surely) == (at + 1, at, at)


def test_whether_the_pen_may_be_down_is_seen_from_the_lines_under_way() -> None:
    """From before the first line that may not be done to the last one sent."""
    going = started(Played())
    link = going._link
    up = [bool(is_up) for is_up in going.job.is_up]
    for sent in range(1, len(up)):
        for taken in range(sent + 1):
            link.sent = sent
            link.taken = taken
            for rest in (0, taken):
                link.rest = rest
                first = link.undone(taken)
                expected = not all(up[min(first, len(up)) - 1 : sent + 1])
                assert going._may_be_down() == expected, (sent, taken, rest)
    going.close()


# ---- wishes


def test_a_pause_lasts_until_it_is_ended() -> None:
    port = Played(**READY)
    port.delay = 0.26
    going = started(port)
    paused = 0
    for event in going:
        if event.kind == "begin":
            going.pause()
        if event.kind == "paused":
            paused += 1
            assert event.text == "the pen is up; go on when you like"
            sent = going._link.sent
            if paused == 5:
                going.go_on()
    assert paused == 5
    assert going.job.is_up[sent]
    assert going.outcome is not None
    assert going.outcome.is_finished


def test_going_on_does_not_undo_a_stop() -> None:
    going = started(Played(**READY))
    for event in going:
        if event.kind == "begin":
            going.stop()
            going.go_on()
    assert going.outcome is not None
    assert going.outcome.kind == "stopped"
    assert "at a pen-up" in going.outcome.text


def test_a_pause_at_once_may_become_a_stop() -> None:
    port = Played(**READY)
    port.delay = 0.26
    going = started(port)
    for event in going:
        if event.kind == "progress" and going._link.sent > 8 and not going._wish:
            going.pause(at_once=True)
        if event.kind == "paused":
            assert event.text == "held where it is; go on when you like"
            going.stop()
    assert port.lines.count("hold") == 1  # it is held already
    assert "halt" in port.lines
    assert going.outcome is not None
    assert going.outcome.kind == "stopped"
    assert going.outcome.is_lifted


def test_a_stream_that_was_never_begun_lets_go() -> None:
    port = Played()
    going = started(port)
    going.close()
    assert port.lines == ["closed"]
    assert going.outcome is None
    going.close()
