"""The files that `mounts new` writes: to be filled in from top to bottom while measuring."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Literal

Kind = Literal["job", "panel", "speaker", "device"]

FOLDER = Path(__file__).resolve().parent.parent / "data" / "blank"
PLACE = "name: NAME "  # where the name goes; the comment behind it stays in its column


def blank(kind: Kind, name: str) -> str:
    """A commented YAML file of a kind, which loads as it stands; its figures are examples to be replaced.

    Args:
        kind: what to write.
        name: of the panel, speaker, device or job; the file must be called after it.
    """
    text = (FOLDER / f"{kind}.yaml").read_text(encoding="utf-8")
    start = text.index(PLACE)
    end = text.index("#", start)
    line = f"name: {scalar(name)}"
    return text[:start] + line.ljust(end - start - 1) + " " + text[end:]


def scalar(name: str) -> str:
    """A name as YAML reads it back as the same text: quoted unless it is plainly a word."""
    plain = name.replace("-", "").replace("_", "")
    word = plain.isalnum() and plain.isascii() and plain[0].isalpha() and name[0].isalpha()
    if word and plain.lower() not in ("true", "false", "null"):
        return name
    return json.dumps(name, ensure_ascii=False)
