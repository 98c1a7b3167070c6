"""What a mount kind gives to the pipeline."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol

from mounts.design.drawing import Drawing
from mounts.findings.report import AS_BUILT, Pose
from mounts.shape.recipe import Scene


def as_built(plan: Any) -> Pose:
    """The print pose of a part that is printed as it stands in the panel frame."""
    return AS_BUILT


def as_one(job: Any) -> tuple[Any, ...]:
    """The parts of a job that gives one."""
    return (job,)


def itself(plan: Any) -> Scene | None:
    """The whole that a part belongs to, for a part that is whole."""
    return None


class Plan(Protocol):
    """What every plan tells, whatever its kind."""

    @property
    def name(self) -> str:
        """Job and side, ASCII."""

    @property
    def side(self) -> str:
        """Left, right, or nothing."""

    @property
    def genus(self) -> int:
        """Through holes of the finished part."""

    @property
    def paper(self) -> Drawing:
        """The 1:1 template."""


@dataclass(frozen=True, slots=True)
class Kind:
    """A mount kind: the pure functions from a job to its plan, and from the plan to its drawing.

    Attributes:
        plan: job → plan.
        shape: plan → scene.
        slice: plan → scene of the first-check slice, None where it makes no sense.
        pose: plan → rigid transform from the panel frame to the print pose, lowest point at z = 0.
        parts: job → one job a part, where it is made in two.
        whole: plan → scene of the assembled mount to which a part belongs, None for a part that is whole.
    """

    plan: Callable[[Any], Any]
    shape: Callable[[Any], Scene]
    slice: Callable[[Any], Scene] | None
    pose: Callable[[Any], Pose] = as_built
    parts: Callable[[Any], tuple[Any, ...]] = as_one
    whole: Callable[[Any], Scene | None] = itself
