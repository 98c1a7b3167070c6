"""Declaration of the ring, printed or cut from sheet: how its jobs are loaded, and what plans them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from mounts.kinds.declared import WORKSHOP, Declared
from mounts.load.models.ring_job import RingFile
from mounts.load.ring import ring_jobs

if TYPE_CHECKING:
    from mounts.kinds.kind import Kind


def _kinds() -> Mapping[tuple[str, str], Kind]:
    from mounts.kinds.ring.kind import FLAT, RING  # noqa: PLC0415

    return {("ring", "print"): RING, ("ring", "cut"): FLAT}


DECLARED = Declared(
    file=RingFile,
    parts={"panel": "panel", "speaker": "speaker", **WORKSHOP},
    resolve=ring_jobs,
    kinds=_kinds,
)
