"""The wall check of the demo ring against the usual way with trimesh, as a ratio from one run.

    python tests/bench/walls.py

trimesh's `thickness` shrinks a sphere at each of 1000 places of the surface until it fits inside; its least answer is
set beside ours. Every round starts from bare triangles on both sides.
"""

from __future__ import annotations

import logging
from pathlib import Path
from statistics import median
from time import perf_counter

import numpy as np
import trimesh

from mounts.checks.skin import Skin
from mounts.checks.thickness import least_place
from mounts.checks.walls import wall_findings
from mounts.kernels import brep
from mounts.kernels.part import Part
from mounts.kinds.table import KINDS
from mounts.load.job import load_job

JOB = Path(__file__).parents[2] / "profiles" / "jobs" / "linnet-woofer.yaml"
ROUNDS = 7
PLACES = 1000
GOAL = 8.0


def spheres(part: Part) -> float:
    """Least thickness by trimesh's spheres, mm."""
    mesh = trimesh.Trimesh(part.vertices, part.triangles, process=False)
    points, face = trimesh.sample.sample_surface(mesh, PLACES, seed=1)
    wide = trimesh.proximity.thickness(mesh, points, normals=mesh.face_normals[face], method="max_sphere")
    return float(np.min(wide))


def main() -> None:
    """Prints both times, both answers and the ratio."""
    logging.disable(logging.WARNING)
    job = load_job(JOB)[0]
    kind = KINDS[job.kind, job.make]
    plan = kind.plan(job)
    part = brep.build(kind.shape(plan).recipe)
    ours, theirs = [], []
    wall_findings(part, plan.walls), spheres(part)
    for _ in range(ROUNDS):
        start = perf_counter()
        findings = wall_findings(part, plan.walls)
        ours.append(perf_counter() - start)
        start = perf_counter()
        sphere = spheres(part)
        theirs.append(perf_counter() - start)
    least = least_place(Skin.of(part))
    measured = sum(finding.measured is not None for finding in findings)
    ratio = median(theirs) / median(ours)
    print(f"trimesh, largest spheres at {PLACES} places  {1000 * median(theirs):6.0f} ms, least {sphere:.4f} mm")
    print(
        f"mounts, {measured} walls by name              {1000 * median(ours):6.0f} ms, least {least.thickness:.4f} mm"
    )
    print(f"ratio {ratio:.1f}, goal {GOAL:g}{'' if ratio >= GOAL else ': NOT REACHED'}")


if __name__ == "__main__":
    main()
