"""Declaration of a mount kind: what loads its jobs and what plans them, known before anything is planned."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from mounts.kinds.kind import Kind
    from mounts.load.models.job import Job
    from mounts.load.models.job_file import JobFile
    from mounts.load.resolve.request import JobRequest

WORKSHOP = {"material": "material", "printer": "printer"}


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
