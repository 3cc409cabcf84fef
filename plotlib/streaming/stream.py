"""The Stream: a plot on its way to a controller, as an iterator of events.

Everything happens in the caller's thread, between one event and the next. Whatever goes wrong ends
in one place, ``_make_safe``: motion stopped, the pen told up, the log closed.
"""

from __future__ import annotations

from collections.abc import Callable, Generator

import numpy as np

from plotlib.checks import flag
from plotlib.errors import InvalidValue
from plotlib.gcode.numbers import dwell_line, feed_word, fixed
from plotlib.machine import Dialogue, Machine
from plotlib.machine.entries import table_of
from plotlib.machine.profile import text_of
from plotlib.streaming.events import ADVICE, Event, Outcome, Trouble
from plotlib.streaming.interrupts import Interrupts
from plotlib.streaming.job import Job
from plotlib.streaming.link import TICK, Link
from plotlib.streaming.log import VERSION, Log
from plotlib.streaming.ports import Port

_BRAKING = 0.5  # s: how long a carriage takes to stand still after a hold
_ASKING = 0.2  # s between two questions for the state
_BATCH = 64  # lines handed over at once, so that the log and the answers keep up
_TRIES = 3  # how often the pen is told up if the answers are in doubt
_QUIET = 0.5  # s without an answer, beyond what a move explains, after which none is on its way
_PATIENT = 2.0  # times what the motion model says of that move
_TELLING = 0.25  # s between two events of progress


class Stream:
    """A plot that is being sent; iterate over it to have it drawn.

    Made by ``stream``. Close it, or leave its ``with`` block, and the plot is stopped and the pen
    raised.

    Attributes
    ----------
    outcome : Outcome or None
        How it ended; while there is none it goes on.
    job : Job
        What is sent: the plot and the lines of its file.
    port : Port
        Where it is sent.
    dialogue : Dialogue
        What the controller answers and hears.
    """

    def __init__(self, job: Job, port: Port, log: Log, *, keep_full: bool, file: str) -> None:
        dialogue = job.machine.dialogue
        assert dialogue is not None
        self.job = job
        self.port = port
        self.dialogue: Dialogue = dialogue
        self.outcome: Outcome | None = None
        self._log = log
        self._file = file
        self._keep_full = keep_full
        self._link = Link(job, dialogue, port, log)
        longest = max((len(job.lines[number - 1]) for number in job.told), default=0)
        self._longest = longest + len(dialogue.line_end)
        self._next = 0  # index of the next line in job.told
        self._wish = ""  # "", "pause" or "stop", at the next pen-up
        self._at_once = False  # whether the wish cannot wait
        self._is_held = False
        self._told_at = port.now()
        self._interrupts = Interrupts()
        self._steps = self._run()

    def __iter__(self) -> Stream:
        return self

    def __next__(self) -> Event:
        with self._interrupts:
            return next(self._steps)

    def __enter__(self) -> Stream:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Stop at once, raise the pen, and let go of port and log; nothing if it has ended."""
        with self._interrupts:
            self._steps.close()
            if self.outcome is None:  # never begun
                self._log.close()
                self.port.close()

    def pause(self, *, at_once: bool = False) -> None:
        """Pause at the next pen-up, so that there is no blot; or at once, by the controller's hold.

        Parameters
        ----------
        at_once : bool, default False
            Whether to stand still where the pen is, which stays down if it is.

        Raises
        ------
        InvalidValue
            If the dialogue declares no hold, or ``at_once`` is no bool.
        """
        if flag("at_once", at_once) and self.dialogue.hold is None:
            raise InvalidValue(
                "this machine's dialogue declares no hold, so it cannot pause at once; pause at "
                "the next pen-up, or stop",
                name="at_once",
            )
        self._wish = "pause"
        self._at_once = at_once

    def go_on(self) -> None:
        """End a pause."""
        if self._wish == "pause":
            self._wish = ""
            self._at_once = False

    def stop(self, *, at_once: bool = False) -> None:
        """Stop for good at the next pen-up, or at once.

        Parameters
        ----------
        at_once : bool, default False
            Whether to stop in the middle of a stroke; the pen is raised then.

        Raises
        ------
        InvalidValue
            If ``at_once`` is no bool.
        """
        self._at_once = flag("at_once", at_once)
        self._wish = "stop"

    # ---- the way from the first line to the last

    def _run(self) -> Generator[Event, None, None]:
        try:
            try:
                yield from self._draw()
                self._end("finished", "")
            except Trouble as trouble:
                self._make_safe(trouble)
            except GeneratorExit:
                self._make_safe(Trouble("stopped", "stopped by the caller"))
                raise
            assert self.outcome is not None
            yield self._event("end", self.outcome.text)
        finally:
            self._log.close()
            self.port.close()

    def _draw(self) -> Generator[Event, None, None]:
        self._begin()
        yield from self._greeted()
        yield self._event("begin", f"{len(self.job.told):,} lines to send")
        while self._next < len(self.job.told) or self._link.unanswered:
            yield from self._heed()
            yield from self._stop_line()
            self._hand_over()
            self._link.listen()
            self._link.check_silence()
            yield from self._tell()
        yield from self._until_rest()
        self._link.at_rest()

    def _begin(self) -> None:
        job = self.job
        try:
            self._log.write(
                begin=VERSION,
                file=self._file,
                digest=job.digest,
                lines=len(job.lines),
                profile=text_of(table_of(job.machine)),
            )
            self._log.sync()
        except OSError as error:
            raise Trouble("log", f"the log cannot be written: {error}") from error

    def _greeted(self) -> Generator[Event, None, None]:
        """Opening the port may have reset the controller: hear it out."""
        link = self._link
        end = self.port.now() + self.dialogue.opening
        link.is_watched = False
        while not link.is_greeted and self.port.now() < end:
            self._check_interrupt()
            link.listen()
            yield from self._tell()
        link.is_watched = True
        link.said.clear()
        for line in self.dialogue.unlock if link.is_greeted else ():
            link.send_own(line)
            while link.unanswered:
                link.listen()
                link.check_silence()

    def _hand_over(self) -> None:
        """Send what may be sent now."""
        numbers: list[int] = []
        room = self._room()
        while self._next < len(self.job.told) and len(numbers) < _BATCH:
            number = self.job.told[self._next]
            room -= len(self.job.lines[number - 1]) + len(self.dialogue.line_end)
            is_free = not numbers and not self._link.unanswered
            if self._must_wait(numbers) or not (is_free or (self._keep_full and room >= 0)):
                break
            numbers.append(number)
            self._next += 1
        if numbers:
            self._link.send(numbers)

    def _room(self) -> int:
        """Bytes that the controller can surely take; so many as a line has are left free, so that
        an answer heard twice does not overrun it.
        """
        return (self.dialogue.receive_bytes or 0) - self._longest - self._link.waiting_bytes

    def _must_wait(self, numbers: list[int]) -> bool:
        """Whether the next line comes after a stop, or after a pause that is wished for."""
        last = numbers[-1] if numbers else self._link.sent
        if self.job.told[self._next] in self.job.stops:
            return True
        return self._is_held or bool(self._wish and self.job.is_up[last])

    def _heed(self) -> Generator[Event, None, None]:
        """Do what the person wants."""
        self._check_interrupt()
        if self._wish == "stop" and self._at_once:
            raise Trouble("stopped", "stopped as wished")
        if self._wish == "pause" and self._at_once:
            yield from self._hold()
        link = self._link
        if not self._wish or link.unanswered or not self.job.is_up[link.sent]:
            return
        yield from self._until_rest()
        link.at_rest()
        if self._wish == "stop":
            raise Trouble("stopped", "stopped as wished, at a pen-up")
        while self._wish == "pause":
            yield self._event("paused", "the pen is up; go on when you like")
            self._check_interrupt()
            link.listen()

    def _hold(self) -> Generator[Event, None, None]:
        assert self.dialogue.hold is not None
        assert self.dialogue.go_on is not None
        self._link.sign(self.dialogue.hold)
        self._is_held = True
        while self._wish == "pause":
            yield self._event("paused", "held where it is; go on when you like")
            self._check_interrupt()
            self._link.listen()
        if self._wish == "stop":
            raise Trouble("stopped", "stopped as wished")
        self._link.sign(self.dialogue.go_on)
        self._is_held = False

    def _stop_line(self) -> Generator[Event, None, None]:
        """At a stop for the person everything comes to rest, and the next event goes on."""
        link = self._link
        if link.unanswered or self._next >= len(self.job.told):
            return
        number = self.job.told[self._next]
        if number not in self.job.stops:
            return
        yield from self._until_rest()
        link.at_rest()
        yield self._event("change", self.job.stops[number] or "the program stops here")
        self._check_interrupt()
        link.passed(number)
        self._next += 1

    def _until_rest(self) -> Generator[Event, None, None]:
        """Until nothing moves: as the controller says, or as the motion model has it."""
        link = self._link
        start = self.port.now()
        if self.dialogue.ask is None or self.dialogue.resting is None:
            while self.port.now() < start + link.queue_seconds():
                self._check_interrupt()
                link.listen()
                yield from self._tell()
            return
        link.is_resting = False
        while not link.is_resting:
            self._check_interrupt()
            if self.port.now() - start > link.allowance():
                raise Trouble("silent", "the controller does not say that it rests")
            link.sign(self.dialogue.ask)
            asked = self.port.now()
            while not link.is_resting and self.port.now() < asked + _ASKING:
                link.listen()
            yield from self._tell()

    def _check_interrupt(self) -> None:
        if self._interrupts.count:
            raise Trouble("interrupted", "stopped by Ctrl-C")

    # ---- telling

    def _tell(self) -> Generator[Event, None, None]:
        link = self._link
        while link.said:
            yield self._event("said", link.said.popleft())
        if self.port.now() - self._told_at >= _TELLING:
            self._told_at = self.port.now()
            yield self._event("progress")

    def _event(self, kind: str, text: str = "") -> Event:
        link = self._link
        job = self.job
        return Event(
            kind,
            link.taken,
            len(job.lines),
            job.stroke_at(link.taken + 1),
            len(job.path),
            link.share,
            link.left,
            text,
        )

    # ---- the one way out

    def _make_safe(self, trouble: Trouble) -> None:
        """Stop the motion, raise the pen, and say how things stand."""
        self._link.is_watched = False
        is_lifted = False
        try:
            if trouble.kind != "gone":
                is_lifted = self._stopped_and_lifted(trouble.kind)
        except Trouble as worse:
            trouble = Trouble(trouble.kind, f"{trouble}; then {worse}")
        self._end(trouble.kind, str(trouble), is_lifted=is_lifted)

    def _stopped_and_lifted(self, kind: str) -> bool:
        link = self._link
        words = self.dialogue
        if link.rest == link.taken == link.sent and self.job.is_up[link.sent]:
            return True  # nothing moves, and the pen is up
        is_anew = kind == "reset"
        if words.halt is not None and not is_anew:
            self._halt()
            is_anew = True
        elif not is_anew:
            self._let_run_out()
        if is_anew:
            link.unanswered.clear()
        lines = raising_lines(self.job.machine, is_anew=is_anew, may_be_down=self._may_be_down())
        return self._say([*(words.unlock if is_anew else ()), *lines])

    def _may_be_down(self) -> bool:
        first = min(self._link.undone(self._link.taken), len(self.job.is_up)) - 1
        return not bool(self.job.is_up[first : self._link.sent + 1].all())

    def _halt(self) -> None:
        """Slow down, stand still, forget."""
        words = self.dialogue
        if words.hold is not None and not self._is_held:
            self._link.sign(words.hold)
            self._listen_until(lambda: False, _BRAKING)
        assert words.halt is not None
        self._link.is_greeted = False
        self._link.sign(words.halt)
        self._listen_until(lambda: self._link.is_greeted, max(words.opening, _BRAKING))

    def _let_run_out(self) -> None:
        """What was handed over is done before anything else can be."""
        link = self._link
        if self._is_held and self.dialogue.go_on is not None:
            link.sign(self.dialogue.go_on)
        self._listen_until(lambda: not link.unanswered, link.allowance())

    def _listen_until(self, is_done: Callable[[], bool], seconds: float) -> None:
        end = self.port.now() + seconds
        while not is_done() and self.port.now() < end:
            self._link.listen(TICK)

    def _say(self, lines: list[str]) -> bool:
        """Whether all of these lines were acknowledged, and nothing else was on its way that could
        be taken for their answers.
        """
        for _ in range(1 if "G91" in lines else _TRIES):
            self._hear_out()
            if self._are_taken(lines) and not self._hear_out():
                return True
        return False

    def _are_taken(self, lines: list[str]) -> bool:
        link = self._link
        link.unanswered.clear()
        link.is_refused = False
        for line in lines:
            link.send_own(line)
            self._listen_until(lambda: not link.unanswered, link.allowance())
            if link.unanswered or link.is_refused:
                return False
        return True

    def _hear_out(self) -> bool:
        """Listen until it is quiet; whether anything was said."""
        link = self._link
        before = link.answers
        end = self.port.now() + link.allowance()
        quiet = _QUIET + _PATIENT * link.longest_wait()
        until = self.port.now() + quiet
        while self.port.now() < min(until, end):
            heard = link.answers
            link.listen(TICK)
            if link.answers != heard:
                until = self.port.now() + quiet
        return link.answers != before

    def _surely(self, kind: str) -> int:
        """The last line that was surely acknowledged.

        Where all that may be sent was sent and an answer is missing, it need not be the last one:
        the controller may have started anew long before, without a word, and have answered all
        that came later.
        """
        link = self._link
        told = self.job.told
        is_all = self._next >= len(told) or told[self._next] in self.job.stops
        return link.surely if kind == "silent" and is_all else link.taken

    def _end(self, kind: str, text: str, *, is_lifted: bool = True) -> None:
        link = self._link
        job = self.job
        surely = self._surely(kind)
        stroke = job.stroke_at(link.undone(surely))
        said = f"{text}; {ADVICE[kind]}" if text else ADVICE[kind]
        if not is_lifted and kind != "gone":
            said += ". The pen may still be down: lift it by hand"
        self.outcome = Outcome(kind, said, link.sent, link.taken, link.rest, stroke, is_lifted)
        try:
            self._log.write(end=kind, surely=surely, lifted=is_lifted, text=text)
            self._log.sync()
        except (OSError, ValueError):
            return  # a full disk; the outcome says it


def raising_lines(machine: Machine, *, is_anew: bool, may_be_down: bool) -> list[str]:
    """The lines that raise the pen, in whatever state the controller is.

    After a reset nobody knows the height of Z, so the pen goes up by the way between down and up.
    """
    lift = machine.lift
    heights = lift.heights
    lines = list(machine.setup) if is_anew else []
    if heights is None:
        change = lift.change("up")
        for line, wait in zip(*change, strict=True):
            lines.append(line)
            if wait > 0:
                lines.append(dwell_line(wait, machine))
        return lines + _settling(machine)
    up, down = machine.to_units([heights.up, heights.down])
    feed = feed_word(heights.feed)
    if not is_anew:
        return [*lines, "G90", f"G1 {_z(up, machine)} {feed}", *_settling(machine)]
    if not may_be_down:
        return lines
    return [*lines, "G91", f"G1 {_z(up - down, machine)} {feed}", "G90", *_settling(machine)]


def _z(units: int, machine: Machine) -> str:
    return fixed("Z", np.array([units]), machine.decimals)[0]


def _settling(machine: Machine) -> list[str]:
    settle = machine.lift.settle("up")
    return [dwell_line(settle, machine)] if settle > 0 else []
