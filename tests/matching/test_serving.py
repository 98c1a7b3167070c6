"""Whether a known mount goes on another panel as printed."""

from __future__ import annotations

import os
import shutil
from math import erf, sqrt
from pathlib import Path
from statistics import NormalDist

import pytest

from mounts.design.chance import Errors
from mounts.load.resolve.library import Library
from mounts.matching.index import jobs_of
from mounts.matching.match import SearchOptions, search_panels
from mounts.matching.screen import own_job, serves_as_it_is
from mounts.matching.serving import MountHoles, chances, servings
from tests.libraries import nobody, write

PROFILES = Path(__file__).parents[2] / "profiles"
ABOUT = 3 * (0.25 / 2000) ** 0.5  # three standard deviations of a share of the samples
FRONT = {"P": (-58.1, 53.4), "Q": (57.9, 54.1), "R": (57.6, -53.1), "S": (-58.4, -54.0)}  # the demo door, mirrored
AROUND = """behind: {glass: 60, things: [{what: rail, at: [-48, -30], size: [22, 90], depth: 60}]}
in_front: {trim: {at_clock: 46, opening: {round: 128}}, grille: 53}
face: {of: steel, thickness: 0.9}
"""
HEAD = "side: right\nplace: door\nread_with: {holes: caliper}\n"


@pytest.fixture
def shop(tmp_path):
    """The demo library, and room for panels of one's own."""
    return Path(shutil.copytree(PROFILES, tmp_path / "profiles"))


def two_holes(tmp_path, apart, *, there="caliper", here="caliper"):
    """A pattern of two holes 80 apart on another that was read `apart` wider."""
    for name, x, read in (("known", 0.0, there), ("asked", apart, here)):
        holes = {"A": (-70.0 - x / 2, 0.0), "B": (70.0 + x / 2, 0.0)}
        write(tmp_path, name, holes, head=f"read_with: {{holes: {read}}}\n", opening="{round: 100}")
    looked = search_panels(tmp_path, "asked", SearchOptions(), nobody)
    return looked.matches[0], looked.known


@pytest.mark.parametrize("apart", [0.0, 0.4, 0.9])
def test_two_holes_fail_by_their_distance_alone(tmp_path, apart):
    """Free to shift and turn, two screws go in when their distance is off by less than both gaps together.

    It is off by what the readings differ by, with the error of one panel's two readings: √2 σ (closed form).
    """
    match, panel = two_holes(tmp_path, apart)
    gap = 0.5
    normal = NormalDist(apart, sqrt(2) * 0.25)
    right = normal.cdf(2 * gap) - normal.cdf(-2 * gap)
    as_read, _ = chances(match, panel, MountHoles((gap, gap), (None, None), "", Errors((), 0.0)))
    assert as_read == pytest.approx(right, abs=ABOUT)
    if apart == 0:
        assert as_read == pytest.approx(erf(2 * gap / (2 * 0.25)), abs=ABOUT)


@pytest.mark.parametrize(("there", "share"), [("caliper", 0.5), ("0.5", 0.8), ("0.125", 0.2)])
def test_if_both_are_one_pattern_the_better_reading_counts_for_more(tmp_path, there, share):
    """The mean of two readings weighted by 1/σ², and its variance 1/(1/σ₁² + 1/σ₂²): any text on adjustment."""
    match, panel = two_holes(tmp_path, 0.6, there=there)
    gap, one, two = 0.25, 0.25 if there == "caliper" else float(there), 0.25
    assert share == pytest.approx(one**2 / (one**2 + two**2))
    normal = NormalDist(share * 0.6, sqrt(2) * one * two / sqrt(one**2 + two**2))
    _, if_same = chances(match, panel, MountHoles((gap, gap), (None, None), "", Errors((), 0.0)))
    assert if_same == pytest.approx(normal.cdf(2 * gap) - normal.cdf(-2 * gap), abs=ABOUT)


def test_readings_that_disagree_are_not_taken_as_one_pattern(tmp_path):
    match, panel = two_holes(tmp_path, 1.9)
    assert not match.agrees
    assert chances(match, panel, MountHoles((0.5, 0.5), (None, None), "", Errors((), 0.0)))[1] is None


def test_a_slot_turns_with_the_pattern(tmp_path):
    holes = {"A": (-70.0, 0.0), "B": (70.0, 0.0), "C": (0.0, 80.0)}
    write(tmp_path, "known", holes, opening="{round: 100}")
    turned = {name: (y, -x) for name, (x, y) in holes.items()}  # 90 degrees clockwise
    turned["B"] = (0.0, -70.9)  # further away by 0.9, along what is now down
    write(tmp_path, "asked", turned, opening="{round: 100}")
    looked = search_panels(tmp_path, "asked", SearchOptions(), nobody)
    (match,) = looked.matches
    for way, goes_on in (((1.0, 0.0, 3.0), True), ((0.0, 1.0, 3.0), False)):
        slots = tuple(way if name == "B" else None for name in ("A", "B", "C"))
        as_read, _ = chances(match, looked.known, MountHoles((0.45, 0.05, 0.9), slots, "", Errors((), 0.0)))
        assert (as_read > 0.15) is goes_on


def test_the_part_of_the_other_side_goes_on_a_mirrored_panel(shop):
    write(shop, "right-door", FRONT, head=HEAD, rest=AROUND)
    looked = search_panels(shop, "right-door", SearchOptions(), nobody)
    match = looked.matches[0]
    assert (match.known.name, match.fit.motion.mirrored) == ("linnet-front-door", True)
    found = {one.job: one for one in servings(match, looked.known, jobs_of(shop, nobody), Library(shop))}
    assert set(found) >= {"linnet-woofer", "linnet-front-collar", "linnet-front-flush", "linnet-front-sheet"}
    woofer = found["linnet-woofer"]
    assert (woofer.side, woofer.speaker, woofer.goes_on, woofer.why) == ("right", "demo-woofer-130", True, "")
    assert woofer.if_same > woofer.as_read > 0.5
    name, text = own_job(woofer, looked.known)
    (shop / "jobs" / f"{name}.yaml").write_text(text, "utf-8")
    from mounts.load.resolve.job import load_job

    (job,) = load_job(shop / "jobs" / f"{name}.yaml")
    assert (job.side, job.aim.tilt, job.aim.toward) == ("right", 8.0, 45.0)  # 10:30 on the left is 1:30 on the right


def test_it_serves_as_it_is_only_where_nothing_needed_is_otherwise(shop):
    jobs, library = jobs_of(shop, nobody), Library(shop)
    nearer = AROUND.replace("glass: 60", "glass: 51")
    elsewhere = AROUND.replace("at: [-48, -30]", "at: [0, -60]")  # a thing is the same by its place
    for rest, serves in ((AROUND, True), (nearer, False), (elsewhere, False)):
        write(shop, "right-door", FRONT, head=HEAD, rest=rest)
        os.utime(shop / "panels" / "right-door.yaml")
        looked = search_panels(shop, "right-door", SearchOptions(), nobody)
        (woofer,) = (
            one for one in servings(looked.matches[0], looked.known, jobs, library) if one.job == "linnet-woofer"
        )
        assert serves_as_it_is(woofer, looked.matches[0]) is serves


def test_a_cup_goes_on_like_pins_and_a_job_of_one_side_says_so(shop):
    dash = (shop / "panels" / "linnet-dash-grille.yaml").read_text("utf-8")
    (shop / "panels" / "other.yaml").write_text(dash.replace("name: linnet-dash-grille", "name: other"), "utf-8")
    job = (shop / "jobs" / "linnet-dash-tweeter-press.yaml").read_text("utf-8")
    one = job.replace("name: linnet-dash-tweeter-press", "name: one-side").replace("[left, right]", "[right]")
    (shop / "jobs" / "one-side.yaml").write_text(one, "utf-8")
    looked = search_panels(shop, "other", SearchOptions(), nobody)
    (match,) = looked.matches
    found = {one.job: one for one in servings(match, looked.known, jobs_of(shop, nobody), Library(shop))}
    press = found["linnet-dash-tweeter-press"]
    assert press.side == "left"
    assert press.as_read >= 0.94  # the pattern itself, as its plan sizes the holes for 0.95
    assert found["one-side"].as_read is None
    assert "makes the right part, and the left one goes here" in found["one-side"].why
