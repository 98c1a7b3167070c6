"""A library of one's own."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest


@pytest.fixture
def profiles_copy(tmp_path) -> Path:
    """The demo library, in which may be written."""
    return Path(shutil.copytree(Path(__file__).parents[2] / "profiles", tmp_path / "profiles"))
