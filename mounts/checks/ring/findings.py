"""All findings on a printed ring, most frequent causes of a reprint first; and the access of a tool to its screws.

Gaskets of a ring: how far each is squeezed, and how evenly the foam lies against the trim.

Room for the rear wave, and the share of the cone that the trim's opening shows.

Room that the former speaker has proven, where nothing better was measured.

All findings on a ring cut from sheet, those that most often cause a reprint first.

Displacement of a ring's holes by the material's shrinkage, while nobody has measured or corrected it.

Panel's holes and sheet against the hardware, and the other side of the vehicle against its own readings.

Broken edges of a ring that a hand meets, by the plan.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import combinations
from math import dist, hypot, inf, pi

import numpy as np

from mounts.checks.assembly import Assembly, assemble, disagreements, measure_gaps, overlap_volume
from mounts.checks.chosen_pose import aim_findings
from mounts.checks.heat import climate_findings, heat_finding
from mounts.checks.listening import listening_findings
from mounts.checks.mesh.skin import Skin
from mounts.checks.mesh.walls import least_findings, wall_findings
from mounts.checks.printing.findings import printing_findings
from mounts.checks.printing.patches import Surface
from mounts.checks.ring.chances import chance_findings
from mounts.checks.ring.fastening.bending import bending_findings
from mounts.checks.ring.fastening.clamp import clamp_findings, washer_findings
from mounts.checks.ring.fastening.joints import places
from mounts.checks.ring.fastening.loads import load_findings
from mounts.checks.ring.fastening.screws import behind_gaps, screw_findings
from mounts.checks.ring.holes import read_in_mesh
from mounts.checks.ring.readback import ring_readback, sheet_readback
from mounts.design.body import body_rings
from mounts.design.clearances import gaps_of
from mounts.design.fasteners import thread_diameter
from mounts.design.measured_planes import trim_plane
from mounts.findings.compare import ROUNDING, Said, at_least, at_most, in_band, state
from mounts.findings.gap import Gap
from mounts.findings.report import PRACTICE, Finding, Verdict
from mounts.geometry.distance import depths
from mounts.geometry.frames import PANEL
from mounts.geometry.planes import rim_point
from mounts.geometry.ties import keeps, least_of, most_of
from mounts.identity import EDGE, MOUNT, Ident, Role
from mounts.kernels.part import Part
from mounts.kinds.ring.aiming.drawn import as_planned
from mounts.kinds.ring.base import fastening_of, recess_for
from mounts.kinds.ring.clearances import ring_gaps, speaker_gaps, speaker_reach
from mounts.kinds.ring.flat import WEB, cut_webs
from mounts.kinds.ring.halves.plan import split_advice
from mounts.kinds.ring.insertion import driver_ident, path_gaps
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.pieces import RingSeat
from mounts.kinds.ring.speaker_kind import aimed_gaps
from mounts.kinds.ring.surroundings import surroundings
from mounts.kinds.ring.trim import lid_rooms
from mounts.kinds.ring.values import FlatPlan, RingPlan
from mounts.lengths import Units
from mounts.load.models.fastener import SetNut
from mounts.load.models.limits import Limits
from mounts.load.models.panel import SurveyedPanel
from mounts.load.models.workshop import USUAL_SHRINK

LEAST_BREAK = 0.3  # mm: what a broken edge needs to be felt, the low end of a first layer's chamfer (print guides)
SHEET = (("all edges of the sheet", 0.0),)  # a ring that is cut has no other
BY_HAND = 0.5  # mm, what a deburring tool takes
SHARE = 0.5  # of the play in a hole that shrink may take; the rest is for measuring and printing
SOURCE = "the speaker that was there had this room; common practice, no source"
MAKER = "enclosure-gasket maker: target 40 %, most 50 %, least 10 to 15 % of the free thickness"
FOAM = "closed-cell foam takes a set; compression is quoted at 25 % (ASTM D1056)"
MOST_SQUEEZE, LEAST_SQUEEZE = 50.0, 15.0  # per cent, of a gasket


def panel_findings(job: RingJob) -> tuple[Finding, ...]:
    """Return the findings on the panel's readings by themselves."""
    return (*_readings(job), *_other_side(job), *_panel_holes(job))


def _readings(job: RingJob) -> Iterator[Finding]:
    """Yield the agreement of a surveyed pattern's readings, as far as any checks another."""
    survey = job.panel.survey if isinstance(job.panel, SurveyedPanel) else None
    if survey is None or not survey.checked:
        return
    share = Limits().uncertainty(job.panel.read_with.holes) / max(job.uncertainty("holes"), 1e-9)
    worst = max(check.sds for check in survey.checked) * share
    what = "worst reading of the pattern to the others"
    source = "standard deviations that one faultless pattern of a hundred exceeds"
    advice = "" if survey.disagreement is None else survey.disagreement.describe(job.units)
    yield at_most("pattern.readings", worst, survey.allowed, what, missed=Verdict.WARN, source=source, advice=advice)


def _other_side(job: RingJob) -> Iterator[Finding]:
    """Yield centre distances read on the other side against the pattern that is used there."""
    other = job.panel.other_side
    points = job.panel.fixings.points
    limit = 3 * 2**0.5 * job.uncertainty("holes")
    for pair, read in (other.check if other else {}).items():
        one, _, two = pair.partition("-")
        if one in points and two in points:
            apart = hypot(points[one][0] - points[two][0], points[one][1] - points[two][1])
            what = f"difference of {pair} on the other side"
            source = "three standard deviations of the difference of two readings"
            advice = f"{pair} read {job.units(read)} there, {job.units(apart, 1)} here: measure that side too"
            said: Said = {"case": pair, "source": source, "advice": advice}
            yield at_most("pattern.other-side", abs(apart - read), limit, what, **said)


def _panel_holes(job: RingJob) -> Iterator[Finding]:
    """Yield the panel's holes and sheet against what the hardware needs."""
    item, panel = job.fix_to_panel.hardware, job.panel
    needed, own = item.needs, {f" at {name}": size for name, size in panel.fixings.holes.items()}
    for where, hole in {"": panel.fixings.hole, **own}.items():
        if needed is None or hole is None:
            continue
        yield at_least(
            "panel.hole",
            hole,
            needed,
            f"diameter of the panel's holes{where} for {item.name}",
            missed=Verdict.DO,
            case=where,
            source=item.source or "the hardware's file",
            advice=f"open the panel's holes to {job.units(needed)} +{job.units.cell(0.1)}/0; protect "
            "the edge against rust",
        )
        most = needed + job.limits.panel_hole
        if isinstance(item, SetNut) and not keeps(hole, needed):
            yield at_most(
                "panel.hole-wide",
                hole,
                most,
                f"diameter of the panel's holes{where} for {item.name}",
                missed=Verdict.DO,
                case=where,
                source="a reading may be off by three of its standard deviations",
                advice=f"try a drill of {job.units(most + 0.1)} in it: if it goes in, take larger hardware",
            )
    grip, sheet = getattr(item, "grip", None), panel.face.thickness
    if grip and sheet:
        what = f"thickness of the sheet in the grip of {item.name}"
        advice = f"{item.name} grips {job.units(grip[0])} to {job.units(grip[1])}; take another length"
        yield in_band("panel.grip", sheet, grip, what, source=item.source or "the hardware's file", advice=advice)


def edge_finding(touched: Iterable[tuple[str, float]], units: Units = Units.MM) -> Finding:
    """Return the least broken of the edges that a hand meets; an unbroken one is an instruction."""
    width, edge = min((width, edge) for edge, width in touched)
    what, source = f"width of the broken edges, least at {edge}", "print guides: a first-layer chamfer is 0.3 to 0.5"
    advice = f"break {edge} by hand, {units(BY_HAND)} wide"
    return at_least("edges", width, LEAST_BREAK, what, missed=Verdict.DO, source=source, advice=advice)


def touched_edges(plan: RingPlan) -> Iterator[tuple[str, float]]:
    """Yield the name of each edge that a hand meets, and how wide it is broken, mm."""
    yield "the base's upper edge", plan.base.edge
    yield "the base's first layer", plan.base.chamfer
    if plan.collar:
        yield "the collar's rim", 0.0
    elif plan.seat.let_in is not None:
        yield "the rim round the flange", plan.seat.edge
        yield "the inner edge of the rim round the flange", 0.0
    else:
        yield "the seat's edge", plan.seat.edge


def flat_findings(job: RingJob, plan: FlatPlan, part: Part) -> tuple[Finding, ...]:
    """Return all findings on a ring cut from sheet."""
    gaps = tuple(speaker_gaps(job, plan.seat))
    found = [*planned_flat_findings(job, plan)]
    found += chance_findings(job, plan, (*gaps, *behind_gaps(job, plan)), read_in_mesh(Surface(part), [PANEL]))
    found += [*proven_findings(job, plan.seat), *panel_findings(job), *sheet_readback(job, plan, part)]
    found += [*screw_findings(job, plan), *washer_findings(job, plan), *clamp_findings(job, plan)]
    found += [*load_findings(job, plan, part), *bending_findings(job, plan, part)]
    found += [_web(one, other, web) for one, other, web in _webs(plan)]
    recess = recess_for(job, fastening_of(job))
    if recess:
        what = (
            f"spot-face {job.units(recess.diameter)} wide and {job.units(recess.depth)} deep at "
            "the back of each fixing, by hand"
        )
        advice = "without it the ring stands off the face on the hardware's flanges"
        found.append(state("flat.recess", Verdict.DO, what, source="the hardware's file", advice=advice))
    if job.panel.place:
        found += climate_findings(job.material, job.panel.place, job.limits)
    return (*found, *listening_findings(job, plan.seat.frame), edge_finding(SHEET, job.units))


def planned_flat_findings(job: RingJob, plan: FlatPlan) -> tuple[Finding, ...]:
    """Return the findings on the clearances of a ring cut from sheet, by its plan alone."""
    return tuple(gap.finding(_advice(gap, job.units)) for gap in speaker_gaps(job, plan.seat))


def _webs(plan: FlatPlan) -> Iterator[tuple[Ident, Ident, float]]:
    yield from cut_webs(plan.bore, plan.holes)
    for hole in plan.holes:
        yield hole.ident, EDGE, float(depths(plan.outline, [hole.at])[0]) - hole.diameter / 2


def _web(one: Ident, other: Ident, web: float) -> Finding:
    advice = "take another turn, or smaller hardware"
    return at_least("wall.web", web, WEB, f"{one} to {other}", between=(one, other), source=PRACTICE, advice=advice)


def _advice(gap: Gap, units: Units) -> str:
    missing = gap.wanted - gap.gap
    return f"{units.at_least(missing)} more is needed; take a thicker sheet, a thinner one, or another speaker"


def shrink_finding(job: RingJob, plan: RingPlan) -> Finding:
    """Return what shrinkage takes from the play of the two fixings furthest apart; a warning while unknown."""
    around = places(job, plan)
    play = around[0].hole - thread_diameter(job.fix_to_panel.screw.thread)
    one, other = most_of(combinations(around, 2), lambda pair: dist(pair[0].at, pair[1].at))
    span, pair = dist(one.at, other.at), (one.name, other.name)
    shrink = job.printer.shrink(job.material)[1]
    known = job.printer.slicer_corrects or job.material.name in job.printer.shrink_pct
    usual = job.material.shrink_pct or USUAL_SHRINK
    off = span * abs(shrink) / 100
    verdict = _verdict(off, play) if known else Verdict.WARN
    how = (
        f"{shrink:g} % by the printer's file" if known else f"not measured, usually {usual.least:g} to {usual.most:g} %"
    )
    source = "the printer's file" if known else usual.source
    if job.printer.slicer_corrects:
        how = "the slicer corrects it"
    return state(
        "shrink",
        verdict,
        f"shrink of {job.material.name} from fixing {pair[0]} to {pair[1]}, {how}",
        off,
        SHARE * play,
        between=(Ident(Role.HOLE, pair[0]), Ident(Role.HOLE, pair[1])),
        source=f"half of the play in the holes; shrink: {source}",
        advice=lambda: _shrink_advice(job, shrink if known else None),
    )


def _verdict(off: float, play: float) -> Verdict:
    if off <= SHARE * play + ROUNDING:
        return Verdict.PASS
    return Verdict.WARN if off <= play + ROUNDING else Verdict.FAIL


def _shrink_advice(job: RingJob, shrink: float | None) -> str:
    name, printer = job.material.name, job.printer.name
    if shrink is None:
        coupon = f"mounts coupon {printer} --material {name}"
        return f"print the coupon ({coupon}), or measure a bar and write shrink_pct: {{{name}: …}} into {printer}"
    return f"scale by {100 / (1 - shrink / 100):.2f} % in the slicer, and write slicer_corrects: true into {printer}"


def proven_findings(job: RingJob, seat: RingSeat) -> Iterator[Finding]:
    """Yield the new speaker's depth and front against the old one's, where glass or trim was not measured."""
    original, behind, front = job.panel.original, job.panel.behind, job.panel.in_front
    if original is None:
        return
    deep, high = speaker_reach(job, seat)
    if original.depth is not None and (behind is None or behind.glass is None):
        yield _within("proven.depth", "depth behind the face", deep, original.depth, "the glass at every clock")
    if original.front is not None and (front is None or front.trim is None):
        yield _within("proven.front", "height before the face", high, original.front, "the trim with clay")


def proud_findings(job: RingJob, seat: RingSeat) -> Iterator[Finding]:
    """Yield what stands furthest out of the trim's opening, where nothing was read further out that would cover it."""
    found = [*gaps_of(lid_rooms(job, seat), PANEL)]
    worst = least_of(found, lambda gap: gap.gap) if found else None
    if worst is None or (worst.gap >= worst.wanted and job.proud is None):
        return
    proud = job.units.key((job.proud or 0.0) + max(0.0, worst.wanted - worst.gap), up=True)
    advice = f"read the grille, or write proud: {proud} where it may stand that far out"
    yield replace(worst, least=-inf).finding(advice)


def _within(code: str, what: str, value: float, proven: float, reading: str) -> Finding:
    advice = f"measure {reading}, or take another height"
    what = f"{what}, to that of the speaker that was there"
    return at_most(code, value, proven, what, missed=Verdict.WARN, source=SOURCE, advice=advice)


def squeeze_findings(job: RingJob, plan: RingPlan) -> Iterator[Finding]:
    """Yield the squeeze of the base's and the speaker's gasket, set by groove and hard stops."""
    base, speaker = job.gaskets.base, job.gaskets.speaker
    if base is not None and plan.base.seal is not None:
        yield _squeeze("base", 100 * (1 - plan.base.seal.depth / base.thickness))
    if speaker is not None and plan.seat.lift:
        yield _squeeze("speaker", 100 * (1 - plan.seat.lift / speaker.thickness))


def foam_findings(job: RingJob, plan: RingPlan) -> Iterator[Finding]:
    """Yield the foam between collar and trim where the trim lies nearest and furthest from its plane."""
    foam, front = job.gaskets.trim, job.panel.in_front
    if plan.collar is None or foam is None or front is None or front.trim is None:
        return
    rim = job.panel.trim_rim
    plane = plan.collar.rim
    heights = []
    for clock, height in front.trim.at_clock.items():
        x, y = rim_point(rim, clock)
        point = (x + front.trim.at[0], y + front.trim.at[1], height)
        heights.append(float(plane.into(point)[2]))
    squeezed = [100 * (1 - height / foam.thickness) for height in heights]
    for compare, word, value, limit in (
        (at_most, "most", max(squeezed), job.limits.foam_most_pct),
        (at_least, "least", min(squeezed), job.limits.foam_least_pct),
    ):
        need = foam.thickness * abs(value - limit) / 100
        yield compare(
            "seal.foam",
            value,
            limit,
            f"foam to the trim, {word} squeeze",
            missed=Verdict.WARN,
            case=word,
            source=FOAM,
            advice=f"the trim is {job.units(need, 1)} uneven there; take thicker foam, or read the trim again",
            margin_sd=100 * job.uncertainty("in_front") / foam.thickness,
        )


def _squeeze(which: str, value: float) -> Finding:
    said: Said = {"case": which, "source": MAKER, "advice": "set limits: {squeeze_pct: 40}"}
    return in_band("seal.squeeze", value, (LEAST_SQUEEZE, MOST_SQUEEZE), f"squeeze of the {which} gasket", **said)


def sound_findings(job: RingJob, plan: RingPlan) -> Iterator[Finding]:
    """Yield the room for the rear wave, and the share of the cone that the trim's opening shows."""
    piston, limits = job.speaker.piston_diameter, job.limits
    if piston is None:
        return
    magnet = body_rings(job.speaker, plan.seat.lift)[-1][1]
    share = 100 * (plan.tower.mouth.area - pi / 4 * magnet**2) / (pi / 4 * piston**2)
    yield _share(
        "sound.rear",
        "air path behind the cone, of its area",
        share,
        limits.rear_area_pct,
        "take a speaker with a smaller magnet, or widen the opening",
    )
    shown = _share_seen(job, plan, piston)
    if shown is not None:
        advice = "move the seat with seat_offset towards the trim's opening, or take less tilt"
        yield _share("sound.seen", "share of the cone seen through the trim's opening", shown, limits.seen_pct, advice)


def _share(code: str, what: str, share: float, limit: float, advice: str) -> Finding:
    return at_least(code, share, limit, what, missed=Verdict.WARN, source=PRACTICE, advice=advice)


def _share_seen(job: RingJob, plan: RingPlan, piston: float) -> float | None:
    """Return the share of the cone that the axis carries through the trim's opening, per cent, good to 0.3."""
    front, plane = job.panel.in_front, trim_plane(job.panel)
    if front is None or front.trim is None or front.trim.opening is None or plane is None:
        return None
    k = np.arange(4000) + 0.5
    around, away = np.pi * (1 + 5**0.5) * k, piston / 2 * np.sqrt(k / len(k))
    level = plan.seat.lift + (job.speaker.front.height if job.speaker.front else job.speaker.flange.thickness)
    disc = np.column_stack([away * np.cos(around), away * np.sin(around), np.full(len(k), level)])
    points, axis = plan.seat.frame.out(disc), np.asarray(plan.seat.frame.z)
    normal = np.asarray(plane.normal)
    lift = (plane.at * normal[2] - points @ normal) / float(axis @ normal)
    through = PANEL.into(points + lift[:, None] * axis)[:, :2] - np.asarray(front.trim.at)
    return 100 * float((depths(front.trim.opening.outline(), through) > 0).mean())


def ring_findings(job: RingJob, plan: RingPlan, part: Part) -> tuple[Finding, ...]:
    """Return all findings on a printed ring.

    Args:
        job: what was measured and wanted.
        plan: of the ring.
        part: in the panel frame, with the recipe's names on its features.
    """
    printing = printing_findings(part, job.printer, labels=plan.labels, units=job.units)
    return (*mount_findings(job, plan, part), *(_in_two(job, plan, one) for one in printing))


def mount_findings(job: RingJob, plan: RingPlan, part: Part) -> tuple[Finding, ...]:
    """Return the findings on a ring on its panel, printed in one or in two.

    The arguments are those of `ring_findings`.
    """
    skin, job = Skin.of(part), as_planned(job, plan)
    return (
        *aim_findings(plan.choice, job.units),
        *_fit(job, plan, part),
        *_held(job, plan, part),
        *ring_readback(job, plan, part),
        *wall_findings(part, plan.walls, skin=skin, units=job.units),
        *least_findings(skin),
        edge_finding(touched_edges(plan), job.units),
    )


def _held(job: RingJob, plan: RingPlan, part: Part | None = None) -> Iterator[Finding]:
    """Yield what the plan decides besides clearances and walls; with the part its mass is measured."""
    yield from proven_findings(job, plan.seat)
    yield from proud_findings(job, plan.seat)
    yield from panel_findings(job)
    yield shrink_finding(job, plan)
    yield from screw_findings(job, plan)
    yield from washer_findings(job, plan)
    yield from clamp_findings(job, plan)
    yield from load_findings(job, plan, part)
    yield from bending_findings(job, plan, part)
    yield from squeeze_findings(job, plan)
    yield from foam_findings(job, plan)
    yield from sound_findings(job, plan)
    yield from listening_findings(job, plan.seat.frame)
    if job.panel.place:
        yield heat_finding(job.material, job.panel.place, job.limits)


def findings_by_plan(job: RingJob, plan: RingPlan) -> Iterator[Finding]:
    """Yield all findings that need no part: clearances, chances, walls, and what is held by what."""
    job = as_planned(job, plan)
    gaps = (*aimed_gaps(job, plan), *path_gaps(job, plan))
    yield from (gap.finding() for gap in gaps)
    yield from chance_findings(job, plan, (*gaps, *behind_gaps(job, plan)), ())
    yield from (wall.finding() for wall in plan.walls)
    yield from _held(job, plan)


def planned_findings(job: RingJob, plan: RingPlan) -> tuple[Finding, ...]:
    """Return the findings on a ring's clearances, and on the walls and chosen limits that it misses, by its plan."""
    job = as_planned(job, plan)
    held = [one for one in aim_findings(plan.choice, job.units) if one.verdict is not Verdict.PASS]
    found = [gap.finding() for gap in (*aimed_gaps(job, plan), *path_gaps(job, plan))]
    return (*held, *found, *(wall.finding() for wall in plan.walls if not wall.is_enough))


def _in_two(job: RingJob, plan: RingPlan, found: Finding) -> Finding:
    """Return the bed's finding with what two halves would do about it."""
    if found.code != "bed" or found.verdict is Verdict.PASS:
        return found
    return replace(found, advice="; ".join(filter(None, (found.advice, split_advice(job, plan)))))


def _fit(job: RingJob, plan: RingPlan, part: Part) -> tuple[Finding, ...]:
    """Return the findings of the virtual assembly: clearances, the way in, the tools."""
    assembly = assemble(part, surroundings(job, plan))
    gaps = measure_gaps(assembly, (*speaker_gaps(job, plan.seat), *ring_gaps(job, plan), *path_gaps(job, plan)))
    found = [gap.finding() for gap in gaps]
    read = read_in_mesh(Surface(part), [PANEL])
    chances = chance_findings(job, plan, (*gaps, *behind_gaps(job, plan)), read)
    return (*found, *disagreements(gaps), *chances, *access_findings(assembly, plan))


def access_findings(assembly: Assembly, plan: RingPlan) -> Iterator[Finding]:
    """Yield the overlap of the straight tool to each screw with the finished mesh, which must be nothing."""
    for code, tools in (
        ("access.panel-screws", [Ident(Role.TOOL, fixing.name) for fixing in plan.fixings]),
        ("access.speaker-screws", [driver_ident(screw) for screw in plan.seat.screws]),
    ):
        for tool in tools:
            if tool in assembly.things:
                yield _reached(code, tool, overlap_volume(assembly, tool, MOUNT))


def _reached(code: str, tool: Ident, taken: float) -> Finding:
    what, advice = f"overlap of {tool} with the mount", "take a smaller washer or head, or another turn"
    return at_most(code, 0.0, 0.0, what, measured=taken, between=(tool, MOUNT), source=PRACTICE, advice=advice)
