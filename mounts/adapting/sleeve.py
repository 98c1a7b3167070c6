"""A reducing sleeve that lets a smaller tweeter into the old cup: a spacer whose panel is the cup.

The old cup's seat is the spacer's face, its axis the spacer's z. Under lugs or a lip the sleeve takes the old tweeter's
place: its body, in the old ribs, and its flange, under the lugs. In a cup with a screwed flange it has ribs of its own.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import cos, floor, hypot, radians, tan
from typing import Any

from mounts.adapting.written import HEAD, Draft
from mounts.checks.order import in_order
from mounts.checks.spacer.hold import hold_findings, on_device
from mounts.checks.spacer.strain import strain_findings
from mounts.design.body import body_rings
from mounts.design.loads import SHOCK, shock
from mounts.errors import InputError, PlanError
from mounts.findings.report import Finding, Verdict
from mounts.kinds.cup.fit import cup_gaps
from mounts.kinds.cup.seat import gripped
from mounts.kinds.cup.values import CupPlan
from mounts.kinds.spacer.inside import fit_on_device
from mounts.kinds.spacer.outside import fit_in_panel
from mounts.kinds.spacer.plan import plan_spacer
from mounts.kinds.spacer.walls import LINES
from mounts.load.blank import scalar
from mounts.load.job import load_from
from mounts.load.library import Library
from mounts.load.models.resolved import CupJob, SpacerJob
from mounts.load.read import Document
from mounts.pipeline import Made, make

STRAIGHT = 0.1  # mm by which a body may be wider than where ribs grip it
PASSES = 0.2  # mm a side between the new flange and the lugs that it goes through
LIP, THICK = 2.0, 1.6  # mm: reach and thickness of the lip where no lugs hold it
LEAST_LIP, LEAST_THICK = 0.8, 1.2  # mm
GLUED = {
    "fit.panel.play": "the sleeve into the old cup",
    "hold.pull.panel": "the sleeve into the old cup",
    "hold.pull.device": "the tweeter into the sleeve",
}
BESIDE = 1.0  # mm from the lip to a screw's pocket
RIBS = tuple((ribs, bite) for bite in (0.25, 0.2, 0.15, 0.1) for ribs in (3, 4, 6))  # of the sleeve, tried in order
NOTES = "checked in its old cup by mounts adapt; built by itself its pull fails, since cup and glue are not seen there"
OVER_FLOOR = 0.5  # mm between the tweeter and a closed cup's floor


@dataclass(frozen=True, slots=True)
class NoSleeve:
    """Why no sleeve serves; `short` is by how much its wall is too thin, None where something else is in the way."""

    why: str
    short: float | None = None


@dataclass(frozen=True, slots=True)
class Sleeve:
    """A sleeve that serves: its job's file, and the part, one for each side."""

    draft: Draft
    made: Made
    count: int


@dataclass(frozen=True, slots=True)
class Place:
    """The old cup as the sleeve finds it.

    Attributes:
        opening: diameter that the sleeve goes into.
        reach, thickness: of the lip on the old seat.
        through: diameter that the new flange must pass.
        depth: of the bore that holds.
        room: free depth behind the seat, along the axis.
        ribs: whether the old cup's ribs hold it.
    """

    opening: float
    reach: float
    thickness: float
    through: float
    depth: float
    room: float
    ribs: bool


class _NoSleeveError(Exception):
    def __init__(self, why: str, short: float | None = None) -> None:
        super().__init__(why)
        self.none = NoSleeve(why, short)


def sleeve_for(old: list[Made], new: list[CupJob], draft: Draft, document: Document, library: Library) -> Any:
    """The sleeve, made and checked, or why there is none: `Sleeve | NoSleeve`.

    Args:
        old: the old cups, one a side.
        new: the new jobs, of the same sides.
        draft: name and place of the sleeve's own file.
        document: the old job's file, which names material and printer.
        library: where those are looked up.
    """
    try:
        place = _clearing(old[0], new[0], place_in(old[0]))
        body = _body(new[0])
        _refuse_large(old[0].job, new[0], body, place)
        asked = text_of(draft.name, (old[0].job, new[0]), (body, place), document)
        _refuse_thin(load_from(library, draft.file, asked)[0], body, place)
        text, job = _gripping(asked, draft, library)
        made = make(job)
    except _NoSleeveError as error:
        return error.none
    except (InputError, PlanError) as error:
        told = [problem.what for problem in error.problems] if isinstance(error, InputError) else [str(error)]
        return NoSleeve("; ".join(told))
    return Sleeve(replace(draft, text=text), _judged(made, old, new, place), len(old))


def place_in(old: Made) -> Place:
    """What a cup leaves for a sleeve."""
    plan, job = old.plan, old.job
    assert isinstance(plan, CupPlan)
    assert isinstance(job, CupJob)
    seat, press = plan.seat, plan.seat.press
    if seat.nut is not None:
        raise _NoSleeveError(
            f"the old cup clamps its tweeter from behind by a {job.retention.by}, which no sleeve passes"
        )
    bore = job.speaker.cutout.diameter_
    if bore is None or not seat.flange.is_circle:
        raise _NoSleeveError("a sleeve is round, and bore or flange of the old tweeter are not")
    flange, room = 2 * seat.flange.box[2], _room_behind(plan, job)
    if press is not None:
        reach = (flange - press.body) / 2
        return Place(press.body, reach, job.speaker.flange.thickness, 2 * press.past.box[2], seat.grip, room, True)
    opening = bore + job.limits.bore
    inner = min((2 * hypot(*one.at) - one.hole for one in seat.screws), default=flange)
    reach = min(LIP, (inner - opening) / 2 - BESIDE)
    if reach < LEAST_LIP:
        raise _NoSleeveError(f"beside the old screws {max(reach, 0):.1f} is left for a lip; {LEAST_LIP:g} is needed")
    return Place(opening, floor(10 * reach) / 10, THICK, 2 * seat.room.box[2], seat.grip, room, False)


def _room_behind(plan: CupPlan, job: CupJob) -> float:
    """Free depth behind the seat along the axis: to a closed back's floor, else to the room's end at the low side."""
    if plan.back is not None:
        return plan.back.bottom
    tilt = radians(plan.seat.tilt)
    return (job.panel.room + plan.seat.frame.origin[2]) / cos(tilt) - tan(tilt) * job.speaker.cutout.least / 2


def _body(new: CupJob) -> float:
    """Diameter of the new tweeter's body, straight where ribs grip it."""
    held = gripped(new)[0]
    widest = max(across for _, across in body_rings(new.speaker, 0.0))
    if new.speaker.cutout.diameter_ is None or widest > held + STRAIGHT:
        raise _NoSleeveError(f"the body of {new.speaker.name} is not round and straight, and ribs would not hold it")
    return widest


def _refuse_large(old: Any, new: CupJob, body: float, place: Place) -> None:
    if body >= place.opening:
        what = f"the body of {new.speaker.name} is {body:g} across and the old cup holds {place.opening:g}"
        raise _NoSleeveError(what)
    flange = new.speaker.flange.across
    if flange > place.through - 2 * PASSES:
        way = "the old lugs or lip leave" if place.ribs else "the old cup has room for"
        what = f"the flange of {new.speaker.name} is {flange:g} across and {way} {place.through:.1f}"
        raise _NoSleeveError(f"{what}: {flange - place.through + 2 * PASSES:.1f} too large")


def _refuse_thin(job: SpacerJob, body: float, place: Place) -> None:
    """A wall that no printer's two lines make, told before anything is drawn."""
    assert job.port.opening is not None
    assert job.device.body is not None
    apart = fit_in_panel(job, job.port.opening.outline()).drawn + fit_on_device(job, job.device.body.outline()).drawn
    wall, limit = (place.opening - body - apart) / 2, LINES * job.printer.nozzle
    if wall < limit:
        what = (
            f"a sleeve from {place.opening:g} to {body:g} has a wall of {max(wall, 0):.2f} and needs {limit:g}, two "
            f"lines of the nozzle: {limit - wall:.2f} too thin"
        )
        raise _NoSleeveError(what, limit - wall)


def text_of(name: str, jobs: tuple[Any, CupJob], found: tuple[float, Place], document: Document) -> str:
    """The sleeve's own job, as a file holds it."""
    (old, new), (body, place) = jobs, found
    force = shock(new.speaker.mass, new.limits.slam) if new.speaker.mass else None
    closed = old.back == "closed"
    lines = [
        "kind: spacer",
        f"name: {scalar(name)}",
        f"about: {scalar(f'reducing sleeve for {new.speaker.name} in the cup of {old.name}')}",
        f"notes: {scalar(NOTES)}",
        "port:                                # the old cup: its seat is the face",
        f"  opening: {{round: {_figure(place.opening)}}}",
        f"  depth: {_figure(place.depth)}",
        f"  panel: {_figure(place.depth)}",
        f"  room: {_figure(place.room)}",
        *([f"  place: {old.panel.place}"] if old.panel.place else []),
        "device:                              # the new tweeter",
        f"  body: {{round: {_figure(body)}}}",
        f"  length: {_figure(new.speaker.depth)}",
        f"  bezel: {{round: {_figure(new.speaker.flange.across)}}}",
        *_forces(force, new.limits.slam),
        "fit: {panel: press, device: press}",
        *(["hold: {panel: wall}                  # the old cup's ribs hold it"] if place.ribs else []),
        f"lip: {{reach: {_figure(place.reach)}, thickness: {_figure(place.thickness)}}}"
        + ("    # where the old flange lay, under its lugs or lip" if place.ribs else ""),
        *([f"limits: {{fixed: {OVER_FLOOR:g}}}               # to the old cup's own floor"] if closed else []),
        *(f"{key}: {_given(document.data[key])}" for key in ("material", "printer")),
    ]
    return HEAD + "\n".join(lines) + "\n"


def _gripping(asked: str, draft: Draft, library: Library) -> tuple[str, SpacerJob]:
    """The sleeve with the strongest ribs that break nothing, go in by hand and hold the tweeter in a slam.

    Where none hold it, those of them that hold it best; where all break something, the first.
    """
    tried: list[tuple[bool, float, str, SpacerJob]] = []
    for ribs, bite in RIBS:
        text = f"{asked}fits: {{ribs: {ribs}, rib: {bite:g}}}\n"
        (job,) = load_from(library, draft.file, text)
        plan = plan_spacer(job)
        found = [*strain_findings(job, plan), *(one for one in hold_findings(job, plan) if one.code == "hold.push-in")]
        good = all(one.verdict is Verdict.PASS for one in found)
        held = on_device(job, plan)
        tried.append((good, held if good else 0.0, text, job))
        if good and held >= (job.device.pull_force or 0.0):
            break
    _, _, text, job = max(tried, key=lambda one: one[:2])
    return text, job


def _forces(force: float | None, slam: float) -> Iterator[str]:
    if force is not None:
        yield f"  plug_force: {force:.1f}"
        yield f"  pull_force: {force:.1f}"
        yield f"  force_source: the tweeter's own mass in a shock of {slam:g} m/s², times {SHOCK:g}"


def _figure(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".")


def _given(value: Any) -> str:
    return scalar(value) if isinstance(value, str) else json.dumps(value, ensure_ascii=False)


def _judged(made: Made, old: list[Made], new: list[CupJob], place: Place) -> Made:
    """The sleeve with what the cup says of it: held by old lugs, and the new tweeter's front and rear where it sits."""
    found = [_glued(one) for one in made.report.findings if not (place.ribs and one.code == "hold.pull.panel")]
    if place.ribs:
        found += _kept(old[0], new[0], made, place)
    for was, job in zip(old, new, strict=True):
        found += _clear(was, job, place)
    return replace(made, report=replace(made.report, findings=in_order(found)))


def _glued(finding: Finding) -> Finding:
    """What friction does not hold is glued: an instruction, since the old cup has no other way to hold it."""
    if finding.verdict is Verdict.PASS or finding.code not in GLUED:
        return finding
    return replace(
        finding, verdict=Verdict.WARN, advice=f"glue {GLUED[finding.code]} with a bead that can be cut again"
    )


def _kept(old: Made, new: CupJob, made: Made, place: Place) -> Iterator[Finding]:
    """What the old lugs or lip hold, as the old cup's report has it, against the new tweeter and its sleeve."""
    assert isinstance(old.job, CupJob)
    for finding in old.report.findings:
        if finding.code == "press.keep" and new.speaker.mass is not None:
            own = made.part.volume * 1e-9 * made.job.material.density
            need = shock(new.speaker.mass + own, new.limits.slam)
            yield replace(
                finding,
                what=f"{finding.what}, of the sleeve",
                limit=need,
                verdict=Verdict.PASS if (finding.closed_form or 0.0) >= need else Verdict.FAIL,
                advice="" if (finding.closed_form or 0.0) >= need else "take a new cup",
            )
    play = old.job.speaker.flange.thickness - place.thickness
    if play > 0:
        yield Finding(
            code="fit.lip",
            verdict=Verdict.WARN,
            what="sleeve's lip thinner than the old flange, for the grille's sake",
            closed_form=play,
            limit=0.0,
            advice=f"put {play:.1f} of foam tape on its rim, under the old lugs or lip",
        )


def _clearing(old: Made, new: CupJob, place: Place) -> Place:
    """The thickest lip under the old lugs with which the new tweeter keeps clear of the grille; as it is where none."""
    tenths = range(round(10 * place.thickness), round(10 * LEAST_THICK) - 1, -1)
    for thick in (place.thickness, *(k / 10 for k in tenths if k / 10 < place.thickness)):
        tried = replace(place, thickness=thick)
        if all(one.verdict is Verdict.PASS for one in _clear(old, new, tried)):
            return tried
    return place


def _clear(old: Made, new: CupJob, place: Place) -> Iterator[Finding]:
    """The new tweeter on the sleeve's lip, to grille and to the room's end."""
    plan = old.plan
    assert isinstance(plan, CupPlan)
    lifted = replace(
        plan.seat,
        frame=plan.seat.frame.lifted(place.thickness),
        flange=new.speaker.flange.outline().turned(-plan.seat.turn),
    )
    for gap in cup_gaps(new, replace(plan, seat=lifted)):
        front = gap.code == "clear.grille"
        if front or (gap.code == "clear.room" and gap.between[0] == "tweeter"):
            told = gap.finding("" if gap.verdict is Verdict.PASS else "take a new cup")
            yield replace(told, what=f"{new.side}: {told.what}")
