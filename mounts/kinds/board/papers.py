"""Texts and sizes for the papers of a board and its feet: what is bought, tools, sizes to take, return sheet.

Work steps of a board and its feet: how they are made and fitted. What has no source is common practice.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from mounts.checks.board.screws import device_joints, foot_joints
from mounts.geometry.outline import polar_point
from mounts.kinds.board.job import BoardJob, FootJob
from mounts.kinds.board.plan import plan_board
from mounts.kinds.board.values import BoardPlan, FootPlan
from mounts.load.models.fastener import Manner
from mounts.made import Made
from mounts.papers.caliper import cut_size, hole_size, outside_size, widest
from mounts.papers.hardware import fixing, screws, setting
from mounts.papers.preparation import preparation_steps, print_steps
from mounts.papers.values import WRITE, Check, ListItem, Record, Sign, Steps, WorkStep, numbered
from mounts.papers.wording import join_words, size_text

SEEN = ("Seen from above, 12:00 to the vehicle's front", "Seen from below: left and right change places")
FOOT_SEEN = ("Seen from above", SEEN[1])
HELD = WorkStep(
    "Lay the template in its place, and each device with its plugs on its outline: holes and ears must meet.",
    "If a hole is off, measure the device again.",
)


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
        f"Cut the sheet by the DXF's layer CUT or by the template: {job.material.name}, "
        f"{job.units(job.thickness)} thick; drill "
        "square to it.",
        "Eye protection, dust mask, hearing protection; a scrap below, so that no hole tears out.",
    )
    if plan.slots:
        yield WorkStep(
            f"Round both edges of {join_words(s.name for s in plan.slots)} to {job.units(plan.slots[0].radius)}."
        )
    if any(foot.sunk for foot in plan.feet):
        yield WorkStep(f"Countersink the feet's holes from above, {job.units(plan.feet[0].head)} wide.")
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
        f"Glue the carpet on: top first, then round the edge, {job.units(fold)} folded back below, slit at the corners."
    )
    relief = f"{job.units(2 * job.wrap.relief)} wider than its head"
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


def title(job: BoardJob, plan: BoardPlan) -> str:
    """Return the title: how it is made, and for which devices."""
    what = "Board cut from sheet" if job.make == "cut" else "Printed board"
    return f"{what} for {join_words(placed.device.name for placed in job.devices)}"


def foot_title(job: FootJob, plan: FootPlan) -> str:
    """Return the title of the feet: their number."""
    return f"its {len(plan_board(job.board).feet)} printed feet"


def readings(job: BoardJob) -> Iterator[str]:
    """Yield the sizes that a caliper can take again in a minute."""
    if job.room is not None:
        yield f"free height over the floor lining {job.units.read(job.room)}"
    for placed in job.devices:
        yield (
            f"{placed.name} {size_text(placed.device.outline.outline(), job.units)}, "
            f"{job.units.read(placed.device.height)} high"
        )


def hardware(job: BoardJob, plan: BoardPlan) -> Iterator[ListItem]:
    """Yield the devices and what holds them, carpet and glue."""
    for placed, stand in zip(job.devices, plan.stands, strict=True):
        yield ListItem(1, placed.device.name, placed.device.about, f"the {placed.name} on the board")
        count = len(placed.device.holes.at)
        yield from fixing(placed.fix.hardware, count, f"{placed.name}'s screws")
        joints = device_joints(job, plan, placed, stand)
        yield from screws(joints, placed.fix.screw, count, f"{placed.name} to board", job.units)
    if job.wrap is not None:
        x0, y0, x1, y1 = plan.finished.box
        more = 2 * (job.wrap.fold + job.thickness + job.wrap.thickness)
        size = f"{job.units(x1 - x0 + more, 0)} × {job.units(y1 - y0 + more, 0)}, {job.units(job.wrap.thickness)} thick"
        yield ListItem(1, "carpet", size, "round the board")
    yield ListItem(1, "elastic construction adhesive", "for plastic and carpet", "feet to floor lining")
    yield ListItem(1, "fuse and holder", "by the cable's size", "supply cable, at the battery")


def foot_hardware(job: FootJob, plan: FootPlan) -> Iterator[ListItem]:
    """Yield what joins board and feet."""
    fix = job.board.fix_feet
    if fix is not None:
        yield from fixing(fix.hardware, plan.count, "feet's screws")
        yield from screws(foot_joints(job, plan_board(job.board)), fix.screw, plan.count, "board to feet", job.units)


def tools(job: BoardJob) -> Iterator[str]:
    """Yield the tools for a board, in the order of their use."""
    if job.make == "cut":
        yield "router or fine saw, drills for the holes on the template, a rounding cutter or file, a countersink"
        yield "eye, ear and dust protection"
    if job.wrap is not None:
        yield "sharp knife, hole punch or hot iron for the carpet"
    for placed in job.devices:
        yield from setting(placed.fix)
    yield "clamps or weights while the glue cures, abrasive paper, cleaner for the lining"
    yield "crimping tool for the supply cable"


def foot_tools(job: FootJob) -> Iterator[str]:
    """Return the tools for its feet."""
    return setting(job.board.fix_feet)


def calipers(job: BoardJob, plan: BoardPlan) -> Iterator[Check]:
    """Yield the sizes to take: the outline both ways, the thickness, one device's holes."""
    x0, y0, x1, y1 = plan.outline.box
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    size = cut_size if job.make == "cut" else outside_size
    how = "steel rule or outer jaws, edge to edge through the middle"
    yield size(job, "across", how, x1 - x0, ((x0, y, plan.top), (x1, y, plan.top)))
    yield size(job, "up", how, y1 - y0, ((x, y0, plan.top), (x, y1, plan.top)))
    thick = ((x0, y, plan.bottom), (x0, y, plan.top))
    yield size(job, "thickness", "outer jaws over the edge", plan.thickness, thick)
    first = plan.spots[0]
    last = max(
        (one for one in plan.spots if one.device == first.device),
        key=lambda one: (one.at[0] - first.at[0]) ** 2 + (one.at[1] - first.at[1]) ** 2,
    )
    apart = ((last.at[0] - first.at[0]) ** 2 + (last.at[1] - first.at[1]) ** 2) ** 0.5
    how = "inner jaws over the far edges of both holes"
    ends = ((*first.at, plan.top), (*last.at, plan.top))
    growth = job.hole_growth
    yield size(job, f"holes {first.name} to {last.name}", how, apart + first.hole - growth, ends, sign=Sign.SCALE)
    edge = (polar_point(first.at, first.hole, 0.0), polar_point(first.at, first.hole, 180.0))
    at = ((*edge[0], plan.top), (*edge[1], plan.top))
    yield hole_size(job, f"hole {first.name}", "inner jaws, or a drill's shank", first.hole - growth, at)


def foot_calipers(job: FootJob, plan: FootPlan) -> Iterator[Check]:
    """Yield the sizes to take on a foot: diameter, height and hole."""
    one, other, size_text = widest(plan.levels[1][1])
    half = plan.height / 2
    yield outside_size(job, "across", "outer jaws at half its height", size_text, ((*one, half), (*other, half)))
    tall = ((one[0], 0.0, 0.0), (one[0], 0.0, plan.height))
    yield outside_size(job, "height", "outer jaws from end to end", plan.height, tall)
    at = ((-plan.hole / 2, 0.0, plan.height), (plan.hole / 2, 0.0, plan.height))
    growth = job.printer.growth(job.material.name)
    yield hole_size(job, "screw hole", "inner jaws, or a drill's shank", plan.hole - growth, at)


def record(job: BoardJob, plan: BoardPlan) -> Record:
    """Return its part of the return sheet."""
    return Record(
        facts=(
            ("Place", job.place or WRITE),
            ("Devices", join_words(f"{placed.name}: {placed.device.name}" for placed in job.devices)),
        ),
        changed=(f"{len(plan.feet)} feet glued to the floor lining",),
        out=("Fuse out first. Devices: unplug, unscrew. Board: undo its feet's screws, or lift it feet and all.",),
        left=("Marks of the glue on the lining.",),
    )


def foot_record(job: FootJob, plan: FootPlan) -> Record:
    """Return the feet's part of the return sheet."""
    out = ("Feet: cut the glue with a wire, or warm it; do not tear the lining.",)
    return Record(facts=(), changed=(), out=out, left=("Nothing.",))
