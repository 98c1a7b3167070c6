"""Running the command line in this process, as a person would type it."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from mounts.cli import main

ROOT = Path(__file__).parents[2]


@dataclass(frozen=True)
class Ran:
    """How a command ended."""

    code: int
    out: str
    err: str


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Callable[..., Ran]:
    """Runs `mounts` with some words; the library is the repository's."""
    monkeypatch.chdir(ROOT)
    monkeypatch.setenv("COLUMNS", "80")

    def ran(*words: object) -> Ran:
        monkeypatch.setattr(sys, "argv", ["mounts", *map(str, words)])
        capsys.readouterr()
        with pytest.raises(SystemExit) as ended:
            main()
        told = capsys.readouterr()
        return Ran(int(ended.value.code or 0), told.out, told.err)

    return ran
