"""Findings gathered by cause, and the passes that are nearest to their limits."""

from __future__ import annotations

from dataclasses import replace

import pytest

from mounts.findings.causes import Seen, causes, count_causes, seen_findings, tightest_passes
from mounts.findings.compare import at_least, at_most, within
from mounts.findings.kit import worst_of
from mounts.findings.report import Finding, PartReport, Report, Verdict
from tests.idents import pair

PASS, DO, WARN, FAIL = Verdict
GLASS = at_least("clear.glass", 4.0, 10.0, "body to glass", advice="take a height of 24.0")
RAIL = at_least("clear.thing", 2.0, 8.0, "body to rail", between=pair("body", "rail"), advice="take a height of 23.3")
BEAM = at_least("clear.thing", 2.0, 8.0, "body to beam", between=pair("body", "beam"), advice="take another speaker")
CHANCE = at_least("chance.clear", 3.0, 95.0, "chance to clear the glass")
WALLS = tuple(at_least("wall.screw-bore", 2.1 - k / 10, 2.1, f"screw {k} to bore", advice=f"{k}") for k in (1, 3, 2))
HOT = at_least("heat", 60.0, 75.0, "pla in a door", missed=WARN)


def seen(*findings: Finding) -> tuple[Seen, ...]:
    return seen_findings(Report("x", (PartReport("left", findings),)))


def test_what_one_change_mends_is_one_cause_with_its_worst_value() -> None:
    changed = [replace(one, change="height: 24.5") for one in (GLASS, RAIL, CHANCE)]
    (cause,) = causes(seen(*changed), FAIL)
    assert (cause.worst.finding, len(cause.others)) == (changed[1], 2)  # 6 of 8 is more than 6 of 10


def test_without_a_change_a_cause_is_a_check_or_a_thing_and_a_chance_follows_its_clearance() -> None:
    found = causes(seen(GLASS, RAIL, BEAM, CHANCE, *WALLS), FAIL)
    assert [(one.worst.finding.what, len(one.others)) for one in found] == [
        ("body to glass", 1),
        ("body to rail", 0),
        ("body to beam", 0),
        ("screw 3 to bore", 2),
    ]


def test_what_one_remedy_mends_is_one_cause() -> None:
    print_it = replace(HOT, advice="print the coupon")
    found = causes(seen(replace(GLASS, advice="print the coupon"), print_it, RAIL), FAIL, WARN)
    assert [(one.worst.finding.what, len(one.others)) for one in found] == [("body to glass", 1), ("body to rail", 0)]


def test_a_limit_that_holds_the_place_follows_the_clearance_that_it_repeats() -> None:
    """One fault, one count: of the limit that is missed by its reading alone there is no clearance to follow."""
    held = at_least("aim.limit", 2.0, 8.6, "body to rail, 8 and 0.6", between=RAIL.between, unit="mm", missed=WARN)
    other = at_least("aim.limit", 8.2, 8.6, "body to beam, 8 and 0.6", between=BEAM.between, unit="mm", missed=WARN)
    found = causes(seen(held, other, RAIL), FAIL, WARN)
    assert [(one.worst.finding, len(one.others)) for one in found] == [(RAIL, 1), (other, 0)]
    assert count_causes(found, ()) == "1 fault, 1 warning"


def test_causes_that_fail_stand_before_those_that_warn() -> None:
    assert [one.worst.finding for one in causes(seen(HOT, GLASS), FAIL, WARN)] == [GLASS, HOT]
    assert causes(seen(HOT, GLASS), WARN)[0].worst.finding == HOT
    assert causes(seen(HOT), FAIL, DO) == ()


def test_both_sides_alike_are_seen_once() -> None:
    report = Report("x", (PartReport("left", (HOT, GLASS)), PartReport("right", (HOT,))))
    assert [(one.finding, one.sides) for one in seen_findings(report)] == [(HOT, ("left", "right")), (GLASS, ("left",))]


def test_the_tightest_passes_are_those_of_the_design() -> None:
    found = seen(
        at_least("clear.glass", 10.5, 10.0, "a twentieth"),
        at_least("clear.glass", 10.4, 10.0, "a twenty-fifth"),
        at_most("print.overhang", 45.0, 46.0, "a forty-sixth"),
        at_least("wall.hole-edge", 12.2, 12.2, "on its limit as planned"),
        within("seat.tilt", 8.0, 8.0, 0.1, "read back"),
        at_least("clear.thing", 7.9, 8.0, "missed"),
        at_least("wall.base", 9.0, 5.0, "far"),
    )
    assert [one.finding.what for one in tightest_passes(found, 3)] == ["a forty-sixth", "a twenty-fifth", "far"]


def test_a_chance_is_tight_by_what_it_lacks_to_certainty_and_a_sure_one_never() -> None:
    sure = (at_least("chance.mount", 99.9, 99.0, "sure"), at_least("fit.pins", 100.0, 99.0, "sure pins"))
    tight, far = at_least("chance.fixings", 99.1, 99.0, "a tenth"), at_least("wall.base", 6.0, 5.0, "a fifth")
    assert [one.finding.what for one in tightest_passes(seen(far, tight, *sure), 3)] == ["a tenth", "a fifth"]


@pytest.mark.parametrize("off", [-1e-9, 0.0, 1e-9])
def test_equally_tight_passes_stay_in_order(off: float) -> None:
    found = seen(at_least("wall.base", 5.5 + off, 5.0, "base"), at_least("wall.roof", 5.5, 5.0, "roof"))
    assert [one.finding.what for one in tightest_passes(found, 1)] == ["base"]


def test_a_kit_leads_with_what_the_parts_own_screen_leads_with() -> None:
    assert worst_of(PartReport("left", (HOT, *WALLS, GLASS))) == WALLS[1]  # which lacks most, though not the first
    assert worst_of(PartReport("left", (HOT,))) == HOT
    assert worst_of(PartReport("left", (at_least("heat", 80.0, 75.0, "asa in a door"),))) is None
