"""A job's file into one `Job` a side: look up, check, and turn into that side's own hand."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

from pydantic import BaseModel, ValidationError

from mounts.errors import InputError, Problem
from mounts.load.contradictions import job_contradictions, loose_in_panel
from mounts.load.fasteners import Fasteners
from mounts.load.glyphs import ALWAYS, glyphs
from mounts.load.hands import Hand, hand
from mounts.load.library import Library, Loaded, checked, find_library, misnamed
from mounts.load.models.job import FixSpeaker, FixToPanel, RingFile
from mounts.load.models.panel import OTHER, Panel
from mounts.load.models.resolved import Aim, Glyph, Job, PanelFixing, Place, SpeakerFixing
from mounts.load.models.speaker import Speaker
from mounts.load.models.workshop import Material, Printer
from mounts.load.problems import problems_of
from mounts.load.read import Document, dotted
from mounts.load.sides import flipped, turned_back
from mounts.load.units import shown
from mounts.load.written import job_document

PARTS = ("panel", "speaker", "material", "printer")
ModelT = TypeVar("ModelT", bound=BaseModel)


def load_job(path: Path, library: Path | None = None) -> tuple[Job, ...]:
    """One job for each side that the file asks for, everything looked up and checked.

    Args:
        path: the job's file.
        library: folder of profiles; the nearest one when not given.

    Raises:
        InputError: with every problem found, each with its place.
    """
    return load_from(find_library(path, library), path)


def load_from(library: Library, path: Path) -> tuple[Job, ...]:
    """As `load_job`, with a library that was found before."""
    document = job_document(path, library)
    parts = {key: _part(key, document, library) for key in PARTS if key in document.data}
    file, problems = _validated(document, parts)
    fasteners = Fasteners(library, document)
    to_panel = fasteners.panel(_piece(FixToPanel, document.data.get("fix_to_panel")))
    to_speaker = fasteners.speaker(_piece(FixSpeaker, document.data.get("fix_speaker")))
    hands = tuple(_hands(document, parts, library))
    problems += [*fasteners.problems, *(p for h in hands for p in h.problems)]
    problems += [p for h in hands if h.panel for p in loose_in_panel(h.panel, h.document, to_panel)]
    if file is not None:
        problems += job_contradictions(file, document)
    if problems or file is None or to_panel is None:
        raise InputError(*_sorted(problems, path))
    letters = glyphs((file.name, ALWAYS)) if file.label and not library.unread else {}
    fixings = (to_panel, to_speaker)
    return tuple(_job(file, h, fixings, letters, _places(document, parts, h.document, library)) for h in hands)


def _part(key: str, document: Document, library: Library) -> Loaded:
    """What the job names, or gives in place, under one of its keys."""
    given = document.data[key]
    if isinstance(given, dict):
        here = document.under(key)
        whole = replace(here, data={"kind": key, "name": document.data.get("name", key), **given})
        return checked(key, whole, unread=library.unread)
    if not isinstance(given, str):
        what = f"{shown(given)} is given; give the name of a {key}, a file beside this one, or the {key} itself"
        return Loaded(None, None, (document.problem((key,), what),))
    try:
        return library.get(key, given, document.spot((key,))[0])
    except InputError as error:
        return Loaded(None, None, tuple(document.problem((key,), problem.what) for problem in error.problems))


def _validated(document: Document, parts: Mapping[str, Loaded]) -> tuple[RingFile | None, list[Problem]]:
    """The job's own values, and all problems of them and of the parts; a part that failed stands as its mere name."""
    problems = [*document.problems, *misnamed(document, document.file.stem)]
    problems += [problem for part in parts.values() for problem in part.problems]
    data = {**document.data, **{key: part.value or "" for key, part in parts.items()}}
    try:
        return RingFile.model_validate(data), problems
    except ValidationError as error:
        return None, problems + problems_of(error, RingFile, document, problems)


def _piece(model: type[ModelT], given: object) -> ModelT | None:
    """One value by itself, so that it can be looked up even when others are wrong."""
    try:
        return None if given is None else model.model_validate(given)
    except ValidationError:
        return None


def _hands(document: Document, parts: Mapping[str, Loaded], library: Library) -> Iterator[Hand]:
    """The panel of each side that the job asks for, where panel and sides are right."""
    part = parts.get("panel")
    if part is None or part.document is None or not isinstance(part.value, Panel):
        return
    given = document.data.get("sides", [part.value.side])
    for side in OTHER:
        if isinstance(given, list) and side in given:
            yield hand(part.value, part.document, side, library, document)


def _job(
    file: RingFile,
    on: Hand,
    fixings: tuple[PanelFixing, SpeakerFixing | None],
    letters: Mapping[str, Glyph],
    places: Mapping[str, Place],
) -> Job:
    """The job of one side; directions that were given for the panel's own side are mirrored for the other."""
    assert on.panel is not None
    assert isinstance(file.speaker, Speaker)
    assert isinstance(file.material, Material)
    assert isinstance(file.printer, Printer)
    toward = file.aim.toward or 0.0
    wire, turn, offset = file.wire, file.turn, file.seat_offset
    if on.mirrored:
        toward, offset = turned_back(toward), flipped(offset)
        wire = wire.model_copy(update={"at": turned_back(wire.at)}) if wire else None
        turn = turned_back(turn) if isinstance(turn, float) else turn
    return Job(
        name=file.name,
        about=file.about,
        file=places[""].file or Path(),
        side=on.panel.side,
        kind=file.kind,
        make=file.make,
        sheet=file.sheet,
        panel=on.panel,
        speaker=file.speaker,
        material=file.material,
        printer=file.printer,
        fix_to_panel=fixings[0],
        fix_speaker=fixings[1],
        aim=Aim(file.aim.tilt, toward),
        height=file.height,
        turn=turn,
        wire=wire,
        seat_offset=offset,
        gaskets=file.gaskets,
        collar=file.collar,
        flush=file.flush,
        label=file.label,
        limits=file.limits,
        sure=file.sure,
        vehicle=file.vehicle,
        date=file.date,
        notes=file.notes,
        glyphs=letters,
        places=places,
    )


def _places(document: Document, parts: Mapping[str, Loaded], panel: Document, library: Library) -> dict[str, Place]:
    """Where every value of the job stands, those of its parts under the part's key; for a mere list only the job."""
    if library.unread:
        return {"": Place(document.file)}
    places = {dotted(trail): Place(*spot, dotted(trail)) for trail, spot in document.values.items()}
    documents = {key: part.document for key, part in parts.items()} | {"panel": panel}
    for key, part in documents.items():
        if part is None:
            continue
        for trail, spot in part.values.items():
            if len(trail) > len(part.base) and trail[: len(part.base)] == part.base:
                places[f"{key}.{dotted(trail[len(part.base) :])}"] = Place(*spot, dotted(trail))
    return places


def _sorted(problems: Iterable[Problem], first: Path) -> list[Problem]:
    """Without repeats, the job's own file first, then each file by line."""
    unique = dict.fromkeys(problems)
    return sorted(unique, key=lambda p: (p.file != first, str(p.file or ""), p.line, p.column))
