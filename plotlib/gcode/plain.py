"""The quick way through plain lines: straight absolute moves in X and Y, the bulk of every program.

It does what ``Carriage.run`` does for such lines, and leaves everything else, every fault included, to it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from plotlib.gcode.carriage import Carriage
from plotlib.gcode.vocabulary import Command

_NUMBER = r"([-+]?\d{1,9}(?:\.\d{0,9})?)"
_PLAIN = re.compile(rf"(?:G0?([01]) ?)?(?:X{_NUMBER} ?)?(?:Y{_NUMBER} ?)?(?:F(\d{{1,9}}(?:\.\d{{0,9}})?))?").fullmatch
_MOVE = Command("G", {}, {})  # for followers of declared lines: something came between


def run_plain(carriage: Carriage, lines: Sequence[str], index: int, stop: int) -> int:
    """Run plain lines from ``index`` on, at most up to ``stop``; the index of the first line that is left to do."""
    modes, spot, record = carriage.modes, carriage.spot, carriage.record
    scale, motion, feed = modes.scale, modes.motion, modes.feed
    if scale is None or not modes.absolute or modes.inverse or carriage.down is None or not carriage.is_placed:
        return index
    x, y, dx, dy = spot.at["X"], spot.at["Y"], spot.offset["X"], spot.offset["Y"]
    put_x, put_y, put_feed = record.x.append, record.y.append, record.feed.append
    put_line, put_rapid = record.line.append, record.rapid.append
    begun = index
    while index < stop:
        match = _PLAIN(lines[index])
        if match is None:
            break
        word, to_x, to_y, rate = match.groups()
        if to_x is None and to_y is None:
            break
        rapid = word == "0" if word is not None else motion == "G0"
        if not rapid and ((word is None and motion != "G1") or (not feed and rate is None)):
            break
        if rate is not None:
            told = float(rate) * scale
            if not told:
                break
            feed = told
            record.say("F", index + 1)
        motion = "G0" if rapid else "G1"
        if to_x is not None:
            x = float(to_x) * scale + dx
        if to_y is not None:
            y = float(to_y) * scale + dy
        index += 1
        put_x(x)
        put_y(y)
        put_feed(feed or 0.0)
        put_line(index)
        put_rapid(rapid)
    spot.at["X"], spot.at["Y"] = x, y
    modes.motion, modes.feed = motion, feed
    if index > begun:
        carriage.pen.saw(_MOVE)
    return index
