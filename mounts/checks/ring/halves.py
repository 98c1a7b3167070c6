"""Findings on one half of a ring: of the assembled ring, of the half itself, and of the laps between the two.

Strength of the laps of a ring in two: their screws in the thread, and a slam that bends the ring across them.

        M (___________) M
           |  F|     |        the screws pull, the far end of the tongue presses:
a's tongue |___|_____|        F = M d / Σ d² for a screw that is d from that end, and its share of the shear
           :         :
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import hypot, inf

from mounts.checks.assembly import assemble, overlap_volume
from mounts.checks.fastening.loads import SLAM
from mounts.checks.mesh.skin import Skin
from mounts.checks.mesh.walls import least_findings
from mounts.checks.printing.findings import printing_findings
from mounts.checks.printing.least_feature import manifold_of
from mounts.checks.printing.patches import Surface
from mounts.checks.ring.fastening.bending import lap_bending
from mounts.checks.ring.fastening.loads import across_layers, whole_body
from mounts.checks.ring.findings import mount_findings, ring_findings
from mounts.checks.ring.holes import WantedHole, hole_findings, read_in_mesh, wanted_in_ring
from mounts.design.fits import resolve
from mounts.design.loads import REPEATED, Bar, bearing_area, section_modulus, shear_off, shock
from mounts.errors import KernelError
from mounts.findings.compare import Said, at_least, at_most, state
from mounts.findings.report import PRACTICE, Finding, Verdict
from mounts.geometry.frames import PANEL
from mounts.geometry.outline import circle
from mounts.geometry.ties import least_of, most_of
from mounts.identity import LAP, MOUNT, Ident, Role, called
from mounts.kernels import mesh
from mounts.kernels.part import Part
from mounts.kinds.ring.halves.laps import FIT, SUNK, seat_breadth
from mounts.kinds.ring.halves.plan import half_pose
from mounts.kinds.ring.halves.values import Lap, LapScrew, Split
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.shape import draw_ring
from mounts.kinds.ring.values import RingPlan
from mounts.load.models.port import Fits
from mounts.shape.primitives import Prism
from mounts.shape.recipe import Envelope

TOOL = 80.0  # mm of a driver over the head
OTHER = {"a": "b", "b": "a"}
AGREE = 0.02  # mm by which the gap may differ from its plan: sag of the triangles


@dataclass(frozen=True, slots=True)
class Slam:
    """Pull of a slam, N: by the plan's mass, and by that of the finished part, where there is one."""

    planned: float
    finished: float | None

    def times(self, rate: float) -> tuple[float | None, float]:
        """Return the effect of both pulls for a rate per newton: measured and in closed form."""
        return (None if self.finished is None else self.finished * rate, self.planned * rate)


TOOLS = called(Role.TOOL, "lap tools")


def lap_findings(job: RingJob, plan: RingPlan, whole: Part | None = None) -> Iterator[Finding]:
    """Yield screws and loads of both laps; `whole` is the assembled ring, whose mass is measured."""
    split = plan.split
    assert split is not None
    yield _engaged(job, split)
    if whole is not None:
        yield _reached(job, split, whole)
    planned, finished = whole_body(job, plan), whole_body(job, plan, whole)
    if planned is None or finished is None:
        return
    by_plan, by_part = (shock(body.mass, job.limits.slam) for body in (planned, finished))
    slam = Slam(by_plan, None if whole is None else by_part)
    yield most_of((_pulled(job, plan, split, lap, slam) for lap in split.laps), key=_used)
    yield most_of((_bent(job, plan, split, lap, slam) for lap in split.laps), key=_used)


def _used(found: Finding) -> float:
    return (found.closed_form or 0.0) / (found.limit or inf)


def _engaged(job: RingJob, split: Split) -> Finding:
    """Return the lap screws' length and the thread that holds them."""
    assert job.fix_halves is not None
    assert job.fix_halves.screw is not None
    least = least_of(split.screws, key=lambda screw: screw.engaged)
    need = job.fix_halves.hardware.thread_in(inf).engages
    lengths = " and ".join(f"{length:g}" for length in sorted({screw.length for screw in split.screws}))
    what = f"thread engaged by {job.fix_halves.screw.name} × {lengths}, {len(split.screws)} lap screws"
    source = "the fastener's own engagement"
    advice = "take a longer screw, or more height"
    return at_least("screw.lap", least.engaged, need, what, at=(*least.at, least.bottom), source=source, advice=advice)


def _reached(job: RingJob, split: Split, whole: Part) -> Finding:
    """Return the overlap of straight tools to the lap screws with the mount, before the speaker goes in."""
    assert job.fix_halves is not None
    assert job.fix_halves.screw is not None
    across = job.fix_halves.screw.head_diameter
    tools = [Prism(circle(across, screw.at), screw.seat, screw.seat + TOOL) for screw in split.screws]
    taken = overlap_volume(assemble(whole, [Envelope(TOOLS, tuple(tools))]), TOOLS, MOUNT)
    what = "overlap of the lap screws' tools with the mount"
    at = (*split.screws[0].at, split.screws[0].seat)
    advice = "take a smaller head as fix_halves, or another direction as in_two"
    return at_most("access.lap-screws", 0.0, 0.0, what, measured=taken, at=at, source=PRACTICE, advice=advice)


def _pulled(job: RingJob, plan: RingPlan, split: Split, lap: Lap, slam: Slam) -> Finding:
    """Return the pull on a lap's worst screw, against what fails first."""
    moment, shear = lap_bending(job, plan, lap.angle, split.long)
    per_newton = moment * _lever(split, lap) + shear / len(lap.screws)
    measured, planned = slam.times(per_newton)
    what, bears, how = least_of((_gives(job, split, screw) for screw in lap.screws), key=lambda one: one[1])
    screw = lap.screws[0]
    return at_most(
        "load.lap",
        planned,
        bears,
        f"door slam: pull on a lap screw, {what}",
        measured=measured,
        unit="N",
        at=(*screw.at, screw.seat),
        between=(Ident(Role.LAP_SCREW, screw.name), called(Role.LIMIT, what)),
        source=f"{SLAM}; ring bent between its panel screws, F = M d / Σ d² + V / n; {how}",
        advice="take a larger screw or an insert as fix_halves, or more height",
    )


def _lever(split: Split, lap: Lap) -> float:
    """Return d / Σ d² of the furthest screw of a lap from the end of its tongue, 1/mm."""
    apart = 0.0
    if len(lap.screws) == 2:
        (ax, ay), (bx, by) = (screw.at for screw in lap.screws)
        apart = hypot(ax - bx, ay - by)
    first = (split.long - split.gap - apart) / 2
    ways = [first, first + apart][: len(lap.screws)]
    return max(ways) / sum(way**2 for way in ways)


def _gives(job: RingJob, split: Split, screw: LapScrew) -> tuple[str, float, str]:
    """Return what fails first at a lap screw: its thread in a's tongue, or the plastic under its head in b's."""
    assert job.fix_halves is not None
    item, strong = job.fix_halves.hardware, job.material.strength_mpa * REPEATED
    weak = strong * across_layers(job)
    grip = item.grip(item.thread_in(inf).long, screw.engaged)
    assert grip is not None
    thread = (grip.what, grip.share * shear_off(grip.across, grip.long, weak), grip.source)
    assert job.fix_halves.screw is not None
    across = job.fix_halves.screw.head_diameter
    through = shear_off(across, screw.seat - split.level, weak)
    under = bearing_area(across, screw.clear) * strong
    head = ("head through the tongue", min(through, under), "π d t σ / √3 and the head's bearing area")
    return least_of((thread, head), key=lambda one: one[1])


def _bent(job: RingJob, plan: RingPlan, split: Split, lap: Lap, slam: Slam) -> Finding:
    """Return the bending at the root of a lap's weaker tongue, which carries all of the ring's moment there."""
    moment, _ = lap_bending(job, plan, lap.angle, split.long)
    modulus, tongue = _weaker(plan, split, lap)
    measured, planned = slam.times(moment / modulus)
    what = f"door slam: bending of {tongue} tongue at its root"
    limit = job.material.strength_mpa * REPEATED
    at = (*lap.screws[0].at, split.level)
    source = f"{SLAM}; bow girder on its screws, the speaker's frame left out; repeated 0.6"
    advice = "take a thicker wall, as limits: {wall: …}, more height, or a stronger material"
    said: Said = {"unit": "MPa", "at": at, "case": "tongue", "source": source, "advice": advice}
    return at_most("load.lap", planned, limit, what, measured=measured, **said)


def _weaker(plan: RingPlan, split: Split, lap: Lap) -> tuple[float, str]:
    """Return the section modulus of the weaker tongue of a lap, mm³, and which it is.

    Half b's has the seat's breadth, half a's base and wall less the gasket groove.
    """
    wide, wall, thick = seat_breadth(plan, lap.angle), plan.tower.wall, plan.base.thickness
    top = min(screw.seat for screw in lap.screws) + SUNK
    upper = section_modulus((Bar(min(wide, wall), split.level, top),))
    base = plan.base.outline.reach(lap.angle) - plan.tower.mouth.reach(lap.angle)
    bars = [Bar(base, 0.0, thick), Bar(wall, thick, split.level)]
    if plan.base.seal and plan.base.seal.inside:
        seal = plan.base.seal
        assert seal.inside is not None
        bars.append(Bar(seal.inside.reach(lap.angle) - seal.outside.reach(lap.angle), 0.0, seal.depth))
    lower = section_modulus(bars)
    return min((upper, "half b's"), (lower, "half a's"))


def half_findings(job: RingJob, plan: RingPlan, part: Part, whole: Part) -> tuple[Finding, ...]:
    """Return all findings on a half; passes of the assembled ring are reported with half a only.

    Args:
        job: what was measured and wanted, for this half.
        plan: of the half, with its laps.
        part: the half, panel frame.
        whole: both halves as one, panel frame.
    """
    assert plan.split is not None
    together = mount_findings(job, replace(plan, half="", genus=plan.split.genus[2]), whole)
    return (
        *(one for one in together if plan.half == "a" or one.verdict is not Verdict.PASS),
        *lap_findings(job, plan, whole),
        *own_findings(job, plan, part),
    )


def own_findings(job: RingJob, plan: RingPlan, part: Part) -> tuple[Finding, ...]:
    """Return the findings on a half by itself: its holes, walls, gap to the other half, and printing.

    The arguments are those of `half_findings`.
    """
    assert plan.split is not None
    printing = printing_findings(
        part, job.printer, half_pose(plan), labels=plan.labels if plan.half == "a" else (), units=job.units
    )
    return (
        *_own_holes(job, plan, plan.split, part),
        *(replace(one, case=plan.half) for one in least_findings(Skin.of(part))),
        _gap(job, plan, plan.split, part),
        *(_helped(one, plan.half) for one in printing),
    )


def alone_findings(job: RingJob, plan: RingPlan, part: Part) -> tuple[Finding, ...]:
    """Return all findings on a ring, or on half a ring those that need no other half.

    The arguments are those of `half_findings`.
    """
    if not plan.half:
        return ring_findings(job, plan, part)
    return (*own_findings(job, plan, part), _alone(plan))


def _alone(plan: RingPlan) -> Finding:
    what = f"clearances, screws and loads of the ring not checked: this is half {plan.half} alone"
    advice = "check a mesh of both halves joined to one solid against this job"
    return state("solid.unmeasured", Verdict.WARN, what, source="they are the assembled ring's", advice=advice)


def _own_holes(job: RingJob, plan: RingPlan, split: Split, part: Part) -> Iterator[Finding]:
    """Yield the half's own holes read back off its mesh: fixings, speaker screws, lap screws."""
    wanted = [*wanted_in_ring(plan, job.panel.fixings.points)]
    wanted += [
        WantedHole(
            Ident(Role.LAP_SCREW, screw.name), PANEL, screw.at, screw.thread if plan.half == "a" else screw.clear
        )
        for screw in split.screws
    ]
    here = [hole for hole in wanted if hole.ident in _features(part)]
    read = read_in_mesh(Surface(part), [PANEL, plan.seat.frame])
    yield from hole_findings(read, here, f"mesh of half {plan.half}")


def _features(part: Part) -> set[Ident]:
    """Return the features that a part shows."""
    return {part.features[index] for index in set(part.feature.tolist()) if index >= 0}


def _gap(job: RingJob, plan: RingPlan, split: Split, part: Part) -> Finding:
    """Return the gap measured between the two halves' meshes; it warns where the printer may close it."""
    other = mesh.build(draw_ring(replace(plan, half=OTHER[plan.half])).recipe, segments=512)
    one, two = manifold_of(part, part.vertices), manifold_of(other, other.vertices)
    if one is None or two is None:
        raise KernelError(f"part {plan.name}: a half is no closed mesh")
    measured = float(one.min_gap(two, 2.0))
    fit = resolve(FIT, split.long, Fits(), job.printer)
    wrong, tight = abs(measured - split.gap) > AGREE, fit.tightest < 0
    advice = "screw the halves together on a flat plate, with a bead of sealant in the laps"
    if tight:
        advice = f"the tongues may be tight: try them dry, and dress their faces with a file; then {advice}"
    return state(
        "fit.halves",
        Verdict.FAIL if wrong else Verdict.WARN if tight else Verdict.PASS,
        f"gap between the halves, fit {FIT}",
        split.gap,
        fit.tighter / 2,
        measured=measured,
        between=(called(Role.PART, "half a"), called(Role.PART, "half b")),
        source="fit word and the printer's error, two standard deviations",
        advice="the halves do not meet as planned; report it with the job's file" if wrong else advice,
        hint=advice,
    )


def _helped(found: Finding, half: str) -> Finding:
    """Return an overhang of the upper tongue with advice of its own."""
    if half == "b" and found.code == "print.overhang" and found.between == (LAP, LAP):
        return replace(found, advice="support it under both tongues, and file off what the support leaves")
    return found
