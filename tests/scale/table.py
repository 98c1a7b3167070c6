"""A table of every demo job: each part's figures, surfaces, holes, walls and verdicts, kept beside this file.

    python -m tests.scale.table --compare [JOB ...]   print in words what differs from the kept table; 1 if it does
    python -m tests.scale.table --write [JOB ...]     keep what is made now

`kept/JOB.jsonl` holds one JSON value a line. A part begins with an object: its name, volume (mm³), centroid (mm),
genus, solids, shells, faces of the exact solid by type of surface, and the readings that were not taken. Its holes
follow, [diameter, start, end, sweep], as the exact solid shows them, and its findings, [code, between, at, planned,
measured]: a verdict other than pass stands before the code; `measured` only where the mesh gives another value than
the plan. A row of the same code at the same place is the same row whatever the things are called: new names, and new
places of the same values, are printed and are no difference.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from functools import partial
from math import dist, inf
from pathlib import Path
from typing import Any

from mounts import pipeline
from mounts.kernels.readback import merge_cylinders, shape_cylinders
from mounts.kinds.kind import parts
from mounts.load.resolve.job import load_job
from mounts.made import Made
from mounts.write.report import part_tree

ROOT = Path(__file__).parents[2]
JOBS = ROOT / "profiles" / "jobs"
KEPT = Path(__file__).parent / "kept"
PPM = 1e-6  # of a part's volume, and of its size for its centroid
NEAR = 2e-4  # mm and other units: two roundings to four places
SEEN = 2e-3  # of what is measured on triangles, which may be laid otherwise
FAR = 1.0  # mm: rows of one code further apart than this are not the same row
Row = list[Any]


def rows_of(made: Made) -> list[Any]:
    """Return the lines of one part."""
    report = part_tree(made.report)
    solid = made.part.solid
    kinds = Counter(face.geomType().lower() for face in solid.Faces())
    head = {
        "part": report["side"],
        "volume": round(made.part.volume, 3),
        "centroid": [places(x, 6) for x in made.part.centroid],
        "genus": made.part.genus,
        "solids": made.part.solids,
        "shells": made.part.shells,
        "surfaces": dict(sorted(kinds.items())),
        "not_measured": sorted(report["not_measured"]),
    }
    holes = [
        [places(one.diameter, 4), *([places(x, 3) for x in end] for end in (one.start, one.end)), places(one.sweep, 1)]
        for one in merge_cylinders(shape_cylinders(solid))
        if one.hole
    ]
    return [head, *sorted(holes), *sorted(map(finding_row, report["findings"]), key=by_place)]


def finding_row(finding: dict[str, Any]) -> Row:
    """Return a finding of report.json as a row."""
    planned, measured = (None if value is None else places(value, 4) for value in map(finding.get, VALUES))
    at = " ".join(f"{places(x, 1):g}" for x in finding["at"] or ())
    verdict = "" if finding["verdict"] == "pass" else f"{finding['verdict']} "
    row = [f"{verdict}{finding['code']}", label_of(finding), at, planned]
    same = measured is None or (planned is not None and abs(measured - planned) <= SEEN)
    return row if same else [*row, measured]


VALUES = ("closed_form", "measured")


def label_of(finding: dict[str, Any]) -> str:
    """Return what a finding lies between, as people read it; "" where it names nothing."""
    return " | ".join(one["label"] for one in finding["between"] or ())


def by_place(row: Row) -> tuple[Any, ...]:
    """Return a key that sorts findings by code and place, whatever things are called."""
    return (code_of(row), point_of(row), row[3] is None, row[3] or 0.0, row[1])


def code_of(row: Row) -> str:
    """Return the code of a finding's row."""
    return str(row[0]).rsplit(" ", maxsplit=1)[-1]


def verdict_of(row: Row) -> str:
    """Return the verdict of a finding's row."""
    return str(row[0]).split(" ")[0] if " " in row[0] else "pass"


def point_of(row: Row) -> list[float]:
    """Return the place of a finding's row, mm; empty where it has none."""
    return [float(x) for x in row[2].split()]


def places(value: float, count: int) -> float:
    """Return a rounded value without a negative zero."""
    return round(float(value), count) + 0.0


def lines_of(made: Iterable[Made]) -> list[Any]:
    """Return the lines of all parts of a job."""
    return [line for one in made for line in rows_of(one)]


def kept_lines(job: str) -> list[Any]:
    """Return the kept lines of a job; none where none are kept."""
    path = KEPT / f"{job}.jsonl"
    return [json.loads(line) for line in path.read_text("utf-8").splitlines()] if path.exists() else []


def keep(job: str, lines: Sequence[Any]) -> None:
    """Write the lines of a job."""
    KEPT.mkdir(exist_ok=True)
    text = "".join(json.dumps(line, ensure_ascii=False, separators=(",", ":")) + "\n" for line in lines)
    (KEPT / f"{job}.jsonl").write_text(text, "utf-8")


def differences(kept: Sequence[Any], now: Sequence[Any]) -> list[str]:
    """Return in words what differs between two tables of a job; empty when nothing does."""
    return [text for text, counts in compared(kept, now) if counts]


def compared(kept: Sequence[Any], now: Sequence[Any]) -> Iterator[tuple[str, bool]]:
    """Yield in words what differs, and whether it counts: a new name or place of the same values does not."""
    one, other = by_part(kept), by_part(now)
    for part in [*one, *(part for part in other if part not in one)]:
        name = part or "the part"
        if part not in other or part not in one:
            yield f"{name}: {'not made any more' if part in one else 'new'}", True
            continue
        for text, counts in _of_part(one[part], other[part]):
            yield f"{name}: {text}", counts


def by_part(lines: Iterable[Any]) -> dict[str, list[Any]]:
    """Return the lines of each part by its name, its head first."""
    found: dict[str, list[Any]] = {}
    name = ""
    for line in lines:
        name = line["part"] if isinstance(line, dict) else name
        found.setdefault(name, []).append(line)
    return found


def _of_part(kept: list[Any], now: list[Any]) -> Iterator[tuple[str, bool]]:
    yield from ((text, True) for text in _of_head(kept[0], now[0]))
    holes, new = ([row for row in lines[1:] if not isinstance(row[0], str)] for lines in (kept, now))
    yield from ((text, True) for text in _of_holes(holes, new))
    old, new = ([row for row in lines[1:] if isinstance(row[0], str)] for lines in (kept, now))
    for code in dict.fromkeys(map(code_of, [*old, *new])):
        yield from _of_code(*([row for row in rows if code_of(row) == code] for rows in (old, new)))


def _of_head(kept: dict[str, Any], now: dict[str, Any]) -> Iterator[str]:
    if abs(now["volume"] - kept["volume"]) > PPM * kept["volume"] + 1e-3:
        ppm = 1e6 * (now["volume"] / kept["volume"] - 1)
        yield f"volume {kept['volume']} mm³ is now {now['volume']} ({ppm:+.1f} ppm)"
    away = dist(now["centroid"], kept["centroid"])
    if away > PPM * kept["volume"] ** (1 / 3) + 2e-6:
        yield f"centroid moved by {away:.6f} mm, from {kept['centroid']} to {now['centroid']}"
    for key in ("genus", "solids", "shells"):
        if now[key] != kept[key]:
            yield f"{key} {kept[key]} is now {now[key]}"
    for kind in sorted({*kept["surfaces"], *now["surfaces"]}):
        was, is_now = (head["surfaces"].get(kind, 0) for head in (kept, now))
        if was != is_now:
            yield f"{was} faces of type {kind} are now {is_now}"
    for path in sorted({*kept["not_measured"], *now["not_measured"]}):
        if (path in kept["not_measured"]) != (path in now["not_measured"]):
            yield f"{path} is {'now' if path in now['not_measured'] else 'no longer'} among what was not measured"


def _of_holes(kept: list[Row], now: list[Row]) -> Iterator[str]:
    left = list(now)
    for hole in kept:
        same = next((one for one in left if _same_hole(hole, one)), None)
        if same is None:
            yield f"hole {_hole(hole)} is gone"
        else:
            left.remove(same)
    yield from (f"hole {_hole(one)} is new" for one in left)


def _same_hole(one: Row, other: Row) -> bool:
    ends = dist(one[1], other[1]) <= 2e-3 and dist(one[2], other[2]) <= 2e-3
    return ends and abs(one[0] - other[0]) <= NEAR and abs(one[3] - other[3]) <= 0.2


def _hole(row: Row) -> str:
    return f"{row[0]} at {row[1]} to {row[2]}, {row[3]:g}° round"


def _of_code(kept: list[Row], now: list[Row]) -> Iterator[tuple[str, bool]]:
    """Yield what differs among the rows of one code: rows pair by name and value, then by name, then by place."""
    pairs = []
    for alike in (_is_equal, _has_name, _is_beside):
        for row in list(kept):
            near = sorted((one for one in now if alike(row, one)), key=partial(_apart, row))
            if near:
                pairs.append((row, near[0]))
                kept.remove(row)
                now.remove(near[0])
    for row, same in pairs:
        changes = list(_of_row(row, same))
        if changes:
            yield f"{_finding(row)}: {', '.join(changes)}", True
        if _apart(row, same) > FAR:
            yield f"{_finding(row)}: now at {same[2] or 'no place'}", False
        if row[1] != same[1]:
            yield f'{_finding(row)}: now called "{same[1]}"', False
    yield from ((f"{_finding(row)}: gone", True) for row in kept)
    yield from ((f"{_finding(row)}: new", True) for row in now)


def _is_equal(one: Row, other: Row) -> bool:
    return one[1] == other[1] and not list(_of_row(one, other))


def _has_name(one: Row, other: Row) -> bool:
    return bool(one[1]) and one[1] == other[1]


def _is_beside(one: Row, other: Row) -> bool:
    return _apart(one, other) <= FAR


def _apart(one: Row, other: Row) -> float:
    a, b = point_of(one), point_of(other)
    if not a or not b:
        return 0.0 if a == b else inf
    return dist(a, b)


def _of_row(kept: Row, now: Row) -> Iterator[str]:
    if verdict_of(kept) != verdict_of(now):
        yield f"{verdict_of(kept)} is now {verdict_of(now)}"
    for name, k, near in (("planned", 3, NEAR), ("measured", 4, SEEN)):
        was, is_now = (row[k] if len(row) > k else row[3] for row in (kept, now))
        if (was is None) != (is_now is None) or (was is not None and abs(was - is_now) > near + PPM * abs(was)):
            yield f"{name} {was} is now {is_now}"


def _finding(row: Row) -> str:
    values = " / ".join(str(value) for value in row[3:])
    return f"{row[0]} {values}" + (f" ({row[1]})" if row[1] else "") + (f" at {row[2]}" if row[2] else "")


def make_lines(job: str) -> list[Any]:
    """Build a demo job with all its checks and return its lines."""
    return lines_of(pipeline.make(one) for one in parts(load_job(JOBS / f"{job}.yaml")))


def main(arguments: Sequence[str]) -> int:
    """Run the program; 1 when `--compare` finds a difference that counts."""
    parser = argparse.ArgumentParser(prog="python -m tests.scale.table", description="The table of all demo jobs.")
    ways = parser.add_mutually_exclusive_group(required=True)
    ways.add_argument("--compare", action="store_true", help="print what differs from the kept table")
    ways.add_argument("--write", action="store_true", help="keep what is made now")
    parser.add_argument("jobs", nargs="*", metavar="JOB", help="names of demo jobs; all when none is given")
    options = parser.parse_args(arguments)
    counted = 0
    for job in options.jobs or sorted(path.stem for path in JOBS.glob("*.yaml")):
        now = make_lines(job)
        if options.write:
            keep(job, now)
            continue
        found = list(compared(kept_lines(job), now))
        counted += sum(counts for _, counts in found)
        print(
            f"{job}: {'; '.join(filter(None, [_count(found, True), _count(found, False)])) or 'the same'}", flush=True
        )
        for text, _ in found:
            print(f"  {text}", flush=True)
    return 1 if counted else 0


def _count(found: list[tuple[str, bool]], counts: bool) -> str:
    number = sum(one is counts for _, one in found)
    what = ("difference" if counts else "other name or place") + ("s" if number != 1 and counts else "")
    return f"{number} {what}" if number else ""


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
