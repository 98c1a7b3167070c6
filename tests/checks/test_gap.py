"""What a clearance becomes: pass at the limit, warn or fail a hundredth below it."""

from dataclasses import replace

import pytest

from mounts.findings.compare import SEARCHED
from mounts.findings.gap import Gap
from mounts.findings.report import Verdict
from tests.idents import labels, pair

GLASS = Gap(
    "clear.glass", pair("body", "glass"), 12.0, 10.0, 6.0, "common practice", (1.0, 2.0, -50.0), "behind.glass", 1.0
)
THING = replace(GLASS, code="clear.thing", between=pair("body", "rail"), wanted=8.0, least=8.0)


@pytest.mark.parametrize(
    ("gap", "verdict", "limit"),
    [
        (60.0, Verdict.PASS, 10.0),
        (10.0, Verdict.PASS, 10.0),
        (10.0 - SEARCHED / 2, Verdict.PASS, 10.0),
        (9.99, Verdict.WARN, 10.0),
        (6.0, Verdict.WARN, 10.0),
        (6.0 - SEARCHED / 2, Verdict.WARN, 10.0),
        (5.99, Verdict.FAIL, 6.0),
        (-3.0, Verdict.FAIL, 6.0),
    ],
)
def test_to_glass_it_warns_before_it_fails(gap: float, verdict: Verdict, limit: float) -> None:
    found = replace(GLASS, gap=gap).finding("take less height")
    assert (found.verdict, found.limit, found.closed_form) == (verdict, limit, gap)


@pytest.mark.parametrize(
    ("gap", "verdict"), [(8.01, Verdict.PASS), (8.0, Verdict.PASS), (7.99, Verdict.FAIL), (-1.0, Verdict.FAIL)]
)
def test_where_one_limit_stands_it_passes_or_fails(gap: float, verdict: Verdict) -> None:
    found = replace(THING, gap=gap).finding()
    assert (found.verdict, found.limit) == (verdict, 8.0)


def test_what_a_search_leaves_is_far_less_than_anyone_measures() -> None:
    assert 0 < SEARCHED <= 0.001


def test_the_finding_tells_what_lies_where_and_by_which_reading() -> None:
    found = replace(GLASS, gap=9.0, measured=8.98).finding("take less height")
    assert found.code == "clear.glass"
    assert found.what == "body to glass"
    assert labels(found.between) == ("body", "glass")
    assert found.at == (1.0, 2.0, -50.0)
    assert (found.closed_form, found.measured, found.unit) == (9.0, 8.98, "mm")
    assert (found.source, found.advice, found.margin_sd) == ("common practice", "take less height", 1.0)
