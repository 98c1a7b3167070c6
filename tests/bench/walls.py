"""The wall check of the demo ring against the usual way with trimesh, as ratios from one run.

    python tests/bench/walls.py [rounds]

trimesh's `thickness` shrinks a sphere at each of 1000 places of the surface until it fits inside, which gives one
number for the whole part. The same question is asked of us first; then every wall of the plan by its name. Both sides
start from bare triangles in every round; the median of each is taken.
"""

from __future__ import annotations

import logging
import sys
from collections.abc import Callable
from pathlib import Path
from statistics import median
from time import perf_counter

import numpy as np
import trimesh

from mounts.checks.mesh.skin import Skin
from mounts.checks.mesh.thickness import least_place
from mounts.checks.mesh.walls import wall_findings
from mounts.kernels import brep
from mounts.kernels.part import Part
from mounts.kinds.kind import kind_of
from mounts.load.resolve.job import load_job

JOB = Path(__file__).parents[2] / "profiles" / "jobs" / "linnet-woofer.yaml"
PLACES = 1000
GOAL = 8.0


def spheres(part: Part) -> float:
    """Least thickness by trimesh's spheres, mm."""
    mesh = trimesh.Trimesh(part.vertices, part.triangles, process=False)
    points, face = trimesh.sample.sample_surface(mesh, PLACES, seed=1)
    wide = trimesh.proximity.thickness(mesh, points, normals=mesh.face_normals[face], method="max_sphere")
    return float(np.min(wide))


def main(rounds: int = 9) -> None:
    """Prints the times, the answers and the ratios."""
    logging.disable(logging.WARNING)
    job = load_job(JOB)[0]
    kind = kind_of(job)
    plan = kind.plan(job)
    part = brep.build(kind.shape(plan).recipe)
    ways: tuple[Callable[[], object], ...] = (
        lambda: spheres(part),
        lambda: least_place(Skin.of(part)),
        lambda: wall_findings(part, plan.walls),
    )
    times: list[list[float]] = [[] for _ in ways]
    for _ in range(rounds + 1):
        for way, spent in zip(ways, times, strict=True):
            start = perf_counter()
            way()
            spent.append(perf_counter() - start)
    theirs, ours, named = (median(spent[1:]) for spent in times)
    least = least_place(Skin.of(part))
    assert least is not None
    measured = sum(finding.measured is not None for finding in wall_findings(part, plan.walls))
    between = " to ".join(map(str, least.between))
    print(f"trimesh, largest spheres at {PLACES} places: least wall {spheres(part):.4f}, {1000 * theirs:.0f} ms")
    print(f"mounts: least wall {least.thickness:.4f}, {between}, {1000 * ours:.0f} ms")
    reached = "" if theirs / ours >= GOAL else ", NOT REACHED"
    print(f"least wall: {theirs / ours:.1f} times as fast, at least {GOAL:g}{reached}")
    print(f"{measured} walls by name beside the plan: {theirs / named:.1f} times as fast, {1000 * named:.0f} ms")


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:2]))
