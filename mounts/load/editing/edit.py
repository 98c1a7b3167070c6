"""A file of one's own with a few values changed: comments, order and everything else stay as they were written.

One's own file as a copy of another, under its own name.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import yaml

from mounts.errors import InputError, Problem
from mounts.load.catalogue.folders import is_path, read_kind
from mounts.load.catalogue.index import list_entries
from mounts.load.catalogue.layers import HERE, Layers
from mounts.load.editing.template import format_scalar
from mounts.load.parse.document import Document, parse, read
from mounts.load.resolve.summarise import drawings_beside

_VALUE = re.compile(r"(\"[^\"]*\"|'[^']*'|[^#]*?)(\s+#.*|\s*)$")
Entries = Mapping[tuple[str, str], str]  # (key, name in its mapping) → value as YAML


def copy_file(layers: Layers, kind: str, origin: str, name: str) -> tuple[str, dict[str, bytes]]:
    """Return the text of a file that is a copy of another, and the drawings that go beside it, by name.

    Args:
        layers: the library.
        kind: of both.
        origin: name or path of the one that is copied; of hardware, the name of an item or of a file.
        name: of the new one.

    Raises:
        InputError: if there is no such file, if it is of another kind or cannot be read.
    """
    if kind == "hardware" and not is_path(origin):
        found = next((entry.file for entry in list_entries(layers, ("hardware",)) if entry.name == origin), None)
        if found is not None and origin != found.stem:
            return _extract_item(read(found), origin, name), {}
    file = Path(origin) if is_path(origin) else layers.find((kind,), origin, HERE)
    document = read(file)
    if (other := read_kind(file)) not in (kind, ""):
        raise InputError(Problem(f"{file.stem} is a {other}; give a {kind}", file=file))
    drawings = {
        one: (file.parent / one).read_bytes() for one in drawings_beside(document) if (file.parent / one).is_file()
    }
    return _rename(document, name), drawings


def _rename(document: Document, name: str) -> str:
    lines = document.file.read_text(encoding="utf-8-sig").splitlines()
    if ("name",) not in document.values:
        return f"name: {format_scalar(name)}\n" + "\n".join(lines) + "\n"
    _, line, column = document.values["name",]
    before, value = lines[line - 1][: column - 1], lines[line - 1][column - 1 :]
    lines[line - 1] = before + _VALUE.sub(lambda found: format_scalar(name) + found[2], value, count=1)
    return "\n".join(lines) + "\n"


def _extract_item(document: Document, origin: str, name: str) -> str:
    """Return the text of a hardware file with one item of another file, renamed."""
    lines = document.file.read_text(encoding="utf-8-sig").splitlines()
    starts = sorted(spot[1] for trail, spot in document.keys.items() if len(trail) == 2 and trail[0] == "items")
    first = document.keys["items", origin][1]
    last = next((line for line in starts if line > first), len(lines) + 1)
    block = lines[first - 1 : last - 1]
    while block and (not block[-1].strip() or block[-1].lstrip().startswith("#")):
        block.pop()
    block[0] = re.sub(
        r"^(\s*)(\"[^\"]*\"|'[^']*'|[^:]+):", lambda found: f"{found[1]}{format_scalar(name)}:", block[0], count=1
    )
    told = [
        f"{key}: {format_scalar(str(document.data[key]))}" for key in ("source", "confidence") if key in document.data
    ]
    head = [
        "kind: hardware",
        f"name: {format_scalar(name)}",
        f"about: {format_scalar(f'as {origin}, with figures of my own')}",
    ]
    return "\n".join([*head, *told, "items:", *block]) + "\n"


def set_entries(text: str, file: Path, entries: Entries, comment: str = "") -> str:
    """Return the text with a value at each key and name; a new mapping is written in flow style.

    Args:
        text: of a file that loads.
        file: for messages.
        entries: what to put where.
        comment: a line for the file's end that takes the place of one with the same beginning, up to its colon.

    Raises:
        InputError: if the file is written in a way that cannot be edited; it says what to write by hand.
    """
    bom, body = ("\ufeff", text[1:]) if text.startswith("\ufeff") else ("", text)
    end = "\r\n" if "\r\n" in body else "\n"
    changed = body
    for (key, name), value in entries.items():
        changed = _set_entry(changed, key, name, value, end)
    changed = _replace_comment(changed, comment, end) if comment else changed
    if not _holds_entries(body, changed, file, entries):
        by_hand = "; ".join(f"{key}: {{{name}: {value}}}" for (key, name), value in entries.items())
        raise InputError(Problem(f"this file cannot be edited safely; write by hand: {by_hand}", file=file))
    return bom + changed


def _set_entry(text: str, key: str, name: str, value: str, end: str) -> str:
    root: Any = yaml.compose(text, Loader=yaml.SafeLoader)
    found = next(((k, v) for k, v in root.value if k.value == key), None)
    if found is None:
        return f"{text.rstrip()}{end}{key}: {{{name}: {value}}}{end}"
    head, held = found
    if not isinstance(held, yaml.MappingNode):
        at = text.index(":", head.end_mark.index) + 1
        return f"{text[:at]} {{{name}: {value}}}{text[at:]}"
    old = next((v for k, v in held.value if k.value == name), None)
    if old is not None:
        last = _last_value(old)
        stop = last.end_mark.index if not getattr(old, "flow_style", True) else old.end_mark.index
        return f"{text[: old.start_mark.index]}{value}{text[stop:]}"
    if held.flow_style:
        at = held.end_mark.index - 1
        before = text[:at].rstrip()
        comma = "" if before.endswith(("{", ",")) else ","
        blank = "" if before.endswith("{") else " "
        return f"{before}{comma}{blank}{name}: {value}{text[at:]}"
    indent = " " * held.start_mark.column
    at = text.find("\n", _last_value(held).end_mark.index)
    at = len(text) if at < 0 else at + 1
    line = f"{indent}{name}: {value}{end}"
    return text[:at] + ("" if text[:at].endswith("\n") else end) + line + text[at:]


def _last_value(node: Any) -> Any:
    """Return the last value inside a node, or the node itself where a closing bracket ends it."""
    while isinstance(node, yaml.CollectionNode) and not node.flow_style and node.value:
        node = node.value[-1][1] if isinstance(node, yaml.MappingNode) else node.value[-1]
    return node


def _replace_comment(text: str, comment: str, end: str) -> str:
    """Return the text with the comment as its last line, without an older one that begins alike."""
    begins = f"# {comment.split(':', maxsplit=1)[0]}:"
    kept = [line for line in text.splitlines() if not line.startswith(begins)]
    return end.join([*kept, f"# {comment}"]) + end


def _holds_entries(before: str, after: str, file: Path, entries: Entries) -> bool:
    """Return whether the new text holds the old data with the entries, and nothing else."""
    try:
        meant, said = dict(parse(before, file).data), parse(after, file)
    except InputError:
        return False
    for (key, name), value in entries.items():
        held = meant.get(key)
        meant[key] = {**(held if isinstance(held, dict) else {}), name: parse(f"value: {value}\n", file).data["value"]}
    return not said.problems and said.data == meant


def format_by_size(values: Iterator[tuple[float, float]]) -> str:
    """Return sizes and their values as a YAML mapping: {3: 0.28, 10: 0.2}."""
    return "{" + ", ".join(f"{size:g}: {value:g}" for size, value in values) + "}"
