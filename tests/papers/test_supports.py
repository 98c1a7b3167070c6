"""What the sheet of work says of supports is what the checks found to sag, and never its opposite."""

from __future__ import annotations

from dataclasses import replace

import pytest

from mounts.findings.report import Finding, Verdict
from mounts.identity import LAP
from mounts.papers.preparation import print_steps

BORE = Finding("print.overhang", Verdict.WARN, "overhang of the bore, about 45 mm²", 59.5, None, 46.0, "deg")
ROOF = Finding("print.bridge", Verdict.WARN, "bridge over the recess C", 24.0, None, 20.0)
TONGUE = replace(BORE, what="overhang of the lap 1, about 90 mm²", measured=90.0, between=(LAP, LAP))


@pytest.mark.parametrize(
    ("findings", "supported", "says"),
    [
        ((), "", "No supports."),
        ((replace(BORE, verdict=Verdict.PASS),), "", "No supports."),
        ((BORE,), "", "Support the overhang of the bore from the bed, and nothing else."),
        ((BORE, ROOF), "", "Support the overhang of the bore and the bridge over the recess C from the bed, and "),
        ((TONGUE,), "both tongues", "Support both tongues from the bed, and nothing else."),
        ((TONGUE, BORE), "both tongues", "Support both tongues and the overhang of the bore from the bed, and nothing"),
    ],
)
def test_what_sags_is_supported_and_nothing_else(ring, findings, supported, says):
    told = next(print_steps(replace(ring, report=replace(ring.report, findings=findings)), "As it is.", supported)).text
    assert f"As it is. {says}" in told
    assert ("No supports" in told) is (says == "No supports.")
