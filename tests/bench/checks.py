"""Ratios of the checks against the plain script, which checks nothing, all from one run.

    python tests/bench/checks.py [rounds] [whole] [warm] [clearances] [page]

Times are of the processor, so that other work on the machine does not count.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import Any

from ring import JOB, PLAIN, ROOT, in_turn, process, rounds_from, row

from mounts.findings.gap import Gap
from mounts.identity import MOUNT, Ident, Pair
from mounts.shape.recipe import Envelope

EXACT = 0.001  # mm, what a closed form may differ by from the exact solids


def main(rounds: int, asked: Sequence[str]) -> None:
    """Measures and prints the ratios that are asked for, with the goal of the issue beside each."""
    with tempfile.TemporaryDirectory() as folder:
        if "whole" in asked:
            whole(Path(folder), max(3, rounds // 2))
        if "warm" in asked:
            warm(Path(folder), rounds)
    if "clearances" in asked:
        clearances(rounds)
    if "page" in asked:
        page(rounds)


def whole(folder: Path, rounds: int) -> None:
    """Whole processes: one side with all checks, files and picture, against the plain script with its two files."""
    job, both = folder / JOB.name, JOB.read_text()
    job.write_text(both.replace("sides: [left, right]", "sides: [left]"))
    assert job.read_text() != both
    words = ("-m", "mounts", "build", str(job), "--out", str(folder), "--library", str(ROOT / "profiles"))
    ours, theirs = in_turn(partial(process, *words), partial(process, str(PLAIN), str(folder)), rounds)
    made = sorted(path.name for path in (folder / JOB.stem).iterdir())
    names = ["left.3mf", "left.html", "left.png", "left.step", "left.stl", "papers.pdf", "report.json"]
    assert made == names, made
    row("mounts build of one side, a whole process", theirs / ours, 1.15)


def warm(folder: Path, rounds: int) -> None:
    """One more part in the same process, all checks and files, against the plain script's part with its files."""
    import plain_ring

    from mounts import pipeline
    from mounts.load.resolve.job import load_job
    from mounts.write.formats import FORMATS
    from mounts.write.output import Wish, part_files

    job = load_job(JOB)[0]

    def part(formats: tuple[str, ...]) -> None:
        made = pipeline.make(job)
        files = part_files(made, Wish(formats))
        for name, data in files.items():
            (folder / name).write_bytes(data)

    plain = partial(plain_ring.write, folder)
    for words, formats in (("all files", tuple(FORMATS)), ("STL and STEP", ("stl", "step"))):
        ours, theirs = in_turn(partial(part, formats), plain, rounds)
        row(f"one more part, all checks, {words}", theirs / ours, 1.5)


def page(rounds: int) -> None:
    """The page of a part against making and checking the part."""
    from mounts import pipeline
    from mounts.load.resolve.job import load_job
    from mounts.write.page.html import page_html

    job = load_job(JOB)[0]
    made = pipeline.make(job)
    ours, theirs = in_turn(partial(page_html, made), partial(pipeline.make, job), rounds)
    row("the page of a part, beside making the part", theirs / ours, 8)


def clearances(rounds: int) -> None:
    """All gaps of a ring measured, against solid-to-solid distances by the CAD kernel for the same pairs."""
    from mounts import pipeline
    from mounts.checks.assembly import assemble, measure_gaps
    from mounts.kinds.ring.clearances import ring_gaps, speaker_gaps
    from mounts.kinds.ring.insertion import path_gaps
    from mounts.kinds.ring.surroundings import surroundings
    from mounts.load.resolve.job import load_job

    job = load_job(JOB)[0]
    made = pipeline.make(job)
    plan, part = made.plan, made.part
    told = (*speaker_gaps(job, plan.seat), *ring_gaps(job, plan), *path_gaps(job, plan))
    shapes = _shapes(part.solid, surroundings(job, plan))

    def closed() -> object:
        return (*speaker_gaps(job, plan.seat), *ring_gaps(job, plan), *path_gaps(job, plan))

    def ours() -> tuple[Gap, ...]:
        return measure_gaps(assemble(part, surroundings(job, plan)), told)

    pairs = _pairs(told, shapes)
    fast, slow = in_turn(ours, partial(_distances, shapes, pairs), rounds)
    row(f"{len(pairs)} clearances measured on the mesh", slow / fast, 8)
    fast, slow = in_turn(closed, partial(_distances, shapes, pairs), rounds)
    print(f"{f'{len(told)} clearances of the plan':50} {slow / fast:6.1f} times as fast")
    _differences(told, ours(), pairs, _distances(shapes, pairs))


def _pairs(gaps: Sequence[Gap], shapes: dict[Ident, Any]) -> dict[Pair, int]:
    """Pairs of solids, and for each the index of its tightest gap; what is no thing is the mount."""
    found: dict[Pair, int] = {}
    for k, gap in enumerate(gaps):
        one, other = (one if one in shapes else MOUNT for one in gap.between)
        if (one, other) not in found or gap.gap < gaps[found[one, other]].gap:
            found[one, other] = k
    return found


def _shapes(mount: Any, envelopes: Sequence[Envelope]) -> dict[Ident, Any]:
    """Every thing as exact solids in one compound, and the mount."""
    from mounts.kernels.brep_solids import solid
    from mounts.kernels.cad import func

    found = {MOUNT: mount}
    for envelope in envelopes:
        found[envelope.ident] = func.compound([solid(body) for body in envelope.bodies])
    return found


def _distances(shapes: dict[Ident, Any], pairs: dict[Pair, int]) -> list[float]:
    """Solid-to-solid distances by the CAD kernel, mm."""
    return [shapes[one].distance(shapes[other]) for one, other in pairs]


def _differences(told: Sequence[Gap], found: Sequence[Gap], pairs: dict[Pair, int], exact: Sequence[float]) -> None:
    """Prints the greatest differences of closed forms and of the mesh's distances from the exact solids'."""
    closed, mesh = [], []
    for (pair, k), true in zip(pairs.items(), exact, strict=True):
        closed.append((abs(told[k].gap - true), pair))
        mesh.append((abs((found[k].measured or 0.0) - true), pair))
    for words, off, most in (("closed form", max(closed), EXACT), ("mesh", max(mesh), 0.025)):
        reached = "" if off[0] <= most else ", NOT REACHED"
        print(
            f"{words}: {off[0]:.5f} mm from the exact solids at most (at most {most}), "
            f"{off[1][0]} to {off[1][1]}{reached}"
        )


if __name__ == "__main__":
    words = [word for word in sys.argv[1:] if not word.isdigit()]
    main(
        rounds_from([word for word in sys.argv[1:] if word.isdigit()]), words or ("whole", "warm", "clearances", "page")
    )
