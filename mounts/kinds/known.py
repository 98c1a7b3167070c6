"""The table of mount kinds: the word that a job's file says, and the module in which the kind declares itself.

Nothing is imported before it is asked for, so that a list of files needs no models, loading no planning, and a ring
nothing of a board.
"""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from mounts.kinds.declared import Declared

KNOWN: Mapping[str, str] = {
    "ring": "mounts.kinds.ring.declared",
    "cup": "mounts.kinds.cup.declared",
    "spacer": "mounts.kinds.spacer.declared",
    "board": "mounts.kinds.board.declared",
}


def declared(word: str) -> Declared:
    """Return what the kind of a word declares; raises KeyError for a word that is in no file."""
    found: Declared = import_module(KNOWN[word]).DECLARED
    return found
