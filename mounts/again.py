"""A job that was built, made again from its record, and what would be different today, in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from difflib import SequenceMatcher
from pathlib import Path
from typing import Any

from mounts.findings.codes import CODES
from mounts.load.models.inputs import JobInputs
from mounts.load.models.job import Job
from mounts.load.resolve.inputs import gather_inputs
from mounts.load.resolve.job import job_document, load_from
from mounts.load.resolve.library import Library
from mounts.load.results.record import Record
from mounts.write.record import to_yaml, unpack_inputs

LINES = 3  # changed lines of a file that are shown
Tree = Mapping[str, Any]


def load_recorded(record: Record, folder: Path) -> tuple[tuple[Job, ...], JobInputs, list[str]]:
    """Load the jobs of a record from its own files, with the defaults that held when it was written.

    Args:
        record: of the job.
        folder: an empty scratch folder, in which its files are laid out.

    Returns:
        The jobs, what they were made from, and which defaults differ in this program, in words.
    """
    file = unpack_inputs(record.inputs, folder)
    roots = sorted({int(key.split("/")[0]) for key in record.files if key[0].isdigit()} | {0})
    layers = [folder / str(number) for number in roots]
    library = Library(layers[0], tuple(layers[1:]))
    then, now = record.defaults, gather_inputs(library, file).defaults
    changed = list(changed_values(then, now))
    text = None
    if changed:
        own = {key: value for key, value in job_document(file, library).data.items() if key != "based_on"}
        text = to_yaml(_over(own, {key: then[key] for key in {trail[0] for trail, _, _ in changed} & set(then)}))
    jobs = load_from(library, file, text)
    return jobs, record.inputs, [f"default of {'.'.join(trail)}: {_was(a, b)}" for trail, a, b in changed]


def _over(tree: Tree, other: Tree) -> dict[str, Any]:
    """Return a tree with what another has where it has nothing."""
    found = dict(tree)
    for key, value in other.items():
        if key not in found:
            found[key] = value
        elif isinstance(value, dict) and isinstance(found[key], dict):
            found[key] = _over(found[key], value)
    return found


def changed_values(then: Tree, now: Tree) -> Iterator[tuple[tuple[str, ...], Any, Any]]:
    """Yield every value that differs between two trees: its keys, what it was, and what it is."""
    for key in dict.fromkeys([*then, *now]):
        one, other = then.get(key), now.get(key)
        if isinstance(one, dict) and isinstance(other, dict):
            yield from (((key, *trail), a, b) for trail, a, b in changed_values(one, other))
        elif one != other:
            yield (key,), one, other


def _was(one: object, other: object) -> str:
    said = ("nothing" if value is None else f"{value:g}" if isinstance(value, float) else str(value)
            for value in (one, other))  # fmt: skip
    return "was {}, is {}".format(*said)


def program_differences(then: Mapping[str, str], now: Mapping[str, str]) -> Iterator[str]:
    """Yield in words how the program and its libraries differ from those of a record."""
    for key in (key for key in dict.fromkeys([*then, *now]) if then.get(key) != now.get(key)):
        name = "sources of mounts (mark)" if key == "mark" else key
        yield f"{name}: {_was(then.get(key), now.get(key))}"


def input_differences(then: Mapping[str, bytes], now: Mapping[str, bytes]) -> Iterator[str]:
    """Yield in words how a job's files differ from those of its record, file by file, by their places in the library.

    Args:
        then, now: contents by key, as in `JobInputs`.
    """
    old, new = ({key.partition("/")[2]: contents for key, contents in some.items()} for some in (then, now))
    for name in sorted({*old, *new}):
        if name not in new:
            yield f"{name} is not used any more"
        elif name not in old:
            yield f"{name} is used too"
        elif old[name] != new[name]:
            changes = list(_changed_lines(old[name], new[name]))
            more = len(changes) - LINES
            yield f"{name}: " + "; ".join(changes[:LINES]) + (f"; and {more} more" if more > 0 else "")


def _changed_lines(then: bytes, now: bytes) -> Iterator[str]:
    """Yield each change of a text: where it is now, what stood there and what stands there."""
    old, new = (data.decode("utf-8", "replace").splitlines() for data in (then, now))
    for what, a, b, c, d in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        if what != "equal":
            was, now_is = (" / ".join(line.strip() for line in lines) or "nothing" for lines in (old[a:b], new[c:d]))
            yield f"line {c + 1} was `{was}`, is `{now_is}`"


def verdict_differences(then: Mapping[str, Mapping[str, str]], now: Mapping[str, Mapping[str, str]]) -> Iterator[str]:
    """Yield in words which verdicts of parts differ: by side, the verdict of each code that warns or fails."""
    for side in dict.fromkeys([*then, *now]):
        if side not in now or side not in then:
            yield f"{side} is {'not made any more' if side not in now else 'made too'}"
            continue
        for (code,), one, other in changed_values(then[side], now[side]):
            says = f" ({CODES[code].says})" if code in CODES else ""
            yield f"{side}, {code}{says}: {_was(one or 'pass', other or 'pass')}"
