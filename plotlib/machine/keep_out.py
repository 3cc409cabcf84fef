"""Areas of the bed that take no ink."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import shapely
from shapely import MultiPolygon, Polygon

from plotlib.arrays.areas import as_area
from plotlib.errors import InvalidValue, ProfileError
from plotlib.machine import profile

if TYPE_CHECKING:
    from plotlib.machine.machine import Machine


@dataclass(frozen=True)
class KeepOut:
    """An area of the bed that takes no ink, such as a clamp.

    Parameters
    ----------
    area : Drawing, shapely Polygon or MultiPolygon
        In bed mm; every stroke of a Drawing must be closed.
    passable : bool, default True
        Whether the carriage may pass over it, pen up.

    Raises
    ------
    InvalidValue
        If ``area`` is no area, has an open stroke or encloses nothing, or ``passable`` is not True
        or False.

    Examples
    --------
    >>> KeepOut(shapely.box(0, 0, 20, 10), passable=False).area.area
    200.0
    """

    area: Polygon | MultiPolygon
    passable: bool = True

    def __post_init__(self) -> None:
        area = as_area(self.area, "keep-out area", every=True)
        if area.is_empty and len(getattr(self.area, "offsets", ())) > 1:
            raise InvalidValue(
                "keep-out area encloses nothing: its strokes have no width, or are drawn twice and "
                "cancel each other",
                name="keep-out area",
                value=self.area,
            )
        object.__setattr__(self, "area", area)
        if not isinstance(self.passable, bool):
            raise InvalidValue(
                f"keep-out passable must be True or False, got {self.passable!r}",
                name="keep-out passable",
                value=self.passable,
            )

    def entry(self) -> dict[str, Any]:
        """The table of this keep-out in a machine's profile.

        Examples
        --------
        >>> KeepOut(shapely.Polygon([(0, 0), (9, 0), (0, 9)])).entry()
        {'area': 'POLYGON ((0.0 0.0, 9.0 0.0, 0.0 9.0, 0.0 0.0))', 'passable': True}
        """
        return {"area": _exact_wkt(self.area), "passable": self.passable}


def areas_of(value: Any) -> tuple[KeepOut, ...]:
    """One keep-out or several; whatever has an area is one."""
    if isinstance(value, (KeepOut, Polygon, MultiPolygon)) or hasattr(value, "__area__"):
        value = (value,)
    if isinstance(value, (str, bytes)) or not isinstance(value, Iterable):
        raise InvalidValue(
            f"keep_outs must be areas or KeepOuts, got {value!r:.100}", name="keep_outs"
        )
    return tuple(item if isinstance(item, KeepOut) else KeepOut(item) for item in value)


def read_keep_outs(tables: Any, *, where: str) -> list[KeepOut]:
    """The keep-outs of a profile; ProfileError names the key that is wrong."""
    if not isinstance(tables, list):
        raise ProfileError(
            f"{where}: the key 'keep_outs' must hold a list of tables with an area",
            key="keep_outs",
        )
    return [_read_keep_out(table, f"{where}, keep_outs") for table in tables]


def _read_keep_out(table: Any, where: str) -> KeepOut:
    if isinstance(table, dict) and isinstance(table.get("area"), str):
        try:
            table = {**table, "area": shapely.from_wkt(table["area"])}
        except shapely.errors.ShapelyError as error:
            raise ProfileError(
                f"{where}: the key 'area' must hold a POLYGON as well-known text: {error}",
                key="area",
            ) from error
    return profile.build(KeepOut, table, where=where)


def _exact_wkt(area: Polygon | MultiPolygon) -> str:
    """Well-known text (ISO 19125-1) with every digit that the floats have; shapely rounds to 16."""
    if area.is_empty:
        return shapely.to_wkt(area)
    parts = [_wkt_rings(polygon) for polygon in shapely.get_parts(area)]
    if isinstance(area, Polygon):
        return f"POLYGON {parts[0]}"
    return f"MULTIPOLYGON ({', '.join(parts)})"


def _wkt_rings(polygon: Polygon) -> str:
    rings = [shapely.get_coordinates(ring).tolist() for ring in shapely.get_rings(polygon)]
    texts = [", ".join(f"{x!r} {y!r}" for x, y in ring) for ring in rings]
    return f"({', '.join(f'({text})' for text in texts)})"


def check_places(machine: Machine) -> None:
    """Refuse keep-outs that are too thin for the grid, and those around home or park."""
    for number, item in enumerate(machine.keep_outs):
        if any(
            shapely.is_empty(
                shapely.buffer(shapely.get_parts(item.area), -machine.unit, join_style="mitre")
            )
        ):
            raise InvalidValue(
                f"keep-out {number} is thinner than two units of the last decimal "
                f"({2 * machine.unit:g} mm); make it wider",
                name="keep_outs",
                value=item,
            )
    for key in ("home", "park"):
        for number, item in enumerate(machine.keep_outs):
            if not item.passable and shapely.contains_properly(
                item.area, shapely.Point(getattr(machine, key))
            ):
                raise InvalidValue(
                    f"{key} lies in keep-out {number}, which the carriage may not pass over",
                    name=key,
                )
