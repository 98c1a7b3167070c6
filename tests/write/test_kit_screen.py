"""A kit in twenty lines, as characters."""

from __future__ import annotations

import io

from rich.console import Console

from mounts.findings.compare import at_least, at_most
from mounts.findings.kit import BedRow, KitReport, KitRow, LaidOut
from mounts.findings.report import Estimate, Verdict
from mounts.write.kit import kit_summary
from mounts.write.screen import Done

TAKES = Estimate(80.0, 5.0, None, 3.0, 9.0)
SHRINK = at_most("shrink", 1.27, 0.55, "shrink of asa", missed=Verdict.WARN, advice="print the coupon")
BED = at_least("bed", -12.0, 0.0, "room left on the bed of bed-180", advice="take a larger printer")


def row(job: str, side: str = "left", **more: object) -> KitRow:
    settings: dict[str, object] = {"verdict": Verdict.PASS, "how": "made", "estimate": TAKES, **more}
    return KitRow(job, side, 1, **settings)  # type: ignore[arg-type]


def lines(*rows: KitRow, beds: int = 1) -> list[str]:
    laid = tuple(BedRow(n, "bed-250", "asa", (("a left", 2),), (), TAKES) for n in range(1, beds + 1))
    console = Console(width=80, file=io.StringIO())
    console.print(kit_summary(KitReport("k", "Linnet", 1, rows, LaidOut(laid)), 80, Done("in out/k/", ("print it",))))
    return [line.rstrip() for line in console.file.getvalue().splitlines()]  # type: ignore[attr-defined]


def test_a_kit_that_is_in_order() -> None:
    assert lines(row("a"), row("a", "right"), row("b", how="kept")) == [
        "k: OK: 3 parts",
        "",
        "beds     bed 1, bed-250, asa: a left × 2; about 80 g and 5.0 h",
        "parts    2 parts made, 1 unchanged, 0 lost; 3 pieces to print",
        "print    about 80 g and 5.0 h in all",
        "files    in out/k/",
        "next     print it",
    ]


def test_what_is_wrong_stands_once_for_all_parts_that_share_it_the_gravest_first() -> None:
    warned = [row(f"w{k}", verdict=Verdict.WARN, worst=SHRINK, missing=k // 6) for k in range(1, 8)]
    told = lines(
        *warned, row("f", verdict=Verdict.FAIL, worst=BED), row("g", verdict=Verdict.FAIL, how="lost", why="no")
    )
    assert told[:9] == [
        "k: NOT OK: 1 not made, 1 not OK, 2 with readings not taken, 7 with warnings of 9",
        "  parts",
        "",
        "FAIL     f: room left on the bed of bed-180: short by 12",
        "         → take a larger printer",
        "LOST     g: no",
        "WARN     w1, w2, w3, w4, w5 and 2 more: shrink of asa: 1.27 (max 0.55)",
        "         → print the coupon",
        "UNKNOWN  w6, w7: readings not taken; mounts check JOB says which",
    ]


def test_many_beds_are_counted() -> None:
    assert "beds     20 of bed-250, asa: kit.json and the papers say what lies on which" in lines(row("a"), beds=20)
