"""Draft of the new job's file: based on the old one, with the new speaker and only the keys that must change.

A reducing sleeve that fits a smaller speaker into an old part, or why there is none, as a kind returns it.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from mounts.errors import InputError, Problem
from mounts.load.catalogue.folders import FOLDERS, nearest_profiles, shipped_library, short_path
from mounts.load.editing.template import format_scalar, set_schema_line
from mounts.load.models.job import Job
from mounts.load.models.speaker import Speaker
from mounts.load.models.speaker_job import SpeakerJob
from mounts.load.parse.document import Document
from mounts.load.resolve.library import Library
from mounts.made import Made
from mounts.write.files import safe_name

CHOSEN = (("height",), ("turn",), ("retention", "interference"), ("retention", "clamp"))  # with the old speaker in mind
CHOOSES_ITSELF = ("least", "best")


@dataclass(frozen=True, slots=True)
class Sleeve:
    """Reducing sleeve that serves.

    Attributes:
        draft: its job's file.
        made: the part.
        count: how many, one for each side.
    """

    draft: Draft
    made: Made
    count: int


@dataclass(frozen=True, slots=True)
class NoSleeve:
    """Reason why no sleeve serves.

    Attributes:
        why: in words.
        short: mm by which its wall is too thin; None where something else is in the way.
    """

    why: str
    short: float | None = None


@dataclass(frozen=True, slots=True)
class Draft:
    """File of a job that is not written yet: its path and its text."""

    file: Path
    text: str

    @property
    def name(self) -> str:
        """Name of the job."""
        return self.file.stem

    def refuse_taken(self) -> None:
        """Check that no file of that name exists.

        Raises:
            InputError: if one does.
        """
        if self.file.exists():
            what = "is there already; take another name with --name, or take that file away"
            raise InputError(Problem(what, file=short_path(self.file)))


def draft_job(old: Path, job: Job, document: Document, *, library: Library, speaker: str, name: str | None) -> Draft:
    """Return the new job's file, beside the old one.

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
        f"name: {format_scalar(called)}",
        f"about: {format_scalar(about)}",
        f"based_on: {format_scalar(reference_to(old, library))}",
        f"speaker: {format_scalar(reference)}",
        *_replaced_keys(document.data, _speaker(reference, old, library)),
    ]
    return Draft(found.file, set_schema_line("\n".join(lines) + "\n", found.file.parent.parent))


def _folder_of(old: Path) -> Path:
    """Return the folder of the new job: the old one's; if that ships with the program, the person's own library."""
    if not old.resolve().is_relative_to(shipped_library().resolve()):
        return old.parent
    return short_path((nearest_profiles(Path()) or Path("profiles")) / FOLDERS["job"])


def reference_to(old: Path, library: Library) -> str:
    """Return how a file beside the old job refers to it: by name in the library, else as a file beside it."""
    return old.stem if library.layers.holds("job", old) else old.name


def speaker_choices(document: Document) -> Iterator[str]:
    """Yield the values in the old job that were chosen for its own speaker, as `height: 22`."""
    for trail in CHOSEN:
        value: object = document.data
        for key in trail:
            value = value.get(key) if isinstance(value, Mapping) else None
        if value is not None and value not in CHOOSES_ITSELF:
            text = value if isinstance(value, str | int | float) else json.dumps(value, ensure_ascii=False)
            yield f"{'.'.join(trail)}: {text}"


def _reference(speaker: str, old: Path, library: Library) -> str:
    """Return the reference to the speaker in the new file: a path that leads into the library becomes a name."""
    path = Path(speaker)
    if path.suffix not in (".yaml", ".yml") or not path.is_file():
        return speaker
    if library.layers.holds("speaker", path):
        return path.stem
    beside = old.parent.resolve()
    return path.resolve().relative_to(beside).as_posix() if path.resolve().is_relative_to(beside) else speaker


def _speaker(reference: str, old: Path, library: Library) -> Speaker | None:
    """Return the new speaker; None where it does not load, which loading the new job reports."""
    try:
        found = library.get("speaker", reference, old).value
    except InputError:
        return None
    return found if isinstance(found, Speaker) else None


def _replaced_keys(old: Mapping[str, object], speaker: Speaker | None) -> Iterator[str]:
    """Yield lines that replace what the old job cannot keep with the new speaker."""
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
