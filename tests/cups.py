"""Cup jobs for tests: a text with a few changes, loaded as a person's file is."""

from __future__ import annotations

from copy import deepcopy
from pathlib import Path
from typing import Any

import yaml

from mounts.kinds.cup.job import CupJob
from mounts.load.resolve.job import load_job

PROFILES = Path(__file__).parents[1] / "profiles"
TWEETER: dict[str, Any] = {
    "type": "dome",
    "mass": 0.05,
    "cutout": 27.5,
    "flange": {"diameter": 34, "thickness": 2},
    "depth": 12,
    "body": [{"depth": 0, "across": 27}, {"depth": 12, "across": 27}],
    "terminals": {"at": "6:00", "reach": 8, "width": 6, "depth": [6, 12]},
    "front": {"height": 2, "travel": 0.5},
    "piston": 20,
}
SCREWED: dict[str, Any] = {
    **TWEETER,
    "flange": {"diameter": 46, "thickness": 2.5},
    "cutout": 32,
    "body": [{"depth": 0, "across": 31}, {"depth": 12, "across": 31}],
    "holes": {"bolt_circle": {"diameter": 39.5, "count": 3, "first": "12:00"}, "diameter": 3.2},
}
CUP: dict[str, Any] = {
    "kind": "cup",
    "name": "any",
    "panel": {
        "pins": {
            "A": {"at": [-30, 12], "diameter": 2.6, "height": 8},
            "B": {"at": [30, 12], "diameter": 2.6, "height": 8},
            "C": {"at": [22, -26], "diameter": 2.6, "height": 7.5},
            "D": {"at": [-22, -26], "diameter": 2.6, "height": 7.5},
        },
        "read_with": {"holes": 0.1},
        "other_side": "mirrored",
        "room": 32,
        "place": "dash",
        "grille": {"round": 40, "height": 2, "cover": "comes off"},
    },
    "speaker": TWEETER,
    "material": "pc-abs",
    "printer": "bed-250",
    "retention": "press",
    "label": False,
}
FLANGE: dict[str, Any] = {"speaker": SCREWED, "retention": "flange", "fix_speaker": "pilot-3.0"}


def cups(folder: Path, **changes: Any) -> tuple[CupJob, ...]:
    """The job of CUP with some keys changed; `panel__room=20` reaches into a mapping, None takes a key out."""
    data = deepcopy(CUP)
    for path, value in changes.items():
        *holders, key = path.split("__")
        holder = data
        for name in holders:
            holder = holder.setdefault(name, {})
        if value is None:
            holder.pop(key, None)
        else:
            holder[key] = value
    file = folder / "any.yaml"
    file.write_text(yaml.safe_dump(data, sort_keys=False), "utf-8")
    return load_job(file, PROFILES)


def cup(folder: Path, **changes: Any) -> CupJob:
    """The first of `cups`."""
    return cups(folder, **changes)[0]
