"""Ports: the wire to a controller, whatever it is made of."""

from __future__ import annotations

import os
import time
from typing import Any, Protocol

from plotlib.checks import package, positive, string
from plotlib.errors import PlotlibError


class PortGone(PlotlibError, OSError):
    """The port has vanished: the cable was pulled, or the other side has closed it."""


class PortStuck(PlotlibError, OSError):
    """The port takes no more bytes in time."""


class Port(Protocol):
    """What a wire must do. Time is the port's own, in seconds, so that a simulated one may run
    faster than the world.
    """

    def now(self) -> float:
        """Seconds since some moment."""

    def read(self, seconds: float) -> bytes:
        """What has arrived, as soon as there is anything; nothing if nothing comes in so many
        seconds. Raises PortGone.
        """

    def write(self, data: bytes, seconds: float) -> None:
        """Send all of it within so many seconds. Raises PortGone, or PortStuck."""

    def close(self) -> None:
        """Let go of the wire."""


class SerialPort:
    """A serial port, or whatever else pyserial opens by a URL, such as ``socket://localhost:7777``.

    Parameters
    ----------
    name : str
        The name that the system gives it.
    baud : float, optional
        Bits per second.
    """

    def __init__(self, name: str, *, baud: float | None = None) -> None:
        self._serial = _opened(string("port", name), baud)

    def now(self) -> float:
        return time.monotonic()

    def read(self, seconds: float) -> bytes:
        serial = self._serial
        try:
            waiting = int(getattr(serial, "in_waiting", 0))
            serial.timeout = seconds
            data = bytes(serial.read(max(waiting, 1)))
            more = int(getattr(serial, "in_waiting", 0)) if data else 0
            return data + bytes(serial.read(more)) if more else data
        except (OSError, TypeError) as error:  # pyserial's own errors are OSErrors
            raise PortGone(f"the port is gone: {error}") from error

    def write(self, data: bytes, seconds: float) -> None:
        import serial

        end = self.now() + seconds
        left = data
        while left:
            self._serial.write_timeout = max(end - self.now(), 0.01)
            try:
                sent = self._serial.write(left)
            except serial.SerialTimeoutException as error:
                raise PortStuck(f"the port takes no more bytes: {error}") from error
            except OSError as error:
                raise PortGone(f"the port is gone: {error}") from error
            left = left[len(left) if sent is None else sent :]
            if left and self.now() >= end:
                raise PortStuck(f"the port takes no more bytes, {len(left)} are left")

    def close(self) -> None:
        # pyserial shuts a socket down before it closes it; where the other side has reset it that
        # fails, and the socket would stay open.
        wire = getattr(self._serial, "_socket", None)
        self._serial.close()
        if wire is not None:
            wire.close()


def _opened(name: str, baud: float | None) -> Any:
    serial = package("serial", install="pyserial", use="plotlib.streaming")
    options: dict[str, Any] = {} if baud is None else {"baudrate": int(positive("baud", baud))}
    options |= {"timeout": 0.1, "write_timeout": 1.0}
    if "://" not in name:
        options["exclusive"] = True
    try:
        return serial.serial_for_url(name, **options)
    except (OSError, ValueError) as error:
        raise PortGone(
            f"cannot open the port {name!r}: {_why(error)}; check its name and the cable, and "
            f"that no other program holds it{_ports_there_are()}",
            port=name,
        ) from error


def _why(error: OSError | ValueError) -> str:
    """The system's own words; pyserial's repeat them and the name."""
    number = getattr(error, "errno", None)
    return os.strerror(number) if isinstance(number, int) else str(error)


def _ports_there_are() -> str:
    """The serial ports of this computer, for a message; nothing where there are none."""
    from serial.tools import list_ports

    names = sorted(port.device for port in list_ports.comports())
    return f"; there are {', '.join(names[:20])}" if names else ""
