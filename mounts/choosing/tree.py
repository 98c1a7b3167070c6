"""JSON document on what goes in a place."""

from __future__ import annotations

import json
from collections.abc import Sequence

from mounts.choosing.choices import Choices, SpeakerChoice, TiltTrial
from mounts.choosing.screen import speaker_size
from mounts.choosing.trial import TrialPlace
from mounts.identity import ident_trees
from mounts.kinds.speaker_kind import AvailableRoom
from mounts.load.models.speaker_job import SpeakerJob

SCHEMA = 1  # of the JSON document; rises when a field changes its meaning


def fits_json(place: TrialPlace, rooms: Sequence[AvailableRoom], chosen: Choices) -> str:
    """Return the room and the speakers as one JSON document ending in a line end.

    schema: number of this format (1).
    panel, file, toward: the panel, its file, and the clock direction of the tilt in degrees; why_there: in words.
    planned_with: {material, printer, fix_to_panel, fix_speaker, base_gasket (width)}; null where nothing was planned.
    room: {tilt, height, why, body, depths: [{across, depth, limited_by}], flange, front}, mm; height is null where no
        mount can be drawn, flange where nothing limits it.
    speakers: {speaker, size, passes, not_measured, trials}; trials: [{tilt, verdict, margin, between, reading, sd,
        height, why, change}]; verdict is "no" where it cannot be drawn, and why then says why; change is what it is
        made with instead of what is usual, as a job's file says it.
    not_measured: paths of the panel's readings; left_out, broken: names of speakers that were not tried.
    """
    job = chosen.job
    tree = {
        "schema": SCHEMA,
        "panel": place.panel.name,
        "file": str(place.file),
        "toward": round(place.toward, 2),
        "why_there": place.why_there,
        "planned_with": None if job is None else _planned_with(job),
        "room": [_room_tree(room) for room in rooms],
        "speakers": [_choice_tree(choice) for choice in chosen.choices],
        "not_measured": list(chosen.unread),
        "left_out": list(chosen.left_out),
        "broken": list(chosen.broken),
    }
    return json.dumps(tree, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _planned_with(job: SpeakerJob) -> dict[str, object]:
    """Return a JSON-serialisable dict of what a job was planned with."""
    return {
        "material": job.material.name,
        "printer": job.printer.name,
        "fix_to_panel": job.to_panel.hardware.name if job.to_panel else None,
        "fix_speaker": job.fix_speaker.hardware.name if job.fix_speaker else None,
        "base_gasket": job.base_gasket.width if job.base_gasket else None,
    }


def _room_tree(room: AvailableRoom) -> dict[str, object]:
    """Return a JSON-serialisable dict of the room at a tilt."""
    return {
        "tilt": room.tilt,
        "height": _rounded(room.height),
        "why": room.why or None,
        "body": _rounded(room.body),
        "depths": [
            {"across": across, "depth": found[0] if found else None, "limited_by": found[1] if found else None}
            for across, found in room.depths
        ],
        "flange": _rounded(room.flange),
        "front": _rounded(room.front),
    }


def _choice_tree(choice: SpeakerChoice) -> dict[str, object]:
    """Return a JSON-serialisable dict of a speaker's trials."""
    return {
        "speaker": choice.speaker.name,
        "size": _rounded(speaker_size(choice.speaker)),
        "passes": choice.passes,
        "not_measured": list(choice.unread),
        "trials": [_trial_tree(trial) for trial in choice.trials],
    }


def _trial_tree(trial: TiltTrial) -> dict[str, object]:
    """Return a JSON-serialisable dict of a trial."""
    found = trial.margin
    return {
        "tilt": trial.tilt,
        "verdict": str(found.verdict) if found else "no",
        "margin": _rounded(found.margin) if found else None,
        "between": ident_trees(found.between) if found and found.between else None,
        "reading": (found.reading or None) if found else None,
        "sd": found.sd if found else None,
        "height": _rounded(found.height) if found else None,
        "why": trial.why or None,
        "change": trial.change.words if trial.change else None,
    }


def _rounded(value: float | None) -> float | None:
    """Return a figure rounded to a thousandth, without a negative zero."""
    return None if value is None else round(value, 3) + 0.0
