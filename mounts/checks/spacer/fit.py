"""Play and interference of a spacer on both faces, over the spread of printing and of what it sits on."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.checks.printing.growth import growth_advice, growth_finding
from mounts.design.fits import Fit, growth_by_size, has_measured_growth
from mounts.design.loads import LASTING_STRAIN
from mounts.findings.compare import at_least, at_most
from mounts.findings.report import Finding, Verdict
from mounts.kinds.spacer.values import SpacerPlan
from mounts.load.models.job_kinds import SpacerJob

GUIDES = "print guides' clearances, at two standard deviations of printing and the port's tolerance"
MOST = {"press": 0.0, "push": 0.3, "slide": 0.5, "free": 1.0}  # mm on the diameter, up to 30: more is another fit
LEAST = {"press": -0.1, "push": -0.2, "slide": -0.05, "free": 0.1}  # the same; less does not go on as it should
LOOSER = {"push": "it may rattle; take press", "slide": "it may rattle; take push", "free": "it rattles; take slide"}
TIGHTER = {"push": "it may need force; take slide", "slide": "it may bind; take free", "free": "it may bind"}


def fit_findings(job: SpacerJob, plan: SpacerPlan) -> Iterator[Finding]:
    """Yield both faces at their loosest and tightest; and whether the printer's holes are known."""
    faces = (("panel", plan.outside.pressing, plan.outside.fit), ("device", plan.bore.pressing, plan.bore.fit))
    for face, pressing, wall in faces:
        yield _loosest(face, pressing)
        yield _tightest(job, face, pressing, wall)
    yield growth_finding(job.printer, job.material, plan.bore.fit.growth)


def _loosest(face: str, fit: Fit) -> Finding:
    """Return the greatest play against its limit; a press must still grip."""
    press = "it may come out loose; hold it with ribs, which make up for the spread"
    return at_most(
        f"fit.{face}.play",
        fit.loosest,
        MOST[fit.word] * growth_by_size(fit.size),
        f"{fit.word} in the {face}, at its loosest" if face == "panel" else f"{fit.word} on the device, loosest",
        missed=Verdict.WARN,
        source=GUIDES,
        advice=LOOSER.get(fit.word, press),
    )


def _tightest(job: SpacerJob, face: str, pressing: Fit, wall: Fit) -> Finding:
    """Return the greatest interference of the wall itself against its limit; ribs are made to be crushed."""
    ribbed = pressing is not wall
    word = "press" if ribbed else wall.word
    least = LEAST[word] * growth_by_size(wall.size)
    if word == "press" and not ribbed:
        least = -LASTING_STRAIN * wall.size  # a plain wall is pressed as far as it bears for years
    what = f"wall between the ribs to the {face}, at its tightest" if ribbed else f"{word} to the {face}, tightest"
    advice = f"{TIGHTER.get(word, 'its wall presses beside the ribs')}, or scrape it to size"
    if face == "device" and not has_measured_growth(job.printer, job.material.name):
        advice = f"its holes may print small; {growth_advice(job.printer, job.material)}"
    return at_least(f"fit.{face}.grip", wall.tightest, least, what, missed=Verdict.WARN, source=GUIDES, advice=advice)
