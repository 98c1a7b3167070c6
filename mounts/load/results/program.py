"""Mark of this program, which changes whenever anything does that could change a part."""

from __future__ import annotations

import hashlib
from functools import lru_cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

PACKAGE = Path(__file__).resolve().parents[2]
KERNELS = ("cadquery", "cadquery-ocp", "manifold3d", "numpy")


@lru_cache(maxsize=1)
def program_mark() -> str:
    """Return a SHA-256 over our own sources and data and the versions of what draws and measures."""
    mark = hashlib.sha256()
    for path in sorted(path for path in PACKAGE.rglob("*") if path.is_file() and path.suffix != ".pyc"):
        mark.update(path.relative_to(PACKAGE).as_posix().encode())
        mark.update(hashlib.sha256(path.read_bytes()).digest())
    for name in KERNELS:
        mark.update(f"{name} {_version(name)}".encode())
    return mark.hexdigest()


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return "unknown"
