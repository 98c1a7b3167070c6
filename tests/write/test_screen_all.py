"""The table of every check, as characters."""

from __future__ import annotations

import io

import pytest
from rich.cells import cell_len
from rich.console import Console

from mounts.findings.codes import Sense
from mounts.findings.report import Finding, PartReport, Report, Verdict
from mounts.write.screen_all import report_table
from tests.idents import pair

PASSED = (
    Finding("clear.grille", Verdict.PASS, "cone at full travel to the grille", 14.2, None, 4.0, sense=Sense.LEAST),
    Finding("solid.volume", Verdict.PASS, "both kernels make the same part", 0.8, None, 10.0, "ppm", sense=Sense.MOST),
    Finding("solid.one", Verdict.PASS, "one solid, in one piece", unit="1"),
)
HEAT = Finding("heat", Verdict.WARN, "PETG in a door", None, 69.0, 75.0, "C", advice="ASA bears 85", sense=Sense.LEAST)
GLASS = Finding(
    "clear.glass", Verdict.FAIL, "magnet to the glass at any height", 4.2, 4.19, 10.0, sense=Sense.LEAST,
    advice="tilt 6.1 or less, or height 24.5 or more: with every degree less the magnet's edge comes 0.6 forward",
)  # fmt: skip
WALL = Finding(
    "wall.least", Verdict.FAIL, "wall", 2.996, None, 3.0, advice="height 23",
    between=pair("bore", "pocket 2"), sense=Sense.LEAST,
)  # fmt: skip
HOLES = Finding(
    "panel.hole", Verdict.DO, "panel hole for M5 nut", None, 7.0, 7.1, advice="open them to 7.1", sense=Sense.LEAST
)
LEFT = PartReport("left", (*PASSED[:1], HEAT, GLASS, WALL, *PASSED[1:]), ("behind.things", "in_front.trim"))
RIGHT = PartReport("right", (HEAT, *PASSED), ("in_front.trim",))
REPORT = Report("linnet [bold]woofer[/] 🚐", (LEFT, RIGHT))


def lines(report: Report, width: int, **settings: object) -> list[str]:
    console = Console(width=width, file=io.StringIO(), **settings)  # type: ignore[arg-type]
    console.print(report_table(report, width))
    return [line.rstrip() for line in console.file.getvalue().splitlines()]  # type: ignore[attr-defined]


def test_what_fails_comes_first_and_what_passes_last_and_short() -> None:
    assert lines(REPORT, 80) == [
        "linnet [bold]woofer[/] 🚐: FAIL (2 fail, 1 warn, 2 not measured, 3 pass)",
        "",
        "FAIL  left: magnet to the glass at any height                       4.2 (min 10)",
        "      → tilt 6.1 or less, or height 24.5 or more: with every degree less the",
        "      magnet's edge comes 0.6 forward",
        "",
        "FAIL  left: wall                                                   2.996 (min 3)",
        "      between bore and pocket 2",
        "      → height 23",
        "",
        "WARN  PETG in a door                                              69 °C (min 75)",
        "      → ASA bears 85",
        "",
        "NOT MEASURED  left: behind.things",
        "NOT MEASURED  in_front.trim",
        "              Not checked, so not known to fit: take these readings and write",
        "              them into the panel's file.",
        "",
        "pass  cone at full travel to the grille                             14.2 (min 4)",
        "pass  both kernels make the same part                           0.8 ppm (max 10)",
        "pass  one solid, in one piece",
    ]


def test_work_by_hand_stands_after_what_is_wrong_and_before_what_passes() -> None:
    report = Report("x", (PartReport("left", (PASSED[0], HOLES, HEAT), ("ears",)),))
    assert lines(report, 80)[2:] == [
        "WARN  PETG in a door                                              69 °C (min 75)",
        "      → ASA bears 85",
        "",
        "NOT MEASURED  ears",
        "              Not checked, so not known to fit: take these readings and write",
        "              them into the panel's file.",
        "",
        "DO  panel hole for M5 nut                                            7 (min 7.1)",
        "    → open them to 7.1",
        "",
        "pass  cone at full travel to the grille                             14.2 (min 4)",
    ]


@pytest.mark.parametrize("width", [40, 80, 120])
def test_no_line_is_wider_than_the_screen(width: int) -> None:
    long = Finding("print.contact", Verdict.PASS, "a long name of a check " * 9, 1.0, None, 2.0, sense=Sense.LEAST)
    worst = Finding(
        "wall.thin", Verdict.FAIL, "x" * 150, 123456.789, None, 2.0, advice="y" * 300, between=pair("a" * 90, "b")
    )
    told = lines(Report("j" * 200, (PartReport("left", (long, worst), ("p" * 150,)),)), width)
    assert max(map(cell_len, told)) <= width
    passed = [line for line in told if line.startswith("pass")]
    assert len(passed) == 1 and "…" in passed[0] and passed[0].endswith("1 (min 2)")
    assert "".join(told).replace(" ", "").count("y") >= 300, "advice is wrapped, never cut"


def test_wide_screen_needs_no_wrapping_of_the_advice() -> None:
    assert (
        "      → tilt 6.1 or less, or height 24.5 or more: with every degree less the magnet's edge comes 0.6 forward"
        in (lines(REPORT, 120))
    )


@pytest.mark.parametrize(
    ("findings", "missing", "headline"),
    [
        ((), (), "x: pass (nothing was checked)"),
        (PASSED[:1], (), "x: pass (1 pass)"),
        (PASSED[:1], ("ears",), "x: pass as far as measured (1 not measured, 1 pass)"),
        ((HEAT,), ("ears",), "x: WARN as far as measured (1 warn, 1 not measured)"),
        ((WALL,), ("ears",), "x: FAIL (1 fail, 1 not measured)"),
        ((HOLES, *PASSED[:1]), (), "x: DO (1 to do, 1 pass)"),
    ],
)
def test_headline(findings: tuple[Finding, ...], missing: tuple[str, ...], headline: str) -> None:
    assert lines(Report("x", (PartReport("", findings, missing),)), 80)[0] == headline


def test_the_closed_form_stands_where_nothing_was_measured() -> None:
    finding = Finding("print.contact", Verdict.PASS, "x", None, 5.0, 4.0, sense=Sense.LEAST)
    assert lines(Report("x", (PartReport("", (finding,)),)), 80)[-1].endswith("5 (min 4)")


def test_sides_that_differ_are_told_apart() -> None:
    def report(verdict: Verdict) -> Report:
        return Report(
            "x",
            tuple(
                PartReport(side, (Finding("print.contact", verdict, "cone to grille", value, None, 4.0),))
                for side, value in (("left", 14.2), ("right", 14.9))
            ),
        )

    warned = [line.split("  ")[1] for line in lines(report(Verdict.WARN), 80)[1:] if line]
    assert warned == ["left: cone to grille", "right: cone to grille"]
    passed = [line.split("  ")[1] for line in lines(report(Verdict.PASS), 80)[1:] if line]
    assert passed == ["left: cone to grille (tightest of 2)"]


def test_user_text_is_neither_markup_nor_terminal_code() -> None:
    evil = "[red]x[/red] [left] \x1b[31m\x07"
    finding = Finding("wall.thin", Verdict.FAIL, evil, advice=evil, between=pair(evil, "y"))
    told = lines(Report(evil, (PartReport(evil, (finding,), (evil,)),)), 120)
    assert not any("\x1b" in line or "\x07" in line for line in told)
    assert sum(line.count("[red]x[/red] [left] [31m") for line in told) == 5


def test_colour_only_repeats_the_words(monkeypatch: pytest.MonkeyPatch) -> None:
    coloured = "\n".join(lines(REPORT, 80, force_terminal=True, color_system="standard"))
    assert "\x1b[1;31mFAIL\x1b[0m" in coloured
    monkeypatch.setenv("NO_COLOR", "1")
    bare = "\n".join(lines(REPORT, 80, force_terminal=True, color_system="standard"))
    assert "\x1b[1mFAIL\x1b[0m" in bare
    assert "31m" not in bare and "33m" not in bare and "32m" not in bare


@pytest.mark.parametrize("labels", [("bore", "pocket 2"), ("wall", "all"), ("", "")])
@pytest.mark.parametrize(("code", "told"), [("wall.least", 1), ("clear.thing", 0)])
def test_what_it_lies_between_is_told_by_its_code_and_not_by_its_labels(
    code: str, told: int, labels: tuple[str, str]
) -> None:
    """The words of a clearance name both things, those of the least wall neither, whatever the things are called."""
    found = Finding(code, Verdict.FAIL, "wall", 1.0, None, 3.0, between=pair(*labels))
    assert sum("between" in line for line in lines(Report("any", (PartReport("", (found,)),)), 80)) == told
