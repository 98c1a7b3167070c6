"""The files that `mounts new` writes: to be filled in from top to bottom while measuring."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from textwrap import wrap

from mounts.load.catalogue.folders import shipped_library
from mounts.load.editing.readings import Reading, ReadingTable, Sort, load_table

FOLDER = Path(__file__).resolve().parents[2] / "data" / "blank"
READ: tuple[Sort, ...] = ("panel", "pins", "speaker")  # whose blanks are made of the tables of readings
MARK = "# yaml-language-server: $schema="
HEAD = f"{MARK}../schema.json"
SCHEMA = "schema.json"
COLUMN, WIDE = 37, 119  # of the comments beside the keys


def blank_file(kind: str, name: str) -> str:
    """Return a commented YAML file of a kind that loads as it stands, its figures examples to be replaced.

    Args:
        kind: what to write; "pins" is a panel that has pins, and the word of a mount's kind is a job of it.
        name: of the panel, speaker, device, job or kit; the file must be called after it.
    """
    table = next((load_table(sort) for sort in READ if sort == kind), None)
    text = "\n".join(_lines(table)) + "\n" if table else (FOLDER / f"{kind}.yaml").read_text(encoding="utf-8")
    return fill_key(text, "name", name)


def fill_key(text: str, key: str, value: str) -> str:
    """Return a blank with another value at a key of the margin; the comment behind it stays in its column."""
    start = text.index(f"\n{key}: ") + 1
    end = text.index("#", start)
    line = f"{key}: {format_scalar(value)}"
    return text[:start] + line.ljust(end - start - 1) + " " + text[end:]


def set_schema_line(text: str, root: Path) -> str:
    """Return a file's text with the line that leads an editor to the schema: the library's, else the shipped one.

    Args:
        text: of the file.
        root: folder of the library that it goes into.
    """
    schema = f"../{SCHEMA}" if (root / SCHEMA).is_file() else (shipped_library() / SCHEMA).as_uri()
    lines = text.splitlines(keepends=True)
    body = lines[1:] if lines and lines[0].startswith(MARK) else lines
    return f"{MARK}{schema}\n" + "".join(body)


def format_scalar(name: str) -> str:
    """Return a name as a YAML scalar that reads back as the same text: quoted unless it is plainly a word."""
    plain = name.replace("-", "").replace("_", "")
    word = plain.isalnum() and plain.isascii() and plain[0].isalpha() and name[0].isalpha()
    if word and plain.lower() not in ("true", "false", "null"):
        return name
    return json.dumps(name, ensure_ascii=False)


def _lines(of: ReadingTable) -> Iterator[str]:
    yield HEAD
    yield from _comment(of.about)
    yield f"kind: {of.kind}"
    yield from _keys(of.head)
    for number, step in enumerate(of.steps, start=1):
        yield ""
        yield from _comment(step.file, f"{number}. ")
        yield from _keys(step.readings)
    if of.last:
        yield ""
        yield from _comment(of.last)


def _comment(text: str, number: str = "") -> Iterator[str]:
    for k, line in enumerate(text.splitlines()):
        yield f"# {number if k == 0 else ' ' * len(number)}{line}"


def _keys(readings: Sequence[Reading]) -> Iterator[str]:
    """Yield the readings' lines; readings whose keys begin alike share the lines of that beginning."""
    open_: tuple[str, ...] = ()
    for reading in (one for one in readings if one.in_file):
        holders = reading.trail[:-1]
        kept = next((k for k, (a, b) in enumerate(zip(open_, holders, strict=False)) if a != b), len(holders))
        kept = min(kept, len(open_))
        for depth in range(kept, len(holders)):
            yield f"{'  ' * depth}{holders[depth]}:"
        open_ = holders
        yield from _with_note(_key_lines(reading, "  " * len(holders)), reading.note)


def _key_lines(reading: Reading, indent: str) -> list[str]:
    mark, key = "# " if reading.instead else "", reading.trail[-1]
    if not reading.is_list:
        return [f"{indent}{mark}{key}: {reading.put[0]}"]
    return [f"{indent}{mark}{key}:", *(f"{indent}{mark}  - {put}" for put in reading.put)]


def _with_note(lines: list[str], note: str) -> Iterator[str]:
    """Yield a key's lines with its note wrapped in the column of comments."""
    start = max(COLUMN, len(lines[0]) + 2)
    words = wrap(note, max(WIDE - start - 2, 20), break_long_words=False)
    if len(words) > 2 and start > COLUMN + 10:
        indent = " " * (len(lines[0]) - len(lines[0].lstrip()))
        yield from (f"{indent}# {line}" for line in wrap(note, WIDE - 2 - len(indent)))
        words = []
    for k in range(max(len(lines), len(words))):
        line = lines[k] if k < len(lines) else ""
        yield f"{line.ljust(start)}# {words[k]}" if k < len(words) else line
