"""Jobs and shops for batches."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import pytest

from mounts.batch.run import Shop
from mounts.load.resolve.job import load_job

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(Path(__file__).parent))  # so that workers find the stand-ins


class Memory:
    """A store that forgets at the end of a test."""

    def __init__(self):
        self.held = {}

    def recall(self, key):
        return self.held.get(key)

    def keep(self, key, packed):
        self.held[key] = packed


@pytest.fixture
def memory():
    return Memory()


@pytest.fixture(scope="session")
def spacer():
    """The quickest of the demo jobs."""
    return load_job(ROOT / "profiles" / "jobs" / "linnet-port-round.yaml")[0]


@pytest.fixture
def jobs(spacer):
    """Any number of small jobs with names of their own, and notes for the stand-ins."""
    return lambda *notes: [replace(spacer, name=f"job-{n}", notes=note) for n, note in enumerate(notes)]


@pytest.fixture
def shop(memory):
    return lambda crew, seconds=60.0: Shop(crew, memory, "this program", seconds)
