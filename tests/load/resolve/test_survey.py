"""Panels whose fixings are told by distances, a drawing, or points along rims: what follows sees plain points."""

from __future__ import annotations

from collections.abc import Callable
from math import cos, sin
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest

from mounts.geometry.survey.survey import OPENING
from mounts.load.models.panel import SurveyedPanel
from mounts.load.resolve.library import Library

AT = "  at: {A: [58.0, 53.5], B: [58.5, -54.0], C: [-57.5, -53.0], D: [-58.0, 54.0]}\n  heights: {C: 1.2}\n"
DISTANCES = """\
  distances:
    between: inside edges
    readings: {A-B: 100.5, B-C: 109.0, C-D: 100.0, D-A: 109.0, A-C: 150.1, B-D: 151.9}
    to_opening: {A: 15.4, B: 16.1, C: 14.7, D: 15.7}
    level: [D, A]
  order: clockwise
"""
RIGHT = {"A": (57.8, 53.8), "B": (58.8, -53.8), "C": (-57.3, -53.3), "D": (-58.3, 53.8)}
Points = dict[str, tuple[float, float]]


def near(points: Points, others: Points, within: float = 0.1) -> bool:
    return points.keys() == others.keys() and all(
        np.hypot(points[n][0] - others[n][0], points[n][1] - others[n][1]) < within for n in points
    )


def told(shop: Any, fixings: str, opening: str = "{round: 120}", seen_from: str = "") -> None:
    """Writes the door with other fixings."""
    shop.change("panels/door.yaml", AT, fixings)
    shop.change("panels/door.yaml", "opening: {round: 120}\nfixings", f"opening: {opening}\nfixings")
    shop.change("panels/door.yaml", "place: door\n", f"place: door\n{seen_from}")


def test_distances_become_points_in_each_side_s_hand(shop):
    told(shop, DISTANCES)
    left, right = shop.load()
    assert near(left.panel.fixings.points, RIGHT)
    assert near(right.panel.fixings.points, {name: (-x, y) for name, (x, y) in RIGHT.items()})
    here, there = (np.array(job.fixings_covariance()) for job in (left, right))
    signs = np.outer([-1, 1] * 4, [-1, 1] * 4)
    assert there == pytest.approx(here * signs)
    assert here == pytest.approx(here.T)
    assert np.linalg.eigvalsh(here).min() > 0
    # by the pattern's own size: what the level leaves open is 0.5 degrees about the opening's centre
    turned = 79.0 * np.radians(0.5)
    assert np.sqrt(here[0, 0] + here[1, 1]) == pytest.approx(np.hypot(turned, 0.33), abs=0.06)


def test_a_job_s_own_limits_scale_the_covariance(shop):
    told(shop, DISTANCES)
    usual = np.array(shop.load()[0].fixings_covariance())
    shop.change("jobs/woofer.yaml", "height: 22\n", "height: 22\nlimits: {caliper: 0.5, level: 1.0}\n")
    assert np.array(shop.load()[0].fixings_covariance()) == pytest.approx(4 * usual)


def test_what_is_given_as_points_has_the_instrument_s_error(shop):
    assert np.array(shop.load()[0].fixings_covariance()) == pytest.approx(np.eye(8) * 0.25**2)


def test_what_was_seen_from_behind_is_mirrored_once(shop):
    told(shop, DISTANCES.replace("order: clockwise", "order: anticlockwise").replace("[D, A]", "[A, D]"))
    shop.change("panels/door.yaml", "place: door\n", "place: door\nseen_from: behind\n")
    left, _ = shop.load()
    assert near(left.panel.fixings.points, RIGHT)  # from behind, letters run the other way and A lies on the left


def test_heights_belong_to_the_holes_that_were_read(shop):
    told(shop, f"{DISTANCES}  heights: {{C: 1.2}}\n  holes: {{B: 9.0}}\n")
    shop.change("panels/door.yaml", "B: 9.0", "B: 7.4")  # the rivet nut wants 7.2 to 7.4
    fixings = shop.load()[0].panel.fixings
    assert (fixings.heights, fixings.size("A"), fixings.size("B")) == ({"C": 1.2}, 7.0, 7.4)
    shop.change("panels/door.yaml", "B: 7.4", "B: 8.2")  # over 7.4 and three times a caliper's 0.25
    (problem,) = shop.problems()
    assert "fixings.holes.B: the hole is 8.2, but nut-m5 holds in 7.2 to 7.4" in problem


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        (
            "D-A: 109.0, A-C: 150.1, B-D: 151.9",
            "D-A: 109.0",
            "",  # the opening's centre braces four sides
        ),
        (
            "A-C: 150.1",
            "A-C: 159.1",
            "door.yaml:12:69 fixings.distances.readings.A-C: A-C reads 159.1, the others make it 150.1 (",
        ),
        (
            "    level: [D, A]\n",
            "",
            "door.yaml:11:5 fixings.distances.level: nothing says how the pattern is turned; give level: [D, A]",
        ),
        (
            "  order: clockwise\n",
            "",
            "door.yaml:9:3 fixings: order is missing; give clockwise or anticlockwise, as A, B, C, D are seen",
        ),
        (
            "order: clockwise",
            "order: [A, C, B, D]",
            "door.yaml:12:15 fixings.distances.readings: the distances between holes agree with all else where A and D",
        ),
        ("{A: 15.4,", "{E: 15.4,", 'door.yaml:11:5 fixings.distances: "E" is in no distance; holes: A, B, C, D'),
        ("A-B: 100.5", "A-A: 100.5", 'door.yaml:12:15 fixings.distances.readings: "A-A" names no two holes'),
        ("inside edges", "edges", 'door.yaml:11:14 fixings.distances.between: "edges" is not known here; give inside'),
    ],
)
def test_wrong_readings_are_told_at_their_key(shop, old, new, says):
    told(shop, DISTANCES)
    shop.change("panels/door.yaml", old, new)
    if not says:
        assert near(shop.load()[0].panel.fixings.points, RIGHT, 0.5)
        return
    (problem,) = [p for p in shop.problems() if "fixings" in p]
    assert problem.startswith(f"panels/{says}")


Draw = Callable[[Any], None]


def drawn(shop: Any, draw: Draw, units: int = 4) -> None:
    drawing = ezdxf.new()
    drawing.header["$INSUNITS"] = units
    draw(drawing.modelspace())
    drawing.saveas(Path("profiles/panels/door.dxf"))


def sheet(space: Any, scale: float = 1.0) -> None:
    """Opening of 120 about (300, 200), four holes, a drain hole, a centre line; the sheet's corner is the origin."""

    def at(x: float, y: float) -> tuple[float, float]:
        return ((300 + x) * scale, (200 + y) * scale)

    space.add_circle(at(0, 0), 60 * scale, dxfattribs={"layer": "CUT"})
    for x, y in [(-58, 54), (58, 53.5), (58.5, -54), (-57.5, -53)]:
        space.add_circle(at(x, y), 3.5 * scale, dxfattribs={"layer": "HOLES"})
    space.add_circle(at(0, -90), 5 * scale, dxfattribs={"layer": "CUT"})
    space.add_line(at(0, -120), at(0, 120), {"layer": "NOTES"})


GIVEN = {"A": (58.0, 53.5), "B": (58.5, -54.0), "C": (-57.5, -53.0), "D": (-58.0, 54.0)}


@pytest.mark.parametrize("opening", ["{round: 120}", "{trace: door.dxf}", "{trace: {file: door.dxf, layer: CUT}}"])
@pytest.mark.parametrize("fixings", ["{file: door.dxf}", "{file: door.dxf, layer: HOLES}"])
def test_a_trace_gives_holes_about_the_opening_wherever_it_lies(shop, opening, fixings):
    drawn(shop, sheet)
    told(shop, f"  trace: {fixings}\n", opening)
    left, _ = shop.load()
    assert near(left.panel.fixings.points, GIVEN, 1e-6)
    assert left.panel.opening.diameter_ == pytest.approx(120.0)


def test_a_trace_in_inches_that_does_not_say_so(shop):
    drawn(shop, lambda space: sheet(space, 1 / 25.4), units=0)
    told(shop, "  trace: {file: door.dxf, unit: in}\n")
    assert near(shop.load()[0].panel.fixings.points, GIVEN, 1e-6)


def test_a_trace_may_be_polylines_with_gaps(shop):
    def rough(space: Any) -> None:
        sheet(space)
        for circle in list(space.query('CIRCLE[layer=="HOLES"]')):
            x, y, _ = circle.dxf.center
            turns = np.linspace(0.02, 2 * np.pi - 0.02, 24)
            space.add_lwpolyline(
                [(x + 3.5 * np.cos(t), y + 3.5 * np.sin(t)) for t in turns], dxfattribs={"layer": "HOLES"}
            )
            space.delete_entity(circle)

    drawn(shop, rough)
    told(shop, "  trace: {file: door.dxf, layer: HOLES}\n")
    assert near(shop.load()[0].panel.fixings.points, GIVEN, 0.05)
    shop.change("panels/door.yaml", "layer: HOLES", "layer: HOLES, gap: 0.05")
    (problem,) = [p for p in shop.problems() if "trace" in p]
    assert 'an outline on layer "HOLES" is open by 0.14 at' in problem


@pytest.mark.parametrize(
    ("fixings", "opening", "says"),
    [
        (
            "{file: door.dxf, layer: CUT}",
            "{round: 120}",
            'layer "CUT" of "door.dxf" holds a circle of 10.0 at (300.0, 110.0)',
        ),
        (
            "{file: door.dxf, layer: NOTES}",
            "{round: 120}",
            '"door.dxf" holds 0 circles of about 7; a mount needs at least 2',
        ),
        ("{file: door.dxf}", "{trace: {file: door.dxf, layer: HOLES}}", "say which is the opening"),
        ("{file: lost.dxf}", "{round: 120}", 'there is no file "lost.dxf" beside this one'),
    ],
)
def test_what_a_trace_leaves_open_is_asked_for(shop, fixings, opening, says):
    drawn(shop, sheet)
    told(shop, f"  trace: {fixings}\n", opening)
    assert says in " ".join(shop.problems())


def test_circles_of_several_sizes_need_a_word(shop):
    drawn(shop, sheet)
    told(shop, "  trace: door.dxf\n")
    shop.change("panels/door.yaml", "  hole: 7.0\n", "")
    said = "holds circles of 7.0 (4), 10.0 (1); say which are fixings: give hole, their diameter, or trace"
    assert said in " ".join(shop.problems())


def rim(x: float, y: float, diameter: float, count: int = 6) -> str:
    turns = (np.linspace(0.0, 2 * np.pi, count, endpoint=False) + 0.3).tolist()
    return str([[round(x + diameter / 2 * cos(t), 3), round(y + diameter / 2 * sin(t), 3)] for t in turns])


def test_points_along_rims_give_holes_about_the_opening_s_centre(shop):
    rims = "".join(f"    {name}: {rim(100 + x, 90 + y, 7.0)}\n" for name, (x, y) in GIVEN.items())
    told(shop, f"  points:\n{rims}", f"{{points: {rim(100, 90, 120.0, 12)}}}")
    left, _ = shop.load()
    assert near(left.panel.fixings.points, GIVEN, 0.01)
    assert left.panel.opening.diameter_ == pytest.approx(120.0, abs=0.01)
    # least squares of a circle: σ²·2/n for each coordinate; the opening's centre moves all of them together
    covariance = np.array(left.fixings_covariance())
    assert covariance[0, 0] == pytest.approx(0.25**2 * (2 / 6 + 2 / 12), rel=1e-3)
    assert covariance[0, 2] == pytest.approx(0.25**2 * 2 / 12, rel=1e-3)


def test_points_that_are_no_such_hole_are_refused(shop):
    rims = "".join(f"    {name}: {rim(x, y, 8.5 if name == 'B' else 7.0)}\n" for name, (x, y) in GIVEN.items())
    told(shop, f"  points:\n{rims}")
    (problem,) = [p for p in shop.problems() if "fixings" in p]
    assert "fixings.points.B: the points of B lie on a circle of 8.5, but its hole is 7" in problem


def test_the_demo_panels_are_surveyed(profiles):
    library = Library(profiles)
    surveyed = [library.load("panel", file).value for file in library.files("panel") if "linnet" in file.stem]
    assert {p.fixings.given_key for p in surveyed if isinstance(p, SurveyedPanel)} == {"distances", "trace", "points"}


def test_a_hole_called_opening_is_not_taken_for_the_opening(shop):
    names = {name: "opening" if name == "B" else name for name in GIVEN}
    rims = "".join(f"    {names[name]}: {rim(x + 100, y + 90, 7.0)}\n" for name, (x, y) in GIVEN.items())
    told(shop, f"  points:\n{rims}", f"{{points: {rim(100, 90, 120.0, 12)}}}")
    left, _ = shop.load()
    assert near(left.panel.fixings.points, {names[name]: at for name, at in GIVEN.items()}, 0.01)
    assert left.panel.opening.diameter_ == pytest.approx(120.0, abs=0.01)
    sizes = dict(left.panel.survey.rims)
    assert sizes[OPENING].sizes[0] == pytest.approx(120.0, abs=0.01)
    assert sizes["opening"].sizes[0] == pytest.approx(7.0, abs=0.01)
