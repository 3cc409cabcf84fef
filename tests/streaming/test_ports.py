"""The serial port, with a wire that is played by hand, and with a socket of this computer that the
other side resets.
"""

from __future__ import annotations

import socket
import struct
from typing import Any

import pytest
import serial

from plotlib.errors import InvalidValue
from plotlib.streaming.ports import PortGone, PortStuck, SerialPort


class Wire:
    """What pyserial would open."""

    def __init__(self) -> None:
        self.timeout = 0.0
        self.write_timeout = 0.0
        self.coming: list[bytes] = []  # with each read more of it is there
        self.there = b""
        self.takes: list[int | None] = []  # how many bytes of each write
        self.written: list[tuple[bytes, float]] = []
        self.asked: list[int] = []
        self.time = 50.0
        self.broken: Exception | None = None
        self.is_closed = False

    @property
    def in_waiting(self) -> int:
        return len(self.there)

    def read(self, count: int) -> bytes:
        if self.broken:
            raise self.broken
        self.asked.append(count)
        data, self.there = self.there[:count], self.there[count:]
        if self.coming:
            self.there += self.coming.pop(0)
        return data

    def write(self, data: bytes) -> int | None:
        if self.broken:
            raise self.broken
        self.written.append((data, self.write_timeout))
        self.time += 1
        return self.takes.pop(0) if self.takes else len(data)

    def close(self) -> None:
        self.is_closed = True


@pytest.fixture
def wire(monkeypatch: pytest.MonkeyPatch) -> Wire:
    wire = Wire()
    monkeypatch.setattr("serial.serial_for_url", lambda *_, **__: wire)
    monkeypatch.setattr("plotlib.streaming.ports.time.monotonic", lambda: wire.time)
    return wire


@pytest.mark.parametrize(
    ("name", "baud", "options"),
    [
        ("/dev/ttyS9", 115_200.0, {"baudrate": 115_200, "exclusive": True}),
        ("/dev/ttyS9", None, {"exclusive": True}),
        ("socket://localhost:7777", None, {}),
        ("socket://localhost:7777", 9_600, {"baudrate": 9_600}),
    ],
)
def test_a_port_of_the_system_is_opened_for_one_program_alone(
    name: str, baud: float | None, options: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[Any] = []
    monkeypatch.setattr("serial.serial_for_url", lambda *how, **more: opened.append((how, more)))
    SerialPort(name, baud=baud)
    assert opened == [((name,), {"timeout": 0.1, "write_timeout": 1.0, **options})]
    with pytest.raises(InvalidValue, match="baud"):
        SerialPort(name, baud=0)


def test_all_that_waits_is_read_at_once(wire: Wire) -> None:
    port = SerialPort("by hand")
    wire.there = b"tak"
    wire.coming = [b"en"]
    assert port.read(0.25) == b"taken"
    assert wire.timeout == 0.25
    assert wire.asked == [3, 2]
    assert port.read(0.5) == b""
    assert wire.asked[2:] == [1]  # nothing is there: the first byte is waited for
    wire.coming = [b"o", b"k"]
    assert port.read(0.5) == b""
    assert port.read(0.5) == b"ok"


def test_a_line_is_written_in_as_many_pieces_as_the_wire_takes(wire: Wire) -> None:
    """Each write takes a second of ten."""
    port = SerialPort("by hand")
    assert port.now() == 50
    wire.takes = [4, 0, 2]
    port.write(b"G21 G90\n", 10)
    assert wire.written == [(b"G21 G90\n", 10), (b"G90\n", 9), (b"G90\n", 8), (b"0\n", 7)]
    wire.written.clear()
    wire.takes = [None]  # some wires do not say, and take all
    port.write(b"M5\n", 10)
    assert wire.written == [(b"M5\n", 10)]
    port.write(b"", 10)
    assert len(wire.written) == 1


@pytest.mark.parametrize("pieces", [1, 2])
def test_a_wire_that_takes_no_more_in_time_is_stuck(pieces: int, wire: Wire) -> None:
    port = SerialPort("by hand")
    wire.takes = [2] * pieces + [0]
    with pytest.raises(PortStuck, match=f"takes no more bytes, {8 - 2 * pieces} are left"):
        port.write(b"G21 G90\n", pieces)
    assert len(wire.written) == pieces
    wire.takes = []
    port.write(b"M5\n", 0)  # late, but all of it was taken
    assert wire.written[-1] == (b"M5\n", 0.01)


@pytest.mark.parametrize(
    ("broken", "kind"),
    [
        (serial.SerialTimeoutException("Write timeout"), PortStuck),
        (serial.SerialException("device disconnected"), PortGone),
        (OSError(5, "Input/output error"), PortGone),
    ],
)
def test_errors_of_the_wire_are_told_apart(
    broken: Exception, kind: type[Exception], wire: Wire
) -> None:
    port = SerialPort("by hand")
    wire.broken = broken
    with pytest.raises(kind, match=str(broken.args[-1])):
        port.write(b"M5\n", 1)
    with pytest.raises(PortGone, match=str(broken.args[-1])):
        port.read(0.1)
    wire.broken = TypeError("closed by another thread")
    with pytest.raises(PortGone, match="closed by another thread"):
        port.read(0.1)
    port.close()
    assert wire.is_closed


def test_a_socket_is_let_go_of_though_the_other_side_has_reset_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """After a reset (RFC 9293, section 3.5.3, from memory; here by lingering for no time) there is
    nothing to shut down.
    """
    monkeypatch.setattr("serial.urlhandler.protocol_socket.time.sleep", _at_once)
    with socket.create_server(("127.0.0.1", 0)) as door:
        port = SerialPort(f"socket://127.0.0.1:{door.getsockname()[1]}")
        guest, _ = door.accept()
        guest.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
        guest.close()
    ours: socket.socket = port._serial._socket
    with pytest.raises(PortGone):
        port.read(1)
    port.close()
    assert ours.fileno() == -1


def _at_once(seconds: float) -> None:
    del seconds


def test_a_port_that_has_no_socket_is_closed_as_it_is(wire: Wire) -> None:
    port = SerialPort("by hand")
    port.close()
    port.close()
    assert wire.is_closed
