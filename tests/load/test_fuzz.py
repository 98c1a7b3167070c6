"""Whatever stands in a file, loading it gives jobs or an InputError, nothing else."""

import tempfile
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from mounts.errors import InputError
from mounts.load.parse.document import parse
from mounts.load.resolve.job import load_job
from mounts.load.resolve.library import load_profile

WORDS = [
    "left",
    "best",
    "least",
    "mirrored",
    "12:00",
    "1:30",
    "6.5 in",
    "door",
    "cone",
    "./x.yaml",
    "..",
    "ring",
    "",
    "A-B",
]
SCALARS = (
    st.none()
    | st.booleans()
    | st.integers(-(10**20), 10**20)
    | st.floats()
    | st.sampled_from(WORDS)
    | st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=8)
)
KEYS = st.sampled_from(["kind", "name", "at", "round", "tilt", "toward", "is", "outline", "A", "12:00", "depth", "as"])
VALUES = st.recursive(
    SCALARS, lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEYS, inner, max_size=4), max_leaves=8
)
QUICK = settings(
    deadline=None, max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow]
)


def spots(data: Any, trail: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The trail of every value in plain data."""
    inner = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    return [trail, *(found for key, value in inner for found in spots(value, (*trail, key)))]


def put(data: Any, trail: tuple[Any, ...], value: Any) -> Any:
    """A copy of plain data with another value at a trail."""
    if not trail:
        return value
    copy = data.copy()
    copy[trail[0]] = put(data[trail[0]], trail[1:], value)
    return copy


@pytest.mark.parametrize("kind", ["panel", "speaker", "material", "printer", "hardware", "job"])
@QUICK
@given(data=st.data())
def test_a_good_file_with_anything_in_one_place(shop: Any, kind: str, data: st.DataObject) -> None:
    names = {"panel": "panels/door", "speaker": "speakers/cone", "material": "materials/asa"}
    names |= {"printer": "printers/big", "hardware": "hardware/small-parts", "job": "jobs/woofer"}
    path = Path("profiles") / f"{names[kind]}.yaml"
    good = parse(path.read_text("utf-8"), path).data
    trail = data.draw(st.sampled_from(spots(good)))
    text = yaml.safe_dump(put(good, trail, data.draw(VALUES)), allow_unicode=True)
    with tempfile.TemporaryDirectory(dir="profiles") as folder:
        changed = Path(folder) / path.name
        changed.write_text(text, encoding="utf-8")
        if kind == "job":
            try:
                assert load_job(changed)
            except InputError as error:
                check(error)
        else:
            loaded = load_profile(kind, changed)
            assert (loaded.value is None) == bool(loaded.problems)
            for problem in loaded.problems:
                assert problem.what.isprintable()


@pytest.mark.parametrize("pure", [False, True], ids=["libyaml", "python"])
@QUICK
@given(text=st.text(max_size=60) | st.text("[]{}:,-&*!|>'\"#%@`?~ \n\tab01", max_size=60))
def test_any_text(pure: bool, text: str) -> None:
    try:
        parse(text, Path("a.yaml"), pure=pure)
    except InputError as error:
        check(error)


@QUICK
@given(raw=st.binary(max_size=80))
def test_any_bytes(tmp_path: Path, raw: bytes) -> None:
    path = tmp_path / "a.yaml"
    path.write_bytes(raw)
    with pytest.raises(InputError) as caught:
        load_job(path, tmp_path)
    check(caught.value)


def check(error: InputError) -> None:
    """Every problem is one printable sentence about a file."""
    assert error.problems
    for problem in error.problems:
        assert problem.file is not None
        assert "\n" not in str(problem)
