"""Table of the mount kinds: the word in a job's file, and the module in which the kind declares itself.

A kind's module is imported only when it is asked for. So a list of files imports no models, loading imports no
planning, and a ring imports nothing of a board.
"""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from mounts.kinds.declaration import Declaration

KIND_MODULES: Mapping[str, str] = {
    "ring": "mounts.kinds.ring.declaration",
    "cup": "mounts.kinds.cup.declaration",
    "spacer": "mounts.kinds.spacer.declaration",
    "board": "mounts.kinds.board.declaration",
}


def declaration_of(word: str) -> Declaration:
    """Return the declaration of the kind with this word; raise KeyError for a word that is not in the table."""
    found: Declaration = import_module(KIND_MODULES[word]).DECLARATION
    return found
