"""Declaration of the board and of the printed foot under one that is cut: what loads and what plans them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from mounts.kinds.registry import WORKSHOP, Declaration
from mounts.load.models.board_file import BoardFile
from mounts.load.resolve.board import board_jobs

if TYPE_CHECKING:
    from mounts.kinds.kind import Kind


def _kinds() -> Mapping[tuple[str, str], Kind]:
    from mounts.kinds.board.kind import BOARD, FOOT

    return {("board", "cut"): BOARD, ("board", "print"): BOARD, ("foot", "print"): FOOT}


DECLARATION = Declaration(
    file=BoardFile,
    parts={"devices.*.device": "device", "feet.material": "material", **WORKSHOP},
    resolve=board_jobs,
    kinds=_kinds,
)
