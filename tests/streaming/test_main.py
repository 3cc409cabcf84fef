"""The command line alone: what it prints, asks and returns."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from streaming_bench import bench

from plotlib.errors import InvalidValue
from plotlib.streaming import __main__ as command
from plotlib.streaming.events import Event, Outcome, StreamFault

OUTCOME = Outcome("finished", "everything is drawn", 9, 9, 9, 3, True)


def event(kind: str, text: str = "") -> Event:
    return Event(kind, 12, 80, 1_234, 5_678, 0.456, 75.0, text)


@pytest.mark.parametrize("kind", ["begin", "progress", "end"])
def test_progress_stays_on_its_line(kind: str, capsys: pytest.CaptureFixture[str]) -> None:
    command._show(event(kind))
    told = capsys.readouterr().out
    assert told == "\r" + f"{' 45.6%  stroke 1,234 of 5,678, 1 min 15 s left':60}"


def test_what_the_controller_says_has_a_line_of_its_own(
    capsys: pytest.CaptureFixture[str],
) -> None:
    command._show(event("said", "the lid is open"))
    assert capsys.readouterr().out == "\nthe controller says 'the lid is open'\n"
    for kind in ("change", "paused"):
        command._show(event(kind, "put in the next pen"))
    assert capsys.readouterr().out == ""


@pytest.mark.parametrize(
    ("typed", "goes_on"), [("", True), ("yes", True), ("s", False), (" S ", False), ("so", True)]
)
def test_enter_goes_on_and_s_stops(
    typed: str, goes_on: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []

    def answer(text: str) -> str:
        asked.append(text)
        return typed

    monkeypatch.setattr("builtins.input", answer)
    assert command._ask("put in pen blue") == goes_on
    assert asked == ["\nput in pen blue; Enter goes on, s stops: "]


def test_a_log_has_the_first_name_that_is_free(tmp_path: Path) -> None:
    file = str(tmp_path / "moon.gcode")
    assert command._new_log(file) == f"{file}.1.jsonl"
    for number in (1, 2, 4):
        Path(f"{file}.{number}.jsonl").touch()
    assert command._new_log(file) == f"{file}.3.jsonl"


@pytest.mark.parametrize(
    ("count", "strokes"), [(1, "1 stroke left"), (1_200, "1,200 strokes left")]
)
def test_what_is_left_is_said(
    count: int, strokes: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[Any] = []

    def resume(*given: Any, **options: Any) -> Any:
        asked.append((given, options))
        plot = SimpleNamespace(drawing=range(count), duration=75.0)
        return SimpleNamespace(plot=plot, stroke=1_234, along=3.0, twice=2.55)

    monkeypatch.setattr(command, "resume", resume)
    assert command.main(["rest.gcode", "--resume", "log.jsonl", "--overlap", "1.5"]) == 0
    assert asked == [(("log.jsonl", "rest.gcode"), {"overlap": 1.5})]
    told = capsys.readouterr().out
    assert strokes in told
    assert "from stroke 1,234 on; up to 2.5 mm are drawn twice, 1 min 15 s" in told
    assert "Home and zero the machine" in told


@pytest.fixture
def sent(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """What ``send`` was called with; it finishes unless given something to raise or return."""
    calls: list[Any] = [OUTCOME]

    def send(*given: Any, **options: Any) -> Any:
        calls.append((given, options))
        if isinstance(calls[0], BaseException):
            raise calls[0]
        return calls[0]

    monkeypatch.setattr(command, "send", send)
    monkeypatch.chdir(tmp_path)
    bench().save(tmp_path / "bench.toml")
    return calls


TYPED = ["moon.gcode", "--machine", "bench.toml", "--port", "tty9"]


def test_what_is_typed_is_sent(sent: list[Any], capsys: pytest.CaptureFixture[str]) -> None:
    assert command.main(TYPED) == 0
    told = capsys.readouterr()
    assert told.err == ""
    assert "The log is moon.gcode.1.jsonl. Ctrl-C stops" in told.out
    assert told.out.endswith("\neverything is drawn\n")
    (file, machine), options = sent[1]
    assert (file, machine) == ("moon.gcode", bench())
    assert (options["port"], options["log"]) == ("tty9", "moon.gcode.1.jsonl")
    assert (options["keep_full"], options["unproven"]) == (False, "")
    assert command.main([*TYPED, "--keep-full", "--unproven", "yes", "--log", "own.jsonl"]) == 0
    options = sent[2][1]
    assert (options["keep_full"], options["unproven"]) == (True, "yes")
    assert options["log"] == "own.jsonl"


@pytest.mark.parametrize(
    ("end", "code", "said"),
    [
        (Outcome("stopped", "stopped as wished", 5, 5, 5, 1, True), 1, None),
        (StreamFault("the port is gone", outcome=OUTCOME), 1, "\nstopped: the port is gone"),
        (KeyboardInterrupt(), 130, "\nstopped by Ctrl-C"),
        (InvalidValue("no such thing", name="port"), 2, "not begun: no such thing"),
    ],
)
def test_each_end_has_its_code_and_the_way_on(
    end: Any, code: int, said: str | None, sent: list[Any], capsys: pytest.CaptureFixture[str]
) -> None:
    sent[0] = end
    assert command.main(TYPED) == code
    told = capsys.readouterr().err
    way = "What is left: python -m plotlib.streaming rest.gcode --resume moon.gcode.1.jsonl\n"
    expected = way if said is None else f"{said}\n{way if code != 2 else ''}"
    assert told == expected


@pytest.mark.parametrize("left_out", ["--machine", "--port"])
def test_nothing_is_begun_without_machine_or_port(
    left_out: str, sent: list[Any], capsys: pytest.CaptureFixture[str]
) -> None:
    at = TYPED.index(left_out)
    assert command.main(TYPED[:at] + TYPED[at + 2 :]) == 2
    assert "--machine and --port are needed" in capsys.readouterr().err
    assert command.main([*TYPED, "--overlap", "0"]) == 2
    assert len(sent) == 1
