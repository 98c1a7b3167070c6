"""`mounts build` from the person's side: files, report, exit codes, and what a failed run leaves alone."""

from __future__ import annotations

import errno
import json
from pathlib import Path

import pytest
import trimesh

from mounts.kernels.readback import read_cylinders
from mounts.kinds.ring.base import choose_hole
from mounts.load.resolve.job import load_job
from mounts.write import files

DEMO = Path("profiles/jobs/linnet-woofer.yaml")
HALVES = DEMO.with_name("linnet-tailgate-halves.yaml")
FORMS = ("stl", "step", "3mf", "png", "html")


@pytest.fixture(scope="module")
def demo(tmp_path_factory, request):
    """The demo job, built once."""
    from mounts import pipeline
    from mounts.write.output import Wish

    root = Path(__file__).parents[2]
    return pipeline.write(load_job(root / DEMO), tmp_path_factory.mktemp("out"), Wish())


def test_every_file_is_there_and_nothing_else(demo):
    _, folder = demo
    expected = {f"{side}.{form}" for side in ("left", "right") for form in FORMS} | {"papers.pdf", "report.json"}
    assert {path.name for path in folder.iterdir()} == expected


def test_the_report_says_what_design_section_8_fixes(demo):
    _, folder = demo
    told = json.loads((folder / "report.json").read_text("utf-8"))
    assert (told["schema"], told["job"], told["verdict"], told["not_measured"]) == (2, "linnet-woofer", "warn", [])
    assert [part["side"] for part in told["parts"]] == ["left", "right"]
    assert told["files"] == ["papers.pdf"]
    for part in told["parts"]:
        assert part["files"] == [f"{part['side']}.{form}" for form in FORMS]
        assert part["pose"] == [[1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 1, 0], [0, 0, 0, 1]]
        codes = {finding["code"] for finding in part["findings"]}
        assert {"clear.glass", "clear.trim", "wall.tower", "seal.land", "heat", "bed", "solid.volume"} <= codes


def test_the_stl_is_the_solid_on_the_face(demo):
    _, folder = demo
    mesh = trimesh.load(folder / "left.stl")
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.bounds[0][2] == pytest.approx(0.0, abs=1e-6)
    assert mesh.euler_number == 2 - 2 * 5  # bore and four fixings


def test_every_hole_stands_where_the_door_has_it(demo):
    """Positions and diameters read back from the STEP against the panel's own file."""
    _, folder = demo
    for job in load_job(Path(__file__).parents[2] / DEMO):
        found = read_cylinders(folder / f"{job.side}.step")
        upright = [c for c in found if abs(abs(c.direction[2]) - 1) < 1e-9]
        for x, y in job.panel.fixings.points.values():
            here = [c for c in upright if abs(c.start[0] - x) < 1e-6 and abs(c.start[1] - y) < 1e-6]
            assert {round(c.diameter, 6) for c in here if c.hole} == {
                *_fixing_sizes(job),
                9.9,
            }  # and a recess


def _fixing_sizes(job):
    """The hole that the wanted chance asks for, and the path of a 15 mm washer that goes with its screw."""
    return {choose_hole(job), 15.0 + max(1.0, round(choose_hole(job) - 5, 6))}


def test_the_table_says_what_to_do_and_where_to_look(run, tmp_path):
    done = run("build", DEMO, "--out", tmp_path, "--only", "png,pdf")
    assert done.code == 0
    assert done.err == ""
    lines = done.out.splitlines()
    assert lines[0] == "linnet-woofer: OK, BUT: 1 warning, 1 thing to do by hand"
    assert lines[2].startswith("WARN     chance that it goes on and clears all that was read")
    assert "open the panel's holes to 7.2 +0.1/0" in done.out
    assert "files    3 and report.json in" in done.out and "open left.png" in " ".join(done.out.split())
    assert lines[-3] == "next     print papers.pdf at 100 %, hold its template against the panel"
    assert " ".join(" ".join(lines[-2:]).split()) == f"mounts build {DEMO} --first-check (a thin slice to try first)"
    assert len(lines) <= 25 and max(map(len, lines)) <= 80
    assert {p.name for p in (tmp_path / "linnet-woofer").iterdir()} == {
        "left.png",
        "right.png",
        "papers.pdf",
        "report.json",
        "record.yaml",
    }


def test_json_is_one_document_and_nothing_else(run, tmp_path):
    done = run("build", "profiles/jobs/linnet-cargo-glass.yaml", "--out", tmp_path, "--only", "stl", "--json")
    assert json.loads(done.out)["job"] == "linnet-cargo-glass"
    assert done.err == ""


def test_a_broken_limit_writes_beside_the_good_files_and_ends_with_1(run, tmp_path):
    folder = tmp_path / "linnet-tailgate-wide"
    folder.mkdir()
    (folder / "left.stl").write_bytes(b"good")
    done = run("build", "profiles/jobs/linnet-tailgate-wide.yaml", "--out", tmp_path, "--only", "stl")
    assert done.code == 1
    assert (folder / "left.stl").read_bytes() == b"good"
    assert (folder / "left.not-ok.stl").stat().st_size > 1000
    assert "→ printer: bed-210" in done.out


def test_a_good_part_takes_its_stale_failure_away(run, tmp_path):
    folder = tmp_path / "linnet-cargo-glass"
    folder.mkdir()
    (folder / "left.not-ok.stl").write_bytes(b"stale")
    assert run("build", "profiles/jobs/linnet-cargo-glass.yaml", "--out", tmp_path, "--only", "stl").code == 0
    assert {p.name for p in folder.iterdir()} == {"left.stl", "report.json", "record.yaml"}


def test_a_file_in_the_folders_place_is_told_before_the_work(run, tmp_path):
    (tmp_path / "out").write_text("a file", "utf-8")
    done = run("build", DEMO, "--out", tmp_path / "out")
    assert done.code == 2
    assert done.out == ""
    assert done.err.startswith(f"cannot make the folder {tmp_path}/out/linnet-woofer: a file stands at {tmp_path}/out")
    assert len(done.err.splitlines()) == 1


def test_a_full_disk_leaves_nothing_behind(run, tmp_path, monkeypatch):
    def full(*_):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(files, "_write", full)
    done = run("build", "profiles/jobs/linnet-cargo-glass.yaml", "--out", tmp_path, "--only", "stl")
    assert done.code == 2
    assert done.err.startswith("the disk is full: ")
    assert list(tmp_path.iterdir()) == []


def test_wrong_input_writes_nothing_and_tells_everything_at_once(run, tmp_path):
    bad = tmp_path / "bad.yaml"
    text = (Path(__file__).parents[2] / DEMO).read_text("utf-8")
    bad.write_text(
        text.replace("name: linnet-woofer", "name: bad").replace("height: 22", "hieght: 22\nmake: glue"), "utf-8"
    )
    done = run("build", bad, "--out", tmp_path / "out", "--library", "profiles")
    assert done.code == 2
    assert 'hieght: unknown key "hieght"; did you mean "height"?' in done.err
    assert "make:" in done.err
    assert not (tmp_path / "out").exists()


def test_what_cannot_be_drawn_is_told_with_file_line_and_nearest_value(run, tmp_path):
    bad = tmp_path / "low.yaml"
    text = (Path(__file__).parents[2] / DEMO).read_text("utf-8")
    bad.write_text(text.replace("name: linnet-woofer", "name: low").replace("tilt: 8", "tilt: 14"), "utf-8")
    done = run("build", bad, "--out", tmp_path / "out", "--library", "profiles")
    assert done.code == 2
    assert done.err.startswith(f"{bad}:")
    assert "height: tilt 14 needs a height of " in done.err
    assert "; you gave 22; greatest tilt at 22 is " in done.err
    assert not (tmp_path / "out").exists()


def test_the_first_check_of_a_ring_in_two_is_two_slices(run, tmp_path):
    done = run("build", HALVES, "--out", tmp_path, "--first-check", "--only", "stl")
    assert (done.code, done.err) == (0, "")
    folder = tmp_path / HALVES.stem
    assert {p.name for p in folder.iterdir()} == {"left.a.first-check.stl", "left.b.first-check.stl"}
    assert "the mount comes in two halves, and so does its slice: print both, and push their ends together" in done.out


def test_the_first_check_is_a_slice_and_no_report(run, tmp_path):
    done = run("build", DEMO, "--out", tmp_path, "--first-check", "--only", "stl")
    assert done.code == 0
    folder = tmp_path / "linnet-woofer"
    assert {p.name for p in folder.iterdir()} == {"left.first-check.stl", "right.first-check.stl"}
    mesh = trimesh.load(folder / "left.first-check.stl")
    assert mesh.extents[2] == pytest.approx(1.2, abs=1e-6)
    assert mesh.euler_number == 2 - 2 * 5
    refused = run("build", "profiles/jobs/linnet-front-sheet.yaml", "--out", tmp_path, "--first-check")
    assert refused.code == 2


def test_a_flat_ring_comes_as_dxf_and_step(run, tmp_path):
    done = run("build", "profiles/jobs/linnet-front-sheet.yaml", "--out", tmp_path)
    assert done.code == 0
    names = {p.name for p in (tmp_path / "linnet-front-sheet").iterdir()}
    own = {f"{side}.{form}" for side in ("left", "right") for form in ("dxf", "html", "png", "step")}
    assert names == own | {"papers.pdf", "report.json", "record.yaml"}


def test_letter_paper_is_letter(run, tmp_path):
    import pypdfium2

    job = "profiles/jobs/linnet-cargo-glass.yaml"
    assert run("build", job, "--out", tmp_path, "--only", "pdf", "--paper", "letter").code == 0
    page = pypdfium2.PdfDocument(tmp_path / "linnet-cargo-glass" / "papers.pdf")[0]
    assert sorted(page.get_size()) == pytest.approx([612, 792], abs=0.5)


def test_a_rebuild_says_which_hole_a_changed_default_changed():
    from mounts.cli.build import _changed_holes
    from mounts.findings.compare import at_least, within
    from mounts.findings.report import PartReport, Report

    def part(side, hole, sure):
        size = within("hole.diameter", hole, hole, 0.1, "diameter of hole A, read in the mesh")
        return PartReport(side, (size, at_least("chance.mount", 99.5, sure, "chance that it goes on")))

    job = load_job(DEMO.with_name("linnet-rear-square.yaml"))[0]
    now = Report("x", (part("left", 6.2, 99.0), part("right", 6.0, 99.0)))
    before = (part("left", 6.0, 95.0), part("right", 6.0, 95.0))
    said = "diameter of hole A: 6.00 is now 6.20, as the default of sure went from 95 to 99 %"
    assert list(_changed_holes(before, now, job)) == [("left", said)]
    assert list(_changed_holes((part("left", 6.0, 99.0),), now, job)) == []  # something else changed it
    assert list(_changed_holes(before, now, load_job(DEMO)[0])) == []  # the job says itself how sure
    assert list(_changed_holes((), now, job)) == []


def test_an_earlier_report_is_read_or_there_is_none(demo, tmp_path):
    from mounts.load.results.report import read_earlier

    report, folder = demo
    assert [part.side for part in read_earlier(folder)] == [part.side for part in report.parts]
    assert read_earlier(tmp_path) == ()
    (tmp_path / "report.json").write_text("[1]", "utf-8")
    assert read_earlier(tmp_path) == ()
