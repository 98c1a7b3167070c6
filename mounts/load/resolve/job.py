"""A job's file into one job a side: look up, check, and turn into that side's own hand.

A job as it is written: its file laid over the job that it is based on.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from difflib import get_close_matches
from pathlib import Path
from typing import Any, get_args

from pydantic import ValidationError

from mounts.errors import InputError, Problem
from mounts.kinds.registry import KIND_MODULES, USUAL, Declaration, declaration_of, kind_on
from mounts.load.catalogue.folders import FOLDERS, short_path
from mounts.load.models.job import Job
from mounts.load.models.job_file import JobFile
from mounts.load.models.panel import Panel
from mounts.load.models.pins import PinPanel
from mounts.load.models.workshop import Material
from mounts.load.parse.document import Document, Trail, format_trail, parse, read
from mounts.load.parse.messages import join_options, validation_problems
from mounts.load.parse.units import quote_value
from mounts.load.resolve.drawings import replace_at
from mounts.load.resolve.library import Library, Loaded, find_library, name_problems, validate_profile
from mounts.load.resolve.request import JobRequest


def job_document(path: Path, library: Library, text: str | None = None) -> Document:
    """Return the job in a file, merged over the jobs that it is based on.

    Mappings merge; lists and plain values replace. Every value keeps the place in the file that it came from.

    Args:
        path: the job's file.
        library: where the jobs that it is based on are looked up.
        text: what the file will hold, when it is not written yet.

    Raises:
        InputError: if a file cannot be read, the chain runs in a circle, or this is not a job of a known kind.
    """
    document = _with_bases(read(path) if text is None else parse(text, path), path, library, ())
    _refuse_other_kinds(document)
    return document


def _with_bases(document: Document, path: Path, library: Library, below: tuple[Path, ...]) -> Document:
    reference = document.data.get("based_on")
    if not isinstance(reference, str):
        return document
    try:
        base = library.find("job", reference, path)
    except InputError as error:
        problems = [document.problem(("based_on",), problem.what) for problem in error.problems]
        raise InputError(*document.problems, *problems) from error
    chain = (*below, path)
    if base.resolve() in [file.resolve() for file in chain]:
        names = " → ".join(_name_in_chain(file, chain) for file in (*chain, base))
        raise InputError(document.problem(("based_on",), f"based_on runs in a circle: {names}"))
    return _merge_documents(_with_bases(read(base), base, library, chain), document)


def _name_in_chain(file: Path, chain: Sequence[Path]) -> str:
    """Return a job of a chain by its name, as a path where the chain crosses folders."""
    return file.stem if len({one.parent.resolve() for one in chain}) == 1 else str(short_path(file))


def _merge_documents(base: Document, over: Document) -> Document:
    """Merge `over` over `base`; name and `based_on` are always those of `over`."""
    below = {key: value for key, value in base.data.items() if key not in ("name", "based_on")}
    replaced: set[Trail] = {("name",), ("based_on",)}
    data = _merge(below, over.data, (), replaced)
    keys, values = (
        {t: s for t, s in spots.items() if not _is_hidden(t, replaced)} for spots in (base.keys, base.values)
    )
    problems = (*base.problems, *over.problems)
    return replace(over, data=data, keys={**keys, **over.keys}, values={**values, **over.values}, problems=problems)


def _merge(base: Any, over: Any, trail: Trail, replaced: set[Trail]) -> Any:
    if not isinstance(base, dict) or not isinstance(over, dict):
        replaced.add(trail)
        return over
    merged = dict(base)
    for key, value in over.items():
        merged[key] = _merge(base[key], value, (*trail, key), replaced) if key in base else value
    return merged


def _is_hidden(trail: Trail, replaced: set[Trail]) -> bool:
    return any(trail[:length] in replaced for length in range(1, len(trail) + 1))


def _refuse_other_kinds(document: Document) -> None:
    kind = document.data.get("kind")
    if not isinstance(kind, str) or kind in KIND_MODULES:
        return
    kinds = join_options(list(KIND_MODULES))
    near = get_close_matches(kind, KIND_MODULES, 1, 0.6)
    hint = f'; did you mean "{near[0]}"?' if near else ""
    what = f"{quote_value(kind)} is not known here; give {kinds}{hint}"
    if kind in FOLDERS:
        what = f"{document.data.get('name', document.file.stem)} is a {kind}; give a job, whose kind is {kinds}"
    raise InputError(document.problem(("kind",), what))


def load_job(path: Path, library: Path | Sequence[Path] | None = None) -> tuple[Job, ...]:
    """Load one job for each side that the file asks for, everything looked up and checked.

    Args:
        path: the job's file.
        library: folders of profiles that the person asked for.

    Raises:
        InputError: with every problem found, each with its place.
    """
    return load_from(find_library(path, library), path)


def load_from(library: Library, path: Path, text: str | None = None) -> tuple[Job, ...]:
    """Load as `load_job` does, from a given library; `text` is what a file that is not there yet will hold."""
    document = job_document(path, library, text)
    word = document.data.get("kind")
    word = word if isinstance(word, str) else USUAL
    kind = declaration_of(word)
    named = [(trail, of) for key, of in kind.parts.items() for trail in _trails(document.data, key.split("."))]
    held = {trail: _part(trail, of, document, library) for trail, of in named}
    file, problems = _validate(document, held, kind.file)
    parts = {format_trail(trail): part for trail, part in held.items()}
    problems += _wrong_panel(document, parts, kind, word)
    problems += _wrong_materials(document, parts, kind.file, library)
    return kind.resolve(JobRequest(document, parts, file, tuple(problems), library, path))


def _trails(data: object, keys: Sequence[str], trail: Trail = ()) -> Iterator[Trail]:
    """Yield every place in a job to which the keys lead; "*" stands for any key."""
    if not keys:
        yield trail
    elif isinstance(data, dict):
        for key in data if keys[0] == "*" else [key for key in data if key == keys[0]]:
            yield from _trails(data[key], keys[1:], (*trail, key))


def _part(trail: Trail, kind: str, document: Document, library: Library) -> Loaded:
    """Return the profile that the job names, or gives in place, at `trail`."""
    here = document.under(*trail)
    given = here.data
    if isinstance(given, dict):
        whole = replace(here, data={"kind": kind, "name": document.data.get("name", trail[-1]), **given})
        return validate_profile(kind, whole, unread=library.unread)
    if not isinstance(given, str):
        what = f"{quote_value(given)} is given; give the name of a {kind}, a file beside this one, or the {kind} itself"
        return Loaded(None, None, (document.problem(trail, what),))
    try:
        return library.get(kind, given, document.spot(trail)[0])
    except InputError as error:
        return Loaded(None, None, tuple(document.problem(trail, problem.what) for problem in error.problems))


def _validate(
    document: Document, parts: Mapping[Trail, Loaded], model: type[JobFile]
) -> tuple[JobFile | None, list[Problem]]:
    """Return the validated job and all problems of it and its parts; a failed part counts as an empty name."""
    problems = [*document.problems, *name_problems(document, document.file.stem)]
    problems += [problem for part in parts.values() for problem in part.problems]
    data = document.data
    for trail, part in parts.items():
        data = replace_at(data, trail, part.value or "")
    try:
        return model.model_validate(data), problems
    except ValidationError as error:
        return None, problems + validation_problems(error, model, document, problems)


def _wrong_materials(
    document: Document, parts: Mapping[str, Loaded], model: type[JobFile], library: Library
) -> Iterator[Problem]:
    """Yield problems of a sheet to be printed or a filament to be cut; a board's feet are always printed."""
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


def _wrong_panel(document: Document, parts: Mapping[str, Loaded], kind: Declaration, word: str) -> list[Problem]:
    """Return a problem where a kind is given a panel with pins that needs one without, or the other way."""
    panel = parts["panel"].value if "panel" in parts else None
    if not isinstance(panel, Panel | PinPanel) or isinstance(panel, PinPanel) is kind.pins:
        return []
    has, needs = ("an opening and no pins", "pins") if kind.pins else ("pins and no opening", "an opening")
    other = kind_on(pins=not kind.pins)
    what = f"{panel.name} has {has}; a {word} needs {needs}: choose another panel, or kind: {other}"
    return [document.problem(("panel",), what)]
