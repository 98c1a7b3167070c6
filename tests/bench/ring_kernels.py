"""How long the kernels take for one ring, against one cadquery boolean a feature; prints ratios of one run.

    python tests/bench/ring_kernels.py [runs]

Every solid that the chain of booleans is given is the B-rep kernel's own, so that only the booleans are compared.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from time import perf_counter

import cadquery

from mounts.kernels import brep, mesh
from mounts.kernels.brep_solids import solid
from mounts.shape.recipe import Recipe
from tests.kernels.ring import ring


def chained(drawn: Recipe) -> object:
    """One boolean a feature, as a plain script does it, with cadquery's defaults."""
    part = None
    for feature in drawn.features:
        tool = cadquery.Workplane(obj=_whole([solid(body) for body in feature.bodies]))
        part = tool if part is None else part.cut(tool) if feature.cut else part.union(tool)
    return part


def _whole(shapes: list[object]) -> object:
    return shapes[0] if len(shapes) == 1 else cadquery.Compound.makeCompound(shapes)


def best(runs: int, *jobs: Callable[[], object]) -> list[float]:
    """Least time of each job in s, run turn about so that a busy machine is busy for all of them."""
    times = [[] for _ in jobs]
    for _ in range(runs):
        for k, job in enumerate(jobs):
            start = perf_counter()
            job()
            times[k].append(perf_counter() - start)
    return [min(each) for each in times]


def main(runs: int) -> None:
    """Prints a line for each place of the label."""
    print("label   chain ms   B-rep ms   ratio   without grafts   mesh 96   mesh 256 + 512")
    for label in ("", "base", "wall"):
        drawn = ring(label)
        chain, grafts, plain, rough, fine = best(
            runs,
            lambda drawn=drawn: chained(drawn),
            lambda drawn=drawn: brep.build_shape(drawn),
            lambda drawn=drawn: brep.build_shape(drawn, graft=False),
            lambda drawn=drawn: mesh.build(drawn, 96),
            lambda drawn=drawn: [mesh.build(drawn, segments) for segments in (256, 512)],
        )
        print(
            f"{label or 'none':6} {chain * 1e3:9.0f} {grafts * 1e3:10.0f} {chain / grafts:7.1f} "
            f"{chain / plain:12.1f} {rough * 1e3:13.0f} {fine * 1e3:12.0f}"
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 3)
