"""What a mount kind gives to the pipeline."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Protocol

from mounts.design.drawing import Drawing
from mounts.findings.report import AS_BUILT, Pose
from mounts.geometry.frames import Frame
from mounts.shape.recipe import Envelope, Scene


def as_built(plan: Any) -> Pose:
    """The print pose of a part that is printed as it stands in the panel frame."""
    return AS_BUILT


def as_one(job: Any) -> tuple[Any, ...]:
    """The parts of a job that gives one."""
    return (job,)


def itself(plan: Any) -> Scene | None:
    """The whole that a part belongs to, for a part that is whole."""
    return None


def seat_frame(plan: Any) -> Frame:
    """The axis of a part that carries a speaker on a seat."""
    frame: Frame = plan.seat.frame
    return frame


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
        surroundings: job and plan → envelopes of the real things round the part.
        pose: plan → rigid transform from the panel frame to the print pose, lowest point at z = 0.
        axis: plan → frame of what the part carries, its z along the speaker's axis.
        dummy: job and plan → scenes of the dummy's parts by name, their genus left open, each with its print pose;
            None where it makes no sense.
        parts: job → one job a part, where it is made in two.
        whole: plan → scene of the assembled mount to which a part belongs, None for a part that is whole.
        slice_pose: plan → rigid transform from the frame in which the slice is drawn to its print pose.
    """

    plan: Callable[[Any], Any]
    shape: Callable[[Any], Scene]
    slice: Callable[[Any], Scene] | None
    surroundings: Callable[[Any, Any], tuple[Envelope, ...]]
    pose: Callable[[Any], Pose] = as_built
    axis: Callable[[Any], Frame] = seat_frame
    dummy: Callable[[Any, Any], Mapping[str, tuple[Scene, Pose]]] | None = None
    parts: Callable[[Any], tuple[Any, ...]] = as_one
    whole: Callable[[Any], Scene | None] = itself
    slice_pose: Callable[[Any], Pose] = as_built
