"""A job's files held against their SHA-256, by `mounts check FOLDER`."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

import pytest
from click.testing import CliRunner

from mounts.cli import commands
from mounts.errors import InputError
from mounts.findings.report import Report
from mounts.load.results.report import changed_files
from mounts.write.files import publish
from mounts.write.output import report_files

FILES = {"left.stl": b"solid", "left.step": b"ISO"}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A job's folder as it is written."""
    files, stale = report_files(Report("x", ()), FILES)
    publish(tmp_path / "x", files, stale)
    return tmp_path / "x"


def test_the_digests_are_those_of_another_program(folder: Path) -> None:
    """GNU coreutils' sha256sum."""
    told = json.loads((folder / "report.json").read_text("utf-8"))["sha256"]
    lines = "".join(f"{digest}  {name}\n" for name, digest in told.items())
    assert set(told) == set(FILES)
    subprocess.run(["sha256sum", "--check", "--strict", "-"], input=lines.encode(), cwd=folder, check=True)


def test_what_is_changed_or_missing_is_told(folder: Path) -> None:
    assert changed_files(folder) == (2, ())
    (folder / "mine.txt").write_text("mine", "utf-8")
    (folder / "left.stl").write_bytes(b"soliD")
    (folder / "left.step").unlink()
    assert changed_files(folder) == (2, (("left.step", "is missing"), ("left.stl", "is not as it was written")))


@pytest.mark.parametrize(
    "text",
    [None, "", "{}", "[]", '{"sha256": {}}', '{"sha256": {"../x": "0"}}', '{"sha256": {"x": 1}}', '{"sha256": 3}'],
)
def test_a_folder_without_a_sound_report_is_refused(folder: Path, text: str | None) -> None:
    (folder / "report.json").unlink()
    if text is not None:
        (folder / "report.json").write_text(text, "utf-8")
    with pytest.raises(InputError):
        changed_files(folder)


def test_the_command_ends_with_1_where_a_file_was_changed(folder: Path) -> None:
    run = CliRunner().invoke(commands, ["check", str(folder)], standalone_mode=False)
    assert (run.return_value, run.output) == (0, f"{folder}: 2 of 2 files are as they were written\n")
    (folder / "left.stl").write_bytes(b"")
    run = CliRunner().invoke(commands, ["check", str(folder)], standalone_mode=False)
    assert run.return_value == 1
    assert run.output.splitlines()[0] == f"{folder / 'left.stl'} is not as it was written"
    run = CliRunner().invoke(commands, ["check", str(folder), "--json"], standalone_mode=False)
    assert json.loads(run.output)["changed"] == {"left.stl": "is not as it was written"}
