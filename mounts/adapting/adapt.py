"""Adaptation of an old job to a new speaker: make both jobs, compare them, and write the new one's files."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from mounts.adapting.compare import SideChange, compare_parts
from mounts.adapting.draft import Draft, NoSleeve, Sleeve, speaker_choices
from mounts.findings.report import Report
from mounts.load.models.job import Job
from mounts.load.models.speaker_job import SpeakerJob
from mounts.load.parse.document import Document
from mounts.load.resolve.library import Library
from mounts.made import Made
from mounts.papers.hardware import bought_items, hardware
from mounts.pipeline import make, write_made
from mounts.write.files import check_folder, publish, safe_name
from mounts.write.output import Wish

Speaking = Made[SpeakerJob]


@dataclass(frozen=True, slots=True)
class Adaptation:
    """Old job and the same one with a new speaker.

    Attributes:
        draft: the new job's file.
        old, new: every side, made and checked, in the same order.
        sides: changes on each side.
        stays: parts of the old mount that can stay, in words.
        chosen: values that were chosen for the old speaker and that the new job takes over.
        sleeve: a reducing sleeve into the old part, why there is none, or None where none is asked for.
    """

    draft: Draft
    old: tuple[Speaking, ...]
    new: tuple[Speaking, ...]
    sides: tuple[SideChange, ...]
    stays: tuple[str, ...]
    chosen: tuple[str, ...]
    sleeve: Sleeve | NoSleeve | None

    @property
    def serves(self) -> bool:
        """True if every old part serves as it is."""
        return all(side.serves for side in self.sides)

    @property
    def mount(self) -> str:
        """Word for the old part, such as "mount"."""
        return self.old[0].kind.name.lower()

    @property
    def speakers(self) -> tuple[str, str]:
        """Names of the old speaker and the new one."""
        old, new = (one[0].job.speaker.name for one in (self.old, self.new))
        return old, new

    @property
    def report(self) -> Report:
        """Report of the new job."""
        return Report(self.new[0].job.name, tuple(one.report for one in self.new))

    @property
    def old_report(self) -> Report:
        """Report of the old job."""
        return Report(self.old[0].job.name, tuple(one.report for one in self.old))


def adapt_job(old: Sequence[Job], new: Sequence[Job], draft: Draft, document: Document, library: Library) -> Adaptation:
    """Make both jobs and compare them; nothing is written.

    Args:
        old: one job a side.
        new: one job a side, of the same sides.
        draft: the new job's file.
        document: what the old job's file says.
        library: library that both jobs' references are looked up in.

    Raises:
        InputError: if one of the jobs cannot be planned.
        KernelError: if a kernel fails.
    """
    before, after = _make_all(old), _make_all(new)
    sides = tuple(
        compare_parts(a, b, (bought_items(hardware(a)), bought_items(hardware(b))))
        for a, b in zip(before, after, strict=True)
    )
    serves = all(side.serves for side in sides)
    return Adaptation(
        draft=draft,
        old=before,
        new=after,
        sides=sides,
        stays=() if serves else tuple(before[0].kind.review().papers.stays(before[0].job, before[0].plan)),
        chosen=tuple(speaker_choices(document)),
        sleeve=None if serves else _sleeve(before, after, draft, document, library),
    )


def _make_all(jobs: Sequence[Job]) -> tuple[Speaking, ...]:
    """Return the jobs with a speaker, made and checked."""
    return tuple(make(job) for job in jobs if isinstance(job, SpeakerJob))


def _sleeve(
    before: Sequence[Made[SpeakerJob]],
    after: Sequence[Made[SpeakerJob]],
    draft: Draft,
    document: Document,
    library: Library,
) -> Sleeve | NoSleeve | None:
    """Return the reducing sleeve into the old part, why there is none, or None where the kind has no sleeves."""
    find = before[0].kind.review().sleeve
    if find is None:
        return None
    own = Draft(draft.file.with_name(f"{draft.name}-sleeve.yaml"), "")
    found = find(before, [one.job for one in after], own, document, library)
    if isinstance(found, Sleeve):
        own.refuse_taken()
    return found


def write_adaptation(found: Adaptation, out: Path, wish: Wish) -> dict[str, tuple[str, ...]]:
    """Write the new job's file, its parts, and the sleeve's where one serves: all of it, or none.

    Args:
        found: the adaptation.
        out: folder of the parts' folders.
        wish: which formats to write.

    Returns:
        Names of files by the folder they were written into.
    """
    sleeve = found.sleeve if isinstance(found.sleeve, Sleeve) else None
    drafts = [found.draft, *([sleeve.draft] if sleeve else [])]
    sets = [found.new, *([(sleeve.made,)] if sleeve else [])]
    for made in sets:
        check_folder(out / safe_name(made[0].job.name))
    written: dict[str, tuple[str, ...]] = {}
    files = publish(found.draft.file.parent, {one.file.name: one.text.encode() for one in drafts})
    try:
        for made in sets:
            report, folder = write_made(made, out, wish)
            written[str(folder)] = tuple(name for part in report.parts for name in part.files)
    except BaseException:
        for file in files:
            with suppress(OSError):
                file.unlink()
        raise
    return written
