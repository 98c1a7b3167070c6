"""A batch: each part is recalled from the shelf or made by a crew, and yielded as it is done.

Key of a part: the hash of all that decides it, so that equal keys mean equal parts.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from concurrent.futures import FIRST_COMPLETED, Future, wait
from dataclasses import dataclass, fields, is_dataclass
from enum import Enum
from pathlib import Path
from typing import Any, Protocol

from pydantic import BaseModel

from mounts.batch.bundle import Bundle, unpack_bundle
from mounts.batch.crew import Crew, Refusal, loss_reason
from mounts.errors import FileError
from mounts.findings.kit import How
from mounts.load.models.job import Job
from mounts.load.results.shelf import recall
from mounts.write.disk_cache import drop, keep, mark_used
from mounts.write.output import Wish

NOT_OF_THE_PART = {"file", "digest", "places", "glyphs"}  # the file, where values stand in it, the program's font
AHEAD = 2  # tasks for each worker in hand at a time: none waits, and a thousand jobs need no more room than a few


def key_of(job: Job, wish: Wish, program: str) -> str:
    """Return the key of a part: 64 hexadecimal digits.

    Args:
        job: one side of it, with everything looked up.
        wish: which files are wanted.
        program: mark of the program that makes it, see `program_mark`.
    """
    return hash_of({"job": to_plain(job), "wish": to_plain(wish), "program": program})


def hash_of(tree: object) -> str:
    """Return the SHA-256 of plain values, in hexadecimal digits."""
    text = json.dumps(tree, sort_keys=True, ensure_ascii=True, allow_nan=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def to_plain(value: Any) -> Any:
    """Return a value as plain lists, mappings, texts and numbers, each model under its own name.

    Raises:
        TypeError: for a value that has no such form, so that nothing is ever left out of a key by accident.
    """
    if isinstance(value, Enum | Path):
        return str(value)
    if value is None or isinstance(value, str | bool | int | float):
        return value
    if isinstance(value, Mapping):
        return {str(name): to_plain(held) for name, held in value.items()}
    if isinstance(value, list | tuple):
        return [to_plain(item) for item in value]
    return {"": type(value).__name__, **{name: to_plain(getattr(value, name)) for name in _names(value)}}


def _names(value: object) -> list[str]:
    if isinstance(value, BaseModel):
        return list(type(value).model_fields)
    if is_dataclass(value):
        return [field.name for field in fields(value) if field.name not in NOT_OF_THE_PART]
    raise TypeError(f"{type(value).__name__} has no plain form")


class Store(Protocol):
    """Store of finished parts between runs."""

    def recall(self, key: str) -> bytes | None:
        """Return what is kept under a key."""

    def keep(self, key: str, packed: bytes) -> None:
        """Keep a part under a key."""


class Shelf:
    """A folder of finished parts. Trouble with it never stops a batch: then the part is made again, or not kept."""

    def __init__(self, folder: Path, tell: Callable[[str], None], *, fresh: bool = False) -> None:
        """Open the store.

        Args:
            folder: need not be there yet.
            tell: is given a sentence when something is wrong with it.
            fresh: whether what is kept is left alone and everything made again.
        """
        self._folder, self._tell, self._fresh = folder, tell, fresh
        self._full = False

    def recall(self, key: str) -> bytes | None:
        """Return what is kept under a key, verified; None when there is nothing sound."""
        if self._fresh:
            return None
        try:
            found = recall(self._folder, key)
        except ValueError:
            self._tell("a part kept from an earlier run is damaged; it is made again")
            drop(self._folder, key)
            return None
        if found is not None:
            mark_used(self._folder, key)
        return found

    def keep(self, key: str, packed: bytes) -> None:
        """Keep a part; report once where that fails."""
        try:
            keep(self._folder, key, packed)
        except FileError as error:
            if not self._full:
                self._tell(f"{error}; this run goes on without")
            self._full = True


@dataclass(frozen=True, slots=True, eq=False)
class Result:
    """Result of making one part.

    Attributes:
        job: one side of a job.
        key: key of the part.
        how: "made" now, "kept" from an earlier run, or "lost".
        bundle: None when it is lost; then `why` gives the reason.
    """

    job: Job
    key: str
    how: How
    bundle: Bundle | None = None
    why: str = ""


@dataclass(frozen=True, slots=True)
class Shop:
    """Means of making a batch: workers, store and time limit.

    Attributes:
        crew: who makes the parts.
        store: where they are kept between runs.
        program: mark of this program.
        seconds: time that one part may take, s.
    """

    crew: Crew
    store: Store
    program: str
    seconds: float


def run_batch(jobs: Iterable[Job], wish: Wish, shop: Shop) -> Iterator[Result]:
    """Yield the result of each part, in the order in which they are done.

    Args:
        jobs: one a part; taken from as the crew has hands free, so that there may be any number.
        wish: which files are wanted.
        shop: where they are made.
    """
    pending: dict[Future[Any], tuple[Job, str]] = {}
    for job in jobs:
        key = key_of(job, wish, shop.program)
        if (bundle := recall_bundle(shop.store, key, job.name)) is not None:
            yield Result(job, key, "kept", bundle)
            continue
        pending[shop.crew.submit(job, wish)] = (job, key)
        while len(pending) >= AHEAD * shop.crew.size:
            yield from _collect(pending, shop)
    while pending:
        yield from _collect(pending, shop)


def recall_bundle(store: Store, key: str, job: str) -> Bundle | None:
    """Return the bundle that is kept under a key, if it is whole and of this job; else None."""
    packed = store.recall(key)
    if packed is None:
        return None
    try:
        bundle = unpack_bundle(packed)
    except ValueError:
        return None
    return bundle if bundle.job == job else None


def _collect(pending: dict[Future[Any], tuple[Job, str]], shop: Shop) -> Iterator[Result]:
    """Wait for the next parts; keep each before it is yielded, so that nothing finished is lost."""
    for future in wait(pending, return_when=FIRST_COMPLETED).done:
        job, key = pending.pop(future)
        try:
            gave = future.result()
        except Exception as error:  # whatever happens to one task, the batch goes on
            yield Result(job, key, "lost", why=loss_reason(error, shop.seconds))
            continue
        if isinstance(gave, Refusal):
            yield Result(job, key, "lost", why=gave.why)
            continue
        shop.store.keep(key, gave.packed)
        yield Result(job, key, "made", unpack_bundle(gave.packed))  # as a later run will find it, to the last figure
