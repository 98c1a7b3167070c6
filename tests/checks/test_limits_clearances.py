"""Every clearance of a ring just kept and just missed, by one reading moved 0.04 mm across its limit.

The readings at which a limit is met are told by hand from the level demo's heights and diameters, see `level`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import sqrt
from typing import Any

import pytest

from mounts import pipeline
from mounts.checks.assembly import assemble, disagreements, measure_gaps, overlap_volume
from mounts.findings.compare import AGREE
from mounts.findings.gap import Gap
from mounts.findings.report import Verdict
from mounts.geometry.outline import circle
from mounts.kernels import mesh
from mounts.kinds.ring.clearances import STANDS_OFF, speaker_gaps
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.shape import draw_ring
from mounts.kinds.ring.surroundings import surroundings
from mounts.kinds.ring.trim import trim_poses
from mounts.load.models.panel import Bead
from mounts.shape.primitives import Prism
from mounts.shape.recipe import Feature, Recipe
from mounts.write.output import Wish, part_files
from tests.checks.level import (
    CONE,
    FLANGE,
    HEADS,
    MAGNET,
    SURROUND,
    TERMINALS,
    all_round,
    body,
    demo,
    gap_of,
    gaps_of,
    level,
    thing,
    trim,
)
from tests.idents import ident, labels
from tests.kinds.ring.conftest import changed

STEP = 0.02  # mm to either side of the limit


@dataclass(frozen=True)
class Turn:
    """A clearance at its limit.

    Attributes:
        code, one, other: which clearance.
        limit: mm.
        reading: at which it is met by hand.
        job: of a value of that reading.
        slope: of the clearance over the reading.
        bad: the verdict beyond the limit; `good` before it.
    """

    code: str
    one: str
    other: str
    limit: float
    reading: float
    job: Callable[[float], RingJob]
    slope: float = 1.0
    bad: Verdict = Verdict.FAIL
    good: Verdict = Verdict.PASS

    @property
    def name(self) -> str:
        return f"{self.code}, {self.one} to {self.other}, {self.bad}"


def _under(what: str, top: float, across: float = 128.0) -> Turn:
    """What reaches under the trim outside of its opening."""
    return Turn("clear.trim", what, "trim", 3.0, top + 3.0, lambda z: level(panel__in_front__trim=trim(z, across)))


def _grille(what: str, top: float, limit: float) -> Turn:
    return Turn(
        "clear.grille", what, "grille", limit, top + limit, lambda z: level(panel__in_front__grille=all_round(z))
    )


def _glass(what: str, deep: float, limit: float, good: Verdict, bad: Verdict, **more: Any) -> Turn:
    def job(z: float) -> RingJob:
        return level(panel__behind__glass=all_round(z), **more)

    return Turn("clear.glass", what, "glass", limit, deep + limit, job, 1.0, bad, good)


def _behind(what: str, deep: float, at: tuple[float, float], *, moving: bool) -> Turn:
    def job(z: float) -> RingJob:
        return level(panel__behind__things=thing(z, at, (20.0, 20.0), moving=moving))

    limit = 8.0 if moving else 3.0
    return Turn("clear.thing", what, "rail", limit, deep + limit, job)


SHALLOW = {"speaker__depth": 30.0, "speaker__body": body((0.0, 104.0), (30.0, 78.0))}  # the terminals lie deepest
PASSING = {"speaker__front": level().speaker.front.model_copy(update={"height": 12.0})}  # through the trim's opening
GLAZED = level(panel__behind__glass=all_round(55.0))
BEADED = {"panel__face__bead": Bead(inside=126.0, outside=132.0, height=1.2), "gaskets__base": None}

TURNS = [
    _under("flange", FLANGE),
    _under("speaker screws", HEADS),
    _under("surround", SURROUND, 100.0),
    _under("mount", 22.0 + 1.2),  # its hard stops
    _under("screw head A", 6.0 - 0.4 + 1.0 + 2.75),  # on a washer 1.0 thick on the base's spot-face; ISO 7380 M5
    _grille("cone at full travel", CONE, 4.0),
    _grille("surround", SURROUND, 3.0),
    _grille("flange", FLANGE, 3.0),
    _grille("speaker screws", HEADS, 3.0),
    _grille("mount", 22.0 + 1.2, 3.0),
    _grille("screw head A", 6.0 - 0.4 + 1.0 + 2.75, 3.0),
    _glass("body", MAGNET, 10.0, Verdict.PASS, Verdict.WARN),
    _glass("body", MAGNET, 6.0, Verdict.WARN, Verdict.FAIL),
    _glass("terminals", TERMINALS, 10.0, Verdict.PASS, Verdict.WARN, **SHALLOW),
    _glass("terminals", TERMINALS, 6.0, Verdict.WARN, Verdict.FAIL, **SHALLOW),
    _behind("body", MAGNET, (0.0, 0.0), moving=True),
    _behind("body", MAGNET, (0.0, 0.0), moving=False),
    _behind("terminals", TERMINALS, (0.0, -45.0), moving=True),
    _behind("terminals", TERMINALS, (0.0, -45.0), moving=False),
    Turn(  # a straight body in an opening of 120
        "clear.body-opening",
        "body",
        "opening",
        2.0,
        116.0,
        lambda d: level(speaker__body=body((0.0, d), (56.0, d))),
        -0.5,
    ),
    Turn(  # the bore is 1 wider than the cutout of 116
        "clear.body-bore",
        "body",
        "bore, near the seat",
        0.5,
        116.0,
        lambda d: level(speaker__body=body((0.0, d), (56.0, d))),
        -0.5,
    ),
    Turn(  # as wide as at the seat until it is past the pockets
        "clear.body-bore",
        "body",
        "bore, deeper",
        2.0,
        113.0,
        lambda d: level(speaker__body=body((0, d), (56, d))),
        -0.5,
    ),
    Turn(  # plug corners 15 aside of the reach, 4 from the edge 60 out
        "clear.terminals",
        "terminals",
        "opening",
        4.0,
        sqrt(56.0**2 - 15.0**2),
        lambda r: level(speaker__terminals=(level().speaker.terminals[0].model_copy(update={"reach": r}),)),
        -sqrt(56.0**2 - 15.0**2) / 56.0,
    ),
    Turn(
        "clear.hardware",
        "mount",
        "flange of hardware A",
        STANDS_OFF,
        STANDS_OFF,
        lambda deep: level(limits__recess_deep=deep),
    ),
    Turn(
        "clear.bead",
        "mount",
        "bead",
        STANDS_OFF,
        STANDS_OFF,
        lambda deep: level(limits__recess_deep=deep, **BEADED),
    ),
    Turn(
        "way.speaker",
        "speaker on its way in",
        "bore",
        0.5,
        116.0,
        lambda d: level(speaker__body=body((0.0, 100.0), (36.0, 100.0), (36.0, d), (56.0, d))),
        -0.5,
    ),
    Turn(  # a surround 105 across that stands up into the trim's opening
        "way.trim",
        "surround",
        "trim on its way in",
        0.5,
        106.0,
        lambda d: level(panel__in_front__trim=trim(31.0, d), **PASSING),
        0.5,
    ),
]


@pytest.mark.parametrize("turn", TURNS, ids=lambda turn: turn.name)
def test_a_clearance_turns_at_its_limit(turn: Turn) -> None:
    for way, verdict in ((1, turn.good), (-1, turn.bad)):
        off = way * STEP if turn.slope > 0 else -way * STEP
        found = gap_of(turn.job(turn.reading + off), turn.code, turn.one, turn.other)
        assert found.gap == pytest.approx(turn.limit + turn.slope * off, abs=1e-3)
        assert found.verdict is verdict
        told = found.finding("do something")
        assert (told.code, told.verdict) == (turn.code, verdict)
        assert told.limit == (turn.limit if verdict is not Verdict.WARN else found.wanted)


def test_every_clearance_that_a_ring_can_have_is_turned_above() -> None:
    """The demo with all that was read, and a bead: whatever comes near what, one of its kind is above."""
    job = changed(level(**BEADED, **PASSING), panel__behind=demo().panel.behind, panel__in_front=demo().panel.in_front)
    has = {(gap.code, gap.between[0].label.rstrip("ABCD")) for gap in gaps_of(job)}
    assert has == {(turn.code, turn.one.rstrip("ABCD")) for turn in TURNS}


@pytest.mark.parametrize(
    ("off", "verdict", "name"),
    [(STEP, Verdict.WARN, "left.stl"), (-STEP, Verdict.FAIL, "left.not-ok.stl")],
)
def test_glass_at_six_turns_the_whole_part(off: float, verdict: Verdict, name: str) -> None:
    """Through the pipeline, by the B-rep kernel: closed form and mesh side by side, and the files' names."""
    job = level(panel__behind__glass=all_round(MAGNET + 6.0 + off))
    made = pipeline.make(job)
    (found,) = [f for f in made.report.findings if f.code == "clear.glass" and labels(f.between) == ("body", "glass")]
    assert found.verdict is verdict
    assert found.closed_form == pytest.approx(6.0 + off, abs=1e-9)
    assert found.measured == pytest.approx(6.0 + off, abs=1e-3)
    assert found.change.startswith(("height: ", "tilt: ")) and found.change in found.advice
    others = [f.code for f in made.report.findings if f.verdict is Verdict.FAIL and f is not found]
    assert others == []
    assert list(part_files(made, Wish(("stl",)))) == [name]


@pytest.mark.parametrize(("off", "count"), [(AGREE - 0.01, 0), (AGREE + 0.01, 1)])
@pytest.mark.parametrize("way", [1, -1])
def test_plan_and_mesh_may_differ_by_a_twentieth(off: float, count: int, way: int) -> None:
    gap = gap_of(GLAZED, "clear.glass", "body", "glass")
    found = disagreements([replace(gap, measured=gap.gap + way * off)])
    assert [one.code for one in found] == ["clear.disagreement"] * count
    assert all(one.verdict is Verdict.FAIL for one in found)


@pytest.mark.parametrize(("planned", "count"), [(AGREE - 0.01, 0), (AGREE + 0.01, 1)])
def test_an_overlap_that_the_plan_does_not_know_of_is_a_disagreement(planned: float, count: int) -> None:
    gap = replace(gap_of(GLAZED, "clear.glass", "body", "glass"), gap=planned, overlap=5.0)
    assert len(disagreements([gap])) == count


@pytest.mark.parametrize("taken", [3.0, 0.7])
def test_a_sheet_that_was_not_measured_is_one_sheet_to_plan_and_mesh(taken: float) -> None:
    """The tilted demo, whose terminals come nearest to the sheet's rear edge."""
    job = changed(demo(), panel__face__thickness=None, limits__sheet_unread=taken)
    plan = plan_ring(job)
    assert plan == plan_ring(changed(job, panel__face__thickness=taken))
    gaps = [gap for gap in speaker_gaps(job, plan.seat) if gap.between[1].label == "opening"]
    found = measure_gaps(assemble(mesh.build(draw_ring(plan).recipe, 32), surroundings(job, plan)), gaps)
    assert [gap.between[0].label for gap in found] == ["body", "terminals"]
    assert [gap.measured for gap in found] == pytest.approx([gap.gap for gap in gaps], abs=0.01)
    assert disagreements(found) == ()


@pytest.mark.parametrize("way", ["slid from the top", "hooked at the bottom", "straight"])
def test_a_trim_on_its_way_takes_what_all_its_places_take_together(way: str) -> None:
    """Against their union at 128 chords, which takes seconds and more at 1024: volume and least distance."""
    readings = {clock: height - 20.0 for clock, height in demo().panel.in_front.trim.at_clock.items()}
    low = demo().panel.in_front.trim.model_copy(update={"at_clock": readings, "goes_on": way})
    job = changed(demo(), panel__in_front__trim=low)
    plan = plan_ring(job)
    (drawn,) = [one for one in surroundings(job, plan) if one.ident.label == "trim on its way in"]
    plate = drawn.bodies[0]
    assert isinstance(plate, Prism)
    poses = trim_poses(job)
    seldom = (poses[0], poses[len(poses) // 2], poses[-1]) if way.startswith("slid") else poses
    whole = mesh.union([replace(plate, frame=pose) for pose in seldom], 128)
    assert len(drawn.bodies) == (2 if way.startswith("slid") else len(poses))
    flange = Prism(plan.seat.flange, plan.seat.lift, plan.seat.lift + 4.0, plan.seat.frame)
    rod = Prism(circle(4.0), 0.0, 4.0)  # in the bore, where nothing passes
    for one in (flange, rod):
        alone = mesh.solid(one, 256)
        assembly = assemble(mesh.build(Recipe("thing", (Feature(ident("thing"), (one,)),), 0), 256), [drawn])
        shared = (alone ^ whole).volume()
        assert overlap_volume(assembly, ident("mount"), drawn.ident) == pytest.approx(shared, rel=1e-2)
        gap = Gap("way.trim", (ident("mount"), drawn.ident), 60.0, 0.5, 0.5, "", (0.0, 0.0, 0.0))
        (found,) = measure_gaps(assembly, [gap if not shared else replace(gap, gap=-1.0)])
        assert found.measured == (None if shared else pytest.approx(alone.min_gap(whole, 62.0), abs=0.05))
