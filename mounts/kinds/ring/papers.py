"""Texts for a ring's papers: title, what is bought for it, tools, return sheet."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from itertools import combinations

from mounts.checks.ring.fastening.clamp import format_torque, torque_to_use
from mounts.checks.ring.fastening.joints import panel_joints, places, speaker_joints
from mounts.geometry.outline import Outline, offset_outline
from mounts.geometry.ties import most_of, reaches
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.values import FlatPlan, Ring, RingPlan
from mounts.made import Made
from mounts.papers.hardware import cable, driver_for, fixing, screws, setting, strip
from mounts.papers.preparation import preparation_steps, slice_command
from mounts.papers.record import speaker_facts
from mounts.papers.values import ListItem, Record, WorkStep
from mounts.papers.wording import distance, join_words, size_text

# how a trim comes off and goes on, by the first word of how it is put on
OFF = {"hooked": ": swing it out; its {edge} edge is hooked and comes last", "slid": ": slide it towards the {edge}"}
ON = {"hooked": ": hook its {edge} edge in first, then swing it home", "slid": ": slide it on from the {edge}"}


def title(job: RingJob, plan: Ring) -> str:
    """Return the title: which speaker in which panel."""
    what = "Ring cut from sheet" if job.make == "cut" else job.kind.capitalize()
    return f"{what} for {job.speaker.name} in {job.panel.name}"


def _held(job: RingJob) -> WorkStep:
    """Return the step that says how the template is held on the face."""
    names = join_words(job.panel.fixings.points)
    return WorkStep(
        f"Lay the template of each side on its own face, 12:00 up: the opening and the holes {names} must show whole.",
        "Hold it against the light, or prick the centres through. If one hole is off, measure the pattern again.",
    )


def _readings(job: RingJob) -> Iterator[str]:
    """Yield the sizes that a caliper can take again in a minute."""
    panel = job.panel
    points = panel.fixings.points
    one, other = most_of(combinations(points, 2), key=lambda pair: distance(points[pair[0]], points[pair[1]]))
    yield f"opening {size_text(panel.opening.outline(), job.units)}"
    yield f"{one} to {other}, centre to centre, {job.units(distance(points[one], points[other]), 1)}"
    if panel.fixings.hole is not None:
        yield f"holes ⌀ {job.units.read(panel.fixings.hole)}"
    if panel.behind is not None and panel.behind.glass is not None:
        yield f"glass at its nearest {job.units.read(min(panel.behind.glass.at_clock.values()))} behind the face"
    if panel.in_front is not None and panel.in_front.trim is not None:
        yield f"trim at its lowest {job.units.read(min(panel.in_front.trim.at_clock.values()))} above the face"
    yield (
        f"speaker {job.units.read(job.speaker.depth)} deep, flange {size_text(job.speaker.flange.outline(), job.units)}"
    )


def _first_check(job: RingJob) -> str:
    """Return the instruction to make and try the first-check slice."""
    command = slice_command(job)
    it = f"make the thin slice ({command}), print it, try it"
    if job.half:
        it = f"make the thin slices of both halves ({command}), print them, push their ends together, try them"
    return f"{it} on the face: every screw must go in by hand, and the opening must show"


def before_ring(made: Made[RingJob, RingPlan] | Made[RingJob, FlatPlan]) -> Iterator[WorkStep]:
    """Yield everything that comes before drilling and printing."""
    job = made.job
    trial = _first_check(job) if job.make == "print" else ""
    return preparation_steps(made, f"take the trim off{_trim_words(job, OFF)}", _held(job), _readings(job), trial)


def trim_on(job: RingJob) -> str:
    """Return how the trim goes on again, in words."""
    return f"Trim on{_trim_words(job, ON)}"


def _trim_words(job: RingJob, words: Mapping[str, str]) -> str:
    """Return what a trim asks for that is hooked at an edge, or slid from one; nothing for one that goes straight."""
    trim = job.panel.in_front.trim if job.panel.in_front is not None else None
    way, _, edge = (trim.goes_on if trim is not None else "straight").rpartition(" ")
    return words[way.split()[0]].format(edge=edge) if way else ""


def hardware(job: RingJob, plan: Ring) -> Iterator[ListItem]:
    """Yield what is bought for it; for a ring in two it is bought once, with its half a."""
    if job.half != "b":
        laps = _of_laps(job, plan)
        yield from (*_of_panel(job, plan), *_of_speaker(job, plan), *laps, *_strips(job, plan), *cable(2))


def _of_panel(job: RingJob, plan: Ring) -> Iterator[ListItem]:
    fix, count = job.fix_to_panel, len(job.panel.fixings.points)
    yield from fixing(fix.hardware, count, "panel's fixings")
    yield from screws(panel_joints(job, plan), fix.screw, count, "mount to panel", job.units)
    if fix.washer is not None:
        key = fix.washer.name or f"washer {job.units(fix.washer.outside)}"
        yield ListItem(count, "washer", fix.washer.drawer, "under the panel screws' heads", key)


def _of_speaker(job: RingJob, plan: Ring) -> Iterator[ListItem]:
    fix, count = job.fix_speaker, len(plan.seat.screws)
    if fix is None or not count:
        return
    yield from fixing(fix.hardware, count, "speaker's screws")
    yield from screws(speaker_joints(job, plan), fix.screw, count, "speaker to mount", job.units)


def _of_laps(job: RingJob, plan: Ring) -> Iterator[ListItem]:
    """Yield what screws the halves of a ring together; nothing for one in one."""
    fix = job.fix_halves
    if plan.split is None or fix is None or fix.screw is None:
        return
    yield from fixing(fix.hardware, len(plan.split.screws), "half a's laps")
    for length, many in Counter(screw.length for screw in plan.split.screws).items():
        size = ", ".join(filter(None, (f"{fix.screw.thread} × {length:g}", fix.screw.standard)))
        yield ListItem(many, f"{fix.screw.head} head screw", size, "half b to half a", f"{fix.screw.name} × {length:g}")
    yield ListItem(1, "neutral-curing sealant", "a bead over both laps", "between the halves")


def _strips(job: RingJob, plan: Ring) -> Iterator[ListItem]:
    """Yield the gaskets by the length of their middle line, with a little more for the joint."""
    base, speaker, trim = job.gaskets.base, job.gaskets.speaker, job.gaskets.trim
    if base is not None:
        yield strip(base_gasket(job, plan).length, (base.thickness, base.width), "between mount and panel", job.units)
    if speaker is not None and plan.seat.lift:
        middle = (plan.seat.bore.length + plan.seat.flange.length) / 2
        yield strip(middle, (speaker.thickness, speaker.width), "between speaker and mount", job.units)
    if trim is not None and plan.collar is not None:
        middle = (plan.collar.inside.length + plan.collar.outside.length) / 2
        yield strip(middle, (trim.thickness, trim.width), "on the collar, against the trim", job.units)


def base_gasket(job: RingJob, plan: Ring) -> Outline:
    """Return the middle line of the base's gasket."""
    assert job.gaskets.base is not None
    seal = plan.seal
    half = job.gaskets.base.width / 2
    if seal is None or seal.inside is None:
        return offset_outline(job.panel.opening.outline(), job.limits.lip + half)
    return offset_outline(seal.inside, half)


def torque_words(job: RingJob, plan: Ring) -> str:
    """Return the torque of the panel screws in words."""
    torque, why = torque_to_use(job, places(job, plan)[0])
    return f"{format_torque(torque)} N·m (bounded by {why})"


def torque(job: RingJob, plan: Ring) -> Iterator[str]:
    """Yield the torque of its screws, in words."""
    thread = job.fix_to_panel.screw.thread
    yield f"Panel screws {thread}: {torque_words(job, plan)}. Again after the first hot days."
    yield "Speaker screws: by hand, until the flange lies on its stops or its gasket is even; no machine."


def tools(job: RingJob) -> Iterator[str]:
    """Yield the tools for a ring, in the order of their use."""
    yield "plastic levers for the trim, tape and bags for its clips, a lamp"
    hardware, hole, need = job.fix_to_panel.hardware, job.panel.fixings.hole, job.fix_to_panel.hardware.needs
    if job.panel.fixings.was == "rivet":
        yield "drill 3 to 5 mm for the old rivets' heads, a magnet and a rag for the chips"
    if need is not None and hole is not None and hole < need:
        yield f"step drill or reamer to {job.units(need)}, deburrer, rust-proof paint"
    if hardware.tool:
        yield hardware.tool
    if job.panel.face.lining:
        yield "sharp knife, for the lining"
    if job.make == "cut":
        yield "router or fine saw, file, drills for the holes on the template, countersink for the edges"
    yield (
        f"{driver_for(job.fix_to_panel.screw)}, long enough for a straight path, and a torque driver from 0.5 to 3 N·m"
    )
    yield from setting(job.fix_speaker)
    if job.half:
        yield from setting(job.fix_halves)
        yield "a flat plate as large as the ring, to screw its halves together on"
    yield "crimping tool, a 1.5 V cell with two leads, for the polarity"


def record(job: RingJob, plan: Ring) -> Record:
    """Return its part of the return sheet."""
    return Record(tuple(speaker_facts(job)), tuple(_changed(job)), tuple(_comes_out(job, plan)), tuple(_left(job)))


def _changed(job: RingJob) -> Iterator[str]:
    item, fixings = job.fix_to_panel.hardware, job.panel.fixings
    names, need = join_words(fixings.points), item.needs
    if fixings.was is not None:
        yield f"old {fixings.was}s at {names} taken out"
    if need is not None and fixings.hole is not None and not reaches(fixings.hole, need):
        yield f"holes {names} opened from {job.units.read(fixings.hole)} to {job.units.read(need)}, edges painted"
    if item.changes(names):
        yield item.changes(names)
    if job.panel.face.lining:
        yield "lining cut away under the mount"
    yield "trim clips replaced, if any broke; membrane mended, if it was opened"


def _comes_out(job: RingJob, plan: Ring) -> Iterator[str]:
    if job.fix_speaker is not None and job.fix_speaker.screw is not None:
        yield f"Speaker: {len(plan.seat.screws)} screws, {driver_for(job.fix_speaker.screw)}; unplug it."
    count = len(job.panel.fixings.points)
    yield (
        f"Mount: {count} screws {job.fix_to_panel.screw.thread}, {driver_for(job.fix_to_panel.screw)}, straight in "
        f"from the front. Going back: {torque_words(job, plan)}."
        + (" New base gasket." if job.gaskets.base is not None else "")
    )


def _left(job: RingJob) -> Iterator[str]:
    yield job.fix_to_panel.hardware.stays()
    yield "Every hole that nothing goes through any more is to be closed, or the door is no longer tight."
    if job.fix_speaker is not None and job.fix_speaker.hardware.hot:
        yield "The inserts are in the mount, not in the vehicle."


def stays(job: RingJob, plan: Ring) -> Iterator[str]:
    """Yield what stays in the vehicle when the ring comes off."""
    names, hardware = ", ".join(job.panel.fixings.points), job.fix_to_panel.hardware
    yield f"the panel's fixings {names} with {hardware.name}: the new mount goes onto them"
