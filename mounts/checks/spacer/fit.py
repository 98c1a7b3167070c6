"""Play and interference of a spacer on both faces, over the spread of printing and of what it sits on."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.design.fits import Fit, by_size, knows_growth
from mounts.design.loads import LASTING_STRAIN
from mounts.findings.report import Finding, Verdict
from mounts.geometry.ties import at_least, at_most
from mounts.kinds.spacer.values import SpacerPlan
from mounts.load.models.resolved import SpacerJob

GUIDES = "print guides' clearances, at two standard deviations of printing and the port's tolerance"
MOST = {"press": 0.0, "push": 0.3, "slide": 0.5, "free": 1.0}  # mm on the diameter, up to 30: more is another fit
LEAST = {"press": -0.1, "push": -0.2, "slide": -0.05, "free": 0.1}  # the same; less does not go on as it should
LOOSER = {"push": "it may rattle; take press", "slide": "it may rattle; take push", "free": "it rattles; take slide"}
TIGHTER = {"push": "it may need force; take slide", "slide": "it may bind; take free", "free": "it may bind"}


def fit_findings(job: SpacerJob, plan: SpacerPlan) -> Iterator[Finding]:
    """Both faces, each at its loosest and its tightest; and whether the printer's holes are known."""
    faces = (("panel", plan.outside.pressing, plan.outside.fit), ("device", plan.bore.pressing, plan.bore.fit))
    for face, pressing, wall in faces:
        yield _loosest(face, pressing)
        yield _tightest(job, face, pressing, wall)
    yield _growth(job, plan)


def _loosest(face: str, fit: Fit) -> Finding:
    """The most play that there may be; a press must still grip."""
    most = MOST[fit.word] * by_size(fit.size)
    enough = at_most(fit.loosest, most)
    press = "it may come out loose; hold it with ribs, which make up for the spread"
    return Finding(
        code=f"fit.{face}.play",
        verdict=Verdict.PASS if enough else Verdict.WARN,
        what=f"{fit.word} in the {face}, at its loosest" if face == "panel" else f"{fit.word} on the device, loosest",
        closed_form=fit.loosest,
        limit=most,
        source=GUIDES,
        advice="" if enough else LOOSER.get(fit.word, press),
    )


def _tightest(job: SpacerJob, face: str, pressing: Fit, wall: Fit) -> Finding:
    """The most interference that there may be: of the wall itself, since ribs are made to be crushed."""
    ribbed = pressing is not wall
    word = "press" if ribbed else wall.word
    least = LEAST[word] * by_size(wall.size)
    if word == "press" and not ribbed:
        least = -LASTING_STRAIN * wall.size  # a plain wall is pressed as far as it bears for years
    enough = at_least(wall.tightest, least)
    what = f"wall between the ribs to the {face}, at its tightest" if ribbed else f"{word} to the {face}, tightest"
    advice = "" if enough else f"{TIGHTER.get(word, 'its wall presses beside the ribs')}, or scrape it to size"
    if not enough and face == "device" and not knows_growth(job.printer, job.material.name):
        advice = f"its holes may print small; {_coupon(job)}"
    return Finding(
        code=f"fit.{face}.grip",
        verdict=Verdict.PASS if enough else Verdict.WARN,
        what=what,
        closed_form=wall.tightest,
        limit=least,
        source=GUIDES,
        advice=advice,
    )


def _growth(job: SpacerJob, plan: SpacerPlan) -> Finding:
    """What the bore is drawn wider by so that it comes out true."""
    known = knows_growth(job.printer, job.material.name)
    how = "the slicer corrects it" if job.printer.slicer_corrects else f"measured on {job.printer.name}"
    return Finding(
        code="fit.growth",
        verdict=Verdict.PASS if known else Verdict.WARN,
        what=f"hole growth in {job.material.name}, {how if known else 'not measured'}",
        closed_form=plan.bore.fit.growth,
        source="the printer's file; print guides say 0.1 to 0.2",
        advice="" if known else _coupon(job),
    )


def _coupon(job: SpacerJob) -> str:
    material, printer = job.material.name, job.printer.name
    coupon = f"mounts coupon {printer} --material {material}"
    return f"print the coupon ({coupon}), or measure a hole and write hole_growth: {{{material}: …}} into {printer}"
