"""A library of panels written for a test."""

from __future__ import annotations

import os
from pathlib import Path

OLD = 1_600_000_000  # s: long settled
DOOR = {"A": (58.0, 53.5), "B": (58.5, -54.0), "C": (-57.5, -53.0), "D": (-58.0, 54.0)}


def nobody(done: int, count: int) -> None:
    """Told how far reading is, and says nothing."""


def write(
    root: Path,
    name: str,
    points=DOOR,
    *,
    head: str = "",
    rest: str = "",
    opening: str = "{round: 120}",
    when: int = OLD,
) -> Path:
    """One panel; `head` and `rest` are further lines, `when` its time."""
    at = ", ".join(f"{key}: [{x:.4f}, {y:.4f}]" for key, (x, y) in points.items())
    file = root / "panels" / f"{name}.yaml"
    file.parent.mkdir(parents=True, exist_ok=True)
    told = f"kind: panel\nname: {name}\n{head}opening: {opening}\nfixings: {{hole: 7.0, at: {{{at}}}}}\n{rest}"
    file.write_text(told, "utf-8")
    os.utime(file, (when, when))
    return file


def pins(root: Path, name: str, points) -> Path:
    """One panel of pins."""
    at = "".join(f"  {key}: {{at: [{x:.3f}, {y:.3f}], diameter: 2.6, height: 8}}\n" for key, (x, y) in points.items())
    file = root / "panels" / f"{name}.yaml"
    file.write_text(f"kind: panel\nname: {name}\nroom: 30\npins:\n{at}", "utf-8")
    os.utime(file, (OLD, OLD))
    return file
