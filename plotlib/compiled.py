"""The one way to compile a kernel: numba, cached where a cache folder can be written.

Only kernel modules import this, and only functions import kernel modules, so that ``import
plotlib`` stays light.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar, cast

import numba

F = TypeVar("F", bound=Callable[..., Any])


def compiled(function: F) -> F:
    """Compile for floating point as the standard has it: no fast-math, one thread, the same bytes
    everywhere.
    """
    options: dict[str, Any] = {"nogil": True, "error_model": "numpy"}
    try:
        return cast(F, numba.njit(cache=True, **options)(function))
    except RuntimeError:  # no folder for the cache, or code that comes from a string
        return cast(F, numba.njit(**options)(function))
