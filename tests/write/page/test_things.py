"""What is shown round a part: everything under one switch, endless things no further than they are of use."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import trimesh

from mounts.identity import PANEL_SHEET, Ident, Role
from mounts.kinds.spacer.shape import surroundings
from mounts.shape.recipe import Envelope
from mounts.write.page.switches import GROUPS, group_of, list_switches


@pytest.mark.parametrize("which", ["ring", "cup", "spacer"])
def test_every_envelope_is_under_one_switch_as_a_closed_mesh(which, request):
    made = request.getfixturevalue(which)
    shown = list_switches(made.part, made.scene.envelopes)
    names = [shape.ident for switch in shown for shape in switch.shapes]
    assert len(names) == len(made.scene.envelopes)
    assert set(names) == {envelope.ident for envelope in made.scene.envelopes}
    assert len({(switch.key, switch.label) for switch in shown}) == len(shown)
    for switch in shown:
        for shape in switch.shapes:
            mesh = trimesh.Trimesh(shape.vertices, shape.triangles, process=False)
            assert mesh.is_watertight, shape.ident
            assert mesh.is_winding_consistent, shape.ident
            assert mesh.volume > 0, shape.ident


def test_a_ring_shows_what_the_job_measured(ring):
    keys = {switch.key: switch for switch in list_switches(ring.part, ring.scene.envelopes)}
    assert set(keys) == set(GROUPS) - {"end"} | {"things"}
    assert keys["things"].label == "lift rail"
    assert [key for key, switch in keys.items() if not switch.on] == ["travel", "tools", "ways"]
    assert {shape.ident.label for shape in keys["speaker"].shapes} == {
        "body",
        "flange",
        "speaker screws",
        "surround",
        "terminals",
    }
    assert len(keys["tools"].shapes) == 8  # four panel screws, four speaker screws


def test_a_spacer_carries_a_device_and_a_tweeter_has_a_dome(spacer, cup):
    assert [s.label for s in list_switches(spacer.part, spacer.scene.envelopes)] == [
        "Device, with cable and plug",
        "Panel",
        "What is behind",
    ]
    assert "Dome at full travel" in [s.label for s in list_switches(cup.part, cup.scene.envelopes)]


def test_what_is_endless_ends_near_the_part_and_keeps_its_near_side(ring):
    keys = {switch.key: switch for switch in list_switches(ring.part, ring.scene.envelopes)}
    low, high = ring.part.vertices.min(axis=0), ring.part.vertices.max(axis=0)
    for key in ("sheet", "glass", "trim", "grille"):
        places = keys[key].shapes[0].vertices
        assert (places[:, :2].min(axis=0) > low[:2] - 45).all()
        assert (places[:, :2].max(axis=0) < high[:2] + 45).all()
    sheet = keys["sheet"].shapes[0].vertices[:, 2]
    assert (sheet.min(), sheet.max()) == pytest.approx((-0.9, 0.0))
    rail = keys["things"].shapes[0].vertices[:, 2]
    assert rail.max() == pytest.approx(-46)  # as the depth rod read it


def test_a_persons_own_name_for_a_thing_decides_nothing():
    for name in ("tool A", "glass", "speaker on its way in", "cone at full travel"):
        assert group_of(Envelope(Ident(Role.THING, "1", name), ())) == "things"


def test_a_narrowing_opening_leaves_the_panel_as_much_as_a_frustum_says(spacer):
    """Volume of a stadium's frustum: both ends and the mid-section by Simpson's rule, which is exact for it."""
    port = spacer.job.port
    tapered = replace(spacer.job, port=port.model_copy(update={"taper": 2.0, "panel": 10.0}))
    (panel,) = [e for e in surroundings(tapered, spacer.plan) if e.ident == PANEL_SHEET]
    (switch,) = list_switches(spacer.part, [panel])
    mesh = trimesh.Trimesh(switch.shapes[0].vertices, switch.shapes[0].triangles, process=False)
    long, wide = port.opening.oblong
    by = 10.0 * np.tan(np.radians(2.0))

    def area(inward: float) -> float:
        across = wide - 2 * inward
        return float(np.pi / 4 * across**2 + (long - wide) * across)

    hole = 10.0 / 6 * (area(0) + 4 * area(by / 2) + area(by))
    assert mesh.convex_hull.volume - mesh.volume == pytest.approx(hole, rel=2e-3)
