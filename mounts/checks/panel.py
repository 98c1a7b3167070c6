"""Panel's holes and sheet against the hardware, and the other side of the vehicle against its own readings."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot

from mounts.findings.compare import at_least, at_most, in_band
from mounts.findings.report import Finding, Verdict
from mounts.load.models.fastener import SetNut
from mounts.load.models.job_kinds import RingJob
from mounts.load.models.limits import Limits
from mounts.load.models.panel import SurveyedPanel


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
    yield at_most(
        "pattern.readings",
        worst,
        survey.allowed,
        "readings of the pattern, the worst against the others",
        missed=Verdict.WARN,
        source="standard deviations that one faultless pattern of a hundred exceeds",
        advice="" if survey.disagreement is None else survey.disagreement.describe(job.units),
    )


def _other_side(job: RingJob) -> Iterator[Finding]:
    """Yield centre distances read on the other side against the pattern that is used there."""
    other = job.panel.other_side
    points = job.panel.fixings.points
    limit = 3 * 2**0.5 * job.uncertainty("holes")
    for pair, read in (other.check if other else {}).items():
        one, _, two = pair.partition("-")
        if one in points and two in points:
            apart = hypot(points[one][0] - points[two][0], points[one][1] - points[two][1])
            what = f"{pair} on the other side"
            source = "three standard deviations of the difference of two readings"
            advice = f"{pair} read {job.units(read)} there, {job.units(apart, 1)} here: measure that side by itself"
            yield at_most("pattern.other-side", abs(apart - read), limit, what, source=source, advice=advice)


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
            f"panel hole{where} for {item.name}",
            missed=Verdict.DO,
            source=item.source or "the hardware's file",
            advice=f"open the panel's holes to {job.units(needed)} +{job.units.cell(0.1)}/0; protect "
            "the edge against rust",
        )
        most = needed + job.limits.panel_hole
        if isinstance(item, SetNut) and hole > needed:
            yield at_most(
                "panel.hole-wide",
                hole,
                most,
                f"panel hole{where} for {item.name}",
                missed=Verdict.DO,
                source="a reading may be off by three of its standard deviations",
                advice=f"try a drill of {job.units(most + 0.1)} in it: if it goes in, take larger hardware",
            )
    grip, sheet = getattr(item, "grip", None), panel.face.thickness
    if grip and sheet:
        what = f"sheet in the grip of {item.name}"
        advice = f"{item.name} grips {job.units(grip[0])} to {job.units(grip[1])}; take another length"
        yield in_band("panel.grip", sheet, grip, what, source=item.source or "the hardware's file", advice=advice)
