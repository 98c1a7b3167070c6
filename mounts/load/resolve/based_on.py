"""A job as it is written: its file laid over the job that it is based on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from mounts.errors import InputError
from mounts.kinds.registry import KIND_MODULES
from mounts.load.catalogue.folders import FOLDERS, short_path
from mounts.load.parse.document import Document, Trail, parse, read
from mounts.load.parse.messages import join_options
from mounts.load.parse.units import quote_value
from mounts.load.resolve.library import Library


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
