"""The files to fill in: they load as they stand, and ask in the order of measuring."""

from pathlib import Path
from typing import Any

import pytest

from mounts.load.editing.template import blank_file, format_scalar
from mounts.load.models.device import Device
from mounts.load.models.panel import Panel
from mounts.load.models.pins import PinPanel
from mounts.load.models.speaker import Speaker
from mounts.load.parse.document import parse
from mounts.load.resolve.job import load_job
from mounts.load.resolve.kit import load_kit
from mounts.load.resolve.library import load_profile

NAMES = [
    "my-door",
    "my_door.v2",
    "été",
    "12",
    "true",
    "no",
    "~",
    "1:30",
    "-a",
    'a "b"',
    "x: y # z",
    "back\\slash",
    "😀",
]


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("kind", ["panel", "pins", "speaker", "device"])
def test_blanks_load_under_any_name(tmp_path: Path, kind: Any, name: str) -> None:
    file = tmp_path / f"{name}.yaml"
    file.write_text(blank_file(kind, name), encoding="utf-8")
    loaded = load_profile("panel" if kind == "pins" else kind, file)
    assert [str(problem) for problem in loaded.problems] == []
    assert loaded.value.name == name


def test_the_blank_job_loads_beside_the_shipped_library(tmp_path: Path, profiles: Path) -> None:
    file = tmp_path / "mine.yaml"
    file.write_text(blank_file("ring", "mine"), encoding="utf-8")
    left, right = load_job(file, profiles)
    assert (left.name, left.side, right.side) == ("mine", "left", "right")


@pytest.mark.parametrize(("of", "parts"), [("cup", ["left", "right"]), ("spacer", [""]), ("board", ["", "foot"])])
def test_the_blank_jobs_of_other_mounts_load_too(tmp_path: Path, profiles: Path, of: Any, parts: list[str]) -> None:
    file = tmp_path / "mine.yaml"
    file.write_text(blank_file(of, "mine"), encoding="utf-8")
    jobs = load_job(file, profiles)
    assert [(job.name, job.side) for job in jobs] == [("mine", part) for part in parts]
    assert jobs[0].kind == of


def test_the_blank_kit_loads_beside_the_shipped_library(tmp_path: Path, profiles: Path) -> None:
    file = tmp_path / "mine.yaml"
    file.write_text(blank_file("kit", "mine"), encoding="utf-8")
    parts = load_kit(file, profiles).parts
    assert [(part.job.name, part.job.side, part.copies) for part in parts] == [
        *(("linnet-woofer", side, 1) for side in ("left", "right")),
        *(("linnet-dash-tweeter-press", side, 1) for side in ("left", "right")),
    ]


@pytest.mark.parametrize("name", NAMES)
def test_a_name_reads_back_as_itself(name: str) -> None:
    assert parse(f"name: {format_scalar(name)}\n", Path("a.yaml")).data == {"name": name}


def test_a_panel_is_measured_from_the_trim_inwards_and_then_in_front() -> None:
    keys = list(parse(blank_file("panel", "mine"), Path("a.yaml")).data)
    order = ["ears", "lean", "original", "face", "opening", "fixings", "behind", "in_front"]
    assert [key for key in keys if key in order] == order


@pytest.mark.parametrize(
    ("kind", "model"), [("panel", Panel), ("pins", PinPanel), ("speaker", Speaker), ("device", Device)]
)
def test_every_key_is_shown(kind: Any, model: Any) -> None:
    text = blank_file(kind, "mine")
    assert [key for key in model.model_fields if f"{key}:" not in text] == []


@pytest.mark.parametrize("kind", ["ring", "panel", "pins", "speaker", "device"])
def test_it_fits_a_screen_and_says_where_figures_are_read(kind: Any) -> None:
    lines = blank_file(kind, "mine").splitlines()
    assert max(map(len, lines)) <= 120
    assert sum("#" in line for line in lines) > len(lines) / 3
