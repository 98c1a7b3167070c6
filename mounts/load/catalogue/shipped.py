"""Files that come with the program: the packaged library, and the JSON Schema in it."""

from __future__ import annotations

from pathlib import Path


def shipped_library() -> Path:
    """Return the library that ships with the program: inside the wheel, or beside the package in a checkout."""
    package = Path(__file__).resolve().parents[2]
    inside = package / "_profiles"
    return inside if inside.is_dir() else package.parent / "profiles"


def shipped_schema() -> str:
    """Return the shipped JSON Schema; a test compares it with the models, so that printing it builds none."""
    return (shipped_library() / "schema.json").read_text(encoding="utf-8")
