"""Sending as a user does it: proven files, progress, pauses, pen changes, Ctrl-C, the log."""

from __future__ import annotations

import json
import os
import signal
import sys
import threading
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import shapely
from streaming_bench import (
    BENT,
    HEIGHTS,
    SERVO,
    bench,
    check_drawn,
    check_resumed,
    run_out,
    two_pens,
)

import plotlib as pl
from plotlib import gcode, streaming
from plotlib.errors import InvalidValue, NotWritten
from plotlib.streaming.__main__ import main
from plotlib.streaming.ports import PortGone, SerialPort
from plotlib.streaming.proven import plot_of
from plotlib.streaming.sending import UNPROVEN
from plotlib.streaming.simulated import Controller, VirtualPort, serve

DEADLINE = 40.0  # s: a hang fails then; nothing here needs more than a second or two


def virtual(machine: pl.Machine, **options: Any) -> tuple[Controller, VirtualPort]:
    controller = Controller(machine)
    controller.greet()
    return controller, VirtualPort(controller, baud=115_200, **options)


def written(folder: Path, machine: pl.Machine) -> Path:
    path = folder / "plot.gcode"
    gcode.write(two_pens(machine), path)
    return path


@pytest.mark.parametrize("keep_full", [False, True])
@pytest.mark.parametrize("signs", [False, True])
@pytest.mark.parametrize("lift", [SERVO, HEIGHTS])
def test_a_written_file_is_sent_and_drawn(
    keep_full: bool, signs: bool, lift: Any, tmp_path: Path
) -> None:
    machine = bench(signs=signs, lift=lift)
    controller, port = virtual(machine)
    asked: list[str] = []
    seen: list[streaming.Event] = []
    outcome = streaming.send(
        written(tmp_path, machine),
        machine,
        port=port,
        log=tmp_path / "log.jsonl",
        ask=asked.append,
        listener=seen.append,
        keep_full=keep_full,
    )
    assert outcome.is_finished
    check_drawn(controller, two_pens(machine))
    assert asked == ["put in pen red, 0.3 mm"]
    assert controller.counts.dropped == 0
    assert controller.counts.refused == 0
    shares = [event.share for event in seen]
    assert shares == sorted(shares)
    assert seen[0].left == pytest.approx(
        two_pens(machine).duration + 2 * machine.lift.settle_up, rel=1e-6
    )  # two more pen-ups: at the start and after the stop
    told = streaming.read_log(tmp_path / "log.jsonl")
    assert told.is_complete
    assert told.rest == told.taken == told.sent


def test_the_simulated_time_is_that_of_the_motion_model() -> None:
    """Check against the report of the plot, by a model that the controller runs move by move."""
    machine = bench(look_ahead=16)
    controller, port = virtual(machine)
    streaming.send(two_pens(machine), port=port, log=None, ask=lambda _: True)
    assert controller.time == pytest.approx(two_pens(machine).duration, rel=0.1)


def test_only_files_proven_for_this_machine_are_sent(tmp_path: Path) -> None:
    machine = bench()
    path = written(tmp_path, machine)
    other = bench(width=70)
    _, port = virtual(other)
    with pytest.raises(streaming.NotProven, match=r"leaves the bed by .* on the right"):
        streaming.send(path, other, port=port, log=None)
    text = path.read_text().replace("M5\n", "", 1)
    path.write_text(text)
    with pytest.raises(streaming.NotProven, match="not proven for the machine"):
        streaming.send(path, machine, port=port, log=None)
    with pytest.raises(InvalidValue, match="must be the sentence"):
        streaming.send(path, machine, port=port, log=None, unproven="yes")


def test_a_file_from_elsewhere_is_sent_by_a_sentence(tmp_path: Path) -> None:
    machine = bench()
    path = tmp_path / "foreign.gcode"
    path.write_text("G21\nG90\nM5\nG0 X10 Y10\nM3 S90\nG1 X20 F900\nM5\n")
    controller, port = virtual(machine)
    with pytest.raises(streaming.NotProven):
        streaming.send(path, machine, port=port, log=None)
    streaming.send(path, machine, port=port, log=None, unproven=streaming.UNPROVEN)
    assert [stroke[-1] for stroke in controller.strokes] == [(20.0, 10.0)]


def test_what_cannot_be_is_refused_before_anything_is_opened(tmp_path: Path) -> None:
    machine = bench()
    plot = two_pens(machine)
    _, port = virtual(machine)
    with pytest.raises(InvalidValue, match="stops 1 times for another pen; pass ask="):
        streaming.send(plot, port=port, log=None)
    _, port = virtual(machine)
    mute = bench(dialogue=None)
    with pytest.raises(InvalidValue, match="declares no dialogue"):
        streaming.send(two_pens(mute), port=port, log=None)
    blind = bench(dialogue=pl.Dialogue(accepted="taken", refused="cannot"))
    with pytest.raises(InvalidValue, match="keep_full needs receive_bytes"):
        streaming.stream(two_pens(blind), port=port, log=None, keep_full=True)
    log = tmp_path / "log.jsonl"
    log.write_text("")
    with pytest.raises(NotWritten, match="a log is never written over"):
        streaming.stream(plot, port=port, log=log)
    assert port.is_gone  # let go of again
    with pytest.raises(streaming.PortGone, match="check its name and the cable"):
        streaming.stream(plot, port=str(tmp_path / "no such port"), log=None)
    with pytest.raises(InvalidValue, match="port must be the name"):
        streaming.stream(plot, port=7, log=None)  # type: ignore[arg-type]


def test_a_pause_comes_at_the_next_pen_up_and_leaves_no_blot() -> None:
    machine = bench()
    controller, port = virtual(machine)
    paused = 0
    with streaming.stream(two_pens(machine), port=port, log=None, keep_full=True) as going:
        for event in going:
            if event.kind == "progress" and event.stroke == 1 and not paused:
                going.pause()
            if event.kind == "paused":
                paused += 1
                assert not controller.is_down
                assert not controller.moves
                if paused == 3:
                    going.go_on()
    assert paused == 3
    check_drawn(controller, two_pens(machine))


def test_a_hold_stands_still_at_once_and_goes_on() -> None:
    machine = bench()
    controller, port = virtual(machine)
    places = []
    with streaming.stream(two_pens(machine), port=port, log=None) as going:
        for event in going:
            if event.kind == "progress" and controller.is_down and not places:
                going.pause(at_once=True)
            if event.kind == "paused":
                places.append(controller.time)
                if len(places) == 4:
                    going.go_on()
    assert len(places) == 4
    check_drawn(controller, two_pens(machine))
    with pytest.raises(InvalidValue, match="declares no hold"):
        streaming.stream(two_pens(bench(signs=False)), port=port, log=None).pause(at_once=True)


@pytest.mark.parametrize("at_once", [False, True])
@pytest.mark.parametrize("signs", [False, True])
@pytest.mark.parametrize("bed", [{}, {"lift": HEIGHTS, "height_map": BENT}], ids=["flat", "bent"])
def test_a_stop_as_wished_is_resumed(
    at_once: bool, signs: bool, bed: dict[str, Any], tmp_path: Path
) -> None:
    machine = bench(signs=signs, **bed)
    plot = two_pens(machine)
    controller, port = virtual(machine)
    log = tmp_path / "log.jsonl"
    with streaming.stream(plot, port=port, log=log) as going:
        for event in going:
            if event.kind == "progress" and event.share > 0.3:
                going.stop(at_once=at_once)
    outcome = going.outcome
    assert outcome is not None
    assert outcome.kind == "stopped"
    assert outcome.is_lifted
    run_out(controller)
    assert not controller.is_down
    rest = streaming.resume(log, tmp_path / "rest.gcode", plot=plot)
    check_resumed(controller, plot, rest)
    if not at_once:
        assert rest.twice == 0.0
    again, port = virtual(machine)
    streaming.send(tmp_path / "rest.gcode", machine, port=port, log=None, ask=lambda _: True)
    check_drawn(again, rest.plot)


def test_leaving_the_loop_stops_and_raises_the_pen() -> None:
    machine = bench()
    controller, port = virtual(machine)
    with streaming.stream(two_pens(machine), port=port, log=None) as going:
        for event in going:
            if event.kind == "progress" and controller.is_down:
                break
    assert going.outcome is not None
    assert going.outcome.is_lifted
    run_out(controller)
    assert not controller.is_down


def test_ctrl_c_raises_the_pen_and_so_does_the_second_one(tmp_path: Path) -> None:
    machine = bench()
    controller, port = virtual(machine)
    real = port.read
    pressed = 0

    def read(seconds: float) -> bytes:
        nonlocal pressed
        if controller.is_down and controller.executed > 6 and pressed < 5:
            pressed += 1  # pressed again while the pen is being raised
            os.kill(os.getpid(), signal.SIGINT)
        return real(seconds)

    port.read = read  # type: ignore[method-assign]
    log = tmp_path / "log.jsonl"
    before = signal.getsignal(signal.SIGINT)
    with pytest.raises(KeyboardInterrupt):
        streaming.send(two_pens(machine), port=port, log=log, ask=lambda _: True)
    assert signal.getsignal(signal.SIGINT) is before
    assert pressed > 1
    run_out(controller)
    assert controller.told_up
    assert not controller.is_down
    assert json.loads(log.read_text().splitlines()[-1])["end"] == "interrupted"
    rest = streaming.resume(log, tmp_path / "rest.gcode", plot=two_pens(machine))
    check_resumed(controller, two_pens(machine), rest)


def test_the_log_is_on_the_disk_before_a_line_is_sent_and_after_its_answer(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    machine = bench()
    controller, port = virtual(machine)
    log = tmp_path / "log.jsonl"
    synced = ""
    real_sync = os.fsync
    real_write = port.write

    def sync(file: int) -> None:
        nonlocal synced
        real_sync(file)
        synced = log.read_text()

    def write(data: bytes, seconds: float) -> None:
        said = synced.splitlines()
        if data.endswith(b"\n"):
            assert json.loads(said[-1])["sent"] > 0
            taken = [line for line in said if "taken" in json.loads(line)]
            assert len(taken) >= controller.counts.lines - 1
        real_write(data, seconds)

    monkeypatch.setattr("os.fsync", sync)
    port.write = write  # type: ignore[method-assign]
    one = pl.plan(pl.Drawing([[(5, 5), (40, 30)], [(50, 50), (60, 60)]]), machine)
    streaming.send(one, port=port, log=log)
    assert json.loads(synced.splitlines()[-1])["end"] == "finished"


def test_a_log_cut_short_is_read_and_another_file_is_refused(tmp_path: Path) -> None:
    machine = bench()
    plot = two_pens(machine)
    _, port = virtual(machine)
    log = tmp_path / "log.jsonl"
    streaming.send(plot, port=port, log=log, ask=lambda _: True)
    whole = log.read_text()
    log.write_text(whole[: len(whole) // 2])
    assert not streaming.read_log(log).is_complete
    with pytest.raises(InvalidValue, match="this is not what was sent"):
        streaming.resume(log, tmp_path / "rest.gcode", plot=plot.part(strokes=1))
    with pytest.raises(InvalidValue, match="pass plot="):
        streaming.resume(log, tmp_path / "rest.gcode")
    log.write_text(whole)
    with pytest.raises(InvalidValue, match="everything was drawn"):
        streaming.resume(log, tmp_path / "rest.gcode", plot=plot)
    log.write_text("moon\n")
    with pytest.raises(streaming.LogError, match="no record of a log"):
        streaming.read_log(log)
    log.write_text("{}\n")
    with pytest.raises(streaming.LogError, match="not a log of plotlib"):
        streaming.read_log(log)


def test_what_is_left_after_a_line_of_a_file_that_another_program_sent() -> None:
    plot = two_pens(bench())
    text = gcode_lines(plot)
    last = max(n for n, line in enumerate(text, 1) if line.startswith("G0"))
    assert streaming.rest_after(plot, 1).stroke == 0
    rest = streaming.rest_after(plot, last - 1)
    assert len(rest.plot.drawing) == 0
    middle = streaming.rest_after(plot, last // 2, overlap=1.5)
    assert 0 < len(middle.plot.drawing) < len(plot.drawing) + 1


def gcode_lines(plot: pl.Plot) -> list[str]:
    from plotlib.gcode.writer import text_of

    return text_of(plot).splitlines()


# ---- over a pseudo-terminal, from the command line


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals are of Unix")
def test_the_command_line_sends_over_a_pseudo_terminal(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    machine = bench()
    machine.save(tmp_path / "bench.toml")
    path = written(tmp_path, machine)
    monkeypatch.setattr("builtins.input", lambda _: "")
    with serve(machine, speed=400) as served:
        code = main([str(path), "--machine", str(tmp_path / "bench.toml"), "--port", served.port])
    told = capsys.readouterr()
    assert code == 0, told.err
    assert "Keep" in told.out
    assert "everything is drawn" in told.out
    check_drawn(served.controller, two_pens(machine))
    assert streaming.read_log(f"{path}.1.jsonl").is_complete
    assert threading.active_count() == 1


@pytest.mark.parametrize(
    ("arguments", "reason"),
    [
        (["plot.gcode"], "--machine and --port are needed"),
        (["no.gcode", "--machine", "bench.toml", "--port", "x"], "there is no such file"),
        (["rest.gcode", "--resume", "no.jsonl"], "cannot read the log"),
        (["empty.gcode", "--machine", "bench.toml", "--port", "x"], "'empty.gcode' is empty"),
        (["one.gcode", "--machine", "bench.toml", "--port", "x"], "nothing says the unit yet"),
        (["plot.gcode", "--machine", "bench.toml", "--port", "x", "--overlap", "2"], "--resume"),
    ],
)
def test_the_command_line_says_why_it_does_not_begin(
    arguments: list[str],
    reason: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    bench().save(tmp_path / "bench.toml")
    written(tmp_path, bench())
    (tmp_path / "empty.gcode").touch()
    (tmp_path / "one.gcode").write_text("G0 X5", encoding="ascii")
    assert main(arguments) == 2
    assert reason in capsys.readouterr().err


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals are of Unix")
def test_nobody_at_the_pen_change_stops_the_plot_and_says_the_way_on(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def nobody(_: str) -> str:
        raise EOFError

    monkeypatch.setattr("builtins.input", nobody)
    machine = bench()
    machine.save(tmp_path / "bench.toml")
    path = written(tmp_path, machine)
    log = tmp_path / "log.jsonl"
    options = ["--machine", str(tmp_path / "bench.toml"), "--log", str(log)]
    with serve(machine, speed=200) as served:
        code = main([str(path), *options, "--port", served.port])
    assert code == 1
    assert f"--resume {log}" in capsys.readouterr().err
    assert main([str(tmp_path / "rest.gcode"), "--resume", str(log)]) == 0


def test_the_help_names_the_sentence_for_unproven_files(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["--help"])
    assert UNPROVEN in " ".join(capsys.readouterr().out.split())


@pytest.mark.skipif(sys.platform == "win32", reason="ports have other names")
def test_a_missing_port_is_named_once_and_others_are_offered(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    there_are = [SimpleNamespace(device="/dev/ttyB"), SimpleNamespace(device="/dev/ttyA")]
    monkeypatch.setattr("serial.tools.list_ports.comports", lambda: there_are)
    with pytest.raises(PortGone) as caught:
        SerialPort("/dev/ttyNone")
    assert str(caught.value).count("/dev/ttyNone") == 1
    assert str(caught.value).endswith("; there are /dev/ttyA, /dev/ttyB")


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals are of Unix")
def test_a_pulled_cable_ends_with_1_and_the_way_on(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    machine = bench()
    machine.save(tmp_path / "bench.toml")
    path = written(tmp_path, machine)
    log = tmp_path / "log.jsonl"
    with serve(machine, speed=30) as served:
        threading.Timer(0.4, served.pull.set).start()
        options = ["--machine", str(tmp_path / "bench.toml"), "--log", str(log)]
        code = main([str(path), *options, "--port", served.port])
    told = capsys.readouterr()
    assert code == 1
    assert "the port is gone" in told.err
    assert f"--resume {log}" in told.err
    assert main([str(tmp_path / "rest.gcode"), "--resume", str(log)]) == 0
    rest = gcode.read(tmp_path / "rest.gcode", machine)
    run_out(served.controller)
    whole = list(two_pens(machine).drawing)
    assert len(rest) + len(served.controller.strokes) >= len(whole)


def test_the_pen_of_a_simulated_machine_draws_what_was_planned_without_a_queue() -> None:
    machine = bench(look_ahead=1)
    controller, port = virtual(machine)
    streaming.send(two_pens(machine), port=port, log=None, ask=lambda _: True)
    assert np.isclose(controller.drawn.length, two_pens(machine).drawing.length)


def test_a_dry_run_and_a_walk_are_sent_and_draw_nothing(tmp_path: Path) -> None:
    machine = bench()
    plot = two_pens(machine)
    gcode.dry_run(plot, tmp_path / "dry.gcode")
    gcode.walk_around(plot, tmp_path / "walk.gcode")
    for name in ("dry.gcode", "walk.gcode"):
        controller, port = virtual(machine)
        outcome = streaming.send(tmp_path / name, machine, port=port, log=None, ask=lambda _: True)
        assert outcome.is_finished
        assert controller.strokes == []
        assert controller.place == machine.park
    text = (tmp_path / "dry.gcode").read_text()
    (tmp_path / "dry.gcode").write_text(text.replace("X90.000", "X900.000"))
    with pytest.raises(streaming.NotProven, match="leaves the bed"):
        streaming.send(tmp_path / "dry.gcode", machine, port=port, log=None)


def test_pens_with_different_lifts_are_sent_one_by_one() -> None:
    machine = bench()
    brush = pl.Pen("brush", lift=pl.ServoLift("M5", "M3 S60"))
    circle = pl.shapes.circle((50, 40), 20)
    plot = pl.plan(circle + circle.inked(brush), machine)
    _, port = virtual(machine)
    with pytest.raises(InvalidValue, match="send it pen by pen"):
        streaming.stream(plot, port=port, log=None)
    part = plot.part(pens="brush")
    controller, port = virtual(part.machine)
    assert streaming.send(part, port=port, log=None).is_finished
    check_drawn(controller, part)


def test_a_pen_with_a_lift_of_its_own_is_raised_by_it(tmp_path: Path) -> None:
    machine = bench()
    brush = pl.Pen("brush", lift=pl.ServoLift("M5", "M3 S60", settle_down=0.5))
    plot = pl.plan(pl.shapes.circle((50, 40), 20, pen=brush), machine).part()
    assert plot.machine.lift == brush.lift
    controller, port = virtual(plot.machine)
    with streaming.stream(plot, port=port, log=None) as going:
        for event in going:
            if event.kind == "progress" and controller.is_down:
                going.stop(at_once=True)
    assert going.outcome is not None
    assert going.outcome.is_lifted
    run_out(controller)
    assert not controller.is_down


@pytest.mark.parametrize("share", [0.3, 0.7])
def test_a_file_with_arcs_is_sent_stopped_and_resumed(share: float, tmp_path: Path) -> None:
    machine = bench(arcs=True)
    rings = pl.shapes.circle((25, 40), 15) + pl.shapes.rectangle((50, 20), 40, 30, radius=6)
    plot = pl.plan(rings + pl.shapes.star((75, 62), 8), machine)
    path = tmp_path / "rings.gcode"
    gcode.write(plot, path)
    assert len(plot_of(path.read_text(), machine).arcs) == len(plot.arcs) >= 5
    controller, port = virtual(machine)
    stream = streaming.stream(path, machine, port=port, log=tmp_path / "log.jsonl")
    for event in stream:
        if event.kind == "progress" and event.share > share:
            stream.stop()
    rest = streaming.resume(tmp_path / "log.jsonl", tmp_path / "rest.gcode", overlap=1.0)
    after, port = virtual(machine)
    streaming.send(tmp_path / "rest.gcode", machine, port=port, log=tmp_path / "rest.jsonl")
    drawn = [stroke for each in (controller, after) for stroke in each.strokes if len(stroke) > 1]
    ink = shapely.union_all([shapely.LineString(stroke) for stroke in drawn])
    dense = plot.drawing.resampled(0.5).points
    assert shapely.distance(shapely.points(dense), ink).max() <= 0.011
    assert rest.twice < plot.drawing.length


@pytest.mark.parametrize(
    ("answer", "kind"), [(False, "stopped"), (None, "finished"), (0, "finished")]
)
def test_a_listener_that_says_false_stops_the_plot(answer: Any, kind: str) -> None:
    machine = bench()
    controller, port = virtual(machine)
    outcome = streaming.send(
        two_pens(machine), port=port, log=None, ask=lambda _: True, listener=lambda _: answer
    )
    assert outcome.kind == kind
    assert (len(controller.strokes) == len(two_pens(machine).drawing)) == (kind == "finished")


@pytest.mark.parametrize(
    ("answer", "kind"), [(False, "stopped"), (None, "finished"), (0, "finished")]
)
def test_who_does_not_change_the_pen_stops_the_plot(answer: Any, kind: str) -> None:
    machine = bench()
    _, port = virtual(machine)
    outcome = streaming.send(two_pens(machine), port=port, log=None, ask=lambda _: answer)
    assert outcome.kind == kind
