"""The report of a plot: a value that prints as text, shows as a table, and gives a dict."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from html import escape
from typing import Any, TypeAlias

from plotlib.checks import counted
from plotlib.planning.clock import clock
from plotlib.planning.reporting.summary import way

Row: TypeAlias = tuple[str, str]

_SHOWN = 12  # warnings in the text; more of them are counted


@dataclass(frozen=True)
class Finding:
    """Something that may go wrong on the paper.

    Attributes
    ----------
    kind : str
        ``"detail"`` (finer than the pen), ``"link"`` (segments too short for it), ``"passes"``
        (ink too often in one spot), ``"edge"`` (strokes at the sheet's edge) or ``"ink"`` (more
        than the pen holds).
    text : str
        What is the matter, and by how much.
    remedy : str
        What mends it.
    place : (float, float) or None
        The worst spot, in bed mm; None where it concerns a whole pen.
    stroke : int or None
        The stroke of ``plot.drawing`` that is concerned most.
    """

    kind: str
    text: str
    remedy: str
    place: tuple[float, float] | None = None
    stroke: int | None = None

    def __str__(self) -> str:
        if self.place is None:
            return f"{self.text}; {self.remedy}"
        x, y = self.place
        return f"{self.text}, at ({x:.1f}, {y:.1f}); {self.remedy}"


@dataclass(frozen=True)
class PenUse:
    """What one pen does in a plot.

    Attributes
    ----------
    name, width, colour
        Of the pen.
    strokes : int
        How many it draws.
    ink : float
        Its pen-down way in mm.
    drawing : float
        Seconds that it draws.
    write_out : float or None
        Millimetres of line that the pen holds, if it says so.
    """

    name: str
    width: float
    colour: str
    strokes: int
    ink: float
    drawing: float
    write_out: float | None

    @property
    def share(self) -> float | None:
        """How much of what the pen holds is drawn, 0.5 is half; None if the pen does not say."""
        return None if self.write_out is None else self.ink / self.write_out

    def __str__(self) -> str:
        line = f"{way(self.ink)} in {counted(self.strokes, 'stroke')}, {clock(self.drawing)}"
        if self.share is None or self.write_out is None:
            return line
        return f"{line}; {self.share:.0%} of the {way(self.write_out)} that it holds"


@dataclass(frozen=True, repr=False)
class Report:
    """All that is known of a plot; made by ``plot.report()``. Millimetres and seconds.

    Attributes
    ----------
    machine : str
        Its name.
    bounds : (left, bottom, right, top) or None
        Of the ink's middle lines on the bed; None for an empty drawing.
    sheet : (left, bottom, right, top) or None
        The paper on the bed.
    pens : tuple of PenUse
        In drawing order.
    given, strokes, fewest : int
        Strokes before joining, after it, and the fewest that joining can come to.
    lifts, changes : int
        How often the pen goes up, and how often it is changed.
    ink, joining_ink, travel : float
        Pen-down way, the part of it that joining added, pen-up way.
    drawing, travelling, lifting, waiting : float
        Seconds of each; waiting is for the link, with the pen down.
    changing : float or None
        Seconds that pen changes take; None where they are not timed.
    duration : float
        Seconds in all.
    metric : {"time", "distance"}
        What the order was made for: the unit of ``cost`` and ``bound`` is s or mm.
    cost : float
        What the pen-up moves cost.
    bound, gap : float or None
        What no order can be below, and how far above it the cost is, as a share; None where the
        bound was not asked for.
    warnings : tuple of Finding
        What may go wrong on the paper.
    notes : tuple of str
        What ``plan`` found worth knowing.
    """

    machine: str
    bounds: tuple[float, float, float, float] | None
    sheet: tuple[float, float, float, float] | None
    pens: tuple[PenUse, ...]
    given: int
    strokes: int
    fewest: int
    lifts: int
    changes: int
    ink: float
    joining_ink: float
    travel: float
    drawing: float
    travelling: float
    lifting: float
    waiting: float
    changing: float | None
    duration: float
    metric: str
    cost: float
    bound: float | None
    gap: float | None
    warnings: tuple[Finding, ...]
    notes: tuple[str, ...]

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the ink's middle lines in mm."""
        if self.bounds is None:
            return 0.0, 0.0
        left, bottom, right, top = self.bounds
        return right - left, top - bottom

    def as_dict(self) -> dict[str, Any]:
        """Every figure in plain dicts, lists, numbers and strings, as JSON has them."""
        figures: dict[str, Any] = _plain(asdict(self))
        figures["size"] = list(self.size)
        for pen, use in zip(figures["pens"], self.pens, strict=True):
            pen["share"] = use.share
        return figures

    def __repr__(self) -> str:
        strokes = counted(self.strokes, "stroke")
        warnings = counted(len(self.warnings), "warning")
        time = clock(self.duration)
        return f"<Report of a plot for {self.machine}: {strokes}, {time}, {warnings}>"

    def __str__(self) -> str:
        if self.bounds is None:
            return f"report of a plot for {self.machine}: nothing to draw"
        lines = [f"report of a plot for {self.machine}"]
        lines += [f"  {name:<23} {text}" for name, text in self._rows()]
        lines += [f"  warning: {text}" for text in self._warned()]
        lines += [f"  note: {note}" for note in self.notes]
        return "\n".join(lines)

    def _repr_html_(self) -> str:
        if self.bounds is None:
            return f"<p>{escape(str(self))}</p>"
        rows = [_html_row(name, text) for name, text in self._rows()]
        rows += [_html_row("warning", text) for text in self._warned()]
        rows += [_html_row("note", note) for note in self.notes]
        caption = f"<caption>Plot for {escape(self.machine)}</caption>"
        return f"<table>{caption}<tbody>{''.join(rows)}</tbody></table>"

    def _rows(self) -> Iterator[Row]:
        yield from self._place()
        yield "strokes", self._strokes()
        yield "lifts", f"{self.lifts:,}"
        yield "ink", self._ink()
        yield "travel", way(self.travel)
        yield from self._times()
        for number, pen in enumerate(self.pens, start=1):
            yield f"pen {number}", f"{pen.name}, {pen.width:g} mm: {pen}"
        yield "order", self._order()

    def _place(self) -> Iterator[Row]:
        width, height = self.size
        yield "size", f"{width:.1f} x {height:.1f} mm"
        if self.bounds is not None:
            yield "place on the bed", _box(self.bounds)
        if self.sheet is not None:
            yield "sheet on the bed", _box(self.sheet)

    def _strokes(self) -> str:
        pens = counted(len(self.pens), "pen")
        line = f"{self.strokes:,} of {pens}"
        if self.strokes == self.given:
            return line
        return f"{line}, joined from {self.given:,} (fewest possible: {self.fewest:,})"

    def _ink(self) -> str:
        line = f"{self.ink / 1000:,.2f} m with the pen down"
        if not self.joining_ink:
            return line
        return f"{line}, {self.joining_ink:.3f} mm of it added by joining"

    def _times(self) -> Iterator[Row]:
        yield "time", clock(self.duration)
        parts = [
            ("drawing", self.drawing),
            ("travel", self.travelling),
            ("lifting", self.lifting),
            ("waiting for the link", self.waiting),
        ]
        for name, seconds in parts:
            yield f"  {name}", self._part(seconds)
        yield "  pen changes", self._changing()

    def _part(self, seconds: float) -> str:
        share = seconds / self.duration if self.duration else 0.0
        return f"{clock(seconds)}, {share:.0%}"

    def _changing(self) -> str:
        if self.changing is None:
            return f"{self.changes}, not timed" if self.changes else "none"
        return f"{self.changes}, {self._part(self.changing)}"

    def _order(self) -> str:
        unit = "s" if self.metric == "time" else "mm"
        line = f"pen-up moves cost {self.cost:,.1f} {unit}"
        if self.bound is None:
            return line
        return f"{line}; no order is below {self.bound:,.1f} {unit} (gap {self.gap:.1%})"

    def _warned(self) -> list[str]:
        told = [str(warning) for warning in self.warnings[:_SHOWN]]
        if len(self.warnings) > _SHOWN:
            told.append(f"and {len(self.warnings) - _SHOWN:,} more, in .warnings")
        return told


def _box(bounds: tuple[float, float, float, float]) -> str:
    left, bottom, right, top = bounds
    return f"({left:.1f}, {bottom:.1f}) to ({right:.1f}, {top:.1f})"


def _html_row(name: str, text: str) -> str:
    inset = "; padding-left: 2em; font-weight: normal" if name.startswith(" ") else ""
    head = f'<th scope="row" style="text-align: left{inset}">{escape(name.strip())}</th>'
    return f'<tr>{head}<td style="text-align: left">{escape(text)}</td></tr>'


def _plain(value: Any) -> Any:
    """Tuples as lists, all the way down."""
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, (tuple, list)):
        return [_plain(item) for item in value]
    return value
