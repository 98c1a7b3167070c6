"""Start of a job: the plainest mount of a speaker on a panel that keeps everything, as a file with its reasons."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from os.path import relpath
from pathlib import Path
from textwrap import wrap

from mounts.choosing.trial import TrialPlace, Workshop, error_text, job_keys
from mounts.errors import InputError
from mounts.findings.report import Verdict
from mounts.kinds.kind import TRIED, kind_of
from mounts.load.editing.template import COLUMN, WIDE, format_scalar
from mounts.load.models.job import Job
from mounts.load.models.pins import PinPanel
from mounts.load.models.speaker import Speaker
from mounts.load.resolve.job import load_from
from mounts.load.resolve.library import Library

ROUNDS = 4  # changes one after the other: of one side, then of the other
ASKED = "as asked"
WHY = {
    "printer": "with the largest bed",
    "fix_to_panel": "screw and washer come with it: mounts list hardware",
    "fix_speaker": "for the speaker's own holes",
    "retention": "how the tweeter is held",
    "height": "as low as it can be",
}


@dataclass(frozen=True, slots=True)
class StartedJob:
    """A job that was chosen.

    Attributes:
        text: of its file, a comment beside each choice.
        changes: what was taken instead of the usual, and why, in words.
    """

    text: str
    changes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StartRequest:
    """Wishes for a job that is not chosen yet.

    Attributes:
        place: the panel.
        speaker: name of a speaker in the library, or a path to its file.
        workshop: what a mount is made of and held with.
        file: where the job is to lie, called as the job.
        tilt: degrees; None for a ring as near to the ears as there is room where these were measured, else level.
        both: for both sides of the vehicle.
    """

    place: TrialPlace
    speaker: str
    workshop: Workshop
    file: Path
    tilt: float | None = None
    both: bool = False


def start_job(library: Library, asked: StartRequest) -> StartedJob:
    """Return the job of the plainest mount that keeps everything, else of what comes nearest to it.

    Raises:
        InputError: where something does not load; everything that is named is looked up in the library.
    """
    lines, why = _usual(library, asked)
    changes: list[str] = []
    for _ in range(ROUNDS):
        jobs = load_from(library, asked.file, _write(lines, why))
        found = next(((job, change) for job in jobs if (change := kind_of(job).review().change(job, TRIED))), None)
        if found is None:
            break
        job, change = found
        reason, made = _missed(job), dict(change.lines)
        if "tilt" in made:
            made["aim"] = f"{{tilt: {made.pop('tilt')}, toward: {asked.place.toward:.0f}}}"
        lines |= made
        why |= dict.fromkeys(made, f"instead of what is usual: {reason}")
        changes.append(f"{change.words} (else {reason})")
    return StartedJob(_write(lines, why), tuple(changes))


def _usual(library: Library, asked: StartRequest) -> tuple[dict[str, str], dict[str, str]]:
    """Return the usual lines of a job by their keys, and why each is so."""
    place, tilt = asked.place, asked.tilt
    files = {"panel": place.file, "speaker": library.find("speaker", asked.speaker)}
    speaker = library.get("speaker", asked.speaker).value
    pins = isinstance(place.panel, PinPanel)
    held = "flange" if pins and isinstance(speaker, Speaker) and speaker.holes else "press"
    keys = job_keys(library, place, asked.speaker, asked.workshop, held)
    keys |= {kind: _reference(library, kind, file, asked.file) for kind, file in files.items()}
    lines = {"kind": str(keys.pop("kind")), "name": format_scalar(asked.file.stem)}
    lines |= {key: value if isinstance(value, str) else json.dumps(value) for key, value in keys.items()}
    lines |= {"sides": "[left, right]"} if asked.both else {}
    given = {
        "material": asked.workshop.material,
        "printer": asked.workshop.printer,
        "fix_to_panel": asked.workshop.to_panel,
        "fix_speaker": asked.workshop.to_speaker,
    }
    why = {**WHY, "material": f"for a {place.panel.place or 'door'}"}
    why |= {key: ASKED for key, value in given.items() if value}
    if pins:  # a cup stands as near to its grille as it can
        low, seen = dict[str, str](), False
    else:
        low, seen = {"height": "least"}, place.panel.ears is not None or place.panel.seats is not None
    if tilt is None and seen:
        why |= {"aim": "as near to the ears as there is room", "height": "as that takes it"}
        return lines | {"aim": "best", "height": "best"}, why
    if tilt:
        aim = f"{{tilt: {tilt:g}, toward: {place.toward:.0f}}}"
        return lines | {"aim": aim, **low}, {**why, "aim": f"{ASKED}, towards {place.why_there}"}
    level = ASKED if tilt is not None else "level; give it a tilt towards the ears: mounts help aim"
    return lines | {"aim": "{tilt: 0}", **low}, {**why, "aim": level}


def _reference(library: Library, kind: str, path: Path, file: Path) -> str:
    """Return how a job's file refers to another one: by its name in the library, else by its path from there."""
    return path.stem if library.layers.holds(kind, path) else relpath(path.resolve(), file.parent.resolve())


def _missed(job: Job) -> str:
    """Return what stands in the way of a job as it is, in words."""
    kind = kind_of(job)
    try:
        plan = kind.plan(job)
    except InputError as error:
        return error_text(error).partition(";")[0]
    found = kind.review().planned(job, plan)
    return next(
        (one.what for verdict in (Verdict.FAIL, Verdict.WARN) for one in found if one.verdict is verdict),
        "less is kept",
    )


def _write(lines: Mapping[str, str], why: Mapping[str, str]) -> str:
    """Return the file: a line a key, its comment in a column of its own."""
    return "".join(
        f"{line}\n" for key, value in lines.items() for line in _with_reason(f"{key}: {value}", why.get(key))
    )


def _with_reason(line: str, why: str | None) -> Iterator[str]:
    if not why:
        yield line
        return
    first, *more = wrap(why, WIDE - COLUMN - 2)
    yield f"{line.ljust(COLUMN)}# {first}" if len(line) < COLUMN else f"{line}  # {first}"
    yield from (f"{' ' * COLUMN}# {text}" for text in more)
