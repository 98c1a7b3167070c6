"""A fastener that nobody else knows is one class: plan, checks and papers ask it, and none asks which it is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Literal

import pytest
from pydantic import Field

from mounts.checks.fastening.joints import panel_joints
from mounts.checks.panel import panel_findings
from mounts.design.fixings import fixing_errors
from mounts.kinds.ring.cautions import ring_cautions
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.review import RING
from mounts.kinds.ring.steps import panel_steps
from mounts.load.job import load_job
from mounts.load.models.base import Size
from mounts.load.models.hardware import Found, PanelItem
from mounts.load.models.resolved import RingJob

JOBS = Path(__file__).parents[2] / "profiles" / "jobs"


class PressNut(PanelItem):
    """A nut pressed into the sheet; its collar stands on the face."""

    called = "press nut"
    caution = "Press nuts: keep fingers out of the press."
    is_: Literal["press-nut"] = Field(alias="is")
    hole: Size
    collar: Size
    length: Size

    @property
    def drawer(self) -> str:
        return f"{self.thread}, {self.length:g} long"

    @property
    def tool(self) -> str:
        return "hand press"

    @property
    def needs(self) -> float:
        return self.hole

    @property
    def proud(self) -> tuple[float, float]:
        return self.collar, 0.6

    def behind(self, sheet: float | None) -> Found:
        return Found(0.5, self.nominal, self.length, "the press nut's drawing")

    def play(self, hole: float) -> float:
        return 0.05

    def set_in_panel(self, count: int) -> tuple[str, str]:
        return f"Press {count} nuts in.", "Square to the sheet."

    def stays(self) -> str:
        return "The press nuts stay."


@pytest.fixture(scope="module")
def job() -> RingJob:
    given: Mapping[str, object] = {
        "is": "press-nut",
        "name": "press-m5",
        "thread": "M5",
        "hole": 8.5,
        "collar": 12.0,
        "length": 9.0,
    }
    known = load_job(JOBS / "linnet-woofer.yaml")[0]
    assert isinstance(known, RingJob)
    return replace(known, fix_to_panel=replace(known.fix_to_panel, hardware=PressNut.model_validate(given)))


def test_the_plan_makes_room_for_its_collar(job: RingJob) -> None:
    recess = plan_ring(job).fixings[0].recess
    assert recess is not None
    assert recess.diameter > 12.0 and recess.depth == pytest.approx(0.6 + 0.2, abs=0.5)
    assert set(fixing_errors(job).plays) == {0.05}


def test_checks_take_its_hole_and_its_thread(job: RingJob) -> None:
    codes = {one.code: one for one in panel_findings(job)}
    assert codes["panel.hole"].limit == 8.5
    plan = plan_ring(job)
    held = panel_joints(job, plan)
    assert [(one.joint.engages, one.joint.thread, one.holds) for one in held] == [
        (5.0, 9.0, "the press nut's drawing")
    ] * len(plan.fixings)


def test_papers_say_what_it_says(job: RingJob) -> None:
    plan = plan_ring(job)
    bought = next(iter(RING.papers.hardware(job, plan)))
    assert (bought.what, bought.size, bought.key) == ("press nut", "M5, 9 long", "press-m5")
    assert "hand press" in RING.papers.tools(job)
    assert ("Press 4 nuts in.", "Square to the sheet.") in [(step.text, step.note) for step in panel_steps(job)]
    record = RING.papers.record(job, plan)
    assert "press-m5 (M5) set at A, B, C and D" in record.changed
    assert record.left[0] == "The press nuts stay."
    assert "Press nuts: keep fingers out of the press." in ring_cautions(job)
