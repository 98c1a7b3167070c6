"""Work steps of a spacer: how it is made and fitted. What has no source is common practice."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.kinds.spacer.papers import HELD, first_check, readings
from mounts.kinds.spacer.values import SpacerPlan
from mounts.load.models.job_kinds import SpacerJob
from mounts.load.parse.units import format_clock
from mounts.made import Made
from mounts.papers.preparation import preparation_steps, print_steps
from mounts.papers.values import Steps, WorkStep, numbered


def spacer_steps(made: Made[SpacerJob, SpacerPlan]) -> tuple[Steps, ...]:
    """Return the work on one spacer, in order."""
    job, plan = made.job, made.plan
    halves = plan.slit is not None and plan.slit.half is not None
    parts = (
        ("Before you print", preparation_steps(made, "", HELD, readings(job), first_check(job))),
        (
            "Make it",
            print_steps(made, "It stands on its front, as the file has it." + (" Both halves." if halves else "")),
        ),
        ("Fit it", _sleeve(job, plan)),
    )
    return numbered(parts)


def _sleeve(job: SpacerJob, plan: SpacerPlan) -> Iterator[WorkStep]:
    yield WorkStep("Break the edge of the panel's opening with a file, no more than 0.3. Leave crush ribs as they are.")
    if plan.slit is not None and plan.slit.half is None:
        yield WorkStep(
            f"Spring the slit over the cable, {job.units(plan.slit.width, 1)} wide, no wider. Slit towards "
            f"{format_clock(plan.slit.clock)}.",
            "Eye protection: printed plastic breaks sharp.",
        )
    elif plan.slit is not None:
        yield WorkStep("Lay the two halves round the cable, edges together.")
    elif job.device.cable is not None:
        yield WorkStep("Thread the cable through the sleeve before its plug is made off.")
    yield WorkStep(
        f"Sleeve into the opening, straight, with the thumbs, until its "
        f"{'lip' if plan.lip else 'front'} lies on the face" + (" and the bump snaps behind it." if plan.bump else ".")
    )
    yield WorkStep(
        "Device into the sleeve, straight"
        + (f", {job.units(job.recess)} behind its front." if job.recess else ".")
        + (" It rests on the stop." if plan.stop else ""),
        "By hand. If it needs a hammer, measure it again.",
    )
    if job.device.cable is None:
        yield WorkStep("Push and pull at the device ten times: neither it nor the sleeve moves.")
        yield WorkStep("After the first hot days: pull at device and sleeve again. Fill in the return sheet.")
        return
    yield WorkStep("Plug in and pull out ten times: neither sleeve nor device moves.")
    yield WorkStep("Its supply has a fuse of its own at the source; the cable is held off edges and moving parts.")
    yield WorkStep("After the first hot days: pull at plug and sleeve again. Fill in the return sheet.")
