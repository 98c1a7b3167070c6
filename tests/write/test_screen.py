"""The twenty lines on the screen, as characters."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest
from rich.cells import cell_len
from rich.console import Console

from mounts.findings.compare import at_least, at_most
from mounts.findings.report import Estimate, Finding, PartReport, Report, Verdict
from mounts.write.screen import Done, next_step, summary

PASS, DO, WARN, FAIL = Verdict
WRITE = "write {} in the {}: it was tried, and keeps every clearance and wall"
GLASS = at_least("clear.glass", -1.3, 10.0, "body to glass", advice="1.3 more is needed: take a height of 24.0")
RAIL = at_least("clear.thing", 6.0, 8.0, "body to lift rail", advice="2.0 more is needed: take a height of 22.4")
ROOF = at_least("wall.roof", 2.0, 3.0, "roof over recess A", advice="take a base 1.0 thicker")
HEAT = at_least("heat", 69.0, 75.0, "PETG in a door", missed=WARN, advice="take asa, which bears 85")
HOLES = at_least("panel.hole", 7.0, 7.1, "panel hole for M5 nut", missed=DO, advice="open them to 7.1")
PASSES = (
    at_least("clear.trim", 3.4, 3.0, "flange to trim"),
    at_most("print.overhang", 45.7, 46.0, "steepest overhang"),
    at_least("wall.screw-bore", 2.2, 2.1, "wall, screw 1 to bore"),
    at_least("wall.base", 9.0, 5.0, "base thickness"),
)
CAUTIONS = ("Battery: disconnect it.", "Glass: it cuts.", "This tool approves nothing, and much more besides: nothing.")
TAKES = Estimate(79.0, 5.3, None, 3.0, 9.0)
DONE = Done("4 and report.json in out/x/: look at left.png", ("print papers.pdf at 100 %",))


def report(*findings: Finding, missing: tuple[str, ...] = (), sides: tuple[str, ...] = ("left", "right")) -> Report:
    return Report("x", tuple(PartReport(side, findings, missing, cautions=CAUTIONS, estimate=TAKES) for side in sides))


def lines(shown: Report, width: int = 80, done: Done = DONE, **settings: object) -> list[str]:
    console = Console(width=width, file=io.StringIO(), **settings)  # type: ignore[arg-type]
    console.print(summary(shown, width, done))
    return [line.rstrip() for line in console.file.getvalue().splitlines()]  # type: ignore[attr-defined]


def test_a_good_part_with_a_warning_and_work_by_hand() -> None:
    assert lines(report(*PASSES, HEAT, HOLES)) == [
        "x: OK, BUT: 1 warning, 1 thing to do by hand",
        "",
        "WARN     PETG in a door: 69 °C (min 75)",
        "         → take asa, which bears 85",
        "",
        "tightest steepest overhang: 45.7° (max 46)",
        "         wall, screw 1 to bore: 2.2 (min 2.1)",
        "         flange to trim: 3.4 (min 3)",
        "         4 checks passed; --all shows every check",
        "",
        "DO       open them to 7.1",
        "",
        "safety   read before you begin: battery, glass and 1 more (papers.pdf)",
        "print    about 79 g and 5.3 h each",
        "files    4 and report.json in out/x/: look at left.png",
        "next     print papers.pdf at 100 %",
    ]


def test_what_one_change_mends_stands_once_with_the_line_to_paste() -> None:
    changed = [
        replace(one, change="height: 24.5", advice=WRITE.format("height: 24.5", "job")) for one in (GLASS, RAIL, ROOF)
    ]
    assert lines(report(*changed))[:6] == [
        "x: NOT OK: 1 fault",
        "",
        "FAIL     body to glass: overlaps by 1.3 (min 10)",
        "         also body to lift rail; roof over recess A",
        "         → height: 24.5",
        "         write this in the job: it was tried, and keeps every clearance and wall",
    ]


def test_a_tilt_is_written_in_the_aim() -> None:
    assert lines(report(replace(GLASS, change="tilt: 5", advice=WRITE.format("tilt: 5", "job's aim"))))[3:5] == [
        "         → tilt: 5",
        "         write this in the job's aim: it was tried, and keeps every clearance",
    ]


@pytest.mark.parametrize(
    ("findings", "missing", "headline"),
    [
        ((), (), "x: UNKNOWN: nothing was checked"),
        (PASSES, (), "x: OK"),
        ((*PASSES, HOLES), (), "x: OK: 1 thing to do by hand"),
        (PASSES, ("panel.behind.glass",), "x: UNKNOWN: not measured: glass"),
        ((HEAT,), ("panel.ears", "panel.behind"), "x: UNKNOWN: not measured: ears, room behind; 1 warning"),
        ((GLASS, HEAT), ("panel.ears",), "x: NOT OK: not measured: ears; 1 fault, 1 warning"),
    ],
)
def test_the_verdict_in_one_line(findings: tuple[Finding, ...], missing: tuple[str, ...], headline: str) -> None:
    """What was not measured is never OK."""
    assert lines(report(*findings, missing=missing))[0] == headline


def test_what_is_not_measured_is_asked_for_by_its_keys() -> None:
    told = lines(report(*PASSES, missing=("panel.behind.glass", "panel.ears", "speaker.mass")))
    assert told[2:4] == [
        "UNKNOWN  → measure and write behind.glass, ears into the panel's file, and",
        "           mass into the speaker's file",
    ]


def test_the_next_step_says_what_must_be_done_first() -> None:
    assert next_step(report(GLASS), "mounts build x") == "change that, then: mounts build x"
    assert next_step(report(missing=("panel.ears",)), "mounts build x") == "measure that, then: mounts build x"
    assert next_step(report(HEAT), "mounts build x") == ""


def test_sides_that_differ_are_told_apart() -> None:
    parts = [PartReport(side, (at_least("clear.glass", value, 10.0, "body to glass"),)) for side, value in
             (("left", 4.0), ("right", 5.0))]  # fmt: skip
    assert lines(Report("x", tuple(parts)), done=Done()) == [
        "x: NOT OK: 1 fault",
        "",
        "FAIL     left: body to glass: 4 (min 10)",
    ]


def test_no_more_than_five_causes_are_shown() -> None:
    codes = ("clear.glass", "clear.trim", "wall.base", "wall.roof", "wall.tower", "wall.web", "bed")
    told = lines(report(*(at_least(code, 1.0, 3.0, f"a {code}", advice=f"mend {code}") for code in codes)))
    assert told[0] == "x: NOT OK: 7 faults"
    assert sum(line.startswith("FAIL") for line in told) == 5
    assert "         and 2 more: --all shows them" in told


@pytest.mark.parametrize("width", [40, 80, 120])
def test_no_line_is_wider_than_the_screen(width: int) -> None:
    long = at_least("placed", 1.0, 2.0, "x " * 75, unit="mm", advice="y " * 150)
    told = lines(Report("j" * 200, (PartReport("left", (*PASSES, long), ("p" * 150,)),)), width)
    assert max(map(cell_len, told)) <= max(width, 49)
    assert "".join(told).count("y") >= 150, "advice is wrapped, never cut"


def test_user_text_is_neither_markup_nor_terminal_code() -> None:
    evil = "[red]x[/red] [left] \x1b[31m\x07"
    finding = at_least("placed", 1.0, 2.0, evil, unit="mm", advice=evil)
    told = lines(Report(evil, (PartReport(evil, (finding,), (evil,)),)), 120, Done())
    assert not any("\x1b" in line or "\x07" in line for line in told)
    assert sum(line.count("[red]x[/red] [left] [31m") for line in told) == 5


def test_colour_only_repeats_the_words(monkeypatch: pytest.MonkeyPatch) -> None:
    shown = report(*PASSES, GLASS)
    coloured = "\n".join(lines(shown, force_terminal=True, color_system="standard"))
    assert "\x1b[1;31mFAIL" in coloured and "\x1b[1;31mNOT OK" in coloured
    assert "\x1b" not in "\n".join(lines(shown))
    monkeypatch.setenv("NO_COLOR", "1")
    bare = "\n".join(lines(shown, force_terminal=True, color_system="standard"))
    assert "31m" not in bare and "33m" not in bare and "32m" not in bare
