"""Grams and hours against a real slicer on every printed job of the library.

Source: PrusaSlicer 2.5 or later, run as a command with the same layers, walls, infill and speeds; skipped where it is
not installed (Debian: prusa-slicer). The factors of `beds/estimate.py` were found on these parts in two settings, so
what is asserted here is that they still hold; the second setting here, used nowhere else, is new to them.
Slicing takes minutes: each setting has every fourth job, no two of them the same; `MOUNTS_SCALE=1` gives both all.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest

from mounts import pipeline
from mounts.beds.estimate import MASS_ERROR_PCT, TIME_ERROR_PCT, estimate_print
from mounts.kinds.kind import kind_of
from mounts.load.models.workshop import Speeds
from mounts.load.resolve.job import load_job
from mounts.load.resolve.library import Library
from mounts.write.stl import apply_pose, stl_bytes

ROOT = Path(__file__).parents[2]
SLICER = shutil.which("prusa-slicer")
JOBS = [
    (name, job)
    for name in Library(ROOT / "profiles").names("job")
    if (job := load_job(ROOT / "profiles" / "jobs" / f"{name}.yaml")[0]).make == "print"
]
STEP = 1 if os.environ.get("MOUNTS_SCALE") else 4
USUAL = {"layer": 0.2, "walls": 5, "top_bottom": 5, "infill_pct": 40.0, "speeds": Speeds()}
NEW = {
    "layer": 0.16,
    "walls": 4,
    "top_bottom": 6,
    "infill_pct": 30.0,
    "speeds": Speeds(outer=50, inner=80, solid=70, infill=100, first=25, acceleration=1500),
}


def sliced(file: Path, printer, density: float) -> tuple[float, float]:
    """Grams and hours of an STL by the slicer."""
    speeds = printer.speeds
    words = {
        "layer-height": printer.layer,
        "first-layer-height": printer.layer,
        "perimeters": printer.walls,
        "top-solid-layers": printer.top_bottom,
        "bottom-solid-layers": printer.top_bottom,
        "fill-density": f"{printer.infill_pct:g}%",
        "fill-pattern": "rectilinear",
        "nozzle-diameter": printer.nozzle,
        "extrusion-width": 0.45,
        "first-layer-extrusion-width": 0.45,
        "external-perimeter-speed": speeds.outer,
        "perimeter-speed": speeds.inner,
        "small-perimeter-speed": speeds.outer,
        "solid-infill-speed": speeds.solid,
        "top-solid-infill-speed": speeds.outer,
        "infill-speed": speeds.infill,
        "gap-fill-speed": speeds.outer,
        "bridge-speed": speeds.outer,
        "first-layer-speed": speeds.first,
        "travel-speed": 150,
        "default-acceleration": speeds.acceleration,
        "filament-density": density / 1000,
        "filament-diameter": 1.75,
        "bed-shape": "0x0,400x0,400x400,0x400",
        "center": "200,200",
        "max-print-height": 300,
        "skirts": 0,
        "gcode-flavor": "marlin",
    }
    out = file.with_suffix(".gcode")
    options = [text for key, value in words.items() for text in (f"--{key}", str(value))]
    subprocess.run(
        [str(SLICER), "--export-gcode", *options, "--cooling=0", "-o", str(out), str(file)],
        check=True, capture_output=True, timeout=300,
    )  # fmt: skip
    told = out.read_text("utf-8", "replace")
    grams = float(re.search(r"; filament used \[g\] = ([\d.]+)", told)[1])
    time = re.search(r"normal mode\) = (?:(\d+)d )?(?:(\d+)h )?(?:(\d+)m )?(\d+)s", told)
    days, hours, minutes, seconds = (int(figure or 0) for figure in time.groups())
    return grams, days * 24 + hours + minutes / 60 + seconds / 3600


@pytest.mark.skipif(SLICER is None, reason="prusa-slicer is not installed")
@pytest.mark.parametrize(("setting", "jobs"), [(USUAL, JOBS[::STEP]), (NEW, JOBS[-1::-STEP])], ids=["usual", "new"])
def test_grams_and_hours_are_the_slicers_within_the_stated_errors(tmp_path, setting, jobs):
    """Parts of different kinds: each within three stated errors, their scatter within the stated one."""
    mass, time = [], []
    for name, job in jobs:
        kind = kind_of(job)
        part, pose = pipeline.preview(job, 96), kind.pose(kind.plan(job))
        file = tmp_path / f"{name}.stl"
        file.write_bytes(stl_bytes(part, pose))
        printer = job.printer.model_copy(update=setting)
        grams, hours = sliced(file, printer, job.material.density)
        told = estimate_print(apply_pose(part.vertices, pose), part.triangles, printer, job.material)
        mass.append(told.grams / grams)
        time.append(told.hours / hours)
    print("mass", np.round(mass, 3), "time", np.round(time, 3))
    assert len(mass) >= 19 // STEP
    for ratios, error in ((np.array(mass), MASS_ERROR_PCT / 100), (np.array(time), TIME_ERROR_PCT / 100)):
        assert np.abs(ratios - 1).max() < 3 * error
        assert np.sqrt(((ratios - 1) ** 2).mean()) < 1.3 * error
