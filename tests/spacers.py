"""Spacer jobs for tests: a text with a few changes, loaded as a person's file is."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import yaml

from mounts.kinds.spacer.job import SpacerJob
from mounts.load.resolve.job import load_job

PROFILES = Path(__file__).parents[1] / "profiles"
ROUND: dict[str, Any] = {
    "kind": "spacer",
    "name": "any",
    "port": {"opening": {"round": 30}, "depth": 30, "panel": 2.5},
    "device": {"body": {"round": 20}, "length": 22},
    "fit": {"panel": "slide", "device": "slide"},
    "material": "asa",
    "printer": "bed-180",  # its slicer corrects holes, its error is 0.08
}


def spacers(folder: Path, **changes: Any) -> tuple[SpacerJob, ...]:
    """The job of ROUND with some keys changed; `port__taper=2` reaches into a mapping, None takes a key out."""
    data: dict[str, Any] = {key: dict(value) if isinstance(value, dict) else value for key, value in ROUND.items()}
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
    file.write_text(yaml.safe_dump(data), "utf-8")
    return load_job(file, PROFILES)


def spacer(folder: Path, **changes: Any) -> SpacerJob:
    """The only job of it."""
    (job,) = spacers(folder, **changes)
    return job
