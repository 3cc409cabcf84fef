"""One file for each pen of a plot, all with the same zero."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from pathlib import Path

from plotlib.checks import string
from plotlib.errors import InvalidValue
from plotlib.files import PathLike, write_whole
from plotlib.gcode.proving.proof import check
from plotlib.gcode.writer import text_of
from plotlib.planning.plot import Plot
from plotlib.progress import Progress, asked


def write_each(
    plot: Plot,
    path: PathLike,
    *,
    title: str = "",
    date: str = "",
    progress: Progress = None,
) -> tuple[Path, ...]:
    r"""Write one G-code file for each pen of a plot, each with a proof of its own.

    All files count from the same zero, begin at home and end parked, so that the colours lie where
    they belong as long as paper and zero stay. A pen with a lift or an offset of its own is driven
    by it. No file is written before all are proven.

    Parameters
    ----------
    plot : Plot
        From ``plan``; its pens come in their order.
    path : path
        ``chart.gcode`` gives ``chart-1-blue.gcode``, ``chart-2-red.gcode`` and so on.
    title, date : str, optional
        For the comment headers, as in ``write``.
    progress : bool or function, optional
        True shows it at once, a function is given the share done, 0 … 1; None shows it as
        :mod:`plotlib.progress` does, above two seconds, and False nothing.

    Returns
    -------
    tuple of Path
        The files in the order in which they are to be drawn.

    Raises
    ------
    ProofError
        If a text does not replay to its part of the plot; nothing is written.
    InvalidValue
        If ``plot`` is no Plot, or ``title`` or ``date`` is no text.
    NotWritten
        If a file cannot be written.

    Examples
    --------
    >>> import tempfile
    >>> from pathlib import Path
    >>> import plotlib as pl
    >>> axis = pl.Axis(9_000)
    >>> lift = pl.ServoLift("M5", "M3 S90")
    >>> machine = pl.Machine(width=200, height=100, x=axis, y=axis, feed=600, lift=lift)
    >>> moon = pl.shapes.circle((60, 50), 20, pen=pl.Pen("Blue 0.4"))
    >>> brush = pl.Pen("brush", lift=pl.ServoLift("M5", "M3 S60", settle_down=0.6))
    >>> plot = pl.plan(moon + moon.moved(5, 0).inked(brush), machine)
    >>> paths = write_each(plot, Path(tempfile.mkdtemp()) / "moon.gcode")
    >>> [path.name for path in paths]
    ['moon-1-blue-0-4.gcode', 'moon-2-brush.gcode']
    """
    if not isinstance(plot, Plot):
        raise InvalidValue(
            f"gcode.write_each takes a Plot, made by plan(drawing, machine); got "
            f"{type(plot).__name__}"
        )
    headline = string("title", title)
    day = string("date", date)
    proven = []
    with asked("proving the G-code", progress) as work:
        for number, (target, part) in enumerate(_parts(plot, _checked(path)), 1):
            text = text_of(part, title=headline, date=day)
            check(text, part)
            proven.append((target, text))
            work.done(number / max(1, len(plot.drawing.pens)))
    for target, text in proven:
        write_whole(target, text.encode("ascii"))
    return tuple(target for target, _ in proven)


def _checked(path: PathLike) -> Path:
    try:
        found = Path(path)
    except TypeError as error:
        raise InvalidValue(f"path must be a path, got {path!r:.200}", name="path") from error
    if not found.name:
        raise InvalidValue(f"path must name a file, got {path!r:.200}", name="path", value=path)
    return found


def _parts(plot: Plot, path: Path) -> Iterator[tuple[Path, Plot]]:
    """The file and the part of each pen."""
    for number, pen in enumerate(plot.drawing.pens, 1):
        parts = [path.stem, str(number), _plain(pen.name)]
        name = "-".join(part for part in parts if part)
        yield path.with_name(name + path.suffix), plot.part(pens=pen)


def _plain(name: str) -> str:
    """A pen's name in letters and digits that every file system takes."""
    letters = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", letters).strip("-")[:40]
