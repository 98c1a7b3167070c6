"""Clearance holes of ISO 273, read once from the shipped table."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any, Literal

from mounts.load.read import read

TABLE = Path(__file__).resolve().parent.parent / "data" / "iso-273.yaml"


@cache
def _holes() -> dict[str, dict[str, float]]:
    held: Any = read(TABLE).data
    holes: dict[str, dict[str, float]] = held["holes"]
    return holes


def clearance_hole(thread: str, series: Literal["fine", "medium", "coarse"] = "medium") -> float | None:
    """Diameter of a clearance hole, mm; None for a thread that the standard does not hold."""
    row = _holes().get(thread)
    return row[series] if row else None
