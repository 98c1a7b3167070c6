"""The panel's holes and sheet against the hardware, and the other side of the vehicle against its own readings."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot

from mounts.design.fasteners import needed_hole
from mounts.findings.report import Finding, Verdict
from mounts.geometry.ties import at_least, at_most
from mounts.load.models.limits import Limits
from mounts.load.models.resolved import Job
from mounts.load.models.surveyed import SurveyedPanel


def panel_findings(job: Job) -> tuple[Finding, ...]:
    """What the panel's readings say by themselves."""
    return (*_readings(job), *_other_side(job), *_panel_holes(job))


def _readings(job: Job) -> Iterator[Finding]:
    """The readings of a surveyed pattern against each other, as far as any checks another."""
    survey = job.panel.survey if isinstance(job.panel, SurveyedPanel) else None
    if survey is None or not survey.checked:
        return
    share = Limits().uncertainty(job.panel.read_with.holes) / max(job.uncertainty("holes"), 1e-9)
    worst = max(check.sds for check in survey.checked) * share
    agrees = worst <= survey.allowed
    yield Finding(
        code="pattern.readings",
        verdict=Verdict.PASS if agrees else Verdict.WARN,
        what="readings of the pattern, the worst against the others",
        closed_form=worst,
        limit=survey.allowed,
        unit="sd",
        source="standard deviations that one faultless pattern of a hundred exceeds",
        advice="" if agrees or survey.disagreement is None else survey.disagreement.what,
    )


def _other_side(job: Job) -> Iterator[Finding]:
    """Centre distances read on the other side against the pattern that is used there."""
    other = job.panel.other_side
    points = job.panel.fixings.points
    limit = 3 * 2**0.5 * job.uncertainty("holes")
    for pair, read in (other.check if other else {}).items():
        one, _, two = pair.partition("-")
        if one in points and two in points:
            apart = hypot(points[one][0] - points[two][0], points[one][1] - points[two][1])
            off = abs(apart - read)
            advice = f"{pair} read {read:g} there, {apart:.1f} here: measure that side by itself"
            yield Finding(
                code="pattern.other-side",
                verdict=Verdict.PASS if at_most(off, limit) else Verdict.FAIL,
                what=f"{pair} on the other side",
                closed_form=off,
                limit=limit,
                source="three standard deviations of the difference of two readings",
                advice="" if at_most(off, limit) else advice,
            )


def _panel_holes(job: Job) -> Iterator[Finding]:
    """The panel's holes and sheet against what the hardware needs."""
    item, panel = job.fix_to_panel.hardware, job.panel
    needed, own = needed_hole(item), {f" at {name}": size for name, size in panel.fixings.holes.items()}
    for where, hole in {"": panel.fixings.hole, **own}.items():
        if needed is None or hole is None:
            continue
        opens = not at_least(hole, needed)
        yield Finding(
            code="panel.hole",
            verdict=Verdict.WARN if opens else Verdict.PASS,
            what=f"panel hole{where} for {item.name}",
            closed_form=hole,
            limit=needed,
            source=item.source or "the hardware's file",
            advice=f"open the panel's holes to {needed:g} +0.1/0; protect the edge against rust" if opens else "",
        )
    grip, sheet = getattr(item, "grip", None), panel.face.thickness
    if grip and sheet:
        held = at_least(sheet, grip[0]) and at_most(sheet, grip[1])
        yield Finding(
            code="panel.grip",
            verdict=Verdict.PASS if held else Verdict.FAIL,
            what=f"sheet in the grip of {item.name}",
            closed_form=sheet,
            limit=grip[0] if sheet < grip[0] else grip[1],
            source=item.source or "the hardware's file",
            advice="" if held else f"{item.name} grips {grip[0]:g} to {grip[1]:g}; take another length",
        )
