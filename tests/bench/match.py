"""How a look through a library grows with it, against importing the CAD package: `tests/bench/match.py [rounds]`.

Libraries of invented panels are made in a temporary folder, with a cache of their own: nearly rectangles, triangles,
and rings of 3 to 8 holes, a third of them other measurements of one of the same. Told for each size:

- query: what `mounts match` does before it loads a job or draws a sample: the state of every file asked of the disk,
  the index loaded and checked, candidates found, patterns laid on each other; in a warm Python, median of the rounds;
- index: of that, the state of the files and the index;
- whole: `mounts match NAME --json` as a fresh process, with the chance of fit of what it found;
- anew, one file: the same query when one panel was changed.
"""

from __future__ import annotations

import os
import random
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Mapping
from functools import partial
from math import cos, pi, sin
from pathlib import Path

ROOT = Path(__file__).parents[2]
SIZES = (100, 1000, 10_000, 30_000)
GOAL = 30  # at 10,000
AGO = 3600  # s: files are an hour old, as those of a library are; a file of this second is read again


def main(rounds: int) -> None:
    """Makes the libraries, one after the other, and prints a line for each."""
    print("times as fast as import cadquery, both in turn in this run; the goal is 30 for the query with 10,000 panels")
    for count in SIZES:
        with tempfile.TemporaryDirectory() as folder:
            os.environ["XDG_CACHE_HOME"] = f"{folder}/cache"
            library = Path(folder) / "profiles"
            make(library, count)
            line(library, count, rounds)


def line(library: Path, count: int, rounds: int) -> None:
    """What one library takes."""
    from mounts.matching.index import panels_of
    from mounts.matching.match import SearchOptions, search_panels

    begun = time.perf_counter()
    panels_of(library, nobody)
    first = time.perf_counter() - begun
    query = partial(search_panels, library, "panel-00000", SearchOptions(), nobody)
    words = ("-m", "mounts", "match", "panel-00000", "--json", "--library", str(library))
    works = {
        "cad": partial(fresh, "-c", "import cadquery"),
        "index": partial(panels_of, library, nobody),
        "query": query,
        "whole": partial(fresh, *words),
    }
    took = medians(works, rounds)
    changed = library / "panels" / "panel-00001.yaml"
    changed.write_text(changed.read_text("utf-8") + "# changed\n", "utf-8")
    begun = time.perf_counter()
    found = len(query().matches)
    took["anew"] = time.perf_counter() - begun
    told = "   ".join(f"{name} {took['cad'] / took[name]:7.1f}" for name in ("query", "index", "whole", "anew"))
    print(f"{count:6} panels   {told}   first {first / took['cad']:5.1f} imports long   {found} found", flush=True)


def nobody(done: int, count: int) -> None:
    """Told how far reading is, and says nothing."""


def make(library: Path, count: int) -> None:
    """So many panels, the same ones in every run."""
    chance = random.Random(7)
    (library / "panels").mkdir(parents=True)
    before = time.time() - AGO
    for number in range(count):
        if number % 3 == 0:
            points = pattern(chance)
        file = library / "panels" / f"panel-{number:05}.yaml"
        file.write_text(panel(file.stem, moved(points, chance, number % 3 != 0), chance), "utf-8")
        os.utime(file, (before, before))


def pattern(chance: random.Random) -> list[tuple[float, float]]:
    """Holes round an opening of 120 at most: mostly nearly a rectangle, else nearly a ring."""
    kind = chance.random()
    if kind < 0.6:
        w, h = chance.uniform(90, 170) / 2, chance.uniform(90, 170) / 2
        return [
            (x * w + chance.gauss(0, 2), y * h + chance.gauss(0, 2)) for x, y in ((1, 1), (1, -1), (-1, -1), (-1, 1))
        ]
    count = chance.choice((2, 3, 3, 5, 6, 8))
    radius = chance.uniform(70, 110)
    turns = [2 * pi * k / count + chance.gauss(0, 0.06) for k in range(count)]
    return [(radius * sin(t), radius * cos(t)) for t in turns]


def moved(points: list[tuple[float, float]], chance: random.Random, turned: bool) -> list[tuple[float, float]]:
    """The same holes as another reads them on another vehicle, in another order, perhaps mirrored."""
    found = [(x + chance.gauss(0, 0.2), y + chance.gauss(0, 0.2)) for x, y in points]
    if turned and chance.random() < 0.5:
        found = [(-x, y) for x, y in found]
    chance.shuffle(found)
    return found


def panel(name: str, points: list[tuple[float, float]], chance: random.Random) -> str:
    """A panel's file."""
    at = ", ".join(f"{chr(65 + k)}: [{x:.1f}, {y:.1f}]" for k, (x, y) in enumerate(points))
    least = 2 * min((x * x + y * y) ** 0.5 for x, y in points) - 20
    depth = chance.uniform(45, 75)
    return (
        f"kind: panel\nname: {name}\nabout: invented\nmeasured: {{by: bench, on: 2026-11-20}}\n"
        f"read_with: {{holes: {chance.choice(['caliper', 'caliper', 'rubbing'])}}}\nplace: door\nother_side: mirrored\n"
        f"opening: {{round: {min(least, 140):.1f}}}\nfixings: {{hole: 7.0, at: {{{at}}}}}\n"
        f"behind: {{glass: {depth:.0f}}}\nin_front: {{trim: {{at_clock: 44, opening: {{round: 128}}}}}}\n"
    )


def medians(works: Mapping[str, Callable[[], object]], rounds: int) -> dict[str, float]:
    """Seconds that each takes, all of them in turn, after one round that does not count."""
    times: dict[str, list[float]] = {name: [] for name in works}
    for number in range(rounds + 1):
        for name, work in works.items():
            begun = time.perf_counter()
            work()
            if number:
                times[name].append(time.perf_counter() - begun)
    return {name: statistics.median(taken) for name, taken in times.items()}


def fresh(*words: str) -> None:
    """A fresh Python that runs something to its end."""
    setting = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    setting["PYTHONPATH"] = str(ROOT)
    subprocess.run([sys.executable, *words], cwd=ROOT, env=setting, capture_output=True, check=True)


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
