"""How fast `mounts list` is over 10,000 files of one's own, help, and an error, as ratios to `import cadquery`.

    python tests/bench/listing.py

Processor time of a process each, the least of five; the list is warm, so its files have been read before.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
COUNT = 10_000
PANEL = """kind: panel
name: {name}
about: a door of the yard, row {row}
measured: {{by: me, on: 2026-11-25}}
place: door
opening: {{round: 120}}
fixings: {{hole: 7.0, at: {{A: [58.0, 53.5], B: [58.5, -54.0], C: [-57.5, -53.0], D: [-58.0, 54.0]}}}}
"""


def seconds(words: tuple[str, ...], folder: Path) -> float:
    """Least processor time of five runs, s."""
    env = {**os.environ, "PYTHONPATH": str(ROOT), "XDG_CACHE_HOME": str(folder / "cache")}
    found = []
    for _ in range(5):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, *words], cwd=folder, env=env, capture_output=True, check=False)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        found.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return min(found)


def main() -> None:
    """Prints the ratios."""
    with tempfile.TemporaryDirectory() as held:
        folder = Path(held)
        panels = folder / "profiles" / "panels"
        panels.mkdir(parents=True)
        for row in range(COUNT):
            file = panels / f"yard-{row:05}.yaml"
            file.write_text(PANEL.format(name=file.stem, row=row), "utf-8")
            os.utime(file, (1_600_000_000, 1_600_000_000))
        mounts = ("-m", "mounts")
        whole = seconds(("-c", "import cadquery"), folder)
        subprocess.run(
            [sys.executable, *mounts, "list"],
            cwd=folder,
            env={**os.environ, "PYTHONPATH": str(ROOT), "XDG_CACHE_HOME": str(folder / "cache")},
            capture_output=True,
            check=False,
        )
        for what, words in (
            ("list, 10,000 own files, warm", ("list",)),
            ("list panel --json, the same", ("list", "panel", "--json")),
            ("--help", ("--help",)),
            ("a name that is not there", ("build", "nowhere")),
            ("a path that is not there", ("build", "nowhere.yaml")),
        ):
            print(f"{what:32} {seconds((*mounts, *words), folder) / whole:.3f} of import cadquery")


if __name__ == "__main__":
    main()
