"""`mounts build KIT` from the person's side: one command, everything made; a second run makes what has changed."""

from __future__ import annotations

import errno
import json
import os
import shutil
import signal
import subprocess
import sys
import textwrap
import time
from pathlib import Path

import pytest

from mounts.write import files

ROOT = Path(__file__).parents[2]
KIT = """
kind: kit
name: small
vehicle: Linnet minibus
vehicles: 3
jobs: [linnet-port-round, {job: linnet-port-rectangle, quantity: 2}]
"""


@pytest.fixture(autouse=True)
def own_cache(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))


@pytest.fixture(scope="module")
def stock(tmp_path_factory):
    """The kit made once from nothing: what was said, its folder `out`, and the `cache` that it left."""
    folder = tmp_path_factory.mktemp("stock")
    (folder / "small.yaml").write_text(KIT, encoding="utf-8")
    words = ["build", folder / "small.yaml", "--out", folder / "out", "--only", "stl", "--workers", "1"]
    ran = subprocess.run(
        [sys.executable, "-m", "mounts", *map(str, words), "--library", str(ROOT / "profiles")],
        cwd=ROOT, env={**os.environ, "XDG_CACHE_HOME": str(folder / "cache")},
        check=False, capture_output=True, text=True,
    )  # fmt: skip
    return ran, folder


@pytest.fixture
def stocked(stock, tmp_path):
    """A test's own folder as that run left it."""
    for name in ("out", "cache"):
        shutil.copytree(stock[1] / name, tmp_path / name)
    return stock[0]


@pytest.fixture
def build(run, tmp_path):
    """Builds a kit from its text, files into `out`; only STL, to be quick."""

    def built(text=KIT, *words):
        file = tmp_path / f"{text.split('name: ')[1].split()[0]}.yaml"
        file.write_text(text, encoding="utf-8")
        library = ("--library", ROOT / "profiles")
        return run("build", file, "--out", tmp_path / "out", "--only", "stl", *library, "--workers", 1, *words)

    return built


def told(folder):
    return json.loads((folder / "out" / "small" / "kit.json").read_text("utf-8"))


def test_everything_is_made_once_and_only_what_changed_a_second_time(build, stocked, tmp_path):
    assert stocked.returncode == 0, stocked.stderr
    assert "2 parts made, 0 unchanged, 0 lost; 9 pieces to print" in stocked.stdout
    folder = tmp_path / "out" / "small"
    stood = {path: (path.stat().st_mtime_ns, path.read_bytes()) for path in folder.glob("*/*")}
    assert {path.relative_to(folder).as_posix() for path in stood} == {
        f"{job}/{name}"
        for job in ("linnet-port-round", "linnet-port-rectangle")
        for name in ("part.stl", "report.json")
    }
    parts = told(tmp_path)["parts"]
    assert [(part["job"], part["copies"], part["how"]) for part in parts] == [
        ("linnet-port-round", 3, "made"),
        ("linnet-port-rectangle", 6, "made"),
    ]
    second = build()
    assert "0 parts made, 2 unchanged, 0 lost" in second.out
    assert stood == {path: (path.stat().st_mtime_ns, path.read_bytes()) for path in folder.glob("*/*")}
    third = build(KIT.replace("linnet-port-rectangle", "linnet-port-oblong"))
    assert "1 parts made, 1 unchanged, 0 lost" in third.out


@pytest.mark.usefixtures("stocked")
def test_a_part_that_went_missing_is_put_back_without_being_made(build, tmp_path):
    stl = tmp_path / "out" / "small" / "linnet-port-round" / "part.stl"
    held = stl.read_bytes()
    stl.unlink()
    assert "0 parts made, 2 unchanged" in build().out
    assert stl.read_bytes() == held


def test_a_part_that_cannot_be_drawn_costs_itself_and_ends_with_4(build, tmp_path):
    made_up = f"{KIT.partition('jobs:')[0]}jobs: [./broken.yaml, linnet-port-round]\n"
    broken = "kind: spacer\nname: broken\nbased_on: linnet-port-round\nfit: {panel: press, device: press}\nlimits: {}\n"
    (tmp_path / "broken.yaml").write_text(broken + "length: 0.2\n", encoding="utf-8")
    ran = build(made_up)
    assert ran.code == 4, ran.out + ran.err
    assert "1 parts made, 0 unchanged, 1 lost" in ran.out
    lost = told(tmp_path)["parts"][0]
    assert (lost["job"], lost["how"], lost["verdict"]) == ("broken", "lost", "fail")
    assert "length" in lost["why"]
    report = json.loads((tmp_path / "out" / "small" / "broken" / "report.json").read_text("utf-8"))
    assert report["verdict"] == "fail"


WRONG = {
    "kind: kit\nname: small\njobs: [linnet-port-ruond]\n": [
        'jobs.0: no job "linnet-port-ruond" beside this file or in what is shipped',
        'did you mean "linnet-port-round"?',
    ],
    "kind: kit\nname: small\njobs: []\n": ["a kit without jobs is nothing to make; give jobs: [name, …]"],
    "kind: kit\nname: small\njobs: [{job: linnet-rear-square, sides: [right], quantity: 0}]\nprinter: bed-250\n": [
        "jobs.0.quantity: 0 is not a number of copies; give a whole number from 1 to 999",
        'unknown key "printer"; did you mean "printers"?',
    ],
    "kind: kit\nname: small\njobs: [{job: linnet-rear-square, sides: [right]}]\n": [
        "jobs.0.sides: linnet-rear-square makes left; add right to its sides, or leave it out"
    ],
    "kind: kit\nname: small\njobs: [linnet-port-round, linnet-port-round]\n": [
        "jobs.1: linnet-port-round is named before; give it a quantity there"
    ],
    "kind: kit\nname: small\nprinters: [open-251]\njobs: [linnet-port-round]\n": [
        'printers.0: no printer "open-251"',
        'did you mean "bed-250"?',
    ],
}


@pytest.mark.parametrize("text", WRONG, ids=range(len(WRONG)))
def test_a_wrong_kit_is_refused_with_every_problem_and_touches_nothing(build, tmp_path, text):
    ran = build(text)
    assert ran.code == 2
    assert [words for words in WRONG[text] if words not in ran.err] == []
    assert not (tmp_path / "out").exists()


def test_a_full_disk_is_said_and_what_was_made_is_kept(build, tmp_path, monkeypatch):
    def full(*_):
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(files, "_write", full)
        ran = build()
    assert ran.code == 2
    assert "disk" in ran.err
    assert "Traceback" not in ran.err
    assert list((tmp_path / "out").rglob("*.*")) == []
    again = build()
    assert again.code == 0
    assert int(again.out.split(" parts made")[0].split()[-1]) <= 1  # what was finished before is not made twice


@pytest.mark.usefixtures("stocked")
def test_a_run_killed_in_the_middle_of_writing_is_taken_up_again(build, tmp_path):
    """SIGKILL while the second job's files are written: the first job stands whole, and nothing half-written does."""
    (tmp_path / "small.yaml").write_text(KIT, encoding="utf-8")  # both parts are kept and only the writing is left
    for path in (tmp_path / "out").rglob("*.stl"):
        path.unlink()
    script = f"""
        import os, signal, sys
        from mounts.write import files
        write, count = files._write, 0
        def dying(path, content):
            global count
            count += 1
            if count == 5:  # the first job's two files and its journal are written
                write(path, content[: len(content) // 2])
                os.kill(os.getpid(), signal.SIGKILL)
            write(path, content)
        files._write = dying
        sys.argv = ["mounts", "build", {str(tmp_path / "small.yaml")!r}, "--out", {str(tmp_path / "out")!r},
                    "--only", "stl", "--library", {str(ROOT / "profiles")!r}]
        from mounts.cli import main
        main()
    """
    ended = subprocess.run([sys.executable, "-c", textwrap.dedent(script)], cwd=ROOT, check=False, capture_output=True)
    assert ended.returncode == -signal.SIGKILL
    assert [path.parent.name for path in (tmp_path / "out").rglob("*.stl")] == ["linnet-port-round"]
    assert build().code == 0
    assert len(list((tmp_path / "out").rglob("*.stl"))) == 2


@pytest.mark.parametrize("once", ["a helper is there", "a part is made"])
def test_a_run_that_is_stopped_says_so_and_leaves_no_traceback(tmp_path, once):
    """As the stop key does it: the signal goes to all processes, while the kernel is loaded or parts are made."""
    jobs = ", ".join(f"linnet-port-{one}" for one in ("round", "rectangle", "oblong", "slit"))
    (tmp_path / "small.yaml").write_text(f"kind: kit\nname: small\njobs: [{jobs}]\n", encoding="utf-8")
    heard = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)"  # which a runner may have let go
    words = ["build", tmp_path / "small.yaml", "--out", tmp_path / "out", "--library", ROOT / "profiles"]
    with subprocess.Popen(
        [sys.executable, "-c", f"{heard}; from mounts.cli import main; main()", *map(str, words)],
        cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, start_new_session=True,
    ) as run:  # fmt: skip
        assert run.stderr is not None
        if once == "a part is made":
            assert run.stderr.readline().endswith(": made\n")
        children = Path(f"/proc/{run.pid}/task/{run.pid}/children")
        while once == "a helper is there" and run.poll() is None and not children.read_text("utf-8"):
            time.sleep(0.01)
        os.killpg(run.pid, signal.SIGINT)
        error = run.stderr.read()
    assert "Traceback" not in error
    kept = "what is finished is kept: run it again and it goes on from there"
    assert (run.returncode, list(filter(None, error.splitlines()))[-2:]) == (130, [kept, "stopped"])


def test_two_runs_in_one_folder_both_end_well(build, tmp_path):
    (tmp_path / "small.yaml").write_text(f"{KIT.partition('jobs:')[0]}jobs: [linnet-port-round]\n", encoding="utf-8")
    words = ["build", str(tmp_path / "small.yaml"), "--out", str(tmp_path / "out"), "--only", "stl", "--workers", "1"]
    command = [sys.executable, "-m", "mounts", *words, "--library", str(ROOT / "profiles")]
    runs = [subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, env=os.environ.copy()) for _ in range(2)]
    ended = [run.communicate()[0].decode() for run in runs]
    assert [run.returncode for run in runs] == [0, 0]
    assert all("0 lost; 3 pieces to print" in out for out in ended)
    assert "0 parts made, 1 unchanged" in build((tmp_path / "small.yaml").read_text("utf-8")).out
    assert list((tmp_path / "out").rglob(".*")) == []


@pytest.mark.usefixtures("stocked")
def test_json_is_one_document_and_the_same_as_the_file(build, tmp_path):
    ran = build(KIT, "--json")
    assert json.loads(ran.out) == told(tmp_path)


def test_every_panel_with_every_speaker(build, tmp_path):
    """A catalogue: what contradicts itself or cannot be drawn is told, and all else is made."""
    speakers = "[demo-square-100, demo-oval-6x9]"
    every = f"{{like: linnet-rear-square, panels: [linnet-rear-door], speakers: {speakers}}}"
    text = f"kind: kit\nname: small\nevery: {every}\n"
    ran = build(text)
    parts = {part["job"]: part for part in told(tmp_path)["parts"]}
    assert parts["linnet-rear-door-demo-square-100"]["how"] == "made"
    assert parts["linnet-rear-door-demo-oval-6x9"]["how"] == "lost"
    assert parts["linnet-rear-door-demo-oval-6x9"]["why"]
    assert ran.code == 4


def test_a_first_check_is_for_one_job(run):
    assert (
        "--first-check and --dummy are for one job"
        in run("build", "profiles/kits/linnet-minibus.yaml", "--first-check").err
    )
