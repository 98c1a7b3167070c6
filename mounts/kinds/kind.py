"""What a mount kind gives to the pipeline."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol

from mounts.checks.report import Finding
from mounts.design.drawing import Drawing
from mounts.kernels.part import Part
from mounts.load.models.resolved import Job
from mounts.shape.recipe import Scene


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
    """A mount kind: the pure functions from a job to its plan, from the plan to its drawing, and its findings.

    Attributes:
        plan: job → plan.
        shape: plan → scene.
        slice: plan → scene of the first-check slice, None where it makes no sense.
        findings: job, plan and finished part → findings, in the order in which reprints happen.
        not_measured: job → paths of readings that were not taken.
    """

    plan: Callable[[Job], Any]
    shape: Callable[[Any], Scene]
    slice: Callable[[Any], Scene] | None
    findings: Callable[[Job, Any, Part], tuple[Finding, ...]]
    not_measured: Callable[[Job], tuple[str, ...]]
