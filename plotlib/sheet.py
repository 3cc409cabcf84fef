"""Sheets: the paper that lies on the bed."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely import MultiPolygon, Polygon

from plotlib.arrays import affine
from plotlib.arrays.areas import as_area
from plotlib.checks import (
    FloatArray,
    between,
    finite,
    flag,
    not_negative,
    one_of,
    point,
    points,
    positive,
    whole,
)
from plotlib.errors import InvalidValue

# ISO 216:2007 (A and B) and ISO 269 (C), size 0 in mm; each further size halves the longer side,
# rounded down.
_SIZE_0 = {"A": (841, 1189), "B": (1000, 1414), "C": (917, 1297)}
TRUE = 1e-4  # mm: how far inside its circle the outline of a round sheet may run
_LARGEST = 1e5  # mm, of a round sheet: its outline has 50,000 sides then
_HAIR = 1e-9  # mm: what sums of decimals may be off
_QUARTER = 64  # sides of a quarter round an inner corner of a margin


def iso_size(name: str) -> tuple[int, int]:
    """Width and height in mm (portrait) of an ISO size such as ``"A5"`` or ``"a5"``."""
    if isinstance(name, str):
        name = name.upper()
    known = [f"{series}{number}" for series in _SIZE_0 for number in range(11)]
    short, long = _SIZE_0[one_of("name", name, known)[0]]
    for _ in range(int(name[1:])):
        half = long // 2
        long = short
        short = half
    return short, long


@dataclass(frozen=True)
class Sheet:
    """A sheet of paper, with a margin, lying on the bed.

    One draws in sheet mm, from the sheet's lower left corner; ``plan(..., sheet=sheet)`` puts that
    corner at ``at`` on the bed, and turns the sheet about it. `Sheet.iso`, `Sheet.round` and
    `Sheet.from_area` make sheets of other kinds.

    Parameters
    ----------
    width, height : float
        Size in mm, > 0.
    margin : float, default 10
        Width in mm of the strip along each edge that ``area`` leaves out.
    at : (float, float), default (0, 0)
        The bed point in mm of the sheet's lower left corner, (0, 0) of sheet mm.
    angle : float, default 0
        By how many degrees the sheet lies turned counter-clockwise about that point.
    outline : Polygon or MultiPolygon, optional
        The paper in sheet mm where it is no rectangle; ``width`` and ``height`` are its extent.

    Raises
    ------
    InvalidValue
        If a size is not positive, the outline is of another size, or the margin leaves nothing.

    Examples
    --------
    >>> Sheet.iso("A5", landscape=True).area.bounds
    (10.0, 10.0, 200.0, 138.0)
    """

    width: float
    height: float
    margin: float = 10.0
    at: tuple[float, float] = (0.0, 0.0)
    angle: float = field(default=0.0, kw_only=True)
    outline: Polygon | MultiPolygon | None = field(default=None, kw_only=True)

    def __post_init__(self) -> None:
        object.__setattr__(self, "width", positive("sheet width", self.width, unit="mm"))
        object.__setattr__(self, "height", positive("sheet height", self.height, unit="mm"))
        object.__setattr__(self, "margin", not_negative("sheet margin", self.margin, unit="mm"))
        object.__setattr__(self, "at", point("sheet at", self.at))
        object.__setattr__(self, "angle", finite("sheet angle", self.angle, unit="degrees"))
        if self.outline is not None:
            object.__setattr__(self, "outline", as_area(self.outline, "sheet outline"))
            self._check_size()
        if 2 * self.margin >= min(self.width, self.height) or self.area.is_empty:
            kind = "" if self.outline is None else " of its outline"
            raise InvalidValue(
                f"a margin of {self.margin:g} mm leaves nothing of a sheet of {self.width:g} x "
                f"{self.height:g} mm{kind}; its width and height must be more than twice the margin"
            )

    def _check_size(self) -> None:
        """That width and height are those of the outline."""
        left, bottom, right, top = self.paper.bounds
        if max(abs(right - left - self.width), abs(top - bottom - self.height)) > _HAIR:
            raise InvalidValue(
                f"an outline of {right - left:g} x {top - bottom:g} mm is no sheet of "
                f"{self.width:g} x {self.height:g} mm; Sheet.from_area measures it",
                name="outline",
            )

    @classmethod
    def iso(
        cls,
        name: str,
        *,
        landscape: bool = False,
        margin: float = 10.0,
        at: tuple[float, float] = (0.0, 0.0),
    ) -> Sheet:
        """A sheet of ISO 216 (A0 … A10, B0 … B10) or ISO 269 (C0 … C10).

        Parameters
        ----------
        name : str
            The size, such as ``"A5"``; capitals or not.
        landscape : bool, default False
            Whether the longer side lies across.
        margin, at
            As for `Sheet`.

        Returns
        -------
        Sheet
            Of that size.

        Raises
        ------
        UnknownName
            If there is no such size.
        InvalidValue
            If another argument is invalid, or the margin leaves nothing.

        Examples
        --------
        >>> sheet = Sheet.iso("C5")
        >>> sheet.width, sheet.height
        (162.0, 229.0)
        """
        is_lying = flag("landscape", landscape)
        short, long = iso_size(name)
        return cls(long, short, margin, at) if is_lying else cls(short, long, margin, at)

    @classmethod
    def round(
        cls, diameter: float, *, margin: float = 10.0, at: tuple[float, float] = (0.0, 0.0)
    ) -> Sheet:
        """A round sheet: a coaster, a label, a filter paper.

        Parameters
        ----------
        diameter : float
            In mm, 0.001 to 100,000.
        margin : float, default 10
            Width in mm of the ring along the edge that ``area`` leaves out.
        at : (float, float), default (0, 0)
            The bed point in mm of the lower left corner of the square around it.

        Returns
        -------
        Sheet
            Its middle is (diameter / 2, diameter / 2) in sheet mm. The outline has so many sides
            that it lies within 0.0001 mm of the circle, never outside.

        Raises
        ------
        InvalidValue
            If an argument is invalid, or the margin leaves nothing.

        Examples
        --------
        >>> coaster = Sheet.round(90, margin=5)
        >>> coaster.paper.bounds, coaster.paper.contains(shapely.Point(2, 2))
        ((0.0, 0.0, 90.0, 90.0), False)
        """
        across = between("diameter", diameter, 1e-3, _LARGEST, unit="mm")
        edge = not_negative("sheet margin", margin, unit="mm")
        if 2 * edge >= across:
            raise InvalidValue(
                f"a margin of {edge:g} mm leaves nothing of a round sheet; its diameter, "
                f"{across:g} mm, must be more than twice the margin",
                name="diameter",
            )
        radius = across / 2
        # A chord of 1 / sides of a circle runs inside it by radius * (1 - cos(pi / sides)).
        turn = math.sqrt(2 * TRUE / radius)
        quarter = max(math.ceil(math.pi / turn / 4), 8)
        angles = np.arange(4 * quarter) * (90 / quarter)
        ways = np.array([affine.cosine_sine(float(angle)) for angle in angles])
        disc = Polygon(radius + radius * ways)
        return cls(across, across, edge, at, outline=disc)

    @classmethod
    def from_area(
        cls, area: Any, *, margin: float = 10.0, at: tuple[float, float] = (0.0, 0.0)
    ) -> Sheet:
        """A sheet that is any area: a tag with a hole, a card cut to shape, pieces side by side.

        Parameters
        ----------
        area : Drawing, Polygon or MultiPolygon
            The paper, in sheet mm; it keeps its coordinates, so (0, 0) may lie anywhere.
        margin : float, default 10
            Width in mm of the strip along each edge, holes included, that ``area`` leaves out.
        at : (float, float), default (0, 0)
            The bed point in mm where (0, 0) of sheet mm lies.

        Returns
        -------
        Sheet
            Of that outline.

        Raises
        ------
        InvalidValue
            If an argument is invalid, the area is empty, or the margin leaves nothing.

        Examples
        --------
        >>> tag = Sheet.from_area(Polygon([(0, 10), (20, 0), (80, 0), (80, 20)]), margin=2)
        >>> tag.width, tag.height
        (80.0, 20.0)
        """
        known = as_area(area, "area")
        if known.is_empty:
            raise InvalidValue("area is empty: a sheet needs some paper", name="area", value=area)
        left, bottom, right, top = known.bounds
        return cls(right - left, top - bottom, margin, at, outline=known)

    def turned(self, angle: float, *, about: tuple[float, float] | None = None) -> Sheet:
        """The same sheet, turned counter-clockwise on the bed.

        Parameters
        ----------
        angle : float
            In degrees, added to that of this one.
        about : (float, float), optional
            The point on the bed in mm that stays where it is; without it the sheet's middle.

        Returns
        -------
        Sheet
            With another ``at`` and ``angle``; what is drawn on it turns with it.

        Raises
        ------
        InvalidValue
            If an argument is not finite.

        Examples
        --------
        >>> Sheet(80, 60).turned(90).at
        (70.0, -10.0)
        >>> Sheet(80, 60).turned(90, about=(0, 0)).on_bed.bounds
        (-60.0, 0.0, 0.0, 80.0)
        """
        by = finite("angle", angle, unit="degrees")
        if about is None:
            left, bottom, right, top = self.paper.bounds
            middle = self.to_bed(np.array([[(left + right) / 2, (bottom + top) / 2]]))[0]
        else:
            middle = np.asarray(point("about", about))
        x, y = (middle + affine.turn(by) @ (np.asarray(self.at) - middle)).tolist()
        return replace(self, at=(x, y), angle=self.angle + by)

    def many(
        self, columns: int, rows: int, pitch: float | tuple[float, float]
    ) -> tuple[Sheet, ...]:
        """Several sheets of this kind at once: a tray of cards, labels or coasters.

        Parameters
        ----------
        columns, rows : int
            How many side by side and above each other, 1 to 1000.
        pitch : float or (float, float)
            Mm from the corner of one to that of the next, along x and y of the sheet; at least the
            size. Of a turned sheet the whole tray is turned.

        Returns
        -------
        tuple of Sheet
            Row by row from the lower left, the first where this one lies.

        Raises
        ------
        InvalidValue
            If a count is not in its range, or the sheets would lie on each other.

        Examples
        --------
        >>> [sheet.at for sheet in Sheet(50, 30, margin=3).many(2, 2, pitch=(55, 35))]
        [(0.0, 0.0), (55.0, 0.0), (0.0, 35.0), (55.0, 35.0)]
        """
        across = whole("columns", columns, low=1, high=1000)
        up = whole("rows", rows, low=1, high=1000)
        is_one = isinstance(pitch, (int, float)) and not isinstance(pitch, bool)
        dx, dy = point("pitch", (pitch, pitch) if is_one else pitch)
        if (across > 1 and dx < self.width) or (up > 1 and dy < self.height):
            raise InvalidValue(
                f"a pitch of ({dx:g}, {dy:g}) mm would lay sheets of {self.width:g} x "
                f"{self.height:g} mm on each other",
                name="pitch",
                value=pitch,
            )
        steps = np.array([(column * dx, row * dy) for row in range(up) for column in range(across)])
        return tuple(replace(self, at=(x, y)) for x, y in self.to_bed(steps).tolist())

    @property
    def is_plain(self) -> bool:
        """Whether it is a rectangle that lies straight."""
        return self.outline is None and self.angle == 0

    @cached_property
    def paper(self) -> Polygon | MultiPolygon:
        """The whole sheet as an area in sheet mm."""
        if self.outline is not None:
            return self.outline
        return shapely.box(0.0, 0.0, self.width, self.height)

    @cached_property
    def area(self) -> Polygon | MultiPolygon:
        """The sheet inside its margin as an area in sheet mm."""
        if self.outline is not None:
            inner = shapely.buffer(self.outline, -self.margin, quad_segs=_QUARTER)
            assert isinstance(inner, (Polygon, MultiPolygon))
            return inner
        return shapely.box(
            self.margin, self.margin, self.width - self.margin, self.height - self.margin
        )

    @cached_property
    def on_bed(self) -> Polygon | MultiPolygon:
        """The whole sheet as an area where it lies, in bed mm."""
        return self._laid(self.paper)

    @cached_property
    def area_on_bed(self) -> Polygon | MultiPolygon:
        """The sheet inside its margin as an area where it lies, in bed mm."""
        return self._laid(self.area)

    def to_bed(self, points: ArrayLike) -> FloatArray:
        """Where points of a drawing lie on the bed.

        Parameters
        ----------
        points : ndarray (N, 2) of float64
            In sheet mm.

        Returns
        -------
        ndarray (N, 2)
            In bed mm.

        Raises
        ------
        InvalidValue
            If the points are no finite numbers of that shape.

        Examples
        --------
        >>> Sheet(80, 60, at=(5, 10), angle=90).to_bed([(20, 0)]).tolist()
        [[5.0, 30.0]]
        """
        given = _points(points)
        turned = given if self.angle == 0 else affine.apply(self._turn(self.angle), given)
        return np.asarray(turned + np.asarray(self.at))

    def from_bed(self, points: ArrayLike) -> FloatArray:
        """Where points of the bed lie on the sheet.

        Parameters
        ----------
        points : ndarray (N, 2) of float64
            In bed mm.

        Returns
        -------
        ndarray (N, 2)
            In sheet mm.

        Raises
        ------
        InvalidValue
            If the points are no finite numbers of that shape.

        Examples
        --------
        >>> Sheet(80, 60, at=(5, 10), angle=90).from_bed([(5, 30)]).tolist()
        [[20.0, 0.0]]
        """
        moved = _points(points) - np.asarray(self.at)
        turned = moved if self.angle == 0 else affine.apply(self._turn(-self.angle), moved)
        return np.asarray(turned + 0.0)  # no -0.0

    def _turn(self, angle: float) -> FloatArray:
        return np.column_stack([affine.turn(angle), np.zeros(2)])

    def _laid(self, area: Polygon | MultiPolygon) -> Polygon | MultiPolygon:
        return shapely.transform(area, self.to_bed)

    def __area__(self) -> Polygon | MultiPolygon:
        return self.area


def _points(value: ArrayLike) -> FloatArray:
    return points("points", value, least=0)
