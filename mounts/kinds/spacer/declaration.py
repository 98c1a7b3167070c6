"""Declaration of the spacer: how its jobs are loaded, and what plans them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from mounts.kinds.registry import WORKSHOP, Declaration
from mounts.load.models.spacer_file import SpacerFile
from mounts.load.resolve.spacer import spacer_jobs

if TYPE_CHECKING:
    from mounts.kinds.kind import Kind


def _kinds() -> Mapping[tuple[str, str], Kind]:
    from mounts.kinds.spacer.kind import SPACER

    return {("spacer", "print"): SPACER}


DECLARATION = Declaration(
    file=SpacerFile,
    parts={"port": "port", "device": "port", **WORKSHOP},
    resolve=spacer_jobs,
    kinds=_kinds,
)
