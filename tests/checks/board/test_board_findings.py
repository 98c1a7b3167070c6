"""What is said of a board: each check with a case that just passes and one that just fails."""

from __future__ import annotations

import copy
from functools import cache

import pytest

from mounts.checks.board.bending import bending_findings
from mounts.checks.board.devices import stand_findings
from mounts.checks.board.findings import board_edges, board_findings, case_temperature, heat_findings
from mounts.checks.board.loads import foot_load_findings, load_findings
from mounts.checks.board.screws import screw_findings
from mounts.findings.report import Verdict
from mounts.identity import EDGE
from mounts.kernels import mesh
from mounts.kinds.board.kind import board_cautions, board_unread
from mounts.kinds.board.plan import plan_board
from mounts.kinds.board.shape import draw_board
from tests.boards import BOX, CUT, PRINTED, board, boards, foot

PASS, DO, WARN, FAIL = Verdict


def box(**changes):
    return {**copy.deepcopy(BOX), **changes}


def told(check, job, code):
    return [found for found in check(job, plan_board(job)) if found.code == code]


def loads(job, code):
    plan = plan_board(job)
    return [f for f in load_findings(job, plan, mesh.build(draw_board(plan).recipe, 64)) if f.code == code]


def two(tmp_path, gap, **changes):
    """Two boxes of 60 a height apart by `gap`."""
    devices = {"low": {"device": box(plugs=[])}, "high": {"device": box(plugs=[]), "at": [0, 60 + gap]}}
    return board(tmp_path, devices=devices, outline=None, margin=45, feet__across=20, printer="bed-250", **changes)


@pytest.mark.parametrize(("gap", "verdict"), [(10.0, PASS), (9.9, WARN), (0.0, WARN), (-0.1, FAIL)])
def test_air_between_devices(tmp_path, gap, verdict):
    (found,) = told(stand_findings, two(tmp_path, gap), "air.between")
    assert found.verdict is verdict
    assert found.closed_form == pytest.approx(gap)


@pytest.mark.parametrize(("room", "verdict"), [(70.0, PASS), (69.9, WARN), (50.0, WARN), (49.9, FAIL)])
def test_air_above(tmp_path, room, verdict):  # feet 12, board 8, box 30, and 20 over it
    (found,) = told(stand_findings, board(tmp_path, room=room), "air.above")
    assert found.verdict is verdict


@pytest.mark.parametrize(("reach", "verdict"), [(20.0, PASS), (20.1, FAIL)])
def test_plugs_find_room_beside_the_next_device(tmp_path, reach, verdict):
    plugs = [{"side": "12:00", "reach": reach, "width": 40}]
    devices = {"low": {"device": box(plugs=plugs)}, "high": {"device": box(plugs=[]), "at": [0, 80]}}
    job = board(tmp_path, devices=devices, outline=None, margin=45, feet__across=20, printer="bed-250")
    (found,) = told(stand_findings, job, "clear.plugs")
    assert found.verdict is verdict


@pytest.mark.parametrize(("x", "verdict"), [(35.0, PASS), (35.1, WARN), (60.1, FAIL)])
def test_devices_over_the_edge(tmp_path, x, verdict):
    device = box(holes={"at": [[-45, 20], [0, 20], [0, -20], [-45, -20]], "diameter": 4.4})
    job = board(tmp_path, devices={"box": {"device": device, "at": [x, 0]}}, feet__across=20)
    (found,) = told(stand_findings, job, "clear.board-edge")
    assert found.verdict is verdict


@pytest.mark.parametrize(("x", "verdict"), [(44.3, PASS), (44.29, FAIL)])
def test_a_straight_tool_past_the_own_body(tmp_path, x, verdict):  # head 7.6 and 1: 4.3 from the axis; body to 40
    device = box(holes={"at": [[-x, 20], [x, 20], [x, -20], [-x, -20]], "diameter": 4.4})
    found = told(stand_findings, board(tmp_path, devices__box__device=device), "access.device-screws")
    assert {one.verdict for one in found} == {verdict}


def test_a_straight_tool_past_the_neighbour(tmp_path):
    near = {"a": {"device": box()}, "b": {"device": box(), "at": [99, 0]}}
    job = board(tmp_path, devices=near, outline=None, margin=45, feet__across=20, printer="bed-250")
    found = told(stand_findings, job, "access.device-screws")
    assert {one.verdict for one in found} == {FAIL}
    assert {one.between[0].label for one in found} == {"tool a B", "tool a C", "tool b A", "tool b D"}


@pytest.mark.parametrize(("screw", "verdicts"), [("iso-10642-m5", []), ("iso-7380-m5", [FAIL])])
def test_proud_heads_under_a_device(tmp_path, screw, verdicts):
    at = [[-60, -50], [60, -50], [0, 10]]
    job = board(tmp_path, CUT, fix_feet={"hardware": "insert-m5", "screw": screw}, feet__at=at)
    assert [one.verdict for one in told(stand_findings, job, "access.foot-screws")] == verdicts


def test_screws_are_as_long_as_all_that_they_pass(tmp_path):
    (held, *_) = told(screw_findings, board(tmp_path), "screw.device")
    # ear 2 and board 8 less the insert's own 4.7: thread begins 5.3 below the head and 4 must hold: 10
    assert "× 10," in held.what
    assert held.closed_form == pytest.approx(4.7)
    (low,) = told(screw_findings, board(tmp_path), "screw.below")
    assert low.closed_form == pytest.approx(12 + 8 + 2 - 10)


@pytest.mark.parametrize(("thickness", "verdict"), [(8.0, PASS), (7.9, FAIL)])
def test_a_pilot_needs_its_thread(tmp_path, thickness, verdict):
    found = told(screw_findings, board(tmp_path, CUT, thickness=thickness), "screw.device")
    assert max(found, key=lambda f: list(Verdict).index(f.verdict)).verdict is verdict


@pytest.mark.parametrize(("height", "verdict"), [(11.0, PASS), (6.5, WARN), (3.0, FAIL)])
def test_through_bolts_end_over_the_lining(tmp_path, height, verdict):
    # ear 2, board 8, nut 3.2 and a pitch of 0.7: M4 × 16 stands out by 6; washers may lift it by 2
    job = board(tmp_path, fix_devices="through-m4", feet__height=height)
    codes = {f.code: f.verdict for f in screw_findings(job, plan_board(job))}
    assert codes["screw.device"] is verdict


@pytest.mark.parametrize(("hole", "verdict"), [(4.2, PASS), (4.1, FAIL), (7.3, PASS), (7.5, FAIL)])
def test_ears_pass_the_screw_and_hold_its_head(tmp_path, hole, verdict):
    job = board(tmp_path, devices__box__device=box(holes={**BOX["holes"], "diameter": hole}))
    (found,) = told(screw_findings, job, "screw.ear")
    assert found.verdict is verdict


def test_a_shock_on_a_device_s_screws_by_hand(tmp_path):
    (found,) = loads(board(tmp_path), "load.device-screws")
    # 0.6 kg at 500 m/s² and 1.77: 531 N; worst along a slope of pull F/4 and of tipping, 15 high, over 4 r² sums
    force = 0.6 * 500 * 1.77
    x, y, z = 15 * 45 / (4 * 45**2), 15 * 20 / (4 * 20**2), 1 / 4
    assert found.closed_form == pytest.approx(force * (x**2 + y**2 + z**2) ** 0.5)
    assert found.verdict is PASS
    (heavy,) = loads(
        board(tmp_path, devices__box__device=box(mass=0.6 * found.limit / found.closed_form * 1.01)),
        "load.device-screws",
    )
    assert heavy.verdict is FAIL


def test_glue_holds_in_proportion_to_its_area(tmp_path):
    (found,) = loads(board(tmp_path), "load.glue")
    pull = found.measured * 0.2
    held, lost = (
        loads(board(tmp_path, glue={"pull_mpa": pull * k, "shear_mpa": pull * k * 1.5}), "load.glue")[0]
        for k in (1.001, 0.999)
    )
    assert (held.verdict, lost.verdict) == (PASS, FAIL)
    assert held.limit == 1.0
    assert "take feet 40 across" in lost.advice


def test_feet_are_held_by_their_screws(tmp_path):
    weak, strong = (
        next(iter(foot_load_findings(job, plan_board(job.board))))
        for job in (foot(tmp_path, fix_feet="pilot-3.0", devices__box__device=box(mass=mass)) for mass in (1.5, 0.05))
    )
    assert (weak.verdict, strong.verdict) == (FAIL, PASS)


@cache
def bends(folder, thickness, mass):
    at = [[-140, -60], [140, -60], [140, 60], [-140, 60]]
    shape = {"rectangle": [320, 160, 10]}
    device = box(mass=mass)
    job = board(folder, CUT, thickness=thickness, outline=shape, feet__at=at, devices__box__device=device)
    return {found.code: found for found in bending_findings(job, plan_board(job))}


def test_a_thin_board_sags_breaks_and_strikes_the_floor(tmp_path):
    thick, thin = bends(tmp_path, 18, 1.0), bends(tmp_path, 5, 3.0)
    assert {found.verdict for found in thick.values()} == {PASS}
    assert (thin["load.sag"].verdict, thin["load.board"].verdict, thin["clear.floor"].verdict) == (WARN, FAIL, WARN)
    need = float(thin["load.sag"].advice.split("board ")[1].split(" ")[0])
    assert bends(tmp_path, 5 * need * 1.01, 3.0)["load.sag"].verdict is PASS


def test_no_mass_no_loads_and_that_is_said(tmp_path):
    device = {key: value for key, value in BOX.items() if key not in ("mass", "ambient")}
    job = board(tmp_path, devices__box__device=device, room=None)
    assert [*loads(job, "load.glue"), *bending_findings(job, plan_board(job))] == []
    assert board_unread(job) == ("room", "devices.box.device.mass", "devices.box.device.ambient")
    assert any("weigh its devices" in words for words in board_cautions(job))


@pytest.mark.parametrize(("place", "verdict"), [("boot", PASS), ("shelf", WARN)])
def test_a_device_in_the_heat_of_its_place(tmp_path, place, verdict):  # 80 allowed; 80 in a boot, 95 on a shelf
    (found,) = [f for f in heat_findings(board(tmp_path, place=place)) if f.code == "heat.device"]
    assert found.verdict is verdict


def test_the_board_under_a_warm_device(tmp_path):
    area = (80 * 60 - (4 - 3.14159265) * 16 + (280 - 8 * 4 + 2 * 3.14159265 * 4) * 30) * 1e-6
    for loss, verdict in ((40 * 10 * area - 0.01, PASS), (40 * 10 * area + 0.01, WARN)):  # asa bears 85: 40 over 45
        job = board(tmp_path, devices__box__device=box(loss_w=loss))
        (found,) = [f for f in heat_findings(job) if f.code == "heat.under"]
        assert found.verdict is verdict
        assert found.closed_form == pytest.approx(case_temperature(job.devices[0].device))


def test_passages_webs_and_carpet(tmp_path):
    def of(code, base=PRINTED, **changes):
        job = board(tmp_path, base, **changes)
        plan = plan_board(job)
        return [f for f in board_findings(job, plan, mesh.build(draw_board(plan).recipe, 96)) if f.code == code]

    slot = {"loom": {"at": [0, -55], "slot": [40, 12]}}
    assert [f.verdict for f in of("passage.edge", passages=slot, edge=2.0)] == [PASS]
    (blunt,) = of("passage.edge", passages=slot, edge=1.9)
    assert (blunt.verdict, "grommet" in blunt.advice) == (WARN, True)
    (by_hand,) = of("passage.edge", CUT, passages=slot)
    assert "by hand to 3" in by_hand.advice
    (fold,) = of("wrap.fold", CUT, wrap={"thickness": 3, "fold": 1}, feet__at=[[-55, -45], [55, -45], [0, 50]])
    (over,) = of("wrap.fold", CUT, wrap={"thickness": 3, "fold": 30}, feet__at=[[-55, -45], [55, -45], [0, 50]])
    assert (fold.verdict, over.verdict) == (PASS, DO)
    for y, verdict in ((-65.99, PASS), (-66.01, FAIL)):  # its edge at 6 more: 3 are left to the board's edge at 75
        (web,) = [
            f
            for f in of("wall.web", CUT, passages={"loom": {"at": [0, y], "slot": [40, 12]}}, feet__across=30)
            if EDGE in f.between
        ]
        assert web.verdict is verdict
        assert web.measured == pytest.approx(web.closed_form, abs=1e-3)
    for x, verdict in ((75.5, FAIL), (74.5, PASS)):  # holes of 5: 10 to the edge at 85
        holes = {"at": [[-x, 20], [x, 20], [x, -20], [-x, -20]], "diameter": 4.4}
        device = box(outline={"rectangle": [160, 60, 4]}, holes=holes)
        edges = of("wall.hole-edge", devices__box__device=device, feet__across=20)
        assert {f.verdict for f in edges} == {verdict}
        assert all(f.measured == pytest.approx(f.closed_form, abs=0.02) for f in edges)


@pytest.mark.parametrize("edge", ["EDGE", "CHAMFER"])
@pytest.mark.parametrize(("width", "verdict"), [(0.31, PASS), (0.3, PASS), (0.29, DO)])
def test_broken_edges_of_a_printed_board(tmp_path, monkeypatch, edge, width, verdict):
    """Print guides: a first-layer chamfer is 0.3 to 0.5; nothing a job says changes it."""
    monkeypatch.setattr(f"mounts.checks.board.findings.{edge}", width)
    found = board_edges(plan_board(board(tmp_path)))
    assert (found.code, found.verdict, found.closed_form, found.limit) == ("edges", verdict, width, 0.3)
    assert found.advice == "break all edges of the sheet by hand, 0.5 wide" * (verdict is DO)


def test_the_whole_of_a_cut_board_passes_but_for_what_is_done_by_hand(tmp_path):
    job = boards(tmp_path, CUT, glue={"pull_mpa": 0.4, "shear_mpa": 0.6}, place="floor")[0]
    plan = plan_board(job)
    found = board_findings(job, plan, mesh.build(draw_board(plan).recipe, 96))
    assert {f.code for f in found if f.verdict is not PASS} == {"edges", "flat.recess"}
