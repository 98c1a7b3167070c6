"""The small commands, and how fast they must be: nothing heavy imported."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from mounts.load.job import load_job
from mounts.load.schema import schema_text

HEAVY = ("numpy", "pydantic", "cadquery", "OCP", "trimesh", "rich", "yaml")


def test_bare_mounts_says_what_to_do_first(run):
    done = run()
    assert done.code == 0
    assert "What to do first:" in done.out
    assert "mounts build profiles/jobs/linnet-woofer.yaml" in done.out


def test_an_unknown_command_names_the_nearest(run):
    done = run("bild")
    assert done.code == 2
    assert "Did you mean 'build'?" in done.err


def test_an_unknown_format_is_refused_before_anything_is_read(run):
    done = run("build", "nowhere.yaml", "--only", "stl,gcode")
    assert done.code == 2
    assert "gcode is no format; formats: stl, step, 3mf, png, pdf, dxf" in done.err


@pytest.mark.parametrize("words", [["--help"], ["build", "--help"], []])
def test_help_imports_nothing_heavy(words):
    script = (
        f"import sys; sys.argv = ['mounts', *{words}]\n"
        "from mounts.cli import main\n"
        "try: main()\n"
        "except SystemExit: pass\n"
        f"print([name for name in {HEAVY} if name in sys.modules])"
    )
    ran = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert ran.stdout.splitlines()[-1] == "[]"


def test_list_holds_every_profile(run):
    done = run("list")
    assert done.code == 0
    for name in ("linnet-front-door", "demo-woofer-130", "asa", "open-250", "rivet-nut-m5", "linnet-woofer"):
        assert f"  {name} " in done.out
    assert "does not load" not in done.out
    assert run("list", "--check").out == done.out
    jobs = run("list", "jobs")
    assert jobs.out.startswith("job\n")
    assert "asa" not in jobs.out.split()[:2]


def test_list_tells_a_broken_file_and_with_check_also_a_wrong_one(run, tmp_path):
    (tmp_path / "panels").mkdir()
    (tmp_path / "panels" / "broken.yaml").write_text("a: [1", "utf-8")
    (tmp_path / "panels" / "wrong.yaml").write_text("kind: panel\nname: wrong\nabout: a torn page\n", "utf-8")
    quick = run("list", "--library", tmp_path)
    assert quick.code == 2
    assert quick.out.count("does not load") == 1
    thorough = run("list", "--check", "--library", tmp_path)
    assert thorough.code == 2
    assert "opening: " in thorough.out
    assert thorough.out.count("does not load") == 3


def test_list_as_json_is_one_document(run):
    told = json.loads(run("list", "panel", "--json").out)
    assert told["schema"] == 1
    assert {entry["kind"] for entry in told["entries"]} == {"panel"}
    assert all(entry["problems"] == [] for entry in told["entries"])


def test_list_of_nothing_says_so(run):
    done = run("list", "kites")
    assert done.code == 2
    assert "holds no kites" in done.err


def test_schema_prints_what_the_profiles_point_at(run):
    done = run("schema")
    assert done.out == schema_text()
    assert Path("profiles/schema.json").read_text("utf-8") == done.out


def test_new_files_load_as_they_stand(run, tmp_path):
    for kind, folder in (("panel", "panels"), ("speaker", "speakers"), ("device", "devices"), ("job", "jobs")):
        done = run("new", kind, "my-own", "--library", tmp_path)
        assert done.code == 0
        assert done.out.startswith(f"{tmp_path}/{folder}/my-own.yaml: ")
    for folder in ("materials", "printers", "hardware"):
        (tmp_path / folder).symlink_to(Path("profiles").resolve() / folder)
    told = json.loads(run("list", "--check", "--library", tmp_path, "--json").out)
    own = [entry for entry in told["entries"] if entry["name"] == "my-own" and entry["kind"] != "job"]
    assert [entry["problems"] for entry in own] == [[], [], []]


def test_where_there_is_no_library_one_is_begun_with_what_is_bought(run, tmp_path, monkeypatch):
    home = Path.cwd()
    monkeypatch.chdir(tmp_path)
    done = run("new", "panel", "door")
    assert done.code == 0
    for folder in ("materials", "printers", "hardware", "ports"):
        shipped = sorted(path.name for path in (home / "profiles" / folder).glob("*.yaml"))
        assert sorted(path.name for path in (tmp_path / "profiles" / folder).glob("*.yaml")) == shipped


def test_new_never_writes_over_a_file_nor_takes_a_path(run, tmp_path):
    assert run("new", "panel", "door", "--library", tmp_path).code == 0
    again = run("new", "panel", "door", "--library", tmp_path)
    assert again.code == 2
    assert "is there already" in again.err
    outside = run("new", "panel", "../door", "--library", tmp_path)
    assert outside.code == 2
    assert '"../door" is no name for a file' in outside.err


def test_a_missing_job_is_one_line(run):
    done = run("build", "nope.yaml")
    assert (done.code, done.out) == (2, "")
    assert done.err == "nope.yaml there is no such file\n"


def test_the_demo_loads_from_anywhere():
    assert len(load_job(Path(__file__).parents[2] / "profiles/jobs/linnet-woofer.yaml")) == 2
