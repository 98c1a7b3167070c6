"""A slice of the hostile files, each kind of them three times; `python -m tests.fuzz --count N` reads more."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

pytest.importorskip("resource")  # not on Windows


def test_hostile_files_are_read_or_refused_in_bounds() -> None:
    root = Path(__file__).parents[2]
    setting = {**os.environ, "PYTHONPATH": str(root)}
    ran = subprocess.run(
        [sys.executable, "-m", "tests.fuzz", "--count", "36"], cwd=root, env=setting, capture_output=True, check=False
    )
    assert ran.returncode == 0, (ran.stdout + ran.stderr).decode()
