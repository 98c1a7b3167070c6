"""Work steps of a board and its feet: how they are made and fitted. What has no source is common practice."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from mounts.kinds.board.papers import HELD, readings
from mounts.kinds.board.values import BoardPlan, FootPlan
from mounts.load.models.fastener import Manner
from mounts.load.models.job_kinds import BoardJob, FootJob
from mounts.made import Made
from mounts.papers.preparation import preparation_steps, print_steps
from mounts.papers.values import Steps, WorkStep, numbered
from mounts.papers.wording import join_words


def board_steps(made: Made[BoardJob, BoardPlan]) -> tuple[Steps, ...]:
    """Return the work on one board, in order."""
    job, plan = made.job, made.plan
    first = preparation_steps(made, "clear the place", HELD, readings(job))
    make = _cut(job, plan) if job.make == "cut" else _print(made, job, plan)
    return numbered((("Before you cut or print", first), ("Make it", make), ("Fit it", _fit(job, plan))))


def foot_steps(made: Made[FootJob, FootPlan]) -> tuple[Steps, ...]:
    """Return the work on the feet under a board that is cut, in order."""
    job, plan = made.job, made.plan
    fix = job.board.fix_feet
    steps = [*print_steps(made, "It stands on the end that is glued, as the file has it.")]
    steps[0] = replace(steps[0], text=f"{plan.count} of them. {steps[0].text}")
    step = fix.hardware.set_in_part(plan.count, _manner("level with the foot's top")) if fix is not None else None
    if step is not None:
        steps.append(WorkStep(*step))
    return numbered((("Make the feet", tuple(steps)),))


def _manner(where: str) -> Manner:
    sunk = f" where the plastic asks for it, {where}."
    return Manner(sunk=sunk, cold="An iron burns at once; hot plastic sticks. Air the room.")


def _cut(job: BoardJob, plan: BoardPlan) -> Iterator[WorkStep]:
    yield WorkStep(
        f"Cut the sheet by the DXF's layer CUT or by the template: {job.material.name}, {job.thickness:g} thick; drill "
        "square to it.",
        "Eye protection, dust mask, hearing protection; a scrap below, so that no hole tears out.",
    )
    if plan.slots:
        yield WorkStep(f"Round both edges of {join_words(s.name for s in plan.slots)} to {plan.slots[0].radius:g}.")
    if any(foot.sunk for foot in plan.feet):
        yield WorkStep(f"Countersink the feet's holes from above, {plan.feet[0].head:g} wide.")
    yield WorkStep("Break all other edges. Take the sizes of the sheet “Check the cut part”.")
    if job.wrap is not None:
        yield from _wrapping(job, plan)
    if plan.feet[0].hole:
        yield WorkStep("Screw the feet on from above, hand-tight: each turns under its screw until it is glued.")


def _print(made: Made[BoardJob, BoardPlan], job: BoardJob, plan: BoardPlan) -> Iterator[WorkStep]:
    yield from print_steps(made, "It lies on its top, feet up, as the file has it.")
    for item in dict.fromkeys(placed.fix.hardware for placed in job.devices):
        count = sum(len(p.device.holes.at) for p in job.devices if p.fix.hardware == item)
        step = item.set_in_part(count, _manner("from below, level with the underside"))
        if step is not None:
            yield WorkStep(*step)
    if job.wrap is not None:
        yield from _wrapping(job, plan)


def _wrapping(job: BoardJob, plan: BoardPlan) -> Iterator[WorkStep]:
    assert job.wrap is not None
    fold = job.wrap.fold
    yield WorkStep(
        f"Glue the carpet on: top first, then round the edge, {fold:g} folded back below, slit at the corners."
    )
    relief = f"{2 * job.wrap.relief:g} wider than its head"
    yield WorkStep(
        f"Slit it over each passage and fold it through. Punch it out round every screw, {relief}.",
        "A drill or a screw winds carpet up and pulls it off.",
    )


def _fit(job: BoardJob, plan: BoardPlan) -> Iterator[WorkStep]:
    yield WorkStep("Dry fit: stand the board with its devices and plugs in its place; look that nothing is under it.")
    yield WorkStep(
        f"Devices off. Degrease the lining, roughen the {len(plan.feet)} feet, glue, weigh down until it has cured.",
        "Try the glue on the lining first: some let go of their own backing. Nothing is screwed through the floor.",
    )
    yield WorkStep("Pull at each foot with the force of your weight on one hand: none moves.")
    for placed in job.devices:
        screw = placed.fix.screw
        words = f" {screw.thread}, {screw.head} head" if screw else ""
        yield WorkStep(f"{placed.name}: {len(placed.device.holes.at)} screws{words}, crosswise, by hand.")
    yield WorkStep(
        "Cables through the passages, held off edges; fuse at the battery last; battery on; play it quietly first.",
        "Feel every case after half an hour at the level that is played: too hot to hold is too hot.",
    )
    yield WorkStep("After the first hot days: pull at feet and devices again. Fill in the return sheet.")
