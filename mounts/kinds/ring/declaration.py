"""Declaration of the ring, printed or cut from sheet: how its jobs are loaded, and what plans them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from mounts.kinds.registry import WORKSHOP, Declaration
from mounts.load.models.ring_file import RingFile
from mounts.load.resolve.ring import ring_jobs

if TYPE_CHECKING:
    from mounts.kinds.kind import Kind


def _kinds() -> Mapping[tuple[str, str], Kind]:
    from mounts.kinds.ring.kind import FLAT, RING

    return {("ring", "print"): RING, ("ring", "cut"): FLAT}


DECLARATION = Declaration(
    file=RingFile,
    parts={"panel": "panel", "speaker": "speaker", **WORKSHOP},
    resolve=ring_jobs,
    kinds=_kinds,
)
