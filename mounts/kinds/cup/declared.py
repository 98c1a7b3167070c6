"""Declaration of the cup: how its jobs are loaded, and what plans them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from mounts.kinds.declared import WORKSHOP, Declared
from mounts.load.cup import cup_jobs
from mounts.load.models.cup_job import CupFile

if TYPE_CHECKING:
    from mounts.kinds.kind import Kind


def _kinds() -> Mapping[tuple[str, str], Kind]:
    from mounts.kinds.cup.kind import CUP  # noqa: PLC0415

    return {("cup", "print"): CUP}


DECLARED = Declared(
    file=CupFile,
    parts={"panel": "panel", "speaker": "speaker", **WORKSHOP},
    resolve=cup_jobs,
    kinds=_kinds,
    pins=True,
)
