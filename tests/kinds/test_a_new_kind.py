"""A kind that nobody else knows goes from its file to its papers: one folder's worth, and one entry in the table.

This module is that folder: it has the model of the job's file and how it is resolved, and `DECLARATION`.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import pi
from pathlib import Path
from typing import Literal

import pytest
from pydantic import Field

from mounts import pipeline
from mounts.design.drawing import Drawing, Layer, Stroke
from mounts.errors import InputError
from mounts.findings.compare import at_least
from mounts.findings.report import Finding, Verdict
from mounts.geometry.frames import Frame
from mounts.geometry.outline import circle
from mounts.identity import FLOOR, Ident, Role
from mounts.kernels.part import Part
from mounts.kinds.kind import Kind, kind_called
from mounts.kinds.registry import KIND_MODULES, WORKSHOP, Declaration
from mounts.kinds.review import Papers, Review
from mounts.kinds.sizes import NamedSize
from mounts.load.catalogue.folders import read_kind
from mounts.load.models.base import Size as Length
from mounts.load.models.job import Job
from mounts.load.models.job_file import JobFile, Label
from mounts.load.models.job_file import Part as Profile
from mounts.load.models.job_file import part as profile
from mounts.load.models.limits import Limits
from mounts.load.resolve.job import load_job
from mounts.load.resolve.request import JobRequest
from mounts.made import Made
from mounts.papers.booklet import booklet
from mounts.papers.caliper import outside_size
from mounts.papers.chapter import make_chapter
from mounts.papers.entry import BookletEntry
from mounts.papers.preparation import print_steps
from mounts.papers.values import Check, ListItem, Record, Steps, numbered
from mounts.shape.primitives import Prism
from mounts.shape.recipe import Envelope, Feature, Recipe, Scene
from mounts.write.output import Wish
from tests.schema import build_schema

JOBS = Path(__file__).parents[2] / "profiles" / "jobs"


@dataclass(frozen=True, slots=True, kw_only=True)
class PegJob(Job):
    """A round peg."""

    across: float
    high: float


@dataclass(frozen=True, slots=True)
class PegPlan:
    name: str
    side: str
    across: float
    high: float
    genus: int
    paper: Drawing


def plan_peg(job: PegJob) -> PegPlan:
    drawing = Drawing(job.name, items=(Stroke(circle(job.across), Layer.CUT),))
    return PegPlan(job.name, job.side, job.across, job.high, 0, drawing)


def draw_peg(plan: PegPlan) -> Scene:
    peg = Feature(Ident(Role.BASE), (Prism(circle(plan.across), 0.0, plan.high),))
    return Scene(Recipe(plan.name, (peg,), plan.genus))


def round_peg(job: PegJob, plan: PegPlan) -> tuple[Envelope, ...]:
    return (Envelope(FLOOR, (Prism(circle(2 * plan.across), -3.0, 0.0),)),)


def peg_findings(job: PegJob, plan: PegPlan, part: Part) -> tuple[Finding, ...]:
    return (at_least("wall.least", plan.across, 4.0, "the peg itself"),)


def peg_steps(made: Made[PegJob, PegPlan]) -> tuple[Steps, ...]:
    return numbered((("Make the peg", print_steps(made, f"It stands {made.plan.high:g} high.")),))


def peg_calipers(job: PegJob, plan: PegPlan) -> Iterator[Check]:
    x = plan.across / 2
    yield outside_size(job, "across", "outer jaws", plan.across, ((-x, 0.0, 1.0), (x, 0.0, 1.0)))


REVIEW = Review(
    findings=peg_findings,
    papers=Papers(
        title=lambda job, plan: f"Peg of {plan.across:g}",
        steps=peg_steps,
        hardware=lambda job, plan: (ListItem(1, "wedge", "oak", "peg"),),
        tools=lambda job: ("mallet",),
        calipers=peg_calipers,
        record=lambda job, plan: Record((), ("a hole drilled",), ("Pull it.",), ("The hole.",)),
    ),
)
PEG = Kind(
    job=PegJob,
    name="Peg",
    plan=plan_peg,
    shape=draw_peg,
    surroundings=round_peg,
    axis=lambda plan: Frame((0.0, 0.0, plan.high)),
    cautions=lambda job: ("Mind the mallet.",),
    unread=lambda job: (),
    review=lambda: REVIEW,
    sizes=lambda plan: (NamedSize("across", (plan.across,)),),
)


class PegFile(JobFile):
    """A peg as its file says it."""

    kind: Literal["peg"]
    material: Profile = profile("material")
    printer: Profile = profile("printer")
    make: Literal["print"] = "print"
    across: Length
    high: Length
    label: Label = None
    limits: Limits = Field(default={}, validate_default=True)


def peg_jobs(asked: JobRequest) -> tuple[PegJob, ...]:
    file = asked.file
    if asked.problems or not isinstance(file, PegFile):
        raise asked.refused(())
    return (PegJob(**asked.common(), side="", across=file.across, high=file.high),)


DECLARATION = Declaration(file=PegFile, parts=WORKSHOP, resolve=peg_jobs, kinds=lambda: {("peg", "print"): PEG})
PEG_YAML = "kind: peg\nname: peg\nacross: 10\nhigh: 20\nmaterial: pc-abs\nprinter: bed-250\n"


@pytest.fixture
def file(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    monkeypatch.setitem(KIND_MODULES, "peg", __name__)
    written = tmp_path / "peg.yaml"
    written.write_text(PEG_YAML, "utf-8")
    return written


@pytest.fixture
def job(file: Path) -> PegJob:
    (found,) = load_job(file)
    assert isinstance(found, PegJob)
    return found


def test_its_file_is_listed_checked_and_in_the_schema(file: Path) -> None:
    assert read_kind(file) == "job"
    assert "PegFile" in build_schema()["definitions"]
    file.write_text(PEG_YAML.replace("across: 10", "across: wide\nwidth: 3"), "utf-8")
    with pytest.raises(InputError) as refused:
        load_job(file)
    assert [problem.where for problem in refused.value.problems] == ["across", "width"]
    file.write_text(PEG_YAML.replace("peg\n", "pegs\n", 1), "utf-8")
    with pytest.raises(InputError, match='did you mean "peg"'):
        load_job(file)
    with pytest.raises(KeyError, match="cut"):
        kind_called("peg", "cut")


def test_it_is_made_checked_and_told_in_the_papers(job: PegJob, tmp_path: Path) -> None:
    made = pipeline.make(job)
    assert made.part.volume == pytest.approx(pi * 10**2 / 4 * 20)
    assert (made.report.verdict, made.report.cautions) == (Verdict.PASS, ("Mind the mallet.",))
    chapter = make_chapter(made)
    assert (chapter.what, chapter.tools[-1]) == ("Peg of 10", "mallet")
    assert [item.what for item in chapter.hardware] == ["wedge"]
    assert "It stands 20 high." in chapter.steps[0].steps[0].text
    assert chapter.record.changed == ("a hole drilled",)
    assert [sheet.title for sheet in chapter.sheets][-1] == "Check the print"
    assert booklet("peg", [BookletEntry(chapter, made.report)]).sheets
    report, folder = pipeline.write_made([made], tmp_path, Wish(("stl", "json")))
    assert report.verdict is Verdict.PASS
    assert json.loads((folder / "report.json").read_text("utf-8"))["parts"][0]["cautions"] == ["Mind the mallet."]


def test_one_that_is_too_thin_fails(job: PegJob) -> None:
    (found,) = [one for one in pipeline.make(replace(job, across=3.9)).report.findings if one.code == "wall.least"]
    assert (found.verdict, found.closed_form, found.limit) == (Verdict.FAIL, 3.9, 4.0)


def test_a_job_that_says_a_kind_of_which_it_is_none(job: PegJob) -> None:
    with pytest.raises(TypeError, match="a PegJob is no job of kind ring"):
        pipeline.make(replace(job, kind="ring"))
