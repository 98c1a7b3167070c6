"""Every file in profiles/ is built: jobs as they stand by both kernels, other profiles in a job made for them."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from mounts import pipeline
from mounts.findings.report import Finding, Verdict
from mounts.kinds.kind import parts
from mounts.load.models.pins import PinPanel
from mounts.load.resolve.job import load_job
from mounts.load.resolve.library import Library
from tests.scale.table import differences, kept_lines, lines_of

ROOT = Path(__file__).parents[1]
PROFILES = ROOT / "profiles"
LIBRARY = Library(PROFILES)
JOBS = LIBRARY.names("job")
BREAK_A_LIMIT = {"linnet-tailgate-wide"}  # its ring is too wide for its printer's bed, and says so
PRINTED = [name for name in LIBRARY.names("material") if not LIBRARY.get("material", name).value.unfit("print")]
JOB = """
kind: ring
name: any
panel: {panel}
speaker: {speaker}
material: {material}
printer: {printer}
aim: {{tilt: 0}}
fix_to_panel: {fix_to_panel}
{fix_speaker}
label: false
"""
CUP = """
kind: cup
name: any
panel: {panel}
speaker: {speaker}
material: {material}
printer: {printer}
retention: press
label: false
"""
BOARD = """
kind: board
name: any
make: print
thickness: 10
material: {material}
printer: {printer}
devices: {{one: {{device: {device}}}}}
margin: 50
feet: {{across: 40, height: 15}}
fix_devices: through-m4
"""
USUAL = {
    "panel": "linnet-tailgate",
    "speaker": "demo-woofer-130",
    "material": "asa",
    "printer": "bed-250",
    "fix_to_panel": "rivet-nut-m5",
    "fix_speaker": "fix_speaker: insert-m4-short",
}


def key_of(finding: Finding) -> object:
    """What tells a finding from all others of its part."""
    return finding.code, finding.between, finding.case


@pytest.mark.parametrize("name", JOBS)
def test_every_job_is_built_by_both_kernels_keeps_its_limits_and_is_what_the_table_says(name):
    made = [pipeline.make(job) for job in parts(load_job(PROFILES / "jobs" / f"{name}.yaml"))]
    broken = [f.code for one in made for f in one.report.findings if f.verdict is Verdict.FAIL]
    assert broken == (["bed"] if name in BREAK_A_LIMIT else [])
    for one in made:
        assert all(f.sense is not None for f in one.report.findings if f.limit is not None)
        assert [key for key, number in Counter(map(key_of, one.report.findings)).items() if number > 1] == []
        (ppm,) = [f.measured for f in one.report.findings if f.code == "solid.volume"]
        assert ppm is not None
        assert ppm < 1.0  # the limit is 10
    changed = differences(kept_lines(name), lines_of(made))
    assert changed == [], "python -m tests.scale.table --write keeps what was changed on purpose"


def preview(tmp_path: Path, text: str = JOB, **changes: str):
    """The quick kernel's part of a job made of the usual profiles but for some."""
    path = tmp_path / "any.yaml"
    path.write_text(text.format(**{**USUAL, **changes}), "utf-8")
    (job,) = load_job(path, PROFILES)
    plan = pipeline.kind_of(job).plan(job)
    part = pipeline.preview(job)
    assert (part.genus, part.solids) == (plan.genus, 1)
    return part


@pytest.mark.parametrize("speaker", LIBRARY.names("speaker"))
def test_every_speaker_finds_its_ring(tmp_path, speaker):
    screws = "" if "tweeter" in speaker else USUAL["fix_speaker"]
    screws = "fix_speaker: pilot-3.0" if speaker == "demo-tweeter-25-flange" else screws
    panel = "linnet-shelf" if "6x9" in speaker else USUAL["panel"]
    hardware = "rivet-nut-m5-flat" if "6x9" in speaker else USUAL["fix_to_panel"]
    made = preview(tmp_path, speaker=speaker, panel=panel, fix_to_panel=hardware, fix_speaker=screws)
    assert made.vertices[:, 2].min() == pytest.approx(0.0, abs=1e-9)  # it lies on the face


@pytest.mark.parametrize("panel", LIBRARY.names("panel"))
def test_every_panel_carries_a_ring_or_a_cup(tmp_path, panel):
    if isinstance(LIBRARY.load("panel", PROFILES / "panels" / f"{panel}.yaml").value, PinPanel):
        made = preview(tmp_path, CUP, panel=panel, speaker="demo-tweeter-20", material="pc-abs")
        assert made.vertices[:, 2].max() == pytest.approx(0.0, abs=1e-9)  # it hangs behind the face
        return
    hardware = "rivet-nut-m5-flat" if panel == "linnet-shelf" else USUAL["fix_to_panel"]
    narrow = f"{USUAL['fix_speaker']}\ngaskets: {{base: {{thickness: 3, width: 3}}}}"
    made = preview(tmp_path, panel=panel, speaker="demo-woofer-100", fix_to_panel=hardware, fix_speaker=narrow)
    assert made.vertices[:, 2].min() == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("device", LIBRARY.names("device"))
def test_every_device_stands_on_a_board(tmp_path, device):
    made = preview(tmp_path, BOARD, device=device)
    assert made.vertices[:, 2].max() == pytest.approx(25.0)  # feet of 15 under 10 of board


@pytest.mark.parametrize("material", PRINTED)
@pytest.mark.parametrize("printer", LIBRARY.names("printer"))
def test_every_material_and_printer_makes_one(tmp_path, material, printer):
    assert preview(tmp_path, material=material, printer=printer).volume > 50_000


@pytest.mark.parametrize("name", LIBRARY.names("hardware"))
def test_every_bought_part_that_can_hold_a_ring_does(tmp_path, name):
    found = LIBRARY.item(name)
    assert found is not None
    item = found[0]
    kind = item.is_
    wide = USUAL["panel"]
    if kind in ("rivet-nut", "expansion-nut", "clip-nut", "thread"):
        if kind != "thread":
            path = tmp_path / "wide.yaml"
            text = (PROFILES / "panels" / f"{wide}.yaml").read_text("utf-8")
            path.write_text(
                text.replace(f"name: {wide}", "name: wide").replace("hole: 7.2", f"hole: {item.hole}"), "utf-8"
            )
            wide = "./wide.yaml"
        # a clip nut lies on the face as far round its hole as it reaches, where no gasket can
        gasket = "gaskets: {base: false}" if kind == "clip-nut" else ""
        preview(tmp_path, panel=wide, fix_to_panel=name, fix_speaker=f"{USUAL['fix_speaker']}\n{gasket}")
    elif kind in ("insert", "pilot", "through"):
        # a thick bolt's nut needs more room than the usual speaker leaves between its bore and its screws
        speaker = "demo-square-100" if kind == "through" else USUAL["speaker"]
        preview(tmp_path, speaker=speaker, fix_speaker=f"fix_speaker: {name}")
    elif kind == "screw" and item.thread == "M5":
        preview(tmp_path, fix_to_panel=f"{{hardware: rivet-nut-m5, screw: {name}}}")
    elif kind == "washer" and item.thread == "M5":
        preview(tmp_path, fix_to_panel=f"{{hardware: rivet-nut-m5, washer: {name}}}")
    else:
        assert kind in ("screw", "washer")
