"""One part of every kind, made once, and the booklet of several."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from mounts.load.resolve.job import load_job
from mounts.made import Made
from mounts.papers.booklet import booklet
from mounts.papers.chapter import make_chapter
from mounts.papers.entry import BookletEntry
from mounts.pipeline import make
from mounts.write.booklet import booklet_pdf

ROOT = Path(__file__).parents[2]
JOBS = ROOT / "profiles" / "jobs"
NASTY = "..<b>x</b></script><script>alert(1)</script> &amp; 🚐 山田 مرحبا שלום ../../etc/passwd " + "W" * 90


def entries(*made: Made) -> tuple[BookletEntry, ...]:
    """Parts as a booklet takes them, without their files."""
    return tuple(BookletEntry(make_chapter(one), one.report) for one in made)


def made_of(name: str) -> Made:
    return make(load_job(JOBS / f"{name}.yaml")[0])


@pytest.fixture(scope="session")
def ring() -> Made:
    """The demo ring, left, tilted 8°."""
    return made_of("linnet-woofer")


@pytest.fixture(scope="session")
def flat() -> Made:
    return made_of("linnet-front-sheet")


@pytest.fixture(scope="session")
def cup() -> Made:
    return made_of("linnet-dash-tweeter-press")


@pytest.fixture(scope="session")
def spacer() -> Made:
    return made_of("linnet-port-round")


@pytest.fixture(scope="session")
def all_kinds(ring, flat, cup, spacer) -> tuple[Made, ...]:
    return (ring, flat, cup, spacer)


@pytest.fixture(scope="session")
def book(all_kinds) -> bytes:
    """The papers of a job of every kind in one, as a kit has them, on A4."""
    return booklet_pdf(booklet("linnet kit", entries(*all_kinds)), "a4")


@pytest.fixture(scope="session")
def nasty(ring) -> bytes:
    """A job that is called what nobody should call it, on Letter."""
    job = replace(ring.job, name=NASTY, about=NASTY, vehicle=NASTY, notes=NASTY, date="<font size=99>")
    plan = replace(ring.plan, paper=replace(ring.plan.paper, title=NASTY))
    return booklet_pdf(booklet(NASTY, entries(replace(ring, job=job, plan=plan))), "letter")
