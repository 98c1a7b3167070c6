"""A value with its limit: what decided, in words that cannot be misread."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest

from mounts.findings.codes import BOUNDS, CODES, Sense
from mounts.findings.compare import at_least, at_most, state, within
from mounts.findings.report import Finding, Verdict
from mounts.findings.wall import Wall
from mounts.findings.wording import decisive, number, value_with_limit
from tests.idents import pair

PASS, DO, WARN, FAIL = Verdict


@pytest.mark.parametrize(
    ("finding", "words"),
    [
        (at_least("wall.screw-bore", 2.2, 2.1, "x"), "2.2 (min 2.1)"),
        (at_most("print.overhang", 45.7, 46.0, "x"), "45.7° (max 46)"),
        (within("seat.tilt", 8.0, 8.0, 0.1, "x"), "8.00° (8 ± 0.1)"),
        (within("seat.tilt", 8.104, 8.0, 0.1, "x"), "8.104° (8 ± 0.1)"),
        (within("size.bore", 11.33, 11.33, 0.05, "x"), "11.33 (11.33 ± 0.05)"),
        (at_least("clear.glass", -1.3, 3.0, "x"), "overlaps by 1.3 (min 3)"),
        (at_least("bed", -0.4, 0.0, "x"), "short by 0.4"),
        (at_least("fit.panel.grip", -0.03, -0.1, "x"), "presses by 0.03 (max 0.1)"),
        (at_least("wall.base", 2.996, 3.0, "x"), "2.996 (min 3)"),
        (at_least("wall.base", 2.96, 3.0, "x"), "2.96 (min 3)"),
        (at_least("chance.clear", 94.96, 95.0, "x"), "94.96 % (min 95)"),
        (at_least("chance.clear", 100.0, 99.0, "x"), "99.9 % (min 99)"),
        (at_least("chance.mount", 100.0, 99.95, "x"), "99.95 % (min 99.95)"),
        (at_most("load.panel-screws", 248.94, 552.0, "x"), "249 N (max 552)"),
        (at_most("load.panel-screws", 552.3, 552.0, "x"), "552.3 N (max 552)"),
        (at_most("aim.ear", 49.8339, 49.0348, "x"), "49.8° (max 49)"),
        (at_most("print.overhang", 45.96, 46.0, "x"), "45.96° (max 46)"),
        (at_least("press.keep", 1058.18, 39.825, "x"), "1058 N (min 39.8)"),
        (at_most("load.sag", 0.0177, 0.7611, "x"), "0.02 (max 0.76)"),
        (at_most("access.lap-screws", 0.0, 0.0, "x"), "0 mm³ (max 0)"),
        (state("solid.one", FAIL, "x", limit=1.0, measured=2.0), "2 (must be 1)"),
        (state("press.out", PASS, "x", 52.77), "52.8 N"),
        (state("screw.panel", FAIL, "x", limit=3.0), "min 3"),
        (state("flat.recess", DO, "x"), ""),
        (at_least("wall.base", float("nan"), 3.0, "x"), "unknown (min 3)"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_a_value_and_its_limit(finding: Finding, words: str) -> None:
    assert value_with_limit(finding) == words


def test_the_value_that_decided_is_shown_and_both_where_plan_and_mesh_differ() -> None:
    alike = at_least("clear.glass", 10.03, 10.0, "x", measured=10.01)
    assert (decisive(alike), value_with_limit(alike)) == (10.03, "10.03 (min 10)")
    missed = at_least("clear.glass", 10.01, 10.0, "x", measured=9.98)
    assert (decisive(missed), value_with_limit(missed)) == (9.98, "9.98 (min 10)")
    by_plan = replace(at_least("clear.glass", 9.98, 10.0, "x"), measured=10.01)  # as a clearance is judged
    assert (by_plan.verdict, decisive(by_plan), value_with_limit(by_plan)) == (FAIL, 9.98, "9.98 (min 10)")
    apart = at_least("clear.glass", 10.5, 9.0, "x", measured=10.3)
    assert value_with_limit(apart) == "10.3 measured, 10.5 planned (min 9)"
    bound = at_least("wall.well", 6.0, 3.0, "x", measured=7.0)  # the plan says only how thick it is at least
    assert value_with_limit(bound) == "6 (min 3)"


@pytest.mark.parametrize("code", sorted(BOUNDS))
@pytest.mark.parametrize("planned", [0.9, 1.1, 1.3, 6.0])
def test_of_a_wall_of_which_the_plan_knows_the_least_the_plan_s_figure_is_shown(code: str, planned: float) -> None:
    """Whatever more the mesh shows, which moves with its triangles."""
    found = Wall(code, pair("well A", "bore"), planned, 1.2, "x").finding()
    shown = {value_with_limit(replace(found, measured=planned + more)) for more in (-0.04, 0.0, 1e-9, 0.04, 0.1, 2.0)}
    assert shown == {value_with_limit(found)}
    assert found.verdict is (PASS if planned >= 1.2 else FAIL)


@pytest.mark.parametrize("code", [code for code, row in CODES.items() if Sense.TARGET not in row.senses and row.senses])
def test_no_missed_limit_looks_reached_and_nothing_is_negative(code: str) -> None:
    """Of any check: just below and above limits of any size."""
    row = CODES[code]
    for sense, limit, off in product(
        row.senses, (0.0, 0.29, 1.2, 10.0, 49.03, 100.0, 552.87), (3e-4, 0.004, 0.04, 7.0)
    ):
        value = limit - off if sense is Sense.LEAST else limit + off
        words = value_with_limit(Finding(code, FAIL, "x", None, value, limit, row.unit or "mm", sense=sense))
        if words.startswith(("short by ", "overlaps by ", "presses by ")):
            assert words.split()[2] not in ("0", "0.0") and not words.split()[2].startswith("-")
            continue
        shown, _, bound = words.replace("°", "").partition(" (")
        figures = float(shown.split()[0]), float(bound.split()[-1].rstrip(")"))
        assert figures[0] < figures[1] if sense is Sense.LEAST else figures[0] > figures[1], words
        assert figures[0] >= 0 or row.unit != "mm", words


@pytest.mark.parametrize(
    ("value", "words"),
    [(2.0, "2"), (2.25, "2.25"), (0.04, "0.04"), (0.004, "0.004"), (-0.0, "0"), (123.4, "123"), (1e-9, "0")],
)
def test_a_figure_without_idle_noughts(value: float, words: str) -> None:
    assert number(value) == words
