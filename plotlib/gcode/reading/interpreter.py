"""A strict interpreter of RS274NGC programs for one pen-drawing machine.

It knows the semantics of the standard (NISTIR 6556), the machine's declared lines, and nothing of
how programs are written.
"""

from __future__ import annotations

from plotlib.errors import GcodeError
from plotlib.gcode.reading.automaton import LEAST, Automaton
from plotlib.gcode.reading.carriage import Carriage
from plotlib.gcode.reading.lines import LONGEST, Fault, key
from plotlib.gcode.reading.places import Places
from plotlib.gcode.reading.plain import Source
from plotlib.gcode.reading.vocabulary import Command, command_of, harmful, loses_place, unread
from plotlib.gcode.toolpath import Finish, Toolpath
from plotlib.machine import Machine

_OFTEN = 40  # lifts and dwells after which those known so far are run by an automaton
_KEPT = 20_000  # commands of lines that come again and again, such as lifts and dwells


class Interpreter:
    """Runs the lines of one program."""

    def __init__(
        self, source: Source, machine: Machine, places: Places, ignore: frozenset[str]
    ) -> None:
        self._source = source
        self._machine = machine
        self._places = places
        self._ignore = ignore
        self._carriage = Carriage(source, machine, ignore, at_home=not places.prologue)
        self._lift = frozenset(map(key, machine.lift.lines))
        told = (*machine.prologue, *machine.setup, *machine.epilogue)
        self._silent = frozenset(line for line in told if not key(line))  # declared comments
        self._where = places.names
        self._commands: dict[str, Command] = {}
        self._rests: dict[str, Command] = {}  # those of them that only turn the spindle or wait
        self._rested = 0
        self._automaton: Automaton | None = None
        self._seen = False  # whether any line with words has come
        self._percents = 0
        self._over = 0  # the line of the program's end
        self._before: tuple[tuple[float, float], bool | None] | None = None
        self._message = ""

    @property
    def carriage(self) -> Carriage:
        """What the lines have moved so far, and the notes taken of it."""
        return self._carriage

    def go_on_in(self, source: Source, places: Places) -> None:
        """Run the following lines from a source that counts its own; a new one, or one that holds
        the last one and more.
        """
        self._source = source
        self._places = places
        self._where = places.names
        self._automaton = None
        self._carriage.go_on_in(source)

    def run(self) -> Toolpath:
        """Interpret all lines; GcodeError names the first one that breaks a rule."""
        count = len(self._source.lines)
        self.go(0, count)
        return self.finished(count)

    def go(self, index: int, end: int) -> None:
        """Interpret the lines from ``index`` up to ``end``, from 0."""
        lines = self._source.lines
        following = self._source.next_other
        head = self._places.head
        body = min(end, (self._places.epilogue or (end + 1,))[0] - 1)
        while index < end:
            is_body = head <= index < body and not self._over and self._percents < 2
            done = self._quickly(index, min(following[index], body), body) if is_body else index
            if done > index:
                self._message = ""
                index = done
                continue
            text = lines[index]
            try:
                if not (is_body and self._rest(text, index + 1)):
                    self._step(text, index + 1)
            except Fault as fault:
                raise _error(fault, text, index + 1) from None
            index += 1

    def _quickly(self, index: int, other: int, body: int) -> int:
        """Run lines from ``index`` on many at a time, where that is safe; the first that is left.
        The first that is not plain is ``other``.
        """
        automaton = self._automaton
        if automaton is not None and automaton.codes[index] >= 0:
            done = automaton.run(self._carriage, index, body)
            if done > index:
                return done
        return self._carriage.run_plain(index, other) if other > index else index

    def _rest(self, text: str, line: int) -> bool:
        """Run a line that is known only to turn the spindle or to wait; whether it is one."""
        command = self._rests.get(text)
        if command is None:
            return False
        self._carriage.begin(command, line, prologue=False, declared=False)
        self._carriage.run(command)
        self._message = ""
        self._rested += 1
        is_often = self._rested >= _OFTEN and self._automaton is None
        if is_often and len(self._source.lines) >= LEAST:
            self._automaton = Automaton(self._source, self._rests)
        return True

    def _step(self, text: str, line: int) -> None:
        if "%" in text and text.strip() == "%":
            self._percent()
            return
        if self._percents == 2 or (self._over and "text after the end" in self._ignore):
            return
        place = self._where.get(line)
        command = self._commands.get(text)
        if command is None or command.unreadable:
            declared = place is not None or key(text) in self._lift
            declared = declared or text.strip() in self._silent
            command = self._command(text, declared=declared)
        self._seen = self._seen or bool(command.key)
        if command.deleted and "deleted lines" in self._ignore:
            return
        if command.key in ("", "/"):
            self._message = self._message if command.message is None else command.message
            return
        if self._over:
            where = f"the program ended on line {self._over}"
            raise Fault(
                f'{where}: this is never run; delete it, or read with ignore={{"text after the '
                f'end"}}'
            )
        self._run(command, line, place)

    def _percent(self) -> None:
        self._percents += 1
        if self._percents == 1 and self._seen:
            raise Fault(
                "a % in the middle of a program; it stands on the first line and on the last, or "
                "nowhere"
            )

    def _command(self, text: str, *, declared: bool) -> Command:
        if len(text) > LONGEST and "long lines" not in self._ignore:
            raise Fault(
                f"{len(text)} characters; a line has at most {LONGEST}: split it, or read with "
                f'ignore={{"long lines"}}'
            )
        try:
            command = command_of(text, semicolons=declared or "semicolon comments" in self._ignore)
        except Fault:
            if not declared:
                raise
            command = unread(text)
        if len(self._commands) < _KEPT:
            self._commands[text] = command
            if _only_rests(command):
                self._rests[text] = command
        return command

    def _run(self, command: Command, line: int, place: str | None) -> None:
        carriage = self._carriage
        declared = place is not None or command.key in self._lift
        if (command.unknown or command.tools) and not declared:
            self._check_words(command)
        if place == "epilogue" and self._before is None:
            self._before = carriage.place, carriage.down
        carriage.begin(command, line, prologue=place == "prologue", declared=declared)
        if command.unknown and (declared or loses_place(command)):
            carriage.run_unknown(command, lost=command.key not in self._lift)
        else:
            carriage.run(command)
        if "stop" in command.modal:
            self._stop(command.modal["stop"], command, line)
        self._message = ""
        if self._places.prologue and line == self._places.prologue[-1]:
            carriage.arrive_home()

    def _check_words(self, command: Command) -> None:
        """Refuse what only a declared line may say; ignored M words and letters do nothing, G28
        and G30 lose the place.
        """
        if command.tools and "tool words" not in self._ignore:
            raise Fault(
                f"{command.tools[0]}: a pen-drawing machine changes no tools; delete it, or read "
                f'with ignore={{"tool words"}}'
            )
        reason = harmful(command)
        if reason is not None and ("unknown words" in self._ignore or "changes what" in reason):
            raise Fault(f"{reason}; write the program without it")
        if command.unknown and "unknown words" not in self._ignore:
            raise Fault(
                f"{command.unknown[0]} is unknown here, or leaves the position unknown; delete "
                f"it, declare the line in the machine's "
                'prologue, setup, epilogue or lift, or read with ignore={"unknown words"}'
            )

    def _stop(self, stop: str, command: Command, line: int) -> None:
        if stop in ("M2", "M30"):
            self._over = line
            self._carriage.spindle_off(line)
        else:
            self._carriage.stop(line, command.message or self._message)

    def so_far(self) -> Toolpath:
        """What the lines of this source did."""
        now = self._carriage.place, self._carriage.down
        return self._carriage.record.toolpath(self._machine, self._places, Finish(*now, *now))

    def finished(self, count: int) -> Toolpath:
        """The same at the end of the program, which has so many lines in this source."""
        needs_end = any(
            word in key(line) for line in self._machine.epilogue for word in ("M2", "M30")
        )
        if "missing end" not in self._ignore:
            if self._percents == 1:
                raise GcodeError(
                    f"line {count}: only one %; put the other on the last line, or delete this one",
                    line=count,
                )
            if needs_end and not self._over and not self._percents:
                raise GcodeError(
                    f"line {count}: the program does not end; put M2 last, or read with "
                    f'ignore={{"missing end"}}',
                    line=count,
                )
        end = self._carriage.place, self._carriage.down
        before = end if self._before is None else self._before
        return self._carriage.record.toolpath(self._machine, self._places, Finish(*before, *end))


def _error(fault: Fault, text: str, line: int) -> GcodeError:
    where = f", column {fault.column}" if fault.column else ""
    return GcodeError(f"line {line}{where}: {fault}", line=line, column=fault.column, text=text)


def _only_rests(command: Command) -> bool:
    """Whether a line turns the spindle or waits, and does nothing else: the bulk of lifts."""
    speaks = command.unknown or command.tools or command.message or command.deleted
    return not speaks and command.touches in ({"spindle"}, {"dwell"}) and len(command.modal) == 1


def run(source: Source, machine: Machine, places: Places, ignore: frozenset[str]) -> Toolpath:
    """The toolpath of a program's lines."""
    return Interpreter(source, machine, places, ignore).run()
