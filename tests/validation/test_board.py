"""Boards against sources outside the project.

Plates: Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells (square plates on their edges and on their
corners, round ones on three points), coefficients from memory; the strip is the textbooks' beam; Leissa, Vibration of
Plates (corner-supported square, 7.12), from memory. Half-sine response: textbooks on structural dynamics, greatest
1.77. DXF by ezdxf's audit, STEP by what a fresh reader finds in it.
"""

from __future__ import annotations

import io
from math import pi, sin

import ezdxf
import pytest
from ezdxf import units
from scipy.integrate import solve_ivp

from mounts import pipeline
from mounts.design.loads import SHOCK, half_sine
from mounts.design.plate import Patch, Slab, bend_plate, rigidity
from mounts.geometry.outline import circle, polar_point, rectangle
from mounts.kernels.readback import read_cylinders
from mounts.kinds.board.plan import plan_board
from mounts.kinds.board.shape import draw_board
from mounts.write.dxf import dxf_bytes
from mounts.write.step import step_bytes
from tests.boards import CUT, board

SIDE, NU = 400.0, 0.3
D = rigidity(6800.0, 12.0, NU)
LOAD = 1e-5  # kg/mm²: N/mm² under 1 m/s²
SQUARE = Slab(rectangle(SIDE, SIDE, 0.5), (), D, NU, LOAD)


def rim(count=40):
    """Grips all along a square's sides: a simply supported edge."""
    steps = [SIDE * k / count - SIDE / 2 for k in range(count + 1)]
    ends = (-SIDE / 2, SIDE / 2)
    return [((x, y), 0.1) for x in steps for y in ends] + [((x, y), 0.1) for x in ends for y in steps]


def test_square_plate_on_simply_supported_edges():
    (found,) = bend_plate(SQUARE, rim(), [])
    assert found.sag == pytest.approx(0.00406 * LOAD * SIDE**4 / D, rel=0.003)
    assert found.frequency_hz == pytest.approx(2 * pi**2 * (1000 * D / LOAD / SIDE**4) ** 0.5 / 2 / pi, rel=0.01)


def test_square_plate_under_a_central_load():
    """0.0116 P a² / D; the load is spread over 1/13 of the side, for which the table has a little less."""
    patch = Patch(circle(30.0), 1.0)
    (found,) = bend_plate(Slab(SQUARE.outline, (), D, NU, 1e-12), rim(), [patch])
    assert found.sag == pytest.approx(0.0116 * SIDE**2 / D, rel=0.015)


def test_square_plate_on_its_four_corners():
    corners = [((x, y), 0.1) for x in (-SIDE / 2, SIDE / 2) for y in (-SIDE / 2, SIDE / 2)]
    (found,) = bend_plate(SQUARE, corners, [])
    assert found.sag == pytest.approx(0.0255 * LOAD * SIDE**4 / D, rel=0.003)
    assert found.moment == pytest.approx(0.1527 * LOAD * SIDE**2, rel=0.03)  # at the middle of a side; ours just inside
    assert found.frequency_hz == pytest.approx(7.12 / 2 / pi * (1000 * D / LOAD / SIDE**4) ** 0.5, rel=0.005)


def test_round_plate_on_three_points():
    """0.0670 P a² / D at its middle, ν 0.25, load in the middle (Timoshenko, plates on points along the boundary)."""
    rigid, radius = rigidity(6800.0, 12.0, 0.25), SIDE / 2
    held = [(polar_point((0.0, 0.0), 2 * radius - 0.2, turn), 0.1) for turn in (90, 210, 330)]
    (found,) = bend_plate(Slab(circle(SIDE), (), rigid, 0.25, 1e-12), held, [Patch(circle(20.0), 1.0)])
    assert found.sag == pytest.approx(0.0670 * radius**2 / rigid, rel=0.04)  # its rim is a stair of squares


def test_a_strip_on_two_edges_is_a_beam():
    """5 q l⁴ / (384 E I), ν 0 so that a plate is a beam."""
    rigid = rigidity(6800.0, 12.0, 0.0)
    slab = Slab(rectangle(400.0, 60.0, 0.5), (), rigid, 0.0, LOAD)
    held = [((x, -30 + 3.75 * k), 0.1) for x in (-200.0, 200.0) for k in range(17)]
    (found,) = bend_plate(slab, held, [])
    assert found.sag == pytest.approx(5 * LOAD * 400**4 / (384 * rigid), rel=0.002)
    assert found.moment == pytest.approx(LOAD * 400**2 / 8, rel=0.005)


def test_finer_masses_of_a_patch_weigh_what_they_should():
    """A patch smaller than a cell still carries its whole mass: its sag is that of the point load."""
    small, wide = (
        bend_plate(Slab(SQUARE.outline, (), D, NU, 1e-12), rim(), [Patch(circle(d), 1.0)])[0] for d in (0.5, 24.0)
    )
    assert small.sag == pytest.approx(wide.sag, rel=0.02)


@pytest.mark.parametrize("ratio", [0.2, 0.7, 1.0, 1.6, 3.0])
def test_half_sine_response_by_integration(ratio):
    """x'' + ω² x = ω² sin(π t / τ) while the pulse lasts, integrated; ratio = 2 f τ."""
    pulse, omega = 0.006, pi * ratio / 0.006

    def swing(t, state):
        push = omega**2 * (sin(pi * t / pulse) if t < pulse else 0.0)
        return [state[1], push - omega**2 * state[0]]

    found = solve_ivp(swing, (0, 8 * pulse / min(ratio, 1)), (0, 0), max_step=pulse / 200, rtol=1e-7)
    assert half_sine(ratio / 2 / pulse, 6.0) == pytest.approx(abs(found.y[0]).max(), rel=2e-3)


def test_the_greatest_half_sine_response_is_the_dynamic_factor():
    assert max(half_sine(f, 6.0) for f in range(50, 400, 2)) == pytest.approx(SHOCK, abs=0.005)


def made(folder):
    slot = {"loom": {"at": [10, -55], "slot": [40, 12], "turn": 8}}
    return plan_board(board(folder, CUT, passages=slot, wrap={"thickness": 3}))


def test_dxf_is_clean_and_its_holes_lie_where_they_should(tmp_path):
    plan = made(tmp_path)
    document = ezdxf.read(io.StringIO(dxf_bytes(plan.paper).decode()))
    assert document.audit().errors == []
    assert document.units == units.MM
    space = document.modelspace()
    assert {layer.dxf.name for layer in document.layers} >= {"CUT", "ENGRAVE", "REF"}
    circles = {
        (round(e.dxf.center.x, 6), round(e.dxf.center.y, 6), round(2 * e.dxf.radius, 6))
        for e in space.query('CIRCLE[layer=="CUT"]')
    }
    wanted = {(round(s.at[0], 6), round(s.at[1], 6), s.hole) for s in plan.spots}
    assert circles == wanted | {(round(f.at[0], 6), round(f.at[1], 6), f.hole) for f in plan.feet}
    closed = space.query('LWPOLYLINE[layer=="CUT"]')
    assert len(closed) == 2
    assert all(line.closed for line in closed)
    assert any("FORWARD" in text.dxf.text for text in space.query('TEXT[layer=="ENGRAVE"]'))


def test_step_shows_every_hole_in_its_place(tmp_path):
    plan = made(tmp_path)
    part, _ = pipeline.build(draw_board(plan))
    holes = [one for one in read_cylinders(step_bytes(part)) if one.hole and one.sweep > 359]
    found = {(round(h.start[0], 4), round(h.start[1], 4), round(h.diameter, 4)) for h in holes}
    wanted = [(*s.at, s.hole) for s in plan.spots] + [(*f.at, f.hole) for f in plan.feet]
    assert found == {(round(x, 4), round(y, 4), round(d, 4)) for x, y, d in wanted}
    assert {round(h.end[2] - h.start[2], 6) for h in holes} == {12.0}
