"""Patterns out of distances: truth comes back, whatever was read, and what is not settled says what to read next."""

from __future__ import annotations

from collections.abc import Mapping
from math import dist

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mounts.geometry.outline import Point, circle, oblong
from mounts.geometry.survey.readings import OpeningDistance, Readings
from mounts.geometry.survey.solve import solve_survey
from mounts.geometry.survey.survey import Survey, SurveyError
from tests.geometry.doors import FOUR, SIX, THREE, changed, pairs, read, with_values

RING = ["AB", "BC", "CD", "DE", "EF", "FA"]


def assert_true(survey: Survey, at: Mapping[str, Point], within: float = 1e-6) -> None:
    assert survey.names == tuple(at)
    assert max(dist(p, q) for p, q in zip(survey.at, at.values(), strict=True)) < within


def refused(readings: Readings) -> tuple[tuple[str, ...], str]:
    with pytest.raises(SurveyError) as caught:
        solve_survey(readings, 0.25)
    return caught.value.at, str(caught.value)


@pytest.mark.parametrize("at", [THREE, FOUR, SIX], ids=["3", "4", "6"])
@pytest.mark.parametrize("over", [-1, 0, 1], ids=["inside edges", "centres", "outside edges"])
def test_all_distances_give_the_pattern(at, over):
    assert_true(solve_survey(read(at, over=over), 0.25), at)


@pytest.mark.parametrize(
    ("at", "between", "to_opening"),
    [
        (FOUR, ["AB", "BC", "CD", "DA", "AC"], "ABCD"),  # D may be folded over A-C, but for the order
        (FOUR, ["AB", "BC", "CD", "DA", "BD"], "ABC"),
        (FOUR, ["AB", "BC", "CD", "DA"], "ABCD"),  # the opening's centre braces it
        (SIX, [*RING, "AC", "AD", "AE"], "ABC"),  # a fan of triangles: 2 ** 4 folds
        (SIX, [*RING, "AC", "BD", "CE", "DF"], "ABCD"),
        (SIX, RING, "ABCDEF"),
        (SIX, ["AD", "AE", "AF", "BD", "BE", "BF", "CD", "CE", "CF"], "ABCDEF"),  # no triangle anywhere
    ],
)
def test_any_set_that_settles_it_does(at, between, to_opening):
    assert_true(solve_survey(read(at, between, to_opening), 0.25), at)


def test_an_oblong_opening_places_and_turns_it():
    opening = oblong(110.0, 90.0)
    assert_true(solve_survey(read(FOUR, opening=opening), 0.25), FOUR)


def test_a_hole_of_its_own_size():
    survey = solve_survey(read(FOUR, sizes={"C": 9.0}), 0.25)
    assert_true(survey, FOUR)
    wrong = solve_survey(with_values(read(FOUR, sizes={"C": 9.0}), read(FOUR, sizes={"C": 8.0}).values), 0.25)
    assert dist(wrong.at[2], FOUR["C"]) < 1e-6  # figures and sizes go together


def test_centre_lines_place_and_turn_it():
    lines = [OpeningDistance(k, "vertical", abs(x) - 3.5) for k, (x, _) in enumerate(FOUR.values())]
    lines += [OpeningDistance(k, "horizontal", abs(y) - 3.5) for k, (_, y) in enumerate(FOUR.values())]
    bare = read(FOUR, to_opening="")
    with_lines = Readings(**{**{f: getattr(bare, f) for f in bare.__slots__}, "to_opening": tuple(lines)})
    assert_true(solve_survey(with_lines, 0.25), FOUR)


def test_twelve_holes():
    turns = np.arange(12) * np.pi / 6 + 0.2
    at = {
        chr(65 + k): (float((90 + 5 * np.sin(3 * k)) * np.sin(t)), float((70 + 5 * np.cos(2 * k)) * np.cos(t)))
        for k, t in enumerate(turns)
    }
    assert_true(solve_survey(read(at), 0.25), at)
    names = "".join(at)
    fan = [names[0] + n for n in names[1:]] + [names[k : k + 2] for k in range(1, 11)]
    assert_true(solve_survey(read(at, fan, names), 0.25), at)
    # thin triangles alone leave holes known to 6 mm: that settles nothing
    assert "measure E-L" in refused(read(at, fan, "ABCD"))[1]


@settings(deadline=None, max_examples=60)
@given(
    st.integers(3, 8),
    st.lists(st.tuples(st.floats(-12, 12), st.floats(66, 95)), min_size=8, max_size=8),
    st.floats(0, 45),
)
def test_any_pattern_round_an_opening_comes_back(count, shifts, first):
    at = {}
    for k, (turn, away) in enumerate(shifts[:count]):
        clock = np.radians(first + 360 * k / count + turn)
        at[chr(65 + k)] = (float(away * np.sin(clock)), float(away * np.cos(clock)))
    assert_true(solve_survey(read(at, opening=circle(110.0)), 0.25), at, 1e-4)


def test_order_tells_the_mirror_image():
    right, left = solve_survey(read(FOUR), 0.25), solve_survey(read(FOUR, order="DCBA", level="AD"), 0.25)
    assert right.at[1] == pytest.approx(FOUR["B"])
    # the same distances in the other order are the mirror image; D stays left of A, so it is upside down
    assert np.ravel(left.at) == pytest.approx(np.ravel([(x, -y) for x, y in right.at]), abs=0.6)
    apart = [abs(dist(left.at[i], left.at[j]) - dist(right.at[i], right.at[j])) for i in range(4) for j in range(i)]
    assert max(apart) < 1e-6


def test_mirrored_tells_covariances_too():
    survey = solve_survey(read(THREE), 0.25)
    there = survey.mirrored()
    assert there.at[0] == pytest.approx((-THREE["A"][0], THREE["A"][1]))
    assert there.mirrored() == survey
    signs = np.outer([-1, 1] * 3, [-1, 1] * 3)
    assert np.array(there.covariance(0.3, 0.7)) == pytest.approx(np.array(survey.covariance(0.3, 0.7)) * signs)


def test_what_is_not_settled_says_what_to_read_next():
    assert refused(read(FOUR, ["AB", "BC", "CD", "DA"], "AB")) == (
        ("distances", "readings"),
        "the distances leave the pattern loose (2 of 6 between holes are not read): measure B-D next",
    )
    for next_one in ("AC", "BD"):
        assert_true(solve_survey(read(FOUR, ["AB", "BC", "CD", "DA", next_one], "ABC"), 0.25), FOUR)
    where, what = refused(read(FOUR, level=""))
    assert where == ("distances", "level")
    assert "give level: [D, A]" in what
    where, what = refused(read(FOUR, to_opening=""))
    assert where == ("distances", "to_opening")
    assert what.startswith("nothing places the pattern about the opening: read from the edge of hole")
    where, what = refused(read(FOUR, to_opening="A"))
    assert where == ("distances", "to_opening")
    assert what.startswith("the pattern can still shift on the opening")


def test_two_answers_are_no_answer():
    where, what = refused(read(FOUR, to_opening="AB"))
    assert where == ("distances", "to_opening")
    assert what.startswith("the opening's centre may lie in two places")


def test_holes_that_are_not_in_order_are_told_in_theirs():
    where, what = refused(read(FOUR, order="ACBD"))
    assert where == ("order",)
    assert "give order: [A, B, C, D]" in what


def test_a_leg_longer_than_the_others_together():
    where, what = refused(changed(read(FOUR), "A-C", 100.0))
    assert where == ("distances", "readings", "A-C")
    assert what.startswith("A-C is 257.1 between centres, more than A-B and C-B together") or "more than" in what


@pytest.mark.parametrize("label", ["A-D", "B-E", "C-D", "A to opening"])
def test_a_misread_figure_is_named_with_what_it_should_be(label):
    faultless = read(SIX)
    true = float(faultless.values[faultless.labels.index(label)])
    where, what = refused(changed(faultless, label, 10.0))
    assert where[-1] in label
    assert what.startswith(f"{label} reads {true + 10:.4g}, the others make it {true:.1f} (")


def test_a_small_fault_is_told_but_drawn():
    survey = solve_survey(changed(read(SIX), "B-E", 2.0), 0.25)
    assert survey.disagreement is not None
    (suspect,) = survey.disagreement.suspects
    true = dist(SIX["B"], SIX["E"]) - 7.0
    assert (suspect.label, suspect.expected) == ("B-E", pytest.approx(true, abs=1e-6))
    assert solve_survey(changed(read(SIX), "B-E", 0.5), 0.25).disagreement is None


def test_one_reading_too_many_tells_that_one_is_wrong_but_not_which():
    survey = solve_survey(changed(read(THREE, over=0), "A to opening", 4.0), 0.25)
    assert survey.disagreement is not None
    assert {"A to opening", "B to opening", "C to opening"} <= {one.label for one in survey.disagreement.suspects}
    assert survey.disagreement.describe().startswith("one of these is wrong, and no reading shows which: ")


def test_an_opening_read_too_large_is_named():
    where, what = refused(with_values(read(FOUR), changed(read(FOUR), "opening's size", 20.0).values))
    assert where == ("distances", "to_opening")
    assert what.startswith("opening's size reads 140, the others make it 120.0")


def test_the_next_reading_is_the_one_that_helps_most():
    between = [pair for pair in pairs("ABCDEF") if pair not in ("AD", "BC", "EF", "CE")]
    survey = solve_survey(read(SIX, between), 0.25)
    spread = {
        pair: np.trace(np.array(solve_survey(read(SIX, [*between, pair]), 0.25).covariance(0.25, 0.5)))
        for pair in ("AD", "BC", "EF", "CE")
    }
    assert survey.next.replace("-", "") == min(spread, key=lambda pair: spread[pair])
