"""The library's own places, speakers and printers agree with themselves and with common mounting practice.

They are invented, so what can be checked is that a practitioner could have measured them: a body that passes its
cutout, screws that hold, fixings with room for a seal, and sizes that follow published conventions: four-hole frames
(a driver maker's note: 5 in 130 outside on a diagonal of 135, 6 x 9 in holes 165 x 110 apart) and an effective cone 25
to 50 smaller than the advertised diameter (an electrical engineering handbook's page on diaphragm size).
"""

import re
from fractions import Fraction
from functools import cache
from itertools import combinations, pairwise
from math import atan, cos, degrees, dist, hypot, pi, radians, sin, sqrt
from pathlib import Path
from typing import Any

import ezdxf
import pytest
import yaml
from ezdxf.math import bulge_center, bulge_radius

from mounts.geometry.outline import Arc, Outline, Point, circle, oblong, rectangle

PROFILES = Path(__file__).parents[2] / "profiles"
FILES = sorted(path for path in PROFILES.glob("*/*.yaml") if path.parent.name != "jobs")
SPEAKERS = sorted(path.stem for path in PROFILES.glob("speakers/*.yaml"))
CONES = [name for name in SPEAKERS if "tweeter" not in name]
PLACES = sorted(path.stem for path in PROFILES.glob("panels/*.yaml"))


@cache
def profile(kind: str, name: str) -> dict[str, Any]:
    found: dict[str, Any] = yaml.safe_load((PROFILES / kind / f"{name}.yaml").read_text(encoding="utf-8"))
    return found


OPEN = [name for name in PLACES if "opening" in profile("panels", name)]
PINNED = [name for name in PLACES if name not in OPEN]
PLAIN = {"at", "bolt_circle"}  # patterns told by coordinates; those that are solved are held in test_survey.py
PANELS = [name for name in OPEN if PLAIN & set(profile("panels", name)["fixings"])]


def mm(value: float | str) -> float:
    """A length in mm from a number, or from inches such as "5 3/4 in"."""
    if isinstance(value, int | float):
        return float(value)
    sign = -1 if value.startswith("-") else 1
    return sign * float(sum(Fraction(part) for part in value.strip("-").removesuffix("in").split())) * 25.4


def at(pair: list[float | str]) -> Point:
    return (mm(pair[0]), mm(pair[1]))


def on_circle(pattern: dict[str, Any]) -> list[Point]:
    """Hole centres of a bolt circle, clockwise from its first."""
    hours, minutes = map(int, pattern["first"].split(":"))
    turns = [radians(30 * hours + minutes / 2 + 360 * k / pattern["count"]) for k in range(pattern["count"])]
    return [(pattern["diameter"] / 2 * sin(t), pattern["diameter"] / 2 * cos(t)) for t in turns]


def points(pattern: dict[str, Any]) -> list[Point]:
    if "bolt_circle" in pattern:
        return on_circle(pattern["bolt_circle"])
    given = pattern["at"].values() if isinstance(pattern["at"], dict) else pattern["at"]
    return [at(pair) for pair in given]


def outline(spec: float | dict[str, Any]) -> Outline:
    if not isinstance(spec, dict):
        return circle(mm(spec))
    if "oblong" in spec:
        return oblong(*at(spec["oblong"]))
    if "rectangle" in spec:
        return rectangle(*spec["rectangle"])
    if "square" in spec:
        return rectangle(spec["square"], spec["square"], spec["corner"])
    if "outline" in spec:
        return drawn(PROFILES / "speakers" / spec["outline"])
    return circle(mm(spec["round"] if "round" in spec else spec["diameter"]))


def drawn(path: Path) -> Outline:
    """The one closed polyline of arcs in a drawing, counter-clockwise."""
    drawing = ezdxf.readfile(path)
    assert drawing.header["$INSUNITS"] == 4  # mm
    (line,) = drawing.modelspace()
    corners = [(v.dxf.location.vec2, v.dxf.bulge) for v in line.vertices]
    arcs = []
    for (start, bulge), (end, _) in zip(corners, corners[1:] + corners[:1], strict=True):
        centre = bulge_center(start, end, bulge)
        begin = degrees((start - centre).angle)
        arcs.append(Arc((centre.x, centre.y), 2 * bulge_radius(start, end, bulge), begin, degrees(4 * atan(bulge))))
    assert line.is_closed
    return Outline(tuple(arcs))


def least_width(shape: Outline) -> float:
    return min(shape.support(a) + shape.support(a + 180) for a in range(180))


def body_at(speaker: dict[str, Any], depth: float) -> float:
    for a, b in pairwise(speaker["body"]):
        if a["depth"] <= depth <= b["depth"]:
            share = (depth - a["depth"]) / (b["depth"] - a["depth"])
            return float(a["across"] + share * (b["across"] - a["across"]))
    raise AssertionError(f"no body at {depth}")


def piston(speaker: dict[str, Any]) -> float:
    if "piston" in speaker:
        return float(speaker["piston"])
    return sqrt(float(speaker["sd"].removesuffix(" cm2")) * 100 * 4 / pi)


# --- every file ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_a_file_names_its_schema_itself_and_where_its_figures_come_from(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    values = yaml.safe_load(text)
    assert text.startswith("# yaml-language-server: $schema=../schema.json\n")
    assert values["name"] == path.stem
    assert values["kind"] == path.parent.name.removesuffix("s")
    if values["kind"] in ("panel", "speaker", "printer", "device", "kit"):
        assert "invented" in values["about"]
    else:
        assert values["source"]
        assert values["confidence"]


def test_no_bought_part_stands_twice() -> None:
    families = [yaml.safe_load(p.read_text(encoding="utf-8")) for p in FILES if p.parent.name == "hardware"]
    names = [name for family in families for name in family["items"]]
    assert len(names) == len(set(names))
    kinds = {item["is"] for family in families for item in family["items"].values()}
    wanted = "rivet-nut expansion-nut clip-nut thread insert pilot through screw washer"
    assert kinds == set(wanted.split())


def test_the_library_holds_what_is_promised() -> None:
    assert {"linnet-cargo", "linnet-rear-door", "linnet-slider", "linnet-tailgate"} <= set(PANELS)
    inches = {profile("speakers", name).get("nominal") for name in CONES}
    assert {"4 in", "5.25 in", "6.5 in", "8 in"} <= inches
    assert sorted(path.stem for path in PROFILES.glob("printers/*.yaml")) == ["bed-180", "bed-210", "bed-250"]


# --- speakers --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SPEAKERS)
def test_the_body_passes_its_cutout_and_runs_from_the_seat_to_the_depth(name: str) -> None:
    speaker = profile("speakers", name)
    steps = [(step["depth"], step["across"]) for step in speaker["body"]]
    assert steps[0][0] == 0
    assert steps[-1][0] == speaker["depth"]
    assert all(a[0] < b[0] and a[1] >= b[1] for a, b in pairwise(steps))
    assert steps[0][1] < least_width(outline(speaker["cutout"]))


@pytest.mark.parametrize("name", CONES)
def test_the_body_leaves_2_a_side_deeper_than_5_in_a_bore_1_wider_than_the_cutout(name: str) -> None:
    # common practice: 0.5 a side near the seat, 2 deeper; terminals 4
    speaker = profile("speakers", name)
    cutout = outline(speaker["cutout"])
    bore = least_width(cutout) + 1
    assert bore - body_at(speaker, 0) >= 2 * 0.5
    assert bore - body_at(speaker, 5) >= 2 * 2
    plug = speaker["terminals"]
    assert plug["at"] == "6:00"
    gaps = [cutout.depth((side * plug["width"] / 2, -plug["reach"])) + 0.5 for side in (-1, 1)]
    assert min(gaps) >= 4
    assert 0 < plug["depth"][0] < plug["depth"][1] <= speaker["depth"]
    assert plug["reach"] > body_at(speaker, plug["depth"][1]) / 2  # they stand out of the body


@pytest.mark.parametrize("name", [n for n in SPEAKERS if "holes" in profile("speakers", n)])
def test_the_screw_holes_lie_outside_the_cutout_and_inside_the_flange_or_its_ears(name: str) -> None:
    speaker = profile("speakers", name)
    cutout, flange, across = outline(speaker["cutout"]), outline(speaker["flange"]), speaker["holes"]["diameter"]
    for point in points(speaker["holes"]):
        assert cutout.depth(point) < -across / 2 - 0.5
        rim = flange.depth(point) - across / 2
        ear = speaker["flange"].get("ears", 0) / 2 - across / 2
        assert max(rim, ear) >= 1.5


@pytest.mark.parametrize("name", CONES)
def test_the_cone_is_as_much_smaller_than_its_advertised_size_as_cones_are(name: str) -> None:
    speaker = profile("speakers", name)
    assert pi / 4 * piston(speaker) ** 2 < outline(speaker["cutout"]).area
    if "nominal" in speaker:
        assert 25 <= mm(speaker["nominal"]) - piston(speaker) <= 50
    assert speaker["front"]["height"] >= speaker["flange"]["thickness"]  # the flange is fixed and stands on the seat


def test_the_eared_frame_has_ears_that_reach_beyond_it() -> None:
    # a driver maker's note on 5 in frames: outside 130, hole diagonal 135, so the screws lie beyond the round frame
    speaker = profile("speakers", "demo-eared-130")
    assert (speaker["flange"]["diameter"], speaker["holes"]["bolt_circle"]["diameter"]) == (130, 135)


def test_the_shallow_woofer_is_shallow() -> None:
    assert profile("speakers", "demo-shallow-165")["depth"] <= 45


def test_the_oval_is_four_arcs_that_meet_smoothly_and_clears_holes_that_no_slot_would() -> None:
    # 6 x 9 in: adjacent holes 165 x 110 apart (the driver maker's note)
    speaker = profile("speakers", "demo-oval-6x9")
    cutout = outline(speaker["cutout"])
    assert cutout.box == pytest.approx((-110.5, -76, 110.5, 76), abs=1e-6)
    assert len(cutout.arcs) == 4
    assert cutout.is_convex
    assert (outline(speaker["flange"]).box[2] - 110.5, outline(speaker["flange"]).box[3] - 76) == (8.5, 7.5)
    (corner, *_) = points(speaker["holes"])
    assert (2 * corner[0], 2 * corner[1]) == (165, 110)
    assert oblong(221, 152).depth(corner) > 0


# --- panels ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", PANELS)
def test_every_fixing_leaves_room_for_an_unbroken_seal(name: str) -> None:
    # common practice: lip 1.2, gasket 4 wide at least, unbroken land 4 to the recess of an M5 rivet nut, 7.9 + 2 across
    panel = profile("panels", name)
    opening, bead = outline(panel["opening"]), panel["face"].get("bead")
    inner = circle(bead["outside"]) if bead else opening
    for point in points(panel["fixings"]):
        assert inner.depth(point) <= -(1.2 + 4 + 4 + (7.9 + 2) / 2)
        assert hypot(*point) < 150
    assert all(dist(a, b) > 40 for a, b in combinations(points(panel["fixings"]), 2))


@pytest.mark.parametrize("name", PANELS)
def test_the_holes_take_an_m5_rivet_nut_or_can_be_opened_to_it(name: str) -> None:
    # distributor's sheets: M5 in thin sheet needs 7.2, with a flat head 8.0; both grip 0.5 to 3.0
    panel = profile("panels", name)
    hole = mm(panel["fixings"]["hole"])
    assert 6.9 <= hole <= 7.2 + 0.2 or hole == 8.0
    assert 0.5 <= panel["face"]["thickness"] <= 3.0


@pytest.mark.parametrize("name", PANELS)
def test_what_is_behind_and_in_front_was_read(name: str) -> None:
    panel = profile("panels", name)
    assert "glass" in panel["behind"] or panel["behind"]["things"]
    if set(panel["in_front"]) == {"grille"}:  # a shelf has a grille and no trim
        return
    trim, grille = (readings(panel["in_front"][key]) for key in ("trim", "grille"))
    assert max(trim) < min(grille)  # the grille lies over the trim's edge
    assert least_width(outline(panel["in_front"]["trim"]["opening"])) > least_width(outline(panel["opening"]))


def readings(spec: float | str | dict[str, Any]) -> list[float]:
    if not isinstance(spec, dict):
        return [mm(spec)]
    given = spec["at_clock"]
    return [mm(value) for value in given.values()] if isinstance(given, dict) else [mm(given)]


@pytest.mark.parametrize("name", PINNED)
def test_pins_are_such_as_are_staked(name: str) -> None:
    """Staking guides: studs 3.2 mm or less across for a dome, standard studs 1.6 D over the part and more."""
    panel = profile("panels", name)
    for pin in panel["pins"].values():
        assert 2.0 <= pin["diameter"] <= 3.2
        assert pin["height"] > 1.6 * pin["diameter"] + 1.6  # and a plate under it
    apart = [dist(at(a["at"]), at(b["at"])) for a, b in combinations(panel["pins"].values(), 2)]
    assert min(apart) > 20
    assert panel["room"] > max(pin["height"] for pin in panel["pins"].values())
    assert {"read_with", "place", "plastic", "origin", "grille", "nearby"} <= set(panel)


def test_the_rear_door_has_three_holes_on_no_circle_about_its_opening_two_under_a_6_inch_flange() -> None:
    panel = profile("panels", "linnet-rear-door")
    reach = sorted(hypot(*point) for point in points(panel["fixings"]))
    assert len(reach) == 3
    assert reach[1] - reach[0] > 1
    assert reach[2] - reach[1] > 2
    # an M4 screw's path, a 9 washer and 1, comes under this flange but not into its bore with a wall of 3
    speaker = profile("speakers", "demo-woofer-165")
    assert reach[1] < speaker["flange"]["diameter"] / 2
    assert reach[0] - 5 > (speaker["cutout"] + 1) / 2 + 3


def test_the_slider_is_read_in_inches() -> None:
    # 1 in = 25.4 mm exactly (international yard and pound agreement, 1959)
    panel = profile("panels", "linnet-slider")
    assert outline(panel["opening"]).box == pytest.approx((-73.025, -53.975, 73.025, 53.975), abs=1e-9)
    assert points(panel["fixings"])[1] == pytest.approx((67.564, -53.34), abs=1e-9)
    assert mm(panel["fixings"]["hole"]) == pytest.approx(7.14375, abs=1e-9)
    assert all(re.search(r" in$", value) for pair in panel["fixings"]["at"].values() for value in pair)


def test_the_cargo_panel_has_glass_close_behind_that_a_shallow_woofer_clears() -> None:
    # common practice: 10 to the glass; the seat may stand 22 above the face
    panel, speaker = profile("panels", "linnet-cargo"), profile("speakers", "demo-shallow-165")
    nearest = min(readings(panel["behind"]["glass"]))
    assert nearest < profile("speakers", "demo-woofer-165")["depth"] - 22 + 10
    assert nearest >= speaker["depth"] - 22 + 10
    assert panel["fixings"]["heights"] == {"C": 1.6}
    assert panel["face"]["bead"]["inside"] > panel["opening"]["round"]


def test_the_tailgates_ring_is_wider_than_180_and_narrower_than_250() -> None:
    # hole centre to edge 2 hole diameters (common practice), M5 in a hole of 6.0
    panel = profile("panels", "linnet-tailgate")
    spread = panel["fixings"]["bolt_circle"]["diameter"]
    assert spread > 180
    assert spread + 2 * 2 * 6.0 < 250
    assert spread > profile("speakers", "demo-woofer-200")["flange"]["diameter"]
