"""A job's file into one job a side: look up, check, and turn into that side's own hand."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import get_args

from pydantic import ValidationError

from mounts.errors import InputError, Problem
from mounts.kinds.declared import Declared
from mounts.kinds.known import declared
from mounts.load.asked import Asked
from mounts.load.drawn import changed
from mounts.load.library import Library, Loaded, checked, find_library, misnamed
from mounts.load.models.job import JobFile
from mounts.load.models.jobbase import Job
from mounts.load.models.panel import Panel
from mounts.load.models.pins import PinPanel
from mounts.load.models.workshop import Material
from mounts.load.problems import problems_of
from mounts.load.read import Document, Trail, dotted
from mounts.load.units import shown
from mounts.load.written import job_document


def load_job(path: Path, library: Path | Sequence[Path] | None = None) -> tuple[Job, ...]:
    """One job for each side that the file asks for, everything looked up and checked.

    Args:
        path: the job's file.
        library: folders of profiles that the person asked for.

    Raises:
        InputError: with every problem found, each with its place.
    """
    return load_from(find_library(path, library), path)


def load_from(library: Library, path: Path, text: str | None = None) -> tuple[Job, ...]:
    """As `load_job`, with a library that was found before; `text` is what a file that is not there yet will hold."""
    document = job_document(path, library, text)
    word = document.data.get("kind")
    word = word if isinstance(word, str) else "ring"
    kind = declared(word)
    named = [(trail, of) for key, of in kind.parts.items() for trail in _trails(document.data, key.split("."))]
    held = {trail: _part(trail, of, document, library) for trail, of in named}
    file, problems = _validated(document, held, kind.file)
    parts = {dotted(trail): part for trail, part in held.items()}
    problems += _wrong_panel(document, parts, kind, word)
    problems += _wrong_materials(document, parts, kind.file, library)
    return kind.resolve(Asked(document, parts, file, tuple(problems), library, path))


def _trails(data: object, keys: Sequence[str], trail: Trail = ()) -> Iterator[Trail]:
    """Every place in a job at which keys lead to a value."""
    if not keys:
        yield trail
    elif isinstance(data, dict):
        for key in data if keys[0] == "*" else [key for key in data if key == keys[0]]:
            yield from _trails(data[key], keys[1:], (*trail, key))


def _part(trail: Trail, kind: str, document: Document, library: Library) -> Loaded:
    """What the job names, or gives in place, at one of its places."""
    here = document.under(*trail)
    given = here.data
    if isinstance(given, dict):
        whole = replace(here, data={"kind": kind, "name": document.data.get("name", trail[-1]), **given})
        return checked(kind, whole, unread=library.unread)
    if not isinstance(given, str):
        what = f"{shown(given)} is given; give the name of a {kind}, a file beside this one, or the {kind} itself"
        return Loaded(None, None, (document.problem(trail, what),))
    try:
        return library.get(kind, given, document.spot(trail)[0])
    except InputError as error:
        return Loaded(None, None, tuple(document.problem(trail, problem.what) for problem in error.problems))


def _validated(
    document: Document, parts: Mapping[Trail, Loaded], model: type[JobFile]
) -> tuple[JobFile | None, list[Problem]]:
    """The job's own values, and all problems of them and of the parts; a part that failed stands as its mere name."""
    problems = [*document.problems, *misnamed(document, document.file.stem)]
    problems += [problem for part in parts.values() for problem in part.problems]
    data = document.data
    for trail, part in parts.items():
        data = changed(data, trail, part.value or "")
    try:
        return model.model_validate(data), problems
    except ValidationError as error:
        return None, problems + problems_of(error, model, document, problems)


def _wrong_materials(
    document: Document, parts: Mapping[str, Loaded], model: type[JobFile], library: Library
) -> Iterator[Problem]:
    """A sheet to be printed, or a filament to be cut; the feet of a board are always printed."""
    make = document.data.get("make", model.model_fields["make"].default)
    for key, made in (("material", make), ("feet.material", "print")):
        material = parts[key].value if key in parts else None
        if not isinstance(material, Material) or made not in ("print", "cut") or not (why := material.unfit(made)):
            continue
        others = (library.get("material", name, document.file).value for name in library.names("material"))
        names = ", ".join(one.name for one in others if isinstance(one, Material) and not one.unfit(made))
        instead = {"print": ", or make: cut", "cut": ", or make: print"}[made]
        either = "cut" in get_args(model.model_fields["make"].annotation) and key == "material"
        yield document.problem(
            tuple(key.split(".")), f"{why}; choose another: {names or 'none in the library'}{instead * either}"
        )


def _wrong_panel(document: Document, parts: Mapping[str, Loaded], kind: Declared, word: str) -> list[Problem]:
    """A panel with pins under a ring, or one without under a cup."""
    panel = parts["panel"].value if "panel" in parts else None
    if not isinstance(panel, Panel | PinPanel) or isinstance(panel, PinPanel) is kind.pins:
        return []
    has, needs = ("an opening and no pins", "pins") if kind.pins else ("pins and no opening", "an opening")
    other = "ring" if kind.pins else "cup"
    what = f"{panel.name} has {has}; a {word} needs {needs}: choose another panel, or kind: {other}"
    return [document.problem(("panel",), what)]
