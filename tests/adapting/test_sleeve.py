"""A reducing sleeve into an old cup: closed forms of its place and wall, and by how much it does not go."""

from __future__ import annotations

import shutil
from dataclasses import replace
from math import pi
from pathlib import Path

import pytest

from mounts.adapting.draft import Draft, NoSleeve, Sleeve
from mounts.findings.report import Finding, Verdict
from mounts.kinds.cup.sleeve import sleeve_for
from mounts.kinds.cup.sleeve_findings import BOND, _glued
from mounts.kinds.spacer.papers import record
from mounts.load.resolve.job import job_document, load_from
from mounts.load.resolve.library import Library
from mounts.pipeline import make

PROFILES = Path(__file__).parents[2] / "profiles"
OLD = "linnet-dash-tweeter-press"


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    """A library with the demo tweeter of 20 mm as the old one."""
    return Library(shutil.copytree(PROFILES, tmp_path_factory.mktemp("shop") / "profiles"))


@pytest.fixture(scope="module")
def cup(shop):
    """One side of the old cup."""
    return make(load_from(shop, shop.root / "jobs" / f"{OLD}.yaml")[0])


def sleeve(shop, cup, **changes):
    """The sleeve for a tweeter that is the 19 mm one with some changes to its text."""
    text = (PROFILES / "speakers" / "demo-tweeter-19.yaml").read_text("utf-8").replace("demo-tweeter-19", "small")
    for old, new in changes.values():
        assert old in text
        text = text.replace(old, new)
    (shop.root / "speakers" / "small.yaml").write_text(text, "utf-8")
    file = shop.root / "jobs" / "new.yaml"
    job = load_from(Library(shop.root), file, f"kind: cup\nname: new\nbased_on: {OLD}\nspeaker: small\n")[0]
    old = job_document(shop.root / "jobs" / f"{OLD}.yaml", shop)
    return sleeve_for([cup], [job], Draft(file.with_name("new-sleeve.yaml"), ""), old, shop)


def body(diameter):
    return (
        "{depth: 0, across: 23.6}, {depth: 11, across: 23.6}",
        f"{{depth: 0, across: {diameter}}}, {{depth: 11, across: {diameter}}}",
    )


def test_the_sleeve_takes_the_old_tweeters_place(shop, cup):
    """Body 27 and flange 34 are the old tweeter's; press 0.1 over it and slide 0.2 within, print guides.

    Those are for a printer that errs by 0.1; they scale with its error.
    """
    found = sleeve(shop, cup)
    assert isinstance(found, Sleeve)
    plan = found.made.plan
    growth, scale = cup.job.printer.growth("pc-abs"), cup.job.printer.error / 0.1
    assert 2 * plan.outside.wall.box[2] == pytest.approx(27.0 + 0.1 * scale)
    assert 2 * plan.bore.outline.box[2] == pytest.approx(23.6 + 0.2 * scale + growth)
    assert 2 * plan.lip.levels[0][1].box[2] == pytest.approx(34.0)
    assert -plan.outside.back == pytest.approx(cup.plan.seat.grip)
    assert found.count == 1
    assert all(one.verdict is not Verdict.FAIL for one in found.made.report.findings)
    assert (found.made.job.device.name, found.made.job.port.name) == ("small", f"the cup of {cup.job.name}")
    assert not any("fuse" in text or "pull at plug" in text for text in found.made.report.cautions)
    work = str(found.made.kind.review().papers.steps(found.made))
    out = f"Lift the {cup.job.speaker.name} out through its opening"
    steps = (out, "File nothing on the cup", "Sleeve in by hand", "To take it out again")
    places = [work.index(words) for words in steps]
    assert places == sorted(places)
    kept = record(found.made.job, found.made.plan)
    assert "edge of the panel's opening" not in work
    assert kept.changed == (f"the {cup.job.speaker.name} taken out of its cup; the cup is as it was",)
    assert kept.out == ("Tweeter first" + work.partition("again: tweeter first")[2].partition("'")[0],)
    again = load_from(shop, found.draft.file, found.draft.text)[0]
    assert make(again).part.volume == pytest.approx(found.made.part.volume)


def test_its_lip_is_as_thick_as_the_grille_lets_it_be(shop, cup):
    """The old flange is 2.0 thick; on it the dome would be 3.62 before the grille, and 4 is the limit."""
    found = sleeve(shop, cup)
    lip = found.made.plan.lip.thickness
    gaps = {one.what: one for one in found.made.report.findings if one.code == "clear.grille"}
    dome = gaps["left: dome at full travel to grille"]
    assert dome.verdict is Verdict.PASS
    assert lip < 2.0
    assert dome.closed_form - 4.0 < 0.1  # a tenth more would not do
    foam = next(one for one in found.made.report.findings if one.code == "fit.lip")
    assert foam.closed_form == pytest.approx(2.0 - lip)
    flat = sleeve(shop, cup, front=("height: 1.8, travel: 0.4", "height: 1.2, travel: 0.1"))
    assert flat.made.plan.lip.thickness == pytest.approx(2.0)
    assert all(one.code != "fit.lip" for one in flat.made.report.findings)


def test_the_slam_that_its_ribs_must_hold_is_the_tweeters_own(shop, cup):
    """0.032 kg × 500 m/s² × 1.77 (ISO 16750-3 shock, half-sine on an undamped part)."""
    found = sleeve(shop, cup)
    pulled = next(one for one in found.made.report.findings if one.code == "hold.pull.device")
    assert pulled.limit == pytest.approx(0.032 * 500 * 1.77, abs=0.05)
    keep = next(one for one in found.made.report.findings if one.code == "press.keep")
    own = found.made.part.volume * 1e-9 * found.made.job.material.density
    assert keep.limit == pytest.approx((0.032 + own) * 500 * 1.77)
    glued = pulled.closed_form < pulled.limit
    assert pulled.verdict is (Verdict.DO if glued else Verdict.PASS)
    assert ("glue the tweeter into the sleeve" in pulled.advice) is glued


@pytest.mark.parametrize(("off", "verdict"), [(-0.1, Verdict.DO), (0.1, Verdict.FAIL)])
def test_glue_is_trusted_as_far_as_a_bead_bears_on_half_the_joint(shop, cup, off, verdict):
    """Half of π d h of joint bears 20 psi (ASTM C1401, from memory); a tenth of a newton more fails, glue or not."""
    made = sleeve(shop, cup).made
    job = made.job
    area = pi * job.device.body.diameter_ * min(job.port.depth, job.device.length) / 2
    pull = Finding("hold.pull.device", Verdict.FAIL, "pulled", closed_form=2.0, limit=BOND * area + off, unit="N")
    told = _glued(pull, made)
    assert told.verdict is verdict
    assert told.advice.startswith("glue the tweeter" if verdict is Verdict.DO else "take a new cup")


def test_a_wall_that_just_prints_and_one_that_just_does_not(shop, cup):
    """Wall = (27 + press − body − slide − growth) / 2, and two lines of 0.4 are 0.8."""
    growth, scale = cup.job.printer.growth("pc-abs"), cup.job.printer.error / 0.1
    most = 27 + 0.1 * scale - 0.2 * scale - growth - 1.6
    cutout = ("cutout: 24", f"cutout: {most:.2f}")
    fits = sleeve(shop, cup, body=body(round(most - 0.11, 2)), cutout=cutout)
    assert isinstance(fits, Sleeve)
    thick = sleeve(shop, cup, body=body(round(most + 0.2, 2)), cutout=("cutout: 24", f"cutout: {most + 0.5:.2f}"))
    assert isinstance(thick, NoSleeve)
    assert thick.short == pytest.approx(0.1, abs=0.006)
    assert thick.why.endswith("needs 0.8, two lines of the nozzle: 0.10 too thin")


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        (
            {"body": body(27), "cutout": ("cutout: 24", "cutout: 27.5"), "flange": ("29", "34")},
            "27 across and the old cup holds 27",
        ),
        (
            {"flange": ("diameter: 29", "diameter: 33.4")},
            "the flange of small is 33.4 across and the old lugs or lip leave 33.5: 0.3 too large",
        ),
        (
            {"body": ("{depth: 11, across: 23.6}", "{depth: 2, across: 20}, {depth: 11, across: 20}")},
            "ribs need 3",
        ),
    ],
)
def test_what_does_not_go_into_the_old_cup_is_told(shop, cup, changes, why):
    found = sleeve(shop, cup, **changes)
    assert isinstance(found, NoSleeve)
    assert why in found.why
    assert found.short is None


def test_the_sleeve_is_one_ring_with_a_lip(shop, cup):
    """Volume of lip and sleeve by formula, less edges and plus ribs: within a tenth."""
    found = sleeve(shop, cup)
    plan = found.made.plan
    bore, out, back = 2 * plan.bore.outline.box[2], 2 * plan.outside.wall.box[2], -plan.outside.back
    volume = pi / 4 * ((34**2 - bore**2) * plan.lip.thickness + (out**2 - bore**2) * back)
    assert found.made.part.volume == pytest.approx(volume, rel=0.1)


def test_a_sleeve_goes_in_through_the_grilles_opening_or_not_at_all(shop, cup):
    """Lip 34 along the old tweeter's own way: what it leaves is what the old flange left, 1.54 to the opening of 40."""
    found = sleeve(shop, cup)
    way = next(one for one in found.made.report.findings if one.code == "way.tweeter")
    assert way.closed_form == pytest.approx(1.54, abs=0.01)
    assert way.measured == pytest.approx(way.closed_form, abs=0.02)
    assert way.verdict is Verdict.PASS
    shut = sleeve(shop, replace(cup, plan=replace(cup.plan, way="cup")))
    assert isinstance(shut, NoSleeve)
    assert "through the opening of a grille that comes off" in shut.why
