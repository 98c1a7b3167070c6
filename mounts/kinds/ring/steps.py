"""Work steps of a ring: how it is made and fitted, in order. What has no source is common practice.

Work steps of a ring in two. They all stand on half a's sheet, to which half b's refers.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from mounts.geometry.ties import reaches
from mounts.kinds.ring.base import fastening_of, recess_for
from mounts.kinds.ring.drawings import joined_calipers
from mounts.kinds.ring.halves.values import Split
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.papers import base_gasket, before_ring, hardware, torque_words, trim_on
from mounts.kinds.ring.values import FlatPlan, Ring, RingPlan
from mounts.load.models.fastener import Manner
from mounts.load.models.hardware import Screw
from mounts.load.parse.units import format_clock
from mounts.made import Made
from mounts.papers.hardware import MORE, driver_for
from mounts.papers.preparation import print_steps
from mounts.papers.values import Steps, WorkStep, numbered
from mounts.papers.wording import join_words

FLAT = "It stands as the file has it, base down and turned to fit the bed."
TONGUES = "both tongues"  # of half b, which hang free
LAP_MANNER = Manner(
    into=" into half a's tongues",
    sunk=", straight in, the last tenth with a flat plate, until flush.",
    cold="One that stands proud holds the halves apart.",
    formed="lap screws into half a",
)
JOIN = "Screw the halves together"
MANNER = Manner(
    sunk=" if it does not sink by its own weight and a finger's. Straight in, the last tenth with a flat plate, until "
    "flush with the seat.",
    cold="Let it cool for a minute before you try the screw. One that leans: warm it again and put it straight.",
    formed="speaker screws in",
    again="When you put it back, turn it backwards until it drops into its own thread.",
    nuts="their rooms at the back; a drop of glue holds them there.",
)
BEFORE, PANEL, FIT = "Before you drill or print", "Prepare the panel", "Fit it"


def half_print_steps(made: Made[RingJob, RingPlan]) -> tuple[WorkStep, ...]:
    """Return the steps that print and measure one half."""
    half = made.job.half
    steps = tuple(print_steps(made, FLAT, TONGUES) if half == "b" else print_steps(made, FLAT))
    if half == "b":
        return (*steps, WorkStep("Dress what the support leaves on the tongues: they lie on half a's."))
    return steps


def join_steps(made: Made[RingJob, RingPlan]) -> Iterator[WorkStep]:
    """Yield the steps that join half b to half a."""
    job, split = made.job, made.plan.split
    fix = job.fix_halves
    assert split is not None
    assert fix is not None
    count = len(split.screws)
    yield WorkStep("Half b is printed by its own sheet. You need both halves from here on, and a flat plate.")
    step = fix.hardware.set_in_part(count, LAP_MANNER)
    if step is not None:
        yield WorkStep(*step)
    yield WorkStep(
        "Lay half a on the plate and half b onto it, from the front, dry: the tongues meet, both backs lie flat.",
        f"There is {made.job.units(split.gap, 1)} of play between their faces. Where they bind, "
        "dress the tongues' sides with a file.",
    )
    yield WorkStep(
        "A thin bead of sealant all over half a's tongues. Half b on again, on the plate; "
        f"{_screws(split, fix.screw)}: by hand, in turn, until the tongues meet, then no more.",
        "The laps are part of the seal. Wipe the seat and the groove clean before it skins; let it cure as its maker "
        "says.",
    )
    units = job.units
    sizes = join_words(
        f"{one.what} {units(one.least, 1)} to {units(one.most, 1)}" for one in joined_calipers(job, made.plan)
    )
    if sizes:
        yield WorkStep(f"Measure what only the joined ring shows: {sizes}.", "Until the sealant cures it can be moved.")


def _screws(split: Split, screw: Screw | None) -> str:
    """Return the lap screws by length, and the tool that turns them, in words."""
    if screw is None:
        return f"{len(split.screws)} screws"
    lengths = Counter(one.length for one in split.screws)
    found = join_words(
        f"{many} screws {screw.thread} × {long:g}" for long, many in sorted(lengths.items(), reverse=True)
    )
    return f"{found}, {driver_for(screw)}"


def refer_before(made: Made[RingJob, RingPlan]) -> tuple[WorkStep, ...]:
    """Return the step of half b's sheet that refers to what comes first on half a's."""
    last = _first_of_half_a(made) - 1
    return (WorkStep(f"Steps 1 to {last} of half a's sheet come first: they are done once for both."),)


def refer_after(made: Made[RingJob, RingPlan]) -> tuple[WorkStep, ...]:
    """Return the step of half b's sheet that refers to where the work goes on."""
    goes_on = _first_of_half_a(made) + len(tuple(print_steps(made, FLAT)))
    return (
        WorkStep(
            f"Go on with half a's sheet, “{JOIN}”, from step {goes_on}: that, the panel, the fitting and all screws "
            "are on that page."
        ),
    )


def _first_of_half_a(made: Made[RingJob, RingPlan]) -> int:
    """Return the number of the step of half a's sheet with which its print begins."""
    return len(tuple(before_ring(made))) + 1


def ring_steps(made: Made[RingJob, RingPlan]) -> tuple[Steps, ...]:
    """Return the work on one printed ring, or on one half of it, in order."""
    return numbered(_half_b(made) if made.job.half == "b" else _ring(made))


def flat_steps(made: Made[RingJob, FlatPlan]) -> tuple[Steps, ...]:
    """Return the work on one ring cut from sheet, in order."""
    job, plan = made.job, made.plan
    parts: tuple[tuple[str, Iterable[WorkStep]], ...] = (
        (BEFORE, before_ring(made)),
        ("Make it", (*_cut(job, plan), *_mount(job, plan))),
        (PANEL, panel_steps(job)),
        (FIT, _fit(job, plan)),
    )
    return numbered(parts)


def _ring(made: Made[RingJob, RingPlan]) -> Iterator[tuple[str, Iterable[WorkStep]]]:
    job, plan = made.job, made.plan
    yield BEFORE, before_ring(made)
    if job.half:
        yield "Make half a", half_print_steps(made)
        yield JOIN, (*join_steps(made), *_mount(job, plan))
    else:
        yield "Make it", (*print_steps(made, "It stands as the file has it, base down."), *_mount(job, plan))
    yield PANEL, panel_steps(job)
    yield FIT, _fit(job, plan)


def _half_b(made: Made[RingJob, RingPlan]) -> Iterator[tuple[str, Iterable[WorkStep]]]:
    yield "Before you print", refer_before(made)
    yield "Make half b", half_print_steps(made)
    yield "Then", refer_after(made)


def _cut(job: RingJob, plan: FlatPlan) -> Iterator[WorkStep]:
    yield WorkStep(
        f"Cut the ring from {job.material.name} sheet {job.units(plan.sheet)} thick: by the DXF file, or glue "
        f"the template on and "
        "cut along its full lines. Drill the holes before you cut the outside.",
        "Clamp the sheet; eye and ear protection; dust mask. A router takes it in several passes.",
    )
    yield WorkStep("Break all edges. Take the sizes of the sheet “Check the cut part”.")
    recess = recess_for(job, fastening_of(job))
    if recess:
        yield WorkStep(
            f"At the back of each fixing's hole, sink a round room {job.units(recess.diameter, 1)} wide and "
            f"{job.units(recess.depth, 1)} deep "
            "for the hardware's flange.",
            "Without it the ring stands off the face and no gasket seals.",
        )


def _mount(job: RingJob, plan: Ring) -> Iterator[WorkStep]:
    fix = job.fix_speaker
    screws = plan.seat.screws
    step = fix.hardware.set_in_part(len(screws), MANNER) if fix is not None and screws else None
    if step is not None:
        yield WorkStep(*step)
    if job.gaskets.base is not None:
        strip = f"{job.units(base_gasket(job, plan).length + MORE, 0)}"
        where = "into the groove of the back" if plan.seal is not None else "round the opening's edge, on the back"
        yield WorkStep(
            f"Lay the base gasket, {job.units(job.gaskets.base.thickness)} × "
            f"{job.units(job.gaskets.base.width)}, {strip} long, {where}: "
            "one piece, its joint at 12:00, ends butted and pressed together.",
            "At the top the joint stays driest. No stretch on the strip: it would creep back and open.",
        )


def panel_steps(job: RingJob) -> Iterator[WorkStep]:
    """Yield what is done to the panel before the ring goes on."""
    item, fixings = job.fix_to_panel.hardware, job.panel.fixings
    need, count = item.needs, len(fixings.points)
    if fixings.was == "rivet":
        yield WorkStep(
            "Drill the old rivets' heads off, no deeper. Catch the chips: a rag in the door, a magnet after."
        )
    if job.panel.face.lining:
        yield WorkStep(
            f"Cut the lining, {job.units.read(job.panel.face.lining)} thick, away along the template's dashed line. "
            f"Keep the membrane "
            "behind it whole."
        )
    if need is not None and fixings.hole is not None and not reaches(fixings.hole, need):
        yield WorkStep(
            f"Open the {count} holes from {job.units.read(fixings.hole)} to {job.units.read(need)} "
            f"+{job.units.cell(0.1)}/0. "
            "Deburr, paint the edge, let it dry.",
            "A stop on the drill: glass, cables and sensors are behind it. Window up.",
        )
    elif need is not None and fixings.hole is None:
        yield WorkStep(
            f"Make sure of {count} holes of {job.units.read(need)} +{job.units.cell(0.1)}/0 for the "
            f"{item.name}. Deburr, paint the edge."
        )
    step = item.set_in_panel(count)
    if step is not None:
        yield WorkStep(*step)
    where = "where the gasket will lie" if job.gaskets.base is not None else "where the mount will lie"
    yield WorkStep(f"Wipe the face {where} with alcohol. It must be dry, flat and without flakes.")


def _fit(job: RingJob, plan: Ring) -> Iterator[WorkStep]:
    count = len(job.panel.fixings.points)
    screw = next((i for i in hardware(job, plan) if i.use == "mount to panel"), None)
    size = screw.size if screw else job.fix_to_panel.screw.thread
    washer = job.fix_to_panel.washer
    under = f" with washers ⌀ {job.units(washer.outside)}" if washer else ""
    yield WorkStep(
        f"Mount onto the face, UP at the top. {count} screws {size}{under}: all by hand first, then crosswise in two "
        f"rounds to {torque_words(job, plan)}.",
        "No liquid thread lock near the plastic: it cracks it. A thin feeler must find no gap under the base.",
    )
    yield WorkStep(
        "Crimp the terminals. Polarity: tap a 1.5 V cell on the speaker; the cone moves outward when + "
        "is on +. Mark it.",
        "Both sides alike, or the bass cancels.",
    )
    wire = plan.wire
    way = f"through the passage at {format_clock(job.wire.at)}" if wire is not None and job.wire else "through the bore"
    yield WorkStep(
        f"Cable {way}, with a loop that hangs lower than the terminals so that water drips off. Two adhesive pads hold "
        "it off glass, rails and edges."
    )
    if job.gaskets.speaker is not None and plan.seat.lift:
        yield WorkStep(
            f"Lay the speaker gasket, {job.units(job.gaskets.speaker.thickness)} × "
            f"{job.units(job.gaskets.speaker.width)}, on the seat."
        )
    yield from _speaker(job, plan)
    if job.panel.behind is not None and job.panel.behind.glass is not None:
        yield WorkStep(
            "Window down and up by hand or in short steps, listening. Lock, handle and speaker cable: all free?"
        )
    if job.gaskets.trim is not None and plan.collar is not None:
        yield WorkStep("Foam onto the collar's rim, joint at the top; it must touch the trim all round.")
    yield WorkStep(
        f"All membranes, plugs and clips back as they were, damaged ones new. {trim_on(job)}. Battery on.",
        "A door with a pressure sensor must be as tight as it was.",
    )
    yield WorkStep("Play it, quietly, then loud: nothing buzzes, nothing touches. Fill in the return sheet.")
    yield WorkStep(
        "After the first hot days, or two weeks: trim off, tighten the panel screws again to the same torque.",
        "Plastic under a screw gives way a little, once.",
    )


def _speaker(job: RingJob, plan: Ring) -> Iterator[WorkStep]:
    fix = job.fix_speaker
    turn = "turned as its drawing shows"
    if fix is None or not plan.seat.screws:
        yield WorkStep(f"Speaker in, {turn}; hold it as its maker says.")
        return
    screw = next((i for i in hardware(job, plan) if i.use == "speaker to mount"), None)
    what = f"{len(plan.seat.screws)} screws {screw.size if screw else ''}".strip()
    driver = driver_for(fix.screw) if fix.screw else "a screwdriver"
    stops = bool(plan.seat.stops)
    until = "until the flange meets the hard stops" if stops else "until the flange lies flat"
    yield WorkStep(
        f"Speaker in, {turn}. {what}, {driver}: crosswise by hand {until}, then no more.",
        "No machine. A flange that is bent rubs.",
    )
