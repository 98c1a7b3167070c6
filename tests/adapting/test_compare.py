"""Sizes and findings side by side: what is matched with what, and what counts as changed."""

from __future__ import annotations

import pytest

from mounts.adapting.compare import FindingRow, SizeRow, differing_features, finding_rows, size_rows
from mounts.findings.report import Finding, PartReport, Verdict
from mounts.geometry.outline import circle, rectangle
from mounts.kinds.sizes import NamedSize, extents
from mounts.shape.primitives import Prism
from mounts.shape.recipe import Feature, Recipe
from tests.idents import ident, labels, pair


def finding(code="clear.glass", what="body to glass", *, value=10.0, verdict=Verdict.PASS, between=None, case=""):
    return Finding(code, verdict, what, closed_form=value, limit=8.0, between=between, case=case)


def rows(old, new):
    return [(r.old, r.new) for r in finding_rows(PartReport("left", tuple(old)), PartReport("left", tuple(new)))]


def test_findings_of_one_code_are_matched_by_what_they_lie_between_whatever_their_order():
    a, b = (finding(between=pair("body", thing), what="any words") for thing in ("glass", "rail"))
    c, d = (finding(between=pair("body", thing), what="other words", value=9.0) for thing in ("rail", "glass"))
    assert rows([a, b], [c, d]) == [(b, c), (a, d)]


def test_findings_of_one_code_are_matched_by_case_and_else_where_alone_whatever_their_words():
    old = [finding("print.contact", "a", case="area"), finding("print.contact", "b", case="share"), finding("bed", "c")]
    new = [finding("print.contact", "b", case="area"), finding("print.contact", "a", case="share"), finding("bed", "d")]
    assert rows(old, new) == list(zip(old, new, strict=True))
    renamed = [finding("screw.panel", case="A")], [finding("screw.panel", case="B")]
    assert rows(*renamed) == [(renamed[0][0], renamed[1][0])]  # alone with its code
    more = [*renamed[1], finding("screw.panel", case="C")]
    assert rows(renamed[0], more) == [(None, more[0]), (None, more[1]), (renamed[0][0], None)]


def test_no_finding_is_lost_or_told_twice():
    old = [finding(case=f"wall {k}") for k in range(3)]
    new = [finding(case=f"wall {k}") for k in range(1, 5)]
    found = rows(old, new)
    assert [r for r, _ in found if r] == [old[1], old[2], old[0]]
    assert [r for _, r in found if r] == new


@pytest.mark.parametrize(
    ("old", "new", "changed", "turned"),
    [
        (finding(value=10.0), finding(value=10.004), False, False),
        (finding(value=10.0), finding(value=10.006), True, False),
        (finding(value=10.0), finding(value=10.0, verdict=Verdict.WARN), True, True),
        (None, finding(), True, False),
        (None, finding(verdict=Verdict.FAIL), True, True),
        (finding(verdict=Verdict.FAIL), None, True, True),
    ],
)
def test_a_row_changes_as_it_is_shown(old, new, changed, turned):
    row = FindingRow(old, new)
    assert (row.changed, row.verdict_changed) == (changed, turned)


def test_sizes_are_matched_by_name_and_a_new_form_is_a_change():
    old = (NamedSize("bore", (100.0,)), NamedSize("tilt", (8.0,), "deg"), NamedSize("gone", (1.0,)))
    new = (NamedSize("tilt", (8.0,), "deg"), NamedSize("bore", (100.0, 80.0)), NamedSize("label", ("UP",), "1"))
    found = size_rows(old, new)
    assert [(row.name, row.changed) for row in found] == [
        ("tilt", False),
        ("bore", True),
        ("label", True),
        ("gone", True),
    ]
    assert SizeRow(NamedSize("label", ("UP",)), NamedSize("label", ("UP",))).changed is False


def test_what_is_round_has_a_diameter_and_what_is_not_has_width_and_height():
    assert extents(circle(34.0, (3.0, 4.0))) == pytest.approx((34.0,))
    assert extents(rectangle(60.0, 40.0, 5.0)) == pytest.approx((60.0, 40.0))


def test_features_differ_by_any_dimension_and_by_coming_or_going():
    plate, hole = (
        Feature(ident(name), (Prism(circle(size), 0.0, 6.0),)) for name, size in (("plate", 50.0), ("hole", 5.0))
    )
    wider = Feature(ident("hole"), (Prism(circle(5.2), 0.0, 6.0),))
    assert differing_features(Recipe("a", (plate, hole), 1), Recipe("b", (plate, hole), 1)) == ()
    assert labels(differing_features(Recipe("a", (plate, hole), 1), Recipe("b", (plate, wider), 1))) == ("hole",)
    assert labels(differing_features(Recipe("a", (plate, hole), 1), Recipe("b", (plate,), 0))) == ("hole",)
