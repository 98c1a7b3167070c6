"""A simulated workshop whose caliper, clay and printer are not as the table says is calibrated by thirty mounts.

Each mount has its own pattern. Holes are read with the true error, the part shrinks and its places stray as on the true
printer, nuts stand anywhere in their holes; how far the tightest screw is off is found by a linear programme (scipy's
HiGHS), not by the program's own solver. What is learned of one mount is used by the plan of the next.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from math import cos, pi, radians, sin

import numpy as np
import pytest

from mounts.design.chance import Errors, ReadHoles, add_printer
from mounts.learning.apply import learned_limits, learned_printer
from mounts.learning.holes import expect_hole, least_offsets
from mounts.learning.learn import learn
from mounts.load.models.limits import Limits
from mounts.load.models.outcome import Learned, Outcome, SeenGap, SeenHole, SeenSize
from mounts.load.models.workshop import Material, Printer
from tests.scale.true_doors import least_excess

ASA = Material(
    kind="material", name="asa", density=1070, strength_mpa=40, modulus_mpa=2200, expansion=9e-5, service=85,
    softens=95,
    shrink_pct={"least": 0.4, "most": 0.7},
)  # fmt: skip
PRINTER = Printer(kind="printer", name="mine", bed=(250, 250, 240))
TRUE = {"caliper": 0.40, "clay": 1.10, "shrink_pct": 0.85, "hole_growth": 0.27, "error": 0.16}
OUTSIDE = 0.05
TABLE = {"caliper": 0.25, "clay": 0.7, "shrink_pct": 0.55, "hole_growth": 0.15, "error": 0.1}
MOUNTS, PLAY = 30, 0.2
SEEDS = range(10 if os.environ.get("MOUNTS_SCALE") else 1)


@dataclass
class Known:
    """What is known of one thing: its value and its stated standard deviation."""

    value: float
    sd: float


def read_holes(sd: float, at: np.ndarray, errors: Errors) -> ReadHoles:
    """Holes as a caliper reads them."""
    return ReadHoles("caliper", sd, {"ABCD"[k]: (x, y) for k, (x, y) in enumerate(at.tolist())}, errors)


def tightest(rng: np.random.Generator, scale: float, learned: Learned) -> SeenHole:
    """The tightest hole of a ring with four screws, beside what its plan expects."""
    turns = [radians(90 * k + rng.uniform(-12, 12)) for k in range(4)]
    at = rng.uniform(66, 92) * np.array([(cos(turn), sin(turn)) for turn in turns])
    reach, way = np.sqrt(rng.random(4)) * PLAY / 2, rng.random(4) * 2 * pi
    nuts = reach[:, None] * np.column_stack([np.cos(way), np.sin(way)])
    read = at + rng.normal(0, TRUE["caliper"], (4, 2))
    off = at + nuts - scale * read - rng.normal(0, TRUE["error"], (4, 2))
    seen = round(least_excess(read, off, np.zeros(4)), 2)
    limits, printer = learned_limits(Limits(), learned), learned_printer(PRINTER, learned.printers.get("mine", {}))
    square = np.eye(8) * limits.caliper**2
    errors = add_printer(Errors(tuple(map(tuple, square.tolist())), plays=(PLAY,) * 4), printer, ASA)
    return expect_hole(read_holes(limits.caliper, read, errors), seen)


def mount(rng: np.random.Generator, number: int, learned: Learned) -> Outcome:
    """One mount planned with what is learned, fitted in the true workshop, and what was answered."""
    scale = 1 - TRUE["shrink_pct"] / 100
    cup = number % 3 == 2  # whose tweeter's bore is small, and which goes on pins
    rows = [] if cup else [tightest(rng, scale, learned)]
    for what in ("flange to trim", "mount to trim"):
        planned = rng.uniform(4, 12)
        gap = round(planned + rng.normal(0, TRUE["clay"]), 1)
        rows.append(SeenGap(of="gap", what=what, instrument="clay", planned=planned, seen=gap))
    ring = (("scale", 130, 190), ("holes", 80, 140), ("outside", 100, 160))
    for shows, least, most in (("scale", 60, 80), ("holes", 20, 40)) if cup else ring:
        drawn = rng.uniform(least, most)
        grown = OUTSIDE if shows == "outside" else -TRUE["hole_growth"]
        size = drawn * scale + grown + rng.normal(0, TRUE["error"]) + rng.normal(0, 0.05)
        rows.append(SeenSize(of="size", what=shows, shows=shows, drawn=drawn, seen=round(size, 2)))
    return Outcome(
        kind="kept outcome", job=f"job-{number}", part="left", record=f"{number}", printer="mine", material="asa",
        seen=tuple(rows),
    )  # fmt: skip


def found(printer: str, material: str) -> tuple[Printer, Material]:
    return PRINTER, ASA


def known(learned: Learned) -> dict[str, Known]:
    """Every quantity as it is learned, with its uncertainty; a printer's error by its degrees of freedom."""
    own = learned.printers["mine"]["asa"]
    told = {name: Known(one.sd, one.error) for name, one in learned.instruments.items()}
    told |= {"shrink_pct": Known(own.shrink_pct, own.shrink_sd_pct)}
    told |= {"hole_growth": Known(own.hole_growth, own.hole_growth_sd)}
    return told | {"error": Known(own.error, own.error / (2 * 2.7 * own.mounts) ** 0.5)}


def workshop(seed: int) -> list[tuple[Learned, list[Outcome]]]:
    """What is learned after each of so many mounts."""
    rng, outcomes, steps = np.random.default_rng(seed), [], []
    learned = Learned(kind="learned", mounts=0)
    for number in range(MOUNTS):
        outcomes.append(mount(rng, number, learned))
        learned, slips = learn(outcomes, found)
        steps.append((learned, list(outcomes)))
        assert len(slips) <= 1  # one in a million is called a slip; within the first mounts, one in a hundred
    return steps


@pytest.fixture(scope="module")
def workshops():
    return [workshop(seed) for seed in SEEDS]


@pytest.mark.parametrize("key", sorted(TRUE))
def test_thirty_mounts_calibrate_a_workshop(workshops, key):
    last = [known(steps[-1][0])[key] for steps in workshops]
    fifth = [known(steps[4][0])[key] for steps in workshops]
    times = np.array([(one.value - TRUE[key]) / one.sd for one in last])
    assert np.abs(times).max() < (2 if len(times) == 1 else 3.5)  # each within its own stated uncertainty
    assert len(times) == 1 or np.sqrt((times**2).mean()) < 1.6
    off = np.sqrt(np.mean([(one.value - TRUE[key]) ** 2 for one in last]))
    assert off < 0.7 * abs(TABLE[key] - TRUE[key])  # of what the table was off
    assert all(one.sd < 0.8 * early.sd for one, early in zip(last, fifth, strict=True))


def test_nonsense_is_said_and_nothing_is_learned_from_it(workshops):
    _, outcomes = workshops[0][-1]
    mad = replace_seen(outcomes[0], SeenGap(of="gap", what="flange to trim", instrument="clay", planned=6, seen=50))
    mad = replace_seen(mad, SeenSize(of="size", what="bore", shows="holes", drawn=117, seen=114.1))
    mad = mad.model_copy(update={"record": "mad"})
    bare = mad.model_copy(update={"seen": mad.seen[:-2], "record": "mad"})
    again, slips = learn([*outcomes, mad], found)
    assert again == learn([*outcomes, bare], found)[0]
    assert {slip.what for slip in slips} >= {"flange to trim", "bore"}
    assert all("nothing is learned from it" in str(slip) for slip in slips)


def replace_seen(outcome, row):
    return outcome.model_copy(update={"seen": (*outcome.seen, row)})


def test_plans_use_what_was_learned(workshops):
    learned = workshops[0][-1][0]
    assert learned_limits(Limits(), learned).caliper == learned.instruments["caliper"].sd
    assert learned_limits(Limits(caliper=0.1), learned).caliper == 0.1  # what the job says itself stays
    printer = learned_printer(PRINTER, learned.printers["mine"])
    own = learned.printers["mine"]["asa"]
    assert printer.shrink(ASA) == (own.shrink_pct, own.shrink_pct, own.shrink_sd_pct)
    assert printer.growth_error(ASA) == (0.0, 0.0, own.hole_growth_sd) and printer.growth("asa") == own.hole_growth


def test_the_tightest_hole_is_found_as_a_linear_programme_finds_it():
    rng = np.random.default_rng(5)
    at, off = rng.uniform(-80, 80, (4, 2)), rng.normal(0, 0.4, (20, 4, 2))
    ours = least_offsets(at, off)
    theirs = [least_excess(at, one, np.zeros(4)) for one in off]
    assert ours == pytest.approx(theirs, abs=2e-3)


def test_the_expected_hole_is_what_true_errors_give():
    """Unbiased: over many mounts the estimate of a reading's variance is the true one."""
    rng, sd = np.random.default_rng(6), 0.4
    at = 80 * np.array([(1, 0.1), (0, 1), (-1, 0), (0.1, -1)])
    errors = Errors(tuple(map(tuple, (np.eye(8) * 0.25**2).tolist())), made=0.1, plays=(PLAY,) * 4)
    spread = np.hypot(sd, 0.1)
    reach, way = np.sqrt(rng.random((4000, 4))) * PLAY / 2, rng.random((4000, 4)) * 2 * pi
    off = rng.normal(0, spread, (4000, 4, 2)) + reach[:, :, None] * np.stack([np.cos(way), np.sin(way)], axis=2)
    one = expect_hole(read_holes(0.25, at, errors), 0.0)
    squares = (least_offsets(at, off) ** 2 - one.others) / one.each
    assert np.sqrt(squares.mean()) == pytest.approx(sd, rel=0.05)
