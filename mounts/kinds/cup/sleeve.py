"""Reducing sleeve that lets a smaller tweeter into the old cup: a spacer whose panel is the cup.

The old cup's seat is the spacer's face, its axis the spacer's z. Under lugs or a lip the sleeve takes the old tweeter's
place: its body, in the old ribs, and its flange, under the lugs. In a cup with a screwed flange it has ribs of its own.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import replace

from mounts.adapting.draft import Draft, NoSleeve, Sleeve
from mounts.checks.spacer.hold import device_holding_force, hold_findings
from mounts.checks.spacer.strain import strain_findings
from mounts.design.body import body_rings
from mounts.design.loads import SHOCK, shock
from mounts.errors import InputError
from mounts.findings.report import Verdict
from mounts.kinds.cup.job import CupJob
from mounts.kinds.cup.seat import grip_zone
from mounts.kinds.cup.sleeve_findings import NoSleeveError, Socket, add_cup_findings, choose_lip, socket_in
from mounts.kinds.cup.values import CupPlan
from mounts.kinds.spacer.inside import fit_on_device
from mounts.kinds.spacer.job import SpacerJob
from mounts.kinds.spacer.outside import fit_in_panel
from mounts.kinds.spacer.plan import LINES, plan_spacer
from mounts.load.editing.template import format_scalar, set_schema_line
from mounts.load.parse.document import Document
from mounts.load.resolve.job import load_from
from mounts.load.resolve.library import Library
from mounts.made import Made
from mounts.pipeline import make

STRAIGHT = 0.1  # mm by which a body may be wider than where ribs grip it
PASSES = 0.2  # mm a side between the new flange and the lugs that it goes through
RIBS = tuple((ribs, bite) for bite in (0.25, 0.2, 0.15, 0.1) for ribs in (3, 4, 6))  # of the sleeve, tried in order
NOTES = "mounts adapt checks it in its old cup; mounts build sees neither cup nor glue, so its pull fails there"
OVER_FLOOR = 0.5  # mm between the tweeter and a closed cup's floor


def sleeve_for(
    old: Sequence[Made[CupJob, CupPlan]], new: Sequence[CupJob], draft: Draft, document: Document, library: Library
) -> Sleeve | NoSleeve:
    """Make and check the sleeve, or return why there is none.

    Args:
        old: the old cups, one a side.
        new: the new jobs, of the same sides.
        draft: name and place of the sleeve's own file.
        document: the old job's file, which names material and printer.
        library: where those are looked up.
    """
    try:
        was = old[0].job
        place = choose_lip(old[0], new[0], socket_in(old[0]))
        body = _body(new[0])
        _refuse_large(was, new[0], body, place)
        told = sleeve_yaml(draft.name, (was, new[0]), (body, place), document)
        asked = set_schema_line(told, draft.file.parent.parent)
        _refuse_thin(_spacer(library, draft, asked), body, place)
        text, job = _gripping(asked, draft, library)
        made = make(job)
    except NoSleeveError as error:
        return error.none
    except InputError as error:
        return NoSleeve("; ".join(problem.what for problem in error.problems))
    return Sleeve(replace(draft, text=text), add_cup_findings(made, old, new, place), len(old))


def _body(new: CupJob) -> float:
    """Return the diameter of the new tweeter's body, straight where ribs grip it, or raise NoSleeveError."""
    held = grip_zone(new)[0]
    widest = max(across for _, across in body_rings(new.speaker, 0.0))
    if new.speaker.cutout.diameter_ is None or widest > held + STRAIGHT:
        raise NoSleeveError(f"the body of {new.speaker.name} is not round and straight, and ribs would not hold it")
    return widest


def _refuse_large(old: CupJob, new: CupJob, body: float, place: Socket) -> None:
    if body >= place.opening:
        what = (
            f"the body of {new.speaker.name} is {old.units(body)} across and the old cup holds "
            f"{old.units(place.opening)}"
        )
        raise NoSleeveError(what)
    flange = new.speaker.flange.across
    if flange > place.through - 2 * PASSES:
        way = "the old lugs or lip leave" if place.ribs else "the old cup has room for"
        what = f"the flange of {new.speaker.name} is {old.units(flange)} across and {way} {old.units(place.through, 1)}"
        raise NoSleeveError(f"{what}: {old.units(flange - place.through + 2 * PASSES, 1)} too large")


def _refuse_thin(job: SpacerJob, body: float, place: Socket) -> None:
    """Refuse a wall thinner than two lines of the nozzle, before anything is drawn."""
    assert job.port.opening is not None
    assert job.device.body is not None
    apart = fit_in_panel(job, job.port.opening.outline()).drawn + fit_on_device(job, job.device.body.outline()).drawn
    wall, limit = (place.opening - body - apart) / 2, LINES * job.printer.nozzle
    if wall < limit:
        what = (
            f"a sleeve from {job.units(place.opening)} to {job.units(body)} has a wall of "
            f"{job.units(max(wall, 0), 2)} and needs {job.units(limit)}, two "
            f"lines of the nozzle: {job.units(limit - wall, 2)} too thin"
        )
        raise NoSleeveError(what, limit - wall)


def sleeve_yaml(name: str, jobs: tuple[CupJob, CupJob], found: tuple[float, Socket], document: Document) -> str:
    """Return the YAML text of the sleeve's own job."""
    (old, new), (body, place) = jobs, found
    force = shock(new.speaker.mass, new.limits.slam) if new.speaker.mass else None
    closed = old.back == "closed"
    lines = [
        "kind: spacer",
        f"name: {format_scalar(name)}",
        f"about: {format_scalar(f'reducing sleeve for {new.speaker.name} in the cup of {old.name}')}",
        f"notes: {format_scalar(NOTES)}",
        f"replaces: {format_scalar(f'the {old.speaker.name}')}",
        *([f"vehicle: {format_scalar(old.vehicle)}"] if old.vehicle else []),
        "port:                                # the old cup: its seat is the face",
        f"  name: {format_scalar(f'the cup of {old.name}')}",
        f"  opening: {{round: {_figure(place.opening)}}}",
        f"  depth: {_figure(place.depth)}",
        f"  panel: {_figure(place.depth)}",
        f"  room: {_figure(place.room)}",
        *([f"  place: {old.panel.place}"] if old.panel.place else []),
        "device:                              # the new tweeter",
        f"  name: {format_scalar(new.speaker.name)}",
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
    return "\n".join(lines) + "\n"


def _spacer(library: Library, draft: Draft, text: str) -> SpacerJob:
    return next(job for job in load_from(library, draft.file, text) if isinstance(job, SpacerJob))


def _gripping(asked: str, draft: Draft, library: Library) -> tuple[str, SpacerJob]:
    """Return the sleeve whose ribs hold best, as YAML and as a job.

    It has the strongest ribs that break nothing, go in by hand and hold the tweeter in a slam. Where none hold it, it
    is the one that holds best; where all break something, the first.
    """
    tried: list[tuple[bool, float, str, SpacerJob]] = []
    for ribs, bite in RIBS:
        text = f"{asked}fits: {{ribs: {ribs}, rib: {bite:g}}}\n"
        job = _spacer(library, draft, text)
        plan = plan_spacer(job)
        found = [*strain_findings(job, plan), *(one for one in hold_findings(job, plan) if one.code == "hold.push-in")]
        good = all(one.verdict is Verdict.PASS for one in found)
        held = device_holding_force(job, plan)
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


def _given(value: object) -> str:
    return format_scalar(value) if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
