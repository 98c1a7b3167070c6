"""Table of the mount kinds: the word in a job's file, and the module in which the kind declares itself.

A kind's module is imported only when it is asked for. So a list of files imports no models, loading imports no
planning, and a ring imports nothing of a board.

Declaration of a mount kind: what loads its jobs and what plans them, known before anything is planned.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from mounts.kinds.kind import Kind
    from mounts.load.models.job import Job
    from mounts.load.models.job_file import JobFile
    from mounts.load.resolve.request import JobRequest

WORKSHOP = {"material": "material", "printer": "printer"}
KIND_MODULES: Mapping[str, str] = {
    "ring": "mounts.kinds.ring.declaration",
    "cup": "mounts.kinds.cup.declaration",
    "spacer": "mounts.kinds.spacer.declaration",
    "board": "mounts.kinds.board.declaration",
}
USUAL = next(iter(KIND_MODULES))  # of a job that does not say its kind


@dataclass(frozen=True, slots=True, kw_only=True)
class Declaration:
    """Declaration of a kind: how its jobs are loaded, and which kinds plan them.

    Attributes:
        file: model of its job's file.
        parts: which keys refer to profiles, and of which kind; in "devices.*.device" the star is any key.
        resolve: from what was asked for to one job a side.
        kinds: (kind, make) of its jobs → what plans and draws them; imports planning.
        pins: whether its panel is one of pins.
    """

    file: type[JobFile]
    parts: Mapping[str, str]
    resolve: Callable[[JobRequest], tuple[Job, ...]]
    kinds: Callable[[], Mapping[tuple[str, str], Kind]]
    pins: bool = False


def kind_on(*, pins: bool) -> str:
    """Return the word of the first kind of mount that goes on panels with pins, or on those without."""
    return next(word for word in KIND_MODULES if declaration_of(word).pins is pins)


def declaration_of(word: str) -> Declaration:
    """Return the declaration of the kind with this word; raise KeyError for a word that is not in the table."""
    found: Declaration = import_module(KIND_MODULES[word]).DECLARATION
    return found
