"""The options of ``plan``, checked before any work begins, whatever the others say."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from plotlib.arrays.areas import as_area
from plotlib.checks import IntArray, not_negative, one_of, positive
from plotlib.drawing import Drawing, RegionLike
from plotlib.errors import InvalidValue, UnknownName
from plotlib.machine import Machine
from plotlib.pen import Pen
from plotlib.planning.metric import METRICS
from plotlib.planning.ordering.order import EFFORTS
from plotlib.sheet import Sheet

REFUSALS = ("margin", "paper", "feed")


@dataclass(frozen=True, kw_only=True)
class Options:
    """What a caller of ``plan`` may choose, checked.

    Attributes
    ----------
    effort : str or float
        A known word, or a number above 0.
    metric : {"time", "distance"}
        What the order makes short.
    pens : tuple of int
        The numbers of the drawing's pens in the order in which they draw.
    join : float or None
        How far ends may be apart that are joined, in mm; None joins nothing.
    labels : ndarray (M,) of int64
        Strokes with a lower number are drawn before those with a higher one.
    keep_order : bool
        Whether the strokes stay in the order given.
    drying : float or None
        Seconds that ink stays wet.
    time_limit : float or None
        Seconds after which the search ends early.
    refuse : frozenset of str
        Of ``REFUSALS``, what is refused rather than noted.
    """

    effort: str | float
    metric: str
    pens: tuple[int, ...]
    join: float | None
    labels: IntArray
    keep_order: bool
    drying: float | None
    time_limit: float | None
    refuse: frozenset[str]


def checked(
    drawing: Drawing,
    *,
    effort: Any,
    metric: Any,
    pens: Any,
    join: Any,
    layers: Any,
    areas: Any,
    keep_order: Any,
    drying: Any,
    time_limit: Any,
    refuse: Any,
) -> Options:
    """The options as ``plan`` needs them; InvalidValue or UnknownName for the first that is
    wrong.
    """
    if not isinstance(keep_order, bool):
        raise InvalidValue(
            f"keep_order must be True or False, got {keep_order!r}",
            name="keep_order",
            value=keep_order,
        )
    chosen = _listed(areas)
    return Options(
        effort=_effort(effort),
        metric=one_of("metric", metric, METRICS),
        pens=tuple(_pen_order(pens, drawing.pens)),
        join=None if join is None else not_negative("join", join, unit="mm"),
        labels=_layers(layers, len(drawing)) * (len(chosen) + 1) + _areas(chosen, drawing),
        keep_order=keep_order,
        drying=None if drying is None else positive("drying", drying, unit="s"),
        time_limit=None if time_limit is None else positive("time_limit", time_limit, unit="s"),
        refuse=_refusals(refuse),
    )


def check_kinds(drawing: Any, machine: Any, sheet: Any) -> None:
    """Refuse what is no Drawing, Machine or Sheet."""
    for name, value, kind in (
        ("drawing", drawing, Drawing),
        ("machine", machine, Machine),
        ("sheet", sheet, Sheet),
    ):
        if not isinstance(value, kind) and not (name == "sheet" and value is None):
            raise InvalidValue(
                f"{name} must be a {kind.__name__}, got {type(value).__name__}", name=name
            )


def check_lines(pens: tuple[Pen, ...], machine: Machine) -> None:
    """Refuse a pen whose feed makes lines longer than the controller takes."""
    for pen in pens:
        needed = machine.line_needed(pen.feed or machine.feed)
        if needed > machine.longest_line:
            raise InvalidValue(
                f"pen {pen.name!r} with a feed of {pen.feed:g} mm/min needs lines of up to "
                f"{needed} "
                f"characters; longest_line allows {machine.longest_line}",
                name="feed",
                pen=pen.name,
                needed=needed,
            )


def _effort(value: Any) -> str | float:
    if isinstance(value, str):
        return one_of("effort", value, EFFORTS)
    return positive("effort", value)


def _refusals(value: Any) -> frozenset[str]:
    """One name or several of what is to be refused."""
    if isinstance(value, str):
        value = (value,)
    if not isinstance(value, Collection):
        raise InvalidValue(
            f"refuse must be one or several of {', '.join(map(repr, REFUSALS))}; "
            f"got {value!r:.100}",
            name="refuse",
            value=value,
        )
    return frozenset(one_of("refuse", name, REFUSALS) for name in value)


def _layers(layers: Any, count: int) -> IntArray:
    if layers is None:
        return np.zeros(count, np.int64)
    try:
        labels = np.asarray(layers)
    except ValueError as error:
        raise InvalidValue(
            f"layers must be {count} whole numbers, one for each stroke; got {layers!r:.200}",
            name="layers",
        ) from error
    if labels.shape != (count,) or (count and labels.dtype.kind not in "iu"):
        raise InvalidValue(
            f"layers must be {count} whole numbers, one for each stroke; got shape {labels.shape} "
            f"of {labels.dtype}"
        )
    return np.unique(labels, return_inverse=True)[1].astype(
        np.int64
    )  # small numbers, which areas may multiply


def _listed(areas: Any) -> list[RegionLike]:
    """One area or several as a list; a Drawing is one area."""
    if isinstance(areas, (Drawing, Sheet, shapely.Polygon, shapely.MultiPolygon)):
        return [areas]
    if isinstance(areas, (str, bytes)) or not isinstance(areas, Iterable):
        raise InvalidValue(
            f"areas must be one area or a sequence of areas, got {areas!r:.100}", name="areas"
        )
    return list(areas)


def _areas(areas: Sequence[RegionLike], drawing: Drawing) -> IntArray:
    """The number (M,) of the first area that holds the middle point of each stroke; the count of
    areas where none does.
    """
    middle = drawing.points[(drawing.offsets[:-1] + drawing.offsets[1:] - 1) // 2]
    result = np.full(len(drawing), len(areas))
    for number in range(len(areas) - 1, -1, -1):
        area = as_area(areas[number], f"areas[{number}]")
        shapely.prepare(area)
        result[shapely.intersects_xy(area, middle)] = number
    return result


def _pen_order(pens: Any, known: tuple[Pen, ...]) -> list[int]:
    """The numbers of the pens in the order in which they draw."""
    if pens is None:
        return list(range(len(known)))
    if isinstance(pens, str):
        one_of("pens", pens, ("light first",))
        return sorted(range(len(known)), key=lambda k: (-_lightness(known[k]), k))
    pens = list(pens) if isinstance(pens, Iterable) else [pens]
    if not all(isinstance(pen, (Pen, str)) for pen in pens):
        raise InvalidValue(
            'pens must be "light first" or a sequence of Pens or of their names, '
            f"got {pens!r:.100}",
            name="pens",
        )
    names = [pen.name if isinstance(pen, Pen) else pen for pen in pens]
    missing = [pen.name for pen in known if pen.name not in names]
    if missing or len(set(names)) != len(names):
        raise UnknownName(
            f"pens must name each pen of the drawing once, in order; got {names}, missing {missing}"
        )
    return sorted(range(len(known)), key=lambda k: names.index(known[k].name))


def _lightness(pen: Pen) -> float:
    """Relative luminance of the colour, the coefficients of ITU-R BT.709 on the encoded values:
    enough to tell light from dark.
    """
    red, green, blue = (int(pen.colour[k : k + 2], 16) for k in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
