"""Demo jobs made again with their input changed in the last digits that anyone could mean: what is then said otherwise.

    python -m tests.scale.perturbed [--rounds 20] [--first 0] [--plan | --preview | --build] [--seed 1] [job …]

A job is a demo job's name, or a random one's of `tests/scale/doors.py`: its kind and number, as ring-130.

A part is built once and then checked again, its readings and its vertices off by NOISE of themselves, its facets,
vertices and the search's limits in another order, and its rays started ASIDE; with `--build` it is built again too,
with `--preview` it is what the mesh kernel alone makes, with `--plan` only planned, which is quicker.
What anyone reads must stay as it was: every verdict, word and choice, and every figure as it is displayed.
"""

from __future__ import annotations

import argparse
import sys
import traceback
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, fields, is_dataclass, replace
from functools import partial
from typing import Any
from unittest.mock import patch

import numpy as np
from pydantic import BaseModel

from mounts import pipeline
from mounts.checks.check import report_part
from mounts.checks.mesh import skin
from mounts.findings.causes import causes, seen_findings, tightest_passes
from mounts.findings.report import PartReport, Report, Verdict
from mounts.findings.wording import number, value_with_limit
from mounts.kernels.agreement import Agreement
from mounts.kernels.part import Part
from mounts.kinds.kind import Planned, parts, plan
from mounts.kinds.ring.aiming import choose
from mounts.load.models.job import Job
from mounts.load.resolve.job import load_from, load_job
from mounts.load.resolve.library import Library
from mounts.write.screen import estimate_words
from tests.scale.doors import PROFILES, text_of
from tests.scale.workshop import KINDS as DRAWN

NOISE = 1e-9  # of a reading, and of a vertex's coordinates
ASIDE = 1e-7  # mm
SEED = 1  # of random jobs
READ = ("panel", "speaker", "port", "device", "devices", "board")  # what of a job was read off real things
JOBS = PROFILES / "jobs"


def names() -> list[str]:
    """Of the demo jobs."""
    return sorted(path.stem for path in JOBS.glob("*.yaml"))


@dataclass(frozen=True, slots=True)
class Built:
    """A part as it is, with what it takes to check it again."""

    job: Job
    part: Part
    agreement: Agreement | None  # None of a preview
    whole: Part | None


def jobs_of(name: str) -> tuple[Job, ...]:
    """Return the parts' jobs of a demo job, or of a random one."""
    path, (kind, _, number) = JOBS / f"{name}.yaml", name.partition("-")
    if kind not in DRAWN:
        return parts(load_job(path))
    return parts(load_from(Library(PROFILES), path, text_of(kind, SEED, int(number))))


def built(name: str, *, preview: bool = False) -> Iterator[Built]:
    """All parts of a job."""
    for job in jobs_of(name):
        if preview:
            yield Built(job, pipeline.preview(job), None, None)
            continue
        planned = plan(job)
        assembled = planned.kind.whole(planned.plan)
        part, agreement = pipeline.build(planned.draw())
        yield Built(job, part, agreement, pipeline.build(assembled)[0] if assembled else None)


def noisy(value: Any, rng: np.random.Generator) -> Any:
    """A value with every float in it off by some NOISE of itself."""
    if isinstance(value, float):
        return value * (1 + NOISE * rng.uniform(-1, 1))
    if isinstance(value, BaseModel):
        return value.model_copy(update={name: noisy(getattr(value, name), rng) for name in type(value).model_fields})
    if is_dataclass(value) and not isinstance(value, type):
        names = [each.name for each in fields(value) if each.init]
        return replace(value, **{name: noisy(getattr(value, name), rng) for name in names})
    if isinstance(value, Mapping):
        return type(value)({key: noisy(one, rng) for key, one in value.items()})
    if isinstance(value, tuple) and not hasattr(value, "_fields"):
        return tuple(noisy(one, rng) for one in value)
    return value


def read_again(job: Job, rng: np.random.Generator) -> Job:
    """The job with noise on its readings."""
    return replace(job, **{name: noisy(getattr(job, name), rng) for name in READ if hasattr(job, name)})


def shuffled(part: Part, rng: np.random.Generator) -> Part:
    """The part with noise on its vertices, and its vertices, its facets and their corners in another order."""
    order, place = rng.permutation(len(part.triangles)), rng.permutation(len(part.vertices))
    vertices = np.empty_like(part.vertices)
    vertices[place] = part.vertices * (1 + NOISE * rng.uniform(-1, 1, part.vertices.shape))
    turn = (np.arange(3) + rng.integers(3, size=(len(order), 1))) % 3
    triangles = np.take_along_axis(place[part.triangles[order]], turn, axis=1)
    return replace(part, vertices=vertices, triangles=triangles, face=part.face[order], feature=part.feature[order])


@contextmanager
def unsettled(rng: np.random.Generator) -> Iterator[None]:
    """Rays start aside, and limits of the search come in another order."""
    origins, limits_of = skin.origins, choose.limits_of

    def aside(of: skin.Skin) -> Any:
        source, start = origins(of)
        return source, start + ASIDE * rng.uniform(-1, 1, start.shape)

    def mixed(*args: Any) -> Any:
        found = limits_of(*args)
        return replace(found, rooms=tuple(found.rooms[k] for k in rng.permutation(len(found.rooms))))

    with patch.object(skin, "origins", aside), patch.object(choose, "limits_of", mixed):
        yield


def said(job: Job, one: Callable[[Job, Planned], PartReport]) -> list[str]:
    """All that anyone reads of a part: its plan's choices, its report line by line, what its screen leads with."""
    planned = plan(job)
    return [*_choices(planned.plan), *_lines(one(job, planned))]


def chosen(job: Job, rng: np.random.Generator | None) -> list[str]:
    """What a plan chooses, its readings off by noise where there is any."""
    if rng is None:
        return list(_choices(plan(job).plan))
    with unsettled(rng):
        return list(_choices(plan(read_again(job, rng)).plan))


def usual(*names: str, check: bool = False) -> str:
    """What the plans of jobs choose, line by line; with `check` all that is said of the mesh kernel's part too."""
    if check:
        return "\n".join(line for name in names for one in built(name, preview=True) for line in checked(one, None))
    return "\n".join(line for name in names for job in jobs_of(name) for line in chosen(job, None))


def _choices(made: Any) -> Iterator[str]:
    choice = getattr(made, "choice", None)
    if choice:
        yield f"{choice.aim} {choice.height} {choice.seat_offset} {choice.turn} misses {choice.misses:.2f}"
        yield from (f"{one.code} {one.between} {one.gap:.2f} gives {one.gives:.2f}" for one in choice.active)
    for wall in getattr(made, "walls", ()):
        yield f"{wall.code} {wall.what} {number(wall.thickness, 2)}"
    for name in ("turn", "height"):
        if isinstance(getattr(made, name, None), float):
            yield f"{name} {number(getattr(made, name), 2)}"


def _lines(report: PartReport) -> Iterator[str]:
    for one in report.findings:
        shown = one.at is not None and one.verdict is not Verdict.PASS  # places of what passes are told nowhere
        at = " ".join(number(value, 1) for value in one.at) if shown else ""
        spread = "" if one.margin_sd is None else f"sd {number(one.margin_sd, 2)}"
        yield " | ".join(
            [one.code, one.verdict, one.what, value_with_limit(one), str(one.between), one.advice, spread, at]
        )
    yield from (*report.not_measured, *report.cautions)
    seen = seen_findings(Report("", (report,)))
    yield "causes: " + ", ".join(one.worst.finding.what for one in causes(seen, Verdict.FAIL, Verdict.WARN, Verdict.DO))
    yield "tightest: " + ", ".join(one.finding.what for one in tightest_passes(seen, 3))
    if report.estimate:
        yield estimate_words(report.estimate)


def checked(one: Built, rng: np.random.Generator | None) -> list[str]:
    """What is said of a built part, checked again."""

    def report(job: Job, planned: Planned) -> PartReport:
        part, whole = one.part, one.whole
        if rng is not None:
            part, whole = shuffled(part, rng), whole and shuffled(whole, rng)
        if one.agreement is None:
            found = PartReport(job.part, planned.kind.review().findings(job, planned.plan, part))
        else:
            found = report_part(planned, part, one.agreement, whole)
        return replace(found, estimate=pipeline.estimate_of(job, part, found.pose))

    if rng is None:
        return said(one.job, report)
    with unsettled(rng):
        return said(read_again(one.job, rng), report)


def made(job: Job, rng: np.random.Generator | None) -> list[str]:
    """What is said of a part that is planned, built and checked again."""
    if rng is None:
        return said(job, lambda job, _: pipeline.make(job).report)
    with unsettled(rng):
        return said(read_again(job, rng), lambda job, _: pipeline.make(job).report)


def differences(name: str, rounds: int, seed: int = 1, *, first: int = 0, how: str = "check") -> Iterator[str]:
    """Lines that are not said each time, with part and round: − before those that are gone, + before new ones."""
    for part, again in _parts(name, how):
        usual = again(None)
        for turn in range(first, first + rounds):
            rng = np.random.default_rng([seed, turn])
            try:
                now = again(rng)
            except Exception:  # a part that cannot be made is a difference like any other
                yield f"{name} {part} {turn} ! {traceback.format_exc(limit=-3)}"
                continue
            yield from (f"{name} {part} {turn} - {line}" for line in usual if line not in now)
            yield from (f"{name} {part} {turn} + {line}" for line in now if line not in usual)
            if sorted(usual) == sorted(now) and usual != now:
                at = next(k for k, pair in enumerate(zip(usual, now, strict=True)) if pair[0] != pair[1])
                yield f"{name} {part} {turn} order: {now[at]}, usually {usual[at]}"


def _parts(name: str, how: str) -> Iterator[tuple[str, Callable[[np.random.Generator | None], list[str]]]]:
    """Yield each part of a job, and what is said of it with noise and without."""
    if how in ("plan", "build"):
        yield from ((job.part, partial(chosen if how == "plan" else made, job)) for job in jobs_of(name))
    else:
        yield from ((one.job.part, partial(checked, one)) for one in built(name, preview=how == "preview"))


def main() -> int:
    """Prints what is said otherwise; 1 where anything is."""
    given = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    given.add_argument("job", nargs="*")
    given.add_argument("--rounds", type=int, default=20)
    given.add_argument("--first", type=int, default=0, help="number of the first round")
    given.add_argument("--seed", type=int, default=1)
    for how in ("plan", "preview", "build"):
        given.add_argument(f"--{how}", dest="how", action="store_const", const=how, default="check")
    wish = given.parse_args()
    many = 0
    for name in wish.job or names():
        found = list(differences(name, wish.rounds, wish.seed, first=wish.first, how=wish.how))
        print(f"{name}: {len(found)}", *found, sep="\n", flush=True)
        many += len(found)
    return int(many > 0)


if __name__ == "__main__":
    sys.exit(main())
