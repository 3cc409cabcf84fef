"""Logs: what is read of them, and what is no log."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from plotlib.errors import InvalidValue, NotWritten
from plotlib.streaming.log import VERSION, Log, LogError, read_log

BEGIN: dict[str, Any] = {
    "begin": VERSION,
    "file": "a.gcode",
    "digest": "00",
    "lines": 9,
    "profile": "",
}


def kept(folder: Path, *records: Any, end: str = "\n") -> Path:
    path = folder / "log.jsonl"
    lines = [item if isinstance(item, str) else json.dumps(item) for item in records]
    path.write_text("\n".join(lines) + end)
    return path


def test_the_last_of_each_kind_counts_and_never_goes_back(tmp_path: Path) -> None:
    told = read_log(kept(tmp_path, BEGIN, {"sent": 4}, {"taken": 3}, {"taken": 2}, {"sent": 9}))
    assert (told.sent, told.taken, told.rest, told.end) == (9, 3, 0, None)
    assert told.begin == BEGIN
    assert not told.is_complete
    both = {"sent": 5, "taken": 5, "rest": 5}
    told = read_log(kept(tmp_path, BEGIN, both, {"end": "finished"}))
    assert (told.sent, told.taken, told.rest) == (5, 5, 5)
    assert told.is_complete
    told = read_log(kept(tmp_path, BEGIN, {"end": "stopped"}))
    assert told.end == {"end": "stopped"}
    assert not told.is_complete


def test_the_end_says_what_was_surely_acknowledged(tmp_path: Path) -> None:
    rows = [BEGIN, {"sent": 7}, {"taken": 6}]
    assert read_log(kept(tmp_path, *rows)).surely == 6
    assert read_log(kept(tmp_path, *rows, {"end": "stopped"})).surely == 6
    assert read_log(kept(tmp_path, *rows, {"end": "silent", "surely": 2})).surely == 2
    for wrong in (-1, 10, "2"):
        with pytest.raises(LogError, match=r"line 4: surely .* is no line of the file"):
            read_log(kept(tmp_path, *rows, {"end": "silent", "surely": wrong}))


def test_a_last_line_without_its_end_is_left_out(tmp_path: Path) -> None:
    assert read_log(kept(tmp_path, BEGIN, {"sent": 1}, '{"sent": 2}', end="")).sent == 1
    assert read_log(kept(tmp_path, BEGIN, {"sent": 1}, '{"se', end="")).sent == 1


@pytest.mark.parametrize(
    "begin",
    [
        {},
        {**BEGIN, "begin": VERSION + 1},
        {**BEGIN, "lines": "9"},
        {**BEGIN, "digest": None},
        {key: value for key, value in BEGIN.items() if key != "profile"},
    ],
)
def test_another_file_is_no_log(begin: dict[str, Any], tmp_path: Path) -> None:
    with pytest.raises(LogError, match=r"not a log of plotlib\.streaming") as caught:
        read_log(kept(tmp_path, begin))
    assert caught.value.line == 1
    empty = tmp_path / "empty"
    empty.write_text("")
    with pytest.raises(LogError, match="not a log"):
        read_log(empty)


@pytest.mark.parametrize("value", [-1, 10, 2.0, "2", None])
def test_lines_that_the_file_has_not_are_named(value: object, tmp_path: Path) -> None:
    path = kept(tmp_path, BEGIN, {"sent": 0}, {"taken": value})
    with pytest.raises(LogError, match=r"line 3: taken .* is no line of the file") as caught:
        read_log(path)
    assert caught.value.line == 3


@pytest.mark.parametrize("line", ["[1]", "{", "7"])
def test_what_is_no_record_is_named(line: str, tmp_path: Path) -> None:
    with pytest.raises(LogError, match="line 2: this is no record of a log") as caught:
        read_log(kept(tmp_path, BEGIN, line))
    assert caught.value.line == 2


def test_a_log_is_never_written_over_and_may_be_none(tmp_path: Path) -> None:
    path = tmp_path / "new.jsonl"
    log = Log(path)
    log.write(**BEGIN)
    log.sync()
    assert read_log(path).sent == 0
    log.write(sent=3)
    log.close()
    log.close()
    log.write(sent=4)  # after the end nothing is kept
    log.sync()
    assert read_log(path).sent == 3
    assert path.read_text().splitlines()[1] == '{"sent":3}'
    with pytest.raises(NotWritten, match="never written over"):
        Log(path)
    for wrong in (7, "", b"log"):
        with pytest.raises(InvalidValue, match="log must be the name of a new file"):
            Log(wrong)  # type: ignore[arg-type]
    nothing = Log(None)
    nothing.write(sent=1)
    nothing.sync()
    nothing.close()
