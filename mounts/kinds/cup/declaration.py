"""Declaration of the cup: how its jobs are loaded, and what plans them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from mounts.kinds.registry import WORKSHOP, Declaration
from mounts.load.models.cup_file import CupFile
from mounts.load.resolve.cup import cup_jobs

if TYPE_CHECKING:
    from mounts.kinds.kind import Kind


def _kinds() -> Mapping[tuple[str, str], Kind]:
    from mounts.kinds.cup.kind import CUP

    return {("cup", "print"): CUP}


DECLARATION = Declaration(
    file=CupFile,
    parts={"panel": "panel", "speaker": "speaker", **WORKSHOP},
    resolve=cup_jobs,
    kinds=_kinds,
    pins=True,
)
