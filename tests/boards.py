"""Board jobs for tests: a text with a few changes, loaded as a person's file is."""

from __future__ import annotations

import copy
from pathlib import Path
from typing import Any

import yaml

from mounts.kinds.board.job import BoardJob, FootJob
from mounts.load.resolve.job import load_job

PROFILES = Path(__file__).parents[1] / "profiles"
BOX: dict[str, Any] = {
    "outline": {"rectangle": [100, 60, 4]},
    "body": {"rectangle": [80, 60, 4]},
    "height": 30,
    "ears": 2,
    "mass": 0.6,
    "holes": {"at": {"A": [-45, 20], "B": [45, 20], "C": [45, -20], "D": [-45, -20]}, "diameter": 4.4},
    "plugs": [{"side": "6:00", "reach": 30, "width": 60}],
    "air": {"sides": 10, "above": 20},
    "loss_w": 5,
    "ambient": 80,
}
PRINTED: dict[str, Any] = {
    "kind": "board",
    "name": "any",
    "make": "print",
    "thickness": 8,
    "outline": {"rectangle": [170, 150, 10]},
    "devices": {"box": {"device": BOX, "at": [0, 0]}},
    "fix_devices": "insert-m4-short",
    "feet": {"across": 40, "height": 12},
    "material": "asa",
    "printer": "bed-180",  # its slicer corrects holes
    "room": 100,
    "place": "floor",
}
CUT: dict[str, Any] = {
    **PRINTED,
    "make": "cut",
    "thickness": 12,
    "material": "birch-ply",
    "fix_devices": "pilot-4.0",
    "feet": {"across": 40, "height": 15, "material": "asa"},
    "fix_feet": {"hardware": "insert-m5", "screw": "iso-10642-m5"},
}


def boards(folder: Path, base: dict[str, Any] = PRINTED, **changes: Any) -> tuple[Any, ...]:
    """The job of a base with some keys changed; `feet__at=…` reaches into a mapping, None takes a key out."""
    data = copy.deepcopy(base)
    for path, value in changes.items():
        *outer, last = path.split("__")
        holder = data
        for key in outer:
            holder = holder.setdefault(key, {})
        if value is None:
            holder.pop(last, None)
        else:
            holder[last] = value
    file = folder / "any.yaml"
    file.write_text(yaml.safe_dump(copy.deepcopy(data), sort_keys=False), "utf-8")
    return load_job(file, PROFILES)


def board(folder: Path, base: dict[str, Any] = PRINTED, **changes: Any) -> BoardJob:
    """The board itself."""
    found = boards(folder, base, **changes)[0]
    assert isinstance(found, BoardJob)
    return found


def foot(folder: Path, **changes: Any) -> FootJob:
    """The foot under a board that is cut."""
    found = boards(folder, CUT, **changes)[1]
    assert isinstance(found, FootJob)
    return found
