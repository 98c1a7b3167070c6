"""Texts and sizes for the papers of a board and its feet: what is bought, tools, sizes to take, return sheet."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.checks.board.screws import device_joints, foot_joints
from mounts.geometry.outline import polar_point
from mounts.kinds.board.plan import plan_board
from mounts.kinds.board.values import BoardPlan, FootPlan
from mounts.load.models.job_kinds import BoardJob, FootJob
from mounts.papers.caliper import cut_size, hole_size, outside_size, widest
from mounts.papers.hardware import fixing, screws, setting
from mounts.papers.values import WRITE, Check, ListItem, Record, Sign, WorkStep
from mounts.papers.wording import join_words, size_text

HELD = WorkStep(
    "Lay the template in its place, and each device with its plugs on its outline: holes and ears must meet.",
    "If a hole is off, measure the device again.",
)


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
    yield size(job, f"holes {first.name} to {last.name}", how, apart + first.hole, ends, sign=Sign.SCALE)
    edge = (polar_point(first.at, first.hole, 0.0), polar_point(first.at, first.hole, 180.0))
    at = ((*edge[0], plan.top), (*edge[1], plan.top))
    growth = job.printer.growth(job.material.name) if job.make == "print" else 0.0
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
