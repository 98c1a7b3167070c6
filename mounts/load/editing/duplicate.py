"""One's own file as a copy of another, under its own name."""

from __future__ import annotations

import re
from pathlib import Path

from mounts.errors import InputError, Problem
from mounts.load.catalogue.folders import is_path, read_kind
from mounts.load.catalogue.index import list_entries
from mounts.load.catalogue.layers import HERE, Layers
from mounts.load.editing.template import format_scalar
from mounts.load.parse.document import Document, read
from mounts.load.resolve.summarise import drawings_beside

_VALUE = re.compile(r"(\"[^\"]*\"|'[^']*'|[^#]*?)(\s+#.*|\s*)$")


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
