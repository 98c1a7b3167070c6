"""Texts and sizes for a cup's papers: title, bought parts, tools, sizes, words on the views, return sheet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import combinations
from math import hypot

import numpy as np

from mounts.design.drawing import Dimension
from mounts.design.fits import spread
from mounts.geometry.frames import Frame
from mounts.geometry.outline import Box, Point, offset_outline
from mounts.geometry.ties import most_of
from mounts.kinds.cup.job import CupJob
from mounts.kinds.cup.values import CupPlan, Stake
from mounts.kinds.cup.way import find_way
from mounts.kinds.review import PlacedText
from mounts.lengths import Units
from mounts.papers.caliper import above_face, as_vector, extend, hole_size, lowest_and_highest, outside_size, widest
from mounts.papers.hardware import cable, driver_for, fixing
from mounts.papers.record import speaker_facts
from mounts.papers.values import Check, ListItem, Record, Sign, WorkStep
from mounts.papers.wording import distance, join_words, size_text
from mounts.shape.primitives import Section


def title(job: CupJob, plan: CupPlan) -> str:
    """Return the title: which tweeter in which panel."""
    return f"Cup for {job.speaker.name} in {job.panel.name}"


def template_step(job: CupJob) -> WorkStep:
    """Return the step that says how the template is held on the pins."""
    return WorkStep(
        f"Prick the holes {join_words(job.panel.pins)} out of the template and hang it on the pins, behind the face.",
        "All must go on without pulling. If one does not, measure the pins again.",
    )


def readings(job: CupJob) -> Iterator[str]:
    """Yield the sizes that a caliper can take again in a minute."""
    points = job.panel.points
    one, other = most_of(combinations(points, 2), key=lambda pair: distance(points[pair[0]], points[pair[1]]))
    yield f"{one} to {other}, centre to centre, {job.units(distance(points[one], points[other]), 1)}"
    yield join_words(
        f"pin {name} ⌀ {job.units.read(pin.diameter)}, {job.units.read(pin.height)} high"
        for name, pin in job.panel.pins.items()
    )
    yield f"free depth behind the face {job.units.read(job.panel.room)}"
    yield (
        f"tweeter {job.units.read(job.speaker.depth)} deep, flange {size_text(job.speaker.flange.outline(), job.units)}"
    )


def hardware(job: CupJob, plan: CupPlan) -> Iterator[ListItem]:
    """Yield what is bought for it."""
    fix, count = job.fix_speaker, len(plan.seat.screws)
    if fix is not None and count:
        yield from fixing(fix.hardware, count, "tweeter's screws")
    if fix is not None and count and fix.screw is not None:
        yield ListItem(count, f"{fix.screw.head} head screw", fix.screw.thread, "tweeter to cup", fix.screw.name)
    yield from cable(1)


def tools(job: CupJob) -> Iterator[str]:
    """Yield the tools for a cup, in the order of their use."""
    tip = (
        f"{job.units(job.staking.tip)} across with a "
        f"{'dome' if job.staking.head in (None, 'dome') else job.staking.head} cavity"
    )
    yield f"staking iron with a tip {tip}, 210 to 250 °C, its stand, and a clock with seconds"
    yield "a flat rest for the panel, soft cloth, side cutters for pins that are to be shortened"
    if find_way(job) == "cup":
        yield "a strip of metal sheet, to keep the iron's heat off the tweeter"
    if job.fix_speaker is not None and job.fix_speaker.hardware.hot:
        yield f"setting tip for {job.fix_speaker.hardware.thread} inserts"
    if job.fix_speaker is not None and job.fix_speaker.screw is not None:
        yield driver_for(job.fix_speaker.screw)
    yield "crimping tool"


def calipers(job: CupJob, plan: CupPlan) -> Iterator[Check]:
    """Yield the five sizes to take on a finished cup."""
    seat, growth = plan.seat, job.printer.growth(job.material.name)
    one, other = most_of(combinations(plan.stakes, 2), key=lambda pair: distance(pair[0].at, pair[1].at))
    value = distance(one.at, other.at) + _reach(one, other.at) + _reach(other, one.at) - growth
    off = max(min(stake.gap + stake.way for stake in (one, other)), spread(value, job.printer) / 2)
    ends = extend(one.at, other.at, _reach(one, other.at))
    how = "inner jaws over the far edges of both pin holes"
    yield Check(
        f"holes {one.name} to {other.name}",
        how,
        value,
        value - off,
        value + off,
        (above_face(ends[0]), above_face(ends[1])),
        Sign.SCALE,
    )
    a, b, width = widest(seat.room)
    room = [as_vector(seat.frame.out((*p, 0.0))) for p in (a, b)]
    yield hole_size(job, "room for the flange", "inner jaws above the seat", width - growth, (room[0], room[1]))
    low, high = lowest_and_highest(Section(seat.frame, offset_outline(seat.room, -0.5)))
    for word, at in (("seat, deep side", low), ("seat, shallow side", high)):
        how = "depth rod from the plate's front down to the seat, where it is " + (
            "deepest" if at is low else "highest"
        )
        yield outside_size(job, word, how, -at[2], (at, (at[0], at[1], 0.0)))
    if seat.press is not None:
        inside = seat.press.inside - growth
        ends3 = [as_vector(seat.frame.out((x, 0.0, -seat.press.lead))) for x in (-inside / 2, inside / 2)]
        off = min(0.1, spread(inside, job.printer) / 2)
        how = "inner jaws between ribs that face each other; with an odd number, a round bar of this size"
        yield Check("between the ribs' tips", how, inside, inside - off, inside + off, (ends3[0], ends3[1]))
        return
    a, b, width = widest(seat.bore)
    bore = [as_vector(seat.frame.out((*p, 0.0))) for p in (a, b)]
    yield hole_size(
        job, "bore", "inner jaws in the bore, just behind the seat", width - growth, (bore[0], bore[1]), sign=Sign.HOLES
    )


def _reach(stake: Stake, other: Point) -> float:
    """Return the distance from a pin hole's centre to its edge facing away from another place, mm."""
    away = np.subtract(stake.at, other)
    turn = float(np.degrees(np.arctan2(away[1], away[0])))
    along: float = (stake.at[0] * away[0] + stake.at[1] * away[1]) / hypot(*away)
    return stake.hole.support(turn) - along


def panel_pins(job: CupJob) -> Mapping[str, Point]:
    """Return the panel's pins by name."""
    return job.panel.points


def front(job: CupJob, plan: CupPlan) -> Iterator[PlacedText]:
    """Yield the words on the view from the cabin: the hole of each pin."""
    for stake in plan.stakes:
        size = (
            f"⌀ {job.units(stake.width, 1)}"
            if not stake.way
            else f"slot {job.units(stake.width, 1)} × {job.units(stake.length, 1)}"
        )
        yield stake.at, f"pin {stake.name}: {size}, {stake.role}"


def back(job: CupJob, plan: CupPlan) -> Iterator[PlacedText]:
    """Yield the words on the view from behind: the heads."""
    for stake in plan.stakes:
        text = (
            f"{stake.name}: {stake.head.form} head ⌀ {job.units(stake.head.diameter, 1)}, "
            f"{job.units(stake.head.height, 1)} high"
        )
        yield stake.at, text


def heights(job: CupJob, plan: CupPlan, frame: Frame, own: Box, numbered: Mapping[str, str]) -> Iterator[Dimension]:
    """Yield the depth of the cup and of its plate, as sizes in a section."""
    yield Dimension((own[2], -plan.depth), (own[2], 0.0), "v", 1, f"{job.units(plan.depth, 1)}")
    yield Dimension((own[0], -plan.thickness), (own[0], 0.0), "v", -1, f"{job.units(plan.thickness, 1)}")


def record(job: CupJob, plan: CupPlan) -> Record:
    """Return its part of the return sheet."""
    rest = join_words(f"{one.name} about {job.units(one.seat, 1)}" for one in plan.stakes)
    left = f"Of the pins is left, over the rear face: {rest}. A new cup needs pins measured again, or glue."
    return Record(tuple(speaker_facts(job)), tuple(_changed(plan, job.units)), tuple(_comes_out(job, plan)), (left,))


def _changed(plan: CupPlan, units: Units) -> Iterator[str]:
    cut = [one for one in plan.stakes if one.cut > 0]
    if cut:
        yield f"pins shortened: {join_words(f'{one.name} by {units(one.cut, 1)}' for one in cut)}"
    yield f"pins {join_words(one.name for one in plan.stakes)} melted into heads: this cannot be undone"


def _comes_out(job: CupJob, plan: CupPlan) -> Iterator[str]:
    behind = "through the vent with a blunt rod" if plan.back is not None else "from behind, on its body"
    how = {"press": f"push it out {behind}, never on its tags", "flange": "undo its screws"}
    out = f"{how.get(job.retention.by, f'undo its {job.retention.by} from behind')}; unplug it."
    cup = "Cup: grind or cut the heads off level with the plate; lift it off. The pins are then shorter by the heads."
    if plan.way == "grille":
        yield f"Tweeter: grille off, from the front; a hand behind the cup; {out}"
        yield cup
        return
    yield f"{cup} The tweeter stays in it until then: it passes nothing else."
    yield f"Tweeter, once the cup is off: {out}"


def stays(job: CupJob, plan: CupPlan) -> Iterator[str]:
    """Yield what stays in the vehicle when a staked cup comes off."""
    left = ", ".join(f"{one.name} {job.units(one.seat, 1)}" for one in plan.stakes)
    yield (
        f"the pins, but taking a staked cup off costs their heads: about {left} is left of them; measure them, and "
        "write their heights into the panel before a new cup is made"
    )
