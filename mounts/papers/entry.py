"""Content of the papers on one part, as plain values that outlive its plan and its solid."""

from __future__ import annotations

from dataclasses import dataclass, field

from mounts.design.drawing import Drawing
from mounts.design.listening import Path
from mounts.findings.report import PartReport, Verdict
from mounts.lengths import Units
from mounts.papers.values import ListItem, PaperSheet, Record, Steps


@dataclass(frozen=True, slots=True)
class Chapter:
    """One part by itself, told when it is made.

    Attributes:
        job, part: names of its job and of its side or half.
        file, digest: name of the job's file, and the first digits of its SHA-256.
        about, vehicle, date, notes: as the job says.
        what: it is, in words.
        material, size, takes: what it is made of, how large it is, and what making it takes, in words.
        pieces: number of pieces for one mount.
        hardware: hardware that is bought for it.
        torque: torque of its screws, in words.
        tools: tools for it.
        steps: the work, in order.
        sheets: its own, drawings and checks.
        paths: paths from its seat to each listener.
        losses: rows of what each listener loses off its axis.
        unheard: whether it has a speaker but nobody's ears were measured.
        record: data for the return sheet.
        template: drawing at 1:1.
        units: in which its lengths are written.
    """

    job: str
    part: str
    file: str
    digest: str
    about: str
    vehicle: str
    date: str
    notes: str
    what: str
    material: str
    size: str
    takes: str
    pieces: int
    hardware: tuple[ListItem, ...]
    torque: tuple[str, ...]
    tools: tuple[str, ...]
    steps: tuple[Steps, ...]
    sheets: tuple[PaperSheet, ...]
    paths: tuple[Path, ...]
    losses: tuple[tuple[str, ...], ...]
    unheard: bool
    record: Record
    template: Drawing
    units: Units

    @property
    def called(self) -> str:
        """Side and job, as the head of a sheet says it: the side first, since a long name is cut."""
        return part_title(self.part, self.job)

    @property
    def name(self) -> str:
        """Job and side, as a table says it."""
        return " ".join(filter(None, (self.job, self.part)))


@dataclass(frozen=True, slots=True)
class BookletEntry:
    """One part in a booklet.

    Attributes:
        chapter: what the papers say of it.
        report: what was checked.
        picture: PNG; None where there is none.
        file: name of its file for the slicer or the saw.
        copies: number of its mounts, for all vehicles together.
    """

    chapter: Chapter
    report: PartReport
    picture: bytes | None = field(default=None, repr=False)
    file: str = ""
    copies: int = 1

    @property
    def fails(self) -> bool:
        """True if a limit is broken."""
        return self.report.verdict is Verdict.FAIL


def part_title(part: str, job: str) -> str:
    """Return a part's title: side and job, as `Chapter.called`."""
    return " · ".join(filter(None, (part.upper(), job)))
