"""Parts that pages are made of: a ring, a cup, a spacer, and a ring whose report fails it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from mounts import pipeline
from mounts.findings.report import Verdict
from mounts.load.resolve.job import load_job
from mounts.made import Made

PROFILES = Path(__file__).parents[3] / "profiles"


def made(path: Path) -> Made:
    """The first side of a job."""
    return pipeline.make(load_job(path, PROFILES)[0])


@pytest.fixture(scope="session")
def ring() -> Made:
    """The demo woofer's mount, left."""
    return made(PROFILES / "jobs" / "linnet-woofer.yaml")


@pytest.fixture(scope="session")
def failing(ring: Made) -> Made:
    """The same as if the flange, the mount and the glass were nearer than they may be."""
    graver = {"flange to trim": Verdict.FAIL, "mount to grille": Verdict.FAIL, "body to glass": Verdict.WARN}
    findings = tuple(
        replace(f, verdict=graver[f.what], measured=1.0, closed_form=1.0, advice="take 2.0 less height")
        if f.what in graver
        else f
        for f in ring.report.findings
    )
    return replace(ring, report=replace(ring.report, findings=findings))


@pytest.fixture(scope="session")
def cup() -> Made:
    """A tweeter's cup on four pins."""
    return made(PROFILES / "jobs" / "linnet-dash-tweeter-press.yaml")


@pytest.fixture(scope="session")
def spacer() -> Made:
    """An oblong spacer in a narrowing opening."""
    return made(PROFILES / "jobs" / "linnet-port-oblong.yaml")
