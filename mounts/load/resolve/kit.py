"""A kit's file into the parts that it asks for: its jobs in order, side by side, each with its number of copies."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import product
from pathlib import Path

from pydantic import ValidationError

from mounts.errors import InputError, Problem
from mounts.kinds.registry import USUAL, declaration_of
from mounts.load.models.job import Job
from mounts.load.models.kit import Every, KitFile, KitJob
from mounts.load.models.pins import PinPanel
from mounts.load.models.workshop import Printer
from mounts.load.parse.document import Document, read
from mounts.load.parse.messages import validation_problems
from mounts.load.resolve.job import job_document, load_from
from mounts.load.resolve.library import Library, find_library, model_of, name_problems

REMEMBERED = 50  # made-up jobs whose files are kept once read, so that a large library is never held whole


@dataclass(frozen=True)
class KitPart:
    """One part of a kit, and for how many mounts it is made in all vehicles together."""

    job: Job
    copies: int

    @property
    def pieces(self) -> int:
        """Number of pieces that are printed or cut: a board that is cut takes several feet."""
        return self.copies * self.job.pieces


@dataclass(frozen=True)
class Kit:
    """Kit as its file asks for it.

    Attributes:
        name, about, vehicle, date, notes: of the kit's file.
        file: the kit's file.
        vehicles: how many are to be fitted.
        printers: printers to lay the parts out on; empty for each job's own.
        gap, brim: between the parts on a bed, and round each, mm.
        parts: parts of the jobs that it names.
        every: jobs that are made up as they are needed, see `generate_jobs`.
        library: library that the jobs come from.
    """

    name: str
    about: str
    file: Path
    vehicle: str
    date: str
    notes: str
    vehicles: int
    printers: tuple[Printer, ...]
    gap: float
    brim: float
    parts: tuple[KitPart, ...]
    every: Every | None
    library: Library = field(repr=False)

    def problem(self, key: str, what: str) -> Problem:
        """Return a problem with one of the kit's own keys, at its place in the file."""
        return read(self.file).problem((key,), what)


def load_kit(path: Path, library: Path | Sequence[Path] | None = None) -> Kit:
    """Load the kit in a file with all its jobs.

    Args:
        path: the kit's file.
        library: folders of profiles that the person asked for.

    Raises:
        InputError: with every problem found in the kit and in all its jobs.
    """
    return kit_from(find_library(path, library), path)


def kit_from(held: Library, path: Path) -> Kit:
    """Load as `load_kit` does, from a given library."""
    document = read(path)
    problems = [*document.problems, *name_problems(document, path.stem)]
    try:
        file = KitFile.model_validate(document.data)
    except ValidationError as error:
        raise InputError(*problems, *validation_problems(error, KitFile, document, problems)) from error
    printers = tuple(_printers(file, document, held, problems))
    parts = tuple(_parts(file, document, held, printers, problems))
    problems += _repeated_sides(file, document)
    if problems:
        raise InputError(*dict.fromkeys(problems))
    told = {key: getattr(file, key) for key in ("name", "about", "vehicle", "date", "notes", "vehicles", "gap", "brim")}
    return Kit(file=path, printers=printers, parts=parts, every=file.every, library=held, **told)


def _printers(file: KitFile, document: Document, library: Library, problems: list[Problem]) -> Iterator[Printer]:
    listed = isinstance(document.data.get("printers"), list)
    for number, name in enumerate(file.printers):
        trail = ("printers", number) if listed else ("printers",)
        try:
            loaded = library.get("printer", name, document.file)
        except InputError as error:
            problems += [document.problem(trail, problem.what) for problem in error.problems]
            continue
        problems += loaded.problems
        if isinstance(loaded.value, Printer):
            yield loaded.value


def _parts(
    file: KitFile, document: Document, library: Library, printers: tuple[Printer, ...], problems: list[Problem]
) -> Iterator[KitPart]:
    for number, wanted in enumerate(file.jobs):
        trail = ("jobs", number)
        if isinstance(document.data["jobs"][number], dict):
            trail = (*trail, "job")  # type: ignore[assignment]
        try:
            found = library.find("job", wanted.job, document.file)
        except InputError as error:
            problems += [document.problem(trail, problem.what) for problem in error.problems]
            continue
        try:
            jobs = load_from(library, found)
        except InputError as error:
            problems += error.problems
            continue
        problems += _not_made(wanted, jobs, document, number)
        copies = wanted.quantity * file.vehicles
        ours = [job for job in jobs if not wanted.sides or job.side in wanted.sides]
        yield from (KitPart(_for_vehicle(on_printer(job, printers), file), copies) for job in ours)


def _not_made(wanted: KitJob, jobs: tuple[Job, ...], document: Document, number: int) -> Iterator[Problem]:
    """Yield the sides that a kit wants of a job that does not make them."""
    there = [job.side for job in jobs if job.side]
    for side in wanted.sides:
        if side not in there:
            what = f"{wanted.job} makes {' and '.join(there) or 'no side'}; add {side} to its sides, or leave it out"
            yield document.problem(("jobs", number, "sides"), what)


def _repeated_sides(file: KitFile, document: Document) -> Iterator[Problem]:
    """Yield a problem for each side of a job that is named twice; copies are given as a quantity."""
    first: dict[tuple[str, str], int] = {}
    for number, wanted in enumerate(file.jobs):
        for side in wanted.sides or ("left", "right"):
            if first.setdefault((wanted.job, side), number) != number:
                yield document.problem(("jobs", number), f"{wanted.job} is named before; give it a quantity there")
                break


def on_printer(job: Job, printers: tuple[Printer, ...]) -> Job:
    """Return the job on one of some printers: its own where that is among them, else the first."""
    if not printers or job.printer.name in [printer.name for printer in printers]:
        return job
    return replace(job, printer=printers[0])


def _for_vehicle(job: Job, file: KitFile) -> Job:
    """Return the job with the kit's vehicle and date in place of its own."""
    return replace(job, vehicle=file.vehicle or job.vehicle, date=file.date or job.date)


def generate_jobs(kit: Kit) -> Iterator[tuple[str, tuple[Job, ...] | InputError]]:
    """Yield the jobs of `every` one at a time, so that memory holds only one: name, and its sides or the error.

    A panel and a speaker that contradict each other give the error instead of a job.
    """
    if kit.every is None:
        return
    like = kit.every.like
    document = job_document(kit.library.find("job", like, kit.file), kit.library)
    kind = str(document.data.get("kind", USUAL))
    speakers = kit.every.speakers or kit.library.layers.own_names("speaker")
    panels = kit.every.panels or _panels(kit.library, pins=declaration_of(kind).pins)
    library = kit.library
    for number, (panel, speaker) in enumerate(product(panels, speakers)):
        if number % REMEMBERED == 0:
            library = Library(kit.library.root, kit.library.below)
        name = f"{panel}-{speaker}"
        text = f"kind: {kind}\nname: {name}\nbased_on: {like}\npanel: {panel}\nspeaker: {speaker}\n"
        try:
            jobs = load_from(library, kit.file.parent / f"{name}.yaml", text)
            yield name, tuple(on_printer(job, kit.printers) for job in jobs)
        except InputError as error:
            yield name, error


def _panels(library: Library, *, pins: bool) -> Iterator[str]:
    """Yield the names of the panels for a kind of mount."""
    for file in (library.find("panel", name) for name in library.layers.own_names("panel")):
        try:
            sort = model_of("panel", read(file).data)
        except InputError:
            continue
        if (sort is PinPanel) is pins:
            yield file.stem
