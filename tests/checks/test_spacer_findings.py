"""Every finding of a spacer: one that just passes beside one that just does not, on the plan alone."""

from __future__ import annotations

from typing import Any

import pytest

from mounts.checks.spacer.findings import fit_findings, room_findings
from mounts.checks.spacer.hold import bump_engagement, device_holding_force, hold_findings, panel_holding_force
from mounts.checks.spacer.strain import strain_findings
from mounts.findings.report import Verdict
from mounts.kinds.spacer.kind import spacer_cautions, spacer_unread
from mounts.kinds.spacer.plan import plan_spacer
from tests.spacers import spacer

PASS, WARN, FAIL = Verdict.PASS, Verdict.WARN, Verdict.FAIL
PRESS = {"panel": "press", "device": "press"}
USUAL = {"bed": [200, 200, 200], "error": 0.1, "slicer_corrects": True}
FORCES = {"device__plug_force": 20, "device__pull_force": 15, "device__force_source": "as tested"}


def told(check: Any, folder: Any, **changes: Any) -> dict[str, Any]:
    """The findings of one check by their codes."""
    job = spacer(folder, **changes)
    return {finding.code: finding for finding in check(job, plan_spacer(job))}


@pytest.mark.parametrize(
    ("word", "tolerance", "code", "verdict"),
    [
        ("push", 0.10, "fit.panel.play", PASS),
        ("push", 0.11, "fit.panel.play", WARN),
        ("slide", 0.15, "fit.panel.grip", PASS),
        ("slide", 0.16, "fit.panel.grip", WARN),
        ("free", 0.22, "fit.panel.grip", PASS),
        ("free", 0.23, "fit.panel.grip", WARN),
    ],
)
def test_a_fit_stays_within_its_word(tmp_path, word, tolerance, code, verdict):
    """Half spread √(0.2² + t²): push 0.075 up to 0.3 of play, slide 0.2 down to −0.05, free 0.4 down to 0.1."""
    found = told(fit_findings, tmp_path, printer=USUAL, fit={"panel": word}, port__tolerance=tolerance)[code]
    # slide: 0.2 − √(0.04 + 0.0225) = −0.05; push: 0.075 + √(0.04 + 0.01) = 0.2986
    assert found.verdict is verdict
    assert bool(found.advice) is (verdict is not PASS)


def test_a_plain_wall_may_lose_its_press_where_ribs_keep_it(tmp_path):
    wall = told(fit_findings, tmp_path, printer=USUAL, fit={"panel": "press"}, hold={"panel": "wall"})
    ribs = told(fit_findings, tmp_path, printer=USUAL, fit={"panel": "press"})
    assert (wall["fit.panel.play"].verdict, ribs["fit.panel.play"].verdict) == (WARN, PASS)
    assert wall["fit.panel.play"].closed_form == pytest.approx(-0.1 + (0.2**2 + 0.1**2) ** 0.5)
    assert ribs["fit.panel.play"].closed_form == pytest.approx(-0.5 + (0.2**2 + 0.1**2) ** 0.5)
    assert "ribs" in wall["fit.panel.play"].advice


def test_holes_that_nobody_measured_are_warned_of(tmp_path):
    unknown = told(fit_findings, tmp_path, printer="bed-250", fit={"device": "push"})
    assert (unknown["fit.growth"].verdict, unknown["fit.device.grip"].verdict) == (WARN, WARN)
    assert "hole_growth: {asa: …} into bed-250" in unknown["fit.device.grip"].advice
    assert told(fit_findings, tmp_path, fit={"device": "push"})["fit.growth"].verdict is PASS


def test_ribs_hold_and_a_sliding_fit_does_not(tmp_path):
    loose = told(hold_findings, tmp_path, **FORCES)
    held = told(hold_findings, tmp_path, fit=PRESS, **FORCES)
    for code in ("hold.pull.panel", "hold.pull.device"):
        assert (loose[code].verdict, loose[code].closed_form) == (FAIL, 0.0)
        assert held[code].verdict is PASS
        assert held[code].source == "plugging force: as tested"


def test_what_holds_decides_at_the_plug_s_own_force(tmp_path):
    job = spacer(tmp_path, fit=PRESS)
    least = min(panel_holding_force(job, plan_spacer(job)), device_holding_force(job, plan_spacer(job)))
    for force, verdict in ((least - 0.01, PASS), (least + 0.01, FAIL)):
        found = told(hold_findings, tmp_path, fit=PRESS, device__pull_force=force)
        assert {found["hold.pull.panel"].verdict, found["hold.pull.device"].verdict} - {PASS} == {verdict} - {PASS}


def test_a_slit_sleeve_holds_only_as_far_as_the_device_backs_it(tmp_path):
    """Crushed without any give, ribs of a slit sleeve would hold more; the device's play is taken off their bite."""
    holds = {}
    for word in ("press", "push", "slide", "free"):
        job = spacer(tmp_path, slit=True, fit={"panel": "press", "device": word})
        holds[word] = panel_holding_force(job, plan_spacer(job))
    assert holds["press"] > holds["push"] > holds["free"] == 0.0
    bite = 0.5 - (0.16**2 + 0.1**2) ** 0.5  # at the loosest
    slack = 0.075 * 0.8 + (0.16**2 + 0.1**2) ** 0.5
    flat = (2 * 0.6 * (bite - slack) / 2) ** 0.5 * 2 * 2.5 * 40  # force of each rib, rigidly backed, over the panel
    assert holds["push"] == pytest.approx(0.5 * 0.2 * 3 * flat)


def test_a_bump_counts_while_it_stands_behind_the_edge(tmp_path):
    changes: dict[str, Any] = {
        "slit": True,
        "slit_width": 6,
        "bump": True,
        "fit": {"panel": "slide", "device": "slide"},
    }
    job = spacer(tmp_path, **changes)
    plan = plan_spacer(job)
    spread = (0.16**2 + 0.1**2) ** 0.5
    assert bump_engagement(plan) == pytest.approx(0.6 - spread / 2 - (0.16 + spread) / 2)
    assert panel_holding_force(job, plan) > 100
    low = spacer(tmp_path, **changes, fits={"bump": 0.4})
    assert panel_holding_force(low, plan_spacer(low)) == 0.0
    assert told(hold_findings, tmp_path, **changes, fits={"bump": 0.4})["hold.bump"].verdict is FAIL
    assert told(hold_findings, tmp_path, **changes)["hold.bump"].verdict is PASS


def test_a_slit_must_close_for_its_bump(tmp_path):
    """2 π times its reach at the tightest: 0.6 and half the spread."""
    for width, verdict in ((4.4, PASS), (4.3, FAIL)):
        found = told(strain_findings, tmp_path, slit=True, slit_width=width, bump=True)["slit.closes"]
        assert found.verdict is verdict
        assert found.limit == pytest.approx(2 * 3.14159265 * (0.6 + (0.16**2 + 0.1**2) ** 0.5 / 2))


def test_a_bump_on_a_closed_sleeve_strains_its_hoop(tmp_path):
    found = told(strain_findings, tmp_path, bump=True)["strain.bump"]
    assert found.verdict is FAIL
    assert found.closed_form == pytest.approx(100 * 2 * (0.6 + (0.16**2 + 0.1**2) ** 0.5 / 2) / 30)
    assert found.limit == pytest.approx(100 * 0.7 * 40 / 2250)
    assert "slit: true" in found.advice


def test_a_slit_narrower_than_the_cable_is_sprung_open(tmp_path):
    wide = told(strain_findings, tmp_path, slit=True, device__cable=4)["strain.cable"]
    narrow = told(strain_findings, tmp_path, slit=True, slit_width=2, device__cable=8)["strain.cable"]
    assert (wide.closed_form, wide.verdict, narrow.verdict) == (0.0, PASS, FAIL)


def test_a_press_by_the_wall_is_a_hoop_strain(tmp_path):
    press = {"fit": {"panel": "press"}, "hold": {"panel": "wall"}}
    found = told(strain_findings, tmp_path, **press, fits={"press": -0.1})["strain.panel"]
    assert (found.verdict, found.closed_form) == (PASS, pytest.approx(100 * 0.08 / 30))
    assert told(strain_findings, tmp_path, **press, fits={"press": -0.19})["strain.panel"].verdict is WARN
    assert told(strain_findings, tmp_path, **press, fits={"press": -0.25})["strain.panel"].verdict is FAIL


def test_pushing_in_by_hand(tmp_path):
    few = told(hold_findings, tmp_path, fit=PRESS, fits={"rib_length": 2})["hold.push-in"]
    many = told(hold_findings, tmp_path, fit=PRESS, fits={"ribs": 12})["hold.push-in"]
    assert (few.verdict, many.verdict) == (PASS, WARN)


def test_the_plugging_force_goes_into_stop_and_lip(tmp_path):
    """Bent midway between root and edge: 6 F / U · r / t², from U round the root, r reach, t thickness."""
    found = told(hold_findings, tmp_path, **FORCES)
    assert found["hold.plug.panel"].closed_form == pytest.approx(6 * 20 / (3.14159265 * 29.84) * 2.0 / 1.6**2)
    assert found["hold.plug.device"].closed_form == pytest.approx(6 * 20 / (3.14159265 * 17.6) * 1.2 / 1.6**2)
    assert found["hold.plug.panel"].limit == pytest.approx(0.5 * 40 * 0.5)
    thin = told(hold_findings, tmp_path, lip={"thickness": 0.6}, **FORCES)["hold.plug.panel"]
    thinner = told(hold_findings, tmp_path, lip={"thickness": 0.4}, **FORCES)["hold.plug.panel"]
    assert (thin.verdict, thinner.verdict) == (PASS, FAIL)


def test_without_stop_and_bezel_friction_must_take_the_plugging_force(tmp_path):
    found = told(hold_findings, tmp_path, stop=False, lip=False, fit=PRESS, **FORCES)
    assert found["hold.plug.device"].unit == found["hold.plug.panel"].unit == "N"
    slides = told(hold_findings, tmp_path, stop=False, **FORCES)["hold.plug.device"]
    assert (slides.verdict, slides.closed_form) == (FAIL, 0.0)


@pytest.mark.parametrize(("bezel", "verdict"), [(22.17, PASS), (22.15, FAIL)])
def test_a_bezel_lies_on_the_front(tmp_path, bezel, verdict):
    """Bore 20.16 and a mouth of 0.5 a side; half a mm more on it."""
    found = told(hold_findings, tmp_path, device__bezel={"round": bezel}, **FORCES)["hold.bezel"]
    assert found.closed_form == pytest.approx(bezel / 2 - 10.08 - 0.5)
    assert found.verdict is verdict


@pytest.mark.parametrize(("room", "verdict"), [(39.3, PASS), (39.1, WARN), (26.1, FAIL)])
def test_room_behind_for_device_and_cable(tmp_path, room, verdict):
    """The sleeve ends 23.2 behind the face; a cable of 4 needs 16 to turn, and 3 is the least."""
    found = told(room_findings, tmp_path, port__room=room, device__cable=4)["clear.behind"]
    assert found.closed_form == pytest.approx(room - 23.2)
    assert found.verdict is verdict


@pytest.mark.parametrize(("plug", "verdict"), [(19.6, PASS), (19.7, WARN), (20.2, FAIL)])
def test_a_device_set_back_lets_its_plug_in(tmp_path, plug, verdict):
    found = told(room_findings, tmp_path, recess=3, device__plug={"round": plug})["clear.plug"]
    assert found.closed_form == pytest.approx((20.16 - plug) / 2)
    assert found.verdict is verdict
    assert "clear.plug" not in told(room_findings, tmp_path, device__plug={"round": plug})


def test_what_was_not_measured_is_named(tmp_path):
    assert spacer_unread(spacer(tmp_path)) == (
        "port.room", "port.place", "device.plug_force", "device.pull_force",
    )  # fmt: skip
    assert "device.cable" in spacer_unread(spacer(tmp_path, slit=True))
    full = spacer(tmp_path, port__room=50, port__place="dash", **FORCES)
    assert spacer_unread(full) == ()


def test_cautions(tmp_path):
    closed = spacer_cautions(spacer(tmp_path, device__cable=4, port__nearby=["knee airbag"]))
    assert any("thread the cable" in text for text in closed)
    assert any(text.startswith("Knee airbag: keep hands") for text in closed)
    slit = spacer_cautions(spacer(tmp_path, slit=True))
    assert any(text.startswith("Sleeve first, device last") for text in slit)
    assert not any("thread the cable" in text for text in slit)
