"""Where two results of one call part."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from plotlib.drawing import Drawing
from plotlib.planning.plot import Plot


def difference(one: Any, other: Any) -> str | None:
    """A clause that says where two values differ; None if they are the same."""
    if type(one) is not type(other):
        return f"one gave {type(one).__name__}, the other {type(other).__name__}"
    if isinstance(one, Drawing):
        return _of_drawings(one, other)
    if isinstance(one, Plot):
        return _of_drawings(one.drawing, other.drawing) or _of_values(one, other)
    if isinstance(one, Mapping):
        return _of_mappings(one, other)
    if isinstance(one, Sequence) and not isinstance(one, (str, bytes)):
        return _of_sequences(one, other)
    return _of_values(one, other)


def _of_drawings(one: Drawing, other: Drawing) -> str | None:
    if len(one) != len(other):
        return f"one has {len(one)} strokes, the other {len(other)}"
    sizes = np.diff(one.offsets)
    changed = np.flatnonzero(sizes != np.diff(other.offsets))
    if len(changed):
        stroke = int(changed[0])
        return (
            f"stroke {stroke} has {sizes[stroke]} points in one, {len(other[stroke])} in the other"
        )
    apart = np.hypot(*(one.points - other.points).T)
    if apart.any():
        point = int(np.argmax(apart > 0))
        stroke = int(np.searchsorted(one.offsets, point, side="right")) - 1
        inner = point - int(one.offsets[stroke])
        return f"point {inner} of stroke {stroke} lies {apart[point]:.6g} mm apart"
    return None if one == other else "the pens differ"


def _of_mappings(one: Mapping[Any, Any], other: Mapping[Any, Any]) -> str | None:
    if list(one) != list(other):
        return f"one has the keys {list(one)!r:.100}, the other {list(other)!r:.100}"
    return _first((f"at {key!r} ", difference(one[key], other[key])) for key in one)


def _of_sequences(one: Sequence[Any], other: Sequence[Any]) -> str | None:
    if len(one) != len(other):
        return f"one has {len(one)} items, the other {len(other)}"
    return _first(
        (f"in item {k} ", difference(a, b)) for k, (a, b) in enumerate(zip(one, other, strict=True))
    )


def _first(parts: Any) -> str | None:
    return next((f"{where}{what}" for where, what in parts if what is not None), None)


def _of_values(one: Any, other: Any) -> str | None:
    if isinstance(one, np.ndarray):
        if one.shape != other.shape or one.dtype != other.dtype:
            return f"one array has shape {one.shape}, the other {other.shape}"
        return None if one.tobytes() == other.tobytes() else "the arrays differ"
    return None if one == other else f"one is {one!r:.100}, the other {other!r:.100}"
