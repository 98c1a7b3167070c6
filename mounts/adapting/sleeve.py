"""A reducing sleeve that fits a smaller speaker into an old part, or why there is none, as a kind returns it."""

from __future__ import annotations

from dataclasses import dataclass

from mounts.adapting.draft import Draft
from mounts.made import Made


@dataclass(frozen=True, slots=True)
class Sleeve:
    """Reducing sleeve that serves.

    Attributes:
        draft: its job's file.
        made: the part.
        count: how many, one for each side.
    """

    draft: Draft
    made: Made
    count: int


@dataclass(frozen=True, slots=True)
class NoSleeve:
    """Reason why no sleeve serves.

    Attributes:
        why: in words.
        short: mm by which its wall is too thin; None where something else is in the way.
    """

    why: str
    short: float | None = None
