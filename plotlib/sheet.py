"""Sheets: the paper that lies on the bed."""

from __future__ import annotations

from dataclasses import dataclass, replace

import shapely
from shapely import Polygon

from plotlib.checks import flag, not_negative, one_of, point, positive, whole
from plotlib.errors import InvalidValue

# ISO 216:2007 (A and B) and ISO 269 (C), size 0 in mm; each further size halves the longer side,
# rounded down.
_SIZE_0 = {"A": (841, 1189), "B": (1000, 1414), "C": (917, 1297)}


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
    corner at ``at`` on the bed.

    Parameters
    ----------
    width, height : float
        Size in mm, > 0.
    margin : float, default 10
        Width in mm of the strip along each edge that ``area`` leaves out.
    at : (float, float), default (0, 0)
        The bed point in mm of the sheet's lower left corner.

    Raises
    ------
    InvalidValue
        If a size is not positive, or the margin leaves nothing.

    Examples
    --------
    >>> Sheet.iso("A5", landscape=True).area.bounds
    (10.0, 10.0, 200.0, 138.0)
    """

    width: float
    height: float
    margin: float = 10.0
    at: tuple[float, float] = (0.0, 0.0)

    def __post_init__(self) -> None:
        object.__setattr__(self, "width", positive("sheet width", self.width, unit="mm"))
        object.__setattr__(self, "height", positive("sheet height", self.height, unit="mm"))
        object.__setattr__(self, "margin", not_negative("sheet margin", self.margin, unit="mm"))
        object.__setattr__(self, "at", point("sheet at", self.at))
        if 2 * self.margin >= min(self.width, self.height):
            raise InvalidValue(
                f"a margin of {self.margin:g} mm leaves nothing of a sheet of {self.width:g} x "
                f"{self.height:g} mm; its width and height must be more than twice the margin"
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

    def many(
        self, columns: int, rows: int, pitch: float | tuple[float, float]
    ) -> tuple[Sheet, ...]:
        """Several sheets of this kind at once: a tray of cards, labels or coasters.

        Parameters
        ----------
        columns, rows : int
            How many side by side and above each other, 1 to 1000.
        pitch : float or (float, float)
            Mm from the corner of one to that of the next, along x and y; at least the size.

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
        x, y = self.at
        return tuple(
            replace(self, at=(x + column * dx, y + row * dy))
            for row in range(up)
            for column in range(across)
        )

    @property
    def paper(self) -> Polygon:
        """The whole sheet as an area in sheet mm."""
        return shapely.box(0.0, 0.0, self.width, self.height)

    @property
    def area(self) -> Polygon:
        """The sheet inside its margin as an area in sheet mm."""
        return shapely.box(
            self.margin, self.margin, self.width - self.margin, self.height - self.margin
        )

    def __area__(self) -> Polygon:
        return self.area
