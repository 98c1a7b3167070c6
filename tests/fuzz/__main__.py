"""Hostile files read one after the other, each in a process of its own: `python -m tests.fuzz --count N [--seed S]`.

Each must be read, or refused with one message; none may take more than 20 s of processor time or 1 GB. What fails is
named with its seed, and the end is 1. Prints how many ended how, the slowest and the largest.
"""

from __future__ import annotations

import argparse
import os
import resource
import sys
import tempfile
from collections import Counter
from pathlib import Path

from mounts.errors import InputError
from mounts.lengths import Units
from mounts.load.formats.dxf import read_outline
from mounts.load.formats.mesh import read_mesh
from mounts.load.models.outline import Trace
from mounts.load.resolve.trace import read_trace
from tests.fuzz.corpus import made

SECONDS, KILOBYTES = 20.0, 1_000_000
READ, REFUSED, CRASHED, SILENT = 0, 10, 11, 12


def read(file: Path) -> int:
    """Read a file; how it ended."""
    try:
        if file.suffix != ".dxf":
            read_mesh(file)
        else:
            read_trace(file, Trace(file=file.name), Units.MM)
            read_outline(file)
    except InputError as error:
        return REFUSED if error.problems and all(one.what.isprintable() for one in error.problems) else SILENT
    return READ


def ended(file: Path) -> tuple[str, float, int]:
    """Read a file in a process of its own; how that ended, its processor time in s and its memory in kB."""
    child = os.fork()
    if child == 0:
        code = CRASHED
        try:
            resource.setrlimit(resource.RLIMIT_CPU, (int(3 * SECONDS),) * 2)
            code = read(file)
        except BaseException as error:
            print(f"{type(error).__name__}: {error}"[:300], file=sys.stderr)
        os._exit(code)
    _, status, used = os.wait4(child, 0)
    seconds, kilobytes = used.ru_utime + used.ru_stime, used.ru_maxrss
    words = {READ: "read", REFUSED: "refused", SILENT: "refused without a plain message"}
    how = words.get(os.waitstatus_to_exitcode(status), "crashed")
    if seconds > SECONDS or kilobytes > KILOBYTES:
        how = "slow" if seconds > SECONDS else "large"
    return how, seconds, kilobytes


def main() -> int:
    """Read as many files as are asked for; 1 where one of them failed."""
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz")
    parser.add_argument("--count", type=int, default=300)
    parser.add_argument("--seed", type=int, default=0)
    asked = parser.parse_args()
    ways: Counter[str] = Counter()
    worst: dict[str, tuple[float, int]] = {}
    with tempfile.TemporaryDirectory() as folder:
        for seed in range(asked.seed, asked.seed + asked.count):
            ending, content = made(seed)
            file = Path(folder) / f"part{ending}"
            file.write_bytes(content)
            how, seconds, kilobytes = ended(file)
            ways[how] += 1
            worst["slowest, s"] = max(worst.get("slowest, s", (0.0, 0)), (round(seconds, 2), seed))
            worst["largest, MB"] = max(worst.get("largest, MB", (0.0, 0)), (round(kilobytes / 1000), seed))
            if how not in ("read", "refused"):
                print(f"seed {seed}, {len(content)} bytes{ending}: {how}, {seconds:.1f} s, {kilobytes / 1000:.0f} MB")
            file.unlink()
    print(", ".join(f"{count} {how}" for how, count in ways.most_common()))
    print(", ".join(f"{what} {value:g} (seed {seed})" for what, (value, seed) in worst.items()))
    return 0 if set(ways) <= {"read", "refused"} else 1


if __name__ == "__main__":
    sys.exit(main())
