"""Values against limits and targets: the verdict just inside and just outside, and what is shown of it."""

from __future__ import annotations

import pytest

from mounts.findings.codes import CODES, PLACES, Sense
from mounts.findings.compare import ROUNDING, at_least, at_most, in_band, state, within
from mounts.findings.report import Finding, Verdict, gravest, in_order

PASS, DO, WARN, FAIL = Verdict
JUST = 1e-8  # beside the margin


@pytest.mark.parametrize(("over", "verdict"), [(0.0, PASS), (JUST - 3 * ROUNDING, PASS), (-JUST - 3 * ROUNDING, FAIL)])
def test_at_least_a_limit(over: float, verdict: Verdict) -> None:
    found = at_least("bed", 3.0 + over, 3.0, "room", advice="take a larger printer")
    assert (found.verdict, found.limit, found.sense) == (verdict, 3.0, Sense.LEAST)
    assert found.advice == ("" if verdict is PASS else "take a larger printer")


@pytest.mark.parametrize(("over", "verdict"), [(0.0, PASS), (30 * ROUNDING - JUST, PASS), (30 * ROUNDING + JUST, FAIL)])
def test_at_most_a_limit(over: float, verdict: Verdict) -> None:
    found = at_most("load.ring", 30.0 + over, 30.0, "slam", advice="take a thicker base")
    assert (found.verdict, found.limit, found.sense, found.unit) == (verdict, 30.0, Sense.MOST, "MPa")


@pytest.mark.parametrize(
    ("off", "verdict", "limit"),
    [
        (0.05, PASS, 10.05),
        (-0.05 - 10 * ROUNDING + JUST, PASS, 9.95),
        (-0.05 - 10 * ROUNDING - JUST, FAIL, 9.95),
        (0.06, FAIL, 10.05),
    ],
)
def test_within_a_tolerance_of_a_target(off: float, verdict: Verdict, limit: float) -> None:
    found = within("hole.diameter", 10.0 + off, 10.0, 0.05, "hole A")
    assert (found.verdict, found.limit, found.sense) == (verdict, pytest.approx(limit), Sense.TARGET)
    assert (found.measured, found.closed_form) == (10.0 + off, 10.0)


@pytest.mark.parametrize(
    ("value", "verdict", "limit", "sense"),
    [
        (0.99, FAIL, 1.0, Sense.LEAST),
        (1.0, PASS, 1.0, Sense.LEAST),
        (1.9, PASS, 2.0, Sense.MOST),
        (2.01, FAIL, 2.0, Sense.MOST),
    ],
)
def test_between_two_limits_the_nearer_is_shown(value: float, verdict: Verdict, limit: float, sense: Sense) -> None:
    found = in_band("panel.grip", value, (1.0, 2.0), "sheet")
    assert (found.verdict, found.limit, found.sense) == (verdict, limit, sense)


@pytest.mark.parametrize(
    ("value", "verdict", "limit"), [(10.0, PASS, 10.0), (9.0, WARN, 10.0), (6.0, WARN, 10.0), (5.9, FAIL, 6.0)]
)
def test_a_wanted_limit_warns_before_a_least_one_fails(value: float, verdict: Verdict, limit: float) -> None:
    found = at_least("clear.glass", value, 10.0, "body to glass", missed=WARN, least=6.0)
    assert (found.verdict, found.limit) == (verdict, limit)


def test_what_was_measured_decides() -> None:
    assert at_least("bed", 5.0, 3.0, "room", measured=2.0).verdict is FAIL
    assert at_most("load.ring", 5.0, 3.0, "slam", measured=2.0).verdict is PASS


def test_advice_is_worked_out_only_where_it_is_wanted() -> None:
    def dear() -> str:
        raise AssertionError("nobody asked")

    assert at_least("bed", 5.0, 3.0, "room", advice=dear, hint="turn it").advice == "turn it"
    assert at_least("bed", 2.0, 3.0, "room", missed=DO, advice=lambda: "turn it").advice == "turn it"


@pytest.mark.parametrize(
    "made",
    [
        lambda: Finding("clear.nothing", PASS, "x"),
        lambda: state("clear.nothing", PASS, "x"),
        lambda: at_most("clear.glass", 1.0, 2.0, "x"),
        lambda: at_least("clear.glass", 1.0, 2.0, "x", unit="N"),
        lambda: state("print.contact", PASS, "x"),
    ],
    ids=["undeclared", "undeclared and stated", "a least told as a most", "another unit", "no unit"],
)
def test_a_finding_that_its_code_does_not_allow_cannot_be_made(made: object) -> None:
    with pytest.raises(ValueError, match=r"clear\.|print\."):
        made()  # type: ignore[operator]


def test_work_by_hand_is_graver_than_a_pass_and_no_warning() -> None:
    assert gravest([PASS, DO, PASS]) is DO
    assert gravest([DO, WARN, DO]) is WARN
    assert [verdict.word for verdict in Verdict] == ["pass", "DO", "WARN", "FAIL"]


def test_findings_stand_in_the_order_of_their_codes() -> None:
    found = [state(code, PASS, code, unit=row.unit or "mm") for code, row in reversed(CODES.items())]
    places = [PLACES[finding.code] for finding in in_order(found)]
    assert places == sorted(places)
    assert next(iter(CODES)) == in_order(found)[0].code
