"""A record makes the very same part again, and says what would be different today."""

from __future__ import annotations

import hashlib
import json
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from mounts.again import changed_values, input_differences, load_recorded
from mounts.errors import InputError
from mounts.load.resolve.inputs import gather_inputs
from mounts.load.resolve.job import load_from
from mounts.load.resolve.library import find_library
from mounts.load.results.record import Record, RecordedFile, inputs_id, read_record
from mounts.write.record import program_versions

ROOT = Path(__file__).parents[2]
JOBS = sorted((ROOT / "profiles" / "jobs").glob("*.yaml"))
JOB, ORIGIN, CHANGES = "my-port", "linnet-port-round", dict[str, str]()


def again(run, record, *more):
    done = run("build", "--again", record, "--only", "stl", *more)
    return done, " ".join(done.out.split())


def test_a_record_says_what_a_part_was_made_from(built):
    found = read_record(built / "out" / JOB / "record.yaml")
    own = (built / "profiles" / "jobs" / f"{JOB}.yaml").read_bytes()
    assert found.files[f"0/jobs/{JOB}.yaml"].sha256 == hashlib.sha256(own).hexdigest()
    assert found.inputs.files[found.own] == own
    assert sorted(found.files) == [f"0/jobs/{JOB}.yaml", "1/materials/pc-abs.yaml", "1/printers/bed-250.yaml"]
    assert found.program == program_versions() and found.verdict == "warn"
    report = json.loads((built / "out" / JOB / "report.json").read_text("utf-8"))
    assert found.parts["part"].stl == report["sha256"]["part.stl"]
    assert found.parts["part"].sizes["bore"].drawn == 22.6


def test_the_very_same_part_is_made_though_its_files_are_gone(run, shop):
    kept = (shop / "out" / JOB / "part.stl").read_bytes()
    shutil.rmtree(shop / "profiles")
    done, said = again(run, "out/my-port/record.yaml")
    assert done.code == 0
    assert (shop / "out" / "again" / JOB / "part.stl").read_bytes() == kept
    assert "again part: the very same part" in said
    assert "today the job cannot be built from its files" in said and JOB in said


def test_it_says_which_line_of_which_file_changed_and_which_verdict(run, shop):
    job = shop / "profiles" / "jobs" / f"{JOB}.yaml"
    assert "today nothing would be different" in again(run, "out/my-port/record.yaml")[1]
    job.write_text(job.read_text("utf-8").replace("length: 24", "length: 31"), "utf-8")
    done, _ = again(run, "out/my-port/record.yaml", "--json")
    told = json.loads(done.out)
    assert told["same"] == {"part": True}
    assert told["today"][0] == f"jobs/{JOB}.yaml: line 14 was `length: 24`, is `length: 31`"
    assert [line for line in told["today"] if "hold.plug.device" in line and "was pass, is fail" in line]


def test_a_default_that_changed_since_is_said_and_the_old_one_holds(built, tmp_path):
    record = read_record(built / "out" / JOB / "record.yaml")
    fits = {**record.defaults["fits"], "rib_length": 3.5}
    older = record.model_copy(update={"defaults": {**record.defaults, "fits": fits}})
    (job,), _, changed = load_recorded(older, tmp_path)
    assert job.fits.rib_length == 3.5
    assert changed == ["default of fits.rib_length: was 3.5, is 3"]


@pytest.mark.parametrize("path", JOBS, ids=[path.stem for path in JOBS])
def test_every_demo_job_is_loaded_from_its_record_alone_as_from_its_files(path, tmp_path):
    held = find_library(path)
    jobs = load_from(held, path)
    inputs = gather_inputs(held, path)
    files = {key: RecordedFile(sha256="", text=text.decode()) for key, text in inputs.files.items()}
    record = Record(
        kind="record", job=jobs[0].name, file=inputs.path, id=inputs_id(inputs.files, inputs.defaults), verdict="pass",
        program={}, parts={}, defaults=inputs.defaults, own=inputs.job, files=files,
    )  # fmt: skip
    again, _, changed = load_recorded(record, tmp_path)
    assert changed == []
    assert [without_place(job) for job in again] == [without_place(job) for job in jobs]


def without_place(job):
    """The job without where its values stand, and so a foot's board."""
    board = {"board": without_place(job.board)} if job.kind == "foot" else {}
    return replace(job, file=Path(), places={}, **board)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("schema: 1", "schema: 2", 'record of version 2, and this program reads version 1'),
        ("kind: record", "kind: panel", "is no record of a job"),
        ("length: 24", "length: 25", f"was changed since it was written: 0/jobs/{JOB}.yaml"),
        ("0/jobs/", "0/../", "is damaged"),
        ("verdict: warn\n", "", "is damaged"),
    ],
)  # fmt: skip
def test_a_record_that_is_not_as_it_was_written_is_refused_in_one_line(run, shop, old, new, says):
    file = shop / "out" / JOB / "record.yaml"
    file.write_text(file.read_text("utf-8").replace(old, new), "utf-8")
    done, _ = again(run, "out/my-port/record.yaml")
    assert (done.code, done.out) == (2, "")
    assert says in done.err and len(done.err.splitlines()) == 1
    assert not (shop / "out" / "again").exists()


def test_a_record_that_is_not_there_and_a_job_beside_one_are_answered(run, shop):
    assert "no such file" in again(run, "none.yaml")[0].err
    assert "give a job or a kit, or --again" in run("build").err
    assert run("build", JOB, "--again", "out/my-port/record.yaml").code == 2


def test_changes_are_said_in_words():
    then, now = {"0/panels/a.yaml": b"x: 1\ny: 2\n", "1/b.yaml": b""}, {"1/panels/a.yaml": b"x: 1\ny: 3\n", "0/c": b""}
    assert list(input_differences(then, now)) == [
        "b.yaml is not used any more",
        "c is used too",
        "panels/a.yaml: line 2 was `y: 2`, is `y: 3`",
    ]
    assert list(changed_values({"a": {"b": 1}}, {"a": {"b": 2, "c": 1}})) == [(("a", "b"), 1, 2), (("a", "c"), None, 1)]


def test_a_drawing_is_packed_and_comes_back(tmp_path):
    from mounts.write.record import _file

    contents = b"\xff\x00drawing" * 3
    assert RecordedFile(**_file(contents)).contents == contents
    with pytest.raises(InputError, match="cannot be read"):
        read_record(tmp_path)
