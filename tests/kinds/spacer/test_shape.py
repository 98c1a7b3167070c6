"""Spacers drawn: volumes by formula, one solid, the holes that the plan states."""

from __future__ import annotations

from math import pi

import pytest

from mounts.kernels import mesh
from mounts.kernels.brep import build_verified
from mounts.kinds.spacer.plan import plan_spacer
from mounts.kinds.spacer.shape import draw_spacer, draw_spacer_check
from tests.spacers import spacer, spacers

PRESS = {"panel": "press", "device": "press"}


def frustum(big: float, small: float, height: float) -> float:
    """Of a cone between two diameters."""
    return pi / 12 * height * (big**2 + big * small + small**2)


def test_a_plain_sleeve_by_formula(tmp_path):
    """Sleeve, lip and their broken edges, less passage, seat, bore and mouth."""
    plan = plan_spacer(spacer(tmp_path))
    part, _ = build_verified(draw_spacer(plan).recipe)
    out, bore, passage = 30 - 0.16, 20 + 0.16, 20 - 2.4
    long, deep = 1.6 - plan.outside.back, -plan.outside.back
    added = frustum(out - 1, out, 0.5) + pi / 4 * out**2 * (deep - 0.5) + pi / 4 * 34**2 * 1.1 + frustum(34, 33, 0.5)
    seat = 1.2 + 0.08
    cut = pi / 4 * passage**2 * 1.6 + frustum(passage, bore, seat) + frustum(bore, bore + 1, 0.5)
    cut += pi / 4 * bore**2 * (long - 1.6 - seat - 0.5)
    assert part.volume == pytest.approx(added - cut, rel=1e-5)
    assert (part.solids, part.genus) == (1, 1)


CASES = {
    "ribs on both faces": {"fit": PRESS},
    "no lip": {"lip": False},
    "no stop": {"stop": False},
    "taper": {"port__taper": 2.5, "fit": PRESS},
    "slit": {"slit": True, "device__cable": 4, "fit": PRESS},
    "bump and slit": {"slit": True, "slit_width": 5, "bump": True, "port__taper": 2},
    "rectangle in round": {"device__body": {"rectangle": [16, 8, 1]}, "fit": PRESS},
    "round in rectangle": {"port__opening": {"rectangle": [40, 30, 2]}, "fit": PRESS},
    "d in d": {"port__opening": {"d": [30, 27]}, "device__body": {"d": [20, 18]}, "fit": PRESS},
    "ribs close over a stop": {"device__length": 2, "fit": PRESS},
    "oblong beside the centre": {"port__opening": {"oblong": [44, 30]}, "at": [4, -1], "fit": PRESS},
}


@pytest.mark.parametrize("name", CASES)
def test_every_sort_is_one_solid_by_both_kernels(tmp_path, name):
    plan = plan_spacer(spacer(tmp_path, **CASES[name]))
    part, agreement = build_verified(draw_spacer(plan).recipe)
    assert (part.solids, part.shells, part.genus) == (1, 1, plan.genus)
    assert abs(agreement.difference_ppm) < 1.0


def test_ribs_add_what_stands_out_of_the_wall(tmp_path):
    """With outer ribs there is more by each rib's part outside the wall, found by a fine slice through it."""
    plain = plan_spacer(spacer(tmp_path, stop=False))
    ribs = plan_spacer(spacer(tmp_path, stop=False, fit={"panel": "press", "device": "slide"}))
    more = mesh.build(draw_spacer(ribs).recipe, 512).volume - mesh.build(draw_spacer(plain).recipe, 512).volume
    assert 3 * 0.3 * 3.0 * 0.5 < more < 3 * 0.35 * 1.2 * 4.0


def test_halves_make_a_whole_but_for_the_gap(tmp_path):
    whole = plan_spacer(spacer(tmp_path))
    halves = [plan_spacer(job) for job in spacers(tmp_path, slit="halves")]
    parts = [mesh.build(draw_spacer(plan).recipe, 512) for plan in halves]
    assert [part.solids for part in parts] == [1, 1]
    missing = mesh.build(draw_spacer(whole).recipe, 512).volume - sum(part.volume for part in parts)
    wall, lip = 29.84 - 20.16, 34 - 20.16
    deep = -whole.outside.back
    assert missing == pytest.approx(0.3 * (wall * deep + lip * 1.6), rel=0.06)  # the stop and the edges make the rest
    assert parts[0].volume == pytest.approx(parts[1].volume, rel=1e-6)


def test_the_slice_to_try_has_outside_and_bore_at_size(tmp_path):
    plan = plan_spacer(spacer(tmp_path))
    made = mesh.build(draw_spacer_check(plan).recipe, 512)
    assert made.volume == pytest.approx(pi / 4 * (29.84**2 - 20.16**2) * 3.0, rel=2e-4)  # chords
