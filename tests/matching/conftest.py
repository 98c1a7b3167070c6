"""An index of its own for every test."""

from __future__ import annotations

import pytest


@pytest.fixture(autouse=True)
def cache(tmp_path, monkeypatch):
    """The folder in which indexes are kept."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    return tmp_path / "cache" / "mounts"
