"""What comes with the program: the packaged library, and the JSON Schema in it."""

from __future__ import annotations

from pathlib import Path


def packaged() -> Path:
    """The library that comes with the program: inside the wheel, or in the checkout beside the package."""
    package = Path(__file__).resolve().parents[2]
    inside = package / "_profiles"
    return inside if inside.is_dir() else package.parent / "profiles"


def shipped_schema() -> str:
    """The JSON Schema as it is shipped; a test holds it against the models, so that printing it need not build them."""
    return (packaged() / "schema.json").read_text(encoding="utf-8")
