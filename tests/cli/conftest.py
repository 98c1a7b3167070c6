"""Running the command line in this process, as a person would type it."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable
from contextlib import chdir
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


@pytest.fixture(scope="module")
def built(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workshop that built a job of its own, JOB of the test's module: a demo job by CHANGES to its text."""
    from mounts import pipeline
    from mounts.load.resolve.inputs import gather_inputs
    from mounts.load.resolve.job import load_from
    from mounts.load.resolve.library import find_library

    shop, name = tmp_path_factory.mktemp("shop"), request.module.JOB
    text = (ROOT / "profiles" / "jobs" / f"{request.module.ORIGIN}.yaml").read_text("utf-8")
    for old, new in {request.module.ORIGIN: name, **request.module.CHANGES}.items():
        assert old in text
        text = text.replace(old, new)
    file = shop / "profiles" / "jobs" / f"{name}.yaml"
    file.parent.mkdir(parents=True)
    file.write_text(text, "utf-8")
    with chdir(shop):
        held = find_library(file)
        pipeline.write(load_from(held, file), Path("out"), pipeline.Wish(("stl",)), gather_inputs(held, file))
    return shop


@pytest.fixture
def shop(built: Path, tmp_path: Path, run: Callable[..., Ran], monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of that workshop, in which one may change things; it is the current folder, whatever `run` took."""
    copy = shutil.copytree(built, tmp_path / "shop")
    monkeypatch.chdir(copy)
    return copy
