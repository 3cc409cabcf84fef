"""Sets: one drawing as files for many machines, with a contents page, for people who share or sell
machine-ready drawings.
"""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from plotlib.checks import flag, several, string
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue, NotRead, OutsideEnvelope, PlotlibError
from plotlib.files import PathLike
from plotlib.gcode import write as write_gcode
from plotlib.gcode.comments import plain
from plotlib.machine import Machine
from plotlib.pen import Pen
from plotlib.planning.clock import clock
from plotlib.planning.lifting import with_lift_of
from plotlib.planning.options import check_kinds
from plotlib.planning.placing.advice import Task, check_envelope
from plotlib.planning.placing.grid import to_grid
from plotlib.planning.placing.notes import added_note, margin_note
from plotlib.planning.plan import plan
from plotlib.planning.plot import Plot
from plotlib.sheet import Sheet
from plotlib.text.letters import lettering

__all__ = ["Member", "plan_tray", "write_set"]

_SHARED = 1e-6  # mm²: what sheets side by side may share by rounding
_WIDE = 210.0  # mm, of the contents page
_ROW = 52.0
_TEXT = 2.6
_INK = Pen("contents", width=0.25, colour="#20242a")
_FRAME = Pen("frame of a picture", width=0.15, colour="#a8a49a")


@dataclass(frozen=True)
class Member:
    """What a set has for one machine.

    Attributes
    ----------
    machine : Machine
        Whom it is for.
    plot : Plot or None
        The plan; None if the drawing cannot be drawn there.
    files : tuple of Path
        The whole, and where there are more pens, one file for each of them.
    refusal : str
        Why there is none; empty where there is one.
    """

    machine: Machine
    plot: Plot | None
    files: tuple[Path, ...]
    refusal: str = ""


def plan_tray(
    drawings: Sequence[Drawing],
    sheets: Sequence[Sheet],
    machine: Machine,
    *,
    pens: Any = None,
    effort: str | float = "normal",
    drying: float | None = None,
) -> Plot:
    """One plot for several sheets on the bed, each with its own drawing.

    Each pen finishes one sheet before it goes to the next, in the order given.

    Parameters
    ----------
    drawings : sequence of Drawing
        One for each sheet, in its mm; one alone is drawn on all of them.
    sheets : sequence of Sheet
        Where they lie, as from ``sheet.many``; none on another.
    machine : Machine
        The machine.
    pens, effort, drying
        As ``plan`` takes them. A sheet is never gone over again with the same pen; ``drying`` sees
        to the order of the strokes on each.

    Returns
    -------
    Plot
        In bed mm; its sheet is all of them together, as they lie on the bed.

    Raises
    ------
    OutsideEnvelope
        If a drawing leaves its own sheet, or the bed.
    InvalidValue, UnknownName
        If an argument is invalid.

    Examples
    --------
    >>> from plotlib.machine import Axis, ServoLift
    >>> axis = Axis(9_000)
    >>> lift = ServoLift("M5", "M3 S90")
    >>> bench = Machine(width=120, height=90, x=axis, y=axis, feed=600, lift=lift)
    >>> cards = Sheet(50, 30, margin=3).many(2, 2, pitch=(55, 35))
    >>> len(plan_tray([Drawing([[(5, 5), (45, 25)]])], cards, bench).drawing)
    4
    """
    papers = several("sheets", sheets, "Sheets")
    if not papers or not all(isinstance(paper, Sheet) for paper in papers):
        raise InvalidValue(f"sheets must be Sheets, got {sheets!r:.100}", name="sheets")
    given = several("drawings", drawings, "Drawings")
    if len(given) == 1:
        given = given * len(papers)
    if len(given) != len(papers) or not all(isinstance(item, Drawing) for item in given):
        raise InvalidValue(
            f"drawings must be one Drawing for each of the {len(papers)} sheets, got "
            f"{drawings!r:.100}",
            name="drawings",
        )
    check_kinds(given[0], machine, papers[0])
    tray = _tray(papers)
    noted = _noted(given, papers, machine)
    laid = Drawing([_laid(item, paper) for item, paper in zip(given, papers, strict=True)])
    areas = [paper.on_bed for paper in papers]
    plot = plan(laid, machine, sheet=tray, pens=pens, effort=effort, drying=drying, areas=areas)
    tray = replace(tray, margin=min(paper.margin for paper in papers))
    if len(plot.arcs):
        ways = (to_grid(laid, machine, tray), to_grid(plot.drawing, machine, None))
        noted += added_note(*ways, machine, tray, advice="a machine without arcs keeps out")
    return replace(plot, sheet=tray, noted=(*plot.noted, *noted))


def _tray(papers: Sequence[Sheet]) -> Sheet:
    """All sheets as one that lies on the bed, in bed mm, without a margin."""
    areas = np.array([paper.on_bed for paper in papers], dtype=object)
    first, second = shapely.STRtree(areas).query(areas, predicate="intersects")
    shared = shapely.area(shapely.intersection(areas[first], areas[second]))
    for one, two in zip(first[shared > _SHARED], second[shared > _SHARED], strict=True):
        if one < two:
            raise InvalidValue(f"sheets {one} and {two} lie on each other", name="sheets")
    return Sheet.from_area(shapely.union_all(areas), margin=0)


def _laid(drawing: Drawing, paper: Sheet) -> Drawing:
    return drawing.turned(paper.angle).moved(*paper.at)


def _noted(drawings: Sequence[Drawing], papers: Sequence[Sheet], machine: Machine) -> list[str]:
    """That ink lies in a margin; OutsideEnvelope for a drawing that leaves its own sheet."""
    told = []
    for number, (drawing, paper) in enumerate(zip(drawings, papers, strict=True)):
        try:
            strokes = check_envelope(Task(drawing, machine, paper, margin=False))
        except OutsideEnvelope as error:
            raise OutsideEnvelope(f"sheet {number}: {error}", **error.facts) from error
        told += [f"sheet {number}: {note}" for note in margin_note(strokes, machine, paper)]
    if len(told) > 1:
        return [f"{told[0]}; drawings of {len(told)} sheets enter theirs"]
    return told


def write_set(
    drawing: Drawing,
    machines: PathLike | Sequence[Machine],
    folder: PathLike,
    *,
    sheet: Sheet | None = None,
    title: str = "",
    by_pen: bool = True,
) -> tuple[Member, ...]:
    """Plan a drawing for many machines and write proven files and a contents page.

    Files are named by machine and pen; ``contents.svg`` and ``contents.png`` show each plot with
    its time and pens. A machine on which it cannot be drawn gets no file, and the page says why.

    Parameters
    ----------
    drawing : Drawing
        In sheet mm when a sheet is given, else in bed mm.
    machines : path or sequence of Machine
        A folder of profiles (``*.toml``), or the machines themselves.
    folder : path
        Where the files go; made where it is missing.
    sheet : Sheet, optional
        The paper.
    title : str, optional
        For the page and for the files' headers.
    by_pen : bool, default True
        Whether plots with several pens are also written pen by pen, for machines without a stop.

    Returns
    -------
    tuple of Member
        One for each machine, in the order given; of a folder in that of the names.

    Raises
    ------
    InvalidValue
        If there is no machine, or an argument is of another kind.
    NotRead, ProfileError
        If the folder or a profile cannot be read.
    NotWritten, MissingPackage
        If a file cannot be written, or pillow is not installed.

    Examples
    --------
    >>> import tempfile
    >>> from plotlib.machine import Axis, ServoLift
    >>> axis = Axis(9_000)
    >>> lift = ServoLift("M5", "M3 S90")
    >>> bench = Machine(width=99, height=90, x=axis, y=axis, feed=600, lift=lift, name="small one")
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     made = write_set(Drawing([[(5, 5), (60, 40)]]), [bench], folder)
    >>> [path.name for path in made[0].files]
    ['small_one.gcode']
    """
    if not isinstance(drawing, Drawing):
        raise InvalidValue(f"drawing must be a Drawing, got {drawing!r:.100}", name="drawing")
    known = _machines(machines)
    told = string("title", title)
    is_by_pen = flag("by_pen", by_pen)
    if sheet is not None and not isinstance(sheet, Sheet):
        raise InvalidValue(f"sheet must be a Sheet, got {sheet!r:.100}", name="sheet")
    place = _folder(folder)
    names = _names([machine.name for machine in known])
    members = tuple(
        _member(drawing, machine, place / name, sheet=sheet, title=told, by_pen=is_by_pen)
        for machine, name in zip(known, names, strict=True)
    )
    _write_contents(members, place, told)
    return members


def _machines(machines: Any) -> list[Machine]:
    if isinstance(machines, (str, os.PathLike)):
        paths = sorted(Path(machines).glob("*.toml")) if str(machines) else []
        if not paths:
            raise NotRead(
                f"machines: there are no profiles (*.toml) in the folder {str(machines)[:200]!r}",
                path=str(machines),
            )
        return [Machine.load(path) for path in paths]
    given = several("machines", machines, "Machines")
    if not given or not all(isinstance(machine, Machine) for machine in given):
        raise InvalidValue(
            f"machines must be a folder of profiles or Machines, got {machines!r:.100}",
            name="machines",
        )
    return given


def _folder(folder: Any) -> Path:
    if not isinstance(folder, (str, os.PathLike)) or not str(folder):
        raise InvalidValue(
            f"folder must be the name of a folder, got {folder!r:.100}", name="folder", value=folder
        )
    place = Path(folder)
    try:
        place.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as error:
        raise InvalidValue(
            f"cannot make the folder {str(folder)[:200]!r}: {error}", name="folder", value=folder
        ) from error
    return place


def _slug(text: str) -> str:
    bare = re.sub(r"[^a-z0-9]+", "_", plain(text).lower()).strip("_")
    return bare or "unnamed"


def _names(texts: Sequence[str]) -> list[str]:
    """File names, no two alike."""
    slugs = [_slug(text) for text in texts]
    return [
        f"{slug}_{number}" if slugs.count(slug) > 1 else slug
        for number, slug in enumerate(slugs, 1)
    ]


def _member(
    drawing: Drawing, machine: Machine, stem: Path, *, sheet: Sheet | None, title: str, by_pen: bool
) -> Member:
    try:
        plot = plan(drawing, machine, sheet=sheet)
    except PlotlibError as error:
        return Member(machine, None, (), str(error))
    files = []
    pens = plot.drawing.pens
    has_one_lift = with_lift_of(pens, machine) is not None
    if has_one_lift:
        files.append(stem.with_name(f"{stem.name}.gcode"))
        write_gcode(plot, files[0], title=title)
    if len(pens) > 1 and (by_pen or not has_one_lift):
        for pen, name in zip(pens, _names([pen.name for pen in pens]), strict=True):
            path = stem.with_name(f"{stem.name}_{name}.gcode")
            write_gcode(plot.part(pens=pen), path, title=title)
            files.append(path)
    return Member(machine, plot, tuple(files))


def _write_contents(members: Sequence[Member], folder: Path, title: str) -> None:
    from plotlib.preview import png
    from plotlib.svg import write as write_svg

    page = Sheet(_WIDE, 24 + _ROW * len(members), margin=10)
    drawn = contents(members, page, title)
    write_svg(drawn, folder / "contents.svg", sheet=page)
    png(drawn, folder / "contents.png", sheet=page, dpi=150)


def contents(members: Sequence[Member], page: Sheet, title: str) -> Drawing:
    """The contents page: a picture of each plot, and beside it what it needs."""
    top = page.height - 10
    head = lettering(title or "Contents", height=5, at=(10, top), anchor="top left", pen=_INK)
    parts = [head]
    for number, member in enumerate(members):
        bottom = top - 14 - (number + 1) * _ROW + 6
        frame = shapely.box(10, bottom, 66, bottom + _ROW - 6)
        parts.append(Drawing(frame, pen=_FRAME))
        if member.plot is not None:
            parts.append(_picture(member.plot, frame))
        text = re.sub(r"(\S{40})(?=\S)", r"\1 ", "\n".join(_lines(member)))  # words that fit
        at = (72, bottom + _ROW - 7)
        wrap = _WIDE - 82
        parts.append(
            lettering(
                text, height=_TEXT, at=at, anchor="top left", wrap=wrap, pen=_INK, missing="?"
            )
        )
    return Drawing(parts)


def _picture(plot: Plot, frame: shapely.Polygon) -> Drawing:
    """The plot in its frame, its pens as wide as they are then."""
    if not len(plot.drawing):
        return Drawing()
    small = shapely.buffer(frame, -2)
    return plot.drawing.fitted(small)


def _lines(member: Member) -> list[str]:
    machine = member.machine
    lines = [f"{machine.name}, bed {machine.width:g} x {machine.height:g} mm"]
    plot = member.plot
    if plot is None:
        return [*lines, f"cannot be drawn: {member.refusal[:240]}"]
    lines.append(f"time {clock(plot.duration)}, {len(plot.drawing):,} strokes")
    pens = [f"{pen.name} {pen.width:g} mm" for pen in plot.drawing.pens]
    lines.append(f"pens in order: {', '.join(pens) or 'none'}")
    lines.append(f"files: {', '.join(path.name for path in member.files)}")
    return lines


def __dir__() -> list[str]:
    return sorted(__all__)
