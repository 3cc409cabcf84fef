"""The log of a plot: JSON lines, each on the disk before anything else happens, from which the
place is known after a crash or a power cut.

The first record holds the machine's profile and what tells the file from others. Then come, in
short: ``sent`` (the last line handed to the port, written before it is), ``taken`` (the last line
that the controller has acknowledged), ``rest`` (all lines up to this one are done and nothing
moves), and at last ``end``, with the last line that was ``surely`` acknowledged.
"""

from __future__ import annotations

import json
import os
from dataclasses import dataclass
from typing import Any, TextIO

from plotlib.errors import InvalidValue, NotWritten, PlotlibError
from plotlib.files import PathLike, read_text

VERSION = 1


class LogError(PlotlibError, ValueError):
    """A log that cannot be read; ``line`` counts from 1."""

    line: int


class Log:
    """A log that is being written; without a path nothing is kept."""

    def __init__(self, path: PathLike | None) -> None:
        self.path = path
        self._file: TextIO | None = None
        if path is not None and (not isinstance(path, (str, os.PathLike)) or not str(path)):
            raise InvalidValue(
                f"log must be the name of a new file, or None, got {path!r:.100}",
                name="log",
                value=path,
            )
        if path is not None:
            try:
                self._file = open(path, "x", encoding="ascii", newline="\n")  # noqa: SIM115
            except (OSError, ValueError) as error:
                why = getattr(error, "strerror", None) or error
                raise NotWritten(
                    f"cannot write the log {str(path)[:200]}: {why}; give a new name: a log is "
                    f"never written over",
                    path=str(path),
                ) from error

    def write(self, **record: Any) -> None:
        """Add a record."""
        if self._file is not None:
            self._file.write(json.dumps(record, separators=(",", ":")) + "\n")

    def sync(self) -> None:
        """Have all records on the disk."""
        if self._file is not None:
            self._file.flush()
            os.fsync(self._file.fileno())

    def close(self) -> None:
        """Write what is left, as far as that is possible."""
        if self._file is None:
            return
        file = self._file
        self._file = None
        try:
            file.close()
        except OSError:
            return  # a full disk: what was synced stands


@dataclass(frozen=True)
class Told:
    """What a log says.

    Attributes
    ----------
    begin : dict
        The first record: ``file``, ``digest``, ``lines``, ``profile``.
    sent, taken, rest : int
        The last line handed over, acknowledged, and known to be done; 0 before the first.
    surely : int
        The last line acknowledged before an answer may have been missing: mostly ``taken``.
    end : dict or None
        The last record; None if the sender or its computer stopped without a word.
    """

    begin: dict[str, Any]
    sent: int
    taken: int
    rest: int
    surely: int
    end: dict[str, Any] | None

    @property
    def is_complete(self) -> bool:
        """Whether the whole file was drawn."""
        return self.end is not None and self.end.get("end") == "finished"


def read_log(log: PathLike) -> Told:
    """Read a log, also one whose last line was cut short by a crash.

    Parameters
    ----------
    log : path
        The log of ``send``.

    Returns
    -------
    Told

    Raises
    ------
    LogError
        If the file is no log.
    NotRead
        If it cannot be read.
    InvalidValue
        If ``log`` is no path.

    Examples
    --------
    >>> read_log("no-such.jsonl")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    ...
    plotlib.errors.NotRead: cannot read the log 'no-such.jsonl': there is no such file; check...
    """
    records = _records(read_text(log, "log"), str(log))
    begin = records[0] if records else {}
    wanted = {"file": str, "digest": str, "lines": int, "profile": str}
    if begin.get("begin") != VERSION or not _holds(begin, wanted):
        raise LogError(f"{str(log)[:200]}: this is not a log of plotlib.streaming", line=1)
    told = {"sent": 0, "taken": 0, "rest": 0, "surely": 0}
    for number, record in enumerate(records, 1):
        for name in told.keys() & record.keys():
            value = record[name]
            if not isinstance(value, int) or not 0 <= value <= begin["lines"]:
                raise LogError(
                    f"{str(log)[:200]}, line {number}: {name} {value!r} is no line of the file",
                    line=number,
                )
            told[name] = max(told[name], value)
    end = records[-1] if "end" in records[-1] else None
    if end is None or "surely" not in end:
        told["surely"] = told["taken"]
    return Told(begin, **told, end=end)


def _holds(record: dict[str, Any], wanted: dict[str, type]) -> bool:
    return all(isinstance(record.get(name), kind) for name, kind in wanted.items())


def _records(text: str, name: str) -> list[dict[str, Any]]:
    """The whole lines; a last one without its end was being written when everything stopped."""
    found = []
    whole = text.split("\n")[:-1]
    for number, line in enumerate(whole, 1):
        try:
            record = json.loads(line)
        except ValueError as error:
            raise LogError(
                f"{name[:200]}, line {number}: this is no record of a log: {line[:60]!r}",
                line=number,
            ) from error
        if not isinstance(record, dict):
            raise LogError(f"{name[:200]}, line {number}: this is no record of a log", line=number)
        found.append(record)
    return found
