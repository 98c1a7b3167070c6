"""Spacers made and measured: walls, sizes and printing on the mesh, beside the plan."""

from __future__ import annotations

from dataclasses import replace

import pytest

from mounts import pipeline, trials
from mounts.checks.spacer.findings import size_findings, spacer_findings
from mounts.findings.report import Verdict
from tests.spacers import spacer

PRESS = {"panel": "press", "device": "press"}
CASES = {
    "round": {"fit": PRESS},
    "slit": {"slit": True, "device__cable": 4, "fit": PRESS},
    "tapered oblong": {
        "port__opening": {"oblong": [44, 30]}, "port__taper": 2, "device__body": {"oblong": [32, 18]}, "fit": PRESS,
    },
    "d": {"port__opening": {"d": [30, 27]}, "device__body": {"d": [20, 18]}, "fit": PRESS},
    "beside the centre": {"at": [1.5, -1.0]},
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_mesh_against_plan(tmp_path, name):
    made = pipeline.make(spacer(tmp_path, **CASES[name]))
    found = {finding.code: finding for finding in made.report.findings}
    wall = found["wall.sleeve"]
    assert wall.measured == pytest.approx(wall.closed_form, abs=0.02)
    for code in ("size.sleeve", "size.lip", "size.bore"):
        assert found[code].measured == pytest.approx(found[code].closed_form, abs=0.02)
    assert not [f.code for f in made.report.findings if f.code in ("wall.disagreement", "wall.unknown")]
    assert made.report.verdict is not Verdict.FAIL


def test_a_mesh_that_is_not_the_plan_s_is_found_out(tmp_path):
    made = pipeline.make(spacer(tmp_path))
    small = replace(made.part, vertices=made.part.vertices * (0.99, 0.99, 1.0))
    found = {finding.code: finding for finding in size_findings(made.plan, small)}
    assert {finding.verdict for finding in found.values()} == {Verdict.FAIL}
    assert found["size.lip"].advice == "it is off its plan; do not use this part"


@pytest.mark.parametrize(("device", "verdict"), [(28.08, Verdict.PASS), (28.1, Verdict.FAIL)])
def test_the_wall_s_limit_on_the_mesh(tmp_path, device, verdict):
    """Two lines of a 0.4 nozzle: 30 less twice 0.08, less the device and twice 0.08, halved."""
    made = pipeline.make(spacer(tmp_path, device__body={"round": device}, stop=False))
    (wall,) = [f for f in made.report.findings if f.code == "wall.sleeve"]
    assert wall.closed_form == pytest.approx((30 - 0.16 - device - 0.16) / 2)
    assert wall.verdict is verdict


def test_it_hangs_nowhere_in_its_print_pose(tmp_path):
    """Standing on its front only slopes of 45 degrees hang: stop, bump and broken edges."""
    made = pipeline.make(spacer(tmp_path, slit=True, slit_width=5, bump=True))
    assert made.report.pose[2] == (0.0, 0.0, -1.0, 1.6)
    found = {f.code: f for f in spacer_findings(made.job, made.plan, made.part)}
    assert found["print.overhang"].verdict is Verdict.PASS
    assert found["print.overhang"].measured == pytest.approx(45, abs=1.01)
    assert found["print.bridge"].measured == 0.0


def test_heat_only_where_the_place_is_known(tmp_path):
    (job,) = (spacer(tmp_path),)
    made = pipeline.make(job)
    assert "heat" not in {f.code for f in made.report.findings}
    hot = replace(job, port=job.port.model_copy(update={"place": "dash"}))
    (found,) = [f for f in spacer_findings(hot, made.plan, made.part) if f.code == "heat"]
    assert (found.verdict, found.closed_form, found.limit) == (Verdict.WARN, 85.0, 95.0)


def test_files_carry_the_part_in_print_pose(tmp_path):
    import numpy as np

    job = spacer(tmp_path)
    report, folder = pipeline.write([job], tmp_path / "out", pipeline.Wish(("stl", "pdf")))
    assert report.parts[0].files == ("part.stl",)
    assert report.files == ("papers.pdf",)
    raw = (folder / "part.stl").read_bytes()
    corners = np.frombuffer(raw, np.dtype([("n", "<f4", 3), ("v", "<f4", (3, 3)), ("a", "<u2")]), offset=84)["v"]
    assert corners[..., 2].min() == pytest.approx(0.0, abs=1e-5)
    low = corners[corners[..., 2] < 1e-4]
    assert np.hypot(low[:, 0], low[:, 1]).max() == pytest.approx(16.5, abs=1e-3)  # the lip's front lies on the bed


def test_a_first_check_is_a_slice(tmp_path):
    names, _ = trials.write_slices([spacer(tmp_path)], tmp_path / "out", pipeline.Wish(("stl",)))
    assert names == ("part.first-check.stl",)
