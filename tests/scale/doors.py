"""Random doors through load and plan, a few of them through build and checks, and what became of them.

    python -m tests.scale.doors --count 200 --seed 1 [--kind ring] [--build 3]   print the outcomes by class
    python -m tests.scale.doors --count 40 --given --write                       keep them in kept/ring-1.outcomes
    python -m tests.scale.doors --kind ring --seed 1 --show 17                   print the file of one job
    python -m tests.scale.doors --count 60 --best                                let all rings that can seek their pose

Classes: planned; refused, an `InputError`, with its key and words; crashed, any other exception; hung, over LIMIT of
processor time; slow, planned in more than SLOW times what the demo job of the same kind of aim takes. A kept file has a
line a job: its number, its class, and why it was refused or what was planned.
"""

from __future__ import annotations

import argparse
import re
import signal
import sys
import traceback
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import acos, degrees
from pathlib import Path
from time import process_time
from types import FrameType
from typing import Any

import yaml

from mounts import pipeline
from mounts.errors import InputError
from mounts.kinds.kind import kind_of, parts
from mounts.load.resolve.job import load_from
from mounts.load.resolve.library import Library
from tests.scale.workshop import KINDS as DRAWN
from tests.scale.workshop import drawn

PROFILES = Path(__file__).parents[2] / "profiles"
KEPT = Path(__file__).parent / "kept"
LIMIT = 60.0  # s of processor time a job
NUMBERED = "tool path|fixing|hole|screw|nut|recess|well|pin"
WARMING = "linnet-rear-square"
SLOW = 5.0  # times a demo job's plan
DEMOS = {"ring": "linnet-woofer", "best": "linnet-front-aimed", "cup": "linnet-dash-tweeter-press"}
DEMOS |= {"spacer": "linnet-port-round", "board": "linnet-seat-board"}


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one job.

    Attributes:
        kind, number: of the job.
        how: "planned", "refused", "crashed" or "hung"; of one that was built the verdict of its report.
        why: key and words of the first problem, the error of a crash, or what was planned.
        seconds: processor time of load and plan.
    """

    kind: str
    number: int
    how: str
    why: str
    seconds: float = 0.0

    @property
    def group(self) -> str:
        """The same for outcomes that differ in figures and names alone."""
        if self.how == "planned":
            return ""
        words = re.sub(r'"[^"]*"|-?\d+(\.\d+)?', "#", self.why)
        return re.sub(
            r"#(:#)?", "#", re.sub(r"\b(tool path|fixing|hole|screw|nut|recess|well|pin) [A-H#]\b", r"\1 #", words)
        )


class HungError(Exception):
    """A job took longer than LIMIT."""


def outcome_of(
    library: Library, kind: str, seed: int, number: int, *, build: bool = False, best: bool = False
) -> Outcome:
    """Return what becomes of one job; with `build` its parts are made and checked as well, with `best` it is sought."""
    begin = process_time()
    try:
        with_limit(LIMIT if not build else 10 * LIMIT)
        jobs = load_from(
            library, library.root / "jobs" / f"{kind}-{number}.yaml", text_of(kind, seed, number, best=best)
        )
        found = parts(jobs)
        plans = [kind_of(job).plan(job) for job in found]
        told = Outcome(kind, number, "planned", "; ".join(map(plan_words, plans)), process_time() - begin)
        if not build:
            return told
        reports = [pipeline.make(job).report for job in found]
        bad = dict.fromkeys(f"{one.verdict} {one.code}" for r in reports for one in r.findings if one.verdict != "pass")
        worst = next((word for word in ("fail", "warn") if any(r.verdict == word for r in reports)), "pass")
        return replace(told, how=worst, why=", ".join(bad))
    except InputError as error:
        first = error.problems[0]
        return Outcome(kind, number, "refused", f"{first.where}: {first.what}", process_time() - begin)
    except HungError:
        return Outcome(kind, number, "hung", f"over {LIMIT:g} s", process_time() - begin)
    except Exception as error:
        place = traceback.extract_tb(error.__traceback__)[-1]
        text = str(error).splitlines() or [""]
        why = f"{type(error).__name__}: {text[0]} ({Path(place.filename).name}, {place.name})"
        return Outcome(kind, number, "crashed", why, process_time() - begin)
    finally:
        with_limit(0)


def with_limit(seconds: float) -> None:
    """Raise `HungError` in this process once it has used so much processor time; 0 takes that back."""

    def stop(signum: int, frame: FrameType | None) -> None:
        raise HungError

    signal.signal(signal.SIGVTALRM, stop)
    signal.setitimer(signal.ITIMER_VIRTUAL, seconds)


def text_of(kind: str, seed: int, number: int, *, best: bool = False) -> str:
    """Return the file of a job; with `best` its aim and height are to be found."""
    tree = drawn(kind, seed, number) | ({"aim": "best", "height": "best"} if best else {})
    return yaml.safe_dump(tree, sort_keys=False, allow_unicode=True)


def plan_words(plan: Any) -> str:
    """Return a plan in short: how its seat stands, and the walls that are too thin."""
    words = []
    seat = getattr(plan, "seat", None)
    frame = getattr(seat, "frame", None)
    if frame is not None:
        words.append(f"tilt {degrees(acos(min(1.0, frame.z[2]))):.1f} at {frame.origin[2]:.1f}")
    thin = Counter(wall.code for wall in getattr(plan, "walls", ()) if not wall.is_enough)
    words += [f"{code} thin" + (f" x{count}" if count > 1 else "") for code, count in sorted(thin.items())]
    return ", ".join(words) or "as usual"


def is_sought(tree: dict[str, Any]) -> bool:
    """Return whether a job leaves aim or height to a search, which takes seconds where a plan takes a tenth of one."""
    aim = tree.get("aim", {})
    return tree.get("height") == "best" or aim == "best" or "at" in aim or "within" in aim


def can_seek(tree: dict[str, Any]) -> bool:
    """Return whether a ring's aim and height can be left to a search: listeners and what is in front were read."""
    return bool({"ears", "seats"} & tree["panel"].keys()) and "in_front" in tree["panel"]


def outcomes(
    kind: str, seed: int, count: int, *, first: int = 0, build: int = 0, given: bool = False, best: bool = False
) -> Iterator[Outcome]:
    """Yield the outcomes of jobs `first` to `first + count`.

    Args:
        kind, seed, count, first: which jobs.
        build: so many of those that are planned are made as well.
        given: whether jobs are left out that leave something to a search.
        best: whether aim and height are left to a search, of the jobs that can.
    """
    library = Library(PROFILES)
    for number in range(first, first + count):
        if given and kind == "ring" and is_sought(drawn(kind, seed, number)):
            continue
        if best and not can_seek(drawn(kind, seed, number)):
            continue
        found = outcome_of(library, kind, seed, number, best=best)
        yield found
        if build > 0 and found.how == "planned":
            build -= 1
            made = outcome_of(library, kind, seed, number, build=True)
            yield replace(made, how=f"built, {made.how}")


def line_of(outcome: Outcome) -> str:
    """Return an outcome as a line of a kept file."""
    return f"{outcome.number} {outcome.how}: {' '.join(outcome.why.split())}"


def kept_lines(kind: str, seed: int) -> list[str]:
    """Return the kept lines of a kind and seed."""
    return kept_path(kind, seed).read_text("utf-8").splitlines()


def kept_path(kind: str, seed: int) -> Path:
    """Return where the outcomes of a kind and seed are kept."""
    return KEPT / f"{kind}-{seed}.outcomes"


def print_table(found: Sequence[Outcome], usual: dict[str, float]) -> None:
    """Print how many came out how, and by which words; for each group one job that shows it."""
    print(f"{len(found)} outcomes, {sum(one.seconds for one in found):.0f} s of processor time")
    for how, count in Counter(one.how for one in found).most_common():
        print(f"{count:6} {how}")
    groups: dict[tuple[str, str, str], list[Outcome]] = defaultdict(list)
    for one in found:
        if one.group:
            groups[one.how, one.kind, one.group].append(one)
    for (how, kind, _), some in sorted(groups.items(), key=lambda item: (item[0][0], -len(item[1]))):
        print(f"{len(some):6} {how}, {kind}: {some[0].why[:230]} [{', '.join(str(one.number) for one in some[:4])}]")
    slow = [one for one in found if one.how == "planned" and one.seconds > SLOW * usual.get(one.kind, 1.0)]
    for one in sorted(slow, key=lambda one: -one.seconds)[:20]:
        print(
            f"  slow {one.kind} {one.number}: {one.seconds:.1f} s, {one.seconds / usual[one.kind]:.0f} times the demo's"
        )
    print(f"{len(slow):6} slow")


def usual_times(kinds: Sequence[str]) -> dict[str, float]:
    """Return the processor time of load and plan of each kind's demo job, s, once another job has warmed the modules.

    A job is planned once only: a second time its plan would be remembered.
    """
    return {kind: [_seconds_of(name) for name in (WARMING, DEMOS[kind])][-1] for kind in kinds}


def _seconds_of(name: str) -> float:
    """Return the processor time of load and plan of one demo job, s."""
    begin = process_time()
    for job in parts(load_from(Library(PROFILES), PROFILES / "jobs" / f"{name}.yaml")):
        kind_of(job).plan(job)
    return process_time() - begin


def main(arguments: Sequence[str]) -> int:
    """Run the program; 1 when anything crashed or hung."""
    parser = argparse.ArgumentParser(prog="python -m tests.scale.doors", description="Random jobs and their outcomes.")
    parser.add_argument("--count", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--first", type=int, default=0, metavar="NUMBER", help="number of the first job")
    parser.add_argument("--kind", choices=list(DRAWN), default="ring")
    parser.add_argument("--given", action="store_true", help="leave out jobs whose aim or height is to be found")
    parser.add_argument("--build", type=int, default=0, metavar="K", help="make and check the first K that are planned")
    parser.add_argument("--best", action="store_true", help="rings alone: leave aim and height to a search")
    parser.add_argument("--write", action="store_true", help="keep the outcomes")
    parser.add_argument("--show", type=int, metavar="NUMBER", help="print one job's file and what became of it")
    options = parser.parse_args(arguments)
    if options.show is not None:
        print(text_of(options.kind, options.seed, options.show))
        print(line_of(outcome_of(Library(PROFILES), options.kind, options.seed, options.show)))
        return 0
    usual = usual_times([options.kind])
    found = []
    some = {"first": options.first, "build": options.build, "given": options.given, "best": options.best}
    for one in outcomes(options.kind, options.seed, options.count, **some):
        found.append(one)
        if not options.write:
            print(f"{one.seconds:6.2f} {line_of(one)}", file=sys.stderr, flush=True)
    if options.write:
        kept_path(options.kind, options.seed).write_text("".join(line_of(one) + "\n" for one in found), "utf-8")
    print_table(found, usual)
    return 1 if any(one.how in ("crashed", "hung") for one in found) else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
