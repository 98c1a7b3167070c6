"""What a cup's report says: each check just passes and just fails, with its limit."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from mounts import pipeline
from mounts.checks.cup.findings import cup_findings, cup_readback, load_findings, stake_findings
from mounts.checks.cup.press import press_findings
from mounts.findings.report import Verdict
from mounts.kernels import mesh
from mounts.kinds.cup.kind import cup_cautions, cup_unread
from mounts.kinds.cup.plan import plan_cup
from mounts.kinds.cup.shape import draw_cup
from mounts.load.models.surroundings import Nearby
from tests.cups import FLANGE, cup
from tests.idents import ident, labels

PIN = "panel__pins__"


def made(tmp_path, **changes):
    job = cup(tmp_path, **changes)
    plan = plan_cup(job)
    return job, plan, mesh.build(draw_cup(plan).recipe, 128)


def by_code(findings, code):
    return [finding for finding in findings if finding.code == code]


def one(findings, code, words=""):
    (found,) = [finding for finding in by_code(findings, code) if words in finding.what]
    return found


@pytest.fixture(scope="module")
def usual(tmp_path_factory):
    job, plan, _ = made(tmp_path_factory.mktemp("cup"))
    part, _ = pipeline.build(draw_cup(plan))
    return job, plan, part, cup_findings(job, plan, part)


def test_a_usual_cup_passes_everything(usual):
    *_, found = usual
    others = {(f.code, f.verdict) for f in found if f.verdict is not Verdict.PASS}
    unmeasured = ("fit.growth", "fit.pins", "chance.mount")  # of its printer, which is all that is open
    assert others == {(code, Verdict.WARN) for code in unmeasured}
    wanted = {
        "fit.pins", "stake.volume", "stake.head", "stake.bears", "stake.iron", "press.strain", "press.hoop",
        "press.cold", "press.in", "press.out", "press.snap", "press.keep", "clear.grille", "clear.room",
        "clear.body-bore", "hole.diameter", "hole.place", "seat.height", "seat.tilt", "load.pin", "load.plate",
        "sound.seen", "heat", "wall.seat", "wall.well", "wall.cup", "print.overhang", "bed",
    }  # fmt: skip
    assert wanted <= {f.code for f in found}


def test_plan_and_mesh_tell_the_same_clearances(usual):
    *_, found = usual
    both = [f for f in found if f.code.startswith("clear.") and f.measured is not None]
    assert {f.code for f in both} == {"clear.grille", "clear.room"}
    for finding in both:
        assert finding.measured == pytest.approx(finding.closed_form, abs=0.05), finding.what


def test_the_plate_is_measured_under_each_head_and_round_each_hole(usual):
    *_, found = usual
    for code in ("wall.seat", "wall.pin-hole"):
        some = by_code(found, code)
        assert len(some) == 4
        assert [f.measured for f in some] == pytest.approx([f.closed_form for f in some], abs=0.05)


def test_the_whole_report_of_both_sides(tmp_path):
    from tests.cups import cups

    report = pipeline.check(cups(tmp_path, sides=["left", "right"]))
    assert [part.side for part in report.parts] == ["left", "right"]
    assert [(f.code, f.verdict) for part in report.parts for f in part.findings if f.verdict is not Verdict.PASS] == [
        (code, Verdict.WARN) for code in ("chance.mount", "fit.pins", "fit.growth")
    ] * 2  # each as far as the printer's hole growth was not measured
    lifted = plan_cup(cup(tmp_path)).depth
    assert [part.pose[2][3] for part in report.parts] == pytest.approx([lifted] * 2)


def test_heads_hold_what_protrudes(usual):
    job, plan, *_ = usual
    shares = by_code(stake_findings(job, plan), "stake.volume")
    # 4.2 and 4.3 of 2.6 D against the standard 1.6 D, 4.16 with the sheet's own rounding
    assert [f.closed_form for f in shares] == pytest.approx([1.0103, 1.0103, 1.0343, 1.0343], abs=5e-4)


def test_a_pin_that_gives_too_much_warns(usual):
    job, plan, *_ = usual
    long = replace(plan, stakes=tuple(replace(s, protrudes=s.protrudes * 1.3) for s in plan.stakes))
    warned = by_code(stake_findings(job, long), "stake.volume")
    assert {(f.verdict, f.limit, f.advice) for f in warned} == {
        (Verdict.WARN, 1.25, "cut the pin, or cut off the flash")
    }
    short = replace(plan, stakes=tuple(replace(s, protrudes=s.protrudes * 0.9) for s in plan.stakes))
    assert {(f.verdict, f.limit) for f in by_code(stake_findings(job, short), "stake.volume")} == {(Verdict.WARN, 1.0)}


def test_a_head_beyond_its_hole_by_too_little_fails(usual):
    job, plan, *_ = usual
    for over, verdict in ((0.31, Verdict.PASS), (0.29, Verdict.FAIL)):
        wide = replace(plan, stakes=tuple(replace(s, width=s.head.diameter - 2 * over, way=0) for s in plan.stakes))
        assert {f.verdict for f in by_code(stake_findings(job, wide), "stake.bears")} == {verdict}


def test_a_long_pin_is_to_be_cut(tmp_path):
    job, plan, _ = made(tmp_path, **{PIN + "A__height": 14})
    found = one(stake_findings(job, plan), "stake.cut")
    assert (found.verdict, found.advice) == (Verdict.DO, "cut it to 10.2 before it is staked")


def test_a_press_that_is_too_tight_warns_and_says_so(tmp_path):
    job, plan, _ = made(tmp_path, retention={"by": "press", "interference": 0.3})
    strain = one(press_findings(job, plan), "press.strain")
    assert strain.verdict is Verdict.WARN
    assert strain.closed_form > strain.limit == 0.5
    assert strain.advice == "press less: leave interference out, and the largest that lasts is taken"


def test_heat_takes_the_press_and_the_lugs_keep_the_tweeter(usual):
    job, plan, *_ = usual
    found = list(press_findings(job, plan))
    out = {f.what: f.closed_form for f in by_code(found, "press.out")}
    cold, room, hot = (out[f"pull-out force at {t} °C, new"] for t in (-20, 23, 80))
    assert cold > room > hot >= 0
    assert out["pull-out force at 80 °C, once it has been hot"] <= hot
    assert out["pull-out force at 23 °C, once it has been hot"] < room
    keep = one(found, "press.keep")
    assert keep.limit == pytest.approx(0.05 * 500 * 1.77)  # mass, slam, dynamic factor
    assert keep.closed_form > keep.limit


def test_what_holds_a_flange(tmp_path):
    job, plan, part = made(tmp_path, **FLANGE)
    found = list(load_findings(job, plan, part))
    assert list(press_findings(job, plan)) == []
    screw = one(found, "load.screw")
    assert screw.limit == pytest.approx(0.05 * 500 * 1.77 / 3)
    assert screw.verdict is Verdict.PASS


def test_a_heavy_tweeter_tears_a_pin(tmp_path):
    job, plan, part = made(tmp_path, speaker__mass=0.6)
    pin = one(load_findings(job, plan, part), "load.pin")
    assert pin.verdict is Verdict.FAIL
    assert pin.limit == pytest.approx(20 * 0.6)
    assert pin.closed_form > pin.limit


def test_two_pins_tip_about_the_plates_edge(tmp_path):
    job, plan, part = made(tmp_path, **{PIN + "C": None, PIN + "D": None})
    pin = one(load_findings(job, plan, part), "load.pin")
    assert pin.closed_form > 0


@pytest.mark.parametrize("flange", [{"diameter": 39.8, "thickness": 2}, {"square": 30, "corner": 2, "thickness": 2}])
def test_a_flange_wider_than_its_aperture_is_as_near_as_the_apertures_rim(tmp_path, flange):
    job, plan, part = made(
        tmp_path, speaker__flange=flange, aim={"tilt": 9, "toward": "2:00"}, retention={"by": "press", "keep": "lip"}
    )
    found = cup_findings(job, plan, part)
    assert not by_code(found, "clear.disagreement")
    told = one(found, "clear.grille", "flange to rear face")
    rim, frame = np.array(plan.seat.flange.points(1e-4, least=8)), plan.seat.frame.lifted(2.0)
    points = frame.out(np.column_stack([rim, np.zeros(len(rim))]))
    inside = np.maximum(20 - np.hypot(points[:, 0], points[:, 1]), 0)  # a round aperture of 40 about the origin
    assert told.closed_form == pytest.approx(np.hypot(inside, points[:, 2]).min(), abs=2e-3)
    assert told.closed_form > -points[:, 2].max() + 1e-3
    assert told.measured == pytest.approx(told.closed_form, abs=0.01)


@pytest.mark.parametrize(("height", "verdict"), [(-4.5, Verdict.PASS), (-4.4, Verdict.FAIL)])
def test_grille(tmp_path, height, verdict):
    job, plan, part = made(tmp_path, height=height)
    found = one(cup_findings(job, plan, part), "clear.grille", "dome")
    assert found.verdict is verdict
    assert found.closed_form == pytest.approx(2 - height - 2.5)
    assert found.advice == ("" if verdict is Verdict.PASS else "take height: -4.5, or best")


@pytest.mark.parametrize(("room", "verdict"), [(19.5, Verdict.PASS), (19.4, Verdict.FAIL)])
def test_room_behind(tmp_path, room, verdict):
    job, plan, part = made(tmp_path, panel__room=room)
    found = one(cup_findings(job, plan, part), "clear.room", "tweeter")
    assert (found.verdict, found.closed_form) == (verdict, pytest.approx(room - 16.5))


@pytest.mark.parametrize(("y", "verdict"), [(21.3, Verdict.PASS), (21.0, Verdict.FAIL)])
def test_a_rib_beside_the_plate(tmp_path, y, verdict):
    top = plan_cup(cup(tmp_path)).outline.support(90.0)
    rib = {"what": "rib", "at": [0, y], "size": [100, 2], "height": 5}
    job, plan, part = made(tmp_path, panel__standing=[rib])
    found = one(cup_findings(job, plan, part), "clear.standing")
    assert found.closed_form == pytest.approx(y - 1 - top)
    assert found.verdict is (Verdict.PASS if y - 1 - top >= 0.5 else Verdict.FAIL) is verdict


def test_a_dash_is_hotter_than_a_door(tmp_path):
    verdicts = {}
    for place in ("door", "dash"):
        job, plan, part = made(tmp_path, material="asa", panel__place=place)
        verdicts[place] = one(cup_findings(job, plan, part), "heat").verdict
    assert verdicts == {"door": Verdict.PASS, "dash": Verdict.WARN}


def test_a_thin_wall_to_a_well_is_a_finding_not_a_refusal(tmp_path):
    job, plan, part = made(tmp_path, **{PIN + "A__at": [-20.6, 4]})
    thin = [f for f in cup_findings(job, plan, part) if f.code == "wall.well" and f.verdict is Verdict.FAIL]
    assert [labels(f.between) for f in thin] == [("well A", "room")]
    assert 0 < thin[0].closed_form < thin[0].limit == 1.2


def test_a_mesh_that_is_not_what_was_planned_is_found(usual):
    _, plan, part, _ = usual
    assert {f.verdict for f in cup_readback(plan, part)} == {Verdict.PASS}
    hole = part.features.index(ident("hole B"))
    mine = np.unique(part.triangles[part.feature == hole])
    moved = part.vertices.copy()
    moved[mine, 0] += 0.2
    wrong = [f for f in cup_readback(plan, replace(part, vertices=moved)) if f.verdict is Verdict.FAIL]
    assert {(f.code, f.what) for f in wrong} == {("hole.place", "place of hole B")}
    tilted = replace(plan, seat=replace(plan.seat, frame=replace(plan.seat.frame, z=(0.0087, 0.0, 0.99996))))
    assert "seat.tilt" in {f.code for f in cup_readback(tilted, part) if f.verdict is Verdict.FAIL}


def test_cautions_tell_of_iron_fumes_and_airbags(usual):
    job, *_ = usual
    text = " ".join(cup_cautions(job))
    for word in ("210 to 250 °C", "fumes", "never in the vehicle", "airbag", "sensors", "Nothing was noted"):
        assert word in text
    near = job.panel.model_copy(update={"nearby": (Nearby(what="passenger airbag"),)})
    assert any(line.startswith("Passenger airbag: keep hands") for line in cup_cautions(replace(job, panel=near)))


def test_what_was_not_measured(tmp_path):
    assert cup_unread(cup(tmp_path)) == ("panel.standing", "panel.ears")
    bare = cup(
        tmp_path, panel__grille=None, panel__place=None, speaker__front=None, speaker__piston=None, speaker__mass=None,
        speaker__body=None, speaker__terminals=None,
    )  # fmt: skip
    assert set(cup_unread(bare)) == {
        "panel.grille", "panel.standing", "panel.ears", "panel.place", "speaker.body", "speaker.terminals",
        "speaker.front", "speaker.piston", "speaker.mass",
    }  # fmt: skip
