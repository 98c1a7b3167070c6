"""The plane in which a finding is shown: it goes through the place and through the two things beside it.

Outside check: trimesh cuts the meshes at that plane, shapely measures between the two outlines in it.
"""

from __future__ import annotations

import numpy as np
import pytest
import shapely
import trimesh

from mounts.findings.report import Finding, Verdict
from mounts.geometry.frames import PANEL, tilt_frame
from mounts.identity import Ident, Role
from mounts.kernels.part import Part
from mounts.made import Made
from mounts.write.page.cuts import Neighbourhood, tightest
from mounts.write.page.switches import Shape, list_switches
from tests.idents import ident, labels


def around(made: Made) -> tuple[Neighbourhood, dict[Ident, Shape]]:
    shapes = [shape for switch in list_switches(made.part, made.scene.envelopes) for shape in switch.shapes]
    return Neighbourhood.of(made.part, shapes, made.scene.axis), {shape.ident: shape for shape in shapes}


def mesh_of(name: Ident, made: Made, shapes: dict[Ident, Shape]) -> trimesh.Trimesh | None:
    """A thing, or what the part shows of a feature; None for a name that is neither."""
    part = made.part
    if name in shapes:
        return trimesh.Trimesh(shapes[name].vertices, shapes[name].triangles, process=False)
    if name in part.features:
        own = part.triangles[part.feature == part.features.index(name)]
        return trimesh.Trimesh(part.vertices, own, process=False) if len(own) else None
    return trimesh.Trimesh(part.vertices, part.triangles, process=False) if name.role is Role.PART else None


def outline(mesh: trimesh.Trimesh, at: np.ndarray, normal: np.ndarray) -> shapely.MultiLineString:
    """Where a plane cuts a mesh, told in the plane."""
    ends = trimesh.intersections.mesh_plane(mesh, normal, at)
    across = np.cross(normal, [0.3, 0.5, 0.8])
    across /= np.linalg.norm(across)
    frame = np.stack([across, np.cross(normal, across)], axis=1)
    return shapely.MultiLineString([tuple(map(tuple, (line - at) @ frame)) for line in ends])


@pytest.mark.parametrize(("which", "least"), [("ring", 30), ("cup", 15), ("spacer", 1)])
def test_the_cut_goes_through_the_place_and_both_things(which, least, request):
    made = request.getfixturevalue(which)
    neighbourhood, shapes = around(made)
    seen = 0
    for finding in made.report.findings:
        if finding.at is None:
            continue
        at, normal = np.array(finding.at), np.array(neighbourhood.cut(finding))
        assert np.linalg.norm(normal) == pytest.approx(1, abs=1e-9)
        if finding.between is None or not finding.code.startswith(("clear.", "wall.")):
            continue
        meshes = [mesh_of(name, made, shapes) for name in finding.between]
        if None in meshes or finding.code.endswith(".disagreement"):
            continue
        for mesh in meshes:
            off = (mesh.vertices[np.unique(mesh.faces)] - at) @ normal
            assert off.min() < 0.05, finding
            assert off.max() > -0.05, finding
        seen += 1
    assert seen >= least


def test_in_the_cut_the_clearance_is_what_the_report_says(ring, cup):
    """The plane is the one in which the gap shows at its true size, not merely one that meets both things."""
    count = 0
    for made in (ring, cup):
        neighbourhood, shapes = around(made)
        for finding in made.report.findings:
            apart = finding.measured
            if (
                finding.code not in ("clear.trim", "clear.grille", "clear.glass", "clear.thing", "clear.room")
                or not apart
            ):
                continue
            one, other = (mesh_of(name, made, shapes) for name in finding.between)
            at, normal = np.array(finding.at), np.array(neighbourhood.cut(finding))
            shown = outline(one, at, normal).distance(outline(other, at, normal))
            assert shown == pytest.approx(apart, abs=0.06), finding
            count += 1
    assert count >= 20


def test_the_tightest_is_the_least_margin_among_clearances_and_walls_with_a_place(ring, failing):
    def told(code, measured, limit, *, at=(0.0, 0.0, 0.0), unit="mm"):
        return Finding(code, Verdict.PASS, code, measured=measured, limit=limit, at=at, unit=unit)

    found = [
        told("clear.trim", 6.0, 3.0),
        told("wall.base", 5.2, 5.0),
        told("wall.floor", 2.2, 2.0),  # the same margin, but thinner
        told("clear.glass", 8.0, 10.0, at=None),
        told("load.ring", 1.0, 1.0, unit="MPa"),
        told("clear.disagreement", 0.0, 0.05),
        told("screw.panel", 5.0, 5.0),
    ]
    assert tightest(found) == [2, 1, 0]
    first = ring.report.findings[tightest(ring.report.findings)[0]]
    assert (first.code, labels(first.between)) == ("wall.groove-bore", ("gasket groove", "bore"))
    first = failing.report.findings[tightest(failing.report.findings)[0]]
    assert (first.verdict, first.what) == (Verdict.WARN, "body to glass")  # 1 where 10 are wanted


def test_where_two_things_tell_no_way_the_cut_holds_the_axis():
    corners = np.array([[0.0, 0, 0], [1, 0, 0], [0, 1, 0]])
    part = Part(
        "one", "mesh", corners, np.array([[0, 1, 2]]), np.zeros(1, int), np.zeros(1, int), (ident("only"),),
        0.0, corners[0], 1, 1, 0,
    )  # fmt: skip
    axis = tilt_frame((0.0, 0.0, 20.0), 8.0, 315.0)
    alone = Neighbourhood.of(part, [], axis)
    finding = Finding("seat.flat", Verdict.PASS, "seat", at=(30.0, 5.0, 20.0))
    normal = np.array(alone.cut(finding))
    assert abs(normal @ axis.axes[:, 2]) < 1e-9
    assert abs(normal @ (np.array(finding.at) - axis.origin)) < 1e-9
    on_axis = Neighbourhood.of(part, [], PANEL).cut(Finding("seat.flat", Verdict.PASS, "seat", at=(0.0, 0.0, 5.0)))
    assert np.abs(on_axis) == pytest.approx([0, 1, 0])
