"""Texts and sizes for a spacer's papers: title, tools, sizes to take, words on the views, return sheet.

Work steps of a spacer: how it is made and fitted. What has no source is common practice.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from mounts.design.drawing import Dimension
from mounts.geometry.frames import Frame, clock_vector
from mounts.geometry.outline import Box, rectangle
from mounts.identity import DEVICE, PANEL_SHEET
from mounts.kinds.review import PlacedText
from mounts.kinds.spacer.job import SpacerJob
from mounts.kinds.spacer.values import SpacerPlan
from mounts.load.parse.units import format_clock
from mounts.made import Made
from mounts.papers.caliper import above_face, fitted_size, narrowest, outside_size, widest
from mounts.papers.preparation import preparation_steps, print_steps, slice_command
from mounts.papers.values import Check, ListItem, Record, Sign, Steps, WorkStep, numbered
from mounts.papers.wording import given_size_text, size_text
from mounts.shape.primitives import Prism
from mounts.shape.recipe import Envelope

SPAN = 600.0  # mm: wider than any sleeve with what is near it
HELD = WorkStep(
    "Lay the template on the opening: the opening must show all round its line. Stand the device on its own line.",
    "A line that is covered on one side means a wrong size or a wrong centre.",
)


OUT_OF_CUP = (
    "tweeter first, a wedge under its flange; then the sleeve, by its lip. Cut silicone with a thin blade between lip "
    "and cup, all round."
)


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
        ("Fit it", _into_cup(job) if job.replaces else _sleeve(job, plan)),
    )
    return numbered(parts)


def _into_cup(job: SpacerJob) -> Iterator[WorkStep]:
    """Yield the work on a sleeve that takes the place of a tweeter in its cup, through the grille's opening."""
    yield WorkStep(
        f"Grille off. Lift {job.replaces} out through its opening: a plastic wedge under its flange, a little on each "
        "side in turn. Cable off its tags; a mark on + first.",
        "One hand behind the cup bears it, so that its heads do not.",
    )
    yield WorkStep(
        "Brush bore and seat of the cup clean; then a cloth with isopropyl, where glue goes. File nothing on the cup.",
        "What is filed off its ribs, lugs or lip no longer holds the sleeve.",
    )
    yield WorkStep(
        "Sleeve in by hand, dry, until its lip lies on the cup's seat. Where the report names glue, take it out again, "
        "lay a thin bead of neutral-cure silicone round the bore, and put it back; a day to cure, nothing pulled.",
        "A bead that runs over the lip keeps the flange off its seat.",
    )
    yield WorkStep(
        f"Cable through the sleeve, + to the marked tag, a strip of thin foam round it so that it cannot rattle. "
        f"{job.device.name} in, straight, both thumbs on its flange.",
        "By hand. If it needs a hammer, measure it again.",
    )
    yield WorkStep("Pull at its flange with two fingers: nothing moves. Grille back on. Play it quietly first.")
    yield WorkStep(f"To take it out again: {OUT_OF_CUP}")
    yield WorkStep("After the first hot days: pull at it again. Fill in the return sheet.")


def _sleeve(job: SpacerJob, plan: SpacerPlan) -> Iterator[WorkStep]:
    most = job.units(0.3)
    yield WorkStep(f"Break the edge of the panel's opening with a file, {most} at most. Leave crush ribs as they are.")
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


def title(job: SpacerJob, plan: SpacerPlan) -> str:
    """Return the title: which device in which opening."""
    return f"Spacer for {job.device.name} in {job.port.name}"


def readings(job: SpacerJob) -> Iterator[str]:
    """Yield the sizes that a caliper can take again in a minute."""
    assert job.port.opening is not None
    assert job.port.depth is not None
    assert job.device.body is not None
    yield f"opening {size_text(job.port.opening.outline(), job.units)}, {job.units.read(job.port.depth)} deep"
    yield f"device {size_text(job.device.body.outline(), job.units)}" + (
        f", {job.units.read(job.device.length)} long" if job.device.length else ""
    )


def first_check(job: SpacerJob) -> str:
    """Return the instruction to make and try the first-check slice."""
    how = "into the opening, and the device into it: that is how the sleeve will go"
    return f"make the thin slice ({slice_command(job)}), print it, try it {how}"


def hardware(job: SpacerJob, plan: SpacerPlan) -> Iterator[ListItem]:
    """Yield what goes into it; two halves hold one device."""
    if job.half == "b":
        return
    cable = [f"cable {job.units(job.device.cable)} thick"] if job.device.cable else []
    sizes = ", ".join([given_size_text(job.device.body.outline(), job.units) if job.device.body else "", *cable]).strip(
        ", "
    )
    yield ListItem(1.0, job.device.name, sizes, "goes into the sleeve")


def tools(job: SpacerJob) -> Iterator[str]:
    """Yield the tools for a spacer."""
    yield "fine file or abrasive paper, for the edges of panel and sleeve"


def calipers(job: SpacerJob, plan: SpacerPlan) -> Iterator[Check]:
    """Yield the five sizes to take on a finished spacer."""
    outside, bore = plan.outside, plan.bore
    slit = " with the slit at rest" if plan.slit and plan.slit.half is None else ""
    one, other, width = narrowest(outside.wall)
    how = f"outer jaws on the sleeve just behind the face, between ribs{slit}"
    yield fitted_size("sleeve outside", how, width, outside.fit, (above_face(one), above_face(other)))
    one, other, width = narrowest(bore.outline)
    how = f"inner jaws in the bore, between ribs{slit}"
    ends = (above_face(one, plan.front), above_face(other, plan.front))
    yield fitted_size("bore", how, width - bore.fit.growth, bore.fit, ends, sign=Sign.HOLES)
    if plan.lip is not None:
        one, other, width = widest(plan.lip.levels[0][1])
        yield outside_size(
            job, "across the lip", "outer jaws where the lip is widest", width, (above_face(one), above_face(other))
        )
        thick = plan.lip.thickness
        end = plan.lip.levels[0][1].spans[0].start
        yield outside_size(
            job, "lip", "outer jaws over its thickness", thick, (above_face(end), above_face(end, plan.front))
        )
    back = outside.levels[0][1].spans[0].start
    long = plan.front - outside.back
    yield outside_size(
        job,
        "whole length",
        "outer jaws from front to back",
        long,
        (above_face(back, outside.back), above_face(back, plan.front)),
    )
    if plan.lip is None:
        thick = plan.wall
        place = outside.wall.spans[0].start
        yield outside_size(
            job,
            "least wall",
            "outer jaws over the wall where it is thinnest",
            thick,
            (above_face(place), above_face(place)),
        )


def front(job: SpacerJob, plan: SpacerPlan) -> Iterator[PlacedText]:
    """Yield the words on the view from the cabin: slit and ribs."""
    if plan.slit and plan.slit.half is None:
        hx, hy = clock_vector(plan.slit.clock)
        reach = plan.bore.outline.box[2]
        yield (plan.slit.at[0] + hx * reach, plan.slit.at[1] + hy * reach), f"slit {job.units(plan.slit.width, 1)} wide"
    ribs = [*plan.outside.ribs, *plan.bore.ribs]
    if ribs:
        yield ribs[0].at, f"{len(ribs)} crush ribs: do not file them"


def around(job: SpacerJob, plan: SpacerPlan) -> Iterator[Envelope]:
    """Yield the envelopes that a section shows round it: panel and device."""
    opening, thick = plan.outside.opening, job.port.panel or job.port.depth or 2.0
    sheet = Prism(rectangle(SPAN, SPAN, 1.0), -thick, 0.0, islands=(opening,))
    yield Envelope(PANEL_SHEET, (sheet,))
    bore = plan.bore
    yield Envelope(DEVICE, (Prism(bore.device, bore.device_back, bore.device_front),))


def cut_at(plan: SpacerPlan) -> float:
    """Return the clock direction of a section across the slit, degrees."""
    return plan.slit.clock + 90.0 if plan.slit and plan.slit.half is None else 90.0


def heights(
    job: SpacerJob, plan: SpacerPlan, frame: Frame, own: Box, numbered: Mapping[str, str]
) -> Iterator[Dimension]:
    """Yield the sleeve's length and how much of it is behind the face, as sizes in a section."""
    yield Dimension((own[2], plan.outside.back), (own[2], plan.front), "v", 1, numbered["whole length"])
    yield Dimension((own[0], plan.outside.back), (own[0], 0.0), "v", -1, f"{job.units(-plan.outside.back, 1)}")


def record(job: SpacerJob, plan: SpacerPlan) -> Record:
    """Return its part of the return sheet."""
    changed = "nothing but the broken edge of the opening, if it was filed"
    out = "device: push it out from behind. Sleeve: press it out likewise, the bump in with a thin blade if it has one."
    if job.replaces:
        changed, out = f"{job.replaces} taken out of its cup; the cup is as it was", OUT_OF_CUP
    return Record(
        facts=(("Place", ", ".join(filter(None, (job.port.name, job.port.about)))),),
        changed=(changed,),
        out=(f"{out[0].upper()}{out[1:]}",),
        left=("Nothing.",),
    )
