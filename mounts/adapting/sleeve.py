"""A reducing sleeve that lets a smaller speaker into an old part, or why there is none, as a kind gives it."""

from __future__ import annotations

from dataclasses import dataclass

from mounts.adapting.draft import Draft
from mounts.made import Made


@dataclass(frozen=True, slots=True)
class Sleeve:
    """A sleeve that serves: its job's file, and the part, one for each side."""

    draft: Draft
    made: Made
    count: int


@dataclass(frozen=True, slots=True)
class NoSleeve:
    """Why no sleeve serves; `short` is by how much its wall is too thin, None where something else is in the way."""

    why: str
    short: float | None = None
