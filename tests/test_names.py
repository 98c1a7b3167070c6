"""What a person calls things decides nothing: odd names give the findings, pages, papers and matches of plain ones."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from mounts import pipeline
from mounts.checks.board.findings import board_findings
from mounts.checks.cup.findings import cup_findings
from mounts.checks.ring.findings import ring_findings
from mounts.design.drawing import Area, Callout, Drawing, Item
from mounts.findings.report import Finding, PartReport, in_order
from mounts.geometry.registration import Motion
from mounts.identity import FIXED, Ident, Role, distinct, read_ident, thing_idents
from mounts.kernels import mesh
from mounts.load.catalogue.panel_summary import PanelSummary, as_tree, from_tree
from mounts.load.models.pins import Standing
from mounts.load.models.surroundings import Thing
from mounts.load.resolve.job import load_job
from mounts.made import Made
from mounts.matching.differences import differences
from mounts.papers.section import section_view
from mounts.write.page.cuts import Neighbourhood
from mounts.write.page.switches import list_switches
from tests.boards import BOX, boards
from tests.cups import cup
from tests.kinds.ring.conftest import changed, jobs_of

OURS = list(dict.fromkeys([*(role.words for role in Role), *(one.label for one in FIXED), "tool A", "driver 1"]))
ODD = [*OURS, "bracket", "bracket", "bracket 1", "-", " ", "screw head A", "on its way in", "山 <b>"]
PLAIN = [f"plain {number}" for number in range(len(ODD))]


def ring_made(names: Sequence[str]) -> Made:
    """The demo woofer's ring among things of some names, one in thirty of them too near."""
    places = [(62.0 if k % 30 == 3 else 110.0, 2.4 * k, 20.0 + k / 4) for k in range(len(names))]
    things = [
        Thing.model_validate({"what": name, "at": [r * np.cos(turn), r * np.sin(turn)], "size": 8, "depth": deep})
        for name, (r, turn, deep) in zip(names, places, strict=True)
    ]
    job = changed(jobs_of("linnet-woofer")[0], panel__behind__things=tuple(things), label=None)
    return made_of(job, ring_findings)


def cup_made(folder: Path, names: Sequence[str]) -> Made:
    """A cup beside ribs of some names."""
    turns = np.linspace(0, 2 * np.pi, len(names), endpoint=False)
    standing = [
        Standing.model_validate({"what": name, "at": [round(46 * np.cos(t), 1), round(46 * np.sin(t), 1)], "size": 3,
                                 "height": 4})
        for name, t in zip(names, turns, strict=True)
    ]  # fmt: skip
    job = cup(folder)
    return made_of(replace(job, panel=job.panel.model_copy(update={"standing": tuple(standing)})), cup_findings)


def board_made(folder: Path, one: str, other: str) -> Made:
    """A board with two devices of some names."""
    devices = {one: {"device": BOX, "at": [0, 40]}, other: {"device": BOX, "at": [0, -40]}}
    (job,) = boards(folder, outline={"rectangle": [180, 170, 10]}, devices=devices)
    return made_of(job, board_findings)


def made_of(job: Any, findings: Callable[..., tuple[Finding, ...]]) -> Made:
    """A part as the pipeline makes it, by the mesh kernel alone."""
    planned = pipeline.plan(job)
    scene = planned.draw()
    part = mesh.build(scene.recipe, 96)
    report = PartReport(job.part, in_order(findings(job, planned.plan, part)))
    return Made(planned.kind, job, planned.plan, scene, part, report)


def told(made: Made) -> list[tuple[Any, ...]]:
    """What the findings say, without a word of a person's."""
    return [
        (f.code, f.verdict, f.measured, f.closed_form, f.limit, f.unit, f.at, f.margin_sd, bool(f.advice), f.between)
        for f in made.report.findings
    ]


@pytest.fixture(scope="module")
def rings() -> tuple[Made, Made]:
    return ring_made(PLAIN), ring_made(ODD)


@pytest.fixture(scope="module")
def cup_pair(tmp_path_factory: pytest.TempPathFactory) -> tuple[Made, Made]:
    plain, odd = (cup_made(tmp_path_factory.mktemp("cup"), names) for names in (PLAIN, ODD))
    return plain, odd


@pytest.fixture(params=["ring", "cup"])
def pair(request: pytest.FixtureRequest) -> tuple[Made, Made]:
    found: tuple[Made, Made] = request.getfixturevalue({"ring": "rings", "cup": "cup_pair"}[request.param])
    return found


def test_findings_are_the_same(pair: tuple[Made, Made]) -> None:
    plain, odd = pair
    assert told(odd) == told(plain)
    things = [f.between[1] for f in odd.report.findings if f.between and f.between[1].role is Role.THING]
    assert len({one.id for one in things}) == len(ODD)
    assert {one.label for one in things} == {one.label for one in thing_idents(ODD)}


def test_a_page_shows_the_same_under_the_same_switches_and_cuts(pair: tuple[Made, Made]) -> None:
    seen = []
    for made in pair:
        shown = list_switches(made.part, made.scene.envelopes)
        shapes = [shape for switch in shown for shape in switch.shapes]
        assert all(len(switch.shapes) == 1 for switch in shown if switch.key == "things")
        around = Neighbourhood.of(made.part, shapes, made.scene.axis)
        cuts = [around.cut(f) for f in made.report.findings if f.at is not None]
        seen.append(([(s.key, s.on, [shape.ident for shape in s.shapes]) for s in shown], cuts))
    assert seen[0] == seen[1]


def unnamed(drawing: Drawing) -> list[Item]:
    """Its items without the words that hold the things' names."""
    bare = {Area: {"name": ""}, Callout: {"text": ""}}
    return [replace(item, **bare.get(type(item), {})) for item in drawing.items]


def test_a_section_draws_the_same(pair: tuple[Made, Made]) -> None:
    plain, odd = (section_view(made) for made in pair)
    assert (odd.box, unnamed(odd)) == (plain.box, unnamed(plain))


@pytest.mark.parametrize(("one", "other"), [*pairwise([*OURS[::12], "foot 1", "hole", "edge"]), ("-", "device")])
def test_devices_on_a_board(tmp_path: Path, one: str, other: str) -> None:
    plain = board_made(tmp_path, "plain-a", "plain-b")
    odd = board_made(tmp_path, one, other)
    assert [row[:9] for row in told(odd)] == [row[:9] for row in told(plain)]
    assert [(s.key, len(s.shapes)) for s in list_switches(odd.part, odd.scene.envelopes)] == [
        (s.key, len(s.shapes)) for s in list_switches(plain.part, plain.scene.envelopes)
    ]
    drawn, usual = (unnamed(section_view(made)) for made in (odd, plain))
    assert [one for one in drawn if isinstance(one, Area)] == [one for one in usual if isinstance(one, Area)]


def with_things(*things: tuple[str, tuple[float, float], float, float]) -> PanelSummary:
    """A panel in short, as the index keeps it, with some things behind it."""
    bare: dict[str, Any] = dict.fromkeys(("name", "about", "side", "other_side", "place", "by", "on", "read_with"), "")
    bare |= {"points": {}, "sizes": {}, "heights": {}, "depths": {}, "fronts": {}, "told": {}}
    return from_tree(as_tree(PanelSummary(**bare, pins=False, sd=0.25, spread=None, opening=None, things=things)))


def test_two_things_of_one_name_are_matched_each_by_where_it_lies() -> None:
    """The things in another order, one of them deeper, the panel itself laid elsewhere."""
    here = with_things(("bracket 1", (50.0, 0.0), 10.0, 40.0), ("bracket 2", (-50.0, 0.0), 10.0, 60.0))
    there = with_things(("glass 2", (-52.0, 4.0), 10.0, 65.0), ("bracket", (50.0, 3.0), 10.0, 40.0))
    moved = Motion(shift=(0.0, -3.0))
    (one,) = [d for d in differences(there, here, moved, ()) if d.what.startswith("depth to")]
    assert (one.what, one.here, one.there, one.worse) == ("depth to bracket 2", 60.0, 65.0, True)
    alone = with_things(("bracket 1", (50.0, 0.0), 10.0, 40.0))
    lost = [d for d in differences(here, alone, Motion(), ()) if d.what.startswith("depth to")]
    assert [(d.what, d.here, d.there) for d in lost] == [("depth to bracket 2", None, 60.0)]


def test_labels_that_repeat_are_numbered() -> None:
    assert distinct(["a", "b", "a", "a 1", "a"]) == ("a 2", "b", "a 3", "a 1", "a 4")
    assert distinct(["glass", "rail", "glass"], ["glass"]) == ("glass 2", "rail", "glass 3")
    labels = [one.label for one in thing_idents(ODD)]
    assert len(set(labels)) == len(ODD)
    assert not set(labels) & {one.label for one in FIXED}
    assert all(labels)


def test_an_identity_is_its_role_and_name_whatever_its_label() -> None:
    one, other = Ident(Role.THING, "1", "glass"), Ident(Role.THING, "1", "rail")
    assert one == other
    assert len({one, other, Ident(Role.GLASS)}) == 2
    assert (one.id, f"{other}", f"{Ident(Role.HOLE, 'A')}") == ("thing.1", "rail", "hole A")
    assert read_ident(one.id, "glass") == one
    assert all(read_ident(each.id, each.label) == each for each in FIXED)


def test_things_of_one_name_load(tmp_path: Path) -> None:
    """From a file, two brackets and an empty-looking one."""
    names = ["bracket", "bracket", " ", "-", "body"]
    things = [{"what": name, "at": [60, 10 * k], "size": 5, "depth": 30} for k, name in enumerate(names)]
    at = {"A": [58, 53], "B": [58, -54], "C": [-58, -53], "D": [-58, 54]}
    panel = {"side": "left", "opening": {"round": 120}, "fixings": {"hole": 7, "at": at}, "behind": {"things": things}}
    text = f"based_on: linnet-woofer\nname: odd\nkind: ring\nsides: [left]\npanel: {panel}\n"
    path = tmp_path / "odd.yaml"
    path.write_text(text, "utf-8")
    job = load_job(path)[0]
    assert [one.label for one in thing_idents([t.what for t in job.panel.behind.things])] == [
        "bracket 1", "bracket 2", "thing", "-", "body 2"
    ]  # fmt: skip
