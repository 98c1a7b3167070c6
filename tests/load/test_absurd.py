"""Files of the library with one value spoilt: a clear message with its place and soon, or a plan; never anything else.

Each of NAMED once ended in a traceback, without a place, or not within minutes.
"""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest
import yaml

from mounts.errors import InputError
from mounts.kinds.kind import kind_of
from mounts.load.parse.document import parse
from mounts.load.resolve.job import load_job

PROFILES = Path(__file__).parents[2] / "profiles"
NAMED = [
    ("hardware/pilots", ("items", "pilot-3.5", "thread"), "abc", "linnet-boot-board", "is no screw's thread"),
    ("hardware/screws", ("items", "iso-7380-m4", "thread"), "M0", "linnet-woofer", "is no screw's thread"),
    (
        "speakers/demo-tweeter-20",
        ("body", 0, "across"),
        0.001,
        "linnet-dash-tweeter-press",
        "wider than 2.3 behind the ribs",
    ),
    ("panels/linnet-dash-grille", ("pins", "B", "at", 0), 1000, "linnet-dash-tweeter-press", "300 is the most"),
    ("jobs/linnet-front-collar", ("gaskets", "trim", "thickness"), 29, "linnet-front-collar", "the collar's rim needs"),
    ("jobs/linnet-front-collar", ("gaskets", "trim", "thickness"), 1000, "linnet-front-collar", "the most here is 30"),
    ("jobs/linnet-woofer", ("height",), 1000, "linnet-woofer", "the most here is 250"),
    ("jobs/linnet-woofer", ("gaskets", "base", "width"), 1000, "linnet-woofer", "the most here is 60"),
    ("jobs/linnet-woofer", ("limits",), {"lip": 1000}, "linnet-woofer", "the most here is 100"),
]
SPOILT: list[Any] = [-1, 0, 0.001, 150, 1e9, "", None, [], {"a": 1}, True, float("nan"), float("inf"), "🚐", "W" * 200]
FILES = [
    ("jobs/linnet-woofer", "linnet-woofer"),
    ("jobs/linnet-dash-tweeter-press", "linnet-dash-tweeter-press"),
    ("jobs/linnet-port-slit", "linnet-port-slit"),
    ("jobs/linnet-seat-board", "linnet-seat-board"),
    ("panels/linnet-front-door", "linnet-woofer"),
    ("speakers/demo-woofer-130", "linnet-woofer"),
    ("speakers/demo-tweeter-20", "linnet-dash-tweeter-press"),
    ("materials/asa", "linnet-woofer"),
    ("printers/bed-250", "linnet-woofer"),
]
STRIDE = 23  # of all spoilt values one in so many: every sort of value, somewhere in every file


@pytest.fixture(scope="module")
def library(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return Path(shutil.copytree(PROFILES, tmp_path_factory.mktemp("library") / "profiles"))


def spots(data: Any, trail: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    inner = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    return [*([trail] if trail else []), *(spot for key, value in inner for spot in spots(value, (*trail, key)))]


def put(data: Any, trail: tuple[Any, ...], value: Any) -> None:
    for key in trail[:-1]:
        data = data.setdefault(key, {}) if isinstance(data, dict) else data[key]
    data[trail[-1]] = value


def plain(name: str) -> Any:
    """A file's data."""
    file = PROFILES / f"{name}.yaml"
    return parse(file.read_text("utf-8"), file).data


def problems(library: Path, name: str, data: Any, job: str) -> list[str]:
    """What is said of a job when one file of its library is another; nothing when it can be planned."""
    file = library / f"{name}.yaml"
    file.write_text(yaml.safe_dump(data, allow_unicode=True, sort_keys=False), "utf-8")
    try:
        for one in load_job(library / "jobs" / f"{job}.yaml")[:1]:
            kind_of(one).plan(one)
    except InputError as error:
        assert all(problem.file is not None and problem.line > 0 for problem in error.problems), str(error)
        return [problem.what for problem in error.problems]
    finally:
        shutil.copy(PROFILES / f"{name}.yaml", file)
    return []


@pytest.mark.parametrize("case", NAMED, ids=lambda case: f"{case[0]}, {case[1][-1]}")
def test_what_once_was_no_message(library: Path, case: tuple[str, Any, Any, str, str]) -> None:
    name, trail, value, job, says = case
    data = plain(name)
    put(data, trail, value)
    told = problems(library, name, data, job)
    assert any(says in what for what in told), told


@pytest.mark.parametrize(("name", "job"), FILES)
def test_one_value_spoilt(library: Path, name: str, job: str) -> None:
    assert problems(library, name, plain(name), job) == []
    cases = [(trail, value) for trail in spots(plain(name)) for value in SPOILT]
    refused = 0
    for trail, value in cases[::STRIDE]:
        data = plain(name)
        put(data, trail, value)
        told = problems(library, name, data, job)
        refused += bool(told)
        assert all(0 < len(what) < 1000 and "\n" not in what for what in told)
    assert refused > 0.5 * len(cases[::STRIDE])


def test_of_very_many_mistakes_a_hundred_are_named_and_the_rest_counted(tmp_path: Path) -> None:
    """40,000 unknown keys: each would be held against every key that there is."""
    text = (PROFILES / "jobs" / "linnet-woofer.yaml").read_text("utf-8")
    job = tmp_path / "linnet-woofer.yaml"
    job.write_text(text + "".join(f"unknown_{n}: 1\n" for n in range(40_000)), "utf-8")
    with pytest.raises(InputError) as caught:
        load_job(job, (PROFILES,))
    assert len(caught.value.problems) == 101
    assert "from here on 39,900 more mistakes" in str(caught.value.problems[-1])
