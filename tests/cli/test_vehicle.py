"""`mounts list --vehicle`: a vehicle that comes back is found by what its jobs say of it."""

from __future__ import annotations

import json

ALL = ["kit", "  all  …/profiles  Wren 4"]
JOB = """kind: ring
name: {name}
about: something
{more}
"""


def library(tmp_path, **jobs):
    folder = tmp_path / "profiles" / "jobs"
    folder.mkdir(parents=True)
    for name, more in jobs.items():
        (folder / f"{name}.yaml").write_text(JOB.format(name=name, more=more), "utf-8")
    return tmp_path / "profiles"


def test_a_part_of_the_name_is_enough_capitals_and_blanks_aside(run, tmp_path):
    root = library(
        tmp_path,
        one="vehicle: Linnet  No. 7\ndate: 2026-11-24",
        two="vehicle: Linnet No. 8",
        three="about_vehicle: none",
    )
    done = run("list", "--vehicle", "linnet no. 7", "--library", root)
    assert done.code == 0
    assert done.out.splitlines() == ["job", "  one  …/profiles  something · Linnet  No. 7 · 2026-11-24"]
    assert run("list", "jobs", "--vehicle", "LINNET", "--library", root).out.count("…/profiles") == 2


def test_a_job_has_the_vehicle_of_the_one_that_it_is_based_on(run, tmp_path):
    root = library(
        tmp_path,
        one="vehicle: Wren 3",
        two="based_on: one",
        three="based_on: two\nvehicle: Robin",
        four="based_on: four",
    )
    told = json.loads(run("list", "--vehicle", "wren", "--library", root, "--json").out)
    assert [entry["name"] for entry in told["entries"]] == ["one", "two"]
    assert {entry["vehicle"] for entry in told["entries"]} == {"Wren 3"}


def test_a_kit_is_found_by_its_vehicle_too(run, tmp_path):
    root = library(tmp_path, one="vehicle: Wren 3")
    (root / "kits").mkdir()
    (root / "kits" / "all.yaml").write_text("kind: kit\nname: all\nvehicle: Wren 4\njobs: [one]\n", "utf-8")
    assert run("list", "--vehicle", "wren 4", "--library", root).out.splitlines() == ALL
    assert run("list", "kit", "--vehicle", "wren 4", "--library", root).code == 0
    assert len(run("list", "--vehicle", "wren", "--library", root).out.splitlines()) == 5


def test_a_number_is_a_name_too(run, tmp_path):
    root = library(tmp_path, one="vehicle: 1977")
    assert run("list", "--vehicle", "1977", "--library", root).code == 0


def test_a_base_outside_the_folder_is_not_followed(run, tmp_path):
    root = library(tmp_path, one="based_on: ../../secret")
    (tmp_path / "secret.yaml").write_text("vehicle: Wren 3\n", "utf-8")
    assert run("list", "--vehicle", "wren", "--library", root).code == 2


def test_none_of_that_vehicle_says_what_to_write(run, tmp_path):
    done = run("list", "--vehicle", "<b>[red]no</b>", "--library", library(tmp_path, one=""))
    assert done.code == 2
    assert "no job or kit in" in done.err and "<b>[red]no</b>" in done.err and "vehicle:" in done.err


def test_only_jobs_have_a_vehicle(run):
    done = run("list", "panels", "--vehicle", "x")
    assert done.code == 2
    assert "only a job or a kit has a vehicle" in done.err


def test_checked_entries_say_the_same(run):
    for more in ((), ("--check",)):
        told = json.loads(run("list", "--vehicle", "minibus no. 7", "--json", *more).out)
        found = {(entry["name"], entry["vehicle"], entry["date"]) for entry in told["entries"]}
        assert found == {
            ("linnet-woofer", "Linnet minibus no. 7 (invented)", "2026-11-24"),
            ("linnet-front-aimed", "Linnet minibus no. 7 (invented)", "2026-11-24"),
            ("linnet-front-both", "Linnet minibus no. 7 (invented)", "2026-11-24"),
            ("linnet-front-collar", "Linnet minibus no. 7 (invented)", "2026-11-24"),
            ("linnet-front-flush", "Linnet minibus no. 7 (invented)", "2026-11-24"),
            ("linnet-dash-tweeter-press", "Linnet minibus no. 7 (invented)", "2026-11-25"),
        }
