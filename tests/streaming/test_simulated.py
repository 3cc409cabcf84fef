"""The simulated controller alone, driven byte by byte: what it answers, when, and what it draws."""

from __future__ import annotations

import math
import os
import socket
import sys
import threading
import time
from typing import Any

import numpy as np
import pytest
from streaming_bench import HEIGHTS, bench, run_out

import plotlib as pl
from plotlib.errors import InvalidValue
from plotlib.streaming.ports import PortGone, PortStuck, SerialPort
from plotlib.streaming.simulated import Controller, VirtualPort, faulty, serve, wires


def said(controller: Controller) -> list[str]:
    """What is on the wire, taken off it."""
    lines = [data.decode("latin-1") for _, data in controller.out]
    controller.out.clear()
    assert all(line.endswith("\r\n") for line in lines)
    return [line[:-2] for line in lines]


def told(controller: Controller, *lines: str) -> list[str]:
    """What a controller answers to lines, all of which it gets at once."""
    controller.receive("".join(line + "\n" for line in lines).encode())
    return said(controller)


@pytest.mark.parametrize(
    ("line", "answer"),
    [
        ("G21", "taken"),
        ("", "taken"),
        ("(a word) G90", "taken"),
        ("G01 X10 F600; a word", "taken"),
        ("M5", "taken"),
        ("G99", "cannot unknown G99"),
        ("G1 X10 what", "cannot unreadable 'what'"),
        ("X10", "cannot no motion word"),
        ("G1 X10", "cannot no feed"),
        ("G1 X10 F0", "cannot no feed"),
        ("G0 X10", "taken"),
        ("G2 X10 Y0 I5 F600", "cannot no arcs"),
    ],
)
def test_each_line_has_its_answer(line: str, answer: str) -> None:
    controller = Controller(bench())
    assert told(controller, line) == [answer]
    assert controller.counts.lines == 1
    assert controller.counts.refused == int(answer != "taken")
    assert controller.counts.received == len(line) + 1


def test_it_says_what_it_is_and_where_it_is() -> None:
    with pytest.raises(InvalidValue, match="declares no dialogue"):
        Controller(bench(dialogue=None))
    controller = Controller(bench())
    controller.greet()
    assert said(controller) == ["awake (simulated)"]
    controller.receive(b"\x04")
    assert said(controller) == ["<resting>"]
    controller.receive(b"G4")
    controller.receive(b"\x04")
    assert said(controller) == ["<working>"]
    assert not controller.rests
    controller.receive(b" P1\n\x04")
    assert said(controller) == ["taken", "<working>"]
    assert controller.moves
    run_out(controller)
    controller.receive(b"\x04")
    assert said(controller) == ["<resting>"]
    assert controller.rests
    assert controller.time == 1


@pytest.mark.parametrize(("size", "dropped"), [(8, 2), (9, 1), (10, 0), (11, 0)])
def test_bytes_that_have_no_room_are_lost(size: int, dropped: int) -> None:
    controller = Controller(bench(), receive_bytes=size)
    controller.receive(b"G0 X123456")
    assert controller.counts.received == 10
    assert controller.counts.dropped == dropped
    assert Controller(bench()).size == 96


def test_a_full_queue_lets_lines_wait() -> None:
    controller = Controller(bench(look_ahead=2))
    assert told(controller, "G4 P1", "G4 P2", "G4 P4", "G4 P8") == ["taken", "taken"]
    assert controller.next_event == 1
    controller.advance(0.999)
    assert (said(controller), controller.executed) == ([], 0)
    controller.advance(1)
    assert (said(controller), controller.executed) == (["taken"], 1)
    assert controller.next_event == 3
    controller.advance(3.5)
    assert (said(controller), controller.executed) == (["taken"], 2)
    assert (controller.next_event, controller.time) == (7, 3.5)
    run_out(controller)
    assert (controller.time, controller.executed) == (15, 4)
    assert controller.next_event == math.inf


def test_dwells_may_be_told_in_milliseconds() -> None:
    controller = Controller(bench(dwell="milliseconds"))
    assert told(controller, "G4 P250") == ["taken"]
    assert controller.next_event == 0.25


def test_moves_follow_the_axes_and_the_words() -> None:
    """The zero of x is 100 mm to the right, and it counts to the left."""
    machine = bench(zero=(100, 0), x=pl.Axis(9_000, 500, reversed=True), home=(100, 0))
    controller = Controller(machine)
    assert controller.place == (100, 0)
    lines = ["G90", "G0 X10 Y5", "M3 S90", "G1 X20 F600", "G91", "X5 Y10", "Y-3", "G90", "X0"]
    for line in lines:
        assert told(controller, line) == ["taken"]
        run_out(controller)
    assert controller.is_down
    assert not controller.told_up
    places = [(90, 5), (80, 5), (75, 15), (75, 12), (100, 12)]
    assert controller.drawn[0] == pytest.approx(np.array(places))
    assert told(controller, "M5") == ["taken"]
    run_out(controller)
    assert not controller.is_down
    assert controller.told_up
    assert len(controller.drawn) == 1


def test_a_long_move_takes_its_time_and_a_ramp_at_both_ends() -> None:
    """80 mm at 50 mm/s, with 500 mm/s² along x: a second and six tenths, and a tenth to speed up
    and down: v / a, as each ramp covers half the way that the full speed would.
    """
    controller = Controller(bench())
    assert told(controller, "G1 X80 F3000") == ["taken"]
    assert controller.next_event == pytest.approx(80 / 50 + 50 / 500, rel=1e-3)
    controller = Controller(bench())
    assert told(controller, "G0 X80") == ["taken"]
    quick = 9_000 / 60
    way = quick**2 / 500  # of both ramps together
    assert controller.next_event == pytest.approx((80 - way) / quick + 2 * quick / 500, rel=1e-3)


@pytest.mark.parametrize("between", ["G4 P1", "M3 S90"])
def test_after_a_standstill_a_move_begins_from_rest(between: str) -> None:
    """40 mm, something else, and 40 mm on take twice as long as the first 40."""
    controller = Controller(bench())
    told(controller, "G1 X40 F3000")
    run_out(controller)
    once = controller.time
    told(controller, between)
    run_out(controller)
    begun = controller.time
    told(controller, "G1 X80")
    run_out(controller)
    assert controller.time - begun == pytest.approx(once, rel=1e-3)
    controller = Controller(bench())
    told(controller, "G1 X40 F3000", "X80")
    run_out(controller)
    assert controller.time < 2 * once - 0.04  # without it the pen does not stop


def test_a_hold_stands_still_and_goes_on_where_it_was() -> None:
    controller = Controller(bench())
    told(controller, "M3 S90", "G4 P4")
    controller.advance(1)
    controller.receive(b"\x01")
    assert controller.next_event == math.inf
    controller.advance(10)
    controller.receive(b"\x01")  # once more changes nothing
    controller.receive(b"\x02")
    assert controller.next_event == 13
    controller.receive(b"\x02")
    assert controller.next_event == 13
    run_out(controller)
    assert controller.time == 13


def test_what_comes_while_it_is_held_waits() -> None:
    controller = Controller(bench())
    controller.receive(b"\x01")
    assert told(controller, "G4 P2") == ["taken"]
    assert controller.next_event == math.inf
    controller.advance(5)
    controller.receive(b"\x02")
    assert controller.next_event == 7


def test_a_halt_leaves_the_pen_where_it_was_and_forgets() -> None:
    """Half way along 80 mm at a steady speed."""
    machine = bench(x=pl.Axis(9_000), y=pl.Axis(6_000))
    controller = Controller(machine)
    told(controller, "M3 S90", "G1 X80 F3000", "G4 P9")
    controller.advance(0)
    controller.advance(controller.next_event / 2)
    controller.receive(b"\x03")
    assert said(controller) == ["awake (simulated)"]
    assert controller.next_event == math.inf
    assert not controller.moves
    assert controller.place[0] == pytest.approx(40, rel=0.01)
    assert controller.drawn[0][-1] == pytest.approx(controller.place)
    assert controller.is_down  # nobody raised it
    assert told(controller, "X10") == ["cannot no motion word"]


def test_locked_until_the_word_is_said() -> None:
    words: Any = bench().dialogue
    machine = bench(dialogue=pl.Dialogue(accepted="taken", refused="cannot", unlock=("$X",)))
    assert words.unlock == ()
    controller = Controller(machine)
    controller.greet()
    assert told(controller, "G21", "$X", "G21") == ["cannot locked", "taken", "taken"]


def test_a_pen_along_z_goes_at_its_feed() -> None:
    """4 mm at 600 mm/min are 0.4 s; down is anything that is not up."""
    controller = Controller(bench(lift=HEIGHTS))
    assert told(controller, "G90", "G0 Z4") == ["taken", "taken"]
    assert controller.next_event == pytest.approx(0.4)
    run_out(controller)
    assert (controller.height, controller.is_down) == (4, False)
    assert told(controller, "G1 Z0 F300") == ["taken"]
    assert not controller.told_up
    assert controller.next_event == pytest.approx(0.8)
    run_out(controller)
    assert (controller.height, controller.is_down) == (0, True)
    assert told(controller, "G91", "G1 Z4.5 F600", "G90") == ["taken"] * 3
    assert controller.told_up
    run_out(controller)
    assert (controller.height, controller.is_down) == (4.5, False)
    assert len(controller.drawn) == 1


# ---- the wire


def heard(port: VirtualPort, seconds: float, times: int) -> list[tuple[float, bytes]]:
    """What comes in so many looks, and when."""
    found = []
    for _ in range(times):
        data = port.read(seconds)
        found.append((round(port.now(), 6), data))
    return found


def test_bytes_take_their_time_in_both_directions() -> None:
    """100 bits a second are ten bytes. Two lines of four bytes are there after 0.4 and 0.8 s, the
    answers of seven bytes after 1.1 and, one after the other, 1.8 s.
    """
    port = VirtualPort(Controller(bench()), baud=100)
    port.write(b"G21\nG90\n", 1)
    answers = [(0.5, b""), (1.0, b""), (1.1, b"taken\r\n"), (1.6, b""), (1.8, b"taken\r\n")]
    assert heard(port, 0.5, 5) == answers
    assert port.read(0.25) == b""
    assert port.now() == pytest.approx(2.05)
    port.write(b"G4 P1\nG4 P1\n", 1)  # the wire was free: there after 0.6 s
    assert heard(port, 2, 1) == [(3.35, b"taken\r\n")]
    assert port.controller.next_event == pytest.approx(3.65)


def test_without_a_rate_bytes_take_no_time_and_moves_do() -> None:
    port = VirtualPort(Controller(bench(look_ahead=1)))
    port.write(b"G4 P3\nG4 P5\n", 1)
    assert heard(port, 10, 2) == [(0, b"taken\r\n"), (3, b"taken\r\n")]
    assert heard(port, 10, 1) == [(13, b"")]
    assert port.controller.time == 13
    assert port.controller.executed == 2


def test_a_pulled_cable_is_gone_both_ways() -> None:
    port = VirtualPort(Controller(bench()))
    port.close()
    with pytest.raises(PortGone, match="pulled"):
        port.read(1)
    with pytest.raises(PortGone, match="pulled"):
        port.write(b"G21\n", 1)


# ---- faults, at the second of four lines


def spoken(fault: str, at: int = 2, **options: Any) -> list[tuple[float, str]]:
    """What a controller says to lines that come a second apart, and when."""
    controller, _ = faulty(bench(**options), fault, at)
    for second, line in enumerate(["G21", "G90", "M5", "G91"], 1):
        controller.advance(second)
        controller.receive(f"{line}\n".encode())
    return [(time, data.decode("latin-1")) for time, data in controller.out]


YES = "taken\r\n"
BAD = "\xfe\x80\xf8"
PATIENCE = bench().dialogue.patience  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("fault", "second"),
    [
        ("none", [(2, YES)]),
        ("refuses", [(2, "cannot this line\r\n")]),
        ("refuses shortly", [(2, "cannot\r\n")]),
        ("danger", [(2, "danger\r\n")]),
        ("resets", [(2, "awake (simulated)\r\n")]),
        ("resets twice", [(2, "awake (simulated)\r\n")] * 2),
        ("resets silently", []),
        ("loses an answer", []),
        ("doubles an answer", [(2, YES)] * 2),
        ("late", [(2 + PATIENCE / 2, YES)]),
        ("too late", [(2 + 1e5 * PATIENCE, YES)]),
        ("splits an answer", [(2, "ta"), (2.03, "ken\r\n")]),
        ("glues answers", [(2, "note: the lid is shut\ntaken\r\n")]),
        ("other line ends", [(2, "taken\r")]),
        ("garbage in an answer", [(2, BAD + YES)]),
        ("garbage between", [(2, BAD + "\r\n" + YES)]),
        ("talks", [(2, "note: the lid is shut\r\n"), (2, YES), (2, "note: the lid is shut\r\n")]),
        ("other rate in", [(2, "cannot unreadable 'Ç¹°'\r\n")]),
        ("garbles", [(2, "cannot unreadable 'G¹0'\r\n")]),
    ],
)
def test_a_fault_happens_once(fault: str, second: list[tuple[float, str]]) -> None:
    made = spoken(fault)
    later = [(3, YES), (4, YES)]
    if fault == "other rate in":  # from then on
        later = [(3, "cannot unreadable 'Íµ'\r\n"), (4, "cannot unreadable 'Ç¹±'\r\n")]
    assert made == [(1, YES), *second, *later]


def test_some_faults_last() -> None:
    assert spoken("silence") == [(1, YES)]
    assert spoken("half an answer") == [(1, YES), (2, "ta")]
    words = ["taken\r\n"] * 4
    assert [text for _, text in spoken("other rate out")] == [BAD * (5 // 3 + 1)] * len(words)
    assert [text for _, text in spoken("other rate out", at=9)] == [BAD * 2] * 4


@pytest.mark.parametrize("fault", ["resets", "resets silently", "silence", "half an answer"])
def test_a_controller_that_forgets_stands_where_it_was(fault: str) -> None:
    """Half way along 80 mm at a steady speed; the queue is lost."""
    machine = bench(x=pl.Axis(9_000), y=pl.Axis(6_000))
    controller, _ = faulty(machine, fault, 4)
    told(controller, "M3 S90", "G1 X80 F3000", "G4 P9")
    controller.advance(0)
    controller.advance(controller.next_event / 2)
    controller.receive(b"G90\n")
    controller.out.clear()
    assert controller.place[0] == pytest.approx(40, rel=0.01)
    assert not controller.moves
    assert controller.is_dead == (fault in ("silence", "half an answer"))
    answers = told(controller, "G1 X5", "G21")
    if controller.is_dead:
        assert answers == []
    else:  # the motion word stands in the line, the feed is forgotten
        assert answers == ["cannot no feed", "taken"]


def test_a_small_buffer_is_a_third_of_what_is_said() -> None:
    assert faulty(bench(), "small buffer", 1)[0].size == 32
    tiny = bench(dialogue=pl.Dialogue(accepted="yes", refused="no", receive_bytes=16))
    assert faulty(tiny, "small buffer", 1)[0].size == 5
    assert faulty(bench(), "none", 1)[0].size == 96


def test_a_locked_controller_is_locked_again_after_it_has_forgotten() -> None:
    words = pl.Dialogue(accepted="taken", refused="cannot", unlock=("$X",))
    controller, _ = faulty(bench(dialogue=words), "resets silently", 2)
    assert told(controller, "G21", "G90", "G21", "$X") == ["taken", "cannot locked", "taken"]


@pytest.mark.parametrize("fault", ["pulled in writing", "pulled in reading", "stuck", "half stuck"])
def test_a_port_goes_wrong_with_its_line(fault: str) -> None:
    controller, port = faulty(bench(), fault, 2)
    port.write(b"G21\n", 1)
    assert port.read(1) == b"taken\r\n"
    if fault == "pulled in reading":
        port.write(b"G90\n", 1)
        for _ in range(2):
            with pytest.raises(PortGone):
                port.read(1)
        return
    with pytest.raises(PortGone if "pulled" in fault else PortStuck):
        port.write(b"G90 G21\n", 1.5)
    if fault == "pulled in writing":
        with pytest.raises(PortGone):
            port.write(b"G21\n", 1)
        return
    assert port.now() == pytest.approx(1.5)
    with pytest.raises(PortStuck):
        port.write(b"G21\n", 2)
    assert port.now() == pytest.approx(3.5)
    assert port.read(1) == b""
    assert controller.counts.received == 4 + (4 if fault == "half stuck" else 0)


# ---- wires that any program can open


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals are of Unix")
def test_a_terminal_carries_bytes_both_ways_and_lets_go() -> None:
    wire = wires._Terminal()
    handles = [wire._ours, wire._theirs]
    port = SerialPort(wire.name)
    assert wire.take(0) == b""
    port.write(b"G21\n\x11\x03", 1)  # signs are not heeded: the line is raw
    assert wire.take(1) == b"G21\n\x11\x03"
    wire.send(b"taken\r\n")
    assert port.read(1) == b"taken\r\n"
    port.close()
    for _ in range(100):
        wire.send(b"x" * 1_000)  # nobody reads: it is lost
    wire.close()
    for handle in handles:
        with pytest.raises(OSError, match=r"[Bb]ad file descriptor"):
            os.fstat(handle)


def test_a_socket_serves_one_after_the_other_and_lets_go() -> None:
    wire = wires._Socket()
    wire.send(b"to nobody")
    door = wire._door
    for _ in range(2):
        host, number = wire.name.removeprefix("socket://").split(":")
        with socket.create_connection((host, int(number))) as guest:
            assert wire.take(1) == b""  # comes in
            guest.sendall(b"G21\n")
            assert wire.take(1) == b"G21\n"
            assert wire.take(0) == b""
            wire.send(b"taken\r\n")
            assert guest.recv(99) == b"taken\r\n"
        assert wire.take(1) == b""  # has gone
        assert wire._guest is None
    with socket.create_connection((host, int(number))) as guest:
        wire.take(1)
        wire.close()
        assert guest.recv(99) == b""
    assert door.fileno() == -1


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals are of Unix")
def test_what_is_served_moves_faster_and_stops_with_its_block() -> None:
    """A dwell of 20 s at a thousand times the speed; after the cable is pulled it goes on."""
    machine = bench()
    with serve(machine, speed=1_000, receive_bytes=50) as served:
        assert served.controller.size == 50
        port = SerialPort(served.port)
        port.write(b"G4 P20\nG4 P5000\n", 1)
        end = time.monotonic() + 30
        while served.controller.executed < 1:
            assert time.monotonic() < end
            time.sleep(0.001)
        assert 20 <= served.controller.time < 5_000
        served.pull.set()
        while served.controller.executed < 2:
            assert time.monotonic() < end
            time.sleep(0.001)
        assert served.controller.time >= 5_020
        port.close()
    assert threading.active_count() == 1
