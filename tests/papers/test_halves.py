"""The work on a ring in two: told once, with half a; whoever holds half b's sheet finds where to go on."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from mounts.findings.report import PartReport
from mounts.kernels import mesh
from mounts.kinds.kind import kind_of, parts
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.kind import ring_unread
from mounts.kinds.ring.steps import ring_steps
from mounts.load.resolve.job import load_job
from mounts.made import Made
from mounts.papers.booklet import booklet
from mounts.papers.hardware import hardware, tools
from mounts.papers.values import PaperSheet, Steps
from tests.papers.conftest import JOBS, entries


@cache
def halves() -> tuple[Made, Made]:
    """Half a and half b, by the mesh kernel, without their checks."""
    one, two = (_made(job) for job in parts(load_job(JOBS / "linnet-tailgate-halves.yaml")))
    return one, two


def _made(job: RingJob) -> Made:
    kind = kind_of(job)
    plan = kind.plan(job)
    scene = kind.shape(plan)
    return Made(kind, job, plan, scene, mesh.build(scene.recipe, 64), PartReport(job.part, (), ring_unread(job)))


def numbered(made: Made) -> dict[str, dict[int, str]]:
    """The text of every step by its number, under its title."""
    return {one.title: {one.first + k: step.text for k, step in enumerate(one.steps)} for one in ring_steps(made)}


def test_half_a_has_all_the_work_in_its_order():
    told = numbered(halves()[0])
    assert list(told) == [
        "Before you drill or print",
        "Make half a",
        "Screw the halves together",
        "Prepare the panel",
        "Fit it",
    ]
    numbers = [number for steps in told.values() for number in steps]
    assert numbers == list(range(1, len(numbers) + 1))
    join = list(told["Screw the halves together"].values())
    order = [
        "printed by its own sheet",
        "4 inserts M3 into half a's tongues",
        "dry",
        "sealant",
        "only the joined ring shows",
        "6 inserts M5",
        "gasket",
    ]
    assert [word in step for word, step in zip(order, join, strict=True)] == [True] * 7
    assert "2 screws M3 × 16 and 2 screws M3 × 12, hexagon key 2: by hand" in join[3]
    assert {screw.length for screw in halves()[0].plan.split.screws} == {12.0, 16.0}


def test_half_b_points_to_the_numbers_that_half_a_has():
    told, whole = numbered(halves()[1]), numbered(halves()[0])
    assert list(told) == ["Before you print", "Make half b", "Then"]
    last = max(whole["Before you drill or print"])
    assert list(told["Before you print"].values()) == [
        f"Steps 1 to {last} of half a's sheet come first: they are done once for both."
    ]
    first = min(whole["Screw the halves together"])
    (on,) = told["Then"].values()
    assert on.startswith(f"Go on with half a's sheet, “Screw the halves together”, from step {first}:")
    text = " ".join(told["Make half b"].values())
    assert "Support both tongues from the bed, and nothing else." in text
    assert "No supports" not in text
    assert "No supports" in " ".join(whole["Make half a"].values())


def test_both_sides_of_a_half_share_a_sheet():
    one, two = halves()
    right = [replace(made, job=replace(made.job, side="right")) for made in halves()]
    shown = [sheet for sheet in booklet("x", entries(one, two, *right)).sheets if isinstance(sheet, PaperSheet)]
    sheets = [sheet for sheet in shown if sheet.title == "The work, in order"]
    boxes = [{block.boxes for block in sheet.blocks if isinstance(block, Steps)} for sheet in sheets]
    assert boxes == [{("left.a", "right.a")}, {("left.b", "right.b")}]
    assert [sheet.part for sheet in sheets] == [
        "LEFT.A, RIGHT.A · linnet-tailgate-halves",
        "LEFT.B, RIGHT.B · linnet-tailgate-halves",
    ]


def test_what_the_steps_use_is_on_the_bench():
    bought = {item.use: item for item in hardware(halves()[0])}
    assert bought["between the halves"].what == "neutral-curing sealant"
    assert hardware(halves()[1]) == ()
    found = tools(halves()[0])
    assert "a flat plate as large as the ring, to screw its halves together on" in found
    assert "hexagon key 2" in found
    assert any("setting tip for M3 inserts" in tool for tool in found)
