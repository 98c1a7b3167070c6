"""Inputs of a job: the files that were read for it, and the defaults that it took."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from mounts.load.catalogue.folders import short_path
from mounts.load.catalogue.layers import learned_files
from mounts.load.catalogue.marks import measured_of
from mounts.load.models.inputs import JobInputs
from mounts.load.parse.document import Document, read
from mounts.load.resolve.job import read_request
from mounts.load.resolve.library import Library
from mounts.load.resolve.summarise import drawings_beside

HERE = "here"
OWN = frozenset({"kind", "name", "about", "based_on", "vehicle", "date", "notes"})  # words, which decide no dimension


def gather_inputs(library: Library, path: Path) -> JobInputs:
    """Return what a job was made from, once `load_from` has loaded it from this library.

    Args:
        library: holds every profile that was read for the job.
        path: the job's file.
    """
    request = read_request(library, path)
    documents = {file: loaded.document for file, loaded in library.kept.items() if loaded.document}
    documents |= {file: read(file) for file in _bases(library, path)}
    files = dict.fromkeys([*documents, *learned_files(library.layers.roots)])
    for file, document in documents.items():
        files |= dict.fromkeys(file.parent / name for name in drawings_beside(document))
    panel = request.parts.get("panel")
    return JobInputs(
        job=_key(path, path, library),
        path=short_path(path).as_posix(),
        files={_key(file, path, library): file.read_bytes() for file in files},
        defaults=_defaults(request.file, tuple(request.parts)) if request.file else {},
        measured=_measured(panel.document if panel else None),
    )


def _measured(panel: Document | None) -> str:
    return measured_of(panel.data) if panel is not None and panel.data.get("measured") else ""


def _bases(library: Library, path: Path) -> Iterator[Path]:
    """Yield a job's file and those of the jobs that it is based on."""
    yield path
    base = read(path).data.get("based_on")
    if isinstance(base, str):
        yield from _bases(library, library.find("job", base, path))


def _key(file: Path, job: Path, library: Library) -> str:
    place = file.resolve()
    for number, root in enumerate(library.layers.roots):
        if place.is_relative_to(root.resolve()):
            return f"{number}/{place.relative_to(root.resolve()).as_posix()}"
    folder = job.parent.resolve()
    return f"{HERE}/{place.relative_to(folder).as_posix() if place.is_relative_to(folder) else place.name}"


def _defaults(file: Any, parts: tuple[str, ...]) -> dict[str, Any]:
    """Return what a job's file leaves to the program, except what it refers to."""
    leave = {key.partition(".")[0] for key in parts} | OWN
    whole, given = (
        _filled(file.model_dump(by_alias=True, exclude=leave, exclude_unset=some)) for some in (False, True)
    )
    return _less(whole, given)


def _filled(tree: Any) -> Any:
    """Return values as plain data, without what is not given."""
    if isinstance(tree, Mapping):
        return {str(key): _filled(value) for key, value in tree.items() if value is not None}
    if isinstance(tree, list | tuple):
        return [_filled(value) for value in tree]
    return tree if isinstance(tree, bool | int | float) else str(tree)


def _less(whole: Mapping[str, Any], given: Mapping[str, Any]) -> dict[str, Any]:
    """Return the values of a tree that another, which is a part of it, does not have."""
    found: dict[str, Any] = {}
    for key, value in whole.items():
        if key not in given:
            found[key] = value
        elif isinstance(value, dict) and isinstance(given[key], dict) and (rest := _less(value, given[key])):
            found[key] = rest
    return found
