"""Clearances by closed form, and overlap volumes against the B-rep kernel's common volume.

Sources, each told again at its check: distances of points, lines and planes in space and of circles from planes, as in
any geometry text (Bronstein and Semendyayev, Handbook of Mathematics, chapter "Geometry"); the volume common to two
equal crossed cylinders (Steinmetz, 2/3 of the diameter cubed); volumes common to solids by OCCT's boolean, of solids
that cadquery draws and this package does not.

The virtual assembly promises the true distance less the sag of its chords, 0.0003 mm at 60 mm from an axis; `least_gap`
1e-3 mm; `least_on_body` and `least_on_lid` 1e-4 mm; a disc from a plane is exact.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, partial
from math import atan, cos, degrees, hypot, pi, radians, sin, sqrt, tan

import cadquery as cq
import numpy as np
import pytest

from mounts.checks.assembly import FINE, assemble, measure_gaps, overlap_volume
from mounts.design.body import least_on_body, least_on_lid, to_sheet
from mounts.findings.gap import Gap
from mounts.geometry.distance import depths
from mounts.geometry.frames import PANEL, Frame, Vector, tilt_frame
from mounts.geometry.outline import circle, rectangle
from mounts.geometry.planes import Plane, disc_gap, disc_gap_below, plate_distances
from mounts.kernels import brep
from mounts.kernels.part import Part
from mounts.kinds.ring.clearances import speaker_gaps
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.shape import draw_ring
from mounts.kinds.ring.surroundings import surroundings
from mounts.load.models.job import AimAngles
from mounts.load.models.surroundings import AtClock, Thing, Trim
from mounts.shape.primitives import Body, Prism, Revolved, Section
from mounts.shape.recipe import Envelope
from mounts.shape.sheet import Sheet, least_gap
from tests.checks.printed import block, part_of
from tests.idents import ident, labels, pair
from tests.kinds.ring.conftest import changed, jobs_of

CHORDS = 0.001  # mm: sag of FINE chords on two surfaces, each no further from its axis than 75 mm
SHEETS = 1e-3  # mm, as `least_gap` says of itself
SURFACES = 1e-4  # mm, as `least_on_body` and `least_on_lid` say of themselves
SAG = 0.02  # mm, of the ring's own triangles
SIDEWAYS = Frame(x=(1.0, 0.0, 0.0), z=(0.0, -1.0, 0.0))  # its z along the panel's −y


def in_assembly(one: Body, other: Body) -> float:
    """Least distance of two bodies as the virtual assembly measures it, the part standing far off."""
    assembly = assemble(_far(), (Envelope(ident("one"), (one,)), Envelope(ident("other"), (other,))))
    (found,) = measure_gaps(assembly, [_asked(0.0)])
    if found.measured is None:
        return -1.0
    for guess in (found.measured, 2.0, 20.0, 60.0):  # a gap is searched no further than a little beyond the plan's
        (found,) = measure_gaps(assembly, [_asked(guess)])
        assert found.measured is not None
        if found.measured < guess + 1.9:
            return found.measured
    raise AssertionError("further apart than any case here")


def shared(one: Body, other: Body) -> float:
    """Volume of two bodies' overlap as the virtual assembly measures it."""
    named = [Envelope(ident(name), (body,)) for name, body in (("one", one), ("other", other))]
    return overlap_volume(assemble(_far(), named), ident("one"), ident("other"))


@cache
def _far() -> Part:
    return part_of(block(1.0, 1.0, 1.0))


def _asked(gap: float) -> Gap:
    return Gap("clear.thing", pair("one", "other"), gap, gap, gap, "", (0.0, 0.0, 0.0))


def cone(low: float, high: float, tall: float, frame: Frame = PANEL) -> Revolved:
    """A frustum by its two diameters."""
    return Revolved(frame, ((0.0, low), (tall, high)))


def rod(across: float, tall: float, frame: Frame = PANEL) -> Revolved:
    return cone(across, across, tall, frame)


def sheet_of(body: Revolved) -> Sheet:
    """The round surface of a cone or rod, without its caps."""
    return Sheet(tuple(Section(body.frame.lifted(z), circle(across)) for z, across in body.profile))


def test_the_chords_sag_as_little_as_is_said():
    assert 60.0 * (1 - cos(pi / FINE)) == pytest.approx(0.00028, abs=1e-5)
    assert 2 * 75.0 * (1 - cos(pi / FINE)) < CHORDS


# --- circle to plane -------------------------------------------------------------------------------------------------

DISCS = [  # tilt and its clock, height of the middle, diameter, slope of the plane below
    (0.0, 0.0, 20.0, 78.0, (0.0, 0.0)),
    (8.0, 315.0, 20.0, 78.0, (0.0, 0.0)),
    (8.0, 315.0, 31.5, 115.0, (0.07, -0.04)),
    (35.0, 120.0, 60.0, 104.0, (-0.2, 0.1)),
    (90.0, 40.0, 50.0, 60.0, (0.0, 0.0)),
]


@pytest.mark.parametrize(("tilt", "clock", "height", "across", "slope"), DISCS)
def test_a_tilted_disc_over_a_plane(tilt, clock, height, across, slope):
    """A circle's nearest point lies (d / 2) sin φ nearer than its middle, φ between its axis and the normal."""
    frame, plane = tilt_frame((4.0, -7.0, height), tilt, clock), Plane(0.0, slope)
    normal = np.array([-slope[0], -slope[1], 1.0]) / sqrt(1 + slope[0] ** 2 + slope[1] ** 2)
    off = float(normal @ np.array([4.0, -7.0, height]))  # Hesse's form: the plane goes through the origin
    true = off - across / 2 * sqrt(1 - float(normal @ np.array(frame.z)) ** 2)
    gap, at = disc_gap(plane, frame.origin, frame.z, across)
    assert gap == pytest.approx(true, abs=1e-9)
    assert hypot(*np.subtract(at, frame.origin)) == pytest.approx(0.0 if tilt == 0 else across / 2)
    below = disc_gap_below(plane.moved(2 * height), frame.origin, frame.z, across)[0]
    assert below == pytest.approx(2 * height * normal[2] - off - (off - true), abs=1e-9)
    assert least_on_lid(frame, circle(across), partial(_over, plane))[0] == pytest.approx(true, abs=SURFACES)
    floor = Prism(rectangle(600.0, 600.0, 1.0), -3.0, 0.0, plane.frame(0.0, 0.0))
    # a thin disc on the far side of the frame, so that its under face is the circle itself
    upward = 5.0 if tilt < 90 else 0.01
    assert in_assembly(Prism(circle(across), 0.0, upward, frame), floor) == pytest.approx(true, abs=CHORDS)


def _over(plane: Plane, points: np.ndarray) -> np.ndarray:
    return plane.gaps(points)


def test_a_disc_that_dips_through_the_plane_has_a_gap_below_nothing():
    """Middle 5 above, 100 across at 10 degrees: the low edge is 5 − 50 sin 10° = −3.68 deep."""
    frame = tilt_frame((0.0, 0.0, 5.0), 10.0, 90.0)
    assert disc_gap(Plane(0.0), frame.origin, frame.z, 100.0)[0] == pytest.approx(5 - 50 * sin(radians(10)))
    assert in_assembly(Prism(circle(100.0), 0.0, 1.0, frame), Prism(rectangle(300.0, 300.0, 1.0), -9.0, 0.0)) == -1.0


# --- cone and cylinder -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("lean", [0.0, 8.0, 30.0])
def test_a_cone_beside_a_cylinder_that_crosses_its_way(lean):
    """Their axes at right angles: seen along the cylinder's, a circle beside a line, |n · (a − p)| − d / 2.

    The plane that touches the cone along the generator towards the cylinder holds the cylinder's direction, so that
    nothing of the cone comes nearer.
    """
    frustum = cone(104.0, 60.0, 40.0, tilt_frame((0.0, 0.0, 0.0), lean, 90.0))
    slope = atan(22.0 / 40.0) - radians(lean)  # of the generator against the panel's z, towards the axis
    foot = np.array([52.0 * cos(radians(lean)), -52.0 * sin(radians(lean))])  # in x and z
    normal = np.array([cos(slope), sin(slope)])
    along = np.array([-sin(slope), cos(slope)])
    axis = foot + 21.0 * along + (6.5 + 8.0) * normal  # over the middle of the generator, 6.5 from it
    bar = rod(16.0, 200.0, Frame((float(axis[0]), 100.0, float(axis[1])), SIDEWAYS.x, SIDEWAYS.z))
    assert in_assembly(frustum, bar) == pytest.approx(6.5, abs=CHORDS)
    assert least_gap(sheet_of(frustum), sheet_of(bar)) == pytest.approx(6.5, abs=SHEETS)


@pytest.mark.parametrize("bore", [116.0, 117.0, 120.0])
def test_a_cone_in_a_bore_comes_nearest_with_its_rim(bore):
    """On one axis: half the difference of the diameters. The seat's lift makes the cone begin inside the bore."""
    body, wall = cone(84.0, 115.0, 30.0, PANEL.lifted(-30.0)), _tube(bore)
    assert in_assembly(body, wall) == pytest.approx((bore - 115.0) / 2, abs=CHORDS)
    assert least_gap(_inside(bore), sheet_of(body)) == pytest.approx((bore - 115.0) / 2, abs=SHEETS)


def test_a_cone_in_a_cone_is_as_near_as_its_wall_is_thick():
    """Parallel generators: half the difference of the diameters at one level, times the cosine of the slope."""
    slope = degrees(atan(15.5 / 30))
    inner, outer = cone(84.0, 115.0, 30.0), cone(84.0 + 9.0, 115.0 + 9.0, 30.0)
    assert least_gap(sheet_of(outer), sheet_of(inner)) == pytest.approx(4.5 * cos(radians(slope)), abs=SHEETS)


def _tube(bore: float) -> Prism:
    return Prism(circle(bore + 20.0), -60.0, 30.0, islands=(circle(bore),))


def _inside(bore: float) -> Sheet:
    return Sheet((Section(PANEL.lifted(-60.0), circle(bore)), Section(PANEL.lifted(30.0), circle(bore))))


# --- tilted disc in a cylinder ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(("tilt", "off"), [(8.0, 0.0), (8.0, 0.7), (8.0, 1.6), (20.0, 4.0), (20.0, 9.0)])
def test_a_tilted_disc_in_a_cylinder(tilt, off):
    """Seen along the cylinder the rim is an ellipse, half axes r cos θ and r, moved by e along the short one.

    (e + r cos θ cos t)² + (r sin t)² is greatest at cos t = e cos θ / (r sin² θ), where it is r² + e² / sin² θ, or, if
    that is more than 1, at t = 0, where it is (e + r cos θ)².
    """
    r, bore, theta = 50.0, 120.0, radians(tilt)
    inside = off * cos(theta) <= r * sin(theta) ** 2
    furthest = sqrt(r**2 + off**2 / sin(theta) ** 2) if inside else off + r * cos(theta)
    frame = tilt_frame((off, 0.0, -10.0), tilt, 90.0)
    gap = bore / 2 - furthest
    assert in_assembly(Prism(circle(2 * r), -0.001, 0.001, frame), _tube(bore)) == pytest.approx(gap, abs=CHORDS)
    lid = least_on_lid(frame, circle(2 * r), lambda points: bore / 2 - np.hypot(points[:, 0], points[:, 1]))[0]
    assert lid == pytest.approx(gap, abs=SURFACES)
    rim = Sheet((Section(frame.lifted(-0.001), circle(2 * r)), Section(frame.lifted(0.001), circle(2 * r))))
    assert least_gap(_inside(bore), rim) == pytest.approx(gap, abs=SHEETS)


def test_a_tilted_body_in_the_sheets_opening():
    """A long rod's axis, leaning by θ in x, and an edge point (r, 0): r cos θ off the axis, less half the rod.

    The edge point nearest to the axis is the one where the rod leans towards it; the sheet's own thickness s brings
    its far edge nearer by s sin θ, where the axis crosses the face in the middle.
    """
    theta, thick = radians(8.0), 0.9
    true = (60.0 * cos(theta) - thick * sin(theta)) - 52.0
    rings = ((40.0, 104.0), (-40.0, 104.0))
    cost = partial(to_sheet, circle(120.0), thick)
    assert least_on_body(tilt_frame((0.0, 0.0, 0.0), 8.0, 90.0), rings, cost)[0] == pytest.approx(true, abs=SURFACES)
    sheet = Prism(rectangle(300.0, 300.0, 1.0), -thick, 0.0, islands=(circle(120.0),))
    rod_ = Revolved(tilt_frame((0.0, 0.0, 0.0), 8.0, 90.0), ((-40.0, 104.0), (40.0, 104.0)))
    assert in_assembly(rod_, sheet) == pytest.approx(true, abs=CHORDS)


# --- cylinder to cylinder --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "turn",
    [90.0, 60.0, 25.0, 15.0],
)
def test_skew_cylinders(turn):
    """Distance of two skew lines, |(p − q) · u × v| / |u × v|, less half of both diameters."""
    u = np.array([0.0, 0.0, 1.0])
    v = np.array([0.0, sin(radians(turn)), cos(radians(turn))])
    middle = np.array([33.0, 2.0, -4.0])  # half of 40, half of 16, and 5
    true = abs(middle @ np.cross(u, v)) / np.linalg.norm(np.cross(u, v)) - 20.0 - 8.0
    upright = rod(40.0, 240.0, PANEL.lifted(-120.0))
    away: Vector = tuple(float(c) for c in middle - 120.0 * v)
    leaning = rod(16.0, 240.0, Frame(away, (1.0, 0.0, 0.0), tuple(float(c) for c in v)))
    assert true == pytest.approx(5.0)
    assert in_assembly(upright, leaning) == pytest.approx(true, abs=CHORDS)
    assert least_gap(sheet_of(upright), sheet_of(leaning)) == pytest.approx(true, abs=SHEETS)


@pytest.mark.parametrize(("outer", "inner", "apart"), [(120.0, 78.0, 0.0), (120.0, 78.0, 17.5), (16.0, 15.0, 0.3)])
def test_a_cylinder_inside_another(outer, inner, apart):
    """Parallel axes: half the difference of the diameters less the eccentricity."""
    core = rod(inner, 20.0, PANEL.shifted(apart, 0.0))
    assert in_assembly(core, _tube(outer)) == pytest.approx((outer - inner) / 2 - apart, abs=CHORDS)
    assert least_gap(_inside(outer), sheet_of(core)) == pytest.approx((outer - inner) / 2 - apart, abs=SHEETS)


def test_cylinders_side_by_side_and_end_to_end():
    """Side by side: the axes' distance less half of both. End to end and aside: rim to rim, a 3-4-5 triangle."""
    one = rod(40.0, 10.0)
    assert in_assembly(one, rod(16.0, 10.0, PANEL.shifted(0.0, 31.25))) == pytest.approx(3.25, abs=CHORDS)
    corner = rod(16.0, 10.0, PANEL.shifted(31.0, 0.0).lifted(14.0))
    assert in_assembly(one, corner) == pytest.approx(5.0, abs=CHORDS)
    assert least_gap(sheet_of(one), sheet_of(corner)) == pytest.approx(5.0, abs=SHEETS)


# --- the same as a job has them --------------------------------------------------------------------------------------


def speaker_job(**more: object) -> RingJob:
    """The demo woofer level on its seat at 22, what is near it given by the caller."""
    job: RingJob = changed(jobs_of("linnet-woofer")[0], aim=AimAngles(), turn=0.0, label=None, **more)
    return job


def told(job: RingJob, code: str, one: str, other: str) -> tuple[float, float]:
    """A gap as the plan tells it and as the assembly measures it."""
    plan = plan_ring(job)
    gaps = [gap for gap in speaker_gaps(job, plan.seat) if (gap.code, labels(gap.between)) == (code, (one, other))]
    (found,) = measure_gaps(assemble(_far(), surroundings(job, plan)), gaps)
    assert found.measured is not None
    return found.gap, found.measured


@pytest.mark.parametrize(
    ("depth", "aside", "gap"),
    [
        (32.8 + 4.0, 3.0, 5.0),  # the magnet's rear rim to the rail's edge: 3-4-5
        (20.0, 8.5, 8.5),  # beside the magnet, level with it
        (32.8 + 8.5, -20.0, 8.5),  # under the magnet's rear
    ],
)
def test_the_magnet_to_a_rail(depth, aside, gap):
    """The magnet is 78 across and ends 56 behind a flange that stands on 1.2 of gasket at 22: z = −32.8."""
    rail = Thing.model_validate(
        {"what": "rail", "at": [39.0 + aside + 11.0, 0.0], "size": [22, 200], "depth": depth, "moving": True}
    )
    closed, meshed = told(
        speaker_job(panel__behind__things=(rail,), speaker__terminals=()), "clear.thing", "body", "rail"
    )
    assert closed == pytest.approx(gap, abs=SURFACES)
    assert meshed == pytest.approx(gap, abs=CHORDS)


def test_a_terminals_edge_to_a_corner_of_a_rail():
    """The plug's outer lower edge, 50 out towards 1:30 at z = −10.8, over the middle of which stands a rail's corner.

    The corner is 3 further out and 4 deeper: 5, the triangle square to the edge.
    """
    plug = jobs_of("linnet-woofer")[0].speaker.terminals[0].model_copy(update={"at": 45.0})
    near = 53.0 / sqrt(2)
    rail = Thing.model_validate({"what": "rail", "at": [near + 10, near + 10], "size": [20, 20], "depth": 14.8})
    job = speaker_job(panel__behind__things=(rail,), speaker__terminals=(plug,))
    closed, meshed = told(job, "clear.thing", "terminals", "rail")
    assert meshed == pytest.approx(5.0, abs=CHORDS)
    assert closed == pytest.approx(5.0, abs=SURFACES)


def test_the_flange_to_the_edge_of_the_trims_opening():
    """Flange 135 across with its top at 27.2 inside an opening of 143 at 30.2: hypot(4, 3)."""
    trim = Trim.model_validate({"at_clock": 30.2, "opening": {"round": 143}})
    closed, meshed = told(speaker_job(panel__in_front__trim=trim), "clear.trim", "flange", "trim")
    assert closed == pytest.approx(5.0, abs=SURFACES)
    assert meshed == pytest.approx(5.0, abs=CHORDS)


def test_a_point_to_the_edge_of_a_tilted_plates_opening():
    """In the plate's own frame: the point's way to the circle and to the plane are the legs of a triangle."""
    plane = Plane(40.0, (0.08, -0.05))
    frame = plane.frame(3.0, 2.0)
    inside, under = frame.out((60.0 - 3.0, 0.0, -4.0)), frame.out((70.0, 5.0, -4.0))
    found = plate_distances(frame, circle(120.0), np.array([inside, under]))
    assert found == pytest.approx([5.0, 4.0], abs=1e-9)
    assert depths(circle(120.0), [(57.0, 0.0)]) == pytest.approx([3.0])


def test_the_tilted_speaker_over_sloping_glass():
    """Each ring of its body by Hesse's form and (d / 2) sin φ; the rearmost decides here."""
    job = changed(speaker_job(panel__behind__glass=AtClock.model_validate(_glass())), aim=AimAngles(8.0, 315.0))
    seat = plan_ring(job).seat
    normal = np.array([0.05, -0.06, 1.0]) / sqrt(1 + 0.05**2 + 0.06**2)
    axis = np.array([-sin(radians(8)) * sin(radians(45)), sin(radians(8)) * cos(radians(45)), cos(radians(8))])
    lean = sqrt(1 - float(normal @ axis) ** 2)
    gaps = []
    for depth, across in ((0.0, 115.0), (16.0, 104.0), (30.0, 84.0), (36.0, 78.0), (56.0, 78.0)):
        middle = np.array([0.0, 0.0, 22.0]) + (1.2 - depth) * axis
        gaps.append(float(normal @ (middle - np.array([0.0, 0.0, -48.0]))) - across / 2 * lean)
    assert seat.lift == pytest.approx(1.2)
    closed, meshed = told(job, "clear.glass", "body", "glass")
    assert closed == pytest.approx(min(gaps), abs=1e-9)
    assert meshed == pytest.approx(min(gaps), abs=CHORDS)


def _glass() -> dict[str, dict[float, float]]:
    """Depths read at the opening's edge, 120 across, of the plane z = −48 − 0.05 x + 0.06 y."""
    rim = {clock: (60 * sin(radians(clock)), 60 * cos(radians(clock))) for clock in (0.0, 90.0, 180.0, 270.0)}
    return {"at_clock": {clock: 48 + 0.05 * x - 0.06 * y for clock, (x, y) in rim.items()}}


# --- overlaps --------------------------------------------------------------------------------------------------------


def cq_rod(across: float, tall: float, at: Vector, way: Vector) -> cq.Solid:
    return cq.Solid.makeCylinder(across / 2, tall, cq.Vector(*at), cq.Vector(*way))


def cq_frustum(low: float, high: float, tall: float, at: Vector, way: Vector) -> cq.Solid:
    return cq.Solid.makeCone(low / 2, high / 2, tall, cq.Vector(*at), cq.Vector(*way))


LEANS = tilt_frame((10.0, -4.0, 2.0), 12.0, 60.0)
ACROSS = Frame((0.0, 50.0, 0.0), SIDEWAYS.x, SIDEWAYS.z)
PAIRS: dict[str, Callable[[], tuple[Body, Body, cq.Shape]]] = {
    "crossed rods": lambda: (
        rod(40.0, 100.0, PANEL.lifted(-50.0)),
        rod(40.0, 100.0, ACROSS),
        cq_rod(40.0, 100.0, (0, 0, -50), (0, 0, 1)).intersect(cq_rod(40.0, 100.0, (0, 50, 0), (0, -1, 0))),
    ),
    "a rod through a leaning one": lambda: (
        rod(60.0, 100.0, PANEL.lifted(-50.0)),
        rod(24.0, 120.0, LEANS.lifted(-60.0)),
        cq_rod(60.0, 100.0, (0, 0, -50), (0, 0, 1)).intersect(cq_rod(24.0, 120.0, LEANS.lifted(-60.0).origin, LEANS.z)),
    ),
    "a cone in a rod": lambda: (
        cone(104.0, 60.0, 40.0, LEANS),
        rod(30.0, 100.0, ACROSS),
        cq_frustum(104.0, 60.0, 40.0, LEANS.origin, LEANS.z).intersect(cq_rod(30.0, 100.0, (0, 50, 0), (0, -1, 0))),
    ),
    "a leaning disc in a plate": lambda: (
        Prism(circle(100.0), 0.0, 12.0, LEANS),
        Prism(rectangle(300.0, 300.0, 0.0), -20.0, 0.0),
        cq_rod(100.0, 12.0, LEANS.origin, LEANS.z).intersect(
            cq.Solid.makeBox(300, 300, 20, cq.Vector(-150, -150, -20))
        ),
    ),
    "a rod across the edge of an opening": lambda: (
        rod(78.0, 30.0, PANEL.shifted(25.0, 0.0).lifted(-15.0)),
        Prism(rectangle(300.0, 300.0, 0.0), -2.0, 0.0, islands=(circle(120.0),)),
        cq_rod(78.0, 30.0, (25, 0, -15), (0, 0, 1)).intersect(
            cq.Solid.makeBox(300, 300, 2, cq.Vector(-150, -150, -2)).cut(cq_rod(120.0, 4.0, (0, 0, -3), (0, 0, 1)))
        ),
    ),
}


@pytest.mark.parametrize("name", PAIRS)
def test_an_overlap_is_the_common_volume_of_the_b_rep_kernel(name):
    """Less what the chords leave out: (2 π / n)² / 6 of a circle's area, once for each of the two."""
    one, other, common = PAIRS[name]()
    assert common.Volume() > 100
    assert shared(one, other) == pytest.approx(common.Volume(), rel=3 * (2 * pi / FINE) ** 2)


def test_crossed_rods_share_two_thirds_of_the_diameter_cubed():
    """Steinmetz's solid."""
    one, other, common = PAIRS["crossed rods"]()
    assert common.Volume() == pytest.approx(2 / 3 * 40.0**3, rel=1e-6)
    assert shared(one, other) == pytest.approx(2 / 3 * 40.0**3, rel=3 * (2 * pi / FINE) ** 2)


def test_a_tilted_disc_in_a_plane_shares_a_wedge():
    """A cylinder cut by a plane through its base's diameter: the hoof, 2/3 r² h with h = r tan θ (Archimedes)."""
    frame, r = tilt_frame((0.0, 0.0, 0.0), 10.0, 90.0), 50.0
    hoof = 2 / 3 * r**2 * r * tan(radians(10))
    found = shared(Prism(circle(2 * r), 0.0, 40.0, frame), Prism(rectangle(300.0, 300.0, 0.0), -90.0, 0.0))
    assert found == pytest.approx(hoof, rel=1e-4)


def test_bodies_that_only_touch_share_nothing():
    assert shared(rod(40.0, 10.0), rod(40.0, 10.0, PANEL.lifted(10.0))) == 0.0
    assert shared(rod(40.0, 10.0), rod(40.0, 10.0, PANEL.lifted(9.99))) == pytest.approx(
        pi / 4 * 40**2 * 0.01, rel=1e-3
    )


@pytest.mark.parametrize("aside", [3.0, 5.0])
def test_a_speaker_pushed_into_its_ring_shares_with_it_what_the_b_rep_kernel_says(aside):
    """The demo's body shifted sideways in its bore; both solids with OCCT, the ring's triangles sagging by `SAG`."""
    job = jobs_of("linnet-woofer")[0]
    plan = plan_ring(job)
    ring = _ring()
    (body,) = next(one for one in surroundings(job, plan) if one.ident.label == "body").bodies
    assert isinstance(body, Revolved)
    pushed = Revolved(body.frame.shifted(aside, 0.0), body.profile)
    common = ring.solid.intersect(_turned(pushed))
    found = overlap_volume(assemble(ring, (Envelope(ident("body"), (pushed,)),)), ident("body"), ident("mount"))
    inside = sum(face.Area() for face in common.Faces()) / 2  # about half of its skin is the ring's
    assert common.Volume() > 50
    assert abs(found - common.Volume()) < SAG * inside
    assert abs(found - common.Volume()) < 0.02 * common.Volume()
    clear = overlap_volume(assemble(ring, (Envelope(ident("body"), (body,)),)), ident("body"), ident("mount"))
    assert clear == 0.0


@cache
def _ring() -> Part:
    return brep.build(draw_ring(plan_ring(jobs_of("linnet-woofer")[0])).recipe, SAG)


def _turned(body: Revolved) -> cq.Solid:
    """A body of revolution by cadquery, its profile turned about its frame's axis."""
    plane = cq.Plane(body.frame.origin, body.frame.x, tuple(-body.frame.axes[:, 1]))  # its y is the body's z
    first, last = body.profile[0], body.profile[-1]
    outline = [(0.0, first[0]), *((across / 2, z) for z, across in body.profile), (0.0, last[0])]
    turned = cq.Workplane(plane).polyline(outline).close().revolve(360, (0, 0, 0), (0, 1, 0)).val()
    assert isinstance(turned, cq.Solid)
    return turned
