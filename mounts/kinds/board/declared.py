"""Declaration of the board and of the printed foot under one that is cut: what loads and what plans them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from mounts.kinds.declared import WORKSHOP, Declared
from mounts.load.board import board_jobs
from mounts.load.models.board_job import BoardFile

if TYPE_CHECKING:
    from mounts.kinds.kind import Kind


def _kinds() -> Mapping[tuple[str, str], Kind]:
    from mounts.kinds.board.kind import BOARD, FOOT  # noqa: PLC0415

    return {("board", "cut"): BOARD, ("board", "print"): BOARD, ("foot", "print"): FOOT}


DECLARED = Declared(
    file=BoardFile,
    parts={"devices.*.device": "device", "feet.material": "material", **WORKSHOP},
    resolve=board_jobs,
    kinds=_kinds,
)
