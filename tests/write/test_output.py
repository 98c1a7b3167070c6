"""Which files of an earlier build a new one takes away."""

from __future__ import annotations

import pytest

from mounts.findings.report import Finding, PartReport, Report, Verdict
from mounts.write.output import report_files


def report(side: str, verdict: Verdict = Verdict.PASS) -> Report:
    return Report("job", (PartReport(side, (Finding("bed", verdict, "room"),)),))


@pytest.mark.parametrize(
    ("side", "gone", "kept"),
    [
        ("left", ("left.not-ok.stl", "left.a.stl", "left.b.not-ok.3mf"), ("left.stl", "right.a.stl")),
        ("left.a", ("left.a.not-ok.stl", "left.stl", "left.not-ok.png"), ("left.a.stl", "left.b.stl", "right.stl")),
        ("", ("part.not-ok.stl",), ("part.stl",)),
    ],
)
def test_a_good_part_replaces_what_was_not_ok_and_a_ring_in_one_the_one_in_two(side, gone, kept) -> None:
    stale = report_files(report(side), {})[1]
    assert set(gone) <= set(stale)
    assert not set(kept) & set(stale)


def test_a_part_that_fails_takes_nothing_away() -> None:
    assert report_files(report("left.a", Verdict.FAIL), {})[1] == ()
