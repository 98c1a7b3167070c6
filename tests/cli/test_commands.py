"""The small commands, and how fast they must be: nothing heavy imported."""

from __future__ import annotations

import json
import os
import shlex
import subprocess
import sys
from pathlib import Path

import click
import pytest

from mounts.cli import commands
from mounts.load.resolve.job import load_job
from tests.schema import schema_text

HEAVY = ("numpy", "pydantic", "cadquery", "OCP", "trimesh", "rich", "yaml")


def test_bare_mounts_says_what_to_do_first(run):
    done = run()
    assert done.code == 0
    lines = done.out.splitlines()
    assert lines[0] == "Your first door:"
    named = [line.split()[1] for line in lines[2:9] if line.startswith("  mounts ")]
    assert named == ["card", "new", "survey", "fits", "start", "build"]
    assert "mounts build linnet-woofer" in done.out
    assert max(map(len, lines)) <= 80


def test_help_is_whole_at_80_columns_with_defaults_and_two_examples(run):
    listed = run("--help").out.split("Commands:\n")[1].splitlines()
    assert {line.split()[0] for line in listed} == set(commands.commands)
    assert all(line.endswith(".") and len(line) <= 80 for line in listed)
    for name, command in commands.commands.items():
        told = run(name, "--help").out
        examples = told.split("  Examples:\n")[1].splitlines()
        assert len(examples) == 2 and all(line.startswith(f"    mounts {name}") for line in examples), name
        assert max(map(len, told.splitlines())) <= 80
        for example in examples:  # each is a command that its own parser takes
            command.make_context(name, shlex.split(example.partition(" >")[0])[2:]).close()
        for option in command.params:
            if isinstance(option, click.Option) and isinstance(option.default, str | int | float):
                assert option.is_flag or "[default: " in told, option.name


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
    for name in ("linnet-front-door", "demo-woofer-130", "asa", "bed-250", "rivet-nut-m5", "linnet-woofer"):
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
    assert told["schema"] == 2
    assert {entry["kind"] for entry in told["entries"]} == {"panel"}
    assert all(entry["problems"] == [] for entry in told["entries"])


def test_what_may_not_be_read_is_one_line(run, monkeypatch):
    """As when another user's HOME was kept: the drawing library looks there when it is imported."""

    def barred(*_):
        raise PermissionError(13, "Permission denied", "/home/other/.config/ezdxf/ezdxf.ini")

    monkeypatch.setattr("mounts.load.catalogue.layers.Layers", barred)
    done = run("list")
    assert (done.code, done.out) == (2, "")
    assert done.err == (
        "/home/other/.config/ezdxf/ezdxf.ini: permission denied; "
        "let HOME or XDG_CONFIG_HOME name a folder that you may read\n"
    )


def test_a_fault_of_the_program_is_two_lines_with_its_place(run, monkeypatch):
    monkeypatch.setattr(commands, "main", lambda **_: {}["a key"])
    done = run("list")
    assert (done.code, done.out) == (3, "")
    first, second = done.err.splitlines()
    assert first.startswith("this program has a fault, KeyError at test_commands.py:") and first.endswith(": 'a key'")
    assert second == "nothing was left half-written; report it with the files that you gave"


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


def test_a_library_is_begun_with_nothing_but_the_new_file(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert run("new", "panel", "door").code == 0
    assert [str(file) for file in Path("profiles").rglob("*") if file.is_file()] == ["profiles/panels/door.yaml"]


@pytest.mark.parametrize(
    ("kind", "origin"),
    [
        ("material", "asa"),
        ("printer", "bed-250"),
        ("port", "usb-c-receptacle"),
        ("hardware", "rivet-nut-m5"),
        ("panel", "linnet-bulkhead"),
        ("job", "linnet-woofer"),
        ("hardware", "screws"),
    ],
)
def test_a_copy_becomes_one_s_own_and_loads(run, tmp_path, monkeypatch, kind, origin):
    monkeypatch.chdir(tmp_path)
    done = run("new", kind, "my-own", "--from", origin)
    assert (done.code, done.err) == (0, "")
    told = json.loads(run("list", kind, "--check", "--json").out)
    own = [entry for entry in told["entries"] if entry["layer"] == "profiles"]
    assert {Path(entry["file"]).stem for entry in own} == {"my-own"}
    assert [entry["problems"] for entry in own] == [[]] * len(own)


def test_a_copy_under_the_same_name_hides_the_one_it_comes_from(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert run("new", "material", "asa", "--from", "asa").code == 0
    done = run("list", "material")
    line = next(number for number, text in enumerate(done.out.splitlines()) if text.split()[:2] == ["asa", "profiles"])
    assert done.out.splitlines()[line + 1].strip().startswith("hides ")
    assert run("list", "--where", "asa").out == "profiles/materials/asa.yaml\n"
    assert run("list", "--where", "petg").out.endswith("profiles/materials/petg.yaml\n")
    assert run("list", "--where", "rivet-nut-m5").out.endswith("hardware/rivet-nuts.yaml\n")
    wrong = run("list", "panel", "--where", "asa")
    assert (wrong.code, wrong.err) == (2, "asa is a material; give a panel\n")


def test_what_has_no_blank_begins_as_a_copy(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    done = run("new", "material", "mine")
    assert done.code == 2
    assert "--from asa" in done.err and "petg" in done.err
    assert run("new", "material", "mine", "--from", "bed-250").err == "bed-250 is a printer; give a material\n"
    assert run("new", "panel", "mine", "--pins", "--from", "linnet-sail").code == 2
    assert list(tmp_path.iterdir()) == []


def test_a_new_job_names_its_panel_and_speaker(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert run("new", "panel", "door").code == 0
    assert run("new", "job", "mine", "--panel", "door", "--speaker", "demo-woofer-130").code == 0
    text = Path("profiles/jobs/mine.yaml").read_text("utf-8").splitlines()
    assert any(line.startswith("panel: door   ") and line.index("#") == 37 for line in text)
    assert any(line.startswith("speaker: demo-woofer-130") for line in text)
    assert run("new", "job", "other", "--panel", "demo-woofer-130").err == (
        "demo-woofer-130 is a speaker; give a panel\n"
    )
    assert run("new", "job", "other", "--of", "board", "--panel", "door").code == 2


def test_new_can_put_a_file_into_the_person_s_own_folder(run, tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    assert run("new", "printer", "mine", "--from", "bed-180", "--mine").code == 0
    (own,) = [one for one in json.loads(run("list", "printer", "--json").out)["entries"] if one["layer"] == "yours"]
    assert own["name"] == "mine"
    taken = run("new", "printer", "MINE", "--from", "bed-180", "--mine")
    assert taken.code == 2 and "mine.yaml is there already" in taken.err


@pytest.mark.parametrize(
    "words",
    [
        ("build", "linnet-woofr"),
        ("check", "linnet-woofr"),
        ("aim", "linnet-woofr"),
        ("adapt", "linnet-woofr", "--speaker", "demo-woofer-130"),
    ],
)
def test_every_command_takes_a_job_s_name(run, words):
    done = run(*words)
    assert done.code == 2
    assert 'did you mean "linnet-woofer"?' in done.err


@pytest.mark.parametrize("command", ["survey", "match", "fits"])
def test_the_wrong_kind_is_said(run, command):
    done = run(command, "demo-woofer-130")
    assert (done.code, done.err) == (2, "demo-woofer-130 is a speaker; give a panel\n")


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("mounts build linnet-woo", "plain\nlinnet-woofer"),
        ("mounts survey linnet-sa", "plain\nlinnet-sail"),
        ("mounts fits x --printer bed-2", "plain\nbed-210\n_\nplain\nbed-250"),
        ("mounts coupon bed-250 --insert insert-m4-s", "plain\ninsert-m4-short"),
        ("mounts build profiles/jo", "file\nprofiles/jo"),
        ("mounts bui", "plain\nbuild"),
    ],
)
@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_a_shell_completes_names(line, told, shell):
    words = line.split()
    env = {**os.environ, "COMP_WORDS": line, "COMP_CWORD": str(len(words) - 1), "_MOUNTS_COMPLETE": f"{shell}_complete"}
    if shell == "fish":
        env |= {"COMP_CWORD": words[-1]}
    script = (
        "import sys; sys.argv = ['mounts']; from mounts.cli import main\ntry: main()\n"
        f"finally: print([name for name in {HEAVY} if name in sys.modules])"
    )
    ran = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False, env=env)
    *lines, heavy = ran.stdout.splitlines()
    names = [told.splitlines()[k] for k in range(1, len(told.splitlines()), 3)]
    assert [name for name in names if any(name in text for text in lines)] == names, ran.stderr
    assert heavy == "[]" or "--insert" in line


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


def test_a_file_whose_name_begins_with_a_dash_is_explained(run, tmp_path, monkeypatch):
    (tmp_path / "-door.yaml").write_text("kind: ring\n", "utf-8")
    monkeypatch.chdir(tmp_path)
    done = run("build", "-door.yaml")
    assert (done.code, done.out) == (2, "")
    assert done.err.splitlines()[-1] == "a file whose name begins with a dash is given as ./-door.yaml"


@pytest.mark.parametrize(
    "words",
    [
        ["list", "jobs"],
        ["match", "linnet-front-door"],
        ["survey", "linnet-sail", "--out", "out"],
        ["fits", "linnet-dash-grille", "--tilts", "0"],
        ["aim", "linnet-front-sheet", "--out", "out"],
        ["new", "panel", "door"],
        ["card", "--out", "out"],
        ["schema"],
        ["help"],
    ],
    ids=lambda words: words[0],
)
def test_what_neither_draws_nor_checks_imports_neither_cadquery_nor_trimesh(words, tmp_path):
    root = Path(__file__).parents[2]
    script = (
        f"import sys; sys.argv = ['mounts', *{words}]\n"
        "from mounts.cli import main\n"
        "try: main()\n"
        "except SystemExit as ended: code = ended.code or 0\n"
        "print(code, [name for name in ('cadquery', 'OCP', 'trimesh') if name in sys.modules])"
    )
    env = {**os.environ, "PYTHONPATH": str(root), "XDG_CACHE_HOME": str(tmp_path / "cache")}
    ran = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, cwd=tmp_path, env=env
    )
    assert ran.stdout.splitlines()[-1] == "0 []", ran.stderr
