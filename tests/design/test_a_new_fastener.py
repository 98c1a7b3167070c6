"""A fastener that nobody else knows is one class: plan, checks and papers ask it, and none asks which it is."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from dataclasses import replace
from inspect import getsource
from pathlib import Path
from textwrap import dedent
from types import ModuleType
from typing import Literal

import pytest
from pydantic import Field, ValidationError

from mounts.checks.ring.fastening.joints import panel_joints
from mounts.checks.ring.findings import panel_findings
from mounts.kinds.ring.base import fixing_errors
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.kind import ring_cautions
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.review import RING
from mounts.kinds.ring.steps import panel_steps
from mounts.load.models import hardware
from mounts.load.models.base import Size
from mounts.load.models.fastener import Fastener, Found, PanelItem, SpeakerItem
from mounts.load.resolve.job import load_job

JOBS = Path(__file__).parents[2] / "profiles" / "jobs"


class PressNut(PanelItem):
    """A nut pressed into the sheet; its collar stands on the face."""

    called = "press nut"
    caution = "Press nuts: keep fingers out of the press."
    told_apart = "{0.thread}, {0.length:g} long"
    set_with = "hand press"
    setting = ("Press {count} nuts in.", "Square to the sheet.")
    staying = "The press nuts stay."
    is_: Literal["press-nut"] = Field(alias="is")
    hole: Size
    collar: Size
    length: Size

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


def test_its_class_in_the_module_is_all_that_a_file_needs(monkeypatch: pytest.MonkeyPatch) -> None:
    """The module with one more class in it takes the item of a file, and finds it among what holds to a panel."""
    source, own = getsource(hardware), dedent(getsource(PressNut))
    copy = ModuleType("mounts.load.models.hardware_with_press_nut")
    monkeypatch.setitem(sys.modules, copy.__name__, copy)
    exec(compile(source.replace("class Screw(Item):", f"{own}\n\nclass Screw(Item):", 1), "copy", "exec"), vars(copy))
    of_file = {"is": "press-nut", "thread": "M5", "hole": 8.5, "collar": 12.0, "length": 9.0}
    family = copy.Hardware.model_validate({"kind": "hardware", "name": "nuts", "items": {"press-m5": of_file}})
    assert family.items["press-m5"].drawer == "M5, 9 long"
    assert [one.__name__ for one in copy.KINDS if one not in hardware.KINDS][-3:] == ["PressNut", "Screw", "Washer"]
    with pytest.raises(ValidationError):
        hardware.Hardware.model_validate({"kind": "hardware", "name": "nuts", "items": {"press-m5": of_file}})


@pytest.mark.parametrize("base", [PanelItem, SpeakerItem])
def test_what_a_fastener_must_say_cannot_be_left_out(base: type[Fastener]) -> None:
    with pytest.raises(TypeError, match="abstract"):
        base.model_validate({"thread": "M5"})
