"""Fits and surveys against published examples, formulas, a general library, and simulation.

- Circle: W. Gander, G. Golub, R. Strebel, BIT 34 (1994) 558: their six points (from memory), the geometric optimum
  recomputed by two implementations; a bolt circle of four holes with known offsets.
- Regular patterns: chord = PCD · sin(π/n), plane geometry.
- Trilateration: the three-dimensional worked example is taken plane by plane; its target comes back.
- Least squares and its covariance: scipy.optimize.least_squares on a model written anew here.
- Chi squared: scipy.stats. Ellipses: 95 % of a two-dimensional normal lies within χ²₂ = 5.991 (tables), 39.3 % in 1 σ.
"""

from __future__ import annotations

from math import dist, pi, sin

import numpy as np
import pytest
from scipy.optimize import least_squares
from scipy.stats import chi2

from mounts.geometry.fitting.shapes import fit_circle
from mounts.geometry.survey.regular import Regularity, chi_squared_limit, fit_bolt_circle
from mounts.geometry.survey.solve import solve_survey
from mounts.geometry.survey.starts import trilaterate
from mounts.geometry.survey.survey import ONE, confidence_scale, error_ellipse
from tests.geometry.doors import FOUR, SIX, THREE, noisy, pairs, read, solved_many, with_values
from tests.geometry.motion import nearest_motion

SD, LEVEL = 0.25, 0.5
DOORS = 4000


def test_the_circle_of_gander_golub_and_strebel():
    found = fit_circle(np.array([(1, 7), (2, 6), (5, 8), (7, 7), (9, 5), (3, 7)], dtype=float))
    assert (*found.centre, found.sizes[0] / 2) == pytest.approx((4.73978, 2.98353, 4.71423), abs=1e-5)
    assert found.rms**2 * 3 == pytest.approx(1.227599, abs=1e-6)  # six points less three unknowns


def test_the_circle_through_a_bolt_pattern():
    offsets = [(0.3, -0.1), (-0.2, 0.2), (0.1, 0.4), (-0.4, -0.3)]
    turns = np.radians(45 + 90 * np.arange(4))
    found = fit_circle(77.5 * np.column_stack([np.cos(turns), np.sin(turns)]) + offsets)
    assert (*found.centre, found.sizes[0] / 2) == pytest.approx((0.05091, 0.29908, 77.50133), abs=1e-5)


@pytest.mark.parametrize("count", [3, 4, 6, 8])
def test_chords_of_a_regular_pattern_give_its_circle(count):
    """Only neighbours' and next neighbours' chords are read; the survey finds the PCD that the formula says."""
    pcd = 158.0
    turns = 2 * pi * np.arange(count) / count + 0.35
    at = {chr(65 + k): (float(pcd / 2 * np.sin(t)), float(pcd / 2 * np.cos(t))) for k, t in enumerate(turns)}
    names = "".join(at)
    near = [names[k] + names[(k + s) % count] for s in (1, 2) for k in range(count)]
    between = list({"".join(sorted(pair)): None for pair in near if pair[0] != pair[1]})
    survey = solve_survey(read(at, between, over=0), SD)
    chord = dist(survey.at[0], survey.at[1])
    assert chord == pytest.approx(pcd * sin(pi / count), abs=1e-6)
    ring = fit_bolt_circle(survey.at, np.array(survey.covariance(SD, LEVEL)))
    assert (ring.verdict, ring.diameter) == (Regularity.REGULAR, pytest.approx(chord / sin(pi / count), abs=1e-6))


def test_trilateration_gives_the_target():
    """Anchors (0,0,0), (1000,0,0), (0,800,0), target (420,310,150): the example's distances, in the anchors' plane."""
    ranges = np.array([543.13902, 674.53688, 662.57075])
    flat = np.sqrt(ranges**2 - 150.0**2)
    anchors = np.array([(0.0, 0.0), (1000.0, 0.0), (0.0, 800.0)])
    known = np.full((4, 4), np.nan)
    for i in range(3):
        known[i, 3] = known[3, i] = flat[i]
        for j in range(3):
            if i != j:
                known[i, j] = dist(anchors[i], anchors[j])
    (found,) = trilaterate(known, (0, 1, 2, 3))
    three, target = [tuple(p) for p in found[:3]], tuple(found[3])
    for mirrored in (False, True):  # a pattern from distances alone may be the mirror image
        laid = nearest_motion(three, anchors, mirrored=mirrored)
        if all(dist(laid.moved(p), anchor) < 1e-3 for p, anchor in zip(three, anchors, strict=True)):
            break
    assert laid.moved(target) == pytest.approx((420.0, 310.0), abs=1e-3)


def test_least_squares_and_its_covariance_are_scipy_s():
    rng = np.random.default_rng(11)
    faultless = read(SIX, [pair for pair in pairs("ABCDEF") if pair not in ("AD", "BE")])
    values = noisy(faultless, rng, 1, SD, LEVEL)[0]
    readings = with_values(faultless, values)
    survey = solve_survey(readings, SD, LEVEL)

    def residuals(unknown: np.ndarray) -> np.ndarray:
        at, size, opening = unknown[:12].reshape(6, 2), unknown[12], 120.0 + unknown[13]
        lengths = [np.hypot(*(at[b.first] - at[b.second])) - size for b in readings.between]
        edges = [np.hypot(*at[t.hole]) - opening / 2 - size / 2 for t in readings.to_opening]
        way = at[readings.level.second] - at[readings.level.first]
        told = np.array([*lengths, *edges, np.degrees(np.arctan2(way[1], way[0])), size, opening - 120.0])
        return (values - told) / np.where(readings.is_level, LEVEL, SD)

    found = least_squares(residuals, [*np.ravel(list(SIX.values())), 7.0, 0.0], xtol=1e-14, ftol=1e-14, gtol=1e-14)
    assert np.ravel(survey.at) == pytest.approx(found.x[:12], abs=1e-6)
    spread = np.linalg.inv(found.jac.T @ found.jac)[:12, :12]
    assert np.array(survey.covariance(SD, LEVEL)) == pytest.approx(spread, rel=1e-4, abs=1e-6)


@pytest.mark.parametrize("freedoms", [2, 4, 8, 20])
def test_chi_squared_is_scipy_s(freedoms):
    assert chi_squared_limit(freedoms) == pytest.approx(chi2.ppf(0.99, freedoms), rel=0.01)


def test_an_ellipse_is_its_covariance_s():
    covariance = np.array([[0.09, 0.02], [0.02, 0.05]])
    values, ways = np.linalg.eigh(covariance)
    found = error_ellipse(0.09, 0.02, 0.05)
    assert (found.short, found.long) == pytest.approx(2 * np.sqrt(values))
    assert abs(
        np.cos(np.radians(found.turn)) * ways[0, 1] + np.sin(np.radians(found.turn)) * ways[1, 1]
    ) == pytest.approx(1)
    assert confidence_scale(0.95) ** 2 == pytest.approx(chi2.ppf(0.95, 2))


@pytest.mark.parametrize("at", [THREE, FOUR, SIX], ids=["3", "4", "6"])
def test_the_true_hole_lies_in_its_ellipse_as_often_as_told(at):
    """4000 doors read with noise in every figure, sizes, opening and level too; each hole within four standard errors.

    Real doors differ: burrs, paint and a bent edge are no normal errors.
    """
    rng = np.random.default_rng(20261120)
    opening = read(at).opening
    readings = read(at, opening=opening)
    survey = solve_survey(readings, SD, LEVEL)
    found = solved_many(readings, noisy(readings, rng, DOORS, SD, LEVEL), survey.at, SD, LEVEL)
    whole = np.array(survey.covariance(SD, LEVEL))
    for k in range(len(at)):
        own = np.linalg.inv(whole[2 * k : 2 * k + 2, 2 * k : 2 * k + 2])
        off = found[:, k] - np.array(survey.at[k])
        squared = np.einsum("ki,ij,kj->k", off, own, off)
        for share in (0.95, ONE):
            inside = float((squared <= confidence_scale(share) ** 2).mean())
            assert abs(inside - share) < 4 * (share * (1 - share) / DOORS) ** 0.5


def test_false_alarms_are_as_rare_as_told():
    """Of 400 faultless doors 1 % are called contradictory, and a solver that starts from nothing finds all of them."""
    rng = np.random.default_rng(5)
    readings = read(SIX)
    surveys = [solve_survey(with_values(readings, v), SD, LEVEL) for v in noisy(readings, rng, 400, SD, LEVEL)]
    alarms = sum(survey.disagreement is not None for survey in surveys)
    assert alarms <= 11  # binomial(400, 0.01): 11 or fewer in 99.8 of 100 runs
    off = np.array([survey.at for survey in surveys]) - np.array(list(SIX.values()))
    assert np.hypot(*np.moveaxis(off, 2, 0)).max() < 5.0
