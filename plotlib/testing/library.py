"""Where hypothesis is fetched: only when a strategy is asked for."""

from __future__ import annotations

from typing import Any

from plotlib.checks import package


def strategies() -> Any:
    """The module ``hypothesis.strategies``, or MissingPackage."""
    return package("hypothesis.strategies", install="hypothesis", use="plotlib.testing")
