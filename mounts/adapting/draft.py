"""The new job as a file: based on the old one, with the new speaker and only what must be written besides."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from mounts.errors import InputError, Problem
from mounts.load.blank import headed, scalar
from mounts.load.folders import FOLDERS, near, nearest
from mounts.load.library import Library
from mounts.load.models.jobbase import Job
from mounts.load.models.resolved import SpeakerJob
from mounts.load.models.speaker import Speaker
from mounts.load.read import Document
from mounts.load.shipped import packaged
from mounts.write.files import safe_name

CHOSEN = (("height",), ("turn",), ("retention", "interference"), ("retention", "clamp"))  # with the old speaker in mind
CHOOSES_ITSELF = ("least", "best")


@dataclass(frozen=True, slots=True)
class Draft:
    """A job's file that is not written yet: where it will be, and what it will hold."""

    file: Path
    text: str

    @property
    def name(self) -> str:
        """Of the job."""
        return self.file.stem

    def refuse_taken(self) -> None:
        """Raises InputError where a file of that name is there."""
        if self.file.exists():
            what = "is there already; take another name with --name, or take that file away"
            raise InputError(Problem(what, file=near(self.file)))


def draft_job(old: Path, job: Job, document: Document, *, library: Library, speaker: str, name: str | None) -> Draft:
    """The new job's file, beside the old one.

    Args:
        old: the old job's file.
        job: one side of it.
        document: what it says.
        library: where the speaker is looked up.
        speaker: name of the new one, or a path to its file.
        name: of the new job; old and new speaker when not given.

    Raises:
        InputError: for a job without a speaker, and for a name that no file can have or that is taken.
    """
    if not isinstance(job, SpeakerJob):
        what = f"a {job.kind} carries no speaker; copy its job and change the device"
        raise InputError(job.problem("kind", what))
    reference = _reference(speaker, old, library)
    called = name if name is not None else safe_name(f"{old.stem}-{Path(reference).stem}")
    if safe_name(called) != called:
        raise InputError(Problem(f'"{called}" is no name for a file; take "{safe_name(called)}"'))
    found = Draft(_folder_of(old) / f"{called}.yaml", "")
    found.refuse_taken()
    about = f"{old.stem} with {Path(reference).stem}"
    lines = [
        f"kind: {job.kind}",
        f"name: {scalar(called)}",
        f"about: {scalar(about)}",
        f"based_on: {scalar(reference_to(old, library))}",
        f"speaker: {scalar(reference)}",
        *_replaced_keys(document.data, _speaker(reference, old, library)),
    ]
    return Draft(found.file, headed("\n".join(lines) + "\n", found.file.parent.parent))


def _folder_of(old: Path) -> Path:
    """Where the new job goes: beside the old one; where that ships with the program, into the person's own library."""
    if not old.resolve().is_relative_to(packaged().resolve()):
        return old.parent
    return near((nearest(Path()) or Path("profiles")) / FOLDERS["job"])


def reference_to(old: Path, library: Library) -> str:
    """How a file beside the old job refers to it: by name in the library, else as a file beside it."""
    return old.stem if library.layers.holds("job", old) else old.name


def speaker_choices(document: Document) -> Iterator[str]:
    """What the old job fixes with its own speaker in mind, as `height: 22`."""
    for trail in CHOSEN:
        value: Any = document.data
        for key in trail:
            value = value.get(key) if isinstance(value, Mapping) else None
        if value is not None and value not in CHOOSES_ITSELF:
            told = value if isinstance(value, str | int | float) else json.dumps(value, ensure_ascii=False)
            yield f"{'.'.join(trail)}: {told}"


def _reference(speaker: str, old: Path, library: Library) -> str:
    """The speaker as the new file refers to it: a path that leads into the library becomes a name."""
    path = Path(speaker)
    if path.suffix not in (".yaml", ".yml") or not path.is_file():
        return speaker
    if library.layers.holds("speaker", path):
        return path.stem
    beside = old.parent.resolve()
    return path.resolve().relative_to(beside).as_posix() if path.resolve().is_relative_to(beside) else speaker


def _speaker(reference: str, old: Path, library: Library) -> Speaker | None:
    """The new speaker, None where it does not load, which loading the new job will tell."""
    try:
        found = library.get("speaker", reference, old).value
    except InputError:
        return None
    return found if isinstance(found, Speaker) else None


def _replaced_keys(old: Mapping[str, Any], speaker: Speaker | None) -> Iterator[str]:
    """What the old job cannot keep with the new speaker, and what takes its place."""
    if speaker is None:
        return
    given = old.get("retention")
    retention = given if isinstance(given, Mapping) else {"by": given}
    by, keep = retention.get("by"), retention.get("keep", "lugs")
    if speaker.holes is None and old.get("fix_speaker") is not None:
        yield "fix_speaker: false                   # its flange has no screw holes"
    press = "press" if speaker.flange.outline().is_circle or keep == "lip" else "{by: press, keep: lip}"
    if by == "flange" and speaker.holes is None:
        yield f"retention: {press}".ljust(37) + "# its flange has no screw holes"
    elif by == "press" and press != "press" and keep == "lugs":
        yield f"retention: {press}".ljust(37) + "# lugs stand over a round flange only"
